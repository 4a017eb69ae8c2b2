package report

import (
	"errors"
	"math"
	"strings"

	"evenlock/report/document"
	"evenlock/steer"
	"evenlock/travel"
)

// Directions of what the travel does. Toe, and the toe and camber of a table, are those of
// independent wheels.
var (
	toe        = document.Direction{Negative: "toe-out", Zero: "none", Positive: "toe-in"}
	toeInTable = document.Direction{Negative: "out", Zero: "none", Positive: "in"}
	topInTable = document.Direction{Negative: "in", Zero: "none", Positive: "out"}
)

// motionWords are how a motion is told of: its section's title, the head above how far it has gone,
// and its lowest and its highest place.
var motionWords = [travel.NumMotions]struct{ title, head, low, high string }{
	travel.Heave:      {"Both wheels up and down", "both wheels", "full droop", "both up"},
	travel.Rolling:    {"Roll: one wheel up, the other down", "left wheel", "right up", "left up"},
	travel.LeftWheel:  {"Left wheel alone", "left wheel", "left down", "left up"},
	travel.RightWheel: {"Right wheel alone", "right wheel", "right down", "right up"},
}

// cornerWords name the corners of the travel.
var cornerWords = [travel.NumCorners]string{
	travel.RideHeight: "ride height", travel.BothUp: "both up", travel.BothDown: "full droop", travel.LeftUp: "left up", travel.RightUp: "right up",
}

// unarticled leaves the article out, for a list.
func unarticled(words string) string { return strings.TrimPrefix(words, "the ") }

// at makes "at full droop" of a place of the travel, or "with left up".
func at(place string) string {
	if place == cornerWords[travel.RideHeight] || place == cornerWords[travel.BothDown] {
		return "at " + place
	}
	return "with " + place
}

// Travel says what the suspension's travel does to the steering: bump steer and roll steer, where
// to move a ball so that there is less of it, and what lock is left over the travel. Better are the
// places that travel.Improve found, in its order; a change's Try counts them from 1.
func Travel(a *travel.Analysis, better []travel.Better) *document.Document {
	t := &travelAccount{a: a, better: better, best: travel.Best(better), solid: a.Model.Axle.Solid}
	t.judge()
	d := about(a.Model, "travel", "Wheel travel")
	d.Verdict = threeLines(append(append(t.binds(), t.bump()...), t.short()...))
	near, far := t.limits()
	for _, s := range []document.Section{
		t.atRideHeight(), t.move(), t.locks(), near,
		t.motion(travel.Heave), t.motion(travel.Rolling), t.motion(travel.LeftWheel), t.motion(travel.RightWheel),
		t.otherMoves(), t.ideals(), far, t.counted(),
	} {
		if len(s.Blocks) > 0 {
			d.Sections = append(d.Sections, s)
		}
	}
	return d
}

// travelAccount is what the parts of the document have in common.
type travelAccount struct {
	a      *travel.Analysis
	better []travel.Better
	best   *travel.Better
	solid  bool
	// severity is that of the bump steer, with reason in words where nothing is proposed.
	severity document.Severity
	reason   string
}

// judge decides how bad the bump steer is.
func (t *travelAccount) judge() {
	c, wheel, sample := t.most(travel.Heave)
	r := &c.Samples[sample]
	size, uncertain := math.Abs(r.Steer[wheel]), r.SteerUncertain[wheel]
	switch {
	case t.best == nil:
		t.severity, t.reason = document.Plain, "The axle itself yaws: no rod turns a knuckle."
	case size < travel.Worth:
		t.severity, t.reason = document.Fine, "That is little: leave it."
	case size <= uncertain:
		t.severity, t.reason = document.TooClose, "That is within its ±."
	case t.best.Gain() < travel.Shown:
		t.severity, t.reason = document.Fine, "No other place of a ball steers less."
	case t.best.Gain() <= uncertain:
		t.severity, t.reason = document.TooClose, "Another place of a ball gains less than the ±."
	default:
		t.severity = document.WorthFixing
	}
}

