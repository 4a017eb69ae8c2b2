package advise_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"evenlock/advise"
	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/rig"
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
	p := find(t, list, "gives_way.drag_link")
	if p.Kind != advise.Do || !strings.Contains(p.Sentence, "straight, without its bend") {
		t.Fatalf("%v: %s", p.Kind, p.Sentence)
	}
	l := overLock(t, r)
	var push, pull float64
	for i := range l.Rods {
		if l.Rods[i].Key == "drag_link" {
			push, pull = l.Rods[i].Push.Size, l.Rods[i].Pull.Size
		}
	}
	// A steel tube of 3 mm with a bore of 2 mm: E 200 GPa, yield 250 N/mm² (round figures, from memory). Hinged, a slender one
	// buckles by Euler, π² E I/ℓ² (solid steel Ø3 × 100 mm: 784.8 N), a stocky one by Johnson's parabola, C (1 - C/(4 Euler)) with
	// C what crushes it (Shigley, from memory); a pull yields the section.
	euler := func(fourth, length float64) float64 {
		return math.Pi * math.Pi * 200e3 * math.Pi / 64 * fourth / (length * length)
	}
	near(t, "the worked figure", euler(81, 100), 784.8, 0.05)
	area, fourth := math.Pi/4*(9-4), 81.0-16
	crush, buckles := 250*area, euler(fourth, modelOf(t, r).Geometry.DragLength)
	if buckles > crush/2 {
		buckles = crush * (1 - crush/(4*buckles))
	}
	near(t, "reserve when straight", p.Change.After.Value, math.Min(buckles/push, crush/pull), 0.02*p.Change.After.Value)
	// Bent by 4 mm, it yields where F/A + F e (d/2)/I, grown by the bend's own give, comes to 250: sooner than without growth.
	upper := 250 / (1/area + 4*1.5/(math.Pi/64*fourth)) / math.Max(push, pull)
	if got := p.Change.Before.Value; got > upper || got < upper/1.5 {
		t.Errorf("bent, it bears %g of its force; F e without growth gives %g", got, upper)
	}
	if p.Weight < 0.5 || list[0].Key != p.Key {
		t.Errorf("a rod that gives way is number one, not %s", list[0].Key)
	}
	near(t, "weight", p.Weight, (s.Load.Samples[len(s.Load.Samples)-1].Left-s.Load.Samples[0].Right)/p.Change.Before.Value, 1e-9)
}

