package engine

import (
	"math"

	"evenlock/radio"
	"evenlock/rig"
)

const degree = math.Pi / 180

// assumedSpan is the servo's way at full stick where no reading says it, if no stop is nearer
// (common practice: about 45° each way).
const assumedSpan = 45 * degree

// stickMap is what the stick does to the servo.
type stickMap struct {
	// model is nil while nothing has been read off the servo.
	model *radio.Model
	full  float64 // assumed servo angle at full left stick
	// problem says why a model could not be had although there are readings.
	problem Problems
}

// newStickMap takes the transmitter's readings, or assumes a straight line that turns the wheels left
// with the stick and stays within the stops.
func newStickMap(m *moved) stickMap {
	var s stickMap
	r := m.rig
	if len(r.Transmitter.Readings) > 0 {
		var err error
		s.model, err = radioModel(r)
		s.problem = ProblemsOf(err)
	}
	if s.model != nil {
		return s
	}
	s.full = assumedSpan
	for _, side := range [2]float64{-1, 1} {
		if stops := m.stopsTo(side); len(stops) > 0 {
			s.full = min(s.full, math.Abs(stops[0].Servo.Value))
		}
	}
	if m.model.NewState().Snapshot().RateLeft < 0 {
		s.full = -s.full
	}
	return s
}

// radioModel is the stick's map by the rig's readings and settings.
func radioModel(r *rig.Rig) (*radio.Model, error) {
	c, err := radio.Calibrate(r.Transmitter, r.Servo, r.Settings.Reverse)
	if err != nil {
		return nil, err
	}
	return radio.NewModel(c, r.Settings)
}

// angle returns the servo angle in radians, and its change per full stick.
func (s *stickMap) angle(stick float64) (angle, slope float64) {
	if s.model == nil {
		return s.full * max(-1, min(1, stick)), s.full
	}
	out := s.model.At(stick)
	if stick < 0 {
		return out.Angle, out.RateRight
	}
	return out.Angle, out.RateLeft
}

func (s *stickMap) uncertainty(stick float64) float64 {
	if s.model == nil {
		return 0
	}
	return s.model.Uncertainty(stick)
}

// Words for where the stick's map comes from.
const (
	stickCalibrated = "calibrated"
	stickAssumed    = "assumed"
)

func (s *stickMap) kind() string {
	if s.model == nil {
		return stickAssumed
	}
	return stickCalibrated
}

func (s *stickMap) words() string {
	if s.model == nil {
		return "Full stick is taken as " + rounded(math.Abs(s.full)/degree, 0) + "° of servo each way until two readings of the servo say what it is."
	}
	return "The stick moves the servo as read at the bench."
}
