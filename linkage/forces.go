package linkage

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/spatial/r3"
)

// Loads is what acts on a linkage from outside. Everything is in the world frame,
// and adds up. Make it with [Linkage.NewLoads].
type Loads struct {
	forces  []r3.Vec  // on each ball
	moments []r3.Vec  // on each body
	along   []float64 // along each coordinate
}

// NewLoads returns memory for loads on the linkage, with none in it.
func (l *Linkage) NewLoads() *Loads {
	return &Loads{
		forces:  make([]r3.Vec, len(l.balls)),
		moments: make([]r3.Vec, len(l.bodies)),
		along:   make([]float64, len(l.bodies)),
	}
}

// Clear takes all loads away.
func (w *Loads) Clear() {
	clear(w.forces)
	clear(w.moments)
	clear(w.along)
}

// Force adds a force in newtons that acts at a ball on the body that the ball
// belongs to. One at another point x of that body is the same force at the ball and the
// moment (x - ball) × force.
func (w *Loads) Force(at Ball, f r3.Vec) { w.forces[at] = r3.Add(w.forces[at], f) }

// Moment adds a moment in N·mm on a body.
func (w *Loads) Moment(on Body, m r3.Vec) { w.moments[on] = r3.Add(w.moments[on], m) }

// Along adds a load that works along a body's coordinate, between the body and what
// carries it: a moment in N·mm about the axis of a turning body, a force in N along a
// slide. Positive drives the coordinate up.
func (w *Loads) Along(b Body, x float64) { w.along[b] += x }

// Balance is what holds a linkage still under loads. It is memory for Forces to
// fill; make it with [Linkage.NewBalance].
type Balance struct {
	tension []float64
	effort  []float64
	balls   []r3.Vec // what rods, and bodies that run through it, put on each ball
	handed  []wrench // what each body hands to its carrier
	trial   []wrench
}

// wrench is a force and its moment about the world's origin.
type wrench struct{ f, m r3.Vec }

func (w *wrench) add(f, at r3.Vec) {
	w.f = r3.Add(w.f, f)
	w.m = r3.Add(w.m, r3.Cross(at, f))
}

// NewBalance returns memory for the forces in the linkage.
func (l *Linkage) NewBalance() *Balance {
	return &Balance{
		tension: make([]float64, len(l.rods)),
		effort:  make([]float64, len(l.inputs)),
		balls:   make([]r3.Vec, len(l.balls)),
		handed:  make([]wrench, len(l.bodies)),
		trial:   make([]wrench, len(l.bodies)),
	}
}

// Tension returns the force in a rod in newtons: positive pulls its balls together,
// negative presses them apart.
func (b *Balance) Tension(r Rod) float64 { return b.tension[r] }

// Effort returns what must drive an input, numbered in the order of Drive, for the
// linkage to stand still: N·mm along a turn, N along a slide, positive in the coordinate's
// sense.
func (b *Balance) Effort(input int) float64 { return b.effort[input] }

// BallForce returns the force in newtons, in the world frame, that all rods at a ball and
// all bodies that turn between it and another put on the body that it belongs to.
// It is the load on the ball's stud.
func (b *Balance) BallForce(at Ball) r3.Vec { return b.balls[at] }

// Reaction returns what a body's carrier puts on it across its axis, at p, the pose that the
// balance was found at: the force in N, and the moment in N·mm about point, the axis point of Axis.
// The moment along the axis (the force along a slide) is that of the drive and of the loads Along
// it, and zero if there are none. In the world frame.
func (l *Linkage) Reaction(p *Pose, b *Balance, n Body) (point, force, moment r3.Vec) {
	point, _ = l.Axis(p, n)
	h := b.handed[n]
	return point, r3.Scale(-1, h.f), r3.Sub(r3.Cross(point, h.f), h.m)
}

// Forces finds what holds the linkage still at p under loads: the tension of every
// rod and the effort of every input. Forces allocates nothing.
//
// By virtual work, with J = ∂r/∂q over the undriven coordinates, T the tensions and G what the
// loads do along each coordinate, equilibrium is Jᵀ T = G: the transpose of the system that Tangent
// solves, block by block from the last to the first (Goldstein, Classical
// Mechanics, section 1.4, from memory). Exact but for rounding; near a dead point the
// tensions themselves grow as 1/Leverage.
//
// Weight and inertia of the parts act only where loads state them; nothing rubs or gives. The turn
// of a body between two balls, if it is driven, is held by a moment from nowhere: its effort says
// how much the loads would roll the body.
func (l *Linkage) Forces(p *Pose, loads *Loads, out *Balance) {
	if !p.fresh {
		l.refactor(p)
	}
	clear(out.balls)
	for i := range l.bodies {
		out.handed[i] = wrench{m: loads.moments[i]}
	}
	for i, f := range loads.forces {
		out.handed[l.balls[i].body].add(f, p.Ball(Ball(i)))
	}
	for i := len(l.steps) - 1; i >= 0; i-- {
		st := &l.steps[i]
		switch st.kind {
		case placeBody:
			n := st.body
			if k := l.bodies[n].input; k >= 0 {
				out.effort[k] = -(l.along(p, out.handed, n) + loads.along[n])
			}
			l.handOver(p, out.handed, out.balls, n)
		case closeTurn, closeSlide:
			n := st.body
			line := r3.Unit(r3.Sub(p.Ball(st.near), p.Ball(st.far)))
			g := l.along(p, out.handed, n) + loads.along[n]
			l.pull(p, out, st.rods[0], g/r3.Dot(line, l.lever(p, st.near, n)))
			l.handOver(p, out.handed, out.balls, n)
		case newton:
			l.blockTensions(p, loads, out, st)
			for k := len(st.moving) - 1; k >= 0; k-- {
				n := st.moving[k]
				if in := l.bodies[n].input; in >= 0 {
					out.effort[in] = -(l.along(p, out.handed, n) + loads.along[n])
				}
				l.handOver(p, out.handed, out.balls, n)
			}
		}
	}
}

