package steer

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"evenlock/internal/root"
	"evenlock/linkage"
)

// stop is something that ends the lock: a measure of the pose that must stay below
// a limit.
type stop struct {
	words, key string
	most       float64
	at         func(s *Stand) float64
}

// collectStops lists the stops that the rig file states.
func (m *Model) collectStops() []stop {
	var all []stop
	add := func(key, words string, most float64, at func(s *Stand) float64) {
		if most > 0 {
			all = append(all, stop{words, key, most, at})
		}
	}
	r, k := m.Rig, m.mech
	turn := func(b linkage.Body, sign float64) func(*Stand) float64 {
		return func(s *Stand) float64 { return sign * m.mech.Linkage.Coordinate(s.pose, b) }
	}
	joint := func(a linkage.Arrow) func(*Stand) float64 {
		return func(s *Stand) float64 {
			v := s.pose.Arrow(a)
			return math.Atan2(math.Hypot(v.X, v.Z), math.Abs(v.Y))
		}
	}
	// A right side left out has the left one's stops.
	left, right, rightKey := r.Left, r.Left, "left"
	if r.Right != nil {
		if r.Right.Stops != nil {
			right.Stops, rightKey = r.Right.Stops, "right"
		}
		if r.Right.AxleJoint != nil {
			right.AxleJoint = r.Right.AxleJoint
		}
	}
	if st := left.Stops; st != nil {
		add("left.stops.in", "the left knuckle's inward stop", st.In.Value, turn(k.Left, -1))
		add("left.stops.out", "the left knuckle's outward stop", st.Out.Value, turn(k.Left, 1))
	}
	if st := right.Stops; st != nil {
		add(rightKey+".stops.in", "the right knuckle's inward stop", st.In.Value, turn(k.Right, 1))
		add(rightKey+".stops.out", "the right knuckle's outward stop", st.Out.Value, turn(k.Right, -1))
	}
	if j := left.AxleJoint; j != nil {
		add("left.axle_joint.max_angle", "the left axle joint", j.MaxAngle.Value, joint(k.LeftSpindle))
	}
	if j := right.AxleJoint; j != nil {
		add("right.axle_joint.max_angle", "the right axle joint", j.MaxAngle.Value, joint(k.RightSpindle))
	}
	end := func(at, other linkage.Ball, stud linkage.Arrow) func(*Stand) float64 {
		return func(s *Stand) float64 { return s.misalignment(at, other, stud) }
	}
	most := r.DragLink.EndAngle.Value
	add("drag_link.end_angle", "the drag link's rod end at the horn", most, end(k.HornBall, k.Pulled, k.HornStud))
	add("drag_link.end_angle", "the drag link's far rod end", most, end(k.Pulled, k.HornBall, k.PulledStud))
	if r.TieRod != nil {
		most := r.TieRod.EndAngle.Value
		add("tie_rod.end_angle", "the tie rod's left rod end", most, end(k.LeftTie, k.RightTie, k.LeftTieStud))
		add("tie_rod.end_angle", "the tie rod's right rod end", most, end(k.RightTie, k.LeftTie, k.RightTieStud))
	}
	if c := r.Crank; c != nil {
		add("crank.left_rod.end_angle", "the left crank rod's outer rod end", c.LeftRod.EndAngle.Value, end(k.LeftTie, k.LeftCrank, k.LeftTieStud))
		add("crank.right_rod.end_angle", "the right crank rod's outer rod end", c.RightRod.EndAngle.Value, end(k.RightTie, k.RightCrank, k.RightTieStud))
	}
	add("servo.travel", "the servo's own travel", r.Servo.Travel.Value, func(s *Stand) float64 { return math.Abs(s.Servo()) })
	return all
}

// misalignment returns how far a rod leans from square to the stud of one of its
// ends.
func (s *Stand) misalignment(at, other linkage.Ball, stud linkage.Arrow) float64 {
	rod := vec{v: s.pose.Ball(other)}.sub(vec{v: s.pose.Ball(at)})
	return math.Abs(math.Pi/2 - angle(rod, vec{v: s.pose.Arrow(stud)}).Real)
}

// StopKind tells the sorts of limits apart.
type StopKind int

const (
	// StatedStop is one that the rig file states.
	StatedStop StopKind = iota
	// FarDeadPoint is where drag link and arm, or tie rod and arm, come into line and the servo can turn no further.
	FarDeadPoint
	// HornDeadPoint is where horn and drag link come into line, so that more servo turns the wheels back.
	HornDeadPoint
	// HalfTurn is the end of what is looked at: 175° of servo.
	HalfTurn
)

// Stop is one limit of the lock, met at a servo angle.
type Stop struct {
	Kind StopKind
	// Key is that of the rig file, empty for a dead point. Words name it.
	Key, Words string
	// Servo is the servo angle at which it is met, in radians, and TurnLeft and
	// TurnRight the knuckles' turns there.
	Servo               float64
	TurnLeft, TurnRight float64
}

