package rig

import (
	"fmt"
	"math"

	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// carrier writes what carries a solid axle. Arms and struts are written with their knuckles.
func (x *expander) carrier() error {
	if !x.suspended {
		return nil
	}
	u, a := x.r.Suspension, x.axleIs
	a.Key, a.Suspended, a.Bump, a.Droop = "suspension", true, u.Bump.Value, u.Droop.Value
	switch u.Kind {
	case "links":
		a.Solid = true
		x.links(u.Links)
	case "stated":
		a.Solid = true
		x.stated(u)
	}
	return nil
}

// links writes a solid axle that rods hold.
func (x *expander) links(all []Link) {
	x.axleIs.Body = x.body(&vehicle.Body{Part: x.part("axle", "suspension"), On: x.v.Chassis(), Moves: vehicle.Free, Drive: vehicle.ByTravel, Axis: r3.Vec{X: 1}})
	for i, l := range all {
		key := fmt.Sprintf("suspension.link.%d", i+1)
		name := x.unlike(l.Name+" link", i+1)
		var bolts [2]r3.Vec
		if l.EndAngle.Given {
			bolts = [2]r3.Vec{l.ChassisBolt.or(r3.Vec{}), l.AxleBolt.or(r3.Vec{})}
		}
		from := x.ball(x.part(name+"'s chassis end", key+".chassis"), x.v.Chassis(), x.at(l.Chassis), bolts[0])
		to := x.ball(x.part(name+"'s axle end", key+".axle"), x.axleIs.Body, x.at(l.Axle), bolts[1])
		t := Rod{EndAngle: l.EndAngle}
		r := x.add(x.rod(name, key, &t, from, to, "end on the chassis", "end on the axle"))
		r.Kind, r.Length = vehicle.SuspensionLink, r3.Norm(r3.Sub(from.At, to.At))
	}
}

// stated writes a solid axle that goes up and down, or about a line across the vehicle, and rolls
// about another.
func (x *expander) stated(u *Suspension) {
	heave := &vehicle.Body{Part: x.part("axle's rise", "suspension"), On: x.v.Chassis(), Moves: vehicle.Slides, Drive: vehicle.ByTravel, Axis: vehicle.Up}
	if u.Pivot.Given() {
		at := x.at(u.Pivot)
		x.axleIs.Pivot = &at
		heave = &vehicle.Body{Part: x.part("axle's swing", "suspension.pivot"), On: x.v.Chassis(), Moves: vehicle.Turns, Drive: vehicle.ByTravel, Point: at, Axis: r3.Vec{Y: 1}}
	}
	sin, cos := math.Sincos(u.RollLean.Value)
	x.axleIs.Body = x.body(&vehicle.Body{
		Part: x.part("axle", "suspension.roll_centre"), On: x.body(heave), Moves: vehicle.Turns, Drive: vehicle.ByTravel,
		Point: x.at(u.RollCentre), Axis: r3.Vec{X: cos, Z: -sin},
	})
}

// arms writes what carries a knuckle of its own: a lower arm, and an upper arm or a strut, whose
// mount on the chassis is the kingpin's top. The knuckle turns between the two balls.
func (x *expander) arms(w *vehicle.Wheel, top r3.Vec) error {
	a, key, mirrors := x.r.Suspension.Left, "suspension.left", w.Side == vehicle.Right
	if right := x.r.Suspension.Right; mirrors && right != nil {
		a, key, mirrors = right, "suspension.right", false
	}
	name, k := w.Side.String(), w.Knuckle
	part := func(what, table string) vehicle.Part {
		p := x.part(name+" "+what, key+"."+table)
		if mirrors {
			p.Rule = vehicle.Mirrors
		}
		return p
	}
	arm := func(what string, front, rear Point, end r3.Vec) (*vehicle.Body, error) {
		f, r := mirror(x.at(front), mirrors), mirror(x.at(rear), mirrors)
		line := r3.Sub(f, r)
		if r3.Norm(line) < shortest {
			return nil, impossible(key+"."+what+"_front", "measure two points well apart", "the arm's two hinges are in one place")
		}
		axis := r3.Unit(line)
		if r3.Norm(r3.Cross(axis, r3.Sub(end, r))) < 1 {
			return nil, impossible(key+"."+what+"_front", "check the hinges and the kingpin's ends", "the arm's ball is on its own hinge line")
		}
		return &vehicle.Body{Part: part(what+" arm", what+"_front"), On: x.v.Chassis(), Moves: vehicle.Turns, Point: r, Axis: axis, Hinges: []r3.Vec{f, r}}, nil
	}
	lower, err := arm("lower", a.LowerFront, a.LowerRear, k.Point)
	if err != nil {
		return err
	}
	lower.Drive = vehicle.ByTravel
	x.body(lower)
	kingpin := func(what, end string) vehicle.Part {
		p := k.Part
		p.Name, p.Key = x.names+name+" "+what, k.Key+"."+end
		return p
	}
	w.Risen = x.ball(kingpin("lower ball", "bottom"), lower, k.Point, r3.Vec{})
	k.On, k.Moves, k.Ends = x.v.Chassis(), vehicle.Between, [2]*vehicle.Ball{w.Risen, nil}
	if x.r.Suspension.Kind == "struts" {
		k.Ends[1] = x.ball(kingpin("strut's top mount", "top"), x.v.Chassis(), top, r3.Vec{})
		return nil
	}
	upper, err := arm("upper", a.UpperFront, a.UpperRear, top)
	if err != nil {
		return err
	}
	x.body(upper)
	k.Ends[1] = x.ball(kingpin("upper ball", "top"), upper, top, r3.Vec{})
	x.v.Rods = append(x.v.Rods, &vehicle.Rod{
		Part: kingpin("upright", "top"), Kind: vehicle.Upright, From: k.Ends[0], To: k.Ends[1], Length: r3.Norm(r3.Sub(k.Point, top)),
	})
	return nil
}
