package rig

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Geometry is a rig in coordinates: every place in the vehicle frame (X forward, Y
// left, Z up from the middle of the steered axle, in millimetres) with the wheels
// straight ahead and the servo at its neutral pulse. Measured angles and arm lengths have
// become places, the right side mirrored where it was left out, unmeasured rods as
// long as these places make them.
type Geometry struct {
	Left, Right SideGeometry
	// HornFoot is the point of the servo's axis in the plane of the horn's ball, ServoAxis
	// the unit direction that the horn's face looks in.
	HornFoot, ServoAxis, HornBall, HornStud r3.Vec
	// ServoOnAxle is whether the servo goes with a solid axle.
	ServoOnAxle bool
	// Pulled is the ball at the drag link's far end, PulledStud its stud.
	Pulled, PulledStud r3.Vec
	Target             Target
	DragLength         float64
	// Centre is the servo angle, from neutral, at which the linkage is described; LeftTurn and
	// RightTurn are the knuckles' turns from straight ahead as measured that it is to have there.
	Centre, LeftTurn, RightTurn float64
	// PulledThere is Pulled in that pose.
	PulledThere r3.Vec
	// PulledFoot is the point of the axis of what the drag link pulls that is nearest its ball; on
	// a tie rod, the rod's left ball.
	PulledFoot r3.Vec
	// TieLength is the tie rod's; zero where a centre crank, a rack or a second servo takes its
	// place.
	TieLength float64
	// Crank is the centre crank or the rack, if there is one.
	Crank     *CrankGeometry
	Second    *SecondGeometry
	Wheelbase float64
	// Suspension is nil unless the adjustment asked for a rig that rides on it.
	Suspension *SuspensionGeometry
	// Parts are things that the steering must clear.
	Parts []PartGeometry
	// LeftShaft and RightShaft are the drive shafts' inner joints, nil where the shaft lies along
	// the axle.
	LeftShaft, RightShaft *r3.Vec
}

// SideGeometry is one side of a Geometry.
type SideGeometry struct {
	// KingpinPoint is on the kingpin axis, Kingpin its unit direction, up. KingpinTop is the upper
	// of the two points that the axis was given by, if it was.
	KingpinPoint, Kingpin, KingpinTop r3.Vec
	// Centre is the wheel's, Spindle the unit vector along its axis, outward.
	Centre, Spindle       r3.Vec
	TieBall, TieStud      r3.Vec
	TyreRadius, TyreWidth float64
}

// Target is what a drag link pulls.
type Target int

// The parts that a drag link can pull.
const (
	LeftKnuckle Target = iota
	RightKnuckle
	TieRodBall
	CentreCrank
	SlidingRack
)

var targets = map[string]Target{"left": LeftKnuckle, "right": RightKnuckle, "tie_rod": TieRodBall, "crank": CentreCrank, "rack": SlidingRack}

var up = r3.Vec{Z: 1}

// PointAt returns a place, in millimetres, as the file states one, without uncertainty.
func PointAt(v r3.Vec) Point {
	given := func(x float64) Length { return Length{Quantity{Value: x, Given: true}} }
	return Point{given(v.X), given(v.Y), given(v.Z)}
}

// WithHole returns the rig, whose Geometry g is, without uncertainties and with its horn's ball at
// another radius in millimetres, the same way from the shaft. The drag link is as long as that
// makes it.
func (r *Rig) WithHole(g *Geometry, hole float64) *Rig {
	twin := r.Exact()
	arm := r3.Sub(g.HornBall, g.HornFoot)
	at := r3.Add(g.HornFoot, r3.Scale(hole/r3.Norm(arm), arm))
	twin.Horn = Horn{Ball: PointAt(at), Stud: r.Horn.Stud, Arms: r.Horn.Arms}
	twin.DragLink.Length = Length{}
	return twin
}

func (p Point) vec() r3.Vec { return r3.Vec{X: p[0].Value, Y: p[1].Value, Z: p[2].Value} }

// or returns the direction as a vector, or another where it was left out.
func (d Direction) or(other r3.Vec) r3.Vec {
	if !d.Given() {
		return other
	}
	return r3.Unit(r3.Vec{X: d[0], Y: d[1], Z: d[2]})
}

func acrossY(v r3.Vec) r3.Vec { return r3.Vec{X: v.X, Y: -v.Y, Z: v.Z} }

// Adjustment is what a set-up changes of a rig, beside the transmitter.
type Adjustment struct {
	// HornTurn is the turn in radians of the horn on its spline, from where it was
	// measured, counter-clockwise positive when one looks at its face.
	HornTurn float64
	// Straighten makes the rods as long as it takes to have both wheels straight ahead with the
	// servo at the angle Centre from neutral, in radians, in place of their lengths now.
	Straighten bool
	Centre     float64
	// Toe is the toe-in in radians that both wheels then have; nil leaves each as it was measured.
	Toe *float64
	// Suspended takes the suspension in as bodies and rods. Without it the steering stands as at
	// ride height.
	Suspended bool
	// Shifts move ends of rods; Straighten then has the rods as long as that makes them.
	Shifts []Shift
}

// Geometry works out the rig in coordinates. The errors are *Error, naming the key
// of a measurement that cannot be.
func (r *Rig) Geometry() (*Geometry, error) { return r.Adjusted(Adjustment{}) }

// Adjusted is Geometry for a rig with an adjustment made to it.
func (r *Rig) Adjusted(a Adjustment) (*Geometry, error) {
	g, err := r.places()
	if err != nil {
		return nil, err
	}
	if a.Suspended && r.Suspension != nil {
		if g.Suspension, err = r.suspension(g); err != nil {
			return nil, err
		}
	}
	onRod := g.shift(a.Shifts)
	g.HornBall = turned(g.HornBall, g.HornFoot, g.ServoAxis, a.HornTurn)
	g.HornStud = turned(g.HornStud, r3.Vec{}, g.ServoAxis, a.HornTurn)
	horn, pulled := g.HornBall, g.Pulled
	leftBall, rightBall := g.Left.TieBall, g.Right.TieBall
	if a.Straighten {
		g.Centre = a.Centre
		if a.Toe != nil {
			if g.LeftTurn, err = g.Left.turnForToe("left", *a.Toe, 1); err != nil {
				return nil, err
			}
			if g.RightTurn, err = g.Right.turnForToe("right", *a.Toe, -1); err != nil {
				return nil, err
			}
		}
		horn = turned(horn, g.HornFoot, g.ServoAxis, a.Centre)
		leftBall = turned(leftBall, g.Left.KingpinPoint, g.Left.Kingpin, g.LeftTurn)
		rightBall = turned(rightBall, g.Right.KingpinPoint, g.Right.Kingpin, g.RightTurn)
		switch g.Target {
		case LeftKnuckle:
			pulled = turned(pulled, g.Left.KingpinPoint, g.Left.Kingpin, g.LeftTurn)
		case RightKnuckle:
			pulled = turned(pulled, g.Right.KingpinPoint, g.Right.Kingpin, g.RightTurn)
		case TieRodBall:
			pulled = r3.Add(r.onTieRod(leftBall, rightBall), onRod)
		case CentreCrank, SlidingRack:
		}
	}
	g.PulledThere = pulled
	switch g.Target {
	case LeftKnuckle:
		g.PulledFoot = foot(g.Pulled, g.Left.KingpinPoint, g.Left.Kingpin)
	case RightKnuckle:
		g.PulledFoot = foot(g.Pulled, g.Right.KingpinPoint, g.Right.Kingpin)
	case TieRodBall:
		g.PulledFoot = g.Left.TieBall
	case CentreCrank:
		g.PulledFoot = foot(g.Pulled, g.Crank.Point, g.Crank.Axis)
	case SlidingRack:
		g.PulledFoot = besideRack(g.Pulled, g.Crank.Axis)
	}
	length := func(measured Length, a, b r3.Vec, straighten bool) float64 {
		if measured.Given && !straighten {
			return measured.Value
		}
		return r3.Norm(r3.Sub(a, b))
	}
	g.DragLength = length(r.DragLink.Length, horn, pulled, a.Straighten)
	if g.DragLength < 0.1 {
		return nil, impossible("drag_link", "check the places of its two balls", "the drag link would have no length")
	}
	switch {
	case g.Crank != nil:
		c := g.Crank
		left, right, _ := r.CentreRods()
		c.LeftLength = length(left.Length, c.LeftBall, leftBall, a.Straighten)
		c.RightLength = length(right.Length, c.RightBall, rightBall, a.Straighten)
		if i := c.Idler; i != nil {
			i.Length = length(r.CentreLink.Length, i.CrankBall, i.LinkBall, a.Straighten)
		}
		return g, nil
	case g.Second != nil:
		n := g.Second
		other, k, turn := n.Pulled, &g.Right, g.RightTurn
		if g.Target == RightKnuckle {
			k, turn = &g.Left, g.LeftTurn
		}
		other = turned(other, k.KingpinPoint, k.Kingpin, turn)
		n.Length = length(r.SecondServo.DragLink.Length, turned(n.HornBall, n.HornFoot, n.Axis, n.Follows*g.Centre), other, a.Straighten)
		return g, nil
	}
	g.TieLength = length(r.TieRod.Length, leftBall, rightBall, a.Straighten)
	return g, nil
}

// foot returns the point of an axis nearest another point.
func foot(of, point, u r3.Vec) r3.Vec {
	return r3.Add(point, r3.Scale(r3.Dot(r3.Sub(of, point), u), u))
}

// turned turns a point about the axis through another along u.
func turned(x, point, u r3.Vec, angle float64) r3.Vec {
	if angle == 0 {
		return x
	}
	return r3.Add(point, r3.NewRotation(angle, u).Rotate(r3.Sub(x, point)))
}

// turnForToe returns the knuckle's turn at which its wheel has the given toe-in: its spindle a,
// turned by θ, is then square to the heading h, which is a·h = A cos θ + B sin θ + C = 0.
func (g *SideGeometry) turnForToe(name string, toe, out float64) (float64, error) {
	s, c := math.Sincos(-out * toe)
	h := r3.Vec{X: c, Y: s}
	along := r3.Scale(r3.Dot(g.Spindle, g.Kingpin), g.Kingpin)
	a := r3.Dot(h, r3.Sub(g.Spindle, along))
	b := r3.Dot(h, r3.Cross(g.Kingpin, g.Spindle))
	k := -r3.Dot(h, along) / math.Hypot(a, b)
	if !(math.Abs(k) <= 1) {
		return 0, impossible(name+".kingpin", "check caster and inclination, and want.toe", "the wheel cannot be given the toe wanted")
	}
	at, off := math.Atan2(b, a), math.Acos(k)
	return nearestZero(at-off, at+off), nil
}

// nearestZero returns the lesser of two angles, each brought within half a turn of zero.
func nearestZero(a, b float64) float64 {
	a, b = math.Remainder(a, 2*math.Pi), math.Remainder(b, 2*math.Pi)
	if math.Abs(b) < math.Abs(a) {
		return b
	}
	return a
}

// places works out every place, with rods that are not measured yet without length.
func (r *Rig) places() (*Geometry, error) {
	g := &Geometry{Target: targets[r.DragLink.To], ServoOnAxle: r.onAxle(""), Wheelbase: r.Vehicle.Wheelbase.Value}
	var err error
	if g.Left, err = r.side("left", r.Left, 1); err != nil {
		return nil, err
	}
	if g.Right, err = r.rightSide(g.Left); err != nil {
		return nil, err
	}
	g.ServoAxis = r.Servo.Axis.or(up)
	g.HornFoot = r3.Add(r.Servo.Point.vec(), r3.Scale(r.Horn.Reach.Value, g.ServoAxis))
	if err := r.pulled(g); err != nil {
		return nil, err
	}
	if err := r.second(g); err != nil {
		return nil, err
	}
	g.LeftShaft, g.RightShaft = r.shafts()
	g.Parts = r.parts()
	if g.HornBall, err = r.hornBall(g); err != nil {
		return nil, err
	}
	// A ball given by its place says itself how far along the axis the horn's plane is.
	g.HornFoot = foot(g.HornBall, g.HornFoot, g.ServoAxis)
	if r3.Norm(r3.Sub(g.HornBall, g.HornFoot)) < 0.1 {
		return nil, impossible("horn.ball", "check the ball and servo.point", "the horn's ball is on the servo's axis")
	}
	g.HornStud = r.Horn.Stud.or(g.ServoAxis)
	return g, nil
}

// side works out one side; out is 1 for the left and -1 for the right, the sign of
// Y away from the middle.
func (r *Rig) side(name string, s Side, out float64) (SideGeometry, error) {
	var g SideGeometry
	if err := r.kingpin(&g, name+".kingpin", s.Kingpin, out); err != nil {
		return g, err
	}
	r.wheel(&g, s.Wheel, out)
	ball, err := r.arm(&g, name+".tie_arm", s.TieArm, out)
	g.TieBall, g.TieStud = ball, s.TieArm.Stud.or(up)
	return g, err
}

// rightSide mirrors the left but for the tables that the file gives.
func (r *Rig) rightSide(l SideGeometry) (SideGeometry, error) {
	g := SideGeometry{
		KingpinPoint: acrossY(l.KingpinPoint), Kingpin: acrossY(l.Kingpin), KingpinTop: acrossY(l.KingpinTop),
		Centre: acrossY(l.Centre), Spindle: acrossY(l.Spindle),
		TieBall: acrossY(l.TieBall), TieStud: acrossY(l.TieStud),
		TyreRadius: l.TyreRadius, TyreWidth: l.TyreWidth,
	}
	if r.Right == nil {
		return g, nil
	}
	if k := r.Right.Kingpin; k != nil {
		if err := r.kingpin(&g, "right.kingpin", k, -1); err != nil {
			return g, err
		}
	}
	if w := r.Right.Wheel; w != nil {
		r.wheel(&g, w, -1)
	}
	switch a := r.Right.TieArm; {
	case a != nil:
		ball, err := r.arm(&g, "right.tie_arm", a, -1)
		g.TieBall, g.TieStud = ball, a.Stud.or(up)
		return g, err
	case r.Right.Kingpin != nil && !r.Left.TieArm.Ball.Given():
		// An arm measured from its kingpin mirrors as an arm, about the right kingpin.
		ball, err := r.arm(&g, "left.tie_arm", r.Left.TieArm, -1)
		g.TieBall = ball
		return g, err
	}
	return g, nil
}

// kingpin finds the axis, by two points or by caster τ and inclination σ: with
// both measured in the planes they are named by (ISO 8855), it runs along
// (-tan τ, ∓tan σ, 1), left and right.
func (r *Rig) kingpin(g *SideGeometry, key string, k *Kingpin, out float64) error {
	if k.Top.Given() {
		g.KingpinPoint, g.KingpinTop = k.Bottom.vec(), k.Top.vec()
		axis := r3.Sub(g.KingpinTop, g.KingpinPoint)
		if r3.Norm(axis) < 0.1 {
			return impossible(key+".top", "measure two points well apart", "the two points on the kingpin are one")
		}
		g.Kingpin = r3.Unit(axis)
	} else {
		g.KingpinPoint = k.Point.vec()
		g.Kingpin = r3.Unit(r3.Vec{X: -math.Tan(k.Caster.Value), Y: -out * math.Tan(k.Inclination.Value), Z: 1})
	}
	if g.Kingpin.Z < 0.3 {
		return impossible(key, "check the points or angles", "the kingpin lies nearly flat, %.0f° from upright", math.Acos(g.Kingpin.Z)*180/math.Pi)
	}
	return nil
}

// wheel finds centre and spindle from toe and camber.
func (r *Rig) wheel(g *SideGeometry, w *Wheel, out float64) {
	if w.Centre.Given() {
		g.Centre = w.Centre.vec()
	} else {
		g.Centre = r3.Vec{Y: out * r.Vehicle.Track.Value / 2}
	}
	g.Spindle = Spindle(w.Toe.Value, w.Camber.Value, out)
	g.TyreRadius, g.TyreWidth = w.TyreRadius.Value, w.TyreWidth.Value
}

// Spindle returns the outward unit vector of a wheel's axis from toe-in and camber
// in radians; out is 1 on the left and -1 on the right.
func Spindle(toe, camber, out float64) r3.Vec {
	return r3.Vec{
		X: math.Sin(toe) * math.Cos(camber),
		Y: out * math.Cos(toe) * math.Cos(camber),
		Z: -math.Sin(camber),
	}
}

// Contact returns the lowest point of a wheel, where it stands on level ground, from its centre,
// the unit vector along its axis and its radius.
func Contact(centre, spindle r3.Vec, radius float64) r3.Vec {
	down := r3.Sub(r3.Scale(spindle.Z, spindle), up)
	return r3.Add(centre, r3.Scale(radius/r3.Norm(down), down))
}

// arm finds a knuckle's ball: its place, or where an arm of the measured length
// and direction ends, from the point where the kingpin passes the ball's height.
func (r *Rig) arm(g *SideGeometry, key string, a *Arm, out float64) (r3.Vec, error) {
	ball := a.Ball.vec()
	if !a.Ball.Given() {
		s, c := math.Sincos(a.Inward.Value)
		var d r3.Vec
		switch a.Points {
		case "forward":
			d = r3.Vec{X: c, Y: -out * s}
		case "back":
			d = r3.Vec{X: -c, Y: -out * s}
		case "inward":
			d = r3.Vec{X: s, Y: -out * c}
		default:
			d = r3.Vec{X: s, Y: out * c}
		}
		foot := r3.Add(g.KingpinPoint, r3.Scale((a.Height.Value-g.KingpinPoint.Z)/g.Kingpin.Z, g.Kingpin))
		ball = r3.Add(foot, r3.Scale(a.Length.Value, d))
	}
	rel := r3.Sub(ball, g.KingpinPoint)
	if r3.Norm(r3.Cross(g.Kingpin, rel)) < 0.1 {
		return ball, impossible(key, "check its place and the kingpin's", "the ball is on the kingpin axis, so that nothing can turn the knuckle by it")
	}
	return ball, nil
}

// pulled finds the ball at the drag link's far end and, with a centre crank, the crank.
func (r *Rig) pulled(g *Geometry) error {
	onKnuckle := func(key string, s *SideGeometry, a *Arm, out float64) (err error) {
		g.Pulled, err = r.arm(s, key, a, out)
		g.PulledStud = a.Stud.or(up)
		return err
	}
	switch g.Target {
	case LeftKnuckle:
		return onKnuckle("left.drag_arm", &g.Left, r.Left.DragArm, 1)
	case RightKnuckle:
		return onKnuckle("right.drag_arm", &g.Right, r.Right.DragArm, -1)
	case TieRodBall:
		line := r3.Sub(g.Right.TieBall, g.Left.TieBall)
		if r.TieRod.Along.Value > r3.Norm(line) {
			return impossible("tie_rod.along", "measure it from the left ball", "the ball is beyond the right end of the tie rod, which is %.1f mm long", r3.Norm(line))
		}
		g.Pulled = r.onTieRod(g.Left.TieBall, g.Right.TieBall)
		g.PulledStud = r.TieRod.Stud.or(up)
		return nil
	default:
		r.middle(g)
		return nil
	}
}

// onTieRod returns the place of the drag link's ball on a tie rod between two balls.
func (r *Rig) onTieRod(left, right r3.Vec) r3.Vec {
	along := r3.Scale(r.TieRod.Along.Value, r3.Unit(r3.Sub(right, left)))
	return r3.Add(left, r3.Add(along, r.TieRod.Offset.vec()))
}

// SquareTurn returns the turn of the horn, from where it is at Centre, that makes it square to
// the drag link, the wheels held as they are described; of two, the nearer. It is
// false if no turn does.
func (g *Geometry) SquareTurn() (turn float64, ok bool) {
	horn := r3.Sub(turned(g.HornBall, g.HornFoot, g.ServoAxis, g.Centre), g.HornFoot)
	hole := r3.Norm(horn)
	e1 := r3.Scale(1/hole, horn)
	to := r3.Sub(g.PulledThere, g.HornFoot)
	return turnForLinkAngle(hole, r3.Dot(to, e1), r3.Dot(to, r3.Cross(g.ServoAxis, e1)), r3.Norm(to), math.Pi/2)
}

// hornBall finds the horn's ball at neutral: by its place; by the way it points and
// its lean; or so that the measured angle lies between horn and link.
func (r *Rig) hornBall(g *Geometry) (r3.Vec, error) {
	h := &r.Horn
	if h.Ball.Given() {
		return h.Ball.vec(), nil
	}
	about := h.Points.or(up)
	flat := r3.Sub(about, r3.Scale(r3.Dot(about, g.ServoAxis), g.ServoAxis))
	if r3.Norm(flat) < 0.2 {
		return r3.Vec{}, impossible("horn.points", "give a direction across servo.axis", "the horn cannot point along the servo's axis")
	}
	e1 := r3.Unit(flat)
	e2 := r3.Cross(g.ServoAxis, e1)
	place := func(turn float64) r3.Vec {
		s, c := math.Sincos(turn)
		return r3.Add(g.HornFoot, r3.Scale(h.Hole.Value, r3.Add(r3.Scale(c, e1), r3.Scale(s, e2))))
	}
	if !h.LinkAngle.Given {
		return place(h.Lean.Value), nil
	}
	to := r3.Sub(g.Pulled, g.HornFoot)
	turn, ok := turnForLinkAngle(h.Hole.Value, r3.Dot(to, e1), r3.Dot(to, e2), r3.Norm(to), h.LinkAngle.Value)
	if !ok {
		return r3.Vec{}, impossible("horn.link_angle", "check the angle, the hole and the place of the link's far ball",
			"no place of a %.1f mm horn has the link at %.1f°", h.Hole.Value, h.LinkAngle.Value*180/math.Pi)
	}
	return place(turn), nil
}

// turnForLinkAngle returns the horn's turn from e1, the nearer of two, at which the
// angle at the horn's ball, between the horn and the link to a ball, is angle. The far
// ball is at x, y along e1, e2 from the horn's foot, dist away in space.
//
// With w the far ball's distance along the horn, cos α = (ρ - w)/√(ρ² + dist² - 2ρw),
// solved for w: w = ρ sin² α - cos α √(dist² - ρ² sin² α).
func turnForLinkAngle(hole, x, y, dist, angle float64) (turn float64, ok bool) {
	s, c := math.Sincos(angle)
	root := dist*dist - hole*hole*s*s
	flat := math.Hypot(x, y)
	if !(root >= 0) || flat == 0 {
		return 0, false
	}
	w := hole*s*s - c*math.Sqrt(root)
	if !(math.Abs(w) <= flat) {
		return 0, false
	}
	at, off := math.Atan2(y, x), math.Acos(w/flat)
	return nearestZero(at-off, at+off), true
}

// Dimensions returns the vector of the linkage's dimensions, as
// linkage.Linkage.Dimensions does, without building it, followed by what steering needs
// beside the linkage: wheelbase, then radius and width of the left and of the right tyre.
func (g *Geometry) Dimensions() []float64 {
	b, _ := g.describe()
	return append(b.Dimensions(), g.Wheelbase, g.Left.TyreRadius, g.Left.TyreWidth, g.Right.TyreRadius, g.Right.TyreWidth)
}
