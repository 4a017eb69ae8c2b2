package rig

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Errors of PlaceBall. They say why, for who dragged the ball there.
var (
	// ErrCannotPlace is a place that the keys of the file cannot give.
	ErrCannotPlace = errors.New("it cannot go there")
	// ErrHornFlips is a place of a horn that the file gives by the angle between horn and link: two
	// places have that angle, and horn.points picks the other one.
	ErrHornFlips = errors.New("the horn would flip to the other side")
)

// PlaceBall puts a ball at a place, in millimetres, in the way that the file gives it: by its
// coordinates, by the length, direction and height of an arm, by hole and lean of the horn or the
// angle measured at it, by the way along the tie rod. Nothing else of the rig changes;
// uncertainties stay. g has the other places as they then are.
//
// The errors are ErrCannotPlace and ErrHornFlips; the rig is then as it was.
func (r *Rig) PlaceBall(g *Geometry, ball End, to r3.Vec) error {
	switch ball {
	case HornEnd:
		return r.placeHorn(g, to)
	case FarEnd:
		switch g.Target {
		case LeftKnuckle:
			return placeArm(r.Left.DragArm, &g.Left, 1, to)
		case RightKnuckle:
			if r.Right == nil {
				return ErrCannotPlace
			}
			return placeArm(r.Right.DragArm, &g.Right, -1, to)
		case TieRodBall:
			return r.placeOnTieRod(g, to)
		case CentreCrank:
			return placePoint(&r.Crank.DragBall, to)
		default:
			return placePoint(&r.Rack.DragBall, to)
		}
	case LeftInner, RightInner:
		var left, right *Point
		switch {
		case r.Crank != nil:
			left, right = &r.Crank.LeftBall, &r.Crank.RightBall
		case r.Rack != nil:
			left, right = &r.Rack.LeftBall, &r.Rack.RightBall
		default:
			return ErrCannotPlace
		}
		if ball == LeftInner {
			return placePoint(left, to)
		}
		return placePoint(right, to)
	case LeftOuter:
		return placeArm(r.Left.TieArm, &g.Left, 1, to)
	default:
		if r.Right == nil {
			return ErrCannotPlace
		}
		return placeArm(r.Right.TieArm, &g.Right, -1, to)
	}
}

// Set puts a point at a place, in millimetres, and leaves its uncertainties.
func (p *Point) Set(to r3.Vec) {
	for i, x := range [3]float64{to.X, to.Y, to.Z} {
		p[i].Value, p[i].Given = x, true
	}
}

// Vec is the point as a vector, in millimetres.
func (p Point) Vec() r3.Vec { return p.vec() }

func placePoint(p *Point, to r3.Vec) error {
	p.Set(to)
	return nil
}

// placeArm is the reverse of Rig.arm; out is 1 on the left and -1 on the right. An arm that the
// file leaves out mirrors the other side's, and has no place of its own.
func placeArm(a *Arm, s *SideGeometry, out float64, to r3.Vec) error {
	if a == nil {
		return ErrCannotPlace
	}
	if a.Ball.Given() {
		return placePoint(&a.Ball, to)
	}
	foot := r3.Add(s.KingpinPoint, r3.Scale((to.Z-s.KingpinPoint.Z)/s.Kingpin.Z, s.Kingpin))
	d := r3.Sub(to, foot)
	var inward float64
	switch a.Points {
	case "forward":
		inward = math.Atan2(-out*d.Y, d.X)
	case "back":
		inward = math.Atan2(-out*d.Y, -d.X)
	case "inward":
		inward = math.Atan2(d.X, -out*d.Y)
	default:
		inward = math.Atan2(d.X, out*d.Y)
	}
	if math.Abs(inward) > math.Pi/2 {
		return ErrCannotPlace
	}
	a.Length.Value = math.Hypot(d.X, d.Y)
	a.Inward.Value, a.Inward.Given = inward, true
	a.Height.Value, a.Height.Given = to.Z, true
	return nil
}

// nearNothing is what arithmetic leaves of nothing, in millimetres.
const nearNothing = 1e-9

// placeHorn is the reverse of Rig.hornBall.
func (r *Rig) placeHorn(g *Geometry, to r3.Vec) error {
	if r.Horn.Ball.Given() {
		return placePoint(&r.Horn.Ball, to)
	}
	h := r.Horn
	rel := r3.Sub(to, r.Servo.Point.vec())
	reach := r3.Dot(rel, g.ServoAxis)
	horn := r3.Sub(rel, r3.Scale(reach, g.ServoAxis))
	h.Hole.Value = r3.Norm(horn)
	if h.Reach.Given || math.Abs(reach) > nearNothing {
		h.Reach.Value, h.Reach.Given = reach, true
	}
	if h.LinkAngle.Given {
		link := r3.Sub(g.Pulled, to)
		h.LinkAngle.Value = math.Acos(max(-1, min(1, -r3.Dot(horn, link)/(r3.Norm(horn)*r3.Norm(link)))))
		moved := *g
		moved.HornFoot = r3.Add(r.Servo.Point.vec(), r3.Scale(reach, g.ServoAxis))
		twin := Rig{Steering: Steering{Horn: h}}
		if at, err := twin.hornBall(&moved); err != nil || r3.Norm(r3.Sub(at, to)) > 0.01 {
			return ErrHornFlips
		}
	} else {
		about := h.Points.or(up)
		e1 := r3.Sub(about, r3.Scale(r3.Dot(about, g.ServoAxis), g.ServoAxis))
		e2 := r3.Cross(g.ServoAxis, e1)
		h.Lean.Value, h.Lean.Given = math.Atan2(r3.Dot(horn, e2), r3.Dot(horn, e1)), true
	}
	r.Horn = h
	return nil
}

