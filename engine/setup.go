package engine

import (
	"math"
	"strconv"
	"strings"

	"evenlock/rig"
	"evenlock/setup"

	"gonum.org/v1/gonum/spatial/r3"
)

// SetUpDocument is the set-up in the order that the work is done.
type SetUpDocument struct {
	Ready   bool     `json:"ready"`
	Problem string   `json:"problem"`
	Steps   []Step   `json:"steps"`
	Notes   Problems `json:"notes"`
}

// Step is one piece of work.
type Step struct {
	Key   string `json:"key"`
	Title string `json:"title"`
	Value string `json:"value"`
	// Set is what to hand to Session.Set once it is done.
	Set     map[string]string `json:"set"`
	Reason  string            `json:"reason"`
	Caution string            `json:"caution"`
}

// Cautions, common practice; makers' instructions come first.
const (
	cautionPrepare = "Wheels off the ground, and the motor unplugged or its pinion out. Keep fingers out of the links. Follow the makers' instructions for servo, radio and battery."
	cautionStall   = "Do not hold the servo against a stop: a stalled servo heats and draws its full current, and can brown out the receiver."
	cautionHorn    = "Switch the servo's power off before the horn comes off, and put the screw back."
	cautionRod     = "Leave enough thread in both rod ends; do not go past what its maker allows."
	cautionDrive   = "Drive away from people and roads, and follow local rules and the field's."
)

// SetUp works the set-up out. While something is missing or cannot be, it is not ready and says why.
func (s *Session) SetUp() SetUpDocument {
	d := SetUpDocument{Steps: []Step{}, Notes: Problems{}}
	plan, err := setup.Make(s.moved.rig)
	if err != nil {
		p := ProblemsOf(err)[0]
		d.Problem = p.Problem
		if p.Key != "" {
			d.Problem = wordsOf(p.Key) + ": " + p.Problem
		}
		if p.Remedy != "" {
			d.Problem += "; " + p.Remedy
		}
		return d
	}
	d.Ready = true
	for _, n := range plan.Notes {
		d.Notes = append(d.Notes, Problem{Problem: n.Problem, Remedy: n.Remedy})
	}
	add := func(one Step) {
		if one.Set == nil {
			one.Set = map[string]string{}
		}
		d.Steps = append(d.Steps, one)
	}
	missing := s.State().Missing
	prepare := Step{
		Key: "prepare", Title: "Get ready", Value: "trim and subtrim zero, endpoints well short", Caution: cautionPrepare,
		Reason: "So that nothing reaches a stop before its endpoint is set.",
	}
	if missing > 0 {
		prepare.Reason += " " + short(float64(missing), 0) + " values are not measured yet, so that the numbers below are rough."
	}
	add(prepare)
	add(hornStep(s.moved.rig, plan))
	if plan.Calibrated {
		if plan.Settings.Reverse != s.moved.rig.Settings.Reverse {
			add(Step{
				Key: "reverse", Title: "Reverse", Value: yes(plan.Settings.Reverse), Set: reversed(plan),
				Reason: "So that left stick steers left.",
			})
		}
		add(Step{
			Key: "subtrim", Title: "Subtrim", Value: short(plan.Subtrim.Value, 2), Set: map[string]string{"settings.subtrim": short(plan.Subtrim.Value, 2)},
			Reason: "It turns the horn the last " + figure(math.Abs(plan.Horn.LeftOver)/degree, 0, "°", false).Text + " to square, which the spline leaves. Leave it alone from then on: it moves both ends with the centre.",
		})
	} else {
		add(Step{
			Key: "subtrim", Title: "Subtrim", Value: "turn the horn " + turnWords(plan.Horn.LeftOver),
			Reason: "That makes horn and link square. The number to set is not known until two readings of the servo are in the file.",
		})
	}
	for i := range plan.Rods {
		add(rodStep(s.moved.rig, &plan.Rods[i]))
	}
	for _, e := range []*setup.End{&plan.Left, &plan.Right} {
		add(endStep(plan, e))
	}
	if plan.Expo != nil && plan.Settings.Expo != 0 {
		add(Step{
			Key: "expo", Title: "Expo", Value: short(plan.Settings.Expo, 0) + " %", Set: map[string]string{"settings.expo": short(plan.Settings.Expo, 0)},
			Reason: "Path curvature then follows the stick more evenly: " + shapedWords(plan.Expo.Before.Nonlinear, plan.Expo.After.Nonlinear) + ".",
		})
	}
	if plan.Curve != nil && len(plan.Settings.Curve) > 0 {
		all := make([]string, len(plan.Settings.Curve))
		for i, p := range plan.Settings.Curve {
			all[i] = short(p, 0)
		}
		points := strings.Join(all, ", ")
		add(Step{
			Key: "curve", Title: "Curve", Value: points, Set: map[string]string{"settings.curve": points},
			Reason: "Points from full right to full left, in percent. Path curvature then follows the stick more evenly: " + shapedWords(plan.Curve.Before.Nonlinear, plan.Curve.After.Nonlinear) + ".",
		})
	}
	if plan.Trim != nil {
		room := plan.Trim.Room
		words := "up to " + stepsWords(room.Negative) + " to the one side and " + stepsWords(room.Positive) + " to the other"
		if room.Outside {
			words = "no room: an end is past a limit already"
		}
		add(Step{
			Key: "trim", Title: "Trim on the road", Value: words, Caution: cautionDrive,
			Reason: "Drive, and trim it straight. Within that room no end passes a limit. If more is needed, change a rod's length instead.",
		})
	}
	return d
}

