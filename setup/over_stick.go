package setup

import (
	"errors"

	"evenlock/linkage"
	"evenlock/steer"
)

// StickSample is how a rig steers at one stick position.
type StickSample struct {
	// Stick is from -1, full right, to 1, full left.
	Stick float64
	// Sample is how it steers there. Its uncertainties, but not those of its rates, hold that of
	// the servo angle as well.
	steer.Sample
	// Response is how the path's curvature changes per full stick, in 1/mm, and ResponseUncertain
	// its 95 % half-width.
	Response, ResponseUncertain float64
	// Reached is false where the linkage does not reach; then only Stick and Servo say anything.
	Reached bool
}

// OverStick samples a model at n stick positions from full right to full left, n odd and 3 at
// least. The errors are those of steer.Model.Sweep, but for positions that the linkage does not
// reach.
func OverStick(m *steer.Model, stick *Stick, n int) ([]StickSample, error) {
	all := make([]StickSample, n)
	for i := range all {
		s := &all[i]
		s.Stick = StickAt(i, n)
		servo, slope := stick.At(s.Stick)
		s.Servo = servo
		samples, err := m.Sweep(servo, servo, 1)
		var limit *linkage.LimitError
		if errors.As(err, &limit) {
			continue
		}
		if err != nil {
			return nil, err
		}
		s.Sample, s.Reached = samples[0], true
		spread := stick.Uncertainty(s.Stick)
		for q := range s.Uncertain {
			s.Uncertain[q] = steer.RootOfSquares(s.Uncertain[q], s.Rates[q]*spread)
		}
		s.Response, s.ResponseUncertain = s.Rates[steer.Curvature]*slope, max(slope, -slope)*s.RatesUncertain[steer.Curvature]
	}
	return all, nil
}

// StickAt is the i-th of n stick positions from full right to full left.
func StickAt(i, n int) float64 { return float64(2*i-n+1) / float64(n-1) }

// StickPair is one stick position to both sides of the vehicle.
type StickPair struct {
	// Stick is how far from centre, 0 to 1.
	Stick float64
	// Left is where it steers to the left, Right to the right.
	Left, Right StickSample
}

// Fold lays the left over the right: pairs of equal stick, from centre outward. There must be an
// odd number of samples.
func Fold(samples []StickSample) []StickPair {
	middle, last := len(samples)/2, len(samples)-1
	outward := 1
	if samples[last].Values[steer.Curvature] < samples[0].Values[steer.Curvature] {
		outward = -1 // left stick steers to the right
	}
	pairs := make([]StickPair, middle+1)
	for i := range pairs {
		pairs[i] = StickPair{samples[middle+i].Stick, samples[middle+outward*i], samples[middle-outward*i]}
	}
	return pairs
}
