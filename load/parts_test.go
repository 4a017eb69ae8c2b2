package load_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"evenlock/load"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

const degree = math.Pi / 180

func near(t rapid.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %v, wanted %v ± %v", what, got, want, tol)
	}
}

// Definitions, NIST SP 811 (from memory).
func TestTorqueUnitsOfSP811(t *testing.T) {
	near(t, "kgf·cm in N·m", load.KilogramForceCentimetre/load.NewtonMetre, 0.0980665, 1e-15)
	near(t, "ozf·in in N·m", load.OunceForceInch/load.NewtonMetre, 7.061552e-3, 0.5e-9)
	near(t, "kgf·cm in ozf·in", load.KilogramForceCentimetre/load.OunceForceInch, 13.88739, 0.5e-5)
}

// Automotive Chassis Engineering, example E2.1 (seen; authors from memory): µ 0.58, 1200 × 9.81 N,
// patch 250 mm, offset 25 mm, inclination 12°. SAE SP-374 (from memory) for the other formula.
func TestStandingTyreOfTheTextbookExample(t *testing.T) {
	const friction, weight, patch, offset = 0.58, 1200 * 9.81, 250.0, 25.0
	near(t, "scrub, N·m", load.ScrubMoment(friction, weight, offset, patch)/1000, 594, 0.5)
	near(t, "lever, mm", load.ScrubMoment(1, 1, offset, patch), 87, 0.05)
	near(t, "jacking at 28°, N·m", load.JackingMoment(weight, offset, 12*degree, 28*degree)/1000, 28, 0.5)
	near(t, "jacking at 45°, N·m", load.JackingMoment(weight, offset, 12*degree, 45*degree)/1000, 42, 0.5)
	near(t, "patch formula, N·m", load.PatchMoment(friction, weight, patch, offset)/1000, 627, 0.5)
	near(t, "over a uniform circle", load.PatchMoment(1, 1, patch, 0)/(patch/3), 1.06, 0.005)
}

// uprightWheel is a left wheel, its middle 30 mm outside an upright kingpin.
func uprightWheel(radius float64) load.Wheel {
	return load.Wheel{
		Centre: r3.Vec{Y: 30}, Spindle: r3.Vec{Y: 1},
		KingpinPoint: r3.Vec{}, Kingpin: r3.Vec{Z: 1}, Radius: radius, Width: 40,
	}
}

// turned returns the wheel turned about its kingpin.
func turned(w load.Wheel, by float64) load.Wheel {
	r := r3.NewRotation(by, w.Kingpin)
	w.Spindle = r.Rotate(w.Spindle)
	w.Centre = r3.Add(w.KingpinPoint, r.Rotate(r3.Sub(w.Centre, w.KingpinPoint)))
	return w
}

// The published jacking moment is that of an upward force on a contact that goes round with the
// knuckle; from the force's place it must come out to rounding.
func TestWeightOnAContactGivesTheJackingFormulaExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weight := rapid.Float64Range(1, 1e4).Draw(t, "weight")
		offset := rapid.Float64Range(-60, 60).Draw(t, "offset")
		k := rapid.Float64Range(-20, 20).Draw(t, "inclination") * degree
		turn := rapid.Float64Range(-60, 60).Draw(t, "turn") * degree
		w := load.Wheel{Kingpin: r3.Vec{Y: -math.Sin(k), Z: math.Cos(k)}}
		at := r3.NewRotation(turn, w.Kingpin).Rotate(r3.Vec{Y: offset})
		got := w.KingpinMoment(load.Contact{At: at, Force: r3.Vec{Z: weight}})
		near(t, "moment that brings the wheel back", -got, load.JackingMoment(weight, offset, k, turn), 1e-12*weight*60)
	})
}

func TestOffsetIsScrubRadiusAndTrailTogether(t *testing.T) {
	w := uprightWheel(60)
	near(t, "upright kingpin", w.Offset(), 30, 1e-12)
	// A kingpin through the wheel's middle height, leaning back 10° and in 8°, meets the ground
	// R tan 10° ahead and R tan 8° further out.
	w.Kingpin = r3.Unit(r3.Vec{X: -math.Tan(10 * degree), Y: -math.Tan(8 * degree), Z: 1})
	near(t, "leaning kingpin", w.Offset(), math.Hypot(60*math.Tan(10*degree), 30-60*math.Tan(8*degree)), 1e-12)
}

