// Package report writes what the rooms below found, for people (text of at most 80
// columns, with bars) and for programs (JSON with units, CSV).
//
// Angles are written in degrees and sides in words; a figure is not written to more
// digits than its uncertainty is worth.
//
// Axes, signs and units are those of docs/conventions.md.
package report
