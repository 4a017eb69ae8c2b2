package engine_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"evenlock/engine"
)

// Every measurement with a view has a picture on it, of which the parts keep their size on the
// screen; others are refused.
func TestPicturesOfMeasurements(t *testing.T) {
	for _, name := range []string{"behind", "centre-crank", "chassis", "far-knuckle", "rack", "tie-rod"} {
		s, err := engine.Start(name)
		if err != nil {
			t.Fatal(err)
		}
		m, err := s.Measurements()
		if err != nil {
			t.Fatal(err)
		}
		for _, one := range m.List {
			for _, perPixel := range []float64{0.1, 0.7} {
				p, err := s.Picture(one.Key, perPixel)
				if err != nil || p.View != one.View || len(p.Shapes) < 2 || p.Times < 1 {
					t.Fatalf("%s: %+v, %v", one.Key, p, err)
				}
				tip := p.Shapes[len(p.Shapes)-1]
				r, err := strconv.ParseFloat(tip.Set["r"], 64)
				if pixels := r / perPixel; err != nil || tip.Tag != "circle" || tip.Class != "tip" || math.Abs(pixels-3) > 0.01 && math.Abs(pixels-4) > 0.01 {
					t.Errorf("%s: a tip of %v px: %+v", one.Key, pixels, tip)
				}
			}
		}
		for _, bad := range []struct {
			key      string
			perPixel float64
		}{{"no.such.key", 1}, {"", 1}, {m.List[0].Key, 0}, {m.List[0].Key, -1}, {m.List[0].Key, math.NaN()}} {
			if p, err := s.Picture(bad.key, bad.perPixel); err == nil || !strings.Contains(err.Error(), "picture") {
				t.Errorf("%q at %v: %+v, %v", bad.key, bad.perPixel, p, err)
			}
		}
	}
}
