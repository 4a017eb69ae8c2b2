package advise_test

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"evenlock/advise"
	"evenlock/internal/effort"
	"evenlock/internal/rigtest"
	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"

	"pgregory.net/rapid"
)

func TestListGoesByWeightThenKindThenSource(t *testing.T) {
	s := &advise.Evaluation{}
	rapid.Check(t, func(rt *rapid.T) {
		var sources []advise.Source
		var given []string
		for i := range rapid.IntRange(0, 6).Draw(rt, "sources") {
			var findings []advise.Finding
			for k := range rapid.IntRange(0, 4).Draw(rt, "findings") {
				key := fmt.Sprintf("%d.%d", i, k)
				given = append(given, key)
				findings = append(findings, advise.Finding{
					Key: key, Kind: advise.Kind(rapid.IntRange(0, 3).Draw(rt, "kind")),
					Weight: rapid.SampledFrom([]float64{0, 0.1, 0.2, 3}).Draw(rt, "weight"),
				})
			}
			sources = append(sources, func(*advise.Evaluation) ([]advise.Finding, error) { return findings, nil })
		}
		list, err := advise.List(s, sources...)
		if err != nil {
			rt.Fatal(err)
		}
		var got []string
		for i, p := range list {
			got = append(got, p.Key)
			if p.Kind >= advise.Unsure && p.Weight != 0 {
				rt.Errorf("%s is %v and weighs %g", p.Key, p.Kind, p.Weight)
			}
			if i == 0 {
				continue
			}
			a := list[i-1]
			switch {
			case a.Weight != p.Weight:
				if a.Weight < p.Weight {
					rt.Errorf("%g before %g", a.Weight, p.Weight)
				}
			case a.Kind != p.Kind:
				if a.Kind > p.Kind {
					rt.Errorf("%v before %v", a.Kind, p.Kind)
				}
			case a.Key > p.Key:
				rt.Errorf("%s before %s at the same weight and kind", a.Key, p.Key)
			}
		}
		slices.Sort(got)
		slices.Sort(given)
		if !slices.Equal(got, given) {
			rt.Errorf("%v of %v", got, given)
		}
	})
}

func TestFurtherSourceTakesItsPlaceByWeight(t *testing.T) {
	r := rigtest.Starter(t, "behind")
	travel := func(s *advise.Evaluation) ([]advise.Finding, error) {
		if s.Plan == nil || s.Rig != r {
			t.Error("the source has nothing to look at")
		}
		return []advise.Finding{{Key: "travel", Weight: 90 * degree, Facts: &advise.TrimRoom{}}}, nil
	}
	list, _, err := advise.Of(r, 1, travel)
	if err != nil {
		t.Fatal(err)
	}
	if list[0].Key != "travel" {
		t.Errorf("%s comes first", list[0].Key)
	}
}

// jittered returns a starter with every measurement off by up to a millimetre or a degree.
func jittered(rt *rapid.T, r *rig.Rig) *rig.Rig {
	r = r.Clone()
	for _, q := range r.Measurements() {
		by := rapid.Float64Range(-1, 1).Draw(rt, q.Path)
		if q.Kind == rig.AngleKind {
			by *= degree
		}
		q.Q.Value += by
	}
	return r
}

// starters are those of the names, and some with what they leave out about the loads, which takes
// the time.
func starters(t *testing.T, names []string) (all []*rig.Rig) {
	for _, name := range names {
		all = append(all, rigtest.Starter(t, name))
	}
	return append(all, loaded(t, "behind"), loaded(t, "centre-crank"))
}

