package engine_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/engine"
	"evenlock/report/document"
)

// At the rear axle all is of that: what the drawing can move, what the stick does, the verdict, and
// the keys that are changed. Undo and redo work over it.
func TestTheRearAxleHasItsOwnOfEverything(t *testing.T) {
	s := fourWheel(t)
	front := s.State()
	if front.Axle != 1 || len(front.Axles) != 2 || front.Prefix != "" {
		t.Errorf("at first: axle %d of %q", front.Axle, front.Axles)
	}
	judged := func() float64 {
		d, err := s.Results()
		if err != nil {
			t.Fatal(err)
		}
		f, ok := d.Find("difference")
		if !ok {
			t.Fatal("no difference between left and right")
		}
		return f.Value
	}
	before := judged()
	if err := s.SetAxle(2); err != nil {
		t.Fatal(err)
	}
	rear := s.State()
	if rear.Axle != 2 || rear.Prefix != "rear." || rear.Text != front.Text || rear.Undo != "" || rear.Scene == front.Scene {
		t.Errorf("at the rear: axle %d, scene %d after %d, undo %q", rear.Axle, rear.Scene, front.Scene, rear.Undo)
	}
	if now := judged(); now == before {
		t.Errorf("both axles differ by %v", now)
	}

	handle := -1
	for i, h := range s.Scene().Handles {
		for _, key := range h.Changes {
			if !strings.HasPrefix(key, "rear.") {
				t.Errorf("%s changes %s", h.Words, key)
			}
		}
		if h.Key == "rear.left.tie_arm" && h.View == "above" {
			handle = i
		}
		if strings.HasPrefix(h.Key, "rear.right.tie_arm") {
			t.Errorf("%s can be moved, which mirrors the left one", h.Words)
		}
	}
	if handle < 0 {
		t.Fatal("the rear tie arm cannot be moved")
	}
	if err := s.Nudge(handle, 0, -1); err != nil {
		t.Fatal(err)
	}
	moved := s.Text()
	for _, key := range changedKeys(front.Text, moved) {
		if !strings.HasPrefix(key, "rear.left.tie_arm.") {
			t.Errorf("%s changed", key)
		}
	}
	if s.State().Undo != "moved the rear left tie-rod ball" {
		t.Errorf("undo takes back %q", s.State().Undo)
	}
	// What was done at one axle is undone at the other as well.
	if err := s.SetAxle(1); err != nil {
		t.Fatal(err)
	}
	if err := s.Undo(); err != nil || s.Text() != front.Text || s.State().Axle != 1 {
		t.Errorf("after undo at the front: %v", err)
	}
	if err := s.SetAxle(2); err != nil {
		t.Fatal(err)
	}
	if err := s.Redo(); err != nil || s.Text() != moved || s.State().Axle != 2 {
		t.Errorf("after redo at the rear: %v", err)
	}
}

