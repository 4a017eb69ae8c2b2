package report

import (
	"errors"
	"math"
	"strings"

	"evenlock/doubt"
	"evenlock/radio"
	"evenlock/report/document"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// Check says what a rig file comes to: what is asked about it and which limits it is past, how its
// axles stand, which measurements matter most, what the file leaves out that would be of use, and,
// for who asks for everything, the places that it gives. The first model is that of the front axle.
// The error is that of steer.Model.Stops; a limit that is passed is no error, but said.
func Check(asked []doubt.Question, models ...*steer.Model) (*document.Document, error) {
	d := &document.Document{Kind: "check", Title: "Check", Rig: models[0].Rig.Name}
	d.Sections = lookAgain(models[0].Rig, asked)
	all := make([]checked, len(models))
	for i, m := range models {
		c := &all[i]
		c.Model = m
		if i > 0 {
			c.prefix = axleNames[i] + "."
		}
		if len(models) > 1 {
			c.whose = ": " + axleNames[i] + " axle"
		}
		var err error
		if c.square, err = m.Square(); err != nil {
			return nil, err
		}
		if c.locks, err = m.Locks(steer.LockOptions{}); err != nil && !errors.As(err, &c.past) {
			return nil, err
		}
		c.shares = c.square.Miss.Shares()
		now, err := c.standsNow()
		if err != nil {
			return nil, err
		}
		places, err := c.places()
		if err != nil {
			return nil, err
		}
		d.Sections = append(d.Sections, now, c.certainty())
		if notes := c.leftOut(); len(notes) > 0 {
			d.Sections = append(d.Sections, c.section("missing", "Not in the file yet", notes))
		}
		d.Sections = append(d.Sections, places)
	}
	first := append(hardly(all), askedLines(models[0].Rig, asked)...)
	d.Verdict = threeLines(append(first, checkVerdict(all, len(first) == 0)...))
	return d, nil
}

// leastLock is a lock in radians that nobody drives with: what was measured is then taken to be off.
const leastLock = 3 * math.Pi / 180

// hardly says of each limit that is passed already, and of each end of the lock that leaves next to
// none, that it is so.
func hardly(all []checked) []document.Line {
	var lines []document.Line
	for i := range all {
		it := "it"
		if len(all) > 1 {
			it = "the " + axleNames[i] + " axle"
		}
		if past := all[i].past; past != nil {
			lines = append(lines, document.Line{Severity: document.MustFix, Sentence: document.Say(past.Words, " is ", beyond(past.Limit, past.By), ".")})
			continue
		}
		for side := range all[i].locks {
			l := &all[i].locks[side]
			if l.Inner.Value < leastLock {
				lines = append(lines, document.Line{
					Severity: document.MustFix,
					Sentence: document.Say(it, " steers ", all[i].lock(steer.Side(side)), " to the "+l.Side.String()+" and no further: ", l.Governs, "."),
				})
			}
		}
	}
	return lines
}

// checked is an axle that is checked.
type checked struct {
	*steer.Model
	square steer.Square
	locks  [2]steer.Lock
	shares []steer.Share
	// past is the limit that it is past with the wheels straight; there are no locks then.
	past *steer.PastStopError
	// prefix begins the keys of what is said of it. whose ends its headings, and is empty where it
	// is the only one.
	prefix, whose string
}

func (c *checked) section(key, title string, blocks ...document.Block) document.Section {
	return document.Section{Key: c.prefix + key, Title: title + c.whose, Blocks: blocks}
}

// off is how far horn and link are from square, lock how far the inner wheel steers to a side.
func (c *checked) off() document.Figure {
	return angle(c.square.Miss).Size().Named(c.prefix+"square", "")
}

func (c *checked) lock(side steer.Side) document.Figure {
	return angle(c.locks[side].Inner).Named(c.prefix+"lock."+side.String(), "")
}

// checkVerdict says that the file is in order, if it is, how far off square horn and link are, how far
// the wheels steer and what ends that, and what to measure again.
func checkVerdict(all []checked, inOrder bool) []document.Line {
	c := &all[0]
	begin := ""
	if inOrder {
		begin = "In order. "
	}
	off := document.Say("Horn to link is ", c.off(), " off square")
	if len(all) > 1 {
		lines := []document.Line{line(begin, off, ", at the rear ", all[1].off(), ".")}
		for i := range all {
			c := &all[i]
			if c.past != nil {
				continue
			}
			said := document.Say(axleNames[i], " lock ", c.lock(steer.Left), " left, ", c.lock(steer.Right), " right")
			if stop, ok := bothSides(c.locks[0].Governs, c.locks[1].Governs); ok {
				said = document.Say(said, ": ", strings.Replace(stop, axleNames[i]+" ", "", 1))
			}
			lines = append(lines, line(capital(said), "."))
		}
		return lines
	}
	if c.past != nil {
		return []document.Line{line(off, ".")}
	}
	again, makes := greatestPoint(c.shares)
	if stop, ok := bothSides(c.locks[0].Governs, c.locks[1].Governs); ok {
		lines := []document.Line{
			line(begin, off, "."),
			line("Lock ", c.lock(steer.Left), " left, ", c.lock(steer.Right), " right: ", stop, "."),
		}
		if again != "" {
			lines = append(lines, line("Measure ", again, " again: it makes ", part(makes), " of the ± off square."))
		}
		return lines
	}
	if again != "" {
		off = append(off, ": measure "+again+" again")
	}
	return []document.Line{
		line(begin, "Left ends at ", c.lock(steer.Left), ": ", c.locks[0].Governs, "."),
		line("Right ends at ", c.lock(steer.Right), ": ", c.locks[1].Governs, "."),
		line(off, "."),
	}
}

// greatestPoint names what makes most of an uncertainty, coordinates of one point taken together,
// and what part of it; "" if nothing makes any.
func greatestPoint(shares []steer.Share) (words string, most float64) {
	points := map[string]float64{}
	for _, s := range shares {
		m := s.Measure
		for _, coordinate := range []string{".x", ".y", ".z"} {
			m.Path = strings.TrimSuffix(m.Path, coordinate)
		}
		name := m.Words()
		points[name] += s.Part
		// A little more is no reason to name another than the first.
		if points[name] > most+1e-6 {
			words, most = name, points[name]
		}
	}
	return words, most
}

// standsNow says how the rig stands at the neutral pulse.
func (c *checked) standsNow() (document.Section, error) {
	samples, err := c.Sweep(0, 0, 1)
	if err != nil {
		return document.Section{}, err
	}
	at := &samples[0]
	var road, rates document.Figures
	for side, name := range sideNames {
		q := steer.Road.Of(steer.Side(side))
		road = append(road, document.FU(at.Values[q], at.Uncertain[q], document.Angle).Named(c.prefix+"road."+name, name+" wheel").Signed(document.ToSide))
		rates = append(rates, document.FU(at.Rates[q], at.RatesUncertain[q], document.Ratio).Named(c.prefix+"rate."+name, name+" wheel turns").Size().Noted("of servo"))
	}
	horn := document.FU(at.Values[steer.HornAngle], at.Uncertain[steer.HornAngle], document.Angle).Named(c.prefix+"horn_angle", "angle between horn and link").Noted("90° is square")
	return c.section("now", "As it stands, servo at neutral", append(append(road, horn), rates...)), nil
}

// certainty says which measurements the ± of the angle between horn and link comes from.
func (c *checked) certainty() document.Section {
	s := c.section("matters", "What matters most for horn and link")
	if len(c.shares) == 0 {
		s.Blocks = append(s.Blocks, document.Text("No measurement states its ±, so no result can. Write ± behind the numbers, or fill in the accuracy", document.FileKey("[accuracy]"), "."))
		return s
	}
	s.Blocks = append(s.Blocks,
		document.Text("The angle is only good to ± ", document.F(c.square.Miss.Uncertain, document.Angle), ". That comes from:"),
		shareBars(c.shares))
	return s
}

// shareBars draws the greatest parts that measurements have in an uncertainty.
func shareBars(all []steer.Share) document.Bars {
	var bars document.Bars
	for _, s := range greatest(all) {
		bars = append(bars, document.Bar{Words: document.Say(s.Measure.Words(), document.FileKey(s.Measure.Path)), Part: part(s.Part)})
	}
	return bars
}

// greatest keeps the three greatest shares, and of those what is at least a hundredth.
func greatest(shares []steer.Share) []steer.Share {
	n := 0
	for n < min(3, len(shares)) && shares[n].Part >= 0.01 {
		n++
	}
	return shares[:n]
}

// leftOut names what the file could still say, and what is not said without it.
func (c *checked) leftOut() document.Notes {
	var all document.Notes
	miss := func(missing bool, words, key, without string) {
		if missing {
			all = append(all, document.Note{Problem: document.Say(document.Capital(words), document.FileKey(key), "."), Remedy: document.Say(without)})
		}
	}
	a := c.Rig.Of(c.Axle.Number())
	in := func(key string) string { return inFile(a, key) }
	miss(a.Servo.Teeth == 0, "the teeth of the servo's spline", in("servo.teeth"), "Without it no spline position is named.")
	miss(!a.Servo.Travel.Given, "the servo's own travel", in("servo.travel"), "Without it endpoints may be past it.")
	miss(a.Left.Stops == nil, "where the knuckles stop", in("left.stops"), "Without it endpoints may drive into the stops.")
	miss(c.Wheels[steer.Left].Joint == nil, "the axle joint's greatest angle", in("left.axle_joint"), "Without it endpoints may bind the joint of a driven axle.")
	miss(!a.DragLink.EndAngle.Given, "how far the drag link's rod ends tilt", in("drag_link.end_angle"), "Without it endpoints may bind them.")
	miss(a.DragLink.Thread == "" && !a.DragLink.Pitch.Given, "the drag link's thread", in("drag_link.thread"), "Without it its length is not told in turns.")
	calibration, err := radio.Calibrate(a.Transmitter, a.Servo, a.Settings.Reverse)
	reading := "[[" + in("transmitter.reading") + "]]"
	switch {
	case len(a.Transmitter.Readings) < 2:
		miss(true, "two readings of what the servo does", reading, "Without them no setting is in the transmitter's own numbers.")
	case err != nil:
		problem, remedy := missingReading(err)
		all = append(all, document.Note{Severity: document.WorthFixing, Problem: document.Say(asSentence(problem), document.FileKey(reading)), Remedy: document.Say(asSentence(remedy))})
	default:
		all = append(all, readNotes(&calibration, a.Prefix)...)
	}
	miss(a.Transmitter.MaxEndpoint == 0, "the greatest endpoint of the transmitter", in("transmitter.max_endpoint"), "Without it endpoints may be more than it can be set to.")
	miss(c.prefix == "" && c.Rig.Vehicle.Mass == 0, "the vehicle's mass", in("vehicle.mass"), "Without it no load is worked out.")
	return all
}

// The words for a place's coordinates, counted from the middle of the steered axle.
var (
	toFront = document.Direction{Negative: "behind", Positive: "in front"}
	toLeft  = document.Direction{Negative: "right", Positive: "left"}
	above   = document.Direction{Negative: "below", Positive: "above"}
)

// places lists the places, the rods and the lean of the kingpins that the file gives.
func (c *checked) places() (document.Section, error) {
	v := c.Vehicle
	t := document.Table{Key: c.prefix + "places", Columns: []document.Column{
		{Key: "place", Head: "place"},
		{Key: "x", Head: "along"},
		{Key: "y", Head: "across"},
		{Key: "z", Head: "height"},
	}}
	place := func(words string, v r3.Vec) {
		v = r3.Sub(v, c.Axle.Middle)
		t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{
			document.Say(words),
			document.Say(document.F(v.X, document.Length).Signed(toFront)),
			document.Say(document.F(v.Y, document.Length).Signed(toLeft)),
			document.Say(document.F(v.Z, document.Length).Signed(above)),
		}})
	}
	kingpin := func(w *vehicle.Wheel, z float64) r3.Vec {
		return vehicle.AtHeight(z, w.Knuckle.Point, w.Knuckle.Axis)
	}
	for _, w := range v.Wheels {
		place(w.Centre.Name, w.Centre.At)
		place(w.Side.String()+" kingpin at wheel-centre height", kingpin(w, 0))
		place(w.Side.String()+" kingpin at the ground", kingpin(w, w.Centre.At.Z-w.Radius))
		place(w.Arm.Name, w.Arm.At)
	}
	for _, s := range v.Servos {
		place(s.Ball.Name+" at neutral", v.There(s.Ball))
		place(s.Far().Name, v.There(s.Far()))
	}
	var figures document.Figures
	for _, rod := range v.Steering() {
		note := "from its balls' places"
		if rod.Measured {
			note = "measured"
		}
		long, err := c.RodLength(rod)
		if err != nil {
			return document.Section{}, err
		}
		figures = append(figures, length(long).Named("rod."+rod.Key, rod.Name+", ball to ball").Noted(note))
	}
	for _, w := range v.Wheels {
		k, name := w.Knuckle.Axis, w.Side.String()
		figures = append(figures,
			document.F(math.Atan2(-k.X, k.Z), document.Angle).Named(c.prefix+"caster."+name, name+" caster"),
			document.F(math.Atan2(-w.Side.Sign()*k.Y, k.Z), document.Angle).Named(c.prefix+"inclination."+name, name+" kingpin inclination"))
	}
	s := c.section("places", "Places from the middle of the steered axle, rods and kingpins", t, figures)
	s.Detail = true
	return s, nil
}
