package advise

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenlock/internal/say"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
)

func newtons(v float64) string { return say.Number(v, 0) + " N" }

func times(v float64) string { return say.Number(v, 2) + " times" }

// outOf returns the inner wheel's angle at the lock by side.
func outOf(l *load.Analysis) [2]float64 {
	return [2]float64{l.Samples[len(l.Samples)-1].Left, -l.Samples[0].Right}
}

// giveWay is about rods that are not strong enough.
func giveWay(s *Evaluation) ([]Finding, error) {
	if s.Load == nil {
		return nil, nil
	}
	lock := outOf(s.Load)
	var all []Finding
	var weakest *load.RodLoad
	least := math.Inf(1)
	for i := range s.Load.Rods {
		r := &s.Load.Rods[i]
		if r.Rod == nil {
			continue
		}
		borne, peak := r.Weakest()
		if borne.SafetyFactor < least {
			weakest, least = r, borne.SafetyFactor
		}
		if borne.SafetyFactor >= 1 {
			continue
		}
		p := Finding{Key: "gives_way." + r.Key, Kind: Know, Weight: (lock[0] + lock[1]) / borne.SafetyFactor}
		is := fmt.Sprintf("The %s gives way at %s of the %s that it may have to bear (%v)", r.Words, say.Number(borne.SafetyFactor, 2), newtons(peak.Size), peak.Cause)
		p.Sentence = is + "."
		before := Figure{"force that it bears over that it may have to", borne.SafetyFactor, 0, "1"}
		p.Figures = []Figure{{"force", peak.Size, 0, "N"}, before}
		if what, then, set := s.stronger(r); what != "" {
			after := Figure{before.Words, then, 0, "1"}
			p.Kind, p.Change = Do, &Change{what, before, after, set}
			p.Sentence = fmt.Sprintf("%s; %s it bears %s.", is, what, times(then))
			p.Figures = append(p.Figures, after)
		}
		all = append(all, p)
	}
	if weakest == nil || len(all) > 0 {
		return all, nil
	}
	p := Finding{
		Key: "rods", Kind: Well, Figures: []Figure{{"force that it bears over that it may have to", least, 0, "1"}},
		Sentence: fmt.Sprintf("The rods bear what they may have to; the weakest, the %s, %s", weakest.Words, times(least)),
	}
	if rod := *weakest.Rod; rod.Offset > 0 {
		rod.Offset = 0
		_, peak := weakest.Weakest()
		straight := least
		for _, tension := range []float64{-weakest.Push.Size, weakest.Pull.Size} {
			if reserve := rod.Bears(tension).SafetyFactor; tension == -weakest.Push.Size || reserve < straight {
				straight = reserve
			}
		}
		p.Figures = append(p.Figures, Figure{"the same without its bend", straight, 0, "1"}, Figure{"force", peak.Size, 0, "N"})
		p.Sentence += fmt.Sprintf("; straight, without its bend of %s mm, %s", say.Number(weakest.Rod.Offset, 1), times(straight))
	}
	p.Sentence += "."
	return append(all, p), nil
}

// thickest is how many mm thicker than it is a rod is tried at most.
const thickest = 10

// stronger says what makes a rod bear what it may have to, how many times that it then bears it, and what to set for it: no bend,
// or a thicker rod.
func (s *Evaluation) stronger(r *load.RodLoad) (what string, reserve float64, set []rig.Setting) {
	bears := func(change func(*rig.Rod)) (float64, bool) {
		twin := s.Exact.Clone()
		for _, one := range twin.SteeringRods() {
			if one.Key == r.Key {
				change(one.Rod)
				rod, ok := load.RodOf(one.Rod, r.Rod.Length)
				return min(rod.Bears(r.Pull.Size).SafetyFactor, rod.Bears(-r.Push.Size).SafetyFactor), ok
			}
		}
		return 0, false
	}
	bent := r.Rod.Offset > 0
	if bent {
		set = append(set, rig.Setting{Key: r.Key + ".bend"})
		if reserve, ok := bears(func(rod *rig.Rod) { rod.Bend = rig.Length{} }); ok && reserve >= 1 {
			return "straight, without its bend of " + say.Number(r.Rod.Offset, 1) + " mm,", reserve, set
		}
	}
	for more := 1.0; more <= thickest; more++ {
		outer := math.Ceil(r.Rod.Body.Outer) + more
		reserve, ok := bears(func(rod *rig.Rod) { rod.Diameter.Value, rod.Bend = outer, rig.Length{} })
		if !ok {
			return "", 0, nil
		}
		if reserve >= 1 {
			what = say.Number(outer, 0) + " mm thick"
			if bent {
				what = "straight and " + what
			}
			return what, reserve, append(set, rig.Setting{Key: r.Key + ".diameter", Value: millimetres(outer)})
		}
	}
	return "", 0, nil
}

