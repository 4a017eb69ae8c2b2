package draw_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/draw"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// sentinel is a number that no drawing has.
const sentinel = 1.2345e300

func TestEveryNumberOfEveryShapeIsFilled(t *testing.T) {
	for _, st := range rig.Starters() {
		t.Run(st.Name, func(t *testing.T) {
			m := starter(t, st.Name)
			s := draw.New(m, limitWords)
			state := m.NewState()
			if err := state.Turn(12 * degree); err != nil {
				t.Fatal(err)
			}
			v := state.Values()
			for _, ghost := range []*draw.Posed{nil, {Model: m, State: m.NewState()}} {
				numbers := make([]float64, s.Length)
				for i := range numbers {
					numbers[i] = sentinel
				}
				s.Fill(numbers, draw.Posed{Model: m, State: state}, &v, ghost, draw.Limit{})
				next := 0
				for i := range s.Shapes {
					sh := &s.Shapes[i]
					if sh.At != next {
						t.Fatalf("%s begins at %d, not at %d", sh.Part, sh.At, next)
					}
					next += sh.Len()
					hidden := math.IsNaN(numbers[sh.At])
					if wasGhost := strings.HasPrefix(sh.Class, "ghost"); wasGhost && hidden != (ghost == nil) {
						t.Errorf("%s: hidden is %v with ghost %v", sh.Part, hidden, ghost != nil)
					}
					for k := sh.At; k < next; k++ {
						if numbers[k] == sentinel || math.IsInf(numbers[k], 0) || math.IsNaN(numbers[k]) != hidden {
							t.Errorf("%s in %s: number %d is %g", sh.Part, sh.View, k-sh.At, numbers[k])
						}
					}
					for _, p := range append(fragments(sh), sh.Text...) {
						if p.Form != draw.Words && (p.At < sh.At || p.At >= next) {
							t.Errorf("%s uses number %d of another shape", sh.Part, p.At)
						}
					}
				}
				if next != s.Length {
					t.Errorf("shapes have %d numbers, the scene %d", next, s.Length)
				}
			}
		})
	}
}

func fragments(sh *draw.Shape) []draw.Fragment {
	var all []draw.Fragment
	for _, a := range sh.Set {
		all = append(all, a.Fragments...)
	}
	return all
}

