package document_test

import (
	"encoding/json"
	"testing"

	"evenlock/report/document"
)

// A table may have several plots, for columns in several units; a page is told of all.
func TestAllPlotsOfATableAreInTheJSON(t *testing.T) {
	plot := func(line string) *document.Plot {
		return &document.Plot{Title: line, Across: "x", Lines: []string{line}}
	}
	table := document.Table{Key: "t", Columns: []document.Column{{Key: "x"}, {Key: "a"}, {Key: "b"}}, Plot: plot("a"), More: []*document.Plot{plot("b")}}
	d := &document.Document{Sections: []document.Section{{Key: "s", Blocks: []document.Block{table}}}}
	text, err := d.JSON(document.Reader{})
	if err != nil {
		t.Fatal(err)
	}
	type plotted struct {
		Lines []string `json:"lines"`
	}
	var got struct {
		Sections []struct {
			Blocks []struct {
				Plot plotted   `json:"plot"`
				More []plotted `json:"more_plots"`
			} `json:"blocks"`
		} `json:"sections"`
	}
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if b := got.Sections[0].Blocks[0]; b.Plot.Lines[0] != "a" || len(b.More) != 1 || b.More[0].Lines[0] != "b" {
		t.Errorf("the JSON has %s", text)
	}
}

// Brief leaves the ± out, but not what it does to the digits.
func TestABriefFigureHasTheDigitsOfItsUncertainty(t *testing.T) {
	f := document.FU(0.0383, 0.007, document.Angle).Signed(document.ToSide)
	if got := f.Text(document.Reader{}); got != "2.2° ± 0.4° left" {
		t.Errorf("with its ±: %q", got)
	}
	if got := f.Brief().Text(document.Reader{}); got != "2.2° left" {
		t.Errorf("brief: %q", got)
	}
	if got := document.FU(0.003, 0.1, document.Angle).Brief().Text(document.Reader{}); got != "0°" {
		t.Errorf("brief, within its ±: %q", got)
	}
}