const (
	lookStep = degree
	lookEnd  = 175 * degree
)

// ErrPastStop reports a rig that is past a stop with the servo at neutral.
var ErrPastStop = errors.New("past a stop at neutral")

// Stops finds the limits met as the servo turns from neutral in one
// direction (1 counter-clockwise, -1 clockwise), in the order that they are met, up to the first
// dead point. The first governs. Angles are exact to 1e-9 rad, those of dead points to 1e-7.
func (m *Model) Stops(direction float64) ([]Stop, error) {
	s := m.Stand()
	if err := s.Turn(0); err != nil {
		return nil, err
	}
	for _, st := range m.stops {
		if over := st.at(s) - st.most; over > 0 {
			return nil, fmt.Errorf("%w: %s is %.1f° beyond its limit: check %s and the places that it depends on", ErrPastStop, st.words, over/degree, st.key)
		}
	}
	var met []Stop
	note := func(kind StopKind, key, words string, servo float64) {
		if s.Turn(servo) != nil {
			return
		}
		l := m.mech.Linkage
		met = append(met, Stop{kind, key, words, servo, l.Coordinate(s.pose, m.mech.Left), l.Coordinate(s.pose, m.mech.Right)})
	}
	over := func(st stop) func(float64) float64 {
		return func(servo float64) float64 {
			if s.Turn(servo) != nil {
				return math.NaN()
			}
			return st.at(s) - st.most
		}
	}
	passed := make([]bool, len(m.stops))
	first := s.pull()
	pull := func(servo float64) float64 {
		if s.Turn(servo) != nil {
			return math.NaN()
		}
		return s.pull() * first
	}
	for at := 0.0; ; {
		next := at + direction*lookStep
		end := math.Abs(next) > lookEnd
		if end {
			next = direction * lookEnd
		}
		var limit *linkage.LimitError
		if err := s.Turn(next); errors.As(err, &limit) {
			next, end = limit.Inputs[0], true
			// Just short of it, where the linkage still closes.
			next -= direction * 1e-9
			if s.Turn(next) != nil {
				next -= direction * 1e-6
			}
		} else if err != nil {
			return nil, err
		}
		for i, st := range m.stops {
			if !passed[i] && over(st)(next) > 0 {
				passed[i] = true
				note(StatedStop, st.key, st.words, root.Find(over(st), at, next, 1e-10))
			}
		}
		switch {
		case pull(next) < 0:
			note(HornDeadPoint, "", "the dead point at the horn, where horn and link come into line", root.Find(pull, at, next, 1e-10))
			end = true
		case limit != nil:
			note(FarDeadPoint, "", "the dead point at "+limit.Rods+", where it comes into line with its arm", next)
		case end:
			note(HalfTurn, "", "half a turn of the servo", next)
		}
		if end {
			sort.SliceStable(met, func(i, j int) bool { return math.Abs(met[i].Servo) < math.Abs(met[j].Servo) })
			return met, nil
		}
		at = next
	}
}

// pull returns how fast the drag link is drawn along itself by the horn, with a
// sign; it is zero at the horn's dead point.
func (s *Stand) pull() float64 {
	k := s.m.mech
	_, axis := s.m.mech.Linkage.Axis(s.pose, k.Horn)
	point, _ := s.m.mech.Linkage.Axis(s.pose, k.Horn)
	lever := vec{v: axis}.cross(vec{v: s.pose.Ball(k.HornBall)}.sub(vec{v: point}))
	return lever.dot(vec{v: s.pose.Ball(k.Pulled)}.sub(vec{v: s.pose.Ball(k.HornBall)}).unit()).Real
}

// Within returns the servo angle, short of a stop's, that keeps margin radians clear
// of it both in servo angle and in the turn of each wheel.
func (m *Model) Within(st Stop, margin float64) float64 {
	s := m.Stand()
	l := m.mech.Linkage
	direction := math.Copysign(1, st.Servo)
	clear := func(servo float64) float64 {
		if s.Turn(servo) != nil {
			return math.NaN()
		}
		left := math.Abs(l.Coordinate(s.pose, m.mech.Left) - st.TurnLeft)
		right := math.Abs(l.Coordinate(s.pose, m.mech.Right) - st.TurnRight)
		return min(left, right, direction*(st.Servo-servo)) - margin
	}
	if !(clear(0) > 0) {
		return 0
	}
	// The first angle, on the way from neutral, that is not clear.
	for at := 0.0; ; {
		next := at + direction*lookStep
		if direction*(st.Servo-next) < 0 {
			next = st.Servo
		}
		if !(clear(next) > 0) {
			return root.Find(clear, at, next, 1e-10)
		}
		at = next
	}
}
