package linkage

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// Dimensions returns every dimension of the linkage in one vector: for each body
// its axis point and direction (a body through two balls has zeros there: the balls say it),
// then each ball's place, each arrow's direction, each rod's length.
func (l *description) Dimensions() []float64 {
	d := make([]float64, 0, l.NumDimensions())
	put := func(v r3.Vec) { d = append(d, v.X, v.Y, v.Z) }
	for i := 1; i < len(l.bodies); i++ {
		n := &l.bodies[i]
		if n.carrier == onBalls {
			put(r3.Vec{})
			put(r3.Vec{})
			continue
		}
		put(n.point)
		put(n.axis)
	}
	for _, b := range l.balls {
		put(b.at)
	}
	for _, a := range l.arrows {
		put(a.at)
	}
	for _, r := range l.rods {
		d = append(d, r.length)
	}
	return d
}

// NumDimensions returns the length of the vector of dimensions.
func (l *description) NumDimensions() int { return l.rodDim(Rod(len(l.rods))) }

func (l *description) bodyDim(b Body) int   { return 6 * (int(b) - 1) }
func (l *description) ballDim(b Ball) int   { return 6*(len(l.bodies)-1) + 3*int(b) }
func (l *description) arrowDim(a Arrow) int { return l.ballDim(Ball(len(l.balls))) + 3*int(a) }
func (l *description) rodDim(r Rod) int     { return l.arrowDim(Arrow(len(l.arrows))) + int(r) }

func vecAt(d []float64, i int) r3.Vec { return r3.Vec{X: d[i], Y: d[i+1], Z: d[i+2]} }

// WithDimensions returns the same linkage with other dimensions, in the order of
// [Linkage.Dimensions]: the bodies, rods, inputs and start stay. Errors as for Build.
func (l *Linkage) WithDimensions(dims []float64) (*Linkage, error) {
	if len(dims) != l.NumDimensions() {
		return nil, fmt.Errorf("linkage: %w: %d dimensions given, %d wanted", ErrInput, len(dims), l.NumDimensions())
	}
	b := NewBuilder()
	for i, p := range l.balls {
		p.at = vecAt(dims, l.ballDim(Ball(i)))
		b.balls = append(b.balls, p)
	}
	for i := 1; i < len(l.bodies); i++ {
		n := l.bodies[i]
		at := l.bodyDim(Body(i))
		n.point, n.axis = vecAt(dims, at), vecAt(dims, at+3)
		if n.carrier == onBalls {
			n.point = b.balls[n.ends[0]].at
			n.axis = r3.Sub(b.balls[n.ends[1]].at, n.point)
		}
		input := n.input
		b.add(n)
		b.bodies[i].input = input
	}
	for i, a := range l.arrows {
		b.Arrow(a.name, a.body, vecAt(dims, l.arrowDim(Arrow(i))))
	}
	for i, r := range l.rods {
		b.Rod(r.name, r.a, r.b, dims[l.rodDim(Rod(i))])
	}
	b.inputs = l.inputs
	return b.Build()
}
