package linkage_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"evenlock/linkage"

	"gonum.org/v1/gonum/spatial/r3"
)

const degree = math.Pi / 180

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func solved(t testing.TB, b *linkage.Builder) *linkage.Linkage {
	t.Helper()
	l, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// fourBar returns a planar four-bar of ground link 100 in the plane z = 0, described with the crank
// at 40° and the rocker at a given angle from X, with the angles as coordinates.
func fourBar(t testing.TB, crank, coupler, rocker, rockerAt float64) (l *linkage.Linkage, out linkage.Body, ends [2]linkage.Ball) {
	t.Helper()
	const ground = 100.0
	b := linkage.NewBuilder()
	in := b.Turn("crank", linkage.Ground, vec(0, 0, 0), vec(0, 0, 1))
	out = b.Turn("rocker", linkage.Ground, vec(ground, 0, 0), vec(0, 0, 1))
	ends[0] = b.Ball("crank pin", in, vec(crank, 0, 0))
	ends[1] = b.Ball("rocker pin", out, vec(ground+rocker, 0, 0))
	b.Rod("coupler", ends[0], ends[1], coupler)
	b.Drive(in)
	b.Start(in, 40*degree)
	b.Start(out, rockerAt)
	return solved(t, b), out, ends
}

// Norton, Design of Machinery, position analysis of the four-bar linkage
// (attribution from memory; the figures follow from closure and are computed).
func TestFourBarOfTheHandbookOpenAndCrossed(t *testing.T) {
	for _, c := range []struct {
		name                   string
		guess, rocker, coupler float64
	}{
		{"open", 60, 57.3249, 20.2979},
		{"crossed", -100, -98.0050, -60.9780},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, out, ends := fourBar(t, 40, 120, 80, c.guess*degree)
			p := l.NewPose()
			if got := l.Coordinate(p, out) / degree; math.Abs(got-c.rocker) > 6e-5 {
				t.Errorf("rocker at %.4f°, the handbook's linkage has %.4f°", got, c.rocker)
			}
			d := r3.Sub(p.Ball(ends[1]), p.Ball(ends[0]))
			if got := math.Atan2(d.Y, d.X) / degree; math.Abs(got-c.coupler) > 6e-5 {
				t.Errorf("coupler at %.4f°, the handbook's linkage has %.4f°", got, c.coupler)
			}
		})
	}
}

// Freudenstein's equation (from memory), K1 cos θ4 - K2 cos θ2 + K3 = cos(θ2 - θ4).
func TestFourBarMeetsFreudensteinOverATurn(t *testing.T) {
	const a, b, c, d = 40, 120, 80, 100
	l, out, _ := fourBar(t, a, b, c, 60*degree)
	k1, k2, k3 := float64(d)/a, float64(d)/c, float64(a*a-b*b+c*c+d*d)/(2*a*c)
	p := l.NewPose()
	for deg := 0.0; deg <= 360; deg += 2.5 {
		th2 := deg * degree
		if err := l.Solve(p, []float64{th2}); err != nil {
			t.Fatal(err)
		}
		th4 := l.Coordinate(p, out)
		if gap := k1*math.Cos(th4) - k2*math.Cos(th2) + k3 - math.Cos(th2-th4); math.Abs(gap) > 1e-13 {
			t.Errorf("crank at %v°: Freudenstein's equation misses by %g", deg, gap)
		}
	}
}

// Slider-crank: x = a cos θ + √(b² - a² sin² θ), handbook kinematics.
func TestSliderCrankMeetsItsFormula(t *testing.T) {
	const a, rod = 30.0, 100.0
	b := linkage.NewBuilder()
	crank := b.Turn("crank", linkage.Ground, vec(0, 0, 0), vec(0, 0, 1))
	slide := b.Slide("piston", linkage.Ground, vec(2, 0, 0))
	pin := b.Ball("pin", crank, vec(a, 0, 0))
	end := b.Ball("end", slide, vec(120, 0, 0))
	b.Rod("rod", pin, end, rod)
	b.Drive(crank)
	l := solved(t, b)
	p, m := l.NewPose(), l.NewMotion()
	for deg := -180.0; deg <= 180; deg += 7 {
		th := deg * degree
		if err := l.Solve(p, []float64{th}); err != nil {
			t.Fatal(err)
		}
		root := math.Sqrt(rod*rod - a*a*math.Sin(th)*math.Sin(th))
		if got, want := p.Ball(end).X, a*math.Cos(th)+root; math.Abs(got-want) > 1e-11 {
			t.Errorf("crank at %v°: piston at %v mm, formula %v mm", deg, got, want)
		}
		l.Tangent(p, []float64{1}, nil, m)
		want := -a*math.Sin(th) - a*a*math.Sin(th)*math.Cos(th)/root
		if got := m.Coordinate(slide); math.Abs(got-want) > 1e-11 {
			t.Errorf("crank at %v°: piston's rate %v mm/rad, formula %v", deg, got, want)
		}
	}
}

