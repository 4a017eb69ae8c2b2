package draw

import (
	"math"
	"slices"

	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// Posed is a rig in a pose.
type Posed struct {
	Model *steer.Model
	State *steer.State
}

// frame is everything of a pose that shapes are made of. Its lists are in the order of those of the
// scene's vehicle.
type frame struct {
	model  *steer.Model
	values steer.Values
	wheels [2]wheel
	balls  []ball
	bodies []body
	servos []servo
	things []thing
	// ghost is whether what the model lacks is nowhere. Else it stays where it was: a rig on its
	// suspension is, while a point is dragged, one without it at ride height.
	ghost bool
}

// ball is a ball of the scene's vehicle, its twin that of the model, nil if there is none.
type ball struct {
	own, twin *vehicle.Ball
	at        r3.Vec
}

// body is a body with its axis.
type body struct {
	own, twin   *vehicle.Body
	point, axis r3.Vec
}

// servo is a servo. foot is on its axis in the plane of the horn's ball, farFoot where the arm that
// the link pulls begins.
type servo struct {
	own, twin                *vehicle.Servo
	axis, face               r3.Vec
	foot, ball, far, farFoot r3.Vec
}

// wheel is one side of a frame.
type wheel struct {
	out             float64
	point, kingpin  r3.Vec
	centre, spindle r3.Vec
	hub             r3.Vec
	// end is that of the axle line: a solid axle carries it along.
	end           r3.Vec
	radius, width float64
}

func newFrame(m *steer.Model, ghost bool) frame {
	v := m.Vehicle
	f := frame{ghost: ghost, things: make([]thing, len(v.Shapes))}
	for _, b := range v.Balls {
		f.balls = append(f.balls, ball{own: b})
	}
	for _, b := range v.Bodies {
		f.bodies = append(f.bodies, body{own: b})
	}
	for _, s := range v.Servos {
		f.servos = append(f.servos, servo{own: s})
	}
	return f
}

// nowhere is where nothing is.
var nowhere = r3.Vec{X: math.NaN(), Y: math.NaN(), Z: math.NaN()}

// meet finds the parts of another model, by their names.
func (f *frame) meet(m *steer.Model) {
	v := m.Vehicle
	f.model = m
	for i := range f.balls {
		b := &f.balls[i]
		if b.twin = v.Ball(b.own.Name); f.ghost {
			b.at = nowhere
		}
	}
	for i := range f.bodies {
		b := &f.bodies[i]
		b.twin = find(v.Bodies, func(o *vehicle.Body) bool { return o.Name == b.own.Name })
	}
	for i := range f.servos {
		s := &f.servos[i]
		s.twin = find(v.Servos, func(o *vehicle.Servo) bool { return o.Name == s.own.Name })
	}
}

// find returns the one of which something is so, nil if there is none.
func find[T any](all []*T, is func(*T) bool) *T {
	if i := slices.IndexFunc(all, is); i >= 0 {
		return all[i]
	}
	return nil
}

// take reads the pose.
func (f *frame) take(p Posed, values *steer.Values) {
	m, l, pose := p.Model, p.Model.Linkage, p.State.Pose()
	if f.model != m {
		f.meet(m)
	}
	f.values = *values
	for i := range f.balls {
		if b := &f.balls[i]; b.twin != nil {
			b.at = pose.Ball(b.twin.Handle)
		}
	}
	for i := range f.bodies {
		if b := &f.bodies[i]; b.twin != nil && b.twin.Moves != vehicle.Fixed {
			b.point, b.axis = l.Axis(pose, b.twin.Handle)
		}
	}
	for i, w := range m.Wheels {
		x := &f.wheels[i]
		x.out, x.radius, x.width = w.Side.Sign(), w.Radius, w.Width
		x.point, x.kingpin = l.Axis(pose, w.Knuckle.Handle)
		x.centre, x.spindle, x.end = pose.Ball(w.Centre.Handle), pose.Arrow(w.SpindleHandle), w.Centre.At
		if m.Axle.Solid {
			x.end = pose.Ball(w.Risen.Handle)
		}
		x.hub = vehicle.Foot(x.centre, x.point, x.kingpin)
	}
	for i := range f.servos {
		s := &f.servos[i]
		t := s.twin
		if t == nil {
			continue
		}
		_, s.axis = l.Axis(pose, t.Horn.Handle)
		s.ball, s.foot = pose.Ball(t.Ball.Handle), pose.Ball(t.Foot.Handle)
		s.far, s.farFoot = pose.Ball(t.Far().Handle), pose.Ball(t.FarFoot.Handle)
		// The face is on the axis too, and goes with it.
		s.face = r3.Add(s.foot, r3.Scale(r3.Dot(r3.Sub(t.Face, t.Horn.Point), t.Horn.Axis), s.axis))
	}
	for i, t := range m.Vehicle.Shapes[:min(len(f.things), len(m.Vehicle.Shapes))] {
		f.things[i].take(t, pose)
	}
}

// spot is a place in a frame.
type spot func(f *frame) r3.Vec

// ball is where a ball of the scene's vehicle is.
func (s *Scene) ball(b *vehicle.Ball) spot {
	i := slices.Index(s.model.Vehicle.Balls, b)
	return func(f *frame) r3.Vec { return f.balls[i].at }
}

// foot is the place on the axis of a ball's body that is nearest the ball; nowhere while that is on
// another body.
func (s *Scene) foot(b *vehicle.Ball) spot {
	at, on := slices.Index(s.model.Vehicle.Balls, b), slices.Index(s.model.Vehicle.Bodies, b.On)
	return func(f *frame) r3.Vec {
		if twin := f.balls[at].twin; twin != nil && twin.On.Name != b.On.Name {
			return nowhere
		}
		return vehicle.Foot(f.balls[at].at, f.bodies[on].point, f.bodies[on].axis)
	}
}

// hinge is where a body is held.
func (s *Scene) hinge(b *vehicle.Body, n int) spot {
	i := slices.Index(s.model.Vehicle.Bodies, b)
	return func(f *frame) r3.Vec {
		if twin := f.bodies[i].twin; twin != nil {
			return twin.Hinges[n]
		}
		return b.Hinges[n]
	}
}

// point is a place on a body's axis.
func (s *Scene) point(b *vehicle.Body) spot {
	i := slices.Index(s.model.Vehicle.Bodies, b)
	return func(f *frame) r3.Vec { return f.bodies[i].point }
}

// atHeight returns where the kingpin axis passes a height.
func (w *wheel) atHeight(z float64) r3.Vec {
	return vehicle.AtHeight(z, w.point, w.kingpin)
}

// contact returns the wheel's lowest point.
func (w *wheel) contact() r3.Vec { return vehicle.Contact(w.centre, w.spindle, w.radius) }

// ground is the height of the ground: that of the lower contact.
func (f *frame) ground() float64 {
	return math.Min(f.wheels[0].contact().Z, f.wheels[1].contact().Z)
}

// servoBody is the usual size of a standard servo: along, across and deep, and from the shaft to
// the near end (common practice; the body is not measured).
const (
	servoLong  = 40
	servoWide  = 20
	servoDeep  = 37
	servoShaft = 10
)

// corners are the eight corners of a body of the usual size behind the servo's face, its length
// across the vehicle, towards the middle, where it can.
func (s *servo) corners() [8]r3.Vec {
	toward := r3.Vec{Y: 1}
	if s.face.Y > 0 {
		toward.Y = -1
	}
	long := r3.Sub(toward, r3.Scale(r3.Dot(toward, s.axis), s.axis))
	if r3.Norm(long) < 0.3 {
		long = r3.Sub(r3.Vec{X: 1}, r3.Scale(s.axis.X, s.axis))
	}
	long = r3.Unit(long)
	wide := r3.Cross(s.axis, long)
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
		c[i] = r3.Add(s.face, r3.Add(r3.Scale(l, long), r3.Add(r3.Scale(w, wide), r3.Scale(d, s.axis))))
	}
	return c
}
