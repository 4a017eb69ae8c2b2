package turning

import (
	"math"

	"evenlock/internal/root"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"
)

// Left and Right number sides, of wheels and of turns.
const (
	Left = iota
	Right
)

// Front and Rear number the axles. The first leads, the other follows.
const (
	Front = iota
	Rear
	numAxles
)

// Lock is how far an axle steers one way: to the margin that the rig wants from its stops, or to
// the lock that it wants.
type Lock struct {
	steer.Lock
	// Mean is the mean of both wheels' road steer angles there, in radians, positive to the left.
	Mean float64
}

// Axle is an axle that steers.
type Axle struct {
	*steer.Model
	// Locks are to each side.
	Locks [2]Lock
}

// Sample is one place between the locks.
type Sample struct {
	// Part is that of the front servo's way to its lock, from -1 at the right lock to 1 at the
	// left.
	Part float64
	// Servo are the servo angles from neutral, by axle.
	Servo [numAxles]float64
	// Wheels are the four as they stand.
	Wheels [NumWheels]Wheel
	// Mean are the means of the axles' road steer angles, Wanted is that which the mode asks of the
	// rear.
	Mean   [numAxles]float64
	Wanted float64
	// Short is what keeps the rear from what the mode asks of it; nil if nothing does.
	Short *Lock
	Turn  Turn
	// Uncertain holds the half-widths of about 95 % confidence.
	Uncertain Uncertain
}

// Uncertain is what the uncertainties of the measurements come to. On a straight path those of
// radii and centre are zero and say nothing.
type Uncertain struct {
	Mean                      [numAxles]float64
	Curvature, FrontCurvature float64
	Slip                      float64
	Centre                    Place
	Outer, Inner              float64
	Misfit                    [NumWheels]float64
}

// Sweep is one mode from lock to lock.
type Sweep struct {
	Mode Mode
	// Samples go from the right lock of the front axle to its left lock.
	Samples []Sample
}

// At returns the sample at full lock to a side.
func (c *Sweep) At(side int) *Sample {
	if side == Left {
		return &c.Samples[len(c.Samples)-1]
	}
	return &c.Samples[0]
}

// Analysis is how a rig turns in each mode.
type Analysis struct {
	Options Options
	// Axles are those that steer: Front, and Rear where it does.
	Axles []Axle
	// Sweeps are those of the modes, in their order; only Held without a rear axle that steers.
	Sweeps []*Sweep
}

// RearSteers reports whether the rear axle steers.
func (d *Analysis) RearSteers() bool { return len(d.Axles) > Rear }

// Over steers a rig from lock to lock in each mode. A suspension is left at ride height. The front
// axle goes as far as its stops let it; the rear follows the mean of the front wheels as the mode
// says, as far as its own let it. A rear axle that does not steer is taken to have straight wheels
// as far apart as the front ones.
//
// The errors are those of steer.Build and steer.Model.Locks.
func Over(r *rig.Rig, o Options) (*Analysis, error) {
	all, err := models(r)
	if err != nil {
		return nil, err
	}
	d := &Analysis{Options: o}
	for _, m := range all {
		both, err := m.Locks(m.Wanted())
		if err != nil {
			return nil, err
		}
		a := Axle{Model: m}
		for side := range both {
			l := &both[side]
			a.Locks[side] = Lock{*l, l.Side.Sign() * (l.Inner.Value + l.Outer.Value) / 2}
		}
		d.Axles = append(d.Axles, a)
	}
	modes := []Mode{Held}
	if d.RearSteers() {
		modes = Modes()
	}
	at := d.stance(all, steer.Moved{})
	for _, m := range modes {
		c := &Sweep{Mode: m}
		for i := -o.Steps; i <= o.Steps; i++ {
			sample, err := d.sample(at, m, float64(i)/float64(o.Steps))
			if err != nil {
				return nil, err
			}
			c.Samples = append(c.Samples, sample)
		}
		d.Sweeps = append(d.Sweeps, c)
	}
	return d, d.findUncertain()
}