func TestRockPressesSquareToTheTread(t *testing.T) {
	w := uprightWheel(60)
	at := func(height, across float64) load.Contact { return load.Rock(height, across, 20)(&w).Contacts[0] }
	c := at(60, 5)
	if r3.Norm(r3.Sub(c.Force, r3.Vec{X: -20})) > 1e-12 || r3.Norm(r3.Sub(c.At, r3.Vec{X: 60, Y: 35})) > 1e-12 {
		t.Errorf("at the axle's height: %v, wanted 20 N straight back at the front of the tread", c)
	}
	near(t, "moment, outward of the kingpin turns a left wheel left", w.KingpinMoment(c), 20*35, 1e-9)
	// A step of height R/2: the edge is 60° round from the lowest point, 3-4-5-like by cos 60° =
	// 1/2.
	c = at(30, 0)
	near(t, "push back", -c.Force.X, 20*math.Sin(60*degree), 1e-12)
	near(t, "push up", c.Force.Z, 20*0.5, 1e-12)
	c = at(0, 0)
	near(t, "flat ground pushes up", c.Force.Z, 20, 1e-12)
	if higher := at(80, 0); r3.Norm(r3.Sub(higher.Force, r3.Vec{X: -20})) > 1e-12 {
		t.Errorf("above the axle: %v N, wanted straight back", higher.Force)
	}
}

// A steered wheel takes the rock with it: about an upright kingpin the moment stays.
func TestRockBeforeATurnedWheelHasTheSameLever(t *testing.T) {
	for _, turn := range []float64{-40, 15, 40} {
		w := turned(uprightWheel(60), turn*degree)
		near(t, "moment", w.KingpinMoment(load.Rock(60, 5, 20)(&w).Contacts...), 20*35, 1e-9)
	}
}

func TestWedgeIsACoupleOverTheChord(t *testing.T) {
	w := uprightWheel(50)
	// Depth 20 of radius 50: half chord 40, a 3-4-5 triangle.
	near(t, "moment", load.Wedge(20, 7)(&w).Resist, 7*80, 1e-9)
	both := load.Together(load.Wedge(20, 7), load.Standing(0.5, 10, 30))(&w)
	near(t, "together", both.Resist, 7*80+load.ScrubMoment(0.5, 10, 30, 30), 1e-9)
	if len(both.Contacts) != 1 {
		t.Errorf("%d contacts, wanted the one of the weight", len(both.Contacts))
	}
}

func truck() load.Vehicle {
	return load.Vehicle{Mass: 2.5, FrontShare: 0.6, Height: 70, Wheelbase: 310, Track: 200}
}

// Rigid-body statics, by sums over the four ground points.
func TestWheelLoadsAreInEquilibrium(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := truck()
		v.FrontShare = rapid.Float64Range(0.4, 0.6).Draw(t, "share")
		slope := rapid.Float64Range(-30, 30).Draw(t, "slope") * degree
		tilt := rapid.Float64Range(-30, 30).Draw(t, "tilt") * degree
		w, err := v.WheelLoads(slope, tilt)
		if err != nil {
			t.Fatal(err)
		}
		weight := v.Mass * 9.80665
		near(t, "sum", w[0][0]+w[0][1]+w[1][0]+w[1][1], weight*math.Cos(slope)*math.Cos(tilt), 1e-9)
		// About the line through the other axle's contacts, and the one through the right wheels'
		// contacts.
		cg := v.FrontShare * v.Wheelbase
		near(t, "pitch", (w[0][0]+w[0][1])*v.Wheelbase,
			weight*(math.Cos(slope)*math.Cos(tilt)*cg-math.Sin(slope)*v.Height), 1e-9)
		near(t, "roll", (w[0][0]+w[1][0])*v.Track,
			weight*math.Cos(slope)*(math.Cos(tilt)*v.Track/2-math.Sin(tilt)*v.Height), 1e-9)
		mirror, err := v.WheelLoads(slope, -tilt)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mirror", mirror[0][0], w[0][1], 1e-12)
	})
}

