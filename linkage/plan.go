package linkage

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
	"gonum.org/v1/gonum/spatial/r3"
)

type stepKind uint8

const (
	placeBody  stepKind = iota // the body's coordinate is known
	closeTurn                  // A cos θ + B sin θ = C
	closeSlide                 // a quadratic
	newton
)

// step is one entry of the plan that Solve follows.
type step struct {
	kind      stepKind
	body      Body
	near, far Ball  // of the closing rod: on the body, and at its other end
	path      local // of the near ball
	length    float64
	span      float64 // (L² - ρ²)/2, ρ the radius of the near ball's circle
	sign      float64 // the branch: sign of ∂r/∂q, or of its determinant
	rods      []Rod
	unknown   []Body
	moving    []Body // bodies that the rods see move, in order
	block     int    // of Pose.blocks, for Newton's method
}

type set map[Body]bool

func (s set) addAll(t set) {
	for b := range t {
		s[b] = true
	}
}

// dependence returns for each body the bodies whose coordinates move it, itself included.
func (l *Linkage) dependence() []set {
	dep := make([]set, len(l.bodies))
	dep[Ground] = set{}
	for i := 1; i < len(l.bodies); i++ {
		n := &l.bodies[i]
		dep[i] = set{Body(i): true}
		switch n.carrier {
		case onBody:
			dep[i].addAll(dep[n.parent])
		case onBalls:
			dep[i].addAll(dep[n.parent])
			dep[i].addAll(dep[l.balls[n.ends[0]].body])
			dep[i].addAll(dep[l.balls[n.ends[1]].body])
		case onGround:
		}
	}
	return dep
}

// rigidChain returns the body and those that carry it, up to the ground or to one
// that runs through balls.
func (l *Linkage) rigidChain(b Body) []Body {
	chain := []Body{b}
	for b != Ground && l.bodies[b].carrier == onBody {
		b = l.bodies[b].parent
		chain = append(chain, b)
	}
	return chain
}

// rodUnknowns returns the undriven coordinates that can change the rod's length:
// a body that carries both its ends cannot.
func (l *Linkage) rodUnknowns(r *rod, dep []set) set {
	a, b := l.balls[r.a].body, l.balls[r.b].body
	s := set{}
	s.addAll(dep[a])
	s.addAll(dep[b])
	chain := l.rigidChain(b)
	for _, n := range l.rigidChain(a) {
		if slices.Contains(chain, n) {
			for k := range dep[n] {
				delete(s, k)
			}
			break
		}
	}
	for k := range s {
		if l.bodies[k].input >= 0 {
			delete(s, k)
		}
	}
	return s
}

// match pairs every undriven coordinate with a rod that can hold it, by
// augmenting paths; it returns the rod of each body.
func (l *Linkage) match(unknowns []set) (map[Body]Rod, error) {
	holder := map[Body]Rod{}
	var seen set
	var try func(r Rod) bool
	try = func(r Rod) bool {
		for b := range l.bodies {
			n := Body(b)
			if !unknowns[r][n] || seen[n] {
				continue
			}
			seen[n] = true
			if other, held := holder[n]; !held || try(other) {
				holder[n] = r
				return true
			}
		}
		return false
	}
	for r := range l.rods {
		seen = set{}
		if !try(Rod(r)) {
			return nil, fmt.Errorf("linkage: %s: %w: what it could hold is held already", l.rods[r].name, ErrOverConstrained)
		}
	}
	for b := 1; b < len(l.bodies); b++ {
		if _, held := holder[Body(b)]; !held && l.bodies[b].input < 0 {
			return nil, fmt.Errorf("linkage: %s: %w: add a rod or drive it", l.bodies[b].name, ErrUnderConstrained)
		}
	}
	return holder, nil
}

