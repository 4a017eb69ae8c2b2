package draw

import (
	"math"
	"strings"

	"evenlock/steer"
	"evenlock/vehicle"

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
// rig.Measurement has for it; ok is false where no picture is drawn, as for what another axle has.
func ToolFor(m *steer.Model, path string) (tool Tool, ok bool) {
	table, end := "", path
	if i := strings.LastIndexByte(path, '.'); i >= 0 {
		table, end = path[:i], path[i+1:]
	}
	v, w := m.Vehicle, m.Wheels[vehicle.Left]
	if path == "vehicle.wheelbase" {
		return caliperOn(Turn, w.Centre.At, r3.Vec{X: m.Axle.Other, Y: w.Centre.At.Y}), true
	}
	prefix := m.Tables().Prefix
	if strings.HasPrefix(path, "rear.") != (prefix != "") {
		return Tool{}, false
	}
	switch {
	case end == "x", end == "y", end == "z":
		return toolForPoint(m, table, end)
	case path == "vehicle.track", path == prefix+"track":
		return caliperOn(Above, w.Centre.At, m.Wheels[vehicle.Right].Centre.At), true
	case strings.HasPrefix(path, prefix+"transmitter.reading."):
		// What the servo turned at a reading: from the horn at neutral, counter-clockwise.
		axis, foot := m.Servo.Horn.Axis, m.Servo.Foot.At
		horn := r3.Sub(m.Servo.Ball.At, foot)
		return protractorOn(across(axis), foot, horn, r3.Cross(axis, horn)), true
	}
	for _, w := range v.Wheels {
		switch table {
		case w.Key:
			return toolForWheel(w, end)
		case w.Knuckle.Key:
			return toolForKingpin(w.Knuckle, end)
		}
		for _, b := range v.Balls {
			if b.On == w.Knuckle && b.Key == table {
				return toolForArm(m, w, b, end)
			}
		}
	}
	for _, o := range v.Servos {
		if o.Ball.Key == table {
			return toolForHorn(m, o, end)
		}
	}
	r := v.Rod(table)
	switch {
	case r == nil:
	case end == "length":
		return caliperOn(Above, r.From.At, r.To.At), true
	case end == "along" && len(r.Along) > 0:
		along := r3.Scale(r.Along[0].Distance, r3.Unit(r3.Sub(r.To.At, r.From.At)))
		return caliperOn(Above, r.From.At, r3.Add(r.From.At, along)), true
	}
	return Tool{}, false
}

func toolForKingpin(k *vehicle.Body, what string) (tool Tool, ok bool) {
	up, along := r3.Vec{Z: pointer}, r3.Scale(pointer, k.Axis)
	switch what {
	case "caster":
		return protractorOn(SideOn, k.Point, up, along), true
	case "inclination":
		return protractorOn(Behind, k.Point, up, along), true
	}
	return Tool{}, false
}

func toolForWheel(w *vehicle.Wheel, what string) (tool Tool, ok bool) {
	centre, out := w.Centre.At, w.Side.Sign()
	switch what {
	case "toe":
		return protractorOn(Above, centre, r3.Vec{X: w.Radius}, r3.Scale(w.Radius, r3.Cross(w.Spindle, r3.Vec{Z: out}))), true
	case "camber":
		return protractorOn(Behind, centre, r3.Vec{Z: pointer}, r3.Vec{Y: -w.Spindle.Z * out * pointer, Z: math.Abs(w.Spindle.Y) * pointer}), true
	case "tyre_radius":
		return caliperOn(Behind, centre, r3.Sub(centre, r3.Vec{Z: w.Radius})), true
	case "tyre_width":
		half := r3.Scale(w.Width/2, w.Spindle)
		return caliperOn(Above, r3.Sub(centre, half), r3.Add(centre, half)), true
	}
	return Tool{}, false
}

// toolForArm is for an arm of a knuckle, given by length, direction and height. Its foot is on the
// kingpin axis at the ball's height.
func toolForArm(m *steer.Model, w *vehicle.Wheel, b *vehicle.Ball, what string) (tool Tool, ok bool) {
	k, ball, out := w.Knuckle, b.At, w.Side.Sign()
	foot := vehicle.AtHeight(ball.Z, k.Point, k.Axis)
	switch what {
	case "length":
		return caliperOn(Above, foot, ball), true
	case "height":
		return caliperOn(Behind, r3.Vec{X: ball.X, Y: ball.Y, Z: m.Axle.Middle.Z}, ball), true
	case "inward":
		way := map[string]r3.Vec{"forward": {X: pointer}, "back": {X: -pointer}, "inward": {Y: -out * pointer}, "outward": {Y: out * pointer}}[m.Rig.Arm(b.Key).Points]
		return protractorOn(Above, foot, way, r3.Scale(pointer, r3.Unit(r3.Sub(ball, foot)))), true
	}
	return Tool{}, false
}

func toolForHorn(m *steer.Model, o *vehicle.Servo, what string) (tool Tool, ok bool) {
	axis, foot := o.Horn.Axis, o.Foot.At
	horn, v := r3.Sub(o.Ball.At, foot), across(axis)
	switch what {
	case "hole":
		return caliperOn(v, foot, o.Ball.At), true
	case "reach":
		if v != Behind {
			v = Behind
		} else {
			v = SideOn
		}
		return caliperOn(v, o.Face, foot), true
	case "link_angle":
		return protractorOn(v, o.Ball.At, r3.Scale(-1, horn), r3.Scale(pointer, r3.Unit(r3.Sub(o.Far().At, o.Ball.At)))), true
	case "lean":
		h := m.Tables().Horn.Points
		return protractorOn(v, foot, r3.Scale(pointer, r3.Vec{X: h[0], Y: h[1], Z: h[2]}), horn), true
	}
	return Tool{}, false
}

// toolForPoint is for a coordinate: along its axis, from where it is counted to the place.
func toolForPoint(m *steer.Model, key, axis string) (tool Tool, ok bool) {
	p := m.Rig.Point(key)
	if p == nil {
		return Tool{}, false
	}
	at, by, v := p.Vec(), r3.Vec{}, Above
	switch axis {
	case "x":
		by.X = at.X
	case "y":
		by.Y = at.Y
	default:
		by.Z, v = at.Z, Behind
	}
	to := r3.Add(m.Axle.Middle, at)
	if r := m.Vehicle.Rod(strings.TrimSuffix(key, ".offset")); r != nil && len(r.Along) > 0 {
		// Counted from the rod's line.
		to = r.Along[0].Ball.At
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
