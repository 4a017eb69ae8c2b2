package doubt

import "math"

// Unit is what a trait is in.
type Unit int

// The units of traits.
const (
	// Ratio is a plain number.
	Ratio Unit = iota
	// Millimetres are lengths.
	Millimetres
	// Degrees are angles, inside in radians.
	Degrees
)

// Usual is what is usual of a trait.
type Usual struct {
	// Of is what is looked at and Per what it is measured against, empty where it stands for itself:
	// "track", "wheelbase".
	Of, Per string
	// Least and Most hold about 95 % of rigs.
	Least, Most float64
	Unit        Unit
	// File is whether they are what the file itself says.
	File bool
	// how it is spread: by a factor or by a difference; even says that all between Least and Most is
	// alike, and how far beyond counts as one quarter.
	byFactor bool
	even     float64
}

func ratio(of, per string, least, most float64) *Usual {
	return &Usual{Of: of, Per: per, Least: least, Most: most, byFactor: true}
}

// signed is a ratio that may be below zero.
func signed(of, per string, least, most float64) *Usual {
	return &Usual{Of: of, Per: per, Least: least, Most: most}
}

func degrees(of string, least, most float64) *Usual {
	return &Usual{Of: of, Least: least * degree, Most: most * degree, Unit: Degrees}
}

// angle is of one that is always above 0.
func angle(of string, least, most float64) *Usual {
	u := degrees(of, least, most)
	u.byFactor = true
	return u
}

func millimetres(of string, least, most float64) *Usual {
	return &Usual{Of: of, Least: least, Most: most, Unit: Millimetres, byFactor: true}
}

// spread is of a ±: all small ones are alike.
func spread(u *Usual) *Usual {
	u.even = 0.15
	return u
}

const degree = math.Pi / 180

