package rig

import (
	"errors"
	"strings"

	"evenlock/vehicle"
)

// ErrNewerFormat is in the chain of the error that Read returns for a file of a
// format newer than Format.
var ErrNewerFormat = errors.New("newer format")

// Error is one problem in a rig file, for the person who wrote it.
type Error = vehicle.Error

// Errors is every problem found in a file, in the order of its lines.
type Errors []*Error

// Error gives one line for each problem.
func (e Errors) Error() string {
	lines := make([]string, len(e))
	for i, err := range e {
		lines[i] = err.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the problems one by one, for errors.Is and errors.As.
func (e Errors) Unwrap() []error {
	all := make([]error, len(e))
	for i, err := range e {
		all[i] = err
	}
	return all
}
