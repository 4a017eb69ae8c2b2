package draw

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenlock/steer"
	"evenlock/vehicle"

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
	// along is a line along the vehicle, about the axle.
	along := func(f *frame, z float64) (a, b r3.Vec) {
		x, r := f.model.Axle.Middle.X, 1.2*f.wheels[vehicle.Left].radius
		return r3.Vec{X: x + r, Z: z}, r3.Vec{X: x - r, Z: z}
	}
	switch v {
	case Above:
		s.line(v, "middle", "middle line of the vehicle", func(s *Scene) (a, b r3.Vec) { return along(&s.now, 0) })
	case SideOn:
		s.line(v, "ground", "ground", func(s *Scene) (a, b r3.Vec) { return along(&s.now, s.now.ground()) })
	default:
		s.line(v, "ground", "ground", func(s *Scene) (a, b r3.Vec) {
			left, right := &s.now.wheels[vehicle.Left], &s.now.wheels[vehicle.Right]
			z, r := s.now.ground(), math.Max(left.centre.Y, -right.centre.Y)+left.width
			if !s.now.model.Axle.Suspended {
				return r3.Vec{Y: r, Z: z}, r3.Vec{Y: -r, Z: z}
			}
			// The chassis stands still, so that the ground is where the tyres are.
			l, o := left.contact(), right.contact()
			rise := (l.Z - o.Z) / (l.Y - o.Y)
			return r3.Vec{Y: r, Z: l.Z + rise*(r-l.Y)}, r3.Vec{Y: -r, Z: l.Z + rise*(-r-l.Y)}
		})
	}
	if v != SideOn {
		class := "axle"
		if s.model.Axle.Solid {
			class = "axle solid"
		}
		s.line(v, class, "axle line", func(s *Scene) (a, b r3.Vec) { return s.now.wheels[0].end, s.now.wheels[1].end })
	}
	for i, x := range s.model.Wheels {
		s.line(v, "kingpin", partOf(x)+"kingpin axis", func(s *Scene) (a, b r3.Vec) {
			w := &s.now.wheels[i]
			return w.atHeight(0.6 * w.radius), w.atHeight(-0.6 * w.radius)
		})
		if v != Above {
			s.line(v, "kingpin-reach", partOf(x)+"kingpin axis down to the ground", func(s *Scene) (a, b r3.Vec) {
				w := &s.now.wheels[i]
				return w.atHeight(-0.6 * w.radius), w.atHeight(s.now.ground())
			})
		}
	}
}

// partOf begins the names of a wheel's parts: "left ", "rear left ".
func partOf(w *vehicle.Wheel) string { return strings.TrimSuffix(w.Name, "wheel") }

func (s *Scene) wheels(v View) {
	for i, x := range s.model.Wheels {
		now := func(s *Scene) *wheel { return &s.now.wheels[i] }
		s.tyre(v, "tyre", x.Tyre(), now)
		s.ring(v, "rim", x.Name, func(s *Scene) (c, axis r3.Vec, r float64) {
			w := now(s)
			return r3.Add(w.centre, r3.Scale(w.width/2, w.spindle)), w.spindle, 0.55 * w.radius
		})
		if v != Above {
			s.dot(v, "contact", x.Tyre()+"'s contact point", 1.6, func(s *Scene) r3.Vec { return now(s).contact() })
			continue
		}
		s.line(v, "heading", "where the "+x.Name+" points", func(s *Scene) (a, b r3.Vec) {
			w := now(s)
			ahead := r3.Scale(1.15*w.radius, r3.Unit(r3.Cross(w.spindle, r3.Vec{Z: w.out})))
			return r3.Sub(w.centre, ahead), r3.Add(w.centre, ahead)
		})
		at := s.Length + 2
		s.label(v, "label road", x.Name+"'s road steer angle", 1,
			[]Fragment{size(at, 1), text("°"), side(at, 1)}, func(s *Scene, dst []float64) {
				w := now(s)
				dst[0], dst[1] = v.Flat(r3.Add(w.centre, r3.Vec{X: 1.15*w.radius + 4}))
				dst[2] = s.now.values[steer.Road.Of(x.Side)] / degree
			})
	}
}

// link is a straight part between two places of the frame.
type link struct {
	class, part string
	from, to    spot
}