// held returns by side how far the inner wheel comes before the servo gives up, against the rock if there is one.
func held(l *load.Analysis) [2]float64 {
	at, out := l.Standing, outOf(l)
	if l.Model.Rig.Ground.RockForce > 0 {
		at = l.Rock
	}
	for side, place := range at {
		if place.Happens {
			out[side] = place.Inner
		}
	}
	return out
}

// against says what the servo is asked to turn against.
func against(l *load.Analysis) string {
	if l.Model.Rig.Ground.RockForce > 0 {
		return "the rock at its worst"
	}
	return "standing tyres"
}

// givesUp is about a servo that is not strong enough.
func givesUp(s *Evaluation) ([]Finding, error) {
	l := s.Load
	if l == nil {
		return nil, nil
	}
	now, out := held(l), outOf(l)
	lost := [2]float64{out[0] - now[0], out[1] - now[1]}
	least := math.Inf(1)
	for i := range l.Samples {
		r := &l.Samples[i]
		least = min(least, r.SafetyFactor)
	}
	if math.IsInf(least, 1) {
		return nil, nil // nothing is asked of it
	}
	margin := Figure{"what the servo gives over what it is asked for, at least", least, 0, "1"}
	if lost[0]+lost[1] < shown {
		return []Finding{{
			Key: "gives_up", Kind: Well, Figures: []Figure{margin},
			Sentence: fmt.Sprintf("The servo is strong enough against %s all the way: at least %s what is asked, friction not counted.", against(l), times(least)),
		}}, nil
	}
	var where []string
	p := Finding{Key: "gives_up", Kind: Know, Weight: lost[0] + lost[1]}
	for side, word := range []string{"left", "right"} {
		if lost[side] < shown {
			continue
		}
		at := "at " + deg(now[side])
		if now[side] < shown {
			at = "when still straight, out"
		}
		where = append(where, fmt.Sprintf("%s of %s to the %s", at, deg(out[side]), word))
		p.Figures = append(p.Figures, angle("lock to the "+word+" that the servo comes to", now[side], 0))
	}
	p.Figures = append(p.Figures, margin)
	place := strings.Join(where, " and ")
	if len(where) == 2 && max(now[0], now[1]) < shown {
		place = "when still straight, whichever way"
	}
	p.Sentence = fmt.Sprintf("Against %s the servo gives up %s, with %s what is asked at the worst", against(l), place, times(least))
	what, tried, set, err := s.moreTorque(least)
	if err != nil || what == "" {
		p.Sentence += "."
		return []Finding{p}, err
	}
	const words = "lock that the servo comes to, both ways together"
	then := held(tried)
	p.Kind, p.Change = Do, &Change{what, angle(words, now[0]+now[1], 0), angle(words, then[0]+then[1], 0), set}
	p.Figures = append(p.Figures, p.Change.Before, p.Change.After)
	p.Sentence += fmt.Sprintf("; %s, it comes to %s.", what, bothWays(deg(then[0]), deg(then[1])))
	// A wheel that jams asks the rods for all that the servo has.
	for i := range tried.Rods {
		r := &tried.Rods[i]
		if borne, peak := r.Weakest(); r.Rod != nil && borne.SafetyFactor < 1 {
			p.Figures = append(p.Figures, Figure{"force that the " + r.Words + " then bears over that it may have to", borne.SafetyFactor, 0, "1"})
			p.Sentence += fmt.Sprintf(" The %s then gives way at %s of the %s that it may have to bear.", r.Words, say.Number(borne.SafetyFactor, 2), newtons(peak.Size))
		}
	}
	return []Finding{p}, nil
}

// bothWays says two figures, to the left and to the right, in one if they are the same.
func bothWays(left, right string) string {
	if left == right {
		return left + " both ways"
	}
	return left + " to the left and " + right + " to the right"
}

