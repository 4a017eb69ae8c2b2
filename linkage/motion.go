package linkage

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Motion is the derivative of a pose along one direction of inputs and
// dimensions. It is memory for Tangent to fill; make it with [Linkage.NewMotion].
type Motion struct {
	l    *Linkage
	q    []float64
	w, v []r3.Vec // of each body: a point of it at x moves with v + w × x
	dims []float64
}

// NewMotion returns memory for a motion of the linkage.
func (l *Linkage) NewMotion() *Motion {
	n := len(l.bodies)
	return &Motion{l: l, q: make([]float64, n), w: make([]r3.Vec, n), v: make([]r3.Vec, n)}
}

// Coordinate returns the derivative of a body's coordinate.
func (m *Motion) Coordinate(b Body) float64 { return m.q[b] }

// Spin returns the angular velocity of a body in the world frame.
func (m *Motion) Spin(b Body) r3.Vec {
	if n := &m.l.bodies[b]; n.turnsOnGround() && m.dims == nil {
		return r3.Scale(m.q[b], n.axis)
	}
	return m.w[b]
}

// BallRate returns the derivative of a ball's place at p, the pose that m was
// found at, its own dimensions included.
func (l *Linkage) BallRate(p *Pose, m *Motion, b Ball) r3.Vec {
	if f := &l.ballForms[b]; f.grounded && m.dims == nil {
		t, q := &p.turns[f.body], m.q[f.body]
		return f.slope(q*t.c, q*t.s)
	}
	d := &l.balls[b]
	v := r3.Add(m.v[d.body], r3.Cross(m.w[d.body], p.Ball(b)))
	if m.dims != nil {
		f := l.frame(p, d.body)
		v = r3.Add(v, f.rotate(vecAt(m.dims, l.ballDim(b))))
	}
	return v
}

// Described returns where a ball was described, and how m changes that.
func (l *Linkage) Described(m *Motion, b Ball) (at, rate r3.Vec) {
	if m.dims != nil {
		rate = vecAt(m.dims, l.ballDim(b))
	}
	return l.balls[b].at, rate
}

// ArrowRate returns the derivative of an arrow at p, the pose that m was found at.
func (l *Linkage) ArrowRate(p *Pose, m *Motion, a Arrow) r3.Vec {
	if f := &l.arrowForms[a]; f.grounded && m.dims == nil {
		t, q := &p.turns[f.body], m.q[f.body]
		return f.slope(q*t.c, q*t.s)
	}
	d := &l.arrows[a]
	v := r3.Cross(m.w[d.body], p.Arrow(a))
	if m.dims != nil {
		f := l.frame(p, d.body)
		v = r3.Add(v, f.rotate(vecAt(m.dims, l.arrowDim(a))))
	}
	return v
}

// twist finds the velocity of a body from that of its carrier, its own
// coordinate's m.q and, where m.dims is set, the changes of its axis.
func (l *Linkage) twist(p *Pose, m *Motion, b Body) {
	n := &l.bodies[b]
	qd := m.q[b]
	if n.grounded() && !n.framed && m.dims == nil {
		return // the rates of its balls and arrows follow from its coordinate's, and nothing rides on it
	}
	w, v := l.carrierTwist(p, m, b)
	u, o := n.axis, n.point
	f := l.carrier(p, n, b)
	if f != nil {
		u, o = f.rotate(u), f.place(o)
	}
	if n.slides {
		v = r3.Add(v, r3.Scale(qd, u))
	} else {
		w = r3.Add(w, r3.Scale(qd, u))
		v = r3.Add(v, r3.Scale(qd, r3.Cross(o, u)))
	}
	if m.dims != nil {
		dw, dv := l.axisChange(p, m, b, o)
		w, v = r3.Add(w, dw), r3.Add(v, dv)
	}
	m.w[b], m.v[b] = w, v
}

// carrierTwist returns the velocity of what carries a body.
func (l *Linkage) carrierTwist(p *Pose, m *Motion, b Body) (w, v r3.Vec) {
	n := &l.bodies[b]
	switch n.carrier {
	case onBody:
		return m.w[n.parent], m.v[n.parent]
	case onBalls:
		from, to := p.Ball(n.ends[0]), p.Ball(n.ends[1])
		vf := l.BallRate(p, m, n.ends[0])
		line := r3.Sub(to, from)
		size := norm(line)
		u := r3.Scale(1/size, line)
		axis, wp := n.axis, r3.Vec{}
		if f := l.parentFrame(p, n); f != nil {
			axis, wp = f.rotate(axis), m.w[n.parent]
		}
		dv := r3.Scale(1/size, r3.Sub(l.BallRate(p, m, n.ends[1]), vf))
		dv = r3.Sub(dv, r3.Cross(wp, u))
		w = r3.Add(wp, swingRate(axis, u, r3.Sub(dv, r3.Scale(r3.Dot(dv, u), u))))
		return w, r3.Sub(vf, r3.Cross(w, from))
	default:
		return r3.Vec{}, r3.Vec{}
	}
}

