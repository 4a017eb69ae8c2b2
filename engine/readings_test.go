package engine_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/engine"
	"evenlock/report/document"
)

// A reading goes in, is said, and is taken out, each as one change that undo takes back.
func TestReadingsAreOneChangeEach(t *testing.T) {
	s := open(t, "far-knuckle")
	before, was := s.Text(), len(s.Readings())
	if was < 2 {
		t.Fatalf("the starter has %d readings", was)
	}
	if err := s.AddReadings(engine.ReadingEntry{Control: "subtrim", Setting: " 40 ", Pulse: "", Angle: "about 12,5"}); err != nil {
		t.Fatal(err)
	}
	if got := s.Readings(); len(got) != was+1 || got[was].Words != "Reading 3: subtrim at 40 %, 12.5° ± 0.5° counter-clockwise." {
		t.Errorf("%+v", got)
	}
	added := s.Text()
	if !strings.Contains(added, "\n[[transmitter.reading]]\ncontrol = \"subtrim\"\nsetting = 40\nangle = \"12.5 ± 0.5\"\n") {
		t.Errorf("the file is now\n%s", added)
	}
	if err := s.TakeReading(was + 1); err != nil || s.Text() != before {
		t.Errorf("taken out again: %v\n%s", err, s.Text())
	}
	for i, want := range []string{added, before} {
		if err := s.Undo(); err != nil || s.Text() != want {
			t.Errorf("undo %d: %v\n%s", i+1, err, s.Text())
		}
	}
	if err := s.Undo(); err == nil {
		t.Error("there is a third change to undo")
	}
	// Half a reading says nothing, and one left of two neither; the file stays.
	for _, bad := range []engine.ReadingEntry{{}, {Control: "endpoint", Setting: "80"}, {Control: "endpoint", Setting: "far", Angle: "12"}, {Control: "knob", Setting: "80", Angle: "12"}} {
		if err := s.AddReadings(bad); err == nil || s.Text() != before {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	for _, n := range []int{0, -1, was + 1, 1} {
		if err := s.TakeReading(n); err == nil || s.Text() != before {
			t.Errorf("reading %d: %v", n, err)
		}
	}
}

// The step of a point is in the reader's unit, and stays so over changes of the file.
func TestStepsOfPointsAreInTheReadersUnit(t *testing.T) {
	s := open(t, "chassis")
	check := func(want string) {
		t.Helper()
		for _, h := range s.Scene().Handles {
			if h.StepWords != want {
				t.Fatalf("a press moves %s %q, not %q", h.Key, h.StepWords, want)
			}
		}
	}
	check("0.5 mm")
	s.SetReader(document.Reader{Length: document.Inches})
	check("0.020 in")
	if err := s.Nudge(0, 1, 0); err != nil {
		t.Fatal(err)
	}
	check("0.020 in")
}

// What moves along is asked for without moving anything, and nonsense is refused.
func TestCoupledMovesNothing(t *testing.T) {
	s := open(t, "chassis")
	bump := s.State().Travel.Bump
	numbers := append([]float64(nil), s.Numbers()...)
	got, err := s.Coupled("roll", "left", 5, engine.Heights{Left: 1, Right: 2})
	if err != nil || got != (engine.Heights{Left: 5, Right: -5}) {
		t.Errorf("%+v, %v", got, err)
	}
	if got, err = s.Coupled("one", "right", 1e6, engine.Heights{Left: 1}); err != nil || got != (engine.Heights{Left: 1, Right: bump}) {
		t.Errorf("%+v, %v", got, err)
	}
	for i, x := range s.Numbers() {
		if x != numbers[i] && !(math.IsNaN(x) && math.IsNaN(numbers[i])) {
			t.Fatalf("number %d was %v and is %v", i, numbers[i], x)
		}
	}
	for _, bad := range []struct {
		coupling, side string
		height, from   float64
	}{{"twist", "left", 1, 0}, {"both", "middle", 1, 0}, {"both", "left", math.NaN(), 0}, {"both", "left", math.Inf(1), 0}, {"one", "left", 1, math.NaN()}} {
		if got, err := s.Coupled(bad.coupling, bad.side, bad.height, engine.Heights{Left: bad.from, Right: bad.from}); err == nil {
			t.Errorf("%+v gave %+v", bad, got)
		}
	}
}

// The page asks what the screen shows, and has everything in that from then on, though the file
// states no endpoint.
func TestTheScreenOfTheTransmitterIsChosen(t *testing.T) {
	s := open(t, "far-knuckle")
	if err := s.Set("transmitter.shows", "µs"); err != nil {
		t.Fatal(err)
	}
	if err := s.Set("transmitter.max_endpoint", "500"); err != nil {
		t.Fatal(err)
	}
	if got := s.State().Screen; got != "µs" {
		t.Errorf("the screen shows %q", got)
	}
	if got := s.Readings()[1].Words; got != "Reading 2: endpoint at −100 µs, 44.0° ± 1.0° clockwise." {
		t.Error(got)
	}
	for _, one := range s.RadioSettings() {
		if one.Key == "settings.endpoint_left" && (one.Value != "500" || !strings.HasSuffix(one.Hint, " of servo a µs.")) {
			t.Errorf("%+v", one)
		}
	}
	d, err := s.Radio()
	if err != nil {
		t.Fatal(err)
	}
	if f, ok := d.Find("step.endpoint"); !ok || f.Words != "endpoint, a µs" {
		t.Errorf("%+v", f)
	}
	if err := s.Set("transmitter.shows", "percent"); err == nil {
		t.Error("500 percent are a greatest endpoint")
	}
}
