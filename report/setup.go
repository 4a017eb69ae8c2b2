package report

import (
	"errors"
	"fmt"
	"math"

	"evenlock/radio"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

// SetUp says what to fit and what to set: the steps in the order that they are done, how even it
// steers then, what needs care, and what is worth measuring again.
func SetUp(p *setup.Plan) *document.Document {
	d := about(p.Before, "setup", "Set-up", planVerdict(p)...)
	d.Sections = append(d.Sections,
		document.Section{Key: "steps", Title: "In this order", Blocks: []document.Block{planSteps(p)}},
		evennessSection(p))
	if len(p.Notes) > 0 {
		var notes document.Notes
		for i := range p.Notes {
			notes = append(notes, planNote(p, &p.Notes[i]))
		}
		d.Sections = append(d.Sections, document.Section{Key: "notes", Title: "Notes", Blocks: []document.Block{notes}})
	}
	if s, ok := worthSection(p); ok {
		d.Sections = append(d.Sections, s)
	}
	d.Sections = append(d.Sections, squareSection(p))
	if p.Calibrated {
		d.Sections = append(d.Sections, shapingSection(p))
		if len(p.Trim.Moves) > 0 {
			d.Sections = append(d.Sections, subtrimSection(p))
		}
	}
	return d
}

// narrowEnd is the end of the lock that holds the other back.
func narrowEnd(p *setup.Plan) *setup.End {
	left, right := &p.Ends[steer.Left], &p.Ends[steer.Right]
	if left.Matched || !right.Matched && right.Curvature.Value < left.Curvature.Value {
		return right
	}
	return left
}

// shaped reports whether the plan sets expo or a curve.
func shaped(p *setup.Plan) bool { return p.Settings.Curve != nil || p.Settings.Expo != 0 }

// evenThen is how even it steers with all that the plan sets.
func evenThen(p *setup.Plan) *steer.Evenness {
	if shaped(p) {
		return &p.EvenShaped
	}
	return &p.EvenAfter
}

// reads is how a figure reads in the usual units, to see whether two are alike.
func reads(f document.Figure) string { return f.Text(document.Reader{}) }

// planVerdict says what to do, what it gains and what stops it.
func planVerdict(p *setup.Plan) []document.Line {
	lines := []document.Line{line(firstWork(p), ".")}
	for i := range p.Rods {
		if r := &p.Rods[i]; !r.Fits {
			must := document.Say("the ", r.Name, " cannot be made ", length(r.Length).Brief(), " long.")
			lines = append([]document.Line{{Severity: document.MustFix, Sentence: must}}, lines...)
			break
		}
	}
	left, right := angle(p.Ends[steer.Left].Inner).Brief().Named("lock.left", ""), angle(p.Ends[steer.Right].Inner).Brief().Named("lock.right", "")
	lock := document.Say(left, " left, ", right, " right")
	if reads(left) == reads(right) {
		lock = document.Say(left, " both ways")
	}
	then := document.F(evenThen(p).Lock, document.Angle).Named("uneven", "")
	now := document.F(p.EvenBefore.Lock, document.Angle).Named("uneven.now", "")
	instead := document.Say(" instead of ", now)
	if reads(then) == reads(now) {
		instead = document.Say(", as now")
	}
	lines = append(lines, line("Lock then ", lock, "; on the way they differ by ", then, instead, "."))
	return threeLines(append(lines, stoppedBy(p)))
}

// firstWork is the work with the tools, in a line.
func firstWork(p *setup.Plan) document.Sentence {
	var rods []document.Sentence
	for i := range p.Rods {
		if r := &p.Rods[i]; !r.Leave() && r.Fits {
			rods = append(rods, document.Say("make the ", r.Name, " ", rodChange(r)))
			break
		}
	}
	h := &p.Horn
	switch {
	case h.Teeth != 0 && h.Arm == 0 && rods != nil:
		return document.Say("Turn the horn", hornMove(p), "; ", rods[0])
	case h.Teeth != 0 || h.Arm != 0:
		return document.Say("Turn the horn", hornMove(p))
	case rods != nil:
		return document.Say("Leave the horn; ", rods[0])
	default:
		return document.Say("Leave the horn and the rods as they are")
	}
}

// stoppedBy says what stops the lock, and whether that is short of what is wanted.
func stoppedBy(p *setup.Plan) document.Line {
	narrow, want := narrowEnd(p), p.Before.Tables().Want.Lock
	stop := document.Say(limitName(p, narrow), " stops it.")
	switch {
	case narrow.AsWanted():
		return line("That is the lock you want.")
	case want.Given && want.Value-narrow.Inner.Value > degree/20:
		wanted := document.F(want.Value, document.Angle).Named("lock.wanted", "")
		return document.Line{Severity: document.WorthFixing, Sentence: document.Say("you want ", wanted, "; ", stop)}
	}
	return document.Line{Sentence: capital(stop)}
}

// limitName names what governs an end; where the other one has the same of its own side, both at
// once.
func limitName(p *setup.Plan, e *setup.End) string {
	if both, ok := bothSides(p.Ends[steer.Left].Governs, p.Ends[steer.Right].Governs); ok && !p.Ends[steer.Left].Matched && !p.Ends[steer.Right].Matched {
		return both
	}
	return e.Governs
}

// evennessSection compares left with right as the rig is, with the plan carried out, and with expo
// or curve.
func evennessSection(p *setup.Plan) document.Section {
	t := document.Table{Key: "evenness", Columns: []document.Column{
		{Key: "what", Head: "difference at equal stick, at most"},
		{Key: "now", Head: "now"},
		{Key: "set", Head: "set up"},
	}}
	if !p.Calibrated {
		t.Columns[0].Head = "difference at equal turns of the servo, at most"
	}
	all := []*steer.Evenness{&p.EvenBefore, &p.EvenAfter}
	if shaped(p) {
		head := "with expo"
		if p.Settings.Curve != nil {
			head = "with curve"
		}
		t.Columns = append(t.Columns, document.Column{Key: "shaped", Head: head})
		all = append(all, &p.EvenShaped)
	}
	row := func(key, words string, of func(e *steer.Evenness) document.Figure) {
		cells := []document.Sentence{document.Say(words)}
		for i, e := range all {
			cells = append(cells, document.Say(of(e).Named(key+"."+t.Columns[i+1].Key, "")))
		}
		t.Rows = append(t.Rows, document.Row{Cells: cells})
	}
	row("inner", "angle of the inner wheel", func(e *steer.Evenness) document.Figure { return document.F(e.Lock, document.Angle) })
	row("path", "path curvature, of that at full lock", func(e *steer.Evenness) document.Figure { return document.F(e.Path, document.Part) })
	row("response", "steering response, of the same", func(e *steer.Evenness) document.Figure { return document.F(e.Rate, document.Part) })
	return document.Section{Key: "evenness", Title: "Left against right", Blocks: []document.Block{t}}
}

// planNote words a note.
func planNote(p *setup.Plan, n *setup.Note) document.Note {
	say := func(severity document.Severity, problem, remedy document.Sentence) document.Note {
		return document.Note{Severity: severity, Problem: problem, Remedy: remedy}
	}
	switch n.Kind {
	case setup.NotCalibrated:
		problem, remedy := missingReading(n.Err)
		return say(document.WorthFixing, document.Say("without readings the settings are servo angles: ", problem, "."), document.Say(document.Capital(remedy), "."))
	case setup.NeverSquare:
		return say(document.WorthFixing, document.Say("no place of the horn is square to the link."), document.Say("Bring the servo, or the horn's plane, nearer to the link."))
	case setup.TeethUnknown:
		return say(document.WorthFixing, document.Say("the horn stays, because the spline's teeth are not in the file."), document.Say("Count them and write them in", document.FileKey(n.Key), "."))
	case setup.SubtrimShort:
		return say(document.WorthFixing,
			document.Say("the subtrim cannot turn the horn ", document.F(math.Abs(n.Wanted), document.Angle), ": it reaches ", document.F(math.Abs(n.Reached), document.Angle), "."),
			document.Say("Move the servo, or take a horn with more arms."))
	case setup.SubtrimUnknown:
		return say(document.WorthFixing, document.Say("the subtrim could not be found: ", n.Err, "."), document.Say("Check the transmitter's settings."))
	case setup.EndpointUnknown:
		return say(document.WorthFixing, document.Say("an endpoint could not be found: ", n.Err, "."), document.Say("Check the transmitter's readings."))
	case setup.ThreadUnknown:
		return say(document.Plain, document.Say("The ", n.Rod, "'s turns are not known without its thread."), document.Say("Write it, such as M3, and how the length changes", document.FileKey(n.Key), "."))
	case setup.RodFixed:
		change := document.F(n.Wanted-n.Reached, document.Length).Signed(document.Stretch)
		return say(document.MustFix, document.Say("the ", n.Rod, " is of fixed length, and must be ", change, "."), document.Say("Take a rod of that length."))
	case setup.RodRange:
		return say(document.MustFix,
			document.Say("the ", n.Rod, " must be ", document.F(n.Wanted, document.Length), ", and goes from ", document.F(n.Shortest, document.Length), " to ", document.F(n.Longest, document.Length), "."),
			document.Say("Take another rod, or another hole of the horn."))
	case setup.EvenElsewhere:
		return evenElsewhere(p)
	default:
		return document.Note{Problem: document.Say(n.Err)}
	}
}

// evenElsewhere tells of the place of the horn that steers more evenly than the one nearest square.
// Where expo or curve makes up for most of it, it is only to know.
func evenElsewhere(p *setup.Plan) document.Note {
	e := p.EvenPlace
	there := document.Say(document.F(e.Path, document.Part).Named("even_place.path", ""), " of path curvature instead of ", document.F(p.EvenAfter.Path, document.Part))
	horn := document.Say("the horn ", places(e.Places), " (", document.F(math.Abs(e.Turn), document.Angle), ") further ", rotation(float64(e.Places)))
	compare := document.Say("Set it there, measure again, and compare.")
	if shaped(p) && p.EvenShaped.Path < 2*e.Path {
		return document.Note{Problem: capital(document.Say(horn, " is more even without expo or curve: ", there, ".")), Remedy: compare}
	}
	return document.Note{Severity: document.WorthFixing, Problem: document.Say(horn, " steers more evenly: ", there, "."), Remedy: compare}
}

// places counts places of a spline.
func places(n int) string {
	if n = max(n, -n); n > 1 {
		return fmt.Sprintf("%d places", n)
	}
	return "1 place"
}

// leastShare is the part in an uncertainty from which a measurement is worth taking again.
const leastShare = 0.1

// worthSection names the measurements that the lock's uncertainty comes from: of the lock, or of
// the servo angle where the lock is the wanted one.
func worthSection(p *setup.Plan) (document.Section, bool) {
	words, r := "the left lock", p.Ends[steer.Left].Inner
	if r.Uncertain <= 1e-6 {
		words, r = "the servo's turn to it", p.Ends[steer.Left].Servo
	}
	var worth []steer.Share
	for _, one := range greatest(r.Shares()) {
		if one.Part >= leastShare {
			worth = append(worth, one)
		}
	}
	title := "Worth measuring again: what makes the ± of " + words
	return document.Section{Key: "worth", Title: title, Blocks: []document.Block{shareBars(worth)}}, len(worth) > 0
}

// squareSection says how far from square horn and link are, for who asks.
func squareSection(p *setup.Plan) document.Section {
	sq, h := &p.Square, &p.Horn
	figures := document.Figures{
		document.FU(sq.Miss.Value+math.Pi/2, sq.Miss.Uncertain, document.Angle).Named("square.between", "horn to link, wheels straight, servo at neutral"),
		angle(sq.Miss).Size().Named("square.off", "off square"),
	}
	if sq.Reached {
		figures = append(figures, angle(sq.Servo).Signed(document.Rotation).Named("square.servo", "servo's turn to square, now"))
	}
	if h.Known {
		figures = append(figures,
			angle(h.Turn).Signed(document.Rotation).Named("square.turn", "horn's turn to square"),
			document.F(h.Step, document.Angle).Named("square.step", "between neighbouring places of the spline"),
			document.F(h.LeftOver, document.Angle).Signed(document.Rotation).Named("square.left", "left for the subtrim"))
	}
	if p.Calibrated {
		figures = append(figures, document.F(p.Subtrim.Residual, document.Angle).Size().Named("square.residual", "off square with the subtrim set"))
	}
	return document.Section{Key: "square", Title: "Horn to link", Detail: true, Blocks: []document.Block{figures}}
}

// shapingSection says what expo and curve can do, for who asks.
func shapingSection(p *setup.Plan) document.Section {
	s := document.Section{Key: "shaping", Title: "Expo and curve", Detail: true}
	if p.Expo == nil && p.Curve == nil {
		s.Blocks = append(s.Blocks, document.Text("The transmitter is said to have neither", document.FileKey("transmitter.expo, transmitter.curve_points"), "."))
		return s
	}
	t := document.Table{Key: "shaping", Columns: []document.Column{
		{Key: "with", Head: "with"},
		{Key: "linear", Head: "off linear", Means: "greatest distance of the path's curvature from a straight line over the stick"},
		{Key: "uneven", Head: "left against right", Means: "both are parts of the path curvature at full lock"},
	}}
	row := func(key string, with document.Sentence, r radio.Remaining) {
		t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{
			with, document.Say(document.F(r.Nonlinear, document.Part).Named(key+".linear", "")), document.Say(document.F(r.Uneven, document.Part).Named(key+".uneven", "")),
		}})
	}
	first := p.Expo
	if first == nil {
		first = p.Curve
	}
	row("none", document.Say("neither"), first.Before)
	if e := p.Expo; e != nil && e.Expo != 0 {
		row("expo", document.Say("expo ", document.F(e.Expo, document.Percent)), e.After)
	}
	if c := p.Curve; c != nil && c.Curve != nil {
		row("curve", document.Say("curve ", curvePointList(c.Curve)), c.After)
	}
	s.Blocks = append(s.Blocks, t)
	if !shaped(p) {
		s.Blocks = append(s.Blocks, document.Text("Nobody would feel the difference: leave it at zero."))
	}
	return s
}

