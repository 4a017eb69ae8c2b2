package turning

import "math"

// Place is a place on the ground in the vehicle frame: X forward and Y left of the middle of the
// front axle, in mm.
type Place struct{ X, Y float64 }

// Wheel is one wheel as it stands on the ground.
type Wheel struct {
	// Contact is the middle of its contact.
	Contact Place
	// Road is its road steer angle in radians, positive to the left.
	Road float64
	// Width is the tyre's, in mm.
	Width float64
}

// The wheels of a vehicle, as Fit takes them.
const (
	FrontLeft = iota
	FrontRight
	RearLeft
	RearRight
	NumWheels
)

// Turn is how a vehicle turns.
type Turn struct {
	// Middle is the place that Curvature and Slip are those of.
	Middle Place
	// Curvature is that of Middle's path in 1/mm, positive to the left; FrontCurvature that of the
	// path of the middle of the front axle.
	Curvature, FrontCurvature float64
	// Slip is the direction in radians that Middle moves in, from straight ahead, positive to the
	// left: the crab angle.
	Slip float64
	// Centre is what all turns about, unless the path is Straight: then it is at infinity, and so
	// are the radii.
	Centre   Place
	Straight bool
	// Outer and Inner are the radii in mm of the circle that the outermost tyre's outer edge
	// touches and of that which the innermost one's inner edge leaves free; Inner is zero where a
	// tyre covers the centre.
	Outer, Inner float64
	// OuterWheel and InnerWheel are the wheels that they are those of.
	OuterWheel, InnerWheel int
	// Misfit is by how many radians each wheel points further left than it is moved: the angle at
	// which it scrubs.
	Misfit [NumWheels]float64
}

// Worst returns the wheel that scrubs most, and its angle as a size in radians.
func (t *Turn) Worst() (wheel int, misfit float64) {
	for i, m := range t.Misfit {
		if math.Abs(m) > misfit {
			wheel, misfit = i, math.Abs(m)
		}
	}
	return wheel, misfit
}

// straightBelow is the curvature in 1/mm below which a path counts as straight, as in package
// steer.
const straightBelow = 1e-9

// Fit finds the plane motion of a rigid vehicle that agrees best with where its wheels point: the
// one that makes the sum of the squares of the misfit angles least. Curvature and Slip are those of
// the place middle.
//
// A motion that goes in the direction β at the middle, with curvature κ, moves a wheel at (x, y)
// from there along (cos β - κ y, sin β + κ x) (derived). With wheels whose axes meet in one point
// the fit is exact and that point is the centre; with parallel wheels it is exact too, with κ = 0
// and the centre at infinity. It is found by Gauss and Newton's iteration, from the fit of the
// speeds across the wheels, which is linear, to about 1e-14 rad.
func Fit(wheels *[NumWheels]Wheel, middle Place) Turn {
	f := fitter{wheels: wheels, middle: middle}
	f.scale()
	beta, kappa := f.start()
	beta, kappa = f.refine(beta, kappa)
	return f.turn(beta, kappa)
}

type fitter struct {
	wheels *[NumWheels]Wheel
	middle Place
	// size is a length of the vehicle's, which makes its curvature comparable with an angle.
	size float64
}

func (f *fitter) scale() {
	for i := range f.wheels {
		p := f.at(i)
		f.size = max(f.size, math.Hypot(p.X, p.Y))
	}
}

// at returns where a wheel is from the middle.
func (f *fitter) at(i int) Place {
	c := f.wheels[i].Contact
	return Place{c.X - f.middle.X, c.Y - f.middle.Y}
}

