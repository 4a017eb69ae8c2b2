package steer_test

import (
	"bytes"
	"fmt"
	"math"

	"evenlock/rig"
	"evenlock/steer"
)

func starterModel() (*steer.Model, error) {
	r, err := rig.Read(bytes.NewReader(rig.Starters()[0].Text), "truck.toml")
	if err != nil {
		return nil, err
	}
	return steer.New(r)
}

func side(angle float64) string {
	if angle < 0 {
		return fmt.Sprintf("%.1f° right", -angle*180/math.Pi)
	}
	return fmt.Sprintf("%.1f° left", angle*180/math.Pi)
}

func ExampleNew() {
	m, err := starterModel()
	if err != nil {
		fmt.Println(err)
		return
	}
	stops, err := m.Stops(1)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("the lock ends at %.0f° of servo: %s (%s)\n", stops[0].Servo.Value*180/math.Pi, stops[0].Words, stops[0].Key)
	// Output:
	// the lock ends at 57° of servo: the left knuckle's outward stop (left.stops.out)
}

func ExampleModel_NewState() {
	m, err := starterModel()
	if err != nil {
		fmt.Println(err)
		return
	}
	s := m.NewState()
	for _, servo := range []float64{-30, 15, 30} {
		if err := s.Turn(servo * math.Pi / 180); err != nil {
			fmt.Println(err)
			return
		}
		v := s.Values()
		fmt.Printf("left wheel %s, right wheel %s\n", side(v[steer.Road.Of(steer.Left)]), side(v[steer.Road.Of(steer.Right)]))
	}
	// Output:
	// left wheel 17.4° right, right wheel 19.2° right
	// left wheel 9.8° left, right wheel 9.3° left
	// left wheel 20.0° left, right wheel 18.1° left
}

func ExampleModel_Sweep() {
	m, err := starterModel()
	if err != nil {
		fmt.Println(err)
		return
	}
	samples, err := m.Sweep(-30*math.Pi/180, 30*math.Pi/180, 4)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range samples {
		fmt.Printf("left wheel %s ± %.1f°, %.2f° a degree of servo\n",
			side(r.Values[steer.Road.Of(steer.Left)]), r.Uncertain[steer.Road.Of(steer.Left)]*180/math.Pi, r.Rates[steer.Road.Of(steer.Left)])
	}
	// Output:
	// left wheel 17.4° right ± 1.1°, 0.51° a degree of servo
	// left wheel 6.2° right ± 1.0°, 0.61° a degree of servo
	// left wheel 6.5° left ± 1.0°, 0.66° a degree of servo
	// left wheel 20.0° left ± 1.2°, 0.70° a degree of servo
}
