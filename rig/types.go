package rig

// Format is the version of the rig file that this package writes. Older
// versions stay readable; a newer one is refused.
const Format = 1

// Length is a measured length in millimetres. The unit in the file is
// millimetres or inches; it is converted when read.
type Length struct{ Quantity }

// Angle is a measured angle in radians. The unit in the file is degrees.
type Angle struct{ Quantity }

// Torque is a torque in newton millimetres. The file states its unit: N·m, kg·cm (which is
// kgf·cm), oz·in (ozf·in), N·cm or N·mm; it is converted when read.
type Torque struct{ Quantity }

// Quantity is a measured value with its uncertainty, both in the unit of the
// type that embeds it.
//
// Uncertainty is the half-width of the interval that holds the true value with
// about 95 % confidence (coverage factor 2 in the words of JCGM 100), the way a
// builder means "24.5 ± 0.2". Zero means that it is taken as exact.
type Quantity struct {
	Value       float64
	Uncertainty float64
	// Given tells a stated value from one left out of the file.
	Given bool
}

// Point is a place in the vehicle frame: X forward, Y left, Z up (ISO 8855), in
// millimetres, from the middle of the steered axle at wheel-centre height.
type Point [3]Length

// Given reports whether the point was stated.
func (p Point) Given() bool { return p[0].Given }

// Direction is a direction in the vehicle frame. In the file it is one of the
// words forward, back, left, right, up, down, or three numbers of any length.
// It is stored as a unit vector; the zero vector means that it was left out.
type Direction [3]float64

// Given reports whether the direction was stated.
func (d Direction) Given() bool { return d != Direction{} }

// The struct tags of the types below are the one description of the file, for
// reading, writing and the schema alike:
//
//	toml      the key; a key without omitempty must be there
//	doc       what it is
//	enum      the words that it may be
//	need      tables that must be in it
//	min, max, above
//	          bounds, in degrees for an angle and as they stand for a plain
//	          number; a length or a torque has only the bound zero
//	default   what it is when left out, in the same units; a Quantity then stays
//	          not Given
//	screen    endpoint, subtrim, trim or reading: a number on the transmitter's screen, whose greatest
//	          depends on what that shows
//	accuracy  "none" for a choice, a limit or a catalogue number, which is not a
//	          measurement and so does not take its uncertainty from [accuracy]

// Rig is one measured vehicle with one steered axle: the content of one rig file.
type Rig struct {
	Format   int      `toml:"format" min:"1" doc:"version of the file's format, which is 1"`
	Name     string   `toml:"name" doc:"what the builder calls the rig"`
	Notes    string   `toml:"notes,omitempty" doc:"anything worth keeping"`
	Unit     string   `toml:"unit,omitempty" doc:"unit of lengths that state none" enum:"mm,in"`
	Accuracy Accuracy `toml:"accuracy,omitempty" doc:"uncertainty of measured values that state none of their own"`
	Vehicle  Vehicle  `toml:"vehicle" doc:"the vehicle as a whole"`
	Steering
	Rear       *Rear       `toml:"rear,omitempty" doc:"a rear axle that steers, with its own servo"`
	Suspension *Suspension `toml:"suspension,omitempty" doc:"what carries the steered axle or wheels, for what travel does to the steering"`
	Parts      []Part      `toml:"part,omitempty" doc:"a thing that the steering must clear, as a simple shape"`
	Control
	Ground Ground `toml:"ground,omitempty" doc:"what the steered wheels stand on, for the loads"`
	Supply Supply `toml:"supply,omitempty" doc:"what feeds the servo"`
	Saver  *Saver `toml:"servo_saver,omitempty" doc:"a spring between servo and horn that yields"`
}

