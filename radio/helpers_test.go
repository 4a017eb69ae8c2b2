package radio

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"evenlock/rig"
)

func rad(degrees float64) float64 { return degrees * math.Pi / 180 }

func ptr(v float64) *float64 { return &v }

func angle(degrees, uncertainty float64) rig.Angle {
	return rig.Angle{Quantity: rig.Quantity{Value: rad(degrees), Uncertainty: rad(uncertainty), Given: true}}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.10g, want %.10g within %g", what, got, want, within)
	}
}

func nearSpan(t *testing.T, what string, got, want Span) {
	t.Helper()
	near(t, what+", right", got.Right, want.Right, 1e-12)
	near(t, what+", centre", got.Centre, want.Centre, 1e-12)
	near(t, what+", left", got.Left, want.Left, 1e-12)
}

// bench is an invented transmitter: 0.42° of servo per endpoint percent, 0.1° per
// subtrim step, 0.15° per trim step, positive turning the servo counter-clockwise.
func bench() Calibration {
	scale := func(degrees float64) Scale {
		return Scale{PerUnit: rig.Quantity{Value: rad(degrees), Uncertainty: rad(degrees / 50), Given: true}}
	}
	return Calibration{
		Endpoint: scale(0.42), Subtrim: scale(0.1), Trim: scale(0.15), Neutral: 1500,
		MaxEndpoint: 120, MaxSubtrim: 100, MaxTrim: 30, TrimKind: TrimCentre,
	}
}

func model(t interface {
	Helper()
	Fatalf(string, ...any)
}, c Calibration, s rig.Settings,
) *Model {
	t.Helper()
	m, err := NewModel(c, s)
	if err != nil {
		t.Fatalf("NewModel: %v", err)
	}
	return m
}

// drawSettings draws settings with a rising curve, so that the map never turns back.
func drawSettings(t *rapid.T) rig.Settings {
	s := rig.Settings{
		Reverse:       rapid.Bool().Draw(t, "reverse"),
		Subtrim:       float64(rapid.IntRange(-100, 100).Draw(t, "subtrim")),
		Trim:          float64(rapid.IntRange(-30, 30).Draw(t, "trim")),
		EndpointLeft:  float64(rapid.IntRange(40, 120).Draw(t, "left")),
		EndpointRight: float64(rapid.IntRange(40, 120).Draw(t, "right")),
		Rate:          float64(rapid.IntRange(50, 100).Draw(t, "rate")),
		Expo:          float64(rapid.IntRange(-100, 100).Draw(t, "expo")),
	}
	if n := rapid.SampledFrom([]int{0, 2, 3, 4, 5, 9}).Draw(t, "points"); n > 0 {
		s.Curve = make([]float64, n)
		s.Curve[0], s.Curve[n-1] = -100, 100
		for i := 1; i < n-1; i++ {
			middle := 200*float64(i)/float64(n-1) - 100
			s.Curve[i] = math.Round(middle + rapid.Float64Range(-9, 9).Draw(t, "point"))
		}
		if n%2 == 1 {
			s.Curve[n/2] = 0
		}
	}
	return s
}

// mirrored swaps left and right.
func mirrored(s rig.Settings) rig.Settings {
	s.EndpointLeft, s.EndpointRight = s.EndpointRight, s.EndpointLeft
	s.Subtrim, s.Trim = -s.Subtrim, -s.Trim
	c := make([]float64, len(s.Curve))
	for i, p := range s.Curve {
		c[len(c)-1-i] = -p
	}
	s.Curve = c
	return s
}

// drawBench is the bench with a servo that may be uneven.
func drawBench(t *rapid.T) Calibration {
	c := bench()
	if rapid.Bool().Draw(t, "uneven") {
		more := rapid.Float64Range(-0.2, 0.2).Draw(t, "more counter-clockwise")
		for i, way := range [2]float64{1 + more, 1 - more} {
			c.Ways[i] = rig.Quantity{Value: way, Uncertainty: 0.02, Given: true}
		}
	}
	return c
}
