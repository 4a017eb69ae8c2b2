package turning

import (
	"strings"

	"evenlock/rig"
	"evenlock/steer"
)

// placesFrom is where, among the counted numbers of a sample, those of places and radii begin,
// which a straight path has not.
const placesFrom = 9

// counted lists the numbers of a sample that have an uncertainty.
func (r *Sample) counted() []float64 {
	t := &r.Turn
	m := &t.Misfit
	return []float64{
		r.Front, r.Rear, t.Slip, t.Curvature, t.FrontCurvature, m[FrontLeft], m[FrontRight], m[RearLeft], m[RearRight],
		t.Centre.X, t.Centre.Y, t.Outer, t.Inner,
	}
}

// counted lists the uncertainties of those numbers.
func (u *Uncertain) counted() []*float64 {
	m := &u.Misfit
	return []*float64{
		&u.Front, &u.Rear, &u.Slip, &u.Curvature, &u.FrontCurvature, &m[FrontLeft], &m[FrontRight], &m[RearLeft], &m[RearRight],
		&u.Centre.X, &u.Centre.Y, &u.Outer, &u.Inner,
	}
}

// findUncertain gives every sample its uncertainty. The locks move with the measurements.
func (d *Analysis) findUncertain() error {
	counts := func(path string) bool {
		table, _, _ := strings.Cut(path, ".")
		return table != "part" && table != "suspension"
	}
	all, err := steer.ReadRig(d.Front.Rig, counts, d.numbers)
	if err != nil {
		return err
	}
	for _, c := range d.Sweeps {
		for i := range c.Samples {
			sample := &c.Samples[i]
			for n, u := range sample.Uncertain.counted() {
				if !sample.Turn.Straight || n < placesFrom {
					*u = all[n].Uncertain
				}
			}
			all = all[len(sample.counted()):]
		}
	}
	return nil
}

// numbers lists the counted numbers of all samples, of the rig with a measurement moved.
func (d *Analysis) numbers(r *rig.Rig, moved steer.Moved) ([]float64, error) {
	front, rear := d.Front, d.Rear
	var err error
	switch {
	case moved.Path == "":
	case strings.HasPrefix(moved.Path, rearPrefix):
		rear, err = steer.New(r.RearAxle())
	default:
		front, err = steer.New(r)
	}
	if err != nil {
		return nil, err
	}
	at := d.stance(front, rear, moved)
	var all []float64
	for _, c := range d.Sweeps {
		for i := range c.Samples {
			sample, err := d.sample(at, c.Mode, c.Samples[i].Part)
			if err != nil {
				return nil, err
			}
			all = append(all, sample.counted()...)
		}
	}
	return all, nil
}

// rearPrefix begins the paths of the rear axle's measurements.
const rearPrefix = "rear."

// lockMoved returns a lock's servo angle with a measurement of the whole rig moved.
func lockMoved(l *Lock, rear bool, moved steer.Moved) float64 {
	path := moved.Path
	if rear {
		var ok bool
		if path, ok = strings.CutPrefix(path, rearPrefix); !ok {
			return l.Servo.Value
		}
		if path == "track" {
			path = "vehicle.track" // as rig.Rig.RearAxle has it
		}
	}
	return l.Servo.Value + moved.By*l.Servo.Slope(path)
}
