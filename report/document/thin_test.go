package document_test

import (
	"encoding/json"
	"slices"
	"testing"

	"evenlock/report/document"
)

// The page shows the rows that the text shows: what breaks is among them.
func TestJSONNamesTheRowsThatStandForAThinnedTable(t *testing.T) {
	for worst, want := range map[int][]int{0: {0, 4, 8, 12}, 2: {0, 2, 8, 12}, 6: {0, 4, 6, 12}, 11: {0, 4, 11, 12}} {
		table := document.Table{Key: "t", Columns: []document.Column{{Key: "x", Head: "x"}}, Thin: 4}
		for i := range 13 {
			row := document.Row{Cells: []document.Sentence{document.Say(document.F(float64(i), document.One))}}
			if i == worst {
				row.Severity = document.MustFix
			}
			table.Rows = append(table.Rows, row)
		}
		d := document.Document{Sections: []document.Section{{Key: "s", Blocks: []document.Block{table}}}}
		text, err := d.JSON(document.Reader{})
		if err != nil {
			t.Fatal(err)
		}
		var got struct {
			Sections []struct {
				Blocks []struct {
					Rows  []any `json:"rows"`
					Shown []int `json:"shown"`
				} `json:"blocks"`
			} `json:"sections"`
		}
		if err := json.Unmarshal(text, &got); err != nil {
			t.Fatal(err)
		}
		if block := got.Sections[0].Blocks[0]; len(block.Rows) != 13 || !slices.Equal(block.Shown, want) {
			t.Errorf("worst in row %d: %d rows, shown %v, want %v", worst, len(block.Rows), block.Shown, want)
		}
	}
}
