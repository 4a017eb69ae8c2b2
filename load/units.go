package load

import "math"

// Units at the edges, as what one of each is inside. Definitions from NIST SP 811, from memory: the
// standard acceleration of free fall, the inch and the avoirdupois ounce are exact.
const (
	// StandardGravity is 9.80665 m/s² exactly, so the weight in N of a kilogram.
	StandardGravity = 9.80665
	// Inch is 25.4 mm exactly.
	Inch = 25.4
	// KilogramForceCentimetre is 1 kgf·cm in N·mm, which servo makers print "kg·cm".
	KilogramForceCentimetre = 10 * StandardGravity
	// OunceForceInch is 1 ozf·in in N·mm; the ounce is 28.349523125 g.
	OunceForceInch = 0.028349523125 * StandardGravity * Inch
	// NewtonMetre is 1 N·m in N·mm.
	NewtonMetre = 1000.0
)

// SpeedOf returns the speed in rad/s of a servo that takes the given time in seconds for
// 60° without load, as servo makers print it.
func SpeedOf(secondsFor60 float64) float64 { return math.Pi / 3 / secondsFor60 }
