package engine

import (
	"bytes"
	"strings"
	"testing"

	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

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
		m, err := newMoved(r, 1)
		if err != nil {
			t.Fatal(err)
		}
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
				at, p := m.marks[n].at(m.state, m.model), m.state.Pose()
				axis := func(b *vehicle.Body) r3.Vec {
					at, _ := m.model.Linkage.Axis(p, b.Handle)
					return at
				}
				left, right, servo := m.model.Wheels[steer.Left], m.model.Wheels[steer.Right], m.model.Servo
				want, known := map[string]r3.Vec{
					"the left knuckle's inward stop": p.Ball(left.Arm.Handle), "the left knuckle's outward stop": p.Ball(left.Arm.Handle),
					"the right knuckle's inward stop": p.Ball(right.Arm.Handle), "the right knuckle's outward stop": p.Ball(right.Arm.Handle),
					"the left axle joint": axis(left.Knuckle), "the right axle joint": axis(right.Knuckle),
					"the servo's own travel": axis(servo.Horn), steer.HornOverCentre: p.Ball(servo.Ball.Handle),
					"the drag link's rod end at the horn": p.Ball(servo.Ball.Handle), "the drag link's far rod end": p.Ball(servo.Far().Handle),
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