// swingRate returns the angular velocity of the smallest turn that takes u0 to u,
// as u changes by du (square to u): u × du, and about u the turn that keeps it smallest.
func swingRate(u0, u, du r3.Vec) r3.Vec {
	w := r3.Cross(u, du)
	k := r3.Dot(u0, w) / (1 + r3.Dot(u0, u))
	return r3.Sub(w, r3.Scale(k, u))
}

// axisChange returns the velocity of a body, its coordinate and carrier held,
// as its axis changes. o is the axis point in the world.
func (l *Linkage) axisChange(p *Pose, m *Motion, b Body, o r3.Vec) (w, v r3.Vec) {
	n := &l.bodies[b]
	f := l.carrier(p, n, b)
	if f == nil {
		f = &identity
	}
	var dPoint, dAxis r3.Vec
	if n.carrier == onBalls {
		dPoint = vecAt(m.dims, l.ballDim(n.ends[0]))
		span := norm(r3.Sub(l.balls[n.ends[1]].at, n.point))
		dAxis = r3.Scale(1/span, r3.Sub(vecAt(m.dims, l.ballDim(n.ends[1])), dPoint))
	} else {
		dPoint = vecAt(m.dims, l.bodyDim(b))
		dAxis = vecAt(m.dims, l.bodyDim(b)+3)
	}
	// The axis is a unit vector: only what is square to it counts.
	dAxis = r3.Sub(dAxis, r3.Scale(r3.Dot(dAxis, n.axis), n.axis))
	if n.slides {
		return r3.Vec{}, f.rotate(r3.Scale(p.q[b], dAxis))
	}
	own := about(r3.Vec{}, n.axis, p.turns[b].c, p.turns[b].s)
	// A turned axis turns the body by E R Eᵀ R⁻¹, E the small turn of the axis.
	tilt := r3.Cross(n.axis, dAxis)
	w = f.rotate(r3.Sub(tilt, own.rotate(tilt)))
	shift := r3.Scale(-1, own.rotate(dPoint))
	if n.carrier == onBalls {
		// The carrier moves the described point onto its ball, so that the point's own shift is not
		// seen, and swings from the described axis, which is here what changes.
		u := f.rotate(n.axis)
		if parent := l.parentFrame(p, n); parent != nil {
			u = parent.unrotate(u)
		}
		w = r3.Sub(w, f.rotate(swingRate(u, n.axis, dAxis)))
	} else {
		shift = r3.Add(shift, dPoint)
	}
	v = r3.Sub(f.rotate(shift), r3.Cross(w, o))
	return w, v
}

// Axis returns a point on a body's axis and its unit direction at the pose, in the world frame.
func (l *Linkage) Axis(p *Pose, b Body) (point, dir r3.Vec) {
	n := &l.bodies[b]
	point, dir = n.point, n.axis
	if f := l.carrier(p, n, b); f != nil {
		point, dir = f.place(point), f.rotate(dir)
	}
	return point, dir
}

// AxisRate returns the derivatives of what Axis returns, at p, the pose that m was
// found at.
func (l *Linkage) AxisRate(p *Pose, m *Motion, b Body) (point, dir r3.Vec) {
	n := &l.bodies[b]
	if n.carrier == onGround && m.dims == nil {
		return r3.Vec{}, r3.Vec{}
	}
	o, u := l.Axis(p, b)
	w, v := l.carrierTwist(p, m, b)
	point, dir = r3.Add(v, r3.Cross(w, o)), r3.Cross(w, u)
	if m.dims != nil && n.carrier != onBalls {
		dPoint, dAxis := vecAt(m.dims, l.bodyDim(b)), vecAt(m.dims, l.bodyDim(b)+3)
		dAxis = r3.Sub(dAxis, r3.Scale(r3.Dot(dAxis, n.axis), n.axis))
		if f := l.carrier(p, n, b); f != nil {
			dPoint, dAxis = f.rotate(dPoint), f.rotate(dAxis)
		}
		point, dir = r3.Add(point, dPoint), r3.Add(dir, dAxis)
	}
	return point, dir
}

// norm is r3.Norm without its guard against overflow, which places that Build has let in
// cannot reach, and which costs four times the root.
func norm(v r3.Vec) float64 { return math.Sqrt(r3.Norm2(v)) }

// lengthRate returns how fast the gap between a rod's balls grows.
func (l *Linkage) lengthRate(p *Pose, m *Motion, r Rod) float64 {
	d := &l.rods[r]
	line := r3.Sub(p.Ball(d.a), p.Ball(d.b))
	return r3.Dot(line, r3.Sub(l.BallRate(p, m, d.a), l.BallRate(p, m, d.b))) / norm(line)
}

