package setup

import (
	"errors"
	"fmt"
	"math"

	"evenlock/radio"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/interp"
)

// setEnds finds both ends of the lock: as far as the stops, the transmitter and
// the wish allow, and even.
func (p *Plan) setEnds() error {
	o := p.After.Wanted()
	o.Hold = p.hold
	locks, err := p.After.Locks(o)
	if err != nil {
		return err
	}
	for side := range p.Ends {
		p.Ends[side].Lock = locks[side]
	}
	narrow, wide := &p.Ends[steer.Left], &p.Ends[steer.Right]
	if wide.Curvature.Value < narrow.Curvature.Value {
		narrow, wide = wide, narrow
	}
	if err := p.match(narrow, wide); err != nil {
		return err
	}
	for side := range p.Ends {
		p.endpoint(&p.Ends[side])
	}
	return nil
}

// hold brings a lock in to what the transmitter and the servo reach.
func (p *Plan) hold(l *steer.Lock) error {
	if margin := p.tables.Margin.Value; math.Abs(l.Servo.Value-p.After.Centre()) < degree/10 {
		return &rig.Error{
			Key: p.tables.Prefix + "want.margin", Remedy: "ask for a smaller margin",
			Problem: fmt.Sprintf("%.1f° from every limit leaves no lock to one side: %s is met at %.1f° of servo",
				margin/degree, l.Governs, math.Abs(l.Stops[0].Servo.Value-p.After.Centre())/degree),
		}
	}
	if !p.Calibrated {
		return nil
	}
	var short *radio.RangeError
	set, err := p.Calibration.EndpointFor(p.Settings, l.Side, l.Servo.Value, radio.RoundShort)
	if errors.As(err, &short) {
		l.Servo = steer.Result{Value: set.Angle}
		l.Governs, l.Key = "the transmitter's greatest endpoint", p.tables.Prefix+"transmitter.max_endpoint"
		if short.Clip == radio.ClipServo {
			l.Governs, l.Key = short.Clip.String(), p.tables.Prefix+"servo.travel"
		}
	}
	return nil
}

// match holds the wider end back until both have the same path curvature.
func (p *Plan) match(narrow, wide *End) error {
	if wide.Curvature.Value-narrow.Curvature.Value < 1e-9*narrow.Curvature.Value {
		return nil
	}
	servo, err := p.After.SolvedTo(steer.Curvature, narrow.Curvature, wide.Side.Sign(), p.After.Centre(), wide.Servo.Value)
	if err != nil {
		return err
	}
	wide.Matched, wide.Alone = true, wide.Inner
	return wide.MoveTo(servo)
}

// endpoint finds the setting of an end.
func (p *Plan) endpoint(e *End) {
	if !p.Calibrated {
		return
	}
	set, err := p.Calibration.EndpointFor(p.Settings, e.Side, e.Servo.Value, radio.RoundShort)
	var short *radio.RangeError
	if err != nil && !errors.As(err, &short) {
		p.note(Note{Kind: EndpointUnknown, Err: err})
		return
	}
	e.Endpoint = set
	per := math.Abs(p.Calibration.Step(p.Calibration.Endpoint, e.Servo.Value).Value)
	e.EndpointUncertain = e.Servo.Widened(set.Uncertainty).Uncertain / per
	*p.Settings.Endpoint(e.Side) = set.Value
}

// leastSpan is a servo's way from end to end in radians below which there is nothing to shape: a
// transmitter whose greatest endpoint is a slip leaves less.
const leastSpan = degree

// leastShaping is what expo or curve must take out of the response's errors to be worth setting, as
// a part of the path curvature at full lock: nobody feels less.
const leastShaping = 0.01

// shape finds expo and curve, and settles on the one that leaves the less, if it is worth setting.
func (p *Plan) shape() error {
	model, err := radio.NewModel(p.Calibration, p.Settings)
	if err != nil {
		return err
	}
	if s := model.Span(); math.Abs(s.Left-s.Right) < leastSpan {
		return nil // nothing that a shape could be seen on
	}
	curvature, err := curvatureOver(p.After, model.Span())
	if err != nil {
		return err
	}
	if p.tables.Transmitter.Expo {
		fit, err := radio.FitExpo(model.Span(), curvature)
		if err != nil {
			return p.unsteady(err)
		}
		p.Expo = &fit
	}
	if n := p.tables.Transmitter.CurvePoints; n > 2 {
		fit, err := radio.FitCurve(model.Span(), n, curvature)
		if err != nil {
			return p.unsteady(err)
		}
		p.Curve = &fit
	}
	left := func(s *radio.Shaping) float64 { return s.After.Nonlinear + s.After.Uneven }
	worth := func(s *radio.Shaping) bool {
		return s != nil && s.Before.Nonlinear+s.Before.Uneven-left(s) >= leastShaping
	}
	switch {
	case worth(p.Curve) && p.Curve.Curve != nil && (p.Expo == nil || left(p.Curve) < left(p.Expo)):
		p.Settings.Curve = p.Curve.Curve
	case worth(p.Expo):
		p.Settings.Expo = p.Expo.Expo
	}
	shaped, err := radio.NewModel(p.Calibration, p.Settings)
	if err != nil {
		return err
	}
	p.EvenShaped, err = p.After.Evenness(stick(shaped))
	return err
}

