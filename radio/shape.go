package radio

import (
	"math"
	"strconv"
)

// Remaining is how far the steering is from linear and even, as fractions of the
// full-lock curvature K, half the difference of the curvatures at full left and
// full right.
type Remaining struct {
	// Nonlinear is the greatest |κ(s) - K·s| / |K| over the stick s.
	Nonlinear float64
	// Uneven is the greatest |κ(s) + κ(-s)| / |K|: left against right at equal stick.
	Uneven float64
}

// Shaping is a found expo or curve.
type Shaping struct {
	// Expo in whole percent, if an expo was asked for.
	Expo float64
	// Curve is the points in whole percent, full right to full left, if a curve was
	// asked for. It is nil if no curve betters having none.
	Curve []float64
	// Before is without expo or curve, After with what was found.
	Before, After Remaining
}

// FitExpo returns the expo that makes path curvature against stick as linear and
// as even as one number for both sides can: the whole percent with the least sum
// of the two parts of [Remaining], and of equals the one nearest zero.
//
// span are the servo angles in radians at full and centre stick, without expo or
// curve, none of them held short. curvature gives the path's curvature for a servo
// angle, in any unit, zero when going straight, and must rise all the way or fall
// all the way from full right to full left. It is called about a thousand times.
//
// The search runs from -50 to 100 %: below -50 % the formula in the package
// documentation turns back before full stick. Remaining is found on a grid of the
// stick, and so may miss a hundredth of itself.
//
// It returns a [*CurvatureError] if curvature is not finite, not monotone, or the
// same at both ends.
func FitExpo(span Span, curvature func(servo float64) float64) (Shaping, error) {
	t, err := newTable(span, curvature, 2)
	if err != nil {
		return Shaping{}, err
	}
	m := Model{curve: straight}
	best, least := 0, math.Inf(1)
	for size := range 101 {
		for _, e := range [2]int{size, -size} {
			if e < -50 {
				continue
			}
			m.expo = float64(e) / 100
			if c := t.cost(&m); c < least-1e-12 {
				best, least = e, c
			}
		}
	}
	m.expo = float64(best) / 100
	return Shaping{Expo: float64(best), Before: t.remaining(&Model{curve: straight}), After: t.remaining(&m)}, nil
}

// FitCurve returns the curve of n points that makes path curvature against stick
// as linear and as even as whole percents can. The ends stay at ±100, since the
// endpoints set the lock, and the middle stays at zero, since the wheels are
// straight there: with an even number of points the two middle ones are opposite.
// Set the endpoints for even lock first; a difference there stays, and the stretch
// next to the end takes it up. The points always rise. span, curvature and errors
// are as for [FitExpo], and n must be from 2 to 101.
//
// The search starts from the points at which curvature is exactly linear and
// moves them one by one and in pairs while the sum of the two parts of
// [Remaining] falls; it ends where no such move helps, which need not be the best
// of all curves.
func FitCurve(span Span, n int, curvature func(servo float64) float64) (Shaping, error) {
	if n < 2 || n > 101 {
		return Shaping{}, &SettingError{"curve_points", strconv.Itoa(n), "no such curve", "choose from 2 to 101 points"}
	}
	t, err := newTable(span, curvature, n)
	if err != nil {
		return Shaping{}, err
	}
	f := curveFit{table: t, points: t.linearPoints(n), model: Model{curve: make([]float64, n)}}
	f.improve()
	none := &Model{curve: straight}
	s := Shaping{Before: t.remaining(none)}
	s.After = s.Before
	if f.cost() < t.cost(none) {
		s.After = t.remaining(&f.model)
		s.Curve = make([]float64, n)
		for i, p := range f.points {
			s.Curve[i] = float64(p)
		}
	}
	return s, nil
}

// table holds the curvature, as a fraction of K, against the stick without expo
// or curve, so that a search need not call a costly function.
type table struct {
	span      Span
	curvature func(float64) float64
	full      float64   // K
	values    []float64 // evenly spaced from full right to full left
	perSide   int       // stick positions to judge by on each side
}

const tableCells = 512

// newTable also picks stick positions so that every joint of a curve of n points
// is among them.
func newTable(span Span, curvature func(float64) float64, n int) (*table, error) {
	t := &table{span: span, curvature: curvature, full: 1, values: make([]float64, tableCells+1)}
	t.perSide = (n - 1) * ((118 + n) / (n - 1))
	for i := range t.values {
		y := 2*float64(i)/tableCells - 1
		t.values[i] = t.exact(y)
		if !finite(t.values[i]) {
			return nil, &CurvatureError{t.angle(y), "it is not a finite number"}
		}
	}
	full := (t.values[tableCells] - t.values[0]) / 2
	if full == 0 || !finite(full) {
		return nil, &CurvatureError{t.angle(1), "it is the same as at the other end"}
	}
	for i := range tableCells {
		if (t.values[i+1]-t.values[i])*full < 0 {
			return nil, &CurvatureError{t.angle(2*float64(i+1)/tableCells - 1), "it turns back there"}
		}
	}
	for i := range t.values {
		t.values[i] /= full
	}
	t.full = full
	return t, nil
}