func TestServoGivesUpWhereTheMarginRunsOut(t *testing.T) {
	r := loaded(t, "far-knuckle", "drag_link.bend=5")
	list, s := adviceOn(t, r)
	p := find(t, list, "gives_up")
	at := p.Figures[0]
	if at.Words != "lock to the left that the servo comes to" {
		t.Fatalf("%s", p.Sentence)
	}
	// Every place of the rock tried on the bench, just short of there and just past it.
	m := modelOf(t, r)
	bench := load.NewBench(m)
	left, right := bench.Wheels()
	servo, err := m.Solved(2, at.Value*degree, 0, s.Load.Samples[len(s.Load.Samples)-1].Servo) // the left wheel's road angle
	if err != nil {
		t.Fatal(err)
	}
	w := s.Load.Wheels
	hardest := func(servo float64) float64 {
		most := 0.0
		for side, width := range []float64{left.Width, right.Width} {
			for _, across := range []float64{width / 2, -width / 2} {
				on := [2]load.Demand{
					load.Standing(r.Ground.Friction, w.SteeredLeft, r.Left.Wheel.PatchLength.Value),
					load.Standing(r.Ground.Friction, w.SteeredRight, r.Left.Wheel.PatchLength.Value),
				}
				on[side] = load.Together(on[side], load.Rock(r.Ground.RockHeight.Value, across, r.Ground.RockForce))
				for _, sense := range []float64{1, -1} {
					st, err := bench.At(servo, sense, on[0], on[1])
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
	// The stronger servo, bought by hand: its torque in the file.
	var gives, was float64
	at0 := strings.Index(p.Change.Words, "gives ")
	if _, err := fmt.Sscanf(p.Change.Words[at0:], "gives %f N·m in place of %f N·m", &gives, &was); err != nil {
		t.Fatalf("%q: %v", p.Change.Words, err)
	}
	for i := range r.Servo.Ratings {
		r.Servo.Ratings[i].Torque.Value *= gives / was
	}
	l := overLock(t, r)
	for i := range l.Rods {
		rod := &l.Rods[i]
		borne, _ := rod.Weakest()
		if said := strings.Contains(p.Sentence, "The "+rod.Words+" then gives way"); rod.Rod != nil && said != (borne.SafetyFactor < 1) {
			t.Errorf("the %s then bears %g times its force: %s", rod.Words, borne.SafetyFactor, p.Sentence)
		}
	}
	for _, place := range l.Rock {
		if place.Happens {
			t.Errorf("still gives up at %g°", place.Inner/degree)
		}
	}
}

func TestShorterHoleIsProposedWhereItCarriesTheServoAllTheWay(t *testing.T) {
	for force := 28; force < 60; force++ {
		r := loaded(t, "tie-rod", fmt.Sprintf("ground.rock_force=%d", force))
		list, _ := adviceOn(t, r)
		p := find(t, list, "gives_up")
		if p.Kind == advise.Well {
			continue
		}
		if p.Kind != advise.Do || !strings.Contains(p.Sentence, "mm hole") {
			t.Fatalf("%d N: %s", force, p.Sentence)
		}
		var hole float64
		if _, err := fmt.Sscanf(p.Change.Words, "with the %f mm hole", &hole); err != nil {
			t.Fatal(err)
		}
		// By hand: another hole written into the file.
		r.Horn.Hole.Value = hole
		r.DragLink.Length = rig.Length{}
		if l := overLock(t, r); l.Rock[0].Happens || l.Rock[1].Happens {
			t.Errorf("with the %g mm hole it still gives up", hole)
		}
		return
	}
	t.Fatal("no force makes the servo give up")
}

func TestHolesTradeTorqueAgainstSpeed(t *testing.T) {
	list, s := adviceOn(t, loaded(t, "tie-rod"))
	p := find(t, list, "holes")
	for i := 0; i+3 < len(p.Figures); i += 2 {
		if p.Figures[i].Value <= p.Figures[i+2].Value || p.Figures[i+1].Value <= p.Figures[i+3].Value {
			t.Errorf("a longer hole is quicker and weaker: %v", p.Figures)
		}
	}
	if len(p.Figures) != 2*len(s.Load.Horn) {
		t.Errorf("%d figures for %d holes", len(p.Figures), len(s.Load.Horn))
	}
}

func TestHalfTheResistanceLeavesHalfTheDrop(t *testing.T) {
	r := loaded(t, "tie-rod")
	list, s := adviceOn(t, r)
	p := find(t, list, "drop")
	// Ohm: what is lost on the way is current times resistance.
	near(t, "voltage", p.Figures[1].Value, r.Supply.Voltage-p.Figures[0].Value*r.Supply.Resistance, 1e-9)
	r.Supply.Resistance /= 2
	near(t, "torque then", p.Change.After.Value, overLock(t, r).Gives/1000, 1e-9)
	near(t, "torque now", p.Change.Before.Value, s.Load.Gives/1000, 1e-9)
}

func TestWithoutLoadsInTheFileNothingIsSaidOfThem(t *testing.T) {
	list, s := adviceOn(t, rigtest.Starter(t, "behind"))
	if s.Load != nil || len(s.Lacks) == 0 {
		t.Fatal("the starter states its loads")
	}
	for _, p := range list {
		for _, key := range []string{"gives", "rods", "holes", "drop"} {
			if strings.HasPrefix(p.Key, key) {
				t.Errorf("%s: %s", p.Key, p.Sentence)
			}
		}
	}
}
