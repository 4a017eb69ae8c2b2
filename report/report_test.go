package report_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"evenlock/report"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

var update = flag.Bool("update", false, "write the golden files anew")

// change is one of a starter's text.
type change struct{ old, new string }

// starter reads a starter's text with changes made in it.
func starter(t *testing.T, name string, changes ...change) *rig.Rig {
	t.Helper()
	for _, s := range rig.Starters() {
		if s.Name != name {
			continue
		}
		text := string(s.Text)
		for _, c := range changes {
			if !strings.Contains(text, c.old) {
				t.Fatalf("the starter %s has no %q", name, c.old)
			}
			text = strings.Replace(text, c.old, c.new, 1)
		}
		r, err := rig.Read(strings.NewReader(text), name)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	t.Fatalf("no starter %s", name)
	return nil
}

type document struct {
	name  string
	write func(w io.Writer) error
}

// documents makes every document of a rig.
func documents(t *testing.T, r *rig.Rig) []document {
	t.Helper()
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	samples, err := m.Sweep(-0.5, 0.5, 5)
	if err != nil {
		t.Fatal(err)
	}
	p, err := setup.Make(r)
	if err != nil {
		t.Fatal(err)
	}
	trial, err := setup.Try(r, 5)
	if err != nil {
		t.Fatal(err)
	}
	return []document{
		{"check.txt", func(w io.Writer) error { return report.Check(w, m) }},
		{"sweep.txt", func(w io.Writer) error { return report.Sweep(w, m, samples) }},
		{"sweep.csv", func(w io.Writer) error { return report.SweepCSV(w, samples) }},
		{"sweep.json", func(w io.Writer) error { return report.SweepJSON(w, m, samples) }},
		{"setup.txt", func(w io.Writer) error { return report.Plan(w, p) }},
		{"setup.json", func(w io.Writer) error { return report.PlanJSON(w, p) }},
		{"try.txt", func(w io.Writer) error { return report.Trial(w, trial) }},
		{"try.json", func(w io.Writer) error { return report.TrialJSON(w, trial) }},
		{"limits.txt", func(w io.Writer) error { return report.Limits(w, m) }},
		{"limits.json", func(w io.Writer) error { return report.LimitsJSON(w, m) }},
	}
}

func text(t *testing.T, d document) string {
	t.Helper()
	var b bytes.Buffer
	if err := d.write(&b); err != nil {
		t.Fatalf("%s: %v", d.name, err)
	}
	return b.String()
}

var longNumber = regexp.MustCompile(`-?\d+(?:\.\d+)?(?:e[+-]?\d+)?`)

// rounded keeps six figures of the numbers in CSV and JSON, which are written in full: the last ones
// depend on the computer's arithmetic.
func rounded(name, s string) string {
	if strings.HasSuffix(name, ".txt") {
		return s
	}
	return longNumber.ReplaceAllStringFunc(s, func(n string) string {
		v, err := strconv.ParseFloat(n, 64)
		if err != nil || !strings.ContainsAny(n, ".e") {
			return n
		}
		if math.Abs(v) < 1e-9 {
			return "0"
		}
		return strconv.FormatFloat(v, 'g', 6, 64)
	})
}

// Run with -update to write the golden files anew, and read the difference.
func TestDocumentsReadAsBefore(t *testing.T) {
	for _, name := range []string{"far-knuckle", "centre-crank"} {
		for _, d := range documents(t, starter(t, name)) {
			t.Run(name+" "+d.name, func(t *testing.T) {
				asBefore(t, name, d)
			})
		}
	}
}

// asBefore compares a document with its golden file.
func asBefore(t *testing.T, name string, d document) {
	t.Helper()
	path := filepath.Join("testdata", name+"."+d.name)
	got := rounded(d.name, text(t, d))
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got == string(want) {
		return
	}
	was := strings.Split(string(want), "\n")
	for i, line := range strings.Split(got, "\n") {
		if i >= len(was) || line != was[i] {
			t.Fatalf("%s:%d: now reads\n%s", path, i+1, line)
		}
	}
	t.Fatalf("%s: now ends early", path)
}

// spoiled are starters with what makes the text longest or leaves most out.
func spoiled(t *testing.T) map[string]*rig.Rig {
	t.Helper()
	all := map[string]*rig.Rig{}
	for _, s := range rig.Starters() {
		all[s.Name] = starter(t, s.Name)
		all[s.Name+", long name"] = starter(t, s.Name, change{"starter (invented)", strings.Repeat("of many a winter's evening ", 8)})
		all[s.Name+", curve"] = starter(t, s.Name, change{"curve_points = 0", "curve_points = 9"}, change{"expo = true", "expo = false"})
		all[s.Name+", coarse"] = starter(t, s.Name, change{"[accuracy]\nlength = ", "[accuracy]\nlength = 4 # "})
		bare := starter(t, s.Name)
		bare.Servo.Teeth, bare.Horn.Arms = 0, 0
		bare.DragLink.Adjust, bare.DragLink.Thread = "fixed", ""
		for _, m := range bare.Measurements() {
			m.Q.Uncertainty = 0
		}
		all[s.Name+", bare"] = bare
	}
	return all
}

func TestTextFitsEightyColumns(t *testing.T) {
	for name, r := range spoiled(t) {
		for _, d := range documents(t, r) {
			if !strings.HasSuffix(d.name, ".txt") {
				continue
			}
			for line := range strings.Lines(text(t, d)) {
				line = strings.TrimSuffix(line, "\n")
				if n := utf8.RuneCountInString(line); n > 80 {
					t.Errorf("%s, %s: %d columns: %s", name, d.name, n, line)
				}
				if strings.HasSuffix(line, " ") && strings.TrimSpace(line) == "" {
					t.Errorf("%s, %s: a line of blanks", name, d.name)
				}
			}
		}
	}
}

// The words shown have a side or a way, never a sign; what is not a number is not shown.
func TestTextHasNoPlusSignsAndNoNaN(t *testing.T) {
	signed := regexp.MustCompile(`\+\d+\.\d|-\d|\b(?i:nan|inf)\b|%!`)
	for name, r := range spoiled(t) {
		for _, d := range documents(t, r) {
			if !strings.HasSuffix(d.name, ".txt") {
				continue
			}
			// The notes at the end are setup's words.
			own, _, _ := strings.Cut(text(t, d), "\nNOTES\n")
			if found := signed.FindString(own); found != "" {
				t.Errorf("%s, %s: shows %q", name, d.name, found)
			}
		}
	}
}

func TestCautionsAreWhereTheServoIsDriven(t *testing.T) {
	for _, d := range documents(t, starter(t, "behind")) {
		want := d.name == "setup.txt" || d.name == "try.txt" || d.name == "setup.json"
		got := text(t, d)
		if strings.Contains(got, "motor unplugged") != want || strings.Contains(got, "Keep fingers out") != want {
			t.Errorf("%s: cautions shown: %v, want %v", d.name, !want, want)
		}
	}
}

// Every number in JSON stands beside its unit, and a number that there is not is null.
func TestEveryNumberInJSONHasItsUnit(t *testing.T) {
	for name, r := range spoiled(t) {
		for _, d := range documents(t, r) {
			if !strings.HasSuffix(d.name, ".json") {
				continue
			}
			var doc any
			if err := json.Unmarshal([]byte(text(t, d)), &doc); err != nil {
				t.Errorf("%s, %s: %v", name, d.name, err)
				continue
			}
			if n := lookForBareNumbers(t, name+", "+d.name, "", doc, false); n < 20 {
				t.Errorf("%s, %s: only %d numbers", name, d.name, n)
			}
		}
	}
}

// lookForBareNumbers counts the numbers, and reports those without a unit.
func lookForBareNumbers(t *testing.T, what, path string, v any, unit bool) (numbers int) {
	t.Helper()
	switch v := v.(type) {
	case map[string]any:
		name, ok := v["unit"].(string)
		for key, x := range v {
			numbers += lookForBareNumbers(t, what, path+"."+key, x, ok && name != "")
		}
	case []any:
		for _, x := range v {
			numbers += lookForBareNumbers(t, what, path, x, unit)
		}
	case float64:
		if !unit {
			t.Errorf("%s: %s is %g of no unit", what, path, v)
		}
		return 1
	}
	return numbers
}

func TestSweepThatIsNotFiniteIsLeftOutOfFiles(t *testing.T) {
	m, err := steer.New(starter(t, "far-knuckle"))
	if err != nil {
		t.Fatal(err)
	}
	samples, err := m.Sweep(0, 0.1, 2)
	if err != nil {
		t.Fatal(err)
	}
	samples[0].Values[steer.OuterRadius] = math.Inf(1)
	samples[0].Rates[steer.OuterRadius] = math.NaN()
	samples[1].Uncertain[steer.RoadLeft] = math.Inf(1)
	var b bytes.Buffer
	if err := report.SweepJSON(&b, m, samples); err != nil {
		t.Fatal(err)
	}
	if !json.Valid(b.Bytes()) || bytes.Count(b.Bytes(), []byte(`"value": null`)) != 3 {
		t.Errorf("want three nulls in %s", b.String())
	}
	b.Reset()
	if err := report.SweepCSV(&b, samples); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "Inf") || strings.Contains(b.String(), "NaN") {
		t.Errorf("not a number in %s", b.String())
	}
}

