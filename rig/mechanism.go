package rig

import (
	"errors"
	"fmt"

	"evenlock/linkage"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mechanism is the linkage of a Geometry with the handles of its parts; those of parts that the rig
// has not are zero.
type Mechanism struct {
	Linkage           *linkage.Linkage
	Horn, Left, Right linkage.Body
	// TieRod is zero where the drag link does not pull it. Crank is a centre crank or a rack.
	TieRod, Crank linkage.Body
	// TieRoll is the input that holds the tie rod's roll.
	TieRoll          int
	HornBall, Pulled linkage.Ball
	// HornFoot and PulledFoot are the points of Geometry, on the horn and on what is pulled.
	HornFoot, PulledFoot linkage.Ball
	LeftTie, RightTie    linkage.Ball
	// LeftCrank and RightCrank are the inner balls of the rods to the knuckles, on the centre
	// crank, the rack, the idler or the drag plate.
	LeftCrank, RightCrank     linkage.Ball
	LeftCentre, RightCentre   linkage.Ball
	LeftSpindle, RightSpindle linkage.Arrow
	HornStud, PulledStud      linkage.Arrow
	LeftTieStud, RightTieStud linkage.Arrow
	// LeftCrankStud and RightCrankStud are those of the inner balls: along the axis of what turns
	// them, upright on a rack.
	LeftCrankStud, RightCrankStud linkage.Arrow
	DragRod, TieRodRod            linkage.Rod
	LeftCrankRod, RightCrankRod   linkage.Rod

	Idler, Plate         linkage.Body
	CrankLink, IdlerLink linkage.Ball
	CentreLinkRod        linkage.Rod

	SecondHorn linkage.Body
	// SecondInput is the input that drives it.
	SecondInput               int
	SecondBall, SecondPulled  linkage.Ball
	SecondStud, SecondFarStud linkage.Arrow
	SecondRod                 linkage.Rod

	// Follow is, for each input of the linkage, by how much it turns with the servo: 1 for the
	// servo itself, 0 for the roll of a rod that is held and for the suspension.
	Follow []float64

	// Suspended is whether the suspension is part of the linkage. Rise are then the two inputs that
	// move it, and TravelLeft and TravelRight the balls whose heights say how far each wheel has
	// risen, whatever the steering does: a solid axle's ends in the middles of the wheels, or the
	// lower arms' balls.
	Suspended               bool
	Rise                    [2]int
	TravelLeft, TravelRight linkage.Ball
	// Axle is the solid axle, the ground where there is none or the suspension is left out;
	// AxleLine is the direction along it, to the left, and AxleAhead that forward from it.
	Axle                linkage.Body
	AxleLine, AxleAhead linkage.Arrow
	Links               []LinkHandles
	// LeftArms and RightArms carry independent wheels.
	LeftArms, RightArms ArmHandles
	// LeftJoint and RightJoint are the joints of the drive shafts at the kingpins, LeftShaft and
	// RightShaft their inner joints. Both are unset unless the Geometry has the latter.
	LeftJoint, RightJoint, LeftShaft, RightShaft linkage.Ball
	// Parts are those of Geometry.Parts.
	Parts []PartHandles
}

// LinkHandles are those of one link of a solid axle. The bolts are unset unless the link states an
// end angle.
type LinkHandles struct {
	Rod                   linkage.Rod
	Chassis, Axle         linkage.Ball
	ChassisBolt, AxleBolt linkage.Arrow
}

// ArmHandles are those of the arms of one independent wheel. A strut has no Upper and no Upright.
type ArmHandles struct {
	Lower, Upper         linkage.Body
	LowerBall, UpperBall linkage.Ball
	Upright              linkage.Rod
}

// follow drives a body with the servo.
func (m *Mechanism) follow(b *linkage.Builder, n linkage.Body, ratio float64) {
	b.Drive(n)
	m.Follow = append(m.Follow, ratio)
}

// hold drives a body, which then stays where it was described.
func (m *Mechanism) hold(b *linkage.Builder, n linkage.Body) { m.follow(b, n, 0) }

// suspend drives the two bodies that move the suspension.
func (m *Mechanism) suspend(b *linkage.Builder, first, second linkage.Body) {
	m.Suspended = true
	m.Rise = [2]int{len(m.Follow), len(m.Follow) + 1}
	m.hold(b, first)
	m.hold(b, second)
}

// mount returns the body that carries what is fixed to the axle or to the chassis.
func (m *Mechanism) mount(onAxle bool) linkage.Body {
	if onAxle {
		return m.Axle
	}
	return linkage.Ground
}

// describe writes the geometry down as a linkage.
func (g *Geometry) describe() (*linkage.Builder, *Mechanism) {
	b, m := linkage.NewBuilder(), &Mechanism{}
	g.describeCarried(b, m)
	m.HornBall = b.Ball("horn ball", m.Horn, g.HornBall)
	m.HornStud = b.Arrow("horn stud", m.Horn, g.HornStud)
	m.LeftTie = b.Ball("left tie-rod ball", m.Left, g.Left.TieBall)
	m.RightTie = b.Ball("right tie-rod ball", m.Right, g.Right.TieBall)
	m.LeftTieStud = b.Arrow("left tie-rod stud", m.Left, g.Left.TieStud)
	m.RightTieStud = b.Arrow("right tie-rod stud", m.Right, g.Right.TieStud)
	m.LeftCentre = b.Ball("left wheel centre", m.Left, g.Left.Centre)
	m.RightCentre = b.Ball("right wheel centre", m.Right, g.Right.Centre)
	m.LeftSpindle = b.Arrow("left spindle", m.Left, g.Left.Spindle)
	m.RightSpindle = b.Arrow("right spindle", m.Right, g.Right.Spindle)
	var pulled linkage.Body
	switch g.Target {
	case LeftKnuckle:
		pulled = m.Left
	case RightKnuckle:
		pulled = m.Right
	case TieRodBall:
		m.TieRod = b.TurnBetween("tie rod", m.Axle, m.LeftTie, m.RightTie)
		m.TieRoll = len(m.Follow)
		m.hold(b, m.TieRod)
		pulled = m.TieRod
	case CentreCrank, SlidingRack:
		g.describeMiddle(b, m)
		pulled = m.Crank
	}
	m.Pulled = b.Ball("drag link's far ball", pulled, g.Pulled)
	m.HornFoot = b.Ball("horn's foot", m.Horn, g.HornFoot)
	m.PulledFoot = b.Ball("foot of the arm pulled", pulled, g.PulledFoot)
	m.PulledStud = b.Arrow("drag link's far stud", pulled, g.PulledStud)
	m.DragRod = b.Rod("drag link", m.HornBall, m.Pulled, g.DragLength)
	switch {
	case g.Crank != nil:
		m.LeftCrankRod = b.Rod("rod to the left knuckle", m.LeftCrank, m.LeftTie, g.Crank.LeftLength)
		m.RightCrankRod = b.Rod("rod to the right knuckle", m.RightCrank, m.RightTie, g.Crank.RightLength)
	case g.Second != nil:
		g.describeSecond(b, m)
	default:
		m.TieRodRod = b.Rod("tie rod", m.LeftTie, m.RightTie, g.TieLength)
	}
	g.describeShafts(b, m)
	g.describeParts(b, m)
	return b, m
}

// describeCarried adds the horn and the knuckles, with the suspension that carries them if there is
// one.
func (g *Geometry) describeCarried(b *linkage.Builder, m *Mechanism) {
	horn := func() {
		m.Horn = b.Turn("horn", m.mount(g.ServoOnAxle), g.HornFoot, g.ServoAxis)
		m.follow(b, m.Horn, 1)
		b.Start(m.Horn, g.Centre)
	}
	knuckles := func() {
		m.Left = b.Turn("left knuckle", m.Axle, g.Left.KingpinPoint, g.Left.Kingpin)
		m.Right = b.Turn("right knuckle", m.Axle, g.Right.KingpinPoint, g.Right.Kingpin)
	}
	switch s := g.Suspension; {
	case s == nil:
		horn()
		knuckles()
	case s.Solid:
		first, second := s.describeAxle(b, m)
		horn()
		knuckles()
		m.suspend(b, first, second)
		m.TravelLeft = b.Ball("axle's left end", m.Axle, g.Left.Centre)
		m.TravelRight = b.Ball("axle's right end", m.Axle, g.Right.Centre)
		m.AxleLine = b.Arrow("axle's line", m.Axle, r3.Vec{Y: 1})
		m.AxleAhead = b.Arrow("forward from the axle", m.Axle, r3.Vec{X: 1})
	default:
		horn()
		m.Left, m.LeftArms = s.Left.describeKnuckle(b, "left")
		m.Right, m.RightArms = s.Right.describeKnuckle(b, "right")
		m.TravelLeft, m.TravelRight = m.LeftArms.LowerBall, m.RightArms.LowerBall
		m.suspend(b, m.LeftArms.Lower, m.RightArms.Lower)
	}
	b.Start(m.Left, g.LeftTurn)
	b.Start(m.Right, g.RightTurn)
}

// describeShafts adds the joints of drive shafts that do not lie along the axle. The joint at the
// kingpin is where the wheel's axis passes it.
func (g *Geometry) describeShafts(b *linkage.Builder, m *Mechanism) {
	one := func(side string, knuckle linkage.Body, s *SideGeometry, inner *r3.Vec) (joint, shaft linkage.Ball) {
		if inner == nil {
			return 0, 0
		}
		across := r3.Cross(s.Kingpin, s.Spindle)
		n := r3.Cross(s.Spindle, across)
		t := r3.Dot(r3.Sub(s.Centre, s.KingpinPoint), n) / r3.Dot(s.Kingpin, n)
		at := r3.Add(s.KingpinPoint, r3.Scale(t, s.Kingpin))
		return b.Ball(side+" axle joint", knuckle, at), b.Ball(side+" shaft's inner joint", m.Axle, *inner)
	}
	m.LeftJoint, m.LeftShaft = one("left", m.Left, &g.Left, g.LeftShaft)
	m.RightJoint, m.RightShaft = one("right", m.Right, &g.Right, g.RightShaft)
}

// Mechanism builds the linkage. Where the rods cannot close at neutral it fails with
// an *Error that wraps that of linkage.Builder.Build.
func (g *Geometry) Mechanism() (*Mechanism, error) {
	if g.Suspension != nil {
		if err := g.Suspension.holds(); err != nil {
			return nil, err
		}
	}
	b, m := g.describe()
	l, err := b.Build()
	if err != nil {
		return nil, g.cannotClose(m, err)
	}
	m.Linkage = l
	return m, nil
}

// cannotClose says in a builder's words why a linkage could not be built.
func (g *Geometry) cannotClose(m *Mechanism, cause error) error {
	var limit *linkage.LimitError
	if !errors.As(cause, &limit) {
		return &Error{Key: "drag_link", Problem: "the linkage is over-centre with the wheels straight: link and arm are in line", Remedy: "check the places of the link's balls", Cause: cause}
	}
	e := &Error{Key: "drag_link.length", Problem: "the drag link cannot close at neutral", Remedy: "measure its length, ball centre to ball centre, and the places of its balls again", Cause: cause}
	for _, r := range limit.Handles {
		switch {
		case r == m.DragRod:
		case r == m.SecondRod && g.Second != nil:
			e.Key, e.Problem = "second_servo.drag_link.length", "the second drag link cannot close at neutral"
		case r == m.CentreLinkRod && m.Idler != 0:
			e.Key, e.Problem = "centre_link.length", "the centre link cannot close at neutral"
		case g.Crank == nil:
			e.Key, e.Problem = "tie_rod.length", "the tie rod cannot close at neutral"
		default:
			e.Key, e.Problem = g.Crank.table(), "the rods to the knuckles cannot close at neutral"
		}
	}
	switch {
	case limit.Short > 0:
		e.Problem += fmt.Sprintf(": it is %.1f mm too short for where its balls are", limit.Short)
	case limit.Short < 0:
		e.Problem += fmt.Sprintf(": it is %.1f mm too long for where its balls are", -limit.Short)
	}
	return e
}
