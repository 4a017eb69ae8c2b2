package document

import (
	"math"
	"slices"
)

// Thinned are the numbers of the rows that stand for the table where it is thinned: as many as Thin
// says, evenly from first to last, and the worst among them; all where it says nothing.
func (t *Table) Thinned() []int {
	n, last := t.Thin, len(t.Rows)-1
	if n < 2 || len(t.Rows) <= n {
		n = len(t.Rows)
	}
	shown := make([]int, n)
	if n == len(t.Rows) {
		for i := range shown {
			shown[i] = i
		}
		return shown
	}
	for i := range (n + 1) / 2 {
		// Alike from both ends, so that what is even about the middle stays so.
		at := int(math.Round(float64(i*last) / float64(n-1)))
		shown[i], shown[n-1-i] = at, last-at
	}
	// The worst is not left out: it takes the place of the row nearest to it, but of no end.
	worst := t.worst(nil)
	if n > 2 && t.Rows[worst].Severity > t.Rows[t.worst(shown)].Severity {
		near := int(math.Round(float64(worst*(n-1)) / float64(last)))
		shown[min(max(near, 1), n-2)] = worst
	}
	return shown
}

// worst is the first of the worst rows: of some, or of all where none are named.
func (t *Table) worst(of []int) int {
	worst := -1
	for i := range t.Rows {
		if (of == nil || slices.Contains(of, i)) && (worst < 0 || t.Rows[i].Severity > t.Rows[worst].Severity) {
			worst = i
		}
	}
	return worst
}