// Steering is what one axle steers with.
type Steering struct {
	Left        Side         `toml:"left" need:"kingpin,wheel,tie_arm" doc:"the left wheel and its knuckle, measured with the wheels straight ahead"`
	Right       *Side        `toml:"right,omitempty" doc:"what differs on the right; a table left out mirrors the left one"`
	TieRod      *TieRod      `toml:"tie_rod,omitempty" doc:"the rod that joins the two knuckles"`
	Servo       Servo        `toml:"servo" doc:"the steering servo"`
	Horn        Horn         `toml:"horn" doc:"the servo's horn"`
	DragLink    DragLink     `toml:"drag_link" doc:"the rod from the horn"`
	Crank       *Crank       `toml:"crank,omitempty" doc:"a centre crank between the drag link and two rods, one to each knuckle"`
	Idler       *Idler       `toml:"idler,omitempty" doc:"a second crank, joined to the centre crank by a centre link or a drag plate, that takes one of the two rods"`
	CentreLink  *CentreLink  `toml:"centre_link,omitempty" doc:"what joins the centre crank to the idler"`
	Rack        *Rack        `toml:"rack,omitempty" doc:"a bar that slides, between the drag link and two rods, one to each knuckle"`
	SecondServo *SecondServo `toml:"second_servo,omitempty" doc:"a servo of its own for the knuckle that the drag link does not pull, with no tie rod"`
}

// Control is how a servo is told where to go, and what is wanted of that.
type Control struct {
	Transmitter Transmitter `toml:"transmitter,omitempty" doc:"what the transmitter can do and how far it moves the servo"`
	Settings    Settings    `toml:"settings,omitempty" doc:"what the transmitter is set to now"`
	Want        Want        `toml:"want,omitempty" doc:"what the builder wants of the set-up"`
}

// Accuracy holds the uncertainties given to measured values that state none.
type Accuracy struct {
	Length Length `toml:"length,omitempty" accuracy:"none" min:"0" doc:"for lengths, such as 0.2"`
	Angle  Angle  `toml:"angle,omitempty" accuracy:"none" min:"0" max:"45" doc:"for angles, such as 1"`
}

// Vehicle holds the dimensions of the whole vehicle.
type Vehicle struct {
	Wheelbase Length `toml:"wheelbase" above:"0" doc:"steered axle to the other axle"`
	Track     Length `toml:"track,omitempty" above:"0" doc:"between the middles of the two tyres at wheel-centre height; leave out if the wheel centres are given"`
	// Mass in kg.
	Mass         float64 `toml:"mass,omitempty" above:"0" max:"1000" doc:"mass ready to drive, in kilograms"`
	SteeredShare float64 `toml:"steered_share,omitempty" above:"0" max:"100" doc:"part of the weight on the steered axle on level ground, in percent"`
	WeightHeight Length  `toml:"weight_height,omitempty" accuracy:"none" above:"0" doc:"height of the centre of gravity above the ground, for slopes"`
}

// Side holds one wheel with its knuckle. Every place is measured with the wheel
// straight ahead. A right side left out, or a table of it left out, mirrors the
// left; a table present replaces the mirrored one whole.
type Side struct {
	Kingpin   *Kingpin   `toml:"kingpin,omitempty" doc:"the axis that the knuckle turns about"`
	Wheel     *Wheel     `toml:"wheel,omitempty" doc:"the wheel and tyre"`
	TieArm    *Arm       `toml:"tie_arm,omitempty" doc:"the ball for the tie rod (or for the centre crank's rod)"`
	DragArm   *Arm       `toml:"drag_arm,omitempty" doc:"the ball for the drag link, on the knuckle that has one"`
	Stops     *Stops     `toml:"stops,omitempty" doc:"where the knuckle meets something"`
	AxleJoint *AxleJoint `toml:"axle_joint,omitempty" doc:"the joint in the drive shaft inside the knuckle"`
}

