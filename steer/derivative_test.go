package steer_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/stat"
)

// differentiable are the quantities with derivatives: all but the leverage.
func differentiable() []steer.Quantity {
	var all []steer.Quantity
	for q := range steer.NumQuantities {
		if q != steer.Leverage {
			all = append(all, q)
		}
	}
	return all
}

// scale is the size of a change of a quantity per radian, or per millimetre of a rig some 30 mm
// across, which tells how exact a difference can be.
func scale(v *steer.Values, q steer.Quantity) float64 {
	switch q.Info().Unit {
	case steer.PerMillimetre:
		return 1e-3
	case steer.Millimetre:
		return max(10, math.Abs(v[q]))
	default:
		return 1
	}
}

// servoAngles are where derivatives are checked; none is straight ahead, where the radius has no
// end.
var servoAngles = []float64{-31, -12, 3, 17, 30}

func TestSensitivitiesAreTheDifferencesOfRebuiltRigs(t *testing.T) {
	for _, name := range rigtest.Names() {
		t.Run(name, func(t *testing.T) {
			r := rigtest.Starter(t, name)
			m := model(t, r)
			if len(m.Measures()) < 20 {
				t.Fatalf("only %d measurements", len(m.Measures()))
			}
			moving := make([]bool, steer.NumQuantities)
			for i, q := range m.Measures() {
				step := rigtest.Step(q)
				more, less := model(t, rigtest.Moved(r, i, step)), model(t, rigtest.Moved(r, i, -step))
				for _, servo := range servoAngles {
					s := m.NewState()
					if err := s.Turn(servo * degree); err != nil {
						t.Fatal(err)
					}
					v, got := s.Values(), s.Sensitivity(i)
					high, low := valuesAt(t, more, servo*degree), valuesAt(t, less, servo*degree)
					for _, k := range differentiable() {
						want := (high[k] - low[k]) / (2 * step)
						if math.Abs(want) > 1e-4*scale(&v, k) {
							moving[k] = true
						}
						// The error of the difference is that of the third derivative and of
						// rounding.
						near(t, fmt.Sprintf("%s by %s at %v°", k.Info().Key, q.Path, servo), got[k], want, 2e-7*scale(&v, k)+2e-6*math.Abs(want))
					}
				}
			}
			for _, k := range differentiable() {
				if !moving[k] {
					t.Errorf("no measurement moves %s", k.Info().Key)
				}
			}
		})
	}
}

func TestRatesAreTheDifferencesOfNeighbouringPoses(t *testing.T) {
	const step = 1e-5
	for _, name := range rigtest.Names() {
		t.Run(name, func(t *testing.T) {
			m := model(t, rigtest.Starter(t, name))
			for _, servo := range servoAngles {
				s := m.NewState()
				if err := s.Turn(servo * degree); err != nil {
					t.Fatal(err)
				}
				v, got := s.ValuesAndRates()
				high, low := valuesAt(t, m, servo*degree+step), valuesAt(t, m, servo*degree-step)
				for _, k := range differentiable() {
					want := (high[k] - low[k]) / (2 * step)
					near(t, fmt.Sprintf("%s at %v°", k.Info().Key, servo), got[k], want, 1e-8*scale(&v, k)+1e-6*math.Abs(want))
				}
			}
		})
	}
}

// Straight ahead a joint of an upright kingpin does not bend, and bends whichever way the wheel
// turns.
func TestUncertaintyIsANumberWhereJointsAreStraight(t *testing.T) {
	m := model(t, rigtest.Planar{Spacing: 150, Wheelbase: 300, TieArm: 26, DragArm: 20, Horn: 20, More: "[accuracy]\nlength = 0.2\nangle = 1"}.Rig(t))
	s := m.NewState()
	u, d := s.Uncertain(), s.Rates()
	for q := range steer.NumQuantities {
		if math.IsNaN(u[q]) || math.IsNaN(d[q]) {
			t.Errorf("%s has the uncertainty %v and the rate %v", q.Info().Key, u[q], d[q])
		}
	}
	if v := s.Values(); v[steer.Joint.Of(steer.Left)] != 0 || v[steer.Joint.Of(steer.Right)] != 0 {
		t.Fatalf("the joints are at %v and %v", v[steer.Joint.Of(steer.Left)], v[steer.Joint.Of(steer.Right)])
	}
	near(t, "the joint's uncertainty against the road angle's", u[steer.Joint.Of(steer.Left)], u[steer.Road.Of(steer.Left)], 0.2*u[steer.Road.Of(steer.Left)])
}

