package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

type kind uint8

const (
	bar kind = iota // a ball is a bar without length
	box
	disc
)

// Shape is a convex shape at a place. It is a value; making one allocates nothing.
type Shape struct {
	kind   kind
	centre r3.Vec
	// half are a box's half axes, square to one another; half[0] is half of a bar's middle line, and a disc's unit axis.
	half [3]r3.Vec
	// radius of a ball, a bar and a disc; width is half of a disc's.
	radius, width float64
}

// Ball returns a ball, its centre and radius in millimetres.
func Ball(centre r3.Vec, radius float64) Shape { return Shape{centre: centre, radius: radius} }

// Bar returns a round bar with round ends: every place within radius of the line from one point to another, in millimetres.
func Bar(from, to r3.Vec, radius float64) Shape {
	s := Shape{centre: r3.Scale(0.5, r3.Add(from, to)), radius: radius}
	s.half[0] = r3.Scale(0.5, r3.Sub(to, from))
	return s
}

// Box returns a box with half axes in millimetres, square to one another.
func Box(centre, a, b, c r3.Vec) Shape {
	return Shape{kind: box, centre: centre, half: [3]r3.Vec{a, b, c}}
}

// Disc returns a round disc with flat faces, such as a tyre: the unit vector along its axis, its radius and half its width in millimetres.
func Disc(centre, axis r3.Vec, radius, halfWidth float64) Shape {
	return Shape{kind: disc, centre: centre, half: [3]r3.Vec{axis}, radius: radius, width: halfWidth}
}

// rounding is how far the shape reaches beyond its core, which is what support is of.
func (s *Shape) rounding() float64 {
	if s.kind == bar {
		return s.radius
	}
	return 0
}

// support returns the point of the core that is furthest along d.
func (s *Shape) support(d r3.Vec) r3.Vec {
	x := s.centre
	switch s.kind {
	case bar:
		return r3.Add(x, toward(s.half[0], d))
	case box:
		for _, h := range s.half {
			x = r3.Add(x, toward(h, d))
		}
		return x
	default:
		u := s.half[0]
		along := r3.Dot(d, u)
		flat := r3.Sub(d, r3.Scale(along, u))
		x = r3.Add(x, r3.Scale(math.Copysign(s.width, along), u))
		if n := r3.Norm(flat); n > 1e-12*math.Abs(along) {
			x = r3.Add(x, r3.Scale(s.radius/n, flat))
		}
		return x
	}
}

func toward(h, d r3.Vec) r3.Vec {
	if r3.Dot(h, d) < 0 {
		return r3.Scale(-1, h)
	}
	return h
}

// Gap returns how far two shapes are apart in millimetres, the unit vector n of the shortest way from a to b, and the points of the
// surfaces at its ends. Shapes that overlap have a gap below zero: -gap is how far b must be moved along n to come free.
//
// Along a motion the gap grows by n·(vB - vA), v the velocities of those points (the envelope theorem).
//
// Balls and bars: exact to rounding, overlapping ones too, while their middle lines do not meet (closest points of two segments, Ericson,
// Real-Time Collision Detection, section 5.1.9, from memory). Others: the algorithm of Gilbert, Johnson and Keerthi, to 1e-10 of the
// distance or as far as it gets in 200 steps, which with two discs is some 1e-8 mm. Overlapping boxes and discs: the least way
// out along the faces, axes and the line between centres; for boxes with their edges' crosses as well, which is exact. A disc's is at
// most too long, so that its gap may jump as it begins to overlap. n is then that way.
func Gap(a, b *Shape) (gap float64, n, onA, onB r3.Vec) {
	var x, y r3.Vec
	apart := true
	if a.kind == bar && b.kind == bar {
		x, y = segments(a, b)
	} else {
		x, y, apart = gjk(a, b)
	}
	line := r3.Sub(y, x)
	d := r3.Norm(line)
	ra, rb := a.rounding(), b.rounding()
	size := 1 + math.Max(math.Abs(x.X)+math.Abs(x.Y)+math.Abs(x.Z), math.Abs(y.X)+math.Abs(y.Y)+math.Abs(y.Z))
	if !apart || d < 1e-12*size {
		depth, way := wayOut(a, b)
		onA, onB = r3.Add(x, r3.Scale(ra, way)), r3.Sub(x, r3.Scale(depth+rb, way))
		return -depth - ra - rb, way, onA, onB
	}
	n = r3.Scale(1/d, line)
	return d - ra - rb, n, r3.Add(x, r3.Scale(ra, n)), r3.Sub(y, r3.Scale(rb, n))
}

// segments returns the closest points of two bars' middle lines.
func segments(a, b *Shape) (x, y r3.Vec) {
	u, v := a.half[0], b.half[0]
	r := r3.Sub(a.centre, b.centre)
	uu, vv, uv := r3.Norm2(u), r3.Norm2(v), r3.Dot(u, v)
	ur, vr := r3.Dot(u, r), r3.Dot(v, r)
	var s, t float64
	switch {
	case uu == 0 && vv == 0:
	case uu == 0:
		t = limit(vr / vv)
	case vv == 0:
		s = limit(-ur / uu)
	default:
		// |u × v|² rather than the difference of two large numbers, for nearly parallel bars.
		det := r3.Norm2(r3.Cross(u, v))
		if det > 1e-24*uu*vv {
			s = limit((uv*vr - ur*vv) / det)
		}
		t = (vr + s*uv) / vv
		if t < -1 || t > 1 {
			t = limit(t)
			s = limit((t*uv - ur) / uu)
		}
	}
	return r3.Add(a.centre, r3.Scale(s, u)), r3.Add(b.centre, r3.Scale(t, v))
}

func limit(x float64) float64 { return math.Max(-1, math.Min(1, x)) }

// wayOut returns the least way, of those looked at, that takes the core of b out of that of a, and its direction.
func wayOut(a, b *Shape) (depth float64, way r3.Vec) {
	depth = math.Inf(1)
	try := func(d r3.Vec) {
		size := r3.Norm(d)
		if !(size > 1e-9) {
			return
		}
		d = r3.Scale(1/size, d)
		for range 2 {
			over := r3.Dot(d, r3.Sub(a.support(d), b.support(r3.Scale(-1, d))))
			if over < depth {
				depth, way = over, d
			}
			d = r3.Scale(-1, d)
		}
	}
	for _, p := range a.half {
		try(p)
		for _, q := range b.half {
			try(q)
			try(r3.Cross(p, q))
		}
	}
	try(r3.Sub(b.centre, a.centre))
	for _, s := range [2]*Shape{a, b} {
		if s.kind == disc {
			line := r3.Sub(b.centre, a.centre)
			try(r3.Sub(line, r3.Scale(r3.Dot(line, s.half[0]), s.half[0])))
		}
	}
	if math.IsInf(depth, 1) {
		return 0, r3.Vec{Z: 1}
	}
	return math.Max(0, depth), way
}
