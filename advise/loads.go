package advise

import (
	"fmt"
	"math"
	"strconv"

	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"
)

// outOf returns the inner wheel's angle at the lock by side.
func outOf(l *load.Analysis) [2]float64 {
	return [2]float64{l.Samples[len(l.Samples)-1].Inner, -l.Samples[0].Inner}
}

// rodStrength is about how strong the rods are.
func rodStrength(s *Evaluation) ([]Finding, error) {
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
		strength, force := r.Weakest()
		if strength.SafetyFactor < least {
			weakest, least = r, strength.SafetyFactor
		}
		if strength.SafetyFactor >= 1 {
			continue
		}
		facts := &RodFails{Rod: r, Strength: strength, Force: force}
		f := Finding{Key: "rod_fails." + r.Key, Kind: Know, Weight: (lock[0] + lock[1]) / strength.SafetyFactor, Facts: facts}
		if then, set, ok := s.stronger(facts); ok {
			f.Kind, f.Change = Do, &Change{exactly(strength.SafetyFactor), exactly(then), set}
		}
		all = append(all, f)
	}
	if weakest == nil || len(all) > 0 {
		return all, nil
	}
	facts := &RodsHold{Weakest: weakest, SafetyFactor: least}
	if rod := *weakest.Rod; rod.Offset > 0 {
		rod.Offset = 0
		facts.Straight = factorOf(rod, weakest)
	}
	return []Finding{{Key: "rods", Kind: Well, Facts: facts}}, nil
}

// factorOf is the safety factor of a rod under what another may have to bear.
func factorOf(rod load.Rod, as *load.RodLoad) float64 {
	return min(rod.Bears(as.Pull.Size).SafetyFactor, rod.Bears(-as.Push.Size).SafetyFactor)
}

// Thickest is how many mm thicker than it is a rod is tried at most.
const Thickest = 10

// stronger finds what makes a rod bear what it may have to, no bend or a thicker rod, and puts it
// into the facts. It returns the safety factor then, and what to set for it.
func (s *Evaluation) stronger(facts *RodFails) (then float64, set []rig.Setting, ok bool) {
	r := facts.Rod
	bears := func(change func(*vehicle.Stock)) (float64, bool) {
		twin := *s.Load.Model.Vehicle.Rod(r.Key)
		change(&twin.Stock)
		rod, ok := load.RodOf(&twin)
		return factorOf(rod, r), ok
	}
	bent := r.Rod.Offset > 0
	if bent {
		set = append(set, rig.Setting{Key: r.Key + ".bend"})
		if then, ok := bears(func(rod *vehicle.Stock) { rod.Bend = 0 }); ok && then >= 1 {
			facts.Straighten = true
			return then, set, true
		}
	}
	for more := 1.0; more <= Thickest; more++ {
		outer := math.Ceil(r.Rod.Body.Outer) + more
		then, ok := bears(func(rod *vehicle.Stock) { rod.Diameter, rod.Bend = outer, 0 })
		if !ok {
			return 0, nil, false
		}
		if then >= 1 {
			facts.Straighten, facts.Diameter = bent, outer
			return then, append(set, rig.Setting{Key: r.Key + ".diameter", Value: millimetres(outer)}), true
		}
	}
	return 0, nil, false
}

