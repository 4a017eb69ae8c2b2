package linkage_test

import (
	"math"
	"testing"

	"evenlock/linkage"

	"gonum.org/v1/gonum/spatial/r3"
)

// specimen is a linkage with how far its inputs may go, for tests over many kinds.
type specimen struct {
	b       *linkage.Builder
	home    []float64
	span    []float64
	rods    [][2]linkage.Ball
	lengths []float64
	// watch are bodies whose coordinates a test compares.
	watch []linkage.Body
}

func (s *specimen) rod(name string, a, b linkage.Ball, length float64) {
	s.rods = append(s.rods, [2]linkage.Ball{a, b})
	s.lengths = append(s.lengths, length)
	s.b.Rod(name, a, b, length)
}

// specimens returns one linkage of each kind that later work hangs on the kernel.
// All are invented.
func specimens(t testing.TB) map[string]*specimen {
	t.Helper()
	out := map[string]*specimen{}

	{ // A spatial four-bar with skew axes, through both knuckles of an axle.
		s := &specimen{b: linkage.NewBuilder(), home: []float64{0}, span: []float64{0.6}}
		b := s.b
		horn := b.Turn("horn", linkage.Ground, vec(10, 40, 30), vec(1, 0.1, -0.05))
		right := b.Turn("right knuckle", linkage.Ground, vec(0, -85, 0), vec(-0.1, 0.12, 1))
		left := b.Turn("left knuckle", linkage.Ground, vec(0, 85, 0), vec(-0.08, -0.1, 1))
		hb := b.Ball("horn ball", horn, vec(12, 42, 48))
		db := b.Ball("drag arm", right, vec(25, -80, 20))
		rt := b.Ball("right tie arm", right, vec(-24, -79, 2))
		lt := b.Ball("left tie arm", left, vec(-25, 80, 1))
		b.Arrow("right spindle", right, vec(0, -1, 0))
		s.rod("drag link", hb, db, 125.3)
		s.rod("tie rod", lt, rt, 159.4)
		b.Drive(horn)
		s.watch = []linkage.Body{right, left}
		out["two spatial four-bars in a chain"] = s
	}
	{ // Two coupled loops: a drag link to a ball on the tie rod, which turns about its ends.
		s := &specimen{b: linkage.NewBuilder(), home: []float64{0, 0}, span: []float64{0.5, 0.2}}
		b := s.b
		horn := b.Turn("horn", linkage.Ground, vec(-50, 40, 20), vec(-1, 0, 0.1))
		right := b.Turn("right knuckle", linkage.Ground, vec(0, -85, 0), vec(-0.1, 0.12, 1))
		left := b.Turn("left knuckle", linkage.Ground, vec(0, 85, 0), vec(-0.08, -0.1, 1))
		hb := b.Ball("horn ball", horn, vec(-52, 40, 38))
		rt := b.Ball("right tie arm", right, vec(-24, -79, 2))
		lt := b.Ball("left tie arm", left, vec(-25, 80, 1))
		tie := b.TurnBetween("tie rod", linkage.Ground, lt, rt)
		tb := b.Ball("ball on the tie rod", tie, vec(-30, -40, 9))
		s.rod("drag link", hb, tb, 86)
		s.rod("tie rod", lt, rt, 159.4)
		b.Drive(horn)
		b.Drive(tie)
		s.watch = []linkage.Body{right, left}
		out["two coupled loops"] = s
	}
	{ // An axle carried on four rods, driven in heave and roll, with its steering hung on it.
		s := &specimen{b: linkage.NewBuilder(), home: []float64{0, 0, 0}, span: []float64{15, 0.15, 0.4}}
		b := s.b
		axle := b.Free("axle", vec(0, 0, 0))
		link := func(name string, chassis, on r3.Vec) {
			a, c := b.Ball(name+" front", axle.Roll, on), b.Ball(name+" rear", linkage.Ground, chassis)
			s.rod(name, a, c, r3.Norm(r3.Sub(chassis, on)))
		}
		link("lower left", vec(-120, 30, -5), vec(-5, 60, -10))
		link("lower right", vec(-120, -30, -5), vec(-5, -60, -10))
		link("upper left", vec(-110, 45, 30), vec(-5, 15, 25))
		link("upper right", vec(-110, -45, 30), vec(-5, -15, 25))
		b.Drive(axle.Z)
		b.Drive(axle.Roll)
		horn := b.Turn("horn", linkage.Ground, vec(-30, 40, 60), vec(1, 0, 0))
		right := b.Turn("right knuckle", axle.Roll, vec(0, -85, 0), vec(-0.1, 0.12, 1))
		left := b.Turn("left knuckle", axle.Roll, vec(0, 85, 0), vec(-0.1, -0.12, 1))
		hb := b.Ball("horn ball", horn, vec(-30, 40, 40))
		db := b.Ball("drag arm", right, vec(-25, -80, 20))
		s.rod("drag link", hb, db, r3.Norm(r3.Sub(vec(-30, 40, 40), vec(-25, -80, 20))))
		rt := b.Ball("right tie arm", right, vec(24, -90, 2))
		lt := b.Ball("left tie arm", left, vec(24, 90, 2))
		s.rod("tie rod", rt, lt, 180)
		b.Drive(horn)
		s.watch = []linkage.Body{axle.X, axle.Y, axle.Yaw, axle.Pitch, right, left}
		out["an axle on four rods with its steering"] = s
	}
	{ // A servo on an axle that swings and rolls pulls a ball on the tie rod, whose zero goes with the axle.
		s := &specimen{b: linkage.NewBuilder(), home: []float64{0, 0, 0, 0}, span: []float64{0.1, 0.3, 0.4, 0.2}}
		b := s.b
		swing := b.Turn("swing", linkage.Ground, vec(-150, 0, 10), vec(0, 1, 0.03))
		axle := b.Turn("axle", swing, vec(0, 0, 15), vec(1, 0.02, -0.1))
		horn := b.Turn("horn", axle, vec(-50, 40, 20), vec(-1, 0, 0.1))
		right := b.Turn("right knuckle", axle, vec(0, -85, 0), vec(-0.1, 0.12, 1))
		left := b.Turn("left knuckle", axle, vec(0, 85, 0), vec(-0.08, -0.1, 1))
		hb := b.Ball("horn ball", horn, vec(-52, 40, 38))
		rt := b.Ball("right tie arm", right, vec(-24, -79, 2))
		lt := b.Ball("left tie arm", left, vec(-25, 80, 1))
		tie := b.TurnBetween("tie rod", axle, lt, rt)
		tb := b.Ball("ball on the tie rod", tie, vec(-30, -40, 9))
		s.rod("drag link", hb, tb, 86)
		s.rod("tie rod", lt, rt, 159.4)
		b.Drive(swing)
		b.Drive(axle)
		b.Drive(horn)
		b.Drive(tie)
		s.watch = []linkage.Body{right, left}
		out["a tie rod carried by an axle"] = s
	}
	{ // A knuckle between two arms, its balls kept apart by itself, steered by a rack that slides.
		s := &specimen{b: linkage.NewBuilder(), home: []float64{0, 0}, span: []float64{0.2, 4}}
		b := s.b
		lower := b.Turn("lower arm", linkage.Ground, vec(0, 30, 0), vec(1, 0.05, 0))
		upper := b.Turn("upper arm", linkage.Ground, vec(0, 35, 30), vec(1, -0.03, 0.06))
		rack := b.Slide("rack", linkage.Ground, vec(0, 1, 0))
		lb := b.Ball("lower ball", lower, vec(2, 80, -5))
		ub := b.Ball("upper ball", upper, vec(-3, 75, 32))
		s.rod("knuckle", lb, ub, r3.Norm(r3.Sub(vec(2, 80, -5), vec(-3, 75, 32))))
		kn := b.TurnBetween("knuckle", linkage.Ground, lb, ub)
		arm := b.Ball("steering arm", kn, vec(-22, 74, 5))
		rb := b.Ball("rack ball", rack, vec(-20, 32, 6))
		s.rod("track rod", rb, arm, r3.Norm(r3.Sub(vec(-20, 32, 6), vec(-22, 74, 5))))
		b.Drive(lower)
		b.Drive(rack)
		s.watch = []linkage.Body{upper, kn}
		out["a knuckle between two arms with a rack"] = s
	}
	{ // A strut: the knuckle turns about the line from the arm's ball to a point of the chassis.
		s := &specimen{b: linkage.NewBuilder(), home: []float64{0, 0}, span: []float64{0.25, 0.4}}
		b := s.b
		lower := b.Turn("lower arm", linkage.Ground, vec(0, 30, 0), vec(1, 0.05, 0))
		lb := b.Ball("lower ball", lower, vec(2, 80, -5))
		top := b.Ball("strut top", linkage.Ground, vec(-8, 60, 70))
		kn := b.TurnBetween("knuckle", linkage.Ground, lb, top)
		arm := b.Ball("steering arm", kn, vec(-22, 74, 5))
		horn := b.Turn("horn", linkage.Ground, vec(-40, 30, 6), vec(0, 0, 1))
		hb := b.Ball("horn ball", horn, vec(-22, 31, 6))
		s.rod("track rod", hb, arm, r3.Norm(r3.Sub(vec(-22, 31, 6), vec(-22, 74, 5))))
		b.Drive(lower)
		b.Drive(horn)
		s.watch = []linkage.Body{kn}
		out["a strut"] = s
	}
	{ // A slide held by a rod to a turning crank on a carrier that is driven.
		s := &specimen{b: linkage.NewBuilder(), home: []float64{0.3, 0}, span: []float64{0.7, 0.3}}
		b := s.b
		deck := b.Turn("deck", linkage.Ground, vec(0, 0, -20), vec(0, 1, 0.2))
		crank := b.Turn("crank", deck, vec(0, 0, 0), vec(0.1, 0, 1))
		slide := b.Slide("rack", deck, vec(1, 0.2, 0.1))
		pin := b.Ball("pin", crank, vec(30, 0, 3))
		end := b.Ball("end", slide, vec(120, 5, -4))
		s.rod("rod", pin, end, 100)
		b.Drive(crank)
		b.Drive(deck)
		b.Start(crank, 0.3)
		s.watch = []linkage.Body{slide}
		out["a slide on a driven deck"] = s
	}
	for _, s := range out {
		if len(s.rods) != len(s.lengths) || math.IsNaN(s.span[0]) {
			t.Fatal("bad specimen")
		}
	}
	return out
}
