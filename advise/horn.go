package advise

import (
	"errors"
	"math"
	"slices"

	"evenlock/internal/root"
	"evenlock/steer"
	"evenlock/vehicle"
)

// horn is about the angle between horn and link, and about the place of the horn that steers most
// evenly.
func horn(s *Evaluation) ([]Finding, error) {
	square, err := s.square()
	if err != nil || s.Plan.EvenPlace == nil {
		return square, err
	}
	best, err := s.evenPlace()
	if err != nil || best == nil {
		return square, err
	}
	if best.Kind == Do {
		for i := range square {
			if square[i].Kind == Do {
				// There is one horn to move, and the more even place is the one for it.
				square[i].Kind, square[i].Change, square[i].Weight = Know, nil, 0
			}
		}
	}
	return append(square, *best), nil
}

func (s *Evaluation) square() ([]Finding, error) {
	const key = "square"
	facts := &Square{Miss: s.Plan.Square.Miss}
	switch miss := facts.Miss; {
	case math.Abs(miss.Value) < shown:
		return []Finding{{Key: key, Kind: Well, Facts: facts}}, nil
	case within(miss):
		return unsure(key, miss, facts), nil
	}
	fit, err := s.Plan.Build(s.Rig, s.Plan.Placed(), 0)
	if err != nil {
		return nil, err
	}
	left, err := fit.Square()
	if err != nil {
		return nil, err
	}
	facts.LeftOver = left.Miss
	var ok bool
	if facts.Comparison, ok = s.compared(s.Plan.Before, s.Plan.After); !ok {
		return nil, nil
	}
	facts.Spline, facts.Turn = s.Plan.Horn.Known, s.Plan.Placed()
	if !facts.Spline {
		facts.Turn = s.Plan.Horn.Turn.Value
	}
	if s.Plan.Calibrated && facts.Spline && math.Abs(s.Plan.Subtrim.Residual) < degree/2 {
		facts.Subtrim = s.Plan.Subtrim.Value
	}
	return []Finding{facts.finding(key, facts, shown)}, nil
}

// evenPlace is nil if the place is hardly better than the one in use.
func (s *Evaluation) evenPlace() (*Finding, error) {
	facts := &EvenPlace{Turn: s.Plan.Placed() + s.Plan.EvenPlace.Turn, Further: s.Plan.EvenPlace.Turn}
	if math.Abs(facts.Turn) < shown {
		return nil, nil
	}
	m, err := s.Plan.Build(s.Rig, facts.Turn, 0)
	if err != nil {
		return nil, err
	}
	var ok bool
	if facts.Comparison, ok = s.compared(s.Plan.Before, m); !ok || facts.Gain < worth {
		return nil, nil
	}
	if facts.Square, err = s.unlike(s.Plan.After, facts.Servo); err != nil {
		return nil, err
	}
	f := facts.finding("even_place", facts, worth)
	return &f, nil
}

// farSquare is about the angle at the knuckle's end of the link.
func farSquare(s *Evaluation) ([]Finding, error) {
	const key = "far_square"
	after, arm := s.Plan.After, s.Plan.Before.Servo.Far()
	if s.Plan.Before.Vehicle.WheelOn(arm.On) == nil {
		return nil, nil
	}
	far, err := after.At(steer.FarAngle, after.Centre())
	if err != nil {
		return nil, err
	}
	far.Value -= math.Pi / 2
	facts := &FarSquare{Miss: far}
	switch {
	case math.Abs(far.Value) < shown:
		return []Finding{{Key: key, Kind: Well, Facts: facts}}, nil
	case within(far):
		return unsure(key, far, facts), nil
	}
	before, err := s.squared()
	if err != nil {
		return nil, err
	}
	by, ok := crossing(func(by float64) float64 {
		moved, _ := swung(arm, by)
		m, err := s.squared(moved)
		if err != nil {
			return math.NaN()
		}
		return m.NewState().Values()[steer.FarAngle] - math.Pi/2
	})
	if !ok {
		return nil, nil
	}
	facts.Swing = math.Round(by/degree) * degree
	moved, way := swung(arm, facts.Swing)
	facts.Way = way
	m, err := s.squared(moved)
	if err != nil {
		return nil, err
	}
	if facts.Comparison, ok = s.compared(before, m); !ok {
		return nil, nil
	}
	now, err := s.unlike(after, facts.Servo)
	if err != nil {
		return nil, err
	}
	// Exact rigs were compared; how unlike the rig is known to be is what the gain must be seen
	// against.
	facts.Spread = now.Uncertain
	return []Finding{facts.finding(key, facts, worth)}, nil
}

// swingMost is how far an arm is swung at most to mend something, swingStep in what steps that is
// looked for.
const swingMost, swingStep = 25 * degree, 5 * degree

// crossing finds the swing nearest none at which f is zero.
func crossing(f func(by float64) float64) (by float64, ok bool) {
	for at := 0.0; at < swingMost-1e-9; at += swingStep {
		for _, d := range []float64{1, -1} {
			from, to := d*at, d*(at+swingStep)
			if f(from)*f(to) <= 0 {
				return root.Find(f, from, to, 1e-6), true
			}
		}
	}
	return 0, false
}

// straight is about wheels that do not go straight at neutral.
func straight(s *Evaluation) ([]Finding, error) {
	now, then, err := s.atNeutral(func(left, right steer.Result) steer.Result { return left.Plus(right).Times(0.5) })
	if err != nil {
		return nil, err
	}
	return offAtNeutral("straight", now, then, &Straight{now}), nil
}

// toe is about toe that is not the wanted one.
func toe(s *Evaluation) ([]Finding, error) {
	want := s.tables.Want.Toe
	v := s.Plan.Before.Vehicle
	tieRod := slices.IndexFunc(v.Steering(), func(r *vehicle.Rod) bool { return v.WheelOn(r.From.On) != nil && v.WheelOn(r.To.On) != nil })
	if tieRod < 0 || !want.Given {
		return nil, nil
	}
	now, then, err := s.atNeutral(func(left, right steer.Result) steer.Result {
		off := right.Minus(left).Times(0.5)
		off.Value -= want.Value
		return off
	})
	if err != nil {
		return nil, err
	}
	facts := &Toe{Off: now, Wanted: want.Value, Turns: s.Plan.Rods[tieRod].Turns}
	return offAtNeutral("toe", now, then, facts), nil
}

// atNeutral reads something off both wheels' road angles at neutral, before and after the set-up.
func (s *Evaluation) atNeutral(read func(left, right steer.Result) steer.Result) (now, then steer.Result, err error) {
	at := func(m *steer.Model) (steer.Result, error) {
		left, errLeft := m.At(steer.Road.Of(steer.Left), m.Centre())
		right, errRight := m.At(steer.Road.Of(steer.Right), m.Centre())
		if err := errors.Join(errLeft, errRight); err != nil {
			return steer.Result{}, err
		}
		return read(left, right), nil
	}
	if now, err = at(s.Plan.Before); err == nil {
		then, err = at(s.Plan.After)
	}
	return now, then, err
}

// offAtNeutral is the finding on what should be zero at neutral.
func offAtNeutral(key string, now, then steer.Result, facts Facts) []Finding {
	switch {
	case math.Abs(now.Value) < shown:
		return nil
	case within(now):
		return unsure(key, now, facts)
	}
	return []Finding{{
		Key: key, Kind: Do, Weight: sure(now.Value, steer.RootOfSquares(now.Uncertain, then.Value)),
		Facts: facts, Change: &Change{Before: now, After: then},
	}}
}
