package load_test

import (
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
)

func trailTruck(tb testing.TB) *rig.Rig {
	tb.Helper()
	return rigtest.Example(tb, "trail-truck")
}

// The same figures by the two ways: a sample of OverLock, and the probe at its servo angle.
func TestProbeSeesWhatOverLockSees(t *testing.T) {
	m, err := steer.New(trailTruck(t))
	if err != nil {
		t.Fatal(err)
	}
	l, err := load.OverLock(m, load.Tilt{}, 6)
	if err != nil {
		t.Fatal(err)
	}
	w, err := load.NewProbe(m, load.Tilt{})
	if err != nil {
		t.Fatal(err)
	}
	least := make([]float64, len(l.Rods))
	for i := range least {
		least[i] = math.Inf(1)
	}
	for i := range l.Samples {
		sample := &l.Samples[i]
		loads, err := w.At(sample.Servo, steer.WheelTravel{})
		if err != nil {
			t.Fatal(err)
		}
		if loads.Sample.SafetyFactor != sample.SafetyFactor || loads.Sample.Standing != sample.Standing || loads.Sample.Rock != sample.Rock {
			t.Errorf("at %.3f rad the probe sees %+v, the sweep %+v", sample.Servo, loads.Sample, *sample)
		}
		if want := l.Model.Rig.Saver.Preload.Value / sample.Ask(sample.Harder()); loads.Saver != want {
			t.Errorf("the saver's part is %v, want %v", loads.Saver, want)
		}
		for k, tension := range loads.Tensions {
			if tension < sample.Rods[k][0] || tension > sample.Rods[k][1] || tension == 0 {
				t.Errorf("rod %d: tension %v is not within %v", k, tension, sample.Rods[k])
			}
		}
		for k, factor := range loads.SafetyFactors {
			least[k] = min(least[k], factor)
			if loads.Sample.Rods[k] != sample.Rods[k] {
				t.Errorf("rod %d: %v, want %v", k, loads.Sample.Rods[k], sample.Rods[k])
			}
		}
	}
	for k := range l.Rods {
		// A rod's length does not change, so that its least safety factor is that of its greatest
		// load.
		if want, _ := l.Rods[k].Weakest(); math.Abs(least[k]-want.SafetyFactor) > 1e-9*want.SafetyFactor {
			t.Errorf("%s: least safety factor %v, want %v", l.Rods[k].Words, least[k], want.SafetyFactor)
		}
	}
}

// A suspended model off its ride height bears other loads than at it, and comes back.
func TestProbeFollowsTheTravel(t *testing.T) {
	m, err := steer.NewSuspended(trailTruck(t))
	if err != nil {
		t.Fatal(err)
	}
	w, err := load.NewProbe(m, load.Tilt{})
	if err != nil {
		t.Fatal(err)
	}
	ask := func(travel steer.WheelTravel) float64 {
		loads, err := w.At(0.3, travel)
		if err != nil {
			t.Fatal(err)
		}
		if len(loads.Sample.Rods) != 2 {
			t.Fatalf("%d rods, want drag link and tie rod alone", len(loads.Sample.Rods))
		}
		return loads.Sample.Ask(loads.Sample.Harder())
	}
	level, raised, again := ask(steer.WheelTravel{}), ask(steer.WheelTravel{Left: 15, Right: -10}), ask(steer.WheelTravel{})
	if level == raised || math.Abs(again-level) > 1e-9*level {
		t.Errorf("asked %v level, %v with a wheel up, %v level again", level, raised, again)
	}
}

func BenchmarkProbe(b *testing.B) {
	for _, one := range []struct {
		name string
		make func(*rig.Rig) (*steer.Model, error)
	}{{"stiff", steer.New}, {"suspended", steer.NewSuspended}} {
		r := trailTruck(b)
		for _, q := range r.Measurements() {
			q.Q.Uncertainty = 0
		}
		m, err := one.make(r)
		if err != nil {
			b.Fatal(err)
		}
		w, err := load.NewProbe(m, load.Tilt{})
		if err != nil {
			b.Fatal(err)
		}
		b.Run(one.name, func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if _, err := w.At(0.3*math.Sin(float64(i)), steer.WheelTravel{}); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(one.name+" set up", func(b *testing.B) {
			for b.Loop() {
				if _, err := load.NewProbe(m, load.Tilt{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
