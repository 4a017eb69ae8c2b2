package advise

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"evenlock/internal/say"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

// stopStep is by how much a stop is moved to see what that gains.
const stopStep = 2 * degree

// locks is about what ends the lock each way.
func locks(s *Evaluation) ([]Finding, error) {
	p := s.Plan
	if p.Left.Key == "want.lock" && p.Right.Key == "want.lock" {
		return s.wantedLock()
	}
	var all []Finding
	for _, e := range []*setup.End{&p.Left, &p.Right} {
		if e.Matched || e.Key == "want.lock" {
			continue // what ends the other lock is what keeps this one
		}
		all = append(all, s.lock(e))
	}
	return all, nil
}

// wantedLock is for a lock that is had both ways.
func (s *Evaluation) wantedLock() ([]Finding, error) {
	p := s.Plan
	least, first := steer.Result{Value: math.Inf(1)}, ""
	for _, e := range []*setup.End{&p.Left, &p.Right} {
		in, err := s.innerAt(e, e.Stops[0].Servo)
		if err != nil {
			return nil, err
		}
		if in.Value < least.Value-1e-9 {
			least, first = in, e.Stops[0].Words
		}
	}
	return []Finding{{
		Key: "lock", Kind: Well,
		Sentence: fmt.Sprintf("The %s of lock wanted are had both ways; the first stop, %s, is at %s.", deg(s.Rig.Want.Lock.Value), first, degOf(least)),
		Figures:  []Figure{angle("lock wanted", s.Rig.Want.Lock.Value, 0), angleOf("inner wheel at the first stop", least)},
	}}, nil
}

// lock is about what ends the lock on one side.
func (s *Evaluation) lock(e *setup.End) Finding {
	side := sideWord(e)
	p := Finding{Key: "lock." + side, Kind: Know, Figures: []Figure{angleOf("lock to the "+side+", inner wheel", e.Inner)}}
	governs := upper(e.Governs)
	if strings.Contains(governs, ", ") {
		governs += ","
	}
	ends := fmt.Sprintf("%s ends the lock to the %s at %s", governs, side, degOf(e.Inner))
	if s.Plan.Left.Matched || s.Plan.Right.Matched {
		ends += ", to which the other side is matched"
	}
	if len(e.Stops) > 1 && e.Key == e.Stops[0].Key {
		apart := e.Stops[1].Servo.Minus(e.Stops[0].Servo)
		if apart.Uncertain > 0 && within(apart) {
			p.Kind = Unsure
			p.Sentence = fmt.Sprintf("%s; but %s comes %s of servo after it, and which is first is within the uncertainty.", ends, e.Stops[1].Words, degOf(apart))
			p.Figures = append(p.Figures, angleOf("servo between the two stops", apart))
			return p
		}
	}
	plan, what, set := s.further(e)
	if plan == nil {
		p.Sentence = ends + "; " + what + "."
		return p
	}
	then := &plan.Left
	if side == "right" {
		then = &plan.Right
	}
	gain := then.Inner.Value - e.Inner.Value
	governs = then.Governs
	if then.Matched {
		governs = plan.Left.Governs
		if side == "left" {
			governs = plan.Right.Governs
		}
	}
	p.Figures = append(p.Figures, angle("lock then", then.Inner.Value, 0))
	p.Weight = max(0, gain)
	if gain < shown {
		p.Sentence = fmt.Sprintf("%s; %s gains nothing, as %s ends it then.", ends, what, governs)
		return p
	}
	p.Kind = Do
	p.Change = &Change{what, p.Figures[0], angle(p.Figures[0].Words, then.Inner.Value, 0), set}
	p.Sentence = fmt.Sprintf("%s; with %s %s would end it at %s.", ends, what, governs, deg(then.Inner.Value))
	if governs == e.Governs {
		p.Sentence = fmt.Sprintf("%s; with %s it would be %s.", ends, what, deg(then.Inner.Value))
	}
	return p
}