// Static stability factor: a rigid vehicle tips sideways at tan = track/(2 height) (handbook, from
// memory).
func TestAVehicleTipsAtItsStabilityFactor(t *testing.T) {
	v := truck()
	edge := math.Atan(200.0 / (2 * 70))
	if _, err := v.WheelLoads(0, edge-1e-9); err != nil {
		t.Errorf("tipped too early: %v", err)
	}
	if _, err := v.WheelLoads(0, edge+1e-9); !errors.Is(err, load.ErrTips) {
		t.Errorf("got %v, wanted ErrTips", err)
	}
	// Backwards when the weight is over the other axle: tan = 0.6 × 310/70.
	edge = math.Atan(0.6 * 310 / 70)
	if _, err := v.WheelLoads(edge+1e-9, 0); !errors.Is(err, load.ErrTips) {
		t.Errorf("got %v, wanted ErrTips", err)
	}
	if _, err := v.WheelLoads(edge-1e-9, 0); err != nil {
		t.Errorf("tipped too early: %v", err)
	}
	for _, bad := range []load.Vehicle{{}, {Mass: math.NaN(), Wheelbase: 1, Track: 1}, {Mass: 1, FrontShare: 1.1, Wheelbase: 1, Track: 1}, {Mass: math.Inf(1), Wheelbase: 1, Track: 1}} {
		if _, err := bad.WheelLoads(0, 0); !errors.Is(err, load.ErrVehicle) {
			t.Errorf("%+v: got %v, wanted ErrVehicle", bad, err)
		}
	}
}

// motor is a direct-current motor with gears from its physics: torque constant and
// back-EMF constant at the output shaft, and winding resistance.
type motor struct{ k, resistance float64 } // N·mm/A; the same in V·s/rad is k/1000

func (m motor) rating(v float64) load.Rating {
	return load.Rating{Voltage: v, Stall: m.k * v / m.resistance, Speed: v / (m.k / 1000), StallCurrent: v / m.resistance}
}

// The motor's own equations, U = I (R + R_supply) + k ω and T = k I, against the servo made of its
// ratings.
func TestServoIsADirectCurrentMotor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := motor{rapid.Float64Range(100, 2000).Draw(t, "k"), rapid.Float64Range(0.5, 5).Draw(t, "winding")}
		s := load.Servo{Ratings: []load.Rating{m.rating(6), m.rating(7.4)}}
		from := load.Supply{Voltage: rapid.Float64Range(4.8, 8.4).Draw(t, "U"), Resistance: rapid.Float64Range(0, 1).Draw(t, "R")}
		stall, at, err := s.Stall(from)
		if err != nil {
			t.Fatal(err)
		}
		current := from.Voltage / (m.resistance + from.Resistance)
		near(t, "stall torque", stall, m.k*current, 1e-9*stall)
		near(t, "stall current", at.Current, current, 1e-9*current)
		near(t, "voltage at stall", at.Voltage, from.Voltage-from.Resistance*current, 1e-9*from.Voltage)
		near(t, "speed at stall", at.Speed, 0, 1e-9*at.Voltage/m.k*1000)

		torque := rapid.Float64Range(0, 0.99).Draw(t, "part") * stall
		run, err := s.Under(torque, from)
		if err != nil {
			t.Fatal(err)
		}
		i := torque / m.k
		near(t, "current", run.Current, i, 1e-9*current)
		near(t, "speed", run.Speed, (from.Voltage-i*(m.resistance+from.Resistance))/(m.k/1000), 1e-8*from.Voltage/m.k*1000)

		held, err := s.Hold(torque, from.Voltage)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "heat", held.Heat, i*i*m.resistance, 1e-9*held.Heat)
	})
}

func exampleServo() load.Servo {
	return load.Servo{
		Ratings: []load.Rating{
			{Voltage: 6, Stall: 20 * load.KilogramForceCentimetre, Speed: load.SpeedOf(0.18), StallCurrent: 2.5},
			{Voltage: 7.4, Stall: 25 * load.KilogramForceCentimetre, Speed: load.SpeedOf(0.14), StallCurrent: 3},
		},
		IdleCurrent: 0.2,
	}
}

