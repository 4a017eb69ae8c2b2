package report_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"evenlock/report"
	"evenlock/report/document"
	"evenlock/steer"
)

// sampled samples a starter's model at a few servo angles.
func sampled(t *testing.T, name string, from, to float64, n int) (*steer.Model, []steer.Sample) {
	t.Helper()
	m, err := steer.New(starter(t, name))
	if err != nil {
		t.Fatal(err)
	}
	samples, err := m.Sweep(from, to, n)
	if err != nil {
		t.Fatal(err)
	}
	return m, samples
}

// Every number in JSON stands beside its unit.
func TestEveryNumberInJSONHasItsUnit(t *testing.T) {
	everyAccount(t, func(t *testing.T, d *document.Document) {
		var doc any
		if err := json.Unmarshal(encoded(t, d, document.Reader{}), &doc); err != nil {
			t.Fatal(err)
		}
		if n := bareNumbers(t, "", doc, false); n < 4 {
			t.Errorf("only %d numbers", n)
		}
	})
}

// bareNumbers counts the numbers, and reports those without a unit. A factor between two units, the
// number of an offer and a number of rows have none.
func bareNumbers(t *testing.T, path string, v any, unit bool) (numbers int) {
	t.Helper()
	switch v := v.(type) {
	case map[string]any:
		name, ok := v["unit"].(string)
		for key, x := range v {
			if key != "times" && key != "try" && key != "shown" {
				numbers += bareNumbers(t, path+"."+key, x, ok && name != "")
			}
		}
	case []any:
		for _, x := range v {
			numbers += bareNumbers(t, path, x, unit)
		}
	case float64:
		if !unit {
			t.Errorf("%s is %g of no unit", path, v)
		}
		return 1
	}
	return numbers
}

func TestSweepThatIsNotFiniteIsLeftOutOfFiles(t *testing.T) {
	m, samples := sampled(t, "far-knuckle", 0.2, 0.3, 2)
	nulls := func() int {
		d, err := report.Sweep(m, samples)
		if err != nil {
			t.Fatal(err)
		}
		return bytes.Count(encoded(t, d, document.Reader{}), []byte(`"value":null`))
	}
	if n := nulls(); n != 0 {
		t.Fatalf("%d nulls to begin with", n)
	}
	samples[0].Values[steer.OuterRadius] = math.Inf(1)
	samples[0].Rates[steer.OuterRadius] = math.NaN()
	samples[1].Uncertain[steer.Road.Of(steer.Left)] = math.Inf(1)
	// Three radii of the turn and the rate of one; the left wheel in the table and in the verdict.
	if n := nulls(); n != 6 {
		t.Errorf("%d nulls, want 6", n)
	}
	var b bytes.Buffer
	if err := report.SweepCSV(&b, samples); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "Inf") || strings.Contains(b.String(), "NaN") {
		t.Errorf("not a number in %s", b.String())
	}
}

// jsonFigure is a figure of a document's JSON.
type jsonFigure struct {
	Value     *float64
	Uncertain float64
	Unit      string
}

// columnsOf reads the tables of a document's JSON: the figures of each column, by its key.
func columnsOf(t *testing.T, written []byte) map[string][]jsonFigure {
	t.Helper()
	var doc struct {
		Sections []struct {
			Blocks []struct {
				Columns []struct{ Key string }
				Rows    []struct {
					Cells []struct{ Figures []jsonFigure }
				}
			}
		}
	}
	if err := json.Unmarshal(written, &doc); err != nil {
		t.Fatal(err)
	}
	all := map[string][]jsonFigure{}
	for _, s := range doc.Sections {
		for _, b := range s.Blocks {
			for i, c := range b.Columns {
				all[c.Key] = nil
				for _, row := range b.Rows {
					if f := row.Cells[i].Figures; len(f) == 1 {
						all[c.Key] = append(all[c.Key], f[0])
					}
				}
			}
		}
	}
	return all
}