// held are the balls that rods of the steering hold, each with the first of the rods.
func held(v *vehicle.Vehicle) (balls []*vehicle.Ball, by []*vehicle.Rod) {
	for _, r := range v.Steering() {
		for _, b := range [2]*vehicle.Ball{r.From, r.To} {
			if !slices.Contains(balls, b) {
				balls, by = append(balls, b), append(by, r)
			}
		}
	}
	return balls, by
}

// steering lists the straight parts of the steering: the arms of what turns, with a ball of a rod
// at the end of each, the bars of what slides, spindles, rods and horns.
func (s *Scene) steering() []link {
	v := s.model.Vehicle
	var all, links []link
	balls, by := held(v)
	for i, b := range balls {
		foot := s.foot(b)
		switch on := b.On; {
		case on.Moves == vehicle.Slides:
			first, last := ends(on, balls)
			from, to, at := s.ball(first), s.ball(last), s.ball(b)
			if b == first {
				all = append(all, link{"arm", on.Name, from, to})
			}
			if b == first || b == last {
				continue
			}
			foot = func(f *frame) r3.Vec { return vehicle.Foot(at(f), from(f), r3.Unit(r3.Sub(to(f), from(f)))) }
		case on.Drive == vehicle.ByServo, on.Moves != vehicle.Turns && on.Moves != vehicle.Between:
			continue
		}
		all = append(all, link{"arm", b.On.Name + ", arm for the " + by[i].Name, foot, s.ball(b)})
	}
	for i, w := range s.model.Wheels {
		all = append(all, link{"arm spindle", partOf(w) + "spindle", func(f *frame) r3.Vec { return f.wheels[i].hub }, s.ball(w.Centre)})
	}
	for _, r := range v.Steering() {
		one := link{"rod", r.Name, s.ball(r.From), s.ball(r.To)}
		if r.Body != nil {
			one.part = r.Body.Name
		}
		if slices.ContainsFunc(v.Servos, func(o *vehicle.Servo) bool { return o.Link == r }) {
			one.class = "rod drag-link"
			links = append(links, one)
			continue
		}
		all = append(all, one)
	}
	all = append(all, links...)
	for _, o := range v.Servos {
		all = append(all, link{"horn", o.Name + "'s horn", s.foot(o.Ball), s.ball(o.Ball)})
	}
	return all
}

// ends are the two balls of a body that slides that are farthest apart along its way.
func ends(b *vehicle.Body, balls []*vehicle.Ball) (from, to *vehicle.Ball) {
	on := slices.DeleteFunc(slices.Clone(balls), func(o *vehicle.Ball) bool { return o.On != b })
	by := func(o, p *vehicle.Ball) int { return cmp.Compare(r3.Dot(o.At, b.Axis), r3.Dot(p.At, b.Axis)) }
	return slices.MinFunc(on, by), slices.MaxFunc(on, by)
}

func (s *Scene) ghosts(v View) {
	first := len(s.Shapes)
	for i, x := range s.model.Wheels {
		s.tyre(v, "ghost tyre", x.Tyre()+" before", func(s *Scene) *wheel { return &s.was.wheels[i] })
	}
	for _, l := range s.links {
		s.line(v, "ghost "+l.class, l.part+" before", func(s *Scene) (a, b r3.Vec) { return l.from(&s.was), l.to(&s.was) })
	}
	for i := first; i < len(s.Shapes); i++ {
		sh := &s.Shapes[i]
		fill := sh.fill
		sh.fill = func(s *Scene, dst []float64) {
			if s.ghost {
				fill(s, dst)
			}
			// Nor is there a ghost of what the other rig lacks.
			if !s.ghost || slices.ContainsFunc(dst, math.IsNaN) {
				blank(dst)
			}
		}
	}
}

