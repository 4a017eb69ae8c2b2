package vehicle

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"evenlock/linkage"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// assembly returns bodies in random chains, joined by random rods: about as many as it takes, and up
// to two more or fewer.
func assembly(rng *rand.Rand) *Vehicle {
	s := newSketch()
	s.Axles = nil
	place := func() r3.Vec { return vec(200*rng.Float64()-100, 200*rng.Float64()-100, 200*rng.Float64()-100) }
	some := func() *Body { return s.Bodies[rng.IntN(len(s.Bodies))] }
	// rod joins two bodies, of which neither is the other.
	rod := func(a, b *Body) *Rod {
		name := fmt.Sprintf("rod %d", len(s.Rods)+1)
		return s.rod(name, s.ball(name+"'s one end", a, place()), s.ball(name+"'s other end", b, place()))
	}
	open := 0
	for i := range 1 + rng.IntN(5) {
		moves, on, name := []Moves{Turns, Turns, Slides, Between, Free}[rng.IntN(5)], some(), fmt.Sprintf("body %d", i+1)
		switch moves {
		case Between:
			a, c := some(), some()
			if a == c {
				continue
			}
			b := s.between(name, s.ball(name+"'s one end", a, place()), s.ball(name+"'s other end", c, place()))
			b.On = on
			if rng.IntN(2) == 0 {
				s.rod(name+"'s upright", b.Ends[0], b.Ends[1])
				open--
			}
			b.Drive = []Drive{ByRods, Still}[rng.IntN(2)]
		case Free:
			b := s.body(name, nil, Free, place(), r3.Vec{})
			if b.Drive = []Drive{ByRods, ByTravel}[rng.IntN(2)]; b.Drive == ByTravel {
				open -= 2
			}
			open += 5
		default:
			b := s.body(name, on, moves, place(), place())
			b.Start = 0.3 * rng.Float64()
			b.Drive = []Drive{ByRods, ByRods, Still}[rng.IntN(3)]
		}
		if b := s.Bodies[len(s.Bodies)-1]; b.Drive != Still {
			open++
		}
	}
	for range open + []int{-2, -1, 0, 0, 0, 0, 1, 2}[rng.IntN(8)] {
		if a, b := some(), some(); a != b {
			rod(a, b)
		}
	}
	pose := home(s.Vehicle)
	for _, r := range s.Rods {
		r.Length = pose.gap(r)
	}
	return s.Vehicle
}

// pose are coordinates of bodies: those of one that is free in the order forward, sideways, up, yaw,
// pitch and roll. Its places are found anew, apart from those of the kernel.
type pose map[*Body]*[6]float64

func home(v *Vehicle) pose {
	q := pose{}
	for _, b := range v.Bodies {
		q[b] = new([6]float64)
		if q[b][0] = b.Start; b.Moves == Free {
			q[b][0], q[b][5] = 0, b.Start
		}
	}
	return q
}

func (q pose) place(b *Body, x r3.Vec) r3.Vec {
	c := q[b]
	switch b.Moves {
	case Turns:
		return q.place(b.On, Turned(x, b.Point, b.Axis, c[0]))
	case Slides:
		return q.place(b.On, r3.Add(x, r3.Scale(c[0], b.Axis)))
	case Between:
		from, to := b.Ends[0], b.Ends[1]
		x = Turned(x, from.At, r3.Unit(r3.Sub(to.At, from.At)), c[0])
		carried := q.place(b.On, from.At)
		was := r3.Unit(r3.Sub(q.place(b.On, to.At), carried))
		foot := q.at(from)
		is := r3.Unit(r3.Sub(q.at(to), foot))
		arm := r3.Sub(q.place(b.On, x), carried)
		if axis := r3.Cross(was, is); r3.Norm(axis) > 1e-12 {
			arm = r3.NewRotation(math.Atan2(r3.Norm(axis), r3.Dot(was, is)), axis).Rotate(arm)
		}
		return r3.Add(foot, arm)
	case Free:
		for i, axis := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
			x = Turned(x, b.Point, axis, c[5-i])
		}
		return r3.Add(x, vec(c[0], c[1], c[2]))
	default:
		return x
	}
}

func (q pose) at(b *Ball) r3.Vec  { return q.place(b.On, b.At) }
func (q pose) gap(r *Rod) float64 { return r3.Norm(r3.Sub(q.at(r.From), q.at(r.To))) }

// open returns the numbers of a body's coordinates that nothing drives.
func open(b *Body) []int {
	switch {
	case b.Moves == Free && b.Drive == ByTravel:
		return []int{0, 1, 3, 4}
	case b.Moves == Free:
		return []int{0, 1, 2, 3, 4, 5}
	case b.Moves == Fixed || b.Drive != ByRods:
		return nil
	default:
		return []int{0}
	}
}

