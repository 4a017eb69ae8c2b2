package report

import (
	"math"

	"evenlock/report/document"
	"evenlock/steer"
)

// LiveValue is a number that is shown beside the drawing and moves along with it.
type LiveValue struct {
	// Key is stable; Words say what it is.
	Key, Words string
	// Always is whether it is worth a place on the smallest screen.
	Always bool
	Unit   document.Unit
	// Direction is the words for its sign; with none it has its sign.
	Direction document.Direction
	// At reads it, in the inside unit; NaN where it is not available.
	At func(stick float64, s *steer.State, v, rates *steer.Values) float64
}

// side is the direction of what goes to a side, without a word for straight.
var side = document.Direction{Negative: "right", Positive: "left"}

func live(q steer.Quantity) func(float64, *steer.State, *steer.Values, *steer.Values) float64 {
	return func(_ float64, _ *steer.State, v, _ *steer.Values) float64 { return v[q] }
}

func liveRate(q steer.Quantity) func(float64, *steer.State, *steer.Values, *steer.Values) float64 {
	return func(_ float64, _ *steer.State, _, rates *steer.Values) float64 { return rates[q] }
}

// LiveSteering are those of the steering, in the order that they are shown.
var LiveSteering = []LiveValue{
	{"stick", "stick", true, document.Percent, side, func(stick float64, _ *steer.State, _, _ *steer.Values) float64 { return 100 * stick }},
	{"servo", "servo from neutral", false, document.Angle, document.Direction{Negative: "clockwise", Positive: "counter-clockwise"}, func(_ float64, s *steer.State, _, _ *steer.Values) float64 { return s.Servo() }},
	{"road_left", "left wheel", true, document.Angle, side, live(steer.Road.Of(steer.Left))},
	{"road_right", "right wheel", true, document.Angle, side, live(steer.Road.Of(steer.Right))},
	{"rate_left", "left wheel, for a degree of servo", false, document.Ratio, document.Direction{}, liveRate(steer.Road.Of(steer.Left))},
	{"rate_right", "right wheel, for a degree of servo", false, document.Ratio, document.Direction{}, liveRate(steer.Road.Of(steer.Right))},
	{"horn_angle", "horn to link", true, document.Angle, document.Direction{}, live(steer.HornAngle)},
	{"far_angle", "link to arm", false, document.Angle, document.Direction{}, live(steer.FarAngle)},
	{"curvature", "path curvature", false, document.Curvature, side, live(steer.Curvature)},
	{"circle", "turning circle", true, document.Span, document.Direction{}, func(_ float64, _ *steer.State, v, _ *steer.Values) float64 {
		if d := 2 * v[steer.OuterRadius]; d < asGoodAsStraight {
			return d
		}
		return math.NaN()
	}},
	{"ackermann_error", "outer wheel toed past Ackermann by", false, document.Angle, document.Direction{}, live(steer.Ackermann)},
	{"ackermann_percent", "Ackermann: 100 % is exact, 0 % parallel", false, document.Percent, document.Direction{}, func(_ float64, s *steer.State, v, _ *steer.Values) float64 {
		if percent, ok := s.Model().AckermannPercent(v); ok {
			return percent
		}
		return math.NaN()
	}},
	{"leverage", "from over-centre: 0 is there, 1 is best", false, document.One, document.Direction{}, live(steer.Leverage)},
}

// LimitReached says what the live value is that names the limit that holds the servo.
const LimitReached = "limit reached"

// LiveTravel are the words of what moves along of the suspension, by their keys.
var LiveTravel = map[string]string{
	"rise_left": "left wheel's height", "rise_right": "right wheel's height",
	"travel_steer_left": "left wheel, bump steer so far", "travel_steer_right": "right wheel, bump steer so far",
	"travel_shift": "axle's shift to the side", "travel_roll": "roll, the higher side",
	"governs": "nearest limit",
}

// Words for limits that the file does not state, beside those that steer names: for a mark on the
// drawing, before it is known which rods they are.
const (
	RodsOverCentre = "the rods going over-centre"
	TravelEnds     = "the suspension goes no further"
)

// Axles are what to call the axles that steer, in the order of their numbers.
var Axles = []string{"Front axle", "Rear axle"}

// NoRearTravel says why there is nothing of the travel at the rear.
const NoRearTravel = "only the front axle's suspension can be in the file: the rear axle is worked out at ride height"
