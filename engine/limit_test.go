package engine

import (
	"bytes"
	"strings"
	"testing"

	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// A stop's mark is at the part that it is of.
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
		k := m.model.Mechanism()
		for _, direction := range []float64{-1, 1} {
			for _, stop := range m.stopsTo(direction) {
				n := m.limitNumber(stop)
				if n == noLimit || stop.Kind == steer.StatedStop && m.marks[n].words != stop.Words {
					t.Errorf("%s: %q has no place", st.Name, stop.Words)
					continue
				}
				if m.state.Turn(stop.Servo.Value*(1-1e-9)) != nil {
					continue
				}
				at, p := m.marks[n].at(m.state, k), m.state.Pose()
				horn, _ := k.Linkage.Axis(p, k.Horn)
				left, _ := k.Linkage.Axis(p, k.Left)
				right, _ := k.Linkage.Axis(p, k.Right)
				want, known := map[string]r3.Vec{
					"the left knuckle's inward stop": p.Ball(k.LeftTie), "the left knuckle's outward stop": p.Ball(k.LeftTie),
					"the right knuckle's inward stop": p.Ball(k.RightTie), "the right knuckle's outward stop": p.Ball(k.RightTie),
					"the left axle joint": left, "the right axle joint": right, "the servo's own travel": horn, steer.HornOverCentre: p.Ball(k.HornBall),
					"the drag link's rod end at the horn": p.Ball(k.HornBall), "the drag link's far rod end": p.Ball(k.Pulled),
				}[stop.Words]
				if known && r3.Norm(r3.Sub(at, want)) > 1e-9 {
					t.Errorf("%s: %q is marked at %.1f, want %.1f", st.Name, stop.Words, at, want)
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
