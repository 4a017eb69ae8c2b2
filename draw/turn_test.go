package draw_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"evenlock/draw"
	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/turning"
)

// modeWords head a panel by its mode.
func modeWords(c *turning.Sweep) []string { return []string{c.Mode.Words(), "a line"} }

func turnsOf(t testing.TB, r *rig.Rig, side int) (*turning.Analysis, string) {
	t.Helper()
	d, err := turning.Over(r, turning.Usual())
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := draw.Turns(&b, d, side, modeWords); err != nil {
		t.Fatal(err)
	}
	return d, b.String()
}

func fourWheel(t testing.TB) *rig.Rig {
	t.Helper()
	return rigtest.Example(t, "four-wheel")
}

// Run with -update to write the golden file anew, and look at it.
func TestFileOfTurnsIsAsItWas(t *testing.T) {
	_, got := turnsOf(t, fourWheel(t), turning.Left)
	path := filepath.Join("testdata", "four-wheel.turns.svg")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("differs from %s: look at both, and run with -update if the new one is right", path)
	}
}

// wellFormed reports a file that is no XML, and returns its words.
func wellFormed(t testing.TB, file string) []string {
	t.Helper()
	var words []string
	for d := xml.NewDecoder(strings.NewReader(file)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return words
		}
		if err != nil {
			t.Fatal(err)
		}
		if text, ok := token.(xml.CharData); ok && strings.TrimSpace(string(text)) != "" {
			words = append(words, string(text))
		}
	}
}

func TestTurnsAreDrawnOfEveryRig(t *testing.T) {
	rigs := map[string]*rig.Rig{"four-wheel": fourWheel(t)}
	for _, name := range rigtest.Names() {
		rigs[name] = rigtest.Starter(t, name)
	}
	rigs["odd name"] = fourWheel(t)
	rigs["odd name"].Name = "<b>&"
	for name, r := range rigs {
		for side := range 2 {
			d, file := turnsOf(t, r, side)
			wellFormed(t, file)
			if found := regexp.MustCompile(`NaN|Inf|%!`).FindString(file); found != "" {
				t.Errorf("%s: the file has %s", name, found)
			}
			if n := strings.Count(file, `class="turn-circle outer"`); n != len(d.Sweeps) {
				t.Errorf("%s: %d outer circles of %d modes", name, n, len(d.Sweeps))
			}
		}
	}
}

var circleShape = regexp.MustCompile(`<circle class="([^"]*)" cx="([^"]*)" cy="([^"]*)" r="([^"]*)">`)

// All circles are to the scale that the file states, and about the turn centre.
func TestCirclesOfTurnsAreToScale(t *testing.T) {
	d, file := turnsOf(t, fourWheel(t), turning.Right)
	stated := regexp.MustCompile(`1 : ([\d.]+)\.`).FindStringSubmatch(file)
	scale, err := strconv.ParseFloat(stated[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	found := circleShape.FindAllStringSubmatch(file, -1)
	if len(found) != 4*len(d.Sweeps) {
		t.Fatalf("%d circles", len(found))
	}
	for i, c := range d.Sweeps {
		turn := c.At(turning.Right).Turn
		for k, want := range []float64{turn.Outer, turn.Inner, 1 / math.Abs(turn.Curvature)} {
			shape := found[4*i+k]
			got, err := strconv.ParseFloat(shape[4], 64)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got*scale/want-1) > 0.01 {
				t.Errorf("%s: %s has the radius %.1f mm on the ground, want %.1f", c.Mode.Words(), shape[1], got*scale, want)
			}
			if centre := found[4*i+3]; shape[2] != centre[2] || shape[3] != centre[3] {
				t.Errorf("%s: %s is not about the turn centre", c.Mode.Words(), shape[1])
			}
		}
	}
}

// A crab whose wheels are all parallel has no circle; every panel has its words.
func TestCrabWithoutATurnHasNoCircle(t *testing.T) {
	r := rigtest.Planar{Spacing: 200, Wheelbase: 300, TieArm: 26, DragArm: 20, Horn: 20, More: "\n[left.stops]\nin = 30\nout = 30\n"}.Rig(t)
	r.Rear = &rig.Rear{Track: r.Vehicle.Track, Steering: r.Steering}
	d, file := turnsOf(t, r, turning.Left)
	words := strings.Join(wellFormed(t, file), "\n")
	for _, c := range d.Sweeps {
		if !strings.Contains(words, c.Mode.Words()+"\na line\n") {
			t.Errorf("no words for %s:\n%s", c.Mode.Words(), words)
		}
	}
	if n := strings.Count(file, `class="turn-circle outer"`); n != len(d.Sweeps)-1 {
		t.Errorf("%d outer circles", n)
	}
}

func TestTurnsTellAnErrorOfTheWriter(t *testing.T) {
	d, _ := turnsOf(t, fourWheel(t), turning.Left)
	if err := draw.Turns(fullWriter{}, d, turning.Left, modeWords); !errors.Is(err, errFull) {
		t.Errorf("error %v", err)
	}
}

var errFull = errors.New("full")

type fullWriter struct{}

func (fullWriter) Write([]byte) (int, error) { return 0, errFull }

func ExampleTurns() {
	f, err := os.Open("../examples/four-wheel.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := rig.Read(f, "four-wheel.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := turning.Over(r, turning.Usual())
	if err != nil {
		fmt.Println(err)
		return
	}
	var file strings.Builder
	if err := draw.Turns(&file, d, turning.Left, modeWords); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(strings.Count(file.String(), "<title>turn centre</title>"))
	// Output: 4
}
