package rig_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// everyFile is the text of every starter and example, by name, and of the starters whose horn is
// given in every other way that there is.
func everyFile(t *testing.T) map[string][]byte {
	t.Helper()
	all := rigtest.Texts(t)
	inches := rigtest.StarterText(t, "behind", "horn.hole=0.7 ± 0.01 in", "servo.point.y=1.2 ± 0.02 in")
	all["some inches"] = inches
	return all
}

// ends are the balls of the steering's rods.
func ends(t *testing.T, r *rig.Rig) (*vehicle.Vehicle, map[string]*vehicle.Ball) {
	t.Helper()
	v, err := r.Expand(false)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]*vehicle.Ball{}
	for _, rod := range v.Steering() {
		all[rod.From.Name], all[rod.To.Name] = rod.From, rod.To
	}
	return v, all
}

// Whatever the keys are that a file gives a ball by, at the front and at the rear, it is afterwards
// where it was put, and a mirrored ball cannot be put anywhere by itself.
func TestABallIsWhereItWasPut(t *testing.T) {
	by := r3.Vec{X: 1.2, Y: -0.7, Z: 0.4}
	for name, text := range everyFile(t) {
		r := rigtest.Read(t, text)
		v, balls := ends(t, r)
		for end, ball := range balls {
			to, want := r.Clone(), r3.Add(ball.At, by)
			if err := to.Put(v, ball, want); err != nil {
				if ball.Rule != vehicle.Mirrors || !errors.Is(err, rig.ErrCannotPlace) {
					t.Errorf("%s, %s: %v", name, end, err)
				}
				continue
			}
			_, put := ends(t, to)
			if off := r3.Norm(r3.Sub(put[end].At, want)); off > 1e-9 {
				t.Errorf("%s, %s: %.3g mm beside where it was put", name, end, off)
			}
			keys := r.PutKeys(v, ball)
			for i, m := range to.Measurements() {
				was := r.Measurements()
				if i >= len(was) || was[i].Path != m.Path {
					break
				}
				if was[i].Q.Uncertainty != m.Q.Uncertainty {
					t.Errorf("%s, %s: %s is ± %v, and was ± %v", name, end, m.Path, m.Q.Uncertainty, was[i].Q.Uncertainty)
				}
				if was[i].Q.Value != m.Q.Value && !slices.ContainsFunc(keys, func(key string) bool { return m.Path == key || strings.HasPrefix(m.Path, key+".") }) {
					t.Errorf("%s, %s: %s changed, which is not among %q", name, end, m.Path, keys)
				}
			}
		}
	}
}

// Wheels whose centres the file gives by the track are moved apart by it, both alike, and neither to
// the other side.
func TestWheelsArePutByTheTrack(t *testing.T) {
	r := rigtest.Read(t, everyFile(t)["four-wheel"])
	v, _ := ends(t, r)
	for _, key := range []string{"vehicle.track", "rear.track"} {
		for _, ball := range v.Balls {
			if ball.Key != key || ball.Rule == vehicle.Mirrors {
				continue
			}
			to := r.Clone()
			if err := to.Put(v, ball, r3.Add(ball.At, r3.Vec{Y: 3})); err != nil {
				t.Fatalf("%s: %v", key, err)
			}
			was, is := *r.Of(ball.Axle).Track, *to.Of(ball.Axle).Track
			if math.Abs(is.Value-was.Value-6) > 1e-9 || is.Uncertainty != was.Uncertainty {
				t.Errorf("%s was %v and is %v", key, was, is)
			}
			if err := to.Put(v, ball, r3.Scale(-1, ball.At)); !errors.Is(err, rig.ErrCannotPlace) {
				t.Errorf("%s: on the other side: %v", key, err)
			}
		}
	}
}

// A horn given by the angle between it and the link can be put anywhere round its shaft.
func TestAHornGivenByTheLinksAngleTurnsAnywhere(t *testing.T) {
	flipped := 0
	for name, text := range everyFile(t) {
		r := rigtest.Read(t, text)
		if !r.Horn.LinkAngle.Given {
			continue
		}
		v, _ := ends(t, r)
		s := v.Leader()
		for turn := -170.0; turn <= 180; turn += 10 {
			to, want := r.Clone(), vehicle.Turned(s.Ball.At, s.Horn.Point, s.Horn.Axis, turn*math.Pi/180)
			if errors.Is(r.Clone().Put(v, s.Ball, want), rig.ErrHornFlips) {
				flipped++
			}
			if err := to.PutHorn(v, s, want); err != nil {
				t.Errorf("%s turned by %v°: %v", name, turn, err)
				continue
			}
			_, put := ends(t, to)
			if off := r3.Norm(r3.Sub(put[s.Ball.Name].At, want)); off > 0.01 {
				t.Errorf("%s turned by %v°: %.3g mm beside where it was put", name, turn, off)
			}
		}
	}
	if flipped == 0 {
		t.Error("no turn needed another way for the horn to point")
	}
}

