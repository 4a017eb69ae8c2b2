package radio

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"evenlock/rig"
	"evenlock/vehicle"
)

// Clip tells what holds the servo short of what the settings ask for.
type Clip int

const (
	// ClipNone means that nothing does.
	ClipNone Clip = iota
	// ClipTransmitter is the transmitter's greatest endpoint.
	ClipTransmitter
	// ClipServo is the servo's own travel.
	ClipServo
)

// String returns the clip in words.
func (c Clip) String() string {
	switch c {
	case ClipTransmitter:
		return "the transmitter's greatest endpoint"
	case ClipServo:
		return "the servo's own travel"
	default:
		return "nothing"
	}
}

// Output is what the model makes of one stick position.
type Output struct {
	// Angle of the servo in radians.
	Angle float64
	// RateRight and RateLeft are d(angle)/d(stick) in radians per full stick, to
	// the right and to the left of the position. They differ where the map has a
	// corner: at centre and at a curve point. At full stick both are the rate on the
	// inside. Both are zero where the servo is held short, and not yet at the
	// position where that begins.
	RateRight, RateLeft float64
	// Clip tells whether the servo is held short.
	Clip Clip
}

// Span is the servo angle in radians at full right, centre and full left stick.
type Span struct{ Right, Centre, Left float64 }

// To returns the angle at full stick to a side.
func (s Span) To(side vehicle.Side) float64 {
	if side == vehicle.Left {
		return s.Left
	}
	return s.Right
}

// Minus returns the difference of two spans, position by position.
func (s Span) Minus(t Span) Span {
	return Span{s.Right - t.Right, s.Centre - t.Centre, s.Left - t.Left}
}

// Model maps the stick to the servo angle by the stages in the package
// documentation. Make one with [NewModel]. It does not change, its methods
// allocate nothing unless they return an error, and many goroutines may use it.
type Model struct {
	c        Calibration
	settings rig.Settings // with the defaults filled in

	expo   float64
	curve  []float64 // fractions, full right to full left; never empty
	left   float64   // radians at an output of +1, signed
	right  float64   // radians at an output of -1, with the sign of left
	offset [2]float64
	gain   [2]float64 // trim and subtrim as angle = offset + gain·a, by side of the stick

	trim, subtrim float64 // radians, signed

	// By the way that the servo goes from neutral: how much further than the mean it turns, and
	// where, as an even servo, it is held and by what.
	way  [2]float64
	most [2]float64
	clip [2]Clip
}

// Indices by side of the stick.
const (
	right = 0
	left  = 1
)

var straight = []float64{-1, 0, 1}

// WithDefaults returns the settings of a transmitter that shows percent with the defaults in place
// of zero values, as Complete does.
func WithDefaults(s rig.Settings) rig.Settings { return Calibration{}.Complete(s) }

// Complete returns the settings with the defaults in place of zero values: the rate 100, and the
// endpoints those that are usual on the transmitter's screen.
func (c Calibration) Complete(s rig.Settings) rig.Settings {
	usual := c.usual
	if usual == 0 {
		usual = min(100, limit(c.MaxEndpoint))
	}
	for _, side := range vehicle.Sides {
		if end := s.Endpoint(side); *end == 0 {
			*end = usual
		}
	}
	if s.Rate == 0 {
		s.Rate = 100
	}
	return s
}

