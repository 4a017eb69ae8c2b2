package report

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"unicode"

	"evenlock/internal/say"
	"evenlock/load"
	"evenlock/steer"
)

const degree = math.Pi / 180

// Figures are written as package say writes them.
var (
	number, isZero     = say.Number, say.IsZero
	plusMinus, degrees = say.PlusMinus, say.Degrees
)

// sized writes the size of an angle.
func sized(r steer.Result) string { return degrees(math.Abs(r.Value), r.Uncertain) }

// side writes a signed angle in radians with its side in words: "12.4° left",
// or "straight" where it is less than a twentieth of a degree.
func side(v float64) string {
	s := number(math.Abs(v)/degree, 1)
	switch {
	case isZero(s):
		return "straight"
	case v > 0:
		return s + "° left"
	default:
		return s + "° right"
	}
}

// bar draws part of a width in blocks.
func bar(part float64, width int) string {
	n := int(math.Round(min(max(part, 0), 1) * float64(width)))
	return strings.Repeat("█", n) + strings.Repeat("·", width-n)
}

// columns is the width that text keeps to.
const columns = 80

// wrap breaks text to the width of the page, each line after the first indented.
func wrap(text string, indent int) string {
	pad := strings.Repeat(" ", indent)
	var b strings.Builder
	at := indent
	for i, word := range phrases(text) {
		n := len([]rune(word))
		switch {
		case i == 0:
		case at+1+n > columns:
			b.WriteString("\n" + pad)
			at = indent
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += n
	}
	return b.String()
}

// phrases splits text into words, but keeps a figure with its uncertainty and unit.
func phrases(text string) []string {
	var all []string
	together := false
	for _, word := range strings.Fields(text) {
		switch strings.TrimRight(word, ",;.:)") {
		case "±", "%", "mm", "m", "N", "N·m", "N/mm²", "kgf·cm", "kg", "A", "V", "W":
			together = len(all) > 0
		}
		if together {
			all[len(all)-1] += " " + word
		} else {
			all = append(all, word)
		}
		together = word == "±"
	}
	return all
}

// printer collects text.
type printer struct{ strings.Builder }

// title writes the first line. A rig's name is another's text: control characters in it, which a
// terminal might obey, are left out.
func (p *printer) title(words, name string) {
	name = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && !unicode.IsSpace(r) {
			return -1
		}
		return r
	}, name)
	p.line("%s", wrap(words+name, 4))
}

func (p *printer) line(format string, args ...any) { fmt.Fprintf(&p.Builder, format+"\n", args...) }

// item writes a labelled paragraph, its lines under one another.
func (p *printer) item(label, format string, args ...any) {
	p.line("  %-15s %s", label, wrap(fmt.Sprintf(format, args...), 18))
}

// Cautions are those of work on a steering that is powered.
var Cautions = []string{
	"Wheels off the ground, and the motor unplugged or its pinion out, before the servo is powered.",
	"Keep fingers out of the links.",
	"Do not hold the servo against a stop: stalled, it draws its full current, heats, and can starve the receiver.",
	"Follow the makers' instructions for servo, radio and battery.",
}

func (p *printer) cautions() {
	p.line("CAUTION")
	for _, c := range Cautions {
		p.line("  - %s", wrap(c, 4))
	}
}

// unitOf gives the unit that files use for a quantity, its name, and what to multiply by.
func unitOf(u steer.Unit) (name string, times float64) {
	switch u {
	case steer.Radian:
		return "deg", 1 / degree
	case steer.PerMillimetre:
		return "1/m", 1000
	case steer.Millimetre:
		return "mm", 1
	default:
		return "1", 1
	}
}

func turnWord(v float64) string {
	s := number(math.Abs(v)/degree, 1)
	switch {
	case isZero(s):
		return s + "°   "
	case v > 0:
		return s + "° cc"
	default:
		return s + "° c "
	}
}

func sideShort(v float64, decimals int) string {
	s := number(math.Abs(v)/degree, decimals)
	switch {
	case isZero(s):
		return s + "°  "
	case v > 0:
		return s + "° L"
	default:
		return s + "° R"
	}
}

// Figure is a number in JSON. A number that there is not is null.
type Figure struct {
	Value     *float64 `json:"value"`
	Uncertain float64  `json:"uncertainty,omitempty"`
	Unit      string   `json:"unit"`
}

func figure(v, uncertain float64, u steer.Unit) Figure {
	unit, times := unitOf(u)
	return plain(v*times, uncertain*times, unit)
}

// plain makes a figure of a number in the unit shown. One that is not finite, or not known to any
// finite uncertainty, has no value.
func plain(v, uncertain float64, unit string) Figure {
	f := Figure{Unit: unit}
	v += 0 // and not -0
	if finite(v) && finite(uncertain) {
		f.Value, f.Uncertain = &v, uncertain
	}
	return f
}

// Definitions say what the figures mean where makers and books differ.
var Definitions = map[string]string{
	"uncertainty":       "half-width of about 95 % confidence, from the uncertainties in the rig file",
	"servo":             "from the neutral pulse, counter-clockwise positive looking at the horn's face",
	"road_left":         "yaw of the wheel plane seen from above, positive to the left (ISO 8855)",
	"curvature":         "of the path of the middle of the other axle, mean of what each wheel asks for, positive to the left",
	"ackermann_error":   "how much further the outer wheel is turned than if its axis met the other axle's line where the inner wheel's does",
	"ackermann_percent": "(inner - outer) / (inner - ideal outer) at the same inner angle; 0 is parallel, 100 is Ackermann",
	"outer_radius":      "of the circle touched by the outer edge of the outer front tyre's contact",
	"step":              "one of what the transmitter's screen counts",
}

func writeJSON(w io.Writer, doc any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(doc)
}

// sides is a value for each side, or for the motion to each side.
type sides[T any] struct {
	Left  T `json:"left"`
	Right T `json:"right"`
}

func sidesOf[A, T any](v [2]A, f func(A) T) sides[T] {
	return sides[T]{f(v[load.ToLeft]), f(v[load.ToRight])}
}

func angleFigure(v float64) Figure { return figure(v, 0, steer.Radian) }