// refactor makes sure that the pose's blocks hold its factors.
func (l *Linkage) refactor(p *Pose) {
	for i := range l.steps {
		if st := &l.steps[i]; st.kind == newton {
			l.factor(p, st)
		}
	}
	p.fresh = true
}

// blockTensions finds the tensions of a block's rods and puts them on its bodies: what
// the loads do along each of its coordinates is tried on a copy first.
func (l *Linkage) blockTensions(p *Pose, loads *Loads, out *Balance, st *step) {
	f := &p.blocks[st.block]
	copy(out.trial, out.handed)
	for k := len(st.moving) - 1; k >= 0; k-- {
		n := st.moving[k]
		for j, b := range st.unknown {
			if b == n {
				f.rhs.Data[j] = l.along(p, out.trial, n) + loads.along[n]
			}
		}
		l.handOver(p, out.trial, nil, n)
	}
	lapack64.Getrs(blas.Trans, f.jac, f.rhs, f.pivot)
	for k, r := range st.rods {
		l.pull(p, out, r, f.rhs.Data[k])
	}
}

// pull puts a rod's tension on its two balls.
func (l *Linkage) pull(p *Pose, out *Balance, r Rod, tension float64) {
	out.tension[r] = tension
	d := &l.rods[r]
	f := r3.Scale(tension, r3.Unit(r3.Sub(p.Ball(d.b), p.Ball(d.a))))
	put(p, l, out.handed, out.balls, d.a, f)
	put(p, l, out.handed, out.balls, d.b, r3.Scale(-1, f))
}

// put adds a force at a ball to what its body has to hand on, and to what the ball bears, if that
// is kept.
func put(p *Pose, l *Linkage, handed []wrench, balls []r3.Vec, at Ball, f r3.Vec) {
	handed[l.balls[at].body].add(f, p.Ball(at))
	if balls != nil {
		balls[at] = r3.Add(balls[at], f)
	}
}

// along returns what a body's wrench does along its coordinate.
func (l *Linkage) along(p *Pose, handed []wrench, n Body) float64 {
	o, u := l.Axis(p, n)
	h := &handed[n]
	if l.bodies[n].slides {
		return r3.Dot(h.f, u)
	}
	return r3.Dot(r3.Sub(h.m, r3.Cross(o, h.f)), u)
}

// handOver adds what a body bears to its carrier, the transpose of carrierTwist.
func (l *Linkage) handOver(p *Pose, handed []wrench, balls []r3.Vec, n Body) {
	b, h := &l.bodies[n], handed[n]
	switch b.carrier {
	case onGround:
	case onBody:
		c := &handed[b.parent]
		c.f, c.m = r3.Add(c.f, h.f), r3.Add(c.m, h.m)
	case onBalls:
		// Within the parent, the carrier turns with w = u × dv - k u, k = u0·(u × dv)/(1 + u0·u),
		// dv the rate of the line's direction u. The parent, which only says where zero is, bears a
		// moment, and no more than that which drives the turn.
		from, to := p.Ball(b.ends[0]), p.Ball(b.ends[1])
		line := r3.Sub(to, from)
		size := r3.Norm(line)
		u := r3.Scale(1/size, line)
		m := r3.Sub(h.m, r3.Cross(from, h.f))
		axis := b.axis
		if f := l.parentFrame(p, b); f != nil {
			axis = f.rotate(axis)
		}
		square := r3.Sub(m, r3.Scale(r3.Dot(m, u)/(1+r3.Dot(axis, u)), axis))
		far := r3.Scale(1/size, r3.Cross(square, u))
		if b.parent != Ground {
			c := &handed[b.parent]
			c.m = r3.Add(c.m, r3.Sub(m, r3.Cross(line, far)))
		}
		put(p, l, handed, balls, b.ends[1], far)
		put(p, l, handed, balls, b.ends[0], r3.Sub(h.f, far))
	}
}
