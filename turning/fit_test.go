package turning_test

import (
	"math"
	"testing"

	"evenlock/turning"

	"gonum.org/v1/gonum/optimize"
	"pgregory.net/rapid"
)

const (
	degree    = math.Pi / 180
	wheelbase = 300.0
	track     = 200.0
	width     = 40.0
)

// middle is that of the vehicle of these tests.
var middle = turning.Place{X: -wheelbase / 2}

// standing returns the four wheels of a vehicle of these sizes, at the road angles.
func standing(frontLeft, frontRight, rearLeft, rearRight float64) *[turning.NumWheels]turning.Wheel {
	w := func(x, y, road float64) turning.Wheel {
		return turning.Wheel{Contact: turning.Place{X: x, Y: y}, Road: road, Width: width}
	}
	return &[turning.NumWheels]turning.Wheel{
		w(0, track/2, frontLeft), w(0, -track/2, frontRight),
		w(-wheelbase, track/2, rearLeft), w(-wheelbase, -track/2, rearRight),
	}
}

// about returns the wheels with their axes all through one place, the wheels pointing forward.
func about(c turning.Place) *[turning.NumWheels]turning.Wheel {
	w := standing(0, 0, 0, 0)
	for i := range w {
		x, y := w[i].Contact.X-c.X, c.Y-w[i].Contact.Y
		w[i].Road = math.Atan(x / y)
	}
	return w
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.12g, want %.12g within %.2g", what, got, want, within)
	}
}

// nearPlace is for a place that may be far away.
func nearPlace(t testing.TB, got, want turning.Place, part float64) {
	t.Helper()
	far := math.Hypot(want.X, want.Y) + wheelbase
	near(t, "turn centre forward", got.X, want.X, part*far)
	near(t, "turn centre to the left", got.Y, want.Y, part*far)
}

// With one wheel in the middle of each axle, the axes of both meet at (X, Y) where X = -Y tan δf
// and X + L = -Y tan δr: subtracting, Y = L/(tan δf - tan δr), the radius square to the vehicle
// (derived; the formula is in use as R = L/(tan δf - tan δr), from memory). For equal and opposite
// angles R = L/(2 tan δ).
func TestSingleTrackTurnsAboutWhereItsAxesMeet(t *testing.T) {
	for _, c := range []struct{ front, rear float64 }{{20, 0}, {20, -20}, {-25, 10}, {30, 12}, {5, 4.5}, {-40, 40}, {2, -30}, {0, 15}} {
		df, dr := c.front*degree, c.rear*degree
		single := standing(df, df, dr, dr)
		for i := range single {
			single[i].Contact.Y = 0
		}
		got := turning.Fit(single, middle)
		r := wheelbase / (math.Tan(df) - math.Tan(dr))
		nearPlace(t, got.Centre, turning.Place{X: -r * math.Tan(df), Y: r}, 1e-12)
		if c.front == -c.rear {
			near(t, "radius of equal and opposite angles", got.Centre.Y, wheelbase/(2*math.Tan(df)), 1e-9*math.Abs(r))
			near(t, "curvature of it", got.Curvature, 2*math.Tan(df)/wheelbase, 1e-15)
			near(t, "its slip", got.Slip, 0, 1e-13)
		}
		front := math.Hypot(got.Centre.X, got.Centre.Y)
		near(t, "curvature at the front axle", got.FrontCurvature, math.Copysign(1/front, r), 1e-12)
		near(t, "curvature at the middle", got.Curvature, math.Copysign(1/math.Hypot(got.Centre.X+wheelbase/2, r), r), 1e-12)
		near(t, "outer radius", got.Outer, max(front, math.Hypot(got.Centre.X+wheelbase, r))+width/2, 1e-9*front)
		near(t, "slip", got.Slip, math.Atan((math.Tan(df)+math.Tan(dr))/2), 1e-12)
		for i, m := range got.Misfit {
			near(t, "misfit of wheel "+string(rune('0'+i)), m, 0, 1e-13)
		}
	}
}

