package engine

import (
	"cmp"
	"slices"
	"strings"

	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

// MeasurementsDocument says what was measured, how well, and what to measure next.
type MeasurementsDocument struct {
	// Missing counts what the set-up needs, LaterMissing what is asked after it.
	Missing      int `json:"missing"`
	LaterMissing int `json:"laterMissing"`
	// Next is the first missing one in the order of asking, empty if none is.
	Next string            `json:"next"`
	List []MeasurementInfo `json:"list"`
	// Repeat lists the keys worth measuring again, the greatest first.
	Repeat      []string `json:"repeat"`
	RepeatWords string   `json:"repeatWords"`
	// Check lists what stands in the file and is no measurement: limits, choices, the parts' own
	// numbers. In a draft they are the starter's.
	Check []Entry `json:"check"`
}

// Entry is a value as it stands in the file.
type Entry struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Entry string `json:"entry"`
}

// MeasurementInfo is one measured value.
type MeasurementInfo struct {
	Key   string `json:"key"`
	Group string `json:"group"`
	Words string `json:"words"`
	// How says what the caliper does, Hint how the number may be typed, and Unit what a bare one is
	// taken in.
	How  string `json:"how"`
	Hint string `json:"hint"`
	Unit string `json:"unit"`
	Kind string `json:"kind"`
	// Figure is what it reads.
	Figure document.Shown `json:"figure"`
	// Entry is what stands in the file, in the reader's unit of length.
	Entry   string `json:"entry"`
	Missing bool   `json:"missing"`
	// Later is whether the set-up does without it: it is of the suspension, of the other axle, or of
	// parts to clear, and is asked last.
	Later bool `json:"later"`
	// LockShare and EvennessShare are its parts of the variance of the lock and of the evenness.
	LockShare     Number `json:"lockShare"`
	EvennessShare Number `json:"evennessShare"`
	// Worth says in words what its uncertainty does, empty if little.
	Worth string `json:"worth"`
	// View is the one that shows where the caliper goes, as Picture does; empty if none does.
	View string `json:"view"`
}

// repeatFrom is the part of a variance from which a measurement is worth repeating, and repeatMost
// how many are named.
const (
	repeatFrom = 0.1
	repeatMost = 3
)

// Measurements lists every measured value with its share in the uncertainty of the lock, the mean
// of both sides, and of the evenness, their difference.
func (s *Session) Measurements() (MeasurementsDocument, error) {
	d := MeasurementsDocument{List: []MeasurementInfo{}, Repeat: []string{}}
	m, err := s.model()
	if err != nil {
		return d, err
	}
	effects := s.effects(m)
	tree := rawOf(s.history[s.at].text)
	all := s.moved.rig.Measurements()
	slices.SortStableFunc(all, func(a, b rig.Measurement) int { return s.moved.asked(a.Path) - s.moved.asked(b.Path) })
	for _, q := range all {
		e := effects[q.Path]
		one := MeasurementInfo{
			Key: q.Path, Group: group(q.Path), Words: s.moved.rig.NameOf(q.Path), How: report.Instruction(q.Path), Kind: q.Kind.String(), Later: s.moved.later(q.Path),
			Hint: report.TypingHint(q, !unmeasured(q), s.reader).Text(s.reader), Unit: report.UnitToType(q, s.reader),
			Figure: document.Shown{Figure: report.Measured(q), Reader: s.reader},
			Entry:  s.entryOf(q, tree.at(q.Path)), Missing: unmeasured(q),
			LockShare: Number(e.LockPart), EvennessShare: Number(e.UnevenPart),
		}
		if tool, ok := s.tool(q.Path); ok {
			one.View = tool.View.String()
		}
		if max(e.LockPart, e.UnevenPart) >= repeatFrom {
			one.Worth = e.Worth().Text(s.reader)
		}
		switch {
		case one.Missing && one.Later:
			d.LaterMissing++
		case one.Missing:
			d.Missing++
		}
		if one.Missing && d.Next == "" {
			d.Next = q.Path
		}
		d.List = append(d.List, one)
	}
	d.Check = s.toCheck(d.List)
	byShare := slices.Clone(d.List)
	slices.SortStableFunc(byShare, func(a, b MeasurementInfo) int {
		return cmp.Compare(max(b.LockShare, b.EvennessShare), max(a.LockShare, a.EvennessShare))
	})
	for _, one := range byShare {
		if len(d.Repeat) < repeatMost && one.Worth != "" {
			d.Repeat = append(d.Repeat, one.Key)
		}
	}
	if len(d.Repeat) > 0 {
		first := byShare[0]
		d.RepeatWords = report.MeasureAgain(first.Words, effects[first.Key]).Text(s.reader)
	}
	return d, nil
}

// effects are what the ± of each measurement does to the lock and to left against right, by their
// keys; empty while the lock is not available.
func (s *Session) effects(m *steer.Model) map[string]report.Effect {
	all := map[string]report.Effect{}
	full, err := setup.ToFullStick(m)
	if err != nil {
		return all
	}
	left, right := full.Locks[steer.Left].Inner, full.Locks[steer.Right].Inner
	for _, h := range left.Plus(right).Times(0.5).Shares() {
		all[h.Measure.Path] = report.Effect{Lock: h.Effect, LockPart: h.Part}
	}
	for _, h := range left.Minus(right).Shares() {
		e := all[h.Measure.Path]
		e.Uneven, e.UnevenPart = h.Effect, h.Part
		all[h.Measure.Path] = e
	}
	return all
}

// afterwards begin the keys that the set-up does without, in the order that they are asked in.
var afterwards = []string{"suspension.", "part."}

// asked is the place of a key's kind in the order of asking: first what is of the axle, the other
// axle's last.
func (m *moved) asked(path string) int {
	for i, start := range afterwards {
		if strings.HasPrefix(path, start) {
			return i + 1
		}
	}
	if path == "vehicle.wheelbase" || strings.HasPrefix(path, "rear.") == (m.axle == 2) {
		return 0
	}
	return len(afterwards) + 1
}

// later tells whether the set-up does without a measurement.
func (m *moved) later(path string) bool { return m.asked(path) > 0 }

// toCheck lists the values of the file that are not measured.
func (s *Session) toCheck(measured []MeasurementInfo) []Entry {
	skip := map[string]bool{"format": true, "name": true, "notes": true, "unit": true, "accuracy.length": true, "accuracy.angle": true}
	for _, one := range measured {
		skip[one.Key], skip[one.Group] = true, true
	}
	all := []Entry{}
	for key, entry := range leaves(s.history[s.at].text) {
		if !skip[key] && !strings.HasPrefix(strings.TrimPrefix(key, "rear."), "settings.") {
			all = append(all, Entry{key, s.moved.rig.NameOf(key), entry})
		}
	}
	slices.SortFunc(all, func(a, b Entry) int { return strings.Compare(a.Key, b.Key) })
	return all
}

// group is the key that a coordinate belongs to.
func group(path string) string {
	if isPart(path) {
		return path[:len(path)-2]
	}
	return path
}
