package steer_test

import (
	"fmt"
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/internal/root"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// small is the vehicle of the figures for Ackermann: kingpins 60 apart through the wheel centres,
// wheelbase 100. Its drag link pulls the left knuckle as a parallelogram, so that the left wheel
// turns as the servo.
func small(t testing.TB, tieInward float64) *steer.Model {
	return model(t, rigtest.Planar{
		Spacing: 60, Wheelbase: 100, TieArm: 12, TieInward: tieInward,
		DragArm: 15, ServoX: 0, ServoY: 0, Horn: 15,
	}.Rig(t))
}

// Ackermann's condition, cot δ_outer - cot δ_inner = w/L, as several publications state it (figures
// computed from it): spacing 60, wheelbase 100, inner 20° has outer 16.633° and the radii 304.7 for
// the middle of the rear axle, 274.7 for the inner rear wheel, 349.4 for the outer front one.
func TestAckermannConditionGivesTheIdealOuterAngle(t *testing.T) {
	m := small(t, 15)
	for _, inner := range []float64{2, 5, 10, 20, 30, 40, 45} {
		t.Run(fmt.Sprintf("inner wheel at %v degrees", inner), func(t *testing.T) {
			for _, side := range []float64{1, -1} {
				// The servo turns as the left wheel.
				q, o, farthest := steer.Road.Of(steer.Left), steer.Road.Of(steer.Right), 50*degree
				if side < 0 {
					q, o, farthest = o, q, -38*degree
				}
				v := valuesAt(t, m, servoFor(t, m, q, side*inner*degree, 0, farthest))
				ideal := side*v[o] - v[steer.Ackermann]
				near(t, "cot δ_outer - cot δ_inner", cot(ideal)-cot(inner*degree), 60.0/100, 1e-9)
				if inner == 20 {
					near(t, "outer angle in degrees", ideal/degree, 16.633, 5e-4)
				}
				percent, ok := m.AckermannPercent(&v)
				if ok != (inner >= 3) {
					t.Errorf("a percentage at %v°: %v", inner, ok)
				}
				if ok {
					// Definition: (δi - δo)/(δi - δo ideal) at the same inner angle (from memory).
					near(t, "percent", percent, 100*(inner*degree-side*v[o])/(inner*degree-math.Atan(1/(cot(inner*degree)+0.6))), 1e-7)
				}
			}
		})
	}
}

func TestExactAckermannLayoutHasTheRadiiOfTheCondition(t *testing.T) {
	at20 := func(inward float64) (*steer.Model, steer.Values) {
		m := small(t, inward)
		return m, valuesAt(t, m, servoFor(t, m, steer.Road.Of(steer.Left), 20*degree, 0, 45*degree))
	}
	// The tie-rod arm's angle that is exact at 20°.
	inward := root.Find(func(x float64) float64 {
		_, v := at20(x)
		return v[steer.Ackermann]
	}, 2, 35, 1e-12)
	m, v := at20(inward)
	near(t, "outer angle in degrees", v[steer.Road.Of(steer.Right)]/degree, 16.633, 5e-4)
	percent, _ := m.AckermannPercent(&v)
	near(t, "percent", percent, 100, 1e-6)
	for _, q := range []steer.Quantity{steer.Curvature, steer.WheelCurvature.Of(steer.Left), steer.WheelCurvature.Of(steer.Right)} {
		near(t, q.Info().Key+" as radius of the middle of the rear axle", 1/v[q], 304.7, 0.05)
		near(t, q.Info().Key+" as radius of the inner rear wheel", 1/v[q]-30, 274.7, 0.05)
	}
	near(t, "radius of the outer front wheel's middle", v[steer.OuterRadius]-40.0/2, 349.4, 0.05)
}

func TestParallelSteeringHasNoAckermann(t *testing.T) {
	m := small(t, 0)
	for _, servo := range []float64{-40, -15, 10, 35} {
		v := valuesAt(t, m, servo*degree)
		near(t, "right wheel against left", v[steer.Road.Of(steer.Right)], v[steer.Road.Of(steer.Left)], 1e-12)
		percent, ok := m.AckermannPercent(&v)
		if !ok {
			t.Fatal("no percentage")
		}
		near(t, "percent", percent, 0, 1e-9)
		inner := math.Abs(servo * degree)
		near(t, "excess over Ackermann", v[steer.Ackermann], inner-math.Atan(1/(cot(inner)+0.6)), 1e-11)
	}
}

func TestPercentIsZeroForParallelAndHundredForIdeal(t *testing.T) {
	for _, c := range []struct{ inner, outer, ideal, want float64 }{
		{20, 20, 16.633, 0},
		{20, 16.633, 16.633, 100},
		{20, (20 + 16.633) / 2, 16.633, 50},
		{20, 22, 16.633, -59.4},
	} {
		near(t, "percent", steer.Percent(c.inner*degree, c.outer*degree, c.ideal*degree), c.want, 0.01)
	}
}

// leaning is a rig whose kingpins lean; degrees.
func leaning(t testing.TB, caster, inclination, toe, camber float64) *steer.Model {
	return model(t, rigtest.Starter(t, "tie-rod",
		fmt.Sprintf("left.kingpin.caster=%v", caster), fmt.Sprintf("left.kingpin.inclination=%v", inclination),
		fmt.Sprintf("left.wheel.toe=%v", toe), fmt.Sprintf("left.wheel.camber=%v", camber),
	))
}

// The kingpin k ∝ (-tan τ, ∓tan σ, 1) and the outward spindle a turned about it: δ = atan2(-ax, ay)
// and camber = -asin az on the left (derived); Rodrigues' rotation is gonum's.
func TestInclinedKingpinTurnsTheSpindleByRodrigues(t *testing.T) {
	for _, c := range []struct{ caster, inclination, toe, camber float64 }{
		{0, 0, 0, 0},
		{6, 0, 0, 0},
		{0, 9, 0, 0},
		{12, 8, 0, 0},
		{-5, 20, 1.5, -2},
		{30, -10, -4, 5},
	} {
		t.Run(fmt.Sprintf("caster %v, inclination %v, toe %v, camber %v", c.caster, c.inclination, c.toe, c.camber), func(t *testing.T) {
			m := leaning(t, c.caster, c.inclination, c.toe, c.camber)
			s := m.NewState()
			for servo := -40.0; servo <= 40; servo += 8 {
				if err := s.Turn(servo * degree); err != nil {
					t.Fatal(err)
				}
				v := s.Values()
				for _, side := range []struct {
					out                float64
					turn, road, camber steer.Quantity
				}{
					{1, steer.Turn.Of(steer.Left), steer.Road.Of(steer.Left), steer.Camber.Of(steer.Left)},
					{-1, steer.Turn.Of(steer.Right), steer.Road.Of(steer.Right), steer.Camber.Of(steer.Right)},
				} {
					k := r3.Vec{X: -math.Tan(c.caster * degree), Y: -side.out * math.Tan(c.inclination*degree), Z: 1}
					st, ct := math.Sincos(c.toe * degree)
					sc, cc := math.Sincos(c.camber * degree)
					a := turnedAbout(r3.Vec{X: st * cc, Y: side.out * ct * cc, Z: -sc}, r3.Vec{}, k, v[side.turn])
					near(t, side.road.Info().Key, v[side.road], math.Atan2(-side.out*a.X, side.out*a.Y), 1e-12)
					near(t, side.camber.Info().Key, v[side.camber], -math.Asin(a.Z), 1e-12)
				}
				road := s.Road()
				l, r := road[0], road[1]
				near(t, "Road's left", l, v[steer.Road.Of(steer.Left)], 1e-15)
				near(t, "Road's right", r, v[steer.Road.Of(steer.Right)], 1e-15)
			}
		})
	}
}

// Dixon, Suspension Geometry and Computation (from memory, to be verified): for small lean the
// camber changes by τ sin δ + σ (1 - cos δ). Camber changes sign with the lean, as a mirror in the
// ground shows, so that what is left out grows as the cube of the lean.
func TestCamberChangeOfASmallLean(t *testing.T) {
	worst := func(lean float64) float64 {
		m := leaning(t, lean, 1.4*lean, 0, 0)
		off := 0.0
		for servo := -40.0; servo <= 40; servo += 8 {
			v := valuesAt(t, m, servo*degree)
			for _, side := range []struct {
				camber float64
				steer  float64
			}{{v[steer.Camber.Of(steer.Left)], v[steer.Road.Of(steer.Left)]}, {v[steer.Camber.Of(steer.Right)], -v[steer.Road.Of(steer.Right)]}} {
				want := lean*degree*math.Sin(side.steer) + 1.4*lean*degree*(1-math.Cos(side.steer))
				off = max(off, math.Abs(side.camber-want))
			}
		}
		return off
	}
	coarse, fine := worst(2), worst(1)
	if most := 2 * 1.4 * degree; coarse > most*most*most {
		t.Errorf("off by %.3g°, more than a term of third order", coarse/degree)
	}
	if ratio := coarse / fine; ratio < 7.5 || ratio > 8.5 {
		t.Errorf("halving the lean makes the difference %.2f times smaller, wanted eight times", ratio)
	}
}

// Common practice: horn and knuckle arm equal and parallel, the link parallel to the line of their
// axes, is a parallelogram, and the wheel turns exactly as the horn.
func TestParallelogramTurnsTheWheelAsTheHorn(t *testing.T) {
	for _, c := range []struct {
		name string
		rig  rigtest.Planar
	}{
		{"square", rigtest.Planar{Spacing: 150, Wheelbase: 300, TieArm: 25, TieInward: 12, DragArm: 20, Horn: 20, ServoY: 10}},
		{"link aslant", rigtest.Planar{Spacing: 150, Wheelbase: 300, TieArm: 25, TieInward: 12, DragArm: 20, Horn: 20, ServoX: 30, ServoY: 10}},
		{"arms aslant", rigtest.Planar{Spacing: 150, Wheelbase: 300, TieArm: 25, TieInward: 12, DragArm: 17, DragInward: 20, Horn: 17, Lean: 20, ServoY: -10}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := model(t, c.rig.Rig(t))
			s := m.NewState()
			for servo := -40.0; servo <= 40; servo += 5 {
				if err := s.Turn(servo * degree); err != nil {
					t.Fatal(err)
				}
				v, rate := s.ValuesAndRates()
				near(t, "wheel", v[steer.Road.Of(steer.Left)], servo*degree, 1e-11)
				near(t, "rate", rate[steer.Road.Of(steer.Left)], 1, 1e-11)
				near(t, "angles at both ends of a side together", v[steer.FarAngle]+v[steer.HornAngle], math.Pi, 1e-11)
			}
		})
	}
}

