package rig

import (
	"errors"
	"strconv"
	"strings"
)

// ErrNewerFormat is in the chain of the error that Read returns for a file of a
// format newer than Format.
var ErrNewerFormat = errors.New("newer format")

// Error is one problem in a rig file, for the person who wrote it.
type Error struct {
	// File is the name given to Read; empty where there is no file.
	File string
	// Line counts from 1; 0 where no line is at fault.
	Line int
	// Key is dotted, as in Measurement.Path; empty where no key is at fault.
	Key string
	// Problem is what is wrong, and Remedy what to do about it.
	Problem, Remedy string

	cause error
}

// Error gives "file:line: key: problem; remedy", without the parts that are empty.
func (e *Error) Error() string {
	var b strings.Builder
	switch {
	case e.File != "" && e.Line > 0:
		b.WriteString(e.File + ":" + strconv.Itoa(e.Line) + ": ")
	case e.File != "":
		b.WriteString(e.File + ": ")
	case e.Line > 0:
		b.WriteString("line " + strconv.Itoa(e.Line) + ": ")
	}
	if e.Key != "" {
		b.WriteString(e.Key + ": ")
	}
	b.WriteString(e.Problem)
	if e.Remedy != "" {
		b.WriteString("; " + e.Remedy)
	}
	return b.String()
}

// Unwrap returns the sentinel behind the problem, if it has one.
func (e *Error) Unwrap() error { return e.cause }

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
