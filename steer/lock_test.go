package steer_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/steer"
)

var sides = []steer.Side{steer.Left, steer.Right}

// sideNames name them.
var sideNames = [2]string{"left", "right"}

func lockOf(t testing.TB, m *steer.Model, side steer.Side, o steer.LockOptions) steer.Lock {
	t.Helper()
	l, err := m.Lock(side, o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// wheelMargin is a margin of so many degrees of everything but the servo's own travel.
func wheelMargin(degrees float64) steer.Margin { return steer.Margin{Wheel: degrees * degree} }

// The lock is walked to in hundredths of a degree, by plain angles: until what a limit is of comes
// within the margin of it, or the servo of where the linkage goes over-centre, or until the inner
// wheel has the lock wanted.
func TestLockEndsWhereAWalkToItDoes(t *testing.T) {
	const stride = degree / 100
	for _, name := range rigtest.Names() {
		m := model(t, rigtest.Starter(t, name).Exact())
		for _, side := range sides {
			for _, o := range []steer.LockOptions{{}, {Margin: wheelMargin(2)}, {Margin: steer.Margin{Wheel: 6 * degree, Servo: 30 * degree}}, {Wanted: 21 * degree}, {Margin: wheelMargin(2), Wanted: 80 * degree}} {
				t.Run(fmt.Sprintf("%s to the %s, margin %.0f°, wanted %.0f°", name, sideNames[side], o.Margin.Wheel/degree, o.Wanted/degree), func(t *testing.T) {
					l := lockOf(t, m, side, o)
					direction := math.Copysign(1, l.Servo.Value)
					inner := func(v *steer.Values) float64 {
						if side == steer.Left {
							return v[steer.Road.Of(steer.Left)]
						}
						return -v[steer.Road.Of(steer.Right)]
					}
					s := m.NewState()
					at := 0.0
					for ends := false; !ends; at += stride {
						if err := s.Turn(direction * at); err != nil {
							break
						}
						v := s.Values()
						ends = o.Wanted > 0 && inner(&v) >= o.Wanted
						for i, limit := range m.Limits() {
							margin := o.Margin.Wheel
							if limit.Key == "servo.travel" {
								margin = o.Margin.Servo
							}
							ends = ends || s.Limit(i) >= limit.Most-margin-1e-9
						}
						for _, st := range l.Stops {
							ends = ends || dead(st) && at >= math.Abs(st.Servo.Value)-o.Margin.Wheel
						}
					}
					near(t, "servo", math.Abs(l.Servo.Value), at, 2*stride)
					v := valuesAt(t, m, l.Servo.Value)
					near(t, "inner wheel", l.Inner.Value, inner(&v), 1e-12)
					near(t, "path", l.Curvature.Value, math.Abs(v[steer.Curvature]), 1e-15)
					if l.Inner.Value <= 0 || l.Outer.Value <= 0 {
						t.Errorf("the wheels stand at %v and %v", l.Inner.Value, l.Outer.Value)
					}
					wanted := o.Wanted > 0 && math.Abs(l.Inner.Value-o.Wanted) < 1e-9
					if wanted != (l.Key == "want.lock") {
						t.Errorf("%s [%s] ends the lock at %.2f°", l.Governs, l.Key, l.Inner.Value/degree)
					}
				})
			}
		}
	}
}

func suspended(t testing.TB, r *rig.Rig) *steer.Model {
	t.Helper()
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// At a wheel travel the lock, and what it depends on, are what rebuilt rigs have there.
func TestLockOnTheSuspensionHasTheSlopesOfRebuiltRigs(t *testing.T) {
	r := rigtest.Starter(t, "chassis")
	travel := steer.WheelTravel{Left: 6, Right: -4}
	o := steer.LockOptions{Travel: travel, Margin: wheelMargin(4)}
	m := suspended(t, r)
	moving := 0
	for _, side := range sides {
		l := lockOf(t, m, side, o)
		home := lockOf(t, m, side, steer.LockOptions{Margin: wheelMargin(4)})
		if math.Abs(l.Servo.Value-home.Servo.Value) < 1e-3 {
			t.Errorf("to the %s the travel changes the lock by %v of servo alone", sideNames[side], l.Servo.Value-home.Servo.Value)
		}
		for i, q := range m.Measures() {
			step := rigtest.Step(q)
			more := lockOf(t, suspended(t, rigtest.Moved(r, i, step)), side, o)
			less := lockOf(t, suspended(t, rigtest.Moved(r, i, -step)), side, o)
			want := (more.Servo.Value - less.Servo.Value) / (2 * step)
			near(t, "servo by "+q.Path, l.Servo.Slope(q.Path), want, 1e-5+1e-4*math.Abs(want))
			want = (more.Inner.Value - less.Inner.Value) / (2 * step)
			near(t, "inner wheel by "+q.Path, l.Inner.Slope(q.Path), want, 1e-5+1e-4*math.Abs(want))
			if math.Abs(want) > 1e-3 {
				moving++
			}
		}
	}
	if moving < 8 {
		t.Errorf("only %d measurements move the locks, which the knuckles' stops end", moving)
	}
}

func TestLockHeldByTheRadioStillKeepsToTheLockWanted(t *testing.T) {
	m := model(t, rigtest.Starter(t, "far-knuckle"))
	free := lockOf(t, m, steer.Left, steer.LockOptions{})
	for part, wanted := range map[float64]float64{0.5: 0, 0.6: free.Inner.Value / 4} {
		l := lockOf(t, m, steer.Left, steer.LockOptions{Wanted: wanted, Hold: func(l *steer.Lock) error {
			if l.Governs != free.Governs || len(l.Stops) != len(free.Stops) {
				t.Errorf("held with %s governing", l.Governs)
			}
			l.Servo, l.Governs, l.Key = steer.Result{Value: part * free.Servo.Value}, "the radio", "radio"
			return nil
		}})
		if wanted > 0 {
			near(t, "inner wheel", l.Inner.Value, wanted, 1e-9)
			if l.Key != "want.lock" {
				t.Errorf("%s ends the lock", l.Governs)
			}
			continue
		}
		near(t, "servo", l.Servo.Value, part*free.Servo.Value, 1e-15)
		if l.Key != "radio" || l.Servo.Uncertain != 0 {
			t.Errorf("%s ends the lock, at ± %v", l.Governs, l.Servo.Uncertain)
		}
	}
	broken := errors.New("no radio")
	if _, err := m.Lock(steer.Left, steer.LockOptions{Hold: func(*steer.Lock) error { return broken }}); !errors.Is(err, broken) {
		t.Errorf("error %v", err)
	}
	beyond := steer.Result{Value: 3}
	if _, err := m.LockAt(steer.Left, beyond); err == nil {
		t.Error("a lock beyond the linkage's reach gives no error")
	}
}

// A margin is of the thing that a limit is about. Here the servo's own travel is met long before
// the knuckles' stops are near: 2° of the wheels then cost nothing at all.
func TestMarginOfTheWheelsCostsNothingWhereTheServoEndsTheLock(t *testing.T) {
	m := model(t, rigtest.Starter(t, "far-knuckle", "servo.travel=20"))
	free := lockOf(t, m, steer.Left, steer.LockOptions{})
	if free.Key != "servo.travel" {
		t.Fatalf("%s ends the lock", free.Governs)
	}
	kept := lockOf(t, m, steer.Left, steer.LockOptions{Margin: wheelMargin(2)})
	near(t, "servo with 2° of the wheels", kept.Servo.Value, free.Servo.Value, 1e-12)
	kept = lockOf(t, m, steer.Left, steer.LockOptions{Margin: steer.Margin{Servo: degree}})
	near(t, "servo with 1° of its own", math.Abs(kept.Servo.Value), 19*degree, 1e-9)
}

func TestLockIsNoneWhereTheMarginIsAllThereIs(t *testing.T) {
	m := model(t, rigtest.Starter(t, "far-knuckle"))
	l := lockOf(t, m, steer.Left, steer.LockOptions{Margin: wheelMargin(80)})
	if l.Servo.Value != m.Centre() || l.Servo.Uncertain != 0 {
		t.Errorf("it goes to %.3f° ± %.2g", l.Servo.Value/degree, l.Servo.Uncertain)
	}
}
