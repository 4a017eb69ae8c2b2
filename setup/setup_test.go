package setup_test

import (
	"bytes"
	"fmt"
	"math"
	"testing"
	"time"

	"evenlock/rig"
	"evenlock/setup"
)

const degree = math.Pi / 180

func starter(t testing.TB, name string) *rig.Rig {
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

func TestPrint(t *testing.T) {
	for _, s := range rig.Starters() {
		r := starter(t, s.Name)
		t0 := time.Now()
		p, err := setup.Make(r)
		fmt.Println(s.Name, time.Since(t0), err)
		if err != nil {
			continue
		}
		fmt.Println(p.Horn.Turn.Value/degree, p.Horn.SplineFit, p.Horn.LeftOver/degree, p.Subtrim, p.Settings)
		for _, r := range p.Rods {
			fmt.Println(r.Name, r.Now.Value, r.Now.Uncertain, r.Length.Value, r.Length.Uncertain, r.Turns, r.Residual, r.Fits)
		}
		for _, e := range []setup.End{p.Left, p.Right} {
			fmt.Println(e.Side, e.Governs, e.Matched, e.Servo.Value/degree, e.Servo.Uncertain/degree, e.Inner.Value/degree, e.Inner.Uncertain/degree, e.Outer.Value/degree, 1/e.Curvature.Value, e.Curvature.Uncertain/e.Curvature.Value, e.Endpoint, e.EndpointUncertain)
		}
		fmt.Println(p.EvenBefore)
		fmt.Println(p.EvenAfter)
		fmt.Println(p.EvenShaped)
		if p.Expo != nil {
			fmt.Println(*p.Expo)
		}
		if p.Curve != nil {
			fmt.Println(*p.Curve)
		}
		fmt.Println(p.Trim, p.Notes)
	}
}
