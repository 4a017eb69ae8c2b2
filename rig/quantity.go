package rig

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Kind tells a length, an angle and a torque apart.
type Kind int

// The kinds of quantity.
const (
	LengthKind Kind = iota // inside in millimetres, in the file in mm or in
	AngleKind              // inside in radians, in the file in degrees
	TorqueKind             // inside in N·mm, in the file always with its unit
)

// String gives the kind as a word: length, angle or torque.
func (k Kind) String() string {
	switch k {
	case AngleKind:
		return "angle"
	case TorqueKind:
		return "torque"
	}
	return "length"
}

// Bounds on any value, far outside a model vehicle: they keep a slip of the
// keyboard from reaching the solver as a huge number.
const (
	maxLength = 100_000 // mm
	maxAngle  = 2 * math.Pi
	maxTorque = 1e6 // N·mm
)

func (k Kind) most() (inside float64, words string) {
	switch k {
	case AngleKind:
		return maxAngle, "360 degrees"
	case TorqueKind:
		return maxTorque, "1000 N·m"
	}
	return maxLength, "100 m, or 3937 in"
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
	newtonMetre = unit{"N·m", 1000, 1}
	kgfCm       = unit{"kgf·cm", 98.0665, 1}
	ozfIn       = unit{"ozf·in", 0.028349523125 * 9.80665 * 25.4, 1}
)

// torqueUnits finds a unit of torque by its name in small letters without the signs between its
// letters. Servo makers write kg·cm for the kgf·cm of the standards, and oz·in for ozf·in.
// Definitions from NIST SP 811 (from memory): 9.80665 m/s², 28.349523125 g and 25.4 mm are exact.
var torqueUnits = map[string]unit{
	"nm":    newtonMetre,
	"ncm":   {"N·cm", 10, 1},
	"nmm":   {"N·mm", 1, 1},
	"kgfcm": kgfCm,
	"kgcm":  kgfCm,
	"ozfin": ozfIn,
	"ozin":  ozfIn,
}

// betweenUnits takes out what stands between the letters of a unit of torque.
var betweenUnits = strings.NewReplacer("·", "", "⋅", "", "∙", "", "*", "", ".", "", "-", "", " ", "")

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

// fileUnit is the unit of values of this kind that state none, and of their bounds, where lengths
// are in the unit of this name.
func (k Kind) fileUnit(lengths string) unit {
	switch k {
	case AngleKind:
		return degrees
	case TorqueKind:
		return newtonMetre
	}
	return lengthUnit(lengths)
}

// wantsUnit tells whether a value of this kind must state its unit: of torque, makers use several.
func (k Kind) wantsUnit() bool { return k == TorqueKind }

// bare makes a quantity of a number without a unit.
func (k Kind) bare(x float64, lengths string) (Quantity, *Error) {
	u, problem := k.unit("", lengths)
	if problem != nil {
		return Quantity{}, problem
	}
	return k.make(u.inside(x), 0)
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
	case k == TorqueKind:
		u, ok := torqueUnits[strings.ToLower(betweenUnits.Replace(name))]
		return u, ok
	}
	return unit{}, false
}

// The shapes of a quantity written as text; the schema uses them too, so they
// keep to what both Go and ECMA 262 understand.
const (
	numberPattern    = `[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?`
	plusMinusPattern = `(?:±|\+/-|\+-)`
	aboutPattern     = `(?:[Aa]bout|[Aa]round|[Aa]pprox(?:imately|\.)?|[Rr]oughly|[Cc]irca|[Cc]a\.?|~|≈)`
	// A unit is one word; that of torque may have signs between its letters.
	unitPattern       = `[^\s0-9+\-±.,]*`
	torqueUnitPattern = `(?:[A-Za-z]+(?:` + unitSignPattern + `[A-Za-z]+)*)?`
	unitSignPattern   = ` ?[·⋅∙*.\-]? ?`
	// torqueUnitNames are those of torqueUnits, in letters of either size.
	torqueUnitNames = `[Nn]` + unitSignPattern + `[CcMm]?[Mm]|[Kk][Gg][Ff]?` + unitSignPattern + `[Cc][Mm]|[Oo][Zz][Ff]?` + unitSignPattern + `[Ii][Nn]`
)

// shape is what a quantity written as text looks like, given the shape of its unit.
func shape(unit string) *regexp.Regexp {
	part := `\s*(` + numberPattern + `)\s*(` + unit + `)\s*`
	return regexp.MustCompile(`^` + part + `(?:` + plusMinusPattern + part + `)?$`)
}

var quantityText, torqueText = shape(unitPattern), shape(torqueUnitPattern)

// shape finds the number, the unit, and those of the uncertainty in a quantity of this kind written
// as text.
func (k Kind) shape() *regexp.Regexp {
	if k == TorqueKind {
		return torqueText
	}
	return quantityText
}

var aboutText = regexp.MustCompile(`^\s*` + aboutPattern + `\s*`)

// cutAbout takes off the word that makes a quantity one taken by eye: "about 25", "~ 24.5 mm", "ca.
// 8°".
func cutAbout(text string) (rest string, about bool) {
	n := len(aboutText.FindString(text))
	return text[n:], n > 0
}

var hasDecimals = regexp.MustCompile(`\.\d`)

