package radio

import (
	"fmt"
	"math"
	"strconv"
)

// ReadingError reports a reading that cannot be used.
type ReadingError struct {
	// Number of the reading in the rig file, counted from 1.
	Number int
	// Problem says what is wrong, Remedy what to do.
	Problem, Remedy string
}

func (e *ReadingError) Error() string {
	return fmt.Sprintf("transmitter.reading.%d: %s; %s", e.Number, e.Problem, e.Remedy)
}

// MissingReadingError reports that the readings do not fix a scale.
type MissingReadingError struct {
	// Control is "endpoint", "subtrim" or "trim".
	Control string
	// Problem says which reading is missing, Remedy how to take it.
	Problem, Remedy string
}

func (e *MissingReadingError) Error() string {
	return fmt.Sprintf("transmitter.reading: for the %s, %s; %s", e.Control, e.Problem, e.Remedy)
}

// VagueScaleError reports readings whose scale is no larger than its
// uncertainty, so that they do not even tell which way the servo turns.
type VagueScaleError struct {
	// Control is "endpoint", "subtrim", "trim" or "pulse".
	Control string
	// PerUnit and Uncertainty are in radians per unit of the setting.
	PerUnit, Uncertainty float64
}

func (e *VagueScaleError) Error() string {
	return fmt.Sprintf("transmitter.reading: for the %s, the readings give %.3g° ± %.2g° a unit, which does not tell which way the servo turns; take them further apart",
		e.Control, degrees(e.PerUnit), degrees(e.Uncertainty))
}

// SettingError reports a setting that the transmitter or the model cannot have.
type SettingError struct {
	// Key is the setting's name in the rig file, such as "expo".
	Key string
	// Value is what was given.
	Value string
	// Problem says what is wrong, Remedy what to do.
	Problem, Remedy string
}

func (e *SettingError) Error() string {
	return fmt.Sprintf("settings.%s = %s: %s; %s", e.Key, e.Value, e.Problem, e.Remedy)
}

// RangeError reports a wanted servo angle that no value of a setting reaches.
type RangeError struct {
	// Control is "subtrim", "endpoint_left" or "endpoint_right".
	Control string
	// Needed is the setting that the angle would take, Used the nearest that the
	// transmitter has, both as its screen shows them.
	Needed, Used float64
	// Wanted and Reached are servo angles in radians: asked for, and got with Used.
	Wanted, Reached float64
	// Clip tells what holds the servo back, if it is not the setting's own range.
	Clip Clip
}

func (e *RangeError) Error() string {
	limit := "the setting's own range"
	if e.Clip != ClipNone {
		limit = e.Clip.String()
	}
	return fmt.Sprintf("%s: a servo angle of %s would take %.1f; %s ends at %s with %g, %.1f° short; move the horn on its spline or change the link",
		e.Control, turn(e.Wanted), e.Needed, limit, turn(e.Reached), e.Used, math.Abs(degrees(e.Wanted-e.Reached)))
}

// ReachError reports a wanted servo angle that no stick position reaches.
type ReachError struct {
	// Wanted is the servo angle asked for, Reached the nearest one, in radians.
	Wanted, Reached float64
	// Stick is the position that gives Reached.
	Stick float64
}

func (e *ReachError) Error() string {
	return fmt.Sprintf("no stick position turns the servo to %s; the nearest is %s; widen the endpoint on that side or move the subtrim",
		turn(e.Wanted), turn(e.Reached))
}

// CurvatureError reports that a function handed to [FitExpo] or [FitCurve] cannot
// be shaped.
type CurvatureError struct {
	// Angle is the servo angle at which it was noticed, in radians.
	Angle float64
	// Problem says what is wrong.
	Problem string
}

func (e *CurvatureError) Error() string {
	return fmt.Sprintf("curvature at a servo angle of %s: %s; bring the endpoints in", turn(e.Angle), e.Problem)
}

// SplineError reports a spline or horn that cannot exist.
type SplineError struct {
	// Teeth and Arms are the counts given.
	Teeth, Arms int
}

func (e *SplineError) Error() string {
	return fmt.Sprintf("a spline of %d teeth with a horn of %d arms: both counts must be at least 1; count the teeth on the servo's output shaft",
		e.Teeth, e.Arms)
}

func badNumber(key string, value float64, problem, remedy string) error {
	return &SettingError{key, strconv.FormatFloat(value, 'g', -1, 64), problem, remedy}
}

func degrees(radians float64) float64 { return radians * 180 / math.Pi }

func turn(angle float64) string {
	d := degrees(angle)
	switch {
	case math.Abs(d) < 0.05:
		return "0.0°"
	case d < 0:
		return fmt.Sprintf("%.1f° clockwise", -d)
	default:
		return fmt.Sprintf("%.1f° counter-clockwise", d)
	}
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