func TestRatingsAreMetAndJoinedByStraightLines(t *testing.T) {
	s := exampleServo()
	for _, r := range s.Ratings {
		if got, err := s.At(r.Voltage); err != nil || got != r {
			t.Errorf("at %v V: %+v, %v", r.Voltage, got, err)
		}
	}
	between, err := s.At(6.7)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "torque half-way", between.Stall, 22.5*load.KilogramForceCentimetre, 1e-9)
	low, err := s.At(3)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "torque at half the voltage", low.Stall, 10*load.KilogramForceCentimetre, 1e-9)
	high, err := s.At(14.8)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "speed at twice the voltage", high.Speed, 2*load.SpeedOf(0.14), 1e-12)
}

// Peak power of a straight line is at half the stall torque (handbook).
func TestPowerPeaksAtHalfTheStallTorque(t *testing.T) {
	r := exampleServo().Ratings[0]
	best, at := 0.0, 0.0
	for i := range 1001 {
		torque := r.Stall * float64(i) / 1000
		if p := torque * r.SpeedAt(torque) / 1000; p > best {
			best, at = p, torque
		}
	}
	near(t, "torque at the peak", at, r.Stall/2, 1e-9)
	near(t, "peak power", r.PeakPower(), best, 1e-12)
	near(t, "speed beyond stall", r.SpeedAt(2*r.Stall), 0, 0)
	near(t, "speed when helped", r.SpeedAt(-r.Stall), r.Speed, 0)
}

// Closed forms: t = θ/(ω0 (1 - T/Ts)) against a constant torque, and
// t = Ts/(k ω0) ln((Ts - kθ0)/(Ts - kθ1)) against T = kθ.
func TestTimeUnderLoadMeetsItsClosedForms(t *testing.T) {
	s := load.Servo{Ratings: []load.Rating{{Voltage: 6, Stall: 1000, Speed: 5}}}
	from := load.Supply{Voltage: 6}
	got, err := s.Time(-0.7, 0.8, func(float64) float64 { return 400 }, from)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "constant torque", got, 1.5/(5*0.6), 1e-12)
	got, err = s.Time(-0.7, 0.8, func(x float64) float64 { return 400 + 500*x }, from)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rising torque", got, 1000/(500*5.0)*math.Log((600+500*0.7)/(600-500*0.8)), 1e-9)
	back, err := s.Time(0.8, -0.7, func(x float64) float64 { return 400 + 500*x }, from)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the same way back", back, got, 1e-12)
	var stalls *load.StallError
	if _, err := s.Time(0, 1, func(x float64) float64 { return 2000 * x }, from); !errors.As(err, &stalls) {
		t.Errorf("got %v, wanted a stall", err)
	} else if stalls.Angle < 0.5-1e-9 || stalls.Angle > 0.5+3*degree {
		t.Errorf("stalls at %v rad, asked for more than it has from 0.5 rad on", stalls.Angle)
	}
}

func TestServoRefusesRatingsThatCannotBe(t *testing.T) {
	good := exampleServo()
	with := func(change func(s *load.Servo)) load.Servo {
		s := exampleServo()
		change(&s)
		return s
	}
	for name, s := range map[string]load.Servo{
		"no ratings":               {},
		"voltages out of order":    with(func(s *load.Servo) { s.Ratings[0].Voltage = 8 }),
		"no torque":                with(func(s *load.Servo) { s.Ratings[0].Stall = 0 }),
		"a speed that is none":     with(func(s *load.Servo) { s.Ratings[1].Speed = math.NaN() }),
		"one stall current only":   with(func(s *load.Servo) { s.Ratings[1].StallCurrent = 0 }),
		"idle more than stall":     with(func(s *load.Servo) { s.IdleCurrent = 9 }),
		"stall current that falls": with(func(s *load.Servo) { s.Ratings[1].StallCurrent = 1 }),
		"negative resistance":      with(func(s *load.Servo) { s.WindingResistance = -1 }),
	} {
		if _, _, err := s.Stall(load.Supply{Voltage: 6}); !errors.Is(err, load.ErrServo) {
			t.Errorf("%s: got %v, wanted ErrServo", name, err)
		}
	}
	for name, from := range map[string]load.Supply{"no voltage": {}, "negative": {Voltage: 6, Resistance: -1}, "infinite": {Voltage: math.Inf(1)}} {
		if _, err := good.Under(1, from); !errors.Is(err, load.ErrServo) {
			t.Errorf("%s: got %v, wanted ErrServo", name, err)
		}
	}
	if _, err := good.Hold(1e6, 6); !errors.Is(err, load.ErrServo) {
		t.Errorf("held more than it can: %v", err)
	}
}

