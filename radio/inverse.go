package radio

import (
	"math"

	"evenlock/rig"
	"evenlock/vehicle"
)

// StickFor returns the stick position that turns the servo to an angle in
// radians; of several, the one nearest centre. It returns a [*ReachError], with
// the stick that comes nearest, if there is none.
func (m *Model) StickFor(angle float64) (float64, error) {
	best, found := 0.0, false
	even := m.even(angle)
	if _, clip := m.hold(even); clip == ClipNone && finite(angle) {
		for s, sign := range [2]float64{-1, 1} {
			x, ok := m.stickOnSide(s, sign, even)
			if ok && (!found || math.Abs(x) < math.Abs(best)) {
				best, found = x, true
			}
		}
	}
	if found {
		return best, nil
	}
	e := &ReachError{Wanted: angle, Reached: m.Angle(0)}
	m.corners(func(stick float64) {
		if a := m.Angle(stick); math.Abs(a-angle) < math.Abs(e.Reached-angle) {
			e.Reached, e.Stick = a, stick
		}
	})
	return e.Stick, e
}

// stickOnSide undoes the stages one by one, for sticks on one side.
func (m *Model) stickOnSide(s int, sign, even float64) (float64, bool) {
	raw := (even - m.offset[s]) / m.gain[s]
	out := raw / m.left
	if out < 0 {
		out = raw / m.right
	}
	// Rounding must not put a full-stick angle out of reach.
	const slack = 1e-12
	n := len(m.curve) - 1
	best, found := 0.0, false
	for i := range n {
		from, to := m.curve[i], m.curve[i+1]
		if out < min(from, to)-slack || out > max(from, to)+slack {
			continue
		}
		low, high := 2*float64(i)/float64(n)-1, 2*float64(i+1)/float64(n)-1
		if sign > 0 {
			low = max(low, 0)
		} else {
			high = min(high, 0)
		}
		if low > high {
			continue
		}
		y := max(low, min(high, 0)) // a level piece: its point nearest centre
		if from != to {
			y = 2*(float64(i)+(out-from)/(to-from))/float64(n) - 1
		}
		if y < low-slack || y > high+slack {
			continue
		}
		y = max(low, min(high, y))
		if !found || math.Abs(y) < math.Abs(best) {
			best, found = y, true
		}
	}
	if !found {
		return 0, false
	}
	return m.unbend(best), true
}

// unbend is the stick nearest centre at which bend gives y: Newton's method kept
// within the shrinking interval that holds the root.
func (m *Model) unbend(y float64) float64 {
	if m.expo == 0 || y == 0 || math.Abs(y) == 1 && m.expo >= -0.5 {
		return y
	}
	low, high := 0.0, 1.0
	if m.expo < -0.5 {
		high = fullAt(m.expo)
	}
	want := math.Abs(y)
	x := want * high
	for range 100 {
		f := x + m.expo*x*(x*x-1) - want
		if f == 0 {
			break
		}
		if f > 0 {
			high = x
		} else {
			low = x
		}
		next := x - f/(1-m.expo+3*m.expo*x*x)
		if !(next > low && next < high) {
			next = low + (high-low)/2
		}
		if next == x {
			break
		}
		x = next
	}
	return math.Copysign(x, y)
}

// corners visits the stick positions among which the least and the greatest servo
// angle lie: centre, full stick, and the curve's points.
func (m *Model) corners(visit func(stick float64)) {
	visit(0)
	for i := range m.curve {
		visit(m.unbend(2*float64(i)/float64(len(m.curve)-1) - 1))
	}
}

// Reach returns the least and the greatest servo angle in radians that any stick
// with any trim the transmitter has gives. Where the trim's range is unknown it is
// the trim that is set. A trim of unclear kind counts as moving the whole range,
// to be on the safe side. Errors are those of [NewModel].
func (c Calibration) Reach(settings rig.Settings) (low, high float64, err error) {
	trims := []float64{settings.Trim}
	if c.TrimKind != TrimCentre && c.MaxTrim > 0 {
		c.TrimKind = TrimWhole
		trims = []float64{-c.MaxTrim, c.MaxTrim}
	}
	low, high = math.Inf(1), math.Inf(-1)
	for _, t := range trims {
		settings.Trim = t
		m, err := NewModel(c, settings)
		if err != nil {
			return 0, 0, err
		}
		m.corners(func(stick float64) {
			a := m.Angle(stick)
			low, high = min(low, a), max(high, a)
		})
	}
	return low, high, nil
}

// Rounding says how a setting is brought to a whole step.
type Rounding int

const (
	// RoundNearest takes the step that comes nearest the wanted angle.
	RoundNearest Rounding = iota
	// RoundShort takes the widest step that does not pass the wanted angle, for an
	// angle that is a limit.
	RoundShort
)

