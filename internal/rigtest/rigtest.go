// Package rigtest makes rigs for the tests of the packages above rig.
package rigtest

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"evenlock/rig"

	"pgregory.net/rapid"
)

// Starter returns the starter rig of that name, with keys changed as rig.Edit does; each
// change is a key and a value with "=" between them.
func Starter(t testing.TB, name string, changes ...string) *rig.Rig {
	t.Helper()
	return Read(t, StarterText(t, name, changes...))
}

// StarterText is the file that Starter reads.
func StarterText(t testing.TB, name string, changes ...string) []byte {
	t.Helper()
	for _, s := range rig.Starters() {
		if s.Name != name {
			continue
		}
		return changed(t, s.Text, changes)
	}
	t.Fatalf("no starter is called %q", name)
	return nil
}

// loadRemark is a line about the loads that a starter has as a remark.
var loadRemark = regexp.MustCompile(`(?m)^# ((?:mass|steered_share|weight_height|patch_length|material|diameter|bore|bend|bearing_span|idle_current|` +
	`winding_resistance|voltage|torque|time|stall_current|resistance|preload|stiffness|friction|rock_height|rock_force) = .*|` +
	`\[\[servo\.rating\]\]|\[supply\]|\[servo_saver\]|\[ground\])$`)

// LoadedText is StarterText with every remark about the loads made part of the file.
func LoadedText(t testing.TB, name string, changes ...string) []byte {
	t.Helper()
	return changed(t, loadRemark.ReplaceAll(StarterText(t, name), []byte("$1")), changes)
}

func changed(t testing.TB, text []byte, changes []string) []byte {
	t.Helper()
	for _, c := range changes {
		key, value, _ := strings.Cut(c, "=")
		var err error
		if text, err = rig.Edit(text, strings.TrimSpace(key), strings.TrimSpace(value)); err != nil {
			t.Fatalf("%s: %v", c, err)
		}
	}
	return text
}

// Read returns the rig that a file describes.
func Read(t testing.TB, text []byte) *rig.Rig {
	t.Helper()
	r, err := rig.Read(bytes.NewReader(text), "test.toml")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Names lists the starters.
func Names() []string {
	var names []string
	for _, s := range rig.Starters() {
		names = append(names, s.Name)
	}
	return names
}

// Example returns the rig of that name among the examples, with keys changed as of a Starter. Like
// the rest about examples, it is for tests of the packages in the module's own folder.
func Example(t testing.TB, name string, changes ...string) *rig.Rig {
	t.Helper()
	return Read(t, ExampleText(t, name, changes...))
}

// ExampleText is the file that Example reads.
func ExampleText(t testing.TB, name string, changes ...string) []byte {
	t.Helper()
	text, err := os.ReadFile("../examples/" + name + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	return changed(t, text, changes)
}

// Texts are the files of every starter and example, by name.
func Texts(t testing.TB) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	for _, s := range rig.Starters() {
		all[s.Name] = s.Text
	}
	files, err := filepath.Glob("../examples/*.toml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no examples: %v", err)
	}
	for _, f := range files {
		name := strings.TrimSuffix(filepath.Base(f), ".toml")
		all[name] = ExampleText(t, name)
	}
	return all
}

// Rigs are those that Texts describe.
func Rigs(t testing.TB) map[string]*rig.Rig {
	t.Helper()
	all := map[string]*rig.Rig{}
	for name, text := range Texts(t) {
		all[name] = Read(t, text)
	}
	return all
}

// Uncertain lists the measurements of a rig that carry an uncertainty, in the order of the
// rig's Measurements; they point into the rig.
func Uncertain(r *rig.Rig) []rig.Measurement {
	var all []rig.Measurement
	for _, q := range r.Measurements() {
		if q.Q.Uncertainty > 0 {
			all = append(all, q)
		}
	}
	return all
}

// Moved returns the rig with one of its uncertain measurements moved, and all taken as exact, which
// makes models of it quick to build.
func Moved(r *rig.Rig, i int, by float64) *rig.Rig {
	c := r.Clone()
	all := Uncertain(c)
	all[i].Q.Value += by
	for _, q := range all {
		q.Q.Uncertainty = 0
	}
	return c
}