// moreTorque finds what carries the servo all the way, the loads with it, and what to set for it: the longest hole shorter than the
// one in use, or else a stronger servo.
func (s *Evaluation) moreTorque(least float64) (what string, tried *load.Analysis, set []rig.Setting, err error) {
	all := func(r *rig.Rig) bool {
		m, e := steer.New(r)
		if e != nil {
			return false // a hole with which the linkage does not go together
		}
		if tried, err = load.OverLock(m, load.Tilt{}, loadSteps); err != nil {
			return false
		}
		then, out, was := held(tried), outOf(tried), outOf(s.Load)
		// Short of all the way, or at the price of more than a step of the lock, is no cure.
		return out[0]+out[1]-then[0]-then[1] < shown && was[0]+was[1]-then[0]-then[1] < stopStep
	}
	for _, hole := range s.otherHoles(false) {
		if all(s.withHole(hole)) {
			return fmt.Sprintf("with the %s mm hole of the horn", say.Number(hole, 1)), tried, s.holeSet(hole), nil
		}
		if err != nil {
			return "", nil, nil, err
		}
	}
	r := s.Exact.Clone()
	r.Horn.Holes = nil
	for i := range r.Servo.Ratings {
		// A little over, so that rounding does not leave it short.
		r.Servo.Ratings[i].Torque.Value *= 1.01 / least
		set = append(set, rig.Setting{Key: fmt.Sprintf("servo.rating.%d.torque", i+1), Value: strconv.FormatFloat(r.Servo.Ratings[i].Torque.Value/load.NewtonMetre, 'f', 3, 64) + " N·m"})
	}
	if least <= 0 || !all(r) {
		return "", nil, nil, err
	}
	return fmt.Sprintf("with a servo that gives %s N·m in place of %s N·m at its plug", say.Number(s.Load.Gives*1.01/least/load.NewtonMetre, 2), say.Number(s.Load.Gives/load.NewtonMetre, 2)), tried, set, nil
}

// holes is about what the horn's other holes trade.
func holes(s *Evaluation) ([]Finding, error) {
	if s.Load == nil {
		return nil, nil
	}
	var parts []string
	p := Finding{Key: "holes", Kind: Well}
	for _, h := range s.Load.Horn {
		if !h.Reached || h.Seconds == 0 {
			continue
		}
		use := ""
		if h.Hole == s.Load.HoleInUse {
			use = ", in use,"
		}
		parts = append(parts, fmt.Sprintf("the %s mm hole%s %s and %s s", say.Number(h.Hole, 1), use, times(h.SafetyFactor), say.Number(h.Seconds, 2)))
		name := fmt.Sprintf("%s mm hole", say.Number(h.Hole, 1))
		p.Figures = append(p.Figures, Figure{name + ", margin", h.SafetyFactor, 0, "1"}, Figure{name + ", lock to lock", h.Seconds, 0, "s"})
	}
	if len(parts) < 2 {
		return nil, nil
	}
	p.Sentence = fmt.Sprintf("The horn trades torque against speed, on standing tyres to %s: %s from lock to lock.", deg(s.Load.HornLock), strings.Join(parts, ", "))
	return []Finding{p}, nil
}

// drop is about what the supply's resistance costs.
func drop(s *Evaluation) ([]Finding, error) {
	l := s.Load
	if l == nil || l.Supply.Resistance == 0 || l.Stalled.Current == 0 {
		return nil, nil
	}
	half := l.Supply
	half.Resistance /= 2
	gives, _, err := l.Servo.Stall(half)
	if err != nil {
		return nil, err
	}
	before, after := Figure{"stall torque", l.Gives / load.NewtonMetre, 0, "N·m"}, Figure{"stall torque", gives / load.NewtonMetre, 0, "N·m"}
	return []Finding{{
		Key: "drop", Kind: Know,
		Sentence: fmt.Sprintf("Stalled, the servo draws %s A, which drops the supply from %s V to %s V and leaves %s N·m; leads and regulator of half the resistance would leave %s N·m.",
			say.Number(l.Stalled.Current, 1), say.Number(l.Supply.Voltage, 1), say.Number(l.Stalled.Voltage, 1), say.Number(before.Value, 2), say.Number(after.Value, 2)),
		Figures: []Figure{{"stall current", l.Stalled.Current, 0, "A"}, {"voltage at the servo", l.Stalled.Voltage, 0, "V"}, before},
		Change:  &Change{"halve the resistance of leads, plugs and regulator", before, after, []rig.Setting{{Key: "supply.resistance", Value: strconv.FormatFloat(half.Resistance, 'g', 3, 64)}}},
	}}, nil
}
