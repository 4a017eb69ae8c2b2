package radio

import (
	"math"

	"evenlock/rig"
)

// Change is what a change of settings does to the servo angles.
type Change struct {
	// Before and After are in radians.
	Before, After Span
	// Clipped says that the servo is held short somewhere after the change, so
	// that an end moves less than the settings ask for.
	Clipped bool
}

// Moved returns After less Before, in radians.
func (c Change) Moved() Span { return c.After.Minus(c.Before) }

// Compare returns what going from one group of settings to another does to both
// ends and the centre. Errors are those of [NewModel].
func (c Calibration) Compare(from, to rig.Settings) (Change, error) {
	a, err := NewModel(c, from)
	if err != nil {
		return Change{}, err
	}
	b, err := NewModel(c, to)
	if err != nil {
		return Change{}, err
	}
	change := Change{Before: a.Span(), After: b.Span()}
	for _, stick := range [3]float64{-1, 0, 1} {
		change.Clipped = change.Clipped || b.At(stick).Clip != ClipNone
	}
	return change, nil
}

// Shift returns what moving the subtrim by so many steps from where it is does to
// both ends and the centre, when the endpoints are left alone. Errors are those of
// [NewModel].
func (c Calibration) Shift(settings rig.Settings, steps float64) (Change, error) {
	to := settings
	to.Subtrim += steps
	return c.Compare(settings, to)
}

// TrimEffect returns what moving a trim of the given kind by so many steps from
// where it is does to both ends and the centre. Errors are those of [NewModel].
func (c Calibration) TrimEffect(settings rig.Settings, kind TrimKind, steps float64) (Change, error) {
	c.TrimKind = kind
	to := settings
	to.Trim += steps
	return c.Compare(settings, to)
}

// TrimStop is what ends the room for trim.
type TrimStop int

const (
	// TrimStopRange is the trim's own range; with an unknown range and nothing else
	// in the way, the room is +Inf.
	TrimStopRange TrimStop = iota
	// TrimStopRight is the right end reaching a limit.
	TrimStopRight
	// TrimStopLeft is the left end reaching a limit.
	TrimStopLeft
)

// TrimRoom is how far the trim can go.
type TrimRoom struct {
	// Positive and Negative are the greatest settings of the trim either way from
	// zero, as a count of whole steps, at which both ends keep within the limits.
	Positive, Negative float64
	// PositiveStop and NegativeStop say what ends them.
	PositiveStop, NegativeStop TrimStop
	// Outside says that an end is past a limit with the trim at zero already; then
	// there is no room.
	Outside bool
}

// TrimRoom returns how far the trim can go each way before an end of the range
// passes a limit. low and high are the least and the greatest servo angle allowed,
// in radians. A trim that moves only the centre leaves the ends, so that its own range
// ends it, or the centre coming to an end; one of unclear kind counts as moving the
// whole range, to be on the safe side. The trim in settings is not used. Errors are those of [NewModel].
func (c Calibration) TrimRoom(settings rig.Settings, low, high float64) (TrimRoom, error) {
	settings.Trim = 0
	m, err := NewModel(c, settings)
	if err != nil {
		return TrimRoom{}, err
	}
	if !c.Trim.PerUnit.Given || c.Trim.PerUnit.Value == 0 {
		return TrimRoom{}, missingReading(controlTrim, pairs{}, pairs{}, false)
	}
	span := m.Span()
	// An end that was put exactly on its limit is not past it.
	const slack = 1e-9
	ends := [2]float64{span.Right, span.Left}
	for _, end := range ends {
		if end < low-slack || end > high+slack {
			return TrimRoom{PositiveStop: TrimStopRange, NegativeStop: TrimStopRange, Outside: true}, nil
		}
	}
	perUnit := c.Trim.PerUnit.Value
	if settings.Reverse != c.ReadReversed {
		perUnit = -perUnit
	}
	room := func(perUnit float64) (float64, TrimStop) {
		most, stop := math.Floor(limit(c.MaxTrim)), TrimStopRange
		for i, stick := range [2]float64{-1, 1} {
			at := [2]TrimStop{TrimStopRight, TrimStopLeft}[i]
			if c.TrimKind != TrimWhole {
				// The centre stays short of the end.
				if steps := math.Ceil((m.raw(stick)-m.raw(0))/perUnit-slack) - 1; steps >= 0 && steps < most {
					most, stop = steps, at
				}
			}
			if c.TrimKind == TrimCentre {
				continue
			}
			to := m.even(high)
			if perUnit < 0 {
				to = m.even(low)
			}
			// What clips the servo short of the limit lets the trim go on.
			if _, clip := m.hold(to); clip != ClipNone {
				continue
			}
			steps := max(0, math.Floor((to-m.free(stick)+math.Copysign(slack, perUnit))/perUnit))
			if steps < most {
				most, stop = steps, at
			}
		}
		return most, stop
	}
	var r TrimRoom
	r.Positive, r.PositiveStop = room(perUnit)
	r.Negative, r.NegativeStop = room(-perUnit)
	return r, nil
}
