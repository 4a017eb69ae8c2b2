// Package bench measures the engine against two programs in the same run: a
// closed-form C program written by hand for one layout, and a general-purpose
// geometric constraint solver. Run it with
//
//	go test -bench . ./internal/bench
//
// The metric x-of-C is how many times as long as the C program the engine takes,
// times-the-solver how many times as fast as the constraint solver it is.
package bench
