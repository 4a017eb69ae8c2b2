package steer

import (
	"errors"
	"fmt"
	"math"

	"evenlock/internal/root"
	"evenlock/rig"

	"gonum.org/v1/gonum/num/dual"
)

// Sample is one servo angle of a sweep.
type Sample struct {
	// Servo is the servo angle in radians.
	Servo  float64
	Values Values
	// Rates are derivatives with respect to the servo angle.
	Rates Values
	// Uncertain is the 95 % half-width of each of Values, RatesUncertain of each of Rates.
	Uncertain, RatesUncertain Values
}

// Sweep returns n samples from one servo angle to another, evenly spaced. The
// error is a *linkage.LimitError if the linkage does not reach one of them.
func (m *Model) Sweep(from, to float64, n int) ([]Sample, error) {
	samples := make([]Sample, n)
	s := m.NewState()
	for i := range samples {
		servo := from
		if n > 1 {
			servo += (to - from) * float64(i) / float64(n-1)
		}
		if err := s.Turn(servo); err != nil {
			return nil, err
		}
		samples[i].Servo = servo
		samples[i].Values, samples[i].Rates = s.ValuesAndRates()
		samples[i].Uncertain = s.Uncertain()
		slopes, err := s.rateSensitivities()
		if err != nil {
			return nil, err
		}
		samples[i].RatesUncertain = m.spread(func(i int) Values { return slopes[i] })
	}
	return samples, nil
}

// Uncertain returns the half-width of about 95 % confidence of every quantity where
// the model stands: the root of the sum of the squares of each measurement's
// share (JCGM 100, equation 10). Zero where nothing states an uncertainty.
func (s *State) Uncertain() Values { return s.m.spread(s.Sensitivity) }

// rateStep is the servo step over which sensitivities are differenced for those of the rates.
const rateStep = 1e-3

// rateSensitivities are those of the rates to each measurement: how the sensitivities change with
// the servo angle.
func (s *State) rateSensitivities() ([]Values, error) {
	at := s.Servo()
	low := at - rateStep
	high := at + rateStep
	if s.Turn(low) != nil {
		low = at
	}
	if s.Turn(high) != nil {
		high = at
	}
	all := make([]Values, len(s.m.moves))
	if high == low {
		return all, s.Turn(at)
	}
	if err := s.Turn(low); err != nil {
		return nil, err
	}
	for i := range all {
		all[i] = s.Sensitivity(i)
	}
	if err := s.Turn(high); err != nil {
		return nil, err
	}
	for i := range all {
		d := s.Sensitivity(i)
		for k := range d {
			all[i][k] = (d[k] - all[i][k]) / (high - low)
		}
	}
	return all, s.Turn(at)
}

// RateResults returns the rates of quantities, with respect to the servo angle, where the model
// stands.
func (s *State) RateResults(of ...Quantity) ([]Result, error) {
	slopes, err := s.rateSensitivities()
	if err != nil {
		return nil, err
	}
	d, all := s.Rates(), make([]Result, len(of))
	for k, q := range of {
		all[k] = s.m.result(d[q], func(i int) float64 { return slopes[i][q] })
	}
	return all, nil
}

// At returns quantity q at a servo angle.
func (m *Model) At(q Quantity, servo float64) (Result, error) {
	s := m.NewState()
	if err := s.Turn(servo); err != nil {
		return Result{}, err
	}
	return s.Results(q)[0], nil
}

// Results returns quantities where the model stands, servo angle and wheel travel held.
func (s *State) Results(of ...Quantity) []Result {
	v, all := s.Values(), make([]Result, len(of))
	slopes := make([]Values, len(s.m.moves))
	for i := range slopes {
		slopes[i] = s.Sensitivity(i)
	}
	for k, q := range of {
		all[k] = s.m.result(v[q], func(i int) float64 { return slopes[i][q] })
	}
	return all
}

// ErrNotBetween reports that a quantity does not pass the wanted value between two servo angles.
var ErrNotBetween = errors.New("not reached between servo angles")

// Unsteady is what is wrong with a rig whose wheels do not turn on all the way to a servo angle, so
// that what asks for a place between finds none.
func (m *Model) Unsteady(servo float64, cause error) error {
	return &rig.Error{
		Key: m.Wheels[Left].Arm.Key, Cause: cause,
		Problem: fmt.Sprintf("on the way to %.1f° of servo the path does not grow steadily tighter", servo/degree),
		Remedy:  "measure this ball, the kingpins (" + m.Wheels[Left].Knuckle.Key + ") and the wheelbase (vehicle.wheelbase) again",
	}
}

// Solved returns the servo angle at which quantity q has the value want, between two
// that bracket it. The error wraps ErrNotBetween if they do not, or is a *linkage.LimitError.
func (m *Model) Solved(q Quantity, want, from, to float64) (Result, error) {
	return m.NewState().solved(want, from, to, q.reading)
}

// reading is the quantity with its derivative per servo angle and along measurement i.
func (q Quantity) reading(s *State, servo float64, i int) dual.Number {
	v, d := s.both(servo, i)
	return dual.Number{Real: v[q], Emag: d[q]}
}

