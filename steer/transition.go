package steer

import (
	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/vehicle"
)

// What follows is for rooms that do not read Vehicle yet.

// Mechanism returns the handles of the linkage's parts.
func (m *Model) Mechanism() *rig.Mechanism {
	v, l := m.Vehicle, m.Linkage
	left, right := m.Wheels[Left], m.Wheels[Right]
	ball := func(name string) (linkage.Ball, linkage.Arrow) {
		if b := v.Ball(name); b != nil {
			return b.Handle, b.StudHandle
		}
		return 0, 0
	}
	rod := func(key string) linkage.Rod {
		if r := v.Rod(key); r != nil {
			return r.Handle
		}
		return 0
	}
	body := func(name string) linkage.Body {
		for _, b := range v.Bodies {
			if b.Name == name {
				return b.Handle
			}
		}
		return 0
	}
	k := &rig.Mechanism{
		Linkage: l.Linkage, Follow: l.Follow, Rise: l.Rise, Suspended: m.Axle.Suspended, Axle: m.Axle.Body.Handle, AxleLine: l.Line, AxleAhead: l.Ahead,
		Horn: m.Servo.Horn.Handle, Left: left.Knuckle.Handle, Right: right.Knuckle.Handle, TieRod: body("tie rod"), Crank: body("centre crank") + body("rack"),
		HornBall: m.Servo.Ball.Handle, HornStud: m.Servo.Ball.StudHandle, Pulled: m.Servo.Far().Handle, PulledStud: m.Servo.Far().StudHandle,
		HornFoot: m.Servo.Foot.Handle, PulledFoot: m.Servo.FarFoot.Handle, LeftTie: left.Arm.Handle, RightTie: right.Arm.Handle,
		LeftTieStud: left.Arm.StudHandle, RightTieStud: right.Arm.StudHandle, LeftCentre: left.Centre.Handle, RightCentre: right.Centre.Handle,
		LeftSpindle: left.SpindleHandle, RightSpindle: right.SpindleHandle, DragRod: m.Servo.Link.Handle, TieRodRod: rod("tie_rod"),
		LeftCrankRod: rod("crank.left_rod") + rod("rack.left_rod"), RightCrankRod: rod("crank.right_rod") + rod("rack.right_rod"), CentreLinkRod: rod("centre_link"),
		Idler: body("idler"), Plate: body("drag plate"), SecondRod: rod("second_servo.drag_link"), SecondHorn: body("second horn"),
	}
	k.LeftCrank, k.LeftCrankStud = ball("left inner ball")
	k.RightCrank, k.RightCrankStud = ball("right inner ball")
	k.CrankLink, _ = ball("crank's ball for the centre link")
	k.IdlerLink, _ = ball("idler's ball for the centre link")
	k.SecondBall, k.SecondStud = ball("second horn's ball")
	k.SecondPulled, k.SecondFarStud = ball("second drag link's far ball")
	for _, s := range v.Servos {
		if s.Leader != nil {
			k.SecondInput = s.Horn.Input
		}
	}
	for _, b := range v.Bodies {
		if b.Name == "tie rod" {
			k.TieRoll = b.Input
		}
	}
	if left.Risen != nil {
		k.TravelLeft, k.TravelRight = left.Risen.Handle, right.Risen.Handle
	}
	for side, h := range []*rig.ArmHandles{&k.LeftArms, &k.RightArms} {
		name := vehicle.Side(side).String()
		h.Lower, h.Upper = body(name+" lower arm"), body(name+" upper arm")
		h.LowerBall, _ = ball(name + " lower ball")
		if h.UpperBall, _ = ball(name + " upper ball"); h.Upper == 0 {
			h.UpperBall, _ = ball(name + " strut's top mount")
		}
	}
	for _, r := range v.Rods {
		if r.Kind == vehicle.SuspensionLink {
			k.Links = append(k.Links, rig.LinkHandles{Rod: r.Handle, Chassis: r.From.Handle, Axle: r.To.Handle, ChassisBolt: r.From.StudHandle, AxleBolt: r.To.StudHandle})
		}
	}
	for _, s := range v.Shapes {
		k.Parts = append(k.Parts, rig.PartHandles{On: s.On.Handle, From: s.From.Handle, To: s.To.Handle, Sides: s.Sides})
	}
	if j := left.Joint; j != nil && j.At != nil {
		k.LeftJoint, k.LeftShaft = j.At.Handle, j.Inner.Handle
	}
	if j := right.Joint; j != nil && j.At != nil {
		k.RightJoint, k.RightShaft = j.At.Handle, j.Inner.Handle
	}
	return k
}

// NewAdjusted is Build for the first axle.
func NewAdjusted(r *rig.Rig, a rig.Adjustment) (*Model, error) {
	o := Options{Suspended: a.Suspended && r.Suspension != nil}
	o.HornTurn, o.Straighten, o.Centre, o.Toe = a.HornTurn, a.Straighten, a.Centre, a.Toe
	for _, s := range a.Shifts {
		o.Shifts = append(o.Shifts, vehicle.Shift{Ball: rig.EndName(r, s.End), By: s.By})
	}
	return Build(r, o)
}

// ReadGeometry returns a number read off the geometry of the rig, with its uncertainty.
func (m *Model) ReadGeometry(f func(g *rig.Geometry) (float64, error)) (Result, error) {
	all, err := m.ReadRig(func(r *rig.Rig, moved Moved) ([]float64, error) {
		g, err := r.Adjusted(m.adjustment())
		if err != nil {
			return nil, err
		}
		x, err := f(g)
		return []float64{x}, err
	})
	if err != nil {
		return Result{}, err
	}
	return all[0], nil
}

func (m *Model) adjustment() rig.Adjustment {
	o := m.options
	a := rig.Adjustment{HornTurn: o.HornTurn, Straighten: o.Straighten, Centre: o.Centre, Toe: o.Toe, Suspended: o.Suspended}
	for _, s := range o.Shifts {
		for end := rig.HornEnd; end <= rig.RightOuter; end++ {
			if rig.EndName(m.Rig, end) == s.Ball {
				a.Shifts = append(a.Shifts, rig.Shift{End: end, By: s.By})
			}
		}
	}
	return a
}

// AckermannPercent is that of the first axle.
func (v *Values) AckermannPercent() (float64, bool) {
	inner, outer := v[Road.Of(Left)], v[Road.Of(Right)]
	if v[Curvature] < 0 {
		inner, outer = -outer, -inner
	}
	if inner < 3*degree {
		return 0, false
	}
	return Percent(inner, outer, outer-v[Ackermann]), true
}
