package load_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/integrate"
	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"
)

func lockOf(t rapid.TB, r *rig.Rig, tilt load.Tilt, steps int) *load.Analysis {
	t.Helper()
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	l, err := load.OverLock(m, tilt, steps)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func loaded(t testing.TB, name string, changes ...string) *rig.Rig {
	t.Helper()
	return rigtest.Read(t, rigtest.LoadedText(t, name, changes...))
}

func overLoadedStarters(t *testing.T, f func(t *testing.T, r *rig.Rig)) {
	for _, name := range rigtest.Names() {
		t.Run(name, func(t *testing.T) { f(t, loaded(t, name)) })
	}
}

// Work in equals work out from lock to lock: what the servo does, summed over the table by
// Simpson's rule, is the lift of the vehicle, read off where the tyres' feet are, and the scrub of
// each tyre times its turn.
func TestServosWorkOverLockLiftsTheVehicleAndScrubsItsTyres(t *testing.T) {
	overLoadedStarters(t, func(t *testing.T, r *rig.Rig) {
		const steps = 400
		l := lockOf(t, r, load.Tilt{}, steps)
		b, state := load.NewBench(l.Model), l.Model.NewState()
		lift := func(servo float64) float64 {
			if _, err := b.At(servo, 0, load.Demands{}); err != nil {
				t.Fatal(err)
			}
			up := 0.0
			for side, w := range b.Wheels() {
				up -= l.Tyres[side].Weight * w.Ground().Z
			}
			return up
		}
		for _, half := range [][]load.Sample{l.Samples[:steps+1], l.Samples[steps:]} {
			from, to := half[0].Servo, half[steps].Servo
			scrub := quad.Fixed(func(servo float64) float64 {
				if err := state.Turn(servo); err != nil {
					t.Fatal(err)
				}
				d := state.Rates()
				if _, err := b.At(servo, 0, load.Demands{}); err != nil {
					t.Fatal(err)
				}
				sum := 0.0
				for side, w := range b.Wheels() {
					scrub := load.ScrubMoment(r.Ground.Friction, l.Tyres[side].Weight, w.Offset(), r.Left.Wheel.PatchLength.Value)
					sum += scrub * math.Abs(d[steer.Turn.Of(steer.Side(side))])
				}
				return sum
			}, min(from, to), max(from, to), 60, quad.Legendre{}, 0)
			servo, there, back := make([]float64, len(half)), make([]float64, len(half)), make([]float64, len(half))
			for i, sample := range half {
				servo[i] = math.Abs(sample.Servo - from)
				there[i], back[i] = sample.Standing[load.ToLeft], sample.Standing[load.ToRight]
			}
			up := lift(to) - lift(from)
			near(t, "work to the left", integrate.Simpsons(servo, there), scrub+up, 1e-9*scrub)
			near(t, "work to the right", integrate.Simpsons(servo, back), scrub-up, 1e-9*scrub)
		}
	})
}

// A rig in a mirror, tilted the other way, bears the mirror image: sides and ways swap.
func TestLoadsInAMirrorAreTheMirrorImage(t *testing.T) {
	loadedRigs := map[string]*rig.Rig{}
	for _, name := range rigtest.Names() {
		r := loaded(t, name)
		for _, q := range r.Measurements() {
			q.Q.Uncertainty = 0 // quicker; loads have none
		}
		loadedRigs[name] = r
	}
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom([]string{"far-knuckle", "chassis", "behind", "centre-crank"}).Draw(t, "rig")
		r := loadedRigs[name].Clone()
		tilt := load.Tilt{NoseUp: rapid.Float64Range(-0.3, 0.3).Draw(t, "nose up"), RightDown: rapid.Float64Range(-0.3, 0.3).Draw(t, "right down")}
		one := lockOf(t, r, tilt, 4)
		other := lockOf(t, rigtest.Mirrored(r), load.Tilt{NoseUp: tilt.NoseUp, RightDown: -tilt.RightDown}, 4)
		size := one.Gives
		near(t, "gives", other.Gives, size, 0)
		for i := range one.Samples {
			a, b := &one.Samples[i], &other.Samples[len(one.Samples)-1-i]
			if a.Servo != 0 { // straight ahead no wheel is the inner one
				near(t, "inner wheel", b.Inner, -a.Inner, 1e-7)
			}
			for _, way := range []int{load.ToLeft, load.ToRight} {
				near(t, "standing", b.Standing[1-way], a.Standing[way], 1e-6*size)
				near(t, "rock", b.Rock[1-way], a.Rock[way], 1e-6*size)
				for side := range 2 {
					near(t, "kingpin", b.Kingpins[1-side][1-way], -a.Kingpins[side][way], 1e-6*size)
				}
			}
		}
		for i := range one.Rods {
			k := i
			if name == "centre-crank" && i > 0 {
				k = 3 - i
			}
			near(t, one.Rods[i].Words, other.Rods[k].Pull.Size, one.Rods[i].Pull.Size, 1e-6*(1+one.Rods[i].Pull.Size))
			near(t, one.Rods[i].Words, other.Rods[k].Push.Size, one.Rods[i].Push.Size, 1e-6*(1+one.Rods[i].Push.Size))
		}
		near(t, "shaft", other.Shaft.Outer, one.Shaft.Outer, 1e-6*one.Shaft.Outer)
		for side := range 2 {
			near(t, "stall", other.Rock[1-side].Inner, one.Rock[side].Inner, 1e-6)
			near(t, "saver", other.Saver.Lost[1-side], one.Saver.Lost[side], 1e-6)
			near(t, "seconds", other.Loaded[1-side], one.Loaded[side], 1e-6)
			near(t, "weight", other.Tyres[1-side].Weight, one.Tyres[side].Weight, 1e-9)
			near(t, "across the kingpin", other.Kingpins[1-side].Across.Size, one.Kingpins[side].Across.Size, 1e-6*size)
			near(t, "bending", other.Kingpins[1-side].Bending.Size, one.Kingpins[side].Bending.Size, 1e-6*size)
		}
	})
}

