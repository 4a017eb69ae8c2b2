package vehicle

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// Shift moves a ball, in mm.
type Shift struct {
	// Ball is its name.
	Ball string
	By   r3.Vec
}

// Adjustment is what a set-up changes of an axle, beside the transmitter.
type Adjustment struct {
	// HornTurn is the turn of the leading servo's horn on its spline, from where it was measured,
	// counter-clockwise positive when one looks at its face.
	HornTurn float64
	// Hole is the radius of the hole of its horn to have the ball in, the same way from the shaft,
	// with its link as long as that makes it; 0 leaves it where it is.
	Hole float64
	// Straighten makes the rods of the steering as long as it takes to have both wheels straight
	// ahead with the servo at the angle Centre from neutral, in place of their lengths now.
	Straighten bool
	Centre     float64
	// Toe is the toe-in that both wheels then have; nil leaves each as it was measured.
	Toe *float64
	// Shifts move ends of rods; the servo goes with its horn's ball. Straighten then has the rods
	// as long as that makes them.
	Shifts []Shift
}

// Adjust makes an adjustment to one axle. The error is an *Error; the vehicle is then of no use.
func (v *Vehicle) Adjust(axle int, a *Adjustment) error {
	v = v.Of(axle)
	servo := v.Leader()
	for _, s := range a.Shifts {
		v.shift(s)
	}
	foot := servo.foot()
	if a.Hole > 0 {
		servo.Ball.At = r3.Add(foot, r3.Scale(a.Hole/servo.Hole(), r3.Sub(servo.Ball.At, foot)))
		servo.Link.Measured = false
	}
	servo.Ball.At = Turned(servo.Ball.At, foot, servo.Horn.Axis, a.HornTurn)
	servo.Ball.Stud = Turned(servo.Ball.Stud, r3.Vec{}, servo.Horn.Axis, a.HornTurn)
	if a.Straighten {
		v.Axle(axle).Centre = a.Centre
		for _, s := range v.Servos {
			s.Horn.Start = s.Ratio * a.Centre
		}
		for _, w := range v.Wheels {
			if a.Toe == nil {
				continue
			}
			turn, ok := w.turnForToe(*a.Toe)
			if !ok {
				return &Error{Key: w.Knuckle.Key, Problem: "the wheel cannot be given the toe wanted", Remedy: "check caster and inclination, and want.toe"}
			}
			w.Knuckle.Start = turn
		}
	}
	return v.fitRods(a.Straighten)
}

// fitRods gives the rods that have no measured length, or all of the steering, that which their
// balls make it.
func (v *Vehicle) fitRods(all bool) error {
	for _, r := range v.Rods {
		for i := range r.Along {
			r.Along[i].Ball.At = r.along(i, r.From.At, r.To.At)
		}
		if r.Kind != SteeringRod || r.Measured && !all {
			continue
		}
		if r.Length = r3.Norm(r3.Sub(v.There(r.From), v.There(r.To))); r.Length < shortest {
			return &Error{Key: r.Key, Line: r.Line, Problem: fmt.Sprintf("the %s would have no length", r.Name), Remedy: "check the places of its two balls"}
		}
	}
	return nil
}

// shortest is the least length in mm of a rod, and of an arm.
const shortest = 0.1

// shift moves a ball, with the servo if it is a horn's, and with the balls on a rod if it is an end
// of one.
func (v *Vehicle) shift(s Shift) {
	b := v.Ball(s.Ball)
	if b == nil {
		return
	}
	b.At = r3.Add(b.At, s.By)
	for _, o := range v.Servos {
		if o.Ball == b {
			o.Horn.Point, o.Face = r3.Add(o.Horn.Point, s.By), r3.Add(o.Face, s.By)
		}
	}
	for _, r := range v.Rods {
		for i := range r.Along {
			if r.Along[i].Ball == b {
				r.Along[i].Offset = r3.Add(r.Along[i].Offset, s.By)
			}
		}
	}
}
