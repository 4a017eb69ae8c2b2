package vehicle

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// sketch writes a description by hand. All are invented.
type sketch struct {
	*Vehicle
	axle *Axle
}

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func newSketch() *sketch {
	chassis := &Body{Part: Part{Name: "chassis"}}
	axle := &Axle{Part: Part{Name: "axle", Axle: 1}, Other: -300, Body: chassis}
	return &sketch{&Vehicle{Bodies: []*Body{chassis}, Axles: []*Axle{axle}}, axle}
}

func (s *sketch) part(name string) Part { return Part{Name: name, Axle: 1, Origin: Origin{Key: name}} }

func (s *sketch) body(name string, on *Body, moves Moves, point, axis r3.Vec) *Body {
	if axis != (r3.Vec{}) {
		axis = r3.Unit(axis)
	}
	b := &Body{Part: s.part(name), On: on, Moves: moves, Point: point, Axis: axis}
	s.Bodies = append(s.Bodies, b)
	return b
}

func (s *sketch) between(name string, from, to *Ball) *Body {
	b := s.body(name, s.Chassis(), Between, r3.Vec{}, r3.Vec{})
	b.Ends = [2]*Ball{from, to}
	return b
}

func (s *sketch) ball(name string, on *Body, at r3.Vec) *Ball {
	b := &Ball{Part: s.part(name), On: on, At: at}
	s.Balls = append(s.Balls, b)
	return b
}

func (s *sketch) rod(name string, from, to *Ball) *Rod {
	r := &Rod{Part: s.part(name), From: from, To: to, Length: r3.Norm(r3.Sub(from.At, to.At))}
	s.Rods = append(s.Rods, r)
	return r
}

func (s *sketch) servo(name string, on *Body, face, axis, ball r3.Vec, to *Ball, link string) *Servo {
	o := &Servo{Part: s.part(name), Horn: s.body(name+"'s horn", on, Turns, face, axis), Face: face, Ratio: 1}
	o.Horn.Drive = ByServo
	o.Ball = s.ball(name+"'s ball", o.Horn, ball)
	o.Link = s.rod(link, o.Ball, to)
	s.Servos = append(s.Servos, o)
	return o
}

// wheel adds a wheel with the ball of its knuckle's arm.
func (s *sketch) wheel(side Side, knuckle *Body, arm r3.Vec) *Wheel {
	out, name := side.Sign(), side.String()
	w := &Wheel{
		Part: s.part(name + " wheel"), Side: side, Knuckle: knuckle, Spindle: Spindle(0.01, 0.02, side), Radius: 55, Width: 40,
		Centre: s.ball(name+" wheel centre", knuckle, vec(0.5, out*105, 0)), Arm: s.ball(name+" arm", knuckle, arm),
	}
	s.Wheels = append(s.Wheels, w)
	return w
}

// knuckles adds both wheels with their knuckles, unlike on purpose, on a body.
func (s *sketch) knuckles(on *Body) (left, right *Wheel) {
	l := s.body("left knuckle", on, Turns, vec(0, 85, 0), vec(-0.1, -0.12, 1))
	r := s.body("right knuckle", on, Turns, vec(1, -86, 0), vec(-0.11, 0.1, 1))
	return s.wheel(Left, l, vec(-24, 79, 3)), s.wheel(Right, r, vec(-25, -80, 2))
}

// dragLink is a drag link to the far knuckle, with a tie rod.
func dragLink() *sketch {
	s := newSketch()
	l, r := s.knuckles(s.Chassis())
	s.servo("servo", s.Chassis(), vec(10, 40, 30), vec(1, 0.1, -0.05), vec(10, 42, 48), s.ball("drag arm", r.Knuckle, vec(24, -80, 20)), "drag link")
	s.rod("tie rod", l.Arm, r.Arm)
	return s
}

// centreCrank is a crank with a rod to each knuckle.
func centreCrank() *sketch {
	s := newSketch()
	l, r := s.knuckles(s.Chassis())
	crank := s.body("centre crank", s.Chassis(), Turns, vec(-40, 2, 5), vec(0.02, 0, 1))
	s.servo("servo", s.Chassis(), vec(-60, 40, 20), vec(0, 0.1, 1), vec(-80, 42, 20), s.ball("crank's ball", crank, vec(-62, 3, 10)), "drag link")
	s.rod("left rod", s.ball("left inner ball", crank, vec(-18, 8, 6)), l.Arm)
	s.rod("right rod", s.ball("right inner ball", crank, vec(-18, -7, 6)), r.Arm)
	return s
}

