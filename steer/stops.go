package steer

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"evenlock/linkage"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/num/dual"
	"gonum.org/v1/gonum/spatial/r3"
)

// stop is something that ends the lock: a measure of the pose that must stay below
// a limit.
type stop struct {
	words, key string
	most       float64
	at         reading
	unit       Unit
	// margin is which of a margin's parts keeps clear of it.
	margin func(m *Margin) float64
	// mark is where it is in a pose, for a drawing.
	mark func(s *State) r3.Vec
	// listed is the entry of movement.beside that says where it is met; 0 for a clearance, which the
	// shapes say.
	listed int
}

// reading reads a number off a state with its derivative along the state's motion.
type reading func(s *State) dual.Number

// collectStops makes stops of the limits.
func (m *Model) collectStops() []stop {
	var all []stop
	for i, l := range m.Vehicle.Limits {
		st := stop{words: l.Name, key: l.Key, most: l.Most, unit: Radian, listed: besideLimit(i), margin: func(m *Margin) float64 { return m.Wheel }}
		switch l.Kind {
		case vehicle.OfTurn:
			st.at, st.mark = turnOf(l.Body, l.Sign), atBall(l.Mark.Handle)
		case vehicle.OfJoint:
			st.at, st.mark = func(s *State) dual.Number { return s.jointAngle(l.Wheel) }, atAxis(l.Wheel.Knuckle.Handle)
		case vehicle.OfRodEnd:
			other := l.Rod.From
			if other == l.End {
				other = l.Rod.To
			}
			st.at, st.mark = func(s *State) dual.Number { return s.misalignment(l.End, other) }, atBall(l.End.Handle)
		case vehicle.OfServo:
			st.at, st.mark = func(s *State) dual.Number { return abs(dual.Scale(l.Servo.Ratio, servoItself(s))) }, atAxis(l.Servo.Horn.Handle)
			st.margin = func(m *Margin) float64 { return m.Servo }
		}
		all = append(all, st)
	}
	return all
}

// turnOf reads a body's turn in the sense of a sign.
func turnOf(b *vehicle.Body, sign float64) reading {
	return func(s *State) dual.Number { return dual.Scale(sign, s.turn(b.Handle)) }
}

// atBall and atAxis are the places of a ball and of a point on a body's axis, for a drawing.
func atBall(b linkage.Ball) func(s *State) r3.Vec {
	return func(s *State) r3.Vec { return s.pose.Ball(b) }
}

func atAxis(b linkage.Body) func(s *State) r3.Vec {
	return func(s *State) r3.Vec {
		at, _ := s.m.Linkage.Axis(s.pose, b)
		return at
	}
}

// misalignment returns how far a rod leans from square to the stud of one of its
// ends.
func (s *State) misalignment(at, other *vehicle.Ball) dual.Number {
	lean := angle(s.ball(other.Handle).sub(s.ball(at.Handle)), s.arrow(at.StudHandle))
	return abs(dual.Sub(dual.Number{Real: math.Pi / 2}, lean))
}

// jointAngle returns the angle between a spindle and the shaft that drives it, which lies along the
// axle unless the rig gives its inner joint.
func (s *State) jointAngle(w *vehicle.Wheel) dual.Number {
	line := vec{v: r3.Vec{Y: w.Side.Sign()}}
	switch {
	case w.Joint != nil && w.Joint.Inner != nil:
		line = s.ball(w.Joint.At.Handle).sub(s.ball(w.Joint.Inner.Handle))
	case s.m.Axle.Solid:
		line = s.arrow(s.m.Linkage.Line).scale(dual.Number{Real: w.Side.Sign()})
	}
	return angle(s.arrow(w.SpindleHandle), line)
}

// StopKind tells the sorts of limits apart.
type StopKind int

const (
	// StatedStop is one that the rig file states.
	StatedStop StopKind = iota
	// FarDeadPoint is where drag link and arm, or tie rod and arm, come into line and the servo can
	// turn no further.
	FarDeadPoint
	// HornDeadPoint is where horn and drag link come into line, so that more servo turns the wheels
	// back.
	HornDeadPoint
	// HalfTurn is the end of what is looked at: 175° of servo.
	HalfTurn
)

// HornOverCentre are the first axle's words of a HornDeadPoint, where horn and drag link come into
// line, and HalfTurnOfServo those of a HalfTurn.
const (
	HornOverCentre  = "the horn going over-centre"
	HalfTurnOfServo = "half a turn of the servo"
)

