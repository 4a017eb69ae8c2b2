package rig

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// Expand writes the rig out as the lists that describe it: measured angles and arm lengths become
// places, what the file leaves out on the right mirrors the left, rods that are not measured become
// as long as their balls make them. With suspended the suspension is in the lists; without it, or
// where the file has none, the steering stands as at ride height. The errors are *Error, naming the
// key of a measurement that cannot be.
func (r *Rig) Expand(suspended bool) (*vehicle.Vehicle, error) {
	v := &vehicle.Vehicle{Bodies: []*vehicle.Body{{Part: vehicle.Part{Name: "chassis"}}}}
	for axle := 1; axle <= axles; axle++ {
		a := r.Of(axle)
		if a == nil {
			continue
		}
		x := expander{v: v, r: r, OfAxle: a, number: axle, ends: map[*vehicle.Rod]rodEnds{}}
		if axle == 1 {
			x.suspended = suspended && r.Suspension != nil
		} else {
			x.names = "rear "
			// Its places are counted from the height of its own wheels' centres.
			x.middle = r3.Vec{X: -r.Vehicle.Wheelbase.Value, Z: a.Left.Wheel.TyreRadius.Value - r.Left.Wheel.TyreRadius.Value}
		}
		if err := x.axle(); err != nil {
			return nil, x.named(err)
		}
		if err := v.Adjust(axle, &vehicle.Adjustment{}); err != nil {
			return nil, err
		}
	}
	return v, nil
}

// expander writes one axle into the lists.
type expander struct {
	v *vehicle.Vehicle
	r *Rig
	*OfAxle
	number    int
	suspended bool
	// names begins the names of the axle's parts. Its places are counted from middle.
	names  string
	middle r3.Vec

	axleIs *vehicle.Axle
	wheels [2]*vehicle.Wheel
	// ends are what to call the two ends of each rod, and where they bind.
	ends map[*vehicle.Rod]rodEnds
}

type rodEnds struct {
	from, to string
	most     float64
}

// named puts an error in the words of the axle.
func (x *expander) named(err error) error {
	var e *Error
	if errors.As(err, &e) && !strings.HasPrefix(e.Key, x.Prefix) {
		e.Key, e.Remedy = x.Prefix+e.Key, x.says(e.Remedy)
	}
	return err
}

// axle writes the axle: what carries it, the servo and the knuckles, what is between them, and what
// they may not do.
func (x *expander) axle() error {
	x.axleIs = &vehicle.Axle{Part: x.part("axle", ""), Body: x.v.Chassis(), Middle: x.middle, Other: -x.r.Vehicle.Wheelbase.Value}
	x.axleIs.Key = "vehicle.wheelbase"
	if x.number > 1 {
		x.axleIs.Other = 0
	}
	x.v.Axles = append(x.v.Axles, x.axleIs)
	if err := x.carrier(); err != nil {
		return err
	}
	horn := x.body(&vehicle.Body{Part: x.part("horn", "servo"), On: x.mount(""), Moves: vehicle.Turns, Drive: vehicle.ByServo, Axis: x.Servo.Axis.or(vehicle.Up)})
	for _, side := range vehicle.Sides {
		if err := x.wheel(side); err != nil {
			return err
		}
	}
	to, far, err := x.pulled()
	if err != nil {
		return err
	}
	servo, err := x.servo(horn, far)
	if err != nil {
		return err
	}
	servo.Link = x.add(x.rod("drag link", "drag_link", &x.DragLink.Rod, servo.Ball, far, "rod end at the horn", "far rod end"))
	switch {
	case to.middle != nil:
		x.rodsFrom(to)
	case x.SecondServo != nil:
		if err := x.secondServo(servo); err != nil {
			return err
		}
	case to.tieRod != nil:
		x.add(to.tieRod)
	default:
		x.add(x.tieRod())
	}
	x.shapes(to)
	x.limits(servo)
	return nil
}

// part gives a part its name and its key.
func (x *expander) part(name, key string) vehicle.Part {
	return vehicle.Part{Name: x.names + name, Axle: x.number, Origin: vehicle.Origin{Key: x.Prefix + key}}
}

func (x *expander) body(b *vehicle.Body) *vehicle.Body {
	x.v.Bodies = append(x.v.Bodies, b)
	return b
}

func (x *expander) ball(p vehicle.Part, on *vehicle.Body, at, stud r3.Vec) *vehicle.Ball {
	b := &vehicle.Ball{Part: p, On: on, At: at, Stud: stud}
	x.v.Balls = append(x.v.Balls, b)
	return b
}

