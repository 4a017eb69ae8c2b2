package load

import (
	"math"

	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// Universal is a single universal (cross) joint that works at an angle in radians. A
// constant-velocity joint turns evenly at any angle that it reaches: it has only its limit.
type Universal float64

// Turn returns how far the driven shaft has turned when the driving one has turned by α from where
// its fork stands in the plane of the two shafts: tan β = tan α/cos γ, γ the joint's angle.
// Handbook formula (Seherr-Thoss, Universal Joints and Driveshafts, attribution from memory).
func (u Universal) Turn(driver float64) float64 {
	s, c := math.Sincos(driver)
	// The same in every turn: driven and driver never part by a quarter.
	lead := math.Atan2(s*c*(1-math.Cos(float64(u))), s*s+c*c*math.Cos(float64(u)))
	return driver + lead
}

// SpeedRatio returns the driven speed over the driving one, cos γ/(1 - sin² γ cos² α).
func (u Universal) SpeedRatio(driver float64) float64 {
	s, c := math.Sin(float64(u)), math.Cos(driver)
	return math.Cos(float64(u)) / (1 - s*s*c*c)
}

// Extremes returns the slowest and the fastest speed ratio, cos γ and 1/cos γ, each twice a turn.
func (u Universal) Extremes() (slowest, fastest float64) {
	c := math.Cos(float64(u))
	return c, 1 / c
}

// GreatestLead returns the most by which the driven shaft leads or lags, in radians:
// tan = (1 - cos γ)/(2 √cos γ), where dβ/dα is 1.
func (u Universal) GreatestLead() float64 {
	c := math.Cos(float64(u))
	return math.Atan((1 - c) / (2 * math.Sqrt(c)))
}

// SecondaryMoment returns the greatest bending moment in N·mm that the joint puts on its shafts
// while it passes a torque in N·mm: T tan γ on the driving shaft (handbook formula, from memory).
func (u Universal) SecondaryMoment(torque float64) float64 { return torque * math.Tan(float64(u)) }

// Stud returns the parts of a force in N on a ball along and across its stud's unit direction, and
// the bending moment in N·mm at the stud's foot, height mm below the ball's centre: the part across
// times height (statics).
func Stud(force, stud r3.Vec, height float64) (along, across, bending float64) {
	along = r3.Dot(force, stud)
	across = r3.Norm(r3.Sub(force, r3.Scale(along, stud)))
	return along, across, across * height
}

// Shaft is an output shaft on two bearings: the outer one Overhang mm behind the force, the inner
// one Span mm behind that.
type Shaft struct{ Overhang, Span float64 }

// Bearings returns the loads in N of both bearings under a side force in N: F (1 + a/b)
// and F a/b, which points the other way (statics of a beam).
func (s Shaft) Bearings(side float64) (outer, inner float64) {
	inner = side * s.Overhang / s.Span
	return side + inner, inner
}

// Saver is a servo saver.
type Saver vehicle.Saver

// Yields returns the force in N at a distance in mm from its axis (the horn's hole) at which it
// yields, for a link square to the horn.
func (s Saver) Yields(arm float64) float64 { return s.Preload / arm }

// Deflection returns by how much in radians it turns under a torque in N·mm, with the torque's
// sign: nothing up to the preload, then the rest over the stiffness.
func (s Saver) Deflection(torque float64) float64 {
	over := math.Abs(torque) - s.Preload
	if over <= 0 {
		return 0
	}
	return math.Copysign(over/s.Stiffness, torque)
}

// LostTurn returns the turn in radians that a wheel falls short by under a torque in N·mm at the
// horn, to first order: what the saver gives times the wheel's rate, dδ/ds.
func (s Saver) LostTurn(torque, rate float64) float64 { return s.Deflection(torque) * rate }
