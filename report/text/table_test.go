package text_test

import (
	"bytes"
	"fmt"
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

// A thinned table keeps its ends and, of an odd number of rows, its middle; what it leaves out is there
// for who asks.
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