// at is where a point of the file is in the vehicle.
func (x *expander) at(p Point) r3.Vec { return r3.Add(x.middle, p.Vec()) }

// mount returns the body that carries what is fixed to the axle or to the chassis: by what it says
// itself, or else by what the servo is fixed to.
func (x *expander) mount(says string) *vehicle.Body {
	if says == "" {
		says = x.Servo.Mount
	}
	if says == "axle" {
		return x.axleIs.Body
	}
	return x.v.Chassis()
}

// sideOf returns what a side's table is made of: the key of the side whose file has it, and whether
// it is the left one's mirror image.
func sideOf[T any](r *Steering, side vehicle.Side, of func(s *Side) *T) (table *T, key string, mirrors bool) {
	if side == vehicle.Right && r.Right != nil && of(r.Right) != nil {
		return of(r.Right), "right", false
	}
	return of(&r.Left), "left", side == vehicle.Right
}

// mirror returns a place or a direction, or its mirror image.
func mirror(v r3.Vec, mirrors bool) r3.Vec {
	if mirrors {
		return vehicle.Across(v)
	}
	return v
}

// owned is the Part of something on a side, by the key of the table that says it.
func (x *expander) owned(name, side, table string, mirrors bool) vehicle.Part {
	p := x.part(name, side+"."+table)
	if mirrors {
		p.Rule = vehicle.Mirrors
	}
	return p
}

// wheel writes a wheel with its knuckle, and the knuckle's ball for the tie rod.
func (x *expander) wheel(side vehicle.Side) error {
	table, key, mirrors := sideOf(x.Steering, side, func(s *Side) *Wheel { return s.Wheel })
	w := &vehicle.Wheel{Part: x.owned(side.String()+" wheel", key, "wheel", mirrors), Side: side}
	if err := x.knuckle(w); err != nil {
		return err
	}
	centre := mirror(x.at(table.Centre), mirrors)
	centreKey := w.Key + ".centre"
	if !table.Centre.Given() {
		centre, centreKey = r3.Add(x.middle, r3.Vec{Y: side.Sign() * x.Track.Value / 2}), x.TrackKey
	}
	w.Spindle = vehicle.Spindle(table.Toe.Value, table.Camber.Value, side)
	w.Radius, w.Width, w.Patch = table.TyreRadius.Value, table.TyreWidth.Value, table.PatchLength.Value
	name := side.String() + " tie-rod ball"
	if x.TieRod == nil {
		name = side.String() + " outer ball"
	}
	var err error
	if w.Arm, err = x.arm(name, w, "tie_arm", func(s *Side) *Arm { return s.TieArm }); err != nil {
		return err
	}
	p := x.part(side.String()+" wheel's centre", "")
	p.Key, p.Rule = centreKey, w.Rule
	w.Centre = x.ball(p, w.Knuckle, centre, r3.Vec{})
	if x.axleIs.Solid {
		p.Name = x.names + "axle's " + side.String() + " end"
		w.Risen = x.ball(p, x.axleIs.Body, centre, r3.Vec{})
	}
	x.joint(w)
	x.wheels[side] = w
	x.v.Wheels = append(x.v.Wheels, w)
	return nil
}

// knuckle writes the body that turns about a kingpin: by two points, or by caster τ and inclination
// σ, with which, both measured in the planes they are named by (ISO 8855), the axis runs along
// (-tan τ, ∓tan σ, 1), left and right.
func (x *expander) knuckle(w *vehicle.Wheel) error {
	k, key, mirrors := sideOf(x.Steering, w.Side, func(s *Side) *Kingpin { return s.Kingpin })
	b := &vehicle.Body{Part: x.owned(w.Side.String()+" knuckle", key, "kingpin", mirrors), On: x.axleIs.Body, Moves: vehicle.Turns}
	var top r3.Vec
	if k.Top.Given() {
		b.Point, top = mirror(x.at(k.Bottom), mirrors), mirror(x.at(k.Top), mirrors)
		axis := r3.Sub(top, b.Point)
		if r3.Norm(axis) < shortest {
			return impossible(b.Key+".top", "measure two points well apart", "the two points on the kingpin are one")
		}
		b.Axis = r3.Unit(axis)
	} else {
		b.Point = mirror(x.at(k.Point), mirrors)
		b.Axis = r3.Unit(r3.Vec{X: -math.Tan(k.Caster.Value), Y: -w.Side.Sign() * math.Tan(k.Inclination.Value), Z: 1})
	}
	if b.Axis.Z < 0.3 {
		return impossible(b.Key, "check the points or angles", "the kingpin lies nearly flat, %.0f° from upright", math.Acos(b.Axis.Z)*180/math.Pi)
	}
	w.Knuckle = b
	if x.suspended && !x.axleIs.Solid {
		if err := x.arms(w, top); err != nil {
			return err
		}
	}
	x.body(b)
	return nil
}