// ISO 724, external threads' root diameters (from memory).
func TestThreadRootsOfISO724(t *testing.T) {
	for _, c := range []struct{ d, pitch, root float64 }{{2.5, 0.45, 1.948}, {3, 0.5, 2.387}, {4, 0.7, 3.141}, {5, 0.8, 4.019}} {
		near(t, "root", load.ThreadRoot(c.d, c.pitch), c.root, 0.0006)
	}
}

// Textbook columns: 10 × 20 mm, 1 m, 200 GPa, hinged; steel Ø3 × 100 mm, hinged (loads computed).
func TestEulerColumns(t *testing.T) {
	near(t, "flat bar", load.Euler(200e3, 20*10*10*10/12.0, 1000), 3289.9, 0.05)
	near(t, "Ø3 × 100", load.Euler(200e3, load.Section{Outer: 3}.SecondMoment(), 100), 784.8, 0.05)
	steel, ok := load.MaterialNamed("steel")
	if !ok {
		t.Fatal("no steel")
	}
	near(t, "the same by Buckling", load.Buckling(steel, load.Section{Outer: 3}, 100), 784.8, 0.05)
	if _, ok := load.MaterialNamed("cheese"); ok {
		t.Error("found a material that is not there")
	}
}

func TestColumnsMeetAtHalfYieldAndEndInCrushing(t *testing.T) {
	for _, m := range load.Materials() {
		s := load.Section{Outer: 6, Bore: 4}
		crush := m.Yield * s.Area()
		meets := math.Pi * math.Sqrt(2*m.Elastic*s.SecondMoment()/crush)
		near(t, m.Name+" just stocky", load.Buckling(m, s, meets*(1-1e-9)), crush/2, 1e-6*crush)
		near(t, m.Name+" just slender", load.Buckling(m, s, meets*(1+1e-9)), crush/2, 1e-6*crush)
		near(t, m.Name+" very short", load.Buckling(m, s, 1e-3), crush, 1e-6*crush)
	}
}

// The beam-column E I y″ + F y = -F e, y = 0 at both ends, solved by finite differences with gonum,
// against the secant formula; and a bow of a half sine wave against Perry's, which must lie below.
func TestBentRodMeetsTheBeamColumn(t *testing.T) {
	steel := load.Material{Elastic: 200e3, Yield: 250}
	r := load.Rod{Length: 120, Body: load.Section{Outer: 3}, Offset: 4, Material: steel}
	i := r.Body.SecondMoment()
	euler := load.Euler(steel.Elastic, i, r.Length)
	const n = 801
	for _, part := range []float64{0.05, 0.3, 0.7, 0.9} {
		f := part * euler
		h := r.Length / (n + 1)
		middle := func(rise func(x float64) float64) float64 {
			a, rhs := mat.NewBandDense(n, n, 1, 1, nil), mat.NewVecDense(n, nil)
			for k := range n {
				a.SetBand(k, k, -2/(h*h)+f/(steel.Elastic*i))
				if k > 0 {
					a.SetBand(k, k-1, 1/(h*h))
				}
				if k < n-1 {
					a.SetBand(k, k+1, 1/(h*h))
				}
				rhs.SetVec(k, -f*rise(float64(k+1)*h)/(steel.Elastic*i))
			}
			var y mat.VecDense
			if err := y.SolveVec(a, rhs); err != nil {
				t.Fatal(err)
			}
			return f * (y.AtVec(n/2) + rise(r.Length/2)) * 1.5 / i
		}
		secant := middle(func(float64) float64 { return r.Offset })
		near(t, "secant", r.Bending(-f), secant, 2e-5*secant)
		bow := middle(func(x float64) float64 { return r.Offset * math.Sin(math.Pi*x/r.Length) })
		perry := f * r.Offset / (1 - part) * 1.5 / i
		near(t, "Perry's bow", bow, perry, 2e-4*perry)
		if perry > r.Bending(-f) {
			t.Errorf("at %v of Euler's load, Perry's %v is above the secant's %v", part, perry, r.Bending(-f))
		}
	}
	if !math.IsInf(r.Bending(-1.01*euler), 1) {
		t.Error("bending is finite beyond Euler's load")
	}
	near(t, "small force is F e c/I", r.Bending(-1e-6), 1e-6*4*1.5/i, 1e-12)
}

