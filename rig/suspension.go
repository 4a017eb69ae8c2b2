package rig

import (
	"math"

	"evenlock/linkage"

	"gonum.org/v1/gonum/spatial/r3"
)

// SuspensionGeometry is what carries the steered wheels, in coordinates at ride height.
type SuspensionGeometry struct {
	// Solid is whether one axle carries both wheels.
	Solid       bool
	Bump, Droop float64
	// Links hold a solid axle; where there are none it goes by a stated motion: up and down, or
	// about a line across the vehicle through Pivot, and in roll about the unit direction RollAxis
	// through RollCentre.
	Links                []LinkGeometry
	Pivot                *r3.Vec
	RollCentre, RollAxis r3.Vec
	// Left and Right carry the knuckles of independent wheels.
	Left, Right ArmsGeometry
}

// LinkGeometry is one link of a solid axle.
type LinkGeometry struct {
	Name                   string
	Chassis, Axle          r3.Vec
	ChassisBolt, AxleBolt  r3.Vec
	Length, LargestEndLean float64
}

// ArmsGeometry carries one knuckle. Its balls are the ends of the kingpin.
type ArmsGeometry struct {
	// The axes of the arms run from their rear to their front hinges.
	LowerPoint, LowerAxis r3.Vec
	UpperPoint, UpperAxis r3.Vec
	LowerBall, UpperBall  r3.Vec
	// Strut is whether the upper ball is a strut's mount on the chassis, and there is no upper arm.
	Strut bool
}

// End is an end of a rod that a builder can move.
type End int

// The ends that Shift moves.
const (
	// HornEnd is the horn's ball; the servo goes with it.
	HornEnd End = iota
	// FarEnd is the drag link's far ball.
	FarEnd
	// LeftInner and RightInner are the balls on a centre crank, rack or plate for the rods to the
	// knuckles.
	LeftInner
	RightInner
	// LeftOuter and RightOuter are the balls of the tie rod, or of those rods, on the knuckles.
	LeftOuter
	RightOuter
)

// Shift moves an end of a rod, in millimetres.
type Shift struct {
	End End
	By  r3.Vec
}

// shift moves the ends, and returns by how much that on a tie rod is moved beside it.
func (g *Geometry) shift(all []Shift) (onRod r3.Vec) {
	for _, s := range all {
		move := func(places ...*r3.Vec) {
			for _, p := range places {
				*p = r3.Add(*p, s.By)
			}
		}
		switch {
		case s.End == HornEnd:
			move(&g.HornBall, &g.HornFoot)
		case s.End == FarEnd:
			move(&g.Pulled, &onRod)
		case s.End == LeftOuter:
			move(&g.Left.TieBall)
		case s.End == RightOuter:
			move(&g.Right.TieBall)
		case g.Crank == nil:
		case s.End == LeftInner:
			move(&g.Crank.LeftBall)
		case s.End == RightInner:
			move(&g.Crank.RightBall)
		}
	}
	return onRod
}

// suspension finds the places of what carries the wheels.
func (r *Rig) suspension(g *Geometry) (*SuspensionGeometry, error) {
	u := r.Suspension
	s := &SuspensionGeometry{Bump: u.Bump.Value, Droop: u.Droop.Value}
	switch u.Kind {
	case "links":
		s.Solid = true
		for _, l := range u.Links {
			one := LinkGeometry{
				Name: l.Name, Chassis: l.Chassis.vec(), Axle: l.Axle.vec(),
				ChassisBolt: l.ChassisBolt.or(r3.Vec{}), AxleBolt: l.AxleBolt.or(r3.Vec{}), LargestEndLean: l.EndAngle.Value,
			}
			one.Length = r3.Norm(r3.Sub(one.Chassis, one.Axle))
			s.Links = append(s.Links, one)
		}
	case "stated":
		s.Solid = true
		if u.Pivot.Given() {
			at := u.Pivot.vec()
			s.Pivot = &at
		}
		sin, cos := math.Sincos(u.RollLean.Value)
		s.RollCentre, s.RollAxis = u.RollCentre.vec(), r3.Vec{X: cos, Z: -sin}
	default:
		var err error
		if s.Left, err = arms("suspension.left", u.Left, &g.Left, u.Kind == "struts"); err != nil {
			return nil, err
		}
		if u.Right != nil {
			s.Right, err = arms("suspension.right", u.Right, &g.Right, u.Kind == "struts")
			return s, err
		}
		l := s.Left
		s.Right = ArmsGeometry{
			LowerPoint: acrossY(l.LowerPoint), LowerAxis: acrossY(l.LowerAxis),
			UpperPoint: acrossY(l.UpperPoint), UpperAxis: acrossY(l.UpperAxis),
			LowerBall: g.Right.KingpinPoint, UpperBall: g.Right.KingpinTop, Strut: l.Strut,
		}
	}
	return s, nil
}