// reach returns by side how far the inner wheel comes before the servo stalls, against the rock if
// there is one.
func reach(l *load.Analysis) [2]float64 {
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

// servoStrength is about how strong the servo is.
func servoStrength(s *Evaluation) ([]Finding, error) {
	const key = "servo_stalls"
	l := s.Load
	if l == nil {
		return nil, nil
	}
	least := math.Inf(1)
	for i := range l.Samples {
		least = min(least, l.Samples[i].SafetyFactor)
	}
	if math.IsInf(least, 1) {
		return nil, nil // nothing is asked of it
	}
	facts := &Servo{
		Against: load.ByStanding, Needs: l.Gives / least, Has: l.Gives, Voltage: l.Stalled.Voltage,
		Reach: reach(l), Lock: outOf(l),
	}
	if g := s.Rig.Ground; g.RockForce > 0 {
		facts.Against, facts.RockHeight = load.ByRock, g.RockHeight.Value
	}
	now, out := facts.Reach, facts.Lock
	lost := out[0] - now[0] + out[1] - now[1]
	if lost < shown {
		return []Finding{{Key: key, Kind: Well, Facts: facts}}, nil
	}
	f := Finding{Key: key, Kind: Know, Weight: lost, Facts: facts}
	tried, set, err := s.moreTorque(facts)
	if err != nil || tried == nil {
		return []Finding{f}, err
	}
	facts.Then = reach(tried)
	f.Kind, f.Change = Do, &Change{exactly(now[0] + now[1]), exactly(facts.Then[0] + facts.Then[1]), set}
	// A wheel that jams asks the rods for all that the servo has.
	for i := range tried.Rods {
		r := &tried.Rods[i]
		if strength, _ := r.Weakest(); r.Rod != nil && strength.SafetyFactor < 1 {
			facts.Weak = append(facts.Weak, r)
		}
	}
	return []Finding{f}, nil
}

// moreTorque finds what carries the servo all the way, the longest hole shorter than the one in use
// or else a stronger servo, and puts it into the facts. It returns the loads with it, nil if
// nothing does, and what to set for it.
func (s *Evaluation) moreTorque(facts *Servo) (tried *load.Analysis, set []rig.Setting, err error) {
	r := s.Exact.Clone()
	a := r.Of(s.axle())
	a.Horn.Holes = nil // what other holes trade is of no matter here
	allTheWay := func(with vehicle.Adjustment) (*load.Analysis, error) {
		m, err := steer.Build(r, steer.Options{Axle: s.axle(), Adjustment: with})
		if err != nil {
			return nil, nil //nolint:nilerr // a hole with which the linkage does not go together is no cure
		}
		tried, err := load.OverLock(m, load.Tilt{}, loadSteps)
		if err != nil {
			return nil, err
		}
		then, out, was := reach(tried), outOf(tried), facts.Lock
		// Short of all the way, or at the price of more than a step of the lock, is no cure.
		if out[0]+out[1]-then[0]-then[1] < shown && was[0]+was[1]-then[0]-then[1] < stopStep {
			return tried, nil
		}
		return nil, nil
	}
	for _, hole := range s.otherHoles(false) {
		if tried, err = allTheWay(vehicle.Adjustment{Hole: hole}); err != nil || tried != nil {
			facts.Hole = hole
			return tried, s.holeSet(hole), err
		}
	}
	// A little over what is needed, so that rounding does not leave it short.
	torque := 1.01 * facts.Needs
	if !(torque > 0) || math.IsInf(torque, 0) {
		return nil, nil, nil
	}
	for i := range a.Servo.Ratings {
		has := &a.Servo.Ratings[i].Torque.Value
		*has *= torque / facts.Has
		set = append(set, rig.Setting{Key: fmt.Sprintf("%sservo.rating.%d.torque", a.Prefix, i+1), Value: strconv.FormatFloat(*has/load.NewtonMetre, 'f', 3, 64) + " N·m"})
	}
	if tried, err = allTheWay(vehicle.Adjustment{}); err != nil || tried == nil {
		return nil, nil, err
	}
	facts.Torque = torque
	return tried, set, nil
}

// holes is about what the horn's other holes trade.
func holes(s *Evaluation) ([]Finding, error) {
	if s.Load == nil {
		return nil, nil
	}
	facts := &Holes{HornLock: s.Load.HornLock, InUse: s.Load.HoleInUse}
	for _, h := range s.Load.Horn {
		if h.Reached && h.Seconds > 0 {
			facts.Holes = append(facts.Holes, h)
		}
	}
	if len(facts.Holes) < 2 {
		return nil, nil
	}
	return []Finding{{Key: "holes", Kind: Well, Facts: facts}}, nil
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
	return []Finding{{
		Key: "drop", Kind: Know, Facts: &Drop{Supply: l.Supply, Stalled: l.Stalled},
		Change: &Change{exactly(l.Gives), exactly(gives), []rig.Setting{{Key: "supply.resistance", Value: strconv.FormatFloat(half.Resistance, 'g', 3, 64)}}},
	}}, nil
}
