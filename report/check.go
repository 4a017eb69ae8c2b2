package report

import (
	"math"
	"strings"

	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// Check says what a rig file comes to: how it stands, which measurements matter most, what the file
// leaves out that would be of use, and, for who asks for everything, the places that it gives. The
// error is that of steer.Model.Stops.
func Check(m *steer.Model) (*document.Document, error) {
	d := &document.Document{Kind: "check", Title: "Check", Rig: m.Rig.Name}
	square, err := m.Square()
	if err != nil {
		return nil, err
	}
	locks, err := m.Locks(steer.LockOptions{})
	if err != nil {
		return nil, err
	}
	shares := square.Miss.Shares()
	d.Verdict = threeLines(checkVerdict(&locks, &square, shares))
	now, err := standsNow(m)
	if err != nil {
		return nil, err
	}
	d.Sections = append(d.Sections, now, certainty(&square, shares))
	if notes := leftOut(m.Rig); len(notes) > 0 {
		d.Sections = append(d.Sections, document.Section{Key: "missing", Title: "Not in the file yet", Blocks: []document.Block{notes}})
	}
	places, err := placesOf(m)
	d.Sections = append(d.Sections, places)
	return d, err
}

// checkVerdict says that the file is in order, how far off square horn and link are, how far the
// wheels steer and what ends that, and what to measure again.
func checkVerdict(locks *[2]steer.Lock, square *steer.Square, shares []steer.Share) []document.Line {
	off := document.Say("orn to link is ", angle(square.Miss).Size().Named("square", ""), " off square")
	left, right := &locks[0], &locks[1]
	lock := [2]document.Figure{angle(left.Inner).Named("lock.left", ""), angle(right.Inner).Named("lock.right", "")}
	again, makes := greatestPoint(shares)
	if stop, ok := bothSides(left.Governs, right.Governs); ok {
		lines := []document.Line{
			line("In order. H", off, "."),
			line("Lock ", lock[0], " left, ", lock[1], " right: ", stop, "."),
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
		line("In order. Left ends at ", lock[0], ": ", left.Governs, "."),
		line("Right ends at ", lock[1], ": ", right.Governs, "."),
		line("H", off, "."),
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
func standsNow(m *steer.Model) (document.Section, error) {
	s := document.Section{Key: "now", Title: "As it stands, servo at neutral"}
	samples, err := m.Sweep(0, 0, 1)
	if err != nil {
		return s, err
	}
	at := &samples[0]
	figure := func(key, words string, values, uncertain *steer.Values, q steer.Quantity, unit document.Unit) document.Figure {
		return document.FU(values[q], uncertain[q], unit).Named(key, words)
	}
	s.Blocks = append(s.Blocks, document.Figures{
		figure("road.left", "left wheel", &at.Values, &at.Uncertain, steer.Road.Of(steer.Left), document.Angle).Signed(document.ToSide),
		figure("road.right", "right wheel", &at.Values, &at.Uncertain, steer.Road.Of(steer.Right), document.Angle).Signed(document.ToSide),
		figure("horn_angle", "angle between horn and link", &at.Values, &at.Uncertain, steer.HornAngle, document.Angle).Noted("90° is square"),
		figure("rate.left", "left wheel turns", &at.Rates, &at.RatesUncertain, steer.Road.Of(steer.Left), document.Ratio).Size().Noted("of servo"),
		figure("rate.right", "right wheel turns", &at.Rates, &at.RatesUncertain, steer.Road.Of(steer.Right), document.Ratio).Size().Noted("of servo"),
	})
	return s, nil
}

// certainty says which measurements the ± of the angle between horn and link comes from.
func certainty(square *steer.Square, shares []steer.Share) document.Section {
	s := document.Section{Key: "matters", Title: "What matters most for horn and link"}
	if len(shares) == 0 {
		s.Blocks = append(s.Blocks, document.Text("No measurement states its ±, so no result can. Write ± behind the numbers, or fill in the accuracy", document.FileKey("[accuracy]"), "."))
		return s
	}
	s.Blocks = append(s.Blocks,
		document.Text("The angle is only good to ± ", document.F(square.Miss.Uncertain, document.Angle), ". That comes from:"),
		shareBars(shares))
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
func leftOut(r *rig.Rig) document.Notes {
	var all document.Notes
	miss := func(missing bool, words, key, without string) {
		if missing {
			all = append(all, document.Note{Problem: document.Say(document.Capital(words), document.FileKey(key), "."), Remedy: document.Say(without)})
		}
	}
	joint, _ := r.AxleJoints()
	miss(r.Servo.Teeth == 0, "the teeth of the servo's spline", "servo.teeth", "Without it no spline position is named.")
	miss(!r.Servo.Travel.Given, "the servo's own travel", "servo.travel", "Without it endpoints may be past it.")
	miss(r.Left.Stops == nil, "where the knuckles stop", "left.stops", "Without it endpoints may drive into the stops.")
	miss(joint == nil, "the axle joint's greatest angle", "left.axle_joint", "Without it endpoints may bind the joint of a driven axle.")
	miss(!r.DragLink.EndAngle.Given, "how far the drag link's rod ends tilt", "drag_link.end_angle", "Without it endpoints may bind them.")
	miss(r.DragLink.Thread == "" && !r.DragLink.Pitch.Given, "the drag link's thread", "drag_link.thread", "Without it its length is not told in turns.")
	miss(len(r.Transmitter.Readings) < 2, "two readings of what the servo does", "[[transmitter.reading]]", "Without them no setting is in the transmitter's own numbers.")
	miss(r.Transmitter.MaxEndpoint == 0, "the greatest endpoint of the transmitter", "transmitter.max_endpoint", "Without it endpoints may be more than it can be set to.")
	miss(r.Vehicle.Mass == 0, "the vehicle's mass", "vehicle.mass", "Without it no load is worked out.")
	return all
}

// The words for a place's coordinates, counted from the middle of the steered axle.
var (
	toFront = document.Direction{Negative: "behind", Positive: "in front"}
	toLeft  = document.Direction{Negative: "right", Positive: "left"}
	above   = document.Direction{Negative: "below", Positive: "above"}
)

// placesOf lists the places, the rods and the lean of the kingpins that the file gives.
func placesOf(m *steer.Model) (document.Section, error) {
	v := m.Vehicle
	t := document.Table{Key: "places", Columns: []document.Column{
		{Key: "place", Head: "place"},
		{Key: "x", Head: "along"},
		{Key: "y", Head: "across"},
		{Key: "z", Head: "height"},
	}}
	place := func(words string, v r3.Vec) {
		v.X -= m.Axle.X
		t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{
			document.Say(words),
			document.Say(document.F(v.X, document.Length).Signed(toFront)),
			document.Say(document.F(v.Y, document.Length).Signed(toLeft)),
			document.Say(document.F(v.Z, document.Length).Signed(above)),
		}})
	}
	for _, w := range v.Wheels {
		place(w.Centre.Name, w.Centre.At)
		place(w.Side.String()+" kingpin at wheel-centre height", axisAt(w.Knuckle, 0))
		place(w.Side.String()+" kingpin at the ground", axisAt(w.Knuckle, w.Centre.At.Z-w.Radius))
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
		long, err := m.RodLength(rod)
		if err != nil {
			return document.Section{}, err
		}
		figures = append(figures, length(long).Named("rod."+rod.Key, rod.Name+", ball to ball").Noted(note))
	}
	for _, w := range v.Wheels {
		k, name := w.Knuckle.Axis, w.Side.String()
		figures = append(figures,
			document.F(math.Atan2(-k.X, k.Z), document.Angle).Named("caster."+name, name+" caster"),
			document.F(math.Atan2(-w.Side.Sign()*k.Y, k.Z), document.Angle).Named("inclination."+name, name+" kingpin inclination"))
	}
	return document.Section{Key: "places", Title: "Places from the middle of the steered axle, rods and kingpins", Detail: true, Blocks: []document.Block{t, figures}}, nil
}

// axisAt is where a knuckle's kingpin passes a height.
func axisAt(b *vehicle.Body, height float64) r3.Vec {
	return r3.Add(b.Point, r3.Scale((height-b.Point.Z)/b.Axis.Z, b.Axis))
}
