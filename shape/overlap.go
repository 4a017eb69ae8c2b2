package shape

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// around is how many directions around each half axis are tried.
	around = 96
	// carried is how many directions are carried on to where none near is shorter.
	carried = 5
)

// way is a direction with the overlap along it.
type way struct {
	n r3.Vec
	h float64
}

func (w *way) try(a, b *Shape, n r3.Vec) {
	if h := overlap(a, b, n); h < w.h {
		w.n, w.h = n, h
	}
}

// directions are those of the half axes of two cores, and of the axes of rims.
type directions struct {
	all   [8]r3.Vec
	count int
}

func (d *directions) add(v r3.Vec) {
	if long := norm(v); long > 0 {
		d.all[d.count] = r3.Scale(1/long, v)
		d.count++
	}
}

// flats returns the direction of least overlap among those square to two half axes or to a flat
// face, and the directions of all.
func flats(a, b *Shape) (best way, d directions) {
	for _, s := range [2]*Shape{a, b} {
		for _, g := range s.half[:s.halves] {
			d.add(g)
		}
	}
	best = way{square(d.all[0], d.all[0]), math.Inf(1)}
	best.try(a, b, best.n)
	both := func(n r3.Vec) {
		best.try(a, b, n)
		best.try(a, b, r3.Scale(-1, n))
	}
	for i, u := range d.all[:d.count] {
		for _, v := range d.all[:i] {
			if w := r3.Cross(u, v); norm(w) > 1e-12 {
				both(unit(w))
			}
		}
	}
	for _, s := range [2]*Shape{a, b} {
		if s.rim > 0 {
			both(s.axis)
			d.add(s.axis)
		}
	}
	return best, d
}

// leave returns the least way, and its direction, that takes the core of b out of that of a.
//
// Without rims, the points of one core less those of the other make a body whose faces are each
// along two of the half axes, and the least way is that to the nearest face. With a rim it may also
// end on a face that bends, along one half axis or none: then directions around each half axis are
// tried as well, and the best of them, with the one out of the body along the line from its centre,
// are carried on to where no direction near is shorter.
func leave(a, b *Shape, size float64) (n r3.Vec, depth float64) {
	best, d := flats(a, b)
	if a.rim == 0 && b.rim == 0 {
		return best.n, math.Max(0, best.h)
	}
	line := r3.Sub(b.centre, a.centre)
	// The first two stay among those carried on: the second is what makes the depth continuous.
	starts := [48]way{best}
	kept := 1
	if n, ok := ray(a, b, line, size); ok {
		starts[1] = way{n, overlap(a, b, n)}
		kept++
	}
	fixed := kept
	for _, g := range d.all[:d.count] {
		var ring [around]way
		e := square(g, g)
		f := r3.Cross(g, e)
		for i := range ring {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / around)
			n := r3.Add(r3.Scale(cos, e), r3.Scale(sin, f))
			ring[i] = way{n, overlap(a, b, n)}
		}
		for i, w := range &ring {
			if w.h > ring[(i+1)%around].h || w.h > ring[(i+around-1)%around].h || kept == len(starts) {
				continue
			}
			w.try(a, b, slide(a, b, w.n, g))
			starts[kept] = w
			kept++
		}
	}
	slices.SortFunc(starts[fixed:kept], func(v, w way) int { return cmp.Compare(v.h, w.h) })
	done := 0
	for i, w := range starts[:kept] {
		same := func(v way) bool { return r3.Dot(v.n, w.n) > 1-1e-9 }
		if slices.ContainsFunc(starts[:i], same) {
			continue
		}
		if n, h := settle(a, b, w.n, size); h < best.h {
			best = way{n, h}
		}
		done++
		if done == carried {
			break
		}
	}
	return best.n, math.Max(0, best.h)
}

// settle turns n to where no direction near has less overlap. In each step b is pushed free along n
// and by some more, and the nearest points then give the next n. The step minimises overlap(m) +
// free·|m - n|²/2 over unit vectors m, free being how far it was pushed, so the overlap never
// grows.
func settle(a, b *Shape, n r3.Vec, size float64) (turned r3.Vec, h float64) {
	h = overlap(a, b, n)
	moved := *b
	rims := a.rim > 0 || b.rim > 0
	for range 30 {
		moved.centre = r3.Add(b.centre, r3.Scale(h+pushed*size, n))
		f := closest(a, &moved)
		less := overlap(a, b, f.n)
		if along, bent := edge(a, b, f.n); bent && rims {
			// Many such steps at once, if the guess is right.
			m := slide(a, b, f.n, along)
			if l := overlap(a, b, m); l < less {
				f.n, less = m, l
			}
		}
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

// ray returns the normal where the line between the centres leaves the body made of the differences
// of points of the cores. As the cores come apart that place comes to the origin, which makes the
// depth continuous through touching: the way along that normal is no longer than the way to the
// place.
//
// It grows both cores from their centres until they touch; each step takes them to where the last
// normal says they would.
func ray(a, b *Shape, line r3.Vec, size float64) (n r3.Vec, ok bool) {
	d := norm(line)
	if d == 0 {
		return n, false
	}
	n = r3.Scale(1/d, line)
	grown := 0.0
	for range 20 {
		by := r3.Dot(n, line) / (a.reach(n) + b.reach(n))
		if !(by > grown*(1+1e-12)) || by > 1 {
			break
		}
		grown = by
		p, q := a.scaled(by), b.scaled(by)
		f := closest(&p, &q)
		if !f.apart || f.distance < 1e-6*size {
			break
		}
		n = f.n
	}
	return n, true
}