// further makes the plan with what ends a lock moved out, and says what was moved and what to set for it; nil, with the reason, if
// nothing can be.
func (s *Evaluation) further(e *setup.End) (*setup.Plan, string, []rig.Setting) {
	switch e.Key {
	case "", "transmitter.max_endpoint", "servo.travel": // a dead point, or as far as the servo goes
		for _, hole := range s.otherHoles(true) {
			if plan, err := setup.Make(s.withHole(hole)); err == nil {
				return plan, fmt.Sprintf("the %s mm hole of the horn", say.Number(hole, 1)), s.holeSet(hole)
			}
		}
		return nil, "the horn has no longer hole in the file, which would take it further", nil
	}
	for _, l := range s.Plan.After.Limits() {
		if l.Key != e.Key || l.Words != e.Governs {
			continue
		}
		set := rig.Setting{Key: e.Key, Value: say.Number((l.Most+stopStep)/degree, 2)}
		r, err := s.edited(set.Key, set.Value)
		if err != nil {
			return nil, "it is as far as it can be", nil // beyond what the file may say
		}
		if plan, err := setup.Make(r); err == nil {
			return plan, whole(stopStep) + " more there", []rig.Setting{set}
		}
	}
	return nil, "there is no stop to move", nil
}

func upper(words string) string { return strings.ToUpper(words[:1]) + words[1:] }

// passed is about settings that drive the linkage past a stop.
func passed(s *Evaluation) ([]Finding, error) {
	if !s.Plan.Calibrated {
		return nil, nil
	}
	// The number of stick positions is of no matter here.
	now, err := setup.Try(s.Rig, 3)
	if err != nil {
		return nil, err
	}
	then, err := setup.Try(s.Plan.Rig().Exact(), 3)
	if err != nil {
		return nil, err
	}
	still := 0.0
	for _, p := range then.Passed {
		if !p.TrimOnly {
			still = max(still, p.By)
		}
	}
	var all []Finding
	seen := map[bool]bool{}
	for _, p := range now.Passed {
		up := p.Stop.Servo.Value > now.Model.Centre()
		if p.TrimOnly || seen[up] {
			continue
		}
		seen[up] = true // the first on each side governs
		state := now.Model.NewState()
		if err := state.Turn(p.Stop.Servo.Value - 1e-6*math.Copysign(1, p.Stop.Servo.Value)); err != nil {
			return nil, err
		}
		left, right := state.Road()
		rates := state.Rates()
		side, rate := leftOrRight(left+right), math.Max(math.Abs(rates[steer.RoadLeft]), math.Abs(rates[steer.RoadRight]))
		by := p.Stop.Servo
		by.Value = p.By
		what := "servo past the stop"
		sentence := fmt.Sprintf("Full stick to the %s drives the servo %s past %s, where it stalls and heats", side, degOf(by), p.Stop.Words)
		if within(by) {
			all = append(all, unsure("passed."+side, sentence, by, what)...)
			continue
		}
		all = append(all, Finding{
			Key: "passed." + side, Kind: Do, Weight: min(rate*sure(by.Value, by.Uncertain), math.Pi/2),
			Sentence: fmt.Sprintf("%s; endpoints of %s to the left and %s to the right leave %s.", sentence, number(s.Plan.Settings.EndpointLeft), number(s.Plan.Settings.EndpointRight), pastWords(still)),
			Figures:  []Figure{angleOf(what, by), angle(what+", then", still, 0)},
			Change:   &Change{"set the endpoints of evenlock setup", angleOf(what, by), angle(what, still, 0), nil},
		})
	}
	return all, nil
}

func pastWords(v float64) string {
	if v < shown {
		return "it short of every stop"
	}
	return deg(v) + " past one"
}

