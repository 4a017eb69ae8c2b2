package advise

import (
	"errors"
	"fmt"
	"math"

	"evenlock/internal/root"
	"evenlock/internal/say"
	"evenlock/rig"
	"evenlock/steer"
)

// number writes a number as its screen or scale shows it.
func number(v float64) string { return say.PlusMinus(v, 0, 0) }

// horn is about the angle between horn and link, and about the place of the horn that steers most evenly.
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
	const key, words = "square", "horn and link off square"
	miss := s.Plan.Square.Miss
	off := "The link is " + degOf(miss) + " off square to the horn"
	figures := []Figure{angleOf(words, miss)}
	switch {
	case math.Abs(miss.Value) < shown:
		return []Finding{squareTo("the horn", key, words, miss)}, nil
	case within(miss):
		return unsure(key, off, miss, words), nil
	}
	fit, err := s.adjusted(s.Rig, s.placed(), 0)
	if err != nil {
		return nil, err
	}
	left, err := fit.Square()
	if err != nil {
		return nil, err
	}
	pair, ok := s.compared(s.Plan.Before, s.Plan.After)
	if !ok {
		return nil, nil
	}
	sentence := off
	var change string
	switch net := s.placed(); {
	case !s.Plan.Horn.Known:
		change = "turn the servo " + deg(s.Plan.Horn.Turn.Value) + " " + say.Way(s.Plan.Horn.Turn.Value)
		sentence += "; " + deg(s.Plan.Horn.Turn.Value) + " more of servo " + say.Way(s.Plan.Horn.Turn.Value) + " makes it square"
	case math.Abs(net) < shown:
		sentence += " in the horn's nearest place"
		change = "set the subtrim"
	default:
		change = fmt.Sprintf("put the horn %s %s of where it is", deg(net), say.Way(net))
		sentence += fmt.Sprintf("; the horn %s %s leaves %s", deg(net), say.Way(net), deg(left.Miss.Value))
		figures = append(figures, angle("turn of the horn on the spline", net, 0), angleOf("off square then", left.Miss))
	}
	if s.Plan.Calibrated && s.Plan.Horn.Known && s.Plan.Subtrim.Value != 0 && math.Abs(s.Plan.Subtrim.Residual) < degree/2 {
		sentence += ", which a subtrim of " + number(s.Plan.Subtrim.Value) + " covers"
		change += "; subtrim " + number(s.Plan.Subtrim.Value)
	}
	p := Finding{Key: key, Kind: Do, Weight: sure(pair.gain, pair.spread), Change: pair.change(change)}
	figures = append(figures, p.Change.Before, p.Change.After)
	p.Figures = figures
	differ := fmt.Sprintf("%s left and right then differ by %s in place of %s.", pair.where(), deg(pair.after.Value), deg(pair.before.Value))
	p.Sentence = sentence + ": " + differ
	if pair.gain < shown {
		p.Kind, p.Change = Well, nil
		p.Sentence = off + ", and square would not be more even: " + differ
	}
	pair.doubt(&p)
	return []Finding{p}, nil
}

// squareTo is the finding on a link that is square.
func squareTo(what, key, words string, off steer.Result) Finding {
	return Finding{
		Key: key, Kind: Well, Figures: []Figure{angleOf(words, off)},
		Sentence: "The link is square to " + what + ", to " + deg(max(off.Uncertain, shown)) + ".",
	}
}

// evenPlace is nil if the place is hardly better than the one in use.
func (s *Evaluation) evenPlace() (*Finding, error) {
	net := s.placed() + s.Plan.EvenPlace.Turn
	if math.Abs(net) < shown {
		return nil, nil
	}
	m, err := s.adjusted(s.Rig, net, 0)
	if err != nil {
		return nil, err
	}
	pair, ok := s.compared(s.Plan.Before, m)
	if !ok || pair.gain < worth {
		return nil, nil
	}
	square, err := s.unlike(s.Plan.After, pair.turn)
	if err != nil {
		return nil, err
	}
	p := &Finding{
		Key: "evener", Kind: Do, Weight: sure(pair.gain, pair.spread),
		Sentence: fmt.Sprintf("The horn %s %s of where it is steers most evenly: %s left and right then differ by %s, where they differ by %s now and by %s with horn and link square.",
			deg(net), say.Way(net), pair.where(), deg(pair.after.Value), deg(pair.before.Value), deg(square.Value)),
		Change: pair.change(fmt.Sprintf("put the horn %s %s of where it is, and measure it again", deg(net), say.Way(net))),
	}
	p.Figures = []Figure{angle("turn of the horn on the spline", net, 0), p.Change.Before, p.Change.After, angleOf("the same with horn and link square", square)}
	pair.doubt(p)
	return p, nil
}

