package engine

import (
	"bytes"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"evenlock/rig"
	"evenlock/steer"
)

// truck opens the trail truck of the examples.
func truck(t testing.TB) *Session {
	t.Helper()
	text, err := os.ReadFile("../examples/trail-truck.toml")
	if err != nil {
		t.Fatal(err)
	}
	s, err := Open(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func suspended(t *testing.T) map[string]*Session {
	t.Helper()
	all := map[string]*Session{"trail-truck": truck(t)}
	for _, st := range rig.Starters() {
		s, err := Open(st.Text)
		if err != nil {
			t.Fatal(err)
		}
		if s.moved.rig.Suspension != nil {
			all[st.Name] = s
		}
	}
	if len(all) < 4 {
		t.Fatalf("only %d rigs with a suspension", len(all))
	}
	return all
}

// steered is by how much the wheels are steered over the travel at most, with the rig moved here, each place afresh from ride height.
func steered(t *testing.T, text string) float64 {
	t.Helper()
	r, err := rig.Read(bytes.NewReader([]byte(text)), "")
	if err != nil {
		t.Fatal(err)
	}
	m, err := steer.NewSuspended(r.Exact())
	if err != nil {
		t.Fatal(err)
	}
	most := 0.0
	homeLeft, homeRight := m.NewState().Road()
	bump, droop := m.TravelRange()
	for i := -8; i <= 8; i++ {
		x := bump * float64(i) / 8
		if i < 0 {
			x = droop * float64(i) / 8
		}
		s := m.NewState()
		if err := s.Move(m.Centre(), steer.WheelTravel{Left: x, Right: x}); err != nil {
			t.Fatal(err)
		}
		left, right := s.Road()
		most = max(most, math.Abs(left-homeLeft), math.Abs(right-homeRight))
	}
	return most / degree
}

func TestTravelCurvesAreWhatTheRigDoesWhenItIsMoved(t *testing.T) {
	for name, s := range suspended(t) {
		d, err := s.Travel()
		if err != nil || !d.Suspended || len(d.Motions) != 4 || len(d.Locks) != 5 {
			t.Fatalf("%s: %v, rides %v, %d motions, %d locks", name, err, d.Suspended, len(d.Motions), len(d.Locks))
		}
		m, err := steer.NewSuspended(s.moved.rig.Exact())
		if err != nil {
			t.Fatal(err)
		}
		homeLeft, homeRight := m.NewState().Road()
		// The figure for each millimetre is the slope of the rig's own steer, by a central difference.
		const h = 0.1
		up, down := m.NewState(), m.NewState()
		if err := errors.Join(up.Move(m.Centre(), steer.WheelTravel{Left: h, Right: h}), down.Move(m.Centre(), steer.WheelTravel{Left: -h, Right: -h})); err != nil {
			t.Fatal(err)
		}
		upLeft, _ := up.Road()
		downLeft, _ := down.Road()
		want := (upLeft - downLeft) / (2 * h) / degree
		if f := d.Figures[0]; !strings.HasPrefix(f.Key, "bump") || math.Abs(float64(f.Value)-want) > 1e-4 {
			t.Errorf("%s: %s is %v° for each mm, by difference %v", name, f.Key, f.Value, want)
		}
		travels := map[string]func(x float64) steer.WheelTravel{
			"heave":      func(x float64) steer.WheelTravel { return steer.WheelTravel{Left: x, Right: x} },
			"roll":       func(x float64) steer.WheelTravel { return steer.WheelTravel{Left: x, Right: -x} },
			"left_wheel": func(x float64) steer.WheelTravel { return steer.WheelTravel{Left: x} }, "right_wheel": func(x float64) steer.WheelTravel { return steer.WheelTravel{Right: x} },
		}
		for _, motion := range d.Motions {
			for i, x := range motion.X {
				state := m.NewState()
				if err := state.Move(m.Centre(), travels[motion.Key](float64(x))); err != nil {
					t.Fatalf("%s %s at %v mm: %v", name, motion.Key, x, err)
				}
				left, right := state.Road()
				for k, want := range [2]float64{(left - homeLeft) / degree, (right - homeRight) / degree} {
					if got := float64(motion.Series[k].Values[i]); math.Abs(got-want) > 1e-6 {
						t.Errorf("%s %s: %s at %v mm is %v, moved there it is %v", name, motion.Key, motion.Series[k].Key, x, got, want)
					}
				}
			}
		}
	}
}

func TestTryingABetterEndGivesWhatWasPromisedAndIsOneChange(t *testing.T) {
	tried := 0
	for name, s := range suspended(t) {
		ends, err := s.TravelEnds()
		if err != nil || len(ends) == 0 {
			t.Fatalf("%s: %v, %d ends", name, err, len(ends))
		}
		before := s.Text()
		for i, e := range ends {
			if e.Best {
				continue
			}
			if len(e.Changes) == 0 {
				t.Errorf("%s: %s: %s", name, e.Words, e.Problem)
				continue
			}
			if err := s.TryEnd(i); err != nil {
				t.Fatalf("%s: %s: %v", name, e.Words, err)
			}
			tried++
			// The file has hundredths of a millimetre and of a degree.
			if got := steered(t, s.Text()); math.Abs(got-float64(e.Heave.After.Value)) > 0.02 {
				t.Errorf("%s: %s: steers by %.3f°, promised %.3f°", name, e.Words, got, float64(e.Heave.After.Value))
			}
			if did := s.State().Undo; did != e.Words {
				t.Errorf("%s: undo says %q, not %q", name, did, e.Words)
			}
			if err := s.Undo(); err != nil || s.Text() != before {
				t.Fatalf("%s: undo: %v", name, err)
			}
		}
		if err := s.TryEnd(len(ends)); err == nil {
			t.Errorf("%s: an end that is not there was tried", name)
		}
	}
	if tried == 0 {
		t.Error("nothing was tried")
	}
}

func TestWithoutASuspensionItSaysWhatToAdd(t *testing.T) {
	s, err := Start("far-knuckle")
	if err != nil {
		t.Fatal(err)
	}
	d, err := s.Travel()
	if err != nil || d.Suspended || !strings.Contains(d.Remedy, "[suspension]") {
		t.Errorf("%v %+v", err, d)
	}
	if _, err := s.TravelEnds(); err == nil {
		t.Error("ends of a rig without a suspension")
	}
}
