package report_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
)

// listOf is the list of the four-wheel example with changes made in it, and its lines.
func listOf(t *testing.T, changes ...change) (d *document.Document, lines []string) {
	t.Helper()
	file := rigtest.ExampleText(t, "four-wheel")
	text := string(file)
	for _, c := range changes {
		text = strings.Replace(text, c.old, c.new, 1)
	}
	line, err := rig.Lines([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if d, err = report.List(rigtest.Read(t, []byte(text)), line); err != nil {
		t.Fatal(err)
	}
	return d, strings.Split(text, "\n")
}

// The figures of the four-wheel example, by hand: the left kingpin goes through (0, 80, 0), 5° back
// and 8° inwards; the ball is 8 mm up, and 28 mm from there, forward and 14° outwards.
func TestListPlacesTheBallsAsByHand(t *testing.T) {
	d, _ := listOf(t)
	const deg = math.Pi / 180
	x := -8*math.Tan(5*deg) + 28*math.Cos(14*deg)
	y := 80 - 8*math.Tan(8*deg) + 28*math.Sin(14*deg)
	square := func(v float64) float64 { return v * v }
	// The ± of the file: 0.25 mm, 1° and the caster's 1.5°, each times what it does.
	ux := math.Sqrt(square(0.25) + square(0.25*math.Cos(14*deg)) + square(1*deg*28*math.Sin(14*deg)) +
		square(1.5*deg*8/square(math.Cos(5*deg))) + 2*square(0.25*math.Tan(5*deg)))
	uy := math.Sqrt(square(0.25) + square(0.25*math.Sin(14*deg)) + square(1*deg*28*math.Cos(14*deg)) +
		square(1*deg*8/square(math.Cos(8*deg))) + 2*square(0.25*math.Tan(8*deg)))
	for key, want := range map[string][2]float64{
		"ball.left tie-rod ball.place.along":        {x, ux},
		"ball.left tie-rod ball.place.across":       {y, uy},
		"ball.left tie-rod ball.place.in height":    {8, 0.25},
		"ball.right tie-rod ball.place.along":       {x, ux},
		"ball.right tie-rod ball.place.across":      {-y, uy},
		"rod.tie rod.length":                        {2 * y, 2 * uy},
		"wheel.right wheel.radius":                  {62, 0.25},
		"ball.rear left wheel's centre.place.along": {-330, 0.25},
		// Half the track of 206 mm.
		"ball.rear left wheel's centre.place.across":      {103, 0.125},
		"limit.the rear right knuckle's inward stop.most": {34 * deg, 0},
	} {
		f, ok := d.Find(key)
		if !ok {
			t.Errorf("no %s", key)
			continue
		}
		if math.Abs(f.Value-want[0]) > 1e-9 || math.Abs(f.Uncertain-want[1]) > 1e-6 {
			t.Errorf("%s: %v ± %v, want %v ± %v", key, f.Value, f.Uncertain, want[0], want[1])
		}
	}
	// Two servos, each with its horn and two knuckles.
	if want := "6 bodies on 4 rods: 2 servos move it all, nothing is loose."; d.Verdict[0].Sentence.Text(document.Reader{}) != want {
		t.Errorf("says %q", d.Verdict[0].Sentence.Text(document.Reader{}))
	}
}

// originOf is the row of a number's origins.
func originOf(t *testing.T, d *document.Document, part, begins string) document.Sentence {
	t.Helper()
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			if table, is := b.(document.Table); is && s.Key == "origins" {
				for _, r := range table.Rows {
					if r.Cells[0].Text(document.Reader{}) == part && strings.HasPrefix(r.Cells[1].Text(document.Reader{}), begins) {
						return r.Cells[1]
					}
				}
			}
		}
	}
	t.Fatalf("no origin of %s, %s", part, begins)
	return nil
}

// A number comes from the keys that its formula has, and from the lines on which a reader finds
// them. Of a ball on the right that mirrors the left both sides share them.
func TestListFindsTheKeysOfANumber(t *testing.T) {
	d, lines := listOf(t)
	in := func(table, key string) int {
		at := slices.Index(lines, "["+table+"]")
		for i, l := range lines[at:] {
			if strings.HasPrefix(l, key+" = ") {
				return at + i + 1
			}
		}
		t.Fatalf("no %s in %s", key, table)
		return 0
	}
	want := []string{"left.kingpin.point.y", "left.kingpin.point.z", "left.kingpin.inclination", "left.tie_arm.length", "left.tie_arm.inward", "left.tie_arm.height"}
	for _, side := range []string{"left", "right"} {
		from := originOf(t, d, side+" tie-rod ball", "place across")
		if got := from.Keys(); !slices.Equal(got, want) {
			t.Errorf("the %s ball comes from %v", side, got)
		}
		said := from.TextToWrap(document.Reader{})
		for _, key := range want {
			key, _ = strings.CutSuffix(strings.TrimSuffix(key, ".z"), ".y")
			at := strings.LastIndex(key, ".")
			if line := fmt.Sprintf("line %d (%s", in(key[:at], key[at+1:]), key); !strings.Contains(said, line) {
				t.Errorf("no %q in %q", line, said)
			}
		}
		if n := strings.Count(said, "both sides"); n != len(want) {
			t.Errorf("%d are shared in %q", n, said)
		}
	}
	// The right knuckle's own arm shares the kingpin, and a ball given by its place nothing.
	d, _ = listOf(t, change{"[right.drag_arm]", "[right.tie_arm]\nlength = 28\npoints = \"forward\"\ninward = -14\nheight = 8\n\n[right.drag_arm]"})
	said := originOf(t, d, "right tie-rod ball", "place across").TextToWrap(document.Reader{})
	if strings.Count(said, "both sides") != 3 || strings.Contains(said, "left.tie_arm") || !strings.Contains(said, "right.tie_arm.length") {
		t.Errorf("says %q", said)
	}
	d, _ = listOf(t, change{"[right.drag_arm]", "[right.tie_arm]\nball = [26, -85, 8]\n\n[right.drag_arm]"})
	said = originOf(t, d, "right tie-rod ball", "place across").TextToWrap(document.Reader{})
	if strings.Contains(said, "both sides") || !strings.Contains(said, "(right.tie_arm.ball.y) 100") {
		t.Errorf("says %q", said)
	}
	// What is no measurement is said by its own key.
	d, _ = listOf(t, change{"[tie_rod]\nthread = \"M3\"", "[tie_rod]\nthread = \"M3\"\ndiameter = 4\nmaterial = \"steel\""})
	if keys := originOf(t, d, "tie rod", "diameter 4").Keys(); !slices.Equal(keys, []string{"tie_rod.diameter"}) {
		t.Errorf("the diameter comes from %v", keys)
	}
	if keys := originOf(t, d, "left knuckle's inward stop", "most").Keys(); !slices.Equal(keys, []string{"left.stops.in"}) {
		t.Errorf("the stop comes from %v", keys)
	}
}

// A drag link in line with the knuckle's kingpin cannot turn it: that comes before all else.
func TestListBeginsWithWhatCannotBe(t *testing.T) {
	r := rigtest.Planar{Spacing: 200, Wheelbase: 300, TieArm: 26, DragArm: 20, ServoX: 60, Horn: 20}.Rig(t)
	r.Servo.Point[1].Value = 100
	d, err := report.List(r, nil)
	if err != nil {
		t.Fatal(err)
	}
	if d.Verdict[0].Severity != document.MustFix || d.Sections[0].Key != "faults" {
		t.Errorf("begins with %q, and %s", d.Verdict[0].Sentence.Text(document.Reader{}), d.Sections[0].Key)
	}
}
