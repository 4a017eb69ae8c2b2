package engine

import (
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/setup"
)

// headlines are the figures that the rig is judged by as it stands.
func (s *Session) headlines() (*setup.Headlines, error) {
	m, err := s.model()
	if err != nil {
		return nil, err
	}
	h, err := setup.Judge(m)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	return h, nil
}

// Results says how the rig steers as it stands.
func (s *Session) Results() (*document.Document, error) {
	h, err := s.headlines()
	if err != nil {
		return nil, err
	}
	return report.Headlines(h), nil
}
