package load

import (
	"math"

	"evenlock/rig"
	"evenlock/steer"
)

// Watch looks at what the steering bears at one place after another, as OverLock does at each of its rows. It is for following a
// stick, and for one goroutine.
type Watch struct {
	x    *walk
	rods []rig.SteeringRod
	here Here
}

// Here is what the steering bears at one place. Row.Rods, Tensions and Reserves are those of rig.Rig.SteeringRods, in its order.
type Here struct {
	Row LockRow
	// Tensions are those in N while the servo is asked for most: turned the harder way, with the rock where it is worst.
	Tensions []float64
	// Reserves are how many times what it may have to bear there each rod bears; infinite for a rod that the file says nothing of.
	Reserves []float64
	// Saver is the saver's preload over what the servo is asked for there; infinite without one.
	Saver float64
}

// NewWatch sets a model up. The errors are those of OverLock, but for Stops.
func NewWatch(m *steer.Model, tilt Tilt) (*Watch, error) {
	x, err := newWalk(m, tilt)
	if err != nil {
		return nil, err
	}
	w := &Watch{x: x, rods: m.Rig.SteeringRods()}
	w.here.Tensions, w.here.Reserves = make([]float64, len(w.rods)), make([]float64, len(w.rods))
	return w, nil
}

// At looks at a servo angle in radians, with the suspension of a riding model where it was moved to. What it returns lasts until
// the next call. The errors are those of Bench.At and Bench.Ride.
func (w *Watch) At(servo float64, ride steer.Ride) (*Here, error) {
	if w.x.bench.stand.Ride() != ride {
		if err := w.x.bench.Ride(ride); err != nil {
			return nil, err
		}
	}
	most := math.Inf(-1)
	row, err := w.x.row(servo, func(s *State, cause Cause, _ float64) {
		w.x.nameRods(s)
		if cause == ByJam || s.Against <= most {
			return
		}
		most = s.Against
		for i := range w.rods {
			w.here.Tensions[i] = s.Rods[i].Tension
		}
	})
	if err != nil {
		return nil, err
	}
	row.Rods = row.Rods[:len(w.rods)]
	w.here.Row, w.here.Saver = row, math.Inf(1)
	for i, tension := range row.Rods {
		w.here.Reserves[i] = math.Inf(1)
		if rod := w.x.Rods[i].Rod; rod != nil {
			w.here.Reserves[i] = min(rod.Bears(tension[0]).Reserve, rod.Bears(tension[1]).Reserve)
		}
	}
	if s := w.x.Model.Rig.Saver; s != nil {
		w.here.Saver = s.Preload.Value / row.Ask(row.Harder())
	}
	return &w.here, nil
}
