package vehicle

import (
	"strconv"
	"strings"
)

// Error is one problem in a rig, for the person who wrote it.
type Error struct {
	// File is the name given to rig.Read; empty where there is no file.
	File string
	// Line counts from 1; 0 where no line is at fault.
	Line int
	// Key is dotted; empty where no key is at fault.
	Key string
	// Problem is what is wrong, and Remedy what to do about it.
	Problem, Remedy string
	// Cause is the error behind it, if there is one.
	Cause error
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

// Unwrap returns the error behind it.
func (e *Error) Unwrap() error { return e.Cause }
