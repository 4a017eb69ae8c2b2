package steer

import (
	"fmt"
	"math"
	"sort"

	"evenlock/internal/root"
)

// Row is one servo angle of a sweep.
type Row struct {
	// Servo is the servo angle in radians.
	Servo  float64
	Values Values
	// Rates are derivatives with respect to the servo angle.
	Rates Values
	// Uncertain is the 95 % half-width of each of Values, RatesUncertain of each of Rates.
	Uncertain, RatesUncertain Values
}

// Sweep returns n rows from one servo angle to another, evenly spaced. The
// error is a *linkage.LimitError if the linkage does not reach one of them.
func (m *Model) Sweep(from, to float64, n int) ([]Row, error) {
	rows := make([]Row, n)
	s := m.Stand()
	for i := range rows {
		servo := from
		if n > 1 {
			servo += (to - from) * float64(i) / float64(n-1)
		}
		if err := s.Turn(servo); err != nil {
			return nil, err
		}
		rows[i].Servo = servo
		rows[i].Values, rows[i].Rates = s.ValuesAndRates()
		rows[i].Uncertain = s.Uncertain()
		var err error
		if rows[i].RatesUncertain, err = s.ratesUncertain(); err != nil {
			return nil, err
		}
	}
	return rows, nil
}

// Uncertain returns the half-width of about 95 % confidence of every quantity where
// the model stands: the root of the sum of the squares of each measurement's
// share (JCGM 100, equation 10). Zero where nothing states an uncertainty.
func (s *Stand) Uncertain() Values {
	var sum Values
	for i, q := range s.m.measured {
		d := s.Sensitivity(i)
		for k := range sum {
			x := d[k] * q.Q.Uncertainty
			sum[k] += x * x
		}
	}
	return rootOf(sum)
}

func rootOf(sum Values) Values {
	for k := range sum {
		sum[k] = math.Sqrt(sum[k])
	}
	return sum
}

// rateStep is the servo step over which sensitivities are differenced for those of the rates.
const rateStep = 1e-3

// ratesUncertain is Uncertain for the rates: how the sensitivities change with the servo angle.
func (s *Stand) ratesUncertain() (Values, error) {
	at := s.Servo()
	low := at - rateStep
	high := at + rateStep
	if s.Turn(low) != nil {
		low = at
	}
	if s.Turn(high) != nil {
		high = at
	}
	var sum Values
	if high == low {
		return sum, s.Turn(at)
	}
	n := len(s.m.measured)
	before := make([]Values, n)
	if err := s.Turn(low); err != nil {
		return sum, err
	}
	for i := range before {
		before[i] = s.Sensitivity(i)
	}
	if err := s.Turn(high); err != nil {
		return sum, err
	}
	for i, q := range s.m.measured {
		d := s.Sensitivity(i)
		for k := range sum {
			x := (d[k] - before[i][k]) / (high - low) * q.Q.Uncertainty
			sum[k] += x * x
		}
	}
	return rootOf(sum), s.Turn(at)
}

// Share is a measurement's part in an uncertainty.
type Share struct {
	Measure Measure
	// Part is its part of the variance, 0 to 1.
	Part float64
	// Effect is what its uncertainty alone does to the quantity, in the quantity's unit.
	Effect float64
}

// Shares returns the measurements' parts in the uncertainty of a quantity where the
// model stands, the greatest first.
func (s *Stand) Shares(q Quantity) []Share {
	return sharesOf(s.m.measured, func(i int) float64 { return s.Sensitivity(i)[q] })
}

func sharesOf(measures []Measure, sensitivity func(i int) float64) []Share {
	all := make([]Share, len(measures))
	sum := 0.0
	for i, q := range measures {
		e := sensitivity(i) * q.Q.Uncertainty
		all[i] = Share{Measure: q, Effect: math.Abs(e)}
		sum += e * e
	}
	for i := range all {
		if sum > 0 {
			all[i].Part = all[i].Effect * all[i].Effect / sum
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Effect > all[j].Effect })
	return all
}

// Result is a value with its uncertainty and where that comes from.
type Result struct {
	Value, Uncertain float64
	// Shares has the greatest contributions first.
	Shares []Share
}

