package engine

import (
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/setup"
)

// SetUp is the set-up in the order that the work is done. A step's Set is what to hand to SetAll
// once it is done. While something is missing or cannot be, there is none, and the error says why.
func (s *Session) SetUp() (*document.Document, error) {
	plan, err := setup.Make(s.moved.rig, s.moved.axle)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	return report.SetUp(plan), nil
}