// farSquare is about the angle at the knuckle's end of the link.
func farSquare(s *Evaluation) ([]Finding, error) {
	const key = "far_square"
	arm := s.dragArm(s.Exact)
	if arm == nil {
		return nil, nil
	}
	after := s.Plan.After
	far, err := after.At(steer.FarAngle, after.Centre())
	if err != nil {
		return nil, err
	}
	far.Value -= math.Pi / 2
	words := "link and knuckle's arm off square"
	off := "The link is " + degOf(far) + " off square to the knuckle's arm"
	switch {
	case math.Abs(far.Value) < shown:
		return []Finding{squareTo("the knuckle's arm", key, words, far)}, nil
	case within(far):
		return unsure(key, off, far, words), nil
	}
	before, err := s.squared(s.Exact)
	if err != nil {
		return nil, err
	}
	from, side := s.Plan.Before.Geometry.Pulled, &s.Plan.Before.Geometry.Left
	if s.Rig.DragLink.To == "right" {
		side = &s.Plan.Before.Geometry.Right
	}
	with := func(by float64) (*steer.Model, error) {
		r := s.Exact.Clone()
		*s.dragArm(r) = rig.Arm{Ball: rig.PointAt(swung(from, side, by)), Stud: arm.Stud}
		return s.squared(r)
	}
	by, ok := crossing(func(by float64) float64 {
		m, err := with(by)
		if err != nil {
			return math.NaN()
		}
		return m.NewState().Values()[steer.FarAngle] - math.Pi/2
	})
	if !ok {
		return nil, nil
	}
	by = math.Round(by/degree) * degree
	m, err := with(by)
	if err != nil {
		return nil, err
	}
	pair, ok := s.compared(before, m)
	if !ok {
		return nil, nil
	}
	now, err := s.unlike(after, pair.turn)
	if err != nil {
		return nil, err
	}
	// Exact rigs were compared; how unlike the rig is known to be is what the gain must be seen against.
	pair.spread = now.Uncertain
	swings := fmt.Sprintf("its end swung %s %s", whole(by), swing(from, swung(from, side, by)))
	p := Finding{
		Key: key, Kind: Do, Weight: sure(pair.gain, pair.spread),
		Sentence: fmt.Sprintf("%s; %s would leave left and right %s apart %s in place of %s.", off, swings, deg(pair.after.Value), pair.where(), deg(pair.before.Value)),
		Change:   pair.change("the knuckle's arm: " + swings + "; then horn and link square again"),
	}
	p.Figures = []Figure{angleOf(words, far), angle("swing of the arm", by, 0), p.Change.Before, p.Change.After}
	if pair.gain < worth {
		p.Kind, p.Change = Well, nil
		p.Sentence = fmt.Sprintf("%s, and may stay so: %s would leave left and right %s apart %s, where they are %s apart now.", off, swings, deg(pair.after.Value), pair.where(), deg(pair.before.Value))
	}
	pair.doubt(&p)
	return []Finding{p}, nil
}

// dragArm is the arm that the link pulls, if it is one of a knuckle's own.
func (s *Evaluation) dragArm(r *rig.Rig) *rig.Arm {
	switch {
	case r.DragLink.To == "left":
		return r.Left.DragArm
	case r.DragLink.To == "right" && r.Right != nil:
		return r.Right.DragArm
	}
	return nil
}

// swingMost is how far an arm is swung at most to mend something, swingStep in what steps that is looked for.
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
	return s.atNeutral("straight", 0.5, 0.5, func(now, then steer.Result) (string, string) {
		return fmt.Sprintf("At the neutral pulse the wheels stand %s to the %s", degOf(now), leftOrRight(now.Value)),
			"; the drag link and the horn set as evenlock setup has them leave " + deg(then.Value) + "."
	})
}

// toe is about toe that is not the wanted one.
func toe(s *Evaluation) ([]Finding, error) {
	if s.Rig.TieRod == nil {
		return nil, nil
	}
	want := s.Rig.Want.Toe
	if !want.Given {
		return nil, nil
	}
	return s.atNeutral("toe", -0.5, 0.5, func(now, then steer.Result) (string, string) {
		in := "in"
		if now.Value+want.Value < 0 {
			in = "out"
		}
		turns := ""
		for _, rod := range s.Plan.Rods {
			if rod.Key == "tie_rod" && rod.Turns != 0 {
				turns = fmt.Sprintf(", %s turns from now,", say.Number(math.Abs(rod.Turns), 2))
			}
		}
		return fmt.Sprintf("Each wheel toes %s by %s, %s off what is wanted", in, deg(now.Value+want.Value), degOf(now)),
			fmt.Sprintf("; the tie rod at the length of evenlock setup%s leaves %s.", turns, deg(then.Value))
	})
}

// atNeutral is about a mean of both wheels' angles that is not what it should be at neutral, before and after the set-up. The
// sentence is made of what is now, and of what is then.
func (s *Evaluation) atNeutral(key string, left, right float64, words func(now, then steer.Result) (string, string)) ([]Finding, error) {
	off := func(m *steer.Model) (steer.Result, error) {
		l, errLeft := m.At(steer.RoadLeft, m.Centre())
		r, errRight := m.At(steer.RoadRight, m.Centre())
		sum := l.Times(left).Plus(r.Times(right))
		if key == "toe" {
			sum.Value -= s.Rig.Want.Toe.Value
		}
		return sum, errors.Join(errLeft, errRight)
	}
	now, err := off(s.Plan.Before)
	if err != nil {
		return nil, err
	}
	then, err := off(s.Plan.After)
	if err != nil {
		return nil, err
	}
	is, mended := words(now, then)
	what := "wheels at neutral, mean"
	if key == "toe" {
		what = "toe of each wheel off the wanted"
	}
	switch {
	case math.Abs(now.Value) < shown:
		return nil, nil
	case within(now):
		return unsure(key, is, now, what), nil
	}
	return []Finding{{
		Key: key, Kind: Do, Weight: sure(now.Value, steer.RootOfSquares(now.Uncertain, then.Value)), Sentence: is + mended,
		Figures: []Figure{angleOf(what, now), angleOf(what+", then", then)},
		Change:  &Change{"set the rods to the lengths of evenlock setup", angleOf(what, now), angleOf(what, then), nil},
	}}, nil
}
