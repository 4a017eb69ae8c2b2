// Package doubt finds what in a rig file to look again at: values that are not impossible but
// unlikely, such as those of a decimal point in the wrong place, of inches taken for millimetres, of
// a sign or a side, of two numbers of a place swapped.
//
// One measure says how ordinary a rig is: the sum over its traits of how far each is from what is
// usual (see usual.go, all common practice) or from what the file itself allows. Ask tries every
// slip on every number of the file the other way round. A number is asked about if the rig becomes
// much more ordinary by that alone.
//
// The measure is half the square of the distance from the middle of the usual, in quarters of its
// width, as of the logarithm of a likelihood; beyond three quarters it grows in a straight line, so
// that one wild trait does not outweigh all others.
package doubt
