package radio_test

import (
	"errors"
	"fmt"
	"math"

	"evenlock/radio"
	"evenlock/rig"
	"evenlock/vehicle"
)

func deg(radians float64) float64 { return radians * 180 / math.Pi }

// bench is an invented transmitter, read at full stick both ways with endpoints of
// 100 %, and with the subtrim moved.
func bench() rig.Transmitter {
	read := func(control string, setting, degrees float64) rig.Reading {
		q := rig.Quantity{Value: degrees * math.Pi / 180, Uncertainty: math.Pi / 180, Given: true}
		return rig.Reading{Control: control, Setting: &setting, Angle: rig.Angle{Quantity: q}}
	}
	return rig.Transmitter{
		MaxEndpoint: 120, MaxSubtrim: 100, MaxTrim: 30, Trim: "centre",
		Readings: []rig.Reading{
			read("endpoint", 100, 42), read("endpoint", -100, -42),
			read("subtrim", 100, 10), read("subtrim", -100, -10),
		},
	}
}

func ExampleCalibrate() {
	c, err := radio.Calibrate(bench(), rig.Servo{}, false)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("endpoint: %.2f° ± %.3f° a percent\n", deg(c.Endpoint.PerUnit.Value), deg(c.Endpoint.PerUnit.Uncertainty))
	fmt.Printf("trim:     %.2f° a step, assumed: %v\n", deg(c.Trim.PerUnit.Value), c.Trim.Assumed)
	// Output:
	// endpoint: 0.42° ± 0.007° a percent
	// trim:     0.42° a step, assumed: true
}

func ExampleCalibrate_missing() {
	tx := bench()
	tx.Readings = tx.Readings[:1]
	_, err := radio.Calibrate(tx, rig.Servo{}, false)
	var missing *radio.MissingReadingError
	if errors.As(err, &missing) {
		fmt.Println(missing.Problem)
		fmt.Println(missing.Remedy)
	}
	// Output:
	// only one setting, 100, has a servo angle, and a line takes two
	// set another endpoint, horn off the link, stick held full over, and read the servo's angle from neutral
}

func ExampleModel_At() {
	c, err := radio.Calibrate(bench(), rig.Servo{}, false)
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := radio.NewModel(c, rig.Settings{EndpointLeft: 80, EndpointRight: 62, Expo: 30})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, stick := range []float64{-1, -0.5, 0, 0.5, 1} {
		fmt.Printf("stick %4.1f: servo %6.2f°\n", stick, deg(m.At(stick).Angle))
	}
	// Output:
	// stick -1.0: servo -26.04°
	// stick -0.5: servo -10.09°
	// stick  0.0: servo   0.00°
	// stick  0.5: servo  13.02°
	// stick  1.0: servo  33.60°
}

func ExampleCalibration_SubtrimFor() {
	c, err := radio.Calibrate(bench(), rig.Servo{}, false)
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := c.SubtrimFor(rig.Settings{}, 1.73*math.Pi/180)
	fmt.Printf("subtrim %g, %.2f° left over, error: %v\n", s.Value, deg(s.Residual), err)
	// Output:
	// subtrim 17, 0.03° left over, error: <nil>
}

func ExampleCalibration_EndpointFor() {
	c, err := radio.Calibrate(bench(), rig.Servo{}, false)
	if err != nil {
		fmt.Println(err)
		return
	}
	// The left stop is at a servo angle of 33.5°: come as near as a whole percent can.
	s, err := c.EndpointFor(rig.Settings{Subtrim: 17}, vehicle.Left, 33.5*math.Pi/180, radio.RoundShort)
	fmt.Printf("endpoint %g, servo at %.2f°, error: %v\n", s.Value, deg(s.Angle), err)
	// Output:
	// endpoint 75, servo at 33.20°, error: <nil>
}

func ExampleCalibration_Shift() {
	c, err := radio.Calibrate(bench(), rig.Servo{}, false)
	if err != nil {
		fmt.Println(err)
		return
	}
	change, err := c.Shift(rig.Settings{EndpointLeft: 75, EndpointRight: 70}, 20)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("left end from %.1f° to %.1f°\n", deg(change.Before.Left), deg(change.After.Left))
	// Output:
	// left end from 31.5° to 33.5°
}

func ExampleFitExpo() {
	// A horn square to its link at centre: travel as the sine of the servo angle.
	lock := 50 * math.Pi / 180
	s, err := radio.FitExpo(radio.Span{Right: -lock, Left: lock}, math.Sin)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("expo %g %%: %.1f %% from linear before, %.1f %% after\n",
		s.Expo, 100*s.Before.Nonlinear, 100*s.After.Nonlinear)
	// Output:
	// expo 14 %: 5.3 % from linear before, 0.4 % after
}

func ExampleSpline_Nearest() {
	s := radio.Spline{Teeth: 25, Arms: 4}
	fit, err := s.Nearest(20*math.Pi/180, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d teeth, arm %d, %.1f° for the subtrim\n", fit.Teeth, fit.Arm, deg(fit.LeftOver))
	// Output:
	// -11 teeth, arm 2, -1.6° for the subtrim
}

func ExampleTrimKindFromTest() {
	v := radio.TrimKindFromTest(radio.TrimTest{
		Left: radio.TrimPair{Zero: 42, Moved: 42}, Right: radio.TrimPair{Zero: -42, Moved: -42.3},
		Centre: &radio.TrimPair{Zero: 0, Moved: 4}, Uncertainty: 0.5,
	})
	fmt.Println(v.Kind, v.Reason == radio.TrimCentreMoved)
	fmt.Printf("centre %g, ends %g and %.1f\n", v.Centre, v.Left, v.Right)
	// Output:
	// centre only true
	// centre 4, ends 0 and -0.3
}