// binds is the line on what the travel stops or brings past a limit, if it does.
func (t *travelAccount) binds() []document.Line {
	must := func(parts ...any) []document.Line {
		return []document.Line{{Severity: document.MustFix, Sentence: document.Say(parts...)}}
	}
	var past *steer.PastStopError
	if errors.As(t.a.Locks[travel.RideHeight].Past, &past) {
		return must("with the wheels straight ", past.Words, " is ", beyond(past.Limit, past.By), ".")
	}
	if u := t.a.Passed(); u != nil {
		bump, droop := t.a.Model.TravelRange()
		return must(standing(u.Straight.Travel, bump, droop), ", ", u.Words, " is ", beyond(u.Limit, (u.Straight.Part-1)*u.Most), ", even straight ahead.")
	}
	l, side, lost := t.a.Lost()
	if !t.costly(l, side, lost) {
		return nil
	}
	ends := " ends the lock at "
	if isRodEnd(l.Stops[side].Key) {
		ends = " binds at "
	}
	return must(at(cornerWords[l.Corner]), ", ", l.Stops[side].Words, ends, document.F(l.Inner[side], document.Angle), " ", sideNames[side], ".")
}

// costly reports lock lost over the travel that the set-up's margin does not cover, so that the
// servo is driven against a stop. One that comes to the end of its own travel is not.
func (t *travelAccount) costly(l *travel.Lock, side int, lost float64) bool {
	return lost > max(t.a.Model.Rig.Want.Margin.Value, travel.Worth) && l.Stops[side].Key != "servo.travel"
}

// isRodEnd reports whether a limit is the tilt of a rod's end, by its key.
func isRodEnd(key string) bool { return strings.HasSuffix(key, ".end_angle") }

// beyond says how far past a limit something is.
func beyond(l steer.Limit, by float64) document.Sentence {
	if l.Unit == steer.Millimetre {
		return document.Say(document.F(by, document.Length).Shown(), " too close")
	}
	return document.Say(document.F(by, document.Angle).Shown(), " past its limit")
}

// standing says where a suspension of so much bump and droop in mm is: "at full droop", or how high
// each wheel is.
func standing(r steer.WheelTravel, bump, droop float64) document.Sentence {
	for c := range travel.NumCorners {
		if left, right := c.Parts(); r == (steer.WheelTravel{Left: height(left, bump, droop), Right: height(right, bump, droop)}) {
			return document.Say(at(cornerWords[c]))
		}
	}
	return standingAt(r)
}

func height(part, bump, droop float64) float64 {
	if part < 0 {
		return part * droop
	}
	return part * bump
}

// bump are the lines on the bump steer, and on the one change that is best.
func (t *travelAccount) bump() []document.Line {
	c, wheel, sample := t.most(travel.Heave)
	rate, _ := wheels(wheel, c.BumpSteer[travel.Left], c.BumpSteer[travel.Right], document.AnglePerLength)
	most, _ := wheels(wheel, steered(c, travel.Left, sample), steered(c, travel.Right, sample), document.Angle)
	first := document.Say("Bump steer: ", rate.Brief(), "; at most ", most.Brief(), ", ", placeIn(c, sample), ".")
	if t.severity != document.WorthFixing {
		return []document.Line{{Severity: t.severity, Sentence: document.Say(first, " ", t.reason)}}
	}
	do := document.Line{Severity: t.severity, Sentence: document.Say(moveWords(t.best), ": ", swing(t.best.Before[travel.Heave]), " → ", swing(t.best.After[travel.Heave]), ".")}
	return []document.Line{{Sentence: first}, do}
}

// swing is how far the wheel that is steered more is steered at most.
func swing(s travel.Swing) document.Figure { return document.F(s.Worse(), document.Angle) }

// most is the wheel that a motion steers furthest, and where. Samples where nothing is known of
// that, as right where the travel stops, do not count unless there are no others.
func (t *travelAccount) most(m travel.Motion) (c *travel.Sweep, wheel, sample int) {
	c = t.a.Sweeps[m]
	var furthest [2]float64
	var at [2]int
	for w := range furthest {
		for i := range c.Samples {
			r := steered(c, w, i)
			if size := math.Abs(r.Value); size > furthest[w] && r.Uncertain <= max(size, travel.Worth) {
				furthest[w], at[w] = size, i
			}
		}
	}
	if furthest == [2]float64{} {
		at = [2]int{c.Most[travel.Left].Sample, c.Most[travel.Right].Sample}
		furthest = [2]float64{math.Abs(c.Most[travel.Left].Value), math.Abs(c.Most[travel.Right].Value)}
	}
	if furthest[travel.Right] > furthest[travel.Left]+travel.Shown {
		wheel = travel.Right
	}
	return c, wheel, at[wheel]
}

