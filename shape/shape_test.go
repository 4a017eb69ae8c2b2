package shape_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"evenlock/shape"

	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, wanted %.12g within %.2g", what, got, want, tol)
	}
}

func gap(a, b shape.Shape) float64 {
	g, _, _, _ := shape.Gap(&a, &b)
	return g
}

var x, y, z = vec(1, 0, 0), vec(0, 1, 0), vec(0, 0, 1)

func TestGapsThatASketchGives(t *testing.T) {
	cube := shape.Box(vec(0, 0, 0), r3.Scale(10, x), r3.Scale(10, y), r3.Scale(10, z))
	for _, c := range []struct {
		name string
		a, b shape.Shape
		want float64
	}{
		{"two balls, 3-4-5", shape.Ball(vec(0, 0, 0), 1), shape.Ball(vec(3, 4, 0), 2), 2},
		{"balls that overlap", shape.Ball(vec(0, 0, 0), 3), shape.Ball(vec(3, 4, 0), 4), -2},
		// Skew lines: |(b - a)·(u × v)|/|u × v|.
		{"skew bars", shape.Bar(vec(-50, 0, 0), vec(50, 0, 0), 2), shape.Bar(vec(0, -50, 9), vec(3, 50, 9), 3), 4},
		{"parallel bars", shape.Bar(vec(-50, 0, 0), vec(50, 0, 0), 2), shape.Bar(vec(-20, 8, 0), vec(70, 8, 0), 3), 3},
		{"bars end to end", shape.Bar(vec(-50, 0, 0), vec(50, 0, 0), 2), shape.Bar(vec(53, 4, 0), vec(80, 4, 0), 1), 2},
		{"ball off a corner of a box", cube, shape.Ball(vec(12, 14, 14), 1), 5},
		{"ball off an edge", cube, shape.Ball(vec(0, 13, 14), 1), 4},
		{"ball off a face", cube, shape.Ball(vec(1, 2, 15), 1), 4},
		{"bar along a face", cube, shape.Bar(vec(-30, 3, 16), vec(30, -3, 16), 2), 4},
		{"boxes, face to face", cube, shape.Box(vec(25, 3, 1), r3.Scale(10, x), r3.Scale(10, y), r3.Scale(10, z)), 5},
		{"boxes that overlap", cube, shape.Box(vec(18, 3, 1), r3.Scale(10, x), r3.Scale(10, y), r3.Scale(10, z)), -2},
		{"tyre beside a bar", shape.Disc(vec(0, 0, 0), y, 50, 20), shape.Bar(vec(-30, 25, 10), vec(30, 25, 10), 2), 3},
		{"tyre's tread to a ball", shape.Disc(vec(0, 0, 0), y, 50, 20), shape.Ball(vec(36, 5, 48), 3), 7},
		{"tyre's edge to a ball", shape.Disc(vec(0, 0, 0), y, 50, 20), shape.Ball(vec(53, 24, 0), 1), 4},
		{"tyre to tyre", shape.Disc(vec(0, 0, 0), y, 50, 20), shape.Disc(vec(0, 45, 0), y, 50, 20), 5},
	} {
		near(t, c.name, gap(c.a, c.b), c.want, 1e-9)
		near(t, c.name+", the other way round", gap(c.b, c.a), c.want, 1e-9)
	}
}

// drawn is a random shape with a description of it that an optimiser can use: a point of it from numbers between -1 and 1.
type drawn struct {
	shape.Shape
	at   func(q []float64) r3.Vec
	size float64
}

func direction(rng *rand.Rand) r3.Vec {
	return r3.Unit(vec(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()))
}

