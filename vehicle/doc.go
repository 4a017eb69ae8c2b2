// Package vehicle describes what a vehicle steers with, whatever its layout: lists of bodies,
// balls, rods, wheels, servos and limits, and how they hang together.
//
// Start with a Vehicle, which package rig writes from a rig file. Vehicle.Check says in plain words
// what could not be built of it, Vehicle.Of takes the part that steers one axle, Vehicle.Adjust
// turns a horn, moves the ends of rods and sets rods to length, and Vehicle.Build makes the linkage
// and gives every part its handle in it.
//
// A layout is a way to write such lists briefly. What a part is called is its Name; nothing here
// and nothing above asks which layout it came from.
//
// # Units and axes
//
// Millimetres and radians, in the axes of ISO 8855: X forward, Y left, Z up, from the middle of
// axle 1 at wheel-centre height. Every place is that with the wheels straight ahead, the servos at
// their neutral pulse and the suspension at ride height. Axes, signs and units are those of
// docs/conventions.md.
package vehicle
