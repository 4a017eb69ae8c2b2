package draw_test

import (
	"bytes"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenlock/draw"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

var update = flag.Bool("update", false, "write the golden files anew")

var limitWords = []string{"", "the servo's own travel"}

const degree = math.Pi / 180

func starter(t testing.TB, name string) *steer.Model {
	t.Helper()
	for _, s := range rig.Starters() {
		if s.Name != name {
			continue
		}
		r, err := rig.Read(bytes.NewReader(s.Text), name)
		if err != nil {
			t.Fatal(err)
		}
		m, err := steer.New(r)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	t.Fatalf("no starter %s", name)
	return nil
}

func filled(t testing.TB, m *steer.Model, servo float64, ghost *draw.Posed, limit draw.Limit) (*draw.Scene, []float64) {
	t.Helper()
	s := draw.New(m, limitWords)
	state := m.NewState()
	if err := state.Turn(servo); err != nil {
		t.Fatal(err)
	}
	v := state.Values()
	numbers := make([]float64, s.Length)
	s.Fill(numbers, draw.Posed{Model: m, State: state}, &v, ghost, limit)
	return s, numbers
}

func TestFileOfAStarterIsAsItWas(t *testing.T) {
	for _, test := range []struct {
		name  string
		servo float64
	}{{"far-knuckle", 0}, {"chassis", 25 * degree}, {"centre-crank", -20 * degree}, {"tie-rod", 10 * degree}} {
		t.Run(test.name, func(t *testing.T) {
			m := starter(t, test.name)
			before := m.NewState()
			s, numbers := filled(t, m, test.servo, &draw.Posed{Model: m, State: before}, draw.Limit{Number: 1, At: r3.Vec{X: 10}})
			var b bytes.Buffer
			if err := draw.SVG(&b, s, numbers, draw.Options{Title: test.name + " <starter>"}); err != nil {
				t.Fatal(err)
			}
			path := filepath.Join("testdata", test.name+".svg")
			if *update {
				if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(b.Bytes(), want) {
				t.Errorf("differs from %s: look at both, and run with -update if the new one is right", path)
			}
			if strings.Contains(b.String(), "NaN") {
				t.Error("a shape that is not there was drawn")
			}
		})
	}
}
