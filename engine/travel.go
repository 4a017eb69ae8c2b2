package engine

import (
	"errors"
	"math"

	"evenlock/draw"
	"evenlock/steer"
)

// SetWheelTravel moves the suspension: by how many millimetres each wheel rises above ride height, negative where it drops. The servo stays where it
// is. Where the suspension does not go so far, it is Held where it stops.
func (s *Session) SetWheelTravel(left, right float64) Status {
	if math.IsNaN(left+right) || math.IsInf(left+right, 0) || !s.moved.model.Suspended() {
		return Refused
	}
	bump, droop := s.moved.model.TravelRange()
	s.travel = steer.WheelTravel{Left: max(-droop, min(bump, left)), Right: max(-droop, min(bump, right))}
	if math.IsNaN(s.stick) {
		return s.show(s.moved.state.Servo())
	}
	return s.Stick(s.stick)
}

// pose moves a rig to a servo angle and a wheel travel, or as near as they go; it names the limit
// that holds it, and says why in words.
func (m *moved) pose(servo float64, travel steer.WheelTravel) (limit int, why string) {
	if !m.model.Suspended() {
		travel = steer.WheelTravel{}
	}
	var stop *steer.TravelError
	if errors.As(m.state.Move(m.state.Servo(), travel), &stop) {
		m.near(stop)
	}
	limit = m.turn(servo)
	if stop != nil {
		return atTravelEnd, stop.Error()
	}
	return limit, m.marks[limit].words
}

// near moves to where the travel stops. So near its end a hair's breadth decides whether a way there is found.
func (m *moved) near(stop *steer.TravelError) {
	from := m.state.WheelTravel()
	for back := 1e-9; back < 1e-2; back *= 10 {
		if m.state.Move(m.state.Servo(), stop.Reached.Along(from, back)) == nil {
			return
		}
	}
}

// heldSteps are the halvings that find a limit away from ride height: to a thousandth of the servo's way.
const heldSteps = 12

// turnSuspended is turn away from ride height, where the stops of the lock are not those at ride
// height. A rig that is past a limit when straight is not held by it.
func (m *moved) turnSuspended(servo float64) (limit int) {
	if m.turnOrNear(servo) {
		limit, servo = atFarDeadPoint, m.state.Servo()
	}
	number, part := m.nearest()
	if number == noLimit || part <= 1 {
		return limit
	}
	centre := m.model.Centre()
	if m.turnOrNear(centre) {
		return limit
	}
	if _, straight := m.nearest(); straight > 1 {
		m.turnOrNear(servo)
		return number
	}
	low, high := 0.0, 1.0
	for range heldSteps {
		mid := (low + high) / 2
		m.turnOrNear(centre + mid*(servo-centre))
		if past, part := m.nearest(); part > 1 {
			number, high = past, mid
		} else {
			low = mid
		}
	}
	m.turnOrNear(centre + low*(servo-centre))
	return number
}

// liveTravel lays out what the suspension does: how high the wheels are, what that has done to the
// steering, and what is taken up most.
func liveTravel(more func(group, key, words string, n int, text ...draw.Fragment), at *int, limits []string) {
	height := func(key, words string) {
		more("travel", key, words, 1, draw.Fragment{Form: draw.Size, At: *at, Digits: 1}, draw.Fragment{Text: " mm"}, draw.Fragment{Form: draw.Side, At: *at, Digits: 1, Words: []string{" down", "", " up"}})
	}
	side := func(key, words string, digits int, unit string, ways []string) {
		more("travel", key, words, 1, draw.Fragment{Form: draw.Size, At: *at, Digits: digits}, draw.Fragment{Text: unit}, draw.Fragment{Form: draw.Side, At: *at, Digits: digits, Words: ways})
	}
	height("rise_left", "left wheel's height")
	height("rise_right", "right wheel's height")
	side("travel_steer_left", "left wheel, steered by the travel so far", 2, "°", sides)
	side("travel_steer_right", "right wheel, steered by the travel so far", 2, "°", sides)
	side("travel_shift", "axle's shift to the side", 1, " mm", sides)
	side("travel_roll", "roll, the higher side", 1, "°", sides)
	more("travel", "governs", "limit that is nearest", 2,
		draw.Fragment{Form: draw.Choice, At: *at, Words: limits}, draw.Fragment{Text: ", "}, draw.Fragment{Form: draw.Decimal, At: *at + 1}, draw.Fragment{Text: " % taken up"})
}

// fillTravel fills what liveTravel lays out.
func (s *Session) fillTravel() {
	s.scene.Guide(s.guides)
	if s.drag != nil {
		s.scene.Guide(nil)
	}
	m, d := &s.moved, s.values[s.layout.travel:s.layout.load]
	for i := range d {
		d[i] = math.NaN()
	}
	if number, part := m.nearest(); number != noLimit {
		d[6], d[7] = float64(s.numbered(number)), 100*part
	}
	if !m.model.Suspended() {
		return
	}
	if m.rest == nil {
		m.rest = m.model.NewState()
	}
	travel := m.state.WheelTravel()
	d[0], d[1] = travel.Left, travel.Right
	if m.model.Geometry.Suspension.Solid {
		d[4] = m.state.Carried().Side
	}
	d[5] = m.model.Roll(travel) / degree
	if m.rest.Turn(m.state.Servo()) != nil {
		return
	}
	left, right := m.state.Road()
	homeLeft, homeRight := m.rest.Road()
	d[2], d[3] = (left-homeLeft)/degree, (right-homeRight)/degree
}
