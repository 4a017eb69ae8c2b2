package travel

import (
	"maps"

	"evenlock/steer"
	"evenlock/vehicle"
)

// Options are how to look.
type Options struct {
	// Servo is the angle in radians, from neutral, at which the servo is held.
	Servo float64
	// Steps are the samples each side of ride height, at least 1.
	Steps int
}

// Analysis is what the travel does to the steering.
type Analysis struct {
	Model *steer.Model
	Options
	// Sweeps are the motions, by Motion.
	Sweeps [NumMotions]*Sweep
	// LimitUses are the limits that the rig file states, in its order.
	LimitUses []LimitUse
	// Locks are how far it steers, at ride height first; they do not depend on the options.
	Locks []Lock
	// Beside compares drag link and panhard rod; nil if they are not both there.
	Beside *Beside
	// Ideals are where the rods that span the suspension would not steer.
	Ideals []Ideal
}

// Over looks at a model through its suspension's travel. The error is steer.ErrNoSuspension for a
// model that is not suspended, and a *linkage.LimitError if the linkage does not reach the servo
// angle. Travel that is not reached is no error but a result: Sweep.Stops.
func Over(m *steer.Model, o Options) (*Analysis, error) {
	if !m.Suspended() {
		return nil, steer.ErrNoSuspension
	}
	o.Steps = max(o.Steps, 1)
	d := &Analysis{Model: m, Options: o}
	var err error
	if d.Beside, err = beside(m); err != nil {
		return nil, err
	}
	for motion := range NumMotions {
		if d.Sweeps[motion], err = sweep(m, o.Servo, motion, o.Steps); err != nil {
			return nil, err
		}
	}
	if d.Locks, err = locks(m); err != nil {
		return nil, err
	}
	from, to := o.Servo, o.Servo
	if home := &d.Locks[0]; home.Past == nil {
		from, to = home.Stops[Left].Servo.Value, home.Stops[Right].Servo.Value
	}
	if d.LimitUses, err = limitUses(m, o.Servo, from, to); err != nil {
		return nil, err
	}
	d.Ideals, err = Ideals(m)
	return d, err
}

// span is a rod of the steering that reaches across the suspension, so that travel steers by it.
type span struct {
	*vehicle.Rod
	// ends are its two balls, that which stands still first if one does, which is held then.
	ends [2]*vehicle.Ball
	held bool
}

// spans lists the rods of the steering whose two ends the travel does not carry alike.
func spans(v *vehicle.Vehicle) []span {
	var all []span
	for _, r := range v.Steering() {
		from, to := carriers(r.From.On), carriers(r.To.On)
		if maps.Equal(from, to) {
			continue
		}
		s := span{r, [2]*vehicle.Ball{r.From, r.To}, len(from) == 0 || len(to) == 0}
		if len(to) == 0 {
			s.ends = [2]*vehicle.Ball{r.To, r.From}
		}
		all = append(all, s)
	}
	return all
}

// carriers are the bodies that the travel moves by itself and that a body goes with.
func carriers(b *vehicle.Body) map[*vehicle.Body]bool {
	all := map[*vehicle.Body]bool{}
	var add func(b *vehicle.Body)
	add = func(b *vehicle.Body) {
		if b.Drive == vehicle.ByTravel {
			all[b] = true
		}
		if b.On != nil {
			add(b.On)
		}
		for _, end := range b.Ends {
			if end != nil {
				add(end.On)
			}
		}
	}
	add(b)
	return all
}
