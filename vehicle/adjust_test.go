package vehicle_test

import (
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/vehicle"
)

// TestHoleIsAsIfTheFileSaidIt checks an adjustment to another hole against the file with that hole
// in it, and with the link's length left out.
func TestHoleIsAsIfTheFileSaidIt(t *testing.T) {
	dimensions := func(r *rig.Rig, a vehicle.Adjustment) []float64 {
		v, err := r.Expand(false)
		if err != nil {
			t.Fatal(err)
		}
		if err := v.Adjust(1, &a); err != nil {
			t.Fatal(err)
		}
		return v.Of(1).Dimensions()
	}
	for name, length := range map[string]string{"behind": "94", "centre-crank": "60", "rack": "60", "tie-rod": "92"} {
		r := rigtest.Starter(t, name, "drag_link.length="+length)
		said := rigtest.Starter(t, name, "horn.hole=13.5")
		want := dimensions(said, vehicle.Adjustment{HornTurn: 0.1})
		for i, d := range dimensions(r, vehicle.Adjustment{Hole: 13.5, HornTurn: 0.1}) {
			if math.Abs(d-want[i]) > 1e-12 {
				t.Errorf("%s: dimension %d is %v, want %v", name, i, d, want[i])
			}
		}
	}
}
