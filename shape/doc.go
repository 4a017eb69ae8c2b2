// Package shape says how far simple convex shapes are apart in space: balls, round bars, boxes and discs, for the clearance
// between the parts of a linkage.
//
// # Use
//
// Make each with [Ball], [Bar], [Box] or [Disc] where it is at a pose, and ask for the [Gap]. Both allocate nothing.
//
// # Accuracy
//
// See [Gap]. Numbers are millimetres of parts of a vehicle: places up to some metres from the origin, sizes above a hundredth of a millimetre.
//
// Not modelled: holes and hollows (make a part of several shapes), flex.
package shape
