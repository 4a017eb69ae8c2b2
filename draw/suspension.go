package draw

import (
	"math"

	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// mountHalf is half the side of the square that marks an end on the chassis, in mm.
const mountHalf = 2.6

// bar names one straight part of the suspension: a link, one leg of an arm, or a strut. Its first
// end is on the chassis.
type bar struct{ class, part string }

// suspensionBars lists the straight parts of the suspension of a suspended model; takeBars reads
// them in the same order.
func suspensionBars(m *steer.Model) []bar {
	g := m.Geometry.Suspension
	if g == nil {
		return nil
	}
	var all []bar
	for _, l := range g.Links {
		all = append(all, bar{"link", l.Name + " link"})
	}
	if g.Solid {
		return all
	}
	for _, side := range []struct {
		name  string
		strut bool
	}{{"left", g.Left.Strut}, {"right", g.Right.Strut}} {
		all = append(all, bar{"link", side.name + " lower arm, front leg"}, bar{"link", side.name + " lower arm, rear leg"})
		if side.strut {
			all = append(all, bar{"link strut", side.name + " strut"})
			continue
		}
		all = append(all, bar{"link", side.name + " upper arm, front leg"}, bar{"link", side.name + " upper arm, rear leg"})
	}
	return all
}

// suspension draws what carries the wheels, with a square at each end on the chassis.
func (s *Scene) suspension(v View, bars []bar) {
	for i, one := range bars {
		s.add(v, "line", one.class, one.part, 4, s.numbers("x1", "y1", "x2", "y2"), func(s *Scene, dst []float64) {
			b := &s.now.bars[i]
			dst[0], dst[1] = v.Flat(b[0])
			dst[2], dst[3] = v.Flat(b[1])
		})
		s.dot(v, "link-end", one.part+"'s other end", 1.8, func(s *Scene) r3.Vec { return s.now.bars[i][1] })
		s.add(v, "path", "mount", one.part+"'s end on the chassis", 8, []Attribute{{"d", s.path("M# #L# #L# #L# #Z")}}, func(s *Scene, dst []float64) {
			at := s.now.bars[i][0]
			u, w := v.Flat(at)
			for k, corner := range [4][2]float64{{1, 1}, {1, -1}, {-1, -1}, {-1, 1}} {
				dst[2*k], dst[2*k+1] = u+mountHalf*corner[0], w+mountHalf*corner[1]
			}
		})
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
	bears := func(s *Scene, i int) (tension, u, w, du, dw float64, ok bool) {
		if i >= len(s.tensions) || !(math.Abs(s.tensions[i]) >= leastForce) {
			return 0, 0, 0, 0, 0, false
		}
		e := &s.now.ends[i]
		u1, w1 := v.Flat(e[0])
		u2, w2 := v.Flat(e[1])
		long := math.Hypot(u2-u1, w2-w1)
		return s.tensions[i], (u1 + u2) / 2, (w1 + w2) / 2, (u2 - u1) / long, (w2 - w1) / long, long > 2*(headFrom+headLong)
	}
	for i, rod := range s.now.rods {
		s.add(v, "path", "force", "force in the "+rod.Name, 12, []Attribute{{"d", s.path("M# #L# #L# #M# #L# #L# #")}}, func(s *Scene, dst []float64) {
			tension, u, w, du, dw, ok := bears(s, i)
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
				tension, u, w, _, _, ok := bears(s, i)
				if !ok {
					blank(dst)
					return
				}
				// Ahead of the axle above the rod, behind it below.
				const beside = 11
				if w < 0 {
					dst[0], dst[1] = u, w-beside
				} else {
					dst[0], dst[1] = u, w+beside+6
				}
				dst[2] = tension
			})
	}
}

var forceWords = []string{" push", "", " pull"}

// secondKnuckleFoot is where the arm that the second drag link pulls begins on its kingpin.
func (f *frame) secondKnuckleFoot() r3.Vec {
	w := &f.left
	if f.secondPulled.Y < 0 {
		w = &f.right
	}
	return nearest(w.point, w.kingpin, f.secondPulled)
}
