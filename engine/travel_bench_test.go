package engine_test

import (
	"testing"

	"evenlock/engine"
	"evenlock/internal/rigtest"
)

// A frame of the drawing as the suspension moves, at two places of the stick: near the middle, and
// well to one side.
func BenchmarkTravel(b *testing.B) {
	text := rigtest.ExampleText(b, "trail-truck")
	for _, one := range []struct {
		name  string
		stick float64
	}{{"straight", 0}, {"half left", 0.5}} {
		b.Run(one.name, func(b *testing.B) {
			s, err := engine.Open(text)
			if err != nil {
				b.Fatal(err)
			}
			s.Stick(one.stick)
			b.ReportAllocs()
			for n := 0; b.Loop(); n++ {
				x := float64(n%40) - 20
				if s.SetWheelTravel(x, -x/2) == engine.Refused {
					b.Fatal(s.Why())
				}
			}
		})
	}
}