// placeOnTieRod is the reverse of Rig.onTieRod.
func (r *Rig) placeOnTieRod(g *Geometry, to r3.Vec) error {
	if r.TieRod == nil {
		return ErrCannotPlace
	}
	line := r3.Unit(r3.Sub(g.Right.TieBall, g.Left.TieBall))
	rel := r3.Sub(to, g.Left.TieBall)
	// An offset that the file states may have a part along the rod; it keeps that.
	stated := r3.Scale(r3.Dot(r.TieRod.Offset.vec(), line), line)
	along := r3.Dot(r3.Sub(rel, stated), line)
	if along <= 0 {
		return ErrCannotPlace
	}
	off := r3.Sub(rel, r3.Scale(along, line))
	r.TieRod.Along.Value, r.TieRod.Along.Given = along, true
	if r.TieRod.Offset.Given() || r3.Norm(off) > nearNothing {
		r.TieRod.Offset.Set(off)
	}
	return nil
}

// TurnHorn puts the horn's ball at a place as PlaceBall does, and where the file gives it by the
// angle between horn and link, has horn.points say the new way where the old one would pick the
// other place with that angle.
func (r *Rig) TurnHorn(g *Geometry, to r3.Vec) error {
	err := r.PlaceBall(g, HornEnd, to)
	if !errors.Is(err, ErrHornFlips) {
		return err
	}
	arm := r3.Sub(to, g.HornFoot)
	arm = r3.Unit(r3.Sub(arm, r3.Scale(r3.Dot(arm, g.ServoAxis), g.ServoAxis)))
	was := r.Horn.Points
	r.Horn.Points = nearestWord(arm)
	if err = r.PlaceBall(g, HornEnd, to); err != nil {
		r.Horn.Points = Direction{arm.X, arm.Y, arm.Z}
		err = r.PlaceBall(g, HornEnd, to)
	}
	if err != nil {
		r.Horn.Points = was
	}
	return err
}

// nearestWord is the direction with a word that is nearest to another.
func nearestWord(v r3.Vec) Direction {
	x := [3]float64{v.X, v.Y, v.Z}
	most := 0
	for i := range x {
		if math.Abs(x[i]) > math.Abs(x[most]) {
			most = i
		}
	}
	var d Direction
	d[most] = math.Copysign(1, x[most])
	return d
}

// Apply makes an adjustment in the rig itself, by the keys that the file gives the places by: the
// horn turned on its spline, ends of rods moved, and with Straighten the rods as long as they then
// are, where the file states a length or where its places alone would give another. Uncertainties
// stay.
//
// The errors are those of Adjusted and of PlaceBall, and ErrCannotPlace where what the rig then
// says is not what the adjustment was of; the rig is then as it was.
func (r *Rig) Apply(a Adjustment) error {
	a.Suspended = false
	g, err := r.Adjusted(a)
	if err != nil {
		return err
	}
	to := r.Clone()
	if a.HornTurn != 0 {
		// The turn alone is without the shifts: a horn that is turned and moved is placed twice.
		turned, err := r.Adjusted(Adjustment{HornTurn: a.HornTurn})
		if err != nil {
			return err
		}
		if err := to.TurnHorn(turned, turned.HornBall); err != nil {
			return err
		}
	}
	for _, s := range a.Shifts {
		if s.End == HornEnd {
			// The servo goes with its horn's ball.
			to.Servo.Point.Set(r3.Add(to.Servo.Point.vec(), s.By))
		}
	}
	for _, s := range a.Shifts {
		if s.End == RightOuter && (r.Right == nil || r.Right.TieArm == nil) {
			continue // it mirrors the left one
		}
		if err := to.PlaceBall(g, s.End, g.Ball(s.End)); err != nil {
			return err
		}
	}
	if to.Horn.LinkAngle.Given {
		// An angle to a link whose far ball has moved is another one with the horn where it was.
		if err := to.PlaceBall(g, HornEnd, g.HornBall); err != nil {
			return err
		}
	}
	made, err := to.Geometry()
	if err != nil {
		return err
	}
	if a.Straighten {
		for _, rod := range to.SteeringRods() {
			long := rod.Made(g)
			if rod.Length.Given || math.Abs(rod.Made(made)-long) > hundredth/2 {
				rod.Length.Value, rod.Length.Given = long, true
			}
		}
	}
	for end := HornEnd; end <= RightOuter; end++ {
		if r3.Norm(r3.Sub(made.Ball(end), g.Ball(end))) > 0.01 {
			return ErrCannotPlace
		}
	}
	*r = *to
	return nil
}

// Ball is the place of an end of a rod, with the wheels straight ahead and the servo at neutral; a
// centre crank's or rack's is the middle of the axle where there is none.
func (g *Geometry) Ball(end End) r3.Vec {
	switch {
	case end == HornEnd:
		return g.HornBall
	case end == FarEnd:
		return g.Pulled
	case end == LeftOuter:
		return g.Left.TieBall
	case end == RightOuter:
		return g.Right.TieBall
	case g.Crank == nil:
		return r3.Vec{}
	case end == LeftInner:
		return g.Crank.LeftBall
	default:
		return g.Crank.RightBall
	}
}