func TestEveryFindingHasItsFiguresAndEveryProposalIsAGain(t *testing.T) {
	t.Parallel()
	all, skips := starters(t, rigtest.Names()), effort.Count(t)
	rapid.Check(t, func(rt *rapid.T) {
		r := jittered(rt, all[rapid.IntRange(0, len(all)-1).Draw(rt, "starter")])
		list, _, err := advise.Of(r, 1)
		effort.SkipOn[*linkage.LimitError](rt, skips, err)
		keys := map[string]bool{}
		for i, f := range list {
			if keys[f.Key] {
				rt.Errorf("%s twice", f.Key)
			}
			keys[f.Key] = true
			if i > 0 && f.Weight > list[i-1].Weight {
				rt.Errorf("%s weighs more than what is before it", f.Key)
			}
			if !(f.Weight >= 0) || math.IsInf(f.Weight, 0) {
				rt.Errorf("%s weighs %g", f.Key, f.Weight)
			}
			for _, v := range numbers(f.Facts) {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					rt.Errorf("%s: %+v", f.Key, f.Facts)
				}
			}
			if len(numbers(f.Facts)) == 0 {
				rt.Errorf("%s has no figure", f.Key)
			}
			switch {
			case (f.Kind == advise.Do) != (f.Change != nil) && f.Kind != advise.Know:
				rt.Errorf("%s is %v, with the change %+v", f.Key, f.Kind, f.Change)
			case f.Change == nil:
				continue
			}
			before, after := f.Change.Before.Value, f.Change.After.Value
			more := false
			switch f.Facts.(type) {
			case *advise.RodFails, *advise.Servo, *advise.Lock, *advise.Drop:
				more = true
			}
			if more && after <= before || !more && math.Abs(after) >= math.Abs(before) {
				rt.Errorf("%s goes from %g to %g: %+v", f.Key, before, after, f.Facts)
			}
		}
	})
}

// numbers are all that a finding's facts hold, and what they point to, in order; of results, the
// value and the half-width.
func numbers(facts advise.Facts) (all []float64) {
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Float64:
			all = append(all, v.Float())
		case reflect.Pointer:
			if !v.IsNil() {
				walk(v.Elem())
			}
		case reflect.Struct:
			switch one := v.Interface().(type) {
			case steer.Result:
				all = append(all, one.Value, one.Uncertain)
				return
			case steer.Stop:
				return // of two that are as near, the choice is not mirrored
			}
			for i := range v.NumField() {
				if v.Type().Field(i).IsExported() {
					walk(v.Field(i))
				}
			}
		case reflect.Array, reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		}
	}
	walk(reflect.ValueOf(facts))
	return all
}

func TestWeakestRodComesBeforeAllElse(t *testing.T) {
	for _, name := range rigtest.Names() {
		text := strings.ReplaceAll(string(rigtest.LoadedText(t, name)), `"steel"`, `"nylon"`)
		list, _ := adviceOn(t, rigtest.Read(t, []byte(text)))
		if _, ok := list[0].Facts.(*advise.RodFails); !ok {
			t.Errorf("%s: with nylon rods %s comes first", name, list[0].Key)
		}
	}
}

// swapped exchanges left and right.
var swapped = strings.NewReplacer("left", "right", "right", "left")

func TestAdviceOnAMirroredRigIsTheMirrorImage(t *testing.T) {
	t.Parallel()
	all, skips := starters(t, []string{"far-knuckle", "chassis", "behind", "centre-crank", "rack"}), effort.Count(t)
	rapid.Check(t, func(rt *rapid.T) {
		r := jittered(rt, all[rapid.IntRange(0, len(all)-1).Draw(rt, "starter")])
		a, s, err := advise.Of(r, 1)
		effort.SkipOn[*linkage.LimitError](rt, skips, err)
		b, _, err := advise.Of(rigtest.Mirrored(r), 1)
		if err != nil {
			rt.Fatalf("the mirrored rig: %v", err)
		}
		if h := s.Plan.Horn; math.Abs(math.Abs(h.LeftOver)-h.Step/2) < 1e-6 {
			return // two places are as near, and the choice between them is not mirrored
		}
		image := map[string]advise.Finding{}
		for _, p := range b {
			image[swapped.Replace(p.Key)] = p
		}
		if len(a) != len(b) {
			rt.Errorf("%d findings, in the mirror %d", len(a), len(b))
		}
		for _, f := range a {
			m, ok := image[f.Key]
			if !ok {
				rt.Errorf("no %s in the mirror: %+v", f.Key, f.Facts)
				continue
			}
			weight := 1e-5
			got, want := sizes(&m), sizes(&f)
			if e, ok := f.Facts.(*advise.Evenness); ok && e.CurvePoints > 0 {
				// A curve's points are whole numbers found by a search, which need not be mirrored
				// to the last one.
				got, want, weight = sizes(&advise.Finding{Facts: m.Facts}), sizes(&advise.Finding{Facts: f.Facts}), 0.2*degree
			}
			if m.Kind != f.Kind || math.Abs(m.Weight-f.Weight) > weight {
				rt.Errorf("%s is %v and weighs %g, in the mirror %v and %g\n%+v\n%+v", f.Key, f.Kind, f.Weight, m.Kind, m.Weight, f.Facts, m.Facts)
			}
			for i := range want {
				if len(got) != len(want) || math.Abs(got[i]-want[i]) > 1e-3*(1+want[i]) {
					rt.Errorf("%s: %v, in the mirror %v", f.Key, want, got)
					break
				}
			}
		}
	})
}

