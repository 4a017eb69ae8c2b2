package steer

import (
	"math"

	"evenlock/linkage"
	"evenlock/rig"

	"gonum.org/v1/gonum/spatial/r3"
)

// Snapshot is what a moving drawing shows beside itself.
type Snapshot struct {
	RoadLeft, RoadRight float64
	// RateLeft and RateRight are d(road angle)/d(servo angle).
	RateLeft, RateRight float64
	HornAngle, FarAngle float64
}

// Road returns the road steer angles of both wheels, and nothing else, fast.
func (s *State) Road() (left, right float64) {
	if w := s.m.waves; w != nil {
		return w.left.road(s.pose), w.right.road(s.pose)
	}
	a, b := s.pose.Arrow(s.m.mech.LeftSpindle), s.pose.Arrow(s.m.mech.RightSpindle)
	return bearing(-a.X, a.Y), bearing(b.X, -b.Y)
}

// Snapshot returns the road angles, their rates and the link's angles. It is Values and Rates
// for a moving drawing, many times as fast.
func (s *State) Snapshot() (o Snapshot) {
	k, p := s.m.mech, s.pose
	k.Linkage.Tangent(p, k.Follow, nil, s.motion)
	if w := s.m.waves; w != nil {
		o.RoadLeft, o.RateLeft = w.left.roadAndRate(p, s.motion)
		o.RoadRight, o.RateRight = w.right.roadAndRate(p, s.motion)
		o.HornAngle = s.m.horn.angle(p.At(&w.horn))
		o.FarAngle = s.m.far.angle(p.At(&w.far))
		return o
	}
	left, right := s.road()
	o.RoadLeft, o.RateLeft = left.Real, left.Emag
	o.RoadRight, o.RateRight = right.Real, right.Emag
	o.HornAngle = s.m.horn.angle(r3.Norm2(r3.Sub(p.Ball(k.HornFoot), p.Ball(k.Pulled))))
	o.FarAngle = s.m.far.angle(r3.Norm2(r3.Sub(p.Ball(k.PulledFoot), p.Ball(k.HornBall))))
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
	left, right heading
	// horn and far are the third sides of the drag link's triangles, squared.
	horn, far linkage.Wave
}

// wavesOf returns nil if something turns about an axis that moves, or slides.
func wavesOf(k *rig.Mechanism) *waves {
	l, all := k.Linkage, true
	need := func(w linkage.Wave, ok bool) linkage.Wave {
		all = all && ok
		return w
	}
	w := &waves{
		left:  heading{k.Left, need(l.Component(k.LeftSpindle, r3.Vec{X: -1})), need(l.Component(k.LeftSpindle, r3.Vec{Y: 1}))},
		right: heading{k.Right, need(l.Component(k.RightSpindle, r3.Vec{X: 1})), need(l.Component(k.RightSpindle, r3.Vec{Y: -1}))},
		horn:  need(l.SquaredGap(k.Pulled, k.HornFoot)),
		far:   need(l.SquaredGap(k.HornBall, k.PulledFoot)),
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
