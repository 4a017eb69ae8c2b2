package linkage_test

import (
	"math"
	"testing"

	"evenlock/internal/effort"
	"evenlock/linkage"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// Tangent against gonum's finite differences, along each input.
func TestTangentAlongInputsMeetsFiniteDifferences(t *testing.T) {
	for name, s := range specimens(t) {
		t.Run(name, func(t *testing.T) {
			l := solved(t, s.b)
			p, m := l.NewPose(), l.NewMotion()
			at := make([]float64, len(s.home))
			for k := range at {
				at[k] = s.home[k] + 0.37*s.span[k]
			}
			in := make([]float64, len(at))
			dir := make([]float64, len(at))
			for k := range at {
				if err := l.Solve(p, at); err != nil {
					t.Fatal(err)
				}
				clear(dir)
				dir[k] = 1
				l.Tangent(p, dir, nil, m)
				for _, w := range s.watch {
					f := func(x float64) float64 {
						q := l.NewPose()
						copy(in, at)
						in[k] = x
						if err := l.Solve(q, in); err != nil {
							t.Fatal(err)
						}
						return l.Coordinate(q, w)
					}
					want := fd.Derivative(f, at[k], &fd.Settings{Formula: fd.Central, Step: 1e-4})
					if got := m.Coordinate(w); math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
						t.Errorf("input %d, body %d: rate %.9g, finite difference %.9g", k, w, got, want)
					}
				}
				for i, ends := range s.rods {
					d := r3.Sub(p.Ball(ends[0]), p.Ball(ends[1]))
					if r := r3.Dot(d, r3.Sub(l.BallRate(p, m, ends[0]), l.BallRate(p, m, ends[1]))) / r3.Norm(d); math.Abs(r) > 1e-12*100 {
						t.Errorf("input %d: rod %d would stretch by %g mm a unit", k, i, r)
					}
				}
			}
		})
	}
}

// Tangent along every dimension against a rebuilt linkage.
func TestTangentAlongEveryDimensionMeetsFiniteDifferences(t *testing.T) {
	for name, s := range specimens(t) {
		t.Run(name, func(t *testing.T) {
			l := solved(t, s.b)
			at := make([]float64, len(s.home))
			for k := range at {
				at[k] = s.home[k] + 0.37*s.span[k]
			}
			p, m := l.NewPose(), l.NewMotion()
			if err := l.Solve(p, at); err != nil {
				t.Fatal(err)
			}
			zero := make([]float64, len(at))
			dir := make([]float64, l.NumDimensions())
			const h = 1e-4
			shifted := func(k int, by float64) (*linkage.Linkage, *linkage.Pose) {
				d := l.Dimensions()
				d[k] += by
				l2, err := l.WithDimensions(d)
				if err != nil {
					t.Fatal(err)
				}
				p2 := l2.NewPose()
				if err := l2.Solve(p2, at); err != nil {
					t.Fatal(err)
				}
				return l2, p2
			}
			for k := range dir {
				clear(dir)
				dir[k] = 1
				l.Tangent(p, zero, dir, m)
				lp, pp := shifted(k, h)
				lm, pm := shifted(k, -h)
				for _, w := range s.watch {
					want := (lp.Coordinate(pp, w) - lm.Coordinate(pm, w)) / (2 * h)
					if got := m.Coordinate(w); math.Abs(got-want) > 2e-6*(1+math.Abs(want)) {
						t.Errorf("dimension %d, body %d: rate %.9g, finite difference %.9g", k, w, got, want)
					}
				}
				for _, ends := range s.rods {
					for _, b := range ends {
						want := r3.Scale(1/(2*h), r3.Sub(pp.Ball(b), pm.Ball(b)))
						if got := l.BallRate(p, m, b); r3.Norm(r3.Sub(got, want)) > 2e-6*(1+r3.Norm(want)) {
							t.Errorf("dimension %d, ball %d: rate %.9g, finite difference %.9g", k, b, got, want)
						}
					}
				}
			}
		})
	}
}