// Stop is one limit of the lock, met at a servo angle.
type Stop struct {
	Kind StopKind
	// Key is that of the rig file, empty for a dead point. Words name it.
	Key, Words string
	// Servo is the servo angle at which it is met, in radians, and Turns the knuckles' turns there,
	// by side.
	Servo Result
	Turns [2]float64
	at    reading
	limit float64
	// listed is that of the stop.
	listed int
}

const (
	lookStep = degree
	lookEnd  = 175 * degree
)

// ErrPastStop reports a rig that is past a stop going straight.
var ErrPastStop = errors.New("past a stop when going straight")

// PastStopError says which limit a rig is past going straight. It is an ErrPastStop.
type PastStopError struct {
	Limit
	// By is how far past it is, in the limit's unit.
	By float64
}

func (e *PastStopError) Error() string {
	by, unit := e.By/degree, "°"
	if e.Unit == Millimetre {
		by, unit = e.By, " mm"
	}
	size := fmt.Sprintf("%.1f%s", by, unit)
	if by < 0.05 {
		size = fmt.Sprintf("%.1g%s", by, unit) // what is passed is never 0.0
	}
	return fmt.Sprintf("%v: %s is %s beyond its limit: check %s and the places that it depends on", ErrPastStop, e.Words, size, e.Key)
}

// Is reports an ErrPastStop.
func (e *PastStopError) Is(target error) bool { return target == ErrPastStop }

// Stops finds the limits met as the servo turns from Centre in one
// direction (1 counter-clockwise, -1 clockwise), in the order that they are met, up to the first
// dead point. The first governs. Angles are exact to 1e-9 rad, those of dead points to 1e-7.
func (m *Model) Stops(direction float64) ([]Stop, error) { return m.StopsAt(WheelTravel{}, direction) }

// StopsAt is Stops where the suspension stands at a wheel travel. The error is also that of
// State.Move.
func (m *Model) StopsAt(travel WheelTravel, direction float64) ([]Stop, error) {
	return m.stopsWithin(Margin{}, travel, direction)
}

// Margin is how far to keep clear of limits: each of the thing that it is about.
type Margin struct {
	// Wheel is kept by a knuckle of its stop, by a drive joint and a rod end of their angles, and by
	// the servo of where the linkage goes over-centre; Servo by the servo of its own travel. Both
	// are in radians. The room between two parts has what must stay of it stated with the parts.
	Wheel, Servo float64
}

// stopsWithin is StopsAt for limits that are a margin nearer.
func (m *Model) stopsWithin(margin Margin, travel WheelTravel, direction float64) ([]Stop, error) {
	look := &stopSearch{m: m, s: m.NewState(), stops: slices.Clone(m.stops), passed: make([]bool, len(m.stops))}
	centre := m.Centre()
	if err := look.s.Move(centre, travel); err != nil {
		return nil, err
	}
	for i := range look.stops {
		st := &look.stops[i]
		over := st.at(look.s).Real - st.most
		if over > 0 {
			return nil, &PastStopError{Limit{st.key, st.words, st.most, st.unit}, over}
		}
		if st.margin == nil {
			continue
		}
		by := st.margin(&margin)
		if st.most -= by; over > -by { // the margin is more than all there is
			look.passed[i] = true
			look.met = append(look.met, Stop{Kind: StatedStop, Key: st.key, Words: st.words, Servo: Result{Value: centre}})
		}
	}
	look.first = look.s.pull().Real
	for at := centre; ; {
		next := at + direction*lookStep
		if math.Abs(next-centre) > lookEnd {
			next = centre + direction*lookEnd
		}
		end, err := look.between(at, next)
		if err != nil {
			return nil, err
		}
		if end {
			break
		}
		at = next
	}
	for i := range look.met {
		if st := &look.met[i]; st.Kind != StatedStop {
			st.Servo.Value -= direction * min(margin.Wheel, math.Abs(st.Servo.Value-centre))
		}
	}
	sort.SliceStable(look.met, func(i, j int) bool {
		return math.Abs(look.met[i].Servo.Value-centre) < math.Abs(look.met[j].Servo.Value-centre)
	})
	return look.met, look.err
}

// stopSearch goes from Centre towards the end of the lock and notes the stops met.
type stopSearch struct {
	m      *Model
	s      *State
	first  float64 // pull at Centre
	stops  []stop
	passed []bool
	met    []Stop
	err    error
}

