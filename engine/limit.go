package engine

import (
	"math"
	"slices"
	"strings"

	"evenlock/draw"
	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// limitMark is a limit that a mark can show: its words, and where it is.
type limitMark struct {
	words string
	at    func(p *linkage.Pose, k *rig.Mechanism) r3.Vec
}

// places are where the limits are that steer names, by what their words end with; the first that fits counts.
var places = []limitMark{
	{"the left knuckle's inward stop", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftTie })},
	{"the left knuckle's outward stop", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftTie })},
	{"the right knuckle's inward stop", atBall(func(k *rig.Mechanism) linkage.Ball { return k.RightTie })},
	{"the right knuckle's outward stop", atBall(func(k *rig.Mechanism) linkage.Ball { return k.RightTie })},
	{"the left axle joint", atAxis(func(k *rig.Mechanism) linkage.Body { return k.Left })},
	{"the right axle joint", atAxis(func(k *rig.Mechanism) linkage.Body { return k.Right })},
	{"the drag link's rod end at the horn", atBall(func(k *rig.Mechanism) linkage.Ball { return k.HornBall })},
	{"the drag link's far rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.Pulled })},
	{"the second drag link's rod end at the horn", atBall(func(k *rig.Mechanism) linkage.Ball { return k.SecondBall })},
	{"the second drag link's far rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.SecondPulled })},
	{"the tie rod's left rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftTie })},
	{"the tie rod's right rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.RightTie })},
	{"the left steering link's outer rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftTie })},
	{"the right steering link's outer rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.RightTie })},
	{"the left steering link's inner rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftCrank })},
	{"the right steering link's inner rod end", atBall(func(k *rig.Mechanism) linkage.Ball { return k.RightCrank })},
	{"the servo's own travel", atAxis(func(k *rig.Mechanism) linkage.Body { return k.Horn })},
	// One part against another: at the one that moves more.
	{"against the drag link", atBall(func(k *rig.Mechanism) linkage.Ball { return k.Pulled })},
	{"against the tie rod", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftTie })},
	{"against the left tyre", atBall(func(k *rig.Mechanism) linkage.Ball { return k.LeftCentre })},
	{"against the right tyre", atBall(func(k *rig.Mechanism) linkage.Ball { return k.RightCentre })},
	{"", atAxis(func(k *rig.Mechanism) linkage.Body { return k.Horn })},
}

// ends of the way that are no limits of the file; they come first of all limits.
var ends = []limitMark{
	{"", nil},
	{hornDeadPoint, atBall(func(k *rig.Mechanism) linkage.Ball { return k.HornBall })},
	{farDeadPoint, atBall(func(k *rig.Mechanism) linkage.Ball { return k.Pulled })},
	{halfTurn, atAxis(func(k *rig.Mechanism) linkage.Body { return k.Horn })},
	{travelEnd, func(p *linkage.Pose, k *rig.Mechanism) r3.Vec {
		return r3.Scale(0.5, r3.Add(p.Ball(k.TravelLeft), p.Ball(k.TravelRight)))
	}},
}

// Numbers of limits; those that the file states follow in the order of steer.Model.Limits.
const (
	noLimit = iota
	atHornDeadPoint
	atFarDeadPoint
	atHalfTurn
	atTravelEnd
	firstStated
)

// limitsOf are all the limits that a mark can show.
func limitsOf(m *steer.Model) []limitMark {
	all := slices.Clone(ends)
	for _, l := range m.Limits() {
		for _, p := range places {
			if strings.HasSuffix(l.Words, p.words) {
				all = append(all, limitMark{l.Words, p.at})
				break
			}
		}
	}
	return all
}

const (
	hornDeadPoint = steer.HornOverCentre
	farDeadPoint  = "the rods going over-centre"
	halfTurn      = "half a turn of the servo"
	travelEnd     = "the suspension goes no further"
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

// limitWords are the words of the limits, by number.
func (m *moved) limitWords() []string {
	all := make([]string, len(m.marks))
	for i, l := range m.marks {
		all[i] = l.words
	}
	return all
}

// limitNumber finds a stop in the limits.
func (m *moved) limitNumber(st steer.Stop) int {
	switch st.Kind {
	case steer.HornDeadPoint:
		return atHornDeadPoint
	case steer.FarDeadPoint:
		return atFarDeadPoint
	case steer.HalfTurn:
		return atHalfTurn
	}
	for i := firstStated; i < len(m.marks); i++ {
		if m.marks[i].words == st.Words {
			return i
		}
	}
	return atHalfTurn
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
func (s *Session) marked(number int) draw.Limit {
	if number == noLimit {
		return draw.Limit{}
	}
	m := &s.moved
	return draw.Limit{Number: s.numbered(number), At: m.marks[number].at(m.state.Pose(), m.model.Mechanism())}
}

// numbered is the number that the drawing has for a limit: a model that is not suspended lacks
// those of the suspension.
func (s *Session) numbered(number int) int {
	words := s.moved.marks[number].words
	if number < len(s.layout.limits) && s.layout.limits[number] == words {
		return number
	}
	return max(noLimit, slices.Index(s.layout.limits, words))
}

// nearest gives the stated limit that is taken up most where the state is, by its number, and how
// much of it, 1 where it is met; noLimit if the file states none.
func (m *moved) nearest() (number int, part float64) {
	for i := range m.most {
		if x := m.state.Limit(i) / m.most[i]; number == noLimit || x > part {
			number, part = firstStated+i, x
		}
	}
	return number, part
}
