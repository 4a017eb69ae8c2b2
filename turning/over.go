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

// Lock is how far an axle steers one way: to its first stop less the margin that the rig wants, or to the lock that it wants.
type Lock struct {
	// Servo is the servo angle there, from neutral.
	Servo steer.Result
	// Mean is the mean of both wheels' road steer angles there, in radians, positive to the left.
	Mean float64
	// Key is that of the rig file, empty for a dead point. Words name what ends the lock.
	Key, Words string
}

// Row is one place between the locks.
type Row struct {
	// Part is that of the front servo's way to its lock, from -1 at the right lock to 1 at the left.
	Part float64
	// FrontServo and RearServo are the servo angles from neutral.
	FrontServo, RearServo float64
	// Wheels are the four as they stand.
	Wheels [NumWheels]Wheel
	// Front and Rear are the means of their axles' road steer angles, Wanted is that which the mode asks
	// of the rear.
	Front, Rear, Wanted float64
	// Short is what keeps the rear from what the mode asks of it; nil if nothing does.
	Short *Lock
	Turn  Turn
	// Uncertain holds the half-widths of about 95 % confidence.
	Uncertain Uncertain
}

// Uncertain is what the uncertainties of the measurements come to. On a straight path those of radii and centre are zero and
// say nothing.
type Uncertain struct {
	Front, Rear               float64
	Curvature, FrontCurvature float64
	Slip                      float64
	Centre                    Place
	Outer, Inner              float64
	Misfit                    [NumWheels]float64
}

// Curve is one mode from lock to lock.
type Curve struct {
	Mode Mode
	// Rows go from the right lock of the front axle to its left lock.
	Rows []Row
}

// At returns the row at full lock to a side.
func (c *Curve) At(side int) *Row {
	if side == Left {
		return &c.Rows[len(c.Rows)-1]
	}
	return &c.Rows[0]
}

// Study is how a rig turns in each mode.
type Study struct {
	// Front is the model of the front axle; Rear that of the rear axle, nil where it does not steer.
	Front, Rear *steer.Model
	Options     Options
	// Locks and RearLocks are those of the axles to each side.
	Locks, RearLocks [2]Lock
	// Curves are those of the modes, in their order; only Held without a rear axle that steers.
	Curves []*Curve
}

// Over steers a rig from lock to lock in each mode. A suspension is left at ride height. The front axle
// goes as far as its stops let it; the rear follows the mean of the front wheels as the mode says, as far as its own let
// it. A rear axle that does not steer is taken to have straight wheels as far apart as the front ones.
//
// The errors are those of steer.New and steer.Model.Stops.
func Over(r *rig.Rig, o Options) (*Study, error) {
	d := &Study{Options: o}
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
			l.Words = rearWords(l.Words)
			if l.Key != "" {
				l.Key = "rear." + l.Key
			}
		}
	}
	at := d.stance(d.Front, d.Rear, nil)
	for _, m := range modes {
		c := &Curve{Mode: m}
		for i := -o.Steps; i <= o.Steps; i++ {
			row, err := d.row(at, m, float64(i)/float64(o.Steps))
			if err != nil {
				return nil, err
			}
			c.Rows = append(c.Rows, row)
		}
		d.Curves = append(d.Curves, c)
	}
	return d, d.spread()
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
	s := m.Stand()
	leftward := 1.0
	if rates := s.Rates(); rates[steer.RoadLeft]+rates[steer.RoadRight] < 0 {
		leftward = -1
	}
	for side, to := range [2]float64{1, -1} {
		l := &locks[side]
		stops, err := m.Stops(leftward * to)
		if err != nil {
			return locks, err
		}
		l.Key, l.Words = stops[0].Key, stops[0].Words
		if l.Servo, err = m.Within(stops[0], m.Rig.Want.Margin.Value); err != nil {
			return locks, err
		}
		if err := l.keepTo(m, s, m.Rig.Want.Lock, [2]steer.Quantity{steer.RoadLeft, steer.RoadRight}[side], to); err != nil {
			return locks, err
		}
		if err := s.Turn(l.Servo.Value); err != nil {
			return locks, err
		}
		l.Mean = mean(s)
	}
	return locks, nil
}

