package vehicle

import (
	"strings"

	"evenlock/linkage"

	"gonum.org/v1/gonum/spatial/r3"
)

// Vehicle is the lists. Parts refer to one another by pointers, so that the order of a list and the
// names in it matter to nobody.
type Vehicle struct {
	Bodies []*Body
	Balls  []*Ball
	Rods   []*Rod
	Wheels []*Wheel
	Servos []*Servo
	Limits []*Limit
	Shapes []*Shape
	Axles  []*Axle
}

// Origin says where in the rig file a part comes from.
type Origin struct {
	// Key is the dotted key of the value or the table that says it, Line its line; 0 where there is
	// no file.
	Key  string
	Line int
	// Rule says how it follows from that, such as "mirrors the left"; empty where it is said
	// outright.
	Rule string
}

// Mirrors is the Rule of what the file does not give and takes from the other side.
const Mirrors = "mirrors the left"

// Part is what everything in the lists has.
type Part struct {
	// Name is what to call it, such as "tie rod". No two of a list have the same.
	Name string
	// Axle is the number of the axle that it steers; 0 is the chassis.
	Axle int
	Origin
}

// Listed returns the part itself, of whatever list.
func (p *Part) Listed() *Part { return p }

// Moves is how a body moves.
type Moves int

// The ways that a body moves.
const (
	// Fixed does not: the chassis.
	Fixed Moves = iota
	// Turns about Axis through Point.
	Turns
	// Slides along Axis.
	Slides
	// Between turns about the line through its Ends, and goes with the first.
	Between
	// Free moves as it likes.
	Free
)

// Drive is what moves a body.
type Drive int

// What moves a body.
const (
	// ByRods is moved by the rods that hold it.
	ByRods Drive = iota
	// ByServo turns with the servo whose horn it is.
	ByServo
	// ByTravel goes with the suspension: a Free body in heave and roll, others as a whole.
	ByTravel
	// Still stays as it is described, as the roll of a rod about its own ends.
	Still
)

// Body is a body.
type Body struct {
	Part
	// On is the body that carries it.
	On    *Body
	Moves Moves
	Drive Drive
	// Point is on the axis, Axis its unit direction.
	Point, Axis r3.Vec
	// Ends are the balls that it turns between.
	Ends [2]*Ball
	// Hinges are the places along its axis at which it is held, where they are known, for a
	// drawing.
	Hinges []r3.Vec
	// Start is the coordinate that it has in the pose that the linkage is built in.
	Start float64
	// Handle finds it in the linkage that Build made. Input is the input that drives it, where one
	// does.
	Handle linkage.Body
	Input  int
}

// Ball is a ball joint, or another point of a body.
type Ball struct {
	Part
	On *Body
	At r3.Vec
	// Stud is the unit direction of its stud; zero where nobody knows it.
	Stud r3.Vec
	// Handle and StudHandle find them in the linkage that Build made. The latter is unset without a
	// stud.
	Handle     linkage.Ball
	StudHandle linkage.Arrow
}

// RodKind is what a rod is for.
type RodKind int

// What rods are for.
const (
	// SteeringRod is of the steering, and is set to length with it.
	SteeringRod RodKind = iota
	// SuspensionLink holds an axle.
	SuspensionLink
	// Upright is no rod but a knuckle, which keeps the two balls apart that it turns between.
	Upright
)

// Rod keeps two balls a length apart.
type Rod struct {
	Part
	From, To *Ball
	// Length is ball centre to ball centre.
	Length float64
	// Measured is whether the file says the length; else it is what its balls make it.
	Measured bool
	Kind     RodKind
	Stock    Stock
	// Along are balls on the rod itself; Body is then the rod as a body, nil if there are none.
	Along []Along
	Body  *Body
	// Handle finds it in the linkage that Build made.
	Handle linkage.Rod
}

// Along is a ball on a rod.
type Along struct {
	Ball *Ball
	// Distance is from the rod's From along its line, Offset how far it sits from the line; the rod
	// is taken not to roll.
	Distance float64
	Offset   r3.Vec
}

// Stock is what a rod is made of. Zero and empty are what the file does not say.
type Stock struct {
	Thread string
	// Pitch is that of the thread, ThreadDiameter its nominal diameter.
	Pitch, ThreadDiameter float64
	// Adjust is how its length changes: turnbuckle, plain, plain-half-turn or fixed.
	Adjust string
	// Shortest and Longest are the lengths that it can be set to.
	Shortest, Longest float64
	Material          string
	// Diameter is its outer one, Bore the inner one of a tube, Bend how far the middle of a bent rod
	// is off the line between its balls.
	Diameter, Bore, Bend float64
}

