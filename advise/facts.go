package advise

import (
	"evenlock/load"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
	"evenlock/travel"
)

// Facts are what a finding rests on, one type for each matter: those of this file, as pointers. A
// change's Before and After are of what the type's comment names first. Angles are in radians,
// lengths in mm, torques in N·mm, forces in N, unless a field says otherwise.
type Facts interface{ facts() }

type (
	// RodFails is a rod that is not strong enough. A change is of its safety factor.
	RodFails struct {
		Rod *load.RodLoad
		// Strength is the rod under Force, the one that it bears least well.
		Strength load.RodStrength
		Force    load.Peak
		// Straighten and Diameter are what mends it: no bend, and a thickness; zero leaves that as
		// it is.
		Straighten bool
		Diameter   float64
	}

	// RodsHold is rods that are all strong enough.
	RodsHold struct {
		Weakest      *load.RodLoad
		SafetyFactor float64
		// Straight is the safety factor without the rod's bend, zero if it has none.
		Straight float64
	}

	// Servo is its strength. A change is of the lock that it comes to, both ways together.
	Servo struct {
		// Against is the rock, or else standing tyres; RockHeight is zero where that is not stated.
		Against    load.Cause
		RockHeight float64
		// Needs is the greatest torque that it is asked for, and Has what it gives at a standstill,
		// at Voltage in V.
		Needs, Has, Voltage float64
		// Reach is how far the inner wheel comes, by side, and Lock how far it would.
		Reach, Lock [2]float64
		// Hole and Torque are what carries it all the way: a hole of the horn, or a servo that
		// gives so much; zero if not that. Then is Reach with it, and Weak the rods that fail then.
		Hole, Torque float64
		Then         [2]float64
		Weak         []*load.RodLoad
	}

	// Holes is what the holes of the horn trade, those that reach HornLock.
	Holes struct {
		HornLock, InUse float64
		Holes           []load.Hole
	}

	// Drop is what the supply's resistance takes of the servo. A change is of its stall torque.
	Drop struct {
		Supply  load.Supply
		Stalled load.Running
	}

	// Passed is settings that drive the servo past a stop. A change is of By.
	Passed struct {
		Side steer.Side
		Stop steer.Stop
		By   steer.Result
		// EndpointLeft and EndpointRight are those of the set-up, in the transmitter's units.
		EndpointLeft, EndpointRight float64
	}

	// Straight is wheels that do not point straight at neutral. A change is of Off, the mean of
	// both road angles.
	Straight struct{ Off steer.Result }

	// Toe is toe that is not the wanted one. A change is of Off, the toe-in of each wheel less the
	// wanted.
	Toe struct {
		Off    steer.Result
		Wanted float64
		// Turns lengthen the tie rod where positive; zero if they are not known.
		Turns float64
	}

	// Square is the angle between horn and link. A change is of Comparison.Before.
	Square struct {
		// Miss is how far they are from square.
		Miss steer.Result
		// Comparison is with the set-up's horn; it is zero where they are square, or within their
		// ±.
		Comparison
		// Turn is that of the horn to the set-up's place on the spline, or of the servo where the
		// file does not state the spline: Spline is false then.
		Turn   float64
		Spline bool
		// LeftOver is how far from square it is there.
		LeftOver steer.Result
		// Subtrim is what covers LeftOver, in the transmitter's units; zero if it does not.
		Subtrim float64
	}

	// EvenPlace is a place of the horn that steers more evenly than square. A change is of
	// Comparison.Before.
	EvenPlace struct {
		Comparison
		// Turn is from where the horn is now, Further from where the set-up puts it.
		Turn, Further float64
		// Square is the same as Before where the set-up puts it.
		Square steer.Result
	}

	// FarSquare is the angle between the link and the knuckle's arm. A change is of
	// Comparison.Before.
	FarSquare struct {
		Miss steer.Result
		// Comparison is with the arm swung by Swing, its end going Way; it is zero where they are
		// square, or within their ±.
		Comparison
		Swing float64
		Way   Way
	}

	// WantedLock is a lock that is reached both ways.
	WantedLock struct {
		Wanted float64
		// First is the first stop and Inner the inner wheel's angle there.
		First steer.Stop
		Inner steer.Result
	}

	// Lock is what ends the lock to one side. A change is of End.Inner.
	Lock struct {
		End *setup.End
		// Kept is whether the other side is kept equal to this one.
		Kept bool
		// Apart is the servo angle from the stop that ends it to the next one, where it is within
		// its ±, and Next that stop's words.
		Apart steer.Result
		Next  string
		// Hole is a longer hole of the horn that was tried, Step by how much the stop was moved;
		// zero if not that. Tried is why neither was.
		Hole, Step float64
		Tried      Tried
		// Then is the inner wheel's angle with it, and Governs what ends the lock.
		Then    float64
		Governs string
	}

	// Evenness is left against right at equal stick. A change is of the greatest difference.
	Evenness struct {
		// Full is the lock to the left less that to the right, once set up.
		Full steer.Result
		// Now and Then are the greatest differences on the way, as the settings are and once set
		// up; Uncertain is the half-width of both.
		Now, Then, Uncertain float64
		// Calibrated is whether the transmitter is.
		Calibrated bool
		// CurvePoints are those of a transmitter that would do better, zero if none is proposed.
		CurvePoints int
	}

	// Ackermann is how much further the outer wheel is turned at full lock than Ackermann asks, the
	// mean of both ways. A change is of Excess.
	Ackermann struct {
		Excess steer.Result
		// Swing is that of both tie arms, their ends going Way; zero if nothing mends it up to
		// Most.
		Swing, Most float64
		Way         Way
		// Rods are what to call those at the arms, which then need other lengths.
		Rods []string
	}

	// MeasureAgain is the measurement whose ± matters most. A change is of Uncertain.
	MeasureAgain struct {
		// Uncertain is the half-width of left against right at the servo angle Servo either way.
		Servo, Uncertain float64
		Measure          rig.Measurement
		// Part is the measurement's part of the variance.
		Part float64
	}

	// TrimRoom is how far trim can turn the wheels to each side, once set up.
	TrimRoom struct{ Left, Right float64 }

	// AxleJoint is a universal joint at full lock. A change is of Uneven.
	AxleJoint struct {
		// Lock is the side to which it is steered, Wheel the joint's.
		Lock, Wheel steer.Side
		Angle       steer.Result
		// Uneven is the greatest less the least speed of the wheel, as a part of the shaft's, Back
		// how much less lock was tried.
		Uneven, Back float64
	}

	// BumpSteer is the most that a wheel is steered with both wheels going up or down and the servo
	// held. A change is of Most.
	BumpSteer struct {
		Most steer.Result
		// Rate is the worse wheel's at ride height in radians for each mm.
		Rate steer.Result
		// OnAxle is whether the whole steering rides on the axle, whose own yaw Most is then.
		// Knuckle is the most that the knuckles turn on it.
		OnAxle  bool
		Knuckle float64
		// Better is the end to move, nil if none within Farthest is better. After is the most then.
		Better   *travel.Better
		Farthest float64
		After    float64
	}

	// Panhard is the drag link beside the rod that holds the axle sideways.
	Panhard struct {
		*travel.Beside
		// Alike is whether their lengths are.
		Alike bool
	}

	// Binds is a limit that is passed in the travel with the wheels straight.
	Binds struct {
		Limit steer.Limit
		// Over is by how much, in the limit's unit.
		Over float64
		// Travel is where, of Bump and Droop in mm that there are.
		Travel      steer.WheelTravel
		Bump, Droop float64
	}

	// TravelLock is a lock that is less somewhere in the travel than at ride height.
	TravelLock struct {
		Side   steer.Side
		Corner travel.Corner
		Stop   steer.Stop
		// Lock is the inner wheel's angle there, Ride at ride height, and SetUp that which the
		// set-up steers to.
		Lock, Ride, SetUp float64
	}

	// Short is travel that the file states and the rods do not give.
	Short struct {
		Motion travel.Motion
		Stop   *steer.TravelError
	}
)

