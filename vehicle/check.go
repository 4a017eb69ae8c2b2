package vehicle

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// Check returns what cannot be built of a description: what is wrong with the lists themselves; if
// nothing is, what is joined to nothing; if nothing is, what is too free or too stiff. It changes
// nothing.
func (v *Vehicle) Check() []*Error {
	if errs := v.checkLists(); len(errs) > 0 {
		return errs
	}
	if errs := v.checkJoined(); len(errs) > 0 {
		return errs
	}
	return v.checkFreedom()
}

// at returns an error at a part.
func at(p *Part, problem, remedy string) *Error {
	return &Error{Key: p.Key, Line: p.Line, Problem: problem, Remedy: remedy}
}

// the is what to call it in the middle of a line.
func (p *Part) the() string { return "the " + strings.TrimPrefix(p.Name, "the ") }

// checker collects what is wrong with the lists.
type checker struct {
	errs   []*Error
	bodies map[*Body]bool
	balls  map[*Ball]bool
	rods   map[*Rod]bool
	wheels map[*Wheel]bool
	servos map[*Servo]bool
}

func (v *Vehicle) checkLists() []*Error {
	c := &checker{bodies: set(v.Bodies), balls: set(v.Balls), rods: set(v.Rods), wheels: set(v.Wheels), servos: set(v.Servos)}
	named(c, "bodies", v.Bodies)
	named(c, "balls", v.Balls)
	named(c, "rods", v.Rods)
	named(c, "wheels", v.Wheels)
	named(c, "servos", v.Servos)
	named(c, "limits", v.Limits)
	named(c, "shapes", v.Shapes)
	named(c, "axles", v.Axles)
	c.refer(v)
	if len(c.errs) > 0 {
		return c.errs
	}
	c.carried(v.Bodies)
	for _, b := range v.Bodies {
		c.body(b)
	}
	for _, b := range v.Balls {
		c.finite(&b.Part, []r3.Vec{b.At, b.Stud})
	}
	for _, r := range v.Rods {
		c.rod(r)
	}
	for _, w := range v.Wheels {
		c.finite(&w.Part, []r3.Vec{w.Spindle}, w.Radius, w.Width)
	}
	for _, s := range v.Servos {
		c.finite(&s.Part, []r3.Vec{s.Face}, s.Ratio, s.Travel)
	}
	for _, l := range v.Limits {
		c.finite(&l.Part, nil, l.Most, l.Sign)
	}
	for _, s := range v.Shapes {
		c.finite(&s.Part, []r3.Vec{s.Half}, s.Radius, s.Gap)
	}
	return c.errs
}

func set[P comparable](all []P) map[P]bool {
	in := make(map[P]bool, len(all))
	for _, p := range all {
		in[p] = true
	}
	return in
}

func (c *checker) fail(p *Part, problem, remedy string) {
	c.errs = append(c.errs, at(p, problem, remedy))
}

// named checks the names of a list.
func named[P interface{ Listed() *Part }](c *checker, list string, all []P) {
	count := map[string]int{}
	for i, x := range all {
		p := x.Listed()
		count[p.Name]++
		switch {
		case p.Name == "":
			c.fail(p, fmt.Sprintf("number %d of the %s has no name", i+1, list), "give it a name")
		case count[p.Name] == 2:
			c.fail(p, fmt.Sprintf("two of the %s are called %q", list, p.Name), "call one of them something else")
		}
	}
}

// refer checks that all that a part refers to is in the lists.
func (c *checker) refer(v *Vehicle) {
	in := func(p *Part, there bool, role, list string) {
		if !there {
			c.fail(p, fmt.Sprintf("the %s of %s is not in the list of %s", role, p.the(), list), "add it to the list, or take one that is there")
		}
	}
	maybe := func(p *Part, b *Ball, role string) { in(p, b == nil || c.balls[b], role, "balls") }
	if len(v.Bodies) == 0 || v.Bodies[0].Moves != Fixed {
		c.fail(&Part{}, "the first of the bodies is not the chassis", "begin with the body that does not move")
	}
	for _, b := range v.Bodies {
		p := &b.Part
		in(p, b.Moves == Fixed || b.Moves == Free || c.bodies[b.On], "carrier", "bodies")
		if b.Moves == Between {
			in(p, c.balls[b.Ends[0]], "first end", "balls")
			in(p, c.balls[b.Ends[1]], "second end", "balls")
		}
		if turned := func(s *Servo) bool { return s.Horn == b }; b.Drive == ByServo && !slices.ContainsFunc(v.Servos, turned) {
			c.fail(p, fmt.Sprintf("%s is to turn with a servo, and no servo has it", b.the()), "add the servo, or a rod that moves it")
		}
	}
	for _, b := range v.Balls {
		in(&b.Part, c.bodies[b.On], "body", "bodies")
	}
	for _, r := range v.Rods {
		p := &r.Part
		in(p, c.balls[r.From], "first end", "balls")
		in(p, c.balls[r.To], "second end", "balls")
		in(p, len(r.Along) == 0 || c.bodies[r.Body], "body", "bodies")
		for _, a := range r.Along {
			in(p, c.balls[a.Ball], "ball", "balls")
		}
	}
	for _, w := range v.Wheels {
		p := &w.Part
		in(p, c.bodies[w.Knuckle], "knuckle", "bodies")
		in(p, c.balls[w.Centre], "centre", "balls")
		maybe(p, w.Arm, "arm")
		maybe(p, w.Risen, "measured height")
		if w.Joint != nil {
			maybe(p, w.Joint.At, "axle joint")
			maybe(p, w.Joint.Inner, "inner joint")
		}
	}
	for _, s := range v.Servos {
		p := &s.Part
		in(p, c.bodies[s.Horn], "horn", "bodies")
		in(p, c.balls[s.Ball], "ball", "balls")
		in(p, c.rods[s.Link], "link", "rods")
		in(p, s.Leader == nil || c.servos[s.Leader], "leader", "servos")
	}
	for _, l := range v.Limits {
		p := &l.Part
		in(p, l.Kind != OfTurn || c.bodies[l.Body], "body", "bodies")
		in(p, l.Kind != OfRodEnd || c.rods[l.Rod], "rod", "rods")
		in(p, l.Kind != OfRodEnd || c.balls[l.End], "rod end", "balls")
		in(p, l.Kind != OfJoint || c.wheels[l.Wheel], "wheel", "wheels")
		in(p, l.Kind != OfServo || c.servos[l.Servo], "servo", "servos")
		maybe(p, l.Mark, "mark")
	}
	for _, s := range v.Shapes {
		p := &s.Part
		in(p, c.bodies[s.On], "body", "bodies")
		in(p, c.balls[s.From], "first end", "balls")
		in(p, c.balls[s.To], "second end", "balls")
	}
	for _, a := range v.Axles {
		in(&a.Part, c.bodies[a.Body], "body", "bodies")
	}
}