// Side is a side of the vehicle, as the driver sees it.
type Side int

// The sides.
const (
	Left Side = iota
	Right
)

// Sides are both.
var Sides = [2]Side{Left, Right}

// Sign returns 1 for the left, to which angles and curvatures are positive, and -1 for the right.
func (s Side) Sign() float64 {
	if s == Right {
		return -1
	}
	return 1
}

// Other returns the other side.
func (s Side) Other() Side { return Right - s }

// Opposite returns what a part is called on the other side; the name of one that is on none is "".
func Opposite(name string) string {
	for _, s := range Sides {
		if other := strings.Replace(name, s.String()+" ", s.Other().String()+" ", 1); other != name {
			return other
		}
	}
	return ""
}

// String is left or right.
func (s Side) String() string {
	if s == Right {
		return "right"
	}
	return "left"
}

// Wheel is a wheel that steers.
type Wheel struct {
	Part
	Side Side
	// Knuckle is the body that carries it, turning about the kingpin.
	Knuckle *Body
	Centre  *Ball
	// Spindle is the unit vector along its axis, outward.
	Spindle r3.Vec
	// Arm is the knuckle's ball for the rod that comes from the other wheel or from the middle.
	Arm *Ball
	// Risen is the ball whose height says how far the wheel has risen, whatever the steering does;
	// nil where no suspension carries it.
	Risen *Ball
	// Radius and Width are the tyre's. Patch is the length of its print, zero where it is not
	// measured.
	Radius, Width, Patch float64
	// Joint is that of its drive shaft, nil where it has none.
	Joint *DriveJoint
	// SpindleHandle finds the spindle in the linkage that Build made.
	SpindleHandle linkage.Arrow
}

// Tyre is what to call its tyre.
func (w *Wheel) Tyre() string { return strings.TrimSuffix(w.Name, "wheel") + "tyre" }

// DriveJoint is the joint in a wheel's drive shaft, at the kingpin.
type DriveJoint struct {
	Origin
	// Kind is universal or constant-velocity.
	Kind string
	// MaxAngle is where it binds.
	MaxAngle float64
	// At is the joint and Inner the shaft's inner joint; nil where the shaft lies along the axle.
	At, Inner *Ball
}

// Servo is a servo with its horn.
type Servo struct {
	Part
	// Horn is the body that is its horn, Ball the ball in use and Link the rod from there.
	Horn *Body
	Ball *Ball
	Link *Rod
	// Face is servo.point: where the shaft comes out.
	Face r3.Vec
	// Leader is the servo that it follows, by Ratio: it turns so many times as far. nil for the one
	// that leads, whose Ratio is 1.
	Leader *Servo
	Ratio  float64
	// Teeth of its spline and Arms of its horn; 0 where the file does not say. Holes are the radii
	// of the horn's holes.
	Teeth, Arms int
	Holes       []float64
	// Travel is its own limit each way from neutral; 0 where the file does not say.
	Travel float64
	// Ratings are what its maker states. IdleCurrent in A, WindingResistance in Ω.
	Ratings                        []Rating
	IdleCurrent, WindingResistance float64
	// BearingSpan is between the two bearings of its shaft, the outer one at Face.
	BearingSpan float64
	// Saver is between it and its horn, nil where there is none.
	Saver *Saver
	// Foot is the point of the servo's axis in the plane of the horn's ball; FarFoot that of the
	// axis of what the link pulls that is nearest its far ball, of a rod its From end, of a rack a
	// point beside it. Build puts them.
	Foot, FarFoot *Ball
}

// Far is the ball at the other end of its link.
func (s *Servo) Far() *Ball { return s.Link.To }

// Rating is what a servo does at one voltage.
type Rating struct {
	// Voltage in V, Torque at a standstill in N·mm, Time in s for 60°, StallCurrent in A.
	Voltage, Torque, Time, StallCurrent float64
}

// Saver is a servo saver: a spring between servo and horn that stands firm up to its preload.
type Saver struct {
	// Preload in N·mm, and Stiffness beyond it in N·mm/rad; zero stiffness yields at once.
	Preload, Stiffness float64
}

// LimitKind is what a limit is a limit of.
type LimitKind int

// The kinds of limits.
const (
	// OfTurn is of a body's turn.
	OfTurn LimitKind = iota
	// OfRodEnd is of how far a rod leans from square to the stud of one of its ends.
	OfRodEnd
	// OfJoint is of the angle of a wheel's drive joint.
	OfJoint
	// OfServo is of a servo's own travel.
	OfServo
)

