package steer

// Quantity names one number that steering gives at a servo angle.
type Quantity int

// The quantities of the axle. Angles are in radians, lengths in millimetres, curvatures in 1/mm;
// those of a wheel are WheelQuantities.
const (
	turn Quantity = 2 * iota
	road
	camber
	// HornAngle is the angle at the horn's ball, in space, between the horn and
	// the drag link: a right angle is square.
	HornAngle Quantity = iota + 3
	// FarAngle is the angle at the drag link's far ball, as a protractor reads it there, between
	// the link and the arm that it pulls (square to the kingpin or crank axis), or the left part of
	// the tie rod.
	FarAngle
	// LinkTravel is how far the horn has drawn the link along the link's
	// straight-ahead line, positive towards the far ball.
	LinkTravel
	// Curvature is that of the path of the middle of the axle steered against, positive with the
	// wheels to the left: the mean of both wheels' WheelCurvature.
	Curvature
	wheelCurvature
	_
	// Ackermann is how much further the outer wheel is turned than it would be
	// if its axis met the other axle's line where the inner wheel's does.
	Ackermann
	// OuterRadius is the radius of the circle that the outermost edge of the outer
	// tyre's contact touches, about the turn centre of Curvature.
	OuterRadius
	joint
	_
	// Leverage is the distance from where a rod goes over-centre: 0 there, 1 at best. Its
	// derivatives are not worked out: rates, sensitivities and uncertainties have a zero in its
	// place that says nothing.
	Leverage
	// NumQuantities is how many there are.
	NumQuantities
)

// WheelQuantity names a number that each wheel has.
type WheelQuantity int

// The quantities of a wheel.
const (
	// Turn is the knuckle's turn about its kingpin from straight ahead as measured.
	Turn WheelQuantity = iota
	// Road is the road steer angle: the yaw of the wheel's plane seen from above, δ =
	// atan2(-ax, ay) of the outward spindle a on the left.
	Road
	// Camber is positive with the top outward: -asin az.
	Camber
	// WheelCurvature is the curvature that the wheel alone asks for: its axis, seen from above
	// through its contact point, meets the other axle's line at 1/κ.
	WheelCurvature
	// Joint is the angle between the spindle and the shaft that drives it, along the axle's line
	// unless the rig says otherwise, at which the drive joint works.
	Joint
)

// Of is the quantity of the wheel on a side.
func (q WheelQuantity) Of(side Side) Quantity {
	return [...]Quantity{turn, road, camber, wheelCurvature, joint}[q] + Quantity(side)
}

// Unit is the unit that a quantity has inside the program.
type Unit int

// The units.
const (
	Radian Unit = iota
	Millimetre
	PerMillimetre
	One
)

// Info describes a quantity for tables and files. What people read of it is package report's.
type Info struct {
	// Key is its name in files.
	Key  string
	Unit Unit
	// Signed quantities have a side: positive is to the left.
	Signed bool
	// Bare quantities have neither rate nor uncertainty.
	Bare bool
}

var infos = [NumQuantities]Info{
	turn:               {"turn_left", Radian, true, false},
	turn + 1:           {"turn_right", Radian, true, false},
	road:               {"road_left", Radian, true, false},
	road + 1:           {"road_right", Radian, true, false},
	camber:             {"camber_left", Radian, false, false},
	camber + 1:         {"camber_right", Radian, false, false},
	HornAngle:          {"horn_angle", Radian, false, false},
	FarAngle:           {"far_angle", Radian, false, false},
	LinkTravel:         {"link_travel", Millimetre, false, false},
	Curvature:          {"curvature", PerMillimetre, true, false},
	wheelCurvature:     {"curvature_left", PerMillimetre, true, false},
	wheelCurvature + 1: {"curvature_right", PerMillimetre, true, false},
	Ackermann:          {"ackermann_error", Radian, false, false},
	OuterRadius:        {"outer_radius", Millimetre, false, false},
	joint:              {"joint_left", Radian, false, false},
	joint + 1:          {"joint_right", Radian, false, false},
	Leverage:           {"leverage", One, false, true},
}

// Info returns the quantity's description.
func (q Quantity) Info() Info { return infos[q] }

// Values holds one number for each Quantity.
type Values [NumQuantities]float64

// Percent returns the Ackermann percentage of a pair of road angles given the pair's ideal outer
// angle: (δi - δo)/(δi - δo ideal) at the same inner angle. 100 is Ackermann, 0 is parallel
// (definition from memory; others exist, so it is printed with the figure).
func Percent(inner, outer, ideal float64) float64 { return 100 * (inner - outer) / (inner - ideal) }

// AckermannPercent returns the Ackermann percentage at values of the model, and false within 3° of
// straight ahead, where it means nothing.
func (m *Model) AckermannPercent(v *Values) (float64, bool) {
	side := Left
	if v[Curvature] < 0 {
		side = Right
	}
	inner, outer := m.Inner(side), m.Inner(side).Other()
	in, out := side.Sign()*v[Road.Of(inner)], side.Sign()*v[Road.Of(outer)]
	if in < 3*degree {
		return 0, false
	}
	return Percent(in, out, out-v[Ackermann]), true
}