// curvePointList lists the points of a curve.
func curvePointList(points []float64) document.Sentence {
	all := make([]document.Sentence, len(points))
	for i, y := range points {
		all[i] = document.Say(document.F(y, document.One).To(0))
	}
	return document.List("and", all...)
}

// subtrimSection says what moving the subtrim after the endpoints does, for who asks.
func subtrimSection(p *setup.Plan) document.Section {
	t := document.Table{Key: "subtrim", Columns: []document.Column{
		{Key: "by", Head: "subtrim moved by"},
		{Key: "left", Head: "lock left"},
		{Key: "right", Head: "lock right"},
		{Key: "passes", Head: "full stick drives past"},
	}}
	for _, m := range p.Trim.Moves {
		row := document.Row{Cells: []document.Sentence{
			document.Say(subtrimFigure(&p.Calibration, m.Steps)),
			document.Say(document.F(m.More[steer.Left], document.Angle).Signed(document.Difference)),
			document.Say(document.F(m.More[steer.Right], document.Angle).Signed(document.Difference)),
			document.Say("–"),
		}}
		if m.Passes != "" {
			row.Severity, row.Cells[3] = document.MustFix, document.Say(m.Passes)
		}
		t.Rows = append(t.Rows, row)
	}
	return document.Section{Key: "subtrim", Title: "Subtrim moved later", Detail: true, Blocks: []document.Block{
		document.Text("It moves both ends with the centre. If it must move, set the endpoints again."), t,
	}}
}

