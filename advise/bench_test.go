package advise_test

import (
	"testing"

	"evenlock/advise"
	"evenlock/internal/rigtest"
)

// All the advice on a rig whose file states its loads.
func BenchmarkOf(b *testing.B) {
	for _, name := range rigtest.Names() {
		r := loaded(b, name)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, _, err := advise.Of(r, 1); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
