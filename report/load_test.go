package report_test

import (
	"encoding/json"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/report"
	"evenlock/rig"
	"evenlock/steer"
)

// loadsOf are the documents of the loads on a starter, with every remark about them part of the file.
func loadsOf(t *testing.T, name string, tilt load.Tilt, changes ...change) []document {
	t.Helper()
	text := string(rigtest.LoadedText(t, name))
	for _, c := range changes {
		if !strings.Contains(text, c.old) {
			t.Fatalf("the starter %s has no %q", name, c.old)
		}
		text = strings.ReplaceAll(text, c.old, c.new)
	}
	r, err := rig.Read(strings.NewReader(text), name)
	if err != nil {
		t.Fatal(err)
	}
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	l, err := load.OverLock(m, tilt, 4)
	if err != nil {
		t.Fatal(err)
	}
	return []document{
		{"load.txt", func(w io.Writer) error { return report.Load(w, l) }},
		{"load.json", func(w io.Writer) error { return report.LoadJSON(w, l) }},
	}
}

func TestLoadsReadAsBefore(t *testing.T) {
	for _, name := range []string{"far-knuckle", "centre-crank"} {
		for _, d := range loadsOf(t, name, load.Tilt{}) {
			t.Run(name+" "+d.name, func(t *testing.T) { asBefore(t, name, d) })
		}
	}
}

// spoiledLoads are loads with what makes the text longest or leaves most out.
func spoiledLoads(t *testing.T) map[string][]document {
	t.Helper()
	all := map[string][]document{}
	for _, name := range rigtest.Names() {
		all[name] = loadsOf(t, name, load.Tilt{})
		all[name+", tilted"] = loadsOf(t, name, load.Tilt{NoseUp: 0.4, RightDown: -0.3})
		all[name+", weak"] = loadsOf(t, name, load.Tilt{}, change{`kg·cm"`, `N·mm"`})
		all[name+", heavy"] = loadsOf(t, name, load.Tilt{}, change{"\nmass = ", "\nmass = 10"}, change{"\nrock_force = ", "\nrock_force = 100"})
		all[name+", strong"] = loadsOf(t, name, load.Tilt{}, change{`kg·cm"`, `N·m"`}, change{"\nvoltage = 6.0", "\nvoltage = 12.6"})
		leaveOut := []change{{"\n[servo_saver]", "\n# "}}
		for _, key := range []string{"rock_height", "rock_force", "material", "diameter", "preload", "stiffness", "holes", "stall_current", "resistance", "bearing_span"} {
			leaveOut = append(leaveOut, change{"\n" + key + " = ", "\n# "})
		}
		if name != "centre-crank" && name != "rack" { // whose rods are straight and solid
			all[name+", bent"] = loadsOf(t, name, load.Tilt{}, change{"\nbend = ", "\nbend = 1"})
			leaveOut = append(leaveOut, change{"\nbore = ", "\n# "}, change{"\nbend = ", "\n# "})
		}
		all[name+", bare"] = loadsOf(t, name, load.Tilt{}, leaveOut...)
	}
	return all
}

func TestLoadsFitEightyColumnsWithUnitsAndWithoutSigns(t *testing.T) {
	signed := regexp.MustCompile(`\+\d|-\d|\b(?i:nan|inf)\b|∞|%!`)
	for name, docs := range spoiledLoads(t) {
		own := text(t, docs[0])
		for line := range strings.Lines(own) {
			if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 80 {
				t.Errorf("%s: %d columns: %s", name, n, line)
			}
		}
		if found := signed.FindString(own); found != "" {
			t.Errorf("%s: shows %q", name, found)
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

// Whoever leaves something out is told what is not known for that, and how to know it.
func TestLoadsSayWhatTheyDoNotKnow(t *testing.T) {
	docs := spoiledLoads(t)
	for name, wants := range map[string][]string{
		"behind, bare": {
			"add drag_link.material and diameter", "add tie_rod.material and diameter", "heat not known: state stall_current", "no drop is counted",
			"add servo.bearing_span for its bearings", "ground.rock_height and ground.rock_force", "Add horn.holes",
		},
		"far-knuckle, weak":  {"it stalls when still straight", "on standing tyres it stalls", "it cannot hold against the rock"},
		"far-knuckle":        {"to the left it stalls at 9.6° of the inner wheel; to the right nowhere"},
		"chassis, strong":    {"The supply's 12.6 V are more than the 7.4 V of the highest rating", "the maker may not allow it"},
		"chassis, tilted":    {"left 7.3 N, right 3.9 N"},
		"centre-crank":       {"left crank rod pushes", "SERVO SAVER", "gives way at 0.59 N·m (6.0 kgf·cm)"},
		"chassis, bent":      {"bent by 14.0 mm", "The drag link gives way at 0."},
		"tie-rod, heavy":     {"SERVO SAVER", "falls short by"},
		"far-knuckle, heavy": {"stalls when still straight"},
	} {
		own := strings.Join(strings.Fields(text(t, docs[name][0])), " ")
		for _, want := range wants {
			if !strings.Contains(own, want) {
				t.Errorf("%s: does not say %q:\n%s", name, want, text(t, docs[name][0]))
			}
		}
	}
}
