package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// found is what is known of two cores: whether they are apart and how far, the unit vector from a
// to b and the nearest point of a.
type found struct {
	apart bool
	// sharp tells that distance and n are right; that the bounds of the distance agree, if there
	// are rims.
	sharp    bool
	distance float64
	n, onA   r3.Vec
}

// simplex is one to four points of the difference of two cores, each with the points of a that it
// is of.
type simplex struct {
	w, a [4]r3.Vec
	t    [4]float64
	n    int
}

// part is the place of a point, an edge or a triangle of a simplex that is nearest the origin: its
// corners and their weights.
type part struct {
	index [3]int
	t     [3]float64
	n     int
	v     r3.Vec
	vv    float64
}

const (
	steps = 100
	// closeEnough is the part of the distance by which it may still be too long.
	closeEnough = 1e-13
	// agree is the part of the size within which the two bounds of a distance must be, for it to be
	// taken.
	agree = 1e-12
	// resolution is the part of the size above which the way between two cores without rims tells
	// its direction.
	resolution = 1e-10
	// nothing is the part of the size below which a distance may be rounding.
	nothing = 1e-13
)

// closest is the algorithm of Gilbert, Johnson and Keerthi (IEEE Journal of Robotics and Automation
// 4, 1988, from memory). Of every direction that it tries, the overlap is a bound of the distance
// from below, so that it knows how far off it can be.
func closest(a, b *Shape) found {
	between := r3.Sub(a.centre, b.centre)
	v := between
	if largest(v) == 0 {
		v = r3.Vec{X: 1}
	}
	var s, before simplex
	rims := a.rim > 0 || b.rim > 0
	size := a.extent() + b.extent() + largest(between)
	least, stalled := math.Inf(1), 0
	f := found{apart: true, distance: math.Inf(-1)}
	for step := range steps {
		long := norm(v)
		p := a.support(r3.Scale(-1, v))
		w := r3.Add(between, r3.Sub(p, b.support(v)))
		if low := r3.Dot(v, w) / long; low > f.distance {
			f.distance, f.n = low, r3.Scale(-1/long, v)
		}
		if s.n > 0 && least-f.distance <= closeEnough*least || s.has(w) {
			break
		}
		if rims && step >= 2 && step%2 == 0 && f.distance > 0 {
			if g, ok := finish(a, b, f.n, size); ok {
				return g
			}
		}
		before = s
		s.w[s.n], s.a[s.n] = w, p
		s.n++
		inside := s.nearest(&v)
		if inside && !(f.distance > 0) {
			return found{}
		}
		now := norm(v)
		if !(now < least) {
			stalled++
		}
		// Where it comes no nearer by more than rounding, the direction may still become better.
		if inside || now > least+nothing*size || stalled > 8 {
			s = before
			break
		}
		least = min(least, now)
		if now == 0 {
			return found{}
		}
	}
	if !(f.distance > 0) && least < nothing*size {
		// The simplex happens to go through the origin, which says nothing of what is beyond.
		return found{}
	}
	f.onA = a.centre
	for i := range s.n {
		f.onA = r3.Add(f.onA, r3.Scale(s.t[i], s.a[i]))
	}
	if s.n == 3 {
		// A distance that is all rounding says nothing of the direction, and the triangle still
		// does.
		m := r3.Cross(r3.Sub(s.w[1], s.w[0]), r3.Sub(s.w[2], s.w[0]))
		if long := norm(m); long > 0 {
			m = r3.Scale(math.Copysign(1/long, -r3.Dot(m, s.w[0])), m)
			if low := -overlap(a, b, m); low > f.distance {
				f.distance, f.n = low, m
			}
		}
	}
	f.sharp = least-f.distance < agree*size
	if !f.sharp && !rims && least > resolution*size {
		// Between corners and edges so near, the bound from below falls short by what rounding does
		// to n times the size. The way itself tells n well.
		var way r3.Vec
		for i := range s.n {
			way = r3.Sub(way, r3.Scale(s.t[i], s.w[i]))
		}
		f.n, f.sharp = unit(way), true
	}
	f.distance = least
	return f
}

