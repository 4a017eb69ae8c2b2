package rig

import (
	"math"

	"evenlock/linkage"

	"gonum.org/v1/gonum/spatial/r3"
)

// CrankGeometry is the centre crank or the rack of a Geometry.
type CrankGeometry struct {
	// Point is on the crank's axis, Axis along it. A rack Slides along Axis, and Point is its
	// ball's.
	Point, Axis             r3.Vec
	Slides                  bool
	OnAxle                  bool
	LeftBall, RightBall     r3.Vec
	LeftLength, RightLength float64
	// Idler is nil unless there is a second crank.
	Idler *IdlerGeometry
}

// table is the key of the rig file's table.
func (c *CrankGeometry) table() string {
	if c.Slides {
		return "rack"
	}
	return "crank"
}

// IdlerGeometry is the second crank of a Geometry with what joins it to the first.
type IdlerGeometry struct {
	Point, Axis r3.Vec
	// CrankBall and LinkBall are the ends of the centre link, Length its length.
	CrankBall, LinkBall r3.Vec
	Length              float64
	// Plate is whether the centre link carries both rods; else the idler takes the left one if
	// TakesLeft, the right one if not.
	Plate, TakesLeft bool
}

// SecondGeometry is a servo of its own for the other knuckle, as the first one's is in Geometry.
type SecondGeometry struct {
	HornFoot, Axis, HornBall, Pulled r3.Vec
	// Stud is that of Pulled; the horn's is along Axis.
	Stud            r3.Vec
	OnAxle          bool
	Length, Follows float64
}

// CentreRods returns the rods from a centre crank or a rack to the left and the right knuckle, with
// the key of the table that they are in; nil and "" if there is neither.
func (r *Rig) CentreRods() (left, right *Rod, table string) {
	switch {
	case r.Crank != nil:
		return &r.Crank.LeftRod, &r.Crank.RightRod, "crank"
	case r.Rack != nil:
		return &r.Rack.LeftRod, &r.Rack.RightRod, "rack"
	}
	return nil, nil, ""
}

// onAxle tells whether something is fixed to the axle: what it says itself, or else what the servo
// is fixed to.
func (r *Rig) onAxle(mount string) bool {
	if mount == "" {
		mount = r.Servo.Mount
	}
	return mount == "axle"
}

// middle finds the places of the centre crank or the rack, which the drag link pulls.
func (r *Rig) middle(g *Geometry) {
	g.PulledStud = up
	if k := r.Rack; k != nil {
		g.Pulled = k.DragBall.vec()
		g.Crank = &CrankGeometry{
			Point: g.Pulled, Axis: k.Slides.or(r3.Vec{Y: 1}), Slides: true, OnAxle: r.onAxle(k.Mount),
			LeftBall: k.LeftBall.vec(), RightBall: k.RightBall.vec(),
		}
		return
	}
	c := r.Crank
	g.Pulled = c.DragBall.vec()
	g.Crank = &CrankGeometry{
		Point: c.Point.vec(), Axis: c.Axis.or(up), OnAxle: r.onAxle(c.Mount),
		LeftBall: c.LeftBall.vec(), RightBall: c.RightBall.vec(),
	}
	if i := r.Idler; i != nil {
		g.Crank.Idler = &IdlerGeometry{
			Point: i.Point.vec(), Axis: i.Axis.or(up), CrankBall: c.LinkBall.vec(), LinkBall: i.LinkBall.vec(),
			Plate: r.CentreLink.Plate, TakesLeft: i.Side == "left",
		}
	}
}

// besideRack returns a point beside a rack's ball, level with it and square to the rack, so that a
// link in line with the rack, seen from above, stands square to the line from there as one does to
// a crank's arm.
func besideRack(ball, along r3.Vec) r3.Vec {
	off := r3.Cross(along, up)
	if r3.Norm(off) < 0.1 {
		off = r3.Vec{X: 1}
	}
	const arm = 10
	return r3.Add(ball, r3.Scale(arm/r3.Norm(off), off))
}

