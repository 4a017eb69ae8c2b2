package engine

import (
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/setup"
	"evenlock/steer"
)

// Bounds on the number of stick positions.
const (
	fewestPoints = 3
	mostPoints   = 401
)

// Curves says how the rig steers over the stick, at n stick positions from full right to full left.
// n is brought to an odd number from 3 to 401.
func (s *Session) Curves(n int) (*document.Document, error) {
	m, err := s.model()
	if err != nil {
		return nil, err
	}
	full, err := setup.ToFullStick(m)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	samples, err := setup.OverStick(m, &full.Stick, max(fewestPoints, min(mostPoints, n))|1)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	return report.Curves(full, samples), nil
}

// curvePoints is how many stick positions the moving curves have.
const curvePoints = 21

// movingCurves are the curves without their uncertainties, which cost time.
func (m *moved) movingCurves(r document.Reader) []report.Numbers {
	samples := make([]setup.StickSample, curvePoints)
	_, _ = m.pose(m.model.Centre(), steer.WheelTravel{})
	for i := range samples {
		at := &samples[i]
		at.Stick = setup.StickAt(i, curvePoints)
		servo, slope := m.stick.At(at.Stick)
		at.Servo = servo
		if m.state.Turn(servo) != nil {
			continue
		}
		at.Reached = true
		at.Values, at.Rates = m.state.ValuesAndRates()
		at.Response = at.Rates[steer.Curvature] * slope
	}
	return report.CurveNumbers(m.model, samples, r)
}
