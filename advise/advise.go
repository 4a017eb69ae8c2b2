package advise

import (
	"errors"
	"math"
	"slices"

	"evenlock/load"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

const degree = math.Pi / 180

// Kind tells what a finding is for.
type Kind int

// The kinds, in their order in the list.
const (
	// Do is a change that was tried and mends something.
	Do Kind = iota
	// Know is something that nothing tried mends, or that is a trade rather than a fault.
	Know
	// Unsure is a figure, or what a change would gain, within its ±: nothing is proposed.
	Unsure
	// Well is something that is well as it is.
	Well
)

// String names the kind.
func (k Kind) String() string { return [...]string{"do", "know", "unsure", "well"}[k] }

// Finding is one thing that was found.
type Finding struct {
	// Key is stable, for programs and tests.
	Key  string
	Kind Kind
	// Weight is what is to be gained or lost, in radians of a steered wheel, as the package's
	// documentation explains; zero or more. It orders the list.
	Weight float64
	// Facts are the figures that it rests on.
	Facts Facts
	// From is the measurement that most of the ± comes from, where a figure is within it; nil
	// otherwise.
	From *rig.Measurement
	// Change is what is proposed, nil if nothing is.
	Change *Change
}

// Change is a change that was tried by building the rig anew with it. The Facts say what it is, and
// what Before and After are of.
type Change struct {
	Before, After steer.Result
	// Set are the values of the rig file that are the change, for rig.EditAll; nil where it is more
	// than a few values, such as a place that is to be measured first.
	Set []rig.Setting
}

// Source gives the findings on one matter. Their place in the list is by their weight.
type Source func(s *Evaluation) ([]Finding, error)

// Sources returns those of this package.
func Sources() []Source {
	return []Source{
		rodStrength, servoStrength, passed, straight, toe, horn, farSquare, locks, even, ackermann,
		repeat, trim, holes, drop, joints, travels,
	}
}

// Evaluation is an axle of a rig with what the packages below compute of it, for sources to read.
type Evaluation struct {
	Rig *rig.Rig
	// Plan is the set-up. Plan.Before is the rig as measured, Plan.After as set up.
	Plan *setup.Plan
	// Load is nil if the file does not say enough for it; Lacks then says what is missing.
	Load  *load.Analysis
	Lacks rig.Errors
	// Exact is the rig with every measurement taken as exact, which is quick to rebuild. Clone it
	// to change it.
	Exact *rig.Rig
	// ToLeft is the servo's direction to the left once set up, 1 or -1, and Turn the servo angle
	// each way from the centre up to which left and right are compared: that of the nearer end.
	ToLeft, Turn float64
	// tables are what the rig file says of the axle.
	tables *rig.OfAxle
}

// loadSteps is the number of steps each side of straight in which the loads are looked at.
const loadSteps = 8

// Evaluate computes what sources read of an axle. The errors are those of setup.Make, and of
// load.OverLock but for a file that does not say enough.
func Evaluate(r *rig.Rig, axle int) (*Evaluation, error) {
	s := &Evaluation{Rig: r, Exact: r.Exact(), tables: r.Of(axle)}
	var err error
	if s.Plan, err = setup.Make(r, axle); err != nil {
		return nil, err
	}
	s.Load, err = load.OverLock(s.Plan.Before, load.Tilt{}, loadSteps)
	if err != nil && !errors.As(err, &s.Lacks) {
		return nil, err
	}
	centre := s.Plan.After.Centre()
	left, right := s.Plan.Ends[steer.Left].Servo.Value-centre, s.Plan.Ends[steer.Right].Servo.Value-centre
	s.ToLeft, s.Turn = math.Copysign(1, left), min(math.Abs(left), math.Abs(right))
	return s, nil
}

// Of returns the findings on an axle of a rig from all Sources and more, with the evaluation that it is on.
// The errors are those of Evaluate and of the sources.
func Of(r *rig.Rig, axle int, more ...Source) ([]Finding, *Evaluation, error) {
	s, err := Evaluate(r, axle)
	if err != nil {
		return nil, nil, err
	}
	list, err := List(s, append(Sources(), more...)...)
	return list, s, err
}

// List returns the findings of sources, in order. The error is the first of a source.
func List(s *Evaluation, sources ...Source) ([]Finding, error) {
	var all []Finding
	for _, source := range sources {
		findings, err := source(s)
		if err != nil {
			return nil, err
		}
		all = append(all, findings...)
	}
	for i := range all {
		if all[i].Kind >= Unsure {
			all[i].Weight = 0
		}
	}
	slices.SortStableFunc(all, func(a, b Finding) int {
		switch {
		case a.Weight > b.Weight:
			return -1
		case a.Weight < b.Weight:
			return 1
		default:
			return int(a.Kind) - int(b.Kind)
		}
	})
	return all, nil
}
