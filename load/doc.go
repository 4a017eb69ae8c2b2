// Package load says what the wheels ask of the steering, what the servo gives, and
// what rods, balls and joints bear on the way.
//
// # Use
//
// Describe what acts on a wheel with a [Demand]: [Standing], [Rock], [Wedge], or several
// [Together]. [NewBench] takes a steer.Model, of whichever axle; [Bench.At] gives the servo torque,
// the force in each rod and on each ball, and the load on the servo's shaft at one servo angle,
// [Bench.Curve] a row of them. [Servo.Stall] is what the servo can give from a [Supply],
// [HornTrade] what other holes of the horn would do. [Rod.Bears], [Universal], [Saver] and [Shaft]
// judge the parts. [OverLock] does all of that for what a rig file states.
//
// # Conventions
//
// ISO 8855 axes: X forward, Y left, Z up, from the middle of the front axle. Millimetres,
// radians, newtons, N·mm, seconds, volts, amperes, ohms, watts, kilograms. A moment about a kingpin
// is positive to the left; a servo angle as in package steer. A rod's tension is positive where it
// pulls.
//
// Every formula names its source. Those marked "from memory" have not been compared with
// the print.
//
// # Not modelled
//
// Speed and acceleration: everything stands still or turns slowly. Friction in balls, kingpins and
// the servo's gears (a real linkage asks for some tenths more, and holds better than it moves:
// common practice). Bending of horn, knuckle and axle. Fatigue, shock and wear. Tyre forces are as
// stated: a wheel jammed between rocks can ask for more than any formula. A safety factor from here
// is for choosing parts, not for trusting one's fingers to.
//
// Cautions: a stalled servo draws its full current, heats, and can brown out the receiver;
// do not hold it against a stop. Wheels off the ground, motor unplugged and fingers out of the
// links before the servo is powered. Follow the makers' instructions.
//
// Axes, signs and units are those of docs/conventions.md.
package load
