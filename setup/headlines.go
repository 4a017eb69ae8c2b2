package setup

import (
	"errors"
	"math"

	"evenlock/linkage"
	"evenlock/steer"
)

// FullStick is what steer.Lock.Governs says of a lock that full stick ends, short of every stop.
const FullStick = "full stick"

// AtFullStick is how far a rig steers as it stands, its horn, rods and settings as in the file.
type AtFullStick struct {
	Model *steer.Model
	Stick Stick
	// Locks are the ends of the lock to the left and to the right, by steer.Side: where full stick
	// takes the wheels, or the first stop on the way there. Governs says which, FullStick or the
	// stop's words; with an empty Key it is no value of the file that ends it.
	// Their uncertainties hold those of the measurements and of the servo angles read at the bench.
	// A rig that is past a stop going straight has no Stops.
	Locks [2]steer.Lock
	// Swapped tells that left stick steers to the right.
	Swapped bool
}

// ToFullStick finds how far a rig steers as it stands. The errors are those of steer.Model.Stops
// but for steer.ErrPastStop, which is none here.
func ToFullStick(m *steer.Model) (*AtFullStick, error) {
	f := &AtFullStick{Model: m}
	leftward := m.Leftward()
	for side := range f.Locks {
		var err error
		if f.Locks[side], err = m.Lock(steer.Side(side), steer.LockOptions{}); err != nil && !errors.Is(err, steer.ErrPastStop) {
			return nil, err
		}
	}
	f.Stick = NewStick(m, func(direction float64) []steer.Stop {
		if direction == leftward {
			return f.Locks[steer.Left].Stops
		}
		return f.Locks[steer.Right].Stops
	})
	full := [2]steer.Result{f.Stick.servo(m, 1), f.Stick.servo(m, -1)}
	if f.Swapped = leftward*(full[0].Value-m.Centre()) < 0; f.Swapped {
		full[0], full[1] = full[1], full[0]
	}
	for side := range f.Locks {
		if err := f.hold(steer.Side(side), leftward, full[side]); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// hold ends a lock where full stick takes the servo, if no stop comes first.
func (f *AtFullStick) hold(side steer.Side, leftward float64, full steer.Result) error {
	// A stop at full stick counts as the stop, rounding aside.
	const same = 1e-9
	l := &f.Locks[side]
	direction := side.Sign() * leftward
	if len(l.Stops) > 0 && direction*(l.Servo.Value-full.Value) <= same {
		return nil
	}
	l.Governs, l.Key = FullStick, ""
	if len(l.Stops) > 0 {
		return l.MoveTo(full)
	}
	var err error
	var limit *linkage.LimitError
	if *l, err = f.Model.LockAt(side, full); errors.As(err, &limit) && len(limit.Inputs) > 0 {
		// How an over-centre point depends on the measurements has no end just there, and is left
		// out.
		short := steer.Result{Value: limit.Inputs[0] - math.Copysign(1e-6, full.Value)}
		*l, err = f.Model.LockAt(side, short)
		l.Governs = "the " + limit.Rods + " going over-centre"
		return err
	}
	l.Governs = FullStick
	return err
}

// held returns the servo angle and its slope for a stick position, as the stops hold it.
func (f *AtFullStick) held(stick float64) (angle, slope float64) {
	angle, slope = f.Stick.At(stick)
	for i := range f.Locks {
		if stops := f.Locks[i].Stops; len(stops) > 0 && beyond(angle, stops[0].Servo.Value, f.Model.Centre()) {
			return stops[0].Servo.Value, 0
		}
	}
	return angle, slope
}

// Headlines are the figures that a rig is judged by as it stands: its horn, rods and settings as in
// the file. They come with all their uncertainties, as computed: radians, millimetres, parts of
// one.
type Headlines struct {
	AtFullStick
	// Difference is the inner wheel's angle at the lock to the left less that at the lock to the
	// right, so that a positive one is more lock to the left. Its uncertainty knows what both
	// share.
	Difference steer.Result
	// Even compares left with right at equal stick; EvenProblem says why it cannot, nil if it can.
	Even        steer.Evenness
	EvenProblem error
	// Rate is how many radians the wheels turn for each of the servo about straight ahead, the mean
	// of both wheels: positive where they turn left as the servo turns counter-clockwise.
	Rate steer.Result
	// Ackermann is by how much the outer wheel is turned further than Ackermann asks at each lock,
	// by steer.Side, and Circle the turning circle there: the diameter that the outermost tyre's
	// outer edge sweeps.
	Ackermann, Circle [2]steer.Result
	// Square says how far horn and link are from square, going straight.
	Square steer.Square
	// OverCentre is how far the linkage is from going over-centre at the lock that comes nearer:
	// 0 at such a point, 1 at best. It has no uncertainty.
	OverCentre float64
}

// Judge works the headline figures out. The errors are those of ToFullStick and of
// steer.Model.Square.
func Judge(m *steer.Model) (*Headlines, error) {
	full, err := ToFullStick(m)
	if err != nil {
		return nil, err
	}
	h := &Headlines{AtFullStick: *full, OverCentre: math.Inf(1)}
	h.Difference = h.Locks[steer.Left].Inner.Minus(h.Locks[steer.Right].Inner)
	h.Even, h.EvenProblem = m.Evenness(full.held)
	for side := range h.Locks {
		l := &h.Locks[side]
		if h.Ackermann[side], err = l.At(steer.Ackermann); err != nil {
			return nil, err
		}
		if h.Circle[side], err = l.At(steer.OuterRadius); err != nil {
			return nil, err
		}
		h.Circle[side] = h.Circle[side].Times(2)
		distance, err := l.At(steer.Leverage)
		if err != nil {
			return nil, err
		}
		h.OverCentre = min(h.OverCentre, distance.Value)
	}
	rates, err := m.NewState().RateResults(steer.Road.Of(steer.Left), steer.Road.Of(steer.Right))
	if err != nil {
		return nil, err
	}
	h.Rate = rates[0].Plus(rates[1]).Times(0.5)
	h.Square, err = m.Square()
	return h, err
}
