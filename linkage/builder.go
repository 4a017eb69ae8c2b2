package linkage

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Body is a body's handle, and that of its one coordinate. Handles grow in the
// order of creation.
type Body int

// Ground is the body that does not move.
const Ground Body = 0

// Ball is the handle of a point fixed in a body.
type Ball int

// Arrow is the handle of a direction fixed in a body.
type Arrow int

// Rod is the handle of a rod.
type Rod int

// Free is a body that moves freely, as six bodies in a chain: slides along X, Y
// and Z, then the turns yaw, pitch and roll about the carried Z, Y and X axes
// (the intrinsic order of ISO 8855). Balls belong on Roll, the last. It is
// singular at a pitch of ±90°.
type Free struct {
	X, Y, Z, Yaw, Pitch, Roll Body
}

type carrier uint8

const (
	onGround carrier = iota
	onBody
	onBalls
)

// body is the description and, after Build, the precomputed form of a body. In
// the carrier's frame a point of a turning body is p0 + p1 cos q + p2 sin q and
// one of a sliding body p0 + p2 q: a slide is as a turn of cosine 1 and sine q.
type body struct {
	name        string
	slides      bool
	carrier     carrier
	parent      Body // onBody; onBalls, what its zero goes with
	ends        [2]Ball
	point, axis r3.Vec
	start       float64
	input       int  // index of the driving input, or -1
	framed      bool // another body rides on it
	closed      bool // its coordinate is found in closed form, as cosine and sine
}

// form is a ball's or an arrow's, with its body.
type form struct {
	local
	body Body
	// grounded is whether the ground carries its body, so that its place follows from the body's
	// turn alone.
	grounded bool
}

// local is a point or a direction of a body in its carrier's frame.
type local struct{ p0, p1, p2 r3.Vec }

type ball struct {
	name string
	body Body
	at   r3.Vec
}

type rod struct {
	name   string
	a, b   Ball
	length float64
}

// Errors of Build; each is wrapped with the part's name.
var (
	// ErrDescription reports a part that cannot exist: a number that is not
	// finite, an axis without direction, a rod without length or with both ends on one body.
	ErrDescription = errors.New("impossible part")
	// ErrUnderConstrained reports a body that no rod holds.
	ErrUnderConstrained = errors.New("nothing holds it")
	// ErrOverConstrained reports a rod that has nothing left to hold.
	ErrOverConstrained = errors.New("one rod too many")
	// ErrDeadPoint reports a linkage described in a pose that is a dead point, so that its branch
	// is undecided.
	ErrDeadPoint = errors.New("at a dead point")
	// ErrInput reports inputs to a linkage that are of the wrong number or not finite.
	ErrInput = errors.New("bad input")
)

// description is what a linkage is made of.
type description struct {
	bodies []body
	balls  []ball
	arrows []ball
	rods   []rod
	inputs []Body
}

// Builder collects the description of a linkage.
type Builder struct {
	description
	err error
}

// NewBuilder returns a Builder that holds only the ground.
func NewBuilder() *Builder {
	return &Builder{description: description{bodies: []body{{name: "ground", input: -1}}}}
}

func (b *Builder) fail(name, format string, args ...any) {
	if b.err == nil {
		b.err = fmt.Errorf("linkage: %s: %w: %s", name, ErrDescription, fmt.Sprintf(format, args...))
	}
}

func finite(vs ...r3.Vec) bool {
	for _, v := range vs {
		// The sum of finite numbers this small is finite, and that of any others is not or is
		// caught by the bound.
		if s := math.Abs(v.X) + math.Abs(v.Y) + math.Abs(v.Z); !(s < 1e9) {
			return false
		}
	}
	return true
}

func (b *Builder) add(n body) Body {
	size := r3.Norm(n.axis)
	if !finite(n.point, n.axis) || !(size > 1e-12) {
		b.fail(n.name, "its axis needs a finite point and a direction, not %v and %v", n.point, n.axis)
		size = 1
	}
	n.axis = r3.Scale(1/size, n.axis)
	n.input = -1
	b.bodies = append(b.bodies, n)
	return Body(len(b.bodies) - 1)
}

func carried(parent Body) carrier {
	if parent == Ground {
		return onGround
	}
	return onBody
}

// Turn adds a body that turns about the axis through point along axis, both given
// at the zero pose and carried by parent.
func (b *Builder) Turn(name string, parent Body, point, axis r3.Vec) Body {
	return b.add(body{name: name, carrier: carried(parent), parent: parent, point: point, axis: axis})
}

// Slide adds a body that slides along dir, carried by parent.
func (b *Builder) Slide(name string, parent Body, dir r3.Vec) Body {
	return b.add(body{name: name, slides: true, carrier: carried(parent), parent: parent, axis: dir})
}

// TurnBetween adds a body that turns about the line from one ball to another, both of earlier
// bodies, and moves with the first. Its zero is carried along by parent, and within parent by the
// smallest rotation that takes the line from its zero pose to where it is. The distance between the
// balls is free (a strut) unless a rod keeps it.
func (b *Builder) TurnBetween(name string, parent Body, from, to Ball) Body {
	p, q := b.balls[from].at, b.balls[to].at
	return b.add(body{name: name, carrier: onBalls, parent: parent, ends: [2]Ball{from, to}, point: p, axis: r3.Sub(q, p)})
}

