package draw_test

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenlock/draw"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// suspended is a rig on its suspension: a starter, or the trail truck.
func suspended(t testing.TB, name string) *steer.Model {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "examples", name+".toml"))
	for _, s := range rig.Starters() {
		if s.Name == name {
			text, err = s.Text, nil
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	r, err := rig.Read(bytes.NewReader(text), name)
	if err != nil {
		t.Fatal(err)
	}
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func atTravel(t testing.TB, m *steer.Model, servo float64, travel steer.WheelTravel) (*draw.Scene, *steer.State, []float64) {
	t.Helper()
	s := draw.New(m, limitWords)
	state := m.NewState()
	if err := state.Move(servo, travel); err != nil {
		t.Fatal(err)
	}
	v := state.Values()
	numbers := make([]float64, s.Length)
	s.Guide([]draw.ZeroSteerLine{{Through: r3.Vec{Y: 30, Z: 20}, Dir: r3.Unit(r3.Vec{Y: 1, Z: 0.2}), At: r3.Vec{Y: 20, Z: 18}, Whole: true}})
	s.Fill(numbers, draw.Posed{Model: m, State: state}, &v, nil, draw.Limit{})
	return s, state, numbers
}

// Run with -update to write the golden files anew, and look at them.
func TestFileOfARigOnItsSuspensionIsAsItWas(t *testing.T) {
	for _, test := range []struct {
		name   string
		servo  float64
		travel steer.WheelTravel
	}{
		{"trail-truck", 15 * degree, steer.WheelTravel{Left: 20, Right: -14}},
		{"centre-crank", -10 * degree, steer.WheelTravel{Left: -8, Right: 9}},
		{"rack", 10 * degree, steer.WheelTravel{Left: 10, Right: 10}},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, _, numbers := atTravel(t, suspended(t, test.name), test.servo, test.travel)
			var b bytes.Buffer
			if err := draw.SVG(&b, s, numbers, draw.Options{Title: test.name}); err != nil {
				t.Fatal(err)
			}
			path := filepath.Join("testdata", test.name+".travel.svg")
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

// at gives the numbers of the first shape of a view with a part's name.
func at(t *testing.T, s *draw.Scene, numbers []float64, v draw.View, part string) []float64 {
	t.Helper()
	for i := range s.Shapes {
		if sh := &s.Shapes[i]; sh.View == v && sh.Part == part {
			return numbers[sh.At : sh.At+sh.Len()]
		}
	}
	t.Fatalf("no %q in the view %v", part, v)
	return nil
}

func TestLinksAndPartsAreDrawnWhereTheirBodiesAre(t *testing.T) {
	m := suspended(t, "trail-truck")
	travel := steer.WheelTravel{Left: 20, Right: -14}
	s, state, numbers := atTravel(t, m, 0, travel)
	pose := state.Pose()
	near := func(what string, got []float64, v draw.View, want r3.Vec) {
		t.Helper()
		if u, w := v.Flat(want); math.Hypot(got[0]-u, got[1]-w) > 1e-9 {
			t.Errorf("%s is drawn at %.3f, %.3f, it is at %.3f, %.3f", what, got[0], got[1], u, w)
		}
	}
	for _, v := range []draw.View{draw.Above, draw.Behind, draw.SideOn} {
		for _, l := range m.Vehicle.Rods {
			if l.Kind != vehicle.SuspensionLink {
				continue
			}
			bar := at(t, s, numbers, v, l.Name)
			near(l.Name+"'s chassis end", bar[:2], v, l.From.At)
			near(l.Name+"'s axle end", bar[2:], v, pose.Ball(l.To.Handle))
		}
		for _, p := range m.Vehicle.Shapes {
			if p.Kind != vehicle.BarShape {
				continue
			}
			got := at(t, s, numbers, v, p.Name)
			near(p.Name+"'s one end", []float64{(got[0] + got[6]) / 2, (got[1] + got[7]) / 2}, v, pose.Ball(p.From.Handle))
			near(p.Name+"'s other end", []float64{(got[2] + got[4]) / 2, (got[3] + got[5]) / 2}, v, pose.Ball(p.To.Handle))
			if thick := math.Hypot(got[0]-got[6], got[1]-got[7]); math.Abs(thick-2*p.Radius) > 1e-9 {
				t.Errorf("%s is %.3f thick, not %.3f", p.Name, thick, 2*p.Radius)
			}
		}
	}
	// A box that stands along the vehicle's axes is a rectangle of its size in every view.
	box := m.Vehicle.Shapes[3]
	got := at(t, s, numbers, draw.Behind, box.Name)
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i := range 8 {
		for j := range 2 {
			low[j], high[j] = min(low[j], got[2*i+j]), max(high[j], got[2*i+j])
		}
	}
	if math.Abs(high[0]-low[0]-2*box.Half.Y) > 1e-9 || math.Abs(high[1]-low[1]-2*box.Half.Z) > 1e-9 {
		t.Errorf("the box is drawn %.2f by %.2f", high[0]-low[0], high[1]-low[1])
	}
}

func TestFillingASuspendedSceneAllocatesNothing(t *testing.T) {
	m := suspended(t, "trail-truck")
	s, state, numbers := atTravel(t, m, 0, steer.WheelTravel{Left: 5})
	v := state.Values()
	if n := testing.AllocsPerRun(20, func() { s.Fill(numbers, draw.Posed{Model: m, State: state}, &v, nil, draw.Limit{}) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
