package load

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"evenlock/internal/root"
	"evenlock/linkage"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bench is a model set up to be loaded: memory for one goroutine.
type Bench struct {
	m       *steer.Model
	state   *steer.State
	motion  *linkage.Motion
	loads   *linkage.Loads
	balance *linkage.Balance
	servos  []*vehicle.Servo
	rods    []*vehicle.Rod
	balls   []*vehicle.Ball
}

// NewBench returns a bench for the model.
func NewBench(m *steer.Model) *Bench {
	l := m.Linkage
	b := &Bench{
		m: m, state: m.NewState(), motion: l.NewMotion(), loads: l.NewLoads(), balance: l.NewBalance(),
		servos: make([]*vehicle.Servo, len(m.Vehicle.Servos)), rods: m.Vehicle.Steering(),
	}
	for _, s := range m.Vehicle.Servos {
		b.servos[s.Horn.Input] = s // theirs are the first inputs
	}
	for _, r := range b.rods {
		for _, end := range []*vehicle.Ball{r.From, r.To} {
			if end.Stud != (r3.Vec{}) && !slices.Contains(b.balls, end) {
				b.balls = append(b.balls, end)
			}
		}
	}
	for _, r := range m.Vehicle.Rods {
		if r.Kind == vehicle.SuspensionLink {
			b.rods = append(b.rods, r)
		}
	}
	return b
}

// Travel moves the suspension of a suspended model to a wheel travel, where the bench then stands.
// What holds the wheels up there, the springs, is no part of the model: it bears what the loads put
// on it. The error is as for steer.State.Move.
func (b *Bench) Travel(travel steer.WheelTravel) error { return b.state.Move(b.state.Servo(), travel) }

// RodForce is the force in a rod.
type RodForce struct {
	*vehicle.Rod
	// Tension in N, negative presses.
	Tension float64
}

// BallLoad is what a ball bears.
type BallLoad struct {
	// Name is what to call it.
	Name string
	// Force in N, and its parts along and across the stud.
	Force, Along, Across float64
}

// ShaftLoad is what a servo's output shaft bears.
type ShaftLoad struct {
	// Side is the force across the shaft and Axial that along it, in N, both as sizes.
	Side, Axial float64
	// Bending is the moment across the shaft in N·mm about its face.
	Bending float64
}

// KingpinLoad is what a knuckle's bearings bear together: as sizes, the force across and along the
// axis in N, and the moment across it in N·mm about the axis point of the knuckle.
type KingpinLoad struct{ Across, Along, Bending float64 }

// WheelState is how a wheel stands.
type WheelState struct {
	// Turn is its turn in radians about its kingpin, Ask the moment in N·mm about that from
	// outside, positive to the left.
	Turn, Ask float64
	Kingpin   KingpinLoad
}

// ServoState is what a servo bears.
type ServoState struct {
	// Torque in N·mm that it must give, in its own angle's sense: positive counter-clockwise when
	// one looks at the horn's face.
	Torque float64
	Shaft  ShaftLoad
}

// State is what the steering bears at one servo angle.
type State struct {
	// Servo is the angle in radians of the servo that leads.
	Servo float64
	// Wheels are by side; of Servos, the one that leads is the first.
	Wheels [2]WheelState
	Servos []ServoState
	// Against is the torque seen in the direction of motion: positive where the servo is opposed,
	// equal to its size if the servo stands still. Of several servos, which are taken to be alike,
	// it is that of the one that is asked for most.
	Against float64
	// Rods are those of the steering, in the order of vehicle.Vehicle.Steering, then the links of
	// the suspension.
	Rods  []RodForce
	Balls []BallLoad
	// Roll is the moment in N·mm that would roll a rod about its own ends, where a link pulls it
	// beside its line. The rig takes the rod not to roll.
	Roll float64
}

// Wheels returns the wheels where the bench stands, by side.
func (b *Bench) Wheels() (both [2]Wheel) {
	p := b.state.Pose()
	for side, w := range b.m.Wheels {
		point, dir := b.m.Linkage.Axis(p, w.Knuckle.Handle)
		both[side] = Wheel{p.Ball(w.Centre.Handle), p.Arrow(w.SpindleHandle), point, dir, w.Radius, w.Width}
	}
	return both
}