// even is about left against right at equal stick.
func even(s *Evaluation) ([]Finding, error) {
	const key = "even"
	p := s.Plan
	spread, err := s.unlike(p.After, s.Turn)
	if err != nil {
		return nil, err
	}
	full := p.Left.Inner.Minus(p.Right.Inner)
	is := fmt.Sprintf("left and right differ by %s at full lock", degOf(full))
	figures := []Figure{angleOf("lock to the left less lock to the right", full)}
	now, then := p.EvenBefore.Lock, p.EvenAfter.Lock
	if p.Calibrated {
		trial, err := setup.Try(p.Rig().Exact(), 3)
		if err != nil {
			return nil, err
		}
		if trial.EvenKnown {
			then = trial.Even.Lock
		}
	}
	const words = "greatest difference at equal stick"
	figures = append(figures, angle(words+" now", now, spread.Uncertain), angle(words+", set up", then, spread.Uncertain))
	switch gain := now - then; {
	case p.Calibrated && gain >= worth && gain > spread.Uncertain:
		return []Finding{{
			Key: key, Kind: Do, Weight: sure(gain, spread.Uncertain), Figures: figures,
			Sentence: fmt.Sprintf("At equal stick left and right differ by up to %s as the radio is set; set up as evenlock setup says, by up to %s, and by %s at full lock.", say.Degrees(now, spread.Uncertain), deg(then), deg(full.Value)),
			Change:   &Change{"carry out evenlock setup", angle(words, now, spread.Uncertain), angle(words, then, spread.Uncertain), nil},
		}}, nil
	case then < worth:
		return []Finding{{Key: key, Kind: Well, Figures: figures, Sentence: fmt.Sprintf("Set up, %s, and by up to %s on the way.", is, deg(then))}}, nil
	case then <= spread.Uncertain:
		return unsure(key, fmt.Sprintf("Set up, left and right differ by up to %s at equal stick", say.Degrees(then, spread.Uncertain)), spread, words), nil
	}
	finding := Finding{
		Key: key, Kind: Know, Weight: sure(then, spread.Uncertain), Figures: figures,
		Sentence: fmt.Sprintf("Set up, %s, and by up to %s on the way.", is, say.Degrees(then, spread.Uncertain)),
	}
	if !p.Calibrated || s.Rig.Transmitter.CurvePoints > 0 {
		return []Finding{finding}, nil
	}
	const points = 9
	twin := s.Exact.Clone()
	twin.Transmitter.CurvePoints = points
	plan, err := setup.Make(twin)
	if err != nil {
		return nil, err
	}
	curved := plan.EvenShaped.Lock
	if then-curved < worth {
		return []Finding{finding}, nil
	}
	finding.Kind, finding.Weight = Do, sure(then-curved, spread.Uncertain)
	finding.Change = &Change{fmt.Sprintf("use a transmitter with a steering curve of %d points", points), angle(words, then, spread.Uncertain), angle(words, curved, 0), nil}
	finding.Figures = append(finding.Figures, angle(words+", with a curve", curved, 0))
	finding.Sentence += fmt.Sprintf(" A steering curve of %d points would leave %s.", points, deg(curved))
	return []Finding{finding}, nil
}

