package shape_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"evenlock/shape"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func near(t rapid.TB, what string, got, want, tol float64) {
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

// A pair in every way of two kinds, at a distance or overlapping.
func drawPair(t *rapid.T, from, to float64) (rng *rand.Rand, a, b *described) {
	rng = rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
	kindA, kindB := rapid.IntRange(0, kinds-1).Draw(t, "a"), rapid.IntRange(0, kinds-1).Draw(t, "b")
	a, b = pair(rng, kindA, kindB, rapid.Float64Range(from, to).Draw(t, "apart"))
	return rng, a, b
}

// exact is how near gaps must be in millimetres, as the package's documentation says.
func exact(a, b *described) float64 {
	if a.Rim+b.Rim > 0 {
		return 1e-7
	}
	return 1e-9
}

// The way between the witness points is proof that nothing is nearer: all of a is on the one side
// of its end, all of b beyond the other.
func TestNoPointIsNearerThanTheGapSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng, a, b := drawPair(t, 0.001, 60)
		sa, sb := a.shape(), b.shape()
		g, n, onA, onB := shape.Gap(&sa, &sb)
		near(t, "length of the unit vector", r3.Norm(n), 1, 1e-12)
		near(t, "way from point to point", r3.Norm(r3.Sub(r3.Sub(onB, onA), r3.Scale(g, n))), 0, 1e-10)
		for range 200 {
			p, q := a.point(rng), b.point(rng)
			if d := r3.Norm(r3.Sub(p, q)); d < g-1e-10 {
				t.Fatalf("two points are %.12f apart, and the gap is %.12f", d, g)
			}
			// How well n is known falls as the distance does.
			if over := max(r3.Dot(r3.Sub(p, onA), n), r3.Dot(r3.Sub(onB, q), n)); over > 1e-6 {
				t.Fatalf("a point is %.3g beyond the end of a way of %.6f", over, g)
			}
		}
		// The ends are points of the surfaces: a ball without size there touches.
		for name, s := range map[string]*shape.Shape{"a": &sa, "b": &sb} {
			point := shape.Ball(map[string]r3.Vec{"a": onA, "b": onB}[name], 0)
			near(t, "end on "+name, gap(*s, point), 0, 10*exact(a, b))
		}
	})
}

func TestTheGapIsTheSameTheOtherWayRoundAndAfterAnyMotion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng, a, b := drawPair(t, -10, 60)
		g := gap(a.shape(), b.shape())
		if g < 0 && a.Rim+b.Rim > 0 {
			t.Skip("now and then the way out of a rim is not the least, see the hull's depths")
		}
		near(t, "the other way round", gap(b.shape(), a.shape()), g, exact(a, b))
		turn, shift := r3.NewRotation(6*rng.Float64(), direction(rng)), r3.Scale(500, direction(rng))
		move := func(v r3.Vec) r3.Vec { return r3.Add(shift, turn.Rotate(v)) }
		near(t, "both moved", gap(a.moved(1, move), b.moved(1, move)), g, exact(a, b))
		larger := math.Exp(6*rng.Float64() - 3)
		grow := func(v r3.Vec) r3.Vec { return r3.Scale(larger, v) }
		near(t, "both larger", gap(a.moved(larger, grow), b.moved(larger, grow))/larger, g, exact(a, b))
	})
}

func TestMovingAlongTheWayChangesTheGapByAsMuch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, a, b := drawPair(t, -10, 20)
		sa, sb := a.shape(), b.shape()
		g, n, _, _ := shape.Gap(&sa, &sb)
		tol := exact(a, b)
		switch rims := a.Rim+b.Rim > 0; {
		case g < 0 && rims:
			tol = 1e-5
		case math.Abs(g) < 1e-7:
			// So short a way may be taken for that from a flat face, and then is as much off at
			// most.
			tol = 1e-7
		}
		if g < 0 {
			near(t, "moved free", gap(sa, b.shifted(r3.Scale(-g, n))), 0, tol)
		}
		by := rapid.Float64Range(-min(g, 0), 30).Draw(t, "by")
		near(t, "moved further", gap(sa, b.shifted(r3.Scale(by, n))), g+by, tol)
	})
}