// NewModel joins a calibration with settings. A trim of unclear kind counts as
// centre only, the common one.
//
// It returns a [*MissingReadingError] if a scale that the settings need is
// unknown, and a [*SettingError] for a setting that is out of the transmitter's
// range, not finite, or cannot be: an expo beyond ±100, a curve of one point or
// with a point beyond ±100, a centre-only trim that passes an end.
func NewModel(c Calibration, settings rig.Settings) (*Model, error) {
	s := c.Complete(settings)
	s.Curve = slices.Clone(s.Curve)
	for _, k := range []struct {
		name    string
		scale   Scale
		setting float64
	}{{controlEndpoint, c.Endpoint, 1}, {controlSubtrim, c.Subtrim, s.Subtrim}, {controlTrim, c.Trim, s.Trim}} {
		if k.setting != 0 && (!k.scale.PerUnit.Given || k.scale.PerUnit.Value == 0 || !finite(k.scale.PerUnit.Value)) {
			return nil, missingReading(k.name, pairs{}, pairs{}, false)
		}
	}
	for _, k := range []struct {
		key              string
		value, low, high float64
	}{
		{"subtrim", s.Subtrim, -limit(c.MaxSubtrim), limit(c.MaxSubtrim)},
		{"trim", s.Trim, -limit(c.MaxTrim), limit(c.MaxTrim)},
		{"endpoint_left", s.EndpointLeft, 0, limit(c.MaxEndpoint)},
		{"endpoint_right", s.EndpointRight, 0, limit(c.MaxEndpoint)},
		{"rate", s.Rate, 0, math.Inf(1)},
		{"expo", s.Expo, -100, 100},
	} {
		if !finite(k.value) || k.value < k.low || k.value > k.high {
			return nil, badNumber(k.key, k.value, "out of range",
				fmt.Sprintf("choose a value from %g to %g, or correct the transmitter's range", k.low, k.high))
		}
	}
	if len(s.Curve) == 1 {
		return nil, badNumber("curve", s.Curve[0], "one point makes no curve", "give at least two, full right to full left")
	}

	sign := 1.0
	if s.Reverse != c.ReadReversed {
		sign = -1
	}
	m := &Model{
		c: c, settings: s,
		expo:    s.Expo / 100,
		curve:   straight,
		left:    sign * c.Endpoint.PerUnit.Value * s.EndpointLeft * s.Rate / 100,
		right:   sign * c.Endpoint.PerUnit.Value * s.EndpointRight * s.Rate / 100,
		subtrim: sign * c.Subtrim.PerUnit.Value * s.Subtrim,
		trim:    sign * c.Trim.PerUnit.Value * s.Trim,
	}
	travel := math.Inf(1)
	if c.Travel.Given {
		travel = c.Travel.Value
	}
	for i, angle := range [2]float64{1, -1} {
		m.way[i] = c.way(angle)
		m.most[i], m.clip[i] = limit(c.MaxEndpoint)*math.Abs(c.Endpoint.PerUnit.Value), ClipTransmitter
		if servo := travel / m.way[i]; servo < m.most[i] {
			m.most[i], m.clip[i] = servo, ClipServo
		}
	}
	if !finite(m.left+m.right+m.subtrim+m.trim) || travel < 0 || math.IsNaN(travel) {
		return nil, badNumber("travel", degrees(travel), "the settings and the servo's travel make no servo angle", "correct the transmitter's readings and the servo's travel")
	}
	if len(s.Curve) > 0 {
		m.curve = make([]float64, len(s.Curve))
		for i, p := range s.Curve {
			if !finite(p) || math.Abs(p) > 100 {
				return nil, badNumber("curve["+strconv.Itoa(i)+"]", p, "out of range", "choose a value from -100 to 100")
			}
			m.curve[i] = p / 100
		}
	}
	if err := m.setTrim(); err != nil {
		return nil, err
	}
	return m, nil
}

// setTrim works out stages 5 and 6 as one straight line for each side of the stick.
func (m *Model) setTrim() error {
	for side, stick := range [2]float64{-1, 1} {
		m.gain[side], m.offset[side] = 1, m.subtrim+m.trim
		if m.c.TrimKind == TrimWhole || m.trim == 0 {
			continue
		}
		centre, end := m.raw(0), m.raw(stick)
		g := 1 - m.trim/(end-centre)
		if !(g > 0) || !finite(g) {
			return badNumber("trim", m.settings.Trim, "a trim that moves only the centre passes the end",
				"choose a smaller trim or a larger endpoint")
		}
		m.gain[side] = g
		m.offset[side] = m.subtrim + m.trim + centre*(1-g)
	}
	return nil
}

// bend is expo, held within ±1. It needs stick within ±1.
func (m *Model) bend(stick float64) float64 {
	// This form of (1-e)·x + e·x³ is exact at full stick.
	y := stick + m.expo*stick*(stick*stick-1)
	return max(-1, min(1, y))
}

// segment returns which straight piece of the curve holds y, and where in it y
// is from 0 to 1. At a joint it is the piece to the left if toLeft, otherwise
// the one to the right.
func (m *Model) segment(y float64, toLeft bool) (int, float64) {
	last := len(m.curve) - 2
	u := (y + 1) / 2 * float64(last+1)
	i := min(int(u), last)
	if !toLeft && i > 0 && float64(i) == u {
		i--
	}
	return i, u - float64(i)
}

// shape is expo and curve.
func (m *Model) shape(stick float64) float64 {
	i, t := m.segment(m.bend(stick), true)
	return m.curve[i]*(1-t) + m.curve[i+1]*t
}

// raw is the angle after stage 4.
func (m *Model) raw(stick float64) float64 {
	y := m.shape(stick)
	if y < 0 {
		return y * m.right
	}
	return y * m.left
}

func side(stick float64) int {
	if stick < 0 {
		return right
	}
	return left
}

// free is the angle before it is held anywhere.
func (m *Model) free(stick float64) float64 {
	s := side(stick)
	return m.offset[s] + m.gain[s]*m.raw(stick)
}

// hold applies stages 8 to 10.
func (m *Model) hold(even float64) (float64, Clip) {
	i := rotation(even)
	// An end set exactly to the limit may pass it by rounding, which holds nothing short.
	const rounding = 1e-12
	if math.Abs(even) > m.most[i]*(1+rounding) {
		return math.Copysign(m.most[i], even) * m.way[i], m.clip[i]
	}
	return even * m.way[i], ClipNone
}