func TestRodsSafetyFactor(t *testing.T) {
	steel := load.Material{Elastic: 200e3, Yield: 250}
	straight := load.Rod{Length: 100, Body: load.Section{Outer: 3}, Material: steel}
	b := straight.Bears(-78.48)
	near(t, "slender rod pressed by a tenth of Euler's load", b.SafetyFactor, 10, 1e-3)
	if !b.Buckles {
		t.Error("yields before it buckles")
	}
	b = straight.Bears(100)
	near(t, "pulled", b.SafetyFactor, 250*math.Pi*9/4/100, 1e-9)
	if b.Buckles {
		t.Error("a pulled rod buckles")
	}
	if b = straight.Bears(0); !math.IsInf(b.SafetyFactor, 1) {
		t.Errorf("safety factor %v without force", b.SafetyFactor)
	}
	threaded := straight
	threaded.Root = load.ThreadRoot(3, 0.5)
	near(t, "thread root governs", threaded.Bears(-1).Buckling, load.Euler(200e3, load.Section{Outer: 2.38657}.SecondMoment(), 100), 1e-2)
	bent := straight
	bent.Offset = 5
	b = bent.Bears(-40)
	at := 40 * b.SafetyFactor
	near(t, "a bent rod's safety factor ends at yield", at/bent.Body.Area()+bent.Bending(-at), 250, 1e-6)
	near(t, "either way", bent.Bears(-80).SafetyFactor, b.SafetyFactor/2, 1e-9)
	if pulled := bent.Bears(40); pulled.SafetyFactor < b.SafetyFactor {
		t.Errorf("safety factor %v pulled, %v pressed: pressing is worse", pulled.SafetyFactor, b.SafetyFactor)
	}
}

// Handbook table of the universal joint (formula seen, figures computed). The leads that our notes
// took for the greatest are twice the lead at 45°; the greatest itself is checked over a turn.
func TestUniversalJointOfTheHandbook(t *testing.T) {
	for _, c := range []struct{ angle, slow, fast, lead float64 }{
		{10, .9848, 1.0154, .877}, {20, .9397, 1.0642, 3.562}, {30, .8660, 1.1547, 8.213}, {40, .7660, 1.3054, 15.093},
	} {
		u := load.Universal(c.angle * degree)
		slow, fast := u.Extremes()
		near(t, "slowest", slow, c.slow, 0.5e-4)
		near(t, "fastest", fast, c.fast, 0.5e-4)
		near(t, "lead and lag at 45°", 2*(u.Turn(math.Pi/4)-math.Pi/4)/degree, c.lead, 0.5e-3)
		most := 0.0
		for d := range 3600 {
			a := float64(d) / 10 * degree
			most = max(most, u.Turn(a)-a)
			near(t, "speed ratio is the rate of turn", u.SpeedRatio(a), fd.Derivative(u.Turn, a, &fd.Settings{Formula: fd.Central}), 1e-8)
		}
		near(t, "greatest lead of a turn", most, u.GreatestLead(), 1e-5)
		near(t, "slowest ratio", u.SpeedRatio(math.Pi/2), slow, 1e-12)
		near(t, "fastest ratio", u.SpeedRatio(0), fast, 1e-12)
	}
}

