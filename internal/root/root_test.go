package root_test

import (
	"math"
	"testing"

	"evenlock/internal/root"
)

func TestFindMeetsKnownRoots(t *testing.T) {
	for _, c := range []struct {
		name       string
		f          func(float64) float64
		a, b, want float64
	}{
		{"cosine", math.Cos, 0, 3, math.Pi / 2},
		{"cube root of two", func(x float64) float64 { return x*x*x - 2 }, 0, 5, math.Cbrt(2)},
		{"backwards", func(x float64) float64 { return x*x*x - 2 }, 5, 0, math.Cbrt(2)},
		{"a flat side", func(x float64) float64 { return math.Expm1(30 * (x - 0.3)) }, -5, 1, 0.3},
		{"at an end", func(x float64) float64 { return x - 1 }, 1, 4, 1},
		{"a square root's start", func(x float64) float64 { return math.Sqrt(math.Max(0, x-1)) - 1e-3 }, 0, 9, 1 + 1e-6},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := root.Find(c.f, c.a, c.b, 1e-13); math.Abs(got-c.want) > 1e-12 {
				t.Errorf("got %.15g, wanted %.15g", got, c.want)
			}
		})
	}
}
