// Package advise finds what to change on a rig, and what to leave.
//
// # Use
//
// Of gives the list of a rig, most important first. Each Finding has a stable key, a kind, the
// figures that it rests on as a struct of its own (Facts), and the change that is proposed. A
// change is proposed only where the rig was built anew with it and was the better for it: the
// finding holds the same figure before and after. Nothing here is worded or rounded: report.Advice
// does that.
//
// # Order
//
// The list goes by falling Weight, then by kind (to do, to know, unsure, well), then by source.
// Weight is in radians of a steered wheel, so that unlike matters can be put in one order; it is
// not shown to anybody.
//
//   - A rod that fails: the whole lock, both ways together, over the rod's safety factor.
//   - A servo that stalls: the lock that it does not come to, both ways together.
//   - A stop that the settings drive past: what the wheel would turn further without the stop.
//   - A stop that ends the lock: what 2° more there gain before the next one ends it.
//   - What is uneven, off Ackermann, off the wanted toe or off straight: that angle at a wheel,
//     less what the proposed change leaves of it.
//   - A limit that the suspension's travel passes with the wheels straight: the whole lock, both
//     ways together. One that comes earlier there than at ride height: the difference.
//   - A measurement: the part of the ± of left against right that measuring twice as well takes
//     away.
//   - What cannot be given in degrees of a wheel (torque against speed, voltage, a joint that turns
//     unevenly): nothing, so it comes last.
//
// Of each only the part beyond the ± counts.
//
// # Uncertainty
//
// Where a figure, or what a change would gain, is within its ± (95 %, package steer), the finding
// is Unsure and nothing is proposed. Less than half a degree at a wheel, what a protractor shows,
// is Well. The loads have no ±: their models differ by some percent among themselves, and leave out
// friction (package load).
//
// # What is looked at
//
// Steering is looked at as package setup sets it up, beside how it is now. Loads and the
// suspension's travel are those of the rig as the file has it. Changes are tried one at a time,
// each on the rig as it is: after one is made, ask again.
//
// A further matter is a further Source here, with its Facts, and its words in package report.
//
// Axes, signs and units are those of docs/conventions.md.
package advise