// At finds what the steering bears at a servo angle in radians, as the servo turns there slowly in
// a sense: 1 counter-clockwise, -1 clockwise, 0 standing still, when what only resists turning does
// nothing. The torque is that of virtual work, servo torque × its turn = wheel moments × theirs.
// The error is a *linkage.LimitError if the linkage does not reach the angle.
func (b *Bench) At(servo, sense float64, on Demands) (State, error) {
	out := State{
		Servo: servo, Against: math.Inf(-1),
		Servos: make([]ServoState, len(b.servos)), Rods: make([]RodForce, len(b.rods)), Balls: make([]BallLoad, len(b.balls)),
	}
	if err := b.state.Turn(servo); err != nil {
		return out, err
	}
	p, l := b.state.Pose(), b.m.Linkage
	l.Tangent(p, l.Follow, nil, b.motion)
	b.loads.Clear()
	wheels := b.Wheels()
	for side, w := range b.m.Wheels {
		out.Wheels[side] = WheelState{Turn: l.Coordinate(p, w.Knuckle.Handle), Ask: b.apply(&wheels[side], on[side], w, sense)}
	}
	l.Forces(p, b.loads, b.balance)

	for side, w := range b.m.Wheels {
		_, force, moment := l.Reaction(p, b.balance, w.Knuckle.Handle)
		out.Wheels[side].Kingpin.Along, out.Wheels[side].Kingpin.Across = parts(force, wheels[side].Kingpin)
		_, out.Wheels[side].Kingpin.Bending = parts(moment, wheels[side].Kingpin)
	}
	for i, s := range b.servos {
		one := ServoState{b.balance.Effort(s.Horn.Input), b.shaft(p, s)}
		against := math.Abs(one.Torque)
		if sense != 0 {
			against = one.Torque * math.Copysign(1, sense*s.Ratio)
		}
		out.Servos[i], out.Against = one, max(out.Against, against)
	}
	for i, r := range b.rods {
		out.Rods[i] = RodForce{r, b.balance.Tension(r.Handle)}
		if len(r.Along) > 0 {
			out.Roll = -b.balance.Effort(r.Body.Input)
		}
	}
	for i, x := range b.balls {
		force := b.balance.BallForce(x.Handle)
		along, across := parts(force, r3.Unit(p.Arrow(x.StudHandle)))
		out.Balls[i] = BallLoad{x.Name, r3.Norm(force), along, across}
	}
	return out, nil
}

// apply puts a demand on a wheel and returns its moment about the kingpin.
func (b *Bench) apply(w *Wheel, d Demand, on *vehicle.Wheel, sense float64) float64 {
	if d == nil {
		return 0
	}
	ask, knuckle := d(w), on.Knuckle.Handle
	for _, c := range ask.Contacts {
		b.loads.Force(on.Centre.Handle, c.Force)
		b.loads.Moment(knuckle, r3.Cross(r3.Sub(c.At, w.Centre), c.Force))
	}
	resist := 0.0
	if turning := sense * b.motion.Coordinate(knuckle); turning != 0 {
		resist = -math.Copysign(ask.Resist, turning)
	}
	b.loads.Along(knuckle, resist)
	return w.KingpinMoment(ask.Contacts...) + resist
}

// parts are the sizes of a vector's parts along and across a unit direction.
func parts(v, dir r3.Vec) (along, across float64) {
	along, across, _ = Stud(v, dir, 0)
	return math.Abs(along), across
}

func (b *Bench) shaft(p *linkage.Pose, s *vehicle.Servo) ShaftLoad {
	point, force, moment := b.m.Linkage.Reaction(p, b.balance, s.Horn.Handle)
	_, dir := b.m.Linkage.Axis(p, s.Horn.Handle)
	axial, side := parts(force, dir)
	_, bending := parts(r3.Add(moment, r3.Cross(r3.Sub(point, s.Face), force)), dir)
	return ShaftLoad{side, axial, bending}
}

