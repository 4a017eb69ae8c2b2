package advise

import (
	"math"

	"evenlock/steer"
	"evenlock/travel"
)

const (
	// travelSteps is in how many places each way of ride height the travel is looked at.
	travelSteps = 6
	// farthest is how many millimetres an end of a rod is looked for at a better place.
	farthest = 25
	// parallel and alike are how far from parallel, and unlike in length as a part, a drag link and
	// a panhard rod may be to count as parallel and alike (common practice).
	parallel, alike = degree, 0.05
)

// travels is about what the suspension's travel does to the steering of the rig as the file has it.
func travels(s *Evaluation) ([]Finding, error) {
	m, err := steer.Build(s.Rig, steer.Options{Axle: s.axle(), Suspended: true})
	if err != nil || !m.Suspended() {
		return nil, err
	}
	d, err := travel.Over(m, travel.Options{Steps: travelSteps})
	if err != nil {
		return nil, err
	}
	all, err := bumpSteer(d)
	if err != nil {
		return nil, err
	}
	return append(append(append(all, panhard(d)...), s.binds(d)...), stopsShort(d)...), nil
}

// bumpSteer is about both wheels going up and down.
func bumpSteer(d *travel.Analysis) ([]Finding, error) {
	c := d.Sweeps[travel.Heave]
	wheel := travel.Left
	if math.Abs(c.Most[travel.Right].Value) > math.Abs(c.Most[travel.Left].Value) {
		wheel = travel.Right
	}
	sample := &c.Samples[c.Most[wheel].Sample]
	facts := &BumpSteer{
		Most: steer.Result{Value: sample.Steer[wheel], Uncertain: sample.SteerUncertain[wheel]},
		Rate: c.BumpSteer[wheel], OnAxle: !travel.Steers(d.Model), Farthest: farthest,
	}
	f := Finding{Key: "travel.bump", Kind: Well, Facts: facts}
	most := facts.Most
	switch {
	case facts.OnAxle:
		// What is left is the axle's own yaw, which no rod of the steering changes.
		for _, r := range c.Samples {
			facts.Knuckle = max(facts.Knuckle, math.Abs(r.Knuckle[travel.Left]), math.Abs(r.Knuckle[travel.Right]))
		}
		return []Finding{f}, nil
	case math.Abs(most.Value) < worth:
		return []Finding{f}, nil
	case within(most):
		f.Kind = Unsure
		return []Finding{f}, nil
	}
	all, err := travel.Improve(d.Model, farthest)
	if err != nil {
		return nil, err
	}
	best := travel.Best(all)
	before, after := best.Before[travel.Heave].Worse(), best.After[travel.Heave].Worse()
	f.Weight = max(0, sure(most.Value, most.Uncertain)-after)
	if before-after < shown {
		f.Kind = Know
		return []Finding{f}, nil
	}
	facts.Better, facts.After = best, after
	if before-after <= most.Uncertain {
		f.Kind = Unsure
		return []Finding{f}, nil
	}
	f.Kind, f.Change = Do, &Change{Before: exactly(before), After: exactly(after), Set: best.Settings}
	return []Finding{f}, nil
}

// panhard is about the drag link and the rod that holds the axle sideways. What they cost is in the
// bump steer.
func panhard(d *travel.Analysis) []Finding {
	b := d.Beside
	if b == nil {
		return nil
	}
	facts := &Panhard{Beside: b, Alike: math.Abs(b.Drag.Length/b.Link.Length-1) <= alike}
	f := Finding{Key: "travel.panhard", Kind: Know, Facts: facts}
	switch {
	case !facts.Alike:
	case math.Abs(b.FrontAngle.Value) <= parallel:
		f.Kind = Well
	case within(b.FrontAngle):
		f.Kind = Unsure
	}
	return []Finding{f}
}

// binds is about a limit that is passed in the travel even straight, or that costs lock.
func (s *Evaluation) binds(d *travel.Analysis) []Finding {
	home := &d.Locks[0]
	if home.Past != nil {
		return nil
	}
	if worst := d.Passed(); worst != nil {
		bump, droop := d.Model.TravelRange()
		return []Finding{{
			Key: "travel.binds", Kind: Know, Weight: home.Inner[travel.Left] + home.Inner[travel.Right],
			Facts: &Binds{Limit: worst.Limit, Over: (worst.Straight.Part - 1) * worst.Most, Travel: worst.Straight.Travel, Bump: bump, Droop: droop},
		}}
	}
	at, side, lost := d.Lost()
	if lost < worth {
		return nil
	}
	facts := &TravelLock{
		Side: steer.Side(side), Corner: at.Corner, Stop: at.Stops[side],
		Lock: at.Inner[side], Ride: home.Inner[side], SetUp: s.Plan.Ends[steer.Left].Inner.Value,
	}
	if facts.Side == steer.Right {
		facts.SetUp = s.Plan.Ends[steer.Right].Inner.Value
	}
	return []Finding{{Key: "travel.lock", Kind: Know, Weight: lost, Facts: facts}}
}

// stopsShort is about travel that the file states and the rods do not give.
func stopsShort(d *travel.Analysis) []Finding {
	for _, c := range d.Sweeps {
		for _, stop := range c.Stops {
			if stop != nil {
				return []Finding{{Key: "travel.short", Kind: Know, Facts: &Short{c.Motion, stop}}}
			}
		}
	}
	return nil
}
