package load_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"testing"

	"evenlock/linkage"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func starterRig(t rapid.TB, name string) *rig.Rig {
	t.Helper()
	for _, s := range rig.Starters() {
		if s.Name == name {
			r, err := rig.Read(bytes.NewReader(s.Text), name)
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
	}
	t.Fatalf("no starter %q", name)
	return nil
}

func starterModel(t rapid.TB, name string) *steer.Model {
	t.Helper()
	m, err := steer.New(starterRig(t, name))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// overStarters calls f for every layout that the project has a starter of.
func overStarters(t *testing.T, f func(t *testing.T, m *steer.Model)) {
	for _, s := range rig.Starters() {
		t.Run(s.Name, func(t *testing.T) { f(t, starterModel(t, s.Name)) })
	}
}

// torque is that of the servo that leads.
func torque(s load.State) float64 { return s.Servos[0].Torque }

const lookTo = 35 * degree

func bothWays(t *testing.T, b *load.Bench, n int, on load.Demands, f func(sense float64, s load.State)) {
	t.Helper()
	for _, sense := range []float64{1, -1} {
		states, err := b.Curve(-sense*lookTo, sense*lookTo, n, on)
		if err != nil {
			t.Fatal(err)
		}
		if len(states) != n {
			t.Fatalf("%d states, wanted %d", len(states), n)
		}
		for _, s := range states {
			f(sense, s)
		}
	}
}

// Virtual work: servo torque = -Σ wheel moment × dδ/ds, with the rates from package steer.
func TestServoTorqueIsWheelMomentsTimesTheirRates(t *testing.T) {
	overStarters(t, func(t *testing.T, m *steer.Model) {
		on := load.Demands{
			load.Together(load.Standing(0.9, 7, 30), load.Rock(20, 10, 5)),
			load.Together(load.Standing(0.7, 9, 30), load.Wedge(10, 3)),
		}
		state := m.NewState()
		bothWays(t, load.NewBench(m), 36, on, func(sense float64, s load.State) {
			if err := state.Turn(s.Servo); err != nil {
				t.Fatal(err)
			}
			d := state.Rates()
			v, want, size := state.Values(), 0.0, 0.0
			for side, w := range s.Wheels {
				turn := steer.Turn.Of(steer.Side(side))
				want, size = want-w.Ask*d[turn], size+math.Abs(w.Ask)
				near(t, "turn", w.Turn, v[turn], 1e-12)
			}
			near(t, "torque", torque(s), want, 1e-9*size)
			near(t, "against the motion", s.Against, sense*torque(s), 0)
		})
	})
}

// Work in equals work out: a weight on tyres without friction is lifted by just what the servo
// does. A wheel's lowest point rises at the rate of the knuckle there.
func TestServosWorkLiftsTheVehicle(t *testing.T) {
	overStarters(t, func(t *testing.T, m *steer.Model) {
		const wl, wr = 7.0, 9.0
		on := load.Demands{load.Standing(0, wl, 30), load.Standing(0, wr, 30)}
		b := load.NewBench(m)
		size := 0.0
		height := func(servo float64) float64 {
			s, err := b.At(servo, 1, on)
			if err != nil {
				t.Fatal(err)
			}
			size = max(size, math.Abs(torque(s)))
			wheels := b.Wheels()
			return -(wl*wheels[0].Ground().Z + wr*wheels[1].Ground().Z)
		}
		want := height(lookTo) - height(-lookTo)
		work := quad.Fixed(func(servo float64) float64 {
			s, err := b.At(servo, 1, on)
			if err != nil {
				t.Fatal(err)
			}
			size = max(size, math.Abs(torque(s)))
			return torque(s)
		}, -lookTo, lookTo, 60, quad.Legendre{}, 0)
		if size == 0 {
			t.Fatal("nothing was lifted on the way")
		}
		near(t, "work", work, want, 1e-9*size)
	})
}

// Everything is in proportion to the loads, and what only resists changes sign with the motion.
func TestLoadsScaleAndResistanceReverses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := make([]string, 0, 5)
		for _, s := range rig.Starters() {
			names = append(names, s.Name)
		}
		m := starterModel(t, rapid.SampledFrom(names).Draw(t, "rig"))
		b := load.NewBench(m)
		servo := rapid.Float64Range(-35, 35).Draw(t, "servo") * degree
		k := rapid.Float64Range(0.1, 20).Draw(t, "k")
		at := func(sense float64, left, right load.Demand) load.State {
			s, err := b.At(servo, sense, load.Demands{left, right})
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
		once := at(1, load.Standing(0.8, 7, 30), load.Rock(20, 5, 4))
		more := at(1, load.Standing(0.8, 7*k, 30), load.Rock(20, 5, 4*k))
		near(t, "torque", torque(more), k*torque(once), 1e-9*k*(1+math.Abs(torque(once))))
		near(t, "shaft", more.Servos[0].Shaft.Side, k*once.Servos[0].Shaft.Side, 1e-9*k*(1+once.Servos[0].Shaft.Side))
		for i, r := range once.Rods {
			near(t, r.Name, more.Rods[i].Tension, k*r.Tension, 1e-9*k*(1+math.Abs(r.Tension)))
		}
		there, back := at(1, load.Wedge(10, 5), load.Wedge(10, 5)), at(-1, load.Wedge(10, 5), load.Wedge(10, 5))
		near(t, "reversed torque", torque(back), -torque(there), 1e-9*(1+math.Abs(torque(there))))
		near(t, "opposed either way", back.Against, there.Against, 1e-9*(1+math.Abs(torque(there))))
		if there.Against < 0 {
			t.Errorf("a resistance helps the servo with %v N·mm", -there.Against)
		}
		still := at(0, load.Wedge(10, 5), nil)
		near(t, "standing still", torque(still), 0, 1e-12)
	})
}

