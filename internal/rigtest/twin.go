package rigtest

import (
	"math"
	"testing"

	"evenlock/rig"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// Twin gives a rig a rear axle that is its front one turned by half a turn about the vehicle's
// vertical axis, with every place by its coordinates: as exact, and without what it rides on, a
// second servo or an idler. Wheels that turn to the left at the one do so at the other, and what is
// left at the one is right at the other.
func Twin(t testing.TB, r *rig.Rig) *rig.Rig {
	t.Helper()
	r = r.Exact()
	r.Suspension = nil
	v, err := r.Expand(false)
	if err != nil {
		t.Fatal(err)
	}
	v = v.Of(1)
	turn := func(x r3.Vec) r3.Vec { return r3.Vec{X: -x.X, Y: -x.Y, Z: x.Z} }
	at := func(x r3.Vec) rig.Point { return rig.PointAt(turn(x)) }
	along := func(x r3.Vec) rig.Direction { return rig.Direction{-x.X, -x.Y, x.Z} }
	angle := func(x float64) rig.Angle { return rig.Angle{Quantity: rig.Quantity{Value: x, Given: true}} }
	length := func(x float64) rig.Length { return rig.Length{Quantity: rig.Quantity{Value: x, Given: true}} }
	arm := func(b *vehicle.Ball) *rig.Arm { return &rig.Arm{Ball: at(b.At), Stud: along(b.Stud)} }
	servo := v.Leader()
	var sides [2]rig.Side
	for _, w := range v.Wheels {
		k, camber := w.Knuckle, math.Asin(-w.Spindle.Z)
		s := rig.Side{
			Kingpin: &rig.Kingpin{Bottom: at(k.Point), Top: at(r3.Add(k.Point, r3.Scale(20, k.Axis)))},
			// What points to the middle in front points away from it behind.
			Wheel: &rig.Wheel{
				Centre: at(w.Centre.At), Camber: angle(camber), Toe: angle(-math.Asin(w.Spindle.X / math.Cos(camber))),
				TyreRadius: length(w.Radius), TyreWidth: length(w.Width), PatchLength: length(w.Patch),
			},
			TieArm: arm(w.Arm), Stops: &rig.Stops{},
		}
		if servo.Far().On == k {
			s.DragArm = arm(servo.Far())
		}
		for _, l := range v.Limits {
			switch {
			case l.Body != k:
			case l.Sign == w.Side.Sign():
				s.Stops.In = angle(l.Most)
			default:
				s.Stops.Out = angle(l.Most)
			}
		}
		if j := w.Joint; j != nil {
			s.AxleJoint = &rig.AxleJoint{Kind: j.Kind, MaxAngle: angle(j.MaxAngle)}
			if j.Inner != nil {
				s.AxleJoint.Inner = at(j.Inner.At)
			}
		}
		sides[w.Side.Other()] = s
	}
	c := r.Clone() // what is not of places
	x := rig.Rear{Steering: c.Steering, Control: c.Control}
	x.Left, x.Right = sides[vehicle.Left], &sides[vehicle.Right]
	x.Want.Toe.Value *= -1
	x.Servo.Point, x.Servo.Axis = at(servo.Face), along(servo.Horn.Axis)
	x.Horn = rig.Horn{Ball: at(servo.Ball.At), Stud: along(servo.Ball.Stud), Holes: c.Horn.Holes, Arms: c.Horn.Arms}
	switch x.DragLink.To {
	case "left":
		x.DragLink.To = "right"
	case "right":
		x.DragLink.To = "left"
	case "tie_rod":
		x.TieRod.Along.Value = v.Rod("tie_rod").Length - x.TieRod.Along.Value
		x.TieRod.Offset, x.TieRod.Stud = at(x.TieRod.Offset.Vec()), along(servo.Far().Stud)
	}
	if k := x.Crank; k != nil {
		k.Point, k.DragBall, k.LeftBall, k.RightBall = at(k.Point.Vec()), at(k.DragBall.Vec()), at(k.RightBall.Vec()), at(k.LeftBall.Vec())
		k.LeftRod, k.RightRod = k.RightRod, k.LeftRod
		k.Axis = rig.Direction{-k.Axis[0], -k.Axis[1], k.Axis[2]}
	}
	if k := x.Rack; k != nil {
		k.DragBall, k.LeftBall, k.RightBall = at(k.DragBall.Vec()), at(k.RightBall.Vec()), at(k.LeftBall.Vec())
		k.LeftRod, k.RightRod = k.RightRod, k.LeftRod
		k.Slides = rig.Direction{-k.Slides[0], -k.Slides[1], k.Slides[2]}
	}
	r.Rear = &x
	return r
}