// Tangent finds the derivative of the pose p along a direction: rates of the
// inputs, and rates of the dimensions (as long as Dimensions; nil for none,
// which is much faster). m keeps a reference to dims. Tangent allocates nothing.
//
// Exact but for rounding; near a dead point rounding grows as 1/Leverage².
func (l *Linkage) Tangent(p *Pose, inputs, dims []float64, m *Motion) {
	m.dims = dims
	if l.chain != nil && dims == nil {
		l.followRates(p, inputs, m)
		return
	}
	for i, b := range l.inputs {
		m.q[b] = inputs[i]
	}
	if !p.fresh {
		l.refactor(p)
	}
	for i := range l.steps {
		st := &l.steps[i]
		switch st.kind {
		case placeBody:
			l.twist(p, m, st.body)
		case closeTurn, closeSlide:
			l.closeRate(p, m, st)
		case newton:
			l.blockRate(p, m, st)
		}
	}
}

// blockRate finds the rates of the bodies of a block.
func (l *Linkage) blockRate(p *Pose, m *Motion, st *step) {
	f := &p.blocks[st.block]
	for _, b := range st.unknown {
		m.q[b] = 0
	}
	for _, b := range st.moving {
		l.twist(p, m, b)
	}
	for k, r := range st.rods {
		f.rhs.Data[k] = l.lengthRate(p, m, r) - l.rodChange(m, r)
	}
	f.solve()
	for k, b := range st.unknown {
		m.q[b] = -f.rhs.Data[k]
	}
	for _, b := range st.moving {
		l.twist(p, m, b)
	}
}

func (l *Linkage) rodChange(m *Motion, r Rod) float64 {
	if m.dims == nil {
		return 0
	}
	return m.dims[l.rodDim(r)]
}

// closeRate finds the rate of a body closed by one rod from that of its carrier
// and of the rod's other end.
func (l *Linkage) closeRate(p *Pose, m *Motion, st *step) {
	b := st.body
	line := r3.Sub(p.Ball(st.near), p.Ball(st.far))
	m.q[b] = 0
	l.twist(p, m, b)
	held := r3.Dot(line, r3.Sub(l.BallRate(p, m, st.near), l.BallRate(p, m, st.far)))
	m.q[b] = (l.rodChange(m, st.rods[0])*st.length - held) / p.turns[b].slope
	l.twist(p, m, b)
}

// lever returns how the ball moves as the coordinate of the body that it is on, or rides on, grows.
func (l *Linkage) lever(p *Pose, at Ball, b Body) r3.Vec {
	n := &l.bodies[b]
	u, o := n.axis, n.point
	if f := l.carrier(p, n, b); f != nil {
		u, o = f.rotate(u), f.place(o)
	}
	if n.slides {
		return u
	}
	return r3.Cross(u, r3.Sub(p.Ball(at), o))
}

// Leverage returns how far the pose is from a dead point, from 0, at one, to 1: for a body held by
// one rod, the part of the rod's pull that turns the body, the sine of the transmission angle of a
// planar four-bar. For bodies held together it is |det ∂r/∂q| over the greatest that the ball's
// levers allow (Hadamard's bound), a slide of a rod's length counted as a radian. The least over
// all blocks is returned.
func (l *Linkage) Leverage(p *Pose) float64 {
	least := 1.0
	for i := range l.steps {
		if st := &l.steps[i]; st.kind != placeBody {
			least = min(least, l.leverage(p, st))
		}
	}
	return least
}

func (l *Linkage) leverage(p *Pose, st *step) float64 {
	if st.kind != newton {
		lever := l.lever(p, st.near, st.body)
		line := r3.Sub(p.Ball(st.near), p.Ball(st.far))
		return math.Abs(r3.Dot(line, lever)) / (norm(line) * norm(lever))
	}
	l.factor(p, st)
	ratio := math.Abs(p.blocks[st.block].det)
	for _, b := range st.unknown {
		ratio *= l.unit(b, st)
	}
	for _, r := range st.rods {
		ratio /= l.greatestRow(p, st, r)
	}
	return ratio
}

// greatestRow returns the largest norm that the rod's row of ∂r/∂q could have, were the
// rod in line with the motion of its balls.
func (l *Linkage) greatestRow(p *Pose, st *step, r Rod) float64 {
	m := p.column
	sum := 0.0
	for _, b := range st.unknown {
		m.q[b] = l.unit(b, st)
		for _, n := range st.moving {
			l.twist(p, m, n)
		}
		sum += r3.Norm2(r3.Sub(l.BallRate(p, m, l.rods[r].a), l.BallRate(p, m, l.rods[r].b)))
		m.q[b] = 0
	}
	for _, n := range st.moving {
		m.w[n], m.v[n] = r3.Vec{}, r3.Vec{}
	}
	return math.Sqrt(sum)
}