// solved is Solved for a number that g reads with its derivative per servo angle and
// along measurement i; the state is left there. By the implicit function theorem dx/dm =
// -(∂g/∂m)/(∂g/∂x).
func (s *State) solved(want, from, to float64, g func(s *State, servo float64, i int) dual.Number) (Result, error) {
	var failed error
	off := func(servo float64) float64 {
		if err := s.Turn(servo); err != nil {
			failed = err
			return math.NaN()
		}
		return g(s, 0, -1).Real - want
	}
	same := off(from)*off(to) > 0
	if failed != nil {
		return Result{}, failed
	}
	if same {
		return Result{}, s.m.Unsteady(to, ErrNotBetween)
	}
	x := root.Find(off, from, to, 1e-12)
	if failed != nil {
		return Result{}, failed
	}
	if err := s.Turn(x); err != nil {
		return Result{}, err
	}
	at := g(s, 1, -1)
	return s.m.result(x, func(i int) float64 { return -g(s, 0, i).Emag / at.Emag }), nil
}

// Square describes how far horn and drag link are from square.
type Square struct {
	// Miss is the angle between them, going straight, less a right angle.
	Miss Result
	// Servo is the servo angle nearest Centre at which they are square, the wheels following;
	// Reached is false if none is within the linkage's reach.
	Servo   Result
	Reached bool
}

// Square finds the servo angle that makes horn and link square, and the angle by
// which they miss it going straight.
func (m *Model) Square() (Square, error) {
	miss, err := m.At(HornAngle, m.Centre())
	if err != nil {
		return Square{}, err
	}
	miss.Value -= math.Pi / 2
	sq := Square{Miss: miss}
	s := m.NewState()
	off := func(servo float64) (float64, bool) {
		if s.Turn(servo) != nil {
			return 0, false
		}
		return s.Values()[HornAngle] - math.Pi/2, true
	}
	centre := m.Centre()
	here, _ := off(centre)
	for step := lookStep; step < 90*degree; step += lookStep {
		for _, d := range []float64{1, -1} {
			if there, ok := off(centre + d*step); ok && (there < 0) != (here < 0) {
				sq.Servo, err = m.Solved(HornAngle, math.Pi/2, centre+d*(step-lookStep), centre+d*step)
				sq.Reached = err == nil
				return sq, err
			}
		}
	}
	return sq, nil
}

// Evenness compares left with right for equal stick.
type Evenness struct {
	// InnerLeft and InnerRight are the inner wheel's road angles at full lock to the left and
	// right.
	InnerLeft, InnerRight float64
	// CurvatureLeft and CurvatureRight are the path's, as sizes.
	CurvatureLeft, CurvatureRight float64
	// Lock, Path and Rate are the greatest differences over the stick, of the
	// sizes of the inner wheel's angle in radians, of path curvature and of its slope as parts of
	// the mean full-lock curvature (a slope is that a full stick).
	Lock, Path, Rate float64
}

// Evenness compares left with right over equal stick, 0 to 1 each way; servo maps the
// stick, positive to the left, to the servo angle and its slope.
func (m *Model) Evenness(servo func(stick float64) (angle, slope float64)) (Evenness, error) {
	var e Evenness
	// One state for each side, since a pose is quickest found from a near one.
	leftwards, rightwards := m.NewState(), m.NewState()
	read := func(s *State, stick float64) (inner, curvature, slope float64, err error) {
		angle, gain := servo(stick)
		if err := s.Turn(angle); err != nil {
			return 0, 0, 0, err
		}
		v, d := s.ValuesAndRates()
		side := Left
		if v[Curvature] < 0 {
			side = Right
		}
		inner = side.Sign() * v[Road.Of(m.Inner(side))]
		return inner, math.Abs(v[Curvature]), math.Abs(d[Curvature] * gain), nil
	}
	const n = 40
	for i := 1; i <= n; i++ {
		stick := float64(i) / n
		li, lc, ls, err := read(leftwards, stick)
		if err != nil {
			return e, err
		}
		ri, rc, rs, err := read(rightwards, -stick)
		if err != nil {
			return e, err
		}
		e.Lock = max(e.Lock, math.Abs(li-ri))
		e.Path = max(e.Path, math.Abs(lc-rc))
		e.Rate = max(e.Rate, math.Abs(ls-rs))
		e.InnerLeft, e.InnerRight, e.CurvatureLeft, e.CurvatureRight = li, ri, lc, rc
	}
	full := (e.CurvatureLeft + e.CurvatureRight) / 2
	e.Path /= full
	e.Rate /= full
	return e, nil
}

// AtSolved returns sign times quantity q at a servo angle that itself depends on the
// measurements.
func (m *Model) AtSolved(q Quantity, servo Result, sign float64) (Result, error) {
	all, err := m.NewState().resultsAt(servo, q)
	if err != nil {
		return Result{}, err
	}
	return all[0].Times(sign), nil
}

// resultsAt returns quantities at a servo angle that itself depends on the measurements, the wheel
// travel held; the state is left there.
func (s *State) resultsAt(servo Result, of ...Quantity) ([]Result, error) {
	if err := s.Turn(servo.Value); err != nil {
		return nil, err
	}
	all, rates := s.Results(of...), s.Rates()
	for k, q := range of {
		all[k] = Function(all[k].Value, Term{1, all[k]}, Term{rates[q], servo})
	}
	return all, nil
}

// SolvedTo returns the servo angle, between two that bracket it, at which sign times quantity q has
// a value that itself depends on the measurements.
func (m *Model) SolvedTo(q Quantity, want Result, sign, from, to float64) (Result, error) {
	r, err := m.Solved(q, sign*want.Value, from, to)
	if err != nil {
		return r, err
	}
	s := m.NewState()
	if err := s.Turn(r.Value); err != nil {
		return r, err
	}
	return Function(r.Value, Term{1, r}, Term{1 / (sign * s.Rates()[q]), want}), nil
}