// mobility returns the degrees of freedom by the criterion of Grübler and Kutzbach, six a body that
// moves less those that its joint takes, what drives it and the rods; and by the rank of central
// differences of the rods' lengths, of the fourth order.
func mobility(v *Vehicle) (counted, ranked int) {
	q := home(v)
	var columns [][]float64
	for _, b := range v.Bodies {
		if b.Moves == Fixed {
			continue
		}
		counted += 6
		if b.Moves != Free {
			counted -= 5
		}
		switch b.Drive {
		case ByTravel:
			counted -= 2
		case Still:
			counted--
		}
		for _, k := range open(b) {
			column, c := make([]float64, len(v.Rods)), &q[b][k]
			at, step := *c, 1e-3
			if b.Moves == Slides || b.Moves == Free && k < 3 {
				step = 0.1
			}
			for _, s := range []struct{ by, weight float64 }{{-2, 1}, {-1, -8}, {1, 8}, {2, -1}} {
				*c = at + s.by*step
				for i, r := range v.Rods {
					column[i] += s.weight * q.gap(r) / 12
				}
			}
			*c = at
			columns = append(columns, column)
		}
	}
	counted -= len(v.Rods)
	rank := 0
	if len(v.Rods) > 0 && len(columns) > 0 {
		j := mat.NewDense(len(columns), len(v.Rods), nil)
		for k, c := range columns {
			j.SetRow(k, c)
		}
		var svd mat.SVD
		svd.Factorize(j, mat.SVDNone)
		for _, s := range svd.Values(nil) {
			if s > 1e-8 { // The differences are good to some 1e-10.
				rank++
			}
		}
	}
	return counted, len(columns) - rank
}

// TestFreedomOfRandomAssemblies compares the degrees of freedom of 1,000 assemblies with those
// counted and ranked apart, and what Check says with whether the kernel builds them; and does what
// Check advises.
func TestFreedomOfRandomAssemblies(t *testing.T) {
	seen := map[string]int{}
	for seed := range uint64(1000) {
		v := assembly(rand.New(rand.NewPCG(seed, 9)))
		counted, ranked, err := v.Freedom()
		if err != nil {
			t.Fatal(seed, err)
		}
		if c, r := mobility(v); counted != c || ranked != r {
			t.Errorf("%d: %d degrees of freedom by count and %d by rank, not %d and %d", seed, counted, ranked, c, r)
		}
		errs := v.checkFreedom()
		to, _ := v.write()
		_, built := to.Build()
		if (built == nil) != (len(errs) == 0) || (built == nil) != (counted == 0 && ranked == 0) {
			t.Errorf("%d: building says %v; the check says %v; %d and %d degrees of freedom", seed, built, errs, counted, ranked)
		}
		switch {
		case built == nil:
			seen["builds"]++
		case errors.Is(built, linkage.ErrUnderConstrained):
			seen["too free"]++
		case errors.Is(built, linkage.ErrOverConstrained):
			seen["too stiff"]++
		default: // The kernel's match of rods with bodies found no fault, and its Jacobian is singular.
			seen["singular"]++
		}
		if ranked > 0 && ranked > counted {
			seen["both"]++
		}
		for _, e := range errs {
			follow(t, seed, v, e)
		}
	}
	t.Log(seen)
	for _, kind := range []string{"builds", "too free", "too stiff", "both"} {
		if seen[kind] < 100 {
			t.Errorf("only %d of the assemblies are of the kind %q", seen[kind], kind)
		}
	}
}

// follow does what an error advises: holds the body that it names, and so leaves a freedom less;
// or leaves out the rod that it names, and so none the more.
func follow(t *testing.T, seed uint64, v *Vehicle, e *Error) {
	t.Helper()
	_, was, _ := v.Freedom()
	if i := slices.IndexFunc(v.Bodies, func(b *Body) bool { return b.Name == e.Key }); i >= 0 {
		b := v.Bodies[i]
		if b.Moves == Free {
			return
		}
		b.Drive = Still
		if _, is, _ := v.Freedom(); is != was-1 {
			t.Errorf("%d: %v: holding it takes %d degrees of freedom to %d", seed, e, was, is)
		}
		b.Drive = ByRods
		return
	}
	less := *v
	less.Rods = slices.DeleteFunc(slices.Clone(v.Rods), func(r *Rod) bool { return r.Name == e.Key })
	if _, is, _ := less.Freedom(); is != was || len(less.Rods) != len(v.Rods)-1 {
		t.Errorf("%d: %v: without it %d degrees of freedom are %d", seed, e, was, is)
	}
}
