package report

import "testing"

func TestArmsAreNamedFromTheOneInUse(t *testing.T) {
	for _, tt := range []struct {
		n, of int
		want  string
	}{
		{1, 2, "the opposite arm"},
		{2, 4, "the opposite arm"},
		{1, 4, "the next arm counter-clockwise"},
		{3, 4, "the next arm clockwise"},
		{2, 6, "the second arm counter-clockwise"},
		{11, 12, "the next arm clockwise"},
	} {
		if got := armWords(tt.n, tt.of); got != tt.want {
			t.Errorf("arm %d of %d is the %q, want the %q", tt.n, tt.of, got, tt.want)
		}
	}
}