// The servo's shaft feels the drag link alone: its side and axial loads are the parts of the rod's
// force, and its torque the force across the horn.
func TestShaftBearsTheDragLinksForce(t *testing.T) {
	overStarters(t, func(t *testing.T, m *steer.Model) {
		b := load.NewBench(m)
		d := load.Standing(0.9, 7, 30)
		bothWays(t, b, 15, load.Demands{d, d}, func(_ float64, s load.State) {
			drag := math.Abs(s.Rods[0].Tension)
			near(t, "shaft", math.Hypot(s.Servos[0].Shaft.Side, s.Servos[0].Shaft.Axial), drag, 1e-9*(1+drag))
			near(t, "horn ball", s.Balls[0].Force, drag, 1e-9*(1+drag))
			near(t, "parts of the horn ball's load", math.Hypot(s.Balls[0].Along, s.Balls[0].Across), drag, 1e-9*(1+drag))
			arm := m.Servo.Hole()
			if math.Abs(torque(s)) > drag*arm*(1+1e-12) {
				t.Errorf("%v N·mm from %v N at %v mm", torque(s), drag, arm)
			}
		})
	})
}

// Free body of the whole steered axle: the pivots and the shaft bear together just what the ground
// gives.
func TestPivotOfAFreeKnuckleBearsItsWheelsLoad(t *testing.T) {
	m := starterModel(t, "far-knuckle")
	b := load.NewBench(m)
	s, err := b.At(0, 0, load.Demands{})
	if err != nil {
		t.Fatal(err)
	}
	if torque(s) != 0 || s.Wheels[0].Kingpin != (load.KingpinLoad{}) || s.Servos[0].Shaft != (load.ShaftLoad{}) {
		t.Errorf("unloaded, but %+v", s)
	}
	// A load through the kingpin's own line turns nothing and bends nothing: all is borne along it.
	through := func(w *load.Wheel) load.Ask {
		return load.Ask{Contacts: []load.Contact{{At: w.KingpinPoint, Force: r3.Scale(9, w.Kingpin)}}}
	}
	if s, err = b.At(0.3, 0, load.Demands{through, nil}); err != nil {
		t.Fatal(err)
	}
	near(t, "along", s.Wheels[0].Kingpin.Along, 9, 1e-12)
	near(t, "across", s.Wheels[0].Kingpin.Across, 0, 1e-9)
	near(t, "bending", s.Wheels[0].Kingpin.Bending, 0, 1e-9)
	near(t, "torque", torque(s), 0, 1e-9)
}

func TestBeyondTheLinkagesReachIsALimitNotANumber(t *testing.T) {
	b := load.NewBench(starterModel(t, "far-knuckle"))
	var limit *linkage.LimitError
	if _, err := b.Curve(0, 3, 100, load.Demands{}); !errors.As(err, &limit) {
		t.Fatalf("Curve: got %v, wanted a limit", err)
	}
	if _, err := b.At(limit.Inputs[0]+1e-3, 1, load.Demands{}); !errors.As(err, &limit) {
		t.Errorf("At: got %v, wanted a limit", err)
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1)} {
		if _, err := b.At(bad, 1, load.Demands{}); !errors.Is(err, linkage.ErrInput) {
			t.Errorf("At %v: got %v, wanted ErrInput", bad, err)
		}
	}
}

