package linkage_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"evenlock/internal/effort"
	"evenlock/linkage"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// burden is a random set of loads on a specimen, kept beside so that a test can
// work out what they do without the kernel's help.
type burden struct {
	loads   *linkage.Loads
	forces  []r3.Vec
	moments []r3.Vec
	along   []float64
}

func randomVec(rng *rand.Rand, size float64) r3.Vec {
	return vec(size*rng.NormFloat64(), size*rng.NormFloat64(), size*rng.NormFloat64())
}

func randomBurden(l *linkage.Linkage, rng *rand.Rand) burden {
	w := burden{
		loads:   l.NewLoads(),
		forces:  make([]r3.Vec, len(l.Balls())),
		moments: make([]r3.Vec, l.NumBodies()),
		along:   make([]float64, l.NumBodies()),
	}
	for i := range w.forces {
		w.forces[i] = randomVec(rng, 10)
		w.loads.Force(linkage.Ball(i), w.forces[i])
	}
	for i := 1; i < len(w.moments); i++ {
		w.moments[i] = randomVec(rng, 300)
		w.loads.Moment(linkage.Body(i), w.moments[i])
		w.along[i] = 300 * rng.NormFloat64()
		w.loads.Along(linkage.Body(i), w.along[i])
	}
	return w
}

// power is the rate of work of the loads along a motion, and the sum of the sizes of
// its terms.
func (w *burden) power(l *linkage.Linkage, p *linkage.Pose, m *linkage.Motion) (sum, size float64) {
	add := func(x float64) { sum, size = sum+x, size+math.Abs(x) }
	for i, f := range w.forces {
		add(r3.Dot(f, l.BallRate(p, m, linkage.Ball(i))))
	}
	for i := 1; i < len(w.moments); i++ {
		add(r3.Dot(w.moments[i], m.Spin(linkage.Body(i))))
		add(w.along[i] * m.Coordinate(linkage.Body(i)))
	}
	return sum, size
}

// overSpecimens calls f for every specimen at several poses under random loads.
func overSpecimens(t *testing.T, f func(t *testing.T, l *linkage.Linkage, s *specimen, p *linkage.Pose, w burden, b *linkage.Balance)) {
	for name, s := range specimens(t) {
		t.Run(name, func(t *testing.T) {
			l := solved(t, s.b)
			rng := rand.New(rand.NewPCG(7, 11))
			p, b := l.NewPose(), l.NewBalance()
			in := make([]float64, len(s.home))
			for range 25 {
				for k := range in {
					in[k] = s.home[k] + s.span[k]*(2*rng.Float64()-1)
				}
				if err := l.Solve(p, in); err != nil {
					t.Fatal(err)
				}
				w := randomBurden(l, rng)
				l.Forces(p, w.loads, b)
				f(t, l, s, p, w, b)
			}
		})
	}
}

// Virtual work: along every input, what the drives do and what the loads do cancel.
func TestEffortTimesRateIsTheWorkOfTheLoads(t *testing.T) {
	overSpecimens(t, func(t *testing.T, l *linkage.Linkage, _ *specimen, p *linkage.Pose, w burden, b *linkage.Balance) {
		m := l.NewMotion()
		dir := make([]float64, l.NumInputs())
		for k := range dir {
			clear(dir)
			dir[k] = 1
			l.Tangent(p, dir, nil, m)
			work, size := w.power(l, p, m)
			if gap := b.Effort(k) + work; math.Abs(gap) > 1e-11*size {
				t.Errorf("input %d: drive does %v, loads do %v a unit", k, b.Effort(k), work)
			}
		}
	})
}

// Virtual work of a rod that grows, the drives held: a rod's tension is what the loads
// do per millimetre that it is made longer. Tangent finds that from the dimensions,
// not from the transposed system.
func TestTensionIsTheWorkOfTheLoadsPerMillimetreOfRod(t *testing.T) {
	overSpecimens(t, func(t *testing.T, l *linkage.Linkage, s *specimen, p *linkage.Pose, w burden, b *linkage.Balance) {
		m := l.NewMotion()
		zero := make([]float64, l.NumInputs())
		dims := make([]float64, l.NumDimensions())
		first := len(dims) - len(s.rods)
		for r := range s.rods {
			clear(dims)
			dims[first+r] = 1
			l.Tangent(p, zero, dims, m)
			work, size := w.power(l, p, m)
			if got := b.Tension(linkage.Rod(r)); math.Abs(got-work) > 1e-10*size {
				t.Errorf("rod %d: tension %v N, the loads do %v N·mm a millimetre", r, got, work)
			}
		}
	})
}