func (s *Scene) parts(v View) {
	lists := s.model.Vehicle
	for i, o := range lists.Servos {
		s.body(v, i, o)
	}
	for _, l := range s.links {
		s.line(v, l.class, l.part, func(s *Scene) (a, b r3.Vec) { return l.from(&s.now), l.to(&s.now) })
	}
	for i, o := range lists.Servos {
		s.dot(v, "shaft", o.Name+"'s shaft", 2, func(s *Scene) r3.Vec { return s.now.servos[i].foot })
		for n := range o.Holes {
			s.dot(v, "hole", "hole "+strconv.Itoa(n+1)+" of the "+o.Name+"'s horn", 1, func(s *Scene) r3.Vec {
				o := &s.now.servos[i]
				return r3.Add(o.foot, r3.Scale(o.twin.Holes[n], r3.Unit(r3.Sub(o.ball, o.foot))))
			})
		}
	}
	balls, _ := held(lists)
	for _, b := range balls {
		at := s.ball(b)
		s.dot(v, "ball", b.Name, ballRadius, func(s *Scene) r3.Vec { return at(&s.now) })
	}
	for _, n := range lists.Bodies {
		if n.Moves == vehicle.Turns && n.Drive == vehicle.ByRods && n.Hinges == nil && lists.WheelOn(n) == nil {
			at := s.point(n)
			s.dot(v, "shaft", n.Name+"'s axis", ballRadius, func(s *Scene) r3.Vec { return at(&s.now) })
		}
	}
}

// body draws the body of a servo and the circle of its horn's ball.
func (s *Scene) body(v View, i int, o *vehicle.Servo) {
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
	s.add(v, "path", "servo unmeasured", o.Name+", body of the usual size", 16, []Attribute{{"d", d}}, func(s *Scene, dst []float64) {
		for k, c := range s.now.servos[i].corners() {
			dst[2*k], dst[2*k+1] = v.Flat(c)
		}
	})
	s.ring(v, "horn-circle", "circle of the "+o.Ball.Name, func(s *Scene) (c, axis r3.Vec, r float64) {
		o := &s.now.servos[i]
		return o.foot, o.axis, r3.Norm(r3.Sub(o.ball, o.foot))
	})
}

