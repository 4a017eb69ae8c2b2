package rig

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Kind tells a length from an angle.
type Kind int

// The kinds of quantity.
const (
	LengthKind Kind = iota // inside in millimetres, in the file in mm or in
	AngleKind              // inside in radians, in the file in degrees
)

// String gives the kind as a word: length or angle.
func (k Kind) String() string {
	if k == AngleKind {
		return "angle"
	}
	return "length"
}

// Bounds on any value, far outside a model vehicle: they keep a slip of the
// keyboard from reaching the solver as a huge number.
const (
	maxLength = 100_000 // mm
	maxAngle  = 2 * math.Pi
)

func (k Kind) most() float64 {
	if k == AngleKind {
		return maxAngle
	}
	return maxLength
}

// A unit turns a number in a file into the inside unit by times/over. Two factors
// rather than one make 180 degrees exactly the float that is nearest to pi.
type unit struct {
	name        string
	times, over float64
}

var (
	millimetres = unit{"mm", 1, 1}
	inches      = unit{"in", 25.4, 1} // exact by definition, NIST SP 811 (from memory)
	degrees     = unit{"deg", math.Pi, 180}
)

func (u unit) inside(outside float64) float64 { return outside * u.times / u.over }

func (u unit) outside(inside float64) float64 { return inside * u.over / u.times }

// format gives the shortest decimal number that reads back as this inside value.
// A value that no decimal number in this unit reads back as, which only a
// computation can give, comes out at the nearest one, a rounding step away.
func (u unit) format(inside float64) string {
	near := u.outside(inside)
	for digits := range 17 {
		s := strconv.FormatFloat(near, 'e', digits, 64)
		if v, _ := strconv.ParseFloat(s, 64); u.inside(v) == inside {
			return plain(v)
		}
	}
	up, down := near, near
	for range 3 {
		up, down = math.Nextafter(up, math.Inf(1)), math.Nextafter(down, math.Inf(-1))
		if u.inside(up) == inside {
			return plain(up)
		}
		if u.inside(down) == inside {
			return plain(down)
		}
	}
	return plain(near)
}