// Ackermann's condition, cot δ_outer - cot δ_inner = w/L, as several publications state it: spacing
// 60, wheelbase 100, inner 20° has outer 16.633°, and the radii are 304.7 to the middle of the rear
// axle and 349.4 to the outer front wheel (figures computed from it).
func TestAckermannAnglesHaveThePublishedRadii(t *testing.T) {
	w := standing(20*degree, 16.633*degree, 0, 0)
	for i := range w {
		w[i].Contact.X /= wheelbase / 100
		w[i].Contact.Y /= track / 60
	}
	got := turning.Fit(w, turning.Place{X: -50})
	near(t, "middle of the rear axle", got.Centre.Y, 304.7, 0.05)
	near(t, "outer front wheel", got.Outer-width/2, 349.4, 0.05)
	if got.OuterWheel != turning.FrontRight || got.InnerWheel != turning.RearLeft {
		t.Errorf("outermost wheel %d, innermost %d", got.OuterWheel, got.InnerWheel)
	}
}

func TestCrabGoesToTheSideWithoutTurning(t *testing.T) {
	for _, at := range []float64{0, 12, -35, 60, -80} {
		d := at * degree
		got := turning.Fit(standing(d, d, d, d), middle)
		near(t, "curvature", got.Curvature, 0, 1e-15)
		near(t, "slip", got.Slip, d, 1e-14)
		if !got.Straight || !math.IsInf(got.Outer, 1) || !math.IsInf(got.Inner, 1) {
			t.Errorf("at %v°: straight %v, radii %v and %v", at, got.Straight, got.Outer, got.Inner)
		}
		if _, worst := got.Worst(); worst > 1e-13 {
			t.Errorf("parallel wheels scrub %v", worst)
		}
	}
}

// centres draws places that all wheels can point about: to the side of the vehicle.
func centres(t *rapid.T) turning.Place {
	y := rapid.Float64Range(track/2+5, 5000).Draw(t, "to the side")
	if rapid.Bool().Draw(t, "to the right") {
		y = -y
	}
	return turning.Place{X: rapid.Float64Range(-4000, 4000).Draw(t, "forward"), Y: y}
}

func anyWheels(t *rapid.T) *[turning.NumWheels]turning.Wheel {
	road := func(name string) float64 { return rapid.Float64Range(-50, 50).Draw(t, name) * degree }
	front, rear := road("front"), road("rear")
	off := func(name string) float64 { return rapid.Float64Range(-6, 6).Draw(t, name) * degree }
	return standing(front+off("fl"), front+off("fr"), rear+off("rl"), rear+off("rr"))
}

func TestWheelsThatShareACentreTurnAboutItExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := centres(t)
		got := turning.Fit(about(c), middle)
		far := math.Hypot(c.X, c.Y)
		if off := math.Hypot(got.Centre.X-c.X, got.Centre.Y-c.Y); off > 1e-9*far*far/wheelbase {
			t.Errorf("centre %v, want %v", got.Centre, c)
		}
		if _, worst := got.Worst(); worst > 1e-11 {
			t.Errorf("wheels that agree scrub %v", worst)
		}
	})
}

// At the best fit no small change of slip or curvature, found here by differences, makes the sum of
// squares less.
func TestFitIsTheBestThereIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWheels(t)
		got := turning.Fit(w, middle)
		kappa := got.Curvature
		sum := func(beta, kappa float64) (s float64) {
			for _, one := range w {
				x, y := one.Contact.X-middle.X, one.Contact.Y-middle.Y
				m := math.Remainder(one.Road-math.Atan2(math.Sin(beta)+kappa*x, math.Cos(beta)-kappa*y), math.Pi)
				s += m * m
			}
			return s
		}
		best := sum(got.Slip, kappa)
		for k := range 16 {
			s, c := math.Sincos(float64(k) * math.Pi / 8)
			if other := sum(got.Slip+1e-4*c, kappa+1e-4/wheelbase*s); other < best {
				t.Errorf("the sum of squares is %v, and %v beside it", best, other)
			}
		}
	})
}

// A general-purpose optimizer, gonum's Nelder and Mead, finds no motion that fits better, from the
// fit or from elsewhere. It moves the vehicle by other unknowns: the speed to the side at each
// axle.
func TestGeneralOptimizerFindsNoBetterFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWheels(t)
		got := turning.Fit(w, middle)
		best := 0.0
		for _, m := range got.Misfit {
			best += m * m
		}
		problem := optimize.Problem{Func: func(v []float64) (sum float64) {
			yaw := (v[0] - v[1]) / wheelbase
			for _, one := range w {
				m := math.Remainder(one.Road-math.Atan2(v[0]+yaw*one.Contact.X, 1-yaw*one.Contact.Y), math.Pi)
				sum += m * m
			}
			return sum
		}}
		for _, from := range [][]float64{{0, 0}, {math.Tan(w[0].Road), math.Tan(w[2].Road)}, {0.5, -0.5}} {
			other, err := optimize.Minimize(problem, from, nil, &optimize.NelderMead{})
			if err != nil {
				t.Fatal(err)
			}
			if other.F < best-1e-9 {
				t.Errorf("sum of squares %v, and %v found at %v", best, other.F, other.X)
			}
		}
	})
}

func TestMirroredWheelsTurnAsInAMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWheels(t)
		m := *w
		for i, j := range [turning.NumWheels]int{turning.FrontRight, turning.FrontLeft, turning.RearRight, turning.RearLeft} {
			m[i] = w[j]
			m[i].Contact.Y, m[i].Road = -w[j].Contact.Y, -w[j].Road
		}
		a, b := turning.Fit(w, middle), turning.Fit(&m, middle)
		for _, pair := range [][2]float64{
			{a.Curvature * wheelbase, -b.Curvature * wheelbase},
			{a.FrontCurvature * wheelbase, -b.FrontCurvature * wheelbase},
			{a.Slip, -b.Slip},
			{a.Misfit[turning.RearLeft], -b.Misfit[turning.RearRight]},
			{1 / a.Outer * wheelbase, 1 / b.Outer * wheelbase},
		} {
			if !(math.Abs(pair[0]-pair[1]) < 1e-7) {
				t.Errorf("%v and in the mirror %v", a, b)
			}
		}
	})
}

// The frame that a vehicle is measured in must not matter: turned and moved, all turns and moves
// with it.
func TestTurnIsTheSameInAnyFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWheels(t)
		by := rapid.Float64Range(-180, 180).Draw(t, "turned") * degree
		dx, dy := rapid.Float64Range(-500, 500).Draw(t, "x"), rapid.Float64Range(-500, 500).Draw(t, "y")
		sin, cos := math.Sincos(by)
		moved := func(p turning.Place) turning.Place {
			return turning.Place{X: dx + cos*p.X - sin*p.Y, Y: dy + sin*p.X + cos*p.Y}
		}
		m := *w
		for i := range m {
			m[i].Contact, m[i].Road = moved(w[i].Contact), w[i].Road+by
		}
		a, b := turning.Fit(w, middle), turning.Fit(&m, moved(middle))
		if d := math.Abs(math.Remainder(a.Slip+by-b.Slip, 2*math.Pi)); d > 1e-7 {
			t.Errorf("slip %v, turned by %v %v", a.Slip, by, b.Slip)
		}
		if math.Abs(a.Curvature-b.Curvature)*wheelbase > 1e-7 {
			t.Errorf("curvature %v, turned %v", a.Curvature, b.Curvature)
		}
		for i := range a.Misfit {
			if math.Abs(a.Misfit[i]-b.Misfit[i]) > 1e-7 {
				t.Errorf("misfits %v, turned %v", a.Misfit, b.Misfit)
			}
		}
		if math.Abs(a.Curvature)*5*wheelbase > 1 {
			if c := moved(a.Centre); math.Hypot(c.X-b.Centre.X, c.Y-b.Centre.Y) > 1e-4 {
				t.Errorf("centre %v, turned %v", c, b.Centre)
			}
		}
	})
}

// What a fit of least squares leaves of an error e of one wheel is its projection P e, P = P², so
// that the sum of the squares left is the error times what is left at that wheel (derived, to first
// order).
func TestErrorOfOneWheelIsSharedAsLeastSquaresShareIt(t *testing.T) {
	const e = 1e-4
	for odd := range turning.NumWheels {
		w := about(turning.Place{X: -180, Y: 700})
		w[odd].Road += e
		got := turning.Fit(w, middle)
		sum := 0.0
		for _, m := range got.Misfit {
			sum += m * m
		}
		near(t, "sum of squares over the error", sum/e, got.Misfit[odd], 1e-3*e)
		if got.Misfit[odd] <= 0 || got.Misfit[odd] >= e {
			t.Errorf("wheel %d is off by %v to the left, and scrubs %v", odd, e, got.Misfit[odd])
		}
	}
}

func TestTyreOverTheCentreLeavesNoInnerCircle(t *testing.T) {
	got := turning.Fit(about(turning.Place{X: -wheelbase - 3, Y: track/2 + 10}), middle)
	if got.Inner != 0 || got.InnerWheel != turning.RearLeft {
		t.Errorf("inner radius %v at wheel %d", got.Inner, got.InnerWheel)
	}
}
