package report

import (
	"fmt"
	"math"
	"strings"

	"evenlock/radio"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

// planSteps are the pieces of work of a plan, in their order. Keys stay as they are: ticks are kept
// under them.
func planSteps(p *setup.Plan) document.Steps {
	prepare := document.Step{
		Key: string(setup.Prepare), Title: "Get ready", Caution: BeforePower, Set: changesOf(p, setup.Prepare),
		Do:     document.Say("zero trim, subtrim and expo; endpoints well short"),
		Detail: []document.Sentence{document.Say("So nothing reaches a stop before its endpoint is set.")},
	}
	if rate := p.Before.Tables().Settings.Rate; rate != 0 && rate != 100 {
		prepare.Why = append(prepare.Why, document.Say("Set the rate to ", document.F(100, document.Percent), "."))
	}
	steps := document.Steps{prepare}
	if p.Calibrated && p.Settings.Reverse != p.Before.Tables().Settings.Reverse {
		on := "off"
		if p.Settings.Reverse {
			on = "on"
		}
		steps = append(steps, document.Step{
			Key: string(setup.Reverse), Title: "Reverse", Set: changesOf(p, setup.Reverse),
			Do:  document.Say("turn the steering channel's reverse ", on),
			Why: []document.Sentence{document.Say("Left stick then steers left.")},
		})
	}
	steps = append(steps, hornStep(p), subtrimStep(p))
	for i := range p.Rods {
		steps = append(steps, rodStep(p, &p.Rods[i]))
	}
	steps = append(steps, endStep(p, &p.Ends[steer.Left]), endStep(p, &p.Ends[steer.Right]))
	if shaped(p) {
		steps = append(steps, shapeStep(p))
	}
	if p.Trim != nil {
		steps = append(steps, trimStep(p))
	}
	return steps
}

// changesOf are the values of the rig file once a step is done. Without a calibration the
// transmitter's are not known.
func changesOf(p *setup.Plan, s setup.Step) []document.Setting {
	for _, known := range p.Steps() {
		if known == s {
			return settingsOf(p.Changes(s))
		}
	}
	return nil
}

// rotation is the word for a turn as one looks at the horn's face.
func rotation(v float64) string {
	if v < 0 {
		return document.Rotation.Negative
	}
	return document.Rotation.Positive
}

// hornMove says how the horn goes to its place, to follow "turn the horn".
func hornMove(p *setup.Plan) document.Sentence {
	h, arm := &p.Horn, hornArm(p)
	if h.Teeth == 0 {
		return document.Say(" onto ", arm)
	}
	move := document.Say(" ", hornTeeth(p))
	if arm != "" {
		move = document.Say(move, " and use ", arm)
	}
	return move
}

func hornTeeth(p *setup.Plan) document.Figure {
	return document.F(float64(p.Horn.Teeth), document.Tooth).Signed(document.Rotation)
}

// hornArm names the arm to use, empty where it stays the same.
func hornArm(p *setup.Plan) string {
	if p.Horn.Arm == 0 {
		return ""
	}
	return armWords(p.Horn.Arm, p.Before.Servo.Arms)
}

// armWords names an arm of the horn, counted counter-clockwise from the one in use.
func armWords(n, of int) string {
	switch {
	case 2*n == of:
		return "the opposite arm"
	case n == 1:
		return "the next arm counter-clockwise"
	case n == of-1:
		return "the next arm clockwise"
	case 2*n > of:
		return "the " + ordinal(of-n) + " arm clockwise"
	default:
		return "the " + ordinal(n) + " arm counter-clockwise"
	}
}

func ordinal(n int) string {
	words := []string{"", "first", "second", "third", "fourth", "fifth", "sixth"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%dth", n)
}

func hornStep(p *setup.Plan) document.Step {
	h := &p.Horn
	s := document.Step{Key: string(setup.PlaceHorn), Title: "Horn on the spline"}
	off := document.Say(angle(p.Square.Miss).Size().Named("square.now", ""), " off square")
	if h.Teeth == 0 && h.Arm == 0 {
		s.Leave = true
		s.Do = document.Say("leave it: ", off, ", and no place is nearer")
		if !h.Known {
			s.Do = document.Say("leave it, ", off, ": see the notes")
		}
		return s
	}
	switch arm := hornArm(p); {
	case arm == "":
		s.Do = document.Say("turn it ", hornTeeth(p))
	case h.Teeth == 0:
		s.Do = document.Say("use ", arm)
	default:
		s.Do = document.Say(hornTeeth(p), "; use ", arm)
	}
	s.Caution, s.Set = HornOff, changesOf(p, setup.PlaceHorn)
	net := document.F(h.Turn.Value-h.LeftOver, document.Angle).Signed(document.Rotation)
	s.Why = []document.Sentence{document.Say("Seen from its face, its ball then stands ", net, " of where it is.")}
	s.Detail = []document.Sentence{document.Say("Now it is ", off, ".")}
	return s
}

func subtrimStep(p *setup.Plan) document.Step {
	s := document.Step{Key: string(setup.SetSubtrim), Title: "Subtrim", Set: changesOf(p, setup.SetSubtrim)}
	over := document.F(p.Horn.LeftOver, document.Angle).Signed(document.Rotation)
	switch {
	case !p.Calibrated && !over.Shows(document.Reader{}), p.Calibrated && p.Subtrim.Value == 0:
		s.Do, s.Leave = document.Say("leave it at zero"), true
	case !p.Calibrated:
		s.Do = document.Say("turn the servo ", over, " by it, to square")
	default:
		s.Do = document.Say("set ", subtrimFigure(&p.Calibration, p.Subtrim.Value).Named("subtrim", ""), ", to square")
		s.Detail = append(s.Detail, document.Say("It turns the servo ", document.F(p.Subtrim.Angle, document.Angle).Signed(document.Rotation), ". Leave it alone from then on: it moves both ends with the centre."))
		if p.Calibration.Subtrim.Assumed && p.Calibration.Screen != rig.Microseconds {
			s.Why = append(s.Why, document.Say("No reading of its step is given: watch the horn, and stop when it is square."))
		}
	}
	return s
}

// rodChange is by how much a rod is made longer or shorter, in turns where its thread is known.
func rodChange(r *setup.Rod) document.Figure {
	if r.Pitch*r.Pitches > 0 {
		return document.F(r.Turns, document.Turn).Signed(document.Stretch)
	}
	return document.F(r.Length.Value-r.Now.Value, document.Length).Signed(document.Stretch)
}

func rodStep(p *setup.Plan, r *setup.Rod) document.Step {
	s := document.Step{Key: r.Key, Title: document.Capital(r.Name)}
	then := length(r.Length).Named("rod."+r.Key, "")
	if r.Leave() && r.Fits {
		s.Leave, s.Do = true, document.Say("leave it, ", then, " ball to ball")
		return s
	}
	s.Set = changesOf(p, setup.Step(r.Key))
	if !r.Fits {
		s.Do = document.Say("must be ", then, ", and cannot: see the notes")
		return s
	}
	s.Do = document.Say(rodChange(r).Named("rod."+r.Key+".change", ""), ", to ", then, " ball to ball")
	if r.Key == p.Before.Servo.Link.Key {
		s.Why = append(s.Why, document.Say("Turn it until the wheels are straight: what you see counts more."))
	}
	if left := document.F(r.Residual, document.Length).Size(); left.Shows(document.Reader{}) {
		s.Why = append(s.Why, document.Say("Half turns leave it ", left, " off."))
	}
	s.Detail = append(s.Detail, document.Say("Now it is ", length(r.Now), "."))
	if r.Pitch*r.Pitches > 0 {
		s.Detail = append(s.Detail, document.Say("A turn is ", document.F(r.Pitch*r.Pitches, document.Length).To(2), "."))
	}
	if r.Length.Value > r.Now.Value {
		s.Caution = Thread
	}
	return s
}

func endStep(p *setup.Plan, e *setup.End) document.Step {
	step, side, other := setup.SetEnd(e.Side), sideNames[e.Side], sideNames[1-e.Side]
	s := document.Step{Key: string(step), Title: "Endpoint " + side, Set: changesOf(p, step)}
	inner := angle(e.Inner).Named("inner."+side, "")
	if p.Calibrated {
		s.Do = document.Say("set ", endpointFigure(&p.Calibration, e.Endpoint.Value, endpointUncertain(e)).Named("endpoint."+side, ""), ": inner wheel ", inner)
	} else {
		s.Do = document.Say("out until the inner wheel is at ", inner)
	}
	stopped := document.Say("stopped by ", e.Governs)
	if e.AsWanted() {
		stopped = document.Say("the lock you want")
	}
	stopped = document.Say(stopped, document.FileKey(e.Key), ".")
	switch alone := angle(e.Alone).Brief(); {
	case !e.Matched:
		s.Why = append(s.Why, capital(stopped))
	case reads(alone) == reads(angle(e.Inner).Brief()):
		s.Why = append(s.Why, document.Say("Kept equal to the ", other, " side."))
	default:
		s.Why = append(s.Why, document.Say("Kept equal to the ", other, " side; on its own it could reach ", alone, ", ", stopped))
	}
	first := e.Stops[0]
	turn := first.Turns[p.After.Inner(e.Side)]
	s.Detail = append(s.Detail,
		document.Say("Servo ", angle(e.Servo).Signed(document.Rotation).Named("servo."+side, ""), " of neutral. Outer wheel ", angle(e.Outer).Named("outer."+side, ""), "."),
		document.Say("The first stop is ", first.Words, ", with the inner knuckle at ", document.F(math.Abs(turn), document.Angle).Named("stop."+side, ""), "."))
	return s
}

// endpointUncertain is the uncertainty of an endpoint. The greatest that the transmitter has is
// exact.
func endpointUncertain(e *setup.End) float64 {
	if strings.HasSuffix(e.Key, "transmitter.max_endpoint") && !e.Matched {
		return 0
	}
	return e.EndpointUncertain
}

func shapeStep(p *setup.Plan) document.Step {
	gains := func(s *radio.Shaping) document.Sentence {
		return document.Say("The response is then up to ", document.F(s.After.Nonlinear, document.Part), " off linear instead of ", document.F(s.Before.Nonlinear, document.Part), ".")
	}
	if c := p.Settings.Curve; c != nil {
		return document.Step{
			Key: "curve", Title: "Curve", Set: changesOf(p, setup.Shape),
			Do:  document.Say("set ", curvePointList(c), ", expo zero"),
			Why: []document.Sentence{document.Say("In percent, full right to full left."), gains(p.Curve)},
		}
	}
	does := "It softens the middle; some transmitters count it the other way."
	if p.Settings.Expo < 0 {
		does = "It sharpens the middle; some transmitters count it the other way."
	}
	return document.Step{
		Key: "expo", Title: "Expo", Set: changesOf(p, setup.Shape),
		Do:  document.Say("set ", document.F(p.Settings.Expo, document.Percent).Named("expo", "")),
		Why: []document.Sentence{document.Say(does), gains(p.Expo)},
	}
}

func trimStep(p *setup.Plan) document.Step {
	room := &p.Trim.Room
	s := document.Step{Key: "trim", Title: "Trim on the road", Caution: OnTheRoad}
	steps := func(n float64) document.Sentence {
		if math.IsInf(n, 0) {
			return document.Say("as far as it goes")
		}
		return document.Say(trimFigure(&p.Calibration, n))
	}
	switch {
	case room.Outside:
		s.Do = document.Say("no room: an end is past a limit already")
	case room.Positive == room.Negative:
		s.Do = document.Say("drive, and trim straight: up to ", steps(room.Positive), " either way")
	default:
		s.Do = document.Say("drive, and trim straight: up to ", steps(room.Positive), " up and ", steps(room.Negative), " down")
	}
	if p.Calibration.TrimKind == radio.TrimUnclear {
		s.Why = append(s.Why, document.Say("First test with the horn off whether trim moves the ends too", document.FileKey("transmitter.trim"), "."))
	}
	ends := "Beyond that an end of the stick drives into a stop."
	ownRange := room.PositiveStop == radio.TrimStopRange && room.NegativeStop == radio.TrimStopRange
	if ownRange {
		ends = "The trim itself ends there."
	}
	if said := trimAssumed(&p.Calibration); said != nil {
		// How far a step goes matters at once where the steps end at a stop.
		to := &s.Why
		if ownRange {
			to = &s.Detail
		}
		*to = append(*to, said)
	}
	s.Detail = append(s.Detail, document.Say(ends, " If more is needed, change a rod's length instead."))
	return s
}
