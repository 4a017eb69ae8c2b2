package linkage

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/spatial/r3"
)

// Linkage is a planned linkage. It does not change after Build and may be shared;
// each goroutine needs its own Pose and Motion.
type Linkage struct {
	description
	steps []step
	chain []link // nil if it is none
	home  *Pose
	// strides are the longest steps of the inputs.
	strides    []float64
	ballForms  []form
	arrowForms []form
}

// Pose is where everything is. It is memory for Solve to fill; make it with
// [Linkage.NewPose].
type Pose struct {
	l      *Linkage
	in     []float64 // inputs of the last good pose
	q      []float64 // coordinates, but for those found in closed form
	turns  []turn
	frames []frame // of framed bodies
	rests  []frame // of the carrier of bodies that run through balls

	good   []float64 // q of the last good pose, to return to
	way    way
	blocks []factors // of the steps that use Newton's method
	column *Motion
	fresh  bool // blocks hold the factors of this pose
}

// turn is what a pose holds of a coordinate: the cosine and sine of a turn, or 1 and the way of a
// slide; and, if a single rod closes it, the slope ∂f/∂q of half the rod's error of squared length.
type turn struct{ c, s, slope float64 }

// factors is the LU factorisation of a block's ∂r/∂q and its working memory.
type factors struct {
	jac   blas64.General
	pivot []int
	rhs   blas64.General
	det   float64
}

// frame takes a place x of the zero pose to r x + t.
type frame struct {
	r [9]float64
	t r3.Vec
}

var identity = frame{r: [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 1}}

func (f *frame) rotate(v r3.Vec) r3.Vec {
	return r3.Vec{
		X: f.r[0]*v.X + f.r[1]*v.Y + f.r[2]*v.Z,
		Y: f.r[3]*v.X + f.r[4]*v.Y + f.r[5]*v.Z,
		Z: f.r[6]*v.X + f.r[7]*v.Y + f.r[8]*v.Z,
	}
}

func (f *frame) unrotate(v r3.Vec) r3.Vec {
	return r3.Vec{
		X: f.r[0]*v.X + f.r[3]*v.Y + f.r[6]*v.Z,
		Y: f.r[1]*v.X + f.r[4]*v.Y + f.r[7]*v.Z,
		Z: f.r[2]*v.X + f.r[5]*v.Y + f.r[8]*v.Z,
	}
}

func (f *frame) place(x r3.Vec) r3.Vec   { return r3.Add(f.rotate(x), f.t) }
func (f *frame) unplace(x r3.Vec) r3.Vec { return f.unrotate(r3.Sub(x, f.t)) }

// after returns f ∘ g.
func (f *frame) after(g *frame) frame {
	var h frame
	for i := range 3 {
		for j := range 3 {
			h.r[3*i+j] = f.r[3*i]*g.r[j] + f.r[3*i+1]*g.r[3+j] + f.r[3*i+2]*g.r[6+j]
		}
	}
	h.t = f.place(g.t)
	return h
}

// about returns the turn by the angle of cosine c and sine s about the line
// through point along the unit vector u (Rodrigues' formula).
func about(point, u r3.Vec, c, s float64) frame {
	k := 1 - c
	f := frame{r: [9]float64{
		c + k*u.X*u.X, k*u.X*u.Y - s*u.Z, k*u.X*u.Z + s*u.Y,
		k*u.X*u.Y + s*u.Z, c + k*u.Y*u.Y, k*u.Y*u.Z - s*u.X,
		k*u.X*u.Z - s*u.Y, k*u.Y*u.Z + s*u.X, c + k*u.Z*u.Z,
	}}
	f.t = r3.Sub(point, f.rotate(point))
	return f
}

// swing returns the smallest turn that takes unit vector u to v, moving the point
// from to the point to. Opposite vectors leave its axis undecided; one square to u is taken.
func swing(from, u, to, v r3.Vec) frame {
	c := r3.Dot(u, v)
	axis := r3.Cross(u, v)
	s := norm(axis)
	if s < 1e-300 {
		if c > 0 {
			f := identity
			f.t = r3.Sub(to, from)
			return f
		}
		axis = square(u)
		s = 0
	} else {
		axis = r3.Scale(1/s, axis)
	}
	f := about(r3.Vec{}, axis, c, s)
	f.t = r3.Sub(to, f.rotate(from))
	return f
}

