package rig

import (
	"errors"
	"math"
	"strings"
	"testing"

	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// plainRear is a rear axle for plainRig.
const plainRear = `
[rear]
track = 190

[rear.left.kingpin]
point = [0, 70, 0]
caster = -4
inclination = 6

[rear.left.wheel]
tyre_radius = 57
tyre_width = 44

[rear.left.tie_arm]
length = 25
points = "back"
height = -6

[rear.right.drag_arm]
ball = [-28, -72, 15]

[rear.tie_rod]

[rear.servo]
mount = "axle"
point = [-22, 20, 35]
axis = "back"

[rear.horn]
hole = 17
points = "down"

[rear.drag_link]
to = "right"
`

func TestRearAxleIsAnAxleWithANumber(t *testing.T) {
	r := read(t, plainRig+plainRear)
	v, err := r.Expand(false)
	if err != nil {
		t.Fatal(err)
	}
	rear := v.Of(2)
	left, right := rear.Wheel(vehicle.Left), rear.Wheel(vehicle.Right)
	if a := rear.Axle(2); a.Middle != (r3.Vec{X: -310, Z: 57 - r.Left.Wheel.TyreRadius.Value}) || a.Other != 0 || left.Centre.At != r3.Add(a.Middle, r3.Vec{Y: 95}) || right.Centre.At != r3.Add(a.Middle, r3.Vec{Y: -95}) || right.Radius != 57 {
		t.Errorf("the rear axle is at %v against %v, its wheels at %v and %v, tyre %v", a.Middle, a.Other, left.Centre.At, right.Centre.At, right.Radius)
	}
	if far := rear.Leader().Far(); far.On != right.Knuckle || far.At.X != -28-310 || far.Key != "rear.right.drag_arm" {
		t.Errorf("its drag link pulls %+v", far)
	}
	if q := r.Rear.Left.Wheel.TyreRadius.Uncertainty; q != 0.2 {
		t.Errorf("a rear length has the uncertainty %v, not the file's 0.2", q)
	}
	if margin := r.Of(2).Margin.Value; margin != r.Want.Margin.Value || margin == 0 {
		t.Errorf("margin %v at the rear, %v at the front", margin, r.Want.Margin.Value)
	}
	if front := read(t, plainRig); front.Of(2) != nil {
		t.Error("a rig without [rear] has a rear axle")
	}
}

// Rear places are counted from the height of the rear wheels' centres: with smaller tyres they are
// lower, and what is measured from there comes back as it was measured.
func TestARearAxleOnSmallerTyresIsLower(t *testing.T) {
	r := read(t, plainRig+strings.Replace(plainRear, "tyre_radius = 57", "tyre_radius = 40", 1))
	v, err := r.Expand(false)
	if err != nil {
		t.Fatal(err)
	}
	rear, front := v.Of(2), v.Of(1)
	ground := func(w *vehicle.Wheel) float64 { return w.Centre.At.Z - w.Radius }
	if a, b := ground(front.Wheel(vehicle.Left)), ground(rear.Wheel(vehicle.Left)); math.Abs(a-b) > 1e-12 {
		t.Errorf("the front stands at a height of %v, the rear at %v", a, b)
	}
	arm := rear.Wheel(vehicle.Left).Arm
	if err := r.Put(v, arm, r3.Add(arm.At, r3.Vec{Z: 1.5})); err != nil {
		t.Fatal(err)
	}
	if got := r.Rear.Left.TieArm.Height.Value; math.Abs(got-(-6+1.5)) > 1e-9 {
		t.Errorf("the arm's height is %v once its ball is 1.5 mm higher, and was -6", got)
	}
}

// The front of the rig must not know of the rear.
func TestRearLeavesTheFrontAsItIs(t *testing.T) {
	alone, err := read(t, plainRig).Expand(false)
	if err != nil {
		t.Fatal(err)
	}
	both, err := read(t, plainRig+plainRear).Expand(false)
	if err != nil {
		t.Fatal(err)
	}
	with := both.Of(1).Dimensions()
	for i, d := range alone.Of(1).Dimensions() {
		if with[i] != d {
			t.Errorf("dimension %d is %v with a rear axle, %v without", i, with[i], d)
		}
	}
}

func TestEachMistakeAtTheRearIsNamedWithItsLineKeyAndRemedy(t *testing.T) {
	for _, c := range []struct {
		name     string
		old, new string // of plainRear
		at       string // text on the line that must be named
		key      string
		remedy   string
	}{
		{"no wheel", "[rear.left.wheel]\ntyre_radius = 57\ntyre_width = 44\n", "", "[rear.left.kingpin]", "rear.left.wheel", "add a table [rear.left.wheel]"},
		{"no tie rod", "[rear.tie_rod]\n", "", "[rear]", "rear.tie_rod", "add a table [rear.tie_rod]"},
		{"no servo", "[rear.servo]\nmount = \"axle\"\npoint = [-22, 20, 35]\naxis = \"back\"\n", "", "[rear]", "rear.servo", "add a table [rear.servo]"},
		{"no track", "track = 190", "", "[rear.left.wheel]", "rear.left.wheel.centre", "give rear.track instead"},
		{"track and centre", "tyre_width = 44", "tyre_width = 44\ncentre = [0, 95, 0]", "centre", "rear.left.wheel.centre", "leave one of the two out"},
		{"kingpin on the other side", "point = [0, 70, 0]", "point = [0, -70, 0]", "-70, 0]", "rear.left.kingpin.point", "y counts to the left"},
		{"kingpin without lean", "caster = -4\ninclination = 6\n", "", "[rear.left.kingpin]", "rear.left.kingpin", "add caster and inclination"},
		{"crank", `to = "right"`, `to = "crank"`, `to = "crank"`, "rear.drag_link.to", "pull left, right or tie_rod"},
		{"rack", `to = "right"`, `to = "rack"`, `to = "rack"`, "rear.drag_link.to", "pull left, right or tie_rod"},
		{"knuckle without a drag arm", `to = "right"`, `to = "left"`, "[rear.left.kingpin]", "rear.left.drag_arm", "add a table [rear.left.drag_arm]"},
		{"tie rod without a ball", `to = "right"`, `to = "tie_rod"`, "[rear.tie_rod]", "rear.tie_rod.along", "add the distance"},
		{"horn without a ball", "hole = 17\npoints = \"down\"\n", "", "[rear.horn]", "rear.horn", "hole and points"},
		{"odd thread", "[rear.tie_rod]", "[rear.tie_rod]\nthread = \"Q9\"", "Q9", "rear.tie_rod.thread", "M3"},
		{"rod shorter than its shortest", `to = "right"`, "to = \"right\"\nshortest = 90\nlongest = 80", "shortest", "rear.drag_link.shortest", "swap the two"},
		{"horn along the shaft", `points = "down"`, `points = "back"`, `points = "back"`, "rear.horn.points", "across rear.servo.axis"},
		{"drag link too short", `to = "right"`, "to = \"right\"\nlength = 20", "length = 20", "rear.drag_link.length", "places of its balls"},
		{"ball on the shaft", "hole = 17\npoints = \"down\"\n", "ball = [-26, 20, 35]\n", "ball = [-26", "rear.horn.ball", "rear.servo.point"},
		{"a rack beside what is pulled", "[rear.tie_rod]", "[rear.rack]\ndrag_ball = [-50, 0, 4]\nleft_ball = [-30, 14, -2]\nright_ball = [-30, -14, -2]\n[rear.tie_rod]", "[rear.rack]", "rear.rack", "write rear.drag_link.to"},
		{"two ratings at a voltage", "[rear.horn]", "[[rear.servo.rating]]\nvoltage = 6\ntorque = \"9 kg·cm\"\ntime = 0.2\n[[rear.servo.rating]]\nvoltage = 6\ntorque = \"9 kg·cm\"\ntime = 0.2\n[rear.horn]", "voltage", "rear.servo.rating.2.voltage", "one rating"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(plainRear, c.old) {
				t.Fatalf("no %q to spoil", c.old)
			}
			text := plainRig + strings.Replace(plainRear, c.old, c.new, 1)
			r, err := Read(strings.NewReader(text), "x.toml")
			var all Errors
			if r != nil || !errors.As(err, &all) {
				t.Fatalf("read as %v, %v", r, err)
			}
			if len(all) != 1 {
				t.Errorf("one mistake gave %v", err)
			}
			p := all[0]
			line := strings.Split(text, "\n")[max(p.Line, 1)-1]
			if p.Key != c.key || !strings.Contains(line, c.at) || !strings.Contains(p.Remedy, c.remedy) {
				t.Errorf("%v on the line %q; wanted key %s on a line with %q and the remedy %q", p, line, c.key, c.at, c.remedy)
			}
		})
	}
}
