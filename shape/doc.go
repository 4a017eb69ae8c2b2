// Package shape says how far simple convex shapes are apart in space: balls, round bars, boxes and
// discs, for the clearance between the parts of a linkage.
//
// # Use
//
// Make each with [Ball], [Bar], [Box] or [Disc] where it is at a pose, and ask for the [Gap]. Both
// allocate nothing, so a shape that moves is made anew at each pose. Lengths are in millimetres,
// but any unit does.
//
// # Method
//
// A shape is a core (a point, a line, a box, or a disc with its edge) and what is within a radius
// of it. Between points and lines there are closed forms. Between other cores that are apart, the
// algorithm of Gilbert, Johnson and Keerthi closes in on the distance from above, and each
// direction that it tries bounds it from below by what separates the cores along it; with discs,
// Newton's method on that bound finishes it. Of cores that overlap, the least way out is that along
// one of the normals of flat faces and of pairs of edges, which are all tried; with discs,
// directions around every edge are tried as well, and followed to where no direction near is
// better.
//
// # Accuracy
//
// Gaps between balls, bars and boxes are right to 1e-9 mm, apart, touching or overlapping, for
// parts within a metre; in the tests they agree with general-purpose optimisation to 1e-13 mm. Gaps
// to discs are right to 1e-7 mm, mostly to 1e-12 mm, and their points to 1e-6 mm.
//
// A disc that overlaps a bar, box or disc: its depth is at most too great, never too small, by 1e-5
// mm, but in about one of ten thousand random pairs a longer way out is taken for the least, one
// from which no small turn leads to a shorter. As the overlap goes to nothing so does the depth
// that is given, so that the gap is continuous through touching even then.
//
// # Degenerate cases
//
// A bar without length is a ball; boxes may have half axes, and discs a width or radius, of
// nothing. Lines that cross and centres that coincide have a direction square to them, whichever.
// Between parallel faces or bars many points are nearest, and which ones are given may change from
// pose to pose; the gap and n do not. At a corner that just touches, n is one of many, and the
// slope of the gap may differ to either side, as it does wherever the nearest points change over.
//
// Numbers must be finite, below 1e12, and radii, widths and so on not below zero; otherwise the
// result means nothing.
//
// # Speed
//
// On one core of a small server, parts 0.1 to 20 mm apart: bars 0.1 µs, bar and box 0.3 µs, boxes
// 0.3 to 0.8 µs, disc and bar about 1 µs, disc and box 1 to 2 µs. Overlapping boxes take some 5 µs,
// overlapping discs up to 0.1 ms.
//
// # Not modelled
//
// Holes and hollows (make a part of several shapes), flex, and tyres that bulge.
package shape
