package rig

import (
	"math"

	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// layout is what the drag link pulls beside a knuckle.
type layout struct {
	// tieRod is there where it pulls that.
	tieRod *vehicle.Rod
	// middle is the centre crank or the rack, inner its balls for the rods to the knuckles, table
	// the key of its table.
	middle *vehicle.Body
	inner  [2]*vehicle.Ball
	rods   [2]*Rod
	table  string
	// link joins a centre crank to its idler.
	link *vehicle.Rod
}

// pulled writes what the drag link pulls, and returns its ball there.
func (x *expander) pulled() (to *layout, far *vehicle.Ball, err error) {
	const name = "drag link's far ball"
	switch to = new(layout); x.DragLink.To {
	case "left":
		far, err = x.dragArm(name, vehicle.Left)
	case "right":
		far, err = x.dragArm(name, vehicle.Right)
	case "tie_rod":
		far, err = x.pulledTieRod(name, to)
	case "crank":
		far = x.crank(name, to)
	case "rack":
		far = x.rack(name, to)
	}
	return to, far, err
}

// dragArm writes a knuckle's ball for a drag link.
func (x *expander) dragArm(name string, side vehicle.Side) (*vehicle.Ball, error) {
	return x.arm(name, x.wheels[side], "drag_arm", func(s *Side) *Arm { return s.DragArm })
}

// tieRod writes the rod from one knuckle to the other.
func (x *expander) tieRod() *vehicle.Rod {
	return x.rod("tie rod", "tie_rod", &x.TieRod.Rod, x.wheels[vehicle.Left].Arm, x.wheels[vehicle.Right].Arm, "left rod end", "right rod end")
}

// pulledTieRod writes a tie rod that the drag link pulls: a body that turns between its two balls
// and is taken not to roll, with a ball along it.
func (x *expander) pulledTieRod(name string, to *layout) (*vehicle.Ball, error) {
	t, rod := x.TieRod, x.tieRod()
	line := r3.Sub(rod.To.At, rod.From.At)
	if t.Along.Value > r3.Norm(line) {
		return nil, impossible("tie_rod.along", "measure it from the left ball", "the ball is beyond the right end of the tie rod, which is %.1f mm long", r3.Norm(line))
	}
	rod.Body = x.body(&vehicle.Body{
		Part: x.part("tie rod", "tie_rod"), On: x.axleIs.Body, Moves: vehicle.Between, Drive: vehicle.Still,
		Point: rod.From.At, Axis: r3.Unit(line), Ends: [2]*vehicle.Ball{rod.From, rod.To},
	})
	at := r3.Add(rod.From.At, r3.Add(r3.Scale(t.Along.Value, rod.Body.Axis), t.Offset.Vec()))
	ball := x.ball(x.part(name, "tie_rod.along"), rod.Body, at, t.Stud.or(vehicle.Up))
	rod.Along = []vehicle.Along{{Ball: ball, Distance: t.Along.Value, Offset: t.Offset.Vec()}}
	to.tieRod = rod
	return ball, nil
}

// crank writes a centre crank, with the idler and what joins the two.
func (x *expander) crank(name string, to *layout) *vehicle.Ball {
	c := x.Crank
	on := x.mount(c.Mount)
	to.table, to.rods = "crank", [2]*Rod{&c.LeftRod, &c.RightRod}
	to.middle = x.body(&vehicle.Body{Part: x.part("centre crank", "crank"), On: on, Moves: vehicle.Turns, Point: x.at(c.Point), Axis: c.Axis.or(vehicle.Up)})
	carries := [2]*vehicle.Body{to.middle, to.middle}
	if i := x.Idler; i != nil {
		idler := x.body(&vehicle.Body{Part: x.part("idler", "idler"), On: on, Moves: vehicle.Turns, Point: x.at(i.Point), Axis: i.Axis.or(vehicle.Up)})
		from := x.ball(x.part("crank's ball for the centre link", "crank.link_ball"), to.middle, x.at(c.LinkBall), to.middle.Axis)
		end := x.ball(x.part("idler's ball for the centre link", "idler.link_ball"), idler, x.at(i.LinkBall), idler.Axis)
		to.link = x.rod("centre link", "centre_link", &x.CentreLink.Rod, from, end, "rod end at the crank", "rod end at the idler")
		switch {
		case x.CentreLink.Plate:
			to.link.Body = x.body(&vehicle.Body{
				Part: x.part("drag plate", "centre_link"), On: on, Moves: vehicle.Between, Drive: vehicle.Still,
				Point: from.At, Axis: r3.Unit(r3.Sub(end.At, from.At)), Ends: [2]*vehicle.Ball{from, end},
			})
			carries = [2]*vehicle.Body{to.link.Body, to.link.Body}
		case i.Side == "left":
			carries[vehicle.Left] = idler
		default:
			carries[vehicle.Right] = idler
		}
	}
	x.innerBalls(to, carries, [2]Point{c.LeftBall, c.RightBall}, to.middle.Axis)
	return x.ball(x.part(name, "crank.drag_ball"), to.middle, x.at(c.DragBall), vehicle.Up)
}

// rack writes a bar that slides.
func (x *expander) rack(name string, to *layout) *vehicle.Ball {
	k := x.Rack
	at := x.at(k.DragBall)
	to.table, to.rods = "rack", [2]*Rod{&k.LeftRod, &k.RightRod}
	to.middle = x.body(&vehicle.Body{Part: x.part("rack", "rack"), On: x.mount(k.Mount), Moves: vehicle.Slides, Point: at, Axis: k.Slides.or(r3.Vec{Y: 1})})
	x.innerBalls(to, [2]*vehicle.Body{to.middle, to.middle}, [2]Point{k.LeftBall, k.RightBall}, vehicle.Up)
	return x.ball(x.part(name, "rack.drag_ball"), to.middle, at, vehicle.Up)
}

// innerBalls writes the balls in the middle for the rods to the knuckles. Their studs are along the
// axis of the crank or idler that turns them, upright on a rack.
func (x *expander) innerBalls(to *layout, carries [2]*vehicle.Body, at [2]Point, stud r3.Vec) {
	for _, side := range vehicle.Sides {
		on, dir := carries[side], stud
		if on.Moves == vehicle.Turns {
			dir = on.Axis
		}
		to.inner[side] = x.ball(x.part(side.String()+" inner ball", to.table+"."+side.String()+"_ball"), on, x.at(at[side]), dir)
	}
}

// rodsFrom writes the rods from the middle to the knuckles.
func (x *expander) rodsFrom(to *layout) {
	for _, side := range vehicle.Sides {
		x.add(x.rod(side.String()+" steering link", to.table+"."+side.String()+"_rod", to.rods[side], x.wheels[side].Arm, to.inner[side], "outer rod end", "inner rod end"))
	}
	if to.link != nil {
		x.add(to.link)
	}
}

// servo writes the servo that leads, with its horn's ball at neutral: by its place; by the way the
// horn points and its lean; or so that the measured angle lies between horn and link.
func (x *expander) servo(horn *vehicle.Body, far *vehicle.Ball) (*vehicle.Servo, error) {
	t, h := &x.Servo, &x.Horn
	s := &vehicle.Servo{
		Part: x.part("servo", "servo"), Horn: horn, Face: x.at(t.Point), Ratio: 1, Teeth: t.Teeth, Arms: h.Arms, Travel: t.Travel.Value,
		IdleCurrent: t.IdleCurrent, WindingResistance: t.WindingResistance, BearingSpan: t.BearingSpan.Value,
	}
	for _, one := range h.Holes {
		s.Holes = append(s.Holes, one.Value)
	}
	for _, one := range t.Ratings {
		s.Ratings = append(s.Ratings, vehicle.Rating{Voltage: one.Voltage, Torque: one.Torque.Value, Time: one.Time, StallCurrent: one.StallCurrent})
	}
	if o := x.r.Saver; o != nil {
		s.Saver = &vehicle.Saver{Preload: o.Preload.Value, Stiffness: o.Stiffness.Value * 180 / math.Pi}
	}
	foot := r3.Add(s.Face, r3.Scale(h.Reach.Value, horn.Axis))
	at, key := x.at(h.Ball), "horn.ball"
	if !h.Ball.Given() {
		var err error
		key = "horn"
		if at, err = h.ballFrom(foot, horn.Axis, far.At); err != nil {
			return nil, err
		}
	}
	return s, x.fitHorn(s, x.part("horn's ball", key), at, foot, h.Stud.or(horn.Axis))
}

// fitHorn puts a servo's ball on its horn, whose axis goes through a point.
func (x *expander) fitHorn(s *vehicle.Servo, p vehicle.Part, at, point, stud r3.Vec) error {
	// A ball given by its place says itself how far along the axis the horn's plane is.
	s.Horn.Point = vehicle.Foot(at, point, s.Horn.Axis)
	if r3.Norm(r3.Sub(at, s.Horn.Point)) < shortest {
		return impossible(p.Key, "check the ball and "+s.Horn.Key+".point", "the horn's ball is on the servo's axis")
	}
	s.Ball = x.ball(p, s.Horn, at, stud)
	x.v.Servos = append(x.v.Servos, s)
	return nil
}

// ballFrom finds the ball of a horn that is not given by its place.
func (h *Horn) ballFrom(foot, axis, far r3.Vec) (r3.Vec, error) {
	about := h.Points.or(vehicle.Up)
	flat := r3.Sub(about, r3.Scale(r3.Dot(about, axis), axis))
	if r3.Norm(flat) < 0.2 {
		return r3.Vec{}, impossible("horn.points", "give a direction across servo.axis", "the horn cannot point along the servo's axis")
	}
	e1 := r3.Unit(flat)
	e2 := r3.Cross(axis, e1)
	place := func(turn float64) r3.Vec {
		s, c := math.Sincos(turn)
		return r3.Add(foot, r3.Scale(h.Hole.Value, r3.Add(r3.Scale(c, e1), r3.Scale(s, e2))))
	}
	if !h.LinkAngle.Given {
		return place(h.Lean.Value), nil
	}
	to := r3.Sub(far, foot)
	turn, ok := vehicle.TurnForLinkAngle(h.Hole.Value, r3.Dot(to, e1), r3.Dot(to, e2), r3.Norm(to), h.LinkAngle.Value)
	if !ok {
		return r3.Vec{}, impossible("horn.link_angle", "check the angle, the hole and the place of the link's far ball",
			"no place of a %.1f mm horn has the link at %.1f°", h.Hole.Value, h.LinkAngle.Value*180/math.Pi)
	}
	return place(turn), nil
}

// secondServo writes a servo of its own for the knuckle that the drag link does not pull. Its
// ratings are taken to be the first one's.
func (x *expander) secondServo(first *vehicle.Servo) error {
	n := x.SecondServo
	side := vehicle.Right
	if x.DragLink.To == "right" {
		side = vehicle.Left
	}
	far, err := x.dragArm("second drag link's far ball", side)
	if err != nil {
		return err
	}
	horn := x.body(&vehicle.Body{Part: x.part("second horn", "second_servo"), On: x.mount(n.Mount), Moves: vehicle.Turns, Drive: vehicle.ByServo, Axis: n.Axis.or(vehicle.Up)})
	s := &vehicle.Servo{
		Part: x.part("second servo", "second_servo"), Horn: horn, Face: x.at(n.Point), Leader: first, Ratio: n.Follows,
		Ratings: first.Ratings, IdleCurrent: first.IdleCurrent, WindingResistance: first.WindingResistance,
	}
	if err := x.fitHorn(s, x.part("second horn's ball", "second_servo.ball"), x.at(n.Ball), s.Face, horn.Axis); err != nil {
		return err
	}
	if math.Abs(s.Ratio) < 0.01 {
		return impossible("second_servo.follows", "write 1 for the same way, -1 for the other", "the second servo would hardly turn")
	}
	s.Link = x.add(x.rod("second drag link", "second_servo.drag_link", &n.DragLink, s.Ball, far, "rod end at the horn", "far rod end"))
	return nil
}
