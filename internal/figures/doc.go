// Package figures holds a test alone: the figures of every starter and example, as set-up,
// turning, travel, loads and the page have them, stay what they were while the code that finds
// them is rearranged. Where a figure is meant to change, go test ./internal/figures -update.
package figures
