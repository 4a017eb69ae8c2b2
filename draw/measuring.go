package draw

import (
	"math"
	"strings"

	"evenlock/rig"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Tool is a caliper or a protractor on a view, to show how a value is measured. Places are those of
// the view's screen, in millimetres.
type Tool struct {
	View View
	// Angle tells whether it is a protractor.
	Angle bool
	// From and To are the places that a caliper's jaws go to, or that a protractor's arms point to.
	From, To r2.Vec
	// Vertex is the middle of a protractor.
	Vertex r2.Vec
}

func on(v View, p r3.Vec) r2.Vec {
	u, w := v.Flat(p)
	return r2.Vec{X: u, Y: w}
}

func caliperOn(v View, from, to r3.Vec) Tool {
	return Tool{View: v, From: on(v, from), To: on(v, to)}
}

// protractorOn has its middle at a place and its arms in two directions.
func protractorOn(v View, at, from, to r3.Vec) Tool {
	return Tool{View: v, Angle: true, Vertex: on(v, at), From: on(v, r3.Add(at, from)), To: on(v, r3.Add(at, to))}
}

// across is the view that sees a plane square to an axis best.
func across(axis r3.Vec) View {
	best := Above
	for _, v := range []View{Behind, SideOn} {
		if math.Abs(r3.Dot(axis, v.Sight())) > math.Abs(r3.Dot(axis, best.Sight())) {
			best = v
		}
	}
	return best
}

const pointer = 30.0 // mm, the length of a protractor's arms where nothing else gives one

// ToolFor tells where the caliper or the protractor goes for a measurement, by the path that
// rig.Measurement has for it; ok is false where no picture is drawn, as for a rear axle. The
// geometry is that of the rig.
func ToolFor(r *rig.Rig, g *rig.Geometry, path string) (tool Tool, ok bool) {
	if strings.HasPrefix(path, "rear.") {
		// The drawing is of the front axle.
		return Tool{}, false
	}
	if n := len(path) - 2; n > 0 && path[n] == '.' && strings.IndexByte("xyz", path[n+1]) >= 0 {
		return toolForPoint(r, g, path)
	}
	if side, rest, _ := strings.Cut(path, "."); side == "left" || side == "right" {
		return toolForSide(r, g, side, rest)
	}
	switch {
	case path == "vehicle.wheelbase":
		return caliperOn(Turn, g.Left.Centre, r3.Vec{X: -g.Wheelbase, Y: g.Left.Centre.Y}), true
	case path == "vehicle.track":
		return caliperOn(Above, g.Left.Centre, g.Right.Centre), true
	case path == "horn.hole":
		return caliperOn(across(g.ServoAxis), g.HornFoot, g.HornBall), true
	case path == "horn.reach":
		v := Behind
		if across(g.ServoAxis) == Behind {
			v = SideOn
		}
		return caliperOn(v, r.Servo.Point.Vec(), g.HornFoot), true
	case path == "horn.link_angle":
		return protractorOn(across(g.ServoAxis), g.HornBall, r3.Sub(g.HornFoot, g.HornBall), r3.Scale(pointer, r3.Unit(r3.Sub(g.Pulled, g.HornBall)))), true
	case path == "horn.lean":
		h := r.Horn.Points
		return protractorOn(across(g.ServoAxis), g.HornFoot, r3.Scale(pointer, r3.Vec{X: h[0], Y: h[1], Z: h[2]}), r3.Sub(g.HornBall, g.HornFoot)), true
	case path == "drag_link.length":
		return caliperOn(Above, g.HornBall, g.Pulled), true
	case path == "tie_rod.length":
		return caliperOn(Above, g.Left.TieBall, g.Right.TieBall), true
	case path == "tie_rod.along":
		along := r3.Scale(r.TieRod.Along.Value, r3.Unit(r3.Sub(g.Right.TieBall, g.Left.TieBall)))
		return caliperOn(Above, g.Left.TieBall, r3.Add(g.Left.TieBall, along)), true
	case path == "crank.left_rod.length" && g.Crank != nil:
		return caliperOn(Above, g.Crank.LeftBall, g.Left.TieBall), true
	case path == "crank.right_rod.length" && g.Crank != nil:
		return caliperOn(Above, g.Crank.RightBall, g.Right.TieBall), true
	case strings.HasSuffix(path, ".angle"):
		// What the servo turned at a reading: from the horn at neutral, counter-clockwise.
		horn := r3.Sub(g.HornBall, g.HornFoot)
		return protractorOn(across(g.ServoAxis), g.HornFoot, horn, r3.Cross(g.ServoAxis, horn)), true
	}
	return Tool{}, false
}

// toolForSide is for what is measured of one wheel, its kingpin and its arms.
func toolForSide(r *rig.Rig, g *rig.Geometry, side, rest string) (tool Tool, ok bool) {
	s, of, out := &g.Left, &r.Left, 1.0
	if side == "right" {
		s, of, out = &g.Right, r.Right, -1
	}
	up := r3.Vec{Z: pointer}
	switch rest {
	case "kingpin.caster":
		return protractorOn(SideOn, s.KingpinPoint, up, r3.Scale(pointer, s.Kingpin)), true
	case "kingpin.inclination":
		return protractorOn(Behind, s.KingpinPoint, up, r3.Scale(pointer, s.Kingpin)), true
	case "wheel.toe":
		return protractorOn(Above, s.Centre, r3.Vec{X: s.TyreRadius}, r3.Scale(s.TyreRadius, r3.Cross(s.Spindle, r3.Vec{Z: out}))), true
	case "wheel.camber":
		return protractorOn(Behind, s.Centre, up, r3.Vec{Y: -s.Spindle.Z * out * pointer, Z: math.Abs(s.Spindle.Y) * pointer}), true
	case "wheel.tyre_radius":
		return caliperOn(Behind, s.Centre, r3.Sub(s.Centre, r3.Vec{Z: s.TyreRadius})), true
	case "wheel.tyre_width":
		half := r3.Scale(s.TyreWidth/2, s.Spindle)
		return caliperOn(Above, r3.Sub(s.Centre, half), r3.Add(s.Centre, half)), true
	}
	name, what, _ := strings.Cut(rest, ".")
	ball, arm := s.TieBall, (*rig.Arm)(nil)
	switch {
	case of == nil:
	case name == "tie_arm":
		arm = of.TieArm
	case name == "drag_arm":
		ball, arm = g.Pulled, of.DragArm
	}
	if arm == nil {
		return Tool{}, false
	}
	// The foot of the arm is on the kingpin axis at the ball's height.
	foot := r3.Add(s.KingpinPoint, r3.Scale((ball.Z-s.KingpinPoint.Z)/s.Kingpin.Z, s.Kingpin))
	switch what {
	case "length":
		return caliperOn(Above, foot, ball), true
	case "height":
		return caliperOn(Behind, r3.Vec{X: ball.X, Y: ball.Y}, ball), true
	case "inward":
		way := map[string]r3.Vec{"forward": {X: pointer}, "back": {X: -pointer}, "inward": {Y: -out * pointer}, "outward": {Y: out * pointer}}[arm.Points]
		return protractorOn(Above, foot, way, r3.Scale(pointer, r3.Unit(r3.Sub(ball, foot)))), true
	}
	return Tool{}, false
}

// toolForPoint is for a coordinate: along its axis, from where it is counted to the place.
func toolForPoint(r *rig.Rig, g *rig.Geometry, path string) (tool Tool, ok bool) {
	point, axis := path[:len(path)-2], path[len(path)-1]
	var to r3.Vec
	for _, q := range r.Measurements() {
		if len(q.Path) != len(path) || q.Path[:len(point)+1] != point+"." {
			continue
		}
		switch q.Path[len(q.Path)-1] {
		case 'x':
			to.X, ok = q.Q.Value, true
		case 'y':
			to.Y, ok = q.Q.Value, true
		case 'z':
			to.Z, ok = q.Q.Value, true
		}
	}
	if !ok {
		return Tool{}, false
	}
	by, v := r3.Vec{}, Above
	switch axis {
	case 'x':
		by.X = to.X
	case 'y':
		by.Y = to.Y
	default:
		by.Z, v = to.Z, Behind
	}
	if point == "tie_rod.offset" {
		// Counted from the rod's line.
		to = g.Pulled
	}
	return caliperOn(v, r3.Sub(to, by), to), true
}

// near and nearTurn are how many times a view is enlarged at most to show a tool: near enough to
// see where the jaws go, far enough to see which part it is. The turn shows the whole vehicle.
const (
	near, nearTurn = 1.8, 2.6
	// filled is the part of the view that the tool may then take.
	filled = 0.62
)

// Zoom returns what of a view shows the tool well: the middle of it, and how many times it is
// enlarged, 1 for the whole box.
func (t *Tool) Zoom(box Box) (middle r2.Vec, times float64) {
	low, high := t.From, t.From
	places := []r2.Vec{t.To}
	if t.Angle {
		places = append(places, t.Vertex)
	}
	for _, p := range places {
		low, high = r2.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, r2.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	most := near
	if t.View == Turn {
		most = nearTurn
	}
	size := r2.Sub(high, low)
	times = min(most, filled*box.Width/max(size.X, 1), filled*box.Height/max(size.Y, 1))
	if times <= 1 {
		return r2.Vec{X: box.U + box.Width/2, Y: box.V + box.Height/2}, 1
	}
	return r2.Scale(0.5, r2.Add(low, high)), times
}
