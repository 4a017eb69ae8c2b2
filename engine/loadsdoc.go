package engine

import (
	"errors"

	"evenlock/load"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
)

// Loads is whether servo, rods and saver are strong enough, with what a page needs beside that.
type Loads struct {
	// Document is nil where there is none: while the file lacks something, which Lacks names, or
	// while the vehicle would tip over, which Problems say.
	Document *document.Document `json:"-"`
	Lacks    Problems           `json:"lacks"`
	Problems Problems           `json:"problems"`
	// Inputs are what it rests on, to be edited in place.
	Inputs []Input `json:"inputs"`
}

// Input is a value of the file, to be edited in place.
type Input struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Hint  string `json:"hint"`
	// Entry is what stands in the file, "" if nothing does.
	Entry string `json:"entry"`
	// Options are the words that it can be, if it is one of a few.
	Options []string `json:"options"`
	Missing bool     `json:"missing"`
}

// Loads says what the steering bears from lock to lock, on a vehicle that stands nose up and right
// side down by so many degrees. The error is Problems if slope or tilt cannot be.
func (s *Session) Loads(noseUp, rightDown float64) (Loads, error) {
	out := Loads{Lacks: Problems{}, Problems: Problems{}, Inputs: []Input{}}
	tilt, err := tiltOf(noseUp, rightDown)
	if err != nil {
		return out, err
	}
	m, err := s.model()
	if err != nil {
		return out, err
	}
	a, err := load.OverLock(m, tilt, load.Steps)
	var lacking rig.Errors
	switch {
	case errors.As(err, &lacking):
		out.Lacks = ProblemsOf(lacking)
	case err != nil:
		out.Problems = ProblemsOf(err)
	default:
		out.Document = report.Load(a)
	}
	tree := rawOf(s.history[s.at].text)
	for _, one := range report.LoadInputs(m, lacking) {
		in := Input{one.Key, one.Words, one.Hint, tree.at(one.Key), one.Options, one.Missing}
		if in.Options == nil {
			in.Options = []string{}
		}
		out.Inputs = append(out.Inputs, in)
	}
	return out, nil
}

// Setting is a value for a key of the rig file, as documents offer it.
type Setting = document.Setting

// SetAll changes several values of the rig file, as Set does, as one change: keys may need one
// another.
func (s *Session) SetAll(did string, settings []Setting) error {
	all := make([]rig.Setting, len(settings))
	for i, one := range settings {
		all[i] = rig.Setting(one)
	}
	text, err := rig.EditAll(s.history[s.at].text, all...)
	if err != nil {
		return ProblemsOf(err)
	}
	return s.change(text, did)
}
