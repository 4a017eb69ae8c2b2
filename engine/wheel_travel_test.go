package engine

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/steer"
)

// truck opens the trail truck of the examples.
func truck(t testing.TB) *Session {
	t.Helper()
	text := rigtest.ExampleText(t, "trail-truck")
	s, err := Open(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func suspended(t *testing.T) map[string]*Session {
	t.Helper()
	all := map[string]*Session{"trail-truck": truck(t)}
	for _, st := range rig.Starters() {
		s, err := Open(st.Text)
		if err != nil {
			t.Fatal(err)
		}
		if s.moved.rig.Suspension != nil {
			all[st.Name] = s
		}
	}
	if len(all) < 4 {
		t.Fatalf("only %d rigs with a suspension", len(all))
	}
	return all
}

// steered is by how much the wheels are steered over the travel at most, with the rig moved here,
// each place afresh from ride height.
func steered(t *testing.T, text string) float64 {
	t.Helper()
	r, err := rig.Read(bytes.NewReader([]byte(text)), "")
	if err != nil {
		t.Fatal(err)
	}
	m, err := steer.NewSuspended(r.Exact())
	if err != nil {
		t.Fatal(err)
	}
	most := 0.0
	road := m.NewState().Road()
	homeLeft, homeRight := road[0], road[1]
	bump, droop := m.TravelRange()
	for i := -8; i <= 8; i++ {
		x := bump * float64(i) / 8
		if i < 0 {
			x = droop * float64(i) / 8
		}
		s := m.NewState()
		if err := s.Move(m.Centre(), steer.WheelTravel{Left: x, Right: x}); err != nil {
			t.Fatal(err)
		}
		road := s.Road()
		left, right := road[0], road[1]
		most = max(most, math.Abs(left-homeLeft), math.Abs(right-homeRight))
	}
	return most / degree
}

// rowsOf are the numbers in a table of a document: by row, those of the figures in its cells.
func rowsOf(t *testing.T, d *document.Document, key string) [][]float64 {
	t.Helper()
	for i := range d.Sections {
		for _, b := range d.Sections[i].Blocks {
			table, ok := b.(document.Table)
			if !ok || table.Key != key {
				continue
			}
			all := make([][]float64, len(table.Rows))
			for r, row := range table.Rows {
				for _, cell := range row.Cells {
					for _, f := range cell.Figures() {
						all[r] = append(all[r], f.Value)
					}
				}
			}
			return all
		}
	}
	t.Fatalf("no table %s", key)
	return nil
}

// What the document has of each motion is what the rig does when it is moved there afresh.
func TestTravelIsWhatTheRigDoesWhenItIsMoved(t *testing.T) {
	travels := map[string]func(x float64) steer.WheelTravel{
		"heave":       func(x float64) steer.WheelTravel { return steer.WheelTravel{Left: x, Right: x} },
		"roll":        func(x float64) steer.WheelTravel { return steer.WheelTravel{Left: x, Right: -x} },
		"left_wheel":  func(x float64) steer.WheelTravel { return steer.WheelTravel{Left: x} },
		"right_wheel": func(x float64) steer.WheelTravel { return steer.WheelTravel{Right: x} },
	}
	for name, s := range suspended(t) {
		d, err := s.Travel()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		m, err := steer.NewSuspended(s.moved.rig.Exact())
		if err != nil {
			t.Fatal(err)
		}
		road := m.NewState().Road()
		homeLeft, homeRight := road[0], road[1]
		// The figure for each millimetre is the slope of the rig's own steer, by a central
		// difference.
		const h = 0.1
		up, down := m.NewState(), m.NewState()
		if err := errors.Join(up.Move(m.Centre(), steer.WheelTravel{Left: h, Right: h}), down.Move(m.Centre(), steer.WheelTravel{Left: -h, Right: -h})); err != nil {
			t.Fatal(err)
		}
		want := (up.Road()[0] - down.Road()[0]) / (2 * h)
		f, ok := d.Find("bump")
		if !ok || math.Abs(math.Abs(f.Value)-math.Abs(want)) > 1e-4*degree {
			t.Errorf("%s: bump steer is %v° a mm, by difference %v°", name, f.Value/degree, want/degree)
		}
		for motion, travel := range travels {
			rows := rowsOf(t, d, motion)
			if len(rows) != 2*travelSteps+1 {
				t.Errorf("%s %s: %d rows", name, motion, len(rows))
			}
			for _, row := range rows {
				state := m.NewState()
				if err := state.Move(m.Centre(), travel(row[0])); err != nil {
					t.Fatalf("%s %s at %v mm: %v", name, motion, row[0], err)
				}
				road := state.Road()
				left, right := road[0], road[1]
				for w, want := range [2]float64{left - homeLeft, right - homeRight} {
					if got := row[1+w]; math.Abs(got-want) > 1e-6*degree {
						t.Errorf("%s %s: wheel %d at %v mm is steered %v°, moved there %v°", name, motion, w, row[0], got/degree, want/degree)
					}
				}
			}
		}
	}
}

// changesOf are the changes that a document proposes.
func changesOf(d *document.Document) (all []*document.Change) {
	for i := range d.Sections {
		for _, b := range d.Sections[i].Blocks {
			if findings, ok := b.(document.Findings); ok {
				for _, f := range findings {
					if f.Change != nil {
						all = append(all, f.Change)
					}
				}
			}
		}
	}
	return all
}

func TestMovingABallGivesWhatWasPromisedAndIsOneChange(t *testing.T) {
	tried := 0
	for name, s := range suspended(t) {
		d, err := s.Travel()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		before := s.Text()
		for _, c := range changesOf(d) {
			do := c.Do.Text(document.Reader{})
			if len(c.Set) == 0 {
				t.Errorf("%s: %s: no settings", name, do)
				continue
			}
			if err := s.SetAll(do, c.Set); err != nil {
				t.Fatalf("%s: %s: %v", name, do, err)
			}
			tried++
			// The file has hundredths of a millimetre and of a degree.
			if got := steered(t, s.Text()); math.Abs(got-c.After.Value/degree) > 0.02 {
				t.Errorf("%s: %s: steers by %.3f°, promised %.3f°", name, do, got, c.After.Value/degree)
			}
			if did := s.State().Undo; did != do {
				t.Errorf("%s: undo says %q, not %q", name, did, do)
			}
			if err := s.Undo(); err != nil || s.Text() != before {
				t.Fatalf("%s: undo: %v", name, err)
			}
		}
	}
	if tried < 4 {
		t.Errorf("only %d were tried", tried)
	}
}

func TestWithoutASuspensionItSaysWhatToAdd(t *testing.T) {
	s, err := Start("far-knuckle")
	if err != nil {
		t.Fatal(err)
	}
	d, err := s.Travel()
	if p := ProblemsOf(err); d != nil || len(p) != 1 || p[0].Key != "suspension" || !strings.Contains(p[0].Remedy, "[suspension]") {
		t.Errorf("%v %+v", err, d)
	}
}

// The moving heights, the slider's step and why the travel stops are in the units that the person
// reads in. An inch is 25.4 mm.
func TestLiveHeightsAreInTheReadersUnits(t *testing.T) {
	s := truck(t)
	said := func(of *Session, key string) string {
		t.Helper()
		for _, l := range of.Scene().Live {
			if l.Key != key {
				continue
			}
			var b []byte
			for _, p := range l.Text {
				b = p.Append(b, of.Numbers())
			}
			return string(b)
		}
		t.Fatalf("no live %s", key)
		return ""
	}
	if status := s.SetWheelTravel(12.7, -6.3); status != Done {
		t.Fatal(s.Why())
	}
	check := func(left, right, step string) {
		t.Helper()
		if l, r := said(s, "rise_left"), said(s, "rise_right"); l != left || r != right {
			t.Errorf("the heights are %q and %q, not %q and %q", l, r, left, right)
		}
		if st := s.State().Travel; st.StepWords != step || st.Step != 0.5 || st.Bump != 24 {
			t.Errorf("the slider has %+v", st)
		}
	}
	check("12.7 mm up", "6.3 mm down", "0.5 mm")
	s.SetReader(document.Reader{Length: document.Inches})
	check("0.500 in up", "0.248 in down", "0.020 in")

	far, err := Open([]byte(strings.Replace(s.Text(), "bump = 24 ", "bump = 200 ", 1)))
	if err != nil {
		t.Fatal(err)
	}
	far.SetReader(document.Reader{Length: document.Inches})
	if status := far.SetWheelTravel(200, 200); status != Held || !strings.Contains(far.Why(), " in up") || strings.Contains(far.Why(), " mm") {
		t.Errorf("status %v, why %q", status, far.Why())
	}
	// Only where it stops is it said so: a wheel that was asked to go there stays without it.
	if l := said(far, "rise_left"); !strings.HasPrefix(l, "stops ") || !strings.HasSuffix(l, " in up") {
		t.Errorf("the height is %q", l)
	}
	far.SetReader(document.Reader{})
	far.SetWheelTravel(3, -3)
	if said(far, "rise_left") != "3.0 mm up" || said(far, "rise_right") != "3.0 mm down" {
		t.Errorf("the heights are %q and %q", said(far, "rise_left"), said(far, "rise_right"))
	}
}
