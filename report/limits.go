package report

import (
	"fmt"
	"io"
	"math"

	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
)

// lockLimits is what ends the lock to one side at ride height.
type lockLimits struct {
	words string
	met   []metLimit
	// joints are both axle joints where the first is met, in radians.
	joints [2]float64
	// used is how much of each of the model's limits is taken up on the way there, at most; 1 is met.
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
func limitsOf(m *steer.Model) (both [2]lockLimits, err error) {
	leftward := math.Copysign(1, m.NewState().Rates()[steer.Curvature])
	for i, side := range []struct {
		words string
		inner steer.Quantity
		sign  float64
	}{{"left", steer.RoadLeft, 1}, {"right", steer.RoadRight, -1}} {
		one := &both[i]
		one.words = side.words
		stops, err := m.Stops(side.sign * leftward)
		if err != nil {
			return both, err
		}
		for _, st := range stops {
			inner, err := m.AtSolved(side.inner, st.Servo, side.sign)
			if err != nil {
				return both, err
			}
			one.met = append(one.met, metLimit{st, inner})
		}
		s, limits := m.NewState(), m.Limits()
		one.used = make([]float64, len(limits))
		for step := range limitSteps + 1 {
			if err := s.Turn(m.Centre() + (stops[0].Servo.Value-m.Centre())*float64(step)/limitSteps); err != nil {
				return both, err
			}
			for k, l := range limits {
				one.used[k] = max(one.used[k], s.Limit(k)/l.Most)
			}
		}
		v := s.Values()
		one.joints = [2]float64{v[steer.JointLeft], v[steer.JointRight]}
	}
	return both, nil
}

// gain is how much further the inner wheel goes once the first limit is out of the way, and what ends the lock then; ok is
// false if nothing else was met.
func (l *lockLimits) gain() (more float64, next string, ok bool) {
	for _, st := range l.met[1:] {
		if more = st.inner.Value - l.met[0].inner.Value; more > 0 {
			return more, st.Words, true
		}
	}
	return 0, "", false
}

// Limits writes what ends the lock to each side and what comes after it, how much the other limits are used, and what the axle joints do, at ride height,
// as text of at most 80 columns. The error is that of steer.Model.Stops.
func Limits(w io.Writer, m *steer.Model) error {
	both, err := limitsOf(m)
	if err != nil {
		return err
	}
	var t printer
	t.title("LIMITS of ", m.Rig.Name)
	for i := range both {
		l := &both[i]
		t.line("")
		t.line("TO THE %s, in the order that they are met as the servo turns", map[string]string{"left": "LEFT", "right": "RIGHT"}[l.words])
		t.line("  %-15s %s", "inner wheel", "ends it")
		for _, st := range l.met {
			words := st.Words
			if st.Key != "" {
				words += " (" + st.Key + ")"
			}
			t.item(sized(st.inner), "%s, servo %s %s", words, sized(st.Servo), way(st.Servo.Value))
		}
		if more, next, ok := l.gain(); ok {
			t.item("", "with the first out of the way %s° more; then %s ends it", number(more/degree, 1), next)
		}
	}
	t.limitsUsed(m, &both)
	t.axleJoints(m, &both)
	if touching := m.Touching(); len(touching) > 0 {
		t.line("")
		t.line("TOUCHING with the wheels straight, so taken to belong together")
		for _, words := range touching {
			t.line("  %s", wrap(words, 2))
		}
	}
	_, err = io.WriteString(w, t.String())
	return err
}

func (p *printer) limitsUsed(m *steer.Model, both *[2]lockLimits) {
	limits := m.Limits()
	if len(limits) == 0 {
		return
	}
	p.line("")
	p.line("USED on the way to the lock: of an angle, or of the room straight ahead")
	p.line("  %-58s %8s %8s", "", "to left", "to right")
	little := 0
	for k, l := range limits {
		if both[0].used[k] < littleUsed && both[1].used[k] < littleUsed {
			little++
			continue
		}
		p.line("  %-58s %6.0f %% %6.0f %%", clipped(l.Words, 58), 100*max(0, both[0].used[k]), 100*max(0, both[1].used[k]))
	}
	p.littleUsed(little)
}

// littleUsed says how many limits were left out for being used less than littleUsed.
func (p *printer) littleUsed(n int) {
	switch {
	case n == 1:
		p.line("  1 more is used less than %.0f %%", 100*littleUsed)
	case n > 1:
		p.line("  %d more are used less than %.0f %%", n, 100*littleUsed)
	}
}

// littleUsed is the part of a limit below which it is not worth a line.
const littleUsed = 0.1

// clipped shortens words to so many characters.
func clipped(words string, most int) string {
	r := []rune(words)
	if len(r) <= most {
		return words
	}
	return string(r[:most-1]) + "…"
}

// axleJoints writes what the joints in the drive shafts do at the lock.
func (p *printer) axleJoints(m *steer.Model, both *[2]lockLimits) {
	left, right := m.Rig.AxleJoints()
	if left == nil && right == nil {
		return
	}
	p.line("")
	p.line("AXLE JOINTS at the lock")
	for i := range both {
		for j, joint := range [2]struct{ side, kind string }{{"left", kindOf(left)}, {"right", kindOf(right)}} {
			if joint.kind == "" {
				continue
			}
			angle := both[i].joints[j]
			words := fmt.Sprintf("the %s joint bends %s°", joint.side, number(angle/degree, 1))
			if joint.kind == "universal" {
				slow, fast := load.Universal(angle).Extremes()
				words += fmt.Sprintf(": twice a turn the wheel goes %s to %s times as fast as the shaft, and up to %s° ahead of it and behind",
					number(slow, 3), number(fast, 3), number(load.Universal(angle).GreatestLead()/degree, 1))
			} else {
				words += ", and turns evenly"
			}
			p.item("to the "+both[i].words, "%s", words)
		}
	}
}

func kindOf(j *rig.AxleJoint) string {
	if j == nil {
		return ""
	}
	return j.Kind
}

type limitsDoc struct {
	Rig         string            `json:"rig"`
	Definitions map[string]string `json:"definitions"`
	Left        sideLimitsDoc     `json:"left"`
	Right       sideLimitsDoc     `json:"right"`
	Touching    []string          `json:"touching"`
}

type sideLimitsDoc struct {
	Met    []metDoc          `json:"met"`
	Gain   *Figure           `json:"gain,omitempty"`
	Next   string            `json:"next,omitempty"`
	Used   []usedDoc         `json:"used"`
	Joints map[string]Figure `json:"axle_joints"`
}

type metDoc struct {
	Key   string `json:"key,omitempty"`
	Words string `json:"words"`
	Inner Figure `json:"inner_wheel"`
	Servo Figure `json:"servo"`
}

type usedDoc struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Most  Figure `json:"limit"`
	Part  Figure `json:"used"`
}

