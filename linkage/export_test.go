package linkage

// What tests of equilibrium must know of a linkage and nobody else needs.

// NumBodies counts the bodies, the ground included.
func (l *Linkage) NumBodies() int { return len(l.bodies) }

// Balls returns the bodies that each ball belongs to.
func (l *Linkage) Balls() []Body {
	on := make([]Body, len(l.balls))
	for i := range l.balls {
		on[i] = l.balls[i].body
	}
	return on
}

// Carried tells what carries a body: another, or two balls.
func (l *Linkage) Carried(b Body) (parent Body, ends [2]Ball, onEnds bool) {
	n := &l.bodies[b]
	return n.parent, n.ends, n.carrier == onBalls
}

// InputOf returns the number of the input that drives a body, or -1, and whether the
// body slides.
func (l *Linkage) InputOf(b Body) (input int, slides bool) {
	return l.bodies[b].input, l.bodies[b].slides
}

// IsChain reports whether the linkage is solved and differentiated as a chain.
func (l *Linkage) IsChain() bool { return l.chain != nil }

// General returns the linkage solved and differentiated step by step, as one that is no chain.
func (l *Linkage) General() *Linkage {
	g := *l
	g.chain = nil
	return &g
}

// NumRods counts the rods.
func (l *Linkage) NumRods() int { return len(l.rods) }
