package doubt

import (
	"math"
	"slices"
	"strings"

	"evenlock/rig"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// traits collects those of a rig.
type traits struct{ all []Trait }

func (t *traits) add(u *Usual, part, key string, value float64) {
	t.all = append(t.all, Trait{u, part, key, value})
}

// ratio adds a ratio of two lengths or turns.
func (t *traits) ratio(u *Usual, part, key string, value, per float64) {
	t.add(u, part, key, value/per)
}

// given adds a trait that the file need not have.
func (t *traits) given(u *Usual, part, key string, value, per float64) {
	if value != 0 {
		t.ratio(u, part, key, value, per)
	}
}

// ofVehicle adds what needs no movement: traits of one axle after the other, and of the whole.
func (t *traits) ofVehicle(r *rig.Rig, v *vehicle.Vehicle) {
	for _, a := range v.Axles {
		of := r.Of(a.Number())
		s := size{v: v.Of(a.Number()), axle: a, traits: t, onChassis: of.Servo.Mount == "chassis"}
		s.measure()
		s.wheels(of, a.Number() == 1 && r.Suspension != nil && r.Suspension.Kind == "struts")
		s.rods()
		s.servos()
		s.middle()
		s.limits()
		s.suspension()
		t.readings(of)
		t.add(wantedLock, "", of.Prefix+"want.lock", or(of.Want.Lock.Value, 30*degree))
		t.given(greatestEnd, "", of.Prefix+"transmitter.max_endpoint", of.Transmitter.MaxEndpoint, 1)
		if a.Number() > 1 {
			continue
		}
		vehicleIs := &r.Vehicle
		t.add(wheelbase, "", "vehicle.wheelbase", s.wheelbase)
		t.given(density, "", "vehicle.mass", vehicleIs.Mass, s.wheelbase*s.wheelbase*s.wheelbase/1e9)
		t.given(weightHeight, "", "vehicle.weight_height", vehicleIs.WeightHeight.Value, s.radius)
		t.given(steeredShare, "", "vehicle.steered_share", vehicleIs.SteeredShare, 1)
		if o := r.Suspension; o != nil {
			t.ratio(travel, "bump", "suspension.bump", o.Bump.Value, s.radius)
			t.ratio(travel, "droop", "suspension.droop", o.Droop.Value, s.radius)
		}
	}
}

func or(value, otherwise float64) float64 {
	if value == 0 {
		return otherwise
	}
	return value
}

// size is what the parts of an axle are measured against.
type size struct {
	*traits
	v                                 *vehicle.Vehicle
	axle                              *vehicle.Axle
	wheelbase, track, radius, spacing float64
	// onChassis is whether its servo is fixed to the chassis.
	onChassis bool
}

func (s *size) measure() {
	left, right := s.v.Wheel(vehicle.Left), s.v.Wheel(vehicle.Right)
	s.wheelbase = math.Abs(s.axle.Middle.X - s.axle.Other)
	s.track = r3.Norm(r3.Sub(left.Centre.At, right.Centre.At))
	s.radius = (left.Radius + right.Radius) / 2
	s.spacing = r3.Norm(r3.Sub(kingpin(left), kingpin(right)))
}

// kingpin is where a wheel's kingpin passes the height of the axle's middle.
func kingpin(w *vehicle.Wheel) r3.Vec {
	return vehicle.AtHeight(0, w.Knuckle.Point, w.Knuckle.Axis)
}

// ahead is how far a place is towards the end of the vehicle from the axle's middle.
func (s *size) ahead(at r3.Vec) float64 { return s.axle.Ahead() * (at.X - s.axle.Middle.X) }

func (s *size) wheels(of *rig.OfAxle, struts bool) {
	key := s.v.Wheel(vehicle.Left).Centre.Key
	s.ratio(track, "", key, s.track, s.wheelbase)
	s.ratio(kingpinSpacing, "", s.v.Wheel(vehicle.Left).Knuckle.Key, s.spacing, s.track)
	for _, w := range s.v.Wheels {
		if w.Rule == vehicle.Mirrors && w.Knuckle.Rule == vehicle.Mirrors {
			continue
		}
		k, out := w.Knuckle, w.Side.Sign()
		s.ratio(tyreRadius, w.Name, w.Key+".tyre_radius", w.Radius, s.track)
		s.ratio(tyreWidth, w.Name, w.Key+".tyre_width", w.Width, w.Radius)
		s.given(patchLength, w.Name, w.Key+".patch_length", w.Patch, w.Radius)
		s.ratio(wheelAhead, w.Name, w.Centre.Key, s.ahead(w.Centre.At), s.radius)
		s.ratio(wheelHeight, w.Name, w.Centre.Key, w.Centre.At.Z, s.radius)
		s.ratio(kingpinAhead, k.Name, k.Key, s.ahead(kingpin(w)), s.radius)
		s.add(caster, k.Name, k.Key, s.axle.Ahead()*math.Atan2(-k.Axis.X, k.Axis.Z))
		s.add(inclination, k.Name, k.Key, math.Atan2(-out*k.Axis.Y, k.Axis.Z))
		s.add(camber, w.Name, w.Key+".camber", math.Asin(-w.Spindle.Z))
		s.add(toe, w.Name, w.Key+".toe", math.Atan2(w.Spindle.X, out*w.Spindle.Y))
	}
	top := kingpinTop
	if struts {
		top = strutTop
	}
	for _, one := range []*rig.Side{&of.Left, of.Right} {
		if one == nil || one.Kingpin == nil || !one.Kingpin.Top.Given() {
			continue
		}
		key := of.Prefix + "left.kingpin"
		if one == of.Right {
			key = of.Prefix + "right.kingpin"
		}
		s.ratio(top, "", key+".top", one.Kingpin.Top[2].Value, s.radius)
		s.ratio(kingpinBottom, "", key+".bottom", -one.Kingpin.Bottom[2].Value, s.radius)
	}
	l, r := s.v.Wheel(vehicle.Left), s.v.Wheel(vehicle.Right)
	s.alike(l.Centre, r.Centre)
	s.alike(l.Arm, r.Arm)
	s.unlike(unlike, r.Knuckle.Part, kingpin(l), kingpin(r))
	s.ratio(unlike, r.Name, r.Key, math.Abs(l.Radius-r.Radius), s.track)
	if a, b := s.inner(l), s.inner(r); a != nil && b != nil {
		s.alike(a, b)
	}
}

// alike adds by how much the right of two balls is not the left one's mirror image.
func (s *size) alike(left, right *vehicle.Ball) { s.unlike(unlike, right.Part, left.At, right.At) }

func (s *size) unlike(u *Usual, p vehicle.Part, left, right r3.Vec) {
	s.ratio(u, p.Name, p.Key, r3.Norm(r3.Sub(vehicle.Across(left), right)), s.track)
}

// inner is the other end of the rod to a wheel's arm, where that is not the other wheel's.
func (s *size) inner(w *vehicle.Wheel) *vehicle.Ball {
	for _, r := range s.v.Steering() {
		if r.From == w.Arm && r.To.On != s.v.Wheel(w.Side.Other()).Knuckle {
			return r.To
		}
	}
	return nil
}

// lengthOf finds what is usual of a steering rod's length.
func (s *size) lengthOf(r *vehicle.Rod) (*Usual, float64) {
	arms := 0
	for _, w := range s.v.Wheels {
		if r.From == w.Arm || r.To == w.Arm {
			arms++
		}
	}
	switch arms {
	case 2:
		return tieRod, s.spacing
	case 1:
		return halfRod, s.spacing
	}
	for _, servo := range s.v.Servos {
		if servo.Link == r {
			return link, s.track
		}
	}
	return middleLink, s.spacing
}

func (s *size) rods() {
	for _, r := range s.v.Steering() {
		from, to := s.v.There(r.From), s.v.There(r.To)
		along := r3.Sub(to, from)
		dist := r3.Norm(along)
		u, per := s.lengthOf(r)
		s.ratio(u, r.Name, r.Key, dist, per)
		if r.Measured {
			s.ratio(rodStraight, r.Name, r.Key+".length", r.Length, dist)
		}
		s.stock(r)
		level := slope
		switch {
		case s.travels(r):
			level = travelling
		case u == halfRod:
			level = shortSlope
		}
		s.add(level, r.Name, r.Key, math.Asin(along.Z/dist))
		for _, end := range []struct {
			ball *vehicle.Ball
			dir  r3.Vec
		}{{r.From, r3.Scale(1/dist, along)}, {r.To, r3.Scale(-1/dist, along)}} {
			s.rodEnd(r, end.ball, end.dir)
		}
		for _, a := range r.Along {
			s.ratio(tieRodBall, r.Name, r.Key+".along", a.Distance, dist)
			s.ratio(tieRodOffset, r.Name, r.Key+".offset", a.Offset.X, s.track)
			s.ratio(tieRodOffset, r.Name, r.Key+".offset", a.Offset.Y, s.track)
			s.ratio(tieRodOffset, r.Name, r.Key+".offset", a.Offset.Z, s.track)
		}
	}
}

// rodEnd adds what is usual of a rod at an arm: the arm, the angle between the two, that to a horn's plane,
// the height.
func (s *size) rodEnd(r *vehicle.Rod, at *vehicle.Ball, along r3.Vec) {
	body := at.On
	s.ratio(ballHeight, at.Name, at.Key, at.At.Z, s.radius)
	if body.Moves != vehicle.Turns {
		return
	}
	lever := r3.Sub(at.At, vehicle.Foot(at.At, body.Point, body.Axis))
	if body.Drive == vehicle.ByServo {
		tilt := hornTilt
		if s.travels(r) {
			tilt = travelling
		}
		s.add(tilt, r.Name, at.Key, math.Asin(r3.Dot(along, body.Axis)))
		s.add(hornAngle, r.Name, at.Key, math.Pi-math.Acos(r3.Cos(lever, along)))
		return
	}
	s.ratio(arm, at.Name, at.Key, r3.Norm(lever), s.track)
	s.add(rodEnd, r.Name, at.Key, math.Pi-math.Acos(r3.Cos(lever, along)))
}

// travels tells whether a rod runs from a servo on the chassis to a knuckle or a tie rod: it is as
// steep as the suspension wants it.
func (s *size) travels(r *vehicle.Rod) bool {
	servo := s.v.Leader()
	return s.onChassis && r == servo.Link && (servo.Far().On.Moves == vehicle.Between || s.v.WheelOn(servo.Far().On) != nil)
}

func (s *size) stock(r *vehicle.Rod) {
	k := &r.Stock
	if k.Shortest > 0 && k.Longest > 0 {
		own := *rodOwn
		own.Least, own.Most = k.Shortest, k.Longest
		s.add(&own, r.Name, r.Key, r.Length)
		s.ratio(rodRange, r.Name, r.Key+".longest", k.Longest, k.Shortest)
	}
	s.given(rodDiameter, r.Name, r.Key+".diameter", k.Diameter, s.track)
	s.given(rodBend, r.Name, r.Key+".bend", k.Bend, r.Length)
	s.given(threadPitch, r.Name, r.Key+".thread", k.Pitch, 1)
}

func (s *size) servos() {
	for _, x := range s.v.Servos {
		hole, far := x.Hole(), x.Far()
		s.ratio(horn, x.Name, x.Ball.Key, hole, s.track)
		if far.On.Moves == vehicle.Turns {
			s.ratio(hornToArm, x.Name, x.Ball.Key, hole, r3.Norm(r3.Sub(far.At, vehicle.Foot(far.At, far.On.Point, far.On.Axis))))
		}
		foot := vehicle.Foot(x.Ball.At, x.Horn.Point, x.Horn.Axis)
		s.ratio(reach, x.Name, x.Ball.Key, r3.Dot(r3.Sub(foot, x.Face), x.Horn.Axis), hole)
		s.ratio(servoHeight, x.Name, x.Key+".point", x.Face.Z, s.radius)
		s.ratio(servoAcross, x.Name, x.Key+".point", x.Face.Y, s.spacing)
		s.ratio(servoAlong, x.Name, x.Key+".point", s.ahead(x.Face), s.track)
		if x.Leader != nil {
			s.unlike(servosUnlike, x.Part, x.Leader.Face, x.Face)
			s.add(followsBy, x.Name, x.Key+".follows", math.Abs(x.Ratio))
		}
		if len(x.Holes) == 0 {
			continue
		}
		own := *holeOwn
		own.Least, own.Most = x.Holes[0], x.Holes[0]
		for _, h := range x.Holes {
			s.ratio(otherHoles, x.Name, strings.TrimSuffix(x.Ball.Key, ".ball")+".holes", h, hole)
			own.Least, own.Most = min(own.Least, h), max(own.Most, h)
		}
		s.add(&own, x.Name, x.Ball.Key, hole)
	}
}

// middle adds what is usual of the pivots of cranks and idlers. Two of them are mirror images.
func (s *size) middle() {
	var pivots []*vehicle.Body
	for _, r := range s.v.Steering() {
		for _, b := range []*vehicle.Body{r.From.On, r.To.On} {
			if b.Moves == vehicle.Turns && b.Drive == vehicle.ByRods && s.v.WheelOn(b) == nil && !slices.Contains(pivots, b) {
				pivots = append(pivots, b)
			}
		}
		if u, _ := s.lengthOf(r); u == middleLink {
			s.alike(r.From, r.To)
		}
	}
	for i, b := range pivots {
		s.ratio(crankAcross, b.Name, b.Key+".point", b.Point.Y, s.spacing)
		s.ratio(crankAlong, b.Name, b.Key+".point", s.ahead(b.Point), s.track)
		s.ratio(ballHeight, b.Name, b.Key+".point", b.Point.Z, s.radius)
		if i > 0 {
			s.unlike(unlike, b.Part, pivots[i-1].Point, b.Point)
		}
	}
}

func (s *size) limits() {
	usual := map[vehicle.LimitKind]*Usual{
		vehicle.OfTurn: stopAngle, vehicle.OfJoint: jointAngle, vehicle.OfRodEnd: endAngle, vehicle.OfServo: servoTravel,
	}
	for _, l := range s.v.Limits {
		if l.Rule != vehicle.Mirrors {
			s.add(usual[l.Kind], l.Name, l.Key, l.Most)
		}
	}
}

// suspension adds what is usual of the places of what carries the wheels.
func (s *size) suspension() {
	for _, r := range s.v.Rods {
		if r.Kind == vehicle.SteeringRod {
			continue
		}
		for _, b := range []*vehicle.Ball{r.From, r.To} {
			s.ratio(suspensionBall, b.Name, b.Key, b.At.Z, s.radius)
			s.ratio(suspensionAside, b.Name, b.Key, b.At.Y, s.spacing)
			s.ratio(suspensionAhead, b.Name, b.Key, s.ahead(b.At), s.wheelbase)
		}
	}
}

// readings adds what is usual of what the servo did at a setting.
func (t *traits) readings(a *rig.OfAxle) {
	all := a.Transmitter.Readings
	neutral := or(a.Transmitter.Neutral, 1500)
	for i := range all {
		one := &all[i]
		key := a.Prefix + "transmitter.reading." + string(rune('1'+i)) + ".angle"
		if !one.Angle.Given {
			continue
		}
		x, u := said(one, neutral)
		if u == nil || x == 0 {
			continue
		}
		slope := math.Abs(one.Angle.Value / degree / x)
		t.add(u, "", key, slope)
		for k := range i {
			other := &all[k]
			y, same := said(other, neutral)
			if u == trimReading && same == endpointReading && y != 0 && other.Angle.Given {
				t.add(trimToEndpoint, "", key, slope/math.Abs(other.Angle.Value/degree/y))
			}
			if same != u || other.Control != one.Control || y == 0 || !other.Angle.Given {
				continue
			}
			// Two readings lie on one line through neutral, or nearly: so do their differences.
			mean := (slope + math.Abs(other.Angle.Value/degree/y)) / 2
			t.add(readingsAgree, "", key, math.Abs((one.Angle.Value-other.Angle.Value)/degree)/max(math.Abs(x-y), 1e-3)/mean)
		}
	}
}

// said is what a reading was taken at, from neutral, and what is usual of its slope.
func said(r *rig.Reading, neutral float64) (float64, *Usual) {
	switch {
	case r.Pulse != nil:
		return *r.Pulse - neutral, pulseReading
	case r.Setting == nil:
		return 0, nil
	case r.Control == "" || r.Control == "endpoint":
		return *r.Setting, endpointReading
	}
	return *r.Setting, trimReading
}
