package steer

import (
	"fmt"
	"math"
	"strings"

	"evenlock/rig"
	"evenlock/vehicle"
)

// Side is a side of the vehicle, as the driver sees it.
type Side = vehicle.Side

// The sides.
const (
	Left  = vehicle.Left
	Right = vehicle.Right
)

// Leftward returns the direction in which the servo turns to steer to the left, from Centre: 1
// counter-clockwise, -1 clockwise.
func (m *Model) Leftward() float64 { return math.Copysign(1, m.NewState().Rates()[Curvature]) }

// Lock is the end of the lock to one side, at one wheel travel.
type Lock struct {
	Side Side
	// Stops are the limits on that side in the order that they are met, up to the first
	// over-centre point.
	Stops []Stop
	// Governs names what ends the lock, Key is its key in the rig file: empty for an over-centre
	// point.
	Governs, Key string
	// Servo is the servo angle where the lock ends, in radians from neutral. Inner and Outer are
	// the wheels' road angles there, and Curvature that of the path, as sizes.
	Servo, Inner, Outer, Curvature Result

	m      *Model
	travel WheelTravel
}

// LockOptions are what ends a lock besides the stops. The zero value goes to the first stop at ride
// height.
type LockOptions struct {
	// Travel is where the suspension stands.
	Travel WheelTravel
	// Margin is how far to stay clear of every stop.
	Margin Margin
	// Wanted ends the lock where the inner wheel has this road angle; zero is as far as it goes.
	Wanted float64
	// Hold, if it is there, may bring the servo angle further in, for a radio that reaches less: it
	// is called with Stops, Servo, Governs and Key known, and sets the latter three.
	Hold func(l *Lock) error
}

// Wanted returns the margin and the lock that the rig file wants of the axle.
func (m *Model) Wanted() LockOptions {
	a := m.Tables()
	return LockOptions{Margin: Margin{a.Margin.Value, a.ServoMargin.Value}, Wanted: a.Want.Lock.Value}
}

// AsWanted reports whether the lock ends where the rig file wants it to.
func (l *Lock) AsWanted() bool { return strings.HasSuffix(l.Key, wantedLock) }

const wantedLock = "want.lock"

// Lock finds the end of the lock to a side. The errors are those of Stops and of Hold, and that of
// State.Move for a wheel travel that is not reached.
func (m *Model) Lock(side Side, o LockOptions) (Lock, error) {
	l := Lock{Side: side, m: m, travel: o.Travel}
	var err error
	if l.Stops, err = m.StopsAt(o.Travel, side.Sign()*m.Leftward()); err != nil {
		return l, err
	}
	if err := l.stopShort(o.Margin); err != nil {
		return l, err
	}
	if o.Hold != nil {
		if err := o.Hold(&l); err != nil {
			return l, err
		}
	}
	if o.Wanted > 0 {
		if err := l.keepTo(o.Wanted); err != nil {
			return l, err
		}
	}
	if err := l.MoveTo(l.Servo); err != nil {
		return l, err
	}
	return l, l.checkInner()
}

// checkInner refuses a lock at ride height at whose end the inner wheel has turned back past
// straight ahead. Elsewhere bump steer can do that.
func (l *Lock) checkInner() error {
	if l.travel != (WheelTravel{}) || l.Inner.Value > -1e-6 {
		return nil
	}
	return &rig.Error{
		Key: l.m.Wheels[l.m.Inner(l.Side)].Arm.Key, Remedy: "see on which side of the kingpin this ball is, and measure it again",
		Problem: fmt.Sprintf("to the %s the inner wheel turns back: at the end of the lock it points %.1f° to the other side", l.Side, -l.Inner.Value/degree),
	}
}

// Locks finds the ends of both locks, by Side. The errors are those of Lock.
func (m *Model) Locks(o LockOptions) (both [2]Lock, err error) {
	for side := range both {
		if both[side], err = m.Lock(Side(side), o); err != nil {
			return both, err
		}
	}
	return both, nil
}

// LockAt returns the lock to a side that ends at a given servo angle at ride height, without its
// stops. The error is a *linkage.LimitError if the linkage does not reach that.
func (m *Model) LockAt(side Side, servo Result) (Lock, error) {
	l := Lock{Side: side, m: m}
	return l, l.MoveTo(servo)
}

// MoveTo ends the lock at another servo angle, and reads the wheels there. The error is a
// *linkage.LimitError if the linkage does not reach it.
func (l *Lock) MoveTo(servo Result) error {
	l.Servo = servo
	all, err := l.at(Road.Of(l.m.Inner(l.Side)), Road.Of(l.m.Inner(l.Side).Other()), Curvature)
	if err != nil {
		return err
	}
	sign := l.Side.Sign()
	l.Inner, l.Outer, l.Curvature = all[0].Times(sign), all[1].Times(sign), all[2].Times(sign)
	return nil
}

// At returns a quantity at the lock, with the errors of where the lock ends. Leverage has none.
func (l *Lock) At(q Quantity) (Result, error) {
	all, err := l.at(q)
	if err != nil {
		return Result{}, err
	}
	return all[0], nil
}

// state returns a state at the lock's wheel travel, straight ahead.
func (l *Lock) state() (*State, error) {
	s := l.m.NewState()
	return s, s.Move(l.m.Centre(), l.travel)
}

func (l *Lock) at(of ...Quantity) ([]Result, error) {
	s, err := l.state()
	if err != nil {
		return nil, err
	}
	return s.resultsAt(l.Servo, of...)
}

// stopShort ends the lock at a margin from the stops: at the first that it comes to, not always that
// of the first stop.
func (l *Lock) stopShort(margin Margin) error {
	stops := l.Stops
	if margin != (Margin{}) {
		var err error
		if stops, err = l.m.stopsWithin(margin, l.travel, l.Side.Sign()*l.m.Leftward()); err != nil {
			return err
		}
	}
	l.Servo, l.Governs, l.Key = stops[0].Servo, stops[0].Words, stops[0].Key
	return nil
}

// keepTo brings the end in to where the inner wheel has a road angle, if it goes further.
func (l *Lock) keepTo(want float64) error {
	s, err := l.state()
	if err != nil {
		return err
	}
	if err := s.Turn(l.Servo.Value); err != nil {
		return err
	}
	q, sign := Road.Of(l.m.Inner(l.Side)), l.Side.Sign()
	if sign*s.Values()[q] <= want {
		return nil
	}
	l.Governs, l.Key = "the lock wanted", l.m.Tables().Prefix+wantedLock
	l.Servo, err = s.solved(sign*want, l.m.Centre(), l.Servo.Value, q.reading)
	return err
}