// arm writes a knuckle's ball: its place, or where an arm of the measured length and direction
// ends, from the point where the kingpin passes the ball's height.
func (x *expander) arm(name string, w *vehicle.Wheel, table string, of func(s *Side) *Arm) (*vehicle.Ball, error) {
	a, key, mirrors := sideOf(x.Steering, w.Side, of)
	out, k := w.Side.Sign(), w.Knuckle
	at := mirror(x.at(a.Ball), mirrors)
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
		at = r3.Add(vehicle.AtHeight(x.middle.Z+a.Height.Value, k.Point, k.Axis), r3.Scale(a.Length.Value, d))
	}
	p := x.owned(name, key, table, mirrors)
	if r3.Norm(r3.Cross(k.Axis, r3.Sub(at, k.Point))) < shortest {
		return nil, impossible(p.Key, "check its place and the kingpin's", "the ball is on the kingpin axis, so that nothing can turn the knuckle by it")
	}
	return x.ball(p, k, at, mirror(a.Stud.or(vehicle.Up), mirrors)), nil
}

// shortest is the least length in mm of an arm, and between two points on an axis.
const shortest = 0.1

// joint writes the joint of a wheel's drive shaft. Where the shaft does not lie along the axle the
// joint is where the wheel's axis passes the kingpin.
func (x *expander) joint(w *vehicle.Wheel) {
	j, key, mirrors := sideOf(x.Steering, w.Side, func(s *Side) *AxleJoint { return s.AxleJoint })
	if j == nil {
		return
	}
	name := w.Side.String()
	p := x.owned(name+" axle joint", key, "axle_joint", mirrors)
	w.Joint = &vehicle.DriveJoint{Origin: p.Origin, Kind: j.Kind, MaxAngle: j.MaxAngle.Value}
	if !j.Inner.Given() {
		return
	}
	k := w.Knuckle
	across := r3.Cross(k.Axis, w.Spindle)
	n := r3.Cross(w.Spindle, across)
	t := r3.Dot(r3.Sub(w.Centre.At, k.Point), n) / r3.Dot(k.Axis, n)
	w.Joint.At = x.ball(p, k, r3.Add(k.Point, r3.Scale(t, k.Axis)), r3.Vec{})
	w.Joint.Inner = x.ball(x.owned(name+" shaft's inner joint", key, "axle_joint.inner", mirrors), x.axleIs.Body, mirror(x.at(j.Inner), mirrors), r3.Vec{})
}

// rod makes a rod of the steering, and notes what its ends are called.
func (x *expander) rod(name, key string, t *Rod, from, to *vehicle.Ball, fromEnd, toEnd string) *vehicle.Rod {
	r := &vehicle.Rod{Part: x.part(name, key), From: from, To: to, Length: t.Length.Value, Measured: t.Length.Given, Stock: t.stock()}
	if !r.Measured {
		r.Rule = "as long as the places of its balls make it"
	}
	x.ends[r] = rodEnds{"the " + r.Name + "'s " + fromEnd, "the " + r.Name + "'s " + toEnd, t.EndAngle.Value}
	return r
}

func (x *expander) add(r *vehicle.Rod) *vehicle.Rod {
	x.v.Rods = append(x.v.Rods, r)
	return r
}

func (t *Rod) stock() vehicle.Stock {
	s := vehicle.Stock{
		Thread: t.Thread, Pitch: t.Pitch.Value, Adjust: t.Adjust, Shortest: t.Shortest.Value, Longest: t.Longest.Value,
		Material: t.Material, Diameter: t.Diameter.Value, Bore: t.Bore.Value, Bend: t.Bend.Value,
	}
	if !t.Pitch.Given {
		s.Pitch, _ = ThreadPitch(t.Thread)
	}
	s.ThreadDiameter, _ = ThreadDiameter(t.Thread)
	return s
}