func TestRodsKeepTheirLengthOverASweep(t *testing.T) {
	for name, s := range specimens(t) {
		t.Run(name, func(t *testing.T) {
			l := solved(t, s.b)
			p := l.NewPose()
			in := append([]float64(nil), p.Inputs()...)
			for i := -20; i <= 20; i++ {
				for k := range in {
					in[k] = s.home[k] + s.span[k]*float64(i)/20
				}
				if err := l.Solve(p, in); err != nil {
					t.Fatal(err)
				}
				for r, ends := range s.rods {
					got := r3.Norm(r3.Sub(p.Ball(ends[0]), p.Ball(ends[1])))
					if math.Abs(got-s.lengths[r]) > 1e-10 {
						t.Errorf("inputs %v: rod %d is %v mm long, wanted %v", in, r, got, s.lengths[r])
					}
				}
			}
		})
	}
}

// A linkage of two four-bars whose far rod is too short to follow, checked against
// the planar dead point: the law of cosines with coupler and rocker in line.
func TestLimitIsTheExactDeadPoint(t *testing.T) {
	const ground, crank, coupler, rocker = 100.0, 60.0, 50.0, 40.0
	// Coupler and rocker stretched: crank² + ground² - 2 crank ground cos θ = (coupler + rocker)².
	want := math.Acos((crank*crank + ground*ground - (coupler+rocker)*(coupler+rocker)) / (2 * crank * ground))
	l, _, _ := fourBar(t, crank, coupler, rocker, 120*degree)
	p := l.NewPose()
	err := l.Solve(p, []float64{170 * degree})
	var limit *linkage.LimitError
	if !errors.As(err, &limit) {
		t.Fatalf("solved beyond the dead point: %v", err)
	}
	if got := limit.Inputs[0]; math.Abs(got-want) > 1e-7 {
		t.Errorf("limit at %.7f°, the law of cosines gives %.7f°", got/degree, want/degree)
	}
	if p.Inputs()[0] != 40*degree {
		t.Error("the pose moved although it could not be solved")
	}
	far := math.Sqrt(crank*crank + ground*ground - 2*crank*ground*math.Cos(170*degree))
	if want := far - rocker - coupler; math.Abs(limit.Short-want) > 1e-9 {
		t.Errorf("rod reported %v mm short, geometry gives %v", limit.Short, want)
	}
}

// The same dead point, reached with Newton's method: the coupler ends on a body
// that the rocker carries, so that no closed form serves.
func TestLimitOfABlockIsTheSameDeadPoint(t *testing.T) {
	const ground, crank, coupler, rocker = 100.0, 60.0, 50.0, 40.0
	want := math.Acos((crank*crank + ground*ground - (coupler+rocker)*(coupler+rocker)) / (2 * crank * ground))
	b := linkage.NewBuilder()
	in := b.Turn("crank", linkage.Ground, vec(0, 0, 0), vec(0, 0, 1))
	out := b.Turn("rocker", linkage.Ground, vec(ground, 0, 0), vec(0, 0, 1))
	rider := b.Turn("rider", out, vec(ground+10, 5, 0), vec(0, 1, 0))
	b.Rod("coupler", b.Ball("crank pin", in, vec(crank, 0, 0)), b.Ball("rocker pin", rider, vec(ground+rocker, 0, 0)), coupler)
	b.Drive(in)
	b.Drive(rider)
	b.Start(in, 40*degree)
	b.Start(out, 120*degree)
	l := solved(t, b)
	p := l.NewPose()
	err := l.Solve(p, []float64{170 * degree, 0})
	var limit *linkage.LimitError
	if !errors.As(err, &limit) {
		t.Fatalf("solved beyond the dead point: %v", err)
	}
	if got := limit.Inputs[0]; math.Abs(got-want) > 1e-7 {
		t.Errorf("limit at %.7f°, the law of cosines gives %.7f°", got/degree, want/degree)
	}
	if got := l.Coordinate(p, out); math.IsNaN(got) || p.Inputs()[0] != 40*degree {
		t.Error("the pose moved although it could not be solved")
	}
}

// A crank that is longer than the ground link closes on both sides of a gap: the far side is
// not to be reached by asking for it in one go.
func TestAGapInTheWayIsNotLeaptOver(t *testing.T) {
	l, _, _ := fourBar(t, 110, 50, 40, 120*degree)
	p := l.NewPose()
	want := math.Acos((110*110 + 100*100 - 90.0*90) / (2 * 110 * 100))
	for _, to := range []float64{170, 359 - 40} {
		err := l.Solve(p, []float64{to * degree})
		var limit *linkage.LimitError
		if !errors.As(err, &limit) || math.Abs(limit.Inputs[0]-want) > 1e-7 {
			t.Errorf("asked for %v°: got %v, wanted the limit at %.4f°", to, err, want/degree)
		}
	}
}

