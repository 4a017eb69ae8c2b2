package steer_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"testing"

	"evenlock/internal/effort"
	"evenlock/internal/rigtest"
	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"pgregory.net/rapid"
)

// mirrorable are the starters that can be mirrored: all whose drag link does not pull the tie rod.
var mirrorable = []string{"far-knuckle", "chassis", "behind", "centre-crank"}

func starters(t *testing.T, names []string, changes ...string) map[string]*rig.Rig {
	all := map[string]*rig.Rig{}
	for _, name := range names {
		all[name] = rigtest.Starter(t, name, changes...)
	}
	return all
}

// alike reports quantities that differ from what they should be. Left out are radius and Ackermann
// error of a path that is as good as straight, which has no inner wheel, and joints that do not
// bend; at is where the rig that gave got stands.
func alike(t *rapid.T, what string, at, got, want *steer.Values, times func(q steer.Quantity) float64, tol float64) {
	straight := math.Abs(at[steer.Curvature]) < 1e-6
	for q := range steer.NumQuantities {
		a, b := got[q], times(q)*want[q]
		if (q == steer.OuterRadius || q == steer.Ackermann) && straight {
			continue
		}
		if (q == steer.Joint.Of(steer.Left) || q == steer.Joint.Of(steer.Right)) && at[q] < 1e-6 {
			continue
		}
		if !(math.Abs(a-b) <= tol*(scale(got, q)+math.Abs(b))) {
			t.Errorf("%s: %s is %.12g, wanted %.12g", what, q.Info().Key, a, b)
		}
	}
}

// across gives each quantity's partner in a mirror.
var across = map[steer.Quantity]steer.Quantity{
	steer.Turn.Of(steer.Left): steer.Turn.Of(steer.Right), steer.Road.Of(steer.Left): steer.Road.Of(steer.Right), steer.Camber.Of(steer.Left): steer.Camber.Of(steer.Right),
	steer.WheelCurvature.Of(steer.Left): steer.WheelCurvature.Of(steer.Right), steer.Joint.Of(steer.Left): steer.Joint.Of(steer.Right),
}

// inMirror swaps the sides of values and changes the sign of those that have a side.
func inMirror(v *steer.Values) *steer.Values {
	m := *v
	for a, b := range across {
		m[a], m[b] = v[b], v[a]
	}
	for q := range m {
		if steer.Quantity(q).Info().Signed {
			m[q] *= -1
		}
	}
	return &m
}

func one(steer.Quantity) float64 { return 1 }

func TestRigInAMirrorSteersAsItsMirrorImage(t *testing.T) {
	all := starters(t, mirrorable, "right.tie_arm.ball=-24, -66, -6")
	for name, r := range starters(t, mirrorable) {
		all[name+", right alike"] = r
	}
	names := append([]string{}, mirrorable...)
	for _, name := range mirrorable {
		names = append(names, name+", right alike")
	}
	skips := effort.Count(t)
	rapid.Check(t, func(rt *rapid.T) {
		r := rigtest.Jiggled(rt, all, names)
		m, err := steer.New(r)
		effort.SkipOn[*linkage.LimitError](rt, skips, err)
		o, err := steer.New(rigtest.Mirrored(r))
		if err != nil {
			rt.Fatalf("the mirrored rig: %v", err)
		}
		servo := rapid.Float64Range(-38, 38).Draw(rt, "servo") * degree
		s, so := m.NewState(), o.NewState()
		if s.Turn(servo) != nil {
			if so.Turn(-servo) == nil {
				rt.Fatal("the mirrored rig goes where the rig does not")
			}
			return
		}
		if err := so.Turn(-servo); err != nil {
			rt.Fatal(err)
		}
		v, d := s.ValuesAndRates()
		vo, do := so.ValuesAndRates()
		alike(rt, "values", &vo, &vo, inMirror(&v), one, 1e-9)
		// The servo turns the other way too.
		alike(rt, "rates", &vo, &do, inMirror(&d), func(steer.Quantity) float64 { return -1 }, 1e-7)
		u, uo := s.Uncertain(), so.Uncertain()
		for q := range u {
			u[q] = math.Abs(u[q])
		}
		mirrored := inMirror(&u)
		for q := range mirrored {
			mirrored[q] = math.Abs(mirrored[q])
		}
		alike(rt, "uncertainties", &vo, &uo, mirrored, one, 1e-6)
		for _, direction := range []float64{-1, 1} {
			a, errA := m.Stops(direction)
			b, errB := o.Stops(-direction)
			if len(a) != len(b) || (errA == nil) != (errB == nil) {
				rt.Fatalf("%d stops (%v), in the mirror %d (%v)", len(a), errA, len(b), errB)
			}
			for i := range a {
				if math.Abs(a[i].Servo.Value+b[i].Servo.Value) > 1e-6 || math.Abs(a[i].Turns[steer.Left]+b[i].Turns[steer.Right]) > 1e-4 {
					rt.Errorf("%s at %.9g, in the mirror %s at %.9g", a[i].Words, a[i].Servo.Value, b[i].Words, b[i].Servo.Value)
				}
			}
		}
	})
}