// The cross itself: its arms, one in each fork, stay square.
func TestUniversalJointKeepsItsCrossSquare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.Float64Range(0, 60).Draw(t, "angle") * degree
		a := rapid.Float64Range(-10, 10).Draw(t, "driver")
		b := load.Universal(g).Turn(a)
		if math.Abs(b-a) > math.Pi/4 {
			t.Fatalf("driven shaft left the driver behind by %v rad", b-a)
		}
		// Driver along X, driven along X turned by g about Z. At zero the driver's fork lies in the
		// plane of both shafts, the driven one's square to it.
		driver := r3.NewRotation(a, r3.Vec{X: 1}).Rotate(r3.Vec{Y: 1})
		driven := r3.NewRotation(b, r3.Vec{X: math.Cos(g), Y: math.Sin(g)}).Rotate(r3.Vec{Z: 1})
		near(t, "cross", r3.Dot(driver, driven), 0, 1e-12)
		near(t, "odd", load.Universal(g).Turn(-a), -b, 1e-12)
	})
}

func TestStudShaftAndSaver(t *testing.T) {
	along, across, bending := load.Stud(r3.Vec{X: 3, Y: 4, Z: -2}, r3.Vec{Z: 1}, 6)
	near(t, "along", along, -2, 1e-12)
	near(t, "across", across, 5, 1e-12)
	near(t, "bending", bending, 30, 1e-12)

	outer, inner := load.Shaft{Overhang: 6, Span: 12}.Bearings(40)
	near(t, "forces on the shaft cancel", 40-outer+inner, 0, 1e-12)
	near(t, "moments about the outer bearing cancel", 40*6-inner*12, 0, 1e-12)

	s := load.Saver{Preload: 300, Stiffness: 2000}
	near(t, "yields at", s.Yields(15), 20, 1e-12)
	near(t, "firm below", s.Deflection(299), 0, 0)
	near(t, "gives", s.Deflection(500), 0.1, 1e-12)
	near(t, "gives the other way", s.Deflection(-500), -0.1, 1e-12)
	near(t, "lost", s.LostTurn(500, 0.8), 0.08, 1e-12)
	if !math.IsInf((load.Saver{Preload: 1}).Deflection(2), 1) {
		t.Error("a saver without stiffness holds")
	}
}

func ExampleServo_Stall() {
	// 25 kg·cm and 3 A at 7.4 V, fed over 0.2 Ω of leads.
	s := load.Servo{Ratings: []load.Rating{{
		Voltage: 7.4, Stall: 25 * load.KilogramForceCentimetre, Speed: load.SpeedOf(0.14), StallCurrent: 3,
	}}}
	torque, at, err := s.Stall(load.Supply{Voltage: 7.4, Resistance: 0.2})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f kgf·cm at %.2f V and %.2f A\n", torque/load.KilogramForceCentimetre, at.Voltage, at.Current)
	// Output: 23.1 kgf·cm at 6.84 V and 2.77 A
}

func ExampleScrubMoment() {
	// 8 N on a wheel, friction 0.9, 20 mm from the kingpin's foot, a contact patch 30 mm long.
	fmt.Printf("%.0f N·mm\n", load.ScrubMoment(0.9, 8, 20, 30))
	// Output: 161 N·mm
}

func ExampleVehicle_WheelLoads() {
	v := load.Vehicle{Mass: 2.5, FrontShare: 0.6, Height: 70, Wheelbase: 310, Track: 200}
	w, err := v.WheelLoads(0, 20*math.Pi/180)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("front left %.1f N, right %.1f N\n", w[0][0], w[0][1])
	// Output: front left 5.2 N, right 8.7 N
}

func ExampleRod_Bears() {
	steel, _ := load.MaterialNamed("steel")
	r := load.Rod{Length: 100, Body: load.Section{Outer: 4}, Root: load.ThreadRoot(3, 0.5), Material: steel}
	b := r.Bears(-60)
	fmt.Printf("buckles at %.0f N, %.1f times the force\n", b.Buckling, b.SafetyFactor)
	// Output: buckles at 314 N, 5.2 times the force
}
