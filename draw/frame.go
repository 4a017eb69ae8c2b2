package draw

import (
	"math"

	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// Posed is a rig in a pose.
type Posed struct {
	Model *steer.Model
	State *steer.State
}

// frame is everything of a pose that shapes are made of.
type frame struct {
	left, right wheel
	// hornFoot is on the servo's axis in the plane of the horn's ball.
	hornFoot, hornBall, servoAxis, servoPoint r3.Vec
	pulled                                    r3.Vec
	// hornArm and farArm are the directions at the link's ends that its angles are taken from.
	hornArm, farArm r3.Vec
	// pulledFoot is where the arm that the link pulls begins: on its axis, or at the tie rod's left
	// ball.
	pulledFoot                                     r3.Vec
	crankPoint, crankAxis                          r3.Vec
	crankLeft, crankRight, crankLeftFoot, crankFar r3.Vec
	holes                                          []rig.Length
	wheelbase                                      float64
	values                                         steer.Values
	// suspended tells whether the suspension is part of the pose. bars are its links or arms, as
	// suspensionBars lists them.
	suspended bool
	bars      [][2]r3.Vec
	// rods are the steering's rods and ends where their balls are.
	rods []rig.SteeringRod
	ends [][2]r3.Vec
	// idlerPoint and secondFoot are on the axes of the idler and of the second servo.
	idlerPoint, idlerAxis, idlerLink, crankLink r3.Vec
	secondFoot, secondBall, secondPulled        r3.Vec
	bump, droop                                 float64
	things                                      []thing
}

// wheel is one side of a frame.
type wheel struct {
	out               float64
	point, kingpin    r3.Vec
	centre, spindle   r3.Vec
	tie, tieFoot, hub r3.Vec
	// end is that of the axle line: a solid axle carries it along.
	end           r3.Vec
	radius, width float64
}

// take reads the pose.
func (f *frame) take(p Posed, values *steer.Values) {
	g, k, pose := p.Model.Geometry, p.Model.Mechanism(), p.State.Pose()
	l := k.Linkage
	f.values = *values
	f.wheelbase = g.Wheelbase
	f.holes = p.Model.Rig.Horn.Holes
	read := func(w *wheel, side *rig.SideGeometry, knuckle linkage.Body, out float64) {
		w.out, w.radius, w.width = out, side.TyreRadius, side.TyreWidth
		w.point, w.kingpin = l.Axis(pose, knuckle)
		w.end = side.Centre
	}
	read(&f.left, &g.Left, k.Left, 1)
	read(&f.right, &g.Right, k.Right, -1)
	f.suspended = k.Suspended
	if k.Suspended && g.Suspension.Solid {
		f.left.end, f.right.end = pose.Ball(k.TravelLeft), pose.Ball(k.TravelRight)
	}
	f.left.centre, f.left.spindle, f.left.tie = pose.Ball(k.LeftCentre), pose.Arrow(k.LeftSpindle), pose.Ball(k.LeftTie)
	f.right.centre, f.right.spindle, f.right.tie = pose.Ball(k.RightCentre), pose.Arrow(k.RightSpindle), pose.Ball(k.RightTie)
	for _, w := range [...]*wheel{&f.left, &f.right} {
		w.tieFoot = nearest(w.point, w.kingpin, w.tie)
		w.hub = nearest(w.point, w.kingpin, w.centre)
	}
	_, f.servoAxis = l.Axis(pose, k.Horn)
	f.hornBall, f.hornFoot = pose.Ball(k.HornBall), pose.Ball(k.HornFoot)
	// The servo's point is on the axis too, and goes with it.
	point := p.Model.Rig.Servo.Point
	given := r3.Vec{X: point[0].Value, Y: point[1].Value, Z: point[2].Value}
	f.servoPoint = r3.Add(f.hornFoot, r3.Scale(r3.Dot(r3.Sub(given, g.HornFoot), g.ServoAxis), f.servoAxis))
	f.pulled, f.pulledFoot = pose.Ball(k.Pulled), pose.Ball(k.PulledFoot)
	f.hornArm = r3.Unit(r3.Sub(f.hornFoot, f.hornBall))
	f.farArm = r3.Unit(r3.Sub(f.pulledFoot, f.pulled))
	if g.Crank != nil {
		f.crankLeft, f.crankRight = pose.Ball(k.LeftCrank), pose.Ball(k.RightCrank)
	}
	if g.Target == rig.CentreCrank {
		f.crankPoint, f.crankAxis = l.Axis(pose, k.Crank)
		f.crankLeftFoot = nearest(f.crankPoint, f.crankAxis, f.crankLeft)
		f.crankFar = nearest(f.crankPoint, f.crankAxis, f.crankRight)
	}
	if g.Crank != nil && g.Crank.Idler != nil {
		f.idlerPoint, f.idlerAxis = l.Axis(pose, k.Idler)
		f.crankLink, f.idlerLink = pose.Ball(k.CrankLink), pose.Ball(k.IdlerLink)
	}
	if g.Second != nil {
		f.secondBall, f.secondPulled = pose.Ball(k.SecondBall), pose.Ball(k.SecondPulled)
		point, axis := l.Axis(pose, k.SecondHorn)
		f.secondFoot = nearest(point, axis, f.secondBall)
	}
	for i := range f.rods {
		_, from, to := f.rods[i].Handles(k)
		f.ends[i] = [2]r3.Vec{pose.Ball(from), pose.Ball(to)}
	}
	f.bump, f.droop = p.Model.TravelRange()
	f.takeBars(p.Model, pose)
	f.takeThings(p.Model, pose)
}

// takeBars reads what carries the wheels, in the order of suspensionBars. With a model that is not
// suspended they stay where they were, which is right for a solid axle at ride height.
func (f *frame) takeBars(m *steer.Model, pose *linkage.Pose) {
	k := m.Mechanism()
	if !k.Suspended {
		return
	}
	n := 0
	bar := func(a, b r3.Vec) {
		if n < len(f.bars) {
			f.bars[n] = [2]r3.Vec{a, b}
		}
		n++
	}
	for _, h := range k.Links {
		bar(pose.Ball(h.Chassis), pose.Ball(h.Axle))
	}
	if u := m.Rig.Suspension; u.Left != nil {
		right, across := u.Right, 1.0
		if right == nil {
			right, across = u.Left, -1
		}
		f.takeArms(bar, u.Left, &k.LeftArms, pose, 1)
		f.takeArms(bar, right, &k.RightArms, pose, across)
	}
}

// takeArms reads the arms of one side; across is -1 for arms that stand in the file as the other
// side's.
func (f *frame) takeArms(bar func(a, b r3.Vec), a *rig.Arms, h *rig.ArmHandles, pose *linkage.Pose, across float64) {
	at := func(p rig.Point) r3.Vec { return r3.Vec{X: p[0].Value, Y: across * p[1].Value, Z: p[2].Value} }
	lower, upper := pose.Ball(h.LowerBall), pose.Ball(h.UpperBall)
	bar(at(a.LowerFront), lower)
	bar(at(a.LowerRear), lower)
	if !a.UpperFront.Given() {
		bar(upper, lower)
		return
	}
	bar(at(a.UpperFront), upper)
	bar(at(a.UpperRear), upper)
}

// nearest returns the point of an axis that is nearest p.
func nearest(point, axis, p r3.Vec) r3.Vec {
	return r3.Add(point, r3.Scale(r3.Dot(r3.Sub(p, point), axis), axis))
}

// atHeight returns where the kingpin axis passes a height.
func (w *wheel) atHeight(z float64) r3.Vec {
	return r3.Add(w.point, r3.Scale((z-w.point.Z)/w.kingpin.Z, w.kingpin))
}

// contact returns the wheel's lowest point.
func (w *wheel) contact() r3.Vec { return rig.Contact(w.centre, w.spindle, w.radius) }

// ground is the height of the ground: that of the lower contact.
func (f *frame) ground() float64 { return math.Min(f.left.contact().Z, f.right.contact().Z) }

// servoBody is the usual size of a standard servo: along, across and deep, and from the shaft to
// the near end (common practice; the body is not measured).
const (
	servoLong  = 40
	servoWide  = 20
	servoDeep  = 37
	servoShaft = 10
)

// servoCorners are the eight corners of a body of the usual size behind servo.point, its length
// across the vehicle, towards the middle, where it can.
func (f *frame) servoCorners() [8]r3.Vec {
	toward := r3.Vec{Y: 1}
	if f.servoPoint.Y > 0 {
		toward.Y = -1
	}
	long := r3.Sub(toward, r3.Scale(r3.Dot(toward, f.servoAxis), f.servoAxis))
	if r3.Norm(long) < 0.3 {
		long = r3.Sub(r3.Vec{X: 1}, r3.Scale(f.servoAxis.X, f.servoAxis))
	}
	long = r3.Unit(long)
	wide := r3.Cross(f.servoAxis, long)
	var c [8]r3.Vec
	for i := range c {
		l, w, d := -float64(servoShaft), -float64(servoWide)/2, 0.0
		if i&1 != 0 {
			l += servoLong
		}
		if i&2 != 0 {
			w = -w
		}
		if i&4 != 0 {
			d = -servoDeep
		}
		c[i] = r3.Add(f.servoPoint, r3.Add(r3.Scale(l, long), r3.Add(r3.Scale(w, wide), r3.Scale(d, f.servoAxis))))
	}
	return c
}
