package advise_test

import (
	"strconv"
	"strings"
	"testing"

	"evenlock/advise"
	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/setup"
)

// The file has one value for both sides where the right mirrors the left: what ends the lock to
// either side is then that value, and 2° more of it are tried, and set, for both.
func TestWhatEndsTheLockIsAKeyOfTheFile(t *testing.T) {
	far := []string{"want.lock=80", "transmitter.max_endpoint=150", "servo.travel=120"}
	for _, c := range []struct {
		name, key string
		text      []byte
	}{
		{"a starter's joint", "left.axle_joint.max_angle", rigtest.StarterText(t, "far-knuckle", append(far, "left.axle_joint.max_angle=22")...)},
		{"a starter's inward stop", "left.stops.in", rigtest.StarterText(t, "far-knuckle", append(far, "left.stops.in=15")...)},
		{"a starter's outward stop", "left.stops.out", rigtest.StarterText(t, "far-knuckle", append(far, "left.stops.out=15")...)},
		{"the truck's joint", "left.axle_joint.max_angle", rigtest.ExampleText(t, "trail-truck", "want.lock=80", "left.axle_joint.max_angle=22")},
	} {
		t.Run(c.name, func(t *testing.T) {
			list, s := adviceOn(t, rigtest.Read(t, c.text))
			moved := 0
			for side := range s.Plan.Ends {
				end := &s.Plan.Ends[side]
				if end.Key != c.key {
					t.Errorf("[%s] ends the lock to the %v", end.Key, end.Side)
				}
				for _, f := range list {
					if f.Key != "lock."+end.Side.String() {
						continue
					}
					moved++
					_, facts := factsOn[*advise.Lock](t, list, f.Key)
					set := changed(t, f).Set
					if facts.Tried != advise.Further || len(set) != 1 || set[0].Key != c.key {
						t.Fatalf("%s: tried %v, sets %v", f.Key, facts.Tried, set)
					}
					text, err := rig.EditAll(c.text, set...)
					if err != nil {
						t.Fatal(err)
					}
					p, err := setup.Make(rigtest.Read(t, text), 1)
					if err != nil {
						t.Fatal(err)
					}
					near(t, "inner wheel then", p.Ends[side].Inner.Value, f.Change.After.Value, 1e-6)
				}
			}
			if moved == 0 {
				t.Errorf("no lock is proposed: %v", list)
			}
		})
	}
}

// Every key in a finding is one that the file has, or may have: an edit of it goes through.
func TestKeysInFindingsAreThoseOfTheFile(t *testing.T) {
	for _, name := range []string{"crawler", "four-wheel", "trail-truck"} {
		text := rigtest.ExampleText(t, name)
		r := rigtest.Read(t, text)
		for axle := 1; r.Of(axle) != nil; axle++ {
			list, s, err := advise.Of(r, axle)
			if err != nil {
				t.Fatal(err)
			}
			own := func(what, key string) {
				rear := strings.HasPrefix(key, "rear.")
				if shared := strings.HasPrefix(key, "vehicle.") || strings.HasPrefix(key, "supply."); rear != (axle == 2) && !shared {
					t.Errorf("%s, axle %d: %s is of %s", name, axle, what, key)
				}
			}
			for side := range s.Plan.Ends {
				own("the lock's end", s.Plan.Ends[side].Key)
			}
			for _, f := range list {
				if f.From != nil {
					own(f.Key, f.From.Path)
				}
				if f.Change == nil {
					continue
				}
				for _, set := range f.Change.Set {
					own(f.Key, set.Key)
				}
				if _, err := rig.EditAll(text, f.Change.Set...); err != nil {
					t.Errorf("%s, axle %d, %s: %v", name, axle, f.Key, err)
				}
			}
			for _, m := range s.Plan.After.Measures() {
				value := m.Q.Value
				if m.Kind == rig.AngleKind {
					value /= degree
				}
				if _, err := rig.Edit(text, m.Path, strconv.FormatFloat(value, 'f', 2, 64)); err != nil {
					t.Errorf("%s, axle %d: %s is no key of the file: %v", name, axle, m.Path, err)
				}
			}
		}
	}
}
