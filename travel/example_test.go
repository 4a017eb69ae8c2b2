package travel_test

import (
	"bytes"
	"fmt"

	"evenlock/rig"
	"evenlock/steer"
	"evenlock/travel"
)

func starter(name string) *steer.Model {
	for _, s := range rig.Starters() {
		if s.Name != name {
			continue
		}
		r, err := rig.Read(bytes.NewReader(s.Text), name)
		if err != nil {
			panic(err)
		}
		m, err := steer.NewSuspended(r)
		if err != nil {
			panic(err)
		}
		return m
	}
	panic("no such starter")
}

func ExampleOver() {
	d, err := travel.Over(starter("chassis"), travel.Options{Steps: 6})
	if err != nil {
		fmt.Println(err)
		return
	}
	heave := d.Sweeps[travel.Heave]
	bump, low := heave.BumpSteer[travel.Left], heave.Samples[0]
	fmt.Printf("%.3f ± %.3f degrees for each millimetre\n", bump.Value/degree, bump.Uncertain/degree)
	fmt.Printf("%.1f degrees with both wheels %.0f mm down, of which the axle's yaw is %.1f\n", low.Steer[travel.Left]/degree, -low.X, low.Carried.Yaw/degree)
	// Output:
	// -0.086 ± 0.013 degrees for each millimetre
	// 2.2 degrees with both wheels 24 mm down, of which the axle's yaw is 1.6
}

func ExampleImprove() {
	better, err := travel.Improve(starter("chassis"), 25)
	if err != nil {
		fmt.Println(err)
		return
	}
	shim := better[0]
	fmt.Printf("%s by %.1f mm in height: %.2f → %.2f degrees\n", shim.Moves[0].Ball, shim.Moves[0].By.Z,
		shim.Before[travel.Heave].Worse()/degree, shim.After[travel.Heave].Worse()/degree)
	// Output:
	// horn's ball by -4.0 mm in height: 2.19 → 0.08 degrees
}
