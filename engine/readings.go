package engine

import (
	"strconv"
	"strings"

	"evenlock/report"
	"evenlock/rig"
)

// Reading is what was read of the servo at one setting of the transmitter.
type Reading struct {
	Words string `json:"words"`
}

// Readings lists what was read of the servo, in the order of the file.
func (s *Session) Readings() []Reading {
	all := []Reading{}
	for i, one := range s.moved.file().Transmitter.Readings {
		all = append(all, Reading{report.ReadingWords(i+1, one, s.moved.file().Transmitter.Screen()).Text(s.reader)})
	}
	return all
}

// ReadingEntry is a reading as a person types it; what was not read is empty. Control is endpoint,
// subtrim or trim.
type ReadingEntry struct {
	Control string `json:"control"`
	Setting string `json:"setting"`
	Pulse   string `json:"pulse"`
	Angle   string `json:"angle"`
}

// readingKey is that of a reading, by its number from 1.
func (s *Session) readingKey(number int) string {
	return s.moved.file().Prefix + "transmitter.reading." + strconv.Itoa(number)
}

// AddReadings puts readings into the file, as one change: a file has two or none.
func (s *Session) AddReadings(readings ...ReadingEntry) error {
	var all []rig.Setting
	for i, r := range readings {
		key, before := s.readingKey(len(s.moved.file().Transmitter.Readings)+1+i), len(all)
		for _, one := range [...]struct{ name, value string }{{"control", r.Control}, {"setting", r.Setting}, {"pulse", r.Pulse}, {"angle", r.Angle}} {
			// Each is one number, in which a comma can only be the decimal one.
			if value := strings.ReplaceAll(strings.TrimSpace(one.value), ",", "."); value != "" {
				all = append(all, rig.Setting{Key: key + "." + one.name, Value: value})
			}
		}
		if len(all) == before {
			return problem("", "nothing was read", "put in the number on the screen, and the servo's angle or the pulse")
		}
	}
	text, err := rig.EditAll(s.history[s.at].text, all...)
	if err != nil {
		return ProblemsOf(err)
	}
	did := "added a reading of the servo"
	if len(readings) > 1 {
		did = "added readings of the servo"
	}
	return s.change(text, did)
}

// TakeReading takes a reading out of the file, by its number from 1, as one change.
func (s *Session) TakeReading(number int) error {
	if number < 1 || number > len(s.moved.file().Transmitter.Readings) {
		return problem("", "there is no such reading", "choose one of the list")
	}
	text, err := rig.Edit(s.history[s.at].text, s.readingKey(number), "")
	if err != nil {
		return ProblemsOf(err)
	}
	return s.change(text, "took out reading "+strconv.Itoa(number))
}
