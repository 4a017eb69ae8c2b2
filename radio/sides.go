package radio

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// sides are two straight lines that meet at a setting of zero: what a servo does that turns further
// for a step one way than the other.
type sides struct {
	centre, centreVariance float64
	// slope is by side, above zero and below.
	slope, slopeVariance [2]float64
	mean, meanVariance   float64
}

// protractor is what an angle read at the bench may be off by, in radians (common practice).
const protractor = math.Pi / 180

// fitSides fits the lines by least squares, with the weights and variances of fitLine. It is false
// where the readings do not say what each side does: with none on one of them, or where the two
// turn unlike ways, as no servo does.
//
// A lone setting on a side, and none at zero, do not say the centre. That angles are counted from
// neutral is then a reading itself, no surer than the others; but ends that differ by no more than
// the three may be off (√6 of one, JCGM 100, 5.1.2) are more likely on one line, counted from a
// protractor that was a little off. What the readings' own ± is does not count in that, so that a
// rig is the same whether its ± are looked at or not.
func fitSides(p pairs, zero float64) (sides, bool) {
	above, below, centre := map[float64]bool{}, map[float64]bool{}, false
	for _, x := range p.x {
		switch {
		case x > zero:
			above[x] = true
		case x < zero:
			below[x] = true
		default:
			centre = true
		}
	}
	if len(above) == 0 || len(below) == 0 {
		return sides{}, false
	}
	counted := !centre && (len(above) == 1 || len(below) == 1)
	if counted {
		p = p.with(0, zero, 0, maxOf(p.u))
	}
	n := len(p.x)
	weight := p.weights()
	design, weights := mat.NewDense(n, 3, nil), mat.NewDense(n, n, nil)
	for i, x := range p.x {
		root := math.Sqrt(weight[i])
		design.SetRow(i, []float64{root, root * max(x-zero, 0), root * min(x-zero, 0)})
		weights.Set(i, i, root)
	}
	// c makes the centre and the two slopes of the readings.
	var c mat.Dense
	if c.Solve(design, weights) != nil {
		return sides{}, false
	}
	var fit [3]float64
	for i, y := range p.y {
		for k := range fit {
			fit[k] += c.At(k, i) * y
		}
	}
	s := sides{centre: fit[0], slope: [2]float64(fit[1:]), mean: (fit[1] + fit[2]) / 2}
	reach := min(slices.Max(p.x)-zero, zero-slices.Min(p.x))
	if counted && math.Abs(s.slope[0]-s.slope[1])*reach <= math.Sqrt(6)*protractor || !(s.slope[0]*s.slope[1] > 0) {
		return sides{}, false
	}
	scatter := 0.0
	if n > 3 {
		for i, x := range p.x {
			r := p.y[i] - s.at(x-zero)
			scatter += weight[i] * r * r
		}
		scatter /= float64(n - 3)
	}
	for i, u := range p.u {
		variance := max(u*u, scatter/weight[i])
		a, b := c.At(1, i), c.At(2, i)
		s.centreVariance += c.At(0, i) * c.At(0, i) * variance
		s.slopeVariance[0] += a * a * variance
		s.slopeVariance[1] += b * b * variance
		s.meanVariance += (a + b) * (a + b) / 4 * variance
	}
	return s, true
}

// at is the angle so far from a setting of zero.
func (s *sides) at(x float64) float64 {
	if x < 0 {
		return s.centre + x*s.slope[1]
	}
	return s.centre + x*s.slope[0]
}

func maxOf(all []float64) float64 {
	most := 0.0
	for _, v := range all {
		most = max(most, v)
	}
	return most
}