// The CSV holds the numbers of the JSON.
func TestCSVAndJSONAgree(t *testing.T) {
	m, samples := sampled(t, "chassis", -0.5, 0.5, 5)
	var b bytes.Buffer
	if err := report.SweepCSV(&b, samples); err != nil {
		t.Fatal(err)
	}
	table, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	d, err := report.Sweep(m, samples)
	if err != nil {
		t.Fatal(err)
	}
	columns := columnsOf(t, encoded(t, d, document.Reader{}))
	if len(table) != 6 {
		t.Fatalf("%d rows of CSV", len(table))
	}
	head := regexp.MustCompile(`^(\w+(?: rate)?)( ±)? \((.+)\)$`)
	for j, name := range table[0][1:] {
		found := head.FindStringSubmatch(name)
		if found == nil {
			t.Fatalf("the head %q", name)
		}
		figures := columns[found[1]]
		if len(figures) != 5 {
			t.Errorf("%s: %d figures in JSON", name, len(figures))
			continue
		}
		for i, f := range figures {
			want := f.Uncertain
			if found[2] == "" && f.Value != nil {
				want = *f.Value
			}
			if unit := strings.ReplaceAll(f.Unit, "°", "deg"); unit != found[3] {
				t.Errorf("%s is in %s in JSON", name, f.Unit)
			}
			switch cell := table[i+1][j+1]; {
			case cell == "" && f.Value != nil:
				t.Errorf("row %d, %s: empty, and %g in JSON", i, name, *f.Value)
			case cell != "":
				if v, err := strconv.ParseFloat(cell, 64); err != nil || math.Abs(v-want) > 1e-8*math.Abs(want) {
					t.Errorf("row %d, %s: %s, and %g in JSON", i, name, cell, want)
				}
			}
		}
	}
	for i, circle := range columns["turning_circle"] {
		if r := columns["outer_radius"][i]; circle.Value != nil && math.Abs(*circle.Value-2**r.Value/1000) > 1e-9*(*circle.Value) {
			t.Errorf("a turning circle of %g m, with a radius of %g mm", *circle.Value, *r.Value)
		}
	}
}

// A starter's places are its file's: from far-knuckle, wheel centres at half the track of 200 mm,
// the horn's ball and the kingpin as they are written in it.
func TestCheckGivesThePlacesOfTheFile(t *testing.T) {
	m, err := steer.New(starter(t, "far-knuckle"))
	if err != nil {
		t.Fatal(err)
	}
	d, err := report.Check(nil, m)
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]document.Sentence
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			if table, is := b.(document.Table); is && s.Key == "places" {
				for _, r := range table.Rows {
					rows = append(rows, r.Cells)
				}
			}
		}
	}
	for _, want := range [][4]string{
		{"left wheel's centre", "0.0 mm", "100.0 mm left", "0.0 mm"},
		{"right wheel's centre", "0.0 mm", "100.0 mm right", "0.0 mm"},
		{"left tie-rod ball", "26.0 mm behind", "69.5 mm left", "8.0 mm below"},
		{"right tie-rod ball", "26.0 mm behind", "69.5 mm right", "8.0 mm below"},
		// The line through (-1.8, 74.2, 17) and (1.8, 77.8, -17), at z = 0.
		{"left kingpin at wheel-centre height", "0.0 mm", "76.0 mm left", "0.0 mm"},
		// The same, 58 mm of tyre lower: 0 + 58·3.6/34 and 76 + 58·3.6/34.
		{"left kingpin at the ground", "6.1 mm in front", "82.1 mm left", "58.0 mm below"},
	} {
		found := false
		for _, cells := range rows {
			if cells[0].Text(document.Reader{}) != want[0] {
				continue
			}
			found = true
			for i, text := range want[1:] {
				if got := cells[i+1].Text(document.Reader{}); got != text {
					t.Errorf("%s: %s, want %s", want[0], got, text)
				}
			}
		}
		if !found {
			t.Errorf("no %s", want[0])
		}
	}
	// Both lean angles of that line: atan(3.6/34) = 6.04°.
	for _, key := range []string{"caster.left", "inclination.left", "caster.right", "inclination.right"} {
		if f, ok := d.Find(key); !ok || math.Abs(f.Value-math.Atan(3.6/34)) > 1e-9 {
			t.Errorf("%s is %v", key, f.Value)
		}
	}
}

func TestCheckNamesWhatIsNotInTheFile(t *testing.T) {
	r := starter(t, "far-knuckle", change{"teeth =", "# teeth ="}, change{"travel =", "# travel ="})
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	d, err := report.Check(nil, m)
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			if notes, is := b.(document.Notes); is {
				for _, n := range notes {
					keys = append(keys, n.Problem.Keys()...)
				}
			}
		}
	}
	if strings.Join(keys, " ") != "servo.teeth servo.travel" {
		t.Errorf("names %v", keys)
	}
}