// The slope along a turning motion is that of the two points along n: central differences agree to
// their own error.
func TestTheGapGrowsAsItsTwoPointsPart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng, a, b := drawPair(t, -3, 30)
		axis, velocity, about := direction(rng), r3.Scale(10, direction(rng)), r3.Add(back(b.Centre), r3.Scale(40, direction(rng)))
		at := func(time float64) shape.Shape {
			turn := r3.NewRotation(time, axis)
			return b.moved(1, func(v r3.Vec) r3.Vec {
				return r3.Add(r3.Add(about, turn.Rotate(r3.Sub(v, about))), r3.Scale(time, velocity))
			})
		}
		sa, sb := a.shape(), at(0)
		_, n, _, onB := shape.Gap(&sa, &sb)
		slope := r3.Dot(n, r3.Add(velocity, r3.Cross(axis, r3.Sub(onB, about))))
		const h = 1e-5
		before, here, after := gap(sa, at(-h)), gap(sa, at(0)), gap(sa, at(h))
		if bend := math.Abs(after-2*here+before) / h; bend > 0.01*(1+math.Abs(slope)) {
			t.Skip("at a kink: the nearest points change over")
		}
		near(t, "slope", (after-before)/(2*h), slope, 0.02*(1+math.Abs(slope)))
	})
}

// A thin bar beside a wide disc gives flat tetrahedra, in which rounding once put the origin: the
// gap must not jump as one of the two moves. No gap changes by more than the move: apart, through
// touching, and overlapping.
func TestTheGapDoesNotJump(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 4))
	for i := range 320 {
		a, b := pair(rng, i%kinds, i/kinds%kinds, 5)
		way := r3.Unit(r3.Add(r3.Sub(back(a.Centre), back(b.Centre)), r3.Scale(20, direction(rng))))
		step := []float64{0.05, 1e-3, 1e-6}[i%3]
		// The finer steps are about where they touch.
		sa := a.shape()
		from := 0.0
		for range 200 {
			sb := b.shifted(r3.Scale(from, way))
			if g, _, _, _ := shape.Gap(&sa, &sb); g > 100*step {
				from += g - 50*step
			}
		}
		before := math.NaN()
		for k := range 200 {
			g := gap(sa, b.shifted(r3.Scale(from+step*float64(k), way)))
			if math.Abs(g-before) > step+1e-9 {
				t.Fatalf("%s and %s: the gap goes from %.9f to %.9f in a move of %v", kindNames[a.kind], kindNames[b.kind], before, g, step)
			}
			before = g
		}
	}
}

// Places where a routine may divide by nothing.
func TestGapsOfThingsThatLieJustSo(t *testing.T) {
	o := vec(0, 0, 0)
	cube := shape.Box(o, r3.Scale(10, x), r3.Scale(10, y), r3.Scale(10, z))
	plate := shape.Box(o, r3.Scale(10, x), r3.Scale(10, y), o)
	tyre := shape.Disc(o, y, 50, 20)
	bar := shape.Bar(r3.Scale(-10, x), r3.Scale(10, x), 2)
	for _, c := range []struct {
		name string
		a, b shape.Shape
		want float64
	}{
		{"two balls on one centre", shape.Ball(o, 2), shape.Ball(o, 3), -5},
		{"a ball on a bar's middle line", bar, shape.Ball(vec(3, 0, 0), 1), -3},
		{"a bar with itself", bar, bar, -4},
		{"bars that cross", bar, shape.Bar(r3.Scale(-5, z), r3.Scale(5, z), 1), -3},
		{"bars in line that overlap", bar, shape.Bar(vec(5, 0, 0), vec(30, 0, 0), 1), -3},
		{"bars in line, end to end", bar, shape.Bar(vec(15, 0, 0), vec(30, 0, 0), 1), 2},
		{"a bar without length", shape.Bar(vec(0, 7, 0), vec(0, 7, 0), 1), bar, 4},
		{"a cube with itself", cube, cube, -20},
		{"a ball in the middle of a cube", cube, shape.Ball(o, 1), -11},
		{"cubes, corner to corner", cube, shape.Box(vec(20, 20, 20), r3.Scale(10, x), r3.Scale(10, y), r3.Scale(10, z)), 0},
		{"cubes, face to face", cube, shape.Box(vec(20, 0, 0), r3.Scale(10, x), r3.Scale(10, y), r3.Scale(10, z)), 0},
		{"a plate and a ball over it", plate, shape.Ball(vec(1, 2, 3), 1), 2},
		{"a plate and a ball in it", plate, shape.Ball(vec(1, 2, 0), 1), -1},
		{"a plate and a bar in it", plate, shape.Bar(vec(-1, 2, 0), vec(5, 4, 0), 1), -1},
		{"a bar through a plate", plate, shape.Bar(vec(0, 0, -9), vec(0, 0, 1), 1), -2},
		{"a plate with itself", plate, plate, 0},
		{"a tyre with itself", tyre, tyre, -40},
		{"a tyre and a ball in its middle", tyre, shape.Ball(o, 1), -21},
		{"a tyre and a bar along its axle", tyre, shape.Bar(r3.Scale(-90, y), r3.Scale(90, y), 2), -52},
		{"a tyre standing on a cube", shape.Disc(vec(0, 0, 60), y, 50, 8), cube, 0},
		{"a tyre that has sunk into a cube", shape.Disc(vec(0, 0, 59), y, 50, 8), cube, -1},
		{"tyres tread to tread", tyre, shape.Disc(vec(100, 0, 0), y, 50, 20), 0},
		{"tyres tread to tread, overlapping", tyre, shape.Disc(vec(99, 0, 0), y, 50, 20), -1},
		{"tyres on one axle, overlapping", tyre, shape.Disc(vec(0, 39, 0), y, 50, 20), -1},
		{"a disc without width and a ball over it", shape.Disc(o, z, 5, 0), shape.Ball(vec(1, 1, 4), 1), 3},
		{"discs without width that cross", shape.Disc(o, z, 5, 0), shape.Disc(vec(1, 0, 0), x, 5, 0), -4},
		{"a disc without radius", shape.Disc(o, z, 0, 5), shape.Ball(vec(0, 0, 9), 1), 3},
		{"points", shape.Shape{}, shape.Shape{}, 0},
	} {
		near(t, c.name, gap(c.a, c.b), c.want, 1e-9)
		near(t, c.name+", the other way round", gap(c.b, c.a), c.want, 1e-9)
	}
}

