package engine

import (
	"errors"
	"math"
	"strings"

	"evenlock/linkage"
	"evenlock/rig"
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
	// servo is the servo angle, whose slopes hold the transmitter's readings or what the stop depends on.
	servo steer.Result
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
		e := end{servo: s.moved.readServo(m, stick)}
		angle := e.servo.Value
		if _, stop := s.moved.within(angle); stop != nil {
			stops, err := m.Stops(math.Copysign(1, angle))
			if err != nil {
				return e, 0, ProblemsOf(err)
			}
			if len(stops) > 0 {
				e.stop, e.servo = &stops[0], stops[0].Servo
			}
		}
		state := m.NewState()
		var limit *linkage.LimitError
		if err := state.Turn(e.servo.Value); errors.As(err, &limit) && len(limit.Inputs) > 0 {
			// How it depends on the measurements has no end there, and is left out.
			e.servo = steer.Result{Value: limit.Inputs[0] - math.Copysign(1e-6, angle)}
			e.stop = &steer.Stop{Kind: steer.FarDeadPoint, Words: farDeadPoint}
			if err := state.Turn(e.servo.Value); err != nil {
				return e, 0, ProblemsOf(err)
			}
		} else if err != nil {
			return e, 0, ProblemsOf(err)
		}
		return e, state.Curvature(), nil
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

// readServo is the servo angle at a stick with its dependence on the angles that were read at the bench.
func (m *moved) readServo(full *steer.Model, stick float64) steer.Result {
	angle, _ := m.stick.angle(stick)
	if m.stick.model == nil {
		return steer.Result{Value: angle}
	}
	read, err := full.ReadRig(func(r *rig.Rig, moved steer.Moved) ([]float64, error) {
		if !strings.HasPrefix(moved.Path, "transmitter.reading.") {
			return []float64{angle}, nil
		}
		model, err := radioModel(r)
		if err != nil {
			return nil, err
		}
		return []float64{model.Angle(stick)}, nil
	})
	if err != nil {
		return steer.Result{Value: angle} // at the edge of what the readings can be
	}
	return read[0]
}

// at returns sign times a quantity at an end.
func (e *end) at(m *steer.Model, q steer.Quantity, sign float64) (steer.Result, error) {
	r, err := m.AtSolved(q, e.servo, sign)
	if err != nil {
		return r, ProblemsOf(err)
	}
	return r, nil
}

// Results returns the headline figures.
func (s *Session) Results() ([]Headline, error) {
	m, err := s.model()
	if err != nil {
		return nil, err
	}
	var all []Headline
	add := func(key, words string, r steer.Result, scale float64, unit string, ways [2]string, note string) {
		f := figure(r.Value*scale, r.Uncertain*math.Abs(scale), unit, false)
		if ways != plainly && !math.IsNaN(r.Value) {
			f.Text = worded(f, ways)
		}
		all = append(all, Headline{key, words, f, note})
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
	add("lock_left", "lock to the left, inner wheel", inner[0], 1/degree, "°", plainly, note)
	add("lock_right", "lock to the right, inner wheel", inner[1], 1/degree, "°", plainly, note)
	uneven := inner[0].Minus(inner[1])
	add("evenness", "lock to the left less lock to the right", uneven, 1/degree, "°", [2]string{" more to the right", " more to the left"}, "")
	if even, err := m.Evenness(s.moved.heldAngle); err == nil {
		add("path_evenness", "greatest difference of path curvature, left against right at equal stick", steer.Result{Value: even.Path}, 100, "%", plainly, "As a part of the curvature at full lock.")
	} else {
		add("path_evenness", "greatest difference of path curvature, left against right at equal stick", none, 1, "%", plainly, ProblemsOf(err)[0].Problem)
	}
	sample, err := m.Sweep(m.Centre(), m.Centre(), 1)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	rate := steer.Result{
		Value:     (sample[0].Rates[steer.RoadLeft] + sample[0].Rates[steer.RoadRight]) / 2,
		Uncertain: (sample[0].RatesUncertain[steer.RoadLeft] + sample[0].RatesUncertain[steer.RoadRight]) / 2,
	}
	add("rate_centre", "rate about straight ahead, mean of both wheels", rate, 1, "°/°", [2]string{"", ""}, rateNote(rate.Value))
	for i, key := range []string{"left", "right"} {
		e := locks[i]
		a, err := e.at(m, steer.Ackermann, 1)
		if err != nil {
			return nil, err
		}
		add("ackermann_"+key, "outer wheel's excess over Ackermann at full lock "+key, a, 1/degree, "°", [2]string{" less than Ackermann", " more than Ackermann"}, "How far the outer wheel is turned against what the inner one asks for.")
	}
	for i, key := range []string{"left", "right"} {
		c, err := locks[i].at(m, steer.OuterRadius, 2)
		if err != nil {
			return nil, err
		}
		add("circle_"+key, "turning circle to the "+key+", diameter over the outermost tyre", c, 1e-3, "m", plainly, "")
	}
	square, err := m.Square()
	if err != nil {
		return nil, ProblemsOf(err)
	}
	add("square", "angle between horn and link less a right angle, wheels straight", square.Miss, 1/degree, "°", [2]string{" less than square", " more than square"}, "")
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
	add("leverage", "distance from the dead point at full lock, 0 to 1", least, 1, "", plainly, "0 is at a dead point.")
	return all, nil
}

// plainly is for a figure that needs no word for its sign.
var plainly = [2]string{"+", "-"}

// worded is the figure's text without its sign and with a word for it.
func worded(f Figure, ways [2]string) string {
	size := figure(math.Abs(float64(f.Value)), float64(f.Uncertain), f.Unit, false).Text
	switch {
	case f.Value < 0:
		return size + ways[0]
	case f.Value > 0:
		return size + ways[1]
	}
	return size
}

func rateNote(rate float64) string {
	way := "left"
	if rate < 0 {
		way = "right"
	}
	return "The wheels turn " + way + " as the servo turns counter-clockwise."
}

// heldAngle is the servo angle and slope for a stick, held at the stops.
func (m *moved) heldAngle(stick float64) (angle, slope float64) {
	angle, slope = m.stick.angle(stick)
	if held, at := m.within(angle); at != nil {
		return held, 0
	}
	return angle, slope
}
