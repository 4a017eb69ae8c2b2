package load_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// axleText is an invented axle, each number by side where a side has one.
type axleText struct {
	caster, inclination, inward, in, out, toe, print [2]float64
	// drag is the side of the drag arm; the servo is at x, y and looks along X.
	drag       int
	x, y, lean float64
	// ahead is 1 with the arms in front of the axle, -1 behind it.
	ahead int
}

// halfTurned is the axle turned by half a turn about the upright line through its middle: the sides
// change places, front and back too, and what leaned or pointed to one leans and points to the
// other. A knuckle's inward turn is then the outward turn of the other side.
func (a axleText) halfTurned() axleText {
	for _, v := range []*[2]float64{&a.caster, &a.inclination, &a.inward, &a.in, &a.out, &a.toe, &a.print} {
		v[0], v[1] = v[1], v[0]
	}
	for side := range 2 {
		a.caster[side], a.toe[side] = -a.caster[side], -a.toe[side]
	}
	a.in, a.out = a.out, a.in
	a.drag, a.x, a.y, a.ahead = 1-a.drag, -a.x, -a.y, -a.ahead
	return a
}

// write writes the tables, with what begins their keys.
func (a axleText) write(prefix string) string {
	points := map[int]string{1: "forward", -1: "back"}[a.ahead]
	sides := [2]string{"left", "right"}
	var text strings.Builder
	for side, name := range sides {
		fmt.Fprintf(&text, `
[%[1]s%[2]s.kingpin]
point = [0, %[3]v, 0]
caster = %[4]v
inclination = %[5]v
[%[1]s%[2]s.wheel]
tyre_radius = 60
tyre_width = 45
toe = %[6]v
patch_length = %[7]v
[%[1]s%[2]s.tie_arm]
length = 28
points = %[8]q
inward = %[9]v
height = 8
[%[1]s%[2]s.stops]
in = %[10]v
out = %[11]v
`, prefix, name, 80-160*side, a.caster[side], a.inclination[side], a.toe[side], a.print[side], points, a.inward[side], a.in[side], a.out[side])
	}
	fmt.Fprintf(&text, `
[%[1]s%[2]s.drag_arm]
length = 29
points = %[3]q
height = 22
[%[1]stie_rod]
material = "steel"
diameter = 3
[%[1]sservo]
mount = "axle"
point = [%[4]v, %[5]v, 40]
axis = %[3]q
bearing_span = 20
[[%[1]sservo.rating]]
voltage = 6
torque = "20 kg·cm"
time = 0.15
stall_current = 4
[%[1]shorn]
hole = 18
holes = [15, 18]
points = "down"
lean = %[6]v
reach = 4
[%[1]sdrag_link]
to = %[2]q
material = "steel"
diameter = 3
`, prefix, sides[a.drag], points, a.x, a.y, a.lean)
	return text.String()
}

// vehicleText is a vehicle with a front axle that carries a part of the weight in percent.
func vehicleText(front axleText, share float64) string {
	return fmt.Sprintf(`
format = 1
name = "vehicle (invented)"
[vehicle]
wheelbase = 320
track = 200
mass = 3
steered_share = %v
weight_height = 70
[ground]
friction = 0.9
[supply]
voltage = 6
`, share) + front.write("")
}