// Twice the mass on a servo twice as strong, with all else twice as hard, is the same safety factor
// and twice the force.
func TestSafetyFactorsStayWhereLoadsAndServoGrowAlike(t *testing.T) {
	overLoadedStarters(t, func(t *testing.T, r *rig.Rig) {
		const k = 2.5
		twin := r.Clone()
		twin.Vehicle.Mass *= k
		twin.Ground.RockForce *= k
		for i := range twin.Servo.Ratings {
			twin.Servo.Ratings[i].Torque.Value *= k
		}
		one, other := lockOf(t, r, load.Tilt{}, 5), lockOf(t, twin, load.Tilt{}, 5)
		for i := range one.Samples {
			near(t, "safety factor", other.Samples[i].SafetyFactor, one.Samples[i].SafetyFactor, 1e-9)
		}
		for i := range one.Rods {
			near(t, "push", other.Rods[i].Push.Size, k*one.Rods[i].Push.Size, 1e-9*k*one.Rods[i].Push.Size)
			near(t, "buckling", other.Rods[i].PushStrength.Buckling, one.Rods[i].PushStrength.Buckling, 1e-9)
		}
		near(t, "seconds", other.Loaded[0], one.Loaded[0], 1e-9)
	})
}

// The places named are where the servo is asked for just what it gives, or the saver for its
// preload.
func TestPlacesNamedAreWhereTheTorqueRunsOut(t *testing.T) {
	found := 0
	overLoadedStarters(t, func(t *testing.T, r *rig.Rig) {
		l := lockOf(t, r, load.Tilt{}, 12)
		// A servo and a saver that run out somewhere between straight and the lock.
		low, high := math.Inf(1), 0.0
		for i := range l.Samples {
			ask := l.Samples[i].Ask(l.Samples[i].Harder())
			low, high = min(low, ask), max(high, ask)
		}
		straight := l.Samples[12].Ask(l.Samples[12].Harder())
		aim := (straight + high) / 2
		for i := range r.Servo.Ratings {
			r.Servo.Ratings[i].Torque.Value *= aim / l.Gives
		}
		r.Saver.Preload.Value = aim
		l = lockOf(t, r, load.Tilt{}, 12)
		near(t, "gives", l.Gives, aim, 1e-9*aim)
		for side, p := range l.Rock {
			if p.Happens != l.Saver.Rock[side].Happens || math.Abs(p.Servo-l.Saver.Rock[side].Servo) > 1e-6 {
				t.Errorf("servo runs out at %+v, saver of the same torque at %+v", p, l.Saver.Rock[side])
			}
			if !p.Happens {
				continue
			}
			found++
			// The same table, ending there, asks for just that at its end.
			r.Want.Lock = rig.Angle{Quantity: rig.Quantity{Value: p.Inner, Given: true}}
			end := lockOf(t, r, load.Tilt{}, 1)
			sample := &end.Samples[[2]int{2, 0}[side]]
			near(t, "servo", sample.Servo, p.Servo, 1e-7)
			near(t, "asked for", sample.Ask(sample.Harder()), aim, 1e-6*aim)
			near(t, "safety factor", sample.SafetyFactor, 1, 1e-6)
			r.Want.Lock = rig.Angle{}
		}
	})
	if found == 0 {
		t.Error("no servo ran out anywhere")
	}
}

