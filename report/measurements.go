package report

import (
	"strings"

	"evenlock/report/document"
	"evenlock/rig"
)

// Measured is what a measurement reads: lengths as finely as calipers show them.
func Measured(q rig.Measurement) document.Figure {
	if q.Kind == rig.AngleKind {
		return document.FU(q.Q.Value, q.Q.Uncertainty, document.Angle).Named(q.Path, q.Words())
	}
	return document.FU(q.Q.Value, q.Q.Uncertainty, document.Length).To(2).Named(q.Path, q.Words())
}

// instructions say what the caliper or the protractor does, by how a key ends; the first that fits
// counts.
var instructions = []struct{ end, words string }{
	{"vehicle.wheelbase", "Wheels straight. Lay a rule along one side, from the middle of the front wheel to the middle of the rear wheel. Do both sides and take the mean."},
	{"vehicle.track", "Wheels straight. At wheel-centre height, caliper from the outside of one tyre to the outside of the other. Take one tyre width away."},
	{"rear.track", "Wheels straight. At wheel-centre height, caliper from the outside of one rear tyre to the outside of the other. Take one tyre width away."},
	{"kingpin.caster", "Hold the protractor against the knuckle's kingpin screws, seen from the side. Top towards the rear is positive."},
	{"kingpin.inclination", "Hold the protractor against the knuckle's kingpin screws, seen from the front. Top towards the middle is positive."},
	{"wheel.toe", "Lay a straight edge along the wheel, level with its middle, and compare front with back. Front towards the middle is positive."},
	{"wheel.camber", "Stand a square beside the wheel on the board. Top away from the middle is positive."},
	{"wheel.tyre_radius", "With the vehicle's weight on its wheels, measure from the board up to the middle of the wheel."},
	{"wheel.tyre_width", "Caliper across the tyre at wheel-centre height."},
	{"arm.length", "From above, caliper from the middle of the kingpin to the middle of the ball: to the ball's edge, then half the ball more."},
	{"arm.inward", "From above, protractor on the kingpin. Read how far the arm's end is swung from where it points. To the middle, or to the front, is positive."},
	{"arm.height", "Stand the depth rod on the board and measure up to the middle of the ball. Take the tyre radius away."},
	{"horn.hole", "Caliper from the middle of the servo's shaft to the middle of the hole in use."},
	{"horn.lean", "Servo at neutral. Look at the horn's face and read how far the horn is turned from where it points. Counter-clockwise is positive."},
	{"horn.link_angle", "Servo at neutral, wheels straight. Lay the protractor on horn and drag link, its middle on the ball. 90° is square."},
	{"horn.reach", "Depth rod along the shaft, from the place given for the servo up to the middle of the ball."},
	{"rod.length", "Caliper over the outsides of both balls, less one ball. That is from middle to middle."},
	{"link.length", "Caliper over the outsides of both balls, less one ball. That is from middle to middle."},
	{"tie_rod.along", "Along the tie rod, from the middle of the left ball to the middle of the drag link's ball."},
	{"offset.x", "How far in front of the tie rod's line the drag link's ball sits. Behind is negative."},
	{"offset.y", "How far left of its place on the tie rod's line the drag link's ball sits. Right is negative."},
	{"offset.z", "How far above the tie rod's line the drag link's ball sits. Below is negative."},
	{"roll_lean", "Seen from the side, how far the line falls to the front that the axle rolls about."},
	{"reading.angle", "Drag link off the horn. Set the transmitter as the reading says. Read the servo's turn from neutral on a protractor; counter-clockwise is positive, looking at the horn's face."},
	{".x", "How far it is in front of the steered axle's middle, along the vehicle. Behind is negative. Use a square on the board."},
	{".y", "How far it is left of the vehicle's middle line. Right is negative. Caliper across to the same place on the other side and halve, where there is one."},
	{".z", "Depth rod from the board up to it, less the tyre radius. Below the wheel centre is negative."},
}

// Instruction says how to measure what a key of the rig file holds.
func Instruction(key string) string {
	if strings.HasPrefix(key, "rear.") && key != "rear.track" {
		return "At the rear axle, counted from its middle. " + Instruction(strings.TrimPrefix(key, "rear."))
	}
	if strings.HasPrefix(key, "transmitter.reading.") {
		key = "reading.angle"
	}
	for _, one := range instructions {
		if strings.HasSuffix(key, one.end) {
			return one.words
		}
	}
	return "Measure to the middle of the part."
}

// UnitToType is the unit that a bare number is taken in which a person types for a measurement, in
// words.
func UnitToType(q rig.Measurement, reader document.Reader) string {
	switch {
	case q.Kind == rig.AngleKind:
		return "degrees"
	case reader.Length == document.Inches:
		return "inches"
	default:
		return "mm"
	}
}

// TypingHint says how a measurement may be typed, and what it is now; not measured, what the layout
// has in its place.
func TypingHint(q rig.Measurement, measured bool, reader document.Reader) document.Sentence {
	write := "“24.5”, “about 25” (taken as ± 1), “24.5 ± 0.2” or “0.96 in”"
	switch {
	case q.Kind == rig.AngleKind:
		write = "“12”, “about 12” (taken as ± 1) or “12 ± 2”"
	case reader.Length == document.Inches:
		write = "“0.965”, “0.965 ± 0.008” or “24.5 mm”"
	}
	f := Measured(q)
	if !measured {
		return document.Say("Write ", write, ". The layout has ", document.F(f.Value, f.Unit), ", an invented number.")
	}
	return document.Say("Write ", write, ". Now ", f, ".")
}

// Effect is what the ± of a measurement does: to the lock, the mean of both sides, and to left
// against right, in radians; and what parts of their variances it makes.
type Effect struct{ Lock, Uneven, LockPart, UnevenPart float64 }

// Worth says what a measurement's ± does.
func (e Effect) Worth() document.Sentence {
	return document.Say("Its ± changes the lock by ", document.F(e.Lock, document.Angle), ", and left against right by ", document.F(e.Uneven, document.Angle), ".")
}

// MeasureAgain says which measurement to repeat first.
func MeasureAgain(name string, e Effect) document.Sentence {
	return document.Say("Measure again first: ", name, ". It makes ", part(e.LockPart), " of the lock's ±, and ", part(e.UnevenPart), " of that of left against right.")
}
