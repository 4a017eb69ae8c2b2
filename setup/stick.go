package setup

import (
	"math"
	"strings"

	"evenlock/radio"
	"evenlock/rig"
	"evenlock/steer"
)

// Stick is what the stick does to the servo of a rig as it stands: by the transmitter's readings
// and the settings in the file, or as is assumed until readings say it.
type Stick struct {
	// Model is nil while it is assumed.
	Model *radio.Model
	// Assumed is then the servo angle at full left stick, in radians: that at full right stick is
	// as much the other way.
	Assumed float64
	// Problem says why there is no Model although there are readings.
	Problem error
}

// assumedSpan is the servo's way at full stick where no reading says it, if no stop is nearer
// (common practice: about 45° each way).
const assumedSpan = 45 * degree

// NewStick takes a model's readings, or assumes a straight line that turns the wheels left with the
// stick and stays within the stops: stopsTo gives those in a direction, as steer.Model.Stops does,
// none for a rig that is past one.
func NewStick(m *steer.Model, stopsTo func(direction float64) []steer.Stop) Stick {
	var s Stick
	a := m.Tables()
	if len(a.Transmitter.Readings) > 0 {
		s.Model, s.Problem = stickModel(a)
	}
	if s.Model != nil {
		return s
	}
	s.Assumed = assumedSpan
	for _, direction := range [2]float64{-1, 1} {
		if stops := stopsTo(direction); len(stops) > 0 {
			s.Assumed = min(s.Assumed, math.Abs(stops[0].Servo.Value))
		}
	}
	s.Assumed *= m.Leftward()
	return s
}

// stickModel is the stick's map by an axle's readings and settings.
func stickModel(a *rig.OfAxle) (*radio.Model, error) {
	c, err := radio.Calibrate(a.Transmitter, a.Servo, a.Settings.Reverse)
	if err != nil {
		return nil, err
	}
	return radio.NewModel(c, c.Complete(a.Settings))
}

// At returns the servo angle in radians at a stick position from -1, full right, to 1, full left,
// and how it changes per full stick. The slope is that away from centre.
func (s *Stick) At(stick float64) (angle, slope float64) {
	if s.Model == nil {
		return s.Assumed * max(-1, min(1, stick)), s.Assumed
	}
	out := s.Model.At(stick)
	if stick < 0 {
		return out.Angle, out.RateRight
	}
	return out.Angle, out.RateLeft
}

// Uncertainty returns the 95 % half-width in radians of At's angle, from that of the readings.
func (s *Stick) Uncertainty(stick float64) float64 {
	if s.Model == nil {
		return 0
	}
	return s.Model.Uncertainty(stick)
}

// For returns the stick position at which the servo stands at an angle, the nearest to centre; NaN
// if there is none.
func (s *Stick) For(servo float64) float64 {
	if s.Model == nil {
		return servo / s.Assumed
	}
	x, err := s.Model.StickFor(servo)
	if err != nil {
		return math.NaN()
	}
	return x
}

// readingPaths begin, within an axle, the paths of the angles read at the bench.
const readingPaths = "transmitter.reading."

// servo returns the servo angle at a stick position with what it depends on: the angles that were
// read at the bench.
func (s *Stick) servo(m *steer.Model, stick float64) steer.Result {
	angle, _ := s.At(stick)
	if s.Model == nil {
		return steer.Result{Value: angle}
	}
	read, err := m.ReadRig(func(r *rig.Rig, moved steer.Moved) ([]float64, error) {
		if !strings.HasPrefix(moved.Path, m.Tables().Prefix+readingPaths) {
			return []float64{angle}, nil
		}
		a := r.Of(m.Axle.Number())
		// How sure the readings are is their weight.
		for i, as := range m.Tables().Transmitter.Readings {
			a.Transmitter.Readings[i].Angle.Uncertainty = as.Angle.Uncertainty
		}
		model, err := stickModel(a)
		if err != nil {
			return nil, err
		}
		return []float64{model.Angle(stick)}, nil
	})
	if err != nil {
		return steer.Result{Value: angle} // at the edge of what readings can be
	}
	return read[0]
}