// Kingpin is the steering axis: either two points on it, or one point with the
// caster and kingpin inclination angles (ISO 8855).
type Kingpin struct {
	Top         Point `toml:"top,omitempty" doc:"a point on the axis, above"`
	Bottom      Point `toml:"bottom,omitempty" doc:"a point on the axis, below"`
	Point       Point `toml:"point,omitempty" doc:"any point on the axis, when its lean is given by angles"`
	Caster      Angle `toml:"caster,omitempty" min:"-60" max:"60" doc:"lean of the top to the rear, seen from the side"`
	Inclination Angle `toml:"inclination,omitempty" min:"-60" max:"60" doc:"lean of the top to the middle, seen from the front"`
}

// Wheel is a wheel and its tyre.
type Wheel struct {
	Centre     Point  `toml:"centre,omitempty" doc:"middle of the wheel; left out, it is half the track to the side"`
	Toe        Angle  `toml:"toe,omitempty" min:"-30" max:"30" doc:"how far the front of this wheel points to the middle when straight ahead"`
	Camber     Angle  `toml:"camber,omitempty" min:"-45" max:"45" doc:"lean of the wheel's top away from the middle"`
	TyreRadius Length `toml:"tyre_radius" above:"0" doc:"wheel centre to the ground"`
	TyreWidth  Length `toml:"tyre_width" above:"0" doc:"width of the tyre"`
	// PatchLength is that of the tyre's print on the ground.
	PatchLength Length `toml:"patch_length,omitempty" accuracy:"none" above:"0" doc:"length of the tyre's print on the ground under its load, front to back"`
}

// Arm is a ball on a knuckle: either its place, or what a protractor and
// calipers find from above: the arm's length from the kingpin axis at the ball's
// height, which way it points, how far it leans to the middle, and the height.
type Arm struct {
	Ball   Point  `toml:"ball,omitempty" doc:"place of the ball's centre"`
	Length Length `toml:"length,omitempty" above:"0" doc:"from the kingpin axis to the ball, seen from above"`
	Points string `toml:"points,omitempty" doc:"which way the arm points" enum:"forward,back,inward,outward"`
	Inward Angle  `toml:"inward,omitempty" min:"-90" max:"90" doc:"how far the arm's end is swung from there: to the middle for forward and back, to the front for inward and outward"`
	Height Length `toml:"height,omitempty" doc:"the ball above the wheel centre; below is negative"`
	// Stud is the direction of the ball's stud; left out, it is upright.
	Stud Direction `toml:"stud,omitempty" doc:"direction of the ball's stud, up if left out"`
}

// Stops are the turns about the kingpin, from straight ahead, at which the
// knuckle meets something.
type Stops struct {
	In  Angle `toml:"in,omitempty" accuracy:"none" above:"0" max:"90" doc:"greatest turn of the wheel's front to the middle"`
	Out Angle `toml:"out,omitempty" accuracy:"none" above:"0" max:"90" doc:"greatest turn of the wheel's front away from the middle"`
}

// AxleJoint is the joint of a driven steered wheel, taken at the kingpin.
type AxleJoint struct {
	Kind     string `toml:"kind" doc:"what joint it is" enum:"universal,constant-velocity"`
	MaxAngle Angle  `toml:"max_angle" accuracy:"none" above:"0" max:"90" doc:"the angle at which it binds"`
	Inner    Point  `toml:"inner,omitempty" doc:"with arms or struts: the drive shaft's inner joint; left out, or with a solid axle, the shaft lies along the axle"`
}

