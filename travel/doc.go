// Package travel says what the suspension's travel does to the steering: bump steer and roll steer,
// what a panhard rod shifts, where rods bind or run out on the way, and where the ends of the rods
// would have to be for the travel not to steer.
//
// # Use
//
// Make a model with steer.NewSuspended, and hand it to [Over]. [Improve] finds better places for
// the ends of the rods and tries them on the rebuilt rig. A [Grid] holds both wheels' road angles
// over steer and travel, for a picture.
//
// # Conventions
//
// ISO 8855 axes: X forward, Y left, Z up, from the middle of the steered axle. Millimetres,
// radians. Steer and yaw are positive to the left, camber with the top outward, toe with the front
// to the middle, pitch with the nose down, roll with the left side up. The chassis stands still and
// the wheels rise and drop; what a wheel does over travel is counted from ride height.
//
// Bump steer is what a wheel's road angle changes by for each millimetre, roll steer for each
// degree of roll, with the servo held. Both come from the linkage's tangent, exact but for
// rounding, with the half-width that the measurements' uncertainties give them (JCGM 100, equation
// 10).
//
// # Not modelled
//
// Bushes, play, the flex of links and tyres, and the tyre's own steer. Springs and dampers: how far
// the suspension travels is stated, not worked out. A link's end that is a bush gives a little
// where a ball would bind.
//
// Axes, signs and units are those of docs/conventions.md.
package travel
