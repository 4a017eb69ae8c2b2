package engine_test

import (
	"bytes"
	"math"
	"testing"

	"evenlock/advise"
	"evenlock/engine"
	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/report/document"
)

// findings are those of a document, by their keys.
func findings(t *testing.T, d *document.Document) map[string]document.Finding {
	t.Helper()
	all := map[string]document.Finding{}
	for _, section := range d.Sections {
		for _, block := range section.Blocks {
			if list, ok := block.(document.Findings); ok {
				for _, f := range list {
					all[f.Key] = f
				}
			}
		}
	}
	return all
}

// The document is the command's, of the rig as the session has it.
func TestAdviceOnThePageIsThatOfTheCommandLine(t *testing.T) {
	text := rigtest.LoadedText(t, "behind")
	s, err := engine.Open(text)
	if err != nil {
		t.Fatal(err)
	}
	adviceIsTheCommands(t, s, 1)
}

// adviceIsTheCommands checks that the session's advice is what the command says of its text, and
// returns it.
func adviceIsTheCommands(t *testing.T, s *engine.Session, axle int) string {
	t.Helper()
	d, err := s.Advise()
	if err != nil {
		t.Fatal(err)
	}
	list, evaluation, err := advise.Of(rigtest.Read(t, []byte(s.Text())), axle)
	if err != nil {
		t.Fatal(err)
	}
	want := report.Advice(evaluation, list)
	want.Rig = d.Rig // which is named after its file
	got, err := d.JSON(document.Reader{})
	if err != nil {
		t.Fatal(err)
	}
	if wanted, err := want.JSON(document.Reader{}); err != nil || !bytes.Equal(got, wanted) {
		t.Errorf("axle %d: %s\nwanted %s (%v)", axle, got, wanted, err)
	}
	return string(got)
}

// What a finding sets is one change, after which the figure is the one promised, and undo brings
// the file back.
func TestAdviceIsTriedAsOneChange(t *testing.T) {
	s, err := engine.Open(rigtest.LoadedText(t, "behind"))
	if err != nil {
		t.Fatal(err)
	}
	before := s.Text()
	change := func(key string) *document.Change {
		t.Helper()
		d, err := s.Advise()
		if err != nil {
			t.Fatal(err)
		}
		c := findings(t, d)[key].Change
		if c == nil || len(c.Set) == 0 {
			t.Fatalf("%s can not be tried: %+v", key, c)
		}
		return c
	}
	tried := change("drop")
	var settings []engine.Setting
	for _, one := range tried.Set {
		settings = append(settings, engine.Setting{Key: one.Key, Value: one.Value})
	}
	words := "tried: " + tried.Do.Text(document.Reader{})
	if err := s.SetAll(words, settings); err != nil {
		t.Fatal(err)
	}
	if got, want := change("drop").Before.Value, tried.After.Value; math.Abs(got-want) > 1e-6 {
		t.Errorf("%v N·mm then, %v was promised", got, want)
	}
	if undo := s.State().Undo; undo != words {
		t.Errorf("undo says %q", undo)
	}
	if err := s.Undo(); err != nil || s.Text() != before {
		t.Errorf("undo: %v", err)
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
	var keys []string
	for _, section := range d.Sections {
		if p, ok := section.Blocks[0].(document.Paragraph); ok && section.Key == "lacks" {
			keys = document.Sentence(p).Keys()
		}
	}
	if len(keys) == 0 || keys[0] != "vehicle.mass" {
		t.Errorf("lacks %v", keys)
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