// Jiggled returns a starter with every measured value moved a little, at random.
func Jiggled(t *rapid.T, starters map[string]*rig.Rig, names []string) *rig.Rig {
	r := starters[rapid.SampledFrom(names).Draw(t, "starter")].Clone()
	for _, q := range r.Measurements() {
		by := rapid.Float64Range(-1, 1).Draw(t, q.Path)
		if q.Kind == rig.AngleKind {
			by *= math.Pi / 180
		}
		q.Q.Value += by
	}
	return r
}

// Step returns a step for the central difference with respect to a measurement: small enough for
// the error of the third derivative, large enough for rounding.
func Step(q rig.Measurement) float64 {
	if q.Kind == rig.AngleKind {
		return 2e-5
	}
	return 1e-3
}

// Planar describes a flat rig with upright kingpins through the wheel centres, the servo's axis
// upright, everything at one height; lengths in millimetres, angles in degrees.
type Planar struct {
	// Spacing is between the kingpins, which are at the wheel centres.
	Spacing, Wheelbase float64
	// TieArm points back and its end is TieInward to the middle.
	TieArm, TieInward float64
	// DragArm is the left knuckle's, and points back, DragInward to the middle.
	DragArm, DragInward float64
	// The servo is at ServoX, ServoY; the horn of length Horn points back, turned by Lean.
	ServoX, ServoY, Horn, Lean float64
	// More is added to the file.
	More string
}

// Rig returns the rig of the description.
func (p Planar) Rig(t testing.TB) *rig.Rig {
	t.Helper()
	return Read(t, fmt.Appendf(nil, `
format = 1
name = "flat rig (invented)"
[vehicle]
wheelbase = %.17g
track = %.17g
[left.kingpin]
point = [0, %.17g, 0]
caster = 0
inclination = 0
[left.wheel]
tyre_radius = 50
tyre_width = 40
[left.tie_arm]
length = %.17g
points = "back"
inward = %.17g
height = 0
[left.drag_arm]
length = %.17g
points = "back"
inward = %.17g
height = 0
[tie_rod]
[servo]
mount = "axle"
point = [%.17g, %.17g, 0]
axis = "up"
[horn]
hole = %.17g
points = "back"
lean = %.17g
[drag_link]
to = "left"
%s`, p.Wheelbase, p.Spacing, p.Spacing/2, p.TieArm, p.TieInward, p.DragArm, p.DragInward, p.ServoX, p.ServoY, p.Horn, p.Lean, p.More))
}

// Mirrored returns the rig seen in a mirror: left and right swapped, Y negated, the servos turning
// the other way and the stick with them. No drag link may go to the tie rod, whose ball is measured
// from the left only.
func Mirrored(r *rig.Rig) *rig.Rig {
	m := r.Clone()
	mirrorSteering(&m.Steering)
	mirrorControl(&m.Control)
	if m.Suspension != nil {
		mirrorSuspension(m.Suspension)
	}
	if m.Rear != nil {
		mirrorSteering(&m.Rear.Steering)
		mirrorControl(&m.Rear.Control)
	}
	return m
}