// carried checks that no body is carried by itself, by way of others.
func (c *checker) carried(bodies []*Body) {
	const open, done = 1, 2
	state := map[*Body]int{}
	var visit func(b *Body)
	visit = func(b *Body) {
		switch {
		case state[b] == open:
			c.fail(&b.Part, fmt.Sprintf("%s is carried by what it carries", b.the()), "put one of the two on another body")
			return
		case state[b] == done || b.Moves == Fixed || b.Moves == Free:
			return
		}
		state[b] = open
		visit(b.On)
		if b.Moves == Between {
			visit(b.Ends[0].On)
			visit(b.Ends[1].On)
		}
		state[b] = done
	}
	for _, b := range bodies {
		visit(b)
	}
}

func (c *checker) body(b *Body) {
	if c.finite(&b.Part, []r3.Vec{b.Point, b.Axis}, b.Start) {
		return
	}
	switch b.Moves {
	case Turns, Slides:
		if r3.Norm(b.Axis) < 1e-9 {
			c.fail(&b.Part, fmt.Sprintf("the axis of %s has no direction", b.the()), "give two points of it that are well apart, or which way it points")
		}
	case Between:
		if together(b.Ends[0], b.Ends[1]) {
			c.fail(&b.Part, fmt.Sprintf("the two balls that %s turns between are in one place", b.the()), "check the places of the balls")
		}
	case Fixed, Free:
	}
}

func (c *checker) rod(r *Rod) {
	if c.finite(&r.Part, nil, r.Length) {
		return
	}
	switch {
	case r.From.On == r.To.On:
		c.fail(&r.Part, fmt.Sprintf("both ends of %s are on %s", r.the(), r.From.On.the()), "put one of them on what the rod is to hold")
	case !(r.Length >= shortest):
		c.fail(&r.Part, fmt.Sprintf("%s has no length", r.the()), "measure it, ball centre to ball centre")
	case together(r.From, r.To):
		c.fail(&r.Part, fmt.Sprintf("both ends of %s are in one place", r.the()), "check the places of its balls")
	}
}

func together(a, b *Ball) bool { return r3.Norm(r3.Sub(a.At, b.At)) < shortest }

// finite reports numbers that are not finite, or too large for the kernel; whether there are any.
func (c *checker) finite(p *Part, places []r3.Vec, numbers ...float64) (bad bool) {
	for _, v := range places {
		numbers = append(numbers, v.X, v.Y, v.Z)
	}
	const tooLarge = 1e8
	for _, x := range numbers {
		if !(math.Abs(x) < tooLarge) {
			c.fail(p, fmt.Sprintf("%s has a number that is not finite", p.the()), "measure it again")
			return true
		}
	}
	return false
}

// checkJoined finds bodies that no rod and no carrier joins to a wheel or a servo. The chassis joins
// nothing.
func (v *Vehicle) checkJoined() []*Error {
	next := map[*Body][]*Body{}
	join := func(a, b *Body) {
		if a != nil && b != nil && a.Moves != Fixed && b.Moves != Fixed {
			next[a], next[b] = append(next[a], b), append(next[b], a)
		}
	}
	for _, b := range v.Bodies {
		join(b, b.On)
		if b.Moves == Between {
			join(b, b.Ends[0].On)
			join(b, b.Ends[1].On)
		}
	}
	for _, r := range v.Rods {
		join(r.From.On, r.To.On)
	}
	joined := map[*Body]bool{}
	var spread func(b *Body)
	spread = func(b *Body) {
		if joined[b] {
			return
		}
		joined[b] = true
		for _, o := range next[b] {
			spread(o)
		}
	}
	for _, w := range v.Wheels {
		spread(w.Knuckle)
	}
	for _, s := range v.Servos {
		spread(s.Horn)
	}
	var errs []*Error
	for _, b := range v.Bodies {
		if !joined[b] && b.Moves != Fixed {
			errs = append(errs, at(&b.Part, fmt.Sprintf("%s is joined to nothing: no rod leads from it to a wheel or a servo", b.the()),
				"add the rod that joins it, or leave it out"))
		}
	}
	return errs
}
