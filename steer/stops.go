package steer

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"evenlock/internal/root"
	"evenlock/linkage"

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
	// mark is where it is in a pose, for a drawing.
	mark func(s *State) r3.Vec
}

// reading reads a number off a state with its derivative along the state's motion.
type reading func(s *State) dual.Number

// collectStops lists the stops that the rig file states.
func (m *Model) collectStops() []stop {
	var all []stop
	add := func(key, words string, most float64, at reading, mark func(s *State) r3.Vec) {
		if most > 0 {
			all = append(all, stop{words, key, most, at, Radian, mark})
		}
	}
	r, k := m.Rig, m.mech
	turn := func(b linkage.Body, sign float64) reading {
		return func(s *State) dual.Number { return dual.Scale(sign, s.turn(b)) }
	}
	joint := func(left bool) reading {
		return func(s *State) dual.Number { return s.jointAngle(left) }
	}
	// A right side left out has the left one's stops.
	left, right, rightKey := r.Left, r.Left, "left"
	if r.Right != nil && r.Right.Stops != nil {
		right.Stops, rightKey = r.Right.Stops, "right"
	}
	leftJoint, rightJoint := r.AxleJoints()
	if st := left.Stops; st != nil {
		add("left.stops.in", "the left knuckle's inward stop", st.In.Value, turn(k.Left, -1), atBall(k.LeftTie))
		add("left.stops.out", "the left knuckle's outward stop", st.Out.Value, turn(k.Left, 1), atBall(k.LeftTie))
	}
	if st := right.Stops; st != nil {
		add(rightKey+".stops.in", "the right knuckle's inward stop", st.In.Value, turn(k.Right, 1), atBall(k.RightTie))
		add(rightKey+".stops.out", "the right knuckle's outward stop", st.Out.Value, turn(k.Right, -1), atBall(k.RightTie))
	}
	if j := leftJoint; j != nil {
		add("left.axle_joint.max_angle", "the left axle joint", j.MaxAngle.Value, joint(true), atAxis(k.Left))
	}
	if j := rightJoint; j != nil {
		add("right.axle_joint.max_angle", "the right axle joint", j.MaxAngle.Value, joint(false), atAxis(k.Right))
	}
	end := func(key, words string, most float64, at, other linkage.Ball, stud linkage.Arrow) {
		add(key, words, most, func(s *State) dual.Number { return s.misalignment(at, other, stud) }, atBall(at))
	}
	most := r.DragLink.EndAngle.Value
	end("drag_link.end_angle", "the drag link's rod end at the horn", most, k.HornBall, k.Pulled, k.HornStud)
	end("drag_link.end_angle", "the drag link's far rod end", most, k.Pulled, k.HornBall, k.PulledStud)
	if r.TieRod != nil {
		most := r.TieRod.EndAngle.Value
		end("tie_rod.end_angle", "the tie rod's left rod end", most, k.LeftTie, k.RightTie, k.LeftTieStud)
		end("tie_rod.end_angle", "the tie rod's right rod end", most, k.RightTie, k.LeftTie, k.RightTieStud)
	}
	if left, right, table := r.CentreRods(); left != nil {
		for _, rod := range []struct {
			side, key          string
			most               float64
			outer, inner       linkage.Ball
			outerStud, midStud linkage.Arrow
		}{
			{"left", table + ".left_rod.end_angle", left.EndAngle.Value, k.LeftTie, k.LeftCrank, k.LeftTieStud, k.LeftCrankStud},
			{"right", table + ".right_rod.end_angle", right.EndAngle.Value, k.RightTie, k.RightCrank, k.RightTieStud, k.RightCrankStud},
		} {
			end(rod.key, "the "+rod.side+" steering link's outer rod end", rod.most, rod.outer, rod.inner, rod.outerStud)
			end(rod.key, "the "+rod.side+" steering link's inner rod end", rod.most, rod.inner, rod.outer, rod.midStud)
		}
	}
	if n := r.SecondServo; n != nil {
		most := n.DragLink.EndAngle.Value
		end("second_servo.drag_link.end_angle", "the second drag link's rod end at the horn", most, k.SecondBall, k.SecondPulled, k.SecondStud)
		end("second_servo.drag_link.end_angle", "the second drag link's far rod end", most, k.SecondPulled, k.SecondBall, k.SecondFarStud)
	}
	if k.Suspended && r.Suspension.Kind == "links" {
		for i, l := range r.Suspension.Links {
			h, key := k.Links[i], fmt.Sprintf("suspension.link.%d.end_angle", i+1)
			end(key, "the "+l.Name+" link's end on the chassis", l.EndAngle.Value, h.Chassis, h.Axle, h.ChassisBolt)
			end(key, "the "+l.Name+" link's end on the axle", l.EndAngle.Value, h.Axle, h.Chassis, h.AxleBolt)
		}
	}
	add("servo.travel", "the servo's own travel", r.Servo.Travel.Value, func(s *State) dual.Number { return abs(servoItself(s)) }, atAxis(k.Horn))
	return all
}

