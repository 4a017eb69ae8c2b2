package radio

import (
	"fmt"
	"math"
	"slices"
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
	// Screen is what the transmitter shows.
	Screen rig.Screen
	// Endpoint, Subtrim and Trim are per unit that the transmitter shows. Of a servo that turns
	// further one way than the other they are the mean of both ways; Step says how far a step goes.
	Endpoint, Subtrim, Trim Scale
	// Pulse is per microsecond. It may be unknown.
	Pulse Scale
	// Ways are how much further than that mean the servo turns counter-clockwise and clockwise of
	// neutral, as a ratio; not Given where the readings do not tell both ways apart.
	Ways [2]rig.Quantity
	// Misfits are the readings that are off the lines by more than their ±.
	Misfits []Misfit
	// WayAssumed says that no reading told which way pulses go for left stick, and that longer ones
	// were taken.
	WayAssumed bool
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
	// usual is the endpoint where settings state none; 0 is that of percent.
	usual float64
	// ReadReversed says that the channel was reversed when the readings were taken.
	ReadReversed bool
}

// Misfit is a reading that does not fit the line through the others.
type Misfit struct {
	// Number is the reading's, from 1.
	Number int
	// Off is how far off it is, in radians, or in µs where Pulse.
	Off   float64
	Pulse bool
}

// Step returns how far a step of a control turns the servo on the side of neutral where angle is.
func (c Calibration) Step(of Scale, angle float64) rig.Quantity {
	q := of.PerUnit
	if way := c.Ways[rotation(angle)]; way.Given {
		q.Uncertainty = max(math.Abs(q.Value)*way.Uncertainty, q.Uncertainty*way.Value)
		q.Value *= way.Value
	}
	return q
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
// without readings takes the endpoint's scale, and says so. A transmitter that shows
// µs needs no settings: pulses are settings, counted from neutral.
//
// Readings on both sides of neutral give each side its own slope, with the centre where
// both lines meet. Where a side has but one setting, and none is at zero, they do so where
// they differ by more than a protractor may be off.
//
// Errors: [*ReadingError] for a reading that cannot be used, [*VagueScaleError]
// for readings too close to tell the sign, [*SettingError] for a range or a trim
// kind that cannot be, and [*MissingReadingError] if a scale is not fixed; then
// the Calibration still holds what could be known.
func Calibrate(tx rig.Transmitter, servo rig.Servo, reversed bool) (Calibration, error) {
	c := Calibration{Screen: tx.Screen(), usual: tx.UsualEndpoint(), Neutral: tx.Neutral, ReadReversed: reversed, Travel: servo.Travel.Quantity}
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
	uneven := points.straighten(&c)
	fit := func(control string, p pairs, zero float64) line {
		f := fitLine(p)
		if s := uneven[control]; s != nil {
			f.take(s, zero)
		}
		c.misfits(f, p, zero)
		return f
	}
	var servoLine *line
	if distinct(points.pulse.x) >= 2 {
		f := fit(controlPulse, points.pulse, c.Neutral)
		servoLine = &f
		c.Pulse = scaleOf(f, 0, c.Neutral)
	}
	var missing error
	for _, k := range []struct {
		name  string
		scale *Scale
	}{{controlEndpoint, &c.Endpoint}, {controlSubtrim, &c.Subtrim}, {controlTrim, &c.Trim}} {
		byAngle, byPulse := points.angle[k.name], points.output[k.name]
		c.pulseMisfits(byPulse)
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
			f := fit(k.name, byAngle, 0)
			*k.scale = scaleOf(f, 0, 0)
			if !c.Pulse.PerUnit.Given && distinct(byPulse.x) >= 2 {
				c.Pulse = pulseScale(f, fitLine(byPulse), c.Neutral)
			}
		case distinct(byPulse.x) >= 2 && servoLine != nil:
			*k.scale = chainScale(fitLine(byPulse), *servoLine)
		case c.Screen == rig.Microseconds && servoLine != nil:
			way := points.way(*servoLine, c.Neutral)
			c.WayAssumed = c.WayAssumed || way == 0
			*k.scale = scaleOf(*servoLine, 0, c.Neutral)
			if way < 0 {
				k.scale.PerUnit.Value *= -1
			}
		default:
			if missing == nil {
				missing = missingReading(k.name, byAngle, byPulse, servoLine != nil)
			}
			continue
		}
	}
	slices.SortStableFunc(c.Misfits, func(a, b Misfit) int { return a.Number - b.Number })
	c.Misfits = slices.CompactFunc(c.Misfits, func(a, b Misfit) bool { return a.Number == b.Number && a.Pulse == b.Pulse })
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

// What a reading may be off by where it states no ±: half a degree is what one tells on a
// protractor. Pulses state none, and are read to 1 µs.
const (
	angleWithin = math.Pi / 360
	pulseWithin = 2
)

// misfits finds the readings that are off a line by more than their ±.
func (c *Calibration) misfits(f line, p pairs, zero float64) {
	centre, _ := f.at(zero)
	for i, y := range p.y {
		at, _ := f.at(p.x[i])
		// Both are as of an even servo.
		ratio := c.way(y - centre)
		within := 2 * p.u[i] * ratio
		if within == 0 {
			within = angleWithin
		}
		if off := (y - at) * ratio; math.Abs(off) > within*(1+whole) {
			c.Misfits = append(c.Misfits, Misfit{Number: p.number[i], Off: off})
		}
	}
}

// pulseMisfits finds the pulses that are off the transmitter's line.
func (c *Calibration) pulseMisfits(p pairs) {
	if distinct(p.x) < 2 {
		return
	}
	f := fitLine(p)
	for i, y := range p.y {
		at, _ := f.at(p.x[i])
		if off := y - at; math.Abs(off) > pulseWithin {
			c.Misfits = append(c.Misfits, Misfit{Number: p.number[i], Off: off, Pulse: true})
		}
	}
}

// way is how much further than the mean the servo turns on the side of an angle.
func (c *Calibration) way(angle float64) float64 {
	if way := c.Ways[rotation(angle)]; way.Given {
		return way.Value
	}
	return 1
}

// rotation is the index of the way that an angle goes from neutral.
func rotation(angle float64) int {
	if angle < 0 {
		return 1
	}
	return 0
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
			s.angle[control] = s.angle[control].with(i+1, *r.Setting, r.Angle.Value, u)
			used = true
		}
		if r.Setting != nil && r.Pulse != nil {
			s.output[control] = s.output[control].with(i+1, *r.Setting, *r.Pulse, 0)
			used = true
		}
		if r.Pulse != nil && r.Angle.Given {
			s.pulse = s.pulse.with(i+1, *r.Pulse, r.Angle.Value, u)
			used = true
		}
		if !used {
			return fail("it says too little", "give two of setting, pulse and angle")
		}
	}
	return s, nil
}