// screenStep is how many µs a step of a control on the screen is; zero where nobody read pulses.
func screenStep(c *radio.Calibration, of radio.Scale) float64 {
	if !c.Pulse.PerUnit.Given || c.Pulse.PerUnit.Value == 0 {
		return 0
	}
	return of.PerUnit.Value / c.Pulse.PerUnit.Value
}

// screenUnits are those of what a transmitter shows.
var screenUnits = [...]document.Unit{rig.Percent: document.Screen, rig.Microseconds: document.ScreenPulse, rig.Steps: document.ScreenStep}

// subtrimFigure, endpointFigure and trimFigure are numbers of the transmitter's screen.
func subtrimFigure(c *radio.Calibration, v float64) document.Figure {
	return document.F(v, screenUnits[c.Screen]).Pulses(screenStep(c, c.Subtrim))
}

func endpointFigure(c *radio.Calibration, v, uncertain float64) document.Figure {
	return document.FU(v, uncertain, screenUnits[c.Screen]).Pulses(screenStep(c, c.Endpoint))
}

// trimFigure is in steps where others are in percent: a trim moves by clicks.
func trimFigure(c *radio.Calibration, v float64) document.Figure {
	if c.Screen == rig.Microseconds {
		return document.F(v, document.ScreenPulse)
	}
	return document.F(v, document.ScreenStep)
}

// trimAssumed says what a step of the trim is taken to be where nobody read it; empty where it was,
// or where µs say it.
func trimAssumed(c *radio.Calibration) document.Sentence {
	if !c.Trim.Assumed || c.Screen == rig.Microseconds {
		return nil
	}
	return document.Say("You have given no reading of the trim. A step of it is taken as the endpoint's, ", degreesAStep(c.Trim.PerUnit).Brief(), " of servo", document.FileKey("transmitter.reading"), ".")
}

// settingsOf makes settings of the rig file a document's.
func settingsOf(all []rig.Setting) []document.Setting {
	out := make([]document.Setting, len(all))
	for i, one := range all {
		out[i] = document.Setting(one)
	}
	return out
}

// missingReading is which reading is missing, and how to take it.
func missingReading(err error) (problem, remedy string) {
	var missing *radio.MissingReadingError
	if errors.As(err, &missing) {
		return missing.Problem, missing.Remedy
	}
	return err.Error(), "check the transmitter's readings"
}
