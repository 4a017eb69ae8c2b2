package doubt_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/rig"
)

// maker makes plausible rigs the way that one builds them: a kind of vehicle and its scale first,
// then wheels that suit it, arms that suit the wheels, the servo where its link comes to lie about
// square and about level, and at last rods and stops to suit. It knows nothing of the table in
// usual.go. Every figure is invented, and written to half a millimetre or a tenth, as calipers on a
// vehicle are read.
type maker struct {
	*rand.Rand
	text strings.Builder
	// fine is what lengths are rounded to.
	fine float64
	// Of the axle that is being made: track, half of the kingpins' distance, arm, tyre radius.
	track, half, arm, radius float64
	// height is that of the arms' balls.
	height float64
	rear   bool
}

func (k *maker) between(low, high float64) float64 { return low + (high-low)*k.Float64() }

func (k *maker) maybe(chance float64) bool { return k.Float64() < chance }

// mm rounds a length as it is read.
func (k *maker) mm(x float64) float64 { return math.Round(x/k.fine) * k.fine }

func (k *maker) add(format string, args ...any) { fmt.Fprintf(&k.text, format+"\n", args...) }

// table begins a table of the axle.
func (k *maker) table(name string) {
	if k.rear {
		name = "rear." + name
	}
	k.add("[%s]", name)
}

func (k *maker) point(key string, x, y, z float64) {
	if k.rear {
		x = -x
	}
	k.add("%s = [%.4g, %.4g, %.4g]", key, k.mm(x), k.mm(y), k.mm(z))
}

// way is a direction of the axle; the rear one is the front one in a mirror.
func (k *maker) way(front string) string {
	if k.rear {
		return map[string]string{"forward": "back", "back": "forward"}[front]
	}
	return front
}

// kind is a sort of vehicle: its proportions.
type kind struct {
	name                         string
	base, track, radius, width   [2]float64
	spacing, caster, inclination [2]float64
}

var kinds = []kind{
	{"crawler", [2]float64{2.8, 3.2}, [2]float64{0.60, 0.72}, [2]float64{0.25, 0.31}, [2]float64{0.6, 0.9}, [2]float64{0.7, 0.82}, [2]float64{2, 10}, [2]float64{0, 10}},
	{"truck", [2]float64{2.6, 3.1}, [2]float64{0.60, 0.76}, [2]float64{0.22, 0.30}, [2]float64{0.6, 1}, [2]float64{0.7, 0.85}, [2]float64{2, 12}, [2]float64{0, 10}},
	{"buggy", [2]float64{2.5, 2.9}, [2]float64{0.62, 0.78}, [2]float64{0.19, 0.26}, [2]float64{0.6, 1.05}, [2]float64{0.72, 0.86}, [2]float64{4, 14}, [2]float64{0, 9}},
	{"touring car", [2]float64{2.5, 2.8}, [2]float64{0.60, 0.70}, [2]float64{0.185, 0.22}, [2]float64{0.7, 0.9}, [2]float64{0.76, 0.88}, [2]float64{2, 8}, [2]float64{0, 8}},
}

// layouts are the ways that a maker lays a steering out.
var layouts = []string{"far knuckle", "behind", "near knuckle", "tie rod", "crank", "idler", "plate", "rack", "two servos", "both axles"}

// plausible returns a plausible rig.
func plausible(t testing.TB, rng *rand.Rand, layout string) *rig.Rig {
	t.Helper()
	k := &maker{Rand: rng}
	scale := 1 / math.Exp(k.between(math.Log(5), math.Log(24)))
	kinds := kinds
	switch layout {
	case "crank", "idler", "plate", "rack":
		kinds = kinds[1:]
	default:
		kinds = kinds[:2]
	}
	kind := kinds[rng.IntN(len(kinds))]
	k.fine = []float64{0.1, 0.5}[rng.IntN(2)]
	if scale < 1./14 {
		k.fine = 0.1
	}
	base := 1000 * scale * k.between(kind.base[0], kind.base[1])
	k.track = k.mm(base * k.between(kind.track[0], kind.track[1]))
	k.add("format = 1\nname = %q", kind.name+" (invented)")
	k.add("[accuracy]\nlength = %v\nangle = %v", []float64{0.1, 0.2, 0.25, 0.3, 0.5}[rng.IntN(5)], []float64{0.5, 1, 1.5, 2}[rng.IntN(4)])
	k.add("[vehicle]\nwheelbase = %v\ntrack = %v", k.mm(base), k.track)
	if k.maybe(0.3) {
		k.add("mass = %.2g\nsteered_share = %.0f", 95*base*base*base/1e9*k.between(0.7, 1.4), k.between(45, 60))
	}
	switch layout {
	case "both axles":
		k.axle(kind, "far knuckle")
		k.rear = true
		k.track = k.mm(k.track * k.between(0.97, 1.03))
		k.add("[rear]\ntrack = %v", k.track)
		k.axle(kind, "far knuckle")
	default:
		k.axle(kind, layout)
	}
	r := rigtest.Read(t, []byte(k.text.String()))
	k.ranges(t, r)
	return reread(t, r)
}