func TestRigOfAnotherSizeSteersAlike(t *testing.T) {
	all := starters(t, rigtest.Names())
	skips := effort.Count(t)
	rapid.Check(t, func(rt *rapid.T) {
		r := rigtest.Jiggled(rt, all, rigtest.Names())
		k := math.Exp(rapid.Float64Range(-1.5, 3).Draw(rt, "log of the scale"))
		m, err := steer.New(r)
		effort.SkipOn[*linkage.LimitError](rt, skips, err)
		big, err := steer.New(rigtest.Scaled(r, k))
		if err != nil {
			rt.Fatal(err)
		}
		servo := rapid.Float64Range(-38, 38).Draw(rt, "servo") * degree
		s, sb := m.NewState(), big.NewState()
		if s.Turn(servo) != nil {
			return
		}
		if err := sb.Turn(servo); err != nil {
			rt.Fatal(err)
		}
		times := func(q steer.Quantity) float64 {
			switch q.Info().Unit {
			case steer.Millimetre:
				return k
			case steer.PerMillimetre:
				return 1 / k
			default:
				return 1
			}
		}
		v, vb := s.Values(), sb.Values()
		alike(rt, "values", &vb, &vb, &v, times, 1e-9)
		u, ub := s.Uncertain(), sb.Uncertain()
		// The differences of dimensions are over fixed steps, and so not quite alike.
		alike(rt, "uncertainties", &vb, &ub, &u, times, 1e-4)
	})
}

// Near a limit too, where rates grow without end.
func TestShortFormsOfARandomRigAgreeWithValuesAndRates(t *testing.T) {
	all, skips := starters(t, rigtest.Names()), effort.Count(t)
	rapid.Check(t, func(rt *rapid.T) {
		m, err := steer.New(rigtest.Jiggled(rt, all, rigtest.Names()))
		effort.SkipOn[*linkage.LimitError](rt, skips, err)
		s := m.NewState()
		servo := rapid.Float64Range(-80, 80).Draw(rt, "servo") * degree
		var limit *linkage.LimitError
		if errors.As(s.Turn(servo), &limit) {
			left := math.Pow(10, -rapid.Float64Range(0.5, 8).Draw(rt, "digits of the way to the limit"))
			if err := s.Turn((1 - left) * limit.Inputs[0]); err != nil {
				rt.Skip(err)
			}
		}
		v, d := s.ValuesAndRates()
		road := s.Road()
		l, r := road[0], road[1]
		o := s.Snapshot()
		for _, c := range []struct {
			what            string
			got, want, size float64
		}{
			{"Road's left", l, v[steer.Road.Of(steer.Left)], 1},
			{"Road's right", r, v[steer.Road.Of(steer.Right)], 1},
			{"left road angle", o.Road[steer.Left], v[steer.Road.Of(steer.Left)], 1},
			{"right road angle", o.Road[steer.Right], v[steer.Road.Of(steer.Right)], 1},
			{"left rate", o.Rate[steer.Left], d[steer.Road.Of(steer.Left)], 1 + math.Abs(d[steer.Turn.Of(steer.Left)])},
			{"right rate", o.Rate[steer.Right], d[steer.Road.Of(steer.Right)], 1 + math.Abs(d[steer.Turn.Of(steer.Right)])},
			{"horn angle", o.HornAngle, v[steer.HornAngle], 1 / math.Sin(v[steer.HornAngle])},
			{"far angle", o.FarAngle, v[steer.FarAngle], 1 / math.Sin(v[steer.FarAngle])},
		} {
			if !(math.Abs(c.got-c.want) <= 1e-12*c.size) {
				rt.Errorf("%s is %.17g, wanted %.17g", c.what, c.got, c.want)
			}
		}
	})
}

