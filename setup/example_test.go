package setup_test

import (
	"bytes"
	"fmt"
	"math"

	"evenlock/rig"
	"evenlock/setup"
)

func ExampleMake() {
	r, err := rig.Read(bytes.NewReader(rig.Starters()[0].Text), "truck.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := setup.Make(r, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("move the horn by %d teeth, arm %d\n", p.Horn.Teeth, p.Horn.Arm)
	fmt.Printf("subtrim %.0f\n", p.Subtrim.Value)
	for _, rod := range p.Rods {
		fmt.Printf("%s: %.2f mm, %+.2f turns\n", rod.Name, rod.Length.Value, rod.Turns)
	}
	for i := range p.Ends {
		e := &p.Ends[i]
		fmt.Printf("endpoint %.0f ± %.0f: inner wheel %.1f°, because of %s\n",
			e.Endpoint.Value, e.EndpointUncertain, e.Inner.Value*180/math.Pi, e.Governs)
	}
	// Output:
	// move the horn by 12 teeth, arm 2
	// subtrim -2
	// drag link: 96.47 mm, -2.53 turns
	// tie rod: 139.00 mm, +0.00 turns
	// endpoint 92 ± 3: inner wheel 30.0°, because of the left knuckle's outward stop
	// endpoint 118 ± 2: inner wheel 30.0°, because of the transmitter's greatest endpoint
}

func ExampleTry() {
	r, err := rig.Read(bytes.NewReader(rig.Starters()[0].Text), "truck.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	r.Transmitter.MaxEndpoint = 150
	r.Settings.EndpointLeft = 140
	trial, err := setup.Try(r, 1, 3)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range trial.Passed {
		fmt.Printf("%.0f° of servo past %s\n", p.By*180/math.Pi, p.Stop.Words)
	}
	// Output:
	// 6° of servo past the left knuckle's outward stop
}