// reread writes a rig and reads it.
func reread(t testing.TB, r *rig.Rig) *rig.Rig {
	t.Helper()
	back, err := asFile(r)
	if err != nil {
		t.Fatal(err)
	}
	return back
}

// asFile is what becomes of a rig as a file; the error is that of a reader who refuses it.
func asFile(r *rig.Rig) (*rig.Rig, error) {
	var b bytes.Buffer
	if err := rig.Write(&b, r); err != nil {
		return nil, err
	}
	return rig.Read(&b, "test.toml")
}

// axle makes an axle.
func (k *maker) axle(kind kind, layout string) {
	k.radius = k.mm(k.track * k.between(kind.radius[0], kind.radius[1]))
	k.half = k.track * k.between(kind.spacing[0], kind.spacing[1]) / 2
	k.arm = k.track * k.between(0.11, 0.165)
	k.knuckles(kind, layout)
	switch layout {
	case "crank", "idler", "plate", "rack":
		k.middle(layout)
	default:
		k.straight(layout)
	}
	k.common()
}

// knuckles makes kingpins, wheels, the arms for the tie rod, stops.
func (k *maker) knuckles(kind kind, layout string) {
	caster, incl := k.between(kind.caster[0], kind.caster[1]), k.between(kind.inclination[0], kind.inclination[1])
	k.table("left.kingpin")
	if k.maybe(0.5) {
		h := k.radius * k.between(0.22, 0.5)
		dx, dy := h*math.Tan(caster*math.Pi/180), h*math.Tan(incl*math.Pi/180)
		k.point("top", -dx, k.half-dy, h)
		k.point("bottom", dx, k.half+dy, -h)
	} else {
		if k.rear {
			caster = -caster
		}
		k.point("point", 0, k.half, 0)
		k.add("caster = \"%.0f ± %v\"\ninclination = %.0f", caster, []float64{1, 1.5}[k.IntN(2)], incl)
	}
	k.table("left.wheel")
	k.add("tyre_radius = %v\ntyre_width = %v", k.radius, k.mm(k.radius*k.between(kind.width[0], kind.width[1])))
	if k.maybe(0.5) {
		k.add("toe = \"%.1f ± 0.3\"\ncamber = %.1f", k.between(-1, 1), k.between(-2, 1))
	}
	// Behind the axle the arms are angled inward, ahead of it outward, for Ackermann.
	way, inward := "back", k.between(4, 18)
	if layout == "crank" || layout == "idler" || layout == "plate" || layout == "rack" {
		inward = k.between(2, 12) // the inner balls do a part of it
	}
	if layout == "tie rod" || layout == "behind" && k.maybe(0.3) {
		way, inward = "forward", -k.between(3, 13)
	}
	k.height = k.radius * k.between(-0.2, 0.2)
	k.table("left.tie_arm")
	if k.maybe(0.5) {
		k.add("length = %.4g\npoints = %q\ninward = %.0f\nheight = %.4g", k.mm(k.arm), k.way(way), inward, k.mm(k.height))
	} else {
		sin, cos := math.Sincos(inward * math.Pi / 180)
		if way == "back" {
			cos = -cos
		}
		k.point("ball", k.arm*cos, k.half-k.arm*sin, k.height)
	}
	if k.maybe(0.8) {
		in := k.between(32, 46)
		k.table("left.stops")
		k.add("in = %.0f\nout = %.0f", in, in-k.between(0, 5))
	}
	if k.maybe(0.6) {
		k.table("left.axle_joint")
		k.add("kind = \"universal\"\nmax_angle = %.0f", k.between(38, 50))
	}
}

