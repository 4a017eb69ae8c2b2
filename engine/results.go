package engine

import (
	"errors"
	"math"

	"evenlock/linkage"
	"evenlock/steer"
)

// Headline is one of the figures that a rig is judged by.
type Headline struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Figure
	// Note says what the figure rests on, or why there is none.
	Note string `json:"note"`
}

// end is full stick to one side of the vehicle.
type end struct {
	stick float64
	servo steer.Result
	// spread is the servo angle's uncertainty from the transmitter's readings.
	spread float64
	// stop holds the servo short of full stick; nil if the stick ends first.
	stop *steer.Stop
	// sign is 1 for the left and -1 for the right.
	sign float64
	// inner and outer are the wheels.
	inner, outer steer.Quantity
}

// ends are full lock to the left and to the right of the vehicle; swapped tells that left stick steers to the right.
func (s *Session) ends(m *steer.Model) (left, right end, swapped bool, err error) {
	at := func(stick float64) (end, float64, error) {
		e := end{stick: stick}
		angle, _ := s.moved.stick.angle(stick)
		e.servo.Value, e.spread = angle, s.moved.stick.uncertainty(stick)
		if _, stop := s.moved.within(angle); stop != nil {
			stops, err := m.Stops(math.Copysign(1, angle))
			if err != nil {
				return e, 0, ProblemsOf(err)
			}
			if len(stops) > 0 {
				e.stop, e.servo, e.spread = &stops[0], stops[0].Servo, 0
			}
		}
		stand := m.Stand()
		var limit *linkage.LimitError
		if err := stand.Turn(e.servo.Value); errors.As(err, &limit) && len(limit.Inputs) > 0 {
			e.servo = steer.Result{Value: limit.Inputs[0] - math.Copysign(1e-6, angle)}
			e.stop = &steer.Stop{Kind: steer.FarDeadPoint, Words: farDeadPoint}
			if err := stand.Turn(e.servo.Value); err != nil {
				return e, 0, ProblemsOf(err)
			}
		} else if err != nil {
			return e, 0, ProblemsOf(err)
		}
		return e, stand.Curvature(), nil
	}
	left, toLeft, err := at(1)
	if err != nil {
		return left, right, false, err
	}
	right, _, err = at(-1)
	if toLeft < 0 {
		left, right, swapped = right, left, true
	}
	left.sign, left.inner, left.outer = 1, steer.RoadLeft, steer.RoadRight
	right.sign, right.inner, right.outer = -1, steer.RoadRight, steer.RoadLeft
	return left, right, swapped, err
}

// at returns sign times a quantity at an end, with the uncertainty of both rig and readings.
func (e *end) at(m *steer.Model, q steer.Quantity, sign float64) (steer.Result, error) {
	r, err := m.AtSolved(q, e.servo, sign)
	if err != nil {
		return r, ProblemsOf(err)
	}
	if e.spread > 0 {
		s := m.Stand()
		if err := s.Turn(e.servo.Value); err != nil {
			return r, ProblemsOf(err)
		}
		r.Uncertain = math.Hypot(r.Uncertain, s.Rates()[q]*e.spread)
	}
	return r, nil
}

// difference is a less b, whose errors from the rig's measurements go together.
func difference(m *steer.Model, a, b steer.Result) steer.Result {
	d := steer.Result{Value: a.Value - b.Value}
	own := func(r steer.Result) float64 {
		// What the readings add beyond the measurements.
		return math.Max(0, r.Uncertain*r.Uncertain-spreadOf(m, r.Slopes))
	}
	d.Slopes = make([]float64, len(m.Measures()))
	for i := range d.Slopes {
		if i < len(a.Slopes) {
			d.Slopes[i] += a.Slopes[i]
		}
		if i < len(b.Slopes) {
			d.Slopes[i] -= b.Slopes[i]
		}
	}
	d.Uncertain = math.Sqrt(spreadOf(m, d.Slopes) + own(a) + own(b))
	return d
}

// spreadOf is the variance, as the square of a 95 % half-width, that slopes give.
func spreadOf(m *steer.Model, slopes []float64) float64 {
	sum := 0.0
	for i, q := range m.Measures() {
		if i < len(slopes) {
			x := slopes[i] * q.Q.Uncertainty
			sum += x * x
		}
	}
	return sum
}

