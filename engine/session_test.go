package engine_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"evenlock/draw"
	"evenlock/engine"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

const degree = math.Pi / 180

// places are all the places of a rig's straight-ahead pose, by name.
func places(t require, text string) map[string]r3.Vec {
	r, err := rig.Read(strings.NewReader(text), "")
	if err != nil {
		t.Fatalf("%v", err)
	}
	v, err := r.Expand(false)
	if err != nil {
		t.Fatalf("%v", err)
	}
	all := map[string]r3.Vec{}
	for _, b := range v.Balls {
		// Both wheels' centres may be given by the track, which is moved by the left one's.
		if _, known := all[b.Key]; !known && b.Rule != vehicle.Mirrors {
			all[b.Key] = b.At
		}
	}
	for _, m := range r.Measurements() {
		if n := len(m.Path); n > 2 && m.Path[n-2] == '.' && strings.ContainsAny(m.Path[n-1:], "xyz") {
			key := m.Path[:n-2]
			v := all[key]
			switch m.Path[n-1] {
			case 'x':
				v.X = m.Q.Value
			case 'y':
				v.Y = m.Q.Value
			case 'z':
				v.Z = m.Q.Value
			}
			all[key] = v
		}
	}
	return all
}

type require interface {
	Fatalf(format string, args ...any)
}

// axles opens every starter at its front axle, and the example that steers at both ends at each.
func axles(t *testing.T) map[string]func(t *testing.T) *engine.Session {
	t.Helper()
	all := map[string]func(t *testing.T) *engine.Session{"four-wheel": fourWheel}
	for _, name := range names() {
		all[name] = func(t *testing.T) *engine.Session { return open(t, name) }
	}
	all["four-wheel rear"] = func(t *testing.T) *engine.Session {
		s := fourWheel(t)
		if err := s.SetAxle(2); err != nil {
			t.Fatal(err)
		}
		return s
	}
	return all
}

func fourWheel(t *testing.T) *engine.Session { return openFile(t, "../examples/four-wheel.toml") }