// By virtual work straight ahead, with the published scrub formula: servo torque = Σ µ W √(d² +
// (a/3)²) |dδ/ds|.
func TestStandingTorqueStraightAheadIsTheScrubFormulaTimesTheRates(t *testing.T) {
	overLoadedStarters(t, func(t *testing.T, r *rig.Rig) {
		l := lockOf(t, r, load.Tilt{}, 1)
		d := l.Model.NewState().Rates()
		sample := &l.Samples[1]
		lift := sample.Kingpins[0][load.ToLeft] + l.Tyres[load.ToLeft].Scrub // the weight's part alone
		near(t, "the weight's moments cancel", sample.Kingpins[1][load.ToLeft]+l.Tyres[load.ToRight].Scrub, -lift, 1e-9*(1+math.Abs(lift)))
		want := 0.0
		for side, q := range []steer.Quantity{steer.Turn.Of(steer.Left), steer.Turn.Of(steer.Right)} {
			want += l.Tyres[side].Scrub * math.Abs(d[q])
		}
		// What the weight asks for one way it gives the other way, so that the mean is the scrub's.
		near(t, "torque", (sample.Standing[load.ToLeft]+sample.Standing[load.ToRight])/2, want, 1e-9*want)
	})
}

// What is jammed bears the whole servo: its torque is the drag link's force at the horn, at most at
// the horn's whole length.
func TestAJammedWheelPutsTheWholeServoOnTheDragLink(t *testing.T) {
	overLoadedStarters(t, func(t *testing.T, r *rig.Rig) {
		l := lockOf(t, r, load.Tilt{}, 3)
		for i := range l.Samples {
			if push, pull := -l.Samples[i].Rods[0][0], l.Samples[i].Rods[0][1]; push*l.HoleInUse < l.Gives || pull*l.HoleInUse < l.Gives {
				t.Errorf("pushes with %v N, pulls with %v N, with %v N·mm at %v mm", push, pull, l.Gives, l.HoleInUse)
			}
		}
		for _, rod := range l.Rods {
			strength, _ := rod.Weakest()
			if rod.Rod == nil || !(strength.SafetyFactor > 0) || math.IsInf(strength.SafetyFactor, 0) {
				t.Errorf("%s: %+v", rod.Words, rod)
			}
		}
		if l.Shaft.Outer < l.Shaft.Side.Size || l.Shaft.Inner <= 0 {
			t.Errorf("bearings %v N and %v N under %v N", l.Shaft.Outer, l.Shaft.Inner, l.Shaft.Side.Size)
		}
	})
}

