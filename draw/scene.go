package draw

import (
	"math"
	"slices"
	"strconv"

	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// Shape is one element of the drawing.
type Shape struct {
	View View
	// Tag is an SVG element: line, circle, ellipse, path or text.
	Tag string
	// Class holds CSS classes, Part is the part's name in words.
	Class, Part string
	// At is where its numbers begin.
	At int
	// Set makes its attributes, Text its content.
	Set  []Attribute
	Text []Fragment

	n    int
	fill func(s *Scene, dst []float64)
}

// Attribute is an attribute of a Shape.
type Attribute struct {
	Name      string
	Fragments []Fragment
}

// Box is what a view shows, in millimetres on the screen.
type Box struct{ U, V, Width, Height float64 }

// Limit is a limit of the lock that the servo has come to.
type Limit struct {
	// Number is the limit's in LimitWords; 0 is none.
	Number int
	// At is the place of the part that it is met at.
	At r3.Vec
}

// Scene is the drawing of an axle of a rig: shapes that stay while their numbers change. It holds
// memory for one goroutine.
type Scene struct {
	Shapes []Shape
	// Boxes are those of the views, by View.
	Boxes [numViews]Box
	// Length is how many numbers there are.
	Length int

	// model is what the scene was made of.
	model    *steer.Model
	links    []link
	bars     []link
	now, was frame
	ghost    bool
	limit    Limit
	tensions []float64
	guides   []ZeroSteerLine
}

// Shown is what a screen shows of a view: its box, with room above and below for letters, which
// keep their size however small the drawing is.
func (s *Scene) Shown(v View) Box {
	const above, below = 0.07, 0.021 // of the height
	b := s.Boxes[v]
	if v != Turn {
		b.V -= above * b.Height
		b.Height *= 1 + above + below
	}
	return b
}

// Views lists the views of every scene, in the order in which they are best laid out.
func Views() []View { return []View{Above, Behind, SideOn, Turn} }

// New makes the scene of a rig's axle. limitWords says of each Limit.Number what it is; the first
// is "".
func New(m *steer.Model, limitWords []string) *Scene {
	s := &Scene{model: m, now: newFrame(m, false), was: newFrame(m, true)}
	s.links, s.bars = s.steering(), s.suspensionBars()
	for _, v := range []View{Above, Behind, SideOn} {
		s.setting(v)
		s.ghosts(v)
		s.suspension(v)
		s.things(v)
		s.wheels(v)
		s.parts(v)
		s.forces(v)
		if v == Behind && m.Axle.Suspended {
			s.guidelines(v)
		}
		s.marks(v, limitWords)
	}
	s.turn()
	state := m.NewState()
	values := state.Values()
	s.now.take(Posed{m, state}, &values)
	s.frameBoxes()
	return s
}

// ShowForces says what the next fillings show of the rods' forces: the tension in N of each of
// vehicle.Vehicle.Steering, negative where it pushes; nil for nothing. The slice is read when
// filling.
func (s *Scene) ShowForces(tensions []float64) { s.tensions = tensions }

// Fits tells whether the scene can show the rig too: the same shapes, within the same boxes, and
// not much smaller than they are.
func (s *Scene) Fits(m *steer.Model) bool {
	other := New(m, nil)
	if !slices.EqualFunc(s.Shapes, other.Shapes, Shape.alike) {
		return false
	}
	for v, b := range s.Boxes {
		o := other.Boxes[v]
		inside := o.U >= b.U-1 && o.V >= b.V-1 && o.U+o.Width <= b.U+b.Width+1 && o.V+o.Height <= b.V+b.Height+1
		if !inside || o.Width < 0.85*b.Width && o.Height < 0.85*b.Height {
			return false
		}
	}
	return true
}

// alike tells whether two shapes are of the same part and have the same numbers.
func (sh Shape) alike(o Shape) bool {
	return sh.View == o.View && sh.Tag == o.Tag && sh.Class == o.Class && sh.Part == o.Part && sh.n == o.n
}

// Fill writes the numbers of a pose to dst, which has room for Length. values are those of the
// state (State.Values). ghost is a pose to be shown faintly behind, nil for none. It allocates
// nothing.
func (s *Scene) Fill(dst []float64, now Posed, values *steer.Values, ghost *Posed, limit Limit) {
	s.now.take(now, values)
	s.ghost = ghost != nil
	if s.ghost {
		s.was.take(*ghost, values)
	}
	s.limit = limit
	for i := range s.Shapes {
		sh := &s.Shapes[i]
		sh.fill(s, dst[sh.At:sh.At+sh.n])
	}
}

// Len returns how many numbers the shape has.
func (sh *Shape) Len() int { return sh.n }

func (s *Scene) add(v View, tag, class, part string, n int, set []Attribute, fill func(s *Scene, dst []float64)) *Shape {
	s.Shapes = append(s.Shapes, Shape{View: v, Tag: tag, Class: class, Part: part, At: s.Length, Set: set, n: n, fill: fill})
	s.Length += n
	return &s.Shapes[len(s.Shapes)-1]
}

func attribute(name string, fragments ...Fragment) Attribute { return Attribute{name, fragments} }

// numbers makes attributes of the numbers from the next one on.
func (s *Scene) numbers(names ...string) []Attribute {
	all := make([]Attribute, len(names))
	for i, name := range names {
		all[i] = attribute(name, number(s.Length+i))
	}
	return all
}

// line adds a straight line between two places.
func (s *Scene) line(v View, class, part string, ends func(s *Scene) (a, b r3.Vec)) {
	s.add(v, "line", class, part, 4, s.numbers("x1", "y1", "x2", "y2"), func(s *Scene, dst []float64) {
		a, b := ends(s)
		dst[0], dst[1] = v.Flat(a)
		dst[2], dst[3] = v.Flat(b)
	})
}

// dot adds a circle of a fixed radius at a place.
func (s *Scene) dot(v View, class, part string, radius float64, at func(s *Scene) r3.Vec) {
	set := append(s.numbers("cx", "cy"), attribute("r", text(strconv.FormatFloat(radius, 'f', -1, 64))))
	s.add(v, "circle", class, part, 2, set, func(s *Scene, dst []float64) { dst[0], dst[1] = v.Flat(at(s)) })
}

// path starts a path's text with the numbers from the next one on: a string of SVG path
// letters, in which # stands for a number.
func (s *Scene) path(commands string) []Fragment { return template(commands, s.Length) }

func template(commands string, next int) []Fragment {
	var all []Fragment
	from := 0
	for i := range len(commands) {
		if commands[i] == '#' {
			all = append(all, text(commands[from:i]), number(next))
			next, from = next+1, i+1
		}
	}
	return append(all, text(commands[from:]))
}

// ring adds a circle in space, which looks like an ellipse.
func (s *Scene) ring(v View, class, part string, of func(s *Scene) (centre, axis r3.Vec, radius float64)) {
	set := append(s.numbers("cx", "cy", "rx", "ry"),
		attribute("transform", template("rotate(# ", s.Length+4)[0:2]...))
	// The turn is about the centre, whose numbers are the first two.
	last := &set[4]
	last.Fragments = append(last.Fragments, text(" "), number(s.Length), text(" "), number(s.Length+1), text(")"))
	s.add(v, "ellipse", class, part, 5, set, func(s *Scene, dst []float64) {
		c, axis, radius := of(s)
		dst[0], dst[1] = v.Flat(c)
		au, av := v.Flat(axis)
		// The small half-axis lies along the projected axis.
		dst[2], dst[3] = radius*math.Abs(r3.Dot(axis, v.Sight())), radius
		dst[4] = math.Atan2(av, au) * 180 / math.Pi
	})
}

// tyre adds the outline of a cylinder: two half ellipses and the lines that touch them.
func (s *Scene) tyre(v View, class, part string, of func(s *Scene) *wheel) {
	at := s.Length
	// Points 0 to 3, then the half-axes and the turn of the ellipses.
	half := func(point int) []Fragment {
		return []Fragment{
			text("A"), number(at + 8), text(" "), number(at + 9), text(" "), number(at + 10), text(" 0 0 "),
			number(at + 2*point), text(" "), number(at + 2*point + 1),
		}
	}
	d := template("M# #", at)
	d = append(d, half(1)...)
	d = append(d, text("L"), number(at+4), text(" "), number(at+5))
	d = append(d, half(3)...)
	d = append(d, text("Z"))
	s.add(v, "path", class, part, 11, []Attribute{{"d", d}}, func(s *Scene, dst []float64) {
		w := of(s)
		cu, cv := v.Flat(w.centre)
		eu, ev := v.Flat(w.spindle)
		across := math.Hypot(eu, ev)
		half := w.width / 2 * across
		if across < 1e-9 {
			eu, ev = 1, 0
		} else {
			eu, ev = eu/across, ev/across
		}
		pu, pv := -ev*w.radius, eu*w.radius
		hu, hv := half*eu, half*ev
		dst[0], dst[1] = cu+hu+pu, cv+hv+pv
		dst[2], dst[3] = cu+hu-pu, cv+hv-pv
		dst[4], dst[5] = cu-hu-pu, cv-hv-pv
		dst[6], dst[7] = cu-hu+pu, cv-hv+pv
		dst[8], dst[9] = w.radius*math.Abs(r3.Dot(w.spindle, v.Sight())), w.radius
		dst[10] = math.Atan2(ev, eu) * 180 / math.Pi
	})
}

// label adds text at a place; its own numbers, n of them, follow the place and are filled by more.
func (s *Scene) label(v View, class, part string, n int, fragments []Fragment, fill func(s *Scene, dst []float64)) {
	sh := s.add(v, "text", class, part, 2+n, s.numbers("x", "y"), fill)
	sh.Text = fragments
}

func blank(dst []float64) {
	for i := range dst {
		dst[i] = math.NaN()
	}
}