func openFile(t *testing.T, path string) *engine.Session {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := engine.Open(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestDragMovesThePointByWhatTheViewShowsAndNothingElse(t *testing.T) {
	all := axles(t)
	for _, name := range []string{"idler", "plate", "two-servos", "unlike"} {
		all[name] = func(t *testing.T) *engine.Session {
			return openFile(t, "../internal/figures/testdata/rigs/"+name+".toml")
		}
	}
	for name, open := range all {
		s := open(t)
		for i, h := range s.Scene().Handles {
			t.Run(name+"/"+h.Key+"/"+h.View, func(t *testing.T) {
				s := open(t)
				before := places(t, s.Text())[h.Key]
				if err := s.Grab(i); err != nil {
					t.Fatal(err)
				}
				u, v := s.Numbers()[h.At], s.Numbers()[h.At+1]
				// A slow way there with a detour: only where it ends counts.
				for _, d := range [][2]float64{{-1, 2}, {0.3, 0.1}, {1.2, -0.7}} {
					if s.Drag(u+d[0], v+d[1]) == engine.Refused {
						t.Fatal(s.Why())
					}
				}
				if err := s.Drop(); err != nil {
					t.Fatal(err)
				}
				after := places(t, s.Text())[h.Key]
				want := map[string]r3.Vec{
					"above": {Y: -1.2, X: 0.7}, "behind": {Y: -1.2, Z: 0.7}, "side": {X: -1.2, Z: 0.7},
				}[h.View]
				if strings.HasSuffix(h.Key, ".track") {
					want = r3.Vec{Y: -1.2}
				}
				// The file holds hundredths of millimetres and degrees; a hundredth of a degree at
				// the end of a 40 mm arm is 0.007 mm.
				if off := r3.Norm(r3.Sub(r3.Sub(after, before), want)); off > 0.02 {
					t.Errorf("moved by %.3v, want %.3v", r3.Sub(after, before), want)
				}
				changed := changedKeys(open(t).Text(), s.Text())
				for _, key := range changed {
					ok := false
					for _, may := range h.Changes {
						ok = ok || key == may || strings.HasPrefix(key, may+".")
					}
					if !ok {
						t.Errorf("%s changed, which is not among %v", key, h.Changes)
					}
				}
				if len(changed) == 0 || !strings.HasSuffix(h.Key, ".track") && strings.HasSuffix(h.Changes[0], ".x") && len(changed) != 2 {
					t.Errorf("changed %v, want two coordinates", changed)
				}
			})
		}
	}
}

// changedKeys lists the measured values that differ, in value or uncertainty.
func changedKeys(a, b string) []string {
	read := func(text string) map[string]rig.Quantity {
		r, err := rig.Read(strings.NewReader(text), "")
		if err != nil {
			return nil
		}
		all := map[string]rig.Quantity{}
		for _, m := range r.Measurements() {
			all[m.Path] = *m.Q
		}
		return all
	}
	was, is := read(a), read(b)
	var keys []string
	for k, q := range is {
		if was[k] != q {
			keys = append(keys, k)
		}
	}
	return keys
}

func TestDragKeepsUncertaintiesUnitsAndRemarks(t *testing.T) {
	s := open(t, "far-knuckle")
	if err := s.Set("servo.point", "0.5 ± 0.02 in, 30 ± 0.7, 55"); err != nil {
		t.Fatal(err)
	}
	for i, h := range s.Scene().Handles {
		if h.Key != "servo.point" || h.View != "above" {
			continue
		}
		if err := s.Nudge(i, -2.54, -2.54); err != nil {
			t.Fatal(err)
		}
	}
	// u and v are to the right and down; forward is up, left is left.
	if got := s.Text(); !strings.Contains(got, `"0.6 ± 0.02 in"`) || !strings.Contains(got, `"32.54 ± 0.7"`) || !strings.Contains(got, "Every number here is invented") {
		_, line, _ := strings.Cut(got, "[servo]")
		t.Errorf("got %.200s", line)
	}
}

func TestCancelledDragLeavesNoTrace(t *testing.T) {
	s := open(t, "chassis")
	before := fmt.Sprint(s.Numbers())
	text := s.Text()
	if err := s.Grab(3); err != nil {
		t.Fatal(err)
	}
	s.Drag(10, 10)
	s.Drag(20, 5)
	s.Cancel()
	if s.Text() != text || fmt.Sprint(s.Numbers()) != before || s.State().Undo != "" {
		t.Error("something stayed")
	}
}

func TestRefusedDragLeavesTheDrawingAndSaysWhy(t *testing.T) {
	s := open(t, "far-knuckle")
	for i, h := range s.Scene().Handles {
		if h.Key != "horn.ball" && h.Key != "horn" || h.View != "behind" {
			continue
		}
		if err := s.Grab(i); err != nil {
			t.Fatal(err)
		}
		foot := places(t, s.Text())["servo.point"]
		before := fmt.Sprint(s.Numbers())
		// Onto the servo's axis, where there is no horn.
		if got := s.Drag(-foot.Y, -foot.Z); got != engine.Refused || s.Why() == "" {
			t.Errorf("status %d, why %q", got, s.Why())
		}
		if fmt.Sprint(s.Numbers()) != before {
			t.Error("the drawing changed")
		}
	}
}

// Undo and redo walk through every text that there was, whatever was done, and a change after undo
// cuts off what was undone.
func TestUndoAndRedoWalkThroughEveryText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st := engine.Starters()[0]
		s, err := engine.Open([]byte(st.Text))
		if err != nil {
			t.Fatalf("%v", err)
		}
		texts, at := []string{s.Text()}, 0
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			switch rapid.IntRange(0, 3).Draw(t, "what") {
			case 0:
				if err := s.Set("vehicle.wheelbase", strconv.Itoa(rapid.IntRange(250, 400).Draw(t, "wheelbase"))); err != nil {
					t.Fatalf("%v", err)
				}
			case 1:
				n := len(s.Scene().Handles)
				// A step that does not fit is refused and changes nothing.
				_ = s.Nudge(rapid.IntRange(0, n-1).Draw(t, "handle"), rapid.Float64Range(-3, 3).Draw(t, "du"), 0.5)
			case 2:
				if err := s.Undo(); (err == nil) != (at > 0) {
					t.Fatalf("undo at %d: %v", at, err)
				}
				at = max(0, at-1)
				if s.Text() != texts[at] {
					t.Fatalf("undo gives another text")
				}
				continue
			case 3:
				if err := s.Redo(); (err == nil) != (at < len(texts)-1) {
					t.Fatalf("redo at %d of %d: %v", at, len(texts), err)
				}
				at = min(len(texts)-1, at+1)
				if s.Text() != texts[at] {
					t.Fatalf("redo gives another text")
				}
				continue
			}
			if s.Text() != texts[at] {
				texts = append(texts[:at+1], s.Text())
				at++
			}
		}
	})
}

