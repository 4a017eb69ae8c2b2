package steer_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// readings makes results that err together: each has a half-width and any two a correlation. Their
// errors are sums of those of as many independent measurements, by the Cholesky factor of the
// correlations; which measurements of which rig is all the same.
func readings(t *testing.T, values, halfWidths []float64, correlations *mat.SymDense) []steer.Result {
	t.Helper()
	r := rigtest.Starter(t, "far-knuckle")
	chosen := rigtest.Uncertain(r)[:len(values)]
	counts := map[string]float64{}
	for _, q := range chosen {
		counts[q.Path] = q.Q.Uncertainty
	}
	var factor mat.Cholesky
	if !factor.Factorize(correlations) {
		t.Fatal("no such correlations can be")
	}
	var lower mat.TriDense
	factor.LTo(&lower)
	all, err := steer.ReadRig(r, func(path string) bool { return counts[path] > 0 }, func(_ *rig.Rig, moved steer.Moved) ([]float64, error) {
		out := append([]float64(nil), values...)
		for i := range out {
			for k, q := range chosen {
				if q.Path == moved.Path {
					out[i] += halfWidths[i] * lower.At(i, k) * moved.By / counts[moved.Path]
				}
			}
		}
		return out, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// correlation is that of the errors of two results, from the half-width of their sum.
func correlation(a, b steer.Result) float64 {
	sum := a.Plus(b).Uncertain
	return (sum*sum - a.Uncertain*a.Uncertain - b.Uncertain*b.Uncertain) / (2 * a.Uncertain * b.Uncertain)
}

// Resistance, reactance and impedance from voltage, current and phase angle that were read
// together: JCGM 100, example H.2, tables H.2 to H.4 (seen second-hand; the figures here are
// recomputed, the print rounds a little differently).
func TestArithmeticGivesTheImpedanceOfTheGuidesExample(t *testing.T) {
	read := readings(t, []float64{4.999, 0.019661, 1.04446}, []float64{0.0032, 9.5e-6, 7.5e-4}, mat.NewSymDense(3, []float64{
		1, -0.36, 0.86,
		-0.36, 1, -0.65,
		0.86, -0.65, 1,
	}))
	v, i, phi := read[0], read[1], read[2]
	near(t, "correlation of voltage and current", correlation(v, i), -0.36, 1e-9)
	near(t, "correlation of voltage and phase", correlation(v, phi), 0.86, 1e-9)
	near(t, "correlation of current and phase", correlation(i, phi), -0.65, 1e-9)

	z := steer.Function(v.Value/i.Value, steer.Term{Slope: 1 / i.Value, Of: v}, steer.Term{Slope: -v.Value / (i.Value * i.Value), Of: i})
	sin, cos := math.Sincos(phi.Value)
	r := steer.Product(z, steer.Function(cos, steer.Term{Slope: -sin, Of: phi}))
	x := steer.Product(z, steer.Function(sin, steer.Term{Slope: cos, Of: phi}))
	near(t, "resistance", r.Value, 127.732, 0.0005)
	near(t, "its uncertainty", r.Uncertain, 0.070, 0.0005)
	near(t, "reactance", x.Value, 219.85, 0.005)
	near(t, "its uncertainty", x.Uncertain, 0.30, 0.005)
	near(t, "impedance", z.Value, 254.26, 0.005)
	near(t, "its uncertainty", z.Uncertain, 0.24, 0.005)
	near(t, "correlation of resistance and reactance", correlation(r, x), -0.59, 0.005)
	near(t, "correlation of resistance and impedance", correlation(r, z), -0.49, 0.005)
}

// Sums, products and multiples of results scatter as their half-widths say when what they are made
// of does. With n samples a standard deviation is known to one part in √(2n).
func TestArithmeticIsTheScatterOfWhatItIsMadeOf(t *testing.T) {
	const samples = 20000
	values, wide := []float64{12, -7, 30}, []float64{0.4, 0.3, 0.5}
	correlations := mat.NewSymDense(3, []float64{
		1, 0.7, -0.2,
		0.7, 1, 0.4,
		-0.2, 0.4, 1,
	})
	read := readings(t, values, wide, correlations)
	a, b, c := read[0], read[1], read[2]
	// d shares no error with the others.
	d := steer.Result{Value: 5, Uncertain: 0.6}
	got := []steer.Result{
		a.Plus(b), a.Minus(b), a.Minus(a), a.Times(-3).Plus(c), steer.Product(a, b).Plus(c.Times(2)),
		a.Plus(d), d.Minus(b).Times(2), a.Widened(0.9), a.Widened(0.9).Plus(b), steer.Product(d, b), b.Size(),
	}
	want := func(a, b, c, d, e float64) []float64 {
		return []float64{a + b, a - b, 0, -3*a + c, a*b + 2*c, a + d, 2 * (d - b), a + e, a + e + b, d * b, math.Abs(b)}
	}
	var factor mat.Cholesky
	if !factor.Factorize(correlations) {
		t.Fatal("no such correlations can be")
	}
	var lower mat.TriDense
	factor.LTo(&lower)
	found := make([][]float64, len(got))
	rng := rand.New(rand.NewPCG(5, 6))
	for range samples {
		at, z := make([]float64, len(values)), make([]float64, len(values))
		for k := range z {
			z[k] = rng.NormFloat64() / 2
		}
		for i, v := range values {
			at[i] = v
			for k, x := range z[:i+1] {
				at[i] += wide[i] * lower.At(i, k) * x
			}
		}
		for k, x := range want(at[0], at[1], at[2], 5+0.3*rng.NormFloat64(), 0.45*rng.NormFloat64()) {
			found[k] = append(found[k], x)
		}
	}
	for k, x := range want(values[0], values[1], values[2], 5, 0) {
		near(t, "value "+string(rune('0'+k)), got[k].Value, x, 1e-12)
		scatter := 2 * stat.StdDev(found[k], nil)
		near(t, "half-width "+string(rune('0'+k)), got[k].Uncertain, scatter, 4*scatter/math.Sqrt(2*samples))
	}
}

func TestRootOfSquaresIsThatOfIndependentErrors(t *testing.T) {
	near(t, "two", steer.RootOfSquares(3, -4), 5, 1e-15)
	near(t, "none", steer.RootOfSquares(), 0, 0)
}

// The errors that models of one rig share go together however the models were adjusted.
func TestResultsOfOneRigsModelsGoTogether(t *testing.T) {
	r := rigtest.Starter(t, "chassis")
	length := func(m *steer.Model) steer.Result {
		t.Helper()
		x, err := m.RodLength(m.Servo.Link)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	turned, err := steer.Build(r, steer.Options{Adjustment: vehicle.Adjustment{HornTurn: 1e-9}})
	if err != nil {
		t.Fatal(err)
	}
	now, hardly := length(model(t, r)), length(turned)
	if now.Uncertain < 0.1 {
		t.Fatalf("the drag link is known to ± %g", now.Uncertain)
	}
	near(t, "what no change is uncertain by", hardly.Minus(now).Uncertain, 0, 1e-6)
	exact := length(model(t, r.Exact()))
	near(t, "half-width less an exact length", now.Minus(exact).Uncertain, now.Uncertain, 1e-15)
}

// Where two results differ by their rounding only, no measurement has a share in that.
func TestRoundingIsNoShare(t *testing.T) {
	r, err := model(t, rigtest.Starter(t, "chassis")).At(steer.Road.Of(steer.Left), 0.3)
	if err != nil {
		t.Fatal(err)
	}
	third := r.Times(1.0 / 3).Times(0.1)
	difference := r.Minus(steer.Function(r.Value, steer.Term{Slope: 10, Of: third}, steer.Term{Slope: 20, Of: third}))
	for _, s := range difference.Shares() {
		if s.Part != 0 {
			t.Errorf("%s has a part of %g in a difference of ± %g", s.Measure.Path, s.Part, difference.Uncertain)
		}
	}
	most := r.Shares()[0]
	hardly := r.Minus(r.Times(1 - 1e-9)).Shares()[0]
	if hardly.Measure.Path != most.Measure.Path || math.Abs(hardly.Part-most.Part) > 1e-6 {
		t.Errorf("the greatest share in a small difference is %v, wanted %v", hardly, most)
	}
}

func TestResultsOfUnlikeMeasurementsAreNotPutTogether(t *testing.T) {
	of := func(r *rig.Rig) steer.Result {
		t.Helper()
		x, err := model(t, r).At(steer.Road.Of(steer.Left), 0.2)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	r := rigtest.Starter(t, "chassis")
	better := r.Clone()
	rigtest.Uncertain(better)[0].Q.Uncertainty /= 2
	suspended, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	riding, err := suspended.At(steer.Road.Of(steer.Left), 0.2)
	if err != nil {
		t.Fatal(err)
	}
	for name, other := range map[string]steer.Result{
		"another rig": of(rigtest.Starter(t, "far-knuckle")), "one measured better": of(better), "one on its suspension": riding,
	} {
		func() {
			defer func() {
				if words, ok := recover().(string); !ok || !strings.Contains(words, "different measurements") {
					t.Errorf("%s: added all the same: %q", name, words)
				}
			}()
			of(r).Plus(other)
		}()
	}
}
