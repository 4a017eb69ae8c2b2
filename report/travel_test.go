package report_test

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/report/text"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/travel"
)

// analysed is what the travel does to a rig, in so many steps each way, and the better places.
func analysed(r *rig.Rig, steps int) (*travel.Analysis, []travel.Better, error) {
	m, err := steer.NewSuspended(r)
	if err != nil {
		return nil, nil, err
	}
	a, err := travel.Over(m, travel.Options{Steps: steps})
	if err != nil {
		return nil, nil, err
	}
	better, err := travel.Improve(m, 25)
	return a, better, err
}

// travelOf is the document of a rig's travel.
func travelOf(r *rig.Rig, steps int) (*document.Document, error) {
	a, better, err := analysed(r, steps)
	if err != nil {
		return nil, err
	}
	return report.Travel(a, better), nil
}

func csvOf(t *testing.T, r *rig.Rig, steps int) string {
	t.Helper()
	a, _, err := analysed(r, steps)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := report.TravelCSV(&b, a); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Only the axle of this one is unlike on both sides, so that no figure of it is nought but for
// rounding.
func TestTravelOfASolidAxleReadsAsBefore(t *testing.T) {
	r := starter(t, "chassis")
	d, err := travelOf(r, 2)
	if err != nil {
		t.Fatal(err)
	}
	asBefore(t, "chassis", d)
	path := filepath.Join("testdata", "chassis.travel.csv")
	got := rounded(csvOf(t, r, 2))
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if want, err := os.ReadFile(path); err != nil || got != string(want) {
		t.Errorf("%s has changed, %v:\n%s", path, err, got)
	}
}

// travellingRigs are rigs with what makes the text longest or leaves most out.
func travellingRigs(t *testing.T) map[string]*rig.Rig {
	t.Helper()
	chassis := string(rigtest.StarterText(t, "chassis"))
	from, to := strings.Index(chassis, "[suspension]"), strings.Index(chassis, "# What the transmitter can do")
	return map[string]*rig.Rig{
		"trail-truck": example(t, "trail-truck"),
		"far":         starter(t, "chassis", change{"bump = 24", "bump = 90"}, change{"droop = 24", "droop = 90"}, change{`name = "panhard"`, `name = "long rod across, out of the other box!!!"`}),
		"short ends":  starter(t, "chassis", change{"end_angle = 30", "end_angle = 20"}),
		"on the axle": rigtest.Read(t, append(rigtest.StarterText(t, "tie-rod"), chassis[from:to]...)),
		"bare":        starter(t, "centre-crank", change{"end_angle", "# end_angle"}, change{"max_angle", "# max_angle"}, change{"\n[left.axle_joint]\nkind", "\n# "}),
	}
}

// oddTravels are their documents.
func oddTravels(t *testing.T) map[string]*document.Document {
	t.Helper()
	all := map[string]*document.Document{}
	for name, r := range travellingRigs(t) {
		var err error
		if all[name], err = travelOf(r, 6); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	return all
}

func TestTravelSaysWhatStopsItAndWhatIsBest(t *testing.T) {
	rigs := travellingRigs(t)
	for name, wants := range map[string][]string{
		"far":         {"Must fix: with left up, the drag link's rod end at the horn", "the travel stops with both wheels 67.7 mm down, short of 90.0 mm down (suspension.droop)"},
		"short ends":  {"Must fix: at full droop, the drag link's far rod end is", "past its limit, even straight ahead", report.Springs},
		"trail-truck": {"Must fix: at full droop, the drag link's far rod end binds at 16.7° left.", "lower the horn's ball by 4.0 mm: 2.2° → 0.1°", "the drag link is 1.4° ± 0.3° off the panhard"},
		"on the axle": {"The axle itself yaws: no rod turns a knuckle."},
	} {
		d, err := travelOf(rigs[name], 6)
		if err != nil {
			t.Fatal(err)
		}
		own := strings.Join(strings.Fields(written(t, d, text.Options{All: true})), " ")
		for _, want := range wants {
			if !strings.Contains(own, want) {
				t.Errorf("%s: does not say %q:\n%s", name, want, written(t, d, text.Options{All: true}))
			}
		}
	}
	d, err := travelOf(starter(t, "rack"), 6)
	if err != nil {
		t.Fatal(err)
	}
	// In inches the same, by 25.4 mm to each.
	for r, want := range map[document.Reader]string{{}: "lower both inner balls by 2.8 mm: 1.7° → 0.3°", {Length: document.Inches}: "lower both inner balls by 0.110 in: 1.7° → 0.3°"} {
		if own := written(t, d, text.Options{Reader: r}); !strings.Contains(own, want) {
			t.Errorf("does not say %q:\n%s", want, own)
		}
	}
}

// The figures of the document are those of the rig when it is moved there: the lock by turning the
// servo to the stop at that wheel travel, the shift by the axle's ends.
func TestTravelFiguresAreWhatTheRigDoes(t *testing.T) {
	r := example(t, "trail-truck")
	d, err := travelOf(r, 6)
	if err != nil {
		t.Fatal(err)
	}
	m, err := steer.NewSuspended(r.Exact())
	if err != nil {
		t.Fatal(err)
	}
	droop := steer.WheelTravel{Left: -24, Right: -24}
	stops, err := m.StopsAt(droop, m.Leftward())
	if err != nil {
		t.Fatal(err)
	}
	s := m.NewState()
	if err := s.Move(stops[0].Servo.Value, droop); err != nil {
		t.Fatal(err)
	}
	left := s.Road()[0]
	const h = 0.05
	up, down := m.NewState(), m.NewState()
	if err := up.Move(0, steer.WheelTravel{Left: h, Right: h}); err != nil {
		t.Fatal(err)
	}
	if err := down.Move(0, steer.WheelTravel{Left: -h, Right: -h}); err != nil {
		t.Fatal(err)
	}
	// The panhard's ends are as in the file.
	panhard := 0.0
	for _, l := range r.Suspension.Links {
		if l.Name == "panhard" {
			for i := range 3 {
				panhard = math.Hypot(panhard, l.Chassis[i].Value-l.Axle[i].Value)
			}
		}
	}
	for key, want := range map[string]float64{
		"lock.both_down.left": left,
		"shift":               (up.Carried().Side - down.Carried().Side) / (2 * h),
		"beside.link":         panhard,
	} {
		if f, ok := d.Find(key); !ok || math.Abs(f.Value-want) > 1e-5 {
			t.Errorf("%s is %v, wanted %v (there: %v)", key, f.Value, want, ok)
		}
	}
}

// Two parts that come too near over the travel are so many millimetres too near, not degrees: 24 mm
// up, less the way forward on the links' arcs, of the 17 mm between the bars.
func TestPartsThatComeTooNearDoSoInMillimetres(t *testing.T) {
	r := rigtest.Read(t, append(rigtest.StarterText(t, "chassis"), `
[[part]]
name = "cross member"
on = "chassis"
shape = "bar"
from = [0, 40, 30]
to = [0, -40, 30]
radius = 5

[[part]]
name = "housing"
on = "axle"
shape = "bar"
from = [0, 50, 0]
to = [0, -50, 0]
radius = 8
`...))
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	s := m.NewState()
	if err := s.Move(0, steer.WheelTravel{Left: 24, Right: 24}); err != nil {
		t.Fatal(err)
	}
	over := 30 - math.Hypot(30-24, s.Carried().Forward) - 17
	d, err := travelOf(r, 2)
	if err != nil {
		t.Fatal(err)
	}
	for reader, symbol := range map[document.Reader]string{{}: " mm", {Length: document.Inches}: " in"} {
		said := d.Verdict[0].Sentence
		words, f := said.Text(reader), said.Figures()[0]
		if f.Unit != document.Length || math.Abs(f.Value-over) > 0.05 {
			t.Errorf("%q has %v, and it is %v mm", words, f.Value, over)
		}
		if !strings.HasPrefix(words, "with both up, the cross member against the housing is ") || !strings.Contains(words, symbol+" too close") {
			t.Errorf("%q is not in%s", words, symbol)
		}
	}
}

// A program that reads the CSV has the figures of the document, in the units of the header.
func TestTravelCSVHasTheFiguresOfTheDocument(t *testing.T) {
	const degree = math.Pi / 180
	for _, name := range []string{"chassis", "rack"} {
		r := starter(t, name)
		d, err := travelOf(r, 2)
		if err != nil {
			t.Fatal(err)
		}
		lines, err := csv.NewReader(strings.NewReader(csvOf(t, r, 2))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		at := map[string]int{}
		for i, head := range lines[0] {
			at[head] = i
		}
		number := func(line []string, head string) float64 {
			i, ok := at[head]
			if !ok {
				t.Fatalf("%s: no column %q", name, head)
			}
			v, err := strconv.ParseFloat(line[i], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		columns := []string{"", "steer left (deg)", "steer right (deg)", "axle side (mm)", "axle yaw (deg)"}
		if name == "rack" {
			columns = []string{"", "steer left (deg)", "steer right (deg)", "toe-in (deg)", "camber left (deg)", "camber right (deg)"}
		}
		compared := 0
		for _, motion := range []string{"heave", "roll", "left_wheel", "right_wheel"} {
			columns[0] = "left rise (mm)"
			if motion == "right_wheel" {
				columns[0] = "right rise (mm)"
			}
			var own [][]string
			for _, line := range lines[1:] {
				if line[0] == motion {
					own = append(own, line)
				}
			}
			table := tableOf(t, d, motion)
			if len(table.Rows) != len(own) {
				t.Fatalf("%s %s: %d rows, and %d lines", name, motion, len(table.Rows), len(own))
			}
			for i, row := range table.Rows {
				line := own[len(own)-1-i] // the document begins with the highest place
				for c, head := range columns {
					f := row.Cells[c].Figures()[0]
					got, want := f.Value, number(line, head)
					if f.Unit == document.Angle {
						got /= degree
					}
					if math.Abs(got-want) > 1e-6 {
						t.Errorf("%s %s, row %d: %s is %v in the CSV, %v in the document", name, motion, i, head, want, got)
					}
					if c == 1 {
						if u := number(line, "steer left ± (deg)"); math.Abs(f.Uncertain/degree-u) > 1e-6 {
							t.Errorf("%s %s, row %d: the ± is %v in the CSV, %v in the document", name, motion, i, u, f.Uncertain/degree)
						}
					}
					compared++
				}
			}
		}
		if compared < 100 {
			t.Errorf("%s: only %d figures compared", name, compared)
		}
	}
}

// tableOf finds a table of a document.
func tableOf(t *testing.T, d *document.Document, key string) document.Table {
	t.Helper()
	for i := range d.Sections {
		for _, b := range d.Sections[i].Blocks {
			if table, ok := b.(document.Table); ok && table.Key == key {
				return table
			}
		}
	}
	t.Fatalf("no table %s", key)
	return document.Table{}
}
