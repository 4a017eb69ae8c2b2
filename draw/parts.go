package draw

import (
	"math"
	"strings"

	"evenlock/linkage"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// thing is a part of the rig that the steering must clear, in a pose.
type thing struct {
	from, to r3.Vec
	radius   float64
	// sides are half a box's sides.
	sides [3]r3.Vec
}

func (t *thing) take(p *vehicle.Shape, pose *linkage.Pose) {
	t.from, t.to, t.radius = pose.Ball(p.From.Handle), pose.Ball(p.To.Handle), p.Radius
	if p.Kind != vehicle.BoxShape {
		return
	}
	for j, half := range [3]float64{p.Half.X, p.Half.Y, p.Half.Z} {
		t.sides[j] = r3.Scale(half, pose.Arrow(p.Sides[j]))
	}
}

// things draws the outlines of the parts that the steering must clear.
func (s *Scene) things(v View) {
	for i, p := range s.model.Vehicle.Shapes {
		switch p.Kind {
		case vehicle.BallShape:
			s.add(v, "circle", "thing", p.Name, 3, s.numbers("cx", "cy", "r"), func(s *Scene, dst []float64) {
				dst[0], dst[1] = v.Flat(s.now.things[i].from)
				dst[2] = s.now.things[i].radius
			})
		case vehicle.BarShape:
			s.barThing(v, i, p.Name)
		case vehicle.BoxShape:
			s.add(v, "path", "thing", p.Name, 2*corners, []Attribute{{"d", s.path("M# #" + strings.Repeat("L# #", corners-1) + "Z")}}, func(s *Scene, dst []float64) {
				s.now.things[i].outline(v, dst)
			})
		}
	}
}

// barThing draws a round bar with round ends: two half circles and the lines that touch them.
func (s *Scene) barThing(v View, i int, name string) {
	at := s.Length
	// Points 0 to 3, then the radius.
	half := func(point int) []Fragment {
		return []Fragment{
			text("A"), number(at + 8), text(" "), number(at + 8), text(" 0 0 1 "), number(at + 2*point), text(" "), number(at + 2*point + 1),
		}
	}
	d := template("M# #L# #", at)
	d = append(d, half(2)...)
	d = append(d, text("L"), number(at+6), text(" "), number(at+7))
	d = append(d, half(0)...)
	d = append(d, text("Z"))
	s.add(v, "path", "thing", name, 9, []Attribute{{"d", d}}, func(s *Scene, dst []float64) {
		t := &s.now.things[i]
		r := t.radius
		u1, w1 := v.Flat(t.from)
		u2, w2 := v.Flat(t.to)
		du, dw := 1.0, 0.0
		if long := math.Hypot(u2-u1, w2-w1); long > 1e-9 {
			du, dw = (u2-u1)/long, (w2-w1)/long
		}
		dst[0], dst[1] = u1+r*dw, w1-r*du
		dst[2], dst[3] = u2+r*dw, w2-r*du
		dst[4], dst[5] = u2-r*dw, w2+r*du
		dst[6], dst[7] = u1-r*dw, w1+r*du
		dst[8] = r
	})
}

// corners is how many a box has.
const corners = 8

// outline writes the corners of a box's outline in order, the last one again until there are eight:
// the convex hull, by Andrew's monotone chain.
func (t *thing) outline(v View, dst []float64) {
	var at [corners][2]float64
	for i := range at {
		p := t.from
		for bit := range 3 {
			sign := 1.0
			if i>>bit&1 == 0 {
				sign = -1
			}
			p = r3.Add(p, r3.Scale(sign, t.sides[bit]))
		}
		at[i][0], at[i][1] = v.Flat(p)
		for j := i; j > 0 && (at[j][0] < at[j-1][0] || at[j][0] == at[j-1][0] && at[j][1] < at[j-1][1]); j-- {
			at[j], at[j-1] = at[j-1], at[j]
		}
	}
	var hull [2*corners + 1][2]float64
	n := 0
	grow := func(p [2]float64, least int) {
		const flat = 1e-9
		for n >= least {
			a, b := hull[n-2], hull[n-1]
			if (b[0]-a[0])*(p[1]-a[1])-(b[1]-a[1])*(p[0]-a[0]) > flat {
				break
			}
			n--
		}
		hull[n] = p
		n++
	}
	for i := range at {
		grow(at[i], 2)
	}
	// The other side, without the last corner, which is on it already.
	least := n + 1
	for i := corners - 2; i >= 0; i-- {
		grow(at[i], least)
	}
	for i := range corners {
		p := hull[min(i, n-1)]
		dst[2*i], dst[2*i+1] = p[0], p[1]
	}
}

// ZeroSteerLine is a line, seen from the front, on which an end of a rod would give no bump steer
// for small travel, and the place at which it would give none for all of it.
type ZeroSteerLine struct {
	Through, Dir r3.Vec
	At           r3.Vec
	// Whole is whether there is such a place.
	Whole bool
}

// lines is how many of them are shown at most.
const lines = 2

// Guide says which lines the next fillings show; nil for none. The slice is read when filling.
func (s *Scene) Guide(all []ZeroSteerLine) { s.guides = all }

// Sizes of the lines and of the cross at their place, in mm.
const (
	lineHalf  = 45
	crossHalf = 4
)

// guidelines draws them as seen from behind, which looks along the vehicle as from the front.
func (s *Scene) guidelines(v View) {
	for i := range lines {
		s.add(v, "line", "no-steer", "where an end of the rod gives no bump steer", 4, s.numbers("x1", "y1", "x2", "y2"), func(s *Scene, dst []float64) {
			if i >= len(s.guides) {
				blank(dst)
				return
			}
			g := &s.guides[i]
			dst[0], dst[1] = v.Flat(r3.Add(g.Through, r3.Scale(-lineHalf, g.Dir)))
			dst[2], dst[3] = v.Flat(r3.Add(g.Through, r3.Scale(lineHalf, g.Dir)))
		})
		s.add(v, "path", "no-steer-place", "where it gives none for all of the travel", 8, []Attribute{{"d", s.path("M# #L# #M# #L# #")}}, func(s *Scene, dst []float64) {
			if i >= len(s.guides) || !s.guides[i].Whole {
				blank(dst)
				return
			}
			u, w := v.Flat(s.guides[i].At)
			for k, end := range [4][2]float64{{-1, -1}, {1, 1}, {-1, 1}, {1, -1}} {
				dst[2*k], dst[2*k+1] = u+crossHalf*end[0], w+crossHalf*end[1]
			}
		})
	}
}
