package report

import (
	"math"

	"evenlock/report/document"
	"evenlock/setup"
	"evenlock/steer"
)

// Compared is one of two rigs that stand side by side.
type Compared struct {
	// Words say which it is: "Revision 3".
	Words string
	*setup.Headlines
}

// ChangedNumber is a number of the file that is not the same in two rigs.
type ChangedNumber struct {
	// Key is that of the rig file, Words name it.
	Key, Words string
	// Before and After are what stands there: a measurement as a figure, all else as it is written;
	// empty where a file does not have it.
	Before, After document.Sentence
}

// Compare says what differs between two rigs, and what that does.
func Compare(before, after Compared, changed []ChangedNumber) *document.Document {
	d := &document.Document{Kind: "compare", Title: "Compare", Rig: after.Model.Rig.Name}
	was, is := headlineFigures(before.Headlines), headlineFigures(after.Headlines)
	d.Verdict = compareVerdict(before, after, len(changed))
	if len(changed) > 0 {
		t := document.Table{Key: "changed", Columns: []document.Column{
			{Key: "number", Head: "number"}, {Key: "before", Head: before.Words}, {Key: "after", Head: after.Words},
		}}
		for _, c := range changed {
			t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{document.Say(document.Capital(c.Words)), orDash(c.Before), orDash(c.After)}})
		}
		d.Sections = append(d.Sections, document.Section{Key: "changed", Title: "What was changed", Blocks: []document.Block{t}})
	}
	t := document.Table{Key: "figures", Columns: []document.Column{
		{Key: "figure", Head: "figure"}, {Key: "difference", Head: "difference"}, {Key: "before", Head: before.Words}, {Key: "after", Head: after.Words},
	}}
	for i := range was {
		words := document.Capital(is[i].Words)
		a, b := was[i], is[i]
		a.Key, b.Key = a.Key+".before", b.Key+".after"
		t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{document.Say(words), document.Say(difference(a, b).Named(is[i].Key+".difference", "")), document.Say(a), document.Say(b)}})
	}
	for side, word := range sideNames {
		a, b := before.Locks[side].Governs, after.Locks[side].Governs
		differs := "the same"
		if a != b {
			differs = "another"
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{document.Say("What ends the lock to the " + word), document.Say(differs), document.Say(a), document.Say(b)}})
	}
	d.Sections = append(d.Sections, document.Section{Key: "figures", Title: "What it does", Blocks: []document.Block{t}})
	return d
}

func orDash(s document.Sentence) document.Sentence {
	if s.Text(document.Reader{}) == "" {
		return document.Say("–")
	}
	return s
}

// difference is the second figure less the first. Its own ± is not known: the errors of two files
// of one rig mostly go together.
func difference(a, b document.Figure) document.Figure {
	if !a.Available() || !b.Available() {
		return document.F(math.NaN(), b.Unit)
	}
	return document.F(b.Value-a.Value, b.Unit).Signed(document.Difference)
}

// compareVerdict says how many numbers differ, and what that does to left against right and to the
// turning circle.
func compareVerdict(before, after Compared, changed int) []document.Line {
	switch changed {
	case 0:
		return []document.Line{line("No number differs.")}
	case 1:
		return append([]document.Line{line("One number differs.")}, whatItDoes(before, after)...)
	default:
		return append([]document.Line{line(document.F(float64(changed), document.One).To(0), " numbers differ.")}, whatItDoes(before, after)...)
	}
}

func whatItDoes(before, after Compared) []document.Line {
	was, is := angle(before.Difference).Brief().Size(), angle(after.Difference).Brief().Size()
	lock := line("Left and right lock differ by ", is, " instead of ", was, ".")
	if readAlike(was, is) {
		lock = line("Left and right lock differ by ", is, ", as before.")
	}
	circles := func(c Compared) (left, right document.Figure) {
		return span(c.Circle[steer.Left]).Brief(), span(c.Circle[steer.Right]).Brief()
	}
	oldLeft, oldRight := circles(before)
	left, right := circles(after)
	turns := line("Turning circle ", left, " left and ", right, " right instead of ", oldLeft, " and ", oldRight, ".")
	if readAlike(left, oldLeft) && readAlike(right, oldRight) {
		turns = line("Turning circle ", left, " left and ", right, " right, as before.")
	}
	return []document.Line{lock, turns}
}

// readAlike tells whether two figures read the same.
func readAlike(a, b document.Figure) bool {
	return a.Text(document.Reader{}) == b.Text(document.Reader{})
}
