package setup_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/radio"
	"evenlock/setup"
	"evenlock/steer"
)

// passedByHand finds what a servo range drives past, from the stops of each side.
func passedByHand(t *testing.T, trial *setup.Trial, low, high float64) map[string]float64 {
	t.Helper()
	found := map[string]float64{}
	for _, d := range []float64{-1, 1} {
		stops, err := trial.Model.Stops(d)
		if err != nil {
			t.Fatal(err)
		}
		for _, st := range stops {
			end := high
			if d < 0 {
				end = low
			}
			if by := d * (end - st.Servo.Value); by > 0 {
				found[fmt.Sprintf("%s %+v", st.Words, d)] = by
			}
		}
	}
	return found
}

func TestSettingsThatDrivePastAStopAreReported(t *testing.T) {
	for _, name := range rigtest.Names() {
		t.Run(name, func(t *testing.T) {
			trial := tried(t, rigtest.Starter(t, name,
				"transmitter.max_endpoint=150", "settings.endpoint_left=150", "settings.endpoint_right=145"))
			per := trial.Calibration.Endpoint.PerUnit.Value
			low, high := -145*math.Abs(per), 150*math.Abs(per)
			if per < 0 != (trial.Points[20].Servo < 0) {
				t.Fatal("the stick turns the servo the wrong way")
			}
			if trial.Points[20].Servo < 0 {
				low, high = -150*math.Abs(per), 145*math.Abs(per)
			}
			near(t, "least servo angle", trial.Low, low, 1e-9)
			near(t, "greatest servo angle", trial.High, high, 1e-9)
			want := passedByHand(t, trial, low, high)
			if len(want) < 2 {
				t.Fatalf("only %d stops passed", len(want))
			}
			if len(trial.Passed) != len(want) {
				t.Errorf("%d stops passed, wanted %d", len(trial.Passed), len(want))
			}
			sticks := map[int]bool{0: false, 20: false}
			for _, p := range trial.Passed {
				if (p.Stop.Servo.Value > 0) == (trial.Points[20].Servo > 0) {
					sticks[20] = true
				} else {
					sticks[0] = true
				}
				key := fmt.Sprintf("%s %+v", p.Stop.Words, math.Copysign(1, p.Stop.Servo.Value))
				near(t, key, p.By, want[key], 1e-9)
				if p.TrimOnly {
					t.Errorf("%s is passed without trim", key)
				}
			}
			for i, past := range sticks {
				if (trial.Points[i].Stop != "") != past {
					t.Errorf("stick %+v is past %q", trial.Points[i].Stick, trial.Points[i].Stop)
				}
			}
			if trial.Points[10].Stop != "" {
				t.Errorf("the centre is past %s", trial.Points[10].Stop)
			}
		})
	}
}

func TestStopsThatOnlyTrimDrivesPastAreToldApart(t *testing.T) {
	for _, name := range rigtest.Names() {
		// Endpoints right at the stops, and a trim that moves the ends.
		r := made(t, rigtest.Starter(t, name, "want.lock=80", "want.margin=0.2", "transmitter.trim=whole", "transmitter.max_endpoint=160")).Rig()
		trial := tried(t, r)
		if len(trial.Passed) == 0 {
			t.Errorf("%s: a trim of %v drives past nothing", name, r.Transmitter.MaxTrim)
		}
		for _, p := range trial.Passed {
			if !p.TrimOnly {
				t.Errorf("%s: %s is said to be passed without trim, by %.2f°", name, p.Stop.Words, p.By/degree)
			}
		}
		for _, p := range trial.Points {
			if p.Stop != "" {
				t.Errorf("%s: stick %+v is past %s without trim", name, p.Stick, p.Stop)
			}
		}
		// A trim between fixed ends drives past nothing.
		r.Transmitter.Trim = "centre"
		if trial := tried(t, r); len(trial.Passed) != 0 {
			t.Errorf("%s: a trim of the centre only drives past %s", name, trial.Passed[0].Stop.Words)
		}
	}
}