func TestSolvingAndDifferentiatingAllocateNothing(t *testing.T) {
	for name, s := range specimens(t) {
		t.Run(name, func(t *testing.T) {
			l := solved(t, s.b)
			p, m := l.NewPose(), l.NewMotion()
			in := append([]float64(nil), s.home...)
			dir := make([]float64, len(in))
			dims := make([]float64, l.NumDimensions())
			dir[0], dims[3] = 1, 1
			x := 0.0
			if n := testing.AllocsPerRun(100, func() {
				x += 0.1
				in[0] = s.home[0] + 0.5*s.span[0]*math.Sin(40*x) // at times a stride, at times a long way
				if err := l.Solve(p, in); err != nil {
					t.Fatal(err)
				}
				l.Tangent(p, dir, nil, m)
				l.Tangent(p, dir, dims, m)
				_ = l.Leverage(p)
			}); n != 0 {
				t.Errorf("%v allocations a pose", n)
			}
		})
	}
}

// chain is a random steering: horn, drag link to one knuckle, tie rod to the other.
type chain struct {
	point, axis [3]r3.Vec // horn, driven knuckle, other knuckle
	ball        [4]r3.Vec // horn ball, drag arm, two tie arms
	link, tie   float64
}

func drawChain(t *rapid.T) chain {
	near := func(name string, x, y, z, by float64) r3.Vec {
		d := func(c string) float64 { return rapid.Float64Range(-by, by).Draw(t, name+c) }
		return vec(x+d("x"), y+d("y"), z+d("z"))
	}
	var c chain
	c.point = [3]r3.Vec{near("horn", 30, 40, 30, 10), near("right", 0, -85, 0, 5), near("left", 0, 85, 0, 5)}
	c.axis = [3]r3.Vec{near("horn axis", 1, 0, 0, 0.2), near("right axis", 0, 0, 1, 0.2), near("left axis", 0, 0, 1, 0.2)}
	c.ball = [4]r3.Vec{near("horn ball", 33, 40, 50, 4), near("drag arm", 27, -82, 22, 4), near("tie right", -25, -80, 0, 4), near("tie left", -25, 80, 0, 4)}
	c.link = r3.Norm(r3.Sub(c.ball[0], c.ball[1]))
	c.tie = r3.Norm(r3.Sub(c.ball[2], c.ball[3]))
	return c
}

// build maps every place with f and scales rods by k; turned axes of a mirrored
// chain keep their sense if the caller flips them.
func (c chain) build(t *rapid.T, place, dir func(r3.Vec) r3.Vec, k float64) (l *linkage.Linkage, knuckles [2]linkage.Body) {
	b := linkage.NewBuilder()
	var n [3]linkage.Body
	for i, name := range []string{"horn", "right", "left"} {
		n[i] = b.Turn(name, linkage.Ground, place(c.point[i]), dir(c.axis[i]))
	}
	on := [4]linkage.Body{n[0], n[1], n[1], n[2]}
	var at [4]linkage.Ball
	for i := range at {
		at[i] = b.Ball("ball", on[i], place(c.ball[i]))
	}
	b.Rod("link", at[0], at[1], k*c.link)
	b.Rod("tie", at[2], at[3], k*c.tie)
	b.Drive(n[0])
	l, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	return l, [2]linkage.Body{n[1], n[2]}
}

func same(v r3.Vec) r3.Vec { return v }

