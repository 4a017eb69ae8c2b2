package radio

import (
	"fmt"
	"math"
	"strconv"

	"evenlock/rig"
)

// The names of the controls that a reading can be of, as the rig file has them.
const (
	controlEndpoint = "endpoint"
	controlSubtrim  = "subtrim"
	controlTrim     = "trim"
	controlPulse    = "pulse"
)

// Scale is how far one control moves the servo.
type Scale struct {
	// PerUnit is in radians of servo angle per unit that the transmitter shows
	// (per microsecond for the pulse). Its sign says which way the servo turns for
	// a positive setting, counter-clockwise positive when one looks at the horn's
	// face. Given is false if it is not known.
	PerUnit rig.Quantity
	// Offset is the servo angle in radians that the readings give at a setting of
	// zero (at the neutral pulse for the pulse). A servo angle is counted from
	// neutral, so an offset beyond its uncertainty says that the protractor's zero,
	// or the stated neutral pulse, is off. The model does not add it.
	Offset rig.Quantity
	// Readings is the number of readings that fixed the scale.
	Readings int
	// Assumed says that there were no readings of this control and that the
	// endpoint's scale was taken for it. Test it before trusting it.
	Assumed bool
}

// Calibration is what the readings say of one transmitter with one servo.
type Calibration struct {
	// Endpoint, Subtrim and Trim are per unit that the transmitter shows.
	Endpoint, Subtrim, Trim Scale
	// Pulse is per microsecond. It may be unknown.
	Pulse Scale
	// Neutral is the pulse at a servo angle of zero, in microseconds.
	Neutral float64
	// MaxEndpoint, MaxSubtrim and MaxTrim are the transmitter's ranges as it shows
	// them, each either way; 0 if unknown.
	MaxEndpoint, MaxSubtrim, MaxTrim float64
	// TrimKind is what the trim moves; [TrimUnclear] if it was not stated.
	TrimKind TrimKind
	// Travel is the servo's own limit each way from neutral in radians; Given is
	// false if unknown.
	Travel rig.Quantity
	// ReadReversed says that the channel was reversed when the readings were taken.
	ReadReversed bool
}

// DefaultNeutral is the neutral pulse in microseconds where the rig file states
// none (common practice).
const DefaultNeutral = 1500