func TestUnderLoadItIsSlower(t *testing.T) {
	overLoadedStarters(t, func(t *testing.T, r *rig.Rig) {
		l := lockOf(t, r, load.Tilt{}, 1)
		for way := range 2 {
			if !(l.Loaded[way] > l.Unloaded[way] && l.Unloaded[way] > 0) {
				t.Errorf("%v s loaded, %v s in the air", l.Loaded[way], l.Unloaded[way])
			}
		}
	})
	weak := lockOf(t, loaded(t, "far-knuckle", "servo.rating.1.torque=0.5 kg·cm", "servo.rating.2.torque=0.6 kg·cm"), load.Tilt{}, 4)
	if weak.Loaded != [2]float64{} || !weak.Standing[0].Happens || weak.Standing[0].Inner > 1e-12 || weak.HeldKnown {
		t.Errorf("a servo of half a kilogram centimetre: %v s, %+v, %+v", weak.Loaded, weak.Standing, weak.Held)
	}
}

func TestWhatIsMissingIsNamedWithTheWayToFindIt(t *testing.T) {
	for _, c := range []struct {
		name, was, is string
		tilt          load.Tilt
		keys          []string
	}{
		{name: "everything", was: "", keys: []string{"vehicle.mass", "vehicle.steered_share", "left.wheel.patch_length", "ground.friction", "servo.rating", "supply.voltage"}},
		{name: "tyre", was: "\npatch_length", is: "\n# patch_length", keys: []string{"left.wheel.patch_length"}},
		{name: "right tyre", was: "\n[tie_rod]", is: "\n[right.wheel]\ntyre_radius = 58\ntyre_width = 40\n[tie_rod]", keys: []string{"right.wheel.patch_length"}},
		{name: "height on a slope", was: "\nweight_height", is: "\n# weight_height", tilt: load.Tilt{NoseUp: 0.1}, keys: []string{"vehicle.weight_height"}},
		{name: "height on the flat", was: "\nweight_height", is: "\n# weight_height"},
		{name: "current with a resistance", was: "\nstall_current", is: "\n# stall_current", keys: []string{"servo.rating.1.stall_current"}},
		{name: "rods, saver and rock", was: "\nmaterial", is: "\n# material"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := string(rigtest.LoadedText(t, "far-knuckle"))
			if c.was == "" {
				text = string(rigtest.StarterText(t, "behind"))
			} else {
				if !strings.Contains(text, c.was) {
					t.Fatalf("no %q", c.was)
				}
				text = strings.ReplaceAll(text, c.was, c.is)
			}
			if strings.Contains(c.was, "material") {
				for _, key := range []string{"diameter", "bore", "bend", "rock_height", "rock_force"} {
					text = strings.ReplaceAll(text, "\n"+key+" ", "\n# "+key+" ")
				}
			}
			m, err := steer.New(rigtest.Read(t, []byte(text)))
			if err != nil {
				t.Fatal(err)
			}
			_, err = load.OverLock(m, c.tilt, 2)
			var missing rig.Errors
			if !errors.As(err, &missing) {
				if err != nil || c.keys != nil {
					t.Fatalf("got %v, wanted %v", err, c.keys)
				}
				return
			}
			var keys []string
			for _, e := range missing {
				keys = append(keys, e.Key)
				if e.Problem == "" || e.Remedy == "" {
					t.Errorf("%s: no remedy", e.Key)
				}
			}
			if fmt.Sprint(keys) != fmt.Sprint(c.keys) {
				t.Errorf("names %v, wanted %v", keys, c.keys)
			}
		})
	}
}

func TestOverLockRefusesWhatCannotBe(t *testing.T) {
	m, err := steer.New(loaded(t, "far-knuckle"))
	if err != nil {
		t.Fatal(err)
	}
	for _, steps := range []int{0, -1, 1001} {
		if _, err := load.OverLock(m, load.Tilt{}, steps); !errors.Is(err, load.ErrSteps) {
			t.Errorf("%d steps: %v", steps, err)
		}
	}
	for _, tilt := range []load.Tilt{{RightDown: 1.2}, {NoseUp: -1.4}, {NoseUp: math.NaN()}} {
		if _, err := load.OverLock(m, tilt, 1); !errors.Is(err, load.ErrTips) {
			t.Errorf("%+v: %v", tilt, err)
		}
	}
}

