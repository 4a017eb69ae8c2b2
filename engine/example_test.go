package engine_test

import (
	"fmt"

	"evenlock/engine"
)

func ExampleOpen() {
	s, err := engine.Open([]byte("format = 1\nname = 7\n"))
	for _, p := range engine.ProblemsOf(err)[:1] {
		fmt.Println(s == nil, p.Line, p.Key, p.Problem)
	}
	// Output: true 1 vehicle is missing
}

func ExampleSession_Drag() {
	s, err := engine.Open([]byte(engine.Starters()[2].Text))
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, h := range s.Scene().Handles {
		if h.Key != "servo.point" || h.View != "above" {
			continue
		}
		if err := s.Grab(i); err != nil {
			fmt.Println(err)
			return
		}
		u, v := s.Numbers()[h.At], s.Numbers()[h.At+1]
		// 2 mm to the right on the screen is 2 mm to the right of the vehicle.
		s.Drag(u+2, v)
		if err := s.Drop(); err != nil {
			fmt.Println(err)
			return
		}
	}
	fmt.Println(s.State().Undo)
	if err := s.Undo(); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.State().Redo)
	// Output:
	// moved the servo point
	// moved the servo point
}

func ExampleSession_Set() {
	s, err := engine.Start("behind")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.State().Missing, "not measured yet")
	// A bare number in a draft takes the file's accuracy.
	if err := s.Set("vehicle.wheelbase", "308"); err != nil {
		fmt.Println(err)
		return
	}
	m, err := s.Measurements()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(m.Missing, "not measured yet;", m.List[0].Words, m.List[0].Entry)
	// Output:
	// 26 not measured yet
	// 25 not measured yet; wheelbase 308 ± 0.2
}