var limitsDefinitions = map[string]string{
	"servo":       Definitions["servo"],
	"inner_wheel": "road angle of the inner wheel where the limit is met",
	"gain":        "how much further the inner wheel goes with the first limit out of the way",
	"used":        "the most on the way to the lock: of an angle, or of the room that two parts have straight ahead less what must stay; 1 is met",
	"axle_joints": "angle of the drive shafts' joints at the lock",
}

// LimitsJSON writes what Limits does, with units. The error is the same.
func LimitsJSON(w io.Writer, m *steer.Model) error {
	both, err := limitsOf(m)
	if err != nil {
		return err
	}
	doc := limitsDoc{Rig: m.Rig.Name, Definitions: limitsDefinitions, Touching: m.Touching()}
	for i, out := range []*sideLimitsDoc{&doc.Left, &doc.Right} {
		l := &both[i]
		for _, st := range l.met {
			out.Met = append(out.Met, metDoc{st.Key, st.Words, resultFigure(st.inner, steer.Radian), resultFigure(st.Servo, steer.Radian)})
		}
		if more, next, ok := l.gain(); ok {
			gain := angleFigure(more)
			out.Gain, out.Next = &gain, next
		}
		for k, lim := range m.Limits() {
			out.Used = append(out.Used, usedDoc{lim.Key, lim.Words, figure(lim.Most, 0, lim.Unit), plain(max(0, l.used[k]), 0, "1")})
		}
		out.Joints = map[string]Figure{"left": angleFigure(l.joints[0]), "right": angleFigure(l.joints[1])}
	}
	return writeJSON(w, doc)
}
