package travel

import (
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
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

// leftwards returns the unit vector along the line through two places, to the left.
func leftwards(a, b r3.Vec) r3.Vec {
	d := r3.Unit(r3.Sub(a, b))
	if d.Y < 0 {
		return r3.Scale(-1, d)
	}
	return d
}

// The following tell which rods reach across the suspension, from one thing that it carries to
// another, so that travel steers by them.

func servoTravels(g *rig.Geometry) bool { return g.Suspension.Solid && g.ServoOnAxle }

func middleTravels(g *rig.Geometry) bool {
	return g.Suspension.Solid && g.Crank != nil && g.Crank.OnAxle
}

func dragSpans(g *rig.Geometry) bool {
	pulledTravels := g.Crank == nil || middleTravels(g)
	return pulledTravels != servoTravels(g)
}

func middleSpans(g *rig.Geometry) bool { return g.Crank != nil && !middleTravels(g) }

func tieSpans(g *rig.Geometry) bool { return g.Crank == nil && g.Second == nil && !g.Suspension.Solid }
