package load

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"evenlock/internal/root"

	"gonum.org/v1/gonum/integrate/quad"
)

// Rating is what a servo's maker states at one voltage, or what was measured.
type Rating struct {
	Voltage float64 // V
	Stall   float64 // torque at standstill, N·mm
	Speed   float64 // speed without load, rad/s; SpeedOf converts the time for 60°
	// StallCurrent in A, zero if it is not known.
	StallCurrent float64
}

// Servo is the steering servo's strength.
type Servo struct {
	// Ratings by rising voltage, one at least. Where one has a stall current all must.
	Ratings []Rating
	// IdleCurrent is what it draws in A when it turns without load.
	IdleCurrent float64
	// WindingResistance of the motor in Ω; zero takes the voltage over the stall current, which
	// counts the leads and the electronics in.
	WindingResistance float64
}

// Supply is what feeds the servo: open voltage in V, and the resistance in Ω of battery,
// regulator, leads and plugs.
type Supply struct{ Voltage, Resistance float64 }

// ErrServo reports ratings that cannot be, or too few for the question.
var ErrServo = errors.New("servo ratings")

// Check reports ratings that cannot be, wrapping ErrServo.
func (s *Servo) Check() error {
	fail := func(format string, args ...any) error {
		return fmt.Errorf("load: %w: %s", ErrServo, fmt.Sprintf(format, args...))
	}
	if len(s.Ratings) == 0 {
		return fail("none given: state stall torque and speed at a voltage")
	}
	last := 0.0
	for i, r := range s.Ratings {
		switch {
		case !(r.Voltage > last) || math.IsInf(r.Voltage, 0):
			return fail("voltages must be more than zero and rise, not %g V after %g V", r.Voltage, last)
		case !(r.Stall > 0 && r.Speed > 0) || math.IsInf(r.Stall+r.Speed, 0):
			return fail("at %g V, stall torque and speed must be more than zero", r.Voltage)
		case (r.StallCurrent > 0) != (s.Ratings[0].StallCurrent > 0):
			return fail("state the stall current at every voltage or at none")
		case !(r.StallCurrent == 0 || r.StallCurrent > s.IdleCurrent) || math.IsInf(r.StallCurrent, 0):
			return fail("at %g V, the stall current must be more than the idle current", r.Voltage)
		case i > 0 && r.StallCurrent < s.Ratings[i-1].StallCurrent:
			return fail("the stall current must not fall with the voltage")
		}
		last = r.Voltage
	}
	if !(s.IdleCurrent >= 0 && s.WindingResistance >= 0) || math.IsInf(s.WindingResistance, 0) {
		return fail("idle current and winding resistance must not be below zero")
	}
	return nil
}

// At returns the servo's rating at a voltage. Between two stated voltages it is
// interpolated in a straight line; beyond them torque, speed and current are in proportion to the
// voltage, as those of a direct-current motor are (handbook formula, from memory).
func (s *Servo) At(voltage float64) (Rating, error) {
	if err := s.Check(); err != nil {
		return Rating{}, err
	}
	if !(voltage > 0) || math.IsInf(voltage, 0) {
		return Rating{}, fmt.Errorf("load: %w: the voltage must be more than zero, not %g", ErrServo, voltage)
	}
	return s.at(voltage), nil
}

func (s *Servo) at(v float64) Rating {
	i, exact := slices.BinarySearchFunc(s.Ratings, v, func(r Rating, v float64) int {
		switch {
		case r.Voltage < v:
			return -1
		case r.Voltage > v:
			return 1
		}
		return 0
	})
	switch n := len(s.Ratings); {
	case exact:
		return s.Ratings[i]
	case i == 0:
		return blend(Rating{}, s.Ratings[0], v)
	case i == n:
		return blend(Rating{}, s.Ratings[n-1], v)
	default:
		return blend(s.Ratings[i-1], s.Ratings[i], v)
	}
}

// blend is the straight line through two ratings at a voltage; the zero Rating is the servo at no
// voltage.
func blend(a, b Rating, v float64) Rating {
	t := (v - a.Voltage) / (b.Voltage - a.Voltage)
	mix := func(x, y float64) float64 { return x + t*(y-x) }
	return Rating{v, mix(a.Stall, b.Stall), mix(a.Speed, b.Speed), mix(a.StallCurrent, b.StallCurrent)}
}

// SpeedAt returns the speed in rad/s against a torque in N·mm: the straight line from Speed without
// load to zero at Stall (handbook formula of the direct-current motor, from memory). Zero
// beyond stall; a torque that helps is taken as none.
func (r Rating) SpeedAt(torque float64) float64 {
	return r.Speed * min(1, max(0, 1-torque/r.Stall))
}

// PeakPower returns the greatest mechanical power in W, a quarter of Stall times Speed, which a
// straight line gives at half the stall torque.
func (r Rating) PeakPower() float64 { return r.Stall * r.Speed / 4 / NewtonMetre }

// current is the straight line from idle to stall, in A.
func (s *Servo) current(r Rating, torque float64) float64 {
	return s.IdleCurrent + (r.StallCurrent-s.IdleCurrent)*min(1, max(0, torque/r.Stall))
}

// Running is a servo at work against a torque.
type Running struct {
	// Voltage in V at the servo, after the supply's drop.
	Voltage float64
	// Speed in rad/s, zero if it stalls.
	Speed float64
	// Current in A, zero if no stall current is stated.
	Current float64
}

// Under returns the servo turning against a torque in N·mm with all that the supply gives: voltage
// U less R I, current between idle and stall in proportion to torque (handbook formulas of the
// direct-current motor, from memory). The error wraps ErrServo.
func (s *Servo) Under(torque float64, from Supply) (Running, error) {
	if err := s.usable(from); err != nil {
		return Running{}, err
	}
	return s.under(torque, from), nil
}

