package steer_test

import (
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/steer"

	"pgregory.net/rapid"
)

// Figures by hand, for 24 mm up and 18 mm down.
func TestCoupledWheels(t *testing.T) {
	m, err := steer.NewSuspended(rigtest.Starter(t, "chassis", "suspension.bump = 24", "suspension.droop = 18"))
	if err != nil {
		t.Fatal(err)
	}
	at := steer.WheelTravel{Left: 3, Right: -7}
	for _, c := range []struct {
		how    steer.Coupling
		side   steer.Side
		height float64
		want   steer.WheelTravel
	}{
		{steer.BothWheels, steer.Left, 10, steer.WheelTravel{Left: 10, Right: 10}},
		{steer.BothWheels, steer.Right, -30, steer.WheelTravel{Left: -18, Right: -18}},
		{steer.BothWheels, steer.Right, 30, steer.WheelTravel{Left: 24, Right: 24}},
		{steer.RollWheels, steer.Left, 10, steer.WheelTravel{Left: 10, Right: -10}},
		{steer.RollWheels, steer.Right, 10, steer.WheelTravel{Left: -10, Right: 10}},
		// The wheel that goes down is at its end first.
		{steer.RollWheels, steer.Left, 20, steer.WheelTravel{Left: 18, Right: -18}},
		{steer.RollWheels, steer.Left, -20, steer.WheelTravel{Left: -18, Right: 18}},
		{steer.OneWheel, steer.Left, 10, steer.WheelTravel{Left: 10, Right: -7}},
		{steer.OneWheel, steer.Right, 100, steer.WheelTravel{Left: 3, Right: 24}},
	} {
		if got := m.Coupled(c.how, c.side, c.height, at); got != c.want {
			t.Errorf("%v, side %v to %v: got %+v, want %+v", c.how, c.side, c.height, got, c.want)
		}
	}
	for name, want := range map[string]steer.Coupling{"both": steer.BothWheels, "roll": steer.RollWheels, "one": steer.OneWheel} {
		if got, ok := steer.CouplingNamed(name); !ok || got != want {
			t.Errorf("%s: %v, %v", name, got, ok)
		}
	}
	if _, ok := steer.CouplingNamed("twist"); ok {
		t.Error("knows a coupling that there is not")
	}
	rapid.Check(t, func(t *rapid.T) {
		how := steer.Coupling(rapid.IntRange(0, 2).Draw(t, "how"))
		side := steer.Side(rapid.IntRange(0, 1).Draw(t, "side"))
		some := func(name string) float64 { return rapid.Float64Range(-40, 40).Draw(t, name) }
		from := steer.WheelTravel{Left: some("left"), Right: some("right")}
		height := some("height")
		got := m.Coupled(how, side, height, from)
		if got.Left < -18 || got.Left > 24 || got.Right < -18 || got.Right > 24 {
			t.Fatalf("%+v is beyond the travel", got)
		}
		if mirrored := m.Coupled(how, 1-side, height, steer.WheelTravel{Left: from.Right, Right: from.Left}); mirrored != (steer.WheelTravel{Left: got.Right, Right: got.Left}) {
			t.Fatalf("%+v, and on the other side %+v", got, mirrored)
		}
		// Who asks for what there already is gets it.
		if again := m.Coupled(how, side, map[steer.Side]float64{steer.Left: got.Left, steer.Right: got.Right}[side], got); again != got {
			t.Fatalf("%+v, asked again %+v", got, again)
		}
		switch how {
		case steer.BothWheels:
			if got.Left != got.Right {
				t.Fatalf("%+v is not alike", got)
			}
		case steer.RollWheels:
			if got.Left != -got.Right {
				t.Fatalf("%+v is no roll", got)
			}
		}
	})
}
