package radio

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

var even = Span{rad(-42), 0, rad(42)}

// offSquare is the path curvature of a horn a little off square with its link:
// travel as the sine of the angle from there, wheels as the travel.
func offSquare(by float64) func(float64) float64 {
	return func(servo float64) float64 { return math.Sin(servo+by) - math.Sin(by) }
}

func TestLinearSteeringNeedsNoShaping(t *testing.T) {
	line := func(servo float64) float64 { return 0.003 * servo }
	e, err := FitExpo(even, line)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "expo", e.Expo, 0, 0)
	near(t, "before", e.Before.Nonlinear+e.Before.Uneven, 0, 1e-12)
	c, err := FitCurve(even, 5, line)
	if err != nil {
		t.Fatal(err)
	}
	if c.Curve != nil {
		t.Errorf("got the curve %v", c.Curve)
	}
}

// A steering that is the exact inverse of an expo of 30 % is made linear by it.
func TestExpoFindsTheOneThatUndoesIt(t *testing.T) {
	for _, expo := range []float64{30, 80, -20, -45} {
		undo := Model{curve: straight, expo: expo / 100}
		curvature := func(servo float64) float64 { return undo.unbend(servo / rad(42)) }
		s, err := FitExpo(even, curvature)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "expo", s.Expo, expo, 0)
		near(t, "nonlinear after", s.After.Nonlinear, 0, 1e-12)
		if s.Before.Nonlinear < 0.02 {
			t.Errorf("before: %+v", s.Before)
		}
	}
}

func TestExpoIsTheBestWholePercent(t *testing.T) {
	curvature := offSquare(rad(8))
	got, err := FitExpo(even, curvature)
	if err != nil {
		t.Fatal(err)
	}
	full := (curvature(even.Left) - curvature(even.Right)) / 2
	sum := func(expo float64) float64 {
		var n, u float64
		for i := range 2001 {
			s := float64(i) / 2000
			y := rad(42) * ((1-expo/100)*s + expo/100*s*s*s)
			l, r := curvature(y)/full, curvature(-y)/full
			n, u = max(n, math.Abs(l-s), math.Abs(r+s)), max(u, math.Abs(l+r))
		}
		return n + u
	}
	for e := -50.0; e <= 100; e++ {
		if sum(e) < sum(got.Expo)-2e-3 {
			t.Errorf("%g %% leaves %.4f, the found %g %% leaves %.4f", e, sum(e), got.Expo, sum(got.Expo))
		}
	}
	near(t, "what it says remains", got.After.Nonlinear+got.After.Uneven, sum(got.Expo), 1e-3)
	near(t, "what it says was before", got.Before.Nonlinear+got.Before.Uneven, sum(0), 1e-3)
}

// Every one of the 99 × 99 curves of five points with a fixed middle.
func TestFivePointCurveIsTheBestOfAll(t *testing.T) {
	for _, by := range []float64{0, 10, -20} {
		span := evenLock(rad(by), 0.55)
		tab, err := newTable(span, offSquare(rad(by)), 5)
		if err != nil {
			t.Fatal(err)
		}
		s, err := FitCurve(span, 5, offSquare(rad(by)))
		if err != nil {
			t.Fatal(err)
		}
		least, m := math.Inf(1), Model{curve: make([]float64, 5)}
		set := func(p []float64) float64 {
			for i := range p {
				m.curve[i] = p[i] / 100
			}
			return tab.cost(&m)
		}
		for a := -99.0; a < 0; a++ {
			for b := 1.0; b < 100; b++ {
				least = min(least, set([]float64{-100, a, 0, b, 100}))
			}
		}
		if got := set(s.Curve); got > least+1e-9 {
			t.Errorf("off by %g°: found %v with %.5f, the best has %.5f", by, s.Curve, got, least)
		}
	}
}

func TestShapingProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		by := rad(rapid.Float64Range(-35, 35).Draw(t, "off square"))
		span := Span{
			rad(rapid.Float64Range(-45, -25).Draw(t, "right")), rad(rapid.Float64Range(-3, 3).Draw(t, "centre")),
			rad(rapid.Float64Range(25, 45).Draw(t, "left")),
		}
		at := offSquare(by)
		curvature := func(servo float64) float64 { return at(servo) - at(span.Centre) }
		if rapid.Bool().Draw(t, "turning the other way") {
			span.Left, span.Right = span.Right, span.Left
		}
		n := rapid.IntRange(2, 17).Draw(t, "points")
		e, err := FitExpo(span, curvature)
		if errors.As(err, new(*CurvatureError)) {
			t.Skip("past the dead point")
		}
		if err != nil {
			t.Fatal(err)
		}
		c, err := FitCurve(span, n, curvature)
		if err != nil {
			t.Fatal(err)
		}
		sum := func(r Remaining) float64 { return r.Nonlinear + r.Uneven }
		if sum(e.After) > sum(e.Before)+1e-3 || sum(c.After) > sum(c.Before)+1e-3 {
			t.Fatalf("made worse: expo %+v, curve %+v", e, c)
		}
		if e.Expo != math.Round(e.Expo) || e.Expo < -50 || e.Expo > 100 {
			t.Fatalf("expo %g", e.Expo)
		}
		if c.Curve != nil {
			if len(c.Curve) != n || c.Curve[0] != -100 || c.Curve[n-1] != 100 {
				t.Fatalf("curve %v", c.Curve)
			}
			for i, p := range c.Curve {
				if p != math.Round(p) || i > 0 && p <= c.Curve[i-1] {
					t.Fatalf("curve %v does not rise in whole percent", c.Curve)
				}
			}
			if m := (Model{curve: c.Curve}); math.Abs(m.shape(0)) > 1e-9 {
				t.Fatalf("curve %v is off the centre by %g", c.Curve, m.shape(0))
			}
		}

		mirrorSpan := Span{-span.Left, -span.Centre, -span.Right}
		mirror := func(servo float64) float64 { return -curvature(-servo) }
		e2, err := FitExpo(mirrorSpan, mirror)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(sum(e2.After)-sum(e.After)) > 1e-6 || e2.Expo != e.Expo {
			t.Fatalf("expo %+v, mirrored %+v", e, e2)
		}
	})
}

// evenLock is where endpoints give [offSquare] the same curvature both ways.
func evenLock(by, curvature float64) Span {
	return Span{math.Asin(math.Sin(by)-curvature) - by, 0, math.Asin(math.Sin(by)+curvature) - by}
}

func TestMoreCurvePointsLeaveLess(t *testing.T) {
	span, curvature := evenLock(rad(10), 0.6), offSquare(rad(10))
	expo, err := FitExpo(span, curvature)
	if err != nil {
		t.Fatal(err)
	}
	before := expo.Before.Nonlinear + expo.Before.Uneven
	for _, n := range []int{5, 7} {
		s, err := FitCurve(span, n, curvature)
		if err != nil {
			t.Fatal(err)
		}
		sum := s.After.Nonlinear + s.After.Uneven
		if sum > 0.75*before {
			t.Errorf("%d points leave %.4f, fewer left %.4f", n, sum, before)
		}
		before = sum
	}
}

// Half a percent of output is at most 0.6 % of the full-lock curvature here, and
// the two sides may miss opposite ways.
func TestManyCurvePointsAreLimitedByWholePercents(t *testing.T) {
	for _, n := range []int{9, 13, 17} {
		s, err := FitCurve(evenLock(rad(10), 0.6), n, offSquare(rad(10)))
		if err != nil {
			t.Fatal(err)
		}
		if s.After.Nonlinear > 0.0075 || s.After.Uneven > 0.012 {
			t.Errorf("%d points leave %+v", n, s.After)
		}
	}
}

func TestUnevenLockIsLeftToTheEndpoints(t *testing.T) {
	s, err := FitCurve(even, 9, offSquare(rad(10)))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "uneven", s.After.Uneven, s.Before.Uneven, 1e-12)
}

func TestCurvatureThatCannotBeShaped(t *testing.T) {
	for _, tt := range []struct {
		name      string
		span      Span
		curvature func(float64) float64
	}{
		{"past a dead point", Span{rad(-100), 0, rad(100)}, math.Sin},
		{"not a number", even, func(float64) float64 { return math.NaN() }},
		{"nothing steers", even, func(float64) float64 { return 0 }},
		{"no range", Span{}, math.Sin},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var e *CurvatureError
			if _, err := FitExpo(tt.span, tt.curvature); !errors.As(err, &e) {
				t.Errorf("expo: got %v", err)
			}
			if _, err := FitCurve(tt.span, 5, tt.curvature); !errors.As(err, &e) {
				t.Errorf("curve: got %v", err)
			}
		})
	}
	for _, n := range []int{-1, 0, 1, 102} {
		var e *SettingError
		if _, err := FitCurve(even, n, math.Sin); !errors.As(err, &e) {
			t.Errorf("%d points: got %v", n, err)
		}
	}
}

func TestCurveWithEvenCountKeepsTheMiddle(t *testing.T) {
	s, err := FitCurve(evenLock(rad(15), 0.5), 6, offSquare(rad(15)))
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Curve) != 6 || s.Curve[2] != -s.Curve[3] || !slices.IsSorted(s.Curve) {
		t.Errorf("got %v", s.Curve)
	}
}

func BenchmarkFitExpo(b *testing.B) {
	for range b.N {
		if _, err := FitExpo(even, offSquare(0.2)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFitCurve9(b *testing.B) {
	for range b.N {
		if _, err := FitCurve(even, 9, offSquare(0.2)); err != nil {
			b.Fatal(err)
		}
	}
}