// Rod is what the drag link and the tie rod have in common.
type Rod struct {
	Length   Length `toml:"length,omitempty" above:"0" doc:"ball centre to ball centre; left out, it is what makes the wheels straight at neutral"`
	Thread   string `toml:"thread,omitempty" doc:"its thread, such as M3"`
	Pitch    Length `toml:"pitch,omitempty" accuracy:"none" above:"0" doc:"thread pitch, where the thread is not an ISO 261 coarse one"`
	Adjust   string `toml:"adjust,omitempty" doc:"how its length changes: a turnbuckle by two pitches a turn, plain ends by one, plain half-turn only in half turns" enum:"turnbuckle,plain,plain-half-turn,fixed"`
	Shortest Length `toml:"shortest,omitempty" accuracy:"none" above:"0" doc:"shortest length that it can be set to"`
	Longest  Length `toml:"longest,omitempty" accuracy:"none" above:"0" doc:"longest length that it can be set to"`
	EndAngle Angle  `toml:"end_angle,omitempty" accuracy:"none" above:"0" max:"90" doc:"greatest misalignment of its rod ends from square to the stud"`
	Material string `toml:"material,omitempty" doc:"what the rod is made of, for its strength" enum:"steel,stainless,titanium,aluminium,brass,carbon,nylon"`
	Diameter Length `toml:"diameter,omitempty" accuracy:"none" above:"0" doc:"outer diameter; on a solid rod up to one and a half times as thick as its thread, the thread is taken to be cut on it"`
	Bore     Length `toml:"bore,omitempty" accuracy:"none" above:"0" doc:"inner diameter of a tube; a solid rod leaves it out"`
	Bend     Length `toml:"bend,omitempty" accuracy:"none" above:"0" doc:"how far the middle of a bent rod is off the line between its balls"`
}

// TieRod joins the left and right tie_arm balls.
type TieRod struct {
	Rod
	// Along and Offset place the ball that a drag link may use.
	Along  Length `toml:"along,omitempty" above:"0" doc:"drag-link ball: distance from the left ball, along the rod"`
	Offset Point  `toml:"offset,omitempty" doc:"drag-link ball: how far it sits from the rod's line; the rod is taken not to roll"`
	// Stud is the direction of the drag-link ball's stud.
	Stud Direction `toml:"stud,omitempty" doc:"direction of that ball's stud, up if left out"`
}

// DragLink joins the horn to what it pulls.
type DragLink struct {
	Rod
	To string `toml:"to" doc:"what the drag link pulls" enum:"left,right,tie_rod,crank,rack"`
}

// Crank is a bell crank on the chassis or axle that takes the drag link and
// moves both knuckles through a rod each.
type Crank struct {
	Point     Point     `toml:"point" doc:"a point on the crank's axis"`
	Axis      Direction `toml:"axis,omitempty" doc:"direction of its axis, up if left out"`
	DragBall  Point     `toml:"drag_ball" doc:"ball for the drag link"`
	LeftBall  Point     `toml:"left_ball" doc:"ball for the rod to the left knuckle"`
	RightBall Point     `toml:"right_ball" doc:"ball for the rod to the right knuckle"`
	LeftRod   Rod       `toml:"left_rod,omitempty" doc:"rod to the left knuckle"`
	RightRod  Rod       `toml:"right_rod,omitempty" doc:"rod to the right knuckle"`
	Mount     string    `toml:"mount,omitempty" doc:"what it is fixed to; what the servo is fixed to if left out" enum:"axle,chassis"`
	LinkBall  Point     `toml:"link_ball,omitempty" doc:"ball or pin for the centre link, where there is an idler"`
}

// Idler is the second of two bell cranks. It is fixed to what the centre crank is fixed to.
type Idler struct {
	Point    Point     `toml:"point" doc:"a point on the idler's axis"`
	Axis     Direction `toml:"axis,omitempty" doc:"direction of its axis, up if left out"`
	LinkBall Point     `toml:"link_ball" doc:"ball or pin for the centre link"`
	// Side is that of the knuckle whose rod it takes; the centre crank keeps the other.
	Side string `toml:"side,omitempty" doc:"the knuckle whose rod it takes, at crank.left_ball or crank.right_ball; left out with a plate, which takes both" enum:"left,right"`
}

// CentreLink joins the centre crank's link_ball to the idler's.
type CentreLink struct {
	Rod
	Plate bool `toml:"plate,omitempty" doc:"whether it is a drag plate, which carries crank.left_ball and crank.right_ball itself"`
}

