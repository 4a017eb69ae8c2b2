package setup_test

import (
	"math"
	"testing"

	"evenlock/internal/effort"
	"evenlock/internal/rigtest"
	"evenlock/linkage"
	"evenlock/radio"
	"evenlock/rig"
	"evenlock/setup"

	"pgregory.net/rapid"
)

// sameSetting reports a setting that is not another one times sign.
func sameSetting(t *rapid.T, what string, got, want radio.Setting, sign float64) {
	exact := math.Abs(got.Exact-sign*want.Exact) < 1e-6
	// Next to where it rounds, either whole number is right.
	edge := math.Abs(math.Remainder(want.Exact, 0.5)) < 1e-6
	if !exact || got.Value != sign*want.Value && !edge {
		t.Errorf("%s: %+v, wanted %+v times %v", what, got, want, sign)
	}
}

func TestPlanOfAMirroredRigIsTheMirrorImage(t *testing.T) {
	names := []string{"far-knuckle", "chassis", "behind", "centre-crank"}
	starters := map[string]*rig.Rig{}
	for _, name := range names {
		starters[name] = rigtest.Starter(t, name)
	}
	skips := effort.Count(t)
	rapid.Check(t, func(rt *rapid.T) {
		r := starters[rapid.SampledFrom(names).Draw(rt, "starter")].Clone()
		for _, q := range r.Measurements() {
			by := rapid.Float64Range(-1, 1).Draw(rt, q.Path)
			if q.Kind == rig.AngleKind {
				by *= degree
			}
			q.Q.Value += by
		}
		r.Settings.Reverse = rapid.Bool().Draw(rt, "reverse")
		a, err := setup.Make(r, 1)
		effort.SkipOn[*linkage.LimitError](rt, skips, err)
		b, err := setup.Make(rigtest.Mirrored(r), 1)
		if err != nil {
			rt.Fatalf("the mirrored rig: %v", err)
		}
		alike := func(what string, got, want, tol float64) {
			if !(math.Abs(got-want) <= tol) {
				rt.Errorf("%s: %.12g, wanted %.12g", what, got, want)
			}
		}
		alike("horn's turn", b.Horn.Turn.Value, -a.Horn.Turn.Value, 1e-9)
		if half := a.Horn.Step / 2; math.Abs(math.Abs(a.Horn.LeftOver)-half) < 1e-6 {
			return // two places of the horn are as near, and the choice between them is not mirrored
		}
		alike("left over", b.Horn.LeftOver, -a.Horn.LeftOver, 1e-9)
		sameSetting(rt, "subtrim", b.Subtrim, a.Subtrim, -1)
		if b.Subtrim.Value != -a.Subtrim.Value {
			return // all that follows is from another centre
		}
		if a.Settings.Reverse != b.Settings.Reverse {
			rt.Errorf("reversed: %v, in the mirror %v", a.Settings.Reverse, b.Settings.Reverse)
		}
		for i := range a.Rods {
			j := i
			if len(a.Rods) == 3 && i > 0 {
				j = 3 - i
			}
			alike(a.Rods[i].Name, b.Rods[j].Length.Value, a.Rods[i].Length.Value, 1e-9)
			alike(a.Rods[i].Name+"'s uncertainty", b.Rods[j].Length.Uncertain, a.Rods[i].Length.Uncertain, 1e-6)
		}
		for i := range a.Ends {
			side := struct{ got, want *setup.End }{&b.Ends[1-i], &a.Ends[i]}
			alike("end", side.got.Servo.Value, -side.want.Servo.Value, 1e-8)
			alike("its uncertainty", side.got.Servo.Uncertain, side.want.Servo.Uncertain, 1e-6)
			alike("inner wheel", side.got.Inner.Value, side.want.Inner.Value, 1e-8)
			alike("outer wheel", side.got.Outer.Value, side.want.Outer.Value, 1e-8)
			alike("path", side.got.Curvature.Value, side.want.Curvature.Value, 1e-10)
			sameSetting(rt, "endpoint", side.got.Endpoint, side.want.Endpoint, 1)
			alike("endpoint's uncertainty", side.got.EndpointUncertain, side.want.EndpointUncertain, 1e-4)
		}
		alike("unevenness of path before", b.EvenBefore.Path, a.EvenBefore.Path, 1e-8)
		alike("lock to the left before", b.EvenBefore.InnerLeft, a.EvenBefore.InnerRight, 1e-8)
		alike("unevenness of rate after", b.EvenAfter.Rate, a.EvenAfter.Rate, 0.05)
	})
}
