package document

import (
	"strings"
	"unicode/utf8"
)

// Columns is the width that texts keep to.
const Columns = 80

// Wrap breaks text that begins in column at into lines of 80 columns, the others indented. It
// breaks at spaces, not at no-break ones.
func Wrap(text string, at, indent int) string {
	pad := strings.Repeat(" ", indent)
	var b strings.Builder
	for i, word := range words(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case at+1+n > Columns:
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

// words splits text where it may break, which is not at a no-break space.
func words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' })
}

// Words begins what has a severity in a text: "Must fix: ", and nothing for what is fine or plain.
func (s Severity) Words() string {
	if s <= Fine {
		return ""
	}
	return s.String() + ": "
}

// TextToWrap writes the line of a verdict for a text that is broken into lines.
func (l Line) TextToWrap(r Reader) string { return l.Severity.Words() + l.Sentence.TextToWrap(r) }

// Lines counts the lines of 80 columns that the line of a verdict takes.
func (l Line) Lines(r Reader) int { return 1 + strings.Count(Wrap(l.TextToWrap(r), 0, 2), "\n") }