// steered is by how much a wheel is steered at a sample.
func steered(c *travel.Sweep, wheel, sample int) steer.Result {
	r := &c.Samples[sample]
	return steer.Result{Value: r.Steer[wheel], Uncertain: r.SteerUncertain[wheel]}
}

// placeIn says where a sample of a motion is.
func placeIn(c *travel.Sweep, sample int) string {
	words := motionWords[c.Motion]
	switch {
	case sample == 0:
		return at(words.low)
	case sample == len(c.Samples)-1:
		return at(words.high)
	case sample < c.Home:
		return "before " + words.low
	case sample > c.Home:
		return "before " + words.high
	default:
		return at(cornerWords[travel.RideHeight])
	}
}

// wheels makes one figure of both wheels' where they do the same, or the same in a mirror, and else
// of the one given; it says of which.
func wheels(wheel int, left, right steer.Result, unit document.Unit) (f document.Figure, of string) {
	l := document.FU(left.Value, left.Uncertain, unit).Signed(document.Sideways)
	r := document.FU(right.Value, right.Uncertain, unit).Signed(document.Sideways)
	mirrored := r
	mirrored.Value = -r.Value
	switch text := l.Text(document.Reader{}); {
	case text == r.Text(document.Reader{}):
		return l, "both wheels"
	case text == mirrored.Text(document.Reader{}):
		// A left wheel that points to the right is toed in.
		l.Value = -l.Value
		return l.Signed(toe), "each wheel"
	case wheel == travel.Left:
		return l, "left wheel"
	default:
		return r, "right wheel"
	}
}

// short is the line on travel that the rods do not give, if they do not.
func (t *travelAccount) short() []document.Line {
	for _, c := range t.a.Sweeps {
		for _, said := range t.shortIn(c) {
			return []document.Line{{Severity: document.WorthFixing, Sentence: said}}
		}
	}
	return nil
}

// TravelStops says where the travel stops on the way to where it was asked for, and why.
func TravelStops(stop *steer.TravelError) document.Sentence {
	mm := func(v float64) document.Figure { return document.F(v, document.Length).Signed(document.Height) }
	said := document.Say("the travel stops with left ", mm(stop.Reached.Left), " and right ", mm(stop.Reached.Right))
	if stop.Rods != "" {
		said = document.Say(said, ": ", stop.Rods, " cannot follow")
	}
	return said
}

// shortIn says where a motion stops short of what the file states.
func (t *travelAccount) shortIn(c *travel.Sweep) (all []document.Sentence) {
	down, up := c.Motion.Stated(t.a.Model)
	mm := func(v float64) document.Figure { return document.F(v, document.Length).Signed(document.Height) }
	for way, stop := range c.Stops {
		if stop == nil {
			continue
		}
		reached, stated, key := c.Samples[0].X, -down, "suspension.droop"
		if way == 1 {
			reached, stated, key = c.Samples[len(c.Samples)-1].X, up, "suspension.bump"
		}
		said := document.Say("the travel stops with ", motionWords[c.Motion].head, " ", mm(reached), ", short of ", mm(stated), document.FileKey(key))
		if stop.Rods != "" {
			said = document.Say(said, ": ", stop.Rods, " cannot follow")
		}
		all = append(all, document.Say(said, "."))
	}
	return all
}

