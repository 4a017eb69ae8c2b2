package rig

import "gonum.org/v1/gonum/spatial/r3"

// Set puts a point at a place, in millimetres, and leaves its uncertainties.
func (p *Point) Set(to r3.Vec) {
	for i, x := range [3]float64{to.X, to.Y, to.Z} {
		p[i].Value, p[i].Given = x, true
	}
}

// Vec is the point as a vector, in millimetres.
func (p Point) Vec() r3.Vec { return r3.Vec{X: p[0].Value, Y: p[1].Value, Z: p[2].Value} }

// PointAt returns a place, in millimetres, as the file states one, without uncertainty.
func PointAt(v r3.Vec) Point {
	given := func(x float64) Length { return Length{Quantity{Value: x, Given: true}} }
	return Point{given(v.X), given(v.Y), given(v.Z)}
}

// or returns the direction as a vector, or another where it was left out.
func (d Direction) or(other r3.Vec) r3.Vec {
	if !d.Given() {
		return other
	}
	return r3.Unit(r3.Vec{X: d[0], Y: d[1], Z: d[2]})
}