func (s *simplex) has(w r3.Vec) bool {
	for i := range s.n {
		if s.w[i] == w {
			return true
		}
	}
	return false
}

// nearest keeps the part of the simplex that is nearest the origin, and sets v to the place. It
// keeps all and leaves v if the origin is inside.
func (s *simplex) nearest(v *r3.Vec) (inside bool) {
	var p part
	switch s.n {
	case 1:
		p = s.point(0)
	case 2:
		p = s.edge(0, 1)
	case 3:
		p = s.triangle(0, 1, 2)
	default:
		faces := [4][4]int{{0, 1, 3, 2}, {0, 2, 3, 1}, {1, 2, 3, 0}, {0, 1, 2, 3}}
		if s.within(faces[0]) && s.within(faces[1]) && s.within(faces[2]) && s.within(faces[3]) {
			return true
		}
		// The place is on a face with the newest corner, whatever rounding makes of the sides of a
		// thin simplex.
		p.vv = math.Inf(1)
		for _, f := range faces[:3] {
			if q := s.triangle(f[0], f[1], f[2]); q.vv < p.vv {
				p = q
			}
		}
	}
	whole := *s
	s.n = p.n
	for i := range p.n {
		s.w[i], s.a[i], s.t[i] = whole.w[p.index[i]], whole.a[p.index[i]], p.t[i]
	}
	*v = p.v
	return false
}

// within tells whether the origin is between the plane of the first three corners and the fourth. A
// thin simplex, whose heights are rounding, does not say so of an origin that is off its plane.
func (s *simplex) within(f [4]int) bool {
	p := s.w[f[0]]
	n := r3.Cross(r3.Sub(s.w[f[1]], p), r3.Sub(s.w[f[2]], p))
	height, origin := r3.Dot(n, r3.Sub(s.w[f[3]], p)), -r3.Dot(n, p)
	part := origin / height
	return part > 0 && part <= 1
}

func (s *simplex) point(i int) part {
	return part{index: [3]int{i}, t: [3]float64{1}, n: 1, v: s.w[i], vv: r3.Norm2(s.w[i])}
}

func (s *simplex) edge(i, j int) part {
	p, q := s.w[i], s.w[j]
	d := r3.Sub(q, p)
	t := -r3.Dot(p, d) / r3.Norm2(d)
	switch {
	case !(t > 0):
		return s.point(i)
	case !(t < 1):
		return s.point(j)
	}
	v := r3.Add(r3.Scale(1-t, p), r3.Scale(t, q))
	return part{index: [3]int{i, j}, t: [3]float64{1 - t, t}, n: 2, v: v, vv: r3.Norm2(v)}
}

// triangle takes the place in the plane if it is in the triangle, and else the nearest of the
// edges. The result is a point of the triangle whatever rounding does to a thin one.
func (s *simplex) triangle(i, j, k int) part {
	p, q, r := s.w[i], s.w[j], s.w[k]
	pq, pr := r3.Sub(q, p), r3.Sub(r, p)
	n := r3.Cross(pq, pr)
	// Of edges rather than of far corners, so that a small triangle keeps its digits.
	tp, tq, tr := r3.Dot(n, r3.Cross(q, r3.Sub(r, q))), r3.Dot(n, r3.Cross(pr, p)), r3.Dot(n, r3.Cross(p, pq))
	best := part{vv: math.Inf(1)}
	if sum := tp + tq + tr; tp > 0 && tq > 0 && tr > 0 {
		tp, tq, tr = tp/sum, tq/sum, tr/sum
		v := r3.Add(r3.Scale(tp, p), r3.Add(r3.Scale(tq, q), r3.Scale(tr, r)))
		best = part{index: [3]int{i, j, k}, t: [3]float64{tp, tq, tr}, n: 3, v: v, vv: r3.Norm2(v)}
		if r3.Norm2(n) > 1e-8*r3.Norm2(pq)*r3.Norm2(pr) {
			return best
		}
	}
	for _, e := range [3]part{s.edge(i, j), s.edge(i, k), s.edge(j, k)} {
		if e.vv < best.vv {
			best = e
		}
	}
	return best
}