// Free bodies: on every body, loads, rods and reactions have no sum and no moment; a
// body that nothing drives has no reaction along its coordinate.
func TestEveryBodyIsInEquilibrium(t *testing.T) {
	overSpecimens(t, func(t *testing.T, l *linkage.Linkage, s *specimen, p *linkage.Pose, w burden, b *linkage.Balance) {
		n := l.NumBodies()
		force, moment, size := make([]r3.Vec, n), make([]r3.Vec, n), make([]float64, n)
		put := func(on linkage.Body, at, f r3.Vec) {
			force[on] = r3.Add(force[on], f)
			moment[on] = r3.Add(moment[on], r3.Cross(at, f))
			size[on] += r3.Norm(f)
		}
		turn := func(on linkage.Body, m r3.Vec) {
			moment[on] = r3.Add(moment[on], m)
			size[on] += r3.Norm(m) / 100
		}
		rods := make([]r3.Vec, len(l.Balls()))
		for r, ends := range s.rods {
			pull := r3.Scale(b.Tension(linkage.Rod(r)), r3.Unit(r3.Sub(p.Ball(ends[1]), p.Ball(ends[0]))))
			rods[ends[0]] = r3.Add(rods[ends[0]], pull)
			rods[ends[1]] = r3.Sub(rods[ends[1]], pull)
		}
		through := make([]r3.Vec, len(rods))
		for i, on := range l.Balls() {
			at := p.Ball(linkage.Ball(i))
			put(on, at, w.forces[i])
			put(on, at, b.BallForce(linkage.Ball(i)))
			through[i] = r3.Sub(b.BallForce(linkage.Ball(i)), rods[i])
		}
		for i := 1; i < n; i++ {
			on := linkage.Body(i)
			turn(on, w.moments[i])
			point, f, m := l.Reaction(p, b, on)
			put(on, point, f)
			turn(on, m)
			parent, ends, onEnds := l.Carried(on)
			input, slides := l.InputOf(on)
			_, dir := l.Axis(p, on)
			along := r3.Dot(m, dir)
			if slides {
				along = r3.Dot(f, dir)
			}
			want := w.along[i]
			if input >= 0 {
				want += b.Effort(input)
			}
			if math.Abs(along-want) > 1e-8*size[i] {
				t.Errorf("body %d: reaction along its coordinate %v, drive and load there %v", i, along, want)
			}
			if !onEnds {
				if parent != linkage.Ground {
					put(parent, point, r3.Scale(-1, f))
					turn(parent, r3.Scale(-1, m))
				}
				continue
			}
			// What the ends do not take of the moment, the parent does, which says where the turn's
			// zero is.
			rest := r3.Scale(-1, m)
			for _, e := range ends {
				rest = r3.Sub(rest, r3.Cross(r3.Sub(p.Ball(e), point), through[e]))
				through[e] = r3.Vec{}
			}
			if parent != linkage.Ground {
				turn(parent, rest)
			}
		}
		for i := 1; i < n; i++ {
			if r3.Norm(force[i]) > 1e-10*size[i] || r3.Norm(moment[i]) > 1e-8*size[i] {
				t.Errorf("body %d: a force of %v N and a moment of %v N·mm are left over", i, force[i], moment[i])
			}
		}
		for i, f := range through {
			if r3.Norm(f) > 1e-9 {
				t.Errorf("ball %d bears %v N that no rod puts on it", i, f)
			}
		}
	})
}

// A body that turns between two balls passes forces to them and nothing else: with no
// load along its turn, they are together what it bears.
func TestBallsOfABodyBetweenThemBearAllOfIt(t *testing.T) {
	for _, name := range []string{"a strut", "a knuckle between two arms with a rack"} {
		t.Run(name, func(t *testing.T) {
			l := solved(t, specimens(t)[name].b)
			rng := rand.New(rand.NewPCG(3, 5))
			p, w, b := l.NewPose(), l.NewLoads(), l.NewBalance()
			kn := linkage.Body(l.NumBodies() - 1)
			for i := 1; i < l.NumBodies(); i++ {
				if _, _, onEnds := l.Carried(linkage.Body(i)); onEnds {
					kn = linkage.Body(i)
				}
			}
			w.Moment(kn, randomVec(rng, 300))
			for i, on := range l.Balls() {
				if on == kn {
					w.Force(linkage.Ball(i), randomVec(rng, 10))
				}
			}
			l.Forces(p, w, b)
			_, ends, _ := l.Carried(kn)
			point, force, moment := l.Reaction(p, b, kn)
			for _, e := range ends {
				f := b.BallForce(e)
				// The rod between the two balls pulls them together, which adds nothing to the sum.
				force = r3.Add(force, f)
				moment = r3.Add(moment, r3.Cross(r3.Sub(p.Ball(e), point), f))
			}
			if r3.Norm(force) > 1e-11 || r3.Norm(moment) > 1e-8 {
				t.Errorf("%v N and %v N·mm do not reach the balls", force, moment)
			}
		})
	}
}

