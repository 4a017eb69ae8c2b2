package document

import (
	"math"
	"strconv"
	"strings"
)

// Direction is the words for the sign of a figure. A figure with one is written as its size and the
// word; one that rounds to nothing as Zero, if that is not empty.
type Direction struct{ Negative, Zero, Positive string }

// The directions. Positive is to the left, counter-clockwise as one looks at the horn's face, up
// and to the front.
var (
	ToSide     = Direction{"right", "straight", "left"}
	Sideways   = Direction{"right", "none", "left"}
	Rotation   = Direction{"clockwise", "", "counter-clockwise"}
	Difference = Direction{"less", "the same", "more"}
	Stretch    = Direction{"shorter", "as it is", "longer"}
	Height     = Direction{"down", "ride height", "up"}
	Fore       = Direction{"back", "", "forward"}
)

// Figure is a number with what it is of.
type Figure struct {
	// Key is stable, for programs and tests, and unique in its document; empty for a figure that
	// only stands in a sentence.
	Key string
	// Words say what it is of, in a list or a table's head; empty in a sentence.
	Words string
	// Value and Uncertain, its 95 % half-width, are as Unit says. Uncertain is zero where nothing
	// states one. A Value is not available where it or its ± is not finite.
	Value, Uncertain float64
	Unit             Unit
	Direction        Direction
	// Note says what it rests on, or why it is not available.
	Note string
	// Missing is written in place of a Value that is not available; a dash if empty.
	Missing string

	// decimals are the most decimals, in the metric unit, where set.
	decimals int
	decided  bool
	// pulse is how many µs a step of a number on the screen is; zero where nobody read them.
	pulse float64
	// brief has the text leave the ± out.
	brief bool
}

// F makes a figure that stands in a sentence.
func F(value float64, unit Unit) Figure { return Figure{Value: value, Unit: unit} }

// FU makes a figure with its uncertainty that stands in a sentence.
func FU(value, uncertain float64, unit Unit) Figure {
	return Figure{Value: value, Uncertain: uncertain, Unit: unit}
}

// Named gives a figure a key, and the words for what it is of.
func (f Figure) Named(key, words string) Figure {
	f.Key, f.Words = key, words
	return f
}

// Signed gives a figure words for its sign.
func (f Figure) Signed(d Direction) Figure {
	f.Direction = d
	return f
}

// To sets the most decimals, as the metric unit has them; other units get as fine.
func (f Figure) To(decimals int) Figure {
	f.decimals, f.decided = decimals, true
	return f
}

// Shown gives a figure one digit where its usual decimals would show nothing, as of what is passed by
// ever so little.
func (f Figure) Shown() Figure {
	times := metric[f.Unit].times
	if f.Shows(Reader{}) || f.Value == 0 || !f.Available() {
		return f
	}
	return f.To(-int(math.Floor(math.Log10(math.Abs(f.Value * times)))))
}

// Noted gives a figure its note.
func (f Figure) Noted(note string) Figure {
	f.Note = note
	return f
}

// Pulses tells how many µs a step of a number on the screen is, for a reader whose transmitter
// shows those.
func (f Figure) Pulses(each float64) Figure {
	f.pulse = each
	return f
}

// Brief leaves the ± out of the text, which still has only the digits that the ± leaves: for a
// table that has no room for it.
func (f Figure) Brief() Figure {
	f.brief = true
	return f
}

// Size drops a figure's sign.
func (f Figure) Size() Figure {
	f.Value = math.Abs(f.Value)
	return f
}

// Available reports whether there is a value, known to any finite ±.
func (f Figure) Available() bool { return finite(f.Value) && finite(f.Uncertain) }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// scaleFor is how a reader is shown this figure.
func (f *Figure) scaleFor(r Reader) scale {
	s := r.scaleOf(f.Unit)
	if r.Pulse == Microseconds && f.pulse != 0 {
		s = r.scaleOf(ScreenPulse)
		s.times = math.Abs(f.pulse)
	}
	if f.decided {
		s.figures = 0
		s.decimals = f.decimals
		// As fine in another unit: a power of ten more or less for each decade between the two.
		s.decimals += int(math.Round(math.Log10(metric[f.Unit].times / s.times)))
		if s.symbol == "in" && f.Unit == Length {
			s.decimals++ // an inch is between one and two decades of millimetres
		}
		s.decimals = max(s.decimals, 0)
	}
	return s
}

// Text writes the figure for a reader: "31.2° ± 0.8° left".
func (f Figure) Text(r Reader) string {
	if !f.Available() {
		if f.Missing != "" {
			return f.Missing
		}
		return "–"
	}
	s := f.scaleFor(r)
	value, uncertain := f.Value*s.times, math.Abs(f.Uncertain*s.times)
	decimals := s.decimalsOf(value, uncertain)
	shown := value
	if f.Direction != (Direction{}) {
		shown = math.Abs(shown)
	}
	number := Number(shown, decimals)
	stated := sure(uncertain, decimals) && !f.brief
	if isZero(number) && f.Direction.Zero != "" && !stated {
		return f.Direction.Zero
	}
	text := number
	if stated {
		if s.each {
			text += s.symbol
		}
		text += " ± " + Number(uncertain, decimals)
	}
	text += s.after(number)
	way := f.Direction.Negative
	if value > 0 {
		way = f.Direction.Positive
	}
	if isZero(number) || way == "" {
		return text
	}
	return text + " " + way
}

// sure reports whether an uncertainty shows at so many decimals.
func sure(uncertain float64, decimals int) bool {
	return finite(uncertain) && !isZero(Number(uncertain, decimals))
}

// after is what stands behind a number.
func (s *scale) after(number string) string {
	switch {
	case s.many != "" && (number == "1" || number == "1.0"):
		return " " + s.one
	case s.many != "":
		return " " + s.many
	case s.symbol == "" || s.tight:
		return s.symbol
	default:
		return " " + s.symbol
	}
}

// decimalsOf is to how many decimals a value is written; negative for tens.
func (s *scale) decimalsOf(value, uncertain float64) int {
	if uncertain > 0 && finite(uncertain) {
		return min(Decimals(uncertain), s.decimals)
	}
	if s.figures == 0 || value == 0 {
		return s.decimals
	}
	decade := math.Floor(math.Log10(math.Abs(value)))
	figures := s.figures
	if math.Abs(value)/math.Pow(10, decade) < 2 {
		figures++ // the first figure is worth little where it is a 1
	}
	return max(0, min(s.decimals, figures-1-int(decade)))
}

// Decimals is to how many decimals a value of this uncertainty is worth writing, negative for tens;
// the package's documentation has the rule.
func Decimals(uncertain float64) int {
	decade := math.Floor(math.Log10(uncertain))
	if uncertain/math.Pow(10, decade) < 3.545 {
		return 1 - int(decade)
	}
	return -int(decade)
}

// Number writes v to so many decimals, tens where negative, without a minus before zero.
func Number(v float64, decimals int) string {
	if decimals < 0 {
		tens := math.Pow10(-decimals)
		v, decimals = math.Round(v/tens)*tens, 0
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if isZero(s) {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// isZero reports whether a number as written shows nothing but noughts.
func isZero(s string) bool { return strings.Trim(s, "-−0.") == "" }

// Shows reports whether a figure, as a reader is shown it, is more than nothing.
func (f Figure) Shows(r Reader) bool {
	if !f.Available() {
		return false
	}
	s := f.scaleFor(r)
	return !isZero(Number(f.Value*s.times, s.decimalsOf(f.Value*s.times, f.Uncertain*s.times)))
}
