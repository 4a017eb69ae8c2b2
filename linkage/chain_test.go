package linkage_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"evenlock/internal/effort"
	"evenlock/internal/rigtest"
	"evenlock/linkage"
	"evenlock/rig"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// bodyOf is a body of a drawn linkage, with a ball and an arrow of it.
type bodyOf struct {
	body  linkage.Body
	ball  linkage.Ball
	arrow linkage.Arrow
}

// drawTree returns a linkage of bodies that turn about axes of the ground. One or two are driven,
// each of the others is held by a rod to any before it, in any pose, and so on either branch.
func drawTree(t *rapid.T) (*linkage.Builder, []bodyOf) {
	b := linkage.NewBuilder()
	place := func(name string, by float64) r3.Vec {
		d := rapid.Float64Range(-by, by)
		return vec(d.Draw(t, name+" x"), d.Draw(t, name+" y"), d.Draw(t, name+" z"))
	}
	driven := rapid.IntRange(1, 2).Draw(t, "driven")
	held := rapid.IntRange(1, 3).Draw(t, "held")
	var bodies []bodyOf
	var turns []func(v r3.Vec, back bool) r3.Vec
	for i := range driven + held {
		name := fmt.Sprintf("body %d", i)
		point, axis := place(name, 100), r3.Unit(r3.Add(vec(0, 0, 2), place(name+"'s axis", 1)))
		n := b.Turn(name, linkage.Ground, point, axis)
		start := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, name+"'s start")
		b.Start(n, start)
		turns = append(turns, func(v r3.Vec, back bool) r3.Vec {
			by := start
			if back {
				by = -start
			}
			return r3.Add(point, r3.NewRotation(by, axis).Rotate(r3.Sub(v, point)))
		})
		arm := r3.Scale(rapid.Float64Range(10, 40).Draw(t, name+"'s arm"), r3.Unit(r3.Cross(axis, vec(1, 0, 0))))
		near := r3.Add(point, r3.Add(arm, r3.Scale(rapid.Float64Range(-20, 20).Draw(t, name+"'s height"), axis)))
		it := bodyOf{n, b.Ball(name+"'s ball", n, near), b.Arrow(name+"'s arrow", n, place(name+"'s arrow", 1))}
		if i < driven {
			b.Drive(n)
		} else {
			to := rapid.IntRange(0, i-1).Draw(t, name+"'s rod is to")
			line := r3.Add(vec(60, 0, 0), place(name+"'s rod", 50))
			far := turns[to](r3.Add(turns[i](near, false), line), true)
			b.Rod(name+"'s rod", it.ball, b.Ball(name+"'s rod's end", bodies[to].body, far), r3.Norm(line))
		}
		bodies = append(bodies, it)
	}
	return b, bodies
}

// twoWays follows one linkage in two ways: as the chain that it is, and step by step.
type twoWays struct {
	fast, general *linkage.Linkage
	p, q          *linkage.Pose
	mp, mq        *linkage.Motion
	bodies        []bodyOf
}

func newTwoWays(l *linkage.Linkage, bodies []bodyOf) *twoWays {
	g := l.General()
	return &twoWays{l, g, l.NewPose(), g.NewPose(), l.NewMotion(), g.NewMotion(), bodies}
}

// solve goes to the inputs both ways, and returns the limit that both found, if any.
func (w *twoWays) solve(t *rapid.T, inputs []float64) *linkage.LimitError {
	a, b := w.fast.Solve(w.p, inputs), w.general.Solve(w.q, inputs)
	var limit, want *linkage.LimitError
	if errors.As(a, &limit) != errors.As(b, &want) {
		t.Fatalf("at %v the chain says %v, step by step %v", inputs, a, b)
	}
	if limit == nil {
		return nil
	}
	for i, at := range limit.Inputs {
		if math.Abs(at-want.Inputs[i]) > 1e-9 || limit.Rods != want.Rods {
			t.Errorf("the chain stops at %v for %s, step by step at %v for %s", limit.Inputs, limit.Rods, want.Inputs, want.Rods)
		}
	}
	return limit
}