// Work in equals work out over a path: what the drives do, integrated by
// Gauss-Legendre quadrature, is what constant forces gain by the balls' displacement.
func TestWorkInIsWorkOutOverAPath(t *testing.T) {
	for name, s := range specimens(t) {
		t.Run(name, func(t *testing.T) {
			l := solved(t, s.b)
			rng := rand.New(rand.NewPCG(1, 2))
			p, w, b := l.NewPose(), l.NewLoads(), l.NewBalance()
			forces := make([]r3.Vec, len(l.Balls()))
			for i := range forces {
				forces[i] = randomVec(rng, 10)
				w.Force(linkage.Ball(i), forces[i])
			}
			in := make([]float64, len(s.home))
			// A curved way through the inputs, from one end of their span to the other.
			at := func(x float64) {
				for k := range in {
					in[k] = s.home[k] + 0.9*s.span[k]*math.Sin(x+float64(k)*x*x/3)
				}
				if err := l.Solve(p, in); err != nil {
					t.Fatal(err)
				}
			}
			lost := func() (sum float64) {
				for i, f := range forces {
					sum -= r3.Dot(f, p.Ball(linkage.Ball(i)))
				}
				return sum
			}
			at(-1.2)
			before := lost()
			at(1.2)
			want := lost() - before
			size := 0.0
			work := quad.Fixed(func(x float64) float64 {
				at(x)
				l.Forces(p, w, b)
				power := 0.0
				for k := range in {
					way := x + float64(k)*x*x/3
					power += b.Effort(k) * 0.9 * s.span[k] * math.Cos(way) * (1 + 2*float64(k)*x/3)
				}
				size = max(size, math.Abs(power))
				return power
			}, -1.2, 1.2, 80, quad.Legendre{}, 0)
			if math.Abs(work-want) > 1e-9*size {
				t.Errorf("drives do %v N·mm, the forces take %v N·mm", work, want)
			}
		})
	}
}

// Norton, Design of Machinery, mechanical advantage of the four-bar (from memory):
// T_out/T_in = c sin(θ4 - θ3) / (a sin(θ2 - θ3)); the coupler's force is T_out/(c sin(θ4 - θ3)).
func TestMechanicalAdvantageOfTheHandbooksFourBar(t *testing.T) {
	const ground, crank, coupler, rocker, load = 100.0, 40.0, 120.0, 80.0, 500.0
	l, out, ends := fourBar(t, crank, coupler, rocker, 60*degree)
	p, w, b := l.NewPose(), l.NewLoads(), l.NewBalance()
	w.Along(out, -load)
	for deg := 15.0; deg <= 345; deg += 10 {
		th2 := deg * degree
		if err := l.Solve(p, []float64{th2}); err != nil {
			t.Fatal(err)
		}
		l.Forces(p, w, b)
		th4 := l.Coordinate(p, out)
		d := r3.Sub(p.Ball(ends[1]), p.Ball(ends[0]))
		th3 := math.Atan2(d.Y, d.X)
		if got, want := b.Effort(0), load*crank*math.Sin(th2-th3)/(rocker*math.Sin(th4-th3)); math.Abs(got-want) > 1e-11*load {
			t.Errorf("crank at %v°: %v N·mm at the crank, formula %v", deg, got, want)
		}
		// The coupler pulls the rocker's pin against θ3; across the rocker that is the load.
		if got, want := b.Tension(0), load/(rocker*math.Sin(th4-th3)); math.Abs(got-want) > 1e-11*load {
			t.Errorf("crank at %v°: coupler's tension %v N, formula %v", deg, got, want)
		}
	}
}

