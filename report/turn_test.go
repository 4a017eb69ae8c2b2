package report_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/report/text"
	"evenlock/rig"
	"evenlock/turning"
)

// turnOf is the document of a rig's turns.
func turnOf(r *rig.Rig, o turning.Options) (*document.Document, error) {
	a, err := turning.Over(r, o)
	if err != nil {
		return nil, err
	}
	return report.Turn(a), nil
}

// example reads a rig of the examples with changes made in its text.
func example(t *testing.T, name string, changes ...change) *rig.Rig {
	t.Helper()
	file := rigtest.ExampleText(t, name)
	for _, c := range changes {
		if !strings.Contains(string(file), c.old) {
			t.Fatalf("the example has no %q", c.old)
		}
		file = []byte(strings.Replace(string(file), c.old, c.new, 1))
	}
	return rigtest.Read(t, file)
}

// parallel is a rig whose axles both steer as parallelograms, 30° each way to the knuckles' stops.
func parallel(t *testing.T) *rig.Rig {
	t.Helper()
	r := rigtest.Planar{Spacing: 200, Wheelbase: 300, TieArm: 26, DragArm: 20, Horn: 20, More: "\n[left.stops]\nin = 30\nout = 30\n"}.Rig(t)
	r.Rear = &rig.Rear{Track: r.Vehicle.Track, Steering: r.Steering}
	return r
}

func TestTurnsOfFourWheelsReadAsBefore(t *testing.T) {
	d, err := turnOf(example(t, "four-wheel"), turning.Usual())
	if err != nil {
		t.Fatal(err)
	}
	asBefore(t, "four-wheel", d)
}

// turningRigs are rigs with what makes the text longest or leaves most out.
func turningRigs(t *testing.T) map[string]*rig.Rig {
	t.Helper()
	return map[string]*rig.Rig{
		"four-wheel": example(t, "four-wheel"), "parallel": parallel(t),
		"exact":  example(t, "four-wheel", change{"length = 0.25", "length = 0"}, change{"angle = 1 ", "angle = 0 "}),
		"large":  rigtest.Scaled(example(t, "four-wheel"), 9),
		"bound":  example(t, "four-wheel", change{"in = 34", "in = 3"}, change{"out = 32", "out = 3"}),
		"still":  example(t, "four-wheel", change{"in = 34", "in = 1"}, change{"out = 32", "out = 1"}),
		"wanted": example(t, "four-wheel", change{"margin = 2", "lock = 15\nmargin = 2"}),
	}
}

