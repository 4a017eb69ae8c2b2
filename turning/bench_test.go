package turning_test

import (
	"testing"

	"evenlock/turning"
)

func BenchmarkFit(b *testing.B) {
	w := standing(0.5, 0.4, -0.3, -0.2)
	for b.Loop() {
		turning.Fit(w, middle)
	}
}

func BenchmarkOver(b *testing.B) {
	r := fourWheel(b)
	for b.Loop() {
		if _, err := turning.Over(r, turning.Usual()); err != nil {
			b.Fatal(err)
		}
	}
}
