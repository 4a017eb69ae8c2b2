package advise_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"evenlock/advise"
	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
)

func loaded(t testing.TB, name string, changes ...string) *rig.Rig {
	t.Helper()
	return rigtest.Read(t, rigtest.LoadedText(t, name, changes...))
}

func overLock(t testing.TB, r *rig.Rig) *load.Analysis {
	t.Helper()
	l, err := load.OverLock(modelOf(t, r), load.Tilt{}, 16)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestStraightRodBearsEulersLoadOverItsPush(t *testing.T) {
	r := loaded(t, "behind")
	list, s := adviceOn(t, r)
	f, facts := factsOn[*advise.RodFails](t, list, "rod_fails.drag_link")
	change := changed(t, f)
	if f.Kind != advise.Do || !facts.Straighten || facts.Diameter != 0 {
		t.Fatalf("%v: %+v", f.Kind, facts)
	}
	l := overLock(t, r)
	var push, pull float64
	for i := range l.Rods {
		if l.Rods[i].Key == "drag_link" {
			push, pull = l.Rods[i].Push.Size, l.Rods[i].Pull.Size
		}
	}
	// A steel tube of 3 mm with a bore of 2 mm: E 200 GPa, yield 250 N/mm² (round figures, from
	// memory). Hinged, a slender one buckles by Euler, π² E I/ℓ² (solid steel Ø3 × 100 mm: 784.8
	// N), a stocky one by Johnson's parabola, C (1 - C/(4 Euler)) with C what crushes it (Shigley,
	// from memory); a pull yields the section.
	euler := func(fourth, length float64) float64 {
		return math.Pi * math.Pi * 200e3 * math.Pi / 64 * fourth / (length * length)
	}
	near(t, "the worked figure", euler(81, 100), 784.8, 0.05)
	area, fourth := math.Pi/4*(9-4), 81.0-16
	crush, buckles := 250*area, euler(fourth, modelOf(t, r).Servo.Link.Length)
	if buckles > crush/2 {
		buckles = crush * (1 - crush/(4*buckles))
	}
	near(t, "safety factor when straight", change.After.Value, math.Min(buckles/push, crush/pull), 0.02*change.After.Value)
	// Bent by 4 mm, it yields where F/A + F e (d/2)/I, grown by the bend's own give, comes to 250:
	// sooner than without growth.
	upper := 250 / (1/area + 4*1.5/(math.Pi/64*fourth)) / math.Max(push, pull)
	if got := change.Before.Value; got > upper || got < upper/1.5 {
		t.Errorf("bent, it bears %g of its force; F e without growth gives %g", got, upper)
	}
	if f.Weight < 0.5 || list[0].Key != f.Key {
		t.Errorf("a rod that fails is number one, not %s", list[0].Key)
	}
	near(t, "weight", f.Weight, (s.Load.Samples[len(s.Load.Samples)-1].Inner-s.Load.Samples[0].Inner)/change.Before.Value, 1e-9)
}

func TestServoStallsWhereItsTorqueRunsOut(t *testing.T) {
	r := loaded(t, "far-knuckle", "drag_link.bend=5")
	list, s := adviceOn(t, r)
	f, facts := factsOn[*advise.Servo](t, list, "servo_stalls")
	if facts.Reach[load.ToRight] != facts.Lock[load.ToRight] || facts.Against != load.ByRock {
		t.Fatalf("it stalls to the right too: %+v", facts)
	}
	near(t, "height of the rock", facts.RockHeight, r.Ground.RockHeight.Value, 0)
	// Every place of the rock tried on the bench, just short of there and just past it.
	m := modelOf(t, r)
	bench := load.NewBench(m)
	wheels := bench.Wheels()
	servo, err := m.Solved(steer.Road.Of(steer.Left), facts.Reach[load.ToLeft], 0, s.Load.Samples[len(s.Load.Samples)-1].Servo)
	if err != nil {
		t.Fatal(err)
	}
	hardest := func(servo float64) float64 {
		most := 0.0
		for side := range wheels {
			for _, across := range []float64{wheels[side].Width / 2, -wheels[side].Width / 2} {
				on := load.Demands{
					load.Standing(r.Ground.Friction, s.Load.Tyres[0].Weight, r.Left.Wheel.PatchLength.Value),
					load.Standing(r.Ground.Friction, s.Load.Tyres[1].Weight, r.Left.Wheel.PatchLength.Value),
				}
				on[side] = load.Together(on[side], load.Rock(r.Ground.RockHeight.Value, across, r.Ground.RockForce))
				for _, sense := range []float64{1, -1} {
					st, err := bench.At(servo, sense, on)
					if err != nil {
						t.Fatal(err)
					}
					most = max(most, st.Against)
				}
			}
		}
		return most
	}
	const step = 0.2 * degree
	out := math.Copysign(step, servo.Value)
	if short, past := hardest(servo.Value-out), hardest(servo.Value+out); short > s.Load.Gives || past < s.Load.Gives {
		t.Errorf("the servo gives %g, and is asked %g short of the place and %g past it", s.Load.Gives, short, past)
	}
	near(t, "torque that it has", facts.Has, s.Load.Gives, 0)
	// The stronger servo, bought by hand: its torque in the file.
	changed(t, f)
	if facts.Torque <= facts.Needs || facts.Torque > 1.02*facts.Needs {
		t.Errorf("it needs %g and a servo with %g is proposed", facts.Needs, facts.Torque)
	}
	for i := range r.Servo.Ratings {
		r.Servo.Ratings[i].Torque.Value *= facts.Torque / facts.Has
	}
	l := overLock(t, r)
	for i := range l.Rods {
		rod := &l.Rods[i]
		strength, _ := rod.Weakest()
		said := slices.ContainsFunc(facts.Weak, func(weak *load.RodLoad) bool { return weak.Key == rod.Key })
		if rod.Rod != nil && said != (strength.SafetyFactor < 1) {
			t.Errorf("the %s then has safety factor %g, and is said to fail: %v", rod.Words, strength.SafetyFactor, said)
		}
	}
	for _, place := range l.Rock {
		if place.Happens {
			t.Errorf("still stalls at %g°", place.Inner/degree)
		}
	}
}

func TestShorterHoleIsProposedWhereItCarriesTheServoAllTheWay(t *testing.T) {
	for force := 28; force < 60; force++ {
		r := loaded(t, "tie-rod", fmt.Sprintf("ground.rock_force=%d", force))
		list, _ := adviceOn(t, r)
		f, facts := factsOn[*advise.Servo](t, list, "servo_stalls")
		if f.Kind == advise.Well {
			continue
		}
		if f.Kind != advise.Do || facts.Hole == 0 {
			t.Fatalf("%d N: %v, %+v", force, f.Kind, facts)
		}
		// By hand: another hole written into the file.
		r.Horn.Hole.Value = facts.Hole
		r.DragLink.Length = rig.Length{}
		if l := overLock(t, r); l.Rock[0].Happens || l.Rock[1].Happens {
			t.Errorf("with the %g mm hole it still stalls", facts.Hole)
		}
		return
	}
	t.Fatal("no force makes the servo stall")
}

func TestHolesTradeTorqueAgainstSpeed(t *testing.T) {
	list, s := adviceOn(t, loaded(t, "tie-rod"))
	_, facts := factsOn[*advise.Holes](t, list, "holes")
	for i, h := range facts.Holes[1:] {
		if before := facts.Holes[i]; h.Hole <= before.Hole || h.SafetyFactor >= before.SafetyFactor || h.Seconds >= before.Seconds {
			t.Errorf("a longer hole is quicker and weaker: %+v, then %+v", before, h)
		}
	}
	if len(facts.Holes) != len(s.Load.Horn) {
		t.Errorf("%d of %d holes", len(facts.Holes), len(s.Load.Horn))
	}
}

func TestHalfTheResistanceLeavesHalfTheDrop(t *testing.T) {
	r := loaded(t, "tie-rod")
	list, s := adviceOn(t, r)
	f, facts := factsOn[*advise.Drop](t, list, "drop")
	// Ohm: what is lost on the way is current times resistance.
	near(t, "voltage", facts.Stalled.Voltage, r.Supply.Voltage-facts.Stalled.Current*r.Supply.Resistance, 1e-9)
	r.Supply.Resistance /= 2
	near(t, "torque then", changed(t, f).After.Value, overLock(t, r).Gives, 1e-6)
	near(t, "torque now", f.Change.Before.Value, s.Load.Gives, 1e-6)
}

func TestWithoutLoadsInTheFileNothingIsSaidOfThem(t *testing.T) {
	list, s := adviceOn(t, rigtest.Starter(t, "behind"))
	if s.Load != nil || len(s.Lacks) == 0 {
		t.Fatal("the starter states its loads")
	}
	for _, f := range list {
		switch f.Facts.(type) {
		case *advise.RodFails, *advise.RodsHold, *advise.Servo, *advise.Holes, *advise.Drop:
			t.Errorf("%s: %+v", f.Key, f.Facts)
		}
	}
}