func TestSceneSaysWhereEveryNumberIs(t *testing.T) {
	for _, name := range names() {
		s := open(t, name)
		d := s.Scene()
		if d.Length != len(s.Numbers()) {
			t.Errorf("%s: %d numbers, the scene says %d", name, len(s.Numbers()), d.Length)
		}
		used := make([]int, d.Length)
		for _, h := range d.Handles {
			used[h.At]++
			used[h.At+1]++
		}
		for _, l := range d.Live {
			own := map[int]bool{l.At: true}
			for _, p := range l.Text {
				if p.Form != draw.Words {
					own[p.At] = true
				}
			}
			for at := range own {
				used[at]++
			}
		}
		for _, c := range d.Curves {
			for i := range c.N {
				used[c.At+i]++
			}
		}
		first := d.Handles[0].At
		for i, n := range used {
			if want := 1; i >= first && n != want || i < first && n != 0 {
				t.Fatalf("%s: number %d is used %d times", name, i, n)
			}
		}
	}
}

func TestStickToTheLeftTurnsTheWheelsLeftAndIsHeldAtAStop(t *testing.T) {
	s := open(t, "chassis")
	live := func(key string) float64 {
		for _, l := range s.Scene().Live {
			if l.Key == key {
				return s.Numbers()[l.At]
			}
		}
		t.Fatal(key)
		return 0
	}
	if got := s.Stick(0.5); got != engine.Done || live("road_left") < 5 || live("road_right") < 5 {
		t.Errorf("status %d, wheels at %.1f and %.1f", got, live("road_left"), live("road_right"))
	}
	if !math.IsNaN(live("limit")) {
		t.Error("a limit is shown where none is")
	}
	// The stop of the left knuckle is 38° outward, and the servo's travel 70°: neither lets it go
	// to 120°.
	if got := s.Servo(120); got != engine.Held || s.Why() == "" || math.IsNaN(live("limit")) || live("servo") > 70.001 {
		t.Errorf("status %d, %q, servo at %.1f°", got, s.Why(), live("servo"))
	}
	if got := s.Stick(math.NaN()); got != engine.Refused {
		t.Errorf("status %d for a stick that is no number", got)
	}
}

func TestDraftAsksForEveryMeasurementUntilAllAreSet(t *testing.T) {
	s, err := engine.Start("tie-rod")
	if err != nil {
		t.Fatal(err)
	}
	if st := s.State(); !st.Draft || st.Measured != 0 || st.Missing < 15 {
		t.Fatalf("%+v", st)
	}
	m, err := s.Measurements()
	if err != nil {
		t.Fatal(err)
	}
	for asked := 0; m.Next != ""; asked++ {
		if asked > len(m.List) {
			t.Fatal("asks without end")
		}
		value := ""
		for _, one := range m.List {
			if one.Key == m.Next {
				value = fmt.Sprint(one.Figure.Value / map[string]float64{"length": 1, "angle": math.Pi / 180}[one.Kind])
				if one.How == "" || one.View == "" {
					t.Errorf("%s: no instruction or no picture", one.Key)
				}
			}
		}
		// Every third is an approximation, which counts as measured too.
		if asked%3 == 0 {
			value += " ± 3"
		}
		missing := m.Missing
		if err := s.Set(m.Next, value); err != nil {
			t.Fatal(err)
		}
		if m, err = s.Measurements(); err != nil {
			t.Fatal(err)
		}
		if m.Missing != missing-1 {
			t.Fatalf("%d missing after %d", m.Missing, missing)
		}
	}
	if st := s.State(); st.Draft || st.Missing != 0 {
		t.Errorf("still a draft: %d missing", st.Missing)
	}
	if _, err := engine.Start("no such"); err == nil {
		t.Error("a starter that is none was opened")
	}
}