// sizes are the sizes of a finding's numbers and of its change's, in order of size.
func sizes(f *advise.Finding) []float64 {
	all := numbers(f.Facts)
	if c := f.Change; c != nil {
		all = append(all, c.Before.Value, c.After.Value)
	}
	for i, v := range all {
		all[i] = math.Abs(v)
	}
	slices.Sort(all)
	return all
}

func TestPerfectParallelogramGivesNoComplaint(t *testing.T) {
	list, _ := adviceOn(t, parallelogram().Rig(t))
	for _, f := range list {
		if f.Kind != advise.Well {
			t.Errorf("%s, %v: %+v", f.Key, f.Kind, f.Facts)
		}
	}
	if len(list) < 4 {
		t.Errorf("only %d things are found to be well", len(list))
	}
	for _, key := range []string{"square", "even", "ackermann", "lock"} {
		find(t, list, key)
	}
}

func TestNothingIsProposedWithinTheUncertainty(t *testing.T) {
	u := uneven()
	sure, _ := adviceOn(t, u.Rig(t))
	u.More += "[accuracy]\nlength = 12\nangle = 30\n"
	list, _ := adviceOn(t, u.Rig(t))
	for _, key := range []string{"square", "ackermann"} {
		if f := find(t, sure, key); f.Kind == advise.Unsure {
			t.Errorf("exact, and yet: %+v", f.Facts)
		}
		if f := find(t, list, key); f.Kind != advise.Unsure || f.Change != nil || f.Weight != 0 || f.From == nil {
			t.Errorf("%s, %v, %g: %+v, from %v", key, f.Kind, f.Weight, f.Facts, f.From)
		}
	}
	if f := find(t, list, "repeat"); f.Kind != advise.Do || list[0].Key != "repeat" {
		t.Errorf("what is worth doing is measuring again, not %s", list[0].Key)
	}
}

func TestRigsThatLackThingsGetAdviceOnTheRest(t *testing.T) {
	for i, name := range rigtest.Names() {
		for k, c := range []struct {
			what   string
			change func(*rig.Rig)
		}{
			{"readings", func(r *rig.Rig) { r.Transmitter.Readings = nil }},
			{"teeth", func(r *rig.Rig) { r.Servo.Teeth = 0 }},
			{"wants", func(r *rig.Rig) { r.Want = rig.Want{} }},
			{"stops", func(r *rig.Rig) { r.Left.Stops, r.Left.AxleJoint = nil, nil }},
			{"holes", func(r *rig.Rig) { r.Horn.Holes = nil }},
			{"rock", func(r *rig.Rig) { r.Ground.RockForce, r.Ground.RockHeight = 0, rig.Length{} }},
			{"drop", func(r *rig.Rig) { r.Supply.Resistance = 0 }},
			{"strength", func(r *rig.Rig) {
				for _, rod := range modelOf(t, r).Vehicle.Steering() {
					r.Rod(rod.Key).Material = ""
				}
			}},
		} {
			if (i+k)%effort.Of(3, 1) != 0 {
				continue // locally each is taken out of a third of the starters
			}
			r := loaded(t, name)
			c.change(r)
			list, _, err := advise.Of(r, 1)
			if err != nil {
				t.Errorf("%s without %s: %v", name, c.what, err)
			}
			if len(list) < 5 {
				t.Errorf("%s without %s: only %d findings", name, c.what, len(list))
			}
		}
	}
}

func TestRigWithoutRoomForAnyLockIsAnErrorThatSaysWhatToChange(t *testing.T) {
	_, _, err := advise.Of(rigtest.Starter(t, "far-knuckle", "left.axle_joint.max_angle=0.5"), 1)
	if err == nil || !strings.Contains(err.Error(), "want.margin") {
		t.Errorf("got %v", err)
	}
}
