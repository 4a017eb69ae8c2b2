package engine_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"evenlock/advise"
	"evenlock/engine"
	"evenlock/internal/rigtest"
)

func TestAdviceOnThePageIsThatOfTheCommandLine(t *testing.T) {
	text := rigtest.LoadedText(t, "behind")
	s, err := engine.Open(text)
	if err != nil {
		t.Fatal(err)
	}
	d, err := s.Advise()
	if err != nil {
		t.Fatal(err)
	}
	list, _, err := advise.Of(rigtest.Read(t, text))
	if err != nil {
		t.Fatal(err)
	}
	if len(d.List) != len(list) || len(d.Cautions) == 0 {
		t.Fatalf("%d pieces of %d", len(d.List), len(list))
	}
	for i, p := range list {
		got := d.List[i]
		if got.Key != p.Key || got.Kind != p.Kind.String() || got.Sentence != p.Sentence || math.Abs(float64(got.Weight.Value)-p.Weight*180/math.Pi) > 1e-9 {
			t.Errorf("%+v, wanted %s", got, p.Sentence)
		}
		if (got.Change == nil) != (p.Change == nil) {
			t.Errorf("%s: change %v", p.Key, got.Change)
		}
		for k, f := range p.Figures {
			if float64(got.Figures[k].Value) != f.Value || got.Figures[k].Text == "" || got.Figures[k].Text == "–" {
				t.Errorf("%s: %+v, wanted %+v", p.Key, got.Figures[k], f)
			}
		}
	}
	if out, err := json.Marshal(d); err != nil || !strings.Contains(string(out), `"lacks":[]`) {
		t.Errorf("as JSON: %v, %s", err, out)
	}
}

// What a piece of advice sets is one change, after which the figure is the one promised, and undo brings the file back.
func TestAdviceIsTriedAsOneChange(t *testing.T) {
	s, err := engine.Open(rigtest.LoadedText(t, "behind"))
	if err != nil {
		t.Fatal(err)
	}
	before := s.Text()
	figureOf := func(key string) float64 {
		d, err := s.Advise()
		if err != nil {
			t.Fatal(err)
		}
		for _, one := range d.List {
			if one.Key == key && one.Change != nil {
				return float64(one.Change.Before.Value)
			}
		}
		t.Fatalf("no change is proposed for %s", key)
		return 0
	}
	d, err := s.Advise()
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, one := range d.List {
		if one.Key != "drop" || one.Change == nil || len(one.Change.Set) == 0 {
			continue
		}
		tried++
		if err := s.SetAll("tried: "+one.Change.Words, one.Change.Set); err != nil {
			t.Fatal(err)
		}
		if got, want := figureOf(one.Key), float64(one.Change.After.Value); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %v then, %v was promised", one.Key, got, want)
		}
		if undo := s.State().Undo; undo != "tried: "+one.Change.Words {
			t.Errorf("undo says %q", undo)
		}
		if err := s.Undo(); err != nil || s.Text() != before {
			t.Errorf("undo: %v", err)
		}
	}
	if tried == 0 {
		t.Error("nothing could be tried")
	}
}

func TestAdviceSaysWhatTheLoadsLack(t *testing.T) {
	s, err := engine.Open(rigtest.StarterText(t, "behind"))
	if err != nil {
		t.Fatal(err)
	}
	d, err := s.Advise()
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Lacks) == 0 || d.Lacks[0].Key != "vehicle.mass" || d.Lacks[0].Remedy == "" {
		t.Errorf("lacks %+v", d.Lacks)
	}
}

func TestAdviceOnARigThatCannotBeSetUpIsAProblem(t *testing.T) {
	s, err := engine.Open(rigtest.StarterText(t, "far-knuckle", "left.axle_joint.max_angle=0.5"))
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.Advise()
	if p := engine.ProblemsOf(err); len(p) == 0 || p[0].Key != "want.margin" || p[0].Remedy == "" {
		t.Errorf("got %+v", p)
	}
}
