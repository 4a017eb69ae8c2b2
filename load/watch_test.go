package load_test

import (
	"math"
	"os"
	"testing"

	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
)

func trailTruck(tb testing.TB) *rig.Rig {
	tb.Helper()
	f, err := os.Open("../examples/trail-truck.toml")
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close() //nolint:errcheck // only read
	r, err := rig.Read(f, "")
	if err != nil {
		tb.Fatal(err)
	}
	return r
}

// The same figures by the two ways: a row of OverLock, and the watch at its servo angle.
func TestWatchSeesWhatOverLockSees(t *testing.T) {
	m, err := steer.New(trailTruck(t))
	if err != nil {
		t.Fatal(err)
	}
	l, err := load.OverLock(m, load.Tilt{}, 6)
	if err != nil {
		t.Fatal(err)
	}
	w, err := load.NewWatch(m, load.Tilt{})
	if err != nil {
		t.Fatal(err)
	}
	least := make([]float64, len(l.Rods))
	for i := range least {
		least[i] = math.Inf(1)
	}
	for i := range l.Rows {
		row := &l.Rows[i]
		here, err := w.At(row.Servo, steer.Ride{})
		if err != nil {
			t.Fatal(err)
		}
		if here.Row.Margin != row.Margin || here.Row.Standing != row.Standing || here.Row.Rock != row.Rock {
			t.Errorf("at %.3f rad the watch sees %+v, the row %+v", row.Servo, here.Row, *row)
		}
		if want := l.Model.Rig.Saver.Preload.Value / row.Ask(row.Harder()); here.Saver != want {
			t.Errorf("the saver's part is %v, want %v", here.Saver, want)
		}
		for k, tension := range here.Tensions {
			if tension < row.Rods[k][0] || tension > row.Rods[k][1] || tension == 0 {
				t.Errorf("rod %d: tension %v is not within %v", k, tension, row.Rods[k])
			}
		}
		for k, reserve := range here.Reserves {
			least[k] = min(least[k], reserve)
			if here.Row.Rods[k] != row.Rods[k] {
				t.Errorf("rod %d: %v, want %v", k, here.Row.Rods[k], row.Rods[k])
			}
		}
	}
	for k := range l.Rods {
		// A rod's length does not change, so that its least reserve is that of its greatest load.
		if want, _ := l.Rods[k].Weakest(); math.Abs(least[k]-want.Reserve) > 1e-9*want.Reserve {
			t.Errorf("%s: least reserve %v, want %v", l.Rods[k].Words, least[k], want.Reserve)
		}
	}
}

// A riding model off its ride height bears other loads than at it, and comes back.
func TestWatchFollowsTheRide(t *testing.T) {
	m, err := steer.NewRiding(trailTruck(t))
	if err != nil {
		t.Fatal(err)
	}
	w, err := load.NewWatch(m, load.Tilt{})
	if err != nil {
		t.Fatal(err)
	}
	ask := func(ride steer.Ride) float64 {
		here, err := w.At(0.3, ride)
		if err != nil {
			t.Fatal(err)
		}
		if len(here.Row.Rods) != 2 {
			t.Fatalf("%d rods, want drag link and tie rod alone", len(here.Row.Rods))
		}
		return here.Row.Ask(here.Row.Harder())
	}
	level, raised, again := ask(steer.Ride{}), ask(steer.Ride{Left: 15, Right: -10}), ask(steer.Ride{})
	if level == raised || math.Abs(again-level) > 1e-9*level {
		t.Errorf("asked %v level, %v with a wheel up, %v level again", level, raised, again)
	}
}

func BenchmarkWatch(b *testing.B) {
	for _, one := range []struct {
		name string
		make func(*rig.Rig) (*steer.Model, error)
	}{{"stiff", steer.New}, {"riding", steer.NewRiding}} {
		r := trailTruck(b)
		for _, q := range r.Measurements() {
			q.Q.Uncertainty = 0
		}
		m, err := one.make(r)
		if err != nil {
			b.Fatal(err)
		}
		w, err := load.NewWatch(m, load.Tilt{})
		if err != nil {
			b.Fatal(err)
		}
		b.Run(one.name, func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if _, err := w.At(0.3*math.Sin(float64(i)), steer.Ride{}); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(one.name+" set up", func(b *testing.B) {
			for b.Loop() {
				if _, err := load.NewWatch(m, load.Tilt{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