// Curve returns n states evenly spaced from one servo angle to another, with the servo
// turning that way. The error is as for At.
func (b *Bench) Curve(from, to float64, n int, on Demands) ([]State, error) {
	out := make([]State, 0, max(0, n))
	for i := range max(0, n) {
		servo := from
		if n > 1 {
			servo += (to - from) * float64(i) / float64(n-1)
		}
		s, err := b.At(servo, math.Copysign(1, to-from), on)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

// HornRow is what a hole of the horn gives.
type HornRow struct {
	// Hole is its radius in mm.
	Hole float64
	// Reached tells whether the inner wheel comes to the lock both ways, within the linkage's and
	// the servo's travel. If not, the rest is zero.
	Reached bool
	// Left and Right are the servo angles in radians that take the inner wheel to the lock to that
	// side.
	Left, Right float64
	// Torque is the most in N·mm that the servo is asked for on the way from straight ahead out to
	// either lock.
	Torque float64
	// SafetyFactor is the available torque over that: below 1 it stalls.
	SafetyFactor float64
	// Seconds from lock to lock, the slower way, under the load; zero if it stalls.
	Seconds float64
}

var (
	// ErrLock reports a lock that no steering has.
	ErrLock = errors.New("lock must be between 0° and 90°")
	// ErrHole reports a radius that no hole has.
	ErrHole = errors.New("a hole's radius must be more than zero")
)

// HornTrade returns, for each hole radius in mm of the horn of the servo that leads, what it takes
// to steer the inner wheel to a lock in radians: a longer horn is quicker and asks for more torque.
// The horn keeps its direction, and its link is set to have the wheels straight again. The model's
// own adjustment is not looked at, nor its suspension. The errors are those of Servo.Stall, of
// steer.Build, ErrLock or ErrHole.
func HornTrade(m *steer.Model, holes []float64, lock float64, on Demands, servo *Servo, from Supply) ([]HornRow, error) {
	if !(lock > 0 && lock < math.Pi/2) {
		return nil, fmt.Errorf("load: %w", ErrLock)
	}
	available, _, err := servo.Stall(from)
	if err != nil {
		return nil, err
	}
	exact := m.Rig.Exact()
	rows := make([]HornRow, len(holes))
	for i, hole := range holes {
		if !(hole > 0) || math.IsInf(hole, 0) {
			return nil, fmt.Errorf("load: %w, not %g mm", ErrHole, hole)
		}
		with, err := steer.Build(exact, steer.Options{Axle: m.Axle.Number(), Adjustment: vehicle.Adjustment{Hole: hole}})
		if err != nil {
			return nil, fmt.Errorf("with the %.1f mm hole: %w", hole, err)
		}
		if rows[i], err = hornRow(with, lock, available, on, servo, from); err != nil {
			return nil, err
		}
		rows[i].Hole = hole
	}
	return rows, nil
}

func hornRow(m *steer.Model, lock, available float64, on Demands, servo *Servo, from Supply) (HornRow, error) {
	row := HornRow{}
	l, okLeft := lockAngle(m, lock, steer.Left)
	r, okRight := lockAngle(m, lock, steer.Right)
	if !okLeft || !okRight {
		return row, nil
	}
	row.Reached, row.Left, row.Right = true, l, r
	b := NewBench(m)
	for _, end := range []float64{l, r} {
		states, err := b.Curve(0, end, curvePoints, on)
		if err != nil {
			return row, err
		}
		for i := range states {
			row.Torque = max(row.Torque, states[i].Against)
		}
	}
	row.SafetyFactor = math.Inf(1)
	if row.Torque > 0 {
		row.SafetyFactor = available / row.Torque
	}
	for _, way := range [][2]float64{{r, l}, {l, r}} {
		sense := math.Copysign(1, way[1]-way[0])
		var failed error
		t, err := servo.Time(way[0], way[1], func(angle float64) float64 {
			s, err := b.At(angle, sense, on)
			if err != nil {
				failed = err
			}
			return s.Against
		}, from)
		var stalls *StallError
		switch {
		case failed != nil:
			return row, failed
		case errors.As(err, &stalls):
			row.Seconds = 0
			return row, nil
		case err != nil:
			return row, err
		}
		row.Seconds = max(row.Seconds, t)
	}
	return row, nil
}

const (
	// curvePoints of a way from straight ahead to the lock.
	curvePoints = 61
	// lockLook is the servo step in which a lock is looked for, up to lockEnd.
	lockLook = math.Pi / 180
	lockEnd  = 120 * lockLook
)

// lockAngle returns the servo angle nearest neutral at which the inner wheel's road angle to a side
// is the lock.
func lockAngle(m *steer.Model, lock float64, side steer.Side) (servo float64, ok bool) {
	s := m.NewState()
	end := lockEnd
	if m.Servo.Travel > 0 {
		end = min(end, m.Servo.Travel)
	}
	short := func(servo float64) float64 {
		if s.Turn(servo) != nil {
			return math.NaN()
		}
		return s.Inner(side) - lock
	}
	for _, d := range []float64{1, -1} {
		for at := 0.0; at < end; {
			next := min(at+lockLook, end)
			x := short(d * next)
			if math.IsNaN(x) {
				break
			}
			if x >= 0 {
				return root.Find(short, d*at, d*next, 1e-12), true
			}
			at = next
		}
	}
	return 0, false
}
