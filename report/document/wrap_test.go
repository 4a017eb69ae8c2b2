package document_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"evenlock/report/document"

	"pgregory.net/rapid"
)

// Wrapping changes nothing but the white space, keeps to the page, and never parts a figure from
// its uncertainty or unit.
func TestWrapKeepsWordsAndWidth(t *testing.T) {
	words := rapid.SampledFrom([]string{
		"the", "servo's", "counter-clockwise", document.Unbroken("12.4° ± 0.8°"), document.Unbroken("8.5 %"), document.Unbroken("(of 1.18 mm,"), "m", "–",
	})
	rapid.Check(t, func(t *rapid.T) {
		all := strings.Join(rapid.SliceOf(words).Draw(t, "words"), " ")
		at, indent := rapid.IntRange(0, 40).Draw(t, "at"), rapid.IntRange(0, 20).Draw(t, "indent")
		got := document.Wrap(all, at, indent)
		fields := func(s string) string {
			return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\n' }), " ")
		}
		if fields(got) != fields(all) {
			t.Fatalf("%q became %q", all, got)
		}
		for i, line := range strings.Split(got, "\n") {
			wide := utf8.RuneCountInString(line)
			if i == 0 {
				wide += at
			}
			if wide > 80 {
				t.Fatalf("%d columns: %q", wide, line)
			}
			if i > 0 && !strings.HasPrefix(line, strings.Repeat(" ", indent)) {
				t.Fatalf("%q is not %d in", line, indent)
			}
		}
	})
}