// ackermann is about how the two wheels are turned against one another.
func ackermann(s *Evaluation) ([]Finding, error) {
	const key = "ackermann"
	p := s.Plan
	off := func(m *steer.Model, left, right steer.Result) (steer.Result, error) {
		l, errLeft := m.AtSolved(steer.Ackermann, left, 1)
		r, errRight := m.AtSolved(steer.Ackermann, right, 1)
		return l.Plus(r).Times(0.5), errors.Join(errLeft, errRight)
	}
	now, err := off(p.After, p.Left.Servo, p.Right.Servo)
	if err != nil {
		return nil, err
	}
	const words = "outer wheel's excess over Ackermann at full lock, mean of both ways"
	further := "further"
	if now.Value < 0 {
		further = "less"
	}
	is := fmt.Sprintf("At full lock the outer wheel is turned %s %s than Ackermann asks", degOf(now), further)
	figures := []Figure{angleOf(words, now)}
	switch {
	case now.Uncertain >= shown && within(now):
		return unsure(key, is, now, words), nil
	case math.Abs(now.Value) < worth:
		return []Finding{{Key: key, Kind: Well, Sentence: is + ".", Figures: figures}}, nil
	}
	g := p.Before.Geometry
	with := func(by float64) float64 {
		r := s.Exact.Clone()
		r.Left.TieArm = &rig.Arm{Ball: rig.PointAt(swung(g.Left.TieBall, &g.Left, by)), Stud: r.Left.TieArm.Stud}
		if r.Right != nil && r.Right.TieArm != nil {
			r.Right.TieArm = &rig.Arm{Ball: rig.PointAt(swung(g.Right.TieBall, &g.Right, -by)), Stud: r.Right.TieArm.Stud}
		}
		m, err := s.adjusted(r, s.placed(), p.After.Centre())
		if err != nil {
			return math.NaN()
		}
		left, okLeft := servoFor(m, steer.RoadLeft, p.Left.Inner.Value, s.ToLeft)
		right, okRight := servoFor(m, steer.RoadRight, -p.Right.Inner.Value, -s.ToLeft)
		if !okLeft || !okRight {
			return math.NaN()
		}
		e, err := off(m, left, right)
		if err != nil {
			return math.NaN()
		}
		return e.Value
	}
	finding := Finding{Key: key, Kind: Know, Weight: sure(now.Value, now.Uncertain), Figures: figures, Sentence: is + "; no swing of the tie arms up to " + whole(swingMost) + " was found that mends it."}
	if by, ok := crossing(with); ok {
		by = math.Round(2*by/degree) / 2 * degree
		then, way := with(by), swing(g.Left.TieBall, swung(g.Left.TieBall, &g.Left, by))
		if gain := math.Abs(now.Value) - math.Abs(then); gain > shown {
			finding.Kind, finding.Weight = Do, sure(gain, now.Uncertain)
			finding.Change = &Change{fmt.Sprintf("swing the ends of both tie arms %s %s, and set the tie rod to suit", deg(by), way), figures[0], angle(words, then, 0), nil}
			finding.Figures = append(finding.Figures, angle("swing of the tie arms", by, 0), angle(words+", then", then, 0))
			finding.Sentence = fmt.Sprintf("%s; the ends of both tie arms swung %s %s would leave %s, at the same lock.", is, deg(by), way, deg(then))
		}
	}
	return []Finding{finding}, nil
}

// servoFor finds the servo angle in a direction from the centre at which a wheel has a road angle.
func servoFor(m *steer.Model, q steer.Quantity, want, direction float64) (steer.Result, bool) {
	const step, most = 2 * degree, 120 * degree
	state := m.NewState()
	for at := step; at < most; at += step {
		if state.Turn(m.Centre()+direction*at) != nil {
			return steer.Result{}, false
		}
		left, right := state.Road()
		if road := map[bool]float64{true: left, false: right}[q == steer.RoadLeft]; road/want >= 1 {
			r, err := m.Solved(q, want, m.Centre()+direction*(at-step), m.Centre()+direction*at)
			return r, err == nil
		}
	}
	return steer.Result{}, false
}

// repeat is about the measurement that is most worth taking again.
func repeat(s *Evaluation) ([]Finding, error) {
	const key = "repeat"
	now, err := s.unlike(s.Plan.After, s.Turn)
	if err != nil {
		return nil, err
	}
	const words = "uncertainty of left against right"
	known := fmt.Sprintf("Left against right, %s, is known to ± %s", "at "+deg(s.Turn)+" of servo either way", say.Degrees(now.Uncertain, 0))
	figures := []Figure{angle(words, now.Uncertain, 0)}
	shares := now.Shares()
	switch {
	case now.Uncertain == 0:
		return nil, nil
	case now.Uncertain < worth:
		return []Finding{{Key: key, Kind: Well, Figures: figures, Sentence: known + ": nothing is worth measuring again."}}, nil
	}
	twin := s.Rig.Clone()
	for _, m := range twin.Measurements() {
		if m.Path == shares[0].Measure.Path {
			m.Q.Uncertainty /= 2
		}
	}
	m, err := s.adjusted(twin, s.placed(), s.Plan.After.Centre())
	if err != nil {
		return nil, err
	}
	then, err := s.unlike(m, s.Turn)
	if err != nil {
		return nil, err
	}
	name := shares[0].Measure.Words()
	return []Finding{{
		Key: key, Kind: Do, Weight: now.Uncertain - then.Uncertain,
		Sentence: fmt.Sprintf("%s; the %s measured again to half its ± would make that ± %s.", known, name, say.Degrees(then.Uncertain, 0)),
		Figures:  append(figures, angle(words+", then", then.Uncertain, 0), Figure{"part of the variance", shares[0].Part, 0, "1"}),
		Change:   &Change{"measure the " + name + " again, twice as well", figures[0], angle(words, then.Uncertain, 0), nil},
	}}, nil
}

