// Package turning says how a vehicle turns from how its wheels stand: about which centre, how
// tightly, at which angle to its own middle line, and how well its wheels agree.
//
// [Fit] does so for any four wheels. [Over] does so for a rig from lock to lock in each [Mode] of
// steering its rear axle: the other way than the front, the same way, in parallel (crab), and held
// straight.
//
// Speed is so low that tyres roll where they point as far as the others let them; slip under load,
// and lean and travel of the suspension, are not counted.
//
// Axes, signs and units are those of docs/conventions.md; places are counted from the middle of the
// front axle.
package turning
