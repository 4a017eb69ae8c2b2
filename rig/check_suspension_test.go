package rig_test

import (
	"errors"
	"strings"
	"testing"

	"evenlock/rig"
)

// Each case changes a starter in one place and wants one complaint.
func TestWhatASuspensionOrALinkageLacksIsNamed(t *testing.T) {
	for _, c := range []struct{ name, starter, old, new, key, problem string }{
		{"three links", "chassis", "[[suspension.link]]\nname = \"panhard\"\nchassis = [16, 38, 46]\naxle = [16, -58, 26]\n", "", "suspension.link", "has 3 links"},
		{"two links in one place", "chassis", "chassis = [16, 38, 46]\naxle = [16, -58, 26]", "chassis = [-128, 34, -6]\naxle = [-10, 56, -16]", "suspension.link.1", "the lower left link and the panhard link fight: each alone would hold the axle"},
		{"links of arms", "chassis", `kind = "links"`, `kind = "arms"`, "suspension.link", "the kind is arms"},
		{"a stated motion without a roll centre", "chassis", `kind = "links"`, `kind = "stated"`, "suspension.link", "the kind is stated"},
		{"a motion stated for links", "chassis", "bump = 24", "roll_centre = [0, 0, 10]\nbump = 24", "suspension", "states a motion"},
		{"an end angle without bolts", "chassis", "axle = [16, -58, 26]", "axle = [16, -58, 26]\nend_angle = 20", "suspension.link.4.end_angle", "says nothing"},
		{"a link's name over two lines", "chassis", `name = "panhard"`, `name = "pan\nhard"`, "suspension.link.4.name", "cannot be shown"},
		{"a link's name without end", "chassis", `name = "panhard"`, `name = "` + strings.Repeat("a", 50) + `"`, "suspension.link.4.name", "50 characters"},
		{"no travel", "chassis", "bump = 24 ", "bump = 0 ", "suspension.bump", "out of range"},
		{"arms without an upper hinge", "centre-crank", "upper_rear = ", "# upper_rear = ", "suspension.left.upper_rear", "is missing"},
		{"hinges in one place", "centre-crank", "lower_rear = [-22, 22, -17.5]", "lower_rear = [18, 22, -17]", "suspension.left.lower_front", "in one place"},
		{"arms and a kingpin by angles", "centre-crank", "top = [-1.6, 64.7, 15]\nbottom = [1.6, 67.3, -15]", "point = [0, 66, 0]\ncaster = 6", "left.kingpin.top", "the arms hold the knuckle"},
		{"arms and a servo on the axle", "centre-crank", `mount = "chassis"`, `mount = "axle"`, "servo.mount", "independent wheels have none"},
		{"a strut with an upper arm", "rack", "lower_rear = [-22, 22, -17.5]", "lower_rear = [-22, 22, -17.5]\nupper_front = [1, 2, 3]", "suspension.left.upper_front", "a strut has no upper arm"},
		{"a rack that nothing pulls", "rack", `to = "rack"`, `to = "left"`, "rack", "is there, and drag_link.to is left"},
		{"a rack that is not there", "centre-crank", `to = "crank"`, `to = "rack"`, "drag_link.to", "there is no rack"},
		{"an idler without a centre link", "centre-crank", "# length left out", "[idler]\npoint = [-52, -40, 0]\nlink_ball = [-34, -40, 2]\n# length left out", "centre_link", "is missing"},
		{"a centre link without an idler", "centre-crank", "# length left out", "[centre_link]\n# length left out", "centre_link", "no idler"},
		{"a second servo beside a tie rod", "far-knuckle", "[drag_link]", "[second_servo]\nmount = \"axle\"\npoint = [0, -20, 30]\naxis = \"up\"\nball = [0, -35, 34]\nfollows = 1\n\n[drag_link]", "tie_rod", "beside a second servo"},
		{"a part without its size", "far-knuckle", "[drag_link]", "[[part]]\nname = \"post\"\non = \"chassis\"\nshape = \"box\"\ncentre = [0, 0, 60]\n\n[drag_link]", "part.1.size", "is missing"},
		{"a part on a crank that is not there", "far-knuckle", "[drag_link]", "[[part]]\nname = \"post\"\non = \"crank\"\nshape = \"ball\"\ncentre = [0, 0, 60]\nradius = 2\n\n[drag_link]", "part.1.on", "the rig has none"},
		{"a flat box", "far-knuckle", "[drag_link]", "[[part]]\nname = \"post\"\non = \"chassis\"\nshape = \"box\"\ncentre = [0, 0, 60]\nsize = [3, 0, 4]\n\n[drag_link]", "part.1.size", "not above 0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := ""
			for _, s := range rig.Starters() {
				if s.Name == c.starter {
					text = string(s.Text)
				}
			}
			if !strings.Contains(text, c.old) {
				t.Fatalf("the starter has no %q", c.old)
			}
			_, err := rig.Read(strings.NewReader(strings.Replace(text, c.old, c.new, 1)), "rig.toml")
			var all rig.Errors
			if !errors.As(err, &all) {
				t.Fatalf("the error is %v", err)
			}
			for _, e := range all {
				if e.Key == c.key && strings.Contains(e.Problem, c.problem) && e.Remedy != "" && e.Line > 0 {
					return
				}
			}
			t.Errorf("none of %v is about %s: %s", all, c.key, c.problem)
		})
	}
}
