package rig_test

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"evenlock/rig"
)

func ExampleRead() {
	text := rig.Starters()[0].Text
	r, err := rig.Read(bytes.NewReader(text), "truck.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Name)
	fmt.Println("wheelbase", r.Vehicle.Wheelbase)
	// Output:
	// far-knuckle starter (invented)
	// wheelbase 310 ± 0.25 mm
}

func ExampleRead_problems() {
	text := strings.NewReplacer("wheelbase = 310", "wheelbase = 0", "mount =", "mounted =").
		Replace(string(rig.Starters()[0].Text))
	_, err := rig.Read(strings.NewReader(text), "truck.toml")
	var all rig.Errors
	if errors.As(err, &all) {
		for _, e := range all {
			fmt.Printf("%s: %s\n    %s\n", e.Key, e.Problem, e.Remedy)
		}
	}
	// Output:
	// vehicle.wheelbase: 0 is out of range
	//     give a value above 0
	// servo.mount: is missing
	//     add it: what the servo is fixed to
	// servo.mounted: is not a key of a rig file
	//     did you mean mount?
}

func ExampleEdit() {
	src := rig.Starters()[0].Text
	out, err := rig.Edit(src, "left.tie_arm.ball.y", "69.2 ± 0.1")
	if err != nil {
		fmt.Println(err)
		return
	}
	for line := range strings.Lines(string(out)) {
		if !bytes.Contains(src, []byte(line)) {
			fmt.Print(line)
		}
	}
	// Output:
	// ball = [-26, "69.2 ± 0.1", -8]
}

func ExampleStarters() {
	for _, s := range rig.Starters() {
		fmt.Printf("%-13s %s\n", s.Name, s.Summary)
	}
	// Output:
	// far-knuckle   servo on the axle, drag link to the far knuckle
	// tie-rod       servo on the axle, drag link to a ball on the tie rod
	// chassis       servo on the chassis, drag link to a knuckle, axle on links
	// behind        servo behind the axle, drag link to the far knuckle
	// centre-crank  a centre crank with a rod to each knuckle, touring-car style
	// rack          a sliding rack with a rod to each knuckle, struts
}

func ExampleParseLength() {
	l, err := rig.ParseLength("0.5 ± 0.01 in", "mm")
	fmt.Println(l, err)
	_, err = rig.ParseLength("8 deg", "mm")
	fmt.Println(err)
	// Output:
	// 12.7 ± 0.254 mm <nil>
	// "deg" is not a unit of length here; write mm or in, or leave the unit out
}

func ExampleRig_Measurements() {
	r, err := rig.Read(bytes.NewReader(rig.Starters()[1].Text), "truck.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range r.Measurements() {
		if m.Kind == rig.AngleKind && strings.HasPrefix(m.Path, "left.") {
			fmt.Println(m.Words()+":", rig.Angle{Quantity: *m.Q})
		}
	}
	// Output:
	// left kingpin caster: 5 ± 1.5°
	// left kingpin inclination: 7 ± 1°
	// left wheel toe: 0 ± 1°
	// left wheel camber: 0 ± 1°
	// left tie arm inward: -10 ± 1°
}
