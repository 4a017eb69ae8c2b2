package report_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/radio"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
)

const degree = math.Pi / 180

// The angles are those of radio's own test of a subtrim moved after the endpoints.
func TestWhatIfSaysWhatMoves(t *testing.T) {
	change := radio.Change{
		Before: radio.Span{Right: -35.8 * degree, Centre: 2 * degree, Left: 48.2 * degree},
		After:  radio.Span{Right: -32.8 * degree, Centre: 5 * degree, Left: 50.4 * degree}, Clipped: true,
	}
	d := report.WhatIf("bench", "subtrim", 30, rig.Percent, change)
	want := "Subtrim 30 steps up: the centre moves 3.0°, the left end 2.2°, the right end 3.0°."
	if got := d.Verdict[0].Sentence.Text(document.Reader{}); got != want {
		t.Errorf("says %q, want %q", got, want)
	}
	if d.Worst() != document.WorthFixing || len(d.Verdict) != 2 {
		t.Error("the left end is held short, and that is not said")
	}
	for key, text := range map[string]string{"before.right": "35.8° clockwise", "after.left": "50.4° counter-clockwise"} {
		if f, ok := d.Find(key); !ok || f.Text(document.Reader{}) != text {
			t.Errorf("%s reads %q", key, f.Text(document.Reader{}))
		}
	}
	d = report.WhatIf("bench", "trim", -1, rig.Percent, radio.Change{})
	if got := d.Verdict[0].Sentence.Text(document.Reader{}); !strings.HasPrefix(got, "Trim 1 step down: the centre moves 0.0°") || len(d.Verdict) != 1 {
		t.Errorf("says %q", got)
	}
}

// Words for every way that a test of the trim can come out, in short sentences.
func TestTrimTestsAreWorded(t *testing.T) {
	pair := func(zero, moved float64) radio.TrimPair { return radio.TrimPair{Zero: zero, Moved: moved} }
	for _, c := range []struct {
		test radio.TrimTest
		says string
	}{
		{radio.TrimTest{Left: pair(42, 42), Right: pair(-42, -42), Centre: &radio.TrimPair{Moved: 3}, Uncertainty: 0.5}, "It moves the centre only: the centre moved by 3.0, and both ends stayed."},
		{radio.TrimTest{Left: pair(42, 42), Right: pair(-42, -42), Uncertainty: 0.5}, "if the centre moved"},
		{radio.TrimTest{Left: pair(42, 45), Right: pair(-42, -39), Uncertainty: 0.5}, "It moves the whole range: both ends moved the same way, 3.0 left and 3.0 right."},
		{radio.TrimTest{Left: pair(42, 42), Right: pair(-42, -39), Uncertainty: 0.5}, "only the right end moved"},
		{radio.TrimTest{Left: pair(42, 39), Right: pair(-42, -42), Uncertainty: 0.5}, "only the left end moved"},
		{radio.TrimTest{Left: pair(42, 45), Right: pair(-42, -45), Uncertainty: 0.5}, "opposite ways"},
		{radio.TrimTest{Left: pair(42, 43), Right: pair(-42, -38), Uncertainty: 0.5}, "the ends moved 1.00 left and 4.0 right"},
		{radio.TrimTest{Left: pair(42, 44), Right: pair(-42, -40), Centre: &radio.TrimPair{Moved: 5}, Uncertainty: 0.5}, "the ends moved by 2.0, the centre by 5.0"},
		{radio.TrimTest{Left: pair(42, 42), Right: pair(-42, -42), Centre: &radio.TrimPair{Moved: 0.2}, Uncertainty: 0.5}, "Move the trim further"},
		{radio.TrimTest{Left: pair(math.NaN(), 42), Right: pair(-42, -42), Uncertainty: 0.5}, "not a number"},
	} {
		if got := report.TrimTestWords(radio.TrimKindFromTest(c.test)).Text(document.Reader{}); !strings.Contains(got, c.says) {
			t.Errorf("says %q, want %q", got, c.says)
		}
	}
}

// A setting says how far its steps go, and whether anybody read that.
func TestSettingsSayWhatAStepDoes(t *testing.T) {
	read := radio.Scale{PerUnit: rig.Quantity{Value: 0.4 * degree, Uncertainty: 0.01 * degree, Given: true}}
	assumed := read
	assumed.Assumed = true
	said := map[string]string{}
	for _, s := range report.RadioSettings(&radio.Calibration{Endpoint: read, Subtrim: assumed}, false, false) {
		said[s.Key] = s.Moves.Text(document.Reader{})
	}
	for key, words := range map[string]string{
		"settings.endpoint_left": "How far the servo goes at full left stick; 0.40° ± 0.01° of servo a step.",
		"settings.subtrim":       "The whole range, ends and centre together; 0.40° ± 0.01° a step, as the endpoint's. Test it.",
		"settings.trim":          "The centre, and on some transmitters the ends too: test which yours does; how far is not known until you read it.",
	} {
		if said[key] != words {
			t.Errorf("%s: %q", key, said[key])
		}
	}
	if _, there := said["settings.expo"]; there {
		t.Error("expo on a transmitter that has none")
	}
}

func TestAnAssumedSpanIsSaidToBe(t *testing.T) {
	d := report.Radio(report.Transmitter{Rig: "bench", Assumed: -45 * degree})
	if got := d.Verdict[0].Sentence.Text(document.Reader{}); got != "No readings of the servo: 45° each way is assumed." {
		t.Errorf("says %q", got)
	}
	d = report.Radio(report.Transmitter{Rig: "bench", Assumed: 45 * degree, Problem: "it says too little", Remedy: "give two of setting, pulse and angle"})
	if d.Worst() != document.MustFix || d.Verdict[1].Sentence.Text(document.Reader{}) != "It says too little. Give two of setting, pulse and angle." {
		t.Errorf("says %q", d.Verdict[1].Sentence.Text(document.Reader{}))
	}
}