func TestStickIsAssumedWithoutReadings(t *testing.T) {
	text := open(t, "chassis").Text()
	before, _, _ := strings.Cut(text, "[[transmitter.reading]]")
	_, after, _ := strings.Cut(text, "[settings]")
	text = before + "[settings]" + after
	s, err := engine.Open([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if st := s.State(); st.Stick != "assumed" || !strings.Contains(st.StickWords, "each way is assumed") {
		t.Errorf("%q: %q", st.Stick, st.StickWords)
	}
	s.Stick(1)
	curves, err := s.Curves(11)
	if err != nil {
		t.Fatal(err)
	}
	for _, column := range []int{1, 2} {
		if all := figuresIn(curves, "inner", column); len(all) != 6 || all[0].Value > 0.5*degree || all[5].Value < 10*degree {
			t.Errorf("the inner wheel: %v", all)
		}
	}
	if _, err := s.SetUp(); err != nil {
		t.Errorf("no set-up: %v", err)
	}
	if _, err := s.WhatIf("subtrim", 5, ""); err == nil {
		t.Error("a what-if without a calibration")
	}
}

func TestUnevenLockIsTheGapOfTheFoldedCurves(t *testing.T) {
	s := open(t, "far-knuckle")
	curves, err := s.Curves(41)
	if err != nil {
		t.Fatal(err)
	}
	results, err := s.Results()
	if err != nil {
		t.Fatal(err)
	}
	left, right := figuresIn(curves, "inner", 1), figuresIn(curves, "inner", 2)
	gap := left[20].Value - right[20].Value
	if f, ok := results.Find("difference"); !ok || math.Abs(f.Value-gap) > 1e-9 {
		t.Errorf("a difference of %v, gap %v", f.Value, gap)
	}
	if left[0].Value+right[0].Value > 1e-9 {
		t.Errorf("the inner wheel at centre: %v left, %v right", left[0].Value, right[0].Value)
	}
}

// The curves that move along while dragging are those of the document, folded as they are.
func TestMovingCurvesAreThoseOfTheDocument(t *testing.T) {
	s := open(t, "far-knuckle")
	d, err := s.Curves(21)
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, section := range d.Sections {
		for _, b := range section.Blocks {
			table, is := b.(document.Table)
			if !is {
				continue
			}
			for i, column := range table.Columns {
				for _, one := range s.Scene().Curves {
					if one.Curve != section.Key || one.Column != column.Key {
						continue
					}
					seen++
					for j, f := range figuresIn(d, section.Key, i) {
						_, times, _ := document.Reader{}.Shown(f.Unit)
						if got := s.Numbers()[one.At+j]; math.Abs(got-f.Value*times) > 1e-9 || one.N != len(table.Rows) {
							t.Fatalf("%s, %s, %d of %d: %v moves along, %v is in the document", one.Curve, one.Column, j, one.N, got, f.Value*times)
						}
					}
				}
			}
		}
	}
	if all := len(s.Scene().Curves); seen != all || all < 15 {
		t.Errorf("%d of %d are in the document", seen, all)
	}
}

// figuresIn are the figures in a column of the table of a section.
func figuresIn(d *document.Document, section string, column int) (all []document.Figure) {
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			if table, is := b.(document.Table); is && s.Key == section {
				for _, row := range table.Rows {
					all = append(all, row.Cells[column].Figures()...)
				}
			}
		}
	}
	return all
}

// stepsOf are the steps of a document.
func stepsOf(d *document.Document) document.Steps {
	for i := range d.Sections {
		for _, b := range d.Sections[i].Blocks {
			if steps, ok := b.(document.Steps); ok {
				return steps
			}
		}
	}
	return nil
}