// Setting is a found setting.
type Setting struct {
	// Value is the whole number to set, as the transmitter shows it.
	Value float64
	// Exact is the setting before it was rounded.
	Exact float64
	// Angle is the servo angle that Value gives, in radians.
	Angle float64
	// Residual is the wanted angle less Angle, in radians.
	Residual float64
	// Uncertainty is the 95 % half-width of Angle from the calibration, in radians.
	Uncertainty float64
}

// SubtrimFor returns the subtrim that holds the servo at an angle in radians with
// the stick at centre, the other settings being as given (their own subtrim is
// not used).
//
// It returns a [*RangeError] along with the nearest setting if the transmitter or
// the servo does not go that far, and the errors of [NewModel].
func (c Calibration) SubtrimFor(settings rig.Settings, angle float64) (Setting, error) {
	settings.Subtrim = 0
	m, err := NewModel(c, settings)
	if err != nil {
		return Setting{}, err
	}
	if !c.Subtrim.PerUnit.Given || c.Subtrim.PerUnit.Value == 0 {
		return Setting{}, missingReading(controlSubtrim, pairs{}, pairs{}, false)
	}
	perUnit := c.Subtrim.PerUnit.Value
	if settings.Reverse != c.ReadReversed {
		perUnit = -perUnit
	}
	exact := (m.even(angle) - m.free(0)) / perUnit
	most := math.Floor(limit(c.MaxSubtrim))
	used := max(-most, min(most, math.Round(exact)))
	settings.Subtrim = used
	return c.found(controlSubtrim, settings, 0, angle, exact, used, math.Abs(perUnit))
}

// minEndpoint is the least endpoint that settings can say: zero means left out.
const minEndpoint = 1

// whole is how far rounding may leave a whole number short of itself.
const whole = 1e-9

// EndpointFor returns the endpoint that holds the servo at an angle in radians
// with the stick full over to one side, the other settings being as given (their
// own endpoint on that side is not used). Set the subtrim first.
//
// It returns a [*RangeError] along with the nearest setting if the transmitter or
// the servo does not go that far, or if the angle is on the other side of where
// the range begins; a [*SettingError] if the curve does not go to that side at
// full stick; and the errors of [NewModel].
func (c Calibration) EndpointFor(settings rig.Settings, side vehicle.Side, angle float64, round Rounding) (Setting, error) {
	key, endpoint := "endpoint_"+side.String(), settings.Endpoint(side)
	*endpoint = 100
	if c.MaxEndpoint > 0 {
		*endpoint = min(100, c.MaxEndpoint)
	}
	trial := *endpoint
	// A trim that moves only the centre leaves the ends, whatever the endpoint.
	untrimmed := settings
	if c.TrimKind != TrimWhole {
		untrimmed.Trim = 0
	}
	m, err := NewModel(c, untrimmed)
	if err != nil {
		return Setting{}, err
	}
	stick := side.Sign()
	if m.shape(stick)*stick <= 0 {
		return Setting{}, badNumber("curve", 100*m.shape(stick), "at full stick the curve does not go to that side",
			"bring the curve's end back towards ±100")
	}
	perUnit := m.raw(stick) / trial
	exact := (m.even(angle) - m.free(stick) + m.raw(stick)) / perUnit
	used := math.Round(exact)
	if round == RoundShort {
		used = math.Floor(exact + whole)
	}
	used = max(minEndpoint, min(math.Floor(limit(c.MaxEndpoint)), used))
	*endpoint = used
	s, err := c.found(key, settings, stick, angle, exact, used, math.Abs(perUnit))
	if err == nil {
		// Within a step of the end of a range, rounding would hide that the range ends first.
		if _, clip := m.hold(m.even(angle)); clip != ClipNone {
			err = &RangeError{key, exact, used, angle, s.Angle, clip}
		} else if round == RoundShort && used > exact+whole {
			err = &RangeError{key, exact, used, angle, s.Angle, ClipNone}
		}
	}
	return s, err
}

// found reports what a setting gives. A residual beyond one step means that the
// range ended first.
func (c Calibration) found(key string, settings rig.Settings, stick, angle, exact, used, perUnit float64) (Setting, error) {
	m, err := NewModel(c, settings)
	if err != nil {
		return Setting{}, err
	}
	out := m.At(stick)
	s := Setting{Value: used, Exact: exact, Angle: out.Angle, Residual: angle - out.Angle, Uncertainty: m.Uncertainty(stick)}
	if !(math.Abs(m.even(angle)-m.even(out.Angle)) <= perUnit*(1+whole)) {
		return s, &RangeError{key, exact, used, angle, out.Angle, out.Clip}
	}
	return s, nil
}
