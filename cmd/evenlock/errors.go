package main

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"evenlock/linkage"
	"evenlock/radio"
	"evenlock/rig"
	"evenlock/steer"
)

// Exit codes. Anything that is not one of these is 1.
const (
	exitUsage   = 2 // the command was called wrongly
	exitRig     = 3 // the rig file cannot be used as it is
	exitLinkage = 4 // the linkage does not go where it was asked to
)

// usageError is a command called wrongly.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

func usage(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// exitCode maps an error to what a script sees.
func exitCode(err error) int {
	var (
		wrong    usageError
		problem  *rig.Error
		problems rig.Errors
		limit    *linkage.LimitError
		missing  *radio.MissingReadingError
		reading  *radio.ReadingError
		vague    *radio.VagueScaleError
		setting  *radio.SettingError
	)
	switch {
	case errors.As(err, &wrong):
		return exitUsage
	case errors.As(err, &problems), errors.As(err, &problem), errors.As(err, &missing), errors.As(err, &reading),
		errors.As(err, &vague), errors.As(err, &setting), errors.Is(err, steer.ErrPastStop), errors.Is(err, errAsked):
		return exitRig
	case errors.As(err, &limit):
		return exitLinkage
	default:
		return 1
	}
}

// fileName is what a rig file is called.
func fileName(path string) string {
	if path == "-" {
		return "standard input"
	}
	return path
}

// inFile names the rig file, a command's first argument, in an error about what it says.
func inFile(args []string, err error) error {
	if code := exitCode(err); len(args) == 0 || code != exitRig && code != exitLinkage {
		return err
	}
	name := fileName(args[0])
	var problems rig.Errors
	var problem *rig.Error
	switch {
	case errors.As(err, &problems):
		named := make(rig.Errors, len(problems))
		for i, p := range problems {
			named[i] = withFile(p, name)
		}
		return named
	case errors.As(err, &problem):
		return withFile(problem, name)
	default:
		return &fileError{name, err}
	}
}

// fileError is an error about what a rig file says.
type fileError struct {
	file string
	err  error
}

func (e *fileError) Error() string { return e.file + ": " + e.err.Error() }
func (e *fileError) Unwrap() error { return e.err }

func withFile(p *rig.Error, name string) *rig.Error {
	named := *p
	if named.File == "" {
		named.File = name
	}
	return &named
}

// explain is what is printed of an error: each problem of a rig file on a line of its own.
func explain(err error) string {
	var problems rig.Errors
	if errors.As(err, &problems) {
		lines := make([]string, len(problems))
		for i, p := range problems {
			lines[i] = "evenlock: " + p.Error()
		}
		return strings.Join(lines, "\n")
	}
	var limit *linkage.LimitError
	var in *fileError
	if errors.As(err, &limit) && errors.As(err, &in) && len(limit.Inputs) > 0 {
		at, way := limit.Inputs[0]/degree, "counter-clockwise"
		if at < 0 {
			way = "clockwise"
		}
		return fmt.Sprintf("evenlock: %s: the %s cannot follow: the linkage goes to %.3f° of servo %s (%.3f) and no further; ask for less, or leave --from and --to out", in.file, limit.Rods, math.Abs(at), way, at)
	}
	return "evenlock: " + err.Error()
}