// Calibrate finds the scales from the readings in tx. reversed says whether the
// channel was reversed when they were taken; [rig.Settings] says so if the
// settings have not changed since.
//
// Two readings of a control at different settings, each with a servo angle, fix
// its scale. So do two with a pulse, if two more readings with pulse and angle
// fix the servo. Where a control has both, the direct one is used. More than two
// are fitted by least squares. Settings and pulses are taken as exact. A control
// without readings takes the endpoint's scale, and says so.
//
// Errors: [*ReadingError] for a reading that cannot be used, [*VagueScaleError]
// for readings too close to tell the sign, [*SettingError] for a range or a trim
// kind that cannot be, and [*MissingReadingError] if a scale is not fixed; then
// the Calibration still holds what could be known.
func Calibrate(tx rig.Transmitter, servo rig.Servo, reversed bool) (Calibration, error) {
	c := Calibration{Neutral: tx.Neutral, ReadReversed: reversed, Travel: servo.Travel.Quantity}
	if c.Neutral == 0 {
		c.Neutral = DefaultNeutral
	}
	if !finite(c.Neutral) || c.Neutral < 0 {
		return c, badNumber("neutral", tx.Neutral, "not a pulse in microseconds", "state the pulse at centre, often 1500 or 1520")
	}
	c.MaxEndpoint, c.MaxSubtrim, c.MaxTrim = tx.MaxEndpoint, tx.MaxSubtrim, tx.MaxTrim
	for _, r := range []struct {
		key   string
		value float64
	}{{"max_endpoint", c.MaxEndpoint}, {"max_subtrim", c.MaxSubtrim}, {"max_trim", c.MaxTrim}} {
		if !finite(r.value) || r.value < 0 {
			return c, badNumber(r.key, r.value, "not a range", "state how far the transmitter goes either way, or leave it out")
		}
	}
	switch tx.Trim {
	case "":
		c.TrimKind = TrimUnclear
	case "centre":
		c.TrimKind = TrimCentre
	case "whole":
		c.TrimKind = TrimWhole
	default:
		return c, &SettingError{"trim", strconv.Quote(tx.Trim), "no kind of trim", `write "centre" or "whole"`}
	}

	points, err := sortReadings(tx.Readings)
	if err != nil {
		return c, err
	}
	var servoLine *line
	if distinct(points.pulse.x) >= 2 {
		f := fitLine(points.pulse.x, points.pulse.y, points.pulse.u)
		servoLine = &f
		c.Pulse = scaleOf(f, 0, c.Neutral)
	}
	var missing error
	for _, k := range []struct {
		name  string
		scale *Scale
	}{{controlEndpoint, &c.Endpoint}, {controlSubtrim, &c.Subtrim}, {controlTrim, &c.Trim}} {
		byAngle, byPulse := points.angle[k.name], points.output[k.name]
		if k.name != controlEndpoint && len(byAngle.x)+len(byPulse.x) == 0 {
			if c.Endpoint.PerUnit.Given {
				*k.scale = c.Endpoint
				k.scale.Offset = rig.Quantity{}
				k.scale.Readings = 0
				k.scale.Assumed = true
			}
			continue
		}
		switch {
		case distinct(byAngle.x) >= 2:
			f := fitLine(byAngle.x, byAngle.y, byAngle.u)
			*k.scale = scaleOf(f, 0, 0)
			if !c.Pulse.PerUnit.Given && distinct(byPulse.x) >= 2 {
				c.Pulse = pulseScale(f, fitLine(byPulse.x, byPulse.y, byPulse.u), c.Neutral)
			}
		case distinct(byPulse.x) >= 2 && servoLine != nil:
			*k.scale = chainScale(fitLine(byPulse.x, byPulse.y, byPulse.u), *servoLine)
		default:
			if missing == nil {
				missing = missingReading(k.name, byAngle, byPulse)
			}
			continue
		}
	}
	for _, k := range []struct {
		name  string
		scale Scale
	}{{controlEndpoint, c.Endpoint}, {controlSubtrim, c.Subtrim}, {controlTrim, c.Trim}, {controlPulse, c.Pulse}} {
		q := k.scale.PerUnit
		if q.Given && (math.Abs(q.Value) <= q.Uncertainty || !finite(q.Value) || !finite(q.Uncertainty)) {
			return c, &VagueScaleError{k.name, q.Value, q.Uncertainty}
		}
	}
	return c, missing
}

// pairs are points to fit a line through; u are standard uncertainties of y.
type pairs struct{ x, y, u []float64 }

func (p pairs) with(x, y, u float64) pairs {
	return pairs{append(p.x, x), append(p.y, y), append(p.u, u)}
}

// sorted holds the readings by what they relate.
type sorted struct {
	angle  map[string]pairs // setting to servo angle, by control
	output map[string]pairs // setting to pulse, by control
	pulse  pairs            // pulse to servo angle
}

func sortReadings(readings []rig.Reading) (sorted, error) {
	s := sorted{angle: map[string]pairs{}, output: map[string]pairs{}}
	for i, r := range readings {
		fail := func(problem, remedy string) (sorted, error) {
			return sorted{}, &ReadingError{i + 1, problem, remedy}
		}
		control := r.Control
		if control == "" {
			control = controlEndpoint
		}
		if control != controlEndpoint && control != controlSubtrim && control != controlTrim {
			return fail(fmt.Sprintf("%q is no control", control), "write endpoint, subtrim or trim")
		}
		if r.Setting != nil && !finite(*r.Setting) || r.Pulse != nil && !finite(*r.Pulse) ||
			r.Angle.Given && !(finite(r.Angle.Value) && finite(r.Angle.Uncertainty) && r.Angle.Uncertainty >= 0) {
			return fail("a number in it is not finite, or an uncertainty is negative", "correct it")
		}
		u := r.Angle.Uncertainty / 2
		used := false
		if r.Setting != nil && r.Angle.Given {
			s.angle[control] = s.angle[control].with(*r.Setting, r.Angle.Value, u)
			used = true
		}
		if r.Setting != nil && r.Pulse != nil {
			s.output[control] = s.output[control].with(*r.Setting, *r.Pulse, 0)
			used = true
		}
		if r.Pulse != nil && r.Angle.Given {
			s.pulse = s.pulse.with(*r.Pulse, r.Angle.Value, u)
			used = true
		}
		if !used {
			return fail("it says too little", "give two of setting, pulse and angle")
		}
	}
	return s, nil
}