// What is usual of scale vehicles from 1:24 to 1:5 that steer by a servo: common practice, no
// published source. Angles of an axle behind the one that it steers against are as of one ahead,
// front to back in a mirror.
var (
	wheelbase       = millimetres("wheelbase", 95, 600)
	track           = ratio("track", "wheelbase", 0.5, 0.85)
	tyreRadius      = ratio("tyre radius", "track", 0.17, 0.34)
	tyreWidth       = ratio("tyre width", "tyre radius", 0.42, 1.2)
	patchLength     = ratio("tyre print", "tyre radius", 0.2, 0.9)
	kingpinSpacing  = ratio("distance between the kingpins", "track", 0.65, 0.95)
	kingpinAhead    = signed("distance of the kingpin ahead of the wheel's centre", "tyre radius", -0.1, 0.1)
	wheelAhead      = signed("distance of the wheel ahead of the axle's middle", "tyre radius", -0.1, 0.1)
	wheelHeight     = signed("height of the wheel's centre", "tyre radius", -0.08, 0.08)
	kingpinTop      = ratio("height of the kingpin's top", "tyre radius", 0.17, 0.75)
	strutTop        = ratio("height of the strut's top", "tyre radius", 0.8, 3)
	kingpinBottom   = ratio("depth of the kingpin's bottom", "tyre radius", 0.17, 0.75)
	caster          = degrees("caster", -2, 16)
	inclination     = degrees("kingpin inclination", -2, 16)
	camber          = degrees("camber", -5, 4)
	toe             = degrees("toe-in", -3, 3)
	unlike          = signed("difference between left and right", "track", -0.014, 0.014)
	arm             = ratio("arm", "track", 0.08, 0.2)
	horn            = ratio("horn's hole", "track", 0.06, 0.14)
	hornToArm       = ratio("horn's hole", "arm that its link pulls", 0.45, 1.25)
	otherHoles      = ratio("hole of the horn", "hole in use", 0.6, 1.65)
	reach           = signed("reach of the horn", "horn's hole", -0.05, 0.7)
	link            = ratio("drag link", "track", 0.27, 0.7)
	tieRod          = ratio("tie rod", "distance between the kingpins", 0.75, 1.12)
	tieRodBall      = ratio("distance along the tie rod", "tie rod", 0.12, 1)
	tieRodOffset    = signed("offset from the tie rod", "track", -0.08, 0.08)
	halfRod         = ratio("steering link", "distance between the kingpins", 0.2, 0.55)
	middleLink      = ratio("centre link", "distance between the kingpins", 0.15, 0.7)
	rodStraight     = ratio("length of a rod", "what makes the wheels straight", 0.95, 1.05)
	rodRange        = ratio("longest of a rod", "shortest", 1.02, 1.35)
	rodEnd          = degrees("angle between a rod and its arm", 58, 122)
	hornAngle       = degrees("angle between horn and link", 70, 110)
	slope           = degrees("slope of a rod", -8, 8)
	shortSlope      = degrees("slope of a steering link", -12, 12)
	travelling      = degrees("slope of a rod between chassis and axle", -18, 18)
	hornTilt        = degrees("slant of the link to the plane of the horn", -10, 10)
	servosUnlike    = signed("difference between the places of the two servos", "track", -0.06, 0.06)
	ballHeight      = signed("height of the ball", "tyre radius", -0.45, 0.85)
	servoHeight     = signed("height of the servo", "tyre radius", -0.3, 1.05)
	servoAcross     = signed("distance of the servo from the middle", "distance between the kingpins", -0.5, 0.5)
	servoAlong      = signed("distance of the servo ahead of the axle", "track", -0.65, 0.35)
	crankAcross     = signed("distance of the pivot from the middle", "distance between the kingpins", -0.3, 0.3)
	crankAlong      = signed("distance of the pivot ahead of the axle", "track", -0.5, 0.3)
	rodDiameter     = ratio("diameter of a rod", "track", 0.01, 0.045)
	rodBend         = signed("bend of a rod", "its length", -0.15, 0.15)
	threadPitch     = millimetres("pitch of a thread", 0.3, 1)
	stopAngle       = angle("knuckle's stop", 20, 56)
	jointAngle      = angle("angle of an axle joint", 28, 58)
	endAngle        = angle("tilt of a rod end", 8, 42)
	servoTravel     = angle("servo's own travel", 40, 100)
	wantedLock      = angle("wanted lock", 15, 55)
	wheelPerServo   = ratio("turn of the wheel", "turn of the servo", 0.4, 1.25)
	ackermann       = signed("difference between inner and outer wheel", "that of Ackermann", -0.05, 1.75)
	leftToRight     = ratio("turn to the left", "turn to the right", 0.72, 1.4)
	followsBy       = ratio("turn of the second servo", "turn of the first", 0.7, 1.4)
	travel          = ratio("wheel travel", "tyre radius", 0.1, 0.7)
	suspensionBall  = signed("height of a ball of the suspension", "tyre radius", -0.8, 2.2)
	suspensionAside = signed("distance of a ball of the suspension from the middle", "distance between the kingpins", -0.55, 0.55)
	suspensionAhead = signed("distance of a ball of the suspension ahead of the axle", "wheelbase", -0.65, 0.25)
	density         = ratio("mass in kg", "cube of the wheelbase in metres", 35, 230)
	weightHeight    = ratio("height of the weight", "tyre radius", 0.7, 2.8)
	steeredShare    = ratio("share of the weight on the steered axle", "", 35, 70)
	endpointReading = ratio("servo's degrees", "percent of endpoint", 0.25, 0.75)
	trimReading     = ratio("servo's degrees", "step of trim or subtrim", 0.06, 0.6)
	trimToEndpoint  = ratio("turn by a step of trim or subtrim", "that by a percent of endpoint", 0.2, 0.9)
	pulseReading    = ratio("servo's degrees", "microsecond", 0.06, 0.15)
	readingsAgree   = ratio("turn between two readings", "the readings by themselves", 0.8, 1.25)
	greatestEnd     = ratio("greatest endpoint", "", 95, 165)
	lengthSpread    = spread(ratio("± of a length", "it", 0, 0.45))
	angleSpread     = spread(ratio("± of an angle", "it", 0, 0.5))
	lengthAccuracy  = spread(ratio("accuracy of lengths", "track", 0, 0.008))
	angleAccuracy   = spread(ratio("accuracy of angles in degrees", "", 0, 4))
)

// What the file itself allows: Least and Most are put in.
var (
	rodOwn  = &Usual{Of: "length", Unit: Millimetres, File: true, byFactor: true, even: 0.02}
	holeOwn = &Usual{Of: "hole in use", Unit: Millimetres, File: true, byFactor: true, even: 0.05}
)
