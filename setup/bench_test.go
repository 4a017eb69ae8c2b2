package setup_test

import (
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/setup"
)

// BenchmarkMake times a whole set-up with uncertainty.
func BenchmarkMake(b *testing.B) {
	for _, name := range rigtest.Names() {
		b.Run(name, func(b *testing.B) {
			r := rigtest.Starter(b, name)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := setup.Make(r, 1); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