// square returns a unit vector square to u.
func square(u r3.Vec) r3.Vec {
	e := r3.Vec{X: 1}
	if math.Abs(u.X) > 0.7 {
		e = r3.Vec{Y: 1}
	}
	return r3.Unit(r3.Cross(u, e))
}

// NewPose returns a pose that stands where the linkage was described.
func (l *Linkage) NewPose() *Pose {
	if l.home == nil {
		return l.emptyPose()
	}
	p := l.emptyPose()
	p.Set(l.home)
	return p
}

// Set makes p a copy of another pose of the same linkage.
func (p *Pose) Set(from *Pose) {
	copy(p.in, from.in)
	copy(p.q, from.q)
	copy(p.turns, from.turns)
	copy(p.frames, from.frames)
	copy(p.rests, from.rests)
	copy(p.good, from.good)
	p.fresh = false
}

func (l *Linkage) emptyPose() *Pose {
	n := len(l.bodies)
	p := &Pose{
		l: l, in: make([]float64, len(l.inputs)), way: newWay(len(l.inputs), n),
		q: make([]float64, n), turns: make([]turn, n), good: make([]float64, n),
		frames: make([]frame, n), rests: make([]frame, n),
		column: l.NewMotion(),
	}
	for i := range l.bodies {
		p.turns[i].c = 1
		p.frames[i], p.rests[i] = identity, identity
	}
	for _, s := range l.steps {
		if s.kind == newton {
			k := len(s.unknown)
			p.blocks = append(p.blocks, factors{
				jac:   blas64.General{Rows: k, Cols: k, Stride: k, Data: make([]float64, k*k)},
				rhs:   blas64.General{Rows: k, Cols: 1, Stride: 1, Data: make([]float64, k)},
				pivot: make([]int, k),
			})
		}
	}
	return p
}

// Ball returns where a ball is, in millimetres in the world frame.
func (p *Pose) Ball(b Ball) r3.Vec {
	m := &p.l.ballForms[b]
	t := &p.turns[m.body]
	x := m.at(t.c, t.s)
	if !m.grounded {
		x = p.l.carrier(p, &p.l.bodies[m.body], m.body).place(x)
	}
	return x
}

// Arrow returns where an arrow points, in the world frame.
func (p *Pose) Arrow(a Arrow) r3.Vec {
	m := &p.l.arrowForms[a]
	t := &p.turns[m.body]
	x := m.at(t.c, t.s)
	if !m.grounded {
		x = p.l.carrier(p, &p.l.bodies[m.body], m.body).rotate(x)
	}
	return x
}

// Inputs returns the inputs of the pose. The slice belongs to the pose.
func (p *Pose) Inputs() []float64 { return p.in }

// Coordinate returns a body's turn in radians or slide in millimetres from the
// zero pose. A turn found in closed form is between -π and π.
func (l *Linkage) Coordinate(p *Pose, b Body) float64 {
	if l.bodies[b].closed {
		return math.Atan2(p.turns[b].s, p.turns[b].c)
	}
	return p.q[b]
}

// NumInputs returns how many inputs Solve takes.
func (l *Linkage) NumInputs() int { return len(l.inputs) }

// Solve finds the pose at the given inputs (radians or millimetres, in the order of Drive). p holds
// a pose of this linkage, from which the way leads straight to those inputs; one longer than 2° or
// 2 mm is gone in strides of that, so that no gap wider than a stride is leapt over.
//
// It returns a *LimitError, with p left where it was, if the linkage does not
// close there, or not on its branch; or ErrInput.
func (l *Linkage) Solve(p *Pose, inputs []float64) error {
	if !p.near(inputs) || l.try(p, inputs) != nil {
		return l.move(p, inputs)
	}
	for i := range p.in { // mostly one number: copy is a call, and costs more
		p.in[i] = inputs[i]
	}
	if len(p.blocks) > 0 {
		copy(p.good, p.q)
	}
	return nil
}