// A rear axle bears what a front axle bears that is the same one turned by half a turn, on a vehicle
// turned with it: rigid bodies do not know which way is forward.
func TestARearAxleBearsWhatItBearsTurnedToTheFront(t *testing.T) {
	plain := axleText{inclination: [2]float64{8, 8}, in: [2]float64{30, 30}, out: [2]float64{30, 30}, print: [2]float64{30, 30}, drag: 1, x: 24, y: 26, ahead: 1}
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		two := func(name string, low, high float64) [2]float64 {
			return [2]float64{draw("left "+name, low, high), draw("right "+name, low, high)}
		}
		axle := axleText{
			caster: two("caster", -8, 8), inclination: two("inclination", 0, 12), inward: two("inward", -15, 15), in: two("in", 15, 30),
			out: two("out", 15, 30), toe: two("toe", -2, 2), print: two("print", 20, 40), drag: rapid.IntRange(0, 1).Draw(t, "drag"),
			y: draw("y", 20, 30), lean: draw("lean", -8, 8), ahead: rapid.SampledFrom([]int{1, -1}).Draw(t, "ahead"),
		}
		axle.x = 24 * float64(axle.ahead)
		if axle.drag == 0 {
			axle.y = -axle.y
		}
		share := draw("share", 40, 60)
		tilt := load.Tilt{NoseUp: draw("nose up", -0.2, 0.2), RightDown: draw("right down", -0.2, 0.2)}
		text := vehicleText(plain, share) + "\n[rear]\ntrack = 200\n" + axle.write("rear.")
		build := func(text string, number int, tilt load.Tilt) (*steer.Model, *load.Analysis) {
			r, err := rig.Read(strings.NewReader(text), "")
			if err != nil {
				t.Fatal(err)
			}
			m, err := steer.Build(r.Exact(), steer.Options{Axle: number})
			if err != nil {
				t.Fatal(err)
			}
			a, err := load.OverLock(m, tilt, 2)
			if err != nil {
				t.Fatal(err)
			}
			return m, a
		}
		rear, is := build(text, 2, tilt)
		front, want := build(vehicleText(axle.halfTurned(), 100-share), 1, load.Tilt{NoseUp: -tilt.NoseUp, RightDown: -tilt.RightDown})
		size := want.Gives
		for i := range want.Samples {
			a, b := &want.Samples[i], &is.Samples[i]
			near(t, "servo", b.Servo, a.Servo, 1e-7)
			if a.Servo != 0 { // straight ahead no wheel is the inner one
				near(t, "inner wheel", b.Inner, a.Inner, 1e-7)
			}
			for way := range 2 {
				near(t, "standing", b.Standing[way], a.Standing[way], 1e-7*size)
				for side := range 2 {
					near(t, "kingpin", b.Kingpins[1-side][way], a.Kingpins[side][way], 1e-7*size)
				}
			}
		}
		for side := range 2 {
			near(t, "weight", is.Tyres[1-side].Weight, want.Tyres[side].Weight, 1e-9)
			near(t, "scrub", is.Tyres[1-side].Scrub, want.Tyres[side].Scrub, 1e-7)
			near(t, "kingpin's bending", is.Kingpins[1-side].Bending.Size, want.Kingpins[side].Bending.Size, 1e-6*size)
			near(t, "seconds", is.Loaded[side], want.Loaded[side], 1e-7)
		}
		for i := range want.Rods {
			near(t, "pull", is.Rods[i].Pull.Size, want.Rods[i].Pull.Size, 1e-6*want.Rods[i].Pull.Size)
			near(t, "safety factor", is.Rods[i].PushStrength.SafetyFactor, want.Rods[i].PushStrength.SafetyFactor, 1e-6*want.Rods[i].PushStrength.SafetyFactor)
		}
		near(t, "shaft", is.Shaft.Outer, want.Shaft.Outer, 1e-6*want.Shaft.Outer)
		near(t, "lock of the holes", is.HornLock, want.HornLock, 1e-7)
		for i, h := range want.Horn {
			near(t, "torque with a hole", is.Horn[i].Torque, h.Torque, 1e-7*size)
		}

		// The same from a push anywhere on a wheel.
		at, force := r3.Vec{X: draw("at x", -40, 40), Y: 10, Z: -30}, r3.Vec{X: draw("force", -9, 9), Y: 3, Z: 7}
		push := func(turned float64) load.Demand {
			flat := func(v r3.Vec) r3.Vec { return r3.Vec{X: turned * v.X, Y: turned * v.Y, Z: v.Z} }
			return func(w *load.Wheel) load.Ask {
				return load.Ask{Contacts: []load.Contact{{At: r3.Add(w.Centre, flat(at)), Force: flat(force)}}}
			}
		}
		on := func(m *steer.Model, d load.Demands) load.State {
			s, err := load.NewBench(m).At(0.2, 0, d)
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
		a, b := on(front, load.Demands{push(-1), nil}), on(rear, load.Demands{nil, push(1)})
		near(t, "torque", torque(b), torque(a), 1e-6*(1+size))
		for i, x := range a.Balls[:2] {
			near(t, x.Name, b.Balls[i].Across, x.Across, 1e-6*(1+x.Across))
		}
		near(t, "kingpin of the wheel pushed", b.Wheels[1].Kingpin.Across, a.Wheels[0].Kingpin.Across, 1e-6*(1+a.Wheels[0].Kingpin.Across))
	})
}

// What the loads of a rear axle need is asked for by the keys of the rear axle, and is enough: then
// the servo's torque straight ahead is the published scrub formula times the rates, by virtual work.
func TestWhatARearAxleLacksIsNamedByItsOwnKeys(t *testing.T) {
	text := rigtest.ExampleText(t, "four-wheel")
	overLock := func() (*load.Analysis, error) {
		m, err := steer.Build(rigtest.Read(t, text), steer.Options{Axle: 2})
		if err != nil {
			t.Fatal(err)
		}
		return load.OverLock(m, load.Tilt{}, 1)
	}
	_, err := overLock()
	var missing rig.Errors
	if !errors.As(err, &missing) {
		t.Fatal(err)
	}
	answers := map[string][]rig.Setting{
		"vehicle.mass": {{Value: "4"}}, "vehicle.steered_share": {{Value: "55"}}, "rear.left.wheel.patch_length": {{Value: "30", Unit: "mm"}},
		"ground.friction": {{Value: "0.9"}}, "supply.voltage": {{Value: "6"}},
		"rear.servo.rating": {{Key: ".1.voltage", Value: "6"}, {Key: ".1.torque", Value: "20 kg·cm"}, {Key: ".1.time", Value: "0.15"}},
	}
	var all []rig.Setting
	for _, e := range missing {
		if answers[e.Key] == nil {
			t.Errorf("asks for %s", e.Key)
		}
		for _, s := range answers[e.Key] {
			s.Key = e.Key + s.Key
			all = append(all, s)
		}
		delete(answers, e.Key)
	}
	if len(answers) > 0 {
		t.Errorf("does not ask for %v", answers)
	}
	if text, err = rig.EditAll(text, all...); err != nil {
		t.Fatal(err)
	}
	l, err := overLock()
	if err != nil {
		t.Fatal(err)
	}
	rates, want := l.Model.NewState().Rates(), 0.0
	for side, tyre := range l.Tyres {
		// 4 kg, 45 % of it on two wheels.
		near(t, "weight", tyre.Weight, 4*9.80665*0.45/2, 1e-9)
		want += load.ScrubMoment(0.9, tyre.Weight, tyre.Offset, 30) * math.Abs(rates[steer.Turn.Of(steer.Side(side))])
	}
	near(t, "torque", (l.Samples[1].Standing[0]+l.Samples[1].Standing[1])/2, want, 1e-9*want)
}