// Limit is an angle that must not be passed.
type Limit struct {
	Part
	Kind LimitKind
	Most float64
	// Body is what turns, in the sense of Sign; Mark the ball at which a drawing shows it.
	Body *Body
	Sign float64
	Mark *Ball
	// Rod leans at its end End.
	Rod *Rod
	End *Ball
	// Wheel is the one whose joint it is, Servo the one whose travel.
	Wheel *Wheel
	Servo *Servo
}

// ShapeKind is the shape of a Shape.
type ShapeKind int

// The shapes.
const (
	// BallShape is a ball about From.
	BallShape ShapeKind = iota
	// BarShape is a round bar between From and To, with round ends.
	BarShape
	// BoxShape is a box about From, with its sides along the vehicle's axes when the wheels are
	// straight.
	BoxShape
)

// Shape is a thing that the steering must clear.
type Shape struct {
	Part
	Kind ShapeKind
	On   *Body
	// From and To are balls on it, the same one twice where it has but one.
	From, To *Ball
	Radius   float64
	// Half is half a box's size each way, Sides find the directions of its sides in the linkage
	// that Build made.
	Half  r3.Vec
	Sides [3]linkage.Arrow
	// Gap is how much room it must keep.
	Gap float64
}

// Axle is an axle that steers.
type Axle struct {
	Part
	// Middle is what its places are counted from in the file; Other is how far forward the axle is
	// that it steers against.
	Middle r3.Vec
	Other  float64
	// Suspended is whether the suspension is in the lists; without it the axle stands as at ride
	// height. Solid is whether one axle then carries both wheels: Body, which is the chassis
	// otherwise. Bump and Droop are how far each wheel can rise and fall from ride height.
	Suspended, Solid bool
	Body             *Body
	Bump, Droop      float64
	// Pivot is a point on the line that a stated motion swings about; nil where there is none.
	Pivot *r3.Vec
	// Centre is the angle, from neutral, of the servo that leads, at which it is described.
	Centre float64
}

// Ahead returns 1 for an axle in front of the one that it steers against, -1 for one behind it.
func (a *Axle) Ahead() float64 {
	if a.Middle.X < a.Other {
		return -1
	}
	return 1
}

// Chassis is the body that does not move.
func (v *Vehicle) Chassis() *Body { return v.Bodies[0] }

// Axle returns an axle by its number, nil where it does not steer.
func (v *Vehicle) Axle(number int) *Axle {
	for _, a := range v.Axles {
		if a.Axle == number {
			return a
		}
	}
	return nil
}

// Number is the axle's: 1 is in front.
func (a *Axle) Number() int { return a.Axle }

// Of returns what steers one axle, with the chassis: lists of the same parts.
func (v *Vehicle) Of(axle int) *Vehicle {
	return &Vehicle{
		Bodies: of(v.Bodies, axle), Balls: of(v.Balls, axle), Rods: of(v.Rods, axle), Wheels: of(v.Wheels, axle),
		Servos: of(v.Servos, axle), Limits: of(v.Limits, axle), Shapes: of(v.Shapes, axle), Axles: of(v.Axles, axle),
	}
}

func of[P interface{ axle() int }](all []P, axle int) []P {
	var some []P
	for _, p := range all {
		if n := p.axle(); n == axle || n == 0 {
			some = append(some, p)
		}
	}
	return some
}

func (p *Part) axle() int { return p.Axle }

// Wheel returns the wheel of a side, of the first axle in the lists.
func (v *Vehicle) Wheel(side Side) *Wheel {
	for _, w := range v.Wheels {
		if w.Side == side {
			return w
		}
	}
	return nil
}

// WheelOn returns the wheel whose knuckle a body is; nil if it is none.
func (v *Vehicle) WheelOn(b *Body) *Wheel {
	for _, w := range v.Wheels {
		if w.Knuckle == b {
			return w
		}
	}
	return nil
}

// Leader returns the servo that leads, of the first axle in the lists.
func (v *Vehicle) Leader() *Servo {
	for _, s := range v.Servos {
		if s.Leader == nil {
			return s
		}
	}
	return nil
}

// Steering returns the rods of the steering.
func (v *Vehicle) Steering() []*Rod {
	var all []*Rod
	for _, r := range v.Rods {
		if r.Kind == SteeringRod {
			all = append(all, r)
		}
	}
	return all
}

// Ball returns a ball by its name, nil if there is none.
func (v *Vehicle) Ball(name string) *Ball {
	for _, b := range v.Balls {
		if b.Name == name {
			return b
		}
	}
	return nil
}

// Rod returns a rod by its key in the file, nil if there is none.
func (v *Vehicle) Rod(key string) *Rod {
	for _, r := range v.Rods {
		if r.Key == key {
			return r
		}
	}
	return nil
}
