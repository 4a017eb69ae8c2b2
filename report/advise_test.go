package report_test

import (
	"encoding/json"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"evenlock/advise"
	"evenlock/internal/rigtest"
	"evenlock/report"
)

// adviceOn are the documents of the advice on a rig, and the list behind them.
func adviceOn(t *testing.T, text []byte) ([]document, []advise.Finding) {
	t.Helper()
	list, s, err := advise.Of(rigtest.Read(t, text))
	if err != nil {
		t.Fatal(err)
	}
	return []document{
		{"advise.txt", func(w io.Writer) error { return report.Advice(w, s, list) }},
		{"advise.json", func(w io.Writer) error { return report.AdviceJSON(w, s, list) }},
	}, list
}

func TestAdviceReadsAsBefore(t *testing.T) {
	for name, from := range map[string][]byte{"far-knuckle": rigtest.StarterText(t, "far-knuckle"), "behind": rigtest.LoadedText(t, "behind")} {
		docs, _ := adviceOn(t, from)
		for _, d := range docs {
			t.Run(name+" "+d.name, func(t *testing.T) { asBefore(t, name, d) })
		}
	}
}

func TestAdviceFitsEightyColumnsAndLeavesNothingOut(t *testing.T) {
	signed := regexp.MustCompile(`\+\d|-\d|\b(?i:nan|inf)\b|∞|%!`)
	for _, name := range rigtest.Names() {
		for what, from := range map[string][]byte{"as it is": rigtest.StarterText(t, name), "loaded": rigtest.LoadedText(t, name)} {
			docs, list := adviceOn(t, from)
			own := text(t, docs[0])
			for line := range strings.Lines(own) {
				if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 80 {
					t.Errorf("%s, %s: %d columns: %s", name, what, n, line)
				}
			}
			if found := signed.FindString(own); found != "" {
				t.Errorf("%s, %s: shows %q", name, what, found)
			}
			rest := strings.Join(strings.Fields(own), " ")
			for _, p := range list {
				_, after, found := strings.Cut(rest, p.Sentence)
				if !found {
					t.Errorf("%s, %s: leaves out, or not in order: %s", name, what, p.Sentence)
					continue
				}
				rest = after
			}
			var doc struct {
				List []struct {
					Sentence string           `json:"sentence"`
					Figures  []map[string]any `json:"figures"`
				} `json:"list"`
			}
			if err := json.Unmarshal([]byte(text(t, docs[1])), &doc); err != nil {
				t.Fatal(err)
			}
			for i, p := range list {
				if doc.List[i].Sentence != p.Sentence || len(doc.List[i].Figures) != len(p.Figures) {
					t.Errorf("%s, %s: the JSON has %+v for %s", name, what, doc.List[i], p.Key)
				}
			}
		}
	}
}
