package report_test

import (
	"encoding/json"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/travel"
)

// travelsOf are the documents of a rig's travel.
func travelsOf(t *testing.T, r *rig.Rig) []document {
	t.Helper()
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	d, err := travel.Over(m, travel.Options{Steps: 2})
	if err != nil {
		t.Fatal(err)
	}
	better, err := travel.Improve(m, 25)
	if err != nil {
		t.Fatal(err)
	}
	return []document{
		{"travel.txt", func(w io.Writer) error { return report.Travel(w, d, better) }},
		{"travel.json", func(w io.Writer) error { return report.TravelJSON(w, d, better) }},
		{"travel.csv", func(w io.Writer) error { return report.TravelCSV(w, d) }},
	}
}

// Only the axle of the first is unlike on both sides, so that no figure of it is nought but for rounding.
func TestTravelReadsAsBefore(t *testing.T) {
	for name, kinds := range map[string]int{"chassis": 3, "centre-crank": 1} {
		for _, d := range travelsOf(t, starter(t, name))[:kinds] {
			t.Run(name+" "+d.name, func(t *testing.T) { asBefore(t, name, d) })
		}
	}
}

// farRigs are rigs with what makes the text longest or leaves most out.
func farRigs(t *testing.T) map[string]*rig.Rig {
	t.Helper()
	chassis := string(rigtest.StarterText(t, "chassis"))
	from, to := strings.Index(chassis, "[suspension]"), strings.Index(chassis, "# What the transmitter can do")
	far := starter(t, "chassis", change{"bump = 24", "bump = 90"}, change{"droop = 24", "droop = 90"}, change{`name = "panhard"`, `name = "long rod across, out of the other box!!!"`})
	return map[string]*rig.Rig{
		"chassis": starter(t, "chassis"), "centre-crank": starter(t, "centre-crank"), "rack": starter(t, "rack"), "far": far,
		"on the axle": rigtest.Read(t, append(rigtest.StarterText(t, "tie-rod"), chassis[from:to]...)),
		"bare":        starter(t, "centre-crank", change{"end_angle", "# end_angle"}, change{"max_angle", "# max_angle"}, change{"\n[left.axle_joint]\nkind", "\n# "}),
	}
}

func TestTravelFitsEightyColumnsWithUnitsAndWithoutSigns(t *testing.T) {
	signed := regexp.MustCompile(`\+\d|-\d|\b(?i:nan|inf)\b|∞|%!`)
	for name, r := range farRigs(t) {
		docs := travelsOf(t, r)
		own := text(t, docs[0])
		for line := range strings.Lines(own) {
			if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 80 {
				t.Errorf("%s: %d columns: %s", name, n, line)
			}
		}
		if found := signed.FindString(own); found != "" {
			t.Errorf("%s: shows %q:\n%s", name, found, own)
		}
		for _, caution := range report.Cautions {
			if !strings.Contains(strings.Join(strings.Fields(own), " "), caution) {
				t.Errorf("%s: does not say %q", name, caution)
			}
		}
		var doc any
		if err := json.Unmarshal([]byte(text(t, docs[1])), &doc); err != nil {
			t.Fatal(err)
		}
		if n := lookForBareNumbers(t, name, "", doc, false); n < 100 {
			t.Errorf("%s: only %d numbers", name, n)
		}
	}
}

func TestTravelSaysWhereItStopsAndWhatIsBest(t *testing.T) {
	rigs := farRigs(t)
	for name, wants := range map[string][]string{
		"far":         {"IT DOES NOT GO AS FAR AS THE FILE SAYS", "the travel stops with the left wheel"},
		"chassis":     {"lower the horn's ball by 4.0 mm: 2.19° → 0.08° over the travel", "DRAG LINK BESIDE THE ROD ACROSS", "1.5° between drag link and panhard"},
		"on the axle": {"every rod of the steering goes with the axle", "bump steer for each mm that both wheels rise"},
		"rack":        {"move both inner balls 3.2 mm down and 4.8 mm inwards", "the right inner ball as in a mirror"},
	} {
		own := strings.Join(strings.Fields(text(t, travelsOf(t, rigs[name])[0])), " ")
		for _, want := range wants {
			if !strings.Contains(own, want) {
				t.Errorf("%s: does not say %q:\n%s", name, want, text(t, travelsOf(t, rigs[name])[0]))
			}
		}
	}
}
