package rig

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestMeasurementsAreWhatWasMeasured(t *testing.T) {
	r := read(t, plainRig)
	var paths []string
	for _, m := range r.Measurements() {
		paths = append(paths, m.Path)
	}
	want := strings.Fields(`
		vehicle.wheelbase vehicle.track
		left.kingpin.top.x left.kingpin.top.y left.kingpin.top.z
		left.kingpin.bottom.x left.kingpin.bottom.y left.kingpin.bottom.z
		left.wheel.tyre_radius left.wheel.tyre_width
		left.tie_arm.ball.x left.tie_arm.ball.y left.tie_arm.ball.z
		right.drag_arm.length right.drag_arm.height
		servo.point.x servo.point.y servo.point.z
		horn.hole horn.lean
		transmitter.reading.1.angle transmitter.reading.2.angle`)
	if !slices.Equal(paths, want) {
		t.Errorf("got  %q\nwant %q", paths, want)
	}
}

func TestMeasurementsPointIntoTheRig(t *testing.T) {
	r := read(t, plainRig)
	for _, m := range r.Measurements() {
		m.Q.Value = 7
	}
	if r.Left.TieArm.Ball[1].Value != 7 || r.Horn.Lean.Value != 7 || r.Transmitter.Readings[1].Angle.Value != 7 || r.Right.DragArm.Height.Value != 7 {
		t.Error("the rig did not change")
	}
	if r.DragLink.Longest.Value != 106 {
		t.Error("a limit changed")
	}
}

func TestWordsForMeasurements(t *testing.T) {
	for path, want := range map[string]string{
		"left.kingpin.caster":         "left kingpin caster",
		"servo.point.z":               "servo point height (z)",
		"left.tie_arm.ball.y":         "left tie arm ball distance left (y)",
		"crank.point.x":               "crank point distance forward (x)",
		"vehicle.wheelbase":           "wheelbase",
		"transmitter.reading.2.angle": "transmitter reading 2 angle",
	} {
		if got := (Measurement{Path: path}).Words(); got != want {
			t.Errorf("%s: got %q, want %q", path, got, want)
		}
	}
}

func TestACloneSharesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRig(t)
		text := write(t, r)
		c := r.Clone()
		if !reflect.DeepEqual(c, r) {
			t.Fatal("the clone differs")
		}
		eachQuantity(reflect.ValueOf(c).Elem(), func(q *Quantity, _ Kind) { *q = Quantity{Value: 1} })
		for i := range c.Settings.Curve {
			c.Settings.Curve[i] = 1
		}
		for _, reading := range c.Transmitter.Readings {
			*reading.Setting = 1
		}
		if write(t, r) != text {
			t.Fatal("the rig changed with its clone")
		}
	})
}

// What is in a numbered table has the name that its builder gave.
func TestKeysOfNumberedTablesHaveTheirOwnNames(t *testing.T) {
	r := &Rig{
		Parts:      []Part{{Name: "left spring"}},
		Suspension: &Suspension{Links: []Link{{Name: "upper left"}, {Name: "panhard"}}},
	}
	for key, want := range map[string]string{
		"suspension.link.2.axle.z":    "panhard link, its ball on the axle, height (z)",
		"suspension.link.1.chassis.x": "upper left link, its ball on the chassis, distance forward (x)",
		"suspension.link.3.axle.z":    "suspension link 3 axle height (z)",
		"suspension.link.1.end_angle": "upper left link, end angle",
		"part.1.to.y":                 "left spring, the other end, distance left (y)",
		"part.1.radius":               "left spring, radius",
		"vehicle.wheelbase":           "wheelbase",
	} {
		if got := r.NameOf(key); got != want {
			t.Errorf("%s is called %q, want %q", key, got, want)
		}
	}
}

func TestNumbersAreAllThatAFileGives(t *testing.T) {
	r := read(t, string(Starters()[0].Text))
	got := map[string]Number{}
	for _, n := range r.Numbers() {
		got[n.Path] = n
	}
	for path, want := range map[string]float64{
		"vehicle.wheelbase": 310, "vehicle.mass": 2.8, "left.tie_arm.ball.y": 69.5, "horn.holes.2": 15.5,
		"left.stops.in": 42 * math.Pi / 180, "transmitter.reading.2.setting": -100, "drag_link.shortest": 94,
	} {
		if n, ok := got[path]; !ok || *n.Value != want {
			t.Errorf("%s is %+v, want %v", path, n, want)
		}
	}
	for _, m := range r.Measurements() {
		if n := got[m.Path]; n.Value != &m.Q.Value || n.Spread != &m.Q.Uncertainty || n.Kind != m.Kind {
			t.Errorf("%s is measured, and is not among the numbers as such", m.Path)
		}
	}
}