// second finds the places of a servo of its own for the other knuckle.
func (r *Rig) second(g *Geometry) error {
	n := r.SecondServo
	if n == nil {
		return nil
	}
	side, arm, key, out := &g.Right, r.Left.DragArm, "right.drag_arm", -1.0
	if r.Right != nil && r.Right.DragArm != nil {
		arm = r.Right.DragArm
	}
	if g.Target == RightKnuckle {
		side, arm, key, out = &g.Left, r.Left.DragArm, "left.drag_arm", 1.0
	}
	ball, err := r.arm(side, key, arm, out)
	if err != nil {
		return err
	}
	if g.Target == LeftKnuckle && (r.Right == nil || r.Right.DragArm == nil) && arm.Ball.Given() {
		ball = acrossY(g.Pulled)
	}
	s := SecondGeometry{Axis: n.Axis.or(up), HornBall: n.Ball.vec(), Pulled: ball, Stud: arm.Stud.or(up), OnAxle: r.onAxle(n.Mount), Follows: n.Follows}
	s.HornFoot = foot(s.HornBall, n.Point.vec(), s.Axis)
	if r3.Norm(r3.Sub(s.HornBall, s.HornFoot)) < 0.1 {
		return impossible("second_servo.ball", "check the ball and second_servo.point", "the horn's ball is on the servo's axis")
	}
	if math.Abs(s.Follows) < 0.01 {
		return impossible("second_servo.follows", "write 1 for the same way, -1 for the other", "the second servo would hardly turn")
	}
	g.Second = &s
	return nil
}

// AxleJoints returns the joints of both sides; a right one left out is as the left one. nil where
// there is none.
func (r *Rig) AxleJoints() (left, right *AxleJoint) {
	left, right = r.Left.AxleJoint, r.Left.AxleJoint
	if r.Right != nil && r.Right.AxleJoint != nil {
		right = r.Right.AxleJoint
	}
	return left, right
}

// shafts returns the inner joints of the drive shafts, nil where they are not given.
func (r *Rig) shafts() (left, right *r3.Vec) {
	inner := func(j *AxleJoint) *r3.Vec {
		if j == nil || !j.Inner.Given() {
			return nil
		}
		v := j.Inner.vec()
		return &v
	}
	left = inner(r.Left.AxleJoint)
	if r.Right != nil && r.Right.AxleJoint != nil {
		return left, inner(r.Right.AxleJoint)
	}
	if left != nil {
		v := acrossY(*left)
		right = &v
	}
	return left, right
}

// describeMiddle adds the centre crank or the rack, with the idler and what joins the two, and
// their balls for the rods to the knuckles.
func (g *Geometry) describeMiddle(b *linkage.Builder, m *Mechanism) {
	c := g.Crank
	on := m.mount(c.OnAxle)
	if c.Slides {
		m.Crank = b.Slide("rack", on, c.Axis)
	} else {
		m.Crank = b.Turn("centre crank", on, c.Point, c.Axis)
	}
	left, right := m.Crank, m.Crank
	if i := c.Idler; i != nil {
		m.Idler = b.Turn("idler", on, i.Point, i.Axis)
		m.CrankLink = b.Ball("crank's ball for the centre link", m.Crank, i.CrankBall)
		m.IdlerLink = b.Ball("idler's ball for the centre link", m.Idler, i.LinkBall)
		m.CentreLinkRod = b.Rod("centre link", m.CrankLink, m.IdlerLink, i.Length)
		switch {
		case i.Plate:
			m.Plate = b.TurnBetween("drag plate", on, m.CrankLink, m.IdlerLink)
			m.hold(b, m.Plate)
			left, right = m.Plate, m.Plate
		case i.TakesLeft:
			left = m.Idler
		default:
			right = m.Idler
		}
	}
	m.LeftCrank = b.Ball("left inner ball", left, c.LeftBall)
	m.RightCrank = b.Ball("right inner ball", right, c.RightBall)
	stud := func(name string, on linkage.Body) linkage.Arrow {
		dir := c.Axis
		switch {
		case c.Slides:
			dir = up
		case on == m.Idler && c.Idler != nil:
			dir = c.Idler.Axis
		}
		return b.Arrow(name, on, dir)
	}
	m.LeftCrankStud = stud("left inner stud", left)
	m.RightCrankStud = stud("right inner stud", right)
}

// describeSecond adds a servo of its own for the other knuckle.
func (g *Geometry) describeSecond(b *linkage.Builder, m *Mechanism) {
	n := g.Second
	m.SecondHorn = b.Turn("second horn", m.mount(n.OnAxle), n.HornFoot, n.Axis)
	m.SecondInput = len(m.Follow)
	m.follow(b, m.SecondHorn, n.Follows)
	b.Start(m.SecondHorn, n.Follows*g.Centre)
	m.SecondBall = b.Ball("second horn's ball", m.SecondHorn, n.HornBall)
	other := m.Right
	if g.Target == RightKnuckle {
		other = m.Left
	}
	m.SecondPulled = b.Ball("second drag link's far ball", other, n.Pulled)
	m.SecondStud = b.Arrow("second horn's stud", m.SecondHorn, n.Axis)
	m.SecondFarStud = b.Arrow("second drag link's far stud", other, n.Stud)
	m.SecondRod = b.Rod("second drag link", m.SecondBall, m.SecondPulled, n.Length)
}