// limits writes what the knuckles, the drive joints, the rods' ends and the servo may not do.
func (x *expander) limits(servo *vehicle.Servo) {
	add := func(l vehicle.Limit, p vehicle.Part) {
		if l.Most > 0 {
			l.Part = p
			x.v.Limits = append(x.v.Limits, &l)
		}
	}
	for _, w := range x.wheels {
		s, key, mirrors := sideOf(x.Steering, w.Side, func(s *Side) *Stops { return s.Stops })
		if s == nil {
			continue
		}
		name, out := "the "+w.Knuckle.Name+"'s ", w.Side.Sign()
		l := vehicle.Limit{Kind: vehicle.OfTurn, Most: s.In.Value, Body: w.Knuckle, Sign: -out, Mark: w.Arm}
		add(l, x.called(name+"inward stop", x.owned("", key, "stops.in", mirrors)))
		l.Most, l.Sign = s.Out.Value, out
		add(l, x.called(name+"outward stop", x.owned("", key, "stops.out", mirrors)))
	}
	for _, w := range x.wheels {
		if j := w.Joint; j != nil {
			p := x.called("the "+x.names+w.Side.String()+" axle joint", vehicle.Part{Axle: x.number, Origin: j.Origin})
			p.Key += ".max_angle"
			add(vehicle.Limit{Kind: vehicle.OfJoint, Most: j.MaxAngle, Wheel: w}, p)
		}
	}
	for _, kind := range []vehicle.RodKind{vehicle.SteeringRod, vehicle.SuspensionLink} {
		for _, r := range x.v.Rods {
			if e, mine := x.ends[r]; mine && r.Kind == kind && r.From.Stud != (r3.Vec{}) {
				p := vehicle.Part{Axle: x.number, Origin: vehicle.Origin{Key: r.Key + ".end_angle"}}
				add(vehicle.Limit{Kind: vehicle.OfRodEnd, Most: e.most, Rod: r, End: r.From}, x.called(e.from, p))
				add(vehicle.Limit{Kind: vehicle.OfRodEnd, Most: e.most, Rod: r, End: r.To}, x.called(e.to, p))
			}
		}
	}
	add(vehicle.Limit{Kind: vehicle.OfServo, Most: servo.Travel, Servo: servo}, x.called("the "+servo.Name+"'s own travel", x.part("", "servo.travel")))
}

// called names a part.
func (x *expander) called(name string, p vehicle.Part) vehicle.Part {
	p.Name = name
	return p
}

// shapes writes the things that the steering must clear.
func (x *expander) shapes(to *layout) {
	if x.number > 1 {
		return // what is to be cleared is stated for the front axle
	}
	on := map[string]*vehicle.Body{
		"chassis": x.v.Chassis(), "axle": x.axleIs.Body, "horn": x.v.Servos[0].Horn,
		"left_knuckle": x.wheels[vehicle.Left].Knuckle, "right_knuckle": x.wheels[vehicle.Right].Knuckle, "crank": to.middle, "rack": to.middle,
	}
	if to.tieRod != nil {
		on["tie_rod"] = to.tieRod.Body
	}
	for i, p := range x.r.Parts {
		key := fmt.Sprintf("part.%d", i+1)
		name := x.unlike(p.Name, i+1)
		s := &vehicle.Shape{Part: x.part(name, key), Kind: shapeKinds[p.Shape], On: on[p.On], Radius: p.Radius.Value, Gap: p.Gap.Value, Half: r3.Scale(0.5, p.Size.Vec())}
		if s.Kind == vehicle.BarShape {
			s.From = x.ball(x.part(name+"'s one end", key+".from"), s.On, x.at(p.From), r3.Vec{})
			s.To = x.ball(x.part(name+"'s other end", key+".to"), s.On, x.at(p.To), r3.Vec{})
		} else {
			s.From = x.ball(x.part(name+"'s middle", key+".centre"), s.On, x.at(p.Centre), r3.Vec{})
			s.To = s.From
		}
		x.v.Shapes = append(x.v.Shapes, s)
	}
}

// unlike returns a name that the builder gave, with its number where something that it could be taken
// for has it already: a rod, a tyre, another part.
func (x *expander) unlike(name string, number int) string {
	taken := false
	for _, r := range x.v.Rods {
		taken = taken || r.Name == name
	}
	for _, w := range x.v.Wheels {
		taken = taken || w.Tyre() == name
	}
	for _, s := range x.v.Shapes {
		taken = taken || s.Name == name
	}
	if taken {
		return fmt.Sprintf("%s (%d)", name, number)
	}
	return name
}

var shapeKinds = map[string]vehicle.ShapeKind{"ball": vehicle.BallShape, "bar": vehicle.BarShape, "box": vehicle.BoxShape}

// impossible reports a rig whose measurements cannot be of one vehicle.
func impossible(key, remedy, format string, args ...any) error {
	return &Error{Key: key, Problem: fmt.Sprintf(format, args...), Remedy: remedy}
}