// scaleOf returns the scale of a line from a setting to the servo angle, with the
// offset taken at the setting zero.
func scaleOf(f line, extraSlopeVariance, zero float64) Scale {
	offset, variance := f.at(zero)
	return Scale{
		PerUnit:  rig.Quantity{Value: f.slope, Uncertainty: half(f.slopeVariance + extraSlopeVariance), Given: true},
		Offset:   rig.Quantity{Value: offset, Uncertainty: half(variance), Given: true},
		Readings: len(f.x),
	}
}

// chainScale joins setting → pulse with pulse → servo angle.
func chainScale(output, servo line) Scale {
	pulse0, pulseVariance := output.at(0)
	offset, variance := servo.at(pulse0)
	variance += servo.slope * servo.slope * pulseVariance
	slopeVariance := output.slope*output.slope*servo.slopeVariance + servo.slope*servo.slope*output.slopeVariance
	return Scale{
		PerUnit:  rig.Quantity{Value: output.slope * servo.slope, Uncertainty: half(slopeVariance), Given: true},
		Offset:   rig.Quantity{Value: offset, Uncertainty: half(variance), Given: true},
		Readings: len(output.x) + len(servo.x),
	}
}

// pulseScale is what setting → servo angle and setting → pulse say of
// pulse → servo angle. An output that does not change says nothing.
func pulseScale(angle, output line, neutral float64) Scale {
	if output.slope == 0 {
		return Scale{}
	}
	slope := angle.slope / output.slope
	pulse0, pulseVariance := output.at(0)
	offset, variance := angle.at((neutral - pulse0) / output.slope)
	variance += slope * slope * pulseVariance
	slopeVariance := (angle.slopeVariance + slope*slope*output.slopeVariance) / (output.slope * output.slope)
	return Scale{
		PerUnit:  rig.Quantity{Value: slope, Uncertainty: half(slopeVariance), Given: true},
		Offset:   rig.Quantity{Value: offset, Uncertainty: half(variance), Given: true},
		Readings: len(angle.x) + len(output.x),
	}
}

func missingReading(control string, byAngle, byPulse pairs) error {
	how := "stick held full over"
	if control != controlEndpoint {
		how = "stick at centre"
	}
	with := func(problem, remedy string) error {
		return &MissingReadingError{control, problem, remedy}
	}
	switch {
	case distinct(byPulse.x) >= 2:
		return with("its pulses are known, but not what the servo makes of a pulse",
			"read the servo's angle at two pulses, such as neutral and one end, and add the two readings with pulse and angle")
	case len(byAngle.x) > 0 && distinct(byAngle.x) == 1:
		return with(fmt.Sprintf("only one setting, %g, has a servo angle, and a line takes two", byAngle.x[0]),
			fmt.Sprintf("set another %s, horn off the link, %s, and read the servo's angle from neutral", control, how))
	default:
		return with("no two readings tell how far it moves the servo",
			fmt.Sprintf("at two %s settings, horn off the link, %s, read the servo's angle from neutral; for full stick to the right write the setting as negative", control, how))
	}
}

// PulseAt returns the pulse in microseconds that holds the servo at an angle in
// radians. It is false if no reading has told what the servo makes of a pulse.
func (c Calibration) PulseAt(angle float64) (float64, bool) {
	if !c.Pulse.PerUnit.Given {
		return 0, false
	}
	return c.Neutral + angle/c.Pulse.PerUnit.Value, true
}