// Common practice, on one rig: about ten degrees off square asks for endpoints near 80 on one side
// against 62 on the other, nearly square near 70 against 72. The size of the ratio is checked, not
// the digits.
func TestTenDegreesOffSquareAsksForUnequalEndpoints(t *testing.T) {
	r := rigtest.Planar{
		Spacing: 150, Wheelbase: 300, TieArm: 26, TieInward: 0,
		DragArm: 28, Horn: 19, ServoX: -10, ServoY: -20,
	}.Rig(t)
	straight, err := steer.Build(r, steer.Options{Adjustment: vehicle.Adjustment{Straighten: true}})
	if err != nil {
		t.Fatal(err)
	}
	toSquare, ok := straight.Vehicle.SquareTurn(straight.Servo)
	if !ok {
		t.Fatal("the horn is never square to the link")
	}
	for _, c := range []struct{ off, least, most float64 }{
		{10, 1.2, 1.4},
		{-10, 1.2, 1.4},
		{0.5, 1, 1.05},
	} {
		t.Run(fmt.Sprintf("%v degrees off square", c.off), func(t *testing.T) {
			m, err := steer.Build(r, steer.Options{Adjustment: vehicle.Adjustment{HornTurn: toSquare + c.off*degree, Straighten: true}})
			if err != nil {
				t.Fatal(err)
			}
			v := valuesAt(t, m, 0)
			near(t, "degrees off square", math.Abs(v[steer.HornAngle]/degree-90), math.Abs(c.off), 0.2)
			near(t, "wheel with the servo at neutral", v[steer.Road.Of(steer.Left)], 0, 1e-9)
			// Endpoints are in proportion to the servo's angle. The tie-rod arms are parallel, so
			// that both wheels turn alike and the two locks are the same for the vehicle.
			left := servoFor(t, m, steer.Road.Of(steer.Left), 30*degree, 0, 75*degree)
			right := -servoFor(t, m, steer.Road.Of(steer.Left), -30*degree, 0, -75*degree)
			ratio := max(left, right) / min(left, right)
			t.Logf("%.1f° of servo to the left, %.1f° to the right: as 100 to %.0f", left/degree, right/degree, 100/ratio)
			if ratio < c.least || ratio > c.most {
				t.Errorf("endpoints as %.3f to 1, wanted %.2f to %.2f", ratio, c.least, c.most)
			}
		})
	}
}

