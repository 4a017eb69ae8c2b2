package turning_test

import (
	"fmt"
	"math"
	"os"

	"evenlock/rig"
	"evenlock/turning"
)

// Four wheels whose axes all go through a place 400 mm to the left of the middle of a vehicle.
func ExampleFit() {
	var w [turning.NumWheels]turning.Wheel
	for i, at := range [turning.NumWheels]turning.Place{{X: 0, Y: 100}, {X: 0, Y: -100}, {X: -300, Y: 100}, {X: -300, Y: -100}} {
		w[i] = turning.Wheel{Contact: at, Road: math.Atan((at.X + 150) / (400 - at.Y)), Width: 40}
	}
	t := turning.Fit(&w, turning.Place{X: -150})
	fmt.Printf("about %.0f mm forward and %.0f mm to the left\n", t.Centre.X, t.Centre.Y)
	fmt.Printf("outermost tyre on a circle of %.0f mm, innermost leaves one of %.0f mm\n", 2*t.Outer, 2*t.Inner)
	// Output:
	// about -150 mm forward and 400 mm to the left
	// outermost tyre on a circle of 1084 mm, innermost leaves one of 631 mm
}

func ExampleOver() {
	f, err := os.Open("../examples/four-wheel.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := rig.Read(f, "four-wheel.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := turning.Over(r, turning.Usual())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range d.Sweeps {
		t := &c.At(turning.Left).Turn
		fmt.Printf("%s: %.2f m\n", c.Mode.Words(), 2*t.Outer/1000)
	}
	// Output:
	// opposite phase: 0.95 m
	// same phase: 2.47 m
	// crab: 10.48 m
	// rear held straight: 1.48 m
}