// near reports whether the inputs are within a stride of the pose's. What is not a number is not.
func (p *Pose) near(inputs []float64) bool {
	if len(inputs) != len(p.in) {
		return false
	}
	for i, v := range inputs {
		if !(math.Abs(v-p.in[i]) <= p.l.strides[i]) {
			return false
		}
	}
	return true
}

// try solves at the inputs in one go; it returns the step that failed. On failure
// p is neither here nor there until move restores it.
func (l *Linkage) try(p *Pose, inputs []float64) *step {
	if l.chain == nil {
		return l.stepThrough(p, inputs)
	}
	return l.follow(p, inputs)
}

// stepThrough is try for any linkage, a chain too.
func (l *Linkage) stepThrough(p *Pose, inputs []float64) *step {
	p.fresh = len(p.blocks) == 0
	for i, b := range l.inputs {
		p.q[b] = inputs[i]
	}
	for i := range l.steps {
		st := &l.steps[i]
		ok := true
		switch st.kind {
		case placeBody:
			l.placeAt(p, st.body)
		case closeTurn:
			ok = l.closeTurn(p, st)
		case closeSlide:
			ok = l.closeSlide(p, st)
		case newton:
			ok = l.iterate(p, st)
		}
		if !ok {
			return st
		}
	}
	return nil
}

// placeAt places a body from its coordinate.
func (l *Linkage) placeAt(p *Pose, b Body) {
	n := &l.bodies[b]
	if t := &p.turns[b]; n.slides {
		t.s = p.q[b]
	} else {
		t.s, t.c = math.Sincos(p.q[b])
	}
	if n.carrier == onBalls {
		l.rest(p, b)
	}
	l.setFrame(p, b)
}

// setFrame finds the frame of a body that another rides on.
func (l *Linkage) setFrame(p *Pose, b Body) {
	if l.bodies[b].framed {
		p.frames[b] = l.frame(p, b)
	}
}

// rest finds the frame of the carrier of a body that runs through two balls.
func (l *Linkage) rest(p *Pose, b Body) {
	n := &l.bodies[b]
	from, to := p.Ball(n.ends[0]), p.Ball(n.ends[1])
	f := l.parentFrame(p, n)
	if f != nil {
		from, to = f.unplace(from), f.unplace(to)
	}
	line := r3.Sub(to, from)
	p.rests[b] = swing(n.point, n.axis, from, r3.Scale(1/norm(line), line))
	if f != nil {
		p.rests[b] = f.after(&p.rests[b])
	}
}

// parentFrame returns the frame of a body's parent, nil for the ground.
func (l *Linkage) parentFrame(p *Pose, n *body) *frame {
	if n.parent == Ground {
		return nil
	}
	return &p.frames[n.parent]
}

// carrier returns the frame of what carries the body, nil for the ground.
func (l *Linkage) carrier(p *Pose, n *body, b Body) *frame {
	switch n.carrier {
	case onBody:
		return &p.frames[n.parent]
	case onBalls:
		return &p.rests[b]
	default:
		return nil
	}
}

// frame returns the frame of a body whose coordinate and carrier are placed.
func (l *Linkage) frame(p *Pose, b Body) frame {
	n := &l.bodies[b]
	if b == Ground {
		return identity
	}
	own := identity
	if n.slides {
		own.t = r3.Scale(p.q[b], n.axis)
	} else {
		own = about(n.point, n.axis, p.turns[b].c, p.turns[b].s)
	}
	if f := l.carrier(p, n, b); f != nil {
		return f.after(&own)
	}
	return own
}

// farEnd returns the other end of a closing rod in the frame of what carries the body.
func (l *Linkage) farEnd(p *Pose, st *step) r3.Vec {
	y := p.Ball(st.far)
	if n := &l.bodies[st.body]; n.carrier != onGround {
		return l.inCarrier(p, n, st.body, y)
	}
	return y
}

