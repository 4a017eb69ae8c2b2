package document

import (
	"fmt"
	"math"
	"strings"
)

// Unit tells what a figure's number is inside the program, and so in which units it can be shown.
type Unit int

// The units, by what the number is inside the program.
const (
	// One is a plain number.
	One Unit = iota
	// Part is a part of one, shown in percent.
	Part
	// Angle is in radians, shown in degrees.
	Angle
	// Length is in millimetres.
	Length
	// Span is a length in millimetres that is measured on the floor: a turning circle.
	Span
	// Torque is in N·mm.
	Torque
	// Force is in newtons.
	Force
	// Stress is in N/mm².
	Stress
	// Mass is in kilograms, Time in seconds, Voltage in volts, Current in amperes, Power in watts.
	Mass
	Time
	Voltage
	Current
	Power
	// Curvature is in 1/mm, shown in 1/m.
	Curvature
	// Ratio is an angle for an angle.
	Ratio
	// LengthPerAngle is in millimetres a radian, shown in millimetres or inches a degree;
	// CurvaturePerAngle is in 1/mm a radian, shown in 1/m a degree.
	LengthPerAngle
	CurvaturePerAngle
	// AnglePerLength is in radians a millimetre, shown in degrees a millimetre or an inch.
	AnglePerLength
	// LengthPerLength is a length for a length.
	LengthPerLength
	// Screen is a number on the screen of a transmitter that shows percent, ScreenPulse on one that
	// shows µs, and ScreenStep on one that shows plain numbers.
	Screen
	ScreenPulse
	ScreenStep
	// Percent is a number that is in percent already: expo, rate, a stick.
	Percent
	// Turn is a number of turns of a thread, Tooth of teeth of a spline.
	Turn
	Tooth
	numUnits
)

// scale is how a unit is shown.
type scale struct {
	// symbol stands behind the number, after a space unless tight.
	symbol string
	tight  bool
	// one and many are words in place of a symbol.
	one, many string
	// times makes the number shown of the one inside.
	times float64
	// decimals are those that the tool shows that sets or measures it; figures is how many figures
	// it is worth where no tool does, and one more where the first is a 1; zero where decimals
	// alone count.
	decimals, figures int
	// each has the symbol stand after the value as well as after its ±: 31.2° ± 0.8°.
	each bool
	// key names it in JSON.
	key string
}

const (
	mmPerInch = 25.4 // exact
	// nmmPerKgfCm is 1 kgf·cm in N·mm: standard gravity 9.80665 m/s² (ISO 80000-4).
	nmmPerKgfCm = 98.0665
	// nmmPerOzfIn is 1 ozf·in in N·mm: 0.45359237 kg / 16 · 9.80665 m/s² · 25.4 mm (NIST SP 811).
	nmmPerOzfIn = 0.45359237 / 16 * 9.80665 * mmPerInch
)

// metric is how each unit is shown unless the reader wants it otherwise.
var metric = [numUnits]scale{
	One:               {times: 1, decimals: 2, figures: 2, key: "1"},
	Part:              {symbol: "%", times: 100, decimals: 1, figures: 2, key: "%"},
	Angle:             {symbol: "°", tight: true, each: true, times: 180 / math.Pi, decimals: 1, key: "°"},
	Length:            {symbol: "mm", times: 1, decimals: 1, key: "mm"},
	Span:              {symbol: "m", times: 1e-3, decimals: 2, key: "m"},
	Torque:            {symbol: "N·m", times: 1e-3, decimals: 3, figures: 2, key: "N·m"},
	Force:             {symbol: "N", times: 1, decimals: 1, figures: 2, key: "N"},
	Stress:            {symbol: "N/mm²", times: 1, decimals: 0, figures: 3, key: "N/mm²"},
	Mass:              {symbol: "kg", times: 1, decimals: 2, key: "kg"},
	Time:              {symbol: "s", times: 1, decimals: 2, key: "s"},
	Voltage:           {symbol: "V", times: 1, decimals: 1, key: "V"},
	Current:           {symbol: "A", times: 1, decimals: 1, key: "A"},
	Power:             {symbol: "W", times: 1, decimals: 1, key: "W"},
	Curvature:         {symbol: "1/m", times: 1e3, decimals: 3, key: "1/m"},
	Ratio:             {symbol: "° a degree", tight: true, times: 1, decimals: 2, key: "°/°"},
	LengthPerAngle:    {symbol: "mm a degree", times: math.Pi / 180, decimals: 3, key: "mm/°"},
	CurvaturePerAngle: {symbol: "1/m a degree", times: 1e3 * math.Pi / 180, decimals: 4, key: "1/m/°"},
	AnglePerLength:    {symbol: "° a mm", tight: true, times: 180 / math.Pi, decimals: 3, key: "°/mm"},
	LengthPerLength:   {symbol: "mm a mm", times: 1, decimals: 2, key: "mm/mm"},
	Screen:            {symbol: "%", times: 1, key: "%"},
	ScreenPulse:       {symbol: "µs", times: 1, key: "µs"},
	ScreenStep:        {one: "step", many: "steps", times: 1, key: "step"},
	Percent:           {symbol: "%", times: 1, key: "%"},
	Turn:              {one: "turn", many: "turns", times: 1, decimals: 1, key: "turn"},
	Tooth:             {one: "tooth", many: "teeth", times: 1, key: "tooth"},
}

