// Package setup works out what to fit to a rig and what to set on its transmitter, in
// the order that the work is done, and the reverse: where given settings take the
// wheels.
//
// [Make] gives a [Plan]: which spline position and arm lands nearest square, the
// subtrim for the rest, the rods' lengths for straight wheels, both endpoints with what
// governs them, expo and curve, and what trim and subtrim do afterwards. [Try]
// gives a [Trial] of settings.
//
// Angles are in radians, lengths in millimetres; servo angles are counted from the neutral
// pulse, counter-clockwise positive when one looks at the horn's face; sides are the driver's.
//
// Axes, signs and units are those of docs/conventions.md.
package setup
