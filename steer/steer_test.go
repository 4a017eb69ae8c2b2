package steer_test

import (
	"bytes"
	"math"
	"testing"

	"evenlock/rig"
	"evenlock/steer"
)

const degree = math.Pi / 180

func starter(t testing.TB, name string) *rig.Rig {
	t.Helper()
	for _, s := range rig.Starters() {
		if s.Name == name {
			r, err := rig.Read(bytes.NewReader(s.Text), name)
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
	}
	t.Fatalf("no starter %q", name)
	return nil
}

func TestPrint(t *testing.T) {
	for _, s := range rig.Starters() {
		m, err := steer.New(starter(t, s.Name))
		if err != nil {
			t.Error(s.Name, err)
			continue
		}
		t.Log(s.Name, len(m.Measures()))
		for _, d := range []float64{-1, 1} {
			stops, err := m.Stops(d)
			t.Log(err)
			for _, st := range stops {
				w, err := m.Within(st, 2*degree)
				t.Logf("%s %.3f±%.2f L %.2f R %.2f  within %.3f±%.2f %v", st.Words, st.Servo.Value/degree, st.Servo.Uncertain/degree, st.TurnLeft/degree, st.TurnRight/degree, w.Value/degree, w.Uncertain/degree, err)
			}
		}
		sq, err := m.Square()
		t.Log(sq.Miss.Value/degree, sq.Miss.Uncertain/degree, sq.Servo.Value/degree, sq.Servo.Uncertain/degree, sq.Reached, err)
		rows, err := m.Sweep(-30*degree, 30*degree, 5)
		if err != nil {
			t.Log(err)
			continue
		}
		for _, r := range rows {
			t.Logf("%6.1f road %.2f±%.2f %.2f±%.2f  rate %.3f±%.3f cam %.2f horn %.2f far %.2f travel %.2f R %.0f ack %.2f outer %.0f lev %.3f", r.Servo/degree, r.Values[steer.RoadLeft]/degree, r.Uncertain[steer.RoadLeft]/degree, r.Values[steer.RoadRight]/degree, r.Uncertain[steer.RoadRight]/degree, r.Rates[steer.RoadLeft], r.RatesUncertain[steer.RoadLeft], r.Values[steer.CamberLeft]/degree, r.Values[steer.HornAngle]/degree, r.Values[steer.FarAngle]/degree, r.Values[steer.LinkTravel], 1/r.Values[steer.Curvature], r.Values[steer.Ackermann]/degree, r.Values[steer.OuterRadius], r.Values[steer.Leverage])
		}
	}
}
