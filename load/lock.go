package load

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"
)

const degree = math.Pi / 180

// Tilt is how the vehicle stands, in radians: nose up and right side down are positive. The weight
// moves as Vehicle.WheelLoads has it; the part of it along the ground, which the tyres hold, is
// left out.
type Tilt struct{ NoseUp, RightDown float64 }

// The two ways that a steering moves, and the two sides that it moves to.
const (
	ToLeft = iota
	ToRight
)

// Analysis is what the steering bears from lock to lock on the ground that the rig file states.
type Analysis struct {
	Model *steer.Model
	// Tyres are the steered tyres with the wheels straight, by side.
	Tyres [2]Tyre
	// Servo and Supply are as the rig file states them.
	Servo  Servo
	Supply Supply
	// Gives is the torque in N·mm that the servo has at a standstill, when it runs as in Stalled.
	Gives   float64
	Stalled Running
	// Samples go from the right lock to the left one in even steps each side of straight.
	Samples []Sample
	// Standing and Rock tell by side where, on the way out from straight, the servo is not strong
	// enough for standing tyres, and for the rock as well.
	Standing, Rock [2]Onset
	// Hardest is the sample that asks for most, Harder the way in which it does.
	Hardest, Harder int
	// Unloaded and Loaded are the seconds from lock to lock, by the way that it moves, with the
	// wheels in the air and on standing tyres; zero if the servo stalls.
	Unloaded, Loaded [2]float64
	// Held is the servo that holds still against the rock where that takes most, HeldTorque in
	// N·mm; HeldKnown is false without a rock, without a stall current, or if it is not strong
	// enough.
	Held       Held
	HeldTorque float64
	HeldKnown  bool
	Rods       []RodLoad
	Balls      []BallPeak
	Shaft      ShaftPeak
	// Kingpins are what the knuckles' bearings bear, by side.
	Kingpins [2]KingpinPeak
	// Roll is the most in N·mm that would roll a tie rod whose drag link pulls beside its line; its
	// Size is zero without such a rod.
	Roll Peak
	// Saver is nil if there is none.
	Saver *SaverState
	// Inner is the lock in radians at the inner wheel that both sides come to.
	Inner float64
	// Horn is what each hole of the horn does with standing tyres, steered to HornLock at the inner
	// wheel: Inner, or the next multiple of 5° below it that all of them come to.
	Horn     []Hole
	HornLock float64
	// HoleInUse is the radius of the horn in mm.
	HoleInUse float64
}

// Hole is a hole of the horn. Full tells whether it brings the inner wheel to Analysis.Inner both
// ways.
type Hole struct {
	HornRow
	Full bool
}

// Tyre is a steered tyre that stands with the wheels straight.
type Tyre struct {
	// Weight in N on it, Offset in mm from the kingpin's foot to the middle of its print.
	Weight, Offset float64
	// Scrub and Patch are the moments in N·mm to turn it, by ScrubMoment, which the rest goes by,
	// and by PatchMoment.
	Scrub, Patch float64
}

// Sample is one place of the steering. Torques are against the motion, by the way that it moves.
type Sample struct {
	Servo float64
	// Inner is the inner wheel's road angle in radians, positive to the left.
	Inner float64
	// Kingpins are by side the moments in N·mm about the kingpins of standing tyres, positive to the
	// left.
	Kingpins [2][2]float64
	// Standing is the torque in N·mm for standing tyres. Rock is what the rock adds where it is
	// worst, RockOn.
	Standing, Rock [2]float64
	RockOn         [2]RockPlace
	// SafetyFactor is what the servo gives over what it is asked for, the harder way; below 1 it
	// stalls.
	SafetyFactor float64
	// Rods are the least and the greatest tension in N of each rod of Analysis.Rods, of all that is
	// looked at there.
	Rods [][2]float64
}

// Ask returns the torque in N·mm of one way.
func (r *Sample) Ask(way int) float64 { return r.Standing[way] + r.Rock[way] }

