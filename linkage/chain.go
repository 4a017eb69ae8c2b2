package linkage

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Wave is a number that goes with the turn φ of one body about an axis of the ground, as k + a cos
// φ + b sin φ.
type Wave struct {
	body    Body
	k, a, b float64
}

// At returns the number at the pose.
func (p *Pose) At(w *Wave) float64 { return w.at(&p.turns[w.body]) }

// Slope returns how fast the number changes at the pose, per radian of the body's turn.
func (p *Pose) Slope(w *Wave) float64 { return w.slope(&p.turns[w.body]) }

func (w *Wave) at(t *turn) float64    { return w.k + w.a*t.c + w.b*t.s }
func (w *Wave) slope(t *turn) float64 { return w.b*t.c - w.a*t.s }

// Component returns an arrow's component along a direction in the world frame, and false if its
// body does not turn about an axis of the ground.
func (l *Linkage) Component(a Arrow, dir r3.Vec) (Wave, bool) {
	f := &l.arrowForms[a]
	return Wave{f.body, r3.Dot(f.p0, dir), r3.Dot(f.p1, dir), r3.Dot(f.p2, dir)}, l.bodies[f.body].turnsOnGround()
}

// SquaredGap returns the square of the distance in mm² from a ball to one that never moves, being
// on its body's axis. It returns false if that one does move, or if the first one's body does not
// turn about an axis of the ground.
func (l *Linkage) SquaredGap(b, still Ball) (Wave, bool) {
	x, y := &l.ballForms[b], &l.ballForms[still]
	d := r3.Sub(x.p0, y.p0)
	w := Wave{x.body, r3.Norm2(d) + r3.Norm2(x.p1), 2 * r3.Dot(d, x.p1), 2 * r3.Dot(d, x.p2)}
	moves := !l.bodies[y.body].turnsOnGround() || r3.Norm(y.p1) > 1e-12*(1+r3.Norm(y.p0))
	return w, !moves && l.bodies[x.body].turnsOnGround()
}

// turnsOnGround reports whether the body turns about an axis of the ground. So does the ground
// itself, if by nothing.
func (n *body) turnsOnGround() bool { return n.grounded() && !n.slides }

// link is a step of a chain, a linkage whose bodies all turn about axes of the ground, each driven
// or held by one rod to one before it. With x = p0 + p1 cos θ + p2 sin θ the rod's ball on the body
// and y its other end, likewise of φ, |x - y|² = L² becomes
//
//	f = A cos θ + B sin θ - C = 0
//
// where A, B and C are waves of φ: what is of second order in φ is the square of a radius, and
// constant. In a plane it is Freudenstein's equation. The rates follow from f staying zero, ∂f/∂θ
// θ' + ∂f/∂φ φ' = 0.
//
// It is as exact as the steps of the general way, and errors grow alike towards a dead point, as
// the inverse of ∂f/∂θ. A far end on its own axis gives constant waves, and rates of zero; a ball
// on its own axis gives A = B = 0, which does not close.
type link struct {
	body, from Body // from has the rod's other end
	a, b, c    Wave
	sign       float64
	step       *step
}

// findChain finds the links of a linkage that is a chain. The branches are decided.
func (l *Linkage) findChain() {
	for b := range l.bodies {
		if !l.bodies[b].turnsOnGround() {
			return
		}
	}
	var links []link
	for i := range l.steps {
		switch st := &l.steps[i]; st.kind {
		case placeBody: // an input
		case closeTurn:
			links = append(links, l.link(st))
		default:
			return
		}
	}
	l.chain = links
}

func (l *Linkage) link(st *step) link {
	x, y := &st.path, &l.ballForms[st.far]
	d := r3.Sub(x.p0, y.p0)
	wave := func(k float64, v r3.Vec) Wave { return Wave{y.body, k, r3.Dot(v, y.p1), r3.Dot(v, y.p2)} }
	return link{
		body: st.body, from: y.body,
		a:    wave(r3.Dot(x.p1, d), r3.Scale(-1, x.p1)),
		b:    wave(r3.Dot(x.p2, d), r3.Scale(-1, x.p2)),
		c:    wave(st.span-(r3.Norm2(d)+r3.Norm2(y.p1))/2, d),
		sign: st.sign, step: st,
	}
}

// follow is try for a chain.
func (l *Linkage) follow(p *Pose, inputs []float64) *step {
	for i, b := range l.inputs {
		p.q[b] = inputs[i]
		t := &p.turns[b]
		t.s, t.c = math.Sincos(inputs[i])
	}
	for i := range l.chain {
		k := &l.chain[i]
		from := &p.turns[k.from]
		if !p.turns[k.body].close(k.a.at(from), k.b.at(from), k.c.at(from), k.sign) {
			return k.step
		}
	}
	return nil
}

// followRates is Tangent for a chain, its dimensions held.
func (l *Linkage) followRates(p *Pose, inputs []float64, m *Motion) {
	for i, b := range l.inputs {
		m.q[b] = inputs[i]
	}
	for i := range l.chain {
		k := &l.chain[i]
		t, from := &p.turns[k.body], &p.turns[k.from]
		pull := k.a.slope(from)*t.c + k.b.slope(from)*t.s - k.c.slope(from)
		m.q[k.body] = -m.q[k.from] * pull / t.slope
	}
}
