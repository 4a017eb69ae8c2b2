package load

import (
	"math"

	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// ScrubMoment returns the moment in N·mm that turns a standing tyre on the ground, µ W √(d² +
// (a/3)²): friction µ, load W in N, offset d in mm from the kingpin's foot to the middle of the
// contact patch, patch length a in mm. Source: Automotive Chassis Engineering, example E2.1
// (authors from memory).
func ScrubMoment(friction, weight, offset, patchLength float64) float64 {
	return friction * weight * math.Hypot(offset, patchLength/3)
}

// PatchMoment returns the same moment by another formula, µ W √(b²/8 + e²), for a patch of width b
// and offset e. Source: SAE SP-374, from memory. At the same figures it is some percent more than
// ScrubMoment, and 6 % more than the µ W b / 3 of a round evenly loaded patch turned about its
// middle.
func PatchMoment(friction, weight, patchWidth, offset float64) float64 {
	return friction * weight * math.Sqrt(patchWidth*patchWidth/8+offset*offset)
}

// JackingMoment returns the moment in N·mm about the kingpin with which a load W in N on the wheel
// brings it back to straight ahead, W d sin k cos k sin δ: offset d in mm, kingpin inclination k
// and turn about the kingpin δ in radians; no caster. Source: Automotive Chassis Engineering,
// example E2.1. Standing does the same exactly, with caster, from the place of the contact.
func JackingMoment(weight, offset, inclination, turn float64) float64 {
	s, c := math.Sincos(inclination)
	return weight * offset * s * c * math.Sin(turn)
}

// Wheel is a wheel in one position of the steering.
type Wheel struct {
	// Centre is its middle, Spindle the unit vector along its axis, outward.
	Centre, Spindle r3.Vec
	// KingpinPoint is on the axis that it turns about, Kingpin that axis' unit direction, up.
	KingpinPoint, Kingpin r3.Vec
	// Radius and Width of the tyre in mm.
	Radius, Width float64
}

// up is the unit vector in the wheel's plane nearest upward.
func (w *Wheel) up() r3.Vec {
	z := r3.Vec{Z: 1}
	return r3.Unit(r3.Sub(z, r3.Scale(r3.Dot(z, w.Spindle), w.Spindle)))
}

// ahead is the unit vector in the wheel's plane, level, that points forward in X.
func (w *Wheel) ahead() r3.Vec {
	f := r3.Unit(r3.Cross(w.Spindle, r3.Vec{Z: 1}))
	if f.X < 0 {
		return r3.Scale(-1, f)
	}
	return f
}

// Ground returns the lowest point of the wheel's middle plane, the middle of the contact patch.
func (w *Wheel) Ground() r3.Vec { return r3.Sub(w.Centre, r3.Scale(w.Radius, w.up())) }

// Offset returns the distance in mm on the ground between the kingpin's foot and the
// middle of the contact patch: scrub radius and trail together.
func (w *Wheel) Offset() float64 {
	g := w.Ground()
	return r3.Norm(r3.Sub(g, vehicle.AtHeight(g.Z, w.KingpinPoint, w.Kingpin)))
}

// Contact is a force in N on a wheel at a place.
type Contact struct{ At, Force r3.Vec }

// KingpinMoment returns the moment of contacts about the wheel's kingpin in N·mm,
// positive to the left: the vector product's part along the axis (statics).
func (w *Wheel) KingpinMoment(contacts ...Contact) float64 {
	sum := 0.0
	for _, c := range contacts {
		sum += r3.Dot(w.Kingpin, r3.Cross(r3.Sub(c.At, w.KingpinPoint), c.Force))
	}
	return sum
}

// Ask is what acts on one wheel.
type Ask struct {
	// Resist is a moment about the kingpin in N·mm, zero or more, that opposes turning whichever
	// way.
	Resist float64
	// Contacts act whether the wheel turns or not.
	Contacts []Contact
}

// Demand says what acts on a wheel in the position that it is given.
type Demand func(w *Wheel) Ask

// Demands are those on both wheels, by side; one that is nil asks nothing.
type Demands [2]Demand

// Standing is a tyre on level ground that is turned without rolling, the hardest that a flat floor
// asks: ScrubMoment against turning, with the wheel's own Offset, and the load pressing upward on
// the contact patch, which brings in kingpin inclination and caster exactly. Friction µ, weight on
// the wheel in N, length of the contact patch in mm.
func Standing(friction, weight, patchLength float64) Demand {
	return func(w *Wheel) Ask {
		return Ask{
			Resist:   ScrubMoment(friction, weight, w.Offset(), patchLength),
			Contacts: []Contact{{w.Ground(), r3.Vec{Z: weight}}},
		}
	}
}

// Rock is a rock's edge in front of the tyre, at a height above the ground and a distance across
// from the tyre's middle, outward positive, both in mm, that presses with a force in N square to
// the tread: towards the wheel's axis, in its plane. The height counts from the wheel's lowest
// point along its plane; one above the wheel's axis is taken as at it, where the edge presses
// straight back. No friction at the edge. Source: statics.
func Rock(height, across, force float64) Demand {
	return func(w *Wheel) Ask {
		h := min(max(height, 0), w.Radius)
		up := w.Radius - h
		ahead := math.Sqrt(w.Radius*w.Radius - up*up)
		out := r3.Add(r3.Scale(ahead, w.ahead()), r3.Scale(-up, w.up()))
		at := r3.Add(w.Centre, r3.Add(out, r3.Scale(across, w.Spindle)))
		return Ask{Contacts: []Contact{{at, r3.Scale(-force/w.Radius, out)}}}
	}
}

// Wedge is a wheel in a crack that is a given depth in mm, whose walls press the tyre's sides with
// a force in N before it comes free: one at the front and one at the back, opposed to turning, at
// the ends of the chord of the tyre at the crack's edge, 2 √(R² - (R - depth)²) apart. Source:
// statics. A crack that does not give way asks for everything that the servo has.
func Wedge(depth, force float64) Demand {
	return func(w *Wheel) Ask {
		up := w.Radius - min(max(depth, 0), w.Radius)
		chord := 2 * math.Sqrt(w.Radius*w.Radius-up*up)
		return Ask{Resist: math.Abs(force * chord * r3.Dot(w.up(), w.Kingpin))}
	}
}

// Together adds demands up, such as a standing tyre with a rock before it.
func Together(all ...Demand) Demand {
	return func(w *Wheel) Ask {
		var sum Ask
		for _, d := range all {
			a := d(w)
			sum.Resist += a.Resist
			sum.Contacts = append(sum.Contacts, a.Contacts...)
		}
		return sum
	}
}