// Rack is a bar that slides along a line and takes the place of a centre crank.
type Rack struct {
	Slides    Direction `toml:"slides,omitempty" doc:"the line that it slides along, left if left out"`
	DragBall  Point     `toml:"drag_ball" doc:"ball for the drag link"`
	LeftBall  Point     `toml:"left_ball" doc:"ball for the rod to the left knuckle"`
	RightBall Point     `toml:"right_ball" doc:"ball for the rod to the right knuckle"`
	LeftRod   Rod       `toml:"left_rod,omitempty" doc:"rod to the left knuckle"`
	RightRod  Rod       `toml:"right_rod,omitempty" doc:"rod to the right knuckle"`
	Mount     string    `toml:"mount,omitempty" doc:"what it is fixed to; what the servo is fixed to if left out" enum:"axle,chassis"`
}

// SecondServo steers the other knuckle, at its drag_arm, by itself.
type SecondServo struct {
	Mount string    `toml:"mount" doc:"what it is fixed to" enum:"axle,chassis"`
	Point Point     `toml:"point" doc:"a point on the axis of the output shaft"`
	Axis  Direction `toml:"axis" doc:"direction that the horn's face looks in, along the output shaft"`
	Ball  Point     `toml:"ball" doc:"place of its horn's ball at the neutral pulse"`
	// Follows is the ratio of its angle to the first servo's.
	Follows  float64 `toml:"follows" min:"-5" max:"5" doc:"how many degrees it turns for each degree of the first; below 0 the other way round"`
	DragLink Rod     `toml:"drag_link,omitempty" doc:"the rod from its horn"`
}

// Rear is a rear axle that steers. It is measured as the front one is, from the middle of the rear
// axle: X forward, Y left, Z up.
type Rear struct {
	Track Length `toml:"track,omitempty" above:"0" doc:"between the middles of the two rear tyres at wheel-centre height; leave out if the wheel centres are given"`
	Steering
	Control
}

// Suspension is what carries the steered wheels. The chassis is taken to stand still, and the
// wheels to rise and fall. Every place is measured at ride height.
type Suspension struct {
	Kind  string `toml:"kind" doc:"links: a solid axle on four links, or on three and a panhard rod; stated: a solid axle that goes as the keys below say, as on leaves or trailing arms; arms: two arms to each wheel; struts: an arm and a strut to each wheel" enum:"links,stated,arms,struts"`
	Bump  Length `toml:"bump" accuracy:"none" above:"0" doc:"how far each wheel can rise from ride height"`
	Droop Length `toml:"droop" accuracy:"none" above:"0" doc:"how far each wheel can fall from ride height"`
	Links []Link `toml:"link,omitempty" doc:"links: one of the four rods between chassis and axle, a panhard rod among them"`
	// Pivot, RollCentre and RollLean are of a stated motion.
	Pivot      Point `toml:"pivot,omitempty" doc:"stated: a point on the line across the vehicle that the axle swings about as both its wheels rise, such as the hinge of trailing arms; left out, it goes straight up and down"`
	RollCentre Point `toml:"roll_centre,omitempty" doc:"stated: a point on the line that the axle rolls about as one wheel rises and the other falls"`
	RollLean   Angle `toml:"roll_lean,omitempty" min:"-45" max:"45" doc:"stated: how far that line falls to the front, seen from the side"`
	Left       *Arms `toml:"left,omitempty" doc:"arms, struts: what carries the left knuckle"`
	Right      *Arms `toml:"right,omitempty" doc:"arms, struts: what differs on the right; left out, it mirrors the left"`
}