// atBall and atAxis are the places of a ball and of a point on a body's axis, for a drawing.
func atBall(b linkage.Ball) func(s *State) r3.Vec {
	return func(s *State) r3.Vec { return s.pose.Ball(b) }
}

func atAxis(b linkage.Body) func(s *State) r3.Vec {
	return func(s *State) r3.Vec {
		at, _ := s.m.mech.Linkage.Axis(s.pose, b)
		return at
	}
}

// misalignment returns how far a rod leans from square to the stud of one of its
// ends.
func (s *State) misalignment(at, other linkage.Ball, stud linkage.Arrow) dual.Number {
	lean := angle(s.ball(other).sub(s.ball(at)), s.arrow(stud))
	return abs(dual.Sub(dual.Number{Real: math.Pi / 2}, lean))
}

// jointAngle returns the angle between a spindle and the shaft that drives it, which lies along the
// axle unless the rig gives its inner joint.
func (s *State) jointAngle(left bool) dual.Number {
	k, g := s.m.mech, s.m.Geometry
	spindle, out, inner := k.RightSpindle, -1.0, g.RightShaft != nil
	joint, shaft := k.RightJoint, k.RightShaft
	if left {
		spindle, out, inner = k.LeftSpindle, 1, g.LeftShaft != nil
		joint, shaft = k.LeftJoint, k.LeftShaft
	}
	line := vec{v: r3.Vec{Y: out}}
	switch {
	case inner:
		line = s.ball(joint).sub(s.ball(shaft))
	case k.Axle != linkage.Ground:
		line = s.arrow(k.AxleLine).scale(dual.Number{Real: out})
	}
	return angle(s.arrow(spindle), line)
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

// HornOverCentre are the words of a HornDeadPoint, where horn and drag link come into line, and
// HalfTurnOfServo those of a HalfTurn.
const (
	HornOverCentre  = "the horn going over-centre"
	HalfTurnOfServo = "half a turn of the servo"
)

// Stop is one limit of the lock, met at a servo angle.
type Stop struct {
	Kind StopKind
	// Key is that of the rig file, empty for a dead point. Words name it.
	Key, Words string
	// Servo is the servo angle at which it is met, in radians, and TurnLeft and
	// TurnRight the knuckles' turns there.
	Servo               Result
	TurnLeft, TurnRight float64
	at                  reading
	limit               float64
	// travel is the wheel travel at which it is met.
	travel WheelTravel
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
	size := fmt.Sprintf("%.1f°", e.By/degree)
	if e.Unit == Millimetre {
		size = fmt.Sprintf("%.1f mm", e.By)
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
	look := &stopSearch{m: m, s: m.NewState(), passed: make([]bool, len(m.stops))}
	centre := m.Centre()
	if err := look.s.Move(centre, travel); err != nil {
		return nil, err
	}
	for _, st := range m.stops {
		if over := st.at(look.s).Real - st.most; over > 0 {
			return nil, &PastStopError{Limit{st.key, st.words, st.most, st.unit}, over}
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
	passed []bool
	met    []Stop
	err    error
}

// reach moves to a servo angle, or just short of the dead point on the way, and then names the
// rods that come into line.
func (o *stopSearch) reach(from, to float64) (at float64, rods string, err error) {
	var limit *linkage.LimitError
	err = o.s.Turn(to)
	if !errors.As(err, &limit) {
		return to, "", err
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
	for i, st := range o.m.stops {
		if !o.passed[i] && o.over(st.at, st.most, next) > 0 {
			o.passed[i] = true
			o.note(Stop{Kind: StatedStop, Key: st.key, Words: st.words, at: st.at, limit: st.most}, at, next)
		}
	}
	switch {
	case o.over((*State).pull, 0, next)*o.first < 0:
		o.note(Stop{Kind: HornDeadPoint, Words: HornOverCentre, at: (*State).pull}, at, next)
		return true, nil
	case rods != "":
		// At the dead point the turn of the body that comes into line has no end of slope, and so
		// tells where the dead point is by itself.
		o.note(Stop{Kind: FarDeadPoint, Words: "the " + rods + " going over-centre", at: o.steepest(next)}, next, next)
		return true, nil
	case math.Abs(next-o.m.Centre()) >= lookEnd:
		o.note(Stop{Kind: HalfTurn, Words: HalfTurnOfServo, at: servoItself, limit: next}, next, next)
		return true, nil
	}
	return false, nil
}

func servoItself(s *State) dual.Number { return dual.Number{Real: s.Servo(), Emag: s.dir[0]} }

// steepest returns the knuckle turn that changes fastest at a servo angle.
func (o *stopSearch) steepest(servo float64) reading {
	k := o.m.mech
	if o.s.Turn(servo) == nil {
		o.s.along(1, -1)
		if math.Abs(o.s.turn(k.Left).Emag) > math.Abs(o.s.turn(k.Right).Emag) {
			return func(s *State) dual.Number { return s.turn(k.Left) }
		}
	}
	return func(s *State) dual.Number { return s.turn(k.Right) }
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
	r, err := o.s.solved(st.limit, from, to, st.at.along)
	if err != nil {
		o.err = err
		return
	}
	st.Servo, st.travel = r, o.s.WheelTravel()
	st.TurnLeft, st.TurnRight = o.s.turn(o.m.mech.Left).Real, o.s.turn(o.m.mech.Right).Real
	o.met = append(o.met, st)
}

// along is a reading after the state's motion is found.
func (r reading) along(s *State, servo float64, i int) dual.Number {
	s.along(servo, i)
	return r(s)
}

// pull returns the part of the horn's lever that draws the drag link along itself; it is
// zero at the horn's dead point.
func (s *State) pull() dual.Number {
	k := s.m.mech
	point, axis := s.axis(k.Horn)
	horn := s.ball(k.HornBall)
	lever := axis.cross(horn.sub(point))
	return lever.dot(s.ball(k.Pulled).sub(horn).unit())
}

// room returns how far the state is clear of a stop, in servo angle and in the turn of each wheel,
// and the reading that is the nearest to it.
func (s *State) room(st *Stop) (least float64, nearest reading) {
	k := s.m.mech
	least = math.Inf(1)
	for _, c := range [3]struct {
		at   reading
		stop float64
	}{
		{servoItself, st.Servo.Value},
		{func(s *State) dual.Number { return s.turn(k.Left) }, st.TurnLeft},
		{func(s *State) dual.Number { return s.turn(k.Right) }, st.TurnRight},
	} {
		if d := math.Abs(c.stop - c.at(s).Real); d < least {
			least, nearest = d, c.at
		}
	}
	return least, nearest
}

// Within returns the servo angle, short of a stop's, that keeps margin radians clear of it both in
// servo angle and in the turn of each wheel. The stop is then kept clear of all the way from
// Centre, since up to the first over-centre point the wheels only turn on.
func (m *Model) Within(st Stop, margin float64) (Result, error) {
	centre := m.Centre()
	direction := math.Copysign(1, st.Servo.Value-centre)
	s := m.NewState()
	if err := s.Move(centre, st.travel); err != nil {
		return Result{}, err
	}
	room := func(servo float64) (least float64, nearest reading) {
		if s.Turn(servo) != nil {
			return math.Inf(-1), nil
		}
		least, nearest = s.room(&st)
		return least - margin, nearest
	}
	if least, _ := room(centre); least <= 0 {
		return Result{Value: centre}, nil
	}
	for at := centre; ; {
		next := at + direction*lookStep
		if direction*(st.Servo.Value-next) < 0 {
			next = st.Servo.Value
		}
		if least, _ := room(next); least > 0 {
			at = next
			continue
		}
		x := root.Find(func(servo float64) float64 { d, _ := room(servo); return d }, at, next, 1e-12)
		// The last of the conditions to hold on the way.
		_, nearest := room(x - direction*1e-9)
		return s.clearOf(nearest, st, x)
	}
}

// clearOf gives a servo angle that keeps a reading a fixed distance from what it is at a
// stop its uncertainty: dx/dm = (∂r/∂m at the stop + ∂r/∂s ds/dm - ∂r/∂m at x)/(∂r/∂s at x).
func (s *State) clearOf(r reading, st Stop, x float64) (Result, error) {
	if err := s.Turn(st.Servo.Value); err != nil {
		return Result{}, err
	}
	there := s.m.result(0, func(i int) float64 { return r.along(s, 0, i).Emag })
	slopeThere := r.along(s, 1, -1).Emag
	if err := s.Turn(x); err != nil {
		return Result{}, err
	}
	here := s.m.result(0, func(i int) float64 { return r.along(s, 0, i).Emag })
	slope := r.along(s, 1, -1).Emag
	return Function(x, Term{1 / slope, there}, Term{slopeThere / slope, st.Servo}, Term{-1 / slope, here}), nil
}