// straighten finds out whether the servo is uneven, by the endpoint's readings or by those of
// pulses, and makes all angles those that an even one would show. It returns the lines that told, by
// the control that they are of.
func (s *sorted) straighten(c *Calibration) map[string]*sides {
	for _, of := range []struct {
		control string
		p       pairs
		zero    float64
	}{{controlEndpoint, s.angle[controlEndpoint], 0}, {controlPulse, s.pulse, c.Neutral}} {
		both, ok := fitSides(of.p, of.zero)
		if !ok {
			continue
		}
		for i, slope := range both.slope {
			way := &c.Ways[i]
			if both.mean < 0 {
				way = &c.Ways[1-i]
			}
			*way = rig.Quantity{Value: slope / both.mean, Uncertainty: math.Abs(half(both.slopeVariance[i]) / both.mean), Given: true}
		}
		even := func(p pairs) {
			for i := range p.y {
				ratio := c.way(p.y[i] - both.centre)
				p.y[i] = both.centre + (p.y[i]-both.centre)/ratio
				p.u[i] /= ratio
			}
		}
		for _, p := range s.angle {
			even(p)
		}
		even(s.pulse)
		return map[string]*sides{of.control: &both}
	}
	return nil
}

// way is 1 where left stick makes longer pulses, -1 where shorter, and 0 where no reading says it.
func (s *sorted) way(servo line, neutral float64) float64 {
	p := s.output[controlEndpoint]
	for i, x := range p.x {
		if p := x * (p.y[i] - neutral); p != 0 {
			return math.Copysign(1, p)
		}
	}
	p = s.angle[controlEndpoint]
	centre, _ := servo.at(neutral)
	for i, x := range p.x {
		if p := x * (p.y[i] - centre) * servo.slope; p != 0 {
			return math.Copysign(1, p)
		}
	}
	return 0
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

func missingReading(control string, byAngle, byPulse pairs, servo bool) error {
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
	case servo && len(byPulse.x)+len(byAngle.x) == 0:
		return with("what the servo makes of a pulse is known, but not the pulse that a setting makes",
			fmt.Sprintf("at two %s settings, %s, read the pulse, and add the two readings with setting and pulse; a screen that shows µs needs none, only transmitter.shows = \"µs\"", control, how))
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
	return c.Neutral + angle/c.way(angle)/c.Pulse.PerUnit.Value, true
}