func yes(b bool) string {
	if b {
		return "reversed"
	}
	return "normal"
}

// reversed is what to set for reverse: the readings, which were taken at the other, change sides with it.
func reversed(plan *setup.Plan) map[string]string {
	set := map[string]string{"settings.reverse": boolWord(plan.Settings.Reverse)}
	if plan.Settings.Reverse != plan.Calibration.ReadReversed {
		for i, r := range plan.Rig().Transmitter.Readings {
			if r.Setting != nil {
				set["transmitter.reading."+strconv.Itoa(i+1)+".setting"] = short(*r.Setting, 0)
			}
		}
	}
	return set
}

func boolWord(b bool) string {
	if b {
		return "true"
	}
	return "false"
}

func stepsWords(n float64) string {
	if math.IsInf(n, 0) {
		return "any number of steps"
	}
	return short(math.Abs(n), 0) + " steps"
}

func shapedWords(before, after float64) string {
	return "off by " + rounded(100*after, 1) + " % of full lock at most, against " + rounded(100*before, 1) + " %"
}

// turnWords says a turn of the horn as one sees it.
func turnWords(turn float64) string {
	way := " counter-clockwise, looking at its face"
	if turn < 0 {
		way = " clockwise, looking at its face"
	}
	return figure(math.Abs(turn)/degree, 0, "°", false).Text + way
}

// hornStep says where the horn goes, and what that makes of the file.
func hornStep(r *rig.Rig, plan *setup.Plan) Step {
	h := plan.Horn
	miss := worded(figure(plan.Square.Miss.Value/degree, plan.Square.Miss.Uncertain/degree, "°", false), [2]string{" less than square", " more than square"})
	one := Step{
		Key: "horn", Title: "Horn on the spline", Value: "leave it where it is", Caution: cautionHorn,
		Reason: "A link square to the horn with the wheels straight makes left and right alike. Now they are " + miss + ".",
	}
	if h.Teeth == 0 && h.Arm == 0 {
		return one
	}
	one.Value = ""
	if h.Teeth != 0 {
		way := " counter-clockwise"
		if h.Teeth < 0 {
			way = " clockwise"
		}
		n := h.Teeth
		if n < 0 {
			n = -n
		}
		unit := " teeth"
		if n == 1 {
			unit = " tooth"
		}
		one.Value = short(float64(n), 0) + unit + way + ", looking at its face"
	}
	if h.Arm != 0 {
		if one.Value != "" {
			one.Value += "; "
		}
		one.Value += "use the arm " + short(float64(h.Arm), 0) + " further round counter-clockwise"
	}
	one.Value += ": " + turnWords(h.Turn.Value-h.LeftOver) + ", in all"
	one.Set = hornKeys(r, plan)
	return one
}