// Whatever the numbers, Gap ends, and with numbers.
func FuzzGapIsANumber(f *testing.F) {
	f.Add(0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 3.0, uint8(1), uint8(2))
	f.Add(3.0, 4.0, 5.0, 0.0, 1e-9, 0.0, 1e-12, uint8(3), uint8(0))
	f.Add(1e9, 4.0, 5.0, 0.0, 1e-9, 1e8, 0.0, uint8(3), uint8(3))
	f.Add(1e-9, 0.0, 0.0, 1.0, 1e-9, 0.0, 1.0, uint8(3), uint8(2))
	f.Fuzz(func(t *testing.T, px, py, pz, dx, dy, dz, size float64, k, l uint8) {
		for _, v := range []float64{px, py, pz, dx, dy, dz, size} {
			if !(math.Abs(v) < 1e12) {
				t.Skip()
			}
		}
		p, d := vec(px, py, pz), vec(dx, dy, dz)
		size = math.Abs(size)
		axis := z
		if r3.Norm(d) > 0 {
			axis = r3.Unit(d)
		}
		one := func(k uint8, c r3.Vec) shape.Shape {
			switch k % kinds {
			case aBall:
				return shape.Ball(c, size)
			case aBar:
				return shape.Bar(c, r3.Add(c, d), size)
			case aBox:
				return shape.Box(c, r3.Scale(size, x), d, r3.Cross(x, axis))
			default:
				return shape.Disc(c, axis, size, math.Abs(dx))
			}
		}
		a, b := one(k, vec(0, 0, 0)), one(l, p)
		g, n, onA, onB := shape.Gap(&a, &b)
		for _, v := range []float64{g, onA.X, onA.Y, onA.Z, onB.X, onB.Y, onB.Z} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("gap %v along %v from %v to %v", g, n, onA, onB)
			}
		}
		if math.Abs(r3.Norm(n)-1) > 1e-9 {
			t.Errorf("the gap is along %v, which is no unit vector", n)
		}
		if back := gap(b, a); math.Abs(back-g) > 1e-6*(1+size+r3.Norm(d)+r3.Norm(p)) {
			t.Errorf("the gap is %v, and %v the other way round", g, back)
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
	for ka := range kinds {
		for kb := range ka + 1 {
			for _, apart := range []float64{20, 0.1, -1} {
				name := fmt.Sprintf("%s and %s, %v mm", kindNames[ka], kindNames[kb], apart)
				b.Run(name, func(b *testing.B) {
					rng := rand.New(rand.NewPCG(7, 7))
					var all [64][2]shape.Shape
					for i := range all {
						p, q := pair(rng, ka, kb, apart)
						all[i] = [2]shape.Shape{p.shape(), q.shape()}
					}
					b.ReportAllocs()
					for i := 0; b.Loop(); i++ {
						shape.Gap(&all[i%64][0], &all[i%64][1])
					}
				})
			}
		}
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
