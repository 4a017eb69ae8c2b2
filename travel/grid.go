package travel

import (
	"errors"
	"math"

	"evenlock/linkage"
	"evenlock/steer"
)

// Grid is both wheels' road angles over steer and travel, in memory that is the caller's to keep.
type Grid struct {
	Motion Motion
	// Servos are servo angles in radians, Heights how far the motion has gone in mm, each best in
	// order.
	Servos, Heights []float64
	// Left and Right are the road angles in radians, a row of len(Servos) for each height; NaN
	// where the suspension or the linkage does not come.
	Left, Right []float64
	// home is the servo angle nearest to straight.
	home int
}

// NewGrid returns the memory for n servo angles, at least 1, from one to another by rows of
// heights over the motion's stated travel.
func NewGrid(m *steer.Model, motion Motion, from, to float64, n, rows int) *Grid {
	down, up := motion.Stated(m)
	g := &Grid{
		Motion: motion, Servos: evenly(from, to, n), Heights: evenly(-down, up, rows),
		Left: make([]float64, n*rows), Right: make([]float64, n*rows),
	}
	for i, x := range g.Servos {
		if math.Abs(x-m.Centre()) < math.Abs(g.Servos[g.home]-m.Centre()) {
			g.home = i
		}
	}
	return g
}

func evenly(from, to float64, n int) []float64 {
	all := make([]float64, n)
	for i := range all {
		all[i] = from
		if n > 1 {
			all[i] += (to - from) * float64(i) / float64(n-1)
		}
	}
	return all
}

// Fill works the grid out on a state of the suspended model, which it leaves at its last place. It
// allocates nothing where everything is reached. The error is one of the model, not of a place that
// is not reached.
func (g *Grid) Fill(s *steer.State) error {
	n := len(g.Servos)
	for i, x := range g.Heights {
		left, right := g.Left[i*n:(i+1)*n], g.Right[i*n:(i+1)*n]
		for j := range n {
			left[j], right[j] = math.NaN(), math.NaN()
		}
		// From near straight outwards each way, so that each pose is next to one that is known, and
		// what comes after one that is not reached is not looked for.
		for _, way := range [2]int{-1, 1} {
			err := s.Turn(g.Servos[g.home])
			if err == nil {
				err = s.Move(g.Servos[g.home], g.Motion.Travel(x))
			}
			for j := g.home; err == nil; {
				road := s.Road()
				left[j], right[j] = road[Left], road[Right]
				if j += way; j < 0 || j == n {
					break
				}
				err = s.Turn(g.Servos[j])
			}
			if err != nil && !outOfReach(err) {
				return err
			}
		}
	}
	return nil
}

// outOfReach tells whether an error is that of a place that a rig does not come to.
func outOfReach(err error) bool {
	var stop *steer.TravelError
	var limit *linkage.LimitError
	return errors.As(err, &stop) || errors.As(err, &limit)
}