// Reader is the units in which a person reads. The zero Reader has millimetres, kg·cm as servo
// makers print it, and the percent of the transmitter's screen.
type Reader struct {
	Length LengthUnit
	Torque TorqueUnit
	Pulse  PulseUnit
}

// LengthUnit is a reader's unit of length.
type LengthUnit int

// The units of length.
const (
	Millimetres LengthUnit = iota
	Inches
)

// TorqueUnit is a reader's unit of torque.
type TorqueUnit int

// The units of torque.
const (
	KilogramCentimetres TorqueUnit = iota
	NewtonMetres
	OunceInches
)

// PulseUnit is what a reader's transmitter shows of an endpoint or a subtrim.
type PulseUnit int

// What transmitters show.
const (
	PercentShown PulseUnit = iota
	Microseconds
)

// choices are the words of --units and of the page, the first of each as it is printed.
var choices = []struct {
	words []string
	set   func(*Reader)
}{
	{[]string{"mm"}, func(r *Reader) { r.Length = Millimetres }},
	{[]string{"in", "inch", "inches"}, func(r *Reader) { r.Length = Inches }},
	{[]string{"kg·cm", "kg-cm", "kgcm", "kgf·cm", "kgf-cm"}, func(r *Reader) { r.Torque = KilogramCentimetres }},
	{[]string{"N·m", "n-m", "nm"}, func(r *Reader) { r.Torque = NewtonMetres }},
	{[]string{"oz·in", "oz-in", "ozin", "ozf·in", "ozf-in"}, func(r *Reader) { r.Torque = OunceInches }},
	{[]string{"%", "percent"}, func(r *Reader) { r.Pulse = PercentShown }},
	{[]string{"µs", "us", "μs"}, func(r *Reader) { r.Pulse = Microseconds }},
}

// UnitWords are what [ParseReader] takes, for a person to choose from.
func UnitWords() []string {
	all := make([]string, len(choices))
	for i, c := range choices {
		all[i] = c.words[0]
	}
	return all
}

// UnitError is a unit that no reader has.
type UnitError struct{ Word string }

func (e *UnitError) Error() string {
	return fmt.Sprintf("%q is not a unit to read in; choose of %s", e.Word, strings.Join(UnitWords(), ", "))
}

// ParseReader changes the units that words name, with commas or spaces between, and leaves the
// others as from has them: "in, oz-in" reads inches and ounce-inches. The error is an *UnitError.
func ParseReader(from Reader, words string) (Reader, error) {
	split := func(r rune) bool { return r == ',' || r == ' ' || r == ';' }
	for _, word := range strings.FieldsFunc(words, split) {
		found := false
		for _, c := range choices {
			for _, w := range c.words {
				if strings.EqualFold(w, word) {
					c.set(&from)
					found = true
				}
			}
		}
		if !found {
			return from, &UnitError{word}
		}
	}
	return from, nil
}

// String gives the words that ParseReader takes: "mm, kg·cm, %".
func (r Reader) String() string {
	return strings.Join([]string{
		[]string{"mm", "in"}[r.Length], []string{"kg·cm", "N·m", "oz·in"}[r.Torque], []string{"%", "µs"}[r.Pulse],
	}, ", ")
}

// scaleOf is how a reader is shown a unit.
func (r Reader) scaleOf(u Unit) scale {
	s := metric[u]
	if r.Length == Inches {
		switch u {
		case Length:
			// A thousandth of an inch is what calipers show.
			s.symbol, s.times, s.decimals = "in", 1/mmPerInch, 3
		case Span:
			s.symbol, s.times, s.decimals = "in", 1/mmPerInch, 1
		case LengthPerAngle:
			s.symbol, s.times, s.decimals = "in a degree", s.times/mmPerInch, 4
		case AnglePerLength:
			s.symbol, s.times, s.decimals = "° an inch", s.times*mmPerInch, 2
		case LengthPerLength:
			s.symbol = "in an inch"
		}
	}
	if u == Torque {
		switch r.Torque {
		case KilogramCentimetres:
			s.symbol, s.times, s.decimals = "kg·cm", 1/nmmPerKgfCm, 2
		case OunceInches:
			s.symbol, s.times, s.decimals = "oz·in", 1/nmmPerOzfIn, 1
		}
	}
	return s
}

// Suffix is what stands behind a number of a unit, as a reader is shown it: "°", " mm", "".
func (r Reader) Suffix(u Unit) string {
	s := r.scaleOf(u)
	return s.after("")
}

// Shown gives the symbol in which a reader is shown a unit, and what makes the number shown of the
// one inside, for drawings that move and are handed numbers.
func (r Reader) Shown(u Unit) (symbol string, times float64, decimals int) {
	s := r.scaleOf(u)
	return s.symbol, s.times, s.decimals
}
