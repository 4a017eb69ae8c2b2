package engine

import (
	"math"
	"slices"

	"evenlock/draw"
	"evenlock/report"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// limitMark is a limit that a mark can show: its words, and where it is.
type limitMark struct {
	words string
	at    func(s *steer.State, m *steer.Model) r3.Vec
}

// unstated are what ends the way without being a limit of the file; they come first of all limits,
// and the first is none.
var unstated = []limitMark{
	{"", nil},
	{steer.HornOverCentre, func(s *steer.State, m *steer.Model) r3.Vec { return s.Pose().Ball(m.Servo.Ball.Handle) }},
	{report.RodsOverCentre, func(s *steer.State, m *steer.Model) r3.Vec { return s.Pose().Ball(m.Servo.Far().Handle) }},
	{steer.HalfTurnOfServo, func(s *steer.State, m *steer.Model) r3.Vec {
		at, _ := m.Linkage.Axis(s.Pose(), m.Servo.Horn.Handle)
		return at
	}},
	{report.TravelEnds, func(s *steer.State, m *steer.Model) (middle r3.Vec) {
		for _, w := range m.Wheels {
			middle = r3.Add(middle, r3.Scale(0.5, s.Pose().Ball(w.Risen.Handle)))
		}
		return middle
	}},
}

// Numbers of limits; those that the file states follow in the order of steer.Model.Limits.
const (
	noLimit = iota
	atHornOverCentre
	atRodsOverCentre
	atHalfTurn
	atTravelEnd
	firstStated
)

// limitsOf are all the limits that a mark can show.
func limitsOf(m *steer.Model) []limitMark {
	all := slices.Clone(unstated)
	for i, l := range m.Limits() {
		all = append(all, limitMark{l.Words, func(s *steer.State, _ *steer.Model) r3.Vec { return s.LimitMark(i) }})
	}
	return all
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
		return atHornOverCentre
	case steer.FarDeadPoint:
		return atRodsOverCentre
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

// stopsTo finds the stops on the side of a servo angle, once. A rig that stands past one going
// straight has none.
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
	return draw.Limit{Number: s.numbered(number), At: m.marks[number].at(m.state, m.model)}
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