func draw(rng *rand.Rand, centre r3.Vec) drawn {
	u := direction(rng)
	v := r3.Unit(r3.Cross(u, direction(rng)))
	w := r3.Cross(u, v)
	l := func() float64 { return 2 + 30*rng.Float64() }
	r := 1 + 5*rng.Float64()
	// A ball's points from three numbers without bounds.
	ball := func(q []float64, r float64) r3.Vec {
		d := vec(q[0], q[1], q[2])
		return r3.Scale(r/math.Sqrt(1+r3.Norm2(d)), d)
	}
	switch rng.IntN(4) {
	case 0:
		return drawn{shape.Ball(centre, r), func(q []float64) r3.Vec { return r3.Add(centre, ball(q, r)) }, 2 * r}
	case 1:
		h := r3.Scale(l(), u)
		return drawn{shape.Bar(r3.Sub(centre, h), r3.Add(centre, h), r), func(q []float64) r3.Vec {
			return r3.Add(r3.Add(centre, r3.Scale(math.Sin(q[3]), h)), ball(q, r))
		}, 2*r3.Norm(h) + 2*r}
	case 2:
		a, b, c := r3.Scale(l(), u), r3.Scale(l(), v), r3.Scale(l(), w)
		return drawn{shape.Box(centre, a, b, c), func(q []float64) r3.Vec {
			x := r3.Add(centre, r3.Scale(math.Sin(q[0]), a))
			return r3.Add(x, r3.Add(r3.Scale(math.Sin(q[1]), b), r3.Scale(math.Sin(q[2]), c)))
		}, 150}
	default:
		R, h := l()+5, l()/2
		return drawn{shape.Disc(centre, u, R, h), func(q []float64) r3.Vec {
			s := math.Sqrt(1 + q[0]*q[0] + q[1]*q[1])
			x := r3.Add(centre, r3.Scale(h*math.Sin(q[2]), u))
			return r3.Add(x, r3.Add(r3.Scale(R*q[0]/s, v), r3.Scale(R*q[1]/s, w)))
		}, 2 * (R + h)}
	}
}

// gonum's general-purpose minimiser looks for the two nearest points of shapes that it knows only as points from numbers. It
// can come close from above only.
func TestGapsThatAGeneralOptimiserFinds(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 8))
	for i := range 150 {
		a := draw(rng, vec(0, 0, 0))
		b := draw(rng, r3.Scale(90+60*rng.Float64(), direction(rng)))
		got, n, onA, onB := shape.Gap(&a.Shape, &b.Shape)
		if got < 1 {
			continue
		}
		f := func(q []float64) float64 { return r3.Norm(r3.Sub(a.at(q[:4]), b.at(q[4:]))) }
		least := math.Inf(1)
		for range 12 {
			start := make([]float64, 8)
			for k := range start {
				start[k] = rng.NormFloat64()
			}
			res, err := optimize.Minimize(optimize.Problem{Func: f}, start, &optimize.Settings{MajorIterations: 4000}, &optimize.NelderMead{})
			if res == nil {
				t.Fatal(err)
			}
			if res.F < least {
				least = res.F
			}
		}
		if got > least+1e-9 {
			t.Errorf("pair %d: the gap is %.9f, and the optimiser finds points %.9f apart", i, got, least)
		}
		if got < least-0.02*(1+least) {
			t.Errorf("pair %d: the gap is %.9f, and the optimiser's nearest points are %.9f apart", i, got, least)
		}
		near(t, "length of the way", r3.Norm(r3.Sub(onB, onA)), got, 1e-7)
		near(t, "direction of the way", r3.Dot(r3.Sub(onB, onA), n), got, 1e-7)
	}
}

// The way between the witness points is proof that nothing is nearer: all of a is on the one side of its end, all of b beyond the other.
func TestNoPointIsNearerThanTheGapSays(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 9))
	apart := 0
	for range 3000 {
		a, b := draw(rng, vec(5, -3, 2)), draw(rng, r3.Scale(30+100*rng.Float64(), direction(rng)))
		g, n, onA, onB := shape.Gap(&a.Shape, &b.Shape)
		back, _, _, _ := shape.Gap(&b.Shape, &a.Shape)
		near(t, "the other way round", back, g, 1e-7)
		if g <= 0 {
			continue
		}
		apart++
		for range 60 {
			q := make([]float64, 8)
			for k := range q {
				q[k] = 3 * rng.NormFloat64()
			}
			if over := r3.Dot(r3.Sub(a.at(q[:4]), onA), n); over > 1e-6 {
				t.Errorf("a point of a is %.9f beyond the end of the way", over)
			}
			if over := r3.Dot(r3.Sub(onB, b.at(q[4:])), n); over > 1e-6 {
				t.Errorf("a point of b is %.9f beyond the end of the way", over)
			}
		}
	}
	if apart < 1000 {
		t.Errorf("only %d pairs are apart", apart)
	}
}