// A longer horn turns the wheels with less servo and asks for more torque; near the middle as the
// radius itself.
func TestLongerHornTradesTorqueForSpeed(t *testing.T) {
	overStarters(t, func(t *testing.T, m *steer.Model) {
		d := load.Standing(0.9, 7, 30)
		servo := exampleServo()
		from := load.Supply{Voltage: 7.4, Resistance: 0.1}
		r := m.Servo.Hole()
		rows, err := load.HornTrade(m, []float64{0.9 * r, r, 1.1 * r}, 20*degree, load.Demands{d, d}, &servo, from)
		if err != nil {
			t.Fatal(err)
		}
		stall, _, err := servo.Stall(from)
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			if !row.Reached {
				t.Fatalf("lock not reached with %v mm", row.Hole)
			}
			near(t, "safety factor", row.SafetyFactor, stall/row.Torque, 1e-12)
			if i == 0 {
				continue
			}
			last := rows[i-1]
			if math.Abs(row.Left-row.Right) >= math.Abs(last.Left-last.Right) {
				t.Errorf("%v mm takes %v rad of servo, %v mm took %v", row.Hole, row.Left-row.Right, last.Hole, last.Left-last.Right)
			}
			if row.Torque <= last.Torque || row.Seconds >= last.Seconds {
				t.Errorf("%v mm: %v N·mm, %v s; %v mm: %v N·mm, %v s", row.Hole, row.Torque, row.Seconds, last.Hole, last.Torque, last.Seconds)
			}
		}
		// With its own hole the horn is the rig's, so that the wheels come to the lock there.
		state := m.NewState()
		for _, way := range []struct{ servo, side float64 }{{rows[1].Left, 1}, {rows[1].Right, -1}} {
			if err := state.Turn(way.servo); err != nil {
				t.Fatal(err)
			}
			road := state.Road()
			left, right := road[0], road[1]
			inner := left
			if way.side < 0 {
				inner = -right
			}
			near(t, "inner wheel at its lock", inner, 20*degree, 1e-8)
		}
	})
}

func TestHornTradeSaysWhatCannotBe(t *testing.T) {
	m := starterModel(t, "far-knuckle")
	servo := exampleServo()
	from := load.Supply{Voltage: 6}
	if _, err := load.HornTrade(m, []float64{15}, 2, load.Demands{}, &servo, from); !errors.Is(err, load.ErrLock) {
		t.Errorf("got %v, wanted ErrLock", err)
	}
	for _, hole := range []float64{0, -3, math.NaN(), math.Inf(1)} {
		if _, err := load.HornTrade(m, []float64{hole}, 0.3, load.Demands{}, &servo, from); !errors.Is(err, load.ErrHole) {
			t.Errorf("hole %v: got %v, wanted ErrHole", hole, err)
		}
	}
	rows, err := load.HornTrade(m, []float64{2}, 35*degree, load.Demands{}, &servo, from)
	if err != nil || rows[0].Reached {
		t.Errorf("a 2 mm horn reaches 35°: %+v, %v", rows, err)
	}
	weak := load.Servo{Ratings: []load.Rating{{Voltage: 6, Stall: 10, Speed: 5}}}
	d := load.Standing(0.9, 7, 30)
	rows, err = load.HornTrade(m, []float64{18}, 20*degree, load.Demands{d, d}, &weak, from)
	if err != nil || !rows[0].Reached || rows[0].Seconds != 0 || rows[0].SafetyFactor >= 1 {
		t.Errorf("a servo of 10 N·mm: %+v, %v", rows, err)
	}
}

func BenchmarkBench(b *testing.B) {
	bench := load.NewBench(starterModel(b, "tie-rod"))
	d := load.Standing(0.9, 7, 30)
	for i := 0; b.Loop(); i++ {
		if _, err := bench.At(lookTo*float64(i%201-100)/100, 1, load.Demands{d, d}); err != nil {
			b.Fatal(err)
		}
	}
}

func ExampleBench_At() {
	r, err := rig.Read(bytes.NewReader(rig.Starters()[0].Text), "far-knuckle.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := steer.New(r)
	if err != nil {
		fmt.Println(err)
		return
	}
	// An invented rig, 8 N on each steered wheel, standing on rough ground, steered
	// counter-clockwise.
	standing := load.Standing(0.9, 8, 30)
	s, err := load.NewBench(m).At(0.3, 1, load.Demands{standing, standing})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("servo %.0f N·mm, %s %.0f N, %s %.0f N\n",
		s.Against, s.Rods[0].Name, s.Rods[0].Tension, s.Rods[1].Name, s.Rods[1].Tension)
	// Output: servo 203 N·mm, drag link 12 N, tie rod 7 N
}