// Holes that come to different locks are compared at one that all of them come to.
func TestHolesAreComparedAtALockThatAllComeTo(t *testing.T) {
	l := lockOf(t, loaded(t, "far-knuckle"), load.Tilt{}, 2)
	if len(l.Horn) != 3 || l.Horn[0].Full || !l.Horn[2].Full || l.HornLock >= l.Inner {
		t.Fatalf("at %v of %v: %+v", l.HornLock/degree, l.Inner/degree, l.Horn)
	}
	near(t, "a multiple of 5°", math.Remainder(l.HornLock, 5*degree), 0, 1e-12)
	for i, h := range l.Horn {
		if !h.Reached || h.SafetyFactor < 1 || i > 0 && (h.Hole <= l.Horn[i-1].Hole || h.SafetyFactor >= l.Horn[i-1].SafetyFactor) {
			t.Errorf("%+v", h)
		}
	}
	// One hole is compared at the whole lock, and is then as the table has it at its ends.
	l = lockOf(t, loaded(t, "far-knuckle", "horn.holes=18"), load.Tilt{}, 2)
	if len(l.Horn) != 1 || l.HornLock != l.Inner {
		t.Fatalf("%+v at %v", l.Horn, l.HornLock)
	}
	near(t, "left", l.Horn[0].Left, l.Samples[len(l.Samples)-1].Servo, 1e-2)
	near(t, "seconds", l.Horn[0].Seconds, max(l.Loaded[0], l.Loaded[1]), 1e-2)
}

func TestAThreadCountsWhereItIsCutOnTheRodItself(t *testing.T) {
	for _, c := range []struct {
		diameter, bore, pitch, thread string
		root                          float64
	}{
		{"3", "", "", "M3", 2.3866}, // d3 of M3 × 0.5: ISO 724, from memory
		{"4", "", "", "M3", 2.3866},
		{"5", "", "", "M3", 0},
		{"4", "3", "", "M3", 0},
		{"3", "", "0.35", "M3x0.35", 2.5706}, // d3 of M3 × 0.35, likewise
		{"3", "", "0.5", "spaced", 0},
		{"3", "", "", "", 0},
	} {
		r := loaded(t, "far-knuckle", "drag_link.diameter="+c.diameter, "drag_link.bore="+c.bore, "drag_link.pitch="+c.pitch, "drag_link.thread="+c.thread)
		v, err := r.Expand(false)
		if err != nil {
			t.Fatal(err)
		}
		rod, ok := load.RodOf(v.Rod("drag_link"))
		if !ok {
			t.Fatal("no rod")
		}
		near(t, c.thread, rod.Root, c.root, 1e-4)
	}
	if _, ok := load.RodOf(&vehicle.Rod{Length: 100}); ok {
		t.Error("a rod of nothing")
	}
}

func BenchmarkOverLock(b *testing.B) {
	m, err := steer.New(loaded(b, "far-knuckle"))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := load.OverLock(m, load.Tilt{}, 10); err != nil {
			b.Fatal(err)
		}
	}
}

func ExampleOverLock() {
	r, err := rig.Read(strings.NewReader(string(rig.Starters()[0].Text)), "far-knuckle.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := steer.New(r)
	if err != nil {
		fmt.Println(err)
		return
	}
	l, err := load.OverLock(m, load.Tilt{}, 10)
	if err != nil {
		fmt.Println(err)
		return
	}
	hardest := &l.Samples[l.Hardest]
	fmt.Printf("asks for %.0f N·mm of %.0f, %.0f of it by the rock at %v\n", hardest.Ask(l.Harder), l.Gives, hardest.Rock[l.Harder], hardest.RockOn[l.Harder])
	// Output: asks for 896 N·mm of 843, 726 of it by the rock at the left tyre's outer edge
}
