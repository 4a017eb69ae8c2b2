package engine

import (
	"math"

	"evenlock/radio"
	"evenlock/report"
	"evenlock/setup"
)

const degree = math.Pi / 180

// Words for where the stick's map comes from.
const (
	stickCalibrated = "calibrated"
	stickAssumed    = "assumed"
)

func stickKind(s *setup.Stick) string {
	if s.Model == nil {
		return stickAssumed
	}
	return stickCalibrated
}

// spanOf is where the servo goes at full stick and at centre, nil while it is assumed.
func spanOf(s *setup.Stick) *radio.Span {
	if s.Model == nil {
		return nil
	}
	span := s.Model.Span()
	return &span
}

// stickWords say what the stick does.
func (s *Session) stickWords() string {
	return report.StickWords(spanOf(&s.moved.stick), s.moved.stick.Assumed).Text(s.reader)
}