// atRideHeight has what the travel does for each millimetre and each degree, and at most.
func (t *travelAccount) atRideHeight() document.Section {
	var figures document.Figures
	rates := func(key, words string, r [2]steer.Result, unit document.Unit, note string) {
		add := func(key string, f document.Figure, of string) {
			figures = append(figures, f.Named(key, words+", "+of).Noted(note))
		}
		f, of := wheels(travel.Left, r[travel.Left], r[travel.Right], unit)
		if of == "both wheels" || of == "each wheel" {
			add(key, f, of)
			return
		}
		add(key+".left", f, of)
		f, of = wheels(travel.Right, r[travel.Left], r[travel.Right], unit)
		add(key+".right", f, of)
	}
	most := func(key string, m travel.Motion) {
		c, wheel, sample := t.most(m)
		f, of := wheels(wheel, steered(c, travel.Left, sample), steered(c, travel.Right, sample), document.Angle)
		figures = append(figures, f.Named(key, "at most, "+of).Noted(placeIn(c, sample)))
	}
	heave, roll := t.a.Sweeps[travel.Heave], t.a.Sweeps[travel.Rolling]
	rates("bump", "bump steer", heave.BumpSteer, document.AnglePerLength, "as both rise")
	most("bump.most", travel.Heave)
	rates("roll", "roll steer", roll.RollSteer, document.Ratio, "as the left side rises")
	most("roll.most", travel.Rolling)
	if t.solid {
		figures = append(figures, document.F(heave.Rate.Side, document.LengthPerLength).Signed(document.Sideways).Named("shift", "axle's shift to the side").Noted("as both rise"))
	}
	s := document.Section{Key: "ride_height", Title: "Bump steer and roll steer, the servo held", Blocks: []document.Block{figures}}
	if b := t.a.Beside; b != nil {
		s.Blocks = append(s.Blocks, document.Text("Seen from the front, the drag link is ", angle(b.FrontAngle).Size().Named("beside.angle", ""), " off the ", b.Link.Name, ". They are ",
			document.F(b.Drag.Length, document.Length).Named("beside.drag", ""), " and ", document.F(b.Link.Length, document.Length).Named("beside.link", ""), " long. Parallel and alike they steer least."))
	}
	return s
}

// motion is the table of a motion, from its highest place to its lowest.
func (t *travelAccount) motion(m travel.Motion) document.Section {
	c, words := t.a.Sweeps[m], motionWords[m]
	key := m.Key()
	table := document.Table{Key: key, Thin: 5, Columns: []document.Column{
		{Key: "travel", Head: words.head},
		{Key: "left", Head: "left steered", Bars: true},
		{Key: "right", Head: "right steered"},
	}}
	plot := func(title, about string, lines ...string) *document.Plot {
		return &document.Plot{Title: title, About: about, Across: "travel", Lines: lines}
	}
	table.Plot = plot("Steered by the travel", "As it changes from ride height; the servo stays where the wheels are straight.", "left", "right")
	if t.solid {
		table.Columns = append(table.Columns, document.Column{Key: "shift", Head: "axle shifts"}, document.Column{Key: "yaw", Head: "axle yaws"})
		table.More = []*document.Plot{plot("Shift of the axle", "Its middle, to the side.", "shift"), plot("Yaw of the axle", "", "yaw")}
	} else {
		table.Columns = append(table.Columns, document.Column{Key: "toe", Head: "toe, both"}, document.Column{Key: "camber_left", Head: "left top"}, document.Column{Key: "camber_right", Head: "right top", Means: "camber, the wheel's top in or out"})
		table.More = []*document.Plot{plot("Toe", "Of both wheels together.", "toe"), plot("Camber", "Of the wheels' tops, as it changes from ride height.", "camber_left", "camber_right")}
	}
	say := func(v float64, unit document.Unit, d document.Direction) document.Sentence {
		return document.Say(document.F(v, unit).Signed(d))
	}
	for i := len(c.Samples) - 1; i >= 0; i-- {
		r := &c.Samples[i]
		cells := []document.Sentence{say(r.X, document.Length, document.Height)}
		for w := range 2 {
			cells = append(cells, document.Say(angle(steered(c, w, i)).Signed(document.Sideways).Brief()))
		}
		if t.solid {
			cells = append(cells, say(r.Carried.Side, document.Length, document.Sideways), say(r.Carried.Yaw, document.Angle, document.Sideways))
		} else {
			cells = append(cells, say(r.Toe(), document.Angle, toeInTable), say(r.Camber[travel.Left], document.Angle, topInTable), say(r.Camber[travel.Right], document.Angle, topInTable))
		}
		table.Rows = append(table.Rows, document.Row{Cells: cells})
	}
	s := document.Section{Key: key, Title: words.title, Detail: m != travel.Heave, Blocks: []document.Block{table}}
	for _, said := range t.shortIn(c) {
		s.Blocks = append(s.Blocks, document.Notes{{Severity: document.WorthFixing, Problem: said}})
	}
	return s
}