// trim is about the room for it.
func trim(s *Evaluation) ([]Finding, error) {
	if s.Plan.Trim == nil {
		return nil, nil
	}
	room := s.Plan.Trim.Room
	if room.Outside || math.IsInf(room.Positive, 0) || math.IsInf(room.Negative, 0) {
		return nil, nil
	}
	var at [2]float64
	for i, steps := range []float64{-room.Negative, room.Positive} {
		change, err := s.Plan.Calibration.TrimEffect(s.Plan.Settings, s.Plan.Calibration.TrimKind, steps)
		if err != nil {
			return nil, err
		}
		state := s.Plan.After.NewState()
		if err := state.Turn(change.After.Centre); err != nil {
			return nil, err
		}
		left, right := state.Road()
		at[i] = (left + right) / 2
	}
	to := map[string]float64{leftOrRight(at[0]): math.Abs(at[0]), leftOrRight(at[1]): math.Abs(at[1])}
	if len(to) < 2 {
		return nil, nil
	}
	return []Finding{{
		Key: "trim", Kind: Well,
		Sentence: fmt.Sprintf("Once set up, trim can turn the wheels %s to the left and %s to the right before it ends or a stop is reached.", deg(to["left"]), deg(to["right"])),
		Figures:  []Figure{angle("trim to the left", to["left"], 0), angle("trim to the right", to["right"], 0)},
	}}, nil
}

// joints is about how unevenly the axle's universal joints turn at full lock.
func joints(s *Evaluation) ([]Finding, error) {
	p := s.Plan
	left, right := s.Rig.AxleJoints()
	both := [2]*rig.AxleJoint{left, right}
	worst, where, end := steer.Result{}, "", (*setup.End)(nil)
	for i, q := range []steer.Quantity{steer.JointLeft, steer.JointRight} {
		if j := both[i]; j == nil || j.Kind != "universal" {
			continue
		}
		for _, e := range []*setup.End{&p.Left, &p.Right} {
			at, err := p.After.AtSolved(q, e.Servo, 1)
			if err != nil {
				return nil, err
			}
			if at.Value > worst.Value+1e-9 {
				worst, where, end = at, [2]string{"left", "right"}[i], e
			}
		}
	}
	if end == nil {
		return nil, nil
	}
	const back = 5 * degree
	q, sign := steer.RoadLeft, 1.0
	if sideWord(end) == "right" {
		q, sign = steer.RoadRight, -1
	}
	servo, err := p.After.Solved(q, sign*(end.Inner.Value-back), p.After.Centre(), end.Servo.Value)
	if errors.Is(err, steer.ErrNotBetween) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	less, err := p.After.At(map[string]steer.Quantity{"left": steer.JointLeft, "right": steer.JointRight}[where], servo.Value)
	if err != nil {
		return nil, err
	}
	uneven := func(at float64) float64 {
		slow, fast := load.Universal(at).Extremes()
		return fast - slow
	}
	percent := func(v float64) string { return say.Number(100*v, 0) + " %" }
	const words = "greatest less least speed of the wheel, as a part of the shaft's"
	return []Finding{{
		Key: "joint", Kind: Know,
		Sentence: fmt.Sprintf("At full lock to the %s the %s axle joint works at %s, where its wheel's speed changes by %s twice a turn; %s less lock makes that %s.", sideWord(end), where, degOf(worst), percent(uneven(worst.Value)), whole(back), percent(uneven(less.Value))),
		Figures:  []Figure{angleOf("angle of the joint", worst), {words, uneven(worst.Value), 0, "1"}},
		Change:   &Change{fmt.Sprintf("end the lock %s sooner if the wheel hops", whole(back)), Figure{words, uneven(worst.Value), 0, "1"}, Figure{words, uneven(less.Value), 0, "1"}, nil},
	}}, nil
}