// inCarrier finds where the body's carrier is and returns a place in its frame.
func (l *Linkage) inCarrier(p *Pose, n *body, b Body, y r3.Vec) r3.Vec {
	if n.carrier == onBalls {
		l.rest(p, b)
	}
	return l.carrier(p, n, b).unplace(y)
}

// turnEquation returns half of A, B and C of the closing turn A cos θ + B sin θ = C, from
// |p0 + p1 cos θ + p2 sin θ - y|² = L² with p1, p2 square and equally long.
func (st *step) turnEquation(y r3.Vec) (a, b, c float64) {
	o, u, v := &st.path.p0, &st.path.p1, &st.path.p2
	x, yy, z := o.X-y.X, o.Y-y.Y, o.Z-y.Z
	return u.X*x + u.Y*yy + u.Z*z, v.X*x + v.Y*yy + v.Z*z, st.span - 0.5*(x*x+yy*yy+z*z)
}

func (l *Linkage) closeTurn(p *Pose, st *step) bool {
	a, b, c := st.turnEquation(l.farEnd(p, st))
	if !p.turns[st.body].close(a, b, c, st.sign) {
		return false
	}
	l.setFrame(p, st.body)
	return true
}

// close turns to where a cos θ + b sin θ = c, on the branch on which the slope b cos θ - a sin θ
// has the sign. It reports false where there is no such place, or just the dead point between
// branches.
func (t *turn) close(a, b, c, sign float64) bool {
	m := a*a + b*b
	disc := m - c*c
	if !(disc > 0) {
		return false
	}
	h := sign * math.Sqrt(disc)
	inv := 1 / m
	t.c, t.s, t.slope = (a*c+b*h)*inv, (b*c-a*h)*inv, h
	return true
}

// closeSlide solves q² + 2 q e·d + d² = L².
func (l *Linkage) closeSlide(p *Pose, st *step) bool {
	d := r3.Sub(st.path.p0, l.farEnd(p, st))
	b := r3.Dot(st.path.p2, d)
	disc := b*b - r3.Norm2(d) + st.length*st.length
	if !(disc > 0) {
		return false
	}
	h := st.sign * math.Sqrt(disc)
	p.q[st.body] = h - b
	p.turns[st.body] = turn{1, h - b, h}
	l.setFrame(p, st.body)
	return true
}

const (
	newtonSteps = 40
	// leap is the longest first step from a neighbouring pose, in radians; slides are scaled by the
	// rods. A longer one, or steps that do not at least halve, might end on another branch of the
	// same sign.
	leap = 0.25
	// nearby is the step, in radians, after which ∂r/∂q has changed too little to be worth finding
	// anew: what remains shrinks by about that factor with each further step.
	nearby = 0.01
	// rounding is the part of a rod's length below which its error is that of computing it. Near a
	// dead point steps stay longer than they should be for that alone.
	rounding = 4e-15
)

// iterate solves a block by Newton's method from the neighbouring pose in p. It gives up, so that
// the caller takes a nearer neighbour, unless the steps halve from the first on: then the solution
// is the one that is connected with where they began (the natural monotonicity test, Deuflhard,
// Newton Methods for Nonlinear Problems, from memory). It ends where the next step would be below
// 1e-13 rad, or the rods' lengths are right to rounding. While the branch is still to be decided
// there is no neighbour, and any way will do.
func (l *Linkage) iterate(p *Pose, st *step) bool {
	f := &p.blocks[st.block]
	decided := st.sign != 0
	last := 2 * leap
	for k := range newtonSteps {
		for _, b := range st.moving {
			l.placeAt(p, b)
		}
		if last > nearby && !l.factor(p, st) {
			return false
		}
		worst, closed := 0.0, true
		for i, r := range st.rods {
			f.rhs.Data[i] = l.excess(p, r)
			off := math.Abs(f.rhs.Data[i])
			worst, closed = max(worst, off), closed && off < rounding*l.rods[r].length
		}
		f.solve()
		step := 0.0
		for i, b := range st.unknown {
			step = max(step, math.Abs(f.rhs.Data[i])/l.unit(b, st))
		}
		// The next step would be less by about the factor by which this one was.
		next := step
		if k > 0 {
			next *= min(1, step/last)
		}
		done := next < 1e-13 || closed
		if math.IsNaN(step) || decided && !done && step > last/2 {
			return false
		}
		last = step
		scale := min(1, 2*leap/step)
		for i, b := range st.unknown {
			p.q[b] -= scale * f.rhs.Data[i]
		}
		if done && worst < 1e-6 {
			for _, b := range st.moving {
				l.placeAt(p, b)
			}
			return !decided || sign(f.det) == st.sign
		}
	}
	return false
}