func mirrorSteering(m *rig.Steering) {
	if m.Right == nil {
		m.Right = &rig.Side{}
	}
	l, o := &m.Left, m.Right
	// What the file gives for both sides changes sides; what it leaves out on the right mirrors by
	// itself.
	if o.Kingpin != nil {
		l.Kingpin, o.Kingpin = o.Kingpin, l.Kingpin
		mirrorKingpin(l.Kingpin)
		mirrorKingpin(o.Kingpin)
	}
	if o.Wheel != nil {
		l.Wheel, o.Wheel = o.Wheel, l.Wheel
		mirrorPoint(&l.Wheel.Centre)
		mirrorPoint(&o.Wheel.Centre)
	}
	if o.TieArm != nil {
		l.TieArm, o.TieArm = o.TieArm, l.TieArm
		mirrorArm(l.TieArm)
		mirrorArm(o.TieArm)
	}
	l.DragArm, o.DragArm = o.DragArm, l.DragArm
	mirrorArm(l.DragArm)
	mirrorArm(o.DragArm)
	if o.Stops != nil {
		l.Stops, o.Stops = o.Stops, l.Stops
	}
	if o.AxleJoint != nil {
		l.AxleJoint, o.AxleJoint = o.AxleJoint, l.AxleJoint
	}
	if *o == (rig.Side{}) {
		m.Right = nil
	}
	switch m.DragLink.To {
	case "left":
		m.DragLink.To = "right"
	case "right":
		m.DragLink.To = "left"
	case "tie_rod":
		panic("a drag link to the tie rod cannot be mirrored")
	}
	mirrorPoint(&m.Servo.Point)
	m.Servo.Axis[1] *= -1
	mirrorPoint(&m.Horn.Ball)
	m.Horn.Points[1] *= -1
	m.Horn.Lean.Value *= -1
	m.Horn.Stud[1] *= -1
	if c := m.Crank; c != nil {
		for _, p := range []*rig.Point{&c.Point, &c.DragBall, &c.LeftBall, &c.RightBall} {
			mirrorPoint(p)
		}
		c.Axis[1] *= -1
		c.LeftBall, c.RightBall = c.RightBall, c.LeftBall
		c.LeftRod, c.RightRod = c.RightRod, c.LeftRod
	}
	if k := m.Rack; k != nil {
		for _, p := range []*rig.Point{&k.DragBall, &k.LeftBall, &k.RightBall} {
			mirrorPoint(p)
		}
		k.LeftBall, k.RightBall = k.RightBall, k.LeftBall
		k.LeftRod, k.RightRod = k.RightRod, k.LeftRod
	}
	if i := m.Idler; i != nil {
		mirrorPoint(&m.Crank.LinkBall)
		mirrorPoint(&i.Point)
		mirrorPoint(&i.LinkBall)
		i.Axis[1] *= -1
		i.Side = map[string]string{"left": "right", "right": "left"}[i.Side]
	}
	if n := m.SecondServo; n != nil {
		mirrorPoint(&n.Point)
		mirrorPoint(&n.Ball)
		n.Axis[1] *= -1
	}
}

func mirrorControl(m *rig.Control) {
	for i := range m.Transmitter.Readings {
		q := &m.Transmitter.Readings[i]
		if q.Setting != nil {
			*q.Setting *= -1
		}
		q.Angle.Value *= -1
	}
	s := &m.Settings
	s.Subtrim *= -1
	s.Trim *= -1
	s.EndpointLeft, s.EndpointRight = s.EndpointRight, s.EndpointLeft
	for i, j := 0, len(s.Curve)-1; i <= j; i, j = i+1, j-1 {
		s.Curve[i], s.Curve[j] = -s.Curve[j], -s.Curve[i]
	}
}

func mirrorPoint(p *rig.Point) { p[1].Value *= -1 }

func mirrorSuspension(s *rig.Suspension) {
	mirrorPoint(&s.Pivot)
	mirrorPoint(&s.RollCentre)
	for i := range s.Links {
		l := &s.Links[i]
		mirrorPoint(&l.Chassis)
		mirrorPoint(&l.Axle)
		l.ChassisBolt[1] *= -1
		l.AxleBolt[1] *= -1
	}
	if s.Right != nil {
		s.Left, s.Right = s.Right, s.Left
		for _, a := range []*rig.Arms{s.Left, s.Right} {
			for _, p := range []*rig.Point{&a.LowerFront, &a.LowerRear, &a.UpperFront, &a.UpperRear} {
				mirrorPoint(p)
			}
		}
	}
}

func mirrorKingpin(k *rig.Kingpin) {
	mirrorPoint(&k.Top)
	mirrorPoint(&k.Bottom)
	mirrorPoint(&k.Point)
}

func mirrorArm(a *rig.Arm) {
	if a != nil {
		mirrorPoint(&a.Ball)
		a.Stud[1] *= -1
	}
}

// Scaled returns the rig with every length times k.
func Scaled(r *rig.Rig, k float64) *rig.Rig {
	c := r.Clone()
	for _, q := range c.Measurements() {
		if q.Kind == rig.LengthKind {
			q.Q.Value *= k
			q.Q.Uncertainty *= k
		}
	}
	return c
}
