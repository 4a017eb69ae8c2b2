package vehicle

import (
	"fmt"
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
type checker struct{ errs []*Error }

// checkLists finds what no list may have: two of one name, and a rod that joins nothing to nothing.
// The file's numbers are finite, and what a part refers to is there: rig.Rig.Expand sees to that.
func (v *Vehicle) checkLists() []*Error {
	c := &checker{}
	named(c, "bodies", v.Bodies)
	named(c, "balls", v.Balls)
	named(c, "rods", v.Rods)
	named(c, "wheels", v.Wheels)
	named(c, "servos", v.Servos)
	named(c, "limits", v.Limits)
	named(c, "shapes", v.Shapes)
	named(c, "axles", v.Axles)
	for _, r := range v.Rods {
		c.rod(r)
	}
	return c.errs
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

func (c *checker) rod(r *Rod) {
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