// keepTo ends the lock where the inner wheel has the lock wanted, if that comes first.
func (l *Lock) keepTo(m *steer.Model, s *steer.Stand, want rig.Angle, inner steer.Quantity, to float64) error {
	if !want.Given {
		return nil
	}
	if err := s.Turn(l.Servo.Value); err != nil {
		return err
	}
	if v := s.Values(); to*v[inner] <= want.Value {
		return nil
	}
	var err error
	l.Key, l.Words = "want.lock", "the lock wanted"
	l.Servo, err = m.Solved(inner, to*want.Value, m.Centre(), l.Servo.Value)
	return err
}

// mean is that of both wheels' road steer angles.
func mean(s *steer.Stand) float64 {
	left, right := s.Road()
	return (left + right) / 2
}

// stance is a rig ready to be steered from lock to lock.
type stance struct {
	front, rear         *steer.Model
	frontStand, rearAt  *steer.Stand
	locks, rearLocks    [2]float64
	leftStill, rightOff Wheel // of a rear axle that does not steer
}

// stance gets models ready. moved says by how much each lock is moved; nil is not at all.
func (d *Study) stance(front, rear *steer.Model, moved func(l *Lock) float64) *stance {
	s := &stance{front: front, rear: rear, frontStand: front.Stand()}
	for side := range d.Locks {
		s.locks[side], s.rearLocks[side] = d.Locks[side].Servo.Value, d.RearLocks[side].Servo.Value
		if moved != nil {
			s.locks[side] += moved(&d.Locks[side])
			s.rearLocks[side] += moved(&d.RearLocks[side])
		}
	}
	if rear != nil {
		s.rearAt = rear.Stand()
		return s
	}
	s.leftStill, s.rightOff = wheels(front, s.frontStand)
	for _, w := range []*Wheel{&s.leftStill, &s.rightOff} {
		w.Contact.X, w.Road = -front.Geometry.Wheelbase, 0
	}
	return s
}

// wheels returns an axle's wheels, counted from its middle.
func wheels(m *steer.Model, s *steer.Stand) (left, right Wheel) {
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

// row steers a stance in a mode.
func (d *Study) row(s *stance, m Mode, part float64) (Row, error) {
	side := Left
	if part < 0 {
		side = Right
	}
	centre := s.front.Centre()
	row := Row{Part: part, FrontServo: centre + math.Abs(part)*(s.locks[side]-centre)}
	if err := s.frontStand.Turn(row.FrontServo); err != nil {
		return row, err
	}
	row.Front = mean(s.frontStand)
	row.Wheels[FrontLeft], row.Wheels[FrontRight] = wheels(s.front, s.frontStand)
	base := s.front.Geometry.Wheelbase
	if s.rear == nil {
		row.Wheels[RearLeft], row.Wheels[RearRight] = s.leftStill, s.rightOff
	} else {
		if err := d.follow(s, m, &row); err != nil {
			return row, err
		}
		row.Wheels[RearLeft], row.Wheels[RearRight] = wheels(s.rear, s.rearAt)
		row.Wheels[RearLeft].Contact.X -= base
		row.Wheels[RearRight].Contact.X -= base
	}
	row.Turn = Fit(&row.Wheels, Place{X: -base / 2})
	return row, nil
}

// follows is within how many radians the rear is where it is wanted.
const follows = 1e-9

// follow turns the rear servo as the mode asks, as far as it goes.
func (d *Study) follow(s *stance, m Mode, row *Row) error {
	row.RearServo = s.rear.Centre()
	if m != Held {
		row.Wanted = d.Options.Ratio(m) * row.Front
		var failed error
		off := func(servo float64) float64 {
			if err := s.rearAt.Turn(servo); err != nil {
				failed = err
				return math.NaN()
			}
			return mean(s.rearAt) - row.Wanted
		}
		left, right := s.rearLocks[Left], s.rearLocks[Right]
		switch {
		case off(left) < -follows:
			row.Short, row.RearServo = &d.RearLocks[Left], left
		case off(right) > follows:
			row.Short, row.RearServo = &d.RearLocks[Right], right
		case off(left) <= 0:
			row.RearServo = left
		case off(right) >= 0:
			row.RearServo = right
		case failed == nil:
			row.RearServo = root.Find(off, right, left, 1e-12)
		}
		if failed != nil {
			return fmt.Errorf("rear axle: %w", failed)
		}
	}
	if err := s.rearAt.Turn(row.RearServo); err != nil {
		return fmt.Errorf("rear axle: %w", err)
	}
	row.Rear = mean(s.rearAt)
	if m == Held {
		row.Wanted = row.Rear
	}
	return nil
}
