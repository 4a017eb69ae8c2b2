package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// leave returns the least way, and its direction, that takes the core of b out of that of a.
//
// Without rims, what one core's points less the other's make is a body whose faces are each square to two of the half axes, and the least
// way is that to the nearest face. With a rim it need not end at a flat face: the best of those ways, and the one out of the body along the line from its
// centre, are carried on to where no direction near is shorter.
func leave(a, b *Shape, size float64) (n r3.Vec, depth float64) {
	depth = math.Inf(1)
	try := func(d r3.Vec) {
		m := r3.Norm(d)
		if m == 0 {
			return
		}
		d = r3.Scale(1/m, d)
		for range 2 {
			if h := overlap(a, b, d); h < depth {
				n, depth = d, h
			}
			d = r3.Scale(-1, d)
		}
	}
	var along [6]r3.Vec
	count := copy(along[:], a.half[:a.halves])
	count += copy(along[count:], b.half[:b.halves])
	for i, u := range along[:count] {
		for _, v := range along[:i] {
			if w := r3.Cross(u, v); r3.Norm(w) > 1e-12*r3.Norm(u)*r3.Norm(v) {
				try(w)
			}
		}
	}
	if a.rim == 0 && b.rim == 0 {
		if math.IsInf(depth, 1) {
			try(square(along[0], along[0]))
		}
		return n, math.Max(0, depth)
	}
	line := r3.Sub(b.centre, a.centre)
	try(line)
	for _, s := range [2]*Shape{a, b} {
		try(s.axis)
		try(r3.Cross(s.axis, r3.Cross(s.axis, line)))
	}
	n, depth = settle(a, b, n, size)
	if out, ok := ray(a, b, line, size); ok {
		if m, h := settle(a, b, out, size); h < depth {
			n, depth = m, h
		}
	}
	return n, math.Max(0, depth)
}

// settle turns n to where no direction near has less overlap. In each step b is pushed free along n, and the nearest points
// then give the next n. The step minimises overlap(m) + free·|m - n|²/2 over unit vectors m, free being how far it was pushed, so the overlap never grows.
func settle(a, b *Shape, n r3.Vec, size float64) (way r3.Vec, h float64) {
	h = overlap(a, b, n)
	moved := *b
	for range 30 {
		moved.centre = r3.Add(b.centre, r3.Scale(h+pushed*size, n))
		f := closest(a, &moved)
		less := overlap(a, b, f.n)
		if !f.apart || !(less < h) {
			break
		}
		done := h-less < 1e-15*size
		n, h = f.n, less
		if done {
			break
		}
	}
	return n, h
}

// ray returns the normal where the line between the centres leaves the body made of the differences of points of the cores. As the cores come apart that
// place comes to the origin, which makes the depth continuous through touching: the way along that normal is no longer than the way to the place.
//
// It grows both cores from their centres until they touch; each step takes them to where the last normal says they would.
func ray(a, b *Shape, line r3.Vec, size float64) (n r3.Vec, ok bool) {
	d := r3.Norm(line)
	if d == 0 {
		return n, false
	}
	n = r3.Scale(1/d, line)
	grown := 0.0
	for range 20 {
		by := r3.Dot(n, line) / (a.reach(n) + b.reach(n))
		if !(by > grown*(1+1e-12)) {
			break
		}
		grown = by
		p, q := a.scaled(by), b.scaled(by)
		f := closest(&p, &q)
		if !f.apart || f.distance < touching*touching*size {
			break
		}
		n = f.n
	}
	return n, true
}