func TestShortFormsAgreeWithValuesAndRates(t *testing.T) {
	for _, name := range rigtest.Names() {
		t.Run(name, func(t *testing.T) {
			s := model(t, rigtest.Starter(t, name)).NewState()
			for _, servo := range servoAngles {
				if err := s.Turn(servo * degree); err != nil {
					t.Fatal(err)
				}
				v, d := s.ValuesAndRates()
				g := s.Snapshot()
				near(t, "left road angle", g.Road[steer.Left], v[steer.Road.Of(steer.Left)], 1e-13)
				near(t, "right road angle", g.Road[steer.Right], v[steer.Road.Of(steer.Right)], 1e-13)
				near(t, "left rate", g.Rate[steer.Left], d[steer.Road.Of(steer.Left)], 1e-12)
				near(t, "right rate", g.Rate[steer.Right], d[steer.Road.Of(steer.Right)], 1e-12)
				near(t, "horn angle", g.HornAngle, v[steer.HornAngle], 1e-11)
				near(t, "far angle", g.FarAngle, v[steer.FarAngle], 1e-11)
				road := s.Road()
				l, r := road[0], road[1]
				near(t, "Road's left", l, v[steer.Road.Of(steer.Left)], 1e-13)
				near(t, "Road's right", r, v[steer.Road.Of(steer.Right)], 1e-13)
				near(t, "Curvature", s.Curvature(), v[steer.Curvature], 1e-15)
				if s.Values() != v || s.Rates() != d {
					t.Error("Values and Rates differ from ValuesAndRates")
				}
			}
		})
	}
}

func TestSnapshotIsANumberAtTheHornsDeadPoint(t *testing.T) {
	m := model(t, rigtest.Planar{Spacing: 150, Wheelbase: 300, TieArm: 26, DragArm: 28, Horn: 5, ServoX: -20, ServoY: -20}.Rig(t))
	for _, direction := range []float64{-1, 1} {
		stops := stopsOf(t, m, direction)
		s := m.NewState()
		dead := stops[len(stops)-1].Servo.Value
		for _, by := range []float64{0, 1e-16, -1e-16, 1e-12, 1e-9} {
			if err := s.Turn(dead + by); err != nil {
				t.Fatal(err)
			}
			near(t, "horn angle", math.Sin(s.Snapshot().HornAngle), 0, 1e-7)
		}
	}
}

// resultCase finds some results of a model, the same ones of a rig that differs a little.
type resultCase struct {
	name string
	// loose is how much less exact the results are than others, for dead points.
	loose float64
	find  func(t *testing.T, m *steer.Model) []steer.Result
}