// blocks returns the undriven bodies in the smallest groups that must be solved
// together, in the order to solve them.
func (l *Linkage) blocks(holder map[Body]Rod, unknowns, dep []set) [][]Body {
	g := simple.NewDirectedGraph()
	for b := 1; b < len(l.bodies); b++ {
		if l.bodies[b].input < 0 {
			g.AddNode(simple.Node(b))
		}
	}
	need := func(b, on Body) {
		if b != on && l.bodies[on].input < 0 {
			g.SetEdge(simple.Edge{F: simple.Node(b), T: simple.Node(on)})
		}
	}
	for b := 1; b < len(l.bodies); b++ {
		if l.bodies[b].input >= 0 {
			continue
		}
		for on := range unknowns[holder[Body(b)]] {
			need(Body(b), on)
		}
		// A block works with places in the world, so that whatever carries its bodies comes first.
		for on := range dep[b] {
			need(Body(b), on)
		}
		r := l.rods[holder[Body(b)]]
		for _, end := range []Ball{r.a, r.b} {
			for on := range dep[l.balls[end].body] {
				if !dep[on][Body(b)] {
					need(Body(b), on)
				}
			}
		}
	}
	var out [][]Body
	// Tarjan's components come in reverse topological order: what a body needs is before it.
	for _, scc := range topo.TarjanSCC(g) {
		group := make([]Body, len(scc))
		for i, n := range scc {
			group[i] = Body(n.ID())
		}
		slices.Sort(group)
		out = append(out, group)
	}
	return out
}

func (l *Linkage) plan() error {
	dep := l.dependence()
	unknowns := make([]set, len(l.rods))
	for i := range l.rods {
		unknowns[i] = l.rodUnknowns(&l.rods[i], dep)
	}
	holder, err := l.match(unknowns)
	if err != nil {
		return err
	}
	solved, placed, blocks := set{}, set{Ground: true}, 0
	for _, b := range l.inputs {
		solved[b] = true
	}
	within := func(s set) bool {
		for b := range s {
			if !solved[b] {
				return false
			}
		}
		return true
	}
	placeKnown := func() {
		for b := range l.bodies {
			if n := Body(b); !placed[n] && within(dep[b]) {
				placed[n] = true
				l.steps = append(l.steps, step{kind: placeBody, body: n})
			}
		}
	}
	placeKnown()
	for _, group := range l.blocks(holder, unknowns, dep) {
		s := step{kind: newton, body: group[0], unknown: group}
		seen := set{}
		for _, b := range group {
			s.rods = append(s.rods, holder[b])
			seen[b] = true
			for _, end := range []Ball{l.rods[holder[b]].a, l.rods[holder[b]].b} {
				seen.addAll(dep[l.balls[end].body])
			}
		}
		slices.Sort(s.rods)
		for b := range l.bodies {
			if n := Body(b); seen[n] && !placed[n] {
				s.moving = append(s.moving, n)
			}
		}
		l.closedForm(&s, dep)
		if s.kind == newton {
			s.block = blocks
			blocks++
		}
		for _, b := range group {
			solved[b] = true
		}
		for _, b := range s.moving {
			placed[b] = true
		}
		l.steps = append(l.steps, s)
		placeKnown()
	}
	return nil
}

// closedForm turns a step of one body and one rod into its closed form where
// exactly one end of the rod is on the body and the other does not move with it.
func (l *Linkage) closedForm(s *step, dep []set) {
	if len(s.unknown) != 1 || len(s.moving) != 1 {
		return
	}
	r := l.rods[s.rods[0]]
	s.near, s.far, s.length = r.a, r.b, r.length
	if l.balls[s.near].body != s.body {
		s.near, s.far = s.far, s.near
	}
	if l.balls[s.near].body != s.body || dep[l.balls[s.far].body][s.body] {
		return
	}
	n := &l.bodies[s.body]
	s.path = l.ballForms[s.near].local
	s.span = (r.length*r.length - r3.Norm2(s.path.p1)) / 2
	s.kind = closeTurn
	n.closed = !n.slides
	if n.slides {
		s.kind = closeSlide
	}
}
