package steer

import (
	"math"

	"evenlock/rig"
	"evenlock/vehicle"
)

// Traced is a number of a rig's lists with where it comes from.
type Traced struct {
	vehicle.Number
	// Known is the number with its uncertainty.
	Known Result
	// By are the measurements that move it; none if it is stated outright or follows from what is
	// no measurement.
	By []Cause
}

// Cause is a measurement that moves a number.
type Cause struct {
	rig.Measurement
	// Shared is whether it also moves the same number on the other side.
	Shared bool
}

// Trace returns the numbers of a rig's lists, those of v, each with its uncertainty and with what
// moves it. That is found by moving every measurement of the rig, so that it is so whatever the
// lists say themselves. The errors are those of rig.Rig.Expand.
func Trace(r *rig.Rig, v *vehicle.Vehicle) ([]Traced, error) {
	read := func(r *rig.Rig, _ Moved) ([]float64, error) {
		v, err := r.Expand(true)
		if err != nil {
			return nil, err
		}
		var all []float64
		for _, n := range v.Numbers() {
			all = append(all, n.Value)
		}
		return all, nil
	}
	known, err := ReadRig(r, every, read)
	if err != nil {
		return nil, err
	}
	// Of measurements that are exact no derivatives are taken: make none of them so.
	rough := r.Clone()
	for _, m := range rough.Measurements() {
		m.Q.Uncertainty = 1
	}
	moved, err := ReadRig(rough, every, read)
	if err != nil {
		return nil, err
	}
	measured := r.Measurements()
	all := make([]Traced, len(known))
	at := map[[3]string][]int{}
	id := func(n *vehicle.Number, name string) [3]string { return [3]string{n.List, n.What, name} }
	for i, n := range v.Numbers() {
		t := &all[i]
		t.Number, t.Known = n, known[i]
		for _, m := range measured {
			if math.Abs(moved[i].Slope(m.Path)) > noSlope {
				t.By = append(t.By, Cause{Measurement: m})
			}
		}
		at[id(&n, n.Name)] = append(at[id(&n, n.Name)], i)
	}
	for i := range all {
		t := &all[i]
		for _, j := range at[id(&t.Number, vehicle.Opposite(t.Name))] {
			for k := range t.By {
				t.By[k].Shared = t.By[k].Shared || all[j].Kind == t.Kind && math.Abs(moved[j].Slope(t.By[k].Path)) > noSlope
			}
		}
	}
	return all, nil
}

// noSlope is the most that a derivative that is none comes to by rounding.
const noSlope = 1e-7

func every(string) bool { return true }