// plain writes a number as TOML takes it, without an exponent where it can.
func plain(v float64) string {
	if v == 0 {
		return "0" // and not -0
	}
	if a := math.Abs(v); a < 1e-6 || a >= 1e15 {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// lengthUnit is the unit of lengths that state none; an unknown name counts as mm.
func lengthUnit(name string) unit {
	if name == inches.name {
		return inches
	}
	return millimetres
}

// fileUnit is the unit of values of this kind that state none, where lengths are
// in the unit of this name.
func (k Kind) fileUnit(lengths string) unit {
	if k == AngleKind {
		return degrees
	}
	return lengthUnit(lengths)
}

// unitNamed finds a unit of this kind by the name written in a file.
func (k Kind) unitNamed(name string) (unit, bool) {
	switch {
	case k == LengthKind && name == "mm":
		return millimetres, true
	case k == LengthKind && name == "in":
		return inches, true
	case k == AngleKind && (name == "deg" || name == "°"):
		return degrees, true
	}
	return unit{}, false
}

// The shapes of a quantity written as text; the schema uses them too, so they
// keep to what both Go and ECMA 262 understand.
const (
	numberPattern    = `[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?`
	plusMinusPattern = `(?:±|\+/-|\+-)`
)

var quantityText = regexp.MustCompile(`^\s*(` + numberPattern + `)\s*([^\s0-9+\-±.,]*)\s*(?:` +
	plusMinusPattern + `\s*(` + numberPattern + `)\s*([^\s0-9+\-±.,]*))?\s*$`)

func (k Kind) example() string {
	if k == AngleKind {
		return `write a number of degrees, or text such as "8 ± 1"`
	}
	return `write a number, or text such as "24.5 ± 0.2" or "0.965 ± 0.01 in"`
}

// parse reads a quantity written as text. States tells whether it gave an
// uncertainty of its own.
func (k Kind) parse(text, lengths string) (q Quantity, states bool, problem *Error) {
	text = plainMinus(text)
	m := quantityText.FindStringSubmatch(text)
	if m == nil {
		problem := &Error{Problem: fmt.Sprintf("%q is not %s", text, k.a()), Remedy: k.example()}
		if strings.Contains(text, ",") {
			problem.Remedy = "write a decimal point, not a comma"
		}
		return q, false, problem
	}
	value, name, spread, spreadName := m[1], m[2], m[3], m[4]
	switch {
	case name == "":
		name = spreadName
	case spreadName == "":
		spreadName = name
	}
	valueUnit, problem := k.unit(name, lengths)
	if problem != nil {
		return q, false, problem
	}
	spreadUnit, problem := k.unit(spreadName, lengths)
	if problem != nil {
		return q, false, problem
	}
	v, _ := strconv.ParseFloat(value, 64) // out of range gives an infinity, which make refuses
	if spread == "" {
		q, problem = k.make(valueUnit.inside(v), 0)
		return q, false, problem
	}
	s, _ := strconv.ParseFloat(spread, 64)
	q, problem = k.make(valueUnit.inside(v), spreadUnit.inside(s))
	return q, true, problem
}

// make builds a stated quantity from inside values.
func (k Kind) make(value, spread float64) (Quantity, *Error) {
	finite := func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
	switch {
	case !finite(value) || !finite(spread):
		return Quantity{}, &Error{Problem: "is not a finite number", Remedy: k.example()}
	case spread < 0:
		return Quantity{}, &Error{Problem: "has a negative uncertainty", Remedy: "write it without a sign, such as ± 0.2"}
	case math.Abs(value) > k.most() || spread > k.most():
		most := "100 m, or 3937 in"
		if k == AngleKind {
			most = "360 degrees"
		}
		return Quantity{}, &Error{Problem: "is more than any model has", Remedy: "stay below " + most}
	}
	return Quantity{Value: value, Uncertainty: spread, Given: true}, nil
}

// plainMinus takes the minus sign of typesetting for the one on keyboards.
func plainMinus(text string) string { return strings.ReplaceAll(text, "−", "-") }

func (k Kind) a() string {
	if k == AngleKind {
		return "an angle"
	}
	return "a length"
}

func (k Kind) unit(name, lengths string) (unit, *Error) {
	if name == "" {
		return k.fileUnit(lengths), nil
	}
	if u, ok := k.unitNamed(name); ok {
		return u, nil
	}
	remedy := "write mm or in, or leave the unit out"
	if k == AngleKind {
		remedy = "write deg or °, or leave the unit out"
	}
	return unit{}, &Error{Problem: fmt.Sprintf("%q is not a unit of %s here", name, k), Remedy: remedy}
}

// ParseLength reads a length as a rig file writes it: "24.5", "24.5 ± 0.2",
// "24.5 +/- 0.2 mm", "0.965 in". Where it states no unit it is in lengths, "mm" or
// "in" ("" is mm). The error is an *Error.
func ParseLength(text, lengths string) (Length, error) {
	q, _, problem := LengthKind.parse(text, lengths)
	if problem != nil {
		return Length{}, problem
	}
	return Length{q}, nil
}

// ParseAngle reads an angle in degrees as a rig file writes it: "8", "8 ± 1",
// "8 ± 1 deg", "8°". The error is an *Error.
func ParseAngle(text string) (Angle, error) {
	q, _, problem := AngleKind.parse(text, "")
	if problem != nil {
		return Angle{}, problem
	}
	return Angle{q}, nil
}

// text writes the quantity as a rig file does, without the unit.
func (q Quantity) text(u unit, withSpread bool) string {
	if !withSpread {
		return u.format(q.Value)
	}
	return u.format(q.Value) + " ± " + u.format(q.Uncertainty)
}

// String gives the length in millimetres, such as "24.5 ± 0.2 mm", in a form that
// ParseLength reads back; "left out" if it was not given.
func (l Length) String() string {
	if !l.Given {
		return "left out"
	}
	return l.text(millimetres, l.Uncertainty != 0) + " mm"
}

// String gives the angle in degrees, such as "8 ± 1°", in a form that ParseAngle
// reads back; "left out" if it was not given.
func (a Angle) String() string {
	if !a.Given {
		return "left out"
	}
	return a.text(degrees, a.Uncertainty != 0) + "°"
}