func TestStickBeyondTheLinkagesReachIsNotReached(t *testing.T) {
	trial := tried(t, rigtest.Starter(t, "centre-crank", "transmitter.max_endpoint=200", "settings.endpoint_left=200", "settings.endpoint_right=200", "servo.travel=120"))
	lost := 0
	for _, p := range trial.Points {
		if !p.Reached {
			lost++
			if p.Values != (steer.Values{}) || p.Stop == "" {
				t.Errorf("stick %+v: values %v, stop %q", p.Stick, p.Values[steer.Road.Of(steer.Left)], p.Stop)
			}
		}
	}
	if lost == 0 || trial.EvenKnown {
		t.Errorf("%d sticks out of reach, evenness known: %v", lost, trial.EvenKnown)
	}
}

func TestTryNeedsACalibration(t *testing.T) {
	r := rigtest.Starter(t, "far-knuckle")
	r.Transmitter.Readings = nil
	_, err := setup.Try(r, 1, 5)
	var missing *radio.MissingReadingError
	if !errors.As(err, &missing) || missing.Remedy == "" {
		t.Errorf("error %v, wanted a *radio.MissingReadingError", err)
	}
}

// The room for trim and what ends it, against every trim tried one by one.
func TestTrimRoomIsWhereTryingTrimsPassesAStop(t *testing.T) {
	for _, name := range rigtest.Names() {
		p := made(t, rigtest.Starter(t, name, "want.lock=80", "want.margin=1", "transmitter.trim=whole", "transmitter.max_trim=300"))
		span := func(trim float64) radio.Span {
			s := p.Settings
			s.Trim = trim
			model, err := radio.NewModel(p.Calibration, s)
			if err != nil {
				t.Fatal(err)
			}
			return model.Span()
		}
		past := func(trim float64) bool {
			s := span(trim)
			for _, end := range []float64{s.Left, s.Right} {
				for _, e := range ends(p) {
					first := e.Stops[0].Servo.Value
					if (first > p.After.Centre()) == (end > first) && end != first {
						return true
					}
				}
			}
			return false
		}
		for _, c := range []struct{ sign, room float64 }{{1, p.Trim.Room.Positive}, {-1, p.Trim.Room.Negative}} {
			n := 0.0
			for n < 300 && !past(c.sign*(n+1)) {
				n++
			}
			if n != c.room {
				t.Errorf("%s: room for %v steps of trim, by trying %v", name, c.sign*c.room, c.sign*n)
			}
		}
	}
}

// The endpoints that Try says stay within the first stop do, and a step more does not.
func TestEndpointsWithinTheFirstStopAreTheGreatest(t *testing.T) {
	for _, name := range rigtest.Names() {
		wide := []string{"transmitter.max_endpoint=150", "settings.endpoint_left=150", "settings.endpoint_right=145"}
		trial := tried(t, rigtest.Starter(t, name, wide...))
		for _, p := range trial.Passed {
			if !trial.WithinKnown[p.Side] {
				t.Errorf("%s: no endpoint keeps within %s", name, p.Stop.Words)
			}
		}
		for more, want := range map[float64]bool{0: false, 1: true} {
			r := rigtest.Starter(t, name, wide...)
			// Where the servo's own travel is the stop, a wider endpoint turns it no further.
			r.Servo.Travel.Given = false
			trial := tried(t, r)
			for side, to := range map[steer.Side]*float64{steer.Left: &r.Settings.EndpointLeft, steer.Right: &r.Settings.EndpointRight} {
				if trial.WithinKnown[side] {
					*to = trial.Within[side].Value + more
				}
			}
			passed := map[steer.Side]bool{}
			for _, p := range tried(t, r).Passed {
				if !p.TrimOnly {
					passed[p.Side] = true
				}
			}
			for _, side := range []steer.Side{steer.Left, steer.Right} {
				if trial.WithinKnown[side] && passed[side] != want {
					t.Errorf("%s: %v more than the endpoint within the stop: passed %v on side %d", name, more, passed[side], side)
				}
			}
		}
	}
}
