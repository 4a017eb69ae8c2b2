package advise

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"evenlock/load"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
	"evenlock/vehicle"
)

// stopStep is by how much a stop is moved to see what that gains.
const stopStep = 2 * degree

// locks is about what ends the lock each way.
func locks(s *Evaluation) ([]Finding, error) {
	p := s.Plan
	if p.Ends[steer.Left].AsWanted() && p.Ends[steer.Right].AsWanted() {
		return s.wantedLock()
	}
	var all []Finding
	for side := range p.Ends {
		if e := &p.Ends[side]; !e.Matched && !e.AsWanted() { // what ends the other lock is what keeps this one
			all = append(all, s.lock(e))
		}
	}
	return all, nil
}

// wantedLock is for a lock that is reached both ways.
func (s *Evaluation) wantedLock() ([]Finding, error) {
	facts := &WantedLock{Wanted: s.tables.Want.Lock.Value, Inner: steer.Result{Value: math.Inf(1)}}
	for side := range s.Plan.Ends {
		e := &s.Plan.Ends[side]
		in, err := s.Plan.After.AtSolved(steer.Road.Of(s.Plan.After.Inner(e.Side)), e.Stops[0].Servo, e.Side.Sign())
		if err != nil {
			return nil, err
		}
		if in.Value < facts.Inner.Value-1e-9 {
			facts.Inner, facts.First = in, e.Stops[0]
		}
	}
	return []Finding{{Key: "lock", Kind: Well, Facts: facts}}, nil
}

// lock is about what ends the lock on one side.
func (s *Evaluation) lock(e *setup.End) Finding {
	facts := &Lock{End: e, Kept: s.Plan.Ends[steer.Left].Matched || s.Plan.Ends[steer.Right].Matched}
	f := Finding{Key: "lock." + e.Side.String(), Kind: Know, Facts: facts}
	if len(e.Stops) > 1 && e.Key == e.Stops[0].Key {
		apart := e.Stops[1].Servo.Minus(e.Stops[0].Servo)
		if apart.Uncertain > 0 && within(apart) {
			facts.Apart, facts.Next = apart, e.Stops[1].Words
			f.Kind = Unsure
			return f
		}
	}
	plan, set := s.further(facts)
	if plan == nil {
		return f
	}
	then := &plan.Ends[e.Side]
	facts.Then, facts.Governs = then.Inner.Value, then.Governs
	if then.Matched {
		facts.Governs = plan.Ends[e.Side.Other()].Governs
	}
	gain := then.Inner.Value - e.Inner.Value
	f.Weight = max(0, gain)
	if gain >= shown {
		f.Kind, f.Change = Do, &Change{e.Inner, exactly(then.Inner.Value), set}
	}
	return f
}

// further makes the plan with what ends a lock moved out, puts into the facts what was moved, and
// returns what to set for it; nil if nothing can be.
func (s *Evaluation) further(facts *Lock) (*setup.Plan, []rig.Setting) {
	e := facts.End
	switch strings.TrimPrefix(e.Key, s.tables.Prefix) {
	case "", "transmitter.max_endpoint", "servo.travel": // over-centre, or as far as the servo goes
		for _, hole := range s.otherHoles(true) {
			r, err := s.withHole(s.Exact, hole)
			if err != nil {
				continue
			}
			if plan, err := setup.Make(r, s.axle()); err == nil {
				facts.Hole = hole
				return plan, s.holeSet(hole)
			}
		}
		facts.Tried = NoHole
		return nil, nil
	}
	facts.Tried = NoStop
	for _, l := range s.Plan.After.Limits() {
		if l.Key != e.Key || l.Words != e.Governs || l.Unit != steer.Radian {
			continue // room between two parts is no stop that one sets
		}
		set := rig.Setting{Key: e.Key, Value: strconv.FormatFloat((l.Most+stopStep)/degree, 'f', 2, 64)}
		r, err := s.edited(set.Key, set.Value)
		if err != nil {
			facts.Tried = AtMost // beyond what the file may say
			return nil, nil
		}
		if plan, err := setup.Make(r, s.axle()); err == nil {
			facts.Tried, facts.Step = Further, stopStep
			return plan, []rig.Setting{set}
		}
	}
	return nil, nil
}