func TestBuildRefusesWhatCannotBe(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	z := vec(0, 0, 1)
	cases := []struct {
		name  string
		want  error
		build func(b *linkage.Builder)
	}{
		{"an axis point that is not a number", linkage.ErrDescription, func(b *linkage.Builder) { b.Turn("knuckle", 0, vec(nan, 0, 0), z) }},
		{"an axis without direction", linkage.ErrDescription, func(b *linkage.Builder) { b.Turn("knuckle", 0, vec(0, 0, 0), vec(0, 0, 0)) }},
		{"an infinite ball", linkage.ErrDescription, func(b *linkage.Builder) { b.Ball("ball", 0, vec(0, inf, 0)) }},
		{"an arrow that is not a number", linkage.ErrDescription, func(b *linkage.Builder) { b.Arrow("spindle", 0, vec(0, nan, 0)) }},
		{"a rod of no length", linkage.ErrDescription, func(b *linkage.Builder) {
			k := b.Turn("knuckle", 0, vec(0, 0, 0), z)
			b.Rod("link", b.Ball("a", k, vec(1, 0, 0)), b.Ball("b", 0, vec(2, 0, 0)), 0)
		}},
		{"a rod within one body", linkage.ErrDescription, func(b *linkage.Builder) {
			b.Rod("link", b.Ball("a", 0, vec(1, 0, 0)), b.Ball("b", 0, vec(2, 0, 0)), 1)
		}},
		{"a body that nothing holds", linkage.ErrUnderConstrained, func(b *linkage.Builder) { b.Turn("knuckle", 0, vec(0, 0, 0), z) }},
		{"a rod too many", linkage.ErrOverConstrained, func(b *linkage.Builder) {
			k := b.Turn("knuckle", 0, vec(0, 0, 0), z)
			b.Rod("link", b.Ball("a", k, vec(10, 0, 0)), b.Ball("b", 0, vec(10, 20, 0)), 20)
			b.Rod("link 2", b.Ball("c", k, vec(10, 5, 0)), b.Ball("d", 0, vec(10, 25, 0)), 20)
		}},
		{"a description at a dead point", linkage.ErrDeadPoint, func(b *linkage.Builder) {
			k := b.Turn("knuckle", 0, vec(0, 0, 0), z)
			b.Rod("link", b.Ball("a", k, vec(10, 0, 0)), b.Ball("b", 0, vec(30, 0, 0)), 20.5)
		}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := linkage.NewBuilder()
			c.build(b)
			if _, err := b.Build(); !errors.Is(err, c.want) {
				t.Errorf("got %v, wanted %v", err, c.want)
			}
		})
	}
}

func TestARodTooShortToCloseSaysByHowMuch(t *testing.T) {
	b := linkage.NewBuilder()
	k := b.Turn("knuckle", 0, vec(0, 0, 0), vec(0, 0, 1))
	b.Rod("tie rod", b.Ball("a", k, vec(0, 10, 0)), b.Ball("b", 0, vec(50, 0, 0)), 38.7)
	_, err := b.Build()
	var limit *linkage.LimitError
	if !errors.As(err, &limit) || math.Abs(limit.Short-1.3) > 1e-9 {
		t.Errorf("got %v, wanted a rod 1.3 mm too short", err)
	}
}

func TestSolveRefusesInputsThatAreNotNumbers(t *testing.T) {
	l, _, _ := fourBar(t, 40, 120, 80, 60*degree)
	p := l.NewPose()
	for _, in := range [][]float64{{math.NaN()}, {math.Inf(1)}, {}, {1, 2}} {
		if err := l.Solve(p, in); !errors.Is(err, linkage.ErrInput) {
			t.Errorf("inputs %v: got %v, wanted ErrInput", in, err)
		}
	}
}

func ExampleLinkage_Solve() {
	b := linkage.NewBuilder()
	up := r3.Vec{Z: 1}
	horn := b.Turn("horn", linkage.Ground, r3.Vec{}, up)
	knuckle := b.Turn("knuckle", linkage.Ground, r3.Vec{Y: 100}, up)
	b.Rod("link", b.Ball("horn ball", horn, r3.Vec{X: 20}), b.Ball("arm ball", knuckle, r3.Vec{X: 20, Y: 100}), 100)
	b.Drive(horn)
	l, err := b.Build()
	if err != nil {
		fmt.Println(err)
		return
	}
	p := l.NewPose()
	if err := l.Solve(p, []float64{0.5}); err != nil {
		fmt.Println(err)
		return
	}
	// Horn and arm equal and parallel: a parallelogram.
	fmt.Printf("%.3f rad\n", l.Coordinate(p, knuckle))
	// Output: 0.500 rad
}
