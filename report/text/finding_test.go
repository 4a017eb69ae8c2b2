package text_test

import (
	"strings"
	"testing"

	"evenlock/report/document"
	"evenlock/report/text"
)

// What asks for nothing is a line, unless all is asked for; a severity that the section's title
// says is not said again.
func TestAFindingThatAsksForNothingIsALine(t *testing.T) {
	all := document.Findings{
		{Key: "a", Severity: document.MustFix, Headline: document.Say("The rod bends"), Text: document.Say("By much.")},
		{Key: "b", Severity: document.TooClose, Headline: document.Say("Off square"), Text: document.Say("By little.")},
	}
	for _, c := range []struct {
		title string
		all   bool
		want  string
	}{
		{"Found", false, "\n  Must fix: The rod bends\n    By much.\n  - Too close to call: Off square.\n"},
		{"Must fix", false, "\n  The rod bends\n    By much.\n  - Too close to call: Off square.\n"},
		{"Too close to call", true, "\n  Must fix: The rod bends\n    By much.\n\n  Off square\n    By little.\n"},
	} {
		var b strings.Builder
		d := &document.Document{Title: "Test", Rig: "rig", Sections: []document.Section{{Key: "s", Title: c.title, Blocks: []document.Block{all}}}}
		if err := text.Write(&b, d, text.Options{All: c.all}); err != nil {
			t.Fatal(err)
		}
		if _, got, _ := strings.Cut(b.String(), strings.ToUpper(c.title)+"\n"); got != c.want {
			t.Errorf("%s, all %v: %q, want %q", c.title, c.all, got, c.want)
		}
	}
}