// locks says how far it steers at the corners of the travel, and what ends that.
func (t *travelAccount) locks() document.Section {
	table := document.Table{Key: "locks", Columns: []document.Column{
		{Key: "at", Head: "suspension"},
		{Key: "left", Head: "left"},
		{Key: "right", Head: "right"},
		{Key: "by", Head: "what ends it"},
	}}
	home := &t.a.Locks[travel.RideHeight]
	worst := document.Plain
	for i := range t.a.Locks {
		l := &t.a.Locks[i]
		row := document.Row{Cells: []document.Sentence{document.Say(cornerWords[l.Corner]), document.Say("–"), document.Say("–"), nil}}
		var past *steer.PastStopError
		if errors.As(l.Past, &past) {
			row.Severity = document.MustFix
			row.Cells[3] = document.Say(unarticled(past.Words), " is ", beyond(past.Limit, past.By), " straight ahead")
		} else {
			var by []document.Sentence
			for side, name := range sideNames {
				row.Cells[1+side] = document.Say(document.F(l.Inner[side], document.Angle).Named("lock."+l.Corner.Key()+"."+name, ""))
				if stop := l.Stops[side]; i == 0 || home.Past != nil || stop.Words != home.Stops[side].Words {
					by = append(by, document.Say(name+": "+unarticled(stop.Words)))
				}
				if home.Past == nil && t.costly(l, side, home.Inner[side]-l.Inner[side]) {
					row.Severity = document.MustFix
				}
			}
			words, alike := bothSides(l.Stops[travel.Left].Words, l.Stops[travel.Right].Words)
			switch {
			case by == nil:
				row.Cells[3] = document.Say("as at ride height")
			case len(by) == 1:
				row.Cells[3] = by[0]
			case alike:
				row.Cells[3] = document.Say(unarticled(words))
			default:
				row.Cells[3] = document.Say(by[0], "; ", by[1])
			}
		}
		worst = max(worst, row.Severity)
		table.Rows = append(table.Rows, row)
	}
	s := document.Section{Key: "locks", Title: "Lock of the inner wheel over the travel", Blocks: []document.Block{table}}
	if worst == document.MustFix {
		s.Blocks = append(s.Blocks, document.Text("Set the endpoints where the lock is least, or move what ends it."), document.Cautions{Springs})
	}
	return s
}

// limits say how much the limits are taken up over the travel: those that it brings near, and the
// rest for who asks.
func (t *travelAccount) limits() (near, far document.Section) {
	columns := []document.Column{
		{Key: "limit", Head: "limit"},
		{Key: "straight", Head: "straight"},
		{Key: "steered", Head: "steered"},
	}
	nearest, rest := document.Table{Key: "near", Columns: columns}, document.Table{Key: "far", Columns: columns}
	// What ends the lock is met by steering, and that it is by less at a corner is said there.
	ends := map[string]bool{}
	for _, stop := range t.a.Locks[travel.RideHeight].Stops {
		ends[stop.Words] = true
	}
	for _, u := range t.a.LimitUses {
		row := document.Row{Cells: []document.Sentence{document.Say(unarticled(u.Words)), document.Say(part(u.Straight.Part)), document.Say(part(u.Steered.Part))}}
		if u.Straight.Part > 1 {
			row.Severity = document.MustFix
		}
		if u.Straight.Part >= halfUsed || u.Steered.Part > 1 && !ends[u.Words] {
			nearest.Rows = append(nearest.Rows, row)
		} else {
			rest.Rows = append(rest.Rows, row)
		}
	}
	near, far = document.Section{Key: "near", Title: "Limits that the travel comes near, at most"}, document.Section{Key: "far", Title: "Other limits over the travel, at most", Detail: true}
	if len(nearest.Rows) > 0 {
		near.Blocks = []document.Block{nearest}
	}
	if len(rest.Rows) > 0 {
		far.Blocks = []document.Block{rest, document.Text("Straight: the servo held. Steered: anywhere between the locks of ride height. 100 % meets the limit.")}
	}
	if len(t.a.LimitUses) == 0 {
		near.Blocks = []document.Block{document.Text("The file states none: add the tilt at which rod ends bind", document.FileKey("end_angle"), ", and the knuckles' stops", document.FileKey("left.stops"), ".")}
	}
	return near, far
}

// counted says what the figures count and what they do not.
func (t *travelAccount) counted() document.Section {
	at := "the lower arms' balls"
	if t.solid {
		at = "the axle's ends, in the middles of the wheels"
	}
	return document.Section{Key: "counted", Title: "How it is counted", Detail: true, Blocks: []document.Block{
		document.Text("A wheel's travel is that of ", at, ". The chassis stands still and the wheels move. Steer is seen from above, as it changes from ride height. Flex, play and bushes are not counted."),
	}}
}
