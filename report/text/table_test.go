package text_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"evenlock/report/document"
	"evenlock/report/text"
)

func written(t *testing.T, o text.Options, blocks ...document.Block) string {
	t.Helper()
	var b bytes.Buffer
	d := &document.Document{Title: "Test", Rig: "rig", Sections: []document.Section{{Key: "one", Title: "One", Blocks: blocks}}}
	if err := text.Write(&b, d, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A thinned table keeps its ends and, of an odd number of rows, its middle; what it leaves out is
// there for who asks.
func TestAThinnedTableKeepsItsEndsAndItsMiddle(t *testing.T) {
	for _, one := range []struct {
		rows, thin int
		want       []int
	}{
		{13, 7, []int{0, 2, 4, 6, 8, 10, 12}},
		{17, 7, []int{0, 3, 5, 8, 11, 13, 16}},
		{7, 7, []int{0, 1, 2, 3, 4, 5, 6}},
		{6, 3, []int{0, 2, 5}},
	} {
		table := document.Table{Key: "t", Columns: []document.Column{{Key: "x", Head: "x"}}, Thin: one.thin}
		for i := range one.rows {
			table.Rows = append(table.Rows, document.Row{Cells: []document.Sentence{document.Say(document.F(float64(i), document.One).To(0))}})
		}
		for _, all := range []bool{false, true} {
			want := one.want
			if all {
				want = nil
				for i := range one.rows {
					want = append(want, i)
				}
			}
			got := written(t, text.Options{All: all}, table)
			_, got, _ = strings.Cut(got, " x\n")
			rows, more, _ := strings.Cut(got, "\n\n")
			if shown := strings.Fields(rows); strings.Join(shown, " ") != strings.Trim(fmt.Sprint(want), "[]") {
				t.Errorf("%d rows thinned to %d, all %v: shows %v, wanted %v", one.rows, one.thin, all, shown, want)
			}
			if left := strings.Contains(more, "every row"); left != (len(want) < one.rows) {
				t.Errorf("%d rows thinned to %d, all %v: says that rows are left out: %v", one.rows, one.thin, all, left)
			}
		}
	}
}

// Two columns of words share the room that there is.
func TestColumnsOfWordsShareTheRoom(t *testing.T) {
	long := strings.Repeat("a rod end ", 8)
	got := written(t, text.Options{}, document.Table{Key: "t", Columns: []document.Column{{Key: "a", Head: "a"}, {Key: "n", Head: "n"}, {Key: "b", Head: "b"}}, Rows: []document.Row{
		{Cells: []document.Sentence{document.Say(long), document.Say(document.F(1, document.Angle)), document.Say(long)}},
	}})
	for line := range strings.Lines(got) {
		if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 80 {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	if n := strings.Count(got, "rod"); n != 16 {
		t.Errorf("of 16 rods %d are there:\n%s", n, got)
	}
}

// Bars are drawn where there is room for them, and left out where there is none.
func TestBarsAreLeftOutWhereThereIsNoRoom(t *testing.T) {
	for words, want := range map[string]bool{"short": true, strings.Repeat("long", 16): false} {
		got := written(t, text.Options{}, document.Table{Key: "t", Columns: []document.Column{{Key: "w", Head: "w"}, {Key: "n", Head: "n", Bars: true}}, Rows: []document.Row{
			{Cells: []document.Sentence{document.Say(words), document.Say(document.F(1, document.One))}},
		}})
		if drawn := strings.Contains(got, "█"); drawn != want {
			t.Errorf("beside %q there are bars: %v", words, drawn)
		}
	}
}

// The worst row is among those shown, in its place, and the ends still are.
func TestAThinnedTableKeepsItsWorstRow(t *testing.T) {
	for worst := range 13 {
		table := document.Table{Key: "t", Columns: []document.Column{{Key: "x", Head: "x"}}, Thin: 4}
		for i := range 13 {
			row := document.Row{Cells: []document.Sentence{document.Say(document.F(float64(i), document.One).To(0))}}
			if i == worst {
				row.Severity = document.MustFix
			}
			table.Rows = append(table.Rows, row)
		}
		got := written(t, text.Options{}, table)
		_, got, _ = strings.Cut(got, " x\n")
		rows, _, _ := strings.Cut(got, "\n\n")
		var shown []int
		marked := -1
		for line := range strings.Lines(rows) {
			var n int
			if _, err := fmt.Sscan(line, &n); err != nil {
				t.Fatal(err)
			}
			shown = append(shown, n)
			if strings.Contains(line, "!") {
				marked = n
			}
		}
		if marked != worst || len(shown) != 4 || !slices.IsSorted(shown) || shown[0] != 0 || shown[3] != 12 {
			t.Errorf("worst in row %d: shows %v, marked %d", worst, shown, marked)
		}
	}
}

// Bars of a stated whole are full at it, and go past a mark beyond it.
func TestBarsOfAWhole(t *testing.T) {
	table := document.Table{Key: "t", Columns: []document.Column{{Key: "x", Head: "x", Bars: true, Whole: 8}}}
	for _, v := range []float64{4, 8, 9} {
		table.Rows = append(table.Rows, document.Row{Cells: []document.Sentence{document.Say(document.F(v, document.One).To(0))}})
	}
	got := written(t, text.Options{}, table)
	for _, want := range []string{"4 ████████········\n", "8 ████████████████\n", "9 ████████████████│██\n"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
}

// A rig's name is another's text: what a terminal might obey is left out of it, and a long one is
// broken.
func TestANameSendsNothingToTheTerminal(t *testing.T) {
	var b bytes.Buffer
	d := &document.Document{Title: "Set-up", Rig: "red \x1b[31m\u202e\nand " + strings.Repeat("very ", 30) + "long"}
	if err := text.Write(&b, d, text.Options{}); err != nil {
		t.Fatal(err)
	}
	if strings.ContainsFunc(strings.ReplaceAll(b.String(), "\n", ""), func(r rune) bool { return r < ' ' || r == '\u202e' }) {
		t.Errorf("it wrote %q", b.String())
	}
	for line := range strings.Lines(b.String()) {
		if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 80 {
			t.Errorf("%d columns: %s", n, line)
		}
	}
}
