package engine

import (
	"encoding/json"
	"errors"
	"math"
	"strings"

	"evenlock/load"
	"evenlock/radio"
	"evenlock/rig"
)

// Problem is something that cannot be, and what to do about it.
type Problem struct {
	// Line counts from 1 in the rig file; 0 where no line is at fault.
	Line int `json:"line"`
	// Key is dotted, empty where no key is at fault.
	Key     string `json:"key"`
	Problem string `json:"problem"`
	Remedy  string `json:"remedy"`
}

// Problems is an error made of problems.
type Problems []Problem //nolint:errname // many, and the word that the page uses

// Error gives one line for each problem.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		e := rig.Error{Line: one.Line, Key: one.Key, Problem: one.Problem, Remedy: one.Remedy}
		lines[i] = e.Error()
	}
	return strings.Join(lines, "\n")
}

// ProblemsOf takes an error of any package below apart. It is empty for nil.
func ProblemsOf(err error) Problems {
	var (
		done    Problems
		many    rig.Errors
		one     *rig.Error
		reading *radio.ReadingError
		missing *radio.MissingReadingError
		setting *radio.SettingError
		tips    *load.TipError
	)
	switch {
	case err == nil:
		return nil
	case errors.As(err, &done):
		return done
	case errors.As(err, &many):
		for _, e := range many {
			done = append(done, Problem{e.Line, e.Key, e.Problem, e.Remedy})
		}
		return done
	case errors.As(err, &one):
		return Problems{{one.Line, one.Key, one.Problem, one.Remedy}}
	case errors.As(err, &reading):
		return Problems{{Key: "transmitter.reading", Problem: reading.Problem, Remedy: reading.Remedy}}
	case errors.As(err, &missing):
		return Problems{{Key: "transmitter.reading", Problem: missing.Problem, Remedy: missing.Remedy}}
	case errors.As(err, &tips):
		return Problems{{Problem: tips.Problem, Remedy: tips.Remedy}}
	case errors.As(err, &setting):
		return Problems{{Key: "settings." + setting.Key, Problem: setting.Problem, Remedy: setting.Remedy}}
	}
	return Problems{{Problem: err.Error()}}
}

func problem(key, what, remedy string) error {
	return Problems{{Key: key, Problem: what, Remedy: remedy}}
}

// Number is a float that JSON can hold: what is not finite is null.
type Number float64

// MarshalJSON writes null for what is not finite.
func (n Number) MarshalJSON() ([]byte, error) {
	if x := float64(n); math.IsNaN(x) || math.IsInf(x, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}
