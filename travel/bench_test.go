package travel_test

import (
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/travel"
)

// The goal is 100 ms on one core.
func BenchmarkGrid101By101(b *testing.B) {
	for _, name := range sprung {
		b.Run(name, func(b *testing.B) {
			m := suspended(b, rigtest.Starter(b, name))
			g := travel.NewGrid(m, travel.Heave, -30*degree, 30*degree, 101, 101)
			s := m.NewState()
			b.ReportAllocs()
			for b.Loop() {
				if err := g.Fill(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkOver(b *testing.B) {
	m := suspended(b, rigtest.Starter(b, "chassis"))
	for b.Loop() {
		if _, err := travel.Over(m, travel.Options{Steps: 6}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkImprove(b *testing.B) {
	m := suspended(b, rigtest.Starter(b, "chassis"))
	for b.Loop() {
		if _, err := travel.Improve(m, 25); err != nil {
			b.Fatal(err)
		}
	}
}
