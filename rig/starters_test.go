package rig_test

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestStartersReadAndSayThatTheyAreInvented(t *testing.T) {
	names := map[string]bool{}
	for _, s := range rig.Starters() {
		t.Run(s.Name, func(t *testing.T) {
			r, err := rig.Read(bytes.NewReader(s.Text), s.Name+".toml")
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Contains(s.Text, []byte("invented")) {
				t.Error("does not say that its numbers are invented")
			}
			if r.Accuracy.Length.Value == 0 || r.Accuracy.Angle.Value == 0 {
				t.Error("states no accuracy")
			}
			if len(r.Transmitter.Readings) != 2 || r.Servo.Teeth != 25 {
				t.Error("lacks readings or spline teeth")
			}
		})
		names[s.Name] = true
	}
	for _, want := range []string{"far-knuckle", "tie-rod", "chassis", "behind", "centre-crank", "rack"} {
		if !names[want] {
			t.Errorf("no starter %s", want)
		}
	}
}

// swapped gives a starter with each easier or harder form of a measurement that
// stands there as a remark made the stated one, and the stated one a remark.
func swapped(text string) string {
	// Within a table, the forms exclude one another. Of the horn, link_angle is in
	// place of lean, and left a remark wherever lean is stated.
	forms := map[string][2][]string{
		"kingpin":  {{"top", "bottom"}, {"point", "caster", "inclination"}},
		"tie_arm":  {{"ball"}, {"length", "points", "inward", "height"}},
		"drag_arm": {{"ball"}, {"length", "points", "inward", "height"}},
		"horn":     {{"ball"}, {"hole", "points", "lean", "reach"}},
	}
	if strings.Contains(text, "[suspension.left]") { // whose arms hold the knuckle by the two points
		delete(forms, "kingpin")
	}
	key := regexp.MustCompile(`^(?:# )?(\w+) = `)
	table := ""
	var out []string
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "[") {
			parts := strings.Split(strings.Trim(line, "[]\n"), ".")
			table = parts[len(parts)-1]
		}
		m := key.FindStringSubmatch(line)
		form, ok := forms[table]
		switch {
		case !ok || m == nil:
		case m[1] == "link_angle":
			line = "# " + line
		case slices.Contains(slices.Concat(form[0], form[1]), m[1]):
			if bare, found := strings.CutPrefix(line, "# "); found {
				line = bare
			} else {
				line = "# " + line
			}
		}
		out = append(out, line)
	}
	return strings.Join(out, "")
}

func TestBothFormsOfAStarterSayTheSame(t *testing.T) {
	const within = 0.2 // mm; the remarks are rounded to 0.1
	for _, s := range rig.Starters() {
		t.Run(s.Name, func(t *testing.T) {
			text := swapped(string(s.Text))
			if s.Name == "chassis" { // states link_angle, so lean is now stated beside ball
				text = strings.Replace(text, "\nlean =", "\n# lean =", 1)
			}
			var g [2]*vehicle.Vehicle
			for i, text := range []string{string(s.Text), text} {
				r, err := rig.Read(strings.NewReader(text), s.Name)
				if err != nil {
					t.Fatal(err)
				}
				if g[i], err = r.Expand(false); err != nil {
					t.Fatal(err)
				}
			}
			for name, c := range map[string][2]r3.Vec{
				"tie-rod ball":   {g[0].Wheel(vehicle.Left).Arm.At, g[1].Wheel(vehicle.Left).Arm.At},
				"pulled ball":    {g[0].Leader().Far().At, g[1].Leader().Far().At},
				"horn ball":      {g[0].Leader().Ball.At, g[1].Leader().Ball.At},
				"point 20 mm up": {twentyUp(g[0].Wheel(vehicle.Left).Knuckle), twentyUp(g[1].Wheel(vehicle.Left).Knuckle)},
			} {
				if d := r3.Norm(r3.Sub(c[0], c[1])); d > within {
					t.Errorf("%s: %.2f mm apart: %.2f and %.2f", name, d, c[0], c[1])
				}
			}
		})
	}
}

// twentyUp is where an axis passes 20 mm of height.
func twentyUp(b *vehicle.Body) r3.Vec {
	return r3.Add(b.Point, r3.Scale((20-b.Point.Z)/b.Axis.Z, b.Axis))
}

func TestStartersAreAFewDegreesOffSquare(t *testing.T) {
	for _, s := range rig.Starters() {
		r, err := rig.Read(bytes.NewReader(s.Text), s.Name)
		if err != nil {
			t.Fatal(err)
		}
		v, err := r.Expand(false)
		if err != nil {
			t.Fatal(err)
		}
		s0 := v.Leader()
		reach := r3.Sub(s0.Far().At, s0.Ball.At)
		horn, link := r3.Unit(r3.Sub(s0.Ball.At, s0.Horn.Point)), r3.Unit(reach)
		var said float64
		remark := regexp.MustCompile(`link_angle = "?(\d+)`).FindSubmatch(s.Text)
		if _, err := fmt.Sscan(string(remark[1]), &said); err != nil {
			t.Fatal(err)
		}
		if at := math.Acos(-r3.Dot(horn, link)) * 180 / math.Pi; math.Abs(at-said) > 0.8 {
			t.Errorf("%s: the angle at the horn's ball is %.1f degrees, and the file says %v", s.Name, at, said)
		}
		// The sine of 4 and of 12 degrees.
		if off := max(r3.Dot(horn, link), -r3.Dot(horn, link)); off < 0.07 || off > 0.21 {
			t.Errorf("%s: the sine of what horn and link are off square is %.3f", s.Name, off)
		}
		if link := r3.Norm(reach); link < r.DragLink.Shortest.Value || link > r.DragLink.Longest.Value {
			t.Errorf("%s: the drag link needs %.1f mm, which its thread does not allow", s.Name, link)
		}
		if rod := v.Rod("tie_rod"); rod != nil && (rod.Length < rod.Stock.Shortest || rod.Length > rod.Stock.Longest) {
			t.Errorf("%s: the tie rod needs %.1f mm, which its thread does not allow", s.Name, rod.Length)
		}
	}
}

func TestRemarksAboutLoadsCanBeTakenAsTheyStand(t *testing.T) {
	for _, s := range rig.Starters() {
		t.Run(s.Name, func(t *testing.T) {
			r := rigtest.Read(t, rigtest.LoadedText(t, s.Name))
			if r.Vehicle.Mass == 0 || !r.Left.Wheel.PatchLength.Given || len(r.Servo.Ratings) != 2 || r.Supply.Voltage == 0 ||
				r.Ground.RockForce == 0 || r.DragLink.Material == "" || r.Saver == nil {
				t.Errorf("something of the loads is not in it: %+v", r)
			}
		})
	}
}
