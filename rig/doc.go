// Package rig is the rig file: what a builder measured of one vehicle's steering,
// with how far off each measurement may be.
//
// Start with Read, which gives a *Rig or every problem of the file with its line,
// key and remedy; Starters, which gives commented files to fill in; and Edit, which
// changes one value in the text of a file and leaves the comments alone. Write makes
// a whole file from a Rig, Schema describes the file to an editor, and
// Rig.Measurements lists what was measured, for what asks how an error of the
// calipers shows at the wheel. Rig.Expand writes the rig out as the lists of package vehicle: a
// layout is its tables here and its function there.
//
// # Units and axes
//
// A file is in millimetres, or inches if it says so, and degrees; a Rig is in
// millimetres and radians. Places are in the axes of ISO 8855, X forward, Y left, Z
// up, from the middle of the steered axle at wheel-centre height. An uncertainty is
// the half-width of an interval of about 95 % confidence, in a file as
// "24.5 ± 0.2"; "about 25" stands for 25 ± 1.
//
// # Compatibility
//
// A file states its format. A file that some released version of this package reads
// is read by all later ones, to the same meaning. A file of a newer format than the
// package knows is refused with ErrNewerFormat rather than read in part. Within one
// format, keys are only added, and only such as may be left out; an older version
// refuses a key that it does not know, by name and line.
//
// Axes, signs and units are those of docs/conventions.md.
package rig