func TestFillingAllocatesNothing(t *testing.T) {
	m := starter(t, "centre-crank")
	s := draw.New(m, limitWords)
	state := m.NewState()
	v := state.Values()
	ghost := &draw.Posed{Model: m, State: m.NewState()}
	numbers := make([]float64, s.Length)
	if n := testing.AllocsPerRun(20, func() {
		s.Fill(numbers, draw.Posed{Model: m, State: state}, &v, ghost, draw.Limit{Number: 1})
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// pointRig is a rig of places alone, mirrored left for right if asked.
func pointRig(m *steer.Model, mirrored bool) *rig.Rig {
	y := 1.0
	of := func(s vehicle.Side) vehicle.Side { return s }
	if mirrored {
		y, of = -1, vehicle.Side.Other
	}
	length := func(x float64) rig.Length {
		return rig.Length{Quantity: rig.Quantity{Value: x, Given: true}}
	}
	point := func(v r3.Vec) rig.Point { return rig.Point{length(v.X), length(y * v.Y), length(v.Z)} }
	side := func(s vehicle.Side) *rig.Side {
		w := m.Wheels[of(s)]
		k := w.Knuckle
		return &rig.Side{
			Kingpin: &rig.Kingpin{Top: point(r3.Add(k.Point, r3.Scale(20, k.Axis))), Bottom: point(r3.Sub(k.Point, r3.Scale(20, k.Axis)))},
			Wheel:   &rig.Wheel{Centre: point(w.Centre.At), TyreRadius: length(w.Radius), TyreWidth: length(w.Width)},
			TieArm:  &rig.Arm{Ball: point(w.Arm.At)},
		}
	}
	r := &rig.Rig{Format: 1, Name: "invented", Steering: rig.Steering{TieRod: &rig.TieRod{}, Right: side(vehicle.Right)}}
	r.Left = *side(vehicle.Left)
	r.Vehicle.Wheelbase = length(m.Axle.Middle.X - m.Axle.Other)
	axis := m.Servo.Horn.Axis
	r.Servo.Point, r.Servo.Axis = point(m.Servo.Foot.At), rig.Direction{axis.X, y * axis.Y, axis.Z}
	r.Horn.Ball = point(m.Servo.Ball.At)
	far := m.Servo.Far()
	arm := &rig.Arm{Ball: point(far.At)}
	if far.On == m.Wheels[of(vehicle.Left)].Knuckle {
		r.DragLink.To, r.Left.DragArm = "left", arm
	} else {
		r.DragLink.To, r.Right.DragArm = "right", arm
	}
	return r
}

// A mirrored rig with the servo turned the other way looks like the mirror image in the views that
// show left and right. The sense of a turn about the servo's axis changes with the mirror.
func TestMirroredRigIsDrawnAsTheMirrorImage(t *testing.T) {
	names := []string{"far-knuckle", "chassis", "behind"}
	models := map[string]*steer.Model{}
	for _, name := range names {
		models[name] = starter(t, name)
	}
	rapid.Check(t, func(t *rapid.T) {
		from := models[rapid.SampledFrom(names).Draw(t, "rig")]
		servo := rapid.Float64Range(-25, 25).Draw(t, "servo") * degree
		type key struct {
			view        draw.View
			class, part string
		}
		var seen [2]map[key][]float64
		for i, mirrored := range []bool{false, true} {
			m, err := steer.New(pointRig(from, mirrored))
			if err != nil {
				t.Fatal(err)
			}
			turn := servo
			if mirrored {
				turn = -servo
			}
			state := m.NewState()
			if err := state.Turn(turn); err != nil {
				t.Fatal(err)
			}
			v := state.Values()
			s := draw.New(m, limitWords)
			numbers := make([]float64, s.Length)
			s.Fill(numbers, draw.Posed{Model: m, State: state}, &v, nil, draw.Limit{})
			seen[i] = map[key][]float64{}
			for k := range s.Shapes {
				sh := &s.Shapes[k]
				// The servo's body is not measured, and lines across the whole vehicle swap their
				// ends.
				whole := sh.Class == "axle" || sh.Class == "ground" || sh.Part == "tie rod"
				if sh.View == draw.SideOn || sh.Tag != "line" && sh.Tag != "circle" || whole {
					continue
				}
				part := sh.Part
				if mirrored {
					part = strings.NewReplacer("left", "right", "right", "left").Replace(part)
				}
				seen[i][key{sh.View, sh.Class, part}] = numbers[sh.At : sh.At+sh.Len()]
			}
		}
		if len(seen[0]) < 20 || len(seen[0]) != len(seen[1]) {
			t.Fatalf("%d and %d shapes", len(seen[0]), len(seen[1]))
		}
		for k, a := range seen[0] {
			b, ok := seen[1][k]
			if !ok {
				t.Fatalf("%v has no mirror image", k)
			}
			for i := range a {
				want := a[i]
				if len(a) == 2 && i == 0 || len(a) == 3 && i == 0 || len(a) == 4 && i%2 == 0 {
					want = -want
				}
				if !(math.Abs(b[i]-want) < 1e-6*(1+math.Abs(want))) && !(math.IsNaN(b[i]) && math.IsNaN(want)) {
					t.Errorf("%v: number %d is %.9g, its mirror image %.9g", k, i, want, b[i])
				}
			}
		}
	})
}

// The outline of a tyre seen along its spindle is a circle of its radius, and seen square to it a
// rectangle.
func TestTyresAreTrueToScale(t *testing.T) {
	m := starter(t, "far-knuckle")
	s, numbers := filled(t, m, 0, nil, draw.Limit{})
	w := m.Wheels[vehicle.Left]
	for i := range s.Shapes {
		sh := &s.Shapes[i]
		if sh.Class != "tyre" || sh.Part != "left tyre" {
			continue
		}
		x := numbers[sh.At : sh.At+sh.Len()]
		long, wide := math.Hypot(x[0]-x[2], x[1]-x[3]), math.Hypot(x[0]-x[6], x[1]-x[7])
		switch sh.View {
		case draw.Above, draw.Behind:
			if math.Abs(long-2*w.Radius) > 1e-9 || math.Abs(wide-w.Width) > 1e-9 || x[8] > 1e-9 {
				t.Errorf("%s: %.3f by %.3f mm, want %.3f by %.3f", sh.View, long, wide, 2*w.Radius, w.Width)
			}
		case draw.SideOn:
			if math.Abs(x[8]-w.Radius) > 1e-9 || math.Abs(x[9]-w.Radius) > 1e-9 || wide > 1e-9 {
				t.Errorf("side: half-axes %.3f and %.3f mm, want %.3f", x[8], x[9], w.Radius)
			}
		}
	}
}

func TestFlatAndSpaceAreInverseOnTheScreen(t *testing.T) {
	for _, v := range draw.Views() {
		u, w := v.Flat(v.Space(3, -7))
		if u != 3 || w != -7 {
			t.Errorf("%s: %g, %g", v, u, w)
		}
		if r3.Dot(v.Space(3, -7), v.Sight()) != 0 {
			t.Errorf("%s moves along the line of sight", v)
		}
		if back, ok := draw.ViewNamed(v.String()); !ok || back != v {
			t.Errorf("%s is not found by its name", v)
		}
	}
}
