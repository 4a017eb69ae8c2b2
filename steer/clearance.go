package steer

import (
	"fmt"

	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/shape"

	"gonum.org/v1/gonum/num/dual"
	"gonum.org/v1/gonum/spatial/r3"
)

// solid is something with a shape that moves with the linkage.
type solid struct {
	key, words string
	// on is the body that it goes with, or loose for a rod, which is none.
	on    linkage.Body
	loose bool
	gap   float64
	shape func(s *State) shape.Shape
	// rate is the derivative, along the state's motion, of the place of a point of it.
	rate func(s *State, at r3.Vec) r3.Vec
}

// solids lists the parts that the rig file gives, the rods whose diameter it gives, and the tyres.
func (m *Model) solids() []solid {
	var all []solid
	for i := range m.Geometry.Parts {
		all = append(all, m.part(i))
	}
	if len(all) == 0 {
		return nil
	}
	k := m.mech
	for _, r := range m.Rig.SteeringRods() {
		if !r.Diameter.Given {
			continue
		}
		_, from, to := r.Handles(k)
		all = append(all, solid{
			key: r.Key, words: "the " + r.Name, loose: true, shape: barOf(from, to, r.Diameter.Value/2), rate: alongBar(from, to),
		})
	}
	for _, w := range []struct {
		words   string
		side    *rig.SideGeometry
		on      linkage.Body
		centre  linkage.Ball
		spindle linkage.Arrow
	}{{"the left tyre", &m.Geometry.Left, k.Left, k.LeftCentre, k.LeftSpindle}, {"the right tyre", &m.Geometry.Right, k.Right, k.RightCentre, k.RightSpindle}} {
		all = append(all, solid{words: w.words, on: w.on, rate: withBody(w.on, w.centre), shape: func(s *State) shape.Shape {
			return shape.Disc(s.pose.Ball(w.centre), s.pose.Arrow(w.spindle), w.side.TyreRadius, w.side.TyreWidth/2)
		}})
	}
	return all
}

func (m *Model) part(i int) solid {
	p, h := &m.Geometry.Parts[i], m.mech.Parts[i]
	t := solid{key: fmt.Sprintf("part.%d", i+1), words: "the " + p.Name, on: h.On, gap: p.Gap, rate: withBody(h.On, h.From)}
	switch p.Shape {
	case rig.BarPart:
		t.shape, t.rate = barOf(h.From, h.To, p.Radius), alongBar(h.From, h.To)
	case rig.BoxPart:
		t.shape = func(s *State) shape.Shape {
			return shape.Box(s.pose.Ball(h.From), r3.Scale(p.Half.X, s.pose.Arrow(h.Sides[0])), r3.Scale(p.Half.Y, s.pose.Arrow(h.Sides[1])), r3.Scale(p.Half.Z, s.pose.Arrow(h.Sides[2])))
		}
	case rig.BallPart:
		t.shape = func(s *State) shape.Shape { return shape.Ball(s.pose.Ball(h.From), p.Radius) }
	}
	return t
}

func barOf(from, to linkage.Ball, radius float64) func(s *State) shape.Shape {
	return func(s *State) shape.Shape { return shape.Bar(s.pose.Ball(from), s.pose.Ball(to), radius) }
}

// alongBar is the rate of a point of a bar whose ends move: a rod is no body, and turns about
// itself as it likes.
func alongBar(from, to linkage.Ball) func(s *State, at r3.Vec) r3.Vec {
	return func(s *State, at r3.Vec) r3.Vec {
		a, b := s.pose.Ball(from), s.pose.Ball(to)
		line := r3.Sub(b, a)
		t := min(max(r3.Dot(r3.Sub(at, a), line)/r3.Norm2(line), 0), 1)
		l := s.m.mech.Linkage
		return r3.Add(r3.Scale(1-t, l.BallRate(s.pose, s.motion, from)), r3.Scale(t, l.BallRate(s.pose, s.motion, to)))
	}
}

// withBody is the rate of a point that goes with a body.
func withBody(on linkage.Body, anchor linkage.Ball) func(s *State, at r3.Vec) r3.Vec {
	return func(s *State, at r3.Vec) r3.Vec {
		v := s.m.mech.Linkage.BallRate(s.pose, s.motion, anchor)
		return r3.Add(v, r3.Cross(s.motion.Spin(on), r3.Sub(at, s.pose.Ball(anchor))))
	}
}

// Touching names the parts that touch with the wheels straight at ride height, which are taken to
// belong together.
func (m *Model) Touching() []string { return m.touching }

// clearances makes a stop of every two solids that are apart with the wheels straight at ride
// height: the room between them, as it is then less what must stay, may be used up. Two that touch
// then belong together, and are returned by name.
func (m *Model) clearances() (all []stop, touching []string) {
	solids := m.solids()
	if len(solids) == 0 {
		return nil, nil
	}
	home := m.NewState()
	for i := range solids {
		for j := range i {
			a, b := &solids[j], &solids[i]
			if !a.loose && !b.loose && a.on == b.on {
				continue
			}
			room := func(s *State) dual.Number {
				sa, sb := a.shape(s), b.shape(s)
				gap, n, onA, onB := shape.Gap(&sa, &sb)
				return dual.Number{Real: gap, Emag: r3.Dot(n, r3.Sub(b.rate(s, onB), a.rate(s, onA)))}
			}
			at := room(home).Real
			words := a.words + " against " + b.words
			if at <= 0 {
				touching = append(touching, words)
				continue
			}
			keep := max(a.gap, b.gap)
			st := stop{words: words, key: a.key, most: at - keep, unit: Millimetre, at: func(s *State) dual.Number {
				return dual.Sub(dual.Number{Real: at}, room(s))
			}, mark: func(s *State) r3.Vec {
				sa, sb := a.shape(s), b.shape(s)
				_, _, onA, onB := shape.Gap(&sa, &sb)
				return r3.Scale(0.5, r3.Add(onA, onB))
			}}
			if st.key == "" {
				st.key = b.key
			}
			all = append(all, st)
		}
	}
	return all, touching
}