// What Changes says, put into the file, makes the file say the other rig, to a hundredth; and it
// changes no line but those of its keys.
func TestChangesMakeTheFileSayTheOtherRig(t *testing.T) {
	for name, text := range everyFile(t) {
		t.Run(name, func(t *testing.T) {
			r := rigtest.Read(t, text)
			if same := rig.Changes(r, r.Clone()); len(same) > 0 {
				t.Fatalf("a rig differs from itself by %v", same)
			}
			to := r.Clone()
			v, _ := ends(t, r)
			for i, m := range to.Measurements() {
				if i%3 == 0 && m.Kind == rig.LengthKind {
					m.Q.Value += 0.123
				}
			}
			to.Settings.Subtrim, to.Settings.Reverse, to.Settings.Curve = -7, !r.Settings.Reverse, []float64{-100, 0, 90}
			to.Transmitter.CurvePoints = 3
			if r.Horn.Points.Given() {
				p := r3.Unit(r3.Add(r3.Vec{X: r.Horn.Points[0], Y: r.Horn.Points[1], Z: r.Horn.Points[2]}, r3.Vec{X: 0.01, Y: 0.02, Z: 0.01}))
				to.Horn.Points = rig.Direction{p.X, p.Y, p.Z}
			}
			to.DragLink.Length = rig.Length{Quantity: rig.Quantity{Value: v.Leader().Link.Length + 0.25, Given: true}}
			to.DragLink.Shortest = rig.Length{}
			if to.TieRod != nil {
				to.TieRod.Offset.Set(r3.Vec{X: 1, Y: 2.255, Z: -3})
			}
			settings := rig.Changes(r, to)
			edited, err := rig.EditAll(text, settings...)
			if err != nil {
				t.Fatalf("%v: %v", settings, err)
			}
			back := rigtest.Read(t, edited)
			a, b := to.Measurements(), back.Measurements()
			if len(a) != len(b) {
				t.Fatalf("%d measurements, want %d", len(b), len(a))
			}
			for i := range a {
				if math.Abs(a[i].Q.Value-b[i].Q.Value) > 0.0051 {
					t.Errorf("%s is %v, want %v", a[i].Path, b[i].Q.Value, a[i].Q.Value)
				}
			}
			was := map[string]float64{}
			for _, m := range r.Measurements() {
				was[m.Path] = m.Q.Uncertainty
			}
			for _, m := range back.Measurements() {
				if u, ok := was[m.Path]; ok && math.Abs(u-m.Q.Uncertainty) > 1e-12 {
					t.Errorf("%s is ± %v, and was ± %v", m.Path, m.Q.Uncertainty, u)
				}
			}
			if s := back.Settings; s.Subtrim != -7 || s.Reverse == r.Settings.Reverse || len(s.Curve) != 3 || s.Curve[2] != 90 {
				t.Errorf("settings are %+v", s)
			}
			off := math.Hypot(back.Horn.Points[0]-to.Horn.Points[0], back.Horn.Points[1]-to.Horn.Points[1])
			if off > 1e-6 || back.DragLink.Shortest.Given {
				t.Errorf("points %v, shortest %v", back.Horn.Points, back.DragLink.Shortest)
			}
			for line := range strings.Lines(string(text)) {
				if remark := strings.TrimSpace(line); strings.HasPrefix(remark, "#") && !strings.Contains(string(edited), line) {
					t.Errorf("the remark %q is gone", remark)
				}
			}
		})
	}
}

// A number in millimetres is written in the unit that stands in the file: 25.4 mm are an inch (NIST
// SP 811).
func TestASettingWithAUnitKeepsTheFiles(t *testing.T) {
	for _, c := range []struct{ key, was, value, unit, want string }{
		{"horn.hole", "17", "12.7", "mm", "hole = 12.7"},
		{"horn.hole", "0.7 ± 0.01 in", "12.7", "mm", `hole = "0.5 ± 0.01 in"`},
		{"horn.hole", "0.7 in ± 0.2 mm", "12.7", "mm", `hole = "0.5 in ± 0.2 mm"`},
		{"horn.hole", "17 ± 0.1", "0.5", "in", `hole = "12.7 ± 0.1"`},
		{"servo.point.y", "1.2 ± 0.02 in", "25.4", "mm", `"1 ± 0.02 in"`},
		{"servo.point", "-22, 1.2 ± 0.02 in, 37", "-22, 25.4, 40", "mm", `[-22, "1 ± 0.02 in", 40]`},
		{"horn.lean", "3 ± 1", "9.25", "deg", `lean = "9.25 ± 1"`},
		{"drag_link.length", "", "99.5", "mm", "length = 99.5\n"},
		{"drag_link.length", "", "4", "in", "length = 101.6\n"},
	} {
		text := rigtest.StarterText(t, "behind", c.key+"="+c.was)
		got, err := rig.EditAll(text, rig.Setting{Key: c.key, Value: c.value, Unit: c.unit})
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(got), c.want) {
			t.Errorf("%s was %q and is set to %s %s: %q is not there", c.key, c.was, c.value, c.unit, c.want)
		}
	}
	if _, err := rig.EditAll(rigtest.StarterText(t, "behind"), rig.Setting{Key: "horn.hole", Value: "12", Unit: "furlong"}); err == nil {
		t.Error("a unit that there is not was taken")
	}
}
