package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// corner is a point of the difference of two cores, with the points of the cores that it is of.
type corner struct{ w, a, b r3.Vec }

// simplex is a point, an edge, a triangle or a tetrahedron of the difference, with the weights of its corners at the place nearest the origin.
type simplex struct {
	c [4]corner
	t [4]float64
	n int
}

const (
	gjkSteps = 200
	gjkAgain = 3
	// gjkClose is the part of the distance by which it may still be too long.
	gjkClose = 1e-12
)

// gjk returns the closest points of two cores; apart is false if they overlap.
func gjk(a, b *Shape) (x, y r3.Vec, apart bool) {
	var s simplex
	v := r3.Sub(a.centre, b.centre)
	if r3.Norm2(v) == 0 {
		v = r3.Vec{X: 1}
	}
	best, again := math.Inf(1), 0
	for range gjkSteps {
		away := r3.Scale(-1, v)
		c := corner{a: a.support(away), b: b.support(v)}
		c.w = r3.Sub(c.a, c.b)
		vv := r3.Norm2(v)
		// v·w/|v| is as near as the two can be, |v| as far as they are.
		if s.n > 0 && (vv-r3.Dot(v, c.w) <= gjkClose*vv || s.has(c.w)) {
			break
		}
		s.c[s.n] = c
		s.n++
		v = s.nearest()
		if s.n == 4 {
			return x, y, false
		}
		now := r3.Norm2(v)
		switch {
		case now == 0:
			return x, y, false
		case now < best:
			best = now
		case again == gjkAgain:
			return s.ends()
		default:
			// Rounding in a thin simplex has led back: begin anew in the direction that it came to.
			s.n, best = 0, math.Inf(1)
			again++
		}
	}
	return s.ends()
}

// ends returns the points of the two cores that the simplex's nearest place is the difference of.
func (s *simplex) ends() (x, y r3.Vec, apart bool) {
	for i := range s.n {
		x = r3.Add(x, r3.Scale(s.t[i], s.c[i].a))
		y = r3.Add(y, r3.Scale(s.t[i], s.c[i].b))
	}
	return x, y, true
}

func (s *simplex) has(w r3.Vec) bool {
	for i := range s.n {
		if s.c[i].w == w {
			return true
		}
	}
	return false
}

// nearest keeps the part of the simplex that is nearest the origin, and returns the place. All four corners stay if the origin is within.
func (s *simplex) nearest() r3.Vec {
	switch s.n {
	case 1:
		s.t[0] = 1
	case 2:
		s.edge(0, 1)
	case 3:
		s.triangle(0, 1, 2)
	default:
		s.tetrahedron()
	}
	var v r3.Vec
	for i := range s.n {
		v = r3.Add(v, r3.Scale(s.t[i], s.c[i].w))
	}
	return v
}

// keep makes the simplex of some of its corners with weights.
func (s *simplex) keep(index [3]int, weight [3]float64, n int) {
	c := s.c
	s.n = n
	for i := range n {
		s.c[i], s.t[i] = c[index[i]], weight[i]
	}
}

func (s *simplex) edge(i, j int) {
	p, q := s.c[i].w, s.c[j].w
	d := r3.Sub(q, p)
	t := -r3.Dot(p, d) / r3.Norm2(d)
	switch {
	case !(t > 0):
		s.keep([3]int{i}, [3]float64{1}, 1)
	case t >= 1:
		s.keep([3]int{j}, [3]float64{1}, 1)
	default:
		s.keep([3]int{i, j}, [3]float64{1 - t, t}, 2)
	}
}

// triangle is the closest point of a triangle by its regions (Ericson, Real-Time Collision Detection, section 5.1.5, from memory).
func (s *simplex) triangle(i, j, k int) {
	p, q, r := s.c[i].w, s.c[j].w, s.c[k].w
	pq, pr := r3.Sub(q, p), r3.Sub(r, p)
	d1, d2 := -r3.Dot(pq, p), -r3.Dot(pr, p)
	d3, d4 := -r3.Dot(pq, q), -r3.Dot(pr, q)
	d5, d6 := -r3.Dot(pq, r), -r3.Dot(pr, r)
	n := r3.Cross(pq, pr)
	// The weights' sizes are parts of the triangle's area, of which those by differences of products lose their digits in a thin one.
	wr := r3.Dot(n, r3.Cross(p, q))
	wp := r3.Dot(n, r3.Cross(q, r))
	wq := r3.Dot(n, r3.Cross(r, p))
	switch {
	case d1 <= 0 && d2 <= 0:
		s.keep([3]int{i}, [3]float64{1}, 1)
	case d3 >= 0 && d4 <= d3:
		s.keep([3]int{j}, [3]float64{1}, 1)
	case wr <= 0 && d1 >= 0 && d3 <= 0:
		s.edge(i, j)
	case d6 >= 0 && d5 <= d6:
		s.keep([3]int{k}, [3]float64{1}, 1)
	case wq <= 0 && d2 >= 0 && d6 <= 0:
		s.edge(i, k)
	case wp <= 0 && d4-d3 >= 0 && d5-d6 >= 0:
		s.edge(j, k)
	default:
		sum := wp + wq + wr
		s.keep([3]int{i, j, k}, [3]float64{wp / sum, wq / sum, wr / sum}, 3)
	}
}

// tetrahedron looks at the faces that the origin is beyond; if there is none, it is within.
func (s *simplex) tetrahedron() {
	faces := [4][4]int{{0, 1, 2, 3}, {0, 1, 3, 2}, {0, 2, 3, 1}, {1, 2, 3, 0}}
	whole, best := *s, *s
	least := math.Inf(1)
	for _, f := range faces {
		p := whole.c[f[0]].w
		n := r3.Cross(r3.Sub(whole.c[f[1]].w, p), r3.Sub(whole.c[f[2]].w, p))
		inner := r3.Dot(n, r3.Sub(whole.c[f[3]].w, p))
		origin := -r3.Dot(n, p)
		if inner != 0 && inner*origin > 0 {
			continue
		}
		try := whole
		try.triangle(f[0], f[1], f[2])
		var v r3.Vec
		for i := range try.n {
			v = r3.Add(v, r3.Scale(try.t[i], try.c[i].w))
		}
		if d := r3.Norm2(v); d < least {
			least, best = d, try
		}
	}
	if !math.IsInf(least, 1) {
		*s = best
	}
}
