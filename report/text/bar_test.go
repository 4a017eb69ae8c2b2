package text

import "testing"

// A bar is full at all that there is, and goes on past a mark beyond that.
func TestBarsFillTheirPart(t *testing.T) {
	for part, want := range map[float64]string{0: "····", 0.5: "██··", 1: "████", 1.5: "████│██", -1: "····", 9: "████│█████"} {
		if got := bar(part, 4); got != want {
			t.Errorf("%g is drawn %q, want %q", part, got, want)
		}
	}
}
