package travel

import (
	"math"

	"evenlock/linkage"
	"evenlock/steer"
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
func rateOf(s *steer.State, model *steer.Model, m Motion) (r Rate) {
	motion, p, l := s.Rising(m.Travel(1)), s.Pose(), model.Linkage
	yaw := func(a linkage.Arrow) float64 {
		x, d := p.Arrow(a), l.ArrowRate(p, motion, a)
		return (x.X*d.Y - x.Y*d.X) / (x.X*x.X + x.Y*x.Y)
	}
	// dive is the rate at which an arrow's end goes below level.
	dive := func(a linkage.Arrow) float64 {
		x := p.Arrow(a)
		return -l.ArrowRate(p, motion, a).Z / math.Hypot(x.X, x.Y)
	}
	for side, w := range model.Wheels {
		r.Steer[side], r.Knuckle[side], r.Camber[side] = yaw(w.SpindleHandle), motion.Coordinate(w.Knuckle.Handle), dive(w.SpindleHandle)
		if model.Axle.Solid {
			r.Side += l.BallRate(p, motion, w.Risen.Handle).Y / 2
		}
	}
	if model.Axle.Solid {
		r.Yaw, r.Pitch = yaw(l.Ahead), dive(l.Ahead)
	}
	return r
}
