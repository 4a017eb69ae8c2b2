package rig_test

import (
	"bytes"
	"testing"

	"evenlock/rig"
)

func TestStartersReadAndSayThatTheyAreInvented(t *testing.T) {
	names := map[string]bool{}
	for _, s := range rig.Starters() {
		t.Run(s.Name, func(t *testing.T) {
			r, err := rig.Read(bytes.NewReader(s.Text), s.Name+".toml")
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Contains(s.Text, []byte("invented")) {
				t.Error("does not say that its numbers are invented")
			}
			if r.Accuracy.Length.Value == 0 || r.Accuracy.Angle.Value == 0 {
				t.Error("states no accuracy")
			}
			if len(r.Transmitter.Readings) != 2 || r.Servo.Teeth != 25 {
				t.Error("lacks readings or spline teeth")
			}
		})
		names[s.Name] = true
	}
	for _, want := range []string{"far-knuckle", "tie-rod", "chassis", "behind", "centre-crank"} {
		if !names[want] {
			t.Errorf("no starter %s", want)
		}
	}
}
