package radio

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/interp"
	"pgregory.net/rapid"

	"evenlock/rig"
)

func TestStages(t *testing.T) {
	c := bench()
	whole := c
	whole.TrimKind = TrimWhole
	servo := c
	servo.Travel = rig.Quantity{Value: rad(30), Given: true}
	readReversed := c
	readReversed.ReadReversed = true
	tests := []struct {
		name                string
		c                   Calibration
		s                   rig.Settings
		right, centre, left float64 // degrees
	}{
		{"zero values are endpoints and rate of 100", c, rig.Settings{}, -42, 0, 42},
		{"each endpoint its own side", c, rig.Settings{EndpointLeft: 80, EndpointRight: 62}, -26.04, 0, 33.6},
		{"rate scales both sides", c, rig.Settings{EndpointLeft: 80, EndpointRight: 60, Rate: 50}, -12.6, 0, 16.8},
		{"subtrim moves ends and centre", c, rig.Settings{Subtrim: 30}, -39, 3, 45},
		{"trim moves the centre only", c, rig.Settings{Trim: 20}, -42, 3, 42},
		{"trim moves the whole range", whole, rig.Settings{Trim: 20}, -39, 3, 45},
		{"reverse turns everything round", whole, rig.Settings{Reverse: true, Trim: 20, EndpointLeft: 80}, 39, -3, -36.6},
		{"still reversed as when read: nothing turns round", readReversed, rig.Settings{Reverse: true, EndpointLeft: 80}, -42, 0, 33.6},
		{"reversed when read and no longer", readReversed, rig.Settings{EndpointLeft: 80}, 42, 0, -33.6},
		{"held at the greatest endpoint", c, rig.Settings{EndpointLeft: 120, EndpointRight: 120, Subtrim: 50}, -45.4, 5, 50.4},
		{"held at the servo's travel", servo, rig.Settings{EndpointRight: 60, Subtrim: 30}, -22.2, 3, 30},
		{"a curve that ends short", c, rig.Settings{Curve: []float64{-90, 0, 80}}, -37.8, 0, 33.6},
		{"expo leaves ends and centre", c, rig.Settings{Expo: 60}, -42, 0, 42},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			nearSpan(t, "span", model(t, tt.c, tt.s).Span(), Span{rad(tt.right), rad(tt.centre), rad(tt.left)})
		})
	}
}

func TestClipIsReported(t *testing.T) {
	c := bench()
	s := rig.Settings{EndpointLeft: 120, EndpointRight: 100, Subtrim: 50}
	servo := c
	servo.Travel = rig.Quantity{Value: rad(40), Uncertainty: rad(1), Given: true}
	for _, tt := range []struct {
		name  string
		c     Calibration
		stick float64
		want  Clip
	}{
		{"left end beyond the transmitter", c, 1, ClipTransmitter},
		{"right end free", c, -1, ClipNone},
		{"centre free", c, 0, ClipNone},
		{"servo first", servo, 1, ClipServo},
	} {
		t.Run(tt.name, func(t *testing.T) {
			out := model(t, tt.c, s).At(tt.stick)
			if out.Clip != tt.want {
				t.Errorf("got %v, want %v", out.Clip, tt.want)
			}
			if held := out.RateLeft == 0 && out.RateRight == 0; held != (tt.want != ClipNone) {
				t.Errorf("rates %g and %g", out.RateRight, out.RateLeft)
			}
		})
	}
}

// The formula (1-e)·x + e·x³ is common practice; the figures are worked by hand.
func TestExpoFormula(t *testing.T) {
	for _, tt := range []struct{ expo, stick, want float64 }{
		{0, 0.5, 0.5},
		{100, 0.5, 0.125},
		{40, 0.5, 0.6*0.5 + 0.4*0.125},
		{-40, 0.5, 1.4*0.5 - 0.4*0.125},
		{-100, 0.5, 2*0.5 - 0.125},
		{-100, 0.8, 1}, // 1.088 before it is held
	} {
		m := model(t, bench(), rig.Settings{Expo: tt.expo})
		near(t, "expo", m.Angle(tt.stick), tt.want*rad(42), 1e-12)
	}
}

func TestCurveAgreesWithGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 17).Draw(t, "n")
		x, curve := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = 2*float64(i)/float64(n-1) - 1
			curve[i] = float64(rapid.IntRange(-100, 100).Draw(t, "point"))
		}
		var reference interp.PiecewiseLinear
		if err := reference.Fit(x, curve); err != nil {
			t.Fatal(err)
		}
		m := model(t, bench(), rig.Settings{Curve: curve})
		stick := rapid.Float64Range(-1, 1).Draw(t, "stick")
		if got, want := m.Angle(stick), rad(0.42)*reference.Predict(stick); math.Abs(got-want) > 1e-12 {
			t.Fatalf("got %g, want %g", got, want)
		}
	})
}

func TestSettingsThatCannotBe(t *testing.T) {
	c := bench()
	tests := []struct {
		name string
		s    rig.Settings
		key  string
	}{
		{"subtrim beyond its range", rig.Settings{Subtrim: 101}, "subtrim"},
		{"trim beyond its range", rig.Settings{Trim: -31}, "trim"},
		{"endpoint beyond its range", rig.Settings{EndpointLeft: 121}, "endpoint_left"},
		{"negative endpoint", rig.Settings{EndpointRight: -5}, "endpoint_right"},
		{"negative rate", rig.Settings{Rate: -1}, "rate"},
		{"expo beyond 100", rig.Settings{Expo: 101}, "expo"},
		{"not a number", rig.Settings{Expo: math.NaN()}, "expo"},
		{"rate without end", rig.Settings{Rate: math.Inf(1)}, "rate"},
		{"a curve of one point", rig.Settings{Curve: []float64{0}}, "curve"},
		{"a curve point beyond 100", rig.Settings{Curve: []float64{-100, 0, 130}}, "curve[2]"},
		{"centre trim past the end", rig.Settings{Trim: 30, EndpointLeft: 5}, "trim"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m, err := NewModel(c, tt.s)
			var e *SettingError
			if !errors.As(err, &e) || e.Key != tt.key || m != nil {
				t.Errorf("got %v", err)
			}
		})
	}
	var missing *MissingReadingError
	if _, err := NewModel(Calibration{}, rig.Settings{}); !errors.As(err, &missing) {
		t.Errorf("no calibration: got %v", err)
	}
}

func TestMirrorGivesMirroredAngles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := bench()
		c.TrimKind = rapid.SampledFrom([]TrimKind{TrimCentre, TrimWhole}).Draw(t, "trim kind")
		s := drawSettings(t)
		m, mirror := model(t, c, s), model(t, c, mirrored(s))
		stick := rapid.Float64Range(-1, 1).Draw(t, "stick")
		a, b := m.At(stick), mirror.At(-stick)
		if math.Abs(a.Angle+b.Angle) > 1e-12 || a.Clip != b.Clip {
			t.Fatalf("%+v against %+v", a, b)
		}
		corner := 0.0 // a joint found a hair to one side has another rate
		for _, q := range []*Model{m, mirror} {
			q.corners(func(x float64) {
				if d := math.Abs(math.Abs(stick) - math.Abs(x)); d > 0 && d < 1e-9 {
					corner = 1
				}
			})
		}
		if corner == 0 && (math.Abs(a.RateLeft-b.RateRight) > 1e-9 || math.Abs(a.RateRight-b.RateLeft) > 1e-9) {
			t.Fatalf("%+v against %+v", a, b)
		}
	})
}

// Each side against a one-sided second-order difference (gonum's diff/fd).
func TestRatesAgreeWithDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := bench()
		c.TrimKind = rapid.SampledFrom([]TrimKind{TrimCentre, TrimWhole}).Draw(t, "trim kind")
		m := model(t, c, drawSettings(t))
		stick := rapid.OneOf(rapid.Just(0.0), rapid.Just(-0.5), rapid.Float64Range(-0.99, 0.99)).Draw(t, "stick")
		const step = 1e-6
		for _, toLeft := range []bool{false, true} {
			h := step
			if !toLeft {
				h = -step
			}
			// The side judged must hold no corner within the differences' reach.
			smooth := m.At(stick).Clip == m.At(stick+2*h).Clip
			m.corners(func(x float64) {
				if between := (x - stick) / h; between != 0 && between > -1e-3 && between < 3 {
					smooth = false
				}
			})
			if e := m.expo; e < -0.5 && math.Abs(math.Abs(stick)-fullAt(e)) < 3*step {
				smooth = false
			}
			// A clip that begins between the points is a corner as well.
			if m.At(stick+h).Clip != m.At(stick).Clip || !smooth {
				continue
			}
			got := m.At(stick).RateRight
			if toLeft {
				got = m.At(stick).RateLeft
			}
			d := h / step
			want := fd.Derivative(m.Angle, stick, &fd.Settings{Step: step, Formula: fd.Formula{
				Stencil:    []fd.Point{{Loc: 0, Coeff: -1.5 * d}, {Loc: d, Coeff: 2 * d}, {Loc: 2 * d, Coeff: -0.5 * d}},
				Derivative: 1, Step: step,
			}})
			if math.Abs(got-want) > 1e-6 {
				t.Fatalf("to left %v at %g: got %g, want %g", toLeft, stick, got, want)
			}
		}
	})
}

