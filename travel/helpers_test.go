package travel_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/travel"

	"gonum.org/v1/gonum/spatial/r3"
)

const degree = math.Pi / 180

// sprung are the starters with a suspension: links and a panhard rod, arms, struts.
var sprung = []string{"chassis", "centre-crank", "rack"}

// fataler is a test or a rapid one.
type fataler interface {
	Helper()
	Fatal(args ...any)
}

func suspended(t fataler, r *rig.Rig) *steer.Model {
	t.Helper()
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func over(t fataler, r *rig.Rig, steps int) *travel.Analysis {
	t.Helper()
	d, err := travel.Over(suspended(t, r), travel.Options{Steps: steps})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.12g, want %.12g within %.2g", what, got, want, within)
	}
}

// linked describes an axle on three alike level links and a panhard rod, which can therefore only
// go to and fro without turning as both its wheels rise. The drag link goes from the servo, on the
// left of the chassis, to an arm of 28 mm to the front of the right knuckle.
type linked struct {
	panhard [2]r3.Vec // chassis and axle
	drag    [2]r3.Vec // horn and knuckle
	links   float64   // length of the three
	bump    float64
}

func (l linked) rig(t testing.TB) *rig.Rig {
	t.Helper()
	link := func(name string, y, z float64) string {
		return fmt.Sprintf("[[suspension.link]]\nname = %q\nchassis = [%.17g, %g, %g]\naxle = [-5, %g, %g]\n", name, -5-l.links, y, z, y, z)
	}
	three := link("lower left", 40, -10) + link("lower right", -40, -10) + link("upper", 5, 25)
	at := func(v r3.Vec) string { return fmt.Sprintf("[%.17g, %.17g, %.17g]", v.X, v.Y, v.Z) }
	return rigtest.Read(t, fmt.Appendf(nil, `
format = 1
name = "level links (invented)"
[vehicle]
wheelbase = 300
track = 200
[left.kingpin]
point = [0, 75, 0]
caster = 0
inclination = 0
[left.wheel]
tyre_radius = 50
tyre_width = 30
[left.tie_arm]
ball = [-28, 72, 0]
[right.drag_arm]
ball = %s
[tie_rod]
[servo]
mount = "chassis"
point = %s
axis = "up"
[horn]
ball = %s
[drag_link]
to = "right"
[suspension]
kind = "links"
bump = %g
droop = %g
%s[[suspension.link]]
name = "panhard"
chassis = %s
axle = %s
`, at(l.drag[1]), at(r3.Sub(l.drag[0], r3.Vec{X: 18})), at(l.drag[0]), l.bump, l.bump, three, at(l.panhard[0]), at(l.panhard[1])))
}

// onAxle is a rig whose servo is on an axle that rides on links.
func onAxle(t testing.TB, name string) *rig.Rig {
	t.Helper()
	chassis := rigtest.StarterText(t, "chassis")
	return rigtest.Read(t, append(rigtest.StarterText(t, name), section(t, string(chassis))...))
}

// section is the part of a starter about the suspension.
func section(t testing.TB, text string) string {
	t.Helper()
	from, to := strings.Index(text, "[suspension]"), strings.Index(text, "# What the transmitter can do")
	if from < 0 || to < from {
		t.Fatal("the starter has no part about the suspension")
	}
	return text[from:to]
}
