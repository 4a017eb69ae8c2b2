package engine

import (
	"evenlock/advise"
	"evenlock/report"
	"evenlock/report/document"
)

// Advise says what to change on the rig, the most important first. The errors are those of
// advise.Of, as Problems.
func (s *Session) Advise() (*document.Document, error) {
	list, evaluation, err := advise.Of(s.moved.rig, s.moved.axle)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	return report.Advice(evaluation, list), nil
}