// Link is one rod that holds a solid axle.
type Link struct {
	Name     string `toml:"name" doc:"what to call it, such as lower left, or panhard"`
	Chassis  Point  `toml:"chassis" doc:"the middle of its ball or eye on the chassis"`
	Axle     Point  `toml:"axle" doc:"the middle of its ball or eye on the axle"`
	EndAngle Angle  `toml:"end_angle,omitempty" accuracy:"none" above:"0" max:"90" doc:"greatest misalignment of its ends from square to the bolts through them"`
	// ChassisBolt and AxleBolt are the directions of the bolts through its ends.
	ChassisBolt Direction `toml:"chassis_bolt,omitempty" doc:"direction of the bolt through the chassis end, needed with end_angle"`
	AxleBolt    Direction `toml:"axle_bolt,omitempty" doc:"direction of the bolt through the axle end, needed with end_angle"`
}

// Arms carry one knuckle of an independent suspension. The knuckle's balls are the kingpin's
// bottom, on the lower arm, and its top, on the upper arm; of a strut, the top is its upper mount
// on the chassis.
type Arms struct {
	LowerFront Point `toml:"lower_front" doc:"the lower arm's front hinge on the chassis"`
	LowerRear  Point `toml:"lower_rear" doc:"the lower arm's rear hinge on the chassis"`
	UpperFront Point `toml:"upper_front,omitempty" doc:"arms: the upper arm's front hinge on the chassis"`
	UpperRear  Point `toml:"upper_rear,omitempty" doc:"arms: the upper arm's rear hinge on the chassis"`
}

// Part is a simple shape on one of the bodies. Rods with a diameter, and the tyres, are shapes
// without being written here.
type Part struct {
	Name   string `toml:"name" doc:"what to call it, such as left spring"`
	On     string `toml:"on" doc:"what it is fixed to" enum:"chassis,axle,horn,left_knuckle,right_knuckle,tie_rod,crank,rack"`
	Shape  string `toml:"shape" doc:"ball: a ball at centre; bar: a round bar from one point to another, with round ends; box: a box along the vehicle's axes" enum:"ball,bar,box"`
	Centre Point  `toml:"centre,omitempty" doc:"ball, box: the middle"`
	From   Point  `toml:"from,omitempty" doc:"bar: the middle of one end"`
	To     Point  `toml:"to,omitempty" doc:"bar: the middle of the other end"`
	Radius Length `toml:"radius,omitempty" accuracy:"none" above:"0" doc:"ball, bar: the radius"`
	Size   Point  `toml:"size,omitempty" accuracy:"none" doc:"box: its size, front to back, side to side and in height"`
	Gap    Length `toml:"gap,omitempty" accuracy:"none" min:"0" doc:"how much room it must keep to everything else; none if left out"`
}

// Servo is the steering servo. Its angle is counted from where it stands at the
// neutral pulse, positive counter-clockwise when one looks at the horn's face.
type Servo struct {
	Mount string    `toml:"mount" doc:"what the servo is fixed to" enum:"axle,chassis"`
	Point Point     `toml:"point" doc:"a point on the axis of the output shaft"`
	Axis  Direction `toml:"axis" doc:"direction that the horn's face looks in, along the output shaft"`
	Teeth int       `toml:"teeth,omitempty" min:"3" max:"100" doc:"teeth of the spline"`
	// Travel is the servo's own limit each way from neutral.
	Travel Angle `toml:"travel,omitempty" accuracy:"none" above:"0" max:"180" doc:"how far the servo itself can turn each way from neutral"`
	// IdleCurrent in A, WindingResistance in Ω.
	IdleCurrent       float64  `toml:"idle_current,omitempty" min:"0" max:"1000" doc:"current in amperes when it turns without load"`
	WindingResistance float64  `toml:"winding_resistance,omitempty" above:"0" max:"1000" doc:"resistance of its motor's winding in ohms; left out, voltage over stall current"`
	BearingSpan       Length   `toml:"bearing_span,omitempty" accuracy:"none" above:"0" doc:"distance between the two bearings of its output shaft, the outer one at servo.point"`
	Ratings           []Rating `toml:"rating,omitempty" doc:"what its maker states at a voltage; one or more"`
}