// arms finds the arms of one side.
func arms(key string, a *Arms, side *SideGeometry, strut bool) (ArmsGeometry, error) {
	g := ArmsGeometry{LowerPoint: a.LowerRear.vec(), LowerBall: side.KingpinPoint, UpperBall: side.KingpinTop, Strut: strut}
	hinge := func(name string, rear, front Point, ball r3.Vec) (axis r3.Vec, err error) {
		axis = r3.Sub(front.vec(), rear.vec())
		if r3.Norm(axis) < 0.1 {
			return axis, impossible(key+"."+name+"_front", "measure two points well apart", "the arm's two hinges are in one place")
		}
		axis = r3.Unit(axis)
		if r3.Norm(r3.Cross(axis, r3.Sub(ball, rear.vec()))) < 1 {
			return axis, impossible(key+"."+name+"_front", "check the hinges and the kingpin's ends", "the arm's ball is on its own hinge line")
		}
		return axis, nil
	}
	var err error
	if g.LowerAxis, err = hinge("lower", a.LowerRear, a.LowerFront, g.LowerBall); err != nil || strut {
		return g, err
	}
	g.UpperPoint = a.UpperRear.vec()
	g.UpperAxis, err = hinge("upper", a.UpperRear, a.UpperFront, g.UpperBall)
	return g, err
}

// describeAxle adds the body that carries a solid axle's parts; it returns the two that are to be
// driven.
func (s *SuspensionGeometry) describeAxle(b *linkage.Builder, m *Mechanism) (first, second linkage.Body) {
	if len(s.Links) > 0 {
		f := b.Free("axle", r3.Vec{})
		m.Axle = f.Roll
		for _, l := range s.Links {
			k := LinkHandles{
				Chassis: b.Ball(l.Name+" link's chassis end", linkage.Ground, l.Chassis),
				Axle:    b.Ball(l.Name+" link's axle end", m.Axle, l.Axle),
			}
			if l.LargestEndLean > 0 {
				k.ChassisBolt = b.Arrow(l.Name+" link's chassis bolt", linkage.Ground, l.ChassisBolt)
				k.AxleBolt = b.Arrow(l.Name+" link's axle bolt", m.Axle, l.AxleBolt)
			}
			k.Rod = b.Rod(l.Name+" link", k.Chassis, k.Axle, l.Length)
			m.Links = append(m.Links, k)
		}
		return f.Z, f.Roll
	}
	var heave linkage.Body
	if s.Pivot != nil {
		heave = b.Turn("axle's swing", linkage.Ground, *s.Pivot, r3.Vec{Y: 1})
	} else {
		heave = b.Slide("axle's rise", linkage.Ground, up)
	}
	m.Axle = b.Turn("axle", heave, s.RollCentre, s.RollAxis)
	return heave, m.Axle
}

// holds reports links that do not hold the axle: two of them do the same work, or something is left
// loose.
func (s *SuspensionGeometry) holds() error {
	if len(s.Links) == 0 {
		return nil
	}
	b, m := linkage.NewBuilder(), &Mechanism{}
	first, second := s.describeAxle(b, m)
	m.suspend(b, first, second)
	_, err := b.Build()
	if err == nil {
		return nil
	}
	return &Error{
		Key: "suspension.link", Problem: "the four links leave the axle loose: seen along some line two of them do the same work",
		Remedy: "check the places of their ends; parallel links need a panhard rod, or two of them splayed", Cause: err,
	}
}

// describeKnuckle adds the arms of one side and the knuckle between them; it returns the knuckle.
func (a *ArmsGeometry) describeKnuckle(b *linkage.Builder, side string) (knuckle linkage.Body, h ArmHandles) {
	h.Lower = b.Turn(side+" lower arm", linkage.Ground, a.LowerPoint, a.LowerAxis)
	h.LowerBall = b.Ball(side+" lower ball", h.Lower, a.LowerBall)
	if a.Strut {
		h.UpperBall = b.Ball(side+" strut's top mount", linkage.Ground, a.UpperBall)
	} else {
		h.Upper = b.Turn(side+" upper arm", linkage.Ground, a.UpperPoint, a.UpperAxis)
		h.UpperBall = b.Ball(side+" upper ball", h.Upper, a.UpperBall)
		h.Upright = b.Rod(side+" upright", h.LowerBall, h.UpperBall, r3.Norm(r3.Sub(a.LowerBall, a.UpperBall)))
	}
	return b.TurnBetween(side+" knuckle", linkage.Ground, h.LowerBall, h.UpperBall), h
}

// EndName is the name of the ball in the lists.
func EndName(r *Rig, e End) string {
	outer := "outer ball"
	if r.TieRod != nil {
		outer = "tie-rod ball"
	}
	return [...]string{"horn's ball", "drag link's far ball", "left inner ball", "right inner ball", "left " + outer, "right " + outer}[e]
}
