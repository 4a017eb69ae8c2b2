package report_test

import (
	"encoding/json"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/rig"
	"evenlock/turning"
)

// turnsOf are the documents of a rig's turns.
func turnsOf(t *testing.T, r *rig.Rig) []document {
	t.Helper()
	d, err := turning.Over(r, turning.Usual())
	if err != nil {
		t.Fatal(err)
	}
	return []document{
		{"turn.txt", func(w io.Writer) error { return report.Turn(w, d) }},
		{"turn.json", func(w io.Writer) error { return report.TurnJSON(w, d) }},
	}
}

func fourWheel(t *testing.T, changes ...change) *rig.Rig {
	t.Helper()
	text, err := os.ReadFile("../examples/four-wheel.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range changes {
		if !strings.Contains(string(text), c.old) {
			t.Fatalf("the example has no %q", c.old)
		}
		text = []byte(strings.Replace(string(text), c.old, c.new, 1))
	}
	return rigtest.Read(t, text)
}

func TestTurnsReadAsBefore(t *testing.T) {
	for name, r := range map[string]*rig.Rig{"four-wheel": fourWheel(t), "behind": starter(t, "behind")} {
		for _, d := range turnsOf(t, r) {
			t.Run(name+" "+d.name, func(t *testing.T) { asBefore(t, name, d) })
		}
	}
}

// turningRigs are rigs with what makes the text longest or leaves most out.
func turningRigs(t *testing.T) map[string]*rig.Rig {
	t.Helper()
	parallel := rigtest.Planar{Spacing: 200, Wheelbase: 300, TieArm: 26, DragArm: 20, Horn: 20, More: "\n[left.stops]\nin = 30\nout = 30\n"}.Rig(t)
	parallel.Rear = &rig.Rear{Track: parallel.Vehicle.Track, Left: parallel.Left, TieRod: parallel.TieRod, Servo: parallel.Servo, Horn: parallel.Horn, DragLink: parallel.DragLink}
	return map[string]*rig.Rig{
		"four-wheel": fourWheel(t), "parallel": parallel,
		"exact":   fourWheel(t, change{"length = 0.25", "length = 0"}, change{"angle = 1 ", "angle = 0 "}),
		"large":   rigtest.Scaled(fourWheel(t), 9),
		"bound":   fourWheel(t, change{"in = 34", "in = 3"}, change{"out = 32", "out = 3"}),
		"still":   fourWheel(t, change{"in = 34", "in = 1"}, change{"out = 32", "out = 1"}),
		"wanted":  fourWheel(t, change{"margin = 2", "lock = 15\nmargin = 2"}),
		"chassis": starter(t, "chassis"), "far-knuckle": starter(t, "far-knuckle"),
	}
}

func TestTurnsFitEightyColumnsWithUnitsAndWithoutSigns(t *testing.T) {
	signed := regexp.MustCompile(`\+\d|-\d|−|\b(?i:nan|inf)\b|∞|%!`)
	for name, r := range turningRigs(t) {
		docs := turnsOf(t, r)
		own := text(t, docs[0])
		for line := range strings.Lines(own) {
			if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 80 {
				t.Errorf("%s: %d columns: %s", name, n, line)
			}
		}
		if found := signed.FindString(own); found != "" {
			t.Errorf("%s: shows %q:\n%s", name, found, own)
		}
		joined := strings.Join(strings.Fields(own), " ")
		for _, caution := range report.Cautions {
			if !strings.Contains(joined, caution) {
				t.Errorf("%s: does not say %q", name, caution)
			}
		}
		if two := strings.Contains(joined, "Two servos draw on one supply"); two != (r.Rear != nil) {
			t.Errorf("%s: speaks of two servos: %v", name, two)
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

func TestTurnsSayWhatLimitsThemAndWhatIsMissing(t *testing.T) {
	rigs := turningRigs(t)
	for name, wants := range map[string][]string{
		"four-wheel":  {"OPPOSITE PHASE: the rear steers the other way by 1.00 of the front's angle", "! the rear steers 29.5° of the 32.4° wanted: the rear left knuckle's inward stop ends it; it follows up to 29.5° at the front", "the front's lock; the rear follows all the way"},
		"parallel":    {"goes 28.0° left and keeps its heading"},
		"wanted":      {"by the lock wanted", "the front's lock; the rear follows all the way"},
		"still":       {"rear, left straight by", "0.0° of the 32.4° wanted"},
		"far-knuckle": {"THE REAR DOES NOT STEER", "Add a table [rear]"},
	} {
		own := strings.Join(strings.Fields(text(t, turnsOf(t, rigs[name])[0])), " ")
		for _, want := range wants {
			if !strings.Contains(own, want) {
				t.Errorf("%s: does not say %q:\n%s", name, want, text(t, turnsOf(t, rigs[name])[0]))
			}
		}
	}
}