// Rating is what a servo can do at one voltage.
type Rating struct {
	// Voltage in V.
	Voltage float64 `toml:"voltage" above:"0" max:"1000" doc:"voltage that the figures are for, in volts"`
	Torque  Torque  `toml:"torque" accuracy:"none" above:"0" doc:"stall torque with its unit, such as \"25 kg·cm\" or \"2.4 N·m\""`
	// Time in s for 60°.
	Time float64 `toml:"time" above:"0" max:"100" doc:"seconds for 60 degrees without load"`
	// StallCurrent in A.
	StallCurrent float64 `toml:"stall_current,omitempty" above:"0" max:"1000" doc:"current in amperes when it is held still at full power"`
}

// Ground is what the steered wheels stand on.
type Ground struct {
	Friction   float64 `toml:"friction,omitempty" above:"0" max:"5" doc:"friction of the tyres on it: about 1 for soft tyres on rough ground, 0.5 on a smooth floor"`
	RockHeight Length  `toml:"rock_height,omitempty" accuracy:"none" above:"0" doc:"height above the ground of a rock's edge that presses on a tyre"`
	// RockForce in N.
	RockForce float64 `toml:"rock_force,omitempty" above:"0" max:"100000" doc:"force with which the rock's edge presses, in newtons"`
}

// Supply is what feeds the servo.
type Supply struct {
	// Voltage in V, Resistance in Ω.
	Voltage    float64 `toml:"voltage,omitempty" above:"0" max:"1000" doc:"voltage at the servo's plug without load, in volts"`
	Resistance float64 `toml:"resistance,omitempty" min:"0" max:"1000" doc:"resistance of pack, regulator, leads and plugs in ohms: by how many volts the voltage drops for each ampere"`
}

// Saver is a servo saver: a spring between servo and horn that stands firm up to its preload.
type Saver struct {
	Preload   Torque `toml:"preload" accuracy:"none" above:"0" doc:"torque at which it begins to yield"`
	Stiffness Torque `toml:"stiffness" accuracy:"none" above:"0" doc:"torque more for each degree that it gives from there"`
}

// Horn is the servo's horn, as it sits at the neutral pulse. Where it points is
// said in one of three ways: the place of its ball; the way it points with a
// lean; or roughly the way it points with the angle measured between horn and link.
type Horn struct {
	Ball      Point     `toml:"ball,omitempty" doc:"place of the ball's centre at the neutral pulse"`
	Hole      Length    `toml:"hole,omitempty" above:"0" doc:"radius of the hole in use, shaft axis to ball centre"`
	Holes     []Length  `toml:"holes,omitempty" accuracy:"none" above:"0" doc:"radii of all the holes it has"`
	Points    Direction `toml:"points,omitempty" doc:"which way it points, about"`
	Lean      Angle     `toml:"lean,omitempty" min:"-180" max:"180" doc:"turned from there, counter-clockwise positive when one looks at the horn's face"`
	LinkAngle Angle     `toml:"link_angle,omitempty" min:"1" max:"179" doc:"angle measured at the ball, between horn and drag link, at the neutral pulse with the wheels straight; 90 is square"`
	Reach     Length    `toml:"reach,omitempty" doc:"the ball's distance in front of the servo point, along the axis"`
	Arms      int       `toml:"arms,omitempty" min:"1" max:"12" doc:"number of evenly spaced arms that the horn has"`
	Stud      Direction `toml:"stud,omitempty" doc:"direction of the ball's stud, along the servo's axis if left out"`
}

