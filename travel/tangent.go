package travel

import (
	"math"

	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rate is what changes for each millimetre of a motion, in radians and millimetres.
type Rate struct {
	// Steer is that of the wheels' road angles, Knuckle that of their turns about the kingpins, Camber that of their cambers.
	Steer, Knuckle, Camber [2]float64
	// Yaw, Pitch and Side are those of a solid axle.
	Yaw, Pitch, Side float64
}

// tangent is memory for rates along the travel.
type tangent struct {
	k      *rig.Mechanism
	motion *linkage.Motion
	dir    []float64
}

func newTangent(k *rig.Mechanism) *tangent {
	return &tangent{k: k, motion: k.Linkage.NewMotion(), dir: make([]float64, k.Linkage.NumInputs())}
}

// along leaves t.motion as the pose's derivative where the wheels rise at the rates wanted, the servo held.
func (t *tangent) along(p *linkage.Pose, want steer.Ride) {
	k := t.k
	move := func(first, second float64) steer.Ride {
		t.dir[k.Rise[0]], t.dir[k.Rise[1]] = first, second
		k.Linkage.Tangent(p, t.dir, nil, t.motion)
		return steer.Ride{Left: k.Linkage.BallRate(p, t.motion, k.RideLeft).Z, Right: k.Linkage.BallRate(p, t.motion, k.RideRight).Z}
	}
	a, b := move(1, 0), move(0, 1)
	det := a.Left*b.Right - b.Left*a.Right
	move((want.Left*b.Right-b.Left*want.Right)/det, (a.Left*want.Right-want.Left*a.Right)/det)
}

// rate returns what changes for each millimetre of a motion. Where the travel ends it is not finite.
func (t *tangent) rate(p *linkage.Pose, m Motion) Rate {
	t.along(p, m.Ride(1))
	k, l := t.k, t.k.Linkage
	yaw := func(a linkage.Arrow) float64 {
		x, d := p.Arrow(a), l.ArrowRate(p, t.motion, a)
		return (x.X*d.Y - x.Y*d.X) / (x.X*x.X + x.Y*x.Y)
	}
	// dive is the rate at which an arrow's end goes below level.
	dive := func(a linkage.Arrow) float64 {
		x := p.Arrow(a)
		return -l.ArrowRate(p, t.motion, a).Z / math.Hypot(x.X, x.Y)
	}
	r := Rate{
		Steer:   [2]float64{yaw(k.LeftSpindle), yaw(k.RightSpindle)},
		Knuckle: [2]float64{t.motion.Coordinate(k.Left), t.motion.Coordinate(k.Right)},
		Camber:  [2]float64{dive(k.LeftSpindle), dive(k.RightSpindle)},
	}
	if k.Axle != linkage.Ground {
		r.Yaw, r.Pitch = yaw(k.AxleAhead), dive(k.AxleAhead)
		r.Side = r3.Add(l.BallRate(p, t.motion, k.RideLeft), l.BallRate(p, t.motion, k.RideRight)).Y / 2
	}
	return r
}