// marks are the angles at both ends of the drag link and the limit.
func (s *Scene) marks(v View, limitWords []string) {
	lead := slices.Index(s.model.Vehicle.Servos, s.model.Servo)
	s.angle(v, "angle at the horn", steer.HornAngle, func(f *frame) (at, a, b r3.Vec) {
		o := &f.servos[lead]
		return o.ball, r3.Sub(o.foot, o.ball), r3.Sub(o.far, o.ball)
	})
	s.angle(v, "angle at the link's far end", steer.FarAngle, func(f *frame) (at, a, b r3.Vec) {
		o := &f.servos[lead]
		return o.far, r3.Sub(o.farFoot, o.far), r3.Sub(o.ball, o.far)
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

// base is how far the axle is ahead of the other one, below zero behind it.
func (f *frame) base() float64 { return f.model.Axle.Middle.X - f.model.Axle.Other }

// centre is where an axis that asks for a curvature meets the other axle's line; ok is false where
// that is too far away to draw.
func (f *frame) centre(curvature float64) (c r3.Vec, ok bool) {
	// The curvature of an axle that is behind is that seen looking backwards.
	a := f.model.Axle
	return r3.Vec{X: a.Other, Y: a.Ahead() / curvature}, math.Abs(curvature*f.base())*farthest > 1
}

// turn is the view of the whole vehicle with its turn.
func (s *Scene) turn() {
	const v = Turn
	s.line(v, "axle", "other axle's line", func(s *Scene) (a, b r3.Vec) {
		x, r := s.now.model.Axle.Other, farthest*math.Abs(s.now.base())
		return r3.Vec{X: x, Y: r}, r3.Vec{X: x, Y: -r}
	})
	s.line(v, "middle", "middle line of the vehicle", func(s *Scene) (a, b r3.Vec) {
		return r3.Vec{X: s.now.model.Axle.Middle.X}, r3.Vec{X: s.now.model.Axle.Other}
	})
	s.line(v, "axle", "axle line", func(s *Scene) (a, b r3.Vec) { return s.now.wheels[0].hub, s.now.wheels[1].hub })
	for i, x := range s.model.Wheels {
		now := func(s *Scene) *wheel { return &s.now.wheels[i] }
		s.tyre(v, "tyre", x.Tyre(), now)
		s.add(v, "path", "tyre unmeasured", x.Side.String()+" tyre of the other axle", 8, []Attribute{{"d", s.path("M# #L# #L# #L# #Z")}}, func(s *Scene, dst []float64) {
			w := now(s)
			c := r3.Vec{X: s.now.model.Axle.Other, Y: w.out * (s.now.wheels[0].trackHalf() + s.now.wheels[1].trackHalf()) / 2}
			for i, corner := range [4][2]float64{{1, 1}, {1, -1}, {-1, -1}, {-1, 1}} {
				dst[2*i], dst[2*i+1] = v.Flat(r3.Add(c, r3.Vec{X: corner[0] * w.radius, Y: corner[1] * w.width / 2}))
			}
		})
		s.add(v, "line", "wheel-axis", x.Name+"'s axis, to the other axle's line", 4, s.numbers("x1", "y1", "x2", "y2"), func(s *Scene, dst []float64) {
			c, ok := s.now.centre(s.now.values[steer.WheelCurvature.Of(x.Side)])
			if !ok {
				blank(dst)
				return
			}
			dst[0], dst[1] = v.Flat(now(s).contact())
			dst[2], dst[3] = v.Flat(c)
		})
	}
	circle := func(class, part string, radius func(s *Scene) float64) {
		s.add(v, "circle", class, part, 3, s.numbers("cx", "cy", "r"), func(s *Scene, dst []float64) {
			c, ok := s.now.centre(s.now.values[steer.Curvature])
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
		c, ok := s.now.centre(s.now.values[steer.Curvature])
		if !ok {
			blank(dst)
			return
		}
		a := s.now.model.Axle
		dst[0], dst[1] = v.Flat(r3.Vec{X: max(a.Middle.X, a.Other) + 0.25*math.Abs(s.now.base())})
		dst[2] = 2 * s.now.values[steer.OuterRadius] / 1000
		dst[3] = 1000 / c.Y
	})
}

// trackHalf is how far the wheel's middle is to the side.
func (w *wheel) trackHalf() float64 { return math.Abs(w.centre.Y) }

// frameBoxes sets what the views show from the frame, which stands straight.
func (s *Scene) frameBoxes() {
	f, a := &s.now, s.model.Axle
	low, high := a.Middle, a.Middle
	reach := func(p r3.Vec, by r3.Vec) {
		low = r3.Vec{X: min(low.X, p.X-by.X), Y: min(low.Y, p.Y-by.Y), Z: min(low.Z, p.Z-by.Z)}
		high = r3.Vec{X: max(high.X, p.X+by.X), Y: max(high.Y, p.Y+by.Y), Z: max(high.Z, p.Z+by.Z)}
	}
	cube := func(p r3.Vec, half float64) { reach(p, r3.Vec{X: half, Y: half, Z: half}) }
	for i := range f.wheels {
		w := &f.wheels[i]
		// Room for the wheel turned by about 45°, and for its angle's label ahead.
		reach(w.centre, r3.Vec{X: 1.15*w.radius + 16, Y: 0.71*w.radius + 0.36*w.width + 4, Z: w.radius + 6})
	}
	balls, _ := held(s.model.Vehicle)
	for _, b := range balls {
		reach(s.ball(b)(f), r3.Vec{X: 16, Y: 8, Z: 8})
	}
	for _, b := range s.bars {
		cube(b.from(f), 6)
		cube(b.to(f), 6)
	}
	for i := range f.things {
		t := &f.things[i]
		by := r3.Vec{X: t.radius + 4, Y: t.radius + 4, Z: t.radius + 4}
		for _, side := range t.sides {
			by = r3.Add(by, r3.Vec{X: math.Abs(side.X), Y: math.Abs(side.Y), Z: math.Abs(side.Z)})
		}
		for _, p := range [2]r3.Vec{t.from, t.to} {
			// A body above the wheels would leave little room for what is below.
			p.Z = min(p.Z, 2*f.wheels[0].radius)
			reach(p, by)
		}
	}
	for i := range f.servos {
		o := &f.servos[i]
		cube(o.foot, r3.Norm(r3.Sub(o.ball, o.foot))+12)
		cube(o.far, 18)
		for _, c := range o.corners() {
			cube(c, 3)
		}
	}
	if a.Suspended {
		// The travel, and the tyres' edges in roll.
		low.Z, high.Z = low.Z-a.Droop-4, high.Z+a.Bump+4
	}
	half := max(-low.Y, high.Y)
	s.Boxes[Above] = Box{-half, -high.X, 2 * half, high.X - low.X}
	s.Boxes[Behind] = Box{-half, -high.Z, 2 * half, high.Z - low.Z}
	s.Boxes[SideOn] = Box{-high.X, -high.Z, high.X - low.X, high.Z - low.Z}
	l := math.Abs(f.base())
	s.Boxes[Turn] = Box{-2.2 * l, -max(a.Middle.X, a.Other) - 0.9*l, 4.4 * l, 2.6 * l}
}
