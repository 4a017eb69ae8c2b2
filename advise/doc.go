// Package advise says what to change on a rig, and what to leave: plain sentences, each with its
// figure, ordered by what matters.
//
// # Use
//
// Of gives the list of a rig. Each Finding has a stable key, its weight, the sentence, the figures
// behind it, and the change that it proposes. A change is proposed only where the rig was built
// anew with it and was the better for it; its figure before and after is in the finding.
//
// # Order
//
// Weight is in one currency: radians of a steered wheel that are at stake. The list goes by falling weight; at equal weight
// by kind (to do, to know, unsure, well), and then by source.
//
//   - A part that gives way costs the whole lock, both ways together, as many times over as it is too weak. So it comes
//     before all else.
//   - A servo that gives up costs the lock that it does not come to, both ways together.
//   - A stop driven past costs what the wheel would turn further, were the stop not there.
//   - A stop that ends the lock costs what 2° more there gain before the next one governs.
//   - What is uneven, off Ackermann, off the wanted toe or off straight costs that angle at a wheel, less what the proposed change
//     leaves of it.
//   - A limit that the suspension's travel passes with the wheels straight costs the whole lock, both ways together; one that comes earlier
//     there than at ride height costs the difference.
//   - A measurement costs the part of the ± of left against right that measuring it twice as well takes away.
//   - What has no price in degrees of a wheel (torque against speed, voltage drop, a joint's uneven turning) has none, and
//     comes last.
//
// Of each weight only the part beyond the uncertainty counts.
//
// # Uncertainty
//
// Where the figure or the gain is within its uncertainty (95 %, package steer), the sentence says so and nothing is proposed. Less than
// half a degree at a wheel, what a protractor shows, is called well. The loads have no uncertainty: their models differ by some
// percents among themselves, and leave friction out (package load).
//
// # What is looked at
//
// Steering is looked at as set up by package setup, next to how it is now; loads as the rig file has it, as package load
// does, and so is the suspension's travel, as package travel does. Changes are tried one at a time, each on the rig as it is: after one is made, ask again.
//
// A further matter is a further Source: a function of an Evaluation, handed to Of or List.
//
// Axes, signs and units are those of docs/conventions.md.
package advise