// rack is a rack with a rod to each knuckle.
func rack() *sketch {
	s := newSketch()
	l, r := s.knuckles(s.Chassis())
	slide := s.body("rack", s.Chassis(), Slides, r3.Vec{}, vec(0.01, 1, 0))
	s.servo("servo", s.Chassis(), vec(-60, 40, 20), vec(1, 0, 0.1), vec(-60, 42, 42), s.ball("rack's ball", slide, vec(-50, 0, 30)), "drag link")
	s.rod("left rod", s.ball("left inner ball", slide, vec(-20, 20, 6)), l.Arm)
	s.rod("right rod", s.ball("right inner ball", slide, vec(-20, -21, 6)), r.Arm)
	return s
}

// twoServos is a servo for each knuckle.
func twoServos() *sketch {
	s := newSketch()
	l, r := s.knuckles(s.Chassis())
	first := s.servo("servo", s.Chassis(), vec(-60, 30, 20), vec(0, 0.1, 1), vec(-42, 50, 20), l.Arm, "drag link")
	second := s.servo("second servo", s.Chassis(), vec(-60, -30, 20), vec(0, 0.1, 1), vec(-42, -50, 20), r.Arm, "second drag link")
	second.Leader, second.Ratio = first, 0.9
	return s
}

// fourLinks is an axle on four links, steered by a servo on the chassis.
func fourLinks() *sketch {
	s := newSketch()
	s.axle.Body = s.body("solid axle", nil, Free, vec(0, 0, 2), r3.Vec{})
	s.axle.Body.Drive, s.axle.Solid, s.axle.Suspended = ByTravel, true, true
	link := func(name string, chassis, axle r3.Vec) {
		r := s.rod(name+" link", s.ball(name+" link's chassis end", s.Chassis(), chassis), s.ball(name+" link's axle end", s.axle.Body, axle))
		r.Kind = SuspensionLink
	}
	link("lower left", vec(-120, 30, -5), vec(-5, 60, -10))
	link("lower right", vec(-120, -30, -5), vec(-5, -60, -10))
	link("upper left", vec(-110, 45, 30), vec(-5, 15, 25))
	link("upper right", vec(-110, -45, 30), vec(-5, -15, 25))
	l, r := s.knuckles(s.axle.Body)
	s.servo("servo", s.Chassis(), vec(30, 60, 60), vec(1, 0, 0.1), vec(30, 62, 35), s.ball("drag arm", r.Knuckle, vec(24, -80, 20)), "drag link")
	s.rod("tie rod", l.Arm, r.Arm)
	return s
}

// arm adds a suspension arm of a side.
func (s *sketch) arm(name string, hinge, axis, ball r3.Vec) (*Body, *Ball) {
	b := s.body(name+" arm", s.Chassis(), Turns, hinge, axis)
	return b, s.ball(name+" ball", b, ball)
}

// doubleArms are wheels between two arms, struts wheels on one and a strut; both steered by a rack.
func doubleArms() *sketch { return independent(false) }
func struts() *sketch     { return independent(true) }

func independent(strut bool) *sketch {
	s := newSketch()
	s.axle.Suspended = true
	slide := s.body("rack", s.Chassis(), Slides, r3.Vec{}, vec(0.01, 1, 0))
	for _, side := range Sides {
		out, name := side.Sign(), side.String()
		lower, lowerBall := s.arm(name+" lower", vec(0, out*30, 0), vec(1, out*0.05, 0), vec(2, out*80, -5))
		lower.Drive = ByTravel
		var top *Ball
		if strut {
			top = s.ball(name+" strut's top mount", s.Chassis(), vec(-8, out*60, 70))
		} else {
			_, top = s.arm(name+" upper", vec(0, out*35, 30), vec(1, out*-0.03, 0.06), vec(-3, out*75, 32))
			s.rod(name+" upright", lowerBall, top).Kind = Upright
		}
		w := s.wheel(side, s.between(name+" knuckle", lowerBall, top), vec(-22, out*74, 5))
		w.Risen = lowerBall
		s.rod(name+" rod", s.ball(name+" inner ball", slide, vec(-20, out*32, 6)), w.Arm)
	}
	s.servo("servo", s.Chassis(), vec(-60, 40, 20), vec(1, 0, 0.1), vec(-60, 42, 42), s.ball("rack's ball", slide, vec(-50, 0, 30)), "drag link")
	return s
}

// sketches are the descriptions by name.
var sketches = map[string]func() *sketch{
	"drag link": dragLink, "centre crank": centreCrank, "rack": rack, "two servos": twoServos,
	"four links": fourLinks, "double arms": doubleArms, "struts": struts,
}