// byEye is the uncertainty of a number that is said to be about so much: 1, or 0.5 of one with
// decimals, of millimetres, degrees or kgf·cm, whatever the unit of the number. An eye sees an inch
// no worse than 25 mm.
func (k Kind) byEye(number string) (spread string, of unit) {
	of = millimetres
	switch k {
	case AngleKind:
		of = degrees
	case TorqueKind:
		of = kgfCm
	}
	if hasDecimals.MatchString(number) {
		return "0.5", of
	}
	return "1", of
}

// plusMinus writes a quantity that is said to be about so much with its ±: "25 ± 1". Any other text
// stays as it is.
func (k Kind) plusMinus(text, lengths string) string {
	rest, about := cutAbout(text)
	m := k.shape().FindStringSubmatch(rest)
	if !about || m == nil {
		return text
	}
	if m[3] != "" {
		return rest
	}
	value, name := m[1], m[2]
	spread, of := k.byEye(value)
	u, problem := k.unit(name, lengths)
	if problem != nil {
		return text
	}
	if u != of {
		spread += " " + of.name
		if name == "" {
			name = u.name
		}
	}
	switch name {
	case "":
		return value + " ± " + spread
	case "°":
		return value + "° ± " + spread
	default:
		return value + " " + name + " ± " + spread
	}
}

func (k Kind) example() string {
	switch k {
	case AngleKind:
		return `write a number of degrees, or text such as "8 ± 1"`
	case TorqueKind:
		return `write it with its unit, in quotes, such as "25 kg·cm", "2.4 N·m" or "340 oz·in"`
	}
	return `write a number, or text such as "24.5 ± 0.2" or "0.965 ± 0.01 in"`
}

// parse reads a quantity written as text. States tells whether it gave an
// uncertainty of its own.
func (k Kind) parse(text, lengths string) (q Quantity, states bool, problem *Error) {
	text = plainMinus(text)
	rest, about := cutAbout(text)
	m := k.shape().FindStringSubmatch(rest)
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
	if about && spread == "" {
		spread, spreadUnit = k.byEye(value)
	}
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
	}
	if most, words := k.most(); math.Abs(value) > most || spread > most {
		return Quantity{}, &Error{Problem: "is more than any model has", Remedy: "stay below " + words}
	}
	return Quantity{Value: value, Uncertainty: spread, Given: true}, nil
}

// plainMinus takes the minus sign of typesetting for the one on keyboards.
func plainMinus(text string) string { return strings.ReplaceAll(text, "−", "-") }

func (k Kind) a() string {
	if k == AngleKind {
		return "an angle"
	}
	return "a " + k.String()
}

func (k Kind) unit(name, lengths string) (unit, *Error) {
	if name == "" {
		if k.wantsUnit() {
			return unit{}, &Error{Problem: "states no unit, and makers use several", Remedy: k.example()}
		}
		return k.fileUnit(lengths), nil
	}
	if u, ok := k.unitNamed(name); ok {
		return u, nil
	}
	remedy := "write mm or in, or leave the unit out"
	switch k {
	case AngleKind:
		remedy = "write deg or °, or leave the unit out"
	case TorqueKind:
		remedy = "write N·m, N·cm, N·mm, kg·cm or oz·in"
	}
	return unit{}, &Error{Problem: fmt.Sprintf("%q is not a unit of %s here", name, k), Remedy: remedy}
}

// ParseLength reads a length as a rig file writes it: "24.5", "24.5 ± 0.2", "24.5 +/- 0.2 mm",
// "0.965 in", or taken by eye: "about 25" is 25 ± 1 mm and "about 24.5" ± 0.5 mm; for about may
// stand around, approximately, approx., roughly, circa, ca., ~ or ≈. Where it states no unit it is
// in lengths, "mm" or "in" ("" is mm). The error is an *Error.
func ParseLength(text, lengths string) (Length, error) {
	q, _, problem := LengthKind.parse(text, lengths)
	if problem != nil {
		return Length{}, problem
	}
	return Length{q}, nil
}

// ParseAngle reads an angle in degrees as a rig file writes it: "8", "8 ± 1",
// "8 ± 1 deg", "8°", "about 8", which is 8 ± 1. The error is an *Error.
func ParseAngle(text string) (Angle, error) {
	q, _, problem := AngleKind.parse(text, "")
	if problem != nil {
		return Angle{}, problem
	}
	return Angle{q}, nil
}

// ParseTorque reads a torque as a rig file writes it, always with its unit: "25 kg·cm", "25
// kgf.cm", "2.4 N·m", "2.4 Nm ± 0.1", "340 oz-in", "about 25 kg·cm", which is 25 ± 1. The error is
// an *Error.
func ParseTorque(text string) (Torque, error) {
	q, _, problem := TorqueKind.parse(text, "")
	if problem != nil {
		return Torque{}, problem
	}
	return Torque{q}, nil
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

// String gives the torque in the unit that makes it shortest, which is mostly the one that it was
// stated in: "2.4 N·m", "25 kgf·cm". ParseTorque reads it back; it is "left out" if it was not
// given.
func (t Torque) String() string {
	if !t.Given {
		return "left out"
	}
	return t.torqueText()
}

func (q Quantity) torqueText() string {
	best := ""
	for _, u := range []unit{newtonMetre, kgfCm, ozfIn} {
		if s := q.text(u, q.Uncertainty != 0) + " " + u.name; best == "" || len([]rune(s)) < len([]rune(best)) {
			best = s
		}
	}
	return best
}
