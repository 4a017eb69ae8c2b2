package text

import (
	"fmt"
	"math"
	"strings"

	"evenlock/report/document"
)

// gap is the space between columns, plotWidth how long the bars of a column are.
const gap, plotWidth = 2, 16

// table writes a table in columns as wide as what stands in them; the last column of words takes
// what is left and breaks.
func (t *writer) table(table *document.Table) {
	if shown := table.Thinned(); !t.All && len(shown) < len(table.Rows) {
		short := *table
		short.Rows = make([]document.Row, len(shown))
		for i, at := range shown {
			short.Rows[i] = table.Rows[at]
		}
		table, t.left = &short, true
	}
	if len(table.Rows) > screen && !t.All {
		t.hang(fmt.Sprintf("(%d rows: --all shows them)", len(table.Rows)), 2, 2)
		return
	}
	n := len(table.Columns)
	texts := make([][]string, len(table.Rows))
	right := make([]bool, n)
	for c := range n {
		right[c] = numeric(table, c)
	}
	wide := make([]int, n)
	for i, row := range table.Rows {
		texts[i] = make([]string, n)
		for c := range n {
			texts[i][c] = t.of(row.Cells[c])
			wide[c] = max(wide[c], width(texts[i][c]))
		}
	}
	heads := make([][]string, n)
	for c, column := range table.Columns {
		// A head breaks rather than make a column of numbers wider than it need be.
		for _, word := range strings.Fields(column.Head) {
			wide[c] = max(wide[c], width(word))
		}
		heads[c] = strings.Split(fold(column.Head, max(wide[c], 8)), "\n")
		for _, line := range heads[c] {
			wide[c] = max(wide[c], width(line))
		}
	}
	marks := 0
	for _, row := range table.Rows {
		if row.Severity > document.TooClose {
			marks = 2
		}
	}
	bars := barsOf(table)
	room := columns - 2 - marks
	for c := range n {
		room -= wide[c] + gap
	}
	switch {
	case bars == nil:
	case room < width(bars[0])-1:
		bars = nil
	default:
		room -= width(bars[0]) + 1
	}
	narrow(wide, right, -room)
	tall := 0
	for c := range n {
		tall = max(tall, len(heads[c]))
	}
	for k := range tall {
		parts := make([]string, n)
		for c := range n {
			if from := tall - len(heads[c]); k >= from {
				parts[c] = heads[c][k-from]
			}
		}
		t.row(parts, wide, right, "")
	}
	for i, row := range table.Rows {
		mark := ""
		if bars != nil {
			mark = bars[i]
		}
		if row.Severity > document.TooClose {
			mark += " " + row.Severity.Sign()
		}
		t.cells(texts[i], wide, right, mark)
	}
	for _, column := range table.Columns {
		if column.Means != "" {
			t.hang(column.Head+": "+column.Means+".", 2, 4)
		}
	}
}

// cells writes a row whose words may take several lines.
func (t *writer) cells(texts []string, wide []int, right []bool, mark string) {
	lines := make([][]string, len(texts))
	tall := 1
	for c, text := range texts {
		lines[c] = []string{text}
		if !right[c] && width(text) > wide[c] {
			lines[c] = strings.Split(fold(text, wide[c]), "\n")
		}
		tall = max(tall, len(lines[c]))
	}
	for k := range tall {
		parts := make([]string, len(texts))
		for c := range texts {
			if k < len(lines[c]) {
				parts[c] = lines[c][k]
			}
		}
		if k > 0 {
			mark = ""
		}
		t.row(parts, wide, right, mark)
	}
}

func (t *writer) row(parts []string, wide []int, right []bool, mark string) {
	var b strings.Builder
	for c, part := range parts {
		b.WriteString(strings.Repeat(" ", gap))
		pad := strings.Repeat(" ", max(0, wide[c]-width(part)))
		if right[c] {
			b.WriteString(pad + part)
		} else {
			b.WriteString(part + pad)
		}
	}
	if mark != "" {
		b.WriteString(" " + mark)
	}
	t.line(b.String())
}

// fold breaks text into lines of so many columns.
func fold(text string, wide int) string {
	var b strings.Builder
	at := 0
	for i, word := range words(text) {
		n := width(word)
		switch {
		case i == 0:
		case at+1+n > wide:
			b.WriteByte('\n')
			at = 0
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += n
	}
	return b.String()
}

// numeric reports whether a column holds figures, or nothing: cells that begin with their figure.
func numeric(t *document.Table, column int) bool {
	for _, row := range t.Rows {
		for _, p := range row.Cells[column] {
			if _, is := p.(document.Figure); is {
				break
			}
			if said := fmt.Sprint(p); said != "" && said != "–" {
				return false
			}
		}
	}
	return len(t.Rows) > 0
}

// narrow takes so much off the columns of words, the widest first, but leaves each enough to read.
func narrow(wide []int, right []bool, by int) {
	const least = 12
	for ; by > 0; by-- {
		widest := -1
		for c := range wide {
			if !right[c] && wide[c] > least && (widest < 0 || wide[c] >= wide[widest]) {
				widest = c
			}
		}
		if widest < 0 {
			return
		}
		wide[widest]--
	}
}

// barsOf draws the figures of the column that has bars, nil if none has. What has a direction is
// drawn from the middle: to the left where it is positive, which is to the left.
func barsOf(t *document.Table) []string {
	for c, column := range t.Columns {
		if !column.Bars {
			continue
		}
		most, sided := 0.0, false
		values := make([]float64, len(t.Rows))
		for i, row := range t.Rows {
			for _, f := range row.Cells[c].Figures() {
				if f.Available() {
					values[i] = f.Value
				}
				sided = sided || f.Direction != (document.Direction{})
			}
			most = max(most, math.Abs(values[i]))
		}
		if column.Whole > 0 {
			most = column.Whole
		}
		bars := make([]string, len(values))
		for i, v := range values {
			part := 0.0
			if most > 0 {
				part = v / most
			}
			switch {
			case sided:
				bars[i] = bothWays(part)
			case column.Whole > 0:
				// As wide whether it goes past the mark or not, so that what follows is in line.
				bars[i] = fmt.Sprintf("%-*s", plotWidth+1+beyond, bar(part, plotWidth))
			default:
				bars[i] = bar(part, plotWidth)
			}
		}
		return bars
	}
	return nil
}

// bothWays draws a signed part from a mark in the middle.
func bothWays(part float64) string {
	const half = plotWidth / 2
	n := int(math.Round(min(math.Abs(part), 1) * half))
	full, none := strings.Repeat("█", n), strings.Repeat("·", half-n)
	all := strings.Repeat("·", half)
	if part > 0 {
		return none + full + "│" + all
	}
	return all + "│" + full + none
}