// The rear axle's own transmitter channel is read and set by the rear axle's keys.
func TestTheRearAxlesRadioHasTheRearAxlesKeys(t *testing.T) {
	s := fourWheel(t)
	if err := s.SetAxle(2); err != nil {
		t.Fatal(err)
	}
	for _, one := range s.RadioSettings() {
		if !strings.HasPrefix(one.Key, "rear.settings.") {
			t.Errorf("%s sets %s", one.Words, one.Key)
		}
	}
	before, one := s.Text(), engine.ReadingEntry{Control: "endpoint", Setting: "100", Angle: "40 ± 1"}
	// A file has two readings or none.
	if err := s.AddReadings(one); err == nil || s.Text() != before {
		t.Errorf("one reading alone: %v", err)
	}
	if err := s.AddReadings(one, engine.ReadingEntry{Control: "endpoint", Setting: "-100", Angle: "-40 ± 1"}); err != nil {
		t.Fatal(err)
	}
	if err := s.Undo(); err != nil || s.Text() != before {
		t.Errorf("two readings are not one change: %v", err)
	}
	if err := s.Redo(); err != nil {
		t.Fatal(err)
	}
	if err := s.AddReadings(engine.ReadingEntry{Control: "endpoint", Setting: "50", Angle: "20 ± 1"}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(s.Text(), "[[rear.transmitter.reading]]") || len(s.Readings()) != 3 || s.State().Stick != "calibrated" {
		t.Errorf("%d readings, the stick is %s, in\n%s", len(s.Readings()), s.State().Stick, s.Text())
	}
	s.Stick(1)
	if got := liveAt(t, s, "servo"); math.Abs(got-40) > 0.01 {
		t.Errorf("full left turns the servo to %.2f°, which was read as 40°", got)
	}
	if err := s.SetAxle(1); err != nil {
		t.Fatal(err)
	}
	if len(s.Readings()) != 0 || s.State().Stick != "assumed" {
		t.Errorf("the front servo has %d readings, its stick is %s", len(s.Readings()), s.State().Stick)
	}
	if err := s.SetAxle(2); err != nil {
		t.Fatal(err)
	}
	if err := s.TakeReading(3); err != nil || len(s.Readings()) != 2 {
		t.Errorf("%v, %d readings left", err, len(s.Readings()))
	}
}

// Of the other axle nothing is asked before the set-up of this one.
func TestEachAxleAsksForItsOwnMeasurementsFirst(t *testing.T) {
	s := fourWheel(t)
	for axle := 1; axle <= 2; axle++ {
		if err := s.SetAxle(axle); err != nil {
			t.Fatal(err)
		}
		m, err := s.Measurements()
		if err != nil {
			t.Fatal(err)
		}
		for _, one := range m.List {
			own := one.Key == "vehicle.wheelbase" || strings.HasPrefix(one.Key, "rear.") == (axle == 2)
			if one.Later == own {
				t.Errorf("axle %d: %s, later: %v", axle, one.Key, one.Later)
			}
			if own && (one.How == "" || one.View == "") {
				t.Errorf("axle %d: %s has no instruction or no picture", axle, one.Key)
			}
			if !own && (one.LockShare != 0 || one.EvennessShare != 0) {
				t.Errorf("axle %d: %s has a share in its lock", axle, one.Key)
			}
		}
	}
}

// A rig that comes to lack the axle shows its first, and the one that was asked for once it is back.
func TestARigThatComesToLackTheAxleShowsItsFirst(t *testing.T) {
	s := fourWheel(t)
	if err := s.SetAxle(2); err != nil {
		t.Fatal(err)
	}
	if err := s.Replace([]byte(open(t, "chassis").Text())); err != nil {
		t.Fatal(err)
	}
	if st := s.State(); st.Axle != 1 || len(st.Axles) != 0 {
		t.Errorf("axle %d of %q", st.Axle, st.Axles)
	}
	if err := s.SetAxle(2); err == nil {
		t.Error("a rear axle was chosen that does not steer")
	}
	if err := s.Undo(); err != nil || s.State().Axle != 2 {
		t.Errorf("after undo axle %d: %v", s.State().Axle, err)
	}
}

// Two rigs are compared by the axle that is asked for, by the front one where only one has it.
func TestCompareIsOfTheAxle(t *testing.T) {
	s := fourWheel(t)
	before := s.Text()
	if err := s.Set("rear.left.tie_arm.inward", "-4"); err != nil {
		t.Fatal(err)
	}
	changes := func(after string, axle int) string {
		d, err := engine.Compare([]byte(before), []byte(after), [2]string{"before", "after"}, axle)
		if err != nil {
			t.Fatal(err)
		}
		text, err := d.JSON(document.Reader{})
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	if changes(s.Text(), 1) == changes(s.Text(), 2) {
		t.Error("the axle makes no difference")
	}
	if other := open(t, "tie-rod").Text(); changes(other, 2) != changes(other, 1) {
		t.Error("a rig without a rear axle is not compared by the front one")
	}
}

// The faint drawing is of the axle that is drawn, and there is none of an axle that the other rig
// lacks.
func TestTheGhostIsOfTheAxle(t *testing.T) {
	s := fourWheel(t)
	other := strings.Replace(s.Text(), "[rear]\ntrack = 206", "[rear]\ntrack = 226", 1)
	if other == s.Text() {
		t.Fatal("the track at the rear is another one")
	}
	ghosts := func(text string) (shown int) {
		if err := s.Ghost(text); err != nil {
			t.Fatal(err)
		}
		n := s.Numbers()
		for _, sh := range s.Scene().Shapes {
			if sh.View != "above" || !strings.Contains(sh.Class, "ghost") || !strings.Contains(sh.Class, "tyre") || math.IsNaN(n[sh.At]) {
				continue
			}
			shown++
		}
		return shown
	}
	atFront := ghosts(other)
	if err := s.SetAxle(2); err != nil {
		t.Fatal(err)
	}
	atRear := ghosts(other)
	if atFront == 0 || atRear != atFront {
		t.Errorf("%d tyres before at the front, %d at the rear", atFront, atRear)
	}
	if shown := ghosts(open(t, "tie-rod").Text()); shown != 0 {
		t.Errorf("%d tyres of a rear axle that does not steer", shown)
	}
}

// Advice at the rear is what the command has for the rear axle.
func TestAdviceIsOfTheAxle(t *testing.T) {
	s := fourWheel(t)
	var advice [2]string
	for i := range advice {
		if err := s.SetAxle(i + 1); err != nil {
			t.Fatal(err)
		}
		advice[i] = adviceIsTheCommands(t, s, i+1)
	}
	if advice[0] == advice[1] {
		t.Error("both axles get the same advice")
	}
}
