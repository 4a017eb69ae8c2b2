package advise_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"evenlock/advise"
	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

// The values that a change sets, put into the file, give the figure that was promised: found by the
// packages below on the file as it then is.
func TestWhatIsSetGivesWhatWasPromised(t *testing.T) {
	truck := rigtest.ExampleText(t, "trail-truck")
	text := func(pairs ...string) []byte {
		out := strings.NewReplacer(pairs...).Replace(string(truck))
		if len(pairs) > 0 && out == string(truck) {
			t.Fatalf("%q is not in the truck's file", pairs)
		}
		return []byte(out)
	}
	loads := func(t *testing.T, r *rig.Rig) *load.Analysis {
		t.Helper()
		l, err := load.OverLock(modelOf(t, r), load.Tilt{}, 8)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	safety := func(key string) func(t *testing.T, r *rig.Rig) float64 {
		return func(t *testing.T, r *rig.Rig) float64 {
			t.Helper()
			for _, rod := range loads(t, r).Rods {
				if rod.Key == key {
					strength, _ := rod.Weakest()
					return strength.SafetyFactor
				}
			}
			t.Fatalf("no rod %s", key)
			return 0
		}
	}
	lock := func(t *testing.T, r *rig.Rig) float64 {
		t.Helper()
		l := loads(t, r)
		sum := 0.0
		for side, place := range l.Rock {
			reach := l.Samples[len(l.Samples)-1].Inner
			if side == load.ToRight {
				reach = -l.Samples[0].Inner
			}
			if place.Happens {
				reach = place.Inner
			}
			sum += reach
		}
		return sum
	}
	for _, c := range []struct {
		name, key string
		text      []byte
		sets      []string
		figure    func(t *testing.T, r *rig.Rig) float64
		tol       float64
	}{
		{"a bent rod straight", "rod_fails.drag_link", text("bend = 4 ", "bend = 6 "), []string{"drag_link.bend"}, safety("drag_link"), 1e-9},
		{"a rod thicker", "rod_fails.drag_link", text("bend = 4 ", "#", "diameter = 3  ", "diameter = 1.2  ", "bore = 2  ", "#"), []string{"drag_link.diameter"}, safety("drag_link"), 1e-9},
		{"a stronger servo", "servo_stalls", text("holes = [13, 15.5, 18]", "holes = [18]"), []string{"servo.rating.1.torque", "servo.rating.2.torque"}, lock, 0.01},
		{"a shorter hole", "servo_stalls", text("holes = [13, 15.5, 18]", "holes = [13, 17, 18]", "lock = 35 ", "lock = 25 ", "rock_force = 31", "rock_force = 29"), []string{"horn.hole", "horn.link_angle"}, lock, 0.001},
		{"half the resistance", "drop", truck, []string{"supply.resistance"}, func(t *testing.T, r *rig.Rig) float64 {
			t.Helper()
			return loads(t, r).Gives
		}, 1e-9},
		{"a stop further out", "lock.left", text("lock = 35 ", "#", "in = 40 ", "in = 24 "), []string{"left.stops.in"}, func(t *testing.T, r *rig.Rig) float64 {
			t.Helper()
			p, err := setup.Make(r, 1)
			if err != nil {
				t.Fatal(err)
			}
			return p.Ends[steer.Left].Inner.Value
		}, 0.01},
	} {
		t.Run(c.name, func(t *testing.T) {
			read := func(text []byte) *rig.Rig {
				r, err := rig.Read(bytes.NewReader(text), "")
				if err != nil {
					t.Fatal(err)
				}
				return r
			}
			list, _ := adviceOn(t, read(c.text))
			change := changed(t, find(t, list, c.key))
			var keys []string
			for _, s := range change.Set {
				keys = append(keys, s.Key)
			}
			if strings.Join(keys, " ") != strings.Join(c.sets, " ") {
				t.Fatalf("sets %v, want %v", keys, c.sets)
			}
			changed, err := rig.EditAll(c.text, change.Set...)
			if err != nil {
				t.Fatal(err)
			}
			if got, want := c.figure(t, read(changed)), change.After.Value; math.Abs(got-want) > c.tol*math.Abs(want) {
				t.Errorf("%v sets it to %v, and %v was promised", change.Set, got, want)
			}
		})
	}
}

// A change that is more than values of the file is not set by halves.
func TestWhatTakesHandsIsNotSet(t *testing.T) {
	for _, s := range rig.Starters() {
		r, err := rig.Read(bytes.NewReader(s.Text), "")
		if err != nil {
			t.Fatal(err)
		}
		list, _, err := advise.Of(r, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range list {
			switch p.Key {
			case "even_place", "square", "repeat", "joint":
				if p.Change != nil && p.Change.Set != nil {
					t.Errorf("%s: %s sets %v", s.Name, p.Key, p.Change.Set)
				}
			}
		}
	}
}
