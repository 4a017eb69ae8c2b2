package radio

import "math"

// line is a least-squares straight line y = slope·x + intercept.
type line struct {
	slope, slopeVariance float64
	meanX, meanY         float64
	x, weight, variance  []float64
	sumWeight, sumSquare float64
}

// pairs are points to fit a line through; u are standard uncertainties of y, number those of the
// readings in the rig file.
type pairs struct {
	x, y, u []float64
	number  []int
}

func (p pairs) with(number int, x, y, u float64) pairs {
	return pairs{append(p.x, x), append(p.y, y), append(p.u, u), append(p.number, number)}
}

// weights are 1/u² if every u is above zero, and alike otherwise, since an exact point would silence
// all the rest.
func (p pairs) weights() []float64 {
	w := make([]float64, len(p.u))
	weighted := true
	for _, u := range p.u {
		weighted = weighted && u > 0
	}
	for i, u := range p.u {
		w[i] = 1
		if weighted {
			w[i] = 1 / (u * u)
		}
	}
	return w
}

// fitLine fits a line through at least two points with different x.
//
// The variances follow from u by JCGM 100, 5.1.2. With three points or more, the
// scatter about the line takes over where it is larger than u explains.
func fitLine(p pairs) line {
	x, y, u := p.x, p.y, p.u
	f := line{x: x, weight: p.weights(), variance: make([]float64, len(x))}
	for i := range x {
		f.sumWeight += f.weight[i]
		f.meanX += f.weight[i] * x[i]
		f.meanY += f.weight[i] * y[i]
	}
	f.meanX /= f.sumWeight
	f.meanY /= f.sumWeight
	for i := range x {
		dx := x[i] - f.meanX
		f.sumSquare += f.weight[i] * dx * dx
		f.slope += f.weight[i] * dx * (y[i] - f.meanY)
	}
	f.slope /= f.sumSquare

	scatter := 0.0
	if len(x) > 2 {
		for i := range x {
			r := y[i] - f.meanY - f.slope*(x[i]-f.meanX)
			scatter += f.weight[i] * r * r
		}
		scatter /= float64(len(x) - 2)
	}
	for i := range x {
		f.variance[i] = max(u[i]*u[i], scatter/f.weight[i])
		c := f.weight[i] * (x[i] - f.meanX) / f.sumSquare
		f.slopeVariance += c * c * f.variance[i]
	}
	return f
}

// at returns y at x0 with its variance.
func (f line) at(x0 float64) (y, variance float64) {
	for i := range f.x {
		c := f.weight[i] * (1/f.sumWeight + (x0-f.meanX)*(f.x[i]-f.meanX)/f.sumSquare)
		variance += c * c * f.variance[i]
	}
	return f.meanY + f.slope*(x0-f.meanX), variance
}

// take puts the line through a place, with the mean of two slopes.
func (f *line) take(s *sides, zero float64) {
	f.slope, f.slopeVariance = s.mean, s.meanVariance
	f.meanY = s.centre + s.mean*(f.meanX-zero)
}

// half returns the 95 % half-width that belongs to a variance (JCGM 100,
// coverage factor 2).
func half(variance float64) float64 { return 2 * math.Sqrt(variance) }

// distinct returns how many different values x holds.
func distinct(x []float64) int {
	seen := map[float64]bool{}
	for _, v := range x {
		seen[v] = true
	}
	return len(seen)
}
