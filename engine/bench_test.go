package engine_test

import (
	"testing"

	"evenlock/engine"
)

func open(t testing.TB, name string) *engine.Session {
	t.Helper()
	for _, s := range engine.Starters() {
		if s.Name == name {
			session, err := engine.Open([]byte(s.Text))
			if err != nil {
				t.Fatal(err)
			}
			return session
		}
	}
	t.Fatalf("no starter %s", name)
	return nil
}

func names() []string {
	var all []string
	for _, s := range engine.Starters() {
		all = append(all, s.Name)
	}
	return all
}

// A drag's frame: numbers edited, linkage rebuilt and solved, stops and curves found, all numbers
// filled.
func BenchmarkDrag(b *testing.B) {
	for _, name := range names() {
		b.Run(name, func(b *testing.B) {
			s := open(b, name)
			for i, h := range s.Scene().Handles {
				if h.Key != "servo.point" || h.View != "above" {
					continue
				}
				if err := s.Grab(i); err != nil {
					b.Fatal(err)
				}
				u, v := s.Numbers()[h.At], s.Numbers()[h.At+1]
				for n := 0; b.Loop(); n++ {
					if s.Drag(u+0.01*float64(n%100), v) == engine.Refused {
						b.Fatal(s.Why())
					}
				}
			}
		})
	}
}

func BenchmarkStick(b *testing.B) {
	s := open(b, "chassis")
	if err := s.Ghost("previous"); err != nil {
		b.Fatal(err)
	}
	for n := 0; b.Loop(); n++ {
		s.Stick(float64(n%200)/100 - 1)
	}
}

func BenchmarkOpen(b *testing.B) {
	text := open(b, "chassis").Text()
	for b.Loop() {
		if _, err := engine.Open([]byte(text)); err != nil {
			b.Fatal(err)
		}
	}
}
