package turning

import (
	"fmt"
	"math"
	"strings"

	"evenlock/internal/root"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// Left and Right number sides, of wheels and of turns.
const (
	Left = iota
	Right
)

// Lock is how far an axle steers one way: to the margin that the rig wants from its stops, or to
// the lock that it wants.
type Lock struct {
	steer.Lock
	// Mean is the mean of both wheels' road steer angles there, in radians, positive to the left.
	Mean float64
}

// Sample is one place between the locks.
type Sample struct {
	// Part is that of the front servo's way to its lock, from -1 at the right lock to 1 at the
	// left.
	Part float64
	// FrontServo and RearServo are the servo angles from neutral.
	FrontServo, RearServo float64
	// Wheels are the four as they stand.
	Wheels [NumWheels]Wheel
	// Front and Rear are the means of their axles' road steer angles, Wanted is that which the mode
	// asks of the rear.
	Front, Rear, Wanted float64
	// Short is what keeps the rear from what the mode asks of it; nil if nothing does.
	Short *Lock
	Turn  Turn
	// Uncertain holds the half-widths of about 95 % confidence.
	Uncertain Uncertain
}

// Uncertain is what the uncertainties of the measurements come to. On a straight path those of
// radii and centre are zero and say nothing.
type Uncertain struct {
	Front, Rear               float64
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
	// Front is the model of the front axle; Rear that of the rear axle, nil where it does not
	// steer.
	Front, Rear *steer.Model
	Options     Options
	// Locks and RearLocks are those of the axles to each side.
	Locks, RearLocks [2]Lock
	// Sweeps are those of the modes, in their order; only Held without a rear axle that steers.
	Sweeps []*Sweep
}

// Over steers a rig from lock to lock in each mode. A suspension is left at ride height. The front
// axle goes as far as its stops let it; the rear follows the mean of the front wheels as the mode
// says, as far as its own let it. A rear axle that does not steer is taken to have straight wheels
// as far apart as the front ones.
//
// The errors are those of steer.New and steer.Model.Stops.
func Over(r *rig.Rig, o Options) (*Analysis, error) {
	d := &Analysis{Options: o}
	var err error
	if d.Front, err = steer.New(r); err != nil {
		return nil, err
	}
	if d.Locks, err = locksOf(d.Front); err != nil {
		return nil, err
	}
	modes := []Mode{Held}
	if rear := r.RearAxle(); rear != nil {
		modes = Modes()
		if d.Rear, err = steer.New(rear); err == nil {
			d.RearLocks, err = locksOf(d.Rear)
		}
		if err != nil {
			return nil, fmt.Errorf("rear axle: %w", err)
		}
		for side := range d.RearLocks {
			l := &d.RearLocks[side]
			l.Governs = rearWords(l.Governs)
			if l.Key != "" {
				l.Key = "rear." + l.Key
			}
		}
	}
	at := d.stance(d.Front, d.Rear, steer.Moved{})
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

// rearWords says of a part that it is the rear axle's.
func rearWords(words string) string {
	if rest, ok := strings.CutPrefix(words, "the "); ok {
		return "the rear " + rest
	}
	return words + ", at the rear"
}

// locksOf returns how far an axle steers to the left and to the right.
func locksOf(m *steer.Model) (locks [2]Lock, err error) {
	both, err := m.Locks(m.Wanted())
	for side := range both {
		l := &both[side]
		locks[side] = Lock{*l, l.Side.Sign() * (l.Inner.Value + l.Outer.Value) / 2}
	}
	return locks, err
}

// mean is that of both wheels' road steer angles.
func mean(s *steer.State) float64 {
	left, right := s.Road()
	return (left + right) / 2
}

// stance is a rig ready to be steered from lock to lock.
type stance struct {
	front, rear         *steer.Model
	frontState, rearAt  *steer.State
	locks, rearLocks    [2]float64
	leftStill, rightOff Wheel // of a rear axle that does not steer
}

// stance gets models ready, of the rig with a measurement moved, with which the locks move.
func (d *Analysis) stance(front, rear *steer.Model, moved steer.Moved) *stance {
	s := &stance{front: front, rear: rear, frontState: front.NewState()}
	for side := range d.Locks {
		s.locks[side] = lockMoved(&d.Locks[side], false, moved)
		s.rearLocks[side] = lockMoved(&d.RearLocks[side], true, moved)
	}
	if rear != nil {
		s.rearAt = rear.NewState()
		return s
	}
	s.leftStill, s.rightOff = wheels(front, s.frontState)
	for _, w := range []*Wheel{&s.leftStill, &s.rightOff} {
		w.Contact.X, w.Road = -front.Geometry.Wheelbase, 0
	}
	return s
}

// wheels returns an axle's wheels, counted from its middle.
func wheels(m *steer.Model, s *steer.State) (left, right Wheel) {
	k, g, pose := m.Mechanism(), m.Geometry, s.Pose()
	l, r := s.Road()
	return Wheel{contact(pose.Ball(k.LeftCentre), pose.Arrow(k.LeftSpindle), g.Left.TyreRadius), l, g.Left.TyreWidth},
		Wheel{contact(pose.Ball(k.RightCentre), pose.Arrow(k.RightSpindle), g.Right.TyreRadius), r, g.Right.TyreWidth}
}

// contact is where a wheel stands, seen from above.
func contact(centre, spindle r3.Vec, radius float64) Place {
	at := rig.Contact(centre, spindle, radius)
	return Place{at.X, at.Y}
}

// sample steers a stance in a mode.
func (d *Analysis) sample(s *stance, m Mode, part float64) (Sample, error) {
	side := Left
	if part < 0 {
		side = Right
	}
	centre := s.front.Centre()
	sample := Sample{Part: part, FrontServo: centre + math.Abs(part)*(s.locks[side]-centre)}
	if err := s.frontState.Turn(sample.FrontServo); err != nil {
		return sample, err
	}
	sample.Front = mean(s.frontState)
	sample.Wheels[FrontLeft], sample.Wheels[FrontRight] = wheels(s.front, s.frontState)
	base := s.front.Geometry.Wheelbase
	if s.rear == nil {
		sample.Wheels[RearLeft], sample.Wheels[RearRight] = s.leftStill, s.rightOff
	} else {
		if err := d.follow(s, m, &sample); err != nil {
			return sample, err
		}
		sample.Wheels[RearLeft], sample.Wheels[RearRight] = wheels(s.rear, s.rearAt)
		sample.Wheels[RearLeft].Contact.X -= base
		sample.Wheels[RearRight].Contact.X -= base
	}
	sample.Turn = Fit(&sample.Wheels, Place{X: -base / 2})
	return sample, nil
}

// follows is within how many radians the rear is where it is wanted.
const follows = 1e-9

// follow turns the rear servo as the mode asks, as far as it goes.
func (d *Analysis) follow(s *stance, m Mode, sample *Sample) error {
	sample.RearServo = s.rear.Centre()
	if m != Held {
		sample.Wanted = d.Options.Ratio(m) * sample.Front
		var failed error
		off := func(servo float64) float64 {
			if err := s.rearAt.Turn(servo); err != nil {
				failed = err
				return math.NaN()
			}
			return mean(s.rearAt) - sample.Wanted
		}
		left, right := s.rearLocks[Left], s.rearLocks[Right]
		switch {
		case off(left) < -follows:
			sample.Short, sample.RearServo = &d.RearLocks[Left], left
		case off(right) > follows:
			sample.Short, sample.RearServo = &d.RearLocks[Right], right
		case off(left) <= 0:
			sample.RearServo = left
		case off(right) >= 0:
			sample.RearServo = right
		case failed == nil:
			sample.RearServo = root.Find(off, right, left, 1e-15)
		}
		if failed != nil {
			return fmt.Errorf("rear axle: %w", failed)
		}
	}
	if err := s.rearAt.Turn(sample.RearServo); err != nil {
		return fmt.Errorf("rear axle: %w", err)
	}
	sample.Rear = mean(s.rearAt)
	if m == Held {
		sample.Wanted = sample.Rear
	}
	return nil
}