// compare holds the turns to what a change of every rod by 1e-12 mm would do, which grows without
// end towards a dead point, and the rates at one pose to 1e-12 of the fastest.
func (w *twoWays) compare(t *rapid.T, rates []float64) {
	still, dims := make([]float64, len(rates)), make([]float64, w.fast.NumDimensions())
	loose := make([]float64, len(w.bodies))
	for r := range w.fast.NumRods() {
		clear(dims)
		dims[len(dims)-1-r] = 1
		w.general.Tangent(w.q, still, dims, w.mq)
		for i, n := range w.bodies {
			loose[i] += math.Abs(w.mq.Coordinate(n.body))
		}
	}
	for i, n := range w.bodies {
		got, want := w.fast.Coordinate(w.p, n.body), w.general.Coordinate(w.q, n.body)
		if d := math.Abs(math.Remainder(got-want, 2*math.Pi)); !(d <= 1e-12*max(0.01, loose[i])) {
			t.Errorf("body %d turns by %.17g, step by step by %.17g", n.body, got, want)
		}
	}
	// Dimensions that may change, but do not, leave Tangent its general way only.
	clear(dims)
	w.q.Set(w.p)
	w.fast.Tangent(w.p, rates, nil, w.mp)
	w.general.Tangent(w.q, rates, dims, w.mq)
	fastest := 1.0
	for _, n := range w.bodies {
		fastest = max(fastest, math.Abs(w.mq.Coordinate(n.body)))
	}
	near := func(what string, got, want r3.Vec, size float64) {
		if !(r3.Norm(r3.Sub(got, want)) <= 1e-12*size*fastest) {
			t.Errorf("%s is %.17g, step by step %.17g", what, got, want)
		}
	}
	for _, n := range w.bodies {
		near("a rate", vec(w.mp.Coordinate(n.body), 0, 0), vec(w.mq.Coordinate(n.body), 0, 0), 1)
		near("a spin", w.mp.Spin(n.body), w.mq.Spin(n.body), 1)
		near("a ball's rate", w.fast.BallRate(w.p, w.mp, n.ball), w.general.BallRate(w.q, w.mq, n.ball), 100)
		near("an arrow's rate", w.fast.ArrowRate(w.p, w.mp, n.arrow), w.general.ArrowRate(w.q, w.mq, n.arrow), 1)
	}
}

// wander goes to and fro at random until a limit is met, and then as near to it as chance will have
// it. It reports whether that was compared.
func (w *twoWays) wander(t *rapid.T, span float64) (atLimit bool) {
	in, rates := make([]float64, len(w.p.Inputs())), make([]float64, len(w.p.Inputs()))
	for range 6 {
		for i, at := range w.p.Inputs() {
			in[i] = at + rapid.Float64Range(-span, span).Draw(t, "by")
			rates[i] = rapid.Float64Range(-1, 1).Draw(t, "rate")
		}
		limit := w.solve(t, in)
		if limit != nil {
			left := math.Pow(10, -rapid.Float64Range(0.5, 8).Draw(t, "digits of the way to the limit"))
			for i, at := range w.p.Inputs() {
				in[i] = at + (1-left)*(limit.Inputs[i]-at)
			}
			if w.solve(t, in) != nil {
				return false // the last stride of the way goes past the limit and back
			}
		}
		w.compare(t, rates)
		if limit != nil {
			return true
		}
	}
	return false
}

func TestAChainIsSolvedAsStepByStep(t *testing.T) {
	skips, draws, limits := effort.Count(t), 0, 0
	rapid.Check(t, func(t *rapid.T) {
		b, bodies := drawTree(t)
		l, err := b.Build()
		effort.SkipOn[*linkage.LimitError](t, skips, err)
		if !l.IsChain() {
			t.Fatal("it is no chain")
		}
		if !(l.Leverage(l.NewPose()) > 1e-3) {
			t.Skip("described at a dead point")
		}
		draws++
		if newTwoWays(l, bodies).wander(t, 0.6) {
			limits++
		}
	})
	if !t.Failed() && 4*limits < draws {
		t.Errorf("only %d of %d linkages were compared near a limit", limits, draws)
	}
}

// Rigs of every layout, moved a little at random: some are chains.
func TestARigThatIsAChainIsSolvedAsStepByStep(t *testing.T) {
	for name, chain := range map[string]bool{
		"far-knuckle": true, "chassis": true, "behind": true, "centre-crank": true, "rack": false, "tie-rod": false,
	} {
		t.Run(name, func(t *testing.T) {
			all := map[string]*rig.Rig{name: rigtest.Starter(t, name)}
			skips := effort.Count(t)
			rapid.Check(t, func(t *rapid.T) {
				v, err := rigtest.Jiggled(t, all, []string{name}).Expand(false)
				if err != nil {
					t.Fatal(err)
				}
				m, err := v.Build()
				effort.SkipOn[*linkage.LimitError](t, skips, err)
				if m.IsChain() != chain {
					t.Fatalf("a chain: %v", !chain)
				}
				horn := v.Leader()
				bodies := []bodyOf{{horn.Horn.Handle, horn.Ball.Handle, horn.Ball.StudHandle}}
				for _, w := range v.Wheels {
					bodies = append(bodies, bodyOf{w.Knuckle.Handle, w.Arm.Handle, w.SpindleHandle})
				}
				newTwoWays(m.Linkage, bodies).wander(t, 1.2)
			})
		})
	}
}