func TestInchesAndMillimetresSteerAlike(t *testing.T) {
	for _, name := range rigtest.Names() {
		t.Run(name, func(t *testing.T) {
			r := rigtest.Starter(t, name)
			inch := r.Clone()
			inch.Unit = "in"
			var text bytes.Buffer
			if err := rig.Write(&text, inch); err != nil {
				t.Fatal(err)
			}
			if !bytes.Contains(text.Bytes(), []byte(`unit = "in"`)) {
				t.Fatal("the file is not in inches")
			}
			m, o := model(t, r), model(t, rigtest.Read(t, text.Bytes()))
			for _, servo := range servoAngles {
				a, b := valuesAt(t, m, servo*degree), valuesAt(t, o, servo*degree)
				for q := range steer.NumQuantities {
					near(t, fmt.Sprintf("%s at %v°", q.Info().Key, servo), b[q], a[q], 1e-9*(scale(&a, q)+math.Abs(a[q])))
				}
			}
		})
	}
}

// Turning the horn on its spline and the servo back by as much is no change.
func TestHornTurnedAndServoTurnedBackIsTheSameRig(t *testing.T) {
	for _, name := range rigtest.Names() {
		r := rigtest.Starter(t, name)
		a, err := steer.Build(r, steer.Options{Adjustment: vehicle.Adjustment{Straighten: true}})
		if err != nil {
			t.Fatal(err)
		}
		by := 14.4 * degree
		b, err := steer.Build(r, steer.Options{Adjustment: vehicle.Adjustment{HornTurn: by, Straighten: true, Centre: -by}})
		if err != nil {
			t.Fatal(err)
		}
		for _, servo := range servoAngles {
			va, vb := valuesAt(t, a, servo*degree), valuesAt(t, b, servo*degree-by)
			for q := range steer.NumQuantities {
				if q == steer.LinkTravel {
					continue // counted from neutral, which is elsewhere
				}
				near(t, fmt.Sprintf("%s: %s at %v°", name, q.Info().Key, servo), vb[q], va[q], 1e-9*(scale(&va, q)+math.Abs(va[q])))
			}
		}
	}
}

// An adjusted model stands straight, with the toe asked for, at its centre.
func TestStraightenedModelStandsStraightAtItsCentre(t *testing.T) {
	for _, name := range rigtest.Names() {
		for _, toe := range []float64{-3, 0, 1.5} {
			for _, centre := range []float64{-6, 0, 4} {
				wanted := toe * degree
				m, err := steer.Build(rigtest.Starter(t, name), steer.Options{Adjustment: vehicle.Adjustment{
					HornTurn: 5 * degree, Straighten: true, Centre: centre * degree, Toe: &wanted,
				}})
				if err != nil {
					t.Fatal(err)
				}
				s := m.NewState()
				near(t, "stand", s.Servo(), centre*degree, 1e-15)
				road := s.Road()
				l, r := road[0], road[1]
				what := fmt.Sprintf("%s with toe %v and centre %v: ", name, toe, centre)
				near(t, what+"left", l, -wanted, 1e-12)
				near(t, what+"right", r, wanted, 1e-12)
			}
		}
	}
}
