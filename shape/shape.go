package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Shape is a convex shape at a place. It is a value; making one allocates nothing. The zero Shape
// is a point at the origin.
//
// It is all points centre + Σ q·half + rim·p + round·s, each q between -1 and 1, p in the unit
// circle square to axis, s in the unit ball. What is without the ball is its core.
type Shape struct {
	centre r3.Vec
	half   [3]r3.Vec
	// halves is how many of half are in use.
	halves     int
	axis       r3.Vec
	rim, round float64
}

// Ball returns a ball, its centre and radius in millimetres.
func Ball(centre r3.Vec, radius float64) Shape { return Shape{centre: centre, round: radius} }

// Bar returns a round bar with round ends: every place within radius of the line from one point to
// another, in millimetres.
func Bar(from, to r3.Vec, radius float64) Shape {
	return Shape{centre: middle(from, to), half: [3]r3.Vec{r3.Scale(0.5, r3.Sub(to, from))}, halves: 1, round: radius}
}

// middle is exact for bars however short and far off.
func middle(p, q r3.Vec) r3.Vec { return r3.Add(p, r3.Scale(0.5, r3.Sub(q, p))) }

// Box returns a box with half axes in millimetres. They need not be square to one another: then it
// is a box leant over.
func Box(centre, a, b, c r3.Vec) Shape {
	return Shape{centre: centre, half: [3]r3.Vec{a, b, c}, halves: 3}
}

// Disc returns a round disc with flat faces, such as a tyre: the unit vector along its axis, its
// radius and half its width in millimetres.
func Disc(centre, axis r3.Vec, radius, halfWidth float64) Shape {
	return Shape{centre: centre, half: [3]r3.Vec{r3.Scale(halfWidth, axis)}, halves: 1, axis: axis, rim: radius}
}

// support returns the point of the core that is furthest along d, from the centre.
func (s *Shape) support(d r3.Vec) r3.Vec {
	var x r3.Vec
	for i := range s.halves {
		h := s.half[i]
		if r3.Dot(h, d) < 0 {
			x = r3.Sub(x, h)
		} else {
			x = r3.Add(x, h)
		}
	}
	if s.rim > 0 {
		// Square to the axis however nearly d lies along it; along it, any point of the face does.
		flat := r3.Cross(r3.Cross(s.axis, d), s.axis)
		if n := norm(flat); n > 0 {
			x = r3.Add(x, r3.Scale(s.rim/n, flat))
		}
	}
	return x
}

// reach is how far the core goes from its centre along the unit vector n, which is the same both
// ways.
func (s *Shape) reach(n r3.Vec) float64 {
	var x float64
	for i := range s.halves {
		x += math.Abs(r3.Dot(s.half[i], n))
	}
	if s.rim > 0 {
		x += s.rim * norm(r3.Cross(s.axis, n))
	}
	return x
}

// scaled returns the core, larger about its centre.
func (s *Shape) scaled(by float64) Shape {
	t := *s
	for i := range t.halves {
		t.half[i] = r3.Scale(by, t.half[i])
	}
	t.rim *= by
	return t
}

// extent is some length that the core does not reach beyond.
func (s *Shape) extent() float64 {
	x := s.rim
	for i := range s.halves {
		x += 2 * largest(s.half[i])
	}
	return x
}

// norm and unit are quicker than those of r3, which allow for lengths whose squares are no numbers.
func norm(v r3.Vec) float64 { return math.Sqrt(r3.Norm2(v)) }

func unit(v r3.Vec) r3.Vec { return r3.Scale(1/norm(v), v) }

func largest(v r3.Vec) float64 { return max(math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z)) }

// overlap is how far the core of a reaches past where that of b begins, along the unit vector n.
// The least over all n is the depth of cores that overlap, and minus the distance of cores that do
// not.
func overlap(a, b *Shape, n r3.Vec) float64 {
	return a.reach(n) + b.reach(n) - r3.Dot(n, r3.Sub(b.centre, a.centre))
}

// pushed is the part of the size of two cores by which they are pushed apart to find a direction
// that their own distance is too short to tell.
const pushed = 1e-3

