package steer_test

import (
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/steer"
	"evenlock/vehicle"
)

// Of a flat rig with its kingpins 200 mm apart and 26 mm arms that point back, the tie rod is as
// long as the kingpins are apart less twice what the arms swing inwards: 200 - 2·26·sin. Moving the
// left kingpin or arm moves the right one in the mirror.
func TestTraceFindsWhatMovesARod(t *testing.T) {
	const deg = math.Pi / 180
	r := rigtest.Planar{Spacing: 200, Wheelbase: 300, TieArm: 26, TieInward: 20, DragArm: 20, ServoX: 60, Horn: 20, More: "[accuracy]\nlength = 0.5\n"}.Rig(t)
	v, err := r.Expand(true)
	if err != nil {
		t.Fatal(err)
	}
	all, err := steer.Trace(r, v)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != len(v.Numbers()) {
		t.Fatalf("%d of %d numbers", len(all), len(v.Numbers()))
	}
	for i := range all {
		n := &all[i]
		if n.List != "rod" || n.Name != "tie rod" {
			continue
		}
		if want := 200 - 52*math.Sin(20*deg); math.Abs(n.Known.Value-want) > 1e-9 {
			t.Errorf("long %v, want %v", n.Known.Value, want)
		}
		// The angle is exact, and moves it all the same.
		if want := 2 * 0.5 * math.Hypot(1, math.Sin(20*deg)); math.Abs(n.Known.Uncertain-want) > 1e-6 {
			t.Errorf("± %v, want %v", n.Known.Uncertain, want)
		}
		var by []string
		for _, c := range n.By {
			by = append(by, c.Path)
			if c.Shared {
				t.Errorf("%s is shared, of a rod that has no side", c.Path)
			}
		}
		if len(by) != 3 || by[0] != "left.kingpin.point.y" || by[1] != "left.tie_arm.length" || by[2] != "left.tie_arm.inward" {
			t.Errorf("moved by %v", by)
		}
		return
	}
	t.Fatal("no tie rod")
}

func TestOppositeParts(t *testing.T) {
	for name, want := range map[string]string{
		"left knuckle": "right knuckle", "right tie-rod ball": "left tie-rod ball", "rear left wheel's centre": "rear right wheel's centre",
		"the right knuckle's outward stop": "the left knuckle's outward stop", "horn": "", "lower left link's axle end": "lower right link's axle end",
	} {
		if got := vehicle.Opposite(name); got != want {
			t.Errorf("%s is opposite %q, want %q", name, got, want)
		}
	}
}