func checked(t *testing.T, r steer.Result, err error) steer.Result {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func stopsOf(t testing.TB, m *steer.Model, direction float64) []steer.Stop {
	t.Helper()
	stops, err := m.Stops(direction)
	if err != nil {
		t.Fatal(err)
	}
	return stops
}

func dead(s steer.Stop) bool { return s.Kind == steer.FarDeadPoint || s.Kind == steer.HornDeadPoint }

func stopResults(wanted func(s steer.Stop) bool, pick func(t *testing.T, m *steer.Model, s steer.Stop) steer.Result) func(t *testing.T, m *steer.Model) []steer.Result {
	return func(t *testing.T, m *steer.Model) []steer.Result {
		var all []steer.Result
		for _, d := range []float64{-1, 1} {
			for _, s := range stopsOf(t, m, d) {
				if wanted(s) {
					all = append(all, pick(t, m, s))
				}
			}
		}
		return all
	}
}

// lockResults are all that is known of the locks to both sides.
func lockResults(t *testing.T, m *steer.Model, o steer.LockOptions) []steer.Result {
	t.Helper()
	var all []steer.Result
	for _, side := range []steer.Side{steer.Left, steer.Right} {
		l, err := m.Lock(side, o)
		checked(t, l.Servo, err)
		camber, err := l.At(steer.Camber.Of(steer.Right))
		all = append(all, l.Servo, l.Inner, l.Outer, l.Curvature, checked(t, camber, err))
	}
	return all
}

func TestSlopesOfResultsAreTheDifferencesOfRebuiltRigs(t *testing.T) {
	at := func(_ *testing.T, _ *steer.Model, s steer.Stop) steer.Result { return s.Servo }
	living := func(s steer.Stop) bool { return !dead(s) }
	cases := []resultCase{
		{"stated stops", 1, stopResults(living, at)},
		{"horn's dead points", 1, stopResults(func(s steer.Stop) bool { return s.Kind == steer.HornDeadPoint }, at)},
		{"far dead points", 100, stopResults(func(s steer.Stop) bool { return s.Kind == steer.FarDeadPoint }, at)},
		{"square", 1, func(t *testing.T, m *steer.Model) []steer.Result {
			sq, err := m.Square()
			if err != nil || !sq.Reached {
				t.Fatal(err, sq.Reached)
			}
			return []steer.Result{sq.Miss, sq.Servo}
		}},
		{"solved", 1, func(t *testing.T, m *steer.Model) []steer.Result {
			var all []steer.Result
			for _, to := range []struct {
				q    steer.Quantity
				want float64
			}{{steer.Road.Of(steer.Left), 15 * degree}, {steer.Curvature, 5e-4}, {steer.Turn.Of(steer.Right), -11 * degree}} {
				r, err := m.Solved(to.q, to.want, -35*degree, 35*degree)
				all = append(all, checked(t, r, err))
			}
			return all
		}},
		{"at, at what is solved, and solved to that", 1, func(t *testing.T, m *steer.Model) []steer.Result {
			bend, err := m.At(steer.Curvature, 20*degree)
			checked(t, bend, err)
			sign := -math.Copysign(1, bend.Value)
			other, err := m.SolvedTo(steer.Curvature, bend.Times(-sign), sign, 0, -35*degree)
			checked(t, other, err)
			camber, err := m.AtSolved(steer.Camber.Of(steer.Left), other, -1)
			return []steer.Result{bend, other, checked(t, camber, err)}
		}},
		{"locks with a margin", 1, func(t *testing.T, m *steer.Model) []steer.Result {
			return lockResults(t, m, steer.LockOptions{Margin: wheelMargin(3)})
		}},
		{"locks wanted", 1, func(t *testing.T, m *steer.Model) []steer.Result {
			return lockResults(t, m, steer.LockOptions{Margin: wheelMargin(3), Wanted: 24 * degree})
		}},
		{"read", 1, func(t *testing.T, m *steer.Model) []steer.Result {
			r, err := m.RodLength(m.Servo.Link)
			checked(t, r, err)
			turn, err := m.Read(func(v *vehicle.Vehicle) (float64, error) {
				x, ok := v.SquareTurn(v.Leader())
				if !ok {
					return 0, fmt.Errorf("never square")
				}
				return x, nil
			})
			return []steer.Result{r, checked(t, turn, err)}
		}},
	}
	for _, name := range rigtest.Names() {
		r := rigtest.Starter(t, name)
		m := model(t, r)
		more, less := make([]*steer.Model, len(m.Measures())), make([]*steer.Model, len(m.Measures()))
		for i, q := range m.Measures() {
			step := rigtest.Step(q)
			more[i], less[i] = model(t, rigtest.Moved(r, i, step)), model(t, rigtest.Moved(r, i, -step))
		}
		for _, c := range cases {
			t.Run(name+"/"+c.name, func(t *testing.T) {
				t.Parallel()
				got := c.find(t, m)
				for i, q := range m.Measures() {
					high, low := c.find(t, more[i]), c.find(t, less[i])
					if len(high) != len(got) || len(low) != len(got) {
						t.Fatalf("%d results, and %d and %d with %s moved", len(got), len(high), len(low), q.Path)
					}
					for k := range got {
						want := (high[k].Value - low[k].Value) / (2 * rigtest.Step(q))
						near(t, fmt.Sprintf("result %d (%.6g) by %s", k+1, got[k].Value, q.Path), got[k].Slope(q.Path), want, c.loose*(1e-6+5e-6*math.Abs(want)))
					}
				}
				for k, g := range got {
					sum := 0.0
					for _, q := range m.Measures() {
						part := g.Slope(q.Path) * q.Q.Uncertainty
						sum += part * part
					}
					near(t, fmt.Sprintf("uncertainty of result %d", k+1), g.Uncertain, math.Sqrt(sum), 1e-12*math.Sqrt(sum))
				}
			})
		}
	}
}

// What the whole model makes of measurements that scatter must scatter as Uncertain says. With n
// samples a standard deviation is known to one part in √(2n).
func TestUncertaintyIsTheScatterOfRebuiltRigs(t *testing.T) {
	const samples = 2000
	r := rigtest.Starter(t, "chassis")
	// Small errors, so that what is tested is the propagation and not how straight the curves are.
	for _, q := range rigtest.Uncertain(r) {
		q.Q.Uncertainty /= 10
	}
	m := model(t, r)
	s := m.NewState()
	servo := -28 * degree
	if err := s.Turn(servo); err != nil {
		t.Fatal(err)
	}
	want := s.Uncertain()
	found := make([][]float64, steer.NumQuantities)
	rng := rand.New(rand.NewPCG(1, 2))
	sizes := rigtest.Uncertain(r)
	for range samples {
		c := r.Clone()
		for i, q := range rigtest.Uncertain(c) {
			q.Q.Value += rng.NormFloat64() * sizes[i].Q.Uncertainty / 2
			q.Q.Uncertainty = 0
		}
		v := valuesAt(t, model(t, c), servo)
		for q := range v {
			found[q] = append(found[q], v[q])
		}
	}
	for _, q := range differentiable() {
		got := 2 * stat.StdDev(found[q], nil)
		near(t, q.Info().Key, want[q], got, 4*got/math.Sqrt(2*samples))
	}
}

func TestRatesUncertainIsTheScatterOfRates(t *testing.T) {
	r := rigtest.Starter(t, "far-knuckle")
	m := model(t, r)
	servo := 24 * degree
	samples, err := m.Sweep(servo, servo, 1)
	if err != nil {
		t.Fatal(err)
	}
	// By differences of rebuilt rigs, one measurement at a time.
	var sum steer.Values
	for i, q := range m.Measures() {
		step := rigtest.Step(q)
		var d [2]steer.Values
		for k, by := range []float64{step, -step} {
			s := model(t, rigtest.Moved(r, i, by)).NewState()
			if err := s.Turn(servo); err != nil {
				t.Fatal(err)
			}
			d[k] = s.Rates()
		}
		for k := range sum {
			part := (d[0][k] - d[1][k]) / (2 * step) * q.Q.Uncertainty
			sum[k] += part * part
		}
	}
	for _, k := range differentiable() {
		want := math.Sqrt(sum[k])
		near(t, k.Info().Key, samples[0].RatesUncertain[k], want, 1e-4*want+1e-9*scale(&samples[0].Values, k))
	}
}

func TestSharesAddUpToTheUncertainty(t *testing.T) {
	m := model(t, rigtest.Starter(t, "far-knuckle"))
	res, err := m.At(steer.Road.Of(steer.Right), 25*degree)
	if err != nil {
		t.Fatal(err)
	}
	shares := res.Shares()
	sum, square := 0.0, 0.0
	for i, s := range shares {
		sum += s.Part
		square += s.Effect * s.Effect
		if i > 0 && s.Effect > shares[i-1].Effect {
			t.Errorf("%s before %s, which does more", shares[i-1].Measure.Path, s.Measure.Path)
		}
	}
	near(t, "sum of the parts", sum, 1, 1e-12)
	near(t, "root of the effects' squares", math.Sqrt(square), res.Uncertain, 1e-15)
	if res.Uncertain <= 0 {
		t.Error("no uncertainty")
	}
}

func TestSweepHasWhatStatesHave(t *testing.T) {
	m := model(t, rigtest.Starter(t, "centre-crank"))
	samples, err := m.Sweep(-32*degree, 18*degree, 11)
	if err != nil {
		t.Fatal(err)
	}
	s := m.NewState()
	for i, sample := range samples {
		near(t, "servo", sample.Servo, (-32+5*float64(i))*degree, 1e-15)
		if err := s.Turn(sample.Servo); err != nil {
			t.Fatal(err)
		}
		v, d := s.ValuesAndRates()
		u := s.Uncertain()
		for _, q := range differentiable() {
			near(t, q.Info().Key, sample.Values[q], v[q], 1e-12*scale(&v, q))
			near(t, q.Info().Key+"'s rate", sample.Rates[q], d[q], 1e-9*(scale(&v, q)+math.Abs(d[q])))
			near(t, q.Info().Key+"'s uncertainty", sample.Uncertain[q], u[q], 1e-9*(scale(&v, q)+u[q]))
		}
	}
	if _, err := m.Sweep(0, 170*degree, 5); err == nil {
		t.Error("a sweep beyond the linkage's reach gives no error")
	}
}
