package engine

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"evenlock/rig"
	"evenlock/steer"
)

func TestEveryStopHasItsPlaceOnTheDrawing(t *testing.T) {
	seen := map[string]bool{}
	for _, st := range rig.Starters() {
		r, err := rig.Read(bytes.NewReader(st.Text), st.Name)
		if err != nil {
			t.Fatal(err)
		}
		m, err := newMoved(r)
		if err != nil {
			t.Fatal(err)
		}
		for _, direction := range []float64{-1, 1} {
			for _, stop := range m.stopsTo(direction) {
				n := m.limitNumber(stop)
				placed := slices.ContainsFunc(places[:len(places)-1], func(p limitMark) bool { return strings.HasSuffix(stop.Words, p.words) })
				if n == noLimit || stop.Kind == steer.StatedStop && (!placed || m.marks[n].words != stop.Words) {
					t.Errorf("%s: %q has no place", st.Name, stop.Words)
				}
				seen[stop.Words] = true
			}
		}
	}
	if len(seen) < 8 {
		t.Errorf("only %d kinds of stop were seen", len(seen))
	}
}

func TestProblemsOfAnErrorPrintOnePerLine(t *testing.T) {
	_, err := Open([]byte("format = 1\nname = \"x\"\nwheel = 3\n"))
	if err == nil || strings.Count(err.Error(), "\n")+1 != len(ProblemsOf(err)) {
		t.Errorf("%v", err)
	}
}