func TestMovingApartAlongTheWayWidensTheGapByAsMuch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		at := rng.Uint64()
		one := func(centre r3.Vec) drawn { return draw(rand.New(rand.NewPCG(at, 4)), centre) }
		a := draw(rng, vec(0, 0, 0))
		centre := r3.Scale(60+80*rng.Float64(), direction(rng))
		b := one(centre)
		g, n, _, _ := shape.Gap(&a.Shape, &b.Shape)
		if g < 0.5 {
			t.Skip("not apart")
		}
		by := rapid.Float64Range(-0.4, 5).Draw(t, "by")
		moved := one(r3.Add(centre, r3.Scale(by, n)))
		if got := gap(a.Shape, moved.Shape); math.Abs(got-g-by) > 1e-7 {
			t.Errorf("the gap is %.9f, and %.9f after moving by %.9f", g, got, by)
		}
		shift := vec(100, -30, 17)
		far, other := draw(rand.New(rand.NewPCG(at, 5)), shift), draw(rand.New(rand.NewPCG(at, 4)), r3.Add(shift, centre))
		here := draw(rand.New(rand.NewPCG(at, 5)), vec(0, 0, 0))
		if d := gap(far.Shape, other.Shape) - gap(here.Shape, b.Shape); math.Abs(d) > 1e-7 {
			t.Errorf("moving both changes the gap by %.9f", d)
		}
	})
}

func FuzzGapIsANumber(f *testing.F) {
	f.Add(0.0, 0.0, 0.0, 1.0, 0.0, 0.0, uint8(1), uint8(2))
	f.Add(3.0, 4.0, 5.0, 0.0, 1e-9, 0.0, uint8(3), uint8(0))
	f.Fuzz(func(t *testing.T, px, py, pz, dx, dy, dz float64, k, l uint8) {
		for _, v := range []float64{px, py, pz, dx, dy, dz} {
			if !(math.Abs(v) < 1e4) {
				t.Skip()
			}
		}
		d := vec(dx, dy, dz)
		if r3.Norm(d) < 1e-3 {
			d = z
		}
		make := func(k uint8, c r3.Vec) shape.Shape {
			switch k % 4 {
			case 0:
				return shape.Ball(c, 2)
			case 1:
				return shape.Bar(c, r3.Add(c, d), 2)
			case 2:
				return shape.Box(c, r3.Scale(3, x), r3.Scale(4, y), r3.Scale(5, z))
			default:
				return shape.Disc(c, r3.Unit(d), 8, 3)
			}
		}
		a, b := make(k, vec(0, 0, 0)), make(l, vec(px, py, pz))
		g, n, _, _ := shape.Gap(&a, &b)
		if math.IsNaN(g) || math.IsInf(g, 0) || math.Abs(r3.Norm(n)-1) > 1e-9 {
			t.Errorf("gap %v along %v", g, n)
		}
	})
}

func TestGapAllocatesNothing(t *testing.T) {
	a, b := shape.Box(vec(0, 0, 0), x, y, z), shape.Disc(vec(9, 3, 4), x, 3, 1)
	if n := testing.AllocsPerRun(100, func() { shape.Gap(&a, &b) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkGap(b *testing.B) {
	rng := rand.New(rand.NewPCG(7, 7))
	var all []drawn
	for range 64 {
		all = append(all, draw(rng, r3.Scale(100*rng.Float64(), direction(rng))))
	}
	for i := 0; b.Loop(); i++ {
		shape.Gap(&all[i%64].Shape, &all[(i*7+1)%64].Shape)
	}
}

func ExampleGap() {
	link := shape.Bar(vec(25, 26, 44), vec(25, -76, 20), 1.5)
	spring := shape.Bar(vec(-4, 47, 22), vec(-16, 42, 96), 11)
	gap, _, _, _ := shape.Gap(&link, &spring)
	fmt.Printf("%.1f mm between link and spring\n", gap)
	// Output:
	// 25.3 mm between link and spring
}
