package draw

import (
	"math"

	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// mountHalf is half the side of the square that marks an end on the chassis, in mm.
const mountHalf = 2.6

// suspensionBars lists the straight parts of the suspension: links, the legs of arms, struts. The
// first end of each is on the chassis.
func (s *Scene) suspensionBars() []link {
	v := s.model.Vehicle
	var all []link
	for _, r := range v.Rods {
		if r.Kind == vehicle.SuspensionLink {
			all = append(all, link{"link", r.Name, s.ball(r.From), s.ball(r.To)})
		}
	}
	legs := [2]string{"front", "rear"}
	for _, b := range v.Balls {
		for n := range b.On.Hinges {
			all = append(all, link{"link", b.On.Name + ", " + legs[n] + " leg", s.hinge(b.On, n), s.ball(b)})
		}
	}
	for _, w := range v.Wheels {
		if k := w.Knuckle; k.Moves == vehicle.Between && k.Ends[1].On.Moves == vehicle.Fixed {
			all = append(all, link{"link strut", partOf(w) + "strut", s.ball(k.Ends[1]), s.ball(k.Ends[0])})
		}
	}
	return all
}

// suspension draws what carries the wheels, with a square at each end on the chassis, and what a
// stated motion turns about: the hinge of the axle's arms, and the middle of its roll.
func (s *Scene) suspension(v View) {
	for _, one := range s.bars {
		s.line(v, one.class, one.part, func(s *Scene) (a, b r3.Vec) { return one.from(&s.now), one.to(&s.now) })
		s.dot(v, "link-end", one.part+"'s other end", 1.8, func(s *Scene) r3.Vec { return one.to(&s.now) })
		s.add(v, "path", "mount", one.part+"'s end on the chassis", 8, []Attribute{{"d", s.path("M# #L# #L# #L# #Z")}}, func(s *Scene, dst []float64) {
			u, w := v.Flat(one.from(&s.now))
			for k, corner := range [4][2]float64{{1, 1}, {1, -1}, {-1, -1}, {-1, 1}} {
				dst[2*k], dst[2*k+1] = u+mountHalf*corner[0], w+mountHalf*corner[1]
			}
		})
	}
	for _, b := range s.model.Vehicle.Bodies {
		if b.Drive != vehicle.ByTravel || b.Moves != vehicle.Turns || b.Hinges != nil {
			continue
		}
		at := s.point(b)
		if s.model.Axle.Pivot != nil && b.On.Moves == vehicle.Fixed {
			s.line(v, "link stated", "stated swing of the axle", func(s *Scene) (a, b r3.Vec) {
				return at(&s.now), r3.Scale(0.5, r3.Add(s.now.wheels[0].end, s.now.wheels[1].end))
			})
		}
		s.dot(v, "shaft", "line of the "+b.Name, 2, func(s *Scene) r3.Vec { return at(&s.now) })
	}
}

// Sizes of the arrowheads on a rod that bears something, in mm: from the rod's middle to the nearer
// end of a head, its length and half its width.
const (
	headFrom = 6
	headLong = 6
	headWide = 4.5
	// leastForce in N is shown.
	leastForce = 0.5
)

// forces draws on each rod two arrowheads: pointing away from one another where the rod is pulled,
// at one another where it is pushed; and from above, how much it is.
func (s *Scene) forces(v View) {
	// bears gives the rod's tension, its middle, and its unit direction on the screen.
	rods := s.model.Vehicle.Steering()
	bears := func(s *Scene, i int, from, to spot) (tension, u, w, du, dw float64, ok bool) {
		if i >= len(s.tensions) || !(math.Abs(s.tensions[i]) >= leastForce) {
			return 0, 0, 0, 0, 0, false
		}
		u1, w1 := v.Flat(from(&s.now))
		u2, w2 := v.Flat(to(&s.now))
		long := math.Hypot(u2-u1, w2-w1)
		return s.tensions[i], (u1 + u2) / 2, (w1 + w2) / 2, (u2 - u1) / long, (w2 - w1) / long, long > 2*(headFrom+headLong)
	}
	for i, rod := range rods {
		from, to := s.ball(rod.From), s.ball(rod.To)
		s.add(v, "path", "force", "force in the "+rod.Name, 12, []Attribute{{"d", s.path("M# #L# #L# #M# #L# #L# #")}}, func(s *Scene, dst []float64) {
			tension, u, w, du, dw, ok := bears(s, i, from, to)
			if !ok {
				blank(dst)
				return
			}
			tip, tail := float64(headFrom+headLong), float64(headFrom)
			if tension < 0 {
				tip, tail = tail, tip
			}
			for k, way := range [2]float64{1, -1} {
				d := dst[6*k : 6*k+6]
				d[0], d[1] = u+way*du*tail-dw*headWide, w+way*dw*tail+du*headWide
				d[2], d[3] = u+way*du*tip, w+way*dw*tip
				d[4], d[5] = u+way*du*tail+dw*headWide, w+way*dw*tail-du*headWide
			}
		})
		if v != Above {
			continue
		}
		at := s.Length + 2
		s.label(v, "label force", "force in the "+rod.Name, 1,
			[]Fragment{size(at, 0), text(" N"), {Form: Side, At: at, Words: forceWords}}, func(s *Scene, dst []float64) {
				tension, u, w, _, _, ok := bears(s, i, from, to)
				if !ok {
					blank(dst)
					return
				}
				// Ahead of the axle above the rod, behind it below.
				const beside = 11
				if w < -s.now.model.Axle.Middle.X {
					dst[0], dst[1] = u, w-beside
				} else {
					dst[0], dst[1] = u, w+beside+6
				}
				dst[2] = tension
			})
	}
}

var forceWords = []string{" push", "", " pull"}
