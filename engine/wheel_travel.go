package engine

import (
	"errors"
	"math"

	"evenlock/draw"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/steer"
	"evenlock/travel"
	"evenlock/vehicle"
)

const (
	// travelSteps is how many samples each way the wheel travel has on the page, reachable how far
	// in mm each way a ball is moved at most.
	travelSteps = 8
	reachable   = 25
	// pressed is how many mm a press of a key moves a wheel.
	pressed = 0.5
)

// Travel says what the suspension's travel does to the steering, and where to move a ball. The
// error is Problems, of the key suspension for a rig without one.
func (s *Session) Travel() (*document.Document, error) {
	if s.moved.axle != 1 {
		return nil, problem("suspension", report.NoRearTravel, "")
	}
	m, err := steer.NewSuspended(s.moved.rig)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	analysis, err := travel.Over(m, travel.Options{Servo: m.Centre(), Steps: travelSteps})
	if err != nil {
		return nil, ProblemsOf(err)
	}
	better, err := travel.Improve(m, reachable)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	return report.Travel(analysis, better), nil
}

// Guide shows on the drawing, as seen from behind, where the ends of the rods would give no bump
// steer, or no longer. While a point is dragged it does not show, since it was of the rig as it
// was.
func (s *Session) Guide(on bool) {
	s.guided = on
	s.guide()
	s.refill()
}

// guide finds the lines that Guide shows; none for a rig that does not go through its travel.
func (s *Session) guide() {
	s.guides = nil
	if !s.guided || !s.moved.model.Suspended() {
		return
	}
	ideals, err := travel.Ideals(s.moved.model)
	if err != nil {
		return
	}
	for i := range ideals {
		var g draw.ZeroSteerLine
		g.Through, g.Dir = ideals[i].Along()
		g.At, g.Whole = ideals[i].Crossing()
		s.guides = append(s.guides, g)
	}
}

// TravelRange is how far each wheel can rise and drop from ride height by the file.
type TravelRange struct {
	// Bump and Droop are in mm, as is Step: how far a press of a key moves a wheel, in words in
	// StepWords.
	Bump      float64 `json:"bump"`
	Droop     float64 `json:"droop"`
	Step      float64 `json:"step"`
	StepWords string  `json:"stepWords"`
}

func (s *Session) travelRange() *TravelRange {
	if !s.moved.model.Suspended() {
		return nil
	}
	r := &TravelRange{Step: pressed, StepWords: document.F(pressed, document.Length).Text(s.reader)}
	r.Bump, r.Droop = s.moved.model.TravelRange()
	return r
}

// SetWheelTravel moves the suspension: by how many millimetres each wheel rises above ride height,
// negative where it drops. The servo stays where it is. Where the suspension does not go so far, it
// is Held where it stops.
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
// that holds it, and where the travel stops if it does.
func (m *moved) pose(servo float64, to steer.WheelTravel) (limit int, stop *steer.TravelError) {
	if !m.model.Suspended() {
		to = steer.WheelTravel{}
	}
	if errors.As(m.state.Move(m.state.Servo(), to), &stop) {
		m.near(stop)
	}
	limit = m.turn(servo)
	if stop != nil {
		limit = atTravelEnd
	}
	return limit, stop
}

// near moves to where the travel stops. So near its end a hair's breadth decides whether a way
// there is found.
func (m *moved) near(stop *steer.TravelError) {
	from := m.state.WheelTravel()
	for back := 1e-9; back < 1e-2; back *= 10 {
		if m.state.Move(m.state.Servo(), stop.Reached.Along(from, back)) == nil {
			return
		}
	}
}

// heldSteps are the halvings that find a limit away from ride height: to a thousandth of the
// servo's way.
const heldSteps = 12

// turnSuspended is turn away from ride height, where the stops of the lock are not those at ride
// height. A rig that is past a limit when straight is not held by it.
func (m *moved) turnSuspended(servo float64) (limit int) {
	if m.turnOrNear(servo) {
		limit, servo = atRodsOverCentre, m.state.Servo()
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
func (l *layout) liveTravel(more func(group, key, words string, n int, text ...draw.Fragment), at *int) {
	side := func(key string, digits int, unit string, ways []string) {
		more("travel", key, report.LiveTravel[key], 1, draw.Fragment{Form: draw.Size, At: *at, Digits: digits}, draw.Fragment{Text: unit}, draw.Fragment{Form: draw.Side, At: *at, Digits: digits, Words: ways})
	}
	_, digits, unit := l.unit(document.Length)
	for _, w := range vehicle.Sides {
		name := "rise_" + w.String()
		more("travel", name, report.LiveTravel[name], riseNumbers, draw.Fragment{Form: draw.Choice, At: *at + 1, Words: []string{"", "stops "}},
			draw.Fragment{Form: draw.Size, At: *at, Digits: digits}, draw.Fragment{Text: unit}, draw.Fragment{Form: draw.Side, At: *at, Digits: digits, Words: []string{" down", "", " up"}})
	}
	for _, w := range vehicle.Sides {
		side("travel_steer_"+w.String(), 2, "°", sides)
	}
	side("travel_shift", digits, unit, sides)
	side("travel_roll", 1, "°", sides)
	more("travel", "governs", report.LiveTravel["governs"], 2,
		draw.Fragment{Form: draw.Choice, At: *at, Words: l.limits}, draw.Fragment{Text: ", "}, draw.Fragment{Form: draw.Decimal, At: *at + 1}, draw.Fragment{Text: " % used"})
}

// riseNumbers are those of a wheel's height: the height, and 1 where the travel stops short of
// where the wheel was asked to be, else 0.
const riseNumbers = 2

// asFar is how near a wheel comes in mm where nothing stops it.
const asFar = 0.05

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
	rises, rest := d[:2*riseNumbers], d[2*riseNumbers:]
	const steered, shift, roll, governs, used = 0, 2, 3, 4, 5
	if number, part := m.nearest(); number != noLimit {
		rest[governs], rest[used] = float64(s.numbered(number)), 100*part
	}
	if !m.model.Suspended() {
		return
	}
	if m.rest == nil {
		m.rest = m.model.NewState()
	}
	here := m.state.WheelTravel()
	times, _, _ := s.layout.unit(document.Length)
	for i, height := range [2][2]float64{{here.Left, s.travel.Left}, {here.Right, s.travel.Right}} {
		is, asked := height[0], height[1]
		rises[riseNumbers*i], rises[riseNumbers*i+1] = is*times, 0
		if math.Abs(is-asked) > asFar {
			rises[riseNumbers*i+1] = 1
		}
	}
	if m.model.Axle.Solid {
		rest[shift] = m.state.Carried().Side * times
	}
	rest[roll] = m.model.Roll(here) / degree
	if m.rest.Turn(m.state.Servo()) != nil {
		return
	}
	now, home := m.state.Road(), m.rest.Road()
	for i := range now {
		rest[steered+i] = (now[i] - home[i]) / degree
	}
}