// Transmitter is what the builder's transmitter can do and how far its settings
// move this servo, found from readings.
type Transmitter struct {
	// Shows is empty for percent; [Transmitter.Screen] knows.
	Shows       string    `toml:"shows,omitempty" doc:"what its screen shows of endpoint, subtrim and trim: percent; µs of pulse either way from neutral; or steps, plain numbers; percent if left out" enum:"percent,µs,us,steps"`
	Neutral     float64   `toml:"neutral,omitempty" default:"1500" min:"500" max:"2500" doc:"pulse at centre with trim and subtrim zero, in microseconds; 1500 if left out"`
	MaxEndpoint float64   `toml:"max_endpoint,omitempty" min:"0" screen:"endpoint" doc:"greatest endpoint it can be set to"`
	MaxSubtrim  float64   `toml:"max_subtrim,omitempty" min:"0" screen:"subtrim" doc:"greatest subtrim it can be set to, either way"`
	MaxTrim     float64   `toml:"max_trim,omitempty" min:"0" screen:"trim" doc:"greatest trim, either way"`
	Trim        string    `toml:"trim,omitempty" doc:"what trim moves: the centre between fixed ends, or the whole range" enum:"centre,whole"`
	Expo        bool      `toml:"expo,omitempty" doc:"whether steering has expo"`
	CurvePoints int       `toml:"curve_points,omitempty" min:"0" max:"33" doc:"number of evenly spaced points of its steering curve; 0 is none"`
	Readings    []Reading `toml:"reading,omitempty" doc:"what the servo did at a setting; two are needed"`
}

// Reading is one observation at the bench: any two of a setting, a pulse and a
// servo angle.
type Reading struct {
	Control string   `toml:"control,omitempty" doc:"what was set; endpoint if left out" enum:"endpoint,subtrim,trim"`
	Setting *float64 `toml:"setting,omitempty" screen:"reading" doc:"the number on the transmitter's screen, negative for full stick to the right"`
	Pulse   *float64 `toml:"pulse,omitempty" min:"100" max:"5000" doc:"pulse in microseconds"`
	Angle   Angle    `toml:"angle,omitempty" min:"-180" max:"180" doc:"servo angle from neutral, counter-clockwise positive when one looks at the horn's face"`
}

// Settings is what the transmitter is set to.
type Settings struct {
	Reverse       bool      `toml:"reverse,omitempty" doc:"whether the steering channel is reversed"`
	Subtrim       float64   `toml:"subtrim,omitempty" screen:"subtrim" doc:"subtrim, as the transmitter shows it"`
	Trim          float64   `toml:"trim,omitempty" screen:"trim" doc:"trim, as the transmitter shows it"`
	EndpointLeft  float64   `toml:"endpoint_left,omitempty" above:"0" screen:"endpoint" doc:"endpoint for full stick to the left; left out, 100 percent, or on another screen the greatest that it can be set to or that was read"`
	EndpointRight float64   `toml:"endpoint_right,omitempty" above:"0" screen:"endpoint" doc:"endpoint for full stick to the right; left out, 100 percent, or on another screen the greatest that it can be set to or that was read"`
	Rate          float64   `toml:"rate,omitempty" default:"100" above:"0" max:"200" doc:"rate in percent; 100 if left out"`
	Expo          float64   `toml:"expo,omitempty" min:"-100" max:"100" doc:"expo in percent, positive softens the middle"`
	Curve         []float64 `toml:"curve,omitempty" min:"-200" max:"200" doc:"curve points in percent, full right to full left"`
}

// Want is what the builder asks of the set-up.
type Want struct {
	Lock        Angle `toml:"lock,omitempty" accuracy:"none" above:"0" max:"90" doc:"lock wanted at the inner wheel, each way; left out, as far as the joints allow"`
	Margin      Angle `toml:"margin,omitempty" accuracy:"none" default:"2" min:"0" max:"45" doc:"angle to keep clear of each limit: of the knuckle at its stop, of the joint at the joint, of the servo where the linkage goes over-centre; 2 if left out"`
	ServoMargin Angle `toml:"servo_margin,omitempty" accuracy:"none" default:"1" min:"0" max:"45" doc:"turn of the servo to keep clear of its own travel; 1 if left out"`
	Toe         Angle `toml:"toe,omitempty" accuracy:"none" min:"-30" max:"30" doc:"toe-in wanted for each wheel"`
}