// oddTurns are their documents.
func oddTurns(t *testing.T) map[string]*document.Document {
	t.Helper()
	all := map[string]*document.Document{}
	for name, r := range turningRigs(t) {
		var err error
		if all[name], err = turnOf(r, turning.Usual()); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	return all
}

// turned is the document of one of turningRigs, as text with all details on one line.
func turned(t *testing.T, r *rig.Rig) (*document.Document, string) {
	t.Helper()
	d, err := turnOf(r, turning.Usual())
	if err != nil {
		t.Fatal(err)
	}
	return d, strings.Join(strings.Fields(written(t, d, text.Options{All: true})), " ")
}

func TestTwoServosOnOneSupplyAreWarnedOf(t *testing.T) {
	for name, r := range turningRigs(t) {
		_, own := turned(t, r)
		if two := strings.Contains(own, report.TwoServos); two != (r.Rear != nil) {
			t.Errorf("%s: speaks of two servos: %v", name, two)
		}
	}
}

// Angles that follow from the knuckles' stops, the margin and the lock wanted by hand.
func TestTurnsSayWhatEndsThem(t *testing.T) {
	rigs := turningRigs(t)
	for name, wants := range map[string]map[string]float64{
		// The stops are at 30°, and 2° are kept clear of them; both axles are parallelograms.
		"parallel": {"lock.front.left": 28, "lock.front.right": -28, "lock.rear.left": 28, "crab.left": 28, "crab.right": -28, "scrub.crab": 0},
		// Within its stops of 1° and the margin of 2° the rear does not steer.
		"still": {"lock.rear.left": 0, "lock.rear.right": 0, "rear.opposite.left": 0},
	} {
		d, _ := turned(t, rigs[name])
		for key, want := range wants {
			f, ok := d.Find(key)
			if !ok || math.Abs(f.Value-want*math.Pi/180) > 1e-6 {
				t.Errorf("%s: %s is %.4f°, wanted %v° (there: %v)", name, key, f.Value*180/math.Pi, want, ok)
			}
		}
	}
	for name, wants := range map[string][]string{
		"four-wheel": {"Opposite phase: the rear steers the other way by 1.00 of the front's angle", "the rear steers 30.0° of the 33.1° wanted, ended by the rear left knuckle's inward stop"},
		"parallel":   {"it goes 28.0° left and keeps its heading"},
		"wanted":     {"the lock wanted"},
	} {
		_, own := turned(t, rigs[name])
		for _, want := range wants {
			if !strings.Contains(strings.ToLower(own), strings.ToLower(want)) {
				t.Errorf("%s: does not say %q:\n%s", name, want, own)
			}
		}
	}
	if _, own := turned(t, rigs["wanted"]); strings.Contains(own, "wanted, ended by") {
		t.Error("with less lock wanted than the rear has, the rear does not follow")
	}
	if _, own := turned(t, starter(t, "far-knuckle")); !strings.Contains(own, "table [rear]") || strings.Contains(own, report.TwoServos) {
		t.Errorf("without a rear axle that steers:\n%s", own)
	}
}

// Both axles steered by δ the opposite ways, the turn centre is on the line across the middle, by
// symmetry. How far out makes the squares of the four scrub angles add up to the least: here found
// by trying, from the drawing of it and not by turning.Fit. Kingpins are at the wheel centres and
// tyres are 40 mm wide.
func TestTurningCircleOfParallelAxles(t *testing.T) {
	const half, side, tyre = 300.0 / 2, 200.0 / 2, 40.0
	delta := 28 * math.Pi / 180
	off := func(radius float64) float64 {
		in, out := delta-math.Atan(half/(radius-side)), delta-math.Atan(half/(radius+side))
		return 2*in*in + 2*out*out
	}
	low, high := side+1, 10*half
	for range 200 {
		a, b := low+(high-low)/3, high-(high-low)/3
		if off(a) < off(b) {
			high = b
		} else {
			low = a
		}
	}
	want := 2*math.Hypot(half, low+side) + tyre
	d, _ := turned(t, parallel(t))
	for _, key := range []string{"circle.opposite.left", "circle.opposite.right"} {
		if f, ok := d.Find(key); !ok || math.Abs(f.Value-want) > 1e-3 {
			t.Errorf("%s is %.4f mm, wanted %.4f", key, f.Value, want)
		}
	}
	scrubs := math.Max(math.Abs(delta-math.Atan(half/(low-side))), math.Abs(delta-math.Atan(half/(low+side))))
	if f, ok := d.Find("scrub.opposite"); !ok || math.Abs(f.Value-scrubs) > 1e-6 {
		t.Errorf("the most scrub is %v°, wanted %v°", f.Value*180/math.Pi, scrubs*180/math.Pi)
	}
}

// The words on the drawing are the figures of the document, in the reader's units.
func TestWordsOfADrawingAreTheDocuments(t *testing.T) {
	r := example(t, "four-wheel")
	a, err := turning.Over(r, turning.Usual())
	if err != nil {
		t.Fatal(err)
	}
	d := report.Turn(a)
	for _, c := range a.Sweeps {
		for side, name := range []string{"left", "right"} {
			f, ok := d.Find("circle." + c.Mode.Key() + "." + name)
			if !ok {
				t.Fatalf("no circle in %s", c.Mode.Key())
			}
			for _, reader := range []document.Reader{{}, inches} {
				var all []string
				for _, s := range report.TurnWords(a, c, side) {
					all = append(all, s.Text(reader))
				}
				if len(all) < 3 || len(all) > 4 || !strings.Contains(all[1], "Turning circle "+f.Brief().Text(reader)+";") {
					t.Errorf("%s, full %s: %q, and the circle is %s", c.Mode.Key(), name, all, f.Text(reader))
				}
			}
		}
	}
	a, err = turning.Over(parallel(t), turning.Usual())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range a.Sweeps {
		if c.Mode != turning.Crab {
			continue
		}
		// The stops are at 30°, and 2° are kept clear of them.
		if got := report.TurnWords(a, c, turning.Left)[1].Text(document.Reader{}); got != "Goes 28.0° left and keeps its heading" {
			t.Errorf("in crab it says %q", got)
		}
	}
}
