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
	// Steer is that of the wheels' road angles, Knuckle that of their turns about the kingpins,
	// Camber that of their cambers.
	Steer, Knuckle, Camber [2]float64
	// Yaw, Pitch and Side are those of a solid axle.
	Yaw, Pitch, Side float64
}

// rateOf returns what changes for each millimetre of a motion where the state is. Where the travel
// ends it is not finite.
func rateOf(s *steer.State, k *rig.Mechanism, m Motion) Rate {
	motion, p, l := s.Rising(m.Travel(1)), s.Pose(), k.Linkage
	yaw := func(a linkage.Arrow) float64 {
		x, d := p.Arrow(a), l.ArrowRate(p, motion, a)
		return (x.X*d.Y - x.Y*d.X) / (x.X*x.X + x.Y*x.Y)
	}
	// dive is the rate at which an arrow's end goes below level.
	dive := func(a linkage.Arrow) float64 {
		x := p.Arrow(a)
		return -l.ArrowRate(p, motion, a).Z / math.Hypot(x.X, x.Y)
	}
	r := Rate{
		Steer:   [2]float64{yaw(k.LeftSpindle), yaw(k.RightSpindle)},
		Knuckle: [2]float64{motion.Coordinate(k.Left), motion.Coordinate(k.Right)},
		Camber:  [2]float64{dive(k.LeftSpindle), dive(k.RightSpindle)},
	}
	if k.Axle != linkage.Ground {
		r.Yaw, r.Pitch = yaw(k.AxleAhead), dive(k.AxleAhead)
		r.Side = r3.Add(l.BallRate(p, motion, k.TravelLeft), l.BallRate(p, motion, k.TravelRight)).Y / 2
	}
	return r
}