// Harder returns the way that asks for more.
func (r *Sample) Harder() int {
	if r.Ask(ToRight) > r.Ask(ToLeft) {
		return ToRight
	}
	return ToLeft
}

// RockPlace is where the rock's edge is on the tyres.
type RockPlace int

// The places of the rock, one at a time: at the edges of the tread, where its lever is longest. They
// are in the order of the sides.
const (
	NoRock RockPlace = iota
	LeftTyreOutside
	LeftTyreInside
	RightTyreOutside
	RightTyreInside
)

// String names the place.
func (p RockPlace) String() string {
	return [...]string{"none", "the left tyre's outer edge", "the left tyre's inner edge", "the right tyre's outer edge", "the right tyre's inner edge"}[p]
}

// Cause is what puts a force on a part.
type Cause int

// What is looked at.
const (
	// ByStanding is the tyres turned on the ground.
	ByStanding Cause = iota
	// ByRock is the rock as well.
	ByRock
	// ByJam is one wheel jammed, with nothing else on the wheels, and the servo at its full torque.
	ByJam
)

// String names the cause.
func (c Cause) String() string {
	return [...]string{"standing tyres", "the rock", "a jammed wheel, the servo at full torque"}[c]
}

// Onset is a place on the way out from straight. If Happens is false it is not met up to the lock,
// and the rest is zero.
type Onset struct {
	Happens bool
	// Servo is the servo angle and Inner the inner wheel's road angle, in radians.
	Servo, Inner float64
}

// Peak is the greatest of something: its size, the servo angle in radians where it is, and why.
type Peak struct {
	Size, Servo float64
	Cause       Cause
}

func (p *Peak) see(size, servo float64, cause Cause) bool {
	if size > p.Size {
		*p = Peak{size, servo, cause}
		return true
	}
	return false
}

// KingpinPeak is the most that a knuckle's bearings bear together: across and along the axis in N,
// bending across it in N·mm.
type KingpinPeak struct{ Across, Along, Bending Peak }

// RodLoad is what a rod bears.
type RodLoad struct {
	Key, Words string
	// Pull and Push are its greatest tension and compression in N; Size is zero if there is none.
	Pull, Push Peak
	// Rod is nil if the file does not say what the rod is made of. PullStrength and PushStrength
	// are for the peaks.
	Rod                        *Rod
	PullStrength, PushStrength RodStrength
}

// Weakest returns the lesser of the two safety factors with what is beside it, and the peak that it
// is for.
func (r *RodLoad) Weakest() (RodStrength, Peak) {
	if r.PushStrength.SafetyFactor <= r.PullStrength.SafetyFactor {
		return r.PushStrength, r.Push
	}
	return r.PullStrength, r.Pull
}

// BallPeak is the greatest load on a ball, in N; Load is its parts there.
type BallPeak struct {
	Peak
	Load BallLoad
}

// ShaftPeak is the greatest load on the servo's shaft.
type ShaftPeak struct {
	// Side and Axial in N, Bending in N·mm about its face.
	Side, Axial, Bending Peak
	// Outer and Inner are the most that its bearings bear in N, if Span is more than zero. Side and
	// bending are taken to act in one plane, which is the most that they can.
	Span         float64
	Outer, Inner float64
}

// SaverState is what a servo saver does.
type SaverState struct {
	Saver
	// Force in N at the horn's ball, square to the horn, at which it yields.
	Force float64
	// Standing and Rock tell by side where it yields, as in Analysis.
	Standing, Rock [2]Onset
	// Lost is by side the turn in radians by which the inner wheel falls short at the lock, on
	// standing tyres.
	Lost [2]float64
}

// Steps is how many steps a side results are worked out in unless more or fewer are asked for: even
// enough for a chart.
const Steps = 16

// ErrSteps reports a number of rows that there cannot be.
var ErrSteps = errors.New("steps a side must be 1 to 1000")

