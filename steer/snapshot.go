package steer

import (
	"math"

	"evenlock/linkage"

	"gonum.org/v1/gonum/spatial/r3"
)

// Snapshot is what a moving drawing shows beside itself.
type Snapshot struct {
	// Road are the road angles by side, Rate their derivatives with respect to the servo angle.
	Road, Rate          [2]float64
	HornAngle, FarAngle float64
}

// Road returns the road steer angles by side, and nothing else, fast.
func (s *State) Road() [2]float64 {
	if w := s.m.waves; w != nil {
		return [2]float64{w.wheels[Left].road(s.pose), w.wheels[Right].road(s.pose)}
	}
	a, b := s.pose.Arrow(s.m.Wheels[Left].SpindleHandle), s.pose.Arrow(s.m.Wheels[Right].SpindleHandle)
	return [2]float64{bearing(-a.X, a.Y), bearing(b.X, -b.Y)}
}

// Inner returns the road steer angle, to a side, of the wheel that is on the inside as the wheels
// point there.
func (s *State) Inner(side Side) float64 { return side.Sign() * s.Road()[s.m.Inner(side)] }

// Snapshot returns the road angles, their rates and the link's angles. It is Values and Rates
// for a moving drawing, many times as fast.
func (s *State) Snapshot() (o Snapshot) {
	p := s.pose
	s.m.Linkage.Tangent(p, s.m.Linkage.Follow, nil, s.motion)
	if w := s.m.waves; w != nil {
		o.Road[Left], o.Rate[Left] = w.wheels[Left].roadAndRate(p, s.motion)
		o.Road[Right], o.Rate[Right] = w.wheels[Right].roadAndRate(p, s.motion)
		o.HornAngle = s.m.horn.angle(p.At(&w.horn))
		o.FarAngle = s.m.far.angle(p.At(&w.far))
		return o
	}
	for side, w := range s.m.Wheels {
		road := s.road(w)
		o.Road[side], o.Rate[side] = road.Real, road.Emag
	}
	servo := s.m.Servo
	o.HornAngle = s.m.horn.angle(r3.Norm2(r3.Sub(p.Ball(servo.Foot.Handle), p.Ball(servo.Far().Handle))))
	o.FarAngle = s.m.far.angle(r3.Norm2(r3.Sub(p.Ball(servo.FarFoot.Handle), p.Ball(servo.Ball.Handle))))
	return o
}

// bearing is math.Atan2, quicker where x is positive, as it is for any wheel short of a
// quarter turn.
func bearing(y, x float64) float64 {
	if x > 0 {
		return math.Atan(y / x)
	}
	return math.Atan2(y, x)
}

// waves are what Road and Snapshot read of a model whose knuckles, horn and arm pulled turn about
// axes that stand still. Each is a number of one of their turns, found without a place in space.
type waves struct {
	wheels [2]heading
	// horn and far are the third sides of the drag link's triangles, squared.
	horn, far linkage.Wave
}

// wavesOf returns nil if something turns about an axis that moves, or slides.
func wavesOf(m *Model) *waves {
	l, servo, all := m.Linkage, m.Servo, true
	need := func(w linkage.Wave, ok bool) linkage.Wave {
		all = all && ok
		return w
	}
	w := &waves{
		horn: need(l.SquaredGap(servo.Far().Handle, servo.Foot.Handle)),
		far:  need(l.SquaredGap(servo.Ball.Handle, servo.FarFoot.Handle)),
	}
	for side, x := range m.Wheels {
		out := x.Side.Sign()
		w.wheels[side] = heading{x.Knuckle.Handle, need(l.Component(x.SpindleHandle, r3.Vec{X: -out})), need(l.Component(x.SpindleHandle, r3.Vec{Y: out}))}
	}
	if !all {
		return nil
	}
	return w
}

// heading is where a wheel points, seen from above: two components of its spindle that are to one
// another as the sine and the cosine of the road angle.
type heading struct {
	knuckle  linkage.Body
	sin, cos linkage.Wave
}

func (h *heading) road(p *linkage.Pose) float64 { return bearing(p.At(&h.sin), p.At(&h.cos)) }

func (h *heading) roadAndRate(p *linkage.Pose, m *linkage.Motion) (road, rate float64) {
	y, x := p.At(&h.sin), p.At(&h.cos)
	dy, dx := p.Slope(&h.sin), p.Slope(&h.cos)
	return bearing(y, x), m.Coordinate(h.knuckle) * (x*dy - y*dx) / (x*x + y*y)
}

// triangle is that of the drag link and an arm at one end of it: its third side goes from the arm's
// foot to the link's other end.
type triangle struct {
	// sum is that of the squares of arm and link, inverse 1 over twice their product.
	sum, inverse float64
}

func newTriangle(foot, ball r3.Vec, link float64) triangle {
	arm := r3.Norm(r3.Sub(ball, foot))
	return triangle{arm*arm + link*link, 1 / (2 * arm * link)}
}

// angle returns the angle between arm and link from the square of the third side, by the law of
// cosines. It is good to about 1e-8 rad only where the two are nearly in line, at a dead point.
func (t *triangle) angle(third float64) float64 {
	cos := (t.sum - third) * t.inverse
	return math.Pi/2 - math.Atan(cos/math.Sqrt(max(0, 1-cos*cos)))
}
