package report

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"evenlock/internal/say"
	"evenlock/steer"
)

const degree = math.Pi / 180

// Figures are written as package say writes them.
var (
	digits, number, isZero = say.Digits, say.Number, say.IsZero
	plusMinus, degrees     = say.PlusMinus, say.Degrees
	way                    = say.Way
)

func angleOf(r steer.Result) string { return degrees(r.Value, r.Uncertain) }

// sized writes the size of an angle.
func sized(r steer.Result) string { return degrees(math.Abs(r.Value), r.Uncertain) }

func millimetres(r steer.Result) string { return plusMinus(r.Value, r.Uncertain, 2) + " mm" }

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

// percent writes a part of one, "3.1 %".
func percent(v float64) string { return number(100*v, 1) + " %" }

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

// step writes the heading of a numbered step.
func (p *printer) step(n int, title string) {
	p.line("")
	p.line("%d  %s", n, title)
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