func (s *Servo) usable(from Supply) error {
	if err := s.Check(); err != nil {
		return err
	}
	switch {
	case !(from.Voltage > 0 && from.Resistance >= 0) || math.IsInf(from.Voltage+from.Resistance, 0):
		return fmt.Errorf("load: %w: the supply needs a voltage more than zero and a resistance not below it", ErrServo)
	case from.Resistance > 0 && s.Ratings[0].StallCurrent == 0:
		return fmt.Errorf("load: %w: the supply's voltage drop needs the stall current; state it, or no supply resistance", ErrServo)
	}
	return nil
}

func (s *Servo) under(torque float64, from Supply) Running {
	drop := func(v float64) float64 { return v + from.Resistance*s.current(s.at(v), torque) - from.Voltage }
	return s.running(torque, s.balance(drop, from))
}

func (s *Servo) running(torque, voltage float64) Running {
	r := s.at(voltage)
	out := Running{Voltage: voltage, Speed: r.SpeedAt(torque)}
	if r.StallCurrent > 0 {
		out.Current = s.current(r, torque)
	}
	return out
}

// balance finds the voltage at the servo at which drop, the excess of voltage and
// drop over the supply's, is zero.
func (s *Servo) balance(drop func(v float64) float64, from Supply) float64 {
	if from.Resistance == 0 {
		return from.Voltage
	}
	low := from.Voltage * 1e-6
	if drop(low) > 0 {
		return low
	}
	return root.Find(drop, low, from.Voltage, 1e-13*from.Voltage)
}

// Stall returns the servo held still with all that the supply gives, and the torque in N·mm that
// it then has. The error wraps ErrServo.
//
// A stalled servo turns all that it draws into heat; do not hold it so.
func (s *Servo) Stall(from Supply) (torque float64, at Running, err error) {
	if err := s.usable(from); err != nil {
		return 0, Running{}, err
	}
	v := s.balance(func(v float64) float64 { return v + from.Resistance*s.at(v).StallCurrent - from.Voltage }, from)
	torque = s.at(v).Stall
	return torque, s.running(torque, v), nil
}

// Held is a servo that stands still and holds a torque.
type Held struct {
	// WindingCurrent in A in the motor. The supply sees less: the electronics switch it, so that
	// what comes in is Heat over the supply's voltage.
	WindingCurrent float64
	// Heat in W.
	Heat float64
}

// Hold returns the heat of holding a torque in N·mm at a voltage: I²R with the winding's current in
// proportion to torque, I = I_stall T/T_stall (handbook formula, from memory). Friction in the
// gears, which helps to hold, is left out. The error wraps ErrServo, also where the servo is not
// strong enough.
func (s *Servo) Hold(torque, voltage float64) (Held, error) {
	r, err := s.At(voltage)
	if err != nil {
		return Held{}, err
	}
	torque = math.Abs(torque)
	switch {
	case r.StallCurrent == 0:
		return Held{}, fmt.Errorf("load: %w: heat needs the stall current", ErrServo)
	case !(torque <= r.Stall):
		return Held{}, fmt.Errorf("load: %w: it cannot hold %.0f N·mm with %.0f N·mm at %g V", ErrServo, torque, r.Stall, voltage)
	}
	resistance := s.WindingResistance
	if resistance == 0 {
		resistance = voltage / r.StallCurrent
	}
	i := r.StallCurrent * torque / r.Stall
	return Held{i, i * i * resistance}, nil
}

// StallError says where a servo stops on its way, in radians of servo angle, and the torques in
// N·mm.
type StallError struct{ Angle, Needed, Available float64 }

func (e *StallError) Error() string {
	return fmt.Sprintf("load: the servo stalls at %.1f° of its turn: %.0f N·mm is asked, it gives %.0f N·mm", e.Angle*180/math.Pi, e.Needed, e.Available)
}

const (
	// timePanel is the widest piece of the way that is integrated at once, timePoints how many
	// points it has.
	timePanel  = math.Pi / 60
	timePoints = 6
)

// Time returns the seconds that the servo takes from one angle to another in radians, against
// a torque in N·mm at each angle, positive against the motion: the integral of 1/speed, by
// Gauss-Legendre quadrature in pieces of 3°. A *StallError says where the servo stops; other
// errors wrap ErrServo. Starting and stopping are taken to cost nothing.
func (s *Servo) Time(from, to float64, torque func(angle float64) float64, supply Supply) (float64, error) {
	available, _, err := s.Stall(supply)
	if err != nil {
		return 0, err
	}
	if !(math.Abs(to-from) <= 100*math.Pi) {
		return 0, fmt.Errorf("load: %w: a way from %g to %g rad is not one that a servo turns", ErrServo, from, to)
	}
	var stalled *StallError
	slowness := func(angle float64) float64 {
		need := torque(angle)
		if !(need < available) {
			if stalled == nil {
				stalled = &StallError{angle, need, available}
			}
			return 0
		}
		return 1 / s.under(need, supply).Speed
	}
	n := int(math.Ceil(math.Abs(to-from) / timePanel))
	sum := 0.0
	for i := range n {
		a := from + (to-from)*float64(i)/float64(n)
		b := from + (to-from)*float64(i+1)/float64(n)
		slowness(a)
		sum += quad.Fixed(slowness, min(a, b), max(a, b), timePoints, quad.Legendre{}, 0)
		slowness(b)
		if stalled != nil {
			return 0, stalled
		}
	}
	return sum, nil
}
