package report_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"evenlock/doubt"
	"evenlock/load"
	"evenlock/radio"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/report/text"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
	"evenlock/turning"
)

var update = flag.Bool("update", false, "write the golden files anew")

// change is one of a starter's text.
type change struct{ old, new string }

// starter reads a starter's text with changes made in it.
func starter(t *testing.T, name string, changes ...change) *rig.Rig {
	t.Helper()
	for _, s := range rig.Starters() {
		if s.Name != name {
			continue
		}
		file := string(s.Text)
		for _, c := range changes {
			if !strings.Contains(file, c.old) {
				t.Fatalf("the starter %s has no %q", name, c.old)
			}
			file = strings.Replace(file, c.old, c.new, 1)
		}
		r, err := rig.Read(strings.NewReader(file), name)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	t.Fatalf("no starter %s", name)
	return nil
}

// spoiled are starters with what makes the text longest or leaves most out.
func spoiled(t *testing.T) map[string]*rig.Rig {
	t.Helper()
	all := map[string]*rig.Rig{"tie-rod, slips": starter(t, "tie-rod", change{"tyre_width = ", "tyre_width = 4"}, change{"shortest = 86", "shortest = 8.6"})}
	for _, s := range rig.Starters() {
		all[s.Name] = starter(t, s.Name)
		all[s.Name+", long name"] = starter(t, s.Name, change{"starter (invented)", strings.Repeat("of many a winter's evening ", 8)})
		all[s.Name+", curve"] = starter(t, s.Name, change{"curve_points = 0", "curve_points = 9"}, change{"expo = true", "expo = false"})
		all[s.Name+", coarse"] = starter(t, s.Name, change{"[accuracy]\nlength = ", "[accuracy]\nlength = 4 # "})
		bare := starter(t, s.Name)
		bare.Servo.Teeth, bare.Horn.Arms = 0, 0
		bare.DragLink.Adjust, bare.DragLink.Thread = "fixed", ""
		for _, m := range bare.Measurements() {
			m.Q.Uncertainty = 0
		}
		all[s.Name+", bare"] = bare
	}
	all["a screen that shows µs"] = starter(t, "far-knuckle", inPulses...)
	all["a screen that shows steps"] = starter(t, "far-knuckle", change{"max_endpoint = 120", "max_endpoint = 120\nshows = \"steps\""})
	all["an uneven servo"] = starter(t, "far-knuckle", unevenServo...)
	return all
}

// accounts makes every document that a rig gives. Add new ones here: all tests of this file go
// over them.
func accounts(t *testing.T, r *rig.Rig) []*document.Document {
	t.Helper()
	var all []*document.Document
	add := func(d *document.Document, err error) {
		t.Helper()
		if err != nil {
			t.Fatalf("%s: %v", r.Name, err)
		}
		all = append(all, d)
	}
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	add(report.Limits(m))
	add(report.Check(doubt.Ask(r), m))
	add(report.List(r, nil))
	h := judged(t, m)
	add(report.Headlines(h), nil)
	add(compared(t, r, h), nil)
	over, err := setup.OverStick(m, &h.Stick, 21)
	if err != nil {
		t.Fatal(err)
	}
	add(report.Curves(&h.AtFullStick, over), nil)
	add(report.Sweep(m, lockToLock(t, m, 5)))
	if c, err := radio.Calibrate(r.Transmitter, r.Servo, r.Settings.Reverse); err == nil {
		change, err := c.Shift(r.Settings, 12)
		if err != nil {
			t.Fatal(err)
		}
		add(report.Radio(report.Transmitter{Rig: r.Name, Span: &change.Before, Calibration: c}), nil)
		add(report.WhatIf(r.Name, "subtrim", 12, rig.Percent, change), nil)
	}
	add(advice(r))
	p, err := setup.Make(r, 1)
	if err != nil {
		t.Fatal(err)
	}
	add(report.SetUp(p), nil)
	trial, err := setup.Try(r, 1, 5)
	if err != nil {
		t.Fatal(err)
	}
	add(report.Try(trial), nil)
	if r.Suspension != nil {
		add(travelOf(r, 6))
	}
	add(turnOf(r, turning.Usual()))
	return all
}

func judged(t *testing.T, m *steer.Model) *setup.Headlines {
	t.Helper()
	h, err := setup.Judge(m)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// compared is a rig beside the same with another hole of the horn.
func compared(t *testing.T, r *rig.Rig, is *setup.Headlines) *document.Document {
	t.Helper()
	was := r.Clone()
	was.Horn.Hole.Value++
	m, err := steer.New(was)
	if err != nil {
		t.Fatal(err)
	}
	return report.Compare(report.Compared{Words: "Revision 3", Headlines: judged(t, m)}, report.Compared{Words: "As it stands here", Headlines: is}, []report.ChangedNumber{
		{Key: "horn.hole", Words: "horn hole", Before: document.Say(document.FU(17, 0.2, document.Length)), After: document.Say(document.FU(16, 0.2, document.Length))},
		{Key: "notes", Words: "notes", After: document.Say("lower")},
	})
}

// lockToLock samples a model from the first limit one way to the first one the other way.
func lockToLock(t *testing.T, m *steer.Model, n int) []steer.Sample {
	t.Helper()
	var reach [2]float64
	for i, direction := range []float64{-1, 1} {
		stops, err := m.Stops(direction)
		if err != nil {
			t.Fatal(err)
		}
		reach[i] = stops[0].Servo.Value
	}
	samples, err := m.Sweep(reach[0], reach[1], n)
	if err != nil {
		t.Fatal(err)
	}
	return samples
}

// inches is a reader whose units are all other than the usual ones.
var inches = document.Reader{Length: document.Inches, Torque: document.OunceInches, Pulse: document.Microseconds}

func written(t *testing.T, d *document.Document, o text.Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := text.Write(&b, d, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func encoded(t *testing.T, d *document.Document, r document.Reader) []byte {
	t.Helper()
	b, err := d.JSON(r)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

var longNumber = regexp.MustCompile(`-?\d+(?:\.\d+)?(?:e[+-]?\d+)?`)

// rounded keeps six figures of the numbers of JSON, which are written in full: the last ones depend
// on the computer's arithmetic.
func rounded(s string) string {
	return longNumber.ReplaceAllStringFunc(s, func(n string) string {
		v, err := strconv.ParseFloat(n, 64)
		if err != nil || !strings.ContainsAny(n, ".e") {
			return n
		}
		if math.Abs(v) < 1e-9 {
			return "0"
		}
		return strconv.FormatFloat(v, 'g', 6, 64)
	})
}

// asBefore compares a document, as text with all details and as JSON, with its golden files. What
// stands in them is our own output: the figures are checked against outside elsewhere.
func asBefore(t *testing.T, name string, d *document.Document) {
	t.Helper()
	var indented bytes.Buffer
	if err := json.Indent(&indented, encoded(t, d, document.Reader{}), "", " "); err != nil {
		t.Fatal(err)
	}
	for suffix, got := range map[string]string{"txt": written(t, d, text.Options{All: true}), "json": rounded(indented.String())} {
		path := filepath.Join("testdata", name+"."+d.Kind+"."+suffix)
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		was := strings.Split(string(want), "\n")
		for i, line := range strings.Split(got, "\n") {
			if i >= len(was) || line != was[i] {
				t.Errorf("%s:%d: now reads\n%s", path, i+1, line)
				break
			}
		}
	}
}

// Run with -update to write the golden files anew, and read the difference.
func TestDocumentsReadAsBefore(t *testing.T) {
	for _, name := range []string{"far-knuckle", "centre-crank"} {
		for _, d := range accounts(t, starter(t, name)) {
			asBefore(t, name, d)
		}
		asBefore(t, name, report.Load(analysisOf(t, name, load.Tilt{}, 4)))
	}
}

// A figure reads alike in the text, in JSON, and so on the page, which shows the texts of the JSON.
func TestAFigureReadsAlikeInAllWriters(t *testing.T) {
	everyAccount(t, func(t *testing.T, d *document.Document) {
		for _, r := range []document.Reader{{}, inches} {
			plain := strings.Join(strings.Fields(written(t, d, text.Options{Reader: r, All: true})), " ")
			texts := map[string]bool{}
			var doc any
			if err := json.Unmarshal(encoded(t, d, r), &doc); err != nil {
				t.Fatal(err)
			}
			collect(doc, texts)
			n, seen := 0, map[string]bool{}
			for f := range d.All() {
				n++
				want := f.Text(r)
				if seen[want] {
					continue // one look through a long text is enough
				}
				seen[want] = true
				if !strings.Contains(plain, want) || !texts[want] {
					t.Errorf("%s reads %q, in the text %v, in JSON %v", f.Key, want, strings.Contains(plain, want), texts[want])
				}
			}
			if n < 4 {
				t.Errorf("only %d figures", n)
			}
		}
	})
}

// collect finds the texts of JSON.
func collect(v any, texts map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		if s, ok := v["text"].(string); ok {
			texts[s] = true
		}
		for _, x := range v {
			collect(x, texts)
		}
	case []any:
		for _, x := range v {
			collect(x, texts)
		}
	}
}

// The first lines are the verdict: at most three of 80 columns, whatever the units.
func TestTheVerdictComesFirstAndIsShort(t *testing.T) {
	everyAccount(t, func(t *testing.T, d *document.Document) {
		for _, r := range []document.Reader{{}, inches} {
			head, _, found := strings.Cut(written(t, d, text.Options{Reader: r}), "\n\n")
			if d.Axle != "" {
				_, head, _ = strings.Cut(head, "\n") // which axle it is about
			}
			if n := strings.Count(head, "\n") + 1; !found || n > 3 {
				t.Errorf("the verdict has %d lines:\n%s", n, head)
			}
		}
	})
}

func TestTextFitsEightyColumnsAndAScreenOrTwo(t *testing.T) {
	everyAccount(t, func(t *testing.T, d *document.Document) {
		for _, o := range []text.Options{{}, {All: true}, {Reader: inches, All: true}} {
			plain := written(t, d, o)
			for line := range strings.Lines(plain) {
				line = strings.TrimSuffix(line, "\n")
				if n := utf8.RuneCountInString(line); n > 80 {
					t.Errorf("%d columns: %s", n, line)
				}
				if strings.HasSuffix(line, " ") {
					t.Errorf("blanks end %q", line)
				}
			}
			if n := strings.Count(plain, "\n"); !o.All && n > 72 {
				t.Errorf("%d lines without --all", n)
			}
		}
	})
}

// The words shown have a side or a way, never a sign; what is not a number is not shown.
func TestTextHasNoPlusSignsAndNoNaN(t *testing.T) {
	signed := regexp.MustCompile(`\+\d+\.\d|-\d|\b(?i:nan|inf)\b|%!`)
	everyAccount(t, func(t *testing.T, d *document.Document) {
		if found := signed.FindString(written(t, d, text.Options{All: true})); found != "" {
			t.Errorf("shows %q", found)
		}
	})
}

// unsaid are words that shared/voice.md has better ones for.
var unsaid = regexp.MustCompile(`(?i)\b(dead point|quickness|gives? up|gives? way|steers by itself|crank rod|not to be had|known to ±|nothing is to be done|for want of|as far as it may|at stake|what is)\b`)

// The rules of the project's voice: one fact a sentence of at most 20 words, and its words.
func TestEverySentenceKeepsToTheVoice(t *testing.T) {
	stop := regexp.MustCompile(`[.:;!?]( |$)`)
	everyAccount(t, func(t *testing.T, d *document.Document) {
		for s := range sentences(d) {
			said := s.Text(document.Reader{})
			if found := unsaid.FindString(said); found != "" {
				t.Errorf("says %q in %q", found, said)
			}
			// A figure counts as one word.
			for _, f := range s.Figures() {
				said = strings.Replace(said, f.Text(document.Reader{}), "0", 1)
			}
			for _, one := range stop.Split(said, -1) {
				if n := len(strings.Fields(one)); n > 20 {
					t.Errorf("%d words: %q", n, one)
				}
			}
		}
	})
}

// sentences are all that a document says.
func sentences(d *document.Document) func(func(document.Sentence) bool) {
	return func(yield func(document.Sentence) bool) {
		for _, l := range d.Verdict {
			if !yield(l.Sentence) {
				return
			}
		}
		for i := range d.Sections {
			for _, b := range d.Sections[i].Blocks {
				for _, s := range sentencesOf(b) {
					if !yield(s) {
						return
					}
				}
			}
		}
	}
}

func sentencesOf(b document.Block) (all []document.Sentence) {
	switch b := b.(type) {
	case document.Paragraph:
		all = append(all, document.Sentence(b))
	case document.Table:
		for _, r := range b.Rows {
			all = append(all, r.Cells...)
		}
	case document.Bars:
		for _, one := range b {
			all = append(all, one.Words)
		}
	case document.Steps:
		for i := range b {
			all = append(append(append(all, b[i].Do), b[i].Why...), b[i].Detail...)
		}
	case document.Findings:
		for i := range b {
			all = append(all, b[i].Headline, b[i].Text)
			if c := b[i].Change; c != nil {
				all = append(all, c.Do)
			}
		}
	case document.Notes:
		for _, n := range b {
			all = append(all, n.Problem, n.Remedy)
		}
	case document.Figures:
		for _, f := range b {
			all = append(all, document.Say(f.Words), document.Say(f.Note))
		}
	}
	return all
}

// A key names one figure and one section; a program finds what it looks for.
func TestKeysAreUnique(t *testing.T) {
	everyAccount(t, func(t *testing.T, d *document.Document) {
		seen := map[string]int{}
		for f := range d.All() {
			if f.Key != "" {
				seen[f.Key]++
			}
		}
		for i := range d.Sections {
			seen["section "+d.Sections[i].Key]++
		}
		for key, n := range seen {
			if n > 1 {
				t.Errorf("%q is there %d times", key, n)
			}
		}
	})
}

// every holds all documents of all starters, spoiled in several ways, and those of rigs that are
// odd in what one document says, by their names. They are the same for all tests, and some take
// long to work out.
var every map[string][]*document.Document

// everyAccount tests them all.
func everyAccount(t *testing.T, test func(t *testing.T, d *document.Document)) {
	t.Helper()
	if every == nil {
		every = map[string][]*document.Document{}
		for name, r := range spoiled(t) {
			every[name] = accounts(t, r)
		}
		for name, d := range advised(t) {
			every[name] = append(every[name], d)
		}
		for name, d := range oddTravels(t) {
			every[name] = append(every[name], d)
		}
		for name, d := range oddTurns(t) {
			every[name] = append(every[name], d)
		}
		for name, r := range turningRigs(t) {
			every[name+", axles"] = axlesOf(t, r)
		}
	}
	for name, all := range every {
		for _, d := range all {
			t.Run(name+" "+d.Kind, func(t *testing.T) { test(t, d) })
		}
	}
	// The starters state nothing of the loads, so that these have rigs of their own.
	for name, a := range spoiledLoads(t) {
		t.Run(name+" load", func(t *testing.T) { test(t, report.Load(a)) })
	}
}
