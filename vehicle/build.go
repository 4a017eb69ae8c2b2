package vehicle

import (
	"errors"
	"fmt"

	"evenlock/linkage"

	"gonum.org/v1/gonum/spatial/r3"
)

// Linkage is the linkage of an axle. The parts of its Vehicle have their handles in it.
type Linkage struct {
	*linkage.Linkage
	// Follow is, for each input, by how much it turns with the servo that leads, which is the first
	// input; 0 for what stays and for the suspension.
	Follow []float64
	// Rise are the two inputs that move the suspension; both 0 where there is none.
	Rise [2]int
	// Ahead and Line are the directions forward and to the left of the body that carries the axle.
	Ahead, Line linkage.Arrow
}

// Build makes the linkage of a vehicle with one axle, as Vehicle.Of gives it. It fails with an *Error
// whose cause is that of linkage.Builder.Build: where the rods cannot close, or as Check has it.
func (v *Vehicle) Build() (*Linkage, error) {
	to, made := v.write()
	var err error
	if made.Linkage, err = to.Build(); err != nil {
		return nil, v.cannotBuild(err)
	}
	return made, nil
}

// Dimensions returns the vector of the linkage's dimensions, as linkage.Linkage.Dimensions does,
// without building it, followed by what steering needs beside the linkage: the place of the axle
// steered against, then radius and width of each tyre, then where each limit is met.
func (v *Vehicle) Dimensions() []float64 {
	to, _ := v.write()
	dims := append(to.Dimensions(), v.Axles[0].Other)
	for _, w := range v.Wheels {
		dims = append(dims, w.Radius, w.Width)
	}
	for _, l := range v.Limits {
		dims = append(dims, l.Most)
	}
	return dims
}

// writer writes bodies and balls down as a linkage, each after what carries it. The parts do not know
// of it.
type writer struct {
	*linkage.Builder
	bodies map[*Body]linkage.Body
	free   map[*Body]linkage.Free
	balls  map[*Ball]linkage.Ball
}

func newWriter() *writer {
	return &writer{linkage.NewBuilder(), map[*Body]linkage.Body{}, map[*Body]linkage.Free{}, map[*Ball]linkage.Ball{}}
}

func (w *writer) body(b *Body) linkage.Body {
	h, there := w.bodies[b]
	if there || b.Moves == Fixed {
		return h
	}
	switch b.Moves {
	case Fixed:
	case Turns:
		h = w.Turn(b.Name, w.body(b.On), b.Point, b.Axis)
	case Slides:
		h = w.Slide(b.Name, w.body(b.On), b.Axis)
	case Between:
		on := w.body(b.On)
		h = w.TurnBetween(b.Name, on, w.ball(b.Ends[0]), w.ball(b.Ends[1]))
	case Free:
		w.free[b] = w.Free(b.Name, b.Point)
		h = w.free[b].Roll
	}
	w.Start(h, b.Start)
	w.bodies[b] = h
	return h
}

func (w *writer) ball(b *Ball) linkage.Ball {
	h, there := w.balls[b]
	if !there {
		h = w.Ball(b.Name, w.body(b.On), b.At)
		w.balls[b] = h
	}
	return h
}

// write writes the vehicle down whole, and gives its parts their handles.
func (v *Vehicle) write() (*linkage.Builder, *Linkage) {
	w, made := newWriter(), &Linkage{}
	for _, b := range v.Bodies {
		b.Handle = w.body(b)
	}
	for _, b := range v.Balls {
		b.Handle = w.ball(b)
		if b.Stud != (r3.Vec{}) {
			b.StudHandle = w.Arrow(b.Name+"'s stud", b.On.Handle, b.Stud)
		}
	}
	point := func(name string, on *Body, at r3.Vec) *Ball {
		return &Ball{Part: Part{Name: name, Axle: on.Axle}, On: on, At: at, Handle: w.Ball(name, on.Handle, at)}
	}
	for _, s := range v.Servos {
		s.Foot = point(s.Name+"'s foot", s.Horn, s.foot())
		s.FarFoot = point("foot of what the "+s.Link.Name+" pulls", s.Far().On, v.farFoot(s))
	}
	for _, x := range v.Wheels {
		x.SpindleHandle = w.Arrow(x.Name+"'s spindle", x.Knuckle.Handle, x.Spindle)
	}
	for _, s := range v.Shapes {
		if s.Kind == BoxShape {
			for i, dir := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
				s.Sides[i] = w.Arrow(s.Name, s.On.Handle, dir)
			}
		}
	}
	for _, a := range v.Axles {
		if a.Body.Moves != Fixed {
			made.Line = w.Arrow(a.Name+"'s line", a.Body.Handle, r3.Vec{Y: 1})
			made.Ahead = w.Arrow("forward from the "+a.Name, a.Body.Handle, r3.Vec{X: 1})
		}
	}
	for _, r := range v.Rods {
		r.Handle = w.Rod(r.Name, r.From.Handle, r.To.Handle, r.Length)
	}
	v.drives(w, made)
	return w.Builder, made
}

// drives makes the inputs, that of the servo that leads first.
func (v *Vehicle) drives(w *writer, made *Linkage) {
	drive := func(b *Body, coordinate linkage.Body, ratio float64) {
		b.Input = len(made.Follow)
		w.Drive(coordinate)
		made.Follow = append(made.Follow, ratio)
	}
	for _, leads := range []bool{true, false} {
		for _, s := range v.Servos {
			if leads == (s.Leader == nil) {
				drive(s.Horn, s.Horn.Handle, s.Ratio)
			}
		}
	}
	rise := func(b *Body, coordinate linkage.Body) {
		made.Rise = [2]int{made.Rise[1], len(made.Follow)}
		drive(b, coordinate, 0)
	}
	for _, b := range v.Bodies {
		switch b.Drive {
		case ByTravel:
			if b.Moves == Free {
				rise(b, w.free[b].Z)
			}
			rise(b, b.Handle)
		case Still:
			drive(b, b.Handle, 0)
		case ByRods, ByServo:
		}
	}
}

// cannotBuild says in a builder's words why a linkage could not be built.
func (v *Vehicle) cannotBuild(cause error) error {
	// What has no rank does not close either, and its lengths are not at fault.
	var limit *linkage.LimitError
	found := v.Check()
	switch {
	case len(found) > 0:
		found[0].Cause = cause
		return found[0]
	case errors.As(cause, &limit):
		return v.cannotClose(limit)
	}
	return &Error{Problem: "the parts do not make a linkage", Remedy: "check the places of the balls", Cause: cause}
}

func (v *Vehicle) cannotClose(limit *linkage.LimitError) error {
	first := v.Leader().Link
	// Where several cannot, the link is as long as the others make it.
	culprit := first
	for _, r := range v.Rods {
		for _, h := range limit.Handles {
			if r.Handle == h && r != first {
				culprit = r
			}
		}
	}
	e := &Error{
		Key: culprit.Key + ".length", Line: culprit.Line, Problem: fmt.Sprintf("the %s cannot close at neutral", culprit.Name),
		Remedy: "measure its length, ball centre to ball centre, and the places of its balls again", Cause: limit,
	}
	switch {
	case limit.Short > 0:
		e.Problem += fmt.Sprintf(": it is %.1f mm too short for where its balls are", limit.Short)
	case limit.Short < 0:
		e.Problem += fmt.Sprintf(": it is %.1f mm too long for where its balls are", -limit.Short)
	}
	return e
}
