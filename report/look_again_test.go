package report_test

import (
	"slices"
	"strings"
	"testing"

	"evenlock/doubt"
	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/steer"
)

// checkOf is the check of a starter with keys changed.
func checkOf(t *testing.T, name string, changes ...string) *document.Document {
	t.Helper()
	r := rigtest.Starter(t, name, changes...)
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	d, err := report.Check(doubt.Ask(r), m)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func verdictOf(d *document.Document) string {
	var all []string
	for _, l := range d.Verdict {
		all = append(all, l.Sentence.Text(document.Reader{}))
	}
	return strings.Join(all, "\n")
}

func findingsOf(d *document.Document, key string) document.Findings {
	var all document.Findings
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			if f, ok := b.(document.Findings); ok && s.Key == key {
				all = append(all, f...)
			}
		}
	}
	return all
}

func TestCheckAsksToLookAgainAndSaysWhatItProbablyIs(t *testing.T) {
	d := checkOf(t, "tie-rod", "vehicle.track=1960")
	if got := verdictOf(d); !strings.HasPrefix(got, "Look again at track: 1960 mm, probably 196 mm.\n") || strings.Contains(got, "In order") {
		t.Errorf("the verdict is %q", got)
	}
	all := findingsOf(d, "look_again")
	if len(all) != 1 || all[0].Change == nil {
		t.Fatalf("asks %v", all)
	}
	want := []document.Setting{{Key: "vehicle.track", Value: "196", Unit: "mm"}}
	if !slices.Equal(all[0].Change.Set, want) {
		t.Errorf("sets %v, want %v", all[0].Change.Set, want)
	}
}

// The starter's drag link falls from 44 mm to 20 mm on its 104 mm: its rod ends lean 13°.
func TestCheckTellsOfALimitThatIsPassedWithTheRest(t *testing.T) {
	d := checkOf(t, "chassis", "drag_link.end_angle=10", "vehicle.wheelbase=31.2")
	if d.Worst() != document.MustFix {
		t.Error("it is not said to be one to fix")
	}
	if got := verdictOf(d); !strings.Contains(got, "past its limit") || !strings.Contains(got, "Look again") {
		t.Errorf("the verdict is %q", got)
	}
	var keys []string
	for _, s := range d.Sections {
		keys = append(keys, s.Key)
	}
	for _, want := range []string{"look_again", "now", "places"} {
		if !slices.Contains(keys, want) {
			t.Errorf("has %v, and not %s", keys, want)
		}
	}
}

func TestARigInOrderIsNotAskedAnything(t *testing.T) {
	if d := checkOf(t, "tie-rod"); len(findingsOf(d, "look_again")) > 0 || !strings.HasPrefix(verdictOf(d), "In order. ") {
		t.Errorf("says %q", verdictOf(d))
	}
}
