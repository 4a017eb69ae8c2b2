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
	w := v.write()
	l, err := w.to.Build()
	if err != nil {
		return nil, v.cannotBuild(err)
	}
	w.made.Linkage = l
	return &w.made, nil
}

// Dimensions returns the vector of the linkage's dimensions, as linkage.Linkage.Dimensions does,
// without building it, followed by what steering needs beside the linkage: the place of the axle
// steered against, then radius and width of each tyre, then where each limit is met.
func (v *Vehicle) Dimensions() []float64 {
	dims := v.write().to.Dimensions()
	dims = append(dims, v.Axles[0].Other)
	for _, w := range v.Wheels {
		dims = append(dims, w.Radius, w.Width)
	}
	for _, l := range v.Limits {
		dims = append(dims, l.Most)
	}
	return dims
}

// writer writes a vehicle down as a linkage.
type writer struct {
	to     *linkage.Builder
	made   Linkage
	bodies map[*Body]bool
	balls  map[*Ball]bool
}

func (v *Vehicle) write() *writer {
	w := &writer{to: linkage.NewBuilder(), bodies: make(map[*Body]bool, len(v.Bodies)), balls: make(map[*Ball]bool, len(v.Balls))}
	for _, b := range v.Bodies {
		w.body(b)
	}
	w.drives(v)
	for _, b := range v.Balls {
		w.ball(b)
	}
	for _, s := range v.Servos {
		s.Foot = w.point(s.Name+"'s foot", s.Horn, s.foot())
		s.FarFoot = w.point("foot of what the "+s.Link.Name+" pulls", s.Far().On, v.farFoot(s))
	}
	for _, x := range v.Wheels {
		x.SpindleHandle = w.to.Arrow(x.Name+"'s spindle", x.Knuckle.Handle, x.Spindle)
	}
	for _, s := range v.Shapes {
		if s.Kind == BoxShape {
			for i, dir := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
				s.Sides[i] = w.to.Arrow(s.Name, s.On.Handle, dir)
			}
		}
	}
	for _, a := range v.Axles {
		if a.Body.Moves != Fixed {
			w.made.Line = w.to.Arrow(a.Name+"'s line", a.Body.Handle, r3.Vec{Y: 1})
			w.made.Ahead = w.to.Arrow("forward from the "+a.Name, a.Body.Handle, r3.Vec{X: 1})
		}
	}
	for _, r := range v.Rods {
		r.Handle = w.to.Rod(r.Name, r.From.Handle, r.To.Handle, r.Length)
	}
	return w
}

func (w *writer) point(name string, on *Body, at r3.Vec) *Ball {
	b := &Ball{Part: Part{Name: name, Axle: on.Axle}, On: on, At: at}
	b.Handle = w.to.Ball(name, on.Handle, at)
	return b
}

// drives makes the inputs, that of the servo that leads first.
func (w *writer) drives(v *Vehicle) {
	drive := func(b *Body, coordinate linkage.Body, ratio float64) {
		b.Input = len(w.made.Follow)
		w.to.Drive(coordinate)
		w.made.Follow = append(w.made.Follow, ratio)
	}
	for _, leads := range []bool{true, false} {
		for _, s := range v.Servos {
			if leads == (s.Leader == nil) {
				drive(s.Horn, s.Horn.Handle, s.Ratio)
			}
		}
	}
	rise := func(b *Body, coordinate linkage.Body) {
		w.made.Rise = [2]int{w.made.Rise[1], len(w.made.Follow)}
		drive(b, coordinate, 0)
	}
	for _, b := range v.Bodies {
		switch b.Drive {
		case ByTravel:
			if b.Moves == Free {
				rise(b, b.heave)
			}
			rise(b, b.Handle)
		case Still:
			drive(b, b.Handle, 0)
		case ByRods, ByServo:
		}
	}
}

// body adds a body, after what carries it.
func (w *writer) body(b *Body) {
	if w.bodies[b] {
		return
	}
	w.bodies[b] = true
	if b.On != nil {
		w.body(b.On)
	}
	switch b.Moves {
	case Fixed:
		b.Handle = linkage.Ground
		return
	case Turns:
		b.Handle = w.to.Turn(b.Name, b.On.Handle, b.Point, b.Axis)
	case Slides:
		b.Handle = w.to.Slide(b.Name, b.On.Handle, b.Axis)
	case Between:
		w.ball(b.Ends[0])
		w.ball(b.Ends[1])
		b.Handle = w.to.TurnBetween(b.Name, b.On.Handle, b.Ends[0].Handle, b.Ends[1].Handle)
	case Free:
		f := w.to.Free(b.Name, b.Point)
		b.Handle, b.heave = f.Roll, f.Z
	}
	w.to.Start(b.Handle, b.Start)
}

// ball adds a ball, after its body.
func (w *writer) ball(b *Ball) {
	if w.balls[b] {
		return
	}
	w.balls[b] = true
	w.body(b.On)
	b.Handle = w.to.Ball(b.Name, b.On.Handle, b.At)
	if b.Stud != (r3.Vec{}) {
		b.StudHandle = w.to.Arrow(b.Name+"'s stud", b.On.Handle, b.Stud)
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
