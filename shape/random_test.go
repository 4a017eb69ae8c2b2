package shape_test

import (
	"math"
	"math/rand/v2"

	"evenlock/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

func direction(rng *rand.Rand) r3.Vec {
	return r3.Unit(vec(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()))
}

// described is a shape in the words of the script, by which it can be made again elsewhere.
type described struct {
	Centre [3]float64   `json:"centre"`
	Half   [][3]float64 `json:"half"`
	Axis   [3]float64   `json:"axis"`
	Rim    float64      `json:"rim"`
	Round  float64      `json:"round"`
	kind   int
}

func three(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }

func back(v [3]float64) r3.Vec { return vec(v[0], v[1], v[2]) }

// The kinds of shape.
const (
	aBall = iota
	aBar
	aBox
	aDisc
	kinds
)

var kindNames = [kinds]string{"ball", "bar", "box", "disc"}

// tell draws a shape of a kind. Sizes go from 1 to 40 mm.
func tell(rng *rand.Rand, kind int, centre r3.Vec) *described {
	long := func() float64 { return math.Exp(math.Log(40) * rng.Float64()) }
	u := direction(rng)
	v := r3.Unit(r3.Cross(u, direction(rng)))
	w := r3.Cross(u, v)
	t := &described{Centre: three(centre), kind: kind}
	half := func(v r3.Vec, long float64) { t.Half = append(t.Half, three(r3.Scale(long, v))) }
	switch kind {
	case aBall:
		t.Round = long() / 4
	case aBar:
		half(u, long())
		t.Round = long() / 4
	case aBox:
		half(u, long())
		half(v, long())
		half(w, long())
	default:
		half(u, long()/2)
		t.Axis, t.Rim = three(u), long()
	}
	return t
}

// shape makes it where it is.
func (t *described) shape() shape.Shape { return t.moved(1, func(v r3.Vec) r3.Vec { return v }) }

// moved makes it where a motion of space takes it, larger by the factor, which the motion does too.
func (t *described) moved(larger float64, to func(r3.Vec) r3.Vec) shape.Shape {
	old := back(t.Centre)
	c := to(old)
	half := func(i int) r3.Vec { return r3.Sub(to(r3.Add(old, back(t.Half[i]))), c) }
	switch t.kind {
	case aBall:
		return shape.Ball(c, larger*t.Round)
	case aBar:
		return shape.Bar(r3.Sub(c, half(0)), r3.Add(c, half(0)), larger*t.Round)
	case aBox:
		return shape.Box(c, half(0), half(1), half(2))
	default:
		return shape.Disc(c, r3.Unit(half(0)), larger*t.Rim, r3.Norm(half(0)))
	}
}

// shifted makes it elsewhere, not turned.
func (t *described) shifted(by r3.Vec) shape.Shape {
	return t.moved(1, func(v r3.Vec) r3.Vec { return r3.Add(v, by) })
}

// point is some point of it.
func (t *described) point(rng *rand.Rand) r3.Vec {
	// Corners, edges and rims are more likely to be near than what is inside.
	most := func() float64 { return max(-1, min(1, 2*(2*rng.Float64()-1))) }
	p := back(t.Centre)
	for _, h := range t.Half {
		p = r3.Add(p, r3.Scale(most(), back(h)))
	}
	if t.Rim > 0 {
		p = r3.Add(p, r3.Scale(t.Rim*math.Abs(most()), r3.Unit(r3.Cross(back(t.Axis), direction(rng)))))
	}
	return r3.Add(p, r3.Scale(t.Round*math.Abs(most()), direction(rng)))
}

// pair draws two shapes that are so far apart, or overlap if below zero.
func pair(rng *rand.Rand, kindA, kindB int, apart float64) (a, b *described) {
	a, b = tell(rng, kindA, vec(5, -3, 2)), tell(rng, kindB, r3.Scale(300, direction(rng)))
	sa, sb := a.shape(), b.shape()
	g, n, _, _ := shape.Gap(&sa, &sb)
	b.Centre = three(r3.Sub(back(b.Centre), r3.Scale(g-apart, n)))
	return a, b
}
