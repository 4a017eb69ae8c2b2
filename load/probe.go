package load

import (
	"math"

	"evenlock/steer"
)

// Probe looks at what the steering bears at one place after another, as OverLock does at each of
// its samples. It is for following a stick, and for one goroutine.
type Probe struct {
	x     *sweep
	loads PoseLoads
}

// PoseLoads is what the steering bears at one place. Sample.Rods, Tensions and SafetyFactors are
// those of vehicle.Vehicle.Steering, in its order.
type PoseLoads struct {
	Sample Sample
	// Tensions are those in N while the servo is asked for most: turned the harder way, with the
	// rock where it is worst.
	Tensions []float64
	// SafetyFactors are how many times what it may have to bear there each rod bears; infinite for
	// a rod that the file says nothing of.
	SafetyFactors []float64
	// Saver is the saver's preload over what the servo is asked for there; infinite without one.
	Saver float64
}

// NewProbe sets a model up. The errors are those of OverLock, but for Stops.
func NewProbe(m *steer.Model, tilt Tilt) (*Probe, error) {
	x, err := newSweep(m, tilt)
	if err != nil {
		return nil, err
	}
	n := len(m.Vehicle.Steering())
	return &Probe{x, PoseLoads{Tensions: make([]float64, n), SafetyFactors: make([]float64, n)}}, nil
}

// At looks at a servo angle in radians, with the suspension of a suspended model where it was moved
// to. What it returns lasts until the next call. The errors are those of Bench.At and Bench.Travel.
func (w *Probe) At(servo float64, travel steer.WheelTravel) (*PoseLoads, error) {
	if w.x.bench.state.WheelTravel() != travel {
		if err := w.x.bench.Travel(travel); err != nil {
			return nil, err
		}
	}
	most := math.Inf(-1)
	sample, err := w.x.sample(servo, func(s *State, cause Cause, _ float64) {
		if cause == ByJam || s.Against <= most {
			return
		}
		most = s.Against
		for i := range w.loads.Tensions {
			w.loads.Tensions[i] = s.Rods[i].Tension
		}
	})
	if err != nil {
		return nil, err
	}
	sample.Rods = sample.Rods[:len(w.loads.Tensions)]
	w.loads.Sample, w.loads.Saver = sample, math.Inf(1)
	for i, tension := range sample.Rods {
		w.loads.SafetyFactors[i] = math.Inf(1)
		if rod := w.x.Rods[i].Rod; rod != nil {
			w.loads.SafetyFactors[i] = min(rod.Bears(tension[0]).SafetyFactor, rod.Bears(tension[1]).SafetyFactor)
		}
	}
	if s := w.x.Model.Servo.Saver; s != nil {
		w.loads.Saver = s.Preload / sample.Ask(sample.Harder())
	}
	return &w.loads, nil
}