func TestSettingsOfTheSetUpCanBeMadeAndMakeItEven(t *testing.T) {
	for name, open := range axles(t) {
		t.Run(name, func(t *testing.T) {
			s := open(t)
			if st := s.State(); st.Stick == "assumed" {
				key := st.Prefix + "transmitter.reading."
				if err := s.SetAll("put in readings", []engine.Setting{
					{Key: key + "1.setting", Value: "100"},
					{Key: key + "1.angle", Value: "46 ± 0.5"},
					{Key: key + "2.setting", Value: "-100"},
					{Key: key + "2.angle", Value: "-44 ± 0.5"},
				}); err != nil {
					t.Fatal(err)
				}
			}
			d, err := s.SetUp()
			if err != nil {
				t.Fatal(err)
			}
			for _, step := range stepsOf(d) {
				before := s.Text()
				if err := s.SetAll(step.Title, step.Set); err != nil {
					t.Fatalf("%s: %v", step.Key, err)
				}
				if len(step.Set) == 0 {
					continue
				}
				// One undo takes back all of a step.
				after := s.Text()
				if err := s.Undo(); err != nil || s.Text() != before {
					t.Errorf("%s is not one change: %v", step.Key, err)
				}
				if err := s.Redo(); err != nil || s.Text() != after {
					t.Errorf("%s is not done again: %v", step.Key, err)
				}
			}
			results, err := s.Results()
			if err != nil {
				t.Fatal(err)
			}
			// Half a step of each endpoint is about 0.15° of wheel; the horn's place and the rods
			// are to a hundredth.
			if f, ok := results.Find("difference"); !ok || math.Abs(f.Value) > 0.5*degree {
				t.Errorf("uneven by %s after the set-up", f.Text(document.Reader{}))
			}
		})
	}
}

func TestCompareFindsWhatChanged(t *testing.T) {
	s := open(t, "behind")
	before := s.Text()
	if err := s.Set("horn.hole", "15.5 ± 0.1"); err != nil {
		t.Fatal(err)
	}
	d, err := engine.Compare([]byte(before), []byte(s.Text()), [2]string{"Revision 1", "As it stands here"}, 1)
	if err != nil {
		t.Fatal(err)
	}
	if got := tableRows(d, "changed"); !slices.EqualFunc(got, [][]string{{"Horn hole", "17.00 ± 0.20 mm", "15.50 ± 0.10 mm"}}, slices.Equal) {
		t.Errorf("changed %q", got)
	}
	// A shorter hole moves the link less: less lock, and a wider circle.
	if f, ok := d.Find("lock.left.difference"); !ok || !(f.Value < -0.3*degree) || !strings.HasSuffix(f.Text(document.Reader{}), " less") {
		t.Errorf("the lock to the left: %v", f.Text(document.Reader{}))
	}
	if d, err = engine.Compare([]byte(before), []byte(before), [2]string{}, 1); err != nil {
		t.Fatal(err)
	}
	if got := d.Verdict[0].Sentence.Text(document.Reader{}); got != "No number differs." || tableRows(d, "changed") != nil {
		t.Errorf("says %q", got)
	}
}

// Of a point only the coordinates are listed that are not the same, and what only one file has has
// a dash.
func TestCompareListsCoordinatesAndWhatIsMissing(t *testing.T) {
	s := open(t, "far-knuckle")
	before := s.Text()
	for key, value := range map[string]string{"left.kingpin.top.y": "74.7 ± 0.1", "servo.teeth": "", "name": "Another"} {
		if err := s.Set(key, value); err != nil {
			t.Fatal(err)
		}
	}
	d, err := engine.Compare([]byte(before), []byte(s.Text()), [2]string{"a", "b"}, 1)
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		{"Left kingpin top distance left (y)", "74.20 ± 0.25 mm", "74.70 ± 0.10 mm"},
		{"Name", "far-knuckle starter (invented)", "Another"},
		{"Servo teeth", "25", "–"},
	}
	if got := tableRows(d, "changed"); !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("changed %q", got)
	}
}

// tableRows are the texts of a table of a document, nil if it has none.
func tableRows(d *document.Document, key string) (rows [][]string) {
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			if table, is := b.(document.Table); is && table.Key == key {
				for _, r := range table.Rows {
					var row []string
					for _, c := range r.Cells {
						row = append(row, c.Text(document.Reader{}))
					}
					rows = append(rows, row)
				}
			}
		}
	}
	return rows
}

