package steer

import (
	"math"

	"gonum.org/v1/gonum/num/dual"
	"gonum.org/v1/gonum/spatial/r3"
)

// vec is a vector v with its derivative d along one direction, so that each
// quantity is written once for its value and its derivative.
type vec struct{ v, d r3.Vec }

func (a vec) sub(b vec) vec { return vec{r3.Sub(a.v, b.v), r3.Sub(a.d, b.d)} }

func (a vec) scale(k dual.Number) vec {
	return vec{r3.Scale(k.Real, a.v), r3.Add(r3.Scale(k.Real, a.d), r3.Scale(k.Emag, a.v))}
}

func (a vec) dot(b vec) dual.Number {
	return dual.Number{Real: r3.Dot(a.v, b.v), Emag: r3.Dot(a.v, b.d) + r3.Dot(a.d, b.v)}
}

func (a vec) cross(b vec) vec {
	return vec{r3.Cross(a.v, b.v), r3.Add(r3.Cross(a.v, b.d), r3.Cross(a.d, b.v))}
}

// norm of as good as no vector, whose direction is rounding, grows whichever way it moves.
func (a vec) norm() dual.Number {
	n := math.Sqrt(r3.Norm2(a.v))
	if n < 1e-9 {
		return dual.Number{Real: n, Emag: r3.Norm(a.d)}
	}
	return dual.Number{Real: n, Emag: r3.Dot(a.v, a.d) / n}
}

func (a vec) unit() vec {
	n := a.norm()
	return a.scale(quotient(dual.Number{Real: 1}, n))
}

// square returns the part of a square to the unit vector u.
func (a vec) square(u vec) vec { return a.sub(u.scale(a.dot(u))) }

func quotient(a, b dual.Number) dual.Number {
	q := a.Real / b.Real
	return dual.Number{Real: q, Emag: (a.Emag - q*b.Emag) / b.Real}
}

func atan2(y, x dual.Number) dual.Number {
	return dual.Number{
		Real: math.Atan2(y.Real, x.Real),
		Emag: (x.Real*y.Emag - y.Real*x.Emag) / (x.Real*x.Real + y.Real*y.Real),
	}
}

// angle returns the angle between two vectors. It is accurate at all angles but
// its derivative turns sign where they are in line, and is there that of their moving apart.
func angle(a, b vec) dual.Number { return atan2(a.cross(b).norm(), a.dot(b)) }

// asin returns the arc sine of a number well inside ±1.
func asin(x dual.Number) dual.Number {
	return dual.Number{Real: math.Asin(x.Real), Emag: x.Emag / math.Sqrt(1-x.Real*x.Real)}
}

func abs(x dual.Number) dual.Number {
	if x.Real < 0 {
		return dual.Number{Real: -x.Real, Emag: -x.Emag}
	}
	return x
}

func negate(x dual.Number) dual.Number { return dual.Number{Real: -x.Real, Emag: -x.Emag} }