// models makes those of the axles that steer.
func models(r *rig.Rig) ([]*steer.Model, error) {
	v, err := r.Expand(false)
	if err != nil {
		return nil, err
	}
	all := make([]*steer.Model, len(v.Axles))
	for i, a := range v.Axles {
		if all[i], err = steer.Build(r, steer.Options{Axle: a.Number()}); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// mean is that of both wheels' road steer angles.
func mean(s *steer.State) float64 {
	road := s.Road()
	return (road[steer.Left] + road[steer.Right]) / 2
}

// stance is a rig ready to be steered from lock to lock: its axles' models, where they stand, and
// the servo angles of their locks.
type stance struct {
	models []*steer.Model
	states []*steer.State
	locks  [][2]float64
	// still are the wheels of a rear axle that does not steer.
	still [2]Wheel
}

// stance gets models ready, of the rig with a measurement moved, with which the locks move.
func (d *Analysis) stance(models []*steer.Model, moved steer.Moved) *stance {
	s := &stance{models: models, locks: make([][2]float64, len(models))}
	for i, m := range models {
		s.states = append(s.states, m.NewState())
		for side := range d.Axles[i].Locks {
			l := &d.Axles[i].Locks[side].Servo
			s.locks[i][side] = l.Value + moved.By*l.Slope(moved.Path)
		}
	}
	s.still = s.wheels(Front)
	for side := range s.still {
		s.still[side].Contact.X, s.still[side].Road = models[Front].Axle.Other, 0
	}
	return s
}

// wheels returns an axle's wheels as they stand.
func (s *stance) wheels(axle int) (both [2]Wheel) {
	m, at := s.models[axle], s.states[axle]
	pose := at.Pose()
	for side, road := range at.Road() {
		w := m.Wheels[side]
		on := vehicle.Contact(pose.Ball(w.Centre.Handle), pose.Arrow(w.SpindleHandle), w.Radius)
		both[side] = Wheel{Place{on.X, on.Y}, road, w.Width}
	}
	return both
}

// sample steers a stance in a mode.
func (d *Analysis) sample(s *stance, m Mode, part float64) (Sample, error) {
	side := Left
	if part < 0 {
		side = Right
	}
	lead := s.models[Front]
	sample := Sample{Part: part}
	sample.Servo[Front] = lead.Centre() + math.Abs(part)*(s.locks[Front][side]-lead.Centre())
	copy(sample.Wheels[RearLeft:], s.still[:])
	for axle, at := range s.states {
		if axle == Rear {
			if err := d.follow(s, m, &sample); err != nil {
				return sample, err
			}
		}
		if err := at.Turn(sample.Servo[axle]); err != nil {
			return sample, err
		}
		sample.Mean[axle] = mean(at)
		both := s.wheels(axle)
		copy(sample.Wheels[2*axle:], both[:])
	}
	if m == Held {
		sample.Wanted = sample.Mean[Rear]
	}
	sample.Turn = Fit(&sample.Wheels, Place{X: (lead.Axle.Middle.X + lead.Axle.Other) / 2})
	return sample, nil
}

// follows is within how many radians the rear is where it is wanted.
const follows = 1e-9

// follow finds the rear servo's angle as the mode asks, as far as it goes.
func (d *Analysis) follow(s *stance, m Mode, sample *Sample) (failed error) {
	servo, at := &sample.Servo[Rear], s.states[Rear]
	if *servo = s.models[Rear].Centre(); m == Held {
		return nil
	}
	sample.Wanted = d.Options.Ratio(m) * sample.Mean[Front]
	off := func(servo float64) float64 {
		if err := at.Turn(servo); err != nil {
			failed = err
			return math.NaN()
		}
		return mean(at) - sample.Wanted
	}
	left, right := s.locks[Rear][Left], s.locks[Rear][Right]
	switch {
	case off(left) < -follows:
		sample.Short, *servo = &d.Axles[Rear].Locks[Left], left
	case off(right) > follows:
		sample.Short, *servo = &d.Axles[Rear].Locks[Right], right
	case off(left) <= 0:
		*servo = left
	case off(right) >= 0:
		*servo = right
	case failed == nil:
		*servo = root.Find(off, right, left, 1e-15)
	}
	return failed
}
