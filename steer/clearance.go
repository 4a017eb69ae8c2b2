package steer

import (
	"evenlock/linkage"
	"evenlock/shape"
	"evenlock/vehicle"

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
	for _, p := range m.Vehicle.Shapes {
		all = append(all, solidOf(p))
	}
	if len(all) == 0 {
		return nil
	}
	for _, r := range m.Vehicle.Steering() {
		if r.Stock.Diameter > 0 {
			from, to := r.From.Handle, r.To.Handle
			all = append(all, solid{
				key: r.Key, words: "the " + r.Name, loose: true, shape: barOf(from, to, r.Stock.Diameter/2), rate: alongBar(from, to),
			})
		}
	}
	for _, w := range m.Wheels {
		on := w.Knuckle.Handle
		all = append(all, solid{words: "the " + w.Tyre(), on: on, rate: withBody(on, w.Centre.Handle), shape: func(s *State) shape.Shape {
			return shape.Disc(s.pose.Ball(w.Centre.Handle), s.pose.Arrow(w.SpindleHandle), w.Radius, w.Width/2)
		}})
	}
	return all
}

func solidOf(p *vehicle.Shape) solid {
	on, from, to := p.On.Handle, p.From.Handle, p.To.Handle
	t := solid{key: p.Key, words: "the " + p.Name, on: on, gap: p.Gap, rate: withBody(on, from)}
	switch p.Kind {
	case vehicle.BarShape:
		t.shape, t.rate = barOf(from, to, p.Radius), alongBar(from, to)
	case vehicle.BoxShape:
		t.shape = func(s *State) shape.Shape {
			return shape.Box(s.pose.Ball(from), r3.Scale(p.Half.X, s.pose.Arrow(p.Sides[0])), r3.Scale(p.Half.Y, s.pose.Arrow(p.Sides[1])), r3.Scale(p.Half.Z, s.pose.Arrow(p.Sides[2])))
		}
	case vehicle.BallShape:
		t.shape = func(s *State) shape.Shape { return shape.Ball(s.pose.Ball(from), p.Radius) }
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
		l := s.m.Linkage
		return r3.Add(r3.Scale(1-t, l.BallRate(s.pose, s.motion, from)), r3.Scale(t, l.BallRate(s.pose, s.motion, to)))
	}
}

// withBody is the rate of a point that goes with a body.
func withBody(on linkage.Body, anchor linkage.Ball) func(s *State, at r3.Vec) r3.Vec {
	return func(s *State, at r3.Vec) r3.Vec {
		v := s.m.Linkage.BallRate(s.pose, s.motion, anchor)
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
