// Package text writes a document in 80 columns, for a terminal or a forum.
package text

import (
	"fmt"
	"io"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"evenlock/report/document"
)

// Options say how a document is written.
type Options struct {
	// Reader is in which units.
	Reader document.Reader
	// All is whether the details are written, and tables of more than a screen.
	All bool
}

const (
	// columns is the width that text keeps to, screen how many rows of a table it has room for.
	columns, screen = document.Columns, 24
	// label is where the values of a list begin at the latest.
	label = 40
)

// Write writes a document: the verdict first, then its sections.
func Write(w io.Writer, d *document.Document, o Options) error {
	t := &writer{Options: o}
	if d.Axle != "" {
		heading := strings.ToUpper(d.Axle) + " AXLE"
		if d.Sides != "" {
			heading += ": " + d.Sides
		}
		t.line(heading)
	}
	for _, l := range d.Verdict {
		t.hang(l.TextToWrap(t.Reader), 0, 2)
	}
	if len(d.Verdict) > 0 {
		t.line("")
	}
	t.hang(strings.ToUpper(d.Title)+" of "+d.Rig, 0, 4)
	var left []string
	for i := range d.Sections {
		s := &d.Sections[i]
		if s.Detail && !o.All {
			left = append(left, lower(s.Title))
			continue
		}
		t.section(s)
	}
	if t.left {
		left = append(left, "every row of the tables")
	}
	if len(left) > 0 {
		t.line("")
		t.hang("More with --all: "+strings.Join(left, "; ")+".", 0, 2)
	}
	_, err := io.WriteString(w, printable(t.String()))
	return err
}

// printable leaves out control characters, which a terminal might obey: names in it are another's
// text.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\u00a0':
			return ' '
		case r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)):
			return -1
		}
		return r
	}, text)
}

// lower begins a text small, unless its first word is written large throughout.
func lower(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if second, _ := utf8.DecodeRuneInString(text[size:]); unicode.IsUpper(second) {
		return text
	}
	return string(unicode.ToLower(first)) + text[size:]
}

type writer struct {
	strings.Builder
	Options
	steps int
	// left is whether rows of a table were left out.
	left bool
}

func (t *writer) of(s document.Sentence) string { return s.TextToWrap(t.Reader) }

func (t *writer) line(text string) {
	t.WriteString(strings.TrimRight(text, " "))
	t.WriteByte('\n')
}

// hang writes a paragraph whose first line is indented by first and whose other lines by rest.
func (t *writer) hang(text string, first, rest int) {
	t.line(strings.Repeat(" ", first) + document.Wrap(text, first, rest))
}

// item writes a labelled paragraph, its lines under one another.
func (t *writer) item(words, text string, at int) {
	n := width(words)
	if n+2 > at {
		t.line(words)
		t.hang(text, at, at)
		return
	}
	t.line(words + strings.Repeat(" ", at-n) + document.Wrap(text, at, at))
}

// words splits text where it may break, which is not at a no-break space.
func words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' })
}

func width(text string) int { return utf8.RuneCountInString(text) }

func (t *writer) section(s *document.Section) {
	t.line("")
	if s.Title != "" {
		t.hang(strings.ToUpper(s.Title), 0, 2)
	}
	for _, b := range s.Blocks {
		switch b := b.(type) {
		case document.Paragraph:
			t.hang(t.of(document.Sentence(b)), 2, 2)
		case document.Figures:
			t.figures(b)
		case document.Table:
			t.table(&b)
		case document.Bars:
			t.bars(b)
		case document.Steps:
			for i := range b {
				t.step(&b[i])
			}
		case document.Findings:
			for i := range b {
				t.finding(&b[i], s.Title)
			}
		case document.Notes:
			for i := range b {
				t.note(&b[i])
			}
		case document.Cautions:
			for _, c := range b {
				t.hang("Caution: "+c, 2, 4)
			}
		}
	}
}

func (t *writer) figures(all document.Figures) {
	at := 0
	for _, f := range all {
		at = max(at, width(f.Words)+4)
	}
	at = min(at, label)
	for _, f := range all {
		text := document.Unbroken(f.Text(t.Reader))
		if f.Note != "" {
			text += " (" + f.Note + ")"
		}
		words := f.Words
		if width(words)+4 > at {
			// Words too long for the list stand by themselves, the figure at their end.
			t.hang(words+": "+text, 2, 4)
			continue
		}
		t.item("  "+words, text, at)
	}
}

// barWidth is how long a bar is at all that there is, beyond how far it may go past that.
const barWidth, beyond = 20, 5

// bar draws a part in blocks, with a mark at the whole where it goes beyond.
func bar(part float64, long int) string {
	n := int(math.Round(min(max(part, 0), 1) * float64(long)))
	text := strings.Repeat("█", n) + strings.Repeat("·", long-n)
	if part > 1 {
		over := int(math.Round(min((part-1)*float64(long), beyond)))
		text += "│" + strings.Repeat("█", max(over, 1))
	}
	return text
}

func (t *writer) bars(all document.Bars) {
	for _, b := range all {
		mark := " "
		if b.Severity > document.TooClose {
			mark = b.Severity.Sign()
		}
		part := b.Part.Value
		if !b.Part.Available() {
			part = 0
		}
		left := fmt.Sprintf("  %-*s %6s %s", barWidth+1+beyond, bar(part, barWidth), b.Part.Text(t.Reader), mark)
		t.item(left, t.of(b.Words), 2+barWidth+1+beyond+1+6+1+1+2)
	}
}

func (t *writer) step(s *document.Step) {
	t.steps++
	t.item(fmt.Sprintf("%2d  %s", t.steps, s.Title), t.of(s.Do), label/2+8)
	if s.Leave && !t.All {
		return
	}
	if s.Caution != "" {
		t.hang("Caution: "+s.Caution, 4, 6)
	}
	why := s.Why
	if t.All {
		why = append(why[:len(why):len(why)], s.Detail...)
	}
	for _, one := range why {
		t.hang(t.of(one), 4, 4)
	}
}

// finding writes a finding; one that asks for nothing is a line, unless all is asked for. A
// severity that the section's title says already is not said again.
func (t *writer) finding(f *document.Finding, title string) {
	words := f.Severity.Words()
	if f.Severity.String() == title {
		words = ""
	}
	if short := f.Severity == document.Fine || f.Severity == document.TooClose; short && !t.All {
		t.hang("- "+words+t.of(f.Headline)+".", 2, 4)
		return
	}
	t.line("")
	t.hang(words+t.of(f.Headline), 2, 4)
	if c := f.Change; c != nil {
		text := "Do: " + t.of(c.Do)
		if c.Before.Words != "" {
			text += ". " + document.Capital(c.Before.Words) + ": " + document.Unbroken(c.Before.Text(t.Reader)+" → "+c.After.Text(t.Reader))
		}
		t.hang(text+".", 4, 4)
	}
	if len(f.Text) > 0 {
		t.hang(t.of(f.Text), 4, 4)
	}
}

func (t *writer) note(n *document.Note) {
	text := n.Severity.Words() + t.of(n.Problem)
	if remedy := t.of(n.Remedy); remedy != "" {
		text += " " + remedy
	}
	t.hang("- "+text, 2, 4)
}