// reach moves to a servo angle, or just short of the dead point on the way, and then names the
// rods that come into line.
func (o *stopSearch) reach(from, to float64) (at float64, rods string, err error) {
	var limit *linkage.LimitError
	err = o.s.Turn(to)
	if !errors.As(err, &limit) || len(limit.Inputs) == 0 {
		return to, "", err // where it stands already, the rods do not close
	}
	direction := math.Copysign(1, to-from)
	for back := 1e-9; back < 1; back *= 10 {
		if err = o.s.Turn(limit.Inputs[0] - direction*back); err == nil {
			break
		}
	}
	return o.s.Servo(), limit.Rods, err
}

// between looks at one step of the way; it reports whether the way ends in it.
func (o *stopSearch) between(at, next float64) (end bool, err error) {
	next, rods, err := o.reach(at, next)
	if err != nil {
		return true, err
	}
	for i, st := range o.stops {
		if !o.passed[i] && o.over(st.at, st.most, next) > 0 {
			o.passed[i] = true
			o.note(Stop{Kind: StatedStop, Key: st.key, Words: st.words, at: st.at, limit: st.most, listed: st.listed}, at, next)
		}
	}
	switch {
	case o.over((*State).pull, 0, next)*o.first < 0:
		o.note(Stop{Kind: HornDeadPoint, Words: "the " + o.m.Servo.Horn.Name + " going over-centre", at: (*State).pull}, at, next)
		return true, nil
	case rods != "":
		// At the dead point the turn of the body that comes into line has no end of slope, and so
		// tells where the dead point is by itself.
		o.note(Stop{Kind: FarDeadPoint, Words: "the " + rods + " going over-centre", at: o.steepest(next)}, next, next)
		return true, nil
	case math.Abs(next-o.m.Centre()) >= lookEnd:
		o.note(Stop{Kind: HalfTurn, Words: "half a turn of the " + o.m.Servo.Name, at: servoItself, limit: next}, next, next)
		return true, nil
	}
	return false, nil
}

func servoItself(s *State) dual.Number { return dual.Number{Real: s.Servo(), Emag: s.dir[0]} }

// steepest returns the knuckle turn that changes fastest at a servo angle.
func (o *stopSearch) steepest(servo float64) reading {
	left, right := o.m.Wheels[Left].Knuckle, o.m.Wheels[Right].Knuckle
	if o.s.Turn(servo) == nil {
		o.s.along(1, -1)
		if math.Abs(o.s.turn(left.Handle).Emag) > math.Abs(o.s.turn(right.Handle).Emag) {
			return turnOf(left, 1)
		}
	}
	return turnOf(right, 1)
}

// over returns how far a reading is beyond its limit at a servo angle.
func (o *stopSearch) over(at reading, limit, servo float64) float64 {
	if o.s.Turn(servo) != nil {
		return math.NaN()
	}
	return at(o.s).Real - limit
}

// note adds a stop that is met between two servo angles, or at one.
func (o *stopSearch) note(st Stop, from, to float64) {
	if from == to {
		if o.s.Turn(to) == nil {
			st.limit = st.at(o.s).Real
		}
	}
	r, err := o.s.solved(st.limit, from, to, st.past)
	if err != nil {
		o.err = err
		return
	}
	st.Servo = r
	for side, w := range o.m.Wheels {
		st.Turns[side] = o.s.turn(w.Knuckle.Handle).Real
	}
	o.met = append(o.met, st)
}

// past is the reading, less by how much the limit itself is further out.
func (st *Stop) past(s *State, servo float64, i int) dual.Number {
	x := st.at.along(s, servo, i)
	if i >= 0 && st.listed > 0 {
		x.Emag -= s.m.moves[i].beside[st.listed]
	}
	return x
}

// along is a reading after the state's motion is found.
func (r reading) along(s *State, servo float64, i int) dual.Number {
	s.along(servo, i)
	return r(s)
}

// pull returns the part of the horn's lever that draws the drag link along itself; it is
// zero at the horn's dead point.
func (s *State) pull() dual.Number {
	servo := s.m.Servo
	point, axis := s.axis(servo.Horn.Handle)
	horn := s.ball(servo.Ball.Handle)
	lever := axis.cross(horn.sub(point))
	return lever.dot(s.ball(servo.Far().Handle).sub(horn).unit())
}