// straight makes a servo whose link pulls a knuckle or the tie rod.
func (k *maker) straight(layout string) {
	drag := k.arm * k.between(0.85, 1.15)
	hole := drag * k.between(0.6, 1)
	x, axis, mount := drag, "forward", "axle"
	if layout == "behind" {
		x, axis = -drag, "back"
	}
	z := k.radius * k.between(0.2, 0.45)
	side := "right"
	servoY, lift := k.half*k.between(0.2, 0.45), 0.0
	switch layout {
	case "near knuckle":
		side = "left"
		servoY = -k.half * k.between(0.1, 0.4)
	case "tie rod":
		side, x = "tie_rod", k.arm+k.between(-2, 2)*k.track/200
		lift = k.between(0.02, 0.06) * k.track
		z = k.height + lift
	case "two servos":
		servoY = -k.half * k.between(-0.05, 0.1)
		hole = drag * k.between(0.8, 1.05)
	}
	arms := []string{side}
	if layout == "two servos" {
		arms = []string{"right", "left"}
	}
	for _, side := range arms {
		if side == "tie_rod" {
			continue
		}
		out := map[string]float64{"left": 1, "right": -1}[side]
		k.table(side + ".drag_arm")
		if k.maybe(0.5) {
			way := "forward"
			if x < 0 {
				way = "back"
			}
			k.add("length = %.4g\npoints = %q\ninward = %.0f\nheight = %.4g", k.mm(drag), k.way(way), k.between(-4, 6), k.mm(z))
		} else {
			k.point("ball", x, out*(k.half-drag*k.between(-0.05, 0.1)), z)
		}
	}
	if layout != "two servos" {
		k.table("tie_rod")
		k.rod()
		if layout == "tie rod" {
			k.add("along = %.4g", k.mm(2*k.half*k.between(0.72, 0.95)))
			k.point("offset", k.between(0, 0.012)*k.track, 0, lift)
		}
	}
	lean := k.between(-9, 9)
	reach := k.between(0.015, 0.03) * k.track
	foot := z + k.radius*k.between(-0.08, 0.08) + hole
	k.table("servo")
	k.add("mount = %q\naxis = %q", mount, k.way(axis))
	from := x - reach
	if x < 0 {
		from = x + reach
	}
	k.point("point", from+k.between(-0.01, 0.01)*k.track, servoY, foot)
	k.servo()
	k.table("horn")
	switch {
	case k.maybe(0.35):
		sin, cos := math.Sincos(lean * math.Pi / 180)
		k.point("ball", x, servoY+hole*sin, foot-hole*cos)
	case k.maybe(0.5):
		k.add("hole = %.4g\npoints = \"down\"\nlink_angle = \"%.0f ± 2\"\nreach = %.4g", k.mm(hole), 90+lean, k.mm(reach))
	default:
		k.add("hole = %.4g\npoints = \"down\"\nlean = %.0f\nreach = %.4g", k.mm(hole), lean, k.mm(reach))
	}
	k.horn(hole)
	k.table("drag_link")
	k.add("to = %q", side)
	k.rod()
	if layout != "two servos" {
		return
	}
	k.table("second_servo")
	k.add("mount = \"axle\"\naxis = %q\nfollows = 1", k.way(axis))
	k.point("point", from, -servoY, foot)
	k.point("ball", x, -servoY, foot-hole)
}

