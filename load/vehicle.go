package load

import (
	"errors"
	"fmt"
	"math"
)

// Vehicle is the weight of a vehicle and where it is.
type Vehicle struct {
	// Mass in kg, ready to drive.
	Mass float64
	// FrontShare is the part of the weight on the front axle on level ground, 0 to 1.
	FrontShare float64
	// Height of the centre of gravity above the ground, Wheelbase and Track, in mm.
	Height, Wheelbase, Track float64
}

// WheelLoads are the forces in N of the ground on each wheel, square to it: by side, of the axle in
// front and the one behind it.
type WheelLoads [2][2]float64

var (
	// ErrVehicle reports a vehicle that cannot be.
	ErrVehicle = errors.New("impossible vehicle")
	// ErrTips is what each TipError is.
	ErrTips = errors.New("it would tip over")
)

// TipError reports a vehicle that would tip over where it stands, and what keeps it from that. It
// is an ErrTips.
type TipError struct{ Problem, Remedy string }

func (e *TipError) Error() string { return e.Problem + "; " + e.Remedy }

// Is reports whether target is ErrTips.
func (e *TipError) Is(target error) bool { return target == ErrTips }

// WheelLoads returns how the weight lies on the wheels of a vehicle that stands on a slope, nose up
// positive, and tilted to the side, right side down positive (ISO 8855 pitch has the other sign,
// roll this one), in radians.
//
// Statics of a rigid body: with N the weight's part square to the ground,
//
//	front axle  = N share - W sin slope · height/wheelbase
//	right wheel = axle (1/2 + tan tilt · height/track)
//
// Four wheels leave one load undecided; the axles are taken to share the tilt as they share the
// weight, which is so if each holds its own part of the side force. With a stiff and uneven
// suspension or ground, one wheel can carry its axle's whole load.
//
// The error is a *TipError, or wraps ErrVehicle.
func (v *Vehicle) WheelLoads(slope, tilt float64) (WheelLoads, error) {
	if !(v.Mass > 0 && v.Height >= 0 && v.Wheelbase > 0 && v.Track > 0 && v.FrontShare >= 0 && v.FrontShare <= 1) ||
		math.IsInf(v.Mass+v.Height+v.Wheelbase+v.Track, 0) {
		return WheelLoads{}, fmt.Errorf("load: %w: mass, wheelbase and track must be more than zero, the centre of gravity not below ground, the front axle's share between 0 and 1", ErrVehicle)
	}
	if !(math.Abs(slope) < math.Pi/2 && math.Abs(tilt) < math.Pi/2) {
		return WheelLoads{}, &TipError{"it would tip over", "slope and tilt must be less than 90°"}
	}
	w := v.Mass * StandardGravity
	normal := w * math.Cos(slope) * math.Cos(tilt)
	front := normal*v.FrontShare - w*math.Sin(slope)*v.Height/v.Wheelbase
	rear := normal - front
	switch {
	case front < 0:
		return WheelLoads{}, &TipError{"it would tip over backwards", "less slope, or more weight forward and low"}
	case rear < 0:
		return WheelLoads{}, &TipError{"it would tip over forwards", "less slope, or more weight to the rear and low"}
	}
	right := 0.5 + math.Tan(tilt)*v.Height/v.Track
	if right < 0 || right > 1 {
		edge := math.Atan(v.Track/(2*v.Height)) * 180 / math.Pi
		return WheelLoads{}, &TipError{fmt.Sprintf("it would tip over sideways, from %.0f° on", edge), "less tilt, a wider track or lower weight"}
	}
	return WheelLoads{{front * (1 - right), front * right}, {rear * (1 - right), rear * right}}, nil
}