// OverLock finds what the steering bears from lock to lock, in a number of steps each side of
// straight. The lock is that wanted by the rig file where the linkage reaches it, else what the
// stops and the wanted margin leave.
//
// If the file does not say enough, the error is a rig.Errors that names each key with the way to
// find its value. Others are those of steer.Model.Stops and Vehicle.WheelLoads.
func OverLock(m *steer.Model, tilt Tilt, steps int) (*Analysis, error) {
	if steps < 1 || steps > 1000 {
		return nil, fmt.Errorf("load: %w", ErrSteps)
	}
	x, err := newSweep(m, tilt)
	if err != nil {
		return nil, err
	}
	for _, step := range []func() error{
		x.findEnds,
		func() error { return x.samples(steps) },
		x.judge,
		x.times,
		x.holes,
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return x.Analysis, nil
}

// lacks lists what the loads need and the rig file leaves out.
func lacks(m *steer.Model, tilt Tilt) rig.Errors {
	r, rating := m.Rig, m.Servo.Key+".rating"
	var all rig.Errors
	miss := func(missing bool, key, remedy string) {
		if missing {
			all = append(all, &rig.Error{Key: key, Problem: "is not in the file, and the loads need it", Remedy: remedy})
		}
	}
	miss(r.Vehicle.Mass == 0, "vehicle.mass", "weigh the vehicle ready to drive, in kilograms")
	miss(r.Vehicle.SteeredShare == 0, "vehicle.steered_share", "set the steered wheels on a scale, the others as high beside it: that over the whole mass, in percent")
	miss((tilt != Tilt{}) && !r.Vehicle.WeightHeight.Given, "vehicle.weight_height", "find where the vehicle balances on its side on a bar, and measure from the tyres' feet; or leave out slope and tilt")
	for _, w := range m.Wheels {
		miss(w.Patch == 0 && w.Rule != vehicle.Mirrors, w.Key+".patch_length", "chalk the tyre, set it on paper with the weight on it, and measure the print from front to back")
	}
	miss(r.Ground.Friction == 0, "ground.friction", "drag the vehicle with its wheels locked by a spring scale: the pull over the weight; about 1 for soft tyres on rough ground, 0.5 on a smooth floor")
	miss(len(m.Servo.Ratings) == 0, rating, "add a table [["+rating+"]] with voltage, torque and time, as the servo's maker states them")
	miss(r.Supply.Voltage == 0, "supply.voltage", "add a table [supply], and measure at the servo's plug with nothing moving")
	miss(r.Supply.Resistance > 0 && len(m.Servo.Ratings) > 0 && m.Servo.Ratings[0].StallCurrent == 0, rating+".1.stall_current",
		"take it from the maker's figures, since the supply's voltage drops with the current; or leave supply.resistance out")
	return all
}

// ServoOf returns the servo that a description states.
func ServoOf(o *vehicle.Servo) Servo {
	s := Servo{IdleCurrent: o.IdleCurrent, WindingResistance: o.WindingResistance}
	for _, x := range o.Ratings {
		s.Ratings = append(s.Ratings, Rating{x.Voltage, x.Torque, SpeedOf(x.Time), x.StallCurrent})
	}
	slices.SortFunc(s.Ratings, func(a, b Rating) int { return cmp.Compare(a.Voltage, b.Voltage) })
	return s
}

// cutThread is the greatest diameter of a solid rod, over that of its thread, at which the thread
// is taken to be cut on the rod itself. On a thicker one, or a tube, it is that of studs in its
// ends.
const cutThread = 1.5

// RodOf returns the rod that a description states; ok is false if it does not say what the rod is
// made of.
func RodOf(r *vehicle.Rod) (rod Rod, ok bool) {
	s := &r.Stock
	m, ok := MaterialNamed(s.Material)
	if !ok || s.Diameter == 0 {
		return Rod{}, false
	}
	rod = Rod{Length: r.Length, Body: Section{s.Diameter, s.Bore}, Offset: s.Bend, Material: m}
	if s.Pitch > 0 && s.ThreadDiameter > 0 && s.Bore == 0 && s.Diameter <= cutThread*s.ThreadDiameter {
		rod.Root = ThreadRoot(s.ThreadDiameter, s.Pitch)
	}
	return rod, true
}
