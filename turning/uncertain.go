package turning

import (
	"fmt"
	"math"
	"strings"

	"evenlock/rig"
	"evenlock/steer"
)

// The steps of the central differences with respect to measurements, in mm and rad, as those of package steer: their error falls
// with their square and is far below any caliper's.
const (
	stepLength = 0.01
	stepAngle  = 1e-4
)

// numCounted is how many numbers of a sample have an uncertainty. Those from placesFrom on are of
// the places and radii, which a straight path has not.
const (
	numCounted = 13
	placesFrom = 9
)

func (r *Sample) counted() [numCounted]float64 {
	t := &r.Turn
	m := &t.Misfit
	return [numCounted]float64{
		r.Front, r.Rear, t.Slip, t.Curvature, t.FrontCurvature, m[FrontLeft], m[FrontRight], m[RearLeft], m[RearRight],
		t.Centre.X, t.Centre.Y, t.Outer, t.Inner,
	}
}

func (u *Uncertain) counted() [numCounted]*float64 {
	m := &u.Misfit
	return [numCounted]*float64{
		&u.Front, &u.Rear, &u.Slip, &u.Curvature, &u.FrontCurvature, &m[FrontLeft], &m[FrontRight], &m[RearLeft], &m[RearRight],
		&u.Centre.X, &u.Centre.Y, &u.Outer, &u.Inner,
	}
}

// spread gives every sample its uncertainty: the root of the sum of the squares of each
// measurement's share (JCGM 100, equation 10). The locks move with the measurements.
func (d *Analysis) spread() error {
	twin := d.Front.Rig.Clone()
	var moved []rig.Measurement
	var wide []float64
	for _, q := range twin.Measurements() {
		table, _, _ := strings.Cut(q.Path, ".")
		if q.Q.Uncertainty > 0 && table != "part" && table != "suspension" {
			moved, wide = append(moved, q), append(wide, q.Q.Uncertainty)
		}
		// A model of exact measurements is quick to make.
		q.Q.Uncertainty = 0
	}
	slopes := d.lockSlopes()
	for i, q := range moved {
		step := stepLength
		if q.Kind == rig.AngleKind {
			step = stepAngle
		}
		var ends [2]*stance
		home := q.Q.Value
		for k, by := range [2]float64{-step, step} {
			q.Q.Value = home + by
			front, rear, err := d.rebuilt(twin, q.Path)
			if err != nil {
				return fmt.Errorf("at the edge of what can be: %w", err)
			}
			ends[k] = d.stance(front, rear, func(l *Lock) float64 { return by * slopes[l][q.Path] })
		}
		q.Q.Value = home
		if err := d.addShare(&ends, wide[i]/(2*step)); err != nil {
			return err
		}
	}
	for _, c := range d.Sweeps {
		for i := range c.Samples {
			for _, u := range c.Samples[i].Uncertain.counted() {
				*u = math.Sqrt(*u)
			}
		}
	}
	return nil
}

// addShare adds the square of what one measurement does to each sample, given the rig with it moved
// both ways.
func (d *Analysis) addShare(ends *[2]*stance, times float64) error {
	for _, c := range d.Sweeps {
		for i := range c.Samples {
			sample := &c.Samples[i]
			var at [2]Sample
			for k := range at {
				var err error
				if at[k], err = d.sample(ends[k], c.Mode, sample.Part); err != nil {
					return fmt.Errorf("at the edge of what can be: %w", err)
				}
			}
			low, high := at[0].counted(), at[1].counted()
			for n, sum := range sample.Uncertain.counted() {
				if sample.Turn.Straight && n >= placesFrom {
					break
				}
				share := times * (high[n] - low[n])
				*sum += share * share
			}
		}
	}
	return nil
}

// rebuilt returns the models of a rig one of whose measurements was moved.
func (d *Analysis) rebuilt(r *rig.Rig, path string) (front, rear *steer.Model, err error) {
	front, rear = d.Front, d.Rear
	if strings.HasPrefix(path, "rear.") {
		rear, err = steer.New(r.RearAxle())
	} else {
		front, err = steer.New(r)
	}
	return front, rear, err
}

// lockSlopes returns by how much each lock's servo angle changes with each measurement, by its path.
func (d *Analysis) lockSlopes() map[*Lock]map[string]float64 {
	all := map[*Lock]map[string]float64{}
	collect := func(m *steer.Model, locks *[2]Lock, path func(p string) string) {
		for side := range locks {
			one := map[string]float64{}
			for i, q := range m.Measures() {
				one[path(q.Path)] = locks[side].Servo.Slopes[i]
			}
			all[&locks[side]] = one
		}
	}
	collect(d.Front, &d.Locks, func(p string) string { return p })
	if d.Rear != nil {
		collect(d.Rear, &d.RearLocks, func(p string) string {
			return "rear." + strings.TrimPrefix(p, "vehicle.")
		})
	}
	return all
}
