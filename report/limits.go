package report

import (
	"evenlock/load"
	"evenlock/report/document"
	"evenlock/steer"
)

// sideLimits is what ends the lock to one side at ride height.
type sideLimits struct {
	word string
	met  []metLimit
	// joints are both axle joints where the first is met, in radians.
	joints [2]float64
	// used is how much of each of the model's limits is taken up on the way there, at most; 1 is
	// met.
	used []float64
}

// metLimit is a limit with the inner wheel's road angle where it is met.
type metLimit struct {
	steer.Stop
	inner steer.Result
}

// limitSteps are as many as are looked at on the way to the lock.
const limitSteps = 60

// limitsOf finds what ends the lock to both sides, the left one first.
func limitsOf(m *steer.Model) (both [2]sideLimits, err error) {
	locks, err := m.Locks(steer.LockOptions{})
	if err != nil {
		return both, err
	}
	for side := range both {
		one, lock := &both[side], &locks[side]
		one.word = sideNames[side]
		for _, st := range lock.Stops {
			if err := lock.MoveTo(st.Servo); err != nil {
				return both, err
			}
			one.met = append(one.met, metLimit{st, lock.Inner})
		}
		s, limits := m.NewState(), m.Limits()
		one.used = make([]float64, len(limits))
		for step := range limitSteps + 1 {
			if err := s.Turn(m.Centre() + (lock.Stops[0].Servo.Value-m.Centre())*float64(step)/limitSteps); err != nil {
				return both, err
			}
			for k, l := range limits {
				one.used[k] = max(one.used[k], s.Limit(k)/l.Most)
			}
		}
		v := s.Values()
		one.joints = [2]float64{v[steer.Joint.Of(steer.Left)], v[steer.Joint.Of(steer.Right)]}
	}
	return both, nil
}

// gain is how much further the inner wheel goes once the first limit is out of the way, and what
// ends the lock then; ok is false if nothing else was met.
func (l *sideLimits) gain() (more float64, next string, ok bool) {
	for _, st := range l.met[1:] {
		if more = st.inner.Value - l.met[0].inner.Value; more > 0 {
			return more, st.Words, true
		}
	}
	return 0, "", false
}

// Limits says what ends the lock to each side and what comes after it, how near the other limits
// come, and what the axle joints do, at ride height. The error is that of steer.Model.Stops.
func Limits(m *steer.Model) (*document.Document, error) {
	both, err := limitsOf(m)
	if err != nil {
		return nil, err
	}
	d := about(m, "limits", "Limits")
	var gains []document.Sentence
	for i := range both {
		l := &both[i]
		first := &l.met[0]
		d.Verdict = append(d.Verdict, line(document.Capital(l.word), " ends at ", angle(first.inner).Named("lock."+l.word, ""), ": ", first.Words, "."))
		if more, next, ok := l.gain(); ok {
			gains = append(gains, document.Say(l.word, " gains ", document.F(more, document.Angle).Named("gain."+l.word, ""), ", to ", next))
		}
		d.Sections = append(d.Sections, metSection(l))
	}
	if len(gains) > 0 {
		d.Verdict = append(d.Verdict, document.Line{Sentence: document.Say("Without its limit, ", gains[0], ".")})
	}
	d.Verdict = threeLines(d.Verdict)
	d.Sections = append(d.Sections, usedSections(m, &both)...)
	if s, ok := jointSection(m, &both); ok {
		d.Sections = append(d.Sections, s)
	}
	if touching := m.Touching(); len(touching) > 0 {
		s := document.Section{Key: "touching", Title: "Touching with the wheels straight", Detail: true, Blocks: []document.Block{document.Text("These are taken to belong together:")}}
		for _, words := range touching {
			s.Blocks = append(s.Blocks, document.Text(words))
		}
		d.Sections = append(d.Sections, s)
	}
	return d, nil
}

// metSection lists the limits to one side in the order that they are met as the servo turns.
func metSection(l *sideLimits) document.Section {
	t := document.Table{Key: "met." + l.word, Columns: []document.Column{
		{Key: "inner", Head: "inner wheel"},
		{Key: "servo", Head: "servo"},
		{Key: "limit", Head: "what ends it"},
	}}
	for _, st := range l.met {
		t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{
			document.Say(angle(st.inner).Size()),
			document.Say(angle(st.Servo).Signed(document.Rotation)),
			document.Say(st.Words, document.FileKey(st.Key)),
		}})
	}
	return document.Section{Key: "to." + l.word, Title: "To the " + l.word + ", first to last", Blocks: []document.Block{t}}
}

// halfUsed is the part of a limit from which it is worth a line to everyone.
const halfUsed = 0.5

// usedSections say how near the limits come on the way to the lock: those that come near, and the
// rest for who asks.
func usedSections(m *steer.Model, both *[2]sideLimits) []document.Section {
	near, far := document.Table{Key: "near"}, document.Table{Key: "far"}
	for _, t := range []*document.Table{&near, &far} {
		t.Columns = []document.Column{{Key: "limit", Head: "limit"}, {Key: "left", Head: "to left"}, {Key: "right", Head: "to right"}}
	}
	for k, l := range m.Limits() {
		used := [2]float64{max(0, both[0].used[k]), max(0, both[1].used[k])}
		row := document.Row{Cells: []document.Sentence{document.Say(l.Words), document.Say(part(used[0])), document.Say(part(used[1]))}}
		if max(used[0], used[1]) >= halfUsed {
			near.Rows = append(near.Rows, row)
		} else {
			far.Rows = append(far.Rows, row)
		}
	}
	means := document.Text("Of an angle, or of the room between two parts with the wheels straight. 100 % meets the limit.")
	var all []document.Section
	if len(near.Rows) > 0 {
		all = append(all, document.Section{Key: "near", Title: "How near the limits come on the way to the lock", Blocks: []document.Block{near, means}})
	}
	if len(far.Rows) > 0 {
		all = append(all, document.Section{Key: "far", Title: "Limits less than half used", Detail: true, Blocks: []document.Block{far, means}})
	}
	return all
}

// jointSection says what the joints in the drive shafts do at the lock.
func jointSection(m *steer.Model, both *[2]sideLimits) (document.Section, bool) {
	s := document.Section{Key: "joints", Title: "Axle joints at full lock"}
	for i := range both {
		for _, w := range m.Vehicle.Wheels {
			if w.Joint == nil {
				continue
			}
			bends := both[i].joints[w.Side]
			said := document.Say("To the ", both[i].word, " the ", w.Side, " joint bends ", document.F(bends, document.Angle))
			if w.Joint.Kind == "universal" {
				slow, fast := load.Universal(bends).Extremes()
				said = document.Say(said, "; twice a turn the wheel runs at ", document.F(slow, document.One), " to ", document.F(fast, document.One), " times the shaft's speed")
			}
			s.Blocks = append(s.Blocks, document.Text(said, "."))
		}
	}
	return s, len(s.Blocks) > 0
}