// passed is about settings that drive the linkage past a stop.
func passed(s *Evaluation) ([]Finding, error) {
	if !s.Plan.Calibrated {
		return nil, nil
	}
	// The number of stick positions is of no matter here.
	now, err := setup.Try(s.Rig, s.axle(), 3)
	if err != nil {
		return nil, err
	}
	then, err := setup.Try(s.Plan.Rig().Exact(), s.axle(), 3)
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
		road, rates := state.Road(), state.Rates()
		rate := math.Max(math.Abs(rates[steer.Road.Of(steer.Left)]), math.Abs(rates[steer.Road.Of(steer.Right)]))
		by := p.Stop.Servo
		by.Value = p.By
		facts := &Passed{
			Side: sideOf(road[steer.Left] + road[steer.Right]), Stop: p.Stop, By: by,
			EndpointLeft: s.Plan.Settings.EndpointLeft, EndpointRight: s.Plan.Settings.EndpointRight,
		}
		key := "passed." + facts.Side.String()
		if within(by) {
			all = append(all, unsure(key, by, facts)...)
			continue
		}
		all = append(all, Finding{
			Key: key, Kind: Do, Weight: min(rate*sure(by.Value, by.Uncertain), math.Pi/2),
			Facts: facts, Change: &Change{Before: by, After: exactly(still)},
		})
	}
	return all, nil
}

// even is about left against right at equal stick.
func even(s *Evaluation) ([]Finding, error) {
	const key = "even"
	p := s.Plan
	spread, err := s.unlike(p.After, s.Turn)
	if err != nil {
		return nil, err
	}
	facts := &Evenness{
		Full: p.Ends[steer.Left].Inner.Minus(p.Ends[steer.Right].Inner),
		Now:  p.EvenBefore.Lock, Then: p.EvenAfter.Lock, Uncertain: spread.Uncertain, Calibrated: p.Calibrated,
	}
	if p.Calibrated {
		trial, err := setup.Try(p.Rig().Exact(), s.axle(), 3)
		if err != nil {
			return nil, err
		}
		if trial.EvenKnown {
			facts.Then = trial.Even.Lock
		}
	}
	known := func(v float64) steer.Result { return steer.Result{Value: v, Uncertain: facts.Uncertain} }
	switch gain := facts.Now - facts.Then; {
	case p.Calibrated && gain >= worth && gain > facts.Uncertain:
		return []Finding{{
			Key: key, Kind: Do, Weight: sure(gain, facts.Uncertain), Facts: facts,
			Change: &Change{Before: known(facts.Now), After: exactly(facts.Then)},
		}}, nil
	case facts.Then < worth:
		return []Finding{{Key: key, Kind: Well, Facts: facts}}, nil
	case facts.Then <= facts.Uncertain:
		return unsure(key, spread, facts), nil
	}
	f := Finding{Key: key, Kind: Know, Weight: sure(facts.Then, facts.Uncertain), Facts: facts}
	if !p.Calibrated || s.tables.Transmitter.CurvePoints > 0 {
		return []Finding{f}, nil
	}
	const points = 9
	twin := s.Exact.Clone()
	twin.Of(s.axle()).Transmitter.CurvePoints = points
	plan, err := setup.Make(twin, s.axle())
	if err != nil {
		return nil, err
	}
	curved := plan.EvenShaped.Lock
	if facts.Then-curved < worth {
		return []Finding{f}, nil
	}
	facts.CurvePoints = points
	f.Kind, f.Weight = Do, sure(facts.Then-curved, facts.Uncertain)
	f.Change = &Change{Before: known(facts.Then), After: exactly(curved)}
	return []Finding{f}, nil
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
	now, err := off(p.After, p.Ends[steer.Left].Servo, p.Ends[steer.Right].Servo)
	if err != nil {
		return nil, err
	}
	facts := &Ackermann{Excess: now, Most: swingMost}
	for _, r := range p.Before.Vehicle.Steering() {
		for _, w := range p.Before.Wheels {
			if r.From == w.Arm || r.To == w.Arm && r.From != p.Before.Wheels[w.Side.Other()].Arm {
				facts.Rods = append(facts.Rods, r.Name)
			}
		}
	}
	switch {
	case now.Uncertain >= shown && within(now):
		return unsure(key, now, facts), nil
	case math.Abs(now.Value) < worth:
		return []Finding{{Key: key, Kind: Well, Facts: facts}}, nil
	}
	with := func(by float64) float64 {
		var moved [2]vehicle.Shift
		for side, w := range p.Before.Wheels {
			moved[side], _ = swung(w.Arm, w.Side.Sign()*by)
		}
		m, err := p.Build(s.Exact, p.Placed(), p.After.Centre(), moved[:]...)
		if err != nil {
			return math.NaN()
		}
		left, okLeft := s.servoFor(m, &p.Ends[steer.Left])
		right, okRight := s.servoFor(m, &p.Ends[steer.Right])
		if !okLeft || !okRight {
			return math.NaN()
		}
		e, err := off(m, left, right)
		if err != nil {
			return math.NaN()
		}
		return e.Value
	}
	f := Finding{Key: key, Kind: Know, Weight: sure(now.Value, now.Uncertain), Facts: facts}
	if len(facts.Rods) == 0 {
		return []Finding{f}, nil // nothing joins the arms
	}
	if by, ok := crossing(with); ok {
		by = math.Round(2*by/degree) / 2 * degree
		then := with(by)
		if gain := math.Abs(now.Value) - math.Abs(then); gain > shown {
			facts.Swing = by
			_, facts.Way = swung(p.Before.Wheels[steer.Left].Arm, by)
			f.Kind, f.Weight = Do, sure(gain, now.Uncertain)
			f.Change = &Change{Before: now, After: exactly(then)}
		}
	}
	return []Finding{f}, nil
}

