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

// stopsOf finds the stops both ways. A rig that stands past one at neutral has none, and says so.
func stopsOf(m *steer.Model) (stops [2][]steer.Stop, err error) {
	for i, direction := range [2]float64{clockwise: -1, counterClockwise: 1} {
		if stops[i], err = m.Stops(direction); err != nil {
			return [2][]steer.Stop{}, err
		}
	}
	return stops, nil
}

// within holds a servo angle at the first stop, and tells which it is.
func within(stops *[2][]steer.Stop, servo float64) (held float64, at *steer.Stop) {
	way := stops[counterClockwise]
	if servo < 0 {
		way = stops[clockwise]
	}
	if len(way) == 0 || math.Abs(servo) < math.Abs(way[0].Servo.Value) {
		return servo, nil
	}
	return way[0].Servo.Value, &way[0]
}

// marked is the mark of a limit at a pose.
func marked(number int, m *steer.Model, s *steer.Stand) draw.Limit {
	if number == 0 {
		return draw.Limit{}
	}
	return draw.Limit{Number: number, At: limits[number].at(s.Pose(), m.Mechanism())}
}
