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

func TestFiguresShowNoMoreDigitsThanTheyAreWorth(t *testing.T) {
	for _, test := range []struct {
		value, uncertain float64
		unit             string
		signed           bool
		want             string
	}{
		{31.2449, 0.84, "°", true, "31.2 ± 0.8° left"},
		{-31.2449, 0.14, "°", true, "31.24 ± 0.14° right"},
		{0.02, 0.1, "°", true, "0.02 ± 0.10°" + " left"},
		{123.4, 12, "mm", false, "123 ± 12 mm"},
		{1234, 400, "mm", false, "1200 ± 400 mm"},
		{1.55726, 0.0415, "m", false, "1.56 ± 0.04 m"},
		{5, 1e-15, "°", false, "5.0°"},
		{-1e-9, 0, "°", true, "0.0°"},
		{0.72, 0, "", false, "0.72"},
	} {
		if got := figure(test.value, test.uncertain, test.unit, test.signed).Text; got != test.want {
			t.Errorf("%v ± %v: %q, want %q", test.value, test.uncertain, got, test.want)
		}
	}
}

func TestProblemsOfAnErrorPrintOnePerLine(t *testing.T) {
	_, err := Open([]byte("format = 1\nname = \"x\"\nwheel = 3\n"))
	if err == nil || strings.Count(err.Error(), "\n")+1 != len(ProblemsOf(err)) {
		t.Errorf("%v", err)
	}
}