// even undoes stage 9.
func (m *Model) even(angle float64) float64 { return angle / m.way[rotation(angle)] }

// Angle returns the servo angle in radians. A stick beyond ±1 counts as full
// stick; NaN gives NaN.
func (m *Model) Angle(stick float64) float64 {
	if math.IsNaN(stick) {
		return stick
	}
	a, _ := m.hold(m.free(max(-1, min(1, stick))))
	return a
}

// At returns the servo angle with its rates and with what holds it. A stick
// beyond ±1 counts as full stick; NaN gives NaN.
func (m *Model) At(stick float64) Output {
	if math.IsNaN(stick) {
		return Output{Angle: stick, RateRight: stick, RateLeft: stick}
	}
	stick = max(-1, min(1, stick))
	free := m.free(stick)
	a, clip := m.hold(free)
	out := Output{Angle: a, Clip: clip}
	if clip != ClipNone {
		return out
	}
	out.RateRight = m.rate(stick, stick == -1)
	out.RateLeft = m.rate(stick, stick != 1)
	return out
}

// rate is the derivative of free on one side of the stick position.
func (m *Model) rate(stick float64, toLeft bool) float64 {
	y := m.bend(stick)
	bend := 1 - m.expo + 3*m.expo*stick*stick
	if m.expo < -0.5 {
		full, outward := fullAt(m.expo), (stick > 0) == toLeft
		if math.Abs(stick) > full || math.Abs(stick) == full && outward {
			return 0
		}
	}
	i, t := m.segment(y, toLeft)
	n := float64(len(m.curve) - 1)
	slope := (m.curve[i+1] - m.curve[i]) * n / 2
	out := m.curve[i]*(1-t) + m.curve[i+1]*t
	end := m.left
	if out < 0 || out == 0 && (slope > 0) != toLeft {
		end = m.right
	}
	s := side(stick)
	if stick == 0 && !toLeft {
		s = right
	}
	rate := m.gain[s] * end * slope * bend
	going := m.free(stick)
	if going == 0 {
		going = rate
		if !toLeft {
			going = -rate
		}
	}
	return rate * m.way[rotation(going)]
}

// fullAt is the stick at which a sharpening expo below -0.5 first reaches the
// end: e·x³ + (1-e)·x - 1 = (x-1)(e·x² + e·x + 1).
func fullAt(expo float64) float64 {
	return (math.Sqrt(1-4/expo) - 1) / 2
}

// Span returns the servo angles at full right, centre and full left.
func (m *Model) Span() Span {
	return Span{m.Angle(-1), m.Angle(0), m.Angle(1)}
}

// Settings returns the settings with the defaults filled in. The curve must not
// be changed.
func (m *Model) Settings() rig.Settings { return m.settings }

// Uncertainty returns the 95 % half-width in radians of [Model.Angle], from that
// of the scales (JCGM 100, 5.1.2 and 5.2.2: a scale that was assumed from the
// endpoint's errs with it). It cannot know how far an assumed scale is off.
func (m *Model) Uncertainty(stick float64) float64 {
	if math.IsNaN(stick) {
		return stick
	}
	stick = max(-1, min(1, stick))
	free := m.free(stick)
	endpoint := m.relative(m.c.Endpoint, free)
	held, clip := m.hold(free)
	switch clip {
	case ClipTransmitter:
		return math.Abs(held) * endpoint
	case ClipServo:
		return m.c.Travel.Uncertainty
	}
	a := m.raw(stick)
	trim := m.trim
	if m.c.TrimKind != TrimWhole && m.trim != 0 {
		end := m.raw(-1)
		if stick >= 0 {
			end = m.raw(1)
		}
		trim *= (end - a) / (end - m.raw(0))
	}
	together, square := a, 0.0
	for _, p := range [2]struct {
		part  float64
		scale Scale
	}{{trim, m.c.Trim}, {m.subtrim, m.c.Subtrim}} {
		if p.scale.Assumed {
			together += p.part
			continue
		}
		u := p.part * m.relative(p.scale, free)
		square += u * u
	}
	return m.way[rotation(free)] * math.Sqrt(together*together*endpoint*endpoint+square)
}

// limit returns a range of the transmitter, of which zero means unknown.
func limit(stated float64) float64 {
	if stated == 0 {
		return math.Inf(1)
	}
	return stated
}

// relative is the uncertainty of a scale as a part of it, on the side of an angle.
func (m *Model) relative(s Scale, angle float64) float64 {
	q := m.c.Step(s, angle)
	if !q.Given {
		return 0
	}
	return math.Abs(q.Uncertainty / q.Value)
}
