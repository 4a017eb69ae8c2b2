package rig

import (
	"errors"
	"math"

	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// Errors of Put. They say why, for who dragged the ball there.
var (
	// ErrCannotPlace is a place that the keys of the file cannot give.
	ErrCannotPlace = errors.New("it cannot go there")
	// ErrHornFlips is a place of a horn that the file gives by the angle between horn and link: two
	// places have that angle, and horn.points picks the other one.
	ErrHornFlips = errors.New("the horn would flip to the other side")
)

// Put puts a ball of the rig's Vehicle v at a place, in millimetres, in the way that the file gives
// it: by its coordinates, by the length, direction and height of an arm, by hole and lean of the
// horn or the angle measured at it, by the way along the tie rod, by the track. Nothing else of the
// rig changes; uncertainties stay. v has the other places as they then are.
//
// The errors are ErrCannotPlace and ErrHornFlips; the rig is then as it was.
func (r *Rig) Put(v *vehicle.Vehicle, ball *vehicle.Ball, to r3.Vec) error {
	if p := r.placing(v, ball); p.put != nil {
		return p.put(to)
	}
	return ErrCannotPlace
}

// PutKeys returns the keys of what Put may change to put a ball elsewhere, with a point's as one
// for each coordinate; none where it cannot.
func (r *Rig) PutKeys(v *vehicle.Vehicle, ball *vehicle.Ball) []string {
	return r.placing(v, ball).keys
}

// placing is how the file gives the place of a ball: by which keys, and what changes them.
type placing struct {
	keys []string
	put  func(to r3.Vec) error
}

func (r *Rig) placing(v *vehicle.Vehicle, ball *vehicle.Ball) placing {
	axle := v.Axle(ball.Axle)
	a := r.Of(ball.Axle)
	if axle == nil || a == nil || ball.Rule == vehicle.Mirrors {
		return placing{}
	}
	for _, s := range v.Servos {
		if s.Ball == ball && s.Leader == nil && !a.Horn.Ball.Given() {
			turn := "lean"
			if a.Horn.LinkAngle.Given {
				turn = "link_angle"
			}
			return placing{under(ball.Key, "hole", turn, "reach"), func(to r3.Vec) error { return a.putHorn(s, to) }}
		}
	}
	for _, rod := range v.Rods {
		for _, along := range rod.Along {
			if along.Ball == ball {
				return placing{[]string{ball.Key, rod.Key + ".offset"}, func(to r3.Vec) error { return a.putOnTieRod(rod, to) }}
			}
		}
	}
	if w := v.WheelOn(ball.On); w != nil {
		if arm := lookup[Arm](r, ball.Key); arm != nil && !arm.Ball.Given() {
			return placing{under(ball.Key, "length", "inward", "height"), func(to r3.Vec) error { return arm.put(w, to, axle.Middle.Z) }}
		}
		if track := lookup[Length](r, ball.Key); track != nil {
			return placing{[]string{ball.Key}, func(to r3.Vec) error { return track.putTrack(w, to) }}
		}
	}
	for _, key := range []string{ball.Key, ball.Key + ".ball"} {
		if p := r.Point(key); p != nil {
			return placing{under(key, "x", "y", "z"), func(to r3.Vec) error {
				p.Set(r3.Sub(to, axle.Middle))
				return nil
			}}
		}
	}
	return placing{}
}

// under returns keys of a table.
func under(table string, names ...string) []string {
	for i, name := range names {
		names[i] = table + "." + name
	}
	return names
}

// putTrack is the reverse of where expander.wheel has the centre of a wheel.
func (l *Length) putTrack(w *vehicle.Wheel, to r3.Vec) error {
	half := w.Side.Sign() * to.Y
	if half <= 0 {
		return ErrCannotPlace
	}
	l.Value = 2 * half
	return nil
}

// put is the reverse of expander.arm; heights are counted from middle.
func (a *Arm) put(w *vehicle.Wheel, to r3.Vec, middle float64) error {
	out := w.Side.Sign()
	d := r3.Sub(to, vehicle.AtHeight(to.Z, w.Knuckle.Point, w.Knuckle.Axis))
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
	a.Height.Value, a.Height.Given = to.Z-middle, true
	return nil
}

// nearNothing is what arithmetic leaves of nothing, in millimetres.
const nearNothing = 1e-9

// putHorn is the reverse of Horn.ballFrom.
func (a *OfAxle) putHorn(s *vehicle.Servo, to r3.Vec) error {
	h, axis := a.Horn, s.Horn.Axis
	rel := r3.Sub(to, s.Face)
	reach := r3.Dot(rel, axis)
	horn := r3.Sub(rel, r3.Scale(reach, axis))
	h.Hole.Value = r3.Norm(horn)
	if h.Reach.Given || math.Abs(reach) > nearNothing {
		h.Reach.Value, h.Reach.Given = reach, true
	}
	if h.LinkAngle.Given {
		far := s.Far().At
		link := r3.Sub(far, to)
		h.LinkAngle.Value = math.Acos(max(-1, min(1, -r3.Dot(horn, link)/(r3.Norm(horn)*r3.Norm(link)))))
		if at, err := h.ballFrom(r3.Add(s.Face, r3.Scale(reach, axis)), axis, far); err != nil || r3.Norm(r3.Sub(at, to)) > 0.01 {
			return ErrHornFlips
		}
	} else {
		about := h.Points.or(vehicle.Up)
		e1 := r3.Sub(about, r3.Scale(r3.Dot(about, axis), axis))
		e2 := r3.Cross(axis, e1)
		h.Lean.Value, h.Lean.Given = math.Atan2(r3.Dot(horn, e2), r3.Dot(horn, e1)), true
	}
	a.Horn = h
	return nil
}

// putOnTieRod is the reverse of expander.pulledTieRod.
func (a *OfAxle) putOnTieRod(rod *vehicle.Rod, to r3.Vec) error {
	line := r3.Unit(r3.Sub(rod.To.At, rod.From.At))
	rel := r3.Sub(to, rod.From.At)
	// An offset that the file states may have a part along the rod; it keeps that.
	stated := r3.Scale(r3.Dot(a.TieRod.Offset.Vec(), line), line)
	along := r3.Dot(r3.Sub(rel, stated), line)
	if along <= 0 {
		return ErrCannotPlace
	}
	off := r3.Sub(rel, r3.Scale(along, line))
	a.TieRod.Along.Value, a.TieRod.Along.Given = along, true
	if a.TieRod.Offset.Given() || r3.Norm(off) > nearNothing {
		a.TieRod.Offset.Set(off)
	}
	return nil
}

// PutHorn puts the ball of the servo that leads at a place as Put does, and where the file gives it
// by the angle between horn and link, has horn.points say the new way where the old one would pick
// the other place with that angle.
func (r *Rig) PutHorn(v *vehicle.Vehicle, s *vehicle.Servo, to r3.Vec) error {
	err := r.Put(v, s.Ball, to)
	if !errors.Is(err, ErrHornFlips) {
		return err
	}
	arm := r3.Sub(to, vehicle.Foot(to, s.Horn.Point, s.Horn.Axis))
	arm = r3.Unit(arm)
	h := &r.Of(s.Axle).Horn
	was := h.Points
	h.Points = nearestWord(arm)
	if err = r.Put(v, s.Ball, to); err != nil {
		h.Points = Direction{arm.X, arm.Y, arm.Z}
		err = r.Put(v, s.Ball, to)
	}
	if err != nil {
		h.Points = was
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

// Adjust makes an adjustment to an axle in the rig itself, by the keys that the file gives the
// places by: the horn turned on its spline, ends of rods moved, and with Straighten the rods as long
// as they then are, where the file states a length or where its places alone would give another.
// Uncertainties stay.
//
// The errors are those of Expand, of vehicle.Vehicle.Adjust and of Put, and ErrCannotPlace where
// what the rig then says is not what the adjustment was of; the rig is then as it was.
func (r *Rig) Adjust(axle int, a vehicle.Adjustment) error {
	wanted, err := r.adjusted(axle, a)
	if err != nil {
		return err
	}
	to := r.Clone()
	put := func(name string, in *vehicle.Vehicle) error {
		ball := in.Ball(name)
		for _, s := range in.Servos {
			if s.Ball == ball {
				return to.PutHorn(in, s, ball.At)
			}
		}
		return to.Put(in, ball, ball.At)
	}
	servo := wanted.Leader()
	if a.HornTurn != 0 {
		// The turn alone is without the shifts: a horn that is turned and moved is placed twice.
		turned, err := r.adjusted(axle, vehicle.Adjustment{HornTurn: a.HornTurn})
		if err != nil {
			return err
		}
		if err := put(servo.Ball.Name, turned); err != nil {
			return err
		}
	}
	moved := a.Shifts
	for _, s := range a.Shifts {
		if s.Ball == servo.Ball.Name {
			// The servo goes with its horn's ball.
			face := &to.Of(axle).Servo.Point
			face.Set(r3.Add(face.Vec(), s.By))
		}
	}
	if to.Of(axle).Horn.LinkAngle.Given {
		// An angle to a link whose far ball has moved is another one with the horn where it was.
		moved = append(moved[:len(moved):len(moved)], vehicle.Shift{Ball: servo.Ball.Name})
	}
	for _, s := range moved {
		if ball := wanted.Ball(s.Ball); ball == nil || ball.Rule == vehicle.Mirrors {
			continue // it goes with the left one
		}
		if err := put(s.Ball, wanted); err != nil {
			return err
		}
	}
	made, err := to.adjusted(axle, vehicle.Adjustment{})
	if err != nil {
		return err
	}
	for _, rod := range wanted.Steering() {
		t := to.Rod(rod.Key)
		if a.Straighten && (t.Length.Given || math.Abs(made.Rod(rod.Key).Length-rod.Length) > hundredth/2) {
			t.Length.Value, t.Length.Given = rod.Length, true
		}
	}
	for _, ball := range wanted.Balls {
		if r3.Norm(r3.Sub(made.Ball(ball.Name).At, ball.At)) > 0.01 {
			return ErrCannotPlace
		}
	}
	*r = *to
	return nil
}

// adjusted returns one axle of the rig with an adjustment made to it.
func (r *Rig) adjusted(axle int, a vehicle.Adjustment) (*vehicle.Vehicle, error) {
	v, err := r.Expand(false)
	if err != nil {
		return nil, err
	}
	return v.Of(axle), v.Adjust(axle, &a)
}
