package setup_test

import (
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/setup"
	"evenlock/steer"
)

// The mirror image of a rig does to the right what the rig does to the left, with the same
// certainty.
func TestOverStickOfAMirroredRigIsTheMirrorImage(t *testing.T) {
	for _, name := range []string{"far-knuckle", "chassis", "behind", "centre-crank"} {
		r := rigtest.Starter(t, name)
		fold := func(mirrored bool) []setup.StickPair {
			t.Helper()
			of := r
			if mirrored {
				of = rigtest.Mirrored(r)
			}
			m, err := steer.New(of)
			if err != nil {
				t.Fatal(err)
			}
			full, err := setup.ToFullStick(m)
			if err != nil {
				t.Fatal(err)
			}
			samples, err := setup.OverStick(m, &full.Stick, 11)
			if err != nil {
				t.Fatal(err)
			}
			if len(samples) != 11 || samples[0].Stick != -1 || samples[5].Stick != 0 || samples[10].Stick != 1 {
				t.Fatalf("%s: sticks from %v to %v", name, samples[0].Stick, samples[10].Stick)
			}
			return setup.Fold(samples)
		}
		was, is := fold(false), fold(true)
		if len(was) != 6 {
			t.Fatalf("%s: %d pairs", name, len(was))
		}
		for i := range was {
			left, right := &was[i].Left, &is[i].Right
			if was[i].Stick != float64(i)/5 || left.Reached != right.Reached {
				t.Fatalf("%s: at stick %v, reached %v and %v", name, was[i].Stick, left.Reached, right.Reached)
			}
			for what, off := range map[string]float64{
				"inner wheel": left.Values[steer.Road.Of(steer.Left)] + right.Values[steer.Road.Of(steer.Right)],
				"its ±":       left.Uncertain[steer.Road.Of(steer.Left)] - right.Uncertain[steer.Road.Of(steer.Right)],
				"curvature":   (left.Values[steer.Curvature] + right.Values[steer.Curvature]) * 1000,
				"response":    (left.Response - right.Response) * 1000,
				"response ±":  (left.ResponseUncertain - right.ResponseUncertain) * 1000,
			} {
				if !(math.Abs(off) < 1e-6) {
					t.Errorf("%s: at stick %v: %s off by %g", name, was[i].Stick, what, off)
				}
			}
		}
	}
}

// The response is how the curvature changes with the stick.
func TestResponseIsTheSlopeOfTheCurvature(t *testing.T) {
	m, err := steer.New(rigtest.Starter(t, "far-knuckle"))
	if err != nil {
		t.Fatal(err)
	}
	full, err := setup.ToFullStick(m)
	if err != nil {
		t.Fatal(err)
	}
	const n = 401
	samples, err := setup.OverStick(m, &full.Stick, n)
	if err != nil {
		t.Fatal(err)
	}
	for i := 50; i < n-1; i += 50 {
		if i == n/2 {
			continue // the two sides may differ in slope there
		}
		slope := (samples[i+1].Values[steer.Curvature] - samples[i-1].Values[steer.Curvature]) / (samples[i+1].Stick - samples[i-1].Stick)
		if off := samples[i].Response - slope; math.Abs(off) > 1e-4*math.Abs(slope) {
			t.Errorf("at stick %v: response %g, slope %g", samples[i].Stick, samples[i].Response, slope)
		}
	}
}