// Free adds a body that moves freely and turns about the point at.
func (b *Builder) Free(name string, at r3.Vec) Free {
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	var f Free
	f.X = b.Slide(name+" forward", Ground, x)
	f.Y = b.Slide(name+" sideways", f.X, y)
	f.Z = b.Slide(name+" heave", f.Y, z)
	f.Yaw = b.Turn(name+" yaw", f.Z, at, z)
	f.Pitch = b.Turn(name+" pitch", f.Yaw, at, y)
	f.Roll = b.Turn(name, f.Pitch, at, x)
	return f
}

// Ball adds a point of a body, given at the zero pose.
func (b *Builder) Ball(name string, on Body, at r3.Vec) Ball {
	if !finite(at) {
		b.fail(name, "its place must be finite, not %v", at)
	}
	b.balls = append(b.balls, ball{name, on, at})
	return Ball(len(b.balls) - 1)
}

// Arrow adds a direction of a body, given at the zero pose. Its length is kept.
func (b *Builder) Arrow(name string, on Body, dir r3.Vec) Arrow {
	if !finite(dir) {
		b.fail(name, "its direction must be finite, not %v", dir)
	}
	b.arrows = append(b.arrows, ball{name, on, dir})
	return Arrow(len(b.arrows) - 1)
}

// Rod adds a rod that keeps two balls of different bodies length apart.
func (b *Builder) Rod(name string, from, to Ball, length float64) Rod {
	switch {
	case !(length > 0) || math.IsInf(length, 0):
		b.fail(name, "its length must be more than zero, not %v", length)
	case b.balls[from].body == b.balls[to].body:
		b.fail(name, "both its ends are on the %s", b.bodies[b.balls[from].body].name)
	case r3.Norm2(r3.Sub(b.balls[from].at, b.balls[to].at)) == 0:
		b.fail(name, "its ends are in one place")
	}
	b.rods = append(b.rods, rod{name, from, to, length})
	return Rod(len(b.rods) - 1)
}

// Drive makes a body's coordinate an input. Inputs are numbered in the order of
// the calls.
func (b *Builder) Drive(n Body) {
	if slices.Contains(b.inputs, n) {
		return
	}
	b.bodies[n].input = len(b.inputs)
	b.inputs = append(b.inputs, n)
}

// Start sets the coordinate at which a body stands in the pose that decides the
// branch; zero unless set. For an input it is its value there, for the others a guess.
func (b *Builder) Start(n Body, q float64) { b.bodies[n].start = q }

// Build checks the description, plans the solution and assembles the linkage at
// its starting pose. The errors wrap ErrDescription, ErrUnderConstrained,
// ErrOverConstrained, ErrDeadPoint, or are a *LimitError if the rods do not close there.
// The Builder can be changed and built again.
func (b *Builder) Build() (*Linkage, error) {
	if b.err != nil {
		return nil, b.err
	}
	l := &Linkage{description: description{
		bodies: slices.Clone(b.bodies), balls: slices.Clone(b.balls),
		arrows: slices.Clone(b.arrows), rods: slices.Clone(b.rods), inputs: slices.Clone(b.inputs),
	}}
	l.precompute()
	for _, n := range l.inputs {
		stride := strideTurn
		if l.bodies[n].slides {
			stride = strideSlide
		}
		l.strides = append(l.strides, stride)
	}
	if err := l.plan(); err != nil {
		return nil, err
	}
	if err := l.assemble(); err != nil {
		return nil, err
	}
	l.findChain()
	return l, nil
}

func (l *Linkage) precompute() {
	for i := range l.bodies {
		l.bodies[i].framed = false
	}
	for i := range l.bodies {
		if n := &l.bodies[i]; n.carrier != onGround && n.parent != Ground {
			l.bodies[n.parent].framed = true
		}
	}
	for _, p := range l.balls {
		n := &l.bodies[p.body]
		l.ballForms = append(l.ballForms, form{n.point3(p.at), p.body, n.grounded()})
	}
	for _, a := range l.arrows {
		n := &l.bodies[a.body]
		l.arrowForms = append(l.arrowForms, form{n.direction3(a.at), a.body, n.grounded()})
	}
}

// grounded reports whether the ground carries the body.
func (n *body) grounded() bool { return n.carrier == onGround }

func (n *body) point3(at r3.Vec) local {
	if n.slides {
		return local{p0: at, p2: n.axis}
	}
	rel := n.direction3(r3.Sub(at, n.point))
	rel.p0 = r3.Add(rel.p0, n.point)
	return rel
}

func (n *body) direction3(v r3.Vec) local {
	if n.slides {
		return local{p0: v}
	}
	along := r3.Scale(r3.Dot(v, n.axis), n.axis)
	return local{p0: along, p1: r3.Sub(v, along), p2: r3.Cross(n.axis, v)}
}

// at returns the place at the cosine and sine of a turn.
func (m *local) at(c, s float64) r3.Vec {
	return r3.Vec{
		X: m.p0.X + c*m.p1.X + s*m.p2.X,
		Y: m.p0.Y + c*m.p1.Y + s*m.p2.Y,
		Z: m.p0.Z + c*m.p1.Z + s*m.p2.Z,
	}
}

// slope returns how fast the place changes there as the turn grows.
func (m *local) slope(c, s float64) r3.Vec {
	return r3.Vec{
		X: c*m.p2.X - s*m.p1.X,
		Y: c*m.p2.Y - s*m.p1.Y,
		Z: c*m.p2.Z - s*m.p1.Z,
	}
}
