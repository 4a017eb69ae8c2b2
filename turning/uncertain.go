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
		r.Mean[Front], r.Mean[Rear], t.Slip, t.Curvature, t.FrontCurvature, m[FrontLeft], m[FrontRight], m[RearLeft], m[RearRight],
		t.Centre.X, t.Centre.Y, t.Outer, t.Inner,
	}
}

// counted lists the uncertainties of those numbers.
func (u *Uncertain) counted() []*float64 {
	m := &u.Misfit
	return []*float64{
		&u.Mean[Front], &u.Mean[Rear], &u.Slip, &u.Curvature, &u.FrontCurvature, &m[FrontLeft], &m[FrontRight], &m[RearLeft], &m[RearRight],
		&u.Centre.X, &u.Centre.Y, &u.Outer, &u.Inner,
	}
}

// findUncertain gives every sample its uncertainty. The locks move with the measurements.
func (d *Analysis) findUncertain() error {
	counts := func(path string) bool {
		table, _, _ := strings.Cut(path, ".")
		return table != "part" && table != "suspension"
	}
	all, err := steer.ReadRig(d.Axles[Front].Rig, counts, d.numbers)
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
	moves, err := models(r)
	if err != nil {
		return nil, err
	}
	at := d.stance(moves, moved)
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
