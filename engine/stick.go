package engine

import (
	"math"

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

func stickWords(s *setup.Stick) string {
	if s.Model == nil {
		return "Full stick is taken as " + rounded(math.Abs(s.Assumed)/degree, 0) + "° of servo each way until two readings of the servo say what it is."
	}
	return "The stick moves the servo as read at the bench."
}