// servoFor finds the servo angle at which a model's inner wheel is turned as far as at an end of the
// plan's lock.
func (s *Evaluation) servoFor(m *steer.Model, e *setup.End) (steer.Result, bool) {
	const step, most = 2 * degree, 120 * degree
	q, want, direction := steer.Road.Of(m.Inner(e.Side)), e.Side.Sign()*e.Inner.Value, e.Side.Sign()*s.ToLeft
	state := m.NewState()
	for at := step; at < most; at += step {
		if state.Turn(m.Centre()+direction*at) != nil {
			return steer.Result{}, false
		}
		if state.Values()[q]/want >= 1 {
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
	facts := &MeasureAgain{Servo: s.Turn, Uncertain: now.Uncertain}
	switch {
	case now.Uncertain == 0:
		return nil, nil
	case now.Uncertain < worth:
		return []Finding{{Key: key, Kind: Well, Facts: facts}}, nil
	}
	first := now.Shares()[0]
	facts.Measure, facts.Part = first.Measure, first.Part
	twin := s.Rig.Clone()
	for _, m := range twin.Measurements() {
		if m.Path == facts.Measure.Path {
			m.Q.Uncertainty /= 2
		}
	}
	m, err := s.Plan.Build(twin, s.Plan.Placed(), s.Plan.After.Centre())
	if err != nil {
		return nil, err
	}
	then, err := s.unlike(m, s.Turn)
	if err != nil {
		return nil, err
	}
	return []Finding{{
		Key: key, Kind: Do, Weight: now.Uncertain - then.Uncertain, Facts: facts,
		Change: &Change{Before: exactly(now.Uncertain), After: exactly(then.Uncertain)},
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
	to := map[steer.Side]float64{}
	for _, steps := range []float64{-room.Negative, room.Positive} {
		change, err := s.Plan.Calibration.TrimEffect(s.Plan.Settings, s.Plan.Calibration.TrimKind, steps)
		if err != nil {
			return nil, err
		}
		state := s.Plan.After.NewState()
		if err := state.Turn(change.After.Centre); err != nil {
			return nil, err
		}
		road := state.Road()
		at := (road[steer.Left] + road[steer.Right]) / 2
		to[sideOf(at)] = math.Abs(at)
	}
	if len(to) < 2 {
		return nil, nil
	}
	return []Finding{{Key: "trim", Kind: Well, Facts: &TrimRoom{to[steer.Left], to[steer.Right]}}}, nil
}

// joints is about how unevenly the axle's universal joints turn at full lock.
func joints(s *Evaluation) ([]Finding, error) {
	p := s.Plan
	facts, end := &AxleJoint{Back: 5 * degree}, (*setup.End)(nil)
	for _, w := range p.After.Wheels {
		if w.Joint == nil || w.Joint.Kind != "universal" {
			continue
		}
		for i := range p.Ends {
			e := &p.Ends[i]
			at, err := p.After.AtSolved(steer.Joint.Of(w.Side), e.Servo, 1)
			if err != nil {
				return nil, err
			}
			if at.Value > facts.Angle.Value+1e-9 {
				facts.Angle, facts.Wheel, facts.Lock, end = at, w.Side, e.Side, e
			}
		}
	}
	if end == nil {
		return nil, nil
	}
	servo, err := p.After.Solved(steer.Road.Of(p.After.Inner(end.Side)), end.Side.Sign()*(end.Inner.Value-facts.Back), p.After.Centre(), end.Servo.Value)
	if errors.Is(err, steer.ErrNotBetween) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	less, err := p.After.At(steer.Joint.Of(facts.Wheel), servo.Value)
	if err != nil {
		return nil, err
	}
	uneven := func(at float64) float64 {
		slow, fast := load.Universal(at).Extremes()
		return fast - slow
	}
	facts.Uneven = uneven(facts.Angle.Value)
	return []Finding{{
		Key: "joint", Kind: Know, Facts: facts,
		Change: &Change{Before: exactly(facts.Uneven), After: exactly(uneven(less.Value))},
	}}, nil
}
