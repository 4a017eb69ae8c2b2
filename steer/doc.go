// Package steer says what a rig's linkage does in the words of drivers and
// builders: wheel angles, rates, link angles, path curvature and turning
// circles, Ackermann error, evenness, and where the lock ends and why.
//
// # Use
//
// [New] makes a [Model] of a rig. [Model.NewState] gives the memory in which it is
// moved; [State.Turn] moves it to a servo angle, after which [State.Values] has
// every [Quantity], [State.Rates] their derivatives with respect to the servo angle, and
// [State.Sensitivity] those with respect to one measurement. [Model.Sweep] collects
// them from lock to lock with uncertainties; [Model.Stops] finds what could end the lock, and
// [Model.Lock] where it ends on a side, given what else is to be kept to.
//
// # Conventions
//
// ISO 8855: X forward, Y left, Z up; angles and curvatures positive to the left.
// Millimetres and radians; curvature in 1/mm. The servo angle is counted from the
// neutral pulse, counter-clockwise positive when one looks at the horn's face.
//
// The road steer angle is the yaw of the wheel plane seen from above, which with
// caster and inclination is not the turn about the kingpin; both are kept.
//
// Uncertainties are half-widths of about 95 % confidence, as in the rig file, combined in
// quadrature from independent measurements (JCGM 100, 5.1.2). A [Result] keeps each measurement's
// share, so that sums and differences of results are right about the errors that they have in
// common. The exact first derivatives come from the kernel, times the derivatives of its dimensions
// with respect to the measurements, which are central differences of closed formulas, good to about
// 1e-8. A right side left out of the file is the left one mirrored, and shares its errors.
//
// Not modelled: tyre slip, deflection, play. The vehicle stands on its straight-ahead
// ride height; contact points follow the wheels, the chassis does not lift with them.
//
// Axes, signs and units are those of docs/conventions.md.
package steer