func TestStickForUndoesAngle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawBench(t)
		c.TrimKind = rapid.SampledFrom([]TrimKind{TrimCentre, TrimWhole}).Draw(t, "trim kind")
		if rapid.Bool().Draw(t, "servo limits") {
			c.Travel = rig.Quantity{Value: rad(35), Given: true}
		}
		m := model(t, c, drawSettings(t))
		stick := rapid.OneOf(rapid.Just(1.0), rapid.Just(-1.0), rapid.Just(0.0), rapid.Float64Range(-1, 1)).Draw(t, "stick")
		out := m.At(stick)
		got, err := m.StickFor(out.Angle)
		if err != nil {
			t.Fatal(err)
		}
		if back := m.Angle(got); math.Abs(back-out.Angle) > 1e-11 {
			t.Fatalf("stick %g gives %g, not %g", got, back, out.Angle)
		}
		if math.Abs(got) > math.Abs(stick)+1e-9 {
			t.Fatalf("%g is further from centre than %g", got, stick)
		}
		// Where the map is steep enough to tell sticks apart, it is the same stick.
		if min(math.Abs(out.RateLeft), math.Abs(out.RateRight)) > 0.05 && math.Abs(got-stick) > 1e-8 {
			t.Fatalf("got stick %g, want %g", got, stick)
		}
	})
}

func TestStickForTakesTheStickNearestCentre(t *testing.T) {
	for _, tt := range []struct {
		name           string
		curve          []float64
		percent, stick float64
	}{
		{"a curve that turns back on the left", []float64{-100, -50, 0, 80, 40}, 60, 0.375},
		{"a curve that turns back on the right", []float64{-40, -80, 0, 50, 100}, -60, -0.375},
		{"level on the left", []float64{-100, -50, 0, 50, 50}, 50, 0.5},
		{"level on the right", []float64{-50, -50, 0, 50, 100}, -50, -0.5},
		{"both sides go left", []float64{80, 40, 0, 20, 60}, 30, -0.375},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := model(t, bench(), rig.Settings{Curve: tt.curve}).StickFor(rad(0.42 * tt.percent))
			if err != nil {
				t.Fatal(err)
			}
			near(t, "stick", got, tt.stick, 1e-12)
		})
	}
}

func TestStickForBeyondReachSaysHowFarItGot(t *testing.T) {
	m := model(t, bench(), rig.Settings{EndpointLeft: 80, EndpointRight: 60, Subtrim: 10})
	for _, tt := range []struct{ wanted, reached, stick float64 }{
		{50, 34.6, 1},
		{-30, -24.2, -1},
	} {
		stick, err := m.StickFor(rad(tt.wanted))
		var e *ReachError
		if !errors.As(err, &e) {
			t.Fatalf("got %v", err)
		}
		near(t, "reached", e.Reached, rad(tt.reached), 1e-12)
		near(t, "stick", stick, tt.stick, 0)
	}
	if _, err := m.StickFor(math.NaN()); err == nil {
		t.Error("not a number passed")
	}
}

func TestSubtrimMovesEndsAndCentreAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := bench()
		c.MaxEndpoint = 0 // nothing clips
		c.TrimKind = rapid.SampledFrom([]TrimKind{TrimCentre, TrimWhole}).Draw(t, "trim kind")
		s := drawSettings(t)
		s.Subtrim = 0
		steps := float64(rapid.IntRange(-100, 100).Draw(t, "steps"))
		change, err := c.Shift(s, steps)
		if err != nil {
			t.Fatal(err)
		}
		want := rad(0.1) * steps
		if s.Reverse {
			want = -want
		}
		got := change.Moved()
		for _, v := range []float64{got.Right, got.Centre, got.Left} {
			if math.Abs(v-want) > 1e-12 {
				t.Fatalf("moved %+v, want %g", got, want)
			}
		}
	})
}

func TestCentreTrimLeavesEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := bench()
		s := drawSettings(t)
		s.Trim, s.Subtrim = 0, 0
		steps := float64(rapid.IntRange(-30, 30).Draw(t, "steps"))
		change, err := c.TrimEffect(s, TrimCentre, steps)
		if err != nil {
			t.Fatal(err)
		}
		want := rad(0.15) * steps
		if s.Reverse {
			want = -want
		}
		got := change.Moved()
		if math.Abs(got.Left) > 1e-12 || math.Abs(got.Right) > 1e-12 || math.Abs(got.Centre-want) > 1e-12 {
			t.Fatalf("moved %+v, want only the centre by %g", got, want)
		}
	})
}

func TestMapRisesWithTrimAndExpo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSettings(t)
		s.Reverse = false
		m := model(t, drawBench(t), s)
		a, b := rapid.Float64Range(-1, 1).Draw(t, "a"), rapid.Float64Range(-1, 1).Draw(t, "b")
		if a > b {
			a, b = b, a
		}
		if m.Angle(a) > m.Angle(b)+1e-12 {
			t.Fatalf("%g at %g, but %g at %g", m.Angle(a), a, m.Angle(b), b)
		}
	})
}

func TestUncertaintyOfTheAngle(t *testing.T) {
	c := bench() // every scale ± 2 %
	assumed := c
	assumed.Subtrim = c.Endpoint
	assumed.Subtrim.Assumed = true
	travel := c
	travel.Travel = rig.Quantity{Value: rad(30), Uncertainty: rad(2), Given: true}
	whole := c
	whole.TrimKind = TrimWhole
	tests := []struct {
		name  string
		c     Calibration
		s     rig.Settings
		stick float64
		want  float64 // degrees
	}{
		{"nothing at the neutral pulse", c, rig.Settings{}, 0, 0},
		{"the endpoint's at full stick", c, rig.Settings{}, 1, 0.84},
		{"independent scales in quadrature", c, rig.Settings{Subtrim: 50}, 1, 0.02 * math.Hypot(42, 5)},
		{"an assumed scale errs with the endpoint's", assumed, rig.Settings{Subtrim: 10}, 1, 0.02 * (42 + 4.2)},
		{"centre trim adds nothing at the ends", c, rig.Settings{Trim: 20}, -1, 0.84},
		{"whole-range trim adds everywhere", whole, rig.Settings{Trim: 20}, -1, 0.02 * math.Hypot(42, 3)},
		{"held at the transmitter's range", c, rig.Settings{EndpointLeft: 120, Subtrim: 50}, 1, 0.02 * 50.4},
		{"held by the servo", travel, rig.Settings{}, 1, 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			near(t, "degrees", degrees(model(t, tt.c, tt.s).Uncertainty(tt.stick)), tt.want, 1e-9)
		})
	}
}

func TestEvaluationAllocatesNothing(t *testing.T) {
	m := model(t, bench(), rig.Settings{Expo: 30, Subtrim: 5, Trim: 10, Curve: []float64{-100, -40, 0, 50, 100}})
	var sink float64
	n := testing.AllocsPerRun(100, func() {
		sink += m.Angle(0.3) + m.At(-0.4).RateLeft + m.Uncertainty(0.2)
		x, err := m.StickFor(0.1)
		if err != nil {
			t.Fatal(err)
		}
		sink += x
	})
	if n != 0 || math.IsNaN(sink) {
		t.Errorf("%g allocations", n)
	}
}

func TestStickOutsideItsRange(t *testing.T) {
	m := model(t, bench(), rig.Settings{})
	near(t, "past full left", m.Angle(1.5), m.Angle(1), 0)
	near(t, "past full right", m.At(-3).Angle, m.Angle(-1), 0)
	if !math.IsNaN(m.Angle(math.NaN())) || !math.IsNaN(m.At(math.NaN()).Angle) || !math.IsNaN(m.Uncertainty(math.NaN())) {
		t.Error("not a number came out as a number")
	}
}

func BenchmarkAt(b *testing.B) {
	m := model(b, bench(), rig.Settings{Expo: 30, Subtrim: 5, Trim: 10, Curve: []float64{-100, -40, 0, 50, 100}})
	b.ReportAllocs()
	sum := 0.0
	for i := range b.N {
		sum += m.At(float64(i%2001)/1000 - 1).Angle
	}
	if math.IsNaN(sum) {
		b.Fatal("not a number")
	}
}
