package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// lies is the sine of the angle within which a half axis is taken to lie square to the way between
// two cores.
const lies = 1e-3

// edge returns the direction of the half axes that lie square to n, near enough: none is the zero
// vector. If there are several, n is square to a flat face, and ok is false.
func edge(a, b *Shape, n r3.Vec) (along r3.Vec, ok bool) {
	for _, s := range [2]*Shape{a, b} {
		for i := range s.halves {
			g := s.half[i]
			if long := norm(g); math.Abs(r3.Dot(g, n)) < lies*long {
				g = r3.Scale(1/long, g)
				if along != (r3.Vec{}) && norm(r3.Cross(along, g)) > lies {
					return along, false
				}
				along = g
			}
		}
	}
	return along, true
}

// slide turns n to where the overlap is least among the directions near it that are square to
// along, or among all if that is the zero vector. It is Newton's method, for cores of which the
// nearest place is bent, and stops where that is not so.
//
// On unit vectors n, with w the gradient of the overlap h and H its second derivative, a step is (H
// - h)δ = -w square to n. A rim of radius r about the axis u has r|u × n| as its part of h, and
// r/|u × n| times t tᵀ of H, t the unit vector along u × n.
func slide(a, b *Shape, n, along r3.Vec) r3.Vec {
	held := along != (r3.Vec{})
	for range 8 {
		e := along
		if held {
			n = unit(r3.Sub(n, r3.Scale(r3.Dot(n, e), e)))
		} else {
			e = square(n, n)
		}
		p, _ := a.held(n, along)
		q, _ := b.held(r3.Scale(-1, n), along)
		w := r3.Add(r3.Sub(a.centre, b.centre), r3.Sub(p, q))
		h := r3.Dot(w, n)
		f := r3.Cross(n, e)
		we, wf := r3.Dot(w, e), r3.Dot(w, f)
		ee, ef, ff := -h, 0.0, -h
		for _, s := range [2]*Shape{a, b} {
			if s.rim == 0 {
				continue
			}
			t := r3.Cross(s.axis, n)
			m := norm(t)
			if m < lies {
				return n
			}
			k := s.rim / (m * m * m)
			te, tf := r3.Dot(t, e), r3.Dot(t, f)
			ee, ef, ff = ee+k*te*te, ef+k*te*tf, ff+k*tf*tf
		}
		var by r3.Vec
		det := ee*ff - ef*ef
		switch {
		case held && ff > 0:
			by = r3.Scale(-wf/ff, f)
		case !held && ee > 0 && det > 0:
			by = r3.Add(r3.Scale((ef*wf-ff*we)/det, e), r3.Scale((ef*we-ee*wf)/det, f))
		default:
			return n
		}
		n = unit(r3.Add(n, by))
		if largest(by) < 1e-15 {
			break
		}
	}
	return n
}

// finish guesses from a direction near the right one how two cores with rims are nearest: whether
// along an edge, the rest being bent. It then has the direction of the least overlap, which bounds
// the distance from below, and two points, which bound it from above, and tells whether the bounds
// agree; if not, the guess was wrong.
func finish(a, b *Shape, n r3.Vec, size float64) (found, bool) {
	along, ok := edge(a, b, n)
	if !ok {
		return found{}, false
	}
	n = slide(a, b, n, along)
	p, freeA := a.held(n, along)
	q, freeB := b.held(r3.Scale(-1, n), along)
	w := r3.Add(r3.Sub(a.centre, b.centre), r3.Sub(p, q))
	if free := freeA + freeB; free > 0 {
		// The half axes along the edge make up what is left.
		share := limit(-r3.Dot(w, along) / free)
		p = r3.Add(p, r3.Scale(share*freeA, along))
		w = r3.Add(w, r3.Scale(share*free, along))
	}
	d, low := norm(w), -overlap(a, b, n)
	return found{apart: true, sharp: true, distance: d, n: n, onA: r3.Add(a.centre, p)}, low > 0 && d-low < 0.01*agree*size
}

// held is support without the half axes along a direction, and how far those go together.
func (s *Shape) held(n, along r3.Vec) (x r3.Vec, free float64) {
	for i := range s.halves {
		g := s.half[i]
		switch c := r3.Dot(g, n); {
		case along != (r3.Vec{}) && math.Abs(c) < 2*lies*norm(g):
			free += norm(g)
		case c < 0:
			x = r3.Sub(x, g)
		default:
			x = r3.Add(x, g)
		}
	}
	if s.rim > 0 {
		flat := r3.Cross(r3.Cross(s.axis, n), s.axis)
		if m := norm(flat); m > 0 {
			x = r3.Add(x, r3.Scale(s.rim/m, flat))
		}
	}
	return x, free
}