// The CSV holds the numbers of the JSON.
func TestCSVAndJSONAgree(t *testing.T) {
	ds := documents(t, starter(t, "chassis"))
	table, err := csv.NewReader(strings.NewReader(text(t, ds[2]))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Rows []struct {
			Servo  report.Figure
			Values map[string]report.Figure
			Rates  map[string]report.Figure
		}
	}
	if err := json.Unmarshal([]byte(text(t, ds[3])), &doc); err != nil {
		t.Fatal(err)
	}
	if len(table) != len(doc.Rows)+1 || len(doc.Rows) != 5 {
		t.Fatalf("%d rows of CSV, %d of JSON", len(table), len(doc.Rows))
	}
	cell := regexp.MustCompile(`^(\w+)( rate)?( ±)? \((.+)\)$`)
	for i, row := range doc.Rows {
		for j, head := range table[0][1:] {
			m := cell.FindStringSubmatch(head)
			if m == nil {
				t.Fatalf("the head %q", head)
			}
			f := row.Values[m[1]]
			if m[2] != "" {
				f = row.Rates[m[1]]
			}
			want := f.Uncertain
			if m[3] == "" && f.Value != nil {
				want = *f.Value
			}
			if f.Unit != m[4] {
				t.Errorf("%s is in %s in JSON", head, f.Unit)
			}
			if got := table[i+1][j+1]; got != "" {
				if v, err := strconv.ParseFloat(got, 64); err != nil || math.Abs(v-want) > 1e-8*math.Abs(want) {
					t.Errorf("row %d, %s: %s, and %g in JSON", i, head, got, want)
				}
			} else if f.Value != nil {
				t.Errorf("row %d, %s: empty, and %g in JSON", i, head, *f.Value)
			}
		}
	}
}