func TestRotatingMirroringOrScalingTheWholeChangesNoAngle(t *testing.T) {
	skips := effort.Count(t)
	rapid.Check(t, func(t *rapid.T) {
		c := drawChain(t)
		s := rapid.Float64Range(-0.4, 0.4).Draw(t, "servo")
		u := vec(rapid.Float64Range(-1, 1).Draw(t, "ux"), rapid.Float64Range(-1, 1).Draw(t, "uy"), 1)
		turn := r3.NewRotation(rapid.Float64Range(-3, 3).Draw(t, "turn"), u)
		shift := vec(7, -50, 300)
		k := rapid.Float64Range(0.1, 10).Draw(t, "scale")
		mirror := func(v r3.Vec) r3.Vec { return vec(v.X, -v.Y, v.Z) }
		flip := func(v r3.Vec) r3.Vec { return vec(-v.X, v.Y, -v.Z) } // an axis is a pseudo-vector
		base, kn := c.build(t, same, same, 1)
		p := base.NewPose()
		effort.SkipOn[*linkage.LimitError](t, skips, base.Solve(p, []float64{s}))
		if base.Leverage(p) < 0.05 {
			t.Skip("beyond the linkage's reach")
		}
		for name, other := range map[string]func() *linkage.Linkage{
			"rotated": func() *linkage.Linkage {
				l, _ := c.build(t, func(v r3.Vec) r3.Vec { return r3.Add(shift, turn.Rotate(v)) }, turn.Rotate, 1)
				return l
			},
			"mirrored": func() *linkage.Linkage { l, _ := c.build(t, mirror, flip, 1); return l },
			"scaled": func() *linkage.Linkage {
				l, _ := c.build(t, func(v r3.Vec) r3.Vec { return r3.Scale(k, v) }, same, k)
				return l
			},
		} {
			l := other()
			q := l.NewPose()
			if err := l.Solve(q, []float64{s}); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			for _, b := range kn {
				if a, want := l.Coordinate(q, b), base.Coordinate(p, b); math.Abs(a-want) > 1e-10 {
					t.Errorf("%s: knuckle %d at %v rad, was %v", name, b, a, want)
				}
			}
		}
	})
}

// Horn and knuckle swapped: driving the knuckle by what the horn gave gives the horn's angle back.
func TestSwappingHornAndKnuckleGivesTheInverse(t *testing.T) {
	skips := effort.Count(t)
	rapid.Check(t, func(t *rapid.T) {
		c := drawChain(t)
		s := rapid.Float64Range(-0.4, 0.4).Draw(t, "servo")
		l, kn := c.build(t, same, same, 1)
		p, m := l.NewPose(), l.NewMotion()
		effort.SkipOn[*linkage.LimitError](t, skips, l.Solve(p, []float64{s}))
		if l.Leverage(p) < 0.05 {
			t.Skip("beyond the linkage's reach")
		}
		l.Tangent(p, []float64{1}, nil, m)
		if math.Abs(m.Coordinate(kn[0])) < 0.05 {
			t.Skip("too near the horn's own dead point")
		}
		b := linkage.NewBuilder()
		horn := b.Turn("horn", linkage.Ground, c.point[0], c.axis[0])
		right := b.Turn("right", linkage.Ground, c.point[1], c.axis[1])
		b.Rod("link", b.Ball("horn ball", horn, c.ball[0]), b.Ball("drag arm", right, c.ball[1]), c.link)
		b.Drive(right)
		back, err := b.Build()
		if err != nil {
			t.Fatal(err)
		}
		q, m2 := back.NewPose(), back.NewMotion()
		if err := back.Solve(q, []float64{l.Coordinate(p, kn[0])}); err != nil {
			t.Fatal(err)
		}
		if got := back.Coordinate(q, horn); math.Abs(got-s) > 1e-9 {
			t.Errorf("horn at %v rad, was %v", got, s)
		}
		back.Tangent(q, []float64{1}, nil, m2)
		if got, want := m2.Coordinate(horn), 1/m.Coordinate(kn[0]); math.Abs(got-want) > 1e-8*math.Abs(want) {
			t.Errorf("rate %v, the inverse of the forward rate is %v", got, want)
		}
	})
}

func BenchmarkSolve(b *testing.B) {
	for name, s := range specimens(b) {
		l := solved(b, s.b)
		p, m := l.NewPose(), l.NewMotion()
		in := append([]float64(nil), s.home...)
		dir := make([]float64, len(in))
		dir[0] = 1
		step := func(i int) {
			in[0] = s.home[0] + s.span[0]*float64(i%201-100)/100
			if err := l.Solve(p, in); err != nil {
				b.Fatal(err)
			}
		}
		b.Run(name+"/pose", func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				step(i)
			}
		})
		b.Run(name+"/pose and rates", func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				step(i)
				l.Tangent(p, dir, nil, m)
			}
		})
	}
}