// angle is the servo angle at an output y from -1 to 1.
func (t *table) angle(y float64) float64 {
	if y < 0 {
		return t.span.Centre - y*(t.span.Right-t.span.Centre)
	}
	return t.span.Centre + y*(t.span.Left-t.span.Centre)
}

func (t *table) exact(y float64) float64 { return t.curvature(t.angle(y)) / t.full }

func (t *table) at(y float64) float64 {
	u := (y + 1) / 2 * tableCells
	i := max(0, min(int(u), tableCells-1))
	return t.values[i] + (u-float64(i))*(t.values[i+1]-t.values[i])
}

// inverse is the output at which the curvature is a fraction k of full lock.
func (t *table) inverse(k float64) float64 {
	low, high := 0, tableCells
	for high-low > 1 {
		if mid := (low + high) / 2; t.values[mid] <= k {
			low = mid
		} else {
			high = mid
		}
	}
	part := 0.0
	if rise := t.values[high] - t.values[low]; rise > 0 {
		part = max(0, min(1, (k-t.values[low])/rise))
	}
	return 2*(float64(low)+part)/tableCells - 1
}

// cost is what the searches bring down. The mean square is there only to lead
// across places where the greatest values do not change.
func (t *table) cost(m *Model) float64 {
	r, square := t.judge(m, t.at)
	return r.Nonlinear + r.Uneven + 1e-3*square
}

func (t *table) remaining(m *Model) Remaining {
	r, _ := t.judge(m, t.exact)
	return r
}

func (t *table) judge(m *Model, curvature func(float64) float64) (r Remaining, meanSquare float64) {
	for i := range t.perSide + 1 {
		s := float64(i) / float64(t.perSide)
		left, right := curvature(m.shape(s)), curvature(m.shape(-s))
		r.Nonlinear = max(r.Nonlinear, math.Abs(left-s), math.Abs(right+s))
		r.Uneven = max(r.Uneven, math.Abs(left+right))
		meanSquare += (left-s)*(left-s) + (right+s)*(right+s)
	}
	return r, meanSquare / float64(2*t.perSide+2)
}

// linearPoints are the points at which curvature is linear, in whole percent.
func (t *table) linearPoints(n int) []int {
	p := make([]int, n)
	for i := range p {
		s := 2*float64(i)/float64(n-1) - 1
		p[i] = int(math.Round(100 * t.inverse(s)))
	}
	p[0], p[n-1] = -100, 100
	if n%2 == 1 {
		p[n/2] = 0
	}
	for i := n - 2; 2*i > n-1; i-- { // room towards the left end
		p[i] = min(p[i], p[i+1]-1)
	}
	for i := 1; 2*i < n-1; i++ {
		p[i] = max(p[i], p[i-1]+1)
	}
	for i := (n + 1) / 2; i < n-1; i++ { // and away from the middle
		p[i] = max(p[i], i-(n-1)/2)
	}
	for i := (n - 2) / 2; i > 0; i-- {
		p[i] = min(p[i], i-n/2)
	}
	if n%2 == 0 {
		p[n/2] = min(p[n/2], -p[n/2-1])
		p[n/2-1] = -p[n/2]
	}
	return p
}

// curveFit is a search among whole-percent points.
type curveFit struct {
	table  *table
	points []int
	model  Model
}

func (f *curveFit) cost() float64 {
	for i, p := range f.points {
		f.model.curve[i] = float64(p) / 100
	}
	return f.table.cost(&f.model)
}

// move shifts a point, and its opposite if it is one of two middle ones.
func (f *curveFit) move(i, by int) {
	f.points[i] += by
	if n := len(f.points); n%2 == 0 && (i == n/2 || i == n/2-1) {
		f.points[n-1-i] -= by
	}
}

func (f *curveFit) rises() bool {
	for i := 1; i < len(f.points); i++ {
		if f.points[i] <= f.points[i-1] {
			return false
		}
	}
	return true
}

// improve moves points, alone, with their mirror image and with their neighbour,
// as long as that helps.
func (f *curveFit) improve() {
	n := len(f.points)
	fixed := func(i int) bool { return i == 0 || i == n-1 || n%2 == 1 && i == n/2 }
	least := f.cost()
	for better := true; better; {
		better = false
		for i := range f.points {
			if fixed(i) {
				continue
			}
			for _, j := range [3]int{i, n - 1 - i, i + 1} {
				if fixed(j) {
					continue
				}
				for _, by := range [4][2]int{{1, 1}, {-1, -1}, {1, -1}, {-1, 1}} {
					second := by[1]
					if i == j {
						second = 0
					}
					f.move(i, by[0])
					f.move(j, second)
					if f.rises() {
						if c := f.cost(); c < least-1e-12 {
							least, better = c, true
							continue
						}
					}
					f.move(i, -by[0])
					f.move(j, -second)
				}
			}
		}
	}
	f.cost() // leaves the best points in the model
}