func TestEvennessOfASymmetricLayoutIsZero(t *testing.T) {
	equal := func(stick float64) (angle, slope float64) { return 30 * degree * stick, 30 * degree }
	check := func(t *testing.T, m *steer.Model, servo func(float64) (float64, float64)) {
		t.Helper()
		e, err := m.Evenness(servo)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "lock", e.Lock, 0, 1e-10)
		near(t, "path", e.Path, 0, 1e-10)
		near(t, "rate", e.Rate, 0, 1e-8)
		near(t, "inner wheel, left against right", e.InnerLeft, e.InnerRight, 1e-10)
		if e.InnerLeft < 10*degree {
			t.Errorf("the lock is only %.1f°", e.InnerLeft/degree)
		}
	}
	t.Run("all parallel", func(t *testing.T) {
		check(t, small(t, 0), equal)
	})
	t.Run("a centre crank pulled by a parallelogram", func(t *testing.T) {
		// The crank then turns as the servo, and its two rods are each other's mirror image.
		check(t, model(t, rigtest.Starter(t, "centre-crank",
			"crank.drag_ball=-72, 0, 4", "servo.point=-52, 40, -2", "horn.hole=20", "horn.points=back", "horn.lean=0",
			"drag_link.longest=100", "drag_link.shortest=20")), equal)
	})
	t.Run("trapezoid, with a stick that asks for equal paths", func(t *testing.T) {
		m := small(t, 15)
		full := valuesAt(t, m, 30*degree)[steer.Curvature]
		s := m.NewState()
		check(t, m, func(stick float64) (angle, slope float64) {
			angle = servoFor(t, m, steer.Curvature, stick*full, -38*degree, 38*degree)
			if err := s.Turn(angle); err != nil {
				t.Fatal(err)
			}
			return angle, full / s.Rates()[steer.Curvature]
		})
	})
	t.Run("and a lopsided one's is not", func(t *testing.T) {
		e, err := model(t, rigtest.Starter(t, "far-knuckle")).Evenness(equal)
		if err != nil {
			t.Fatal(err)
		}
		if e.Lock < degree/2 || e.Path < 0.01 || e.Rate < 0.01 {
			t.Errorf("evenness of the far-knuckle starter is %+v", e)
		}
	})
}
