package report_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/report"
	"evenlock/report/document"
	"evenlock/setup"
	"evenlock/steer"
)

// judge makes the figures of a headline by hand: lock to both sides in degrees, good to 1°, and by
// how much the left is more.
func judge(t *testing.T, left, right float64) *setup.Headlines {
	t.Helper()
	m, err := steer.New(starter(t, "tie-rod"))
	if err != nil {
		t.Fatal(err)
	}
	h := &setup.Headlines{}
	h.Model = m
	of := func(v float64) steer.Result { return steer.Result{Value: v * degree, Uncertain: 1 * degree} }
	h.Locks[steer.Left].Inner, h.Locks[steer.Right].Inner = of(left), of(right)
	h.Locks[steer.Left].Governs, h.Locks[steer.Right].Governs = "the left knuckle's outward stop", setup.FullStick
	h.Difference = of(left - right)
	h.Circle = [2]steer.Result{{Value: 1610, Uncertain: 40}, {Value: 1700, Uncertain: 40}}
	h.Ackermann = [2]steer.Result{of(2.9), of(-6.6)}
	h.Square.Miss = of(-7)
	h.Rate = steer.Result{Value: -0.7}
	h.Even.Path = 0.074
	return h
}

func TestHeadlinesSayTheLockAndWhatEndsIt(t *testing.T) {
	d := report.Headlines(judge(t, 38, 31))
	if got, want := d.Verdict[0].Sentence.Text(document.Reader{}), "Lock 38.0° ± 1.0° left, 31.0° ± 1.0° right: 7.0° ± 1.0° more to the left."; got != want {
		t.Errorf("says %q, want %q", got, want)
	}
	for key, want := range map[string][2]string{
		"lock.left":       {"38.0° ± 1.0°", "ended by the left knuckle's outward stop"},
		"lock.right":      {"31.0° ± 1.0°", "ended by full stick"},
		"difference":      {"7.0° ± 1.0° left", ""},
		"uneven":          {"7.4 %", "at most, of the path's curvature at full lock"},
		"circle.left":     {"1.61 ± 0.04 m", "over the outermost tyre"},
		"ackermann.left":  {"2.9° ± 1.0°", ""},
		"ackermann.right": {"6.6° ± 1.0° short", ""},
		"square":          {"7.0° ± 1.0°", ""},
		"rate":            {"0.70° a degree", "of servo; to the right as the servo turns counter-clockwise"},
	} {
		if f, ok := d.Find(key); !ok || f.Text(document.Reader{}) != want[0] || f.Note != want[1] {
			t.Errorf("%s reads %q, %q", key, f.Text(document.Reader{}), f.Note)
		}
	}
}

// A difference within its ± is no difference.
func TestADifferenceWithinItsUncertaintyIsNotClear(t *testing.T) {
	h := judge(t, 36, 35.2)
	d := report.Headlines(h)
	if got := d.Verdict[0].Sentence.Text(document.Reader{}); !strings.HasSuffix(got, "right: no clear difference.") {
		t.Errorf("says %q", got)
	}
	if f, _ := d.Find("difference"); f.Note != "no clear difference" {
		t.Errorf("notes %q", f.Note)
	}
	h.Difference = steer.Result{Value: 4e-17, Uncertain: 1e-17}
	if got := report.Headlines(h).Verdict[0].Sentence.Text(document.Reader{}); !strings.HasSuffix(got, "right: no clear difference.") {
		t.Errorf("of rounding it says %q", got)
	}
	h.Swapped = true
	if d := report.Headlines(h); d.Worst() != document.MustFix || !strings.Contains(d.Verdict[0].Sentence.Text(document.Reader{}), "Reverse the steering channel") {
		t.Error("left stick steers to the right, and nobody is told")
	}
}

func TestCompareSaysTheDifferenceInWords(t *testing.T) {
	before, after := judge(t, 38, 33.7), judge(t, 38, 37.4)
	after.Circle[steer.Right] = steer.Result{Value: 1500, Uncertain: 40}
	d := report.Compare(report.Compared{Words: "a", Headlines: before}, report.Compared{Words: "b", Headlines: after}, []report.ChangedNumber{{}, {}})
	for i, want := range []string{
		"2 numbers differ.", "Left and right lock differ by 0.6° instead of 4.3°.",
		"Turning circle 1.61 m left and 1.50 m right instead of 1.61 m and 1.70 m.",
	} {
		if got := d.Verdict[i].Sentence.Text(document.Reader{}); got != want {
			t.Errorf("says %q, want %q", got, want)
		}
	}
	for key, want := range map[string]string{
		"lock.left.difference": "the same", "lock.right.difference": "3.7° more", "circle.right.difference": "0.20 m less", "lock.right.before": "33.7° ± 1.0°", "lock.right.after": "37.4° ± 1.0°",
	} {
		if f, ok := d.Find(key); !ok || f.Text(document.Reader{}) != want {
			t.Errorf("%s reads %q", key, f.Text(document.Reader{}))
		}
	}
	after.Even.Path = math.NaN()
	d = report.Compare(report.Compared{Headlines: before}, report.Compared{Headlines: after}, []report.ChangedNumber{{}})
	if f, _ := d.Find("uneven.difference"); f.Available() {
		t.Error("a difference from what is not available")
	}
	if got := d.Verdict[0].Sentence.Text(document.Reader{}); got != "One number differs." {
		t.Errorf("says %q", got)
	}
}
