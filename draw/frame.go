package draw

import (
	"math"

	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// Posed is a rig in a pose.
type Posed struct {
	Model *steer.Model
	Stand *steer.Stand
}

// frame is everything of a pose that shapes are made of.
type frame struct {
	left, right wheel
	// hornFoot is on the servo's axis in the plane of the horn's ball.
	hornFoot, hornBall, servoAxis, servoPoint r3.Vec
	pulled                                    r3.Vec
	// hornArm and farArm are the directions at the link's ends that its angles are taken from.
	hornArm, farArm r3.Vec
	// pulledFoot is where the arm that the link pulls begins: on its axis, or at the tie rod's left ball.
	pulledFoot                                     r3.Vec
	crankPoint, crankAxis                          r3.Vec
	crankLeft, crankRight, crankLeftFoot, crankFar r3.Vec
	holes                                          []rig.Length
	wheelbase                                      float64
	values                                         steer.Values
}

// wheel is one side of a frame.
type wheel struct {
	out               float64
	point, kingpin    r3.Vec
	centre, spindle   r3.Vec
	tie, tieFoot, hub r3.Vec
	radius, width     float64
}

// take reads the pose.
func (f *frame) take(p Posed, values *steer.Values) {
	g, k, pose := p.Model.Geometry, p.Model.Mechanism(), p.Stand.Pose()
	l := k.Linkage
	f.values = *values
	f.wheelbase = g.Wheelbase
	f.holes = p.Model.Rig.Horn.Holes
	point := p.Model.Rig.Servo.Point
	f.servoPoint = r3.Vec{X: point[0].Value, Y: point[1].Value, Z: point[2].Value}
	read := func(w *wheel, side *rig.SideGeometry, out float64) {
		w.out, w.radius, w.width = out, side.TyreRadius, side.TyreWidth
		w.point, w.kingpin = side.KingpinPoint, side.Kingpin
	}
	read(&f.left, &g.Left, 1)
	read(&f.right, &g.Right, -1)
	f.left.centre, f.left.spindle, f.left.tie = pose.Ball(k.LeftCentre), pose.Arrow(k.LeftSpindle), pose.Ball(k.LeftTie)
	f.right.centre, f.right.spindle, f.right.tie = pose.Ball(k.RightCentre), pose.Arrow(k.RightSpindle), pose.Ball(k.RightTie)
	for _, w := range [...]*wheel{&f.left, &f.right} {
		w.tieFoot = nearest(w.point, w.kingpin, w.tie)
		w.hub = nearest(w.point, w.kingpin, w.centre)
	}
	_, f.servoAxis = l.Axis(pose, k.Horn)
	f.hornBall, f.hornFoot = pose.Ball(k.HornBall), pose.Ball(k.HornFoot)
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
func (w *wheel) contact() r3.Vec {
	up := r3.Sub(r3.Vec{Z: 1}, r3.Scale(w.spindle.Z, w.spindle))
	return r3.Sub(w.centre, r3.Scale(w.radius/r3.Norm(up), up))
}

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
