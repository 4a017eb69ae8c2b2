package steer_test

import (
	"math"
	"testing"

	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

const degree = math.Pi / 180

func model(t testing.TB, r *rig.Rig) *steer.Model {
	t.Helper()
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// valuesAt returns every quantity at a servo angle.
func valuesAt(t testing.TB, m *steer.Model, servo float64) steer.Values {
	t.Helper()
	s := m.NewState()
	if err := s.Turn(servo); err != nil {
		t.Fatal(err)
	}
	return s.Values()
}

// servoFor returns the servo angle, between two, at which a quantity has a value.
func servoFor(t testing.TB, m *steer.Model, q steer.Quantity, want, from, to float64) float64 {
	t.Helper()
	r, err := m.Solved(q, want, from, to)
	if err != nil {
		t.Fatal(err)
	}
	return r.Value
}

// near reports a number that is further than tol from what it should be.
func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, wanted %.12g within %.2g", what, got, want, tol)
	}
}

func turnedAbout(v, point, axis r3.Vec, angle float64) r3.Vec {
	return r3.Add(point, r3.NewRotation(angle, axis).Rotate(r3.Sub(v, point)))
}

func cot(x float64) float64 { return 1 / math.Tan(x) }