// hornKeys are the keys of the file that say the horn's new place, in the way that the file gives it.
func hornKeys(r *rig.Rig, plan *setup.Plan) map[string]string {
	g := plan.After.Geometry
	lengths, decimals := 1.0, 2
	if r.Unit == "in" {
		lengths, decimals = inch, 4
	}
	horn := r3.Sub(g.HornBall, g.HornFoot)
	switch {
	case r.Horn.Ball.Given():
		all := make([]string, 3)
		for i, x := range [3]float64{g.HornBall.X, g.HornBall.Y, g.HornBall.Z} {
			all[i] = short(x/lengths, decimals)
			if u := r.Horn.Ball[i].Uncertainty; u > 0 {
				all[i] += " ± " + short(u/lengths, 4)
			}
		}
		return map[string]string{"horn.ball": strings.Join(all, ", ")}
	case r.Horn.LinkAngle.Given:
		link := r3.Sub(g.Pulled, g.HornBall)
		angle := math.Acos(max(-1, min(1, -r3.Dot(horn, link)/(r3.Norm(horn)*r3.Norm(link)))))
		return map[string]string{"horn.link_angle": short(angle/degree, 2)}
	}
	about := r3.Vec{X: r.Horn.Points[0], Y: r.Horn.Points[1], Z: r.Horn.Points[2]}
	e1 := r3.Sub(about, r3.Scale(r3.Dot(about, g.ServoAxis), g.ServoAxis))
	e2 := r3.Cross(g.ServoAxis, e1)
	return map[string]string{"horn.lean": short(math.Atan2(r3.Dot(horn, e2), r3.Dot(horn, e1))/degree, 2)}
}

func rodStep(r *rig.Rig, rod *setup.Rod) Step {
	unit, lengths, decimals := "mm", 1.0, 2
	if r.Unit == "in" {
		unit, lengths, decimals = "in", inch, 4
	}
	change := rod.Length.Value - rod.Now.Value
	length := figure(rod.Length.Value/lengths, rod.Length.Uncertain/lengths, unit, false).Text
	one := Step{
		Key: rod.Key, Title: strings.ToUpper(rod.Name[:1]) + rod.Name[1:], Value: length, Caution: cautionRod,
		Reason: "It makes the wheels straight with the horn square. Set it by the wheels: the length is where to begin.",
		Set:    map[string]string{rod.Key + ".length": short(rod.Length.Value/lengths, decimals)},
	}
	switch {
	case math.Abs(change) < 0.05:
		one.Value += ": as it is"
		one.Set = nil
	case rod.Turns != 0:
		way := " longer"
		if rod.Turns < 0 {
			way = " shorter"
		}
		one.Value += ": " + rounded(math.Abs(rod.Turns), 1) + " turns" + way
	default:
		way := " longer"
		if change < 0 {
			way = " shorter"
		}
		one.Value += ": " + figure(math.Abs(change)/lengths, 0, unit, false).Text + way
	}
	if !rod.Fits {
		one.Reason += " This rod cannot be set to it."
	}
	return one
}

func endStep(plan *setup.Plan, e *setup.End) Step {
	side, key := "left", "settings.endpoint_left"
	if e == &plan.Right {
		side, key = "right", "settings.endpoint_right"
	}
	lock := figure(math.Abs(e.Inner.Value)/degree, e.Inner.Uncertain/degree, "°", false).Text
	one := Step{
		Key: key, Title: "Endpoint " + side, Caution: cautionStall,
		Reason: "It gives " + lock + " at the inner wheel. What ends the lock here: " + e.Governs + ".",
	}
	if e.Matched {
		one.Reason += " It is held back to match the other side."
	}
	if plan.Calibrated {
		one.Value = short(e.Endpoint.Value, 0)
		if u := e.EndpointUncertain; u > 0 {
			one.Value = figure(e.Endpoint.Value, u, "", false).Text
		}
		one.Set = map[string]string{key: short(e.Endpoint.Value, 0)}
		return one
	}
	one.Value = "servo " + turnWords(e.Servo.Value-plan.After.Centre())
	return one
}