// unit is the size that a step of one radian is compared with.
func (l *Linkage) unit(b Body, st *step) float64 {
	if l.bodies[b].slides {
		return l.rods[st.rods[0]].length
	}
	return 1
}

// excess returns how much longer the gap between the rod's balls is than the rod.
func (l *Linkage) excess(p *Pose, r Rod) float64 {
	d := &l.rods[r]
	return norm(r3.Sub(p.Ball(d.a), p.Ball(d.b))) - d.length
}

// factor builds and factorises ∂r/∂q of a block at the pose.
func (l *Linkage) factor(p *Pose, st *step) bool {
	f := &p.blocks[st.block]
	k := len(st.unknown)
	m := p.column
	for j, b := range st.unknown {
		m.q[b] = 1
		for _, n := range st.moving {
			l.twist(p, m, n)
		}
		for i, r := range st.rods {
			f.jac.Data[i*k+j] = l.lengthRate(p, m, r)
		}
		m.q[b] = 0
	}
	for _, n := range st.moving {
		m.w[n], m.v[n] = r3.Vec{}, r3.Vec{}
	}
	ok := lapack64.Getrf(f.jac, f.pivot)
	f.det = 1
	for i := range k {
		f.det *= f.jac.Data[i*k+i]
		if f.pivot[i] != i {
			f.det = -f.det
		}
	}
	return ok && !math.IsNaN(f.det)
}

// solve replaces rhs by the solution of the factorised system.
func (f *factors) solve() { lapack64.Getrs(blas.NoTrans, f.jac, f.rhs, f.pivot) }

// assemble decides the branches at the starting pose and closes the linkage there.
func (l *Linkage) assemble() error {
	p := l.emptyPose()
	for i := range l.bodies {
		p.q[i] = l.bodies[i].start
	}
	for i, b := range l.inputs {
		p.in[i] = l.bodies[b].start
	}
	for i := range l.steps {
		st := &l.steps[i]
		ok := true
		switch st.kind {
		case placeBody:
			l.placeAt(p, st.body)
		case closeTurn:
			l.placeAt(p, st.body)
			a, b, _ := st.turnEquation(l.farEnd(p, st))
			st.sign = sign(b*p.turns[st.body].c - a*p.turns[st.body].s)
			if ok = l.closeTurn(p, st); ok && st.sign == 0 {
				return l.deadPoint(st)
			}
		case closeSlide:
			l.placeAt(p, st.body)
			st.sign = sign(p.q[st.body] + r3.Dot(st.path.p2, r3.Sub(st.path.p0, l.farEnd(p, st))))
			if ok = l.closeSlide(p, st); ok && st.sign == 0 {
				return l.deadPoint(st)
			}
		case newton:
			if ok = l.iterate(p, st); ok {
				if l.leverage(p, st) < 1e-9 {
					return l.deadPoint(st)
				}
				st.sign = sign(p.blocks[st.block].det)
			}
		}
		if !ok {
			return l.limitError(p, st)
		}
	}
	copy(p.good, p.q)
	l.home = p
	return nil
}

func (l *Linkage) deadPoint(st *step) error {
	return fmt.Errorf("linkage: %s: %w where it was described: describe it in another pose", l.rodNames(st), ErrDeadPoint)
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	default:
		return 0
	}
}