func TestTrimTestTellsTheKinds(t *testing.T) {
	centre := &[2]float64{0, 5}
	for _, test := range []struct {
		in   engine.TrimReadings
		kind string
	}{
		{engine.TrimReadings{Right: [2]float64{-45, -45}, Centre: centre, Left: [2]float64{45, 45}}, "centre"},
		{engine.TrimReadings{Right: [2]float64{-45, -40}, Centre: centre, Left: [2]float64{45, 50}}, "whole"},
		{engine.TrimReadings{Right: [2]float64{-45, -45}, Centre: centre, Left: [2]float64{45, 50}}, ""},
	} {
		if got := engine.TrimTest(test.in); got.Kind != test.kind || got.Words == "" {
			t.Errorf("%+v: %+v, want %s", test.in, got, test.kind)
		}
	}
}

func TestSceneIsWhatThePagesScriptIsTold(t *testing.T) {
	s := open(t, "centre-crank")
	text, err := json.Marshal(s.Scene())
	if err != nil {
		t.Fatal(err)
	}
	var d struct {
		Shapes []struct {
			View, Tag, Class, Part string
			At                     *int
			Set                    map[string][]any
			Text                   []any
		}
		Views []struct {
			Name string
			Box  []float64
		}
	}
	if err := json.Unmarshal(text, &d); err != nil {
		t.Fatal(err)
	}
	for _, sh := range d.Shapes {
		if sh.At == nil || sh.View == "" || sh.Tag == "" || sh.Class == "" || sh.Part == "" || len(sh.Set) == 0 || (sh.Tag == "text") != (len(sh.Text) > 0) {
			t.Errorf("%+v", sh)
		}
		for name, list := range sh.Set {
			for _, piece := range list {
				switch piece.(type) {
				case string, float64:
				default:
					t.Errorf("%s: %s has %v", sh.Part, name, piece)
				}
			}
		}
	}
	if len(d.Views) != 4 || len(d.Views[0].Box) != 4 {
		t.Errorf("%+v", d.Views)
	}
}

// hostile opens a text and sets a key of it: whatever they are, there is a session or a problem,
// and an error changes nothing.
func hostile(t interface{ Errorf(string, ...any) }, text, key, value string) {
	s, err := engine.Open([]byte(text))
	if err != nil {
		if len(engine.ProblemsOf(err)) == 0 {
			t.Errorf("an error without a problem")
		}
		return
	}
	before := s.Text()
	if err := s.Set(key, value); err != nil && s.Text() != before {
		t.Errorf("an error changed the text")
	}
	s.Stick(0.3)
	if len(s.Numbers()) != s.Scene().Length {
		t.Errorf("%d numbers, the scene says %d", len(s.Numbers()), s.Scene().Length)
	}
}

func TestDamagedFilesAndHostileValuesAreRefusedOrTaken(t *testing.T) {
	starters := engine.Starters()
	var keys []string
	m, err := open(t, "tie-rod").Measurements()
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range m.List {
		keys = append(keys, one.Key, one.Group)
	}
	for _, one := range m.Check {
		keys = append(keys, one.Key)
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(starters).Draw(t, "starter").Text
		for range rapid.IntRange(0, 2).Draw(t, "damages") {
			from := rapid.IntRange(0, len(text)).Draw(t, "from")
			to := min(len(text), from+rapid.IntRange(0, 40).Draw(t, "length"))
			text = text[:from] + rapid.SampledFrom([]string{"", "\x00", "1e308", "-0", "nan", "\"", "[", "±", "\n"}).Draw(t, "put") + text[to:]
		}
		value := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"0", "-1", "1e9", "nan", "inf", "90 ± 1e9", "<script>", "0, 0, 0", "left", "179"})).Draw(t, "value")
		hostile(t, text, rapid.SampledFrom(keys).Draw(t, "key"), value)
	})
}

func FuzzOpenAndSet(f *testing.F) {
	for _, st := range engine.Starters() {
		f.Add(st.Text, "horn.hole", "18 ± 0.2")
		f.Add(st.Text, "left.kingpin.top.x", "-3")
	}
	f.Add("", "", "")
	f.Add("format = 1", "x.y.1", "±")
	f.Fuzz(func(t *testing.T, text, key, value string) { hostile(t, text, key, value) })
}