// middle makes a crank or a rack with its servo beside it, all about level.
func (k *maker) middle(layout string) {
	z := k.height + k.radius*k.between(-0.15, 0.15)
	hole := k.track * k.between(0.08, 0.11)
	reach := k.track * k.between(0.02, 0.045)
	inner := k.half * k.between(0.1, 0.3)
	ballX := -k.arm * k.between(0.95, 1.2)
	var dragX, dragY float64
	switch layout {
	case "rack":
		dragX, dragY = ballX-k.track*k.between(0.12, 0.28), 0
		k.table("rack")
		k.point("drag_ball", dragX, dragY, z)
		k.point("left_ball", ballX, inner, z)
		k.point("right_ball", ballX, -inner, z)
	default:
		// The crank's arm to the rods points forward, that to the servo back.
		arm := k.track * k.between(0.11, 0.15)
		pivot := ballX - arm
		dragX = pivot - k.track*k.between(0.1, 0.14)
		across := 0.0
		if layout != "crank" {
			across = k.half * k.between(0.25, 0.4)
		}
		dragY = across
		k.table("crank")
		k.point("point", pivot, across, z)
		k.point("drag_ball", dragX, dragY, z)
		k.add("axis = \"up\"")
		switch layout {
		case "crank":
			k.point("left_ball", ballX, inner, z)
			k.point("right_ball", ballX, -inner, z)
		case "idler":
			k.point("left_ball", ballX, across, z)
			k.point("right_ball", ballX, -across, z)
			k.point("link_ball", ballX-0.3*arm, across, z)
		default:
			k.point("left_ball", ballX, inner, z)
			k.point("right_ball", ballX, -inner, z)
			k.point("link_ball", ballX-0.1*arm, across, z)
		}
		if layout != "crank" {
			k.table("idler")
			k.point("point", pivot, -across, z)
			if layout == "idler" {
				k.add("side = \"right\"")
				k.point("link_ball", ballX-0.3*arm, -across, z)
			} else {
				k.point("link_ball", ballX-0.1*arm, -across, z)
			}
			k.table("centre_link")
			k.add("plate = %v", layout == "plate")
		}
	}
	table := "crank"
	if layout == "rack" {
		table = "rack"
	}
	for _, side := range []string{"left", "right"} {
		k.table(table + "." + side + "_rod")
		k.rod()
	}
	length := k.track * k.between(0.33, 0.45)
	servoY := dragY + length
	if dragY > 0 {
		servoY = dragY - length
	}
	lean := k.between(-10, 10)
	k.table("servo")
	k.add("mount = \"chassis\"\naxis = \"up\"")
	k.point("point", dragX-hole, servoY, z-reach+k.radius*k.between(-0.1, 0.1))
	k.servo()
	k.table("horn")
	k.add("hole = %.4g\npoints = \"forward\"\nlean = %.0f\nreach = %.4g", k.mm(hole), lean, k.mm(reach))
	k.horn(hole)
	k.table("drag_link")
	k.add("to = %q", table)
	k.rod()
}

// servo makes its spline and travel.
func (k *maker) servo() { k.add("teeth = 25\ntravel = %.0f", k.between(55, 90)) }

// horn makes the other holes.
func (k *maker) horn(hole float64) {
	if !k.maybe(0.7) {
		return
	}
	pitch := hole * k.between(0.11, 0.16)
	use := k.IntN(3)
	var all []string
	for i := range 3 {
		all = append(all, fmt.Sprintf("%.4g", k.mm(hole)+k.mm(float64(i-use)*pitch)))
	}
	k.add("holes = [%s]", strings.Join(all, ", "))
}

// rod makes what a rod is made of.
func (k *maker) rod() {
	k.add("thread = \"M3\"\nadjust = \"turnbuckle\"")
	if k.maybe(0.8) {
		k.add("end_angle = %.0f", k.between(18, 32))
	}
}

// common makes the transmitter and what is wanted.
func (k *maker) common() {
	slope := k.between(0.38, 0.55)
	sign := 1.0
	if k.maybe(0.5) {
		sign = -1
	}
	table := "transmitter"
	if k.rear {
		table = "rear.transmitter"
	}
	k.add("[%s]\nmax_endpoint = %v\nmax_subtrim = 100", table, []int{100, 120, 125, 140, 150}[k.IntN(5)])
	read := func(control string, setting, slope float64) {
		k.add("[[%s.reading]]\ncontrol = %q\nsetting = %v\nangle = %.0f", table, control, setting, sign*slope*setting*k.between(0.97, 1.03))
	}
	read("endpoint", 100, slope)
	read("endpoint", -100, slope)
	if k.maybe(0.4) {
		trim := slope * k.between(0.3, 0.6)
		read("subtrim", 50, trim)
		read("subtrim", -50, trim)
	}
	k.table("want")
	k.add("lock = %.0f", k.between(25, 40))
}

// ranges gives the rods the range that their threads allow, and some a measured length.
func (k *maker) ranges(t testing.TB, r *rig.Rig) {
	t.Helper()
	v, err := r.Expand(false)
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range v.Steering() {
		rod := r.Rod(one.Key)
		set := func(l *rig.Length, x, spread float64) {
			*l = rig.Length{Quantity: rig.Quantity{Value: k.mm(x), Uncertainty: spread, Given: true}}
		}
		if k.maybe(0.75) {
			set(&rod.Shortest, one.Length*k.between(0.9, 0.97), 0)
			set(&rod.Longest, one.Length*k.between(1.03, 1.1), 0)
		}
		if k.maybe(0.2) {
			set(&rod.Length, one.Length, r.Accuracy.Length.Value)
		}
	}
}