func TestRotatingMirroringOrScalingTheWholeChangesNoTension(t *testing.T) {
	skips := effort.Count(t)
	rapid.Check(t, func(t *rapid.T) {
		c := drawChain(t)
		s := rapid.Float64Range(-0.4, 0.4).Draw(t, "servo")
		turn := r3.NewRotation(rapid.Float64Range(-3, 3).Draw(t, "turn"), vec(0.3, -0.2, 1))
		k := rapid.Float64Range(0.1, 10).Draw(t, "scale")
		var push [4]r3.Vec
		for i := range push {
			d := func(c string) float64 { return rapid.Float64Range(-20, 20).Draw(t, c) }
			push[i] = vec(d("x"), d("y"), d("z"))
		}
		mirror := func(v r3.Vec) r3.Vec { return vec(v.X, -v.Y, v.Z) }
		flip := func(v r3.Vec) r3.Vec { return vec(-v.X, v.Y, -v.Z) } // an axis is a pseudo-vector
		balance := func(place, axis, force func(r3.Vec) r3.Vec, k float64) *linkage.Balance {
			l, _ := c.build(t, place, axis, k)
			p, w, b := l.NewPose(), l.NewLoads(), l.NewBalance()
			effort.SkipOn[*linkage.LimitError](t, skips, l.Solve(p, []float64{s}))
			if l.Leverage(p) < 0.05 {
				t.Skip("beyond the linkage's reach")
			}
			for i, f := range push {
				w.Force(linkage.Ball(i), force(f))
			}
			l.Forces(p, w, b)
			return b
		}
		base := balance(same, same, same, 1)
		for name, other := range map[string]struct {
			b    *linkage.Balance
			size float64
		}{
			"rotated":  {balance(turn.Rotate, turn.Rotate, turn.Rotate, 1), 1},
			"mirrored": {balance(mirror, flip, mirror, 1), 1},
			"scaled":   {balance(func(v r3.Vec) r3.Vec { return r3.Scale(k, v) }, same, same, k), k},
		} {
			for r := range linkage.Rod(2) {
				if got, want := other.b.Tension(r), base.Tension(r); math.Abs(got-want) > 1e-8*(1+math.Abs(want)) {
					t.Errorf("%s: rod %d bears %v N, was %v", name, r, got, want)
				}
			}
			if got, want := other.b.Effort(0), other.size*base.Effort(0); math.Abs(got-want) > 1e-8*other.size*(10+math.Abs(want)) {
				t.Errorf("%s: %v N·mm at the horn, wanted %v", name, got, want)
			}
		}
	})
}

func TestForcesAllocateNothing(t *testing.T) {
	for name, s := range specimens(t) {
		t.Run(name, func(t *testing.T) {
			l := solved(t, s.b)
			p, b := l.NewPose(), l.NewBalance()
			w := randomBurden(l, rand.New(rand.NewPCG(1, 1)))
			in := append([]float64(nil), s.home...)
			x := 0.0
			if n := testing.AllocsPerRun(100, func() {
				x += 0.1
				in[0] = s.home[0] + 0.5*s.span[0]*math.Sin(x)
				if err := l.Solve(p, in); err != nil {
					t.Fatal(err)
				}
				l.Forces(p, w.loads, b)
			}); n != 0 {
				t.Errorf("%v allocations a pose", n)
			}
		})
	}
}

func BenchmarkForces(b *testing.B) {
	for name, s := range specimens(b) {
		l := solved(b, s.b)
		p, out := l.NewPose(), l.NewBalance()
		w := randomBurden(l, rand.New(rand.NewPCG(1, 1)))
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				l.Forces(p, w.loads, out)
			}
		})
	}
}

func ExampleLinkage_Forces() {
	b := linkage.NewBuilder()
	up := r3.Vec{Z: 1}
	horn := b.Turn("horn", linkage.Ground, r3.Vec{}, up)
	knuckle := b.Turn("knuckle", linkage.Ground, r3.Vec{Y: 100}, up)
	link := b.Rod("link", b.Ball("horn ball", horn, r3.Vec{X: 20}), b.Ball("arm ball", knuckle, r3.Vec{X: 30, Y: 100}), math.Hypot(100, 10))
	b.Drive(horn)
	l, err := b.Build()
	if err != nil {
		fmt.Println(err)
		return
	}
	p, loads, balance := l.NewPose(), l.NewLoads(), l.NewBalance()
	// The wheel resists being turned to the left with 300 N·mm.
	loads.Along(knuckle, -300)
	l.Forces(p, loads, balance)
	fmt.Printf("%.0f N·mm at the horn, link %.2f N\n", balance.Effort(0), balance.Tension(link))
	// Output: 200 N·mm at the horn, link -10.05 N
}