// Results returns the headline figures.
func (s *Session) Results() ([]Headline, error) {
	m, err := s.model()
	if err != nil {
		return nil, err
	}
	var all []Headline
	add := func(key, words string, r steer.Result, scale float64, unit string, signed bool, note string) {
		all = append(all, Headline{key, words, figure(r.Value*scale, r.Uncertain*math.Abs(scale), unit, signed), note})
	}
	none := steer.Result{Value: math.NaN()}
	left, right, swapped, err := s.ends(m)
	if err != nil {
		return nil, err
	}
	note := ""
	if swapped {
		note = "Left stick steers to the right: reverse the steering channel."
	}
	inner, locks := [2]steer.Result{}, [2]*end{&left, &right}
	for i, e := range locks {
		if inner[i], err = e.at(m, e.inner, e.sign); err != nil {
			return nil, err
		}
	}
	add("lock_left", "lock to the left, inner wheel", inner[0], 1/degree, "°", false, note)
	add("lock_right", "lock to the right, inner wheel", inner[1], 1/degree, "°", false, note)
	uneven := difference(m, inner[0], inner[1])
	add("evenness", "lock to the left less lock to the right", uneven, 1/degree, "°", false, "0 is even; above 0 there is more lock to the left.")
	if even, err := m.Evenness(s.moved.heldAngle); err == nil {
		add("path_evenness", "greatest difference of path curvature, left against right at equal stick", steer.Result{Value: even.Path}, 100, "%", false, "As a part of the curvature at full lock.")
	} else {
		add("path_evenness", "greatest difference of path curvature, left against right at equal stick", none, 1, "%", false, ProblemsOf(err)[0].Problem)
	}
	row, err := m.Sweep(m.Centre(), m.Centre(), 1)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	rate := steer.Result{
		Value:     (row[0].Rates[steer.RoadLeft] + row[0].Rates[steer.RoadRight]) / 2,
		Uncertain: (row[0].RatesUncertain[steer.RoadLeft] + row[0].RatesUncertain[steer.RoadRight]) / 2,
	}
	add("rate_centre", "rate about straight ahead, mean of both wheels", rate, 1, "°/°", false, "Below 0 the wheels turn right as the servo turns counter-clockwise.")
	for i, key := range []string{"left", "right"} {
		e := locks[i]
		a, err := e.at(m, steer.Ackermann, 1)
		if err != nil {
			return nil, err
		}
		add("ackermann_"+key, "outer wheel's excess over Ackermann at full lock "+key, a, 1/degree, "°", false, "0 is Ackermann; above 0 the outer wheel is turned too far.")
	}
	for i, key := range []string{"left", "right"} {
		c, err := locks[i].at(m, steer.OuterRadius, 2)
		if err != nil {
			return nil, err
		}
		add("circle_"+key, "turning circle to the "+key+", diameter over the outermost tyre", c, 1e-3, "m", false, "")
	}
	square, err := m.Square()
	if err != nil {
		return nil, ProblemsOf(err)
	}
	add("square", "angle between horn and link less a right angle, wheels straight", square.Miss, 1/degree, "°", false, "0 is square.")
	for i, key := range []string{"left", "right"} {
		e := locks[i]
		h := Headline{"limit_" + key, "what ends the lock to the " + key, figure(math.NaN(), 0, "", false), ""}
		h.Text = "full stick"
		if e.stop != nil {
			h.Text, h.Note = e.stop.Words, e.stop.Key
		}
		all = append(all, h)
	}
	least := steer.Result{Value: math.Inf(1)}
	for _, e := range locks {
		r, err := e.at(m, steer.Leverage, 1)
		if err != nil {
			return nil, err
		}
		// A derivative of leverage is not had.
		least.Value = min(least.Value, r.Value)
	}
	add("leverage", "distance from the dead point at full lock, 0 to 1", least, 1, "", false, "0 is at a dead point.")
	return all, nil
}

// heldAngle is the servo angle and slope for a stick, held at the stops.
func (m *moved) heldAngle(stick float64) (angle, slope float64) {
	angle, slope = m.stick.angle(stick)
	if held, at := m.within(angle); at != nil {
		return held, 0
	}
	return angle, slope
}
