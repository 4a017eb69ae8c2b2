package steer

// Quantity names one number that steering gives at a servo angle.
type Quantity int

// The quantities. Angles are in radians, lengths in millimetres, curvatures in 1/mm.
const (
	// TurnLeft and TurnRight are the knuckles' turns about their kingpins from
	// straight ahead as measured.
	TurnLeft Quantity = iota
	TurnRight
	// RoadLeft and RoadRight are the road steer angles: the yaw of the wheel
	// planes seen from above, δ = atan2(-ax, ay) of the outward spindle a on the left.
	RoadLeft
	RoadRight
	// CamberLeft and CamberRight are the cambers, positive with the top outward: -asin az.
	CamberLeft
	CamberRight
	// HornAngle is the angle at the horn's ball, in space, between the horn and
	// the drag link: a right angle is square.
	HornAngle
	// FarAngle is the angle at the drag link's far ball, as a protractor reads it there, between
	// the link and the arm that it pulls (square to the kingpin or crank axis), or the left part of
	// the tie rod.
	FarAngle
	// LinkTravel is how far the horn has drawn the link along the link's
	// straight-ahead line, positive towards the far ball.
	LinkTravel
	// Curvature is that of the path of the middle of the other axle: the mean of CurvatureLeft and
	// CurvatureRight.
	Curvature
	// CurvatureLeft and CurvatureRight are the curvatures that each wheel alone asks for:
	// its axis, seen from above through its contact point, meets the other axle's line at 1/κ.
	CurvatureLeft
	CurvatureRight
	// Ackermann is how much further the outer wheel is turned than it would be
	// if its axis met the other axle's line where the inner wheel's does.
	Ackermann
	// OuterRadius is the radius of the circle that the outermost edge of the outer
	// front tyre's contact touches, about the turn centre of Curvature.
	OuterRadius
	// JointLeft and JointRight are the angles between the spindles and the axle's
	// line, at which the drive joints work.
	JointLeft
	JointRight
	// Leverage is the distance from where a rod goes over-centre: 0 there, 1 at best. Its
	// derivatives are not worked out: rates, sensitivities and uncertainties have a zero in its
	// place that says nothing.
	Leverage
	// NumQuantities is how many there are.
	NumQuantities
)

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
	TurnLeft:       {"turn_left", Radian, true, false},
	TurnRight:      {"turn_right", Radian, true, false},
	RoadLeft:       {"road_left", Radian, true, false},
	RoadRight:      {"road_right", Radian, true, false},
	CamberLeft:     {"camber_left", Radian, false, false},
	CamberRight:    {"camber_right", Radian, false, false},
	HornAngle:      {"horn_angle", Radian, false, false},
	FarAngle:       {"far_angle", Radian, false, false},
	LinkTravel:     {"link_travel", Millimetre, false, false},
	Curvature:      {"curvature", PerMillimetre, true, false},
	CurvatureLeft:  {"curvature_left", PerMillimetre, true, false},
	CurvatureRight: {"curvature_right", PerMillimetre, true, false},
	Ackermann:      {"ackermann_error", Radian, false, false},
	OuterRadius:    {"outer_radius", Millimetre, false, false},
	JointLeft:      {"joint_left", Radian, false, false},
	JointRight:     {"joint_right", Radian, false, false},
	Leverage:       {"leverage", One, false, true},
}

// Info returns the quantity's description.
func (q Quantity) Info() Info { return infos[q] }

// Values holds one number for each Quantity.
type Values [NumQuantities]float64

// Percent returns the Ackermann percentage of a pair of road angles given the pair's ideal outer
// angle: (δi - δo)/(δi - δo ideal) at the same inner angle. 100 is Ackermann, 0 is parallel
// (definition from memory; others exist, so it is printed with the figure).
func Percent(inner, outer, ideal float64) float64 { return 100 * (inner - outer) / (inner - ideal) }

// AckermannPercent returns the Ackermann percentage at v, and false within 3° of straight ahead,
// where it means nothing.
func (v *Values) AckermannPercent() (float64, bool) {
	inner, outer := v[RoadLeft], v[RoadRight]
	if v[Curvature] < 0 {
		inner, outer = -outer, -inner
	}
	if inner < 3*degree {
		return 0, false
	}
	return Percent(inner, outer, outer-v[Ackermann]), true
}
