package steer_test

import (
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/steer"
)

// swept calls f at servo angles to and fro, which is how a sweep and a drag go.
func swept(b *testing.B, name string, f func(s *steer.State)) {
	s := model(b, rigtest.Starter(b, name)).NewState()
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		i++
		if err := s.Turn(float64(i%80-40) * degree * 0.9); err != nil {
			b.Fatal(err)
		}
		f(s)
	}
}

var sink float64

func forLayouts(b *testing.B, f func(s *steer.State)) {
	for _, name := range rigtest.Names() {
		b.Run(name, func(b *testing.B) { swept(b, name, f) })
	}
}

func BenchmarkTurnAndRoad(b *testing.B) {
	forLayouts(b, func(s *steer.State) {
		road := s.Road()
		l, r := road[0], road[1]
		sink += l + r
	})
}

func BenchmarkTurnAndSnapshot(b *testing.B) {
	forLayouts(b, func(s *steer.State) { sink += s.Snapshot().Rate[steer.Left] })
}

func BenchmarkTurnValuesAndRates(b *testing.B) {
	forLayouts(b, func(s *steer.State) {
		v, d := s.ValuesAndRates()
		sink += v[0] + d[0]
	})
}

func BenchmarkSensitivity(b *testing.B) {
	forLayouts(b, func(s *steer.State) { sink += s.Sensitivity(3)[0] })
}

func BenchmarkNew(b *testing.B) {
	for _, name := range rigtest.Names() {
		b.Run(name, func(b *testing.B) {
			r := rigtest.Starter(b, name)
			b.ReportAllocs()
			for b.Loop() {
				model(b, r)
			}
		})
	}
}

func TestMovingAllocatesNothing(t *testing.T) {
	for _, name := range rigtest.Names() {
		t.Run(name, func(t *testing.T) {
			s := model(t, rigtest.Starter(t, name)).NewState()
			for what, f := range map[string]func(){
				"Road":            func() { s.Road() },
				"Curvature":       func() { s.Curvature() },
				"Snapshot":        func() { s.Snapshot() },
				"ValuesAndRates":  func() { s.ValuesAndRates() },
				"Sensitivity":     func() { s.Sensitivity(2) },
				"Turn by itself":  func() {},
				"Values and pose": func() { s.Values(); s.Pose() },
			} {
				servo := 0.0
				got := testing.AllocsPerRun(200, func() {
					servo += 0.3 * degree
					if err := s.Turn(servo - 30*degree); err != nil {
						t.Fatal(err)
					}
					f()
				})
				if got != 0 {
					t.Errorf("%s allocates %v times", what, got)
				}
			}
		})
	}
}
