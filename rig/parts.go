package rig

import (
	"evenlock/linkage"

	"gonum.org/v1/gonum/spatial/r3"
)

// PartShape is the shape of a part.
type PartShape int

// The shapes that a part can have.
const (
	// BallPart is a ball about From.
	BallPart PartShape = iota
	// BarPart is a round bar between From and To, with round ends.
	BarPart
	// BoxPart is a box about From, with its sides along the vehicle's axes when the wheels are
	// straight.
	BoxPart
)

var partShapes = map[string]PartShape{"ball": BallPart, "bar": BarPart, "box": BoxPart}

// PartGeometry is a thing that the steering must clear.
type PartGeometry struct {
	Name, On string
	Shape    PartShape
	From, To r3.Vec
	Radius   float64
	// Half is half a box's size each way.
	Half r3.Vec
	// Gap is how much room it must keep.
	Gap float64
}

// PartHandles find a part in a Mechanism: the body that it is on, its From and To (From twice where
// it has but one), and the directions of a box's sides.
type PartHandles struct {
	On       linkage.Body
	From, To linkage.Ball
	Sides    [3]linkage.Arrow
}

// parts finds the parts' places.
func (r *Rig) parts() []PartGeometry {
	all := make([]PartGeometry, len(r.Parts))
	for i, p := range r.Parts {
		one := PartGeometry{Name: p.Name, On: p.On, Shape: partShapes[p.Shape], Radius: p.Radius.Value, Gap: p.Gap.Value}
		if one.Shape == BarPart {
			one.From, one.To = p.From.vec(), p.To.vec()
		} else {
			one.From = p.Centre.vec()
			one.Half = r3.Scale(0.5, p.Size.vec())
		}
		all[i] = one
	}
	return all
}

// describeParts adds what the parts' places need.
func (g *Geometry) describeParts(b *linkage.Builder, m *Mechanism) {
	on := map[string]linkage.Body{
		"chassis": linkage.Ground, "axle": m.Axle, "horn": m.Horn, "left_knuckle": m.Left, "right_knuckle": m.Right, "tie_rod": m.TieRod, "crank": m.Crank, "rack": m.Crank,
	}
	for _, p := range g.Parts {
		h := PartHandles{On: on[p.On]}
		h.From = b.Ball(p.Name, h.On, p.From)
		h.To = h.From
		switch p.Shape {
		case BarPart:
			h.To = b.Ball(p.Name+"'s other end", h.On, p.To)
		case BoxPart:
			for i, dir := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
				h.Sides[i] = b.Arrow(p.Name, h.On, dir)
			}
		case BallPart:
		}
		m.Parts = append(m.Parts, h)
	}
}
