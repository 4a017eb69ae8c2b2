package steer_test

import (
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/steer"
)

// Where a limit is met is measured too: what the error of that does to the end of the lock is what
// rebuilt rigs with the limit moved say.
func TestALimitsOwnErrorMovesTheEndOfTheLock(t *testing.T) {
	for _, c := range []struct{ starter, key, value string }{
		{"far-knuckle", "left.stops.in", "20 ± 3"},
		{"far-knuckle", "left.stops.out", "20 ± 3"},
		{"far-knuckle", "left.axle_joint.max_angle", "24 ± 2"},
		{"far-knuckle", "drag_link.end_angle", "9 ± 1"},
		{"behind", "servo.travel", "25 ± 4"},
	} {
		t.Run(c.key, func(t *testing.T) {
			r := rigtest.Starter(t, c.starter, c.key+"="+c.value)
			m := model(t, r)
			i, half := -1, 0.0
			for k, q := range m.Measures() {
				if q.Path == c.key {
					i, half = k, q.Q.Uncertainty
				}
			}
			if i < 0 {
				t.Fatalf("%s is not among the measures", c.key)
			}
			const step = 1e-5
			governs := 0
			for _, side := range []steer.Side{steer.Left, steer.Right} {
				end := func(by float64) steer.Lock {
					l, err := model(t, rigtest.Moved(r, i, by)).Lock(side, steer.LockOptions{})
					if err != nil {
						t.Fatal(err)
					}
					return l
				}
				l, err := m.Lock(side, steer.LockOptions{})
				if err != nil {
					t.Fatal(err)
				}
				if l.Key != c.key {
					continue
				}
				governs++
				more, less := end(step), end(-step)
				for _, one := range []struct {
					what           string
					got, high, low steer.Result
				}{{"servo", l.Servo, more.Servo, less.Servo}, {"inner wheel", l.Inner, more.Inner, less.Inner}} {
					want := (one.high.Value - one.low.Value) / (2 * step)
					near(t, one.what, one.got.Slope(c.key), want, 1e-5*(1+math.Abs(want)))
					if one.got.Uncertain < math.Abs(want)*half*(1-1e-6) {
						t.Errorf("%s is ± %g, and the limit alone makes it ± %g", one.what, one.got.Uncertain, math.Abs(want)*half)
					}
				}
				if c.key == "left.stops.in" {
					// The knuckle turns to where it is stopped: as far as that is off, so is the turn.
					turn, err := l.At(steer.Turn.Of(side.Other()))
					if err != nil {
						t.Fatal(err)
					}
					near(t, "turn by its own stop", math.Abs(turn.Slope(c.key)), 1, 1e-9)
				}
			}
			if governs == 0 {
				t.Errorf("%s ends neither lock", c.key)
			}
		})
	}
}
