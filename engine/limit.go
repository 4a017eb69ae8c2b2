package engine

import (
	"math"

	"evenlock/draw"
	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// limits are all the limits that a mark can show: the words of steer.Stop, and where it is. The first is
// none; the last is for words not listed.
var limits = []struct {
	words string
	at    func(p *linkage.Pose, k *rig.Mechanism) r3.Vec
}{
	{"", nil},
	{"the left knuckle's inward stop", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftTie })},
	{"the left knuckle's outward stop", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftTie })},
	{"the right knuckle's inward stop", atBall(func(k *rig.Mechanism) linkage.Ball { return k.RightTie })},
	{"the right knuckle's outward stop", atBall(func(k *rig.Mechanism) linkage.Ball { return k.RightTie })},
	{"the left axle joint", atAxis(func(k *rig.Mechanism) linkage.Body { return k.Left })},
	{"the right axle joint", atAxis(func(k *rig.Mechanism) linkage.Body { return k.Right })},
	{"the drag link's rod end at the horn", atBall(func(k *rig.Mechanism) linkage.Ball { return k.HornBall })},
	{"the drag link's far rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.Pulled })},
	{"the tie rod's left rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftTie })},
	{"the tie rod's right rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.RightTie })},
	{"the left crank rod's outer rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftTie })},
	{"the right crank rod's outer rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.RightTie })},
	{"the servo's own travel", atAxis(func(k *rig.Mechanism) linkage.Body { return k.Horn })},
	{hornDeadPoint, atBall(func(k *rig.Mechanism) linkage.Ball { return k.HornBall })},
	{farDeadPoint, atBall(func(k *rig.Mechanism) linkage.Ball { return k.Pulled })},
	{halfTurn, atAxis(func(k *rig.Mechanism) linkage.Body { return k.Horn })},
	{"a limit that the rig file states", atAxis(func(k *rig.Mechanism) linkage.Body { return k.Horn })},
}

const (
	hornDeadPoint = "dead point at the horn: horn and link in line"
	farDeadPoint  = "dead point: link and arm in line"
	halfTurn      = "half a turn of the servo"
)

func atBall(of func(k *rig.Mechanism) linkage.Ball) func(*linkage.Pose, *rig.Mechanism) r3.Vec {
	return func(p *linkage.Pose, k *rig.Mechanism) r3.Vec { return p.Ball(of(k)) }
}

func atAxis(of func(k *rig.Mechanism) linkage.Body) func(*linkage.Pose, *rig.Mechanism) r3.Vec {
	return func(p *linkage.Pose, k *rig.Mechanism) r3.Vec {
		at, _ := k.Linkage.Axis(p, of(k))
		return at
	}
}

// limitWords are the words of limits, by number.
func limitWords() []string {
	all := make([]string, len(limits))
	for i, l := range limits {
		all[i] = l.words
	}
	return all
}

// limitNumber finds a stop in limits.
func limitNumber(st steer.Stop) int {
	words := st.Words
	switch st.Kind {
	case steer.HornDeadPoint:
		words = hornDeadPoint
	case steer.FarDeadPoint:
		words = farDeadPoint
	case steer.HalfTurn:
		words = halfTurn
	}
	for i := range limits {
		if limits[i].words == words {
			return i
		}
	}
	return len(limits) - 1
}

// Indices of stops by the servo's direction.
const (
	clockwise = iota
	counterClockwise
)

// stopsTo finds the stops on the side of a servo angle, once. A rig that stands past one going straight has
// none.
func (m *moved) stopsTo(servo float64) []steer.Stop {
	way, direction := counterClockwise, 1.0
	if servo < m.model.Centre() {
		way, direction = clockwise, -1
	}
	if !m.looked[way] {
		m.looked[way] = true
		// Warnings say why there are none.
		m.stops[way], _ = m.model.Stops(direction)
	}
	return m.stops[way]
}

// within holds a servo angle at the first stop, and tells which it is.
func (m *moved) within(servo float64) (held float64, at *steer.Stop) {
	if servo == m.model.Centre() {
		return servo, nil
	}
	stops := m.stopsTo(servo)
	if len(stops) == 0 || math.Abs(servo) < math.Abs(stops[0].Servo.Value) {
		return servo, nil
	}
	return stops[0].Servo.Value, &stops[0]
}

// marked is the mark of a limit at a pose.
func marked(number int, m *steer.Model, s *steer.Stand) draw.Limit {
	if number == 0 {
		return draw.Limit{}
	}
	return draw.Limit{Number: number, At: limits[number].at(s.Pose(), m.Mechanism())}
}
