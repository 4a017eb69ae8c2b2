package vehicle

import (
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// NumberKind is what a number is of.
type NumberKind int

// The kinds of numbers. The first three are of places, the next three of unit directions.
const (
	PlaceX NumberKind = iota
	PlaceY
	PlaceZ
	WayX
	WayY
	WayZ
	LengthNumber
	AngleNumber
	RatioNumber
)

// Number is one number of a part.
type Number struct {
	*Part
	// List is the list that the part is in, such as "ball". What tells the number from others of
	// the part, such as "place".
	List, What string
	Kind       NumberKind
	Value      float64
	// Says is the key that says it, where it is no measurement: its own, or that of the part.
	Says string
}

// Numbers lists the numbers that the lists are made of, part by part. Equal layouts have them in
// equal order.
func (v *Vehicle) Numbers() []Number {
	var n numbers
	for _, b := range v.Bodies {
		n.of("body", &b.Part)
		switch b.Moves {
		case Turns:
			n.vec("point", PlaceX, b.Point)
			n.vec("axis", WayX, b.Axis)
		case Slides:
			n.vec("axis", WayX, b.Axis)
		case Fixed, Between, Free:
		}
	}
	for _, b := range v.Balls {
		n.of("ball", &b.Part)
		n.vec("place", PlaceX, b.At)
		if b.Stud != (r3.Vec{}) {
			n.vec("stud", WayX, b.Stud)
		}
	}
	for _, r := range v.Rods {
		n.of("rod", &r.Part)
		n.add("length", LengthNumber, r.Length)
		for _, a := range r.Along {
			n.add(a.Ball.Name, LengthNumber, a.Distance)
		}
		n.stated("diameter", r.Stock.Diameter)
		n.stated("bore", r.Stock.Bore)
		n.stated("bend", r.Stock.Bend)
		n.stated("shortest", r.Stock.Shortest)
		n.stated("longest", r.Stock.Longest)
	}
	for _, w := range v.Wheels {
		n.of("wheel", &w.Part)
		n.add("radius", LengthNumber, w.Radius)
		n.add("width", LengthNumber, w.Width)
		n.stated("patch_length", w.Patch)
		n.vec("spindle", WayX, w.Spindle)
	}
	for _, s := range v.Servos {
		n.of("servo", &s.Part)
		n.vec("face", PlaceX, s.Face)
		n.add("hole", LengthNumber, s.Hole())
		if s.Leader != nil {
			n.add("turns", RatioNumber, s.Ratio)
		}
	}
	for _, l := range v.Limits {
		n.of("limit", &l.Part)
		n.add("most", AngleNumber, l.Most)
	}
	for _, s := range v.Shapes {
		n.of("shape", &s.Part)
		n.add("radius", LengthNumber, s.Radius)
		n.add("gap", LengthNumber, s.Gap)
		if s.Kind == BoxShape {
			for i, x := range [3]float64{s.Half.X, s.Half.Y, s.Half.Z} {
				n.add([3]string{"half its length", "half its width", "half its height"}[i], LengthNumber, x)
			}
		}
	}
	for _, a := range v.Axles {
		n.of("axle", &a.Part)
		n.add("place", PlaceX, a.Middle.X)
		if a.Suspended {
			n.stated("bump", a.Bump)
			n.stated("droop", a.Droop)
		}
	}
	return n.all
}

type numbers struct {
	all  []Number
	list string
	part *Part
}

func (n *numbers) of(list string, p *Part) { n.list, n.part = list, p }

func (n *numbers) add(what string, kind NumberKind, value float64) {
	n.all = append(n.all, Number{n.part, n.list, what, kind, value, n.part.Key})
}

// stated adds a length that the part's table has by a key, if it says it.
func (n *numbers) stated(key string, value float64) {
	if value != 0 {
		n.add(strings.ReplaceAll(key, "_", " "), LengthNumber, value)
		n.all[len(n.all)-1].Says += "." + key
	}
}

// vec adds three numbers, of kinds that follow one another.
func (n *numbers) vec(what string, first NumberKind, v r3.Vec) {
	for i, x := range [3]float64{v.X, v.Y, v.Z} {
		n.add(what, first+NumberKind(i), x)
	}
}

// Locate fills in the line of every key; line gives 0 for one that has none.
func (v *Vehicle) Locate(line func(key string) int) {
	locate(v.Bodies, line)
	locate(v.Balls, line)
	locate(v.Rods, line)
	locate(v.Wheels, line)
	locate(v.Servos, line)
	locate(v.Limits, line)
	locate(v.Shapes, line)
	locate(v.Axles, line)
	for _, w := range v.Wheels {
		if w.Joint != nil {
			w.Joint.Line = line(w.Joint.Key)
		}
	}
}

func locate[P interface{ Listed() *Part }](all []P, line func(key string) int) {
	for _, p := range all {
		p.Listed().Line = line(p.Listed().Key)
	}
}