// Gap returns how far two shapes are apart in millimetres, a unit vector n from a to b, and a point
// of each surface, so that onB - onA = gap·n.
//
// Shapes that are apart: the points are nearest to each other (where many are, as between parallel
// faces, some of them). Shapes that overlap have a gap below zero: -gap is the least way by which b
// must be moved to come free, and n is that way. The gap is continuous through touching, and at
// touching n is square to the surfaces. Where several ways are as short, n is one of them.
//
// Along a motion the gap grows by n·(vB - vA), where vA and vB are the velocities of the two points
// (the envelope theorem), wherever n is the only one.
//
// The package's documentation tells the method and how accurate it is.
func Gap(a, b *Shape) (gap float64, n, onA, onB r3.Vec) {
	size := a.extent() + b.extent() + largest(r3.Sub(a.centre, b.centre))
	if a.halves <= 1 && b.halves <= 1 && a.rim == 0 && b.rim == 0 {
		x, y := segments(a, b)
		d := norm(r3.Sub(y, x))
		if d > 1e-14*size {
			return closestEnds(a, b, d, r3.Scale(1/d, r3.Sub(y, x)), x)
		}
		return closestEnds(a, b, 0, square(a.half[0], b.half[0]), x)
	}
	f := closest(a, b)
	if f.sharp {
		return closestEnds(a, b, f.distance, f.n, f.onA)
	}
	var h float64
	if f.apart {
		// The direction is in doubt, and may be that of a flat face.
		best, _ := flats(a, b)
		best.try(a, b, f.n)
		if a.rim == 0 && b.rim == 0 {
			return closestEnds(a, b, f.distance, best.n, f.onA)
		}
		f.n, h = settle(a, b, best.n, size)
	} else {
		f.n, h = leave(a, b, size)
	}
	// With b pushed free along n, the nearest points are those that touch first, or part last.
	moved := *b
	moved.centre = r3.Add(b.centre, r3.Scale(h+pushed*size, f.n))
	return closestEnds(a, b, -h, f.n, closest(a, &moved).onA)
}

// closestEnds adds the rounding to what is between the cores.
func closestEnds(a, b *Shape, d float64, n, x r3.Vec) (gap float64, way, onA, onB r3.Vec) {
	gap = d - a.round - b.round
	onA = r3.Add(x, r3.Scale(a.round, n))
	return gap, n, onA, r3.Add(onA, r3.Scale(gap, n))
}

// square returns a unit vector square to both, or to the one that is not nothing if they are along
// each other.
func square(u, v r3.Vec) r3.Vec {
	if n := r3.Cross(u, v); norm(n) > 1e-12*norm(u)*norm(v) {
		return unit(n)
	}
	if largest(u) < largest(v) {
		u = v
	}
	if largest(u) == 0 {
		return r3.Vec{Z: 1}
	}
	u = unit(u)
	// Any axis that is not along u.
	other := r3.Vec{X: 1}
	if math.Abs(u.X) > 0.6 {
		other = r3.Vec{Y: 1}
	}
	return unit(r3.Cross(u, other))
}

// segments returns the closest points of two bars' middle lines (closest points of two segments,
// Ericson, Real-Time Collision Detection, section 5.1.9, from memory).
func segments(a, b *Shape) (x, y r3.Vec) {
	u, v := a.half[0], b.half[0]
	r := r3.Sub(a.centre, b.centre)
	uu, vv := r3.Norm2(u), r3.Norm2(v)
	var s, t float64
	switch {
	case uu == 0 && vv == 0:
	case uu == 0:
		t = limit(r3.Dot(v, r) / vv)
	case vv == 0:
		s = limit(-r3.Dot(u, r) / uu)
	default:
		// Cross products rather than differences of products, which lose their digits between
		// nearly parallel bars.
		uxv := r3.Cross(u, v)
		if det := r3.Norm2(uxv); det > 0 {
			s = limit(r3.Dot(uxv, r3.Cross(v, r)) / det)
		}
		uv := r3.Dot(u, v)
		t = (r3.Dot(v, r) + s*uv) / vv
		if t < -1 || t > 1 {
			t = limit(t)
			s = limit((t*uv - r3.Dot(u, r)) / uu)
		}
	}
	return r3.Add(a.centre, r3.Scale(s, u)), r3.Add(b.centre, r3.Scale(t, v))
}

func limit(x float64) float64 { return max(-1, min(1, x)) }
