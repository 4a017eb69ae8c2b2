package draw

import (
	"math"
	"strconv"
	"strings"

	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

const degree = math.Pi / 180

// Sizes on the drawing, in millimetres.
const (
	ballRadius   = 2.4
	markRadius   = 9
	squareRadius = 6
	limitRadius  = 5
	// squareWithin is how near to a right angle counts as square, about what a protractor tells.
	squareWithin = 0.5 * degree
)

// setting is what stands still: middle line, axle line, ground, kingpins.
func (s *Scene) setting(v View) {
	half := func(s *Scene) float64 { return math.Max(s.now.left.centre.Y, -s.now.right.centre.Y) }
	switch v {
	case Above:
		s.line(v, "middle", "middle line of the vehicle", func(s *Scene) (a, b r3.Vec) {
			r := 1.2 * s.now.left.radius
			return r3.Vec{X: r}, r3.Vec{X: -r}
		})
	default:
		s.line(v, "ground", "ground", func(s *Scene) (a, b r3.Vec) {
			z, r := s.now.ground(), half(s)+s.now.left.width
			if v == SideOn {
				r = 1.2 * s.now.left.radius
				return r3.Vec{X: r, Z: z}, r3.Vec{X: -r, Z: z}
			}
			if !s.now.suspended {
				return r3.Vec{Y: r, Z: z}, r3.Vec{Y: -r, Z: z}
			}
			// The chassis stands still, so that the ground is where the tyres are.
			left, right := s.now.left.contact(), s.now.right.contact()
			rise := (left.Z - right.Z) / (left.Y - right.Y)
			return r3.Vec{Y: r, Z: left.Z + rise*(r-left.Y)}, r3.Vec{Y: -r, Z: left.Z + rise*(-r-left.Y)}
		})
	}
	if v != SideOn {
		class := "axle"
		if s.solid {
			class = "axle solid"
		}
		s.line(v, class, "axle line", func(s *Scene) (a, b r3.Vec) { return s.now.left.end, s.now.right.end })
	}
	for _, one := range wheelSides {
		s.line(v, "kingpin", one.name+" kingpin axis", func(s *Scene) (a, b r3.Vec) {
			w := one.now(s)
			return w.atHeight(0.6 * w.radius), w.atHeight(-0.6 * w.radius)
		})
		if v != Above {
			s.line(v, "kingpin-reach", one.name+" kingpin axis down to the ground", func(s *Scene) (a, b r3.Vec) {
				w := one.now(s)
				return w.atHeight(-0.6 * w.radius), w.atHeight(s.now.ground())
			})
		}
	}
}

var wheelSides = [2]struct {
	name     string
	now, was func(s *Scene) *wheel
}{
	{"left", func(s *Scene) *wheel { return &s.now.left }, func(s *Scene) *wheel { return &s.was.left }},
	{"right", func(s *Scene) *wheel { return &s.now.right }, func(s *Scene) *wheel { return &s.was.right }},
}

func (s *Scene) wheels(v View) {
	for _, one := range wheelSides {
		s.tyre(v, "tyre", one.name+" tyre", one.now)
		s.ring(v, "rim", one.name+" wheel", func(s *Scene) (c, axis r3.Vec, r float64) {
			w := one.now(s)
			return r3.Add(w.centre, r3.Scale(w.width/2, w.spindle)), w.spindle, 0.55 * w.radius
		})
		if v == Above {
			s.line(v, "heading", "where the "+one.name+" wheel points", func(s *Scene) (a, b r3.Vec) {
				w := one.now(s)
				ahead := r3.Scale(1.15*w.radius, r3.Unit(r3.Cross(w.spindle, r3.Vec{Z: w.out})))
				return r3.Sub(w.centre, ahead), r3.Add(w.centre, ahead)
			})
			at := s.Length + 2
			q := steer.Road.Of(steer.Left)
			if one.name == "right" {
				q = steer.Road.Of(steer.Right)
			}
			s.label(v, "label road", one.name+" wheel's road steer angle", 1,
				[]Fragment{size(at, 1), text("°"), side(at, 1)}, func(s *Scene, dst []float64) {
					w := one.now(s)
					dst[0], dst[1] = v.Flat(r3.Add(w.centre, r3.Vec{X: 1.15*w.radius + 4}))
					dst[2] = s.now.values[q] / degree
				})
		} else {
			s.dot(v, "contact", one.name+" tyre's contact point", 1.6, func(s *Scene) r3.Vec { return one.now(s).contact() })
		}
	}
}

// link is a straight part between two places of the frame.
type link struct {
	class, part string
	ends        func(f *frame) (a, b r3.Vec)
}

func (s *Scene) links() []link {
	all := []link{
		{"arm", "left tie arm", func(f *frame) (a, b r3.Vec) { return f.left.tieFoot, f.left.tie }},
		{"arm", "right tie arm", func(f *frame) (a, b r3.Vec) { return f.right.tieFoot, f.right.tie }},
		{"arm spindle", "left spindle", func(f *frame) (a, b r3.Vec) { return f.left.hub, f.left.centre }},
		{"arm spindle", "right spindle", func(f *frame) (a, b r3.Vec) { return f.right.hub, f.right.centre }},
	}
	switch s.target {
	case rig.LeftKnuckle:
		all = append(all, link{"arm", "left drag arm", func(f *frame) (a, b r3.Vec) { return f.pulledFoot, f.pulled }})
	case rig.RightKnuckle:
		all = append(all, link{"arm", "right drag arm", func(f *frame) (a, b r3.Vec) { return f.pulledFoot, f.pulled }})
	case rig.TieRodBall:
		all = append(all, link{"arm", "ball on the tie rod", func(f *frame) (a, b r3.Vec) {
			return nearest(f.left.tie, r3.Unit(r3.Sub(f.right.tie, f.left.tie)), f.pulled), f.pulled
		}})
	case rig.CentreCrank:
		all = append(all,
			link{"arm crank", "centre crank, drag-link arm", func(f *frame) (a, b r3.Vec) { return f.pulledFoot, f.pulled }},
			link{"arm crank", "centre crank, left arm", func(f *frame) (a, b r3.Vec) { return f.crankLeftFoot, f.crankLeft }},
			link{"arm crank", "centre crank, right arm", func(f *frame) (a, b r3.Vec) { return f.crankFar, f.crankRight }})
	case rig.SlidingRack:
		all = append(all,
			link{"arm crank", "rack", func(f *frame) (a, b r3.Vec) { return f.crankLeft, f.crankRight }},
			link{"arm crank", "rack's arm for the drag link", func(f *frame) (a, b r3.Vec) {
				return nearest(f.crankLeft, r3.Unit(r3.Sub(f.crankRight, f.crankLeft)), f.pulled), f.pulled
			}})
	}
	if s.crank {
		all = append(all,
			link{"rod crank-rod", "rod to the left knuckle", func(f *frame) (a, b r3.Vec) { return f.crankLeft, f.left.tie }},
			link{"rod crank-rod", "rod to the right knuckle", func(f *frame) (a, b r3.Vec) { return f.crankRight, f.right.tie }})
	} else if !s.second {
		all = append(all, link{"rod tie-rod", "tie rod", func(f *frame) (a, b r3.Vec) { return f.left.tie, f.right.tie }})
	}
	if s.idler {
		what := "centre link"
		if s.plate {
			what = "drag plate"
		}
		all = append(all,
			link{"arm crank", "centre crank, arm for the " + what, func(f *frame) (a, b r3.Vec) { return nearest(f.crankPoint, f.crankAxis, f.crankLink), f.crankLink }},
			link{"arm crank", "idler", func(f *frame) (a, b r3.Vec) { return nearest(f.idlerPoint, f.idlerAxis, f.idlerLink), f.idlerLink }},
			link{"rod crank-rod", what, func(f *frame) (a, b r3.Vec) { return f.crankLink, f.idlerLink }})
	}
	if s.second {
		all = append(all,
			link{"arm", "other drag arm", func(f *frame) (a, b r3.Vec) { return f.secondKnuckleFoot(), f.secondPulled }},
			link{"rod drag-link", "second drag link", func(f *frame) (a, b r3.Vec) { return f.secondBall, f.secondPulled }},
			link{"horn", "second servo's horn", func(f *frame) (a, b r3.Vec) { return f.secondFoot, f.secondBall }})
	}
	return append(all,
		link{"rod drag-link", "drag link", func(f *frame) (a, b r3.Vec) { return f.hornBall, f.pulled }},
		link{"horn", "servo horn", func(f *frame) (a, b r3.Vec) { return f.hornFoot, f.hornBall }})
}

func (s *Scene) ghosts(v View) {
	for _, one := range wheelSides {
		s.tyre(v, "ghost tyre", one.name+" tyre before", one.was)
	}
	for _, l := range s.links() {
		s.line(v, "ghost "+l.class, l.part+" before", func(s *Scene) (a, b r3.Vec) { return l.ends(&s.was) })
	}
	for i := range s.Shapes {
		if sh := &s.Shapes[i]; sh.View == v && len(sh.Class) > 5 && sh.Class[:5] == "ghost" {
			fill := sh.fill
			sh.fill = func(s *Scene, dst []float64) {
				if !s.ghost {
					blank(dst)
					return
				}
				fill(s, dst)
			}
		}
	}
}

func (s *Scene) parts(v View) {
	// Each edge of the box joins corners that differ in one bit.
	at := s.Length
	var d []Fragment
	for i := range 8 {
		for bit := 1; bit < 8; bit *= 2 {
			if i&bit == 0 {
				j := i | bit
				d = append(d, text("M"), number(at+2*i), text(" "), number(at+2*i+1),
					text("L"), number(at+2*j), text(" "), number(at+2*j+1))
			}
		}
	}
	s.add(v, "path", "servo unmeasured", "servo, body of the usual size", 16, []Attribute{{"d", d}}, func(s *Scene, dst []float64) {
		for i, c := range s.now.servoCorners() {
			dst[2*i], dst[2*i+1] = v.Flat(c)
		}
	})
	s.ring(v, "horn-circle", "circle of the horn's ball", func(s *Scene) (c, axis r3.Vec, r float64) {
		return s.now.hornFoot, s.now.servoAxis, r3.Norm(r3.Sub(s.now.hornBall, s.now.hornFoot))
	})
	for _, l := range s.links() {
		s.line(v, l.class, l.part, func(s *Scene) (a, b r3.Vec) { return l.ends(&s.now) })
	}
	s.dot(v, "shaft", "servo shaft", 2, func(s *Scene) r3.Vec { return s.now.hornFoot })
	for i := range s.holes {
		s.dot(v, "hole", "hole "+strconv.Itoa(i+1)+" of the horn", 1, func(s *Scene) r3.Vec {
			return r3.Sub(s.now.hornFoot, r3.Scale(s.now.holes[i].Value, s.now.hornArm))
		})
	}
	balls := []link{
		{"ball", "left tie-rod ball", func(f *frame) (a, b r3.Vec) { return f.left.tie, a }},
		{"ball", "right tie-rod ball", func(f *frame) (a, b r3.Vec) { return f.right.tie, a }},
		{"ball", "horn ball", func(f *frame) (a, b r3.Vec) { return f.hornBall, a }},
		{"ball", "drag link's far ball", func(f *frame) (a, b r3.Vec) { return f.pulled, a }},
	}
	if s.crank {
		balls = append(balls,
			link{"ball", "left inner ball", func(f *frame) (a, b r3.Vec) { return f.crankLeft, a }},
			link{"ball", "right inner ball", func(f *frame) (a, b r3.Vec) { return f.crankRight, a }})
	}
	if s.idler {
		balls = append(balls,
			link{"ball", "centre link's ball on the crank", func(f *frame) (a, b r3.Vec) { return f.crankLink, a }},
			link{"ball", "centre link's ball on the idler", func(f *frame) (a, b r3.Vec) { return f.idlerLink, a }},
			link{"shaft", "idler's axis", func(f *frame) (a, b r3.Vec) { return f.idlerPoint, a }})
	}
	if s.second {
		balls = append(balls,
			link{"ball", "second horn's ball", func(f *frame) (a, b r3.Vec) { return f.secondBall, a }},
			link{"ball", "second drag link's far ball", func(f *frame) (a, b r3.Vec) { return f.secondPulled, a }},
			link{"shaft", "second servo's shaft", func(f *frame) (a, b r3.Vec) { return f.secondFoot, a }})
	}
	if s.target == rig.CentreCrank {
		balls = append(balls,
			link{"shaft", "crank's axis", func(f *frame) (a, b r3.Vec) { return f.crankPoint, a }})
	}
	for _, l := range balls {
		s.dot(v, l.class, l.part, ballRadius, func(s *Scene) r3.Vec { a, _ := l.ends(&s.now); return a })
	}
}

// marks are the angles at both ends of the drag link and the limit.
func (s *Scene) marks(v View, limitWords []string) {
	s.angle(v, "angle at the horn", steer.HornAngle, func(f *frame) (at, a, b r3.Vec) {
		return f.hornBall, f.hornArm, r3.Sub(f.pulled, f.hornBall)
	})
	s.angle(v, "angle at the link's far end", steer.FarAngle, func(f *frame) (at, a, b r3.Vec) {
		return f.pulled, f.farArm, r3.Sub(f.hornBall, f.pulled)
	})
	// An octagon about the place, by its corners.
	s.add(v, "path", "limit", "limit reached", 16, []Attribute{{"d", s.path("M# #L# #L# #L# #L# #L# #L# #L# #Z")}}, func(s *Scene, dst []float64) {
		if s.limit.Number == 0 {
			blank(dst)
			return
		}
		u, w := v.Flat(s.limit.At)
		for i := range 8 {
			sin, cos := math.Sincos((float64(i) + 0.5) * math.Pi / 4)
			dst[2*i], dst[2*i+1] = u+limitRadius*cos, w+limitRadius*sin
		}
	})
	s.label(v, "label limit", "limit reached", 1, []Fragment{choice(s.Length+2, limitWords...)}, func(s *Scene, dst []float64) {
		if s.limit.Number == 0 {
			blank(dst)
			return
		}
		dst[0], dst[1] = v.Flat(s.limit.At)
		dst[1] -= limitRadius + 3
		dst[2] = float64(s.limit.Number)
	})
}

// arcPoints is how many points an angle's arc has.
const arcPoints = 13

// angle adds an arc, a corner when square, and a label for the angle between two directions.
func (s *Scene) angle(v View, part string, q steer.Quantity, of func(f *frame) (at, a, b r3.Vec)) {
	// shown gives unit directions, and whether this view sees their plane well enough.
	shown := func(s *Scene) (at, a, b r3.Vec, ok bool) {
		at, a, b = of(&s.now)
		a, b = r3.Unit(a), r3.Unit(b)
		n := r3.Cross(a, b)
		size := r3.Norm(n)
		return at, a, b, size > 1e-6 && math.Abs(r3.Dot(n, v.Sight()))/size > 0.5
	}
	isSquare := func(a, b r3.Vec) bool { return math.Abs(math.Asin(r3.Dot(a, b))) < squareWithin }
	commands := "M# #" + strings.Repeat("L# #", arcPoints-1)
	s.add(v, "path", "angle-mark", part, 2*arcPoints, []Attribute{{"d", s.path(commands)}}, func(s *Scene, dst []float64) {
		at, a, b, ok := shown(s)
		if !ok || isSquare(a, b) {
			blank(dst)
			return
		}
		// Square to a, in the plane.
		c := r3.Unit(r3.Sub(b, r3.Scale(r3.Dot(a, b), a)))
		whole := math.Acos(max(-1, min(1, r3.Dot(a, b))))
		for i := range arcPoints {
			sin, cos := math.Sincos(whole * float64(i) / (arcPoints - 1))
			dst[2*i], dst[2*i+1] = v.Flat(r3.Add(at, r3.Scale(markRadius, r3.Add(r3.Scale(cos, a), r3.Scale(sin, c)))))
		}
	})
	s.add(v, "path", "square-mark", part+", square", 6, []Attribute{{"d", s.path("M# #L# #L# #")}}, func(s *Scene, dst []float64) {
		at, a, b, ok := shown(s)
		if !ok || !isSquare(a, b) {
			blank(dst)
			return
		}
		a, b = r3.Scale(squareRadius, a), r3.Scale(squareRadius, b)
		dst[0], dst[1] = v.Flat(r3.Add(at, a))
		dst[2], dst[3] = v.Flat(r3.Add(at, r3.Add(a, b)))
		dst[4], dst[5] = v.Flat(r3.Add(at, b))
	})
	at := s.Length
	s.label(v, "label angle", part, 2, []Fragment{{Form: Decimal, At: at + 2, Digits: 1}, text("°"), choice(at+3, "", " square")},
		func(s *Scene, dst []float64) {
			at, a, b, ok := shown(s)
			if !ok {
				blank(dst)
				return
			}
			mid := r3.Add(a, b)
			if r3.Norm(mid) < 0.1 {
				mid = v.Space(0, -1)
			}
			dst[0], dst[1] = v.Flat(r3.Add(at, r3.Scale(markRadius+7, r3.Unit(mid))))
			dst[2] = s.now.values[q] / degree
			dst[3] = 0
			if isSquare(a, b) {
				dst[3] = 1
			}
		})
}

// farthest is how far away, in wheelbases, a turn centre is still drawn.
const farthest = 25

// turn is the view of the whole vehicle with its turn.
func (s *Scene) turn() {
	const v = Turn
	s.line(v, "axle", "other axle's line", func(s *Scene) (a, b r3.Vec) {
		r := farthest * s.now.wheelbase
		return r3.Vec{X: -s.now.wheelbase, Y: r}, r3.Vec{X: -s.now.wheelbase, Y: -r}
	})
	s.line(v, "middle", "middle line of the vehicle", func(s *Scene) (a, b r3.Vec) {
		return r3.Vec{}, r3.Vec{X: -s.now.wheelbase}
	})
	s.line(v, "axle", "axle line", func(s *Scene) (a, b r3.Vec) { return s.now.left.hub, s.now.right.hub })
	for _, one := range wheelSides {
		s.tyre(v, "tyre", one.name+" tyre", one.now)
		s.add(v, "path", "tyre unmeasured", one.name+" tyre of the other axle", 8, []Attribute{{"d", s.path("M# #L# #L# #L# #Z")}}, func(s *Scene, dst []float64) {
			w := one.now(s)
			c := r3.Vec{X: -s.now.wheelbase, Y: w.out * (s.now.left.trackHalf() + s.now.right.trackHalf()) / 2}
			for i, corner := range [4][2]float64{{1, 1}, {1, -1}, {-1, -1}, {-1, 1}} {
				dst[2*i], dst[2*i+1] = v.Flat(r3.Add(c, r3.Vec{X: corner[0] * w.radius, Y: corner[1] * w.width / 2}))
			}
		})
		own := steer.WheelCurvature.Of(steer.Left)
		if one.name == "right" {
			own = steer.WheelCurvature.Of(steer.Right)
		}
		s.add(v, "line", "wheel-axis", one.name+" wheel's axis, to the other axle's line", 4, s.numbers("x1", "y1", "x2", "y2"), func(s *Scene, dst []float64) {
			k := s.now.values[own]
			if !(math.Abs(k)*farthest*s.now.wheelbase > 1) {
				blank(dst)
				return
			}
			dst[0], dst[1] = v.Flat(one.now(s).contact())
			dst[2], dst[3] = v.Flat(r3.Vec{X: -s.now.wheelbase, Y: 1 / k})
		})
	}
	centre := func(s *Scene) (c r3.Vec, ok bool) {
		k := s.now.values[steer.Curvature]
		return r3.Vec{X: -s.now.wheelbase, Y: 1 / k}, math.Abs(k)*farthest*s.now.wheelbase > 1
	}
	circle := func(class, part string, radius func(s *Scene) float64) {
		s.add(v, "circle", class, part, 3, s.numbers("cx", "cy", "r"), func(s *Scene, dst []float64) {
			c, ok := centre(s)
			if !ok {
				blank(dst)
				return
			}
			dst[0], dst[1] = v.Flat(c)
			dst[2] = radius(s)
		})
	}
	circle("turn-circle outer", "circle of the outermost tyre", func(s *Scene) float64 { return s.now.values[steer.OuterRadius] })
	circle("turn-circle middle", "path of the other axle's middle", func(s *Scene) float64 { return math.Abs(1 / s.now.values[steer.Curvature]) })
	circle("turn-centre", "turn centre", func(*Scene) float64 { return 8 })
	at := s.Length
	s.label(v, "label turn", "turning circle", 2, []Fragment{text("⌀ "), size(at+2, 2), text(" m, turn to the"), side(at+3, 3)}, func(s *Scene, dst []float64) {
		if _, ok := centre(s); !ok {
			blank(dst)
			return
		}
		dst[0], dst[1] = v.Flat(r3.Vec{X: 0.25 * s.now.wheelbase})
		dst[2] = 2 * s.now.values[steer.OuterRadius] / 1000
		dst[3] = s.now.values[steer.Curvature] * 1000
	})
}

// trackHalf is how far the wheel's middle is to the side.
func (w *wheel) trackHalf() float64 { return math.Abs(w.centre.Y) }

// frameBoxes sets what the views show from the frame, which stands straight.
func (s *Scene) frameBoxes() {
	f := &s.now
	var low, high r3.Vec
	reach := func(p r3.Vec, by r3.Vec) {
		low = r3.Vec{X: min(low.X, p.X-by.X), Y: min(low.Y, p.Y-by.Y), Z: min(low.Z, p.Z-by.Z)}
		high = r3.Vec{X: max(high.X, p.X+by.X), Y: max(high.Y, p.Y+by.Y), Z: max(high.Z, p.Z+by.Z)}
	}
	for _, w := range [...]*wheel{&f.left, &f.right} {
		// Room for the wheel turned by about 45°, and for its angle's label ahead.
		reach(w.centre, r3.Vec{X: 1.15*w.radius + 16, Y: 0.71*w.radius + 0.36*w.width + 4, Z: w.radius + 6})
		reach(w.tie, r3.Vec{X: 16, Y: 8, Z: 8})
	}
	for _, b := range f.bars {
		reach(b[0], r3.Vec{X: 6, Y: 6, Z: 6})
		reach(b[1], r3.Vec{X: 6, Y: 6, Z: 6})
	}
	for i := range f.things {
		t := &f.things[i]
		by := r3.Vec{X: t.radius + 4, Y: t.radius + 4, Z: t.radius + 4}
		for _, side := range t.sides {
			by = r3.Add(by, r3.Vec{X: math.Abs(side.X), Y: math.Abs(side.Y), Z: math.Abs(side.Z)})
		}
		for _, p := range [2]r3.Vec{t.from, t.to} {
			// A body above the wheels would leave little room for what is below.
			p.Z = min(p.Z, 2*f.left.radius)
			reach(p, by)
		}
	}
	hole := r3.Norm(r3.Sub(f.hornBall, f.hornFoot)) + 12
	reach(f.hornFoot, r3.Vec{X: hole, Y: hole, Z: hole})
	reach(f.pulled, r3.Vec{X: 18, Y: 18, Z: 18})
	for _, c := range f.servoCorners() {
		reach(c, r3.Vec{X: 3, Y: 3, Z: 3})
	}
	if f.suspended {
		// The travel, and the tyres' edges in roll.
		low.Z, high.Z = low.Z-f.droop-4, high.Z+f.bump+4
	}
	half := max(-low.Y, high.Y)
	s.Boxes[Above] = Box{-half, -high.X, 2 * half, high.X - low.X}
	s.Boxes[Behind] = Box{-half, -high.Z, 2 * half, high.Z - low.Z}
	s.Boxes[SideOn] = Box{-high.X, -high.Z, high.X - low.X, high.Z - low.Z}
	l := f.wheelbase
	s.Boxes[Turn] = Box{-2.2 * l, -0.9 * l, 4.4 * l, 2.6 * l}
}
