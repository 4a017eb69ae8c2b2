package engine

import (
	"math"

	"evenlock/setup"
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
	h, err := setup.Judge(m)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	note := ""
	if h.Swapped {
		note = "Left stick steers to the right: reverse the steering channel."
	}
	add("lock_left", "lock to the left, inner wheel", h.Locks[steer.Left].Inner, 1/degree, "°", plainly, note)
	add("lock_right", "lock to the right, inner wheel", h.Locks[steer.Right].Inner, 1/degree, "°", plainly, note)
	add("evenness", "lock to the left less lock to the right", h.Difference, 1/degree, "°", [2]string{" more to the right", " more to the left"}, "")
	if h.EvenProblem == nil {
		add("path_evenness", "greatest difference of path curvature, left against right at equal stick", steer.Result{Value: h.Even.Path}, 100, "%", plainly, "As a part of the curvature at full lock.")
	} else {
		add("path_evenness", "greatest difference of path curvature, left against right at equal stick", steer.Result{Value: math.NaN()}, 1, "%", plainly, ProblemsOf(h.EvenProblem)[0].Problem)
	}
	add("rate_centre", "rate about straight ahead, mean of both wheels", h.Rate, 1, "°/°", [2]string{"", ""}, rateNote(h.Rate.Value))
	keys := [2]string{steer.Left: "left", steer.Right: "right"}
	for side, key := range keys {
		add("ackermann_"+key, "outer wheel's excess over Ackermann at full lock "+key, h.Ackermann[side], 1/degree, "°", [2]string{" less than Ackermann", " more than Ackermann"}, "How far the outer wheel is turned against what the inner one asks for.")
	}
	for side, key := range keys {
		add("circle_"+key, "turning circle to the "+key+", diameter over the outermost tyre", h.Circle[side], 1e-3, "m", plainly, "")
	}
	add("square", "angle between horn and link less a right angle, wheels straight", h.Square.Miss, 1/degree, "°", [2]string{" less than square", " more than square"}, "")
	for side, key := range keys {
		one := Headline{"limit_" + key, "what ends the lock to the " + key, figure(math.NaN(), 0, "", false), h.Locks[side].Key}
		one.Text = h.Locks[side].Governs
		all = append(all, one)
	}
	add("leverage", "distance from the dead point at full lock, 0 to 1", steer.Result{Value: h.OverCentre}, 1, "", plainly, "0 is at a dead point.")
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
