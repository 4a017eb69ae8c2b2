package vehicle

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Up is the direction up.
var Up = r3.Vec{Z: 1}

// Spindle returns the outward unit vector of a wheel's axis from toe-in and camber in radians.
func Spindle(toe, camber float64, side Side) r3.Vec {
	return r3.Vec{
		X: math.Sin(toe) * math.Cos(camber),
		Y: side.Sign() * math.Cos(toe) * math.Cos(camber),
		Z: -math.Sin(camber),
	}
}

// Contact returns the lowest point of a wheel, where it stands on level ground, from its centre,
// the unit vector along its axis and its radius.
func Contact(centre, spindle r3.Vec, radius float64) r3.Vec {
	down := r3.Sub(r3.Scale(spindle.Z, spindle), Up)
	return r3.Add(centre, r3.Scale(radius/r3.Norm(down), down))
}

// Foot returns the point of an axis, through a point along a unit vector, nearest another point.
func Foot(of, point, axis r3.Vec) r3.Vec {
	return r3.Add(point, r3.Scale(r3.Dot(r3.Sub(of, point), axis), axis))
}

// AtHeight returns where an axis, through a point along a vector that is not level, passes a height.
func AtHeight(z float64, point, axis r3.Vec) r3.Vec {
	return r3.Add(point, r3.Scale((z-point.Z)/axis.Z, axis))
}

// Turned turns a point by an angle about the axis through another along a unit vector.
func Turned(x, point, axis r3.Vec, angle float64) r3.Vec {
	if angle == 0 {
		return x
	}
	return r3.Add(point, r3.NewRotation(angle, axis).Rotate(r3.Sub(x, point)))
}

// Across returns the mirror image of a place or a direction in the vehicle's middle plane.
func Across(v r3.Vec) r3.Vec { return r3.Vec{X: v.X, Y: -v.Y, Z: v.Z} }

// turnForToe returns the knuckle's turn at which its wheel has the given toe-in.
func (w *Wheel) turnForToe(toe float64) (turn float64, ok bool) {
	return TurnToRoad(w.Spindle, w.Knuckle.Axis, -w.Side.Sign()*toe)
}

// TurnToRoad returns the turn about a kingpin, from where its spindle is, at which a wheel has a
// road steer angle: the spindle a, turned by θ, is then square to the heading h, which is a·h =
// A cos θ + B sin θ + C = 0. It is false if no turn does.
func TurnToRoad(spindle, kingpin r3.Vec, road float64) (turn float64, ok bool) {
	s, c := math.Sincos(road)
	h := r3.Vec{X: c, Y: s}
	along := r3.Scale(r3.Dot(spindle, kingpin), kingpin)
	a := r3.Dot(h, r3.Sub(spindle, along))
	b := r3.Dot(h, r3.Cross(kingpin, spindle))
	k := -r3.Dot(h, along) / math.Hypot(a, b)
	if !(math.Abs(k) <= 1) {
		return 0, false
	}
	at, off := math.Atan2(b, a), math.Acos(k)
	return nearestZero(at-off, at+off), true
}

// nearestZero returns the lesser of two angles, each brought within half a turn of zero.
func nearestZero(a, b float64) float64 {
	a, b = math.Remainder(a, 2*math.Pi), math.Remainder(b, 2*math.Pi)
	if math.Abs(b) < math.Abs(a) {
		return b
	}
	return a
}

// TurnForLinkAngle returns the turn of an arm from a unit vector e1, the nearer of two, at which
// the angle at the arm's ball, between the arm and the link to another ball, is angle. The other
// ball is at x, y along e1 and e2 from the arm's foot, dist away in space.
//
// With w the far ball's distance along the arm, cos α = (ρ - w)/√(ρ² + dist² - 2ρw), solved for w:
// w = ρ sin² α - cos α √(dist² - ρ² sin² α).
func TurnForLinkAngle(arm, x, y, dist, angle float64) (turn float64, ok bool) {
	s, c := math.Sincos(angle)
	square := dist*dist - arm*arm*s*s
	flat := math.Hypot(x, y)
	if !(square >= 0) || flat == 0 {
		return 0, false
	}
	w := arm*s*s - c*math.Sqrt(square)
	if !(math.Abs(w) <= flat) {
		return 0, false
	}
	at, off := math.Atan2(y, x), math.Acos(w/flat)
	return nearestZero(at-off, at+off), true
}

// There returns where a ball is in the pose that the linkage is built in, where the bodies have
// their Start, but for what carries them.
func (v *Vehicle) There(b *Ball) r3.Vec {
	for _, r := range v.Rods {
		for i := range r.Along {
			if r.Along[i].Ball == b {
				return r.along(i, v.There(r.From), v.There(r.To))
			}
		}
	}
	if b.On.Moves == Slides {
		return r3.Add(b.At, r3.Scale(b.On.Start, b.On.Axis))
	}
	return Turned(b.At, b.On.Point, b.On.Axis, b.On.Start)
}

// along returns where a ball on the rod is with its ends at two places.
func (r *Rod) along(i int, from, to r3.Vec) r3.Vec {
	a := &r.Along[i]
	return r3.Add(from, r3.Add(r3.Scale(a.Distance, r3.Unit(r3.Sub(to, from))), a.Offset))
}

// SquareTurn returns the turn of the horn, from where it is built, that makes it square to its
// link, the wheels held; of two, the nearer. It is false if no turn does.
func (v *Vehicle) SquareTurn(s *Servo) (turn float64, ok bool) {
	foot := s.foot()
	horn := r3.Sub(v.There(s.Ball), foot)
	hole := r3.Norm(horn)
	e1 := r3.Scale(1/hole, horn)
	to := r3.Sub(v.There(s.Far()), foot)
	return TurnForLinkAngle(hole, r3.Dot(to, e1), r3.Dot(to, r3.Cross(s.Horn.Axis, e1)), r3.Norm(to), math.Pi/2)
}

// foot is the point of the servo's axis in the plane of the horn's ball.
func (s *Servo) foot() r3.Vec { return Foot(s.Ball.At, s.Horn.Point, s.Horn.Axis) }

// Hole is the radius of the hole in use.
func (s *Servo) Hole() float64 { return r3.Norm(r3.Sub(s.Ball.At, s.foot())) }

// farFoot is where the angle at the link's far end is taken from.
func (v *Vehicle) farFoot(s *Servo) r3.Vec {
	far := s.Far()
	for _, r := range v.Rods {
		if r.Body != nil && r.Body == far.On {
			return r.From.At
		}
	}
	if far.On.Moves == Slides {
		return beside(far.At, far.On.Axis)
	}
	return Foot(far.At, far.On.Point, far.On.Axis)
}

// beside returns a point beside a rack's ball, level with it and square to the rack, so that a link
// in line with the rack, seen from above, stands square to the line from there as one does to a
// crank's arm.
func beside(ball, along r3.Vec) r3.Vec {
	off := r3.Cross(along, Up)
	if r3.Norm(off) < 0.1 {
		off = r3.Vec{X: 1}
	}
	const arm = 10
	return r3.Add(ball, r3.Scale(arm/r3.Norm(off), off))
}