// Comparison is how unlike left and right are with one rig and with another, at equal servo angles.
type Comparison struct {
	// Servo is the servo angle from the centre, each way: the greatest up to Evaluation.Turn that
	// both rigs reach.
	Servo float64
	// Before and After are by how much the inner wheel is turned further to the left than to the
	// right.
	Before, After steer.Result
	// Gain is how much less unlike they are after, Spread its half-width.
	Gain, Spread float64
}

// Worse is the side on which the servo stalls furthest from the lock.
func (f *Servo) Worse() (side int) {
	if f.Lock[load.ToRight]-f.Reach[load.ToRight] > f.Lock[load.ToLeft]-f.Reach[load.ToLeft] {
		return load.ToRight
	}
	return load.ToLeft
}

// Way is where the end of an arm goes.
type Way int

// The ways.
const (
	Forward Way = iota
	Back
	Inward
	Outward
)

// Tried tells what came of taking away what ends a lock.
type Tried int

const (
	// Further is a lock that was worked out anew.
	Further Tried = iota
	// NoHole is a horn without a longer hole, which would take it further.
	NoHole
	// AtMost is a stop that the file cannot have further out.
	AtMost
	// NoStop is nothing that could be moved.
	NoStop
)

func (*RodFails) facts()     {}
func (*RodsHold) facts()     {}
func (*Servo) facts()        {}
func (*Holes) facts()        {}
func (*Drop) facts()         {}
func (*Passed) facts()       {}
func (*Straight) facts()     {}
func (*Toe) facts()          {}
func (*Square) facts()       {}
func (*EvenPlace) facts()    {}
func (*FarSquare) facts()    {}
func (*WantedLock) facts()   {}
func (*Lock) facts()         {}
func (*Evenness) facts()     {}
func (*Ackermann) facts()    {}
func (*MeasureAgain) facts() {}
func (*TrimRoom) facts()     {}
func (*AxleJoint) facts()    {}
func (*BumpSteer) facts()    {}
func (*Panhard) facts()      {}
func (*Binds) facts()        {}
func (*TravelLock) facts()   {}
func (*Short) facts()        {}