// Solved returns the servo angle x at which quantity q has the value want, between two
// servo angles that bracket it, with its uncertainty by the implicit function theorem:
// dx/dm = -(∂q/∂m)/(∂q/∂x).
func (m *Model) Solved(q Quantity, want, from, to float64) (Result, error) {
	s := m.Stand()
	var failed error
	x := root.Find(func(servo float64) float64 {
		if err := s.Turn(servo); err != nil {
			failed = err
			return math.NaN()
		}
		return s.Values()[q] - want
	}, from, to, 1e-12)
	if failed != nil {
		return Result{}, failed
	}
	if err := s.Turn(x); err != nil {
		return Result{}, err
	}
	v, rates := s.ValuesAndRates()
	if math.Abs(v[q]-want) > 1e-6 {
		return Result{}, fmt.Errorf("%s does not reach %g between servo angles %.4g and %.4g", q.Info().Words, want, from, to)
	}
	r := Result{Value: x}
	r.Shares = sharesOf(m.measured, func(i int) float64 { return s.Sensitivity(i)[q] / rates[q] })
	r.Uncertain = total(r.Shares)
	return r, nil
}

func total(shares []Share) float64 {
	sum := 0.0
	for _, h := range shares {
		sum += h.Effect * h.Effect
	}
	return math.Sqrt(sum)
}

// At returns quantity q at a servo angle with its uncertainty and shares.
func (m *Model) At(q Quantity, servo float64) (Result, error) {
	s := m.Stand()
	if err := s.Turn(servo); err != nil {
		return Result{}, err
	}
	r := Result{Value: s.Values()[q], Shares: s.Shares(q)}
	r.Uncertain = total(r.Shares)
	return r, nil
}

// Square describes how far horn and drag link are from square.
type Square struct {
	// Miss is the angle between them at neutral less a right angle.
	Miss Result
	// Servo is the servo angle nearest neutral at which they are square, the wheels following;
	// Reached is false if none is within the linkage's reach.
	Servo   Result
	Reached bool
}

// Square finds the servo angle that makes horn and link square, and the angle by
// which they miss it at neutral.
func (m *Model) Square() (Square, error) {
	miss, err := m.At(HornAngle, 0)
	if err != nil {
		return Square{}, err
	}
	miss.Value -= math.Pi / 2
	sq := Square{Miss: miss}
	s := m.Stand()
	off := func(servo float64) (float64, bool) {
		if s.Turn(servo) != nil {
			return 0, false
		}
		return s.Values()[HornAngle] - math.Pi/2, true
	}
	here, _ := off(0)
	if here == 0 {
		sq.Servo, sq.Reached = Result{Value: 0, Uncertain: miss.Uncertain, Shares: miss.Shares}, true
		return sq, nil
	}
	for step := lookStep; step < 90*degree; step += lookStep {
		for _, d := range []float64{1, -1} {
			if there, ok := off(d * step); ok && (there < 0) != (here < 0) {
				sq.Servo, err = m.Solved(HornAngle, math.Pi/2, d*(step-lookStep), d*step)
				sq.Reached = err == nil
				return sq, err
			}
		}
	}
	return sq, nil
}

// Evenness compares left with right for equal stick.
type Evenness struct {
	// InnerLeft and InnerRight are the inner wheel's road angles at full lock to the left and right.
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
	s := m.Stand()
	read := func(stick float64) (inner, curvature, slope float64, err error) {
		angle, gain := servo(stick)
		if err := s.Turn(angle); err != nil {
			return 0, 0, 0, err
		}
		v, d := s.ValuesAndRates()
		inner = v[RoadLeft]
		if v[Curvature] < 0 {
			inner = -v[RoadRight]
		}
		return inner, math.Abs(v[Curvature]), math.Abs(d[Curvature] * gain), nil
	}
	const n = 40
	for i := 1; i <= n; i++ {
		stick := float64(i) / n
		li, lc, ls, err := read(stick)
		if err != nil {
			return e, err
		}
		ri, rc, rs, err := read(-stick)
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