// What the measurements have of a variance adds up to all of it.
func TestMeasurementsShareTheLocksUncertaintyAmongThem(t *testing.T) {
	s := open(t, "far-knuckle")
	d, err := s.Measurements()
	if err != nil {
		t.Fatal(err)
	}
	lock, evenness := 0.0, 0.0
	for _, m := range d.List {
		lock += float64(m.LockShare)
		evenness += float64(m.EvennessShare)
	}
	if math.Abs(lock-1) > 1e-9 || math.Abs(evenness-1) > 1e-9 {
		t.Errorf("shares add up to %v of the lock's variance and to %v of the evenness's", lock, evenness)
	}
}

// A reader of inches types and is shown inches, whatever the file is in, and the file keeps its
// unit where it had one. 25.4 mm are an inch.
func TestMeasurementsAreTypedInTheReadersUnit(t *testing.T) {
	find := func(s *engine.Session, key string) engine.MeasurementInfo {
		t.Helper()
		m, err := s.Measurements()
		if err != nil {
			t.Fatal(err)
		}
		for _, one := range m.List {
			if one.Key == key {
				return one
			}
		}
		t.Fatalf("no %s", key)
		return engine.MeasurementInfo{}
	}
	inches := document.Reader{Length: document.Inches}
	for _, c := range []struct {
		file   string // what stands in the file
		reader document.Reader
		shown  string // in the field
		typed  string
		mm, pm float64
		then   string // what stands in the file afterwards
	}{
		{"310", document.Reader{}, "310", "254", 254, 0.25, "254"},
		{"310", inches, "12.2047", "10", 254, 0.25, "254"},
		{"310 ± 0.508", inches, "12.2047 ± 0.02", "10", 254, 0.508, "254 ± 0.508"},
		{"310 ± 0.508", inches, "12.2047 ± 0.02", "10 ± 0.01", 254, 0.254, "10 ± 0.01 in"},
		{"310", inches, "12.2047", "254 mm", 254, 0.25, "254 mm"},
		{"12 in", inches, "12 in", "10", 254, 0.25, "10 in"},
		{"12 in", document.Reader{}, "304.8", "254", 254, 0.25, "10 in"},
		{"12 ± 0.1 in", document.Reader{}, "304.8 ± 2.54", "254 ± 0.5", 254, 0.5, "254 ± 0.5 mm"},
	} {
		s := open(t, "far-knuckle")
		if err := s.Set("vehicle.wheelbase", c.file); err != nil {
			t.Fatal(err)
		}
		s.SetReader(c.reader)
		one := find(s, "vehicle.wheelbase")
		if one.Entry != c.shown {
			t.Errorf("%q, read in %s, is shown as %q, want %q", c.file, c.reader, one.Entry, c.shown)
		}
		if err := s.Set("vehicle.wheelbase", c.typed); err != nil {
			t.Fatal(err)
		}
		s.SetReader(document.Reader{})
		one = find(s, "vehicle.wheelbase")
		if math.Abs(one.Figure.Value-c.mm) > 1e-6 || math.Abs(one.Figure.Uncertain-c.pm) > 1e-6 {
			t.Errorf("%q in place of %q is %v ± %v mm, want %v ± %v", c.typed, c.file, one.Figure.Value, one.Figure.Uncertain, c.mm, c.pm)
		}
		if want := "\nwheelbase = "; !strings.Contains(s.Text(), want+c.then+" ") && !strings.Contains(s.Text(), want+strconv.Quote(c.then)) {
			_, line, _ := strings.Cut(s.Text(), want)
			line, _, _ = strings.Cut(line, "\n")
			t.Errorf("%q in place of %q stands in the file as %s", c.typed, c.file, line)
		}
	}
	// What is not measured yet takes the file's accuracy, 0.25 mm.
	s, err := engine.Start("far-knuckle")
	if err != nil {
		t.Fatal(err)
	}
	s.SetReader(inches)
	if err := s.Set("vehicle.wheelbase", "10"); err != nil {
		t.Fatal(err)
	}
	one := find(s, "vehicle.wheelbase")
	if one.Missing || math.Abs(one.Figure.Value-254) > 1e-6 || math.Abs(one.Figure.Uncertain-0.25) > 0.005 {
		t.Errorf("a draft's wheelbase is %v ± %v mm", one.Figure.Value, one.Figure.Uncertain)
	}
	if one.Unit != "inches" || !strings.Contains(one.Hint, "Now 10.000 ± 0.010 in") {
		t.Errorf("typed in %s: %s", one.Unit, one.Hint)
	}
}