// unsteady puts a curvature that cannot be shaped in terms of the rig.
func (p *Plan) unsteady(err error) error {
	if e, ok := errors.AsType[*radio.CurvatureError](err); ok {
		return p.After.Unsteady(e.Angle, err)
	}
	return err
}

// curvatureOver returns the path's curvature by servo angle over a span, as a cubic spline through
// poses about a degree apart. A fit asks for it a thousand times; the spline errs by some 1e-8 of
// full lock.
func curvatureOver(m *steer.Model, span radio.Span) (func(servo float64) float64, error) {
	const knots = 121
	from, to := min(span.Left, span.Right), max(span.Left, span.Right)
	servo, curvature := make([]float64, knots), make([]float64, knots)
	s := m.NewState()
	for i := range servo {
		servo[i] = from + (to-from)*float64(i)/(knots-1)
		if err := s.Turn(servo[i]); err != nil {
			return nil, err
		}
		curvature[i] = s.Curvature()
	}
	var spline interp.NotAKnotCubic
	if err := spline.Fit(servo, curvature); err != nil {
		return nil, err
	}
	return spline.Predict, nil
}

// stick gives the servo angle for a stick and its slope, the mean of both sides'.
func stick(m *radio.Model) func(float64) (float64, float64) {
	return func(x float64) (float64, float64) {
		out := m.At(x)
		return out.Angle, (out.RateLeft + out.RateRight) / 2
	}
}

// compare finds how even the lock is before and after.
func (p *Plan) compare() error {
	low, high, err := reach(p.Before)
	if err != nil {
		return err
	}
	even := min(high, -low) * p.Before.Leftward()
	before := func(x float64) (float64, float64) { return x * even, even }
	if p.Calibrated {
		model, err := radio.NewModel(p.Calibration, p.Calibration.Complete(p.tables.Settings))
		if err != nil {
			return err
		}
		settings := stick(model)
		before = func(x float64) (float64, float64) {
			angle, slope := settings(x)
			// Beyond a stop nothing moves any more.
			if angle < low || angle > high {
				return min(max(angle, low), high), 0
			}
			return angle, slope
		}
	}
	if p.EvenBefore, err = p.Before.Evenness(before); err != nil {
		return err
	}
	centre := p.After.Centre()
	p.EvenAfter, err = p.After.Evenness(func(x float64) (float64, float64) {
		e := &p.Ends[steer.Left]
		if x < 0 {
			e = &p.Ends[steer.Right]
		}
		end := e.Servo.Value
		if p.Calibrated {
			end = e.Endpoint.Angle
		}
		return centre + math.Abs(x)*(end-centre), math.Abs(end - centre)
	})
	return err
}

// reach returns the servo angles of a model's first stops.
func reach(m *steer.Model) (low, high float64, err error) {
	locks, err := m.Locks(steer.LockOptions{})
	left, right := locks[steer.Left].Servo.Value, locks[steer.Right].Servo.Value
	return min(left, right), max(left, right), err
}

// subtrimSteps are the moves that the warning about a later subtrim shows.
var subtrimSteps = []float64{-10, -5, 5, 10}

// seeTrim finds what trim and subtrim do after the endpoints are set.
func (p *Plan) seeTrim() error {
	stops := [2]steer.Stop{p.Ends[steer.Left].Stops[0], p.Ends[steer.Right].Stops[0]}
	low := min(stops[0].Servo.Value, stops[1].Servo.Value)
	high := max(stops[0].Servo.Value, stops[1].Servo.Value)
	t := &Trim{}
	var err error
	if t.Room, err = p.Calibration.TrimRoom(p.Settings, low, high); err != nil {
		return err
	}
	states := [2]*steer.State{p.After.NewState(), p.After.NewState()}
	inner := func(servo float64, side steer.Side) float64 {
		s := states[side]
		if s.Turn(min(max(servo, low), high)) != nil {
			return math.NaN()
		}
		return s.Inner(side)
	}
	for _, n := range subtrimSteps {
		change, err := p.Calibration.Shift(p.Settings, n)
		var setting *radio.SettingError
		if errors.As(err, &setting) {
			continue // beyond the subtrim's range
		}
		if err != nil {
			return err
		}
		move := SubtrimMove{Steps: n}
		for _, side := range vehicle.Sides {
			after := inner(change.After.To(side), side)
			move.More[side] = after - inner(change.Before.To(side), side)
			move.Uneven += side.Sign() * after
			for _, st := range stops {
				if beyond(change.After.To(side), st.Servo.Value, p.After.Centre()) {
					move.Passes = st.Words
				}
			}
		}
		t.Moves = append(t.Moves, move)
	}
	p.Trim = t
	return nil
}

// beyond reports whether a servo angle is past a stop, seen from centre.
func beyond(servo, stop, centre float64) bool {
	return (servo-stop)*(stop-centre) > 0
}