// start turns to the mean of the headings, where the sideways speed u and the yaw rate ω for unit
// speed ahead that the wheels ask for are linear: cos δ u + (x cos δ + y sin δ) ω = sin δ for each.
func (f *fitter) start() (beta, kappa float64) {
	var ahead, left float64
	for i := range f.wheels {
		sin, cos := math.Sincos(f.wheels[i].Road)
		ahead, left = ahead+cos, left+sin
	}
	beta = math.Atan2(left, ahead)
	sb, cb := math.Sincos(beta)
	var n normal
	for i, w := range f.wheels {
		p := f.at(i)
		x, y := p.X*cb+p.Y*sb, p.Y*cb-p.X*sb
		sin, cos := math.Sincos(w.Road - beta)
		n.add(cos, (x*cos+y*sin)/f.size, sin)
	}
	u, omega := n.solve()
	return beta + math.Atan(u), omega / f.size / math.Hypot(1, u)
}

// normal is the sum of the normal equations of two unknowns.
type normal struct{ aa, ab, bb, ar, br float64 }

func (n *normal) add(a, b, r float64) {
	n.aa += a * a
	n.ab += a * b
	n.bb += b * b
	n.ar += a * r
	n.br += b * r
}

func (n *normal) solve() (a, b float64) {
	det := n.aa*n.bb - n.ab*n.ab
	if !(det > 0) {
		return 0, 0
	}
	return (n.ar*n.bb - n.br*n.ab) / det, (n.br*n.aa - n.ar*n.ab) / det
}

// misfits returns each wheel's and the sum of their squares.
func (f *fitter) misfits(beta, kappa float64) (all [NumWheels]float64, sum float64) {
	sin, cos := math.Sincos(beta)
	for i, w := range f.wheels {
		p := f.at(i)
		// A wheel rolls to the front and to the back alike.
		all[i] = math.Remainder(w.Road-math.Atan2(sin+kappa*p.X, cos-kappa*p.Y), math.Pi)
		sum += all[i] * all[i]
	}
	return all, sum
}

func (f *fitter) refine(beta, kappa float64) (bestBeta, bestKappa float64) {
	all, sum := f.misfits(beta, kappa)
	for range 100 {
		sin, cos := math.Sincos(beta)
		var n normal
		for i := range f.wheels {
			p := f.at(i)
			vx, vy := cos-kappa*p.Y, sin+kappa*p.X
			speed := vx*vx + vy*vy
			if speed == 0 {
				continue
			}
			n.add((vx*cos+vy*sin)/speed, (vx*p.X+vy*p.Y)/speed/f.size, all[i])
		}
		da, db := n.solve()
		// Near the best, rounding hides whether the sum still falls, and the step is the better
		// judge.
		part := 1.0
		for ; part > 1e-6; part /= 4 {
			next, nextSum := f.misfits(beta+part*da, kappa+part*db/f.size)
			if nextSum <= sum*(1+1e-12) {
				all, sum = next, nextSum
				break
			}
		}
		beta, kappa = beta+part*da, kappa+part*db/f.size
		if math.Abs(da)+math.Abs(db) < 1e-15 || part <= 1e-6 {
			break
		}
	}
	return beta, kappa
}

func (f *fitter) turn(beta, kappa float64) Turn {
	t := Turn{Middle: f.middle, Slip: beta}
	t.Misfit, _ = f.misfits(beta, kappa)
	if t.Straight = math.Abs(kappa) < straightBelow; t.Straight {
		t.Outer, t.Inner = math.Inf(1), math.Inf(1)
		return t
	}
	sin, cos := math.Sincos(beta)
	t.Curvature = kappa
	t.FrontCurvature = kappa / math.Hypot(cos+kappa*f.middle.Y, sin-kappa*f.middle.X)
	t.Centre = Place{f.middle.X - sin/kappa, f.middle.Y + cos/kappa}
	t.Inner = math.Inf(1)
	for i, w := range f.wheels {
		r := math.Hypot(w.Contact.X-t.Centre.X, w.Contact.Y-t.Centre.Y)
		if out := r + w.Width/2; out > t.Outer {
			t.Outer, t.OuterWheel = out, i
		}
		if in := max(0, r-w.Width/2); in < t.Inner {
			t.Inner, t.InnerWheel = in, i
		}
	}
	return t
}
