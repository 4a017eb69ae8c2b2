package document_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"evenlock/report/document"
)

// A line of a verdict is counted as it is written: with its severity, and broken at 80 columns.
func TestALineOfAVerdictIsCountedAsItIsWritten(t *testing.T) {
	for _, c := range []struct {
		severity document.Severity
		words    int
		lines    int
	}{
		{document.Plain, 40, 1}, {document.Plain, 41, 2}, {document.MustFix, 35, 1}, {document.MustFix, 36, 2}, {document.Fine, 40, 1},
	} {
		// Each word has one letter, and a space before it.
		l := document.Line{Severity: c.severity, Sentence: document.Say(strings.TrimSpace(strings.Repeat("a ", c.words)))}
		if got := l.Lines(document.Reader{}); got != c.lines {
			t.Errorf("%v, %d words: %d lines, want %d", c.severity, c.words, got, c.lines)
		}
		for line := range strings.SplitSeq(document.Wrap(l.TextToWrap(document.Reader{}), 0, 2), "\n") {
			if n := utf8.RuneCountInString(line); n > document.Columns {
				t.Errorf("%d columns: %s", n, line)
			}
		}
	}
}
