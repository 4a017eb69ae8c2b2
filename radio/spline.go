package radio

import (
	"errors"
	"math"
)

// Spline is a toothed servo shaft with a horn of evenly spaced arms.
type Spline struct {
	// Teeth is the number of teeth on the shaft.
	Teeth int
	// Arms is the number of evenly spaced arms of the horn. Arm 0 is the one in
	// use; the others follow counter-clockwise, looking at the horn's face.
	Arms int
}

// SplineFit is one way to put the horn on.
type SplineFit struct {
	// Teeth to shift the horn by from where it sits, positive counter-clockwise
	// when one looks at the horn's face.
	Teeth int
	// Arm to use; 0 is the one in use now.
	Arm int
	// LeftOver is the wanted angle less the one reached, in radians: what subtrim
	// has to cover.
	LeftOver float64
}

// Directions returns the number of distinct directions in which an arm can
// point: the least common multiple of teeth and arms. It is 0 if either is less
// than 1.
func (s Spline) Directions() int {
	if s.Teeth < 1 || s.Arms < 1 {
		return 0
	}
	a, b := s.Teeth, s.Arms
	for b != 0 {
		a, b = b, a%b
	}
	return s.Teeth / a * s.Arms
}

// Step returns the angle between neighbouring directions in radians; half of it
// is the most that subtrim need cover. It is +Inf if there are no directions.
func (s Spline) Step() float64 {
	return 2 * math.Pi / float64(s.Directions())
}

// Nearest returns the shift and the arm that bring an arm nearest to the
// direction want, when arm 0 points in the direction now. Both are angles in
// radians about the shaft from any common zero, positive counter-clockwise when
// one looks at the horn's face. Among equally near ways it takes the smallest
// shift, then the lowest arm, then the shift counter-clockwise. It returns a
// [*SplineError] if there are no directions, and an error if an angle is not
// finite.
func (s Spline) Nearest(want, now float64) (SplineFit, error) {
	if s.Directions() == 0 {
		return SplineFit{}, &SplineError{s.Teeth, s.Arms}
	}
	if !finite(want - now) {
		return SplineFit{}, errors.New("the wanted horn direction is not a finite number; measure where the horn points")
	}
	// Ways that differ by rounding only must count as equally near.
	const same = 1e-9
	tooth := 2 * math.Pi / float64(s.Teeth)
	var best SplineFit
	for arm := range s.Arms {
		turn := math.Remainder(want-now-2*math.Pi*float64(arm)/float64(s.Arms), 2*math.Pi)
		down := int(math.Floor(turn / tooth))
		for _, teeth := range [2]int{down + 1, down} {
			fit := SplineFit{teeth, arm, turn - float64(teeth)*tooth}
			nearer := math.Abs(best.LeftOver) - math.Abs(fit.LeftOver)
			first := arm == 0 && teeth == down+1
			if first || nearer > same || (nearer > -same && abs(teeth) < abs(best.Teeth)) {
				best = fit
			}
		}
	}
	return best, nil
}

func abs(n int) int { return max(n, -n) }
