package advise

import (
	"errors"
	"fmt"
	"math"

	"evenlock/internal/say"
	"evenlock/steer"
	"evenlock/travel"
)

const (
	// travelSteps is in how many places each way of ride height the travel is looked at.
	travelSteps = 6
	// farthest is how many millimetres an end of a rod is looked for at a better place.
	farthest = 25
	// parallel and alike are how far from parallel, and unlike in length as a part, a drag link and a panhard rod may be to count as parallel and
	// alike (common practice).
	parallel, alike = degree, 0.05
)

// travels is about what the suspension's travel does to the steering of the rig as the file has it.
func travels(s *Evaluation) ([]Finding, error) {
	m, err := steer.NewSuspended(s.Rig)
	if errors.Is(err, steer.ErrNoSuspension) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	d, err := travel.Over(m, travel.Options{Steps: travelSteps})
	if err != nil {
		return nil, err
	}
	bump, err := bumpSteer(d)
	if err != nil {
		return nil, err
	}
	return append(append(append(bump, besidePanhard(d)...), binds(d)...), stopsShort(d)...), nil
}

// bumpSteer is about both wheels rising and dropping.
func bumpSteer(d *travel.Analysis) ([]Finding, error) {
	c := d.Sweeps[travel.Heave]
	wheel := travel.Left
	if math.Abs(c.Most[travel.Right].Value) > math.Abs(c.Most[travel.Left].Value) {
		wheel = travel.Right
	}
	sample := &c.Samples[c.Most[wheel].Sample]
	most := steer.Result{Value: sample.Steer[wheel], Uncertain: sample.SteerUncertain[wheel]}
	const words = "most steer with both wheels rising or dropping, the servo held"
	p := Finding{Key: "travel.bump", Kind: Well, Figures: []Figure{
		angleOf(words, most),
		{"bump steer at ride height for each mm", c.BumpSteer[wheel].Value / degree, c.BumpSteer[wheel].Uncertain / degree, "°/mm"},
	}}
	if !travel.Steers(d.Model) {
		// What is left is the axle's own yaw, which no rod of the steering changes.
		turned := 0.0
		for _, r := range c.Samples {
			turned = max(turned, math.Abs(r.Knuckle[travel.Left]), math.Abs(r.Knuckle[travel.Right]))
		}
		p.Sentence = fmt.Sprintf("The whole steering rides on the axle, so that travel turns no knuckle on it (%s); the axle itself yaws by up to %s.", deg(turned), degOf(most))
		return []Finding{p}, nil
	}
	p.Sentence = fmt.Sprintf("Both wheels rising and dropping steer a wheel by up to %s, the servo held", degOf(most))
	if math.Abs(most.Value) < worth {
		p.Sentence += ", which is little."
		return []Finding{p}, nil
	}
	if within(most) {
		p.Kind = Unsure
		p.Sentence += ", which is within its uncertainty: nothing is to be done by it."
		return []Finding{p}, nil
	}
	better, err := travel.Improve(d.Model, farthest)
	if err != nil {
		return nil, err
	}
	best := best(better)
	after := best.After[travel.Heave].Worse()
	gain := best.Before[travel.Heave].Worse() - after
	p.Weight = max(0, sure(most.Value, most.Uncertain)-after)
	switch {
	case gain < shown:
		p.Kind = Know
		p.Sentence += fmt.Sprintf("; no end of a rod within %d mm is better.", farthest)
	case gain <= most.Uncertain:
		p.Kind = Unsure
		p.Sentence += "; what another place of an end would gain is within the uncertainty."
	default:
		p.Kind = Do
		p.Sentence += fmt.Sprintf("; %s, with the rods as long as keeps the wheels straight, and it is %s.", best.Words(), fine(after))
		p.Change = &Change{upper(best.Words()), angle(words, best.Before[travel.Heave].Worse(), 0), angle(words, after, 0), nil}
	}
	return []Finding{p}, nil
}

// fine writes an angle to a hundredth of a degree.
func fine(v float64) string { return say.Number(v/degree, 2) + "°" }

// best returns the easiest of the best: a shim, unless it leaves more than what is worth work and a new hole leaves less than half of it.
func best(all []travel.Better) *travel.Better {
	var shim, hole *travel.Better
	for i := range all {
		b := &all[i]
		of := &shim
		if b.Way == travel.FrontView {
			of = &hole
		}
		if *of == nil || b.After[travel.Heave].Worse() < (*of).After[travel.Heave].Worse()-shown/10 {
			*of = b
		}
	}
	if left := shim.After[travel.Heave].Worse(); left > worth && hole.After[travel.Heave].Worse() < left/2 {
		return hole
	}
	return shim
}

// besidePanhard is about the drag link and the rod that holds the axle sideways. What they cost is in the bump steer.
func besidePanhard(d *travel.Analysis) []Finding {
	b := d.Beside
	if b == nil {
		return nil
	}
	p := Finding{Key: "travel.panhard", Kind: Know, Figures: []Figure{
		angleOf("drag link against "+b.Link+", seen from the front", b.FrontAngle),
		{"length of the drag link", b.DragLength, 0, "mm"},
		{"length of the " + b.Link, b.LinkLength, 0, "mm"},
	}}
	lengths := fmt.Sprintf("%s and %s mm long", say.Number(b.DragLength, 1), say.Number(b.LinkLength, 1))
	p.Sentence = fmt.Sprintf("Seen from the front, the drag link and the %s are %s off parallel; they are %s", b.Link, degOf(b.FrontAngle), lengths)
	apart := math.Abs(b.DragLength/b.LinkLength-1) > alike
	switch off := math.Abs(b.FrontAngle.Value); {
	case off <= parallel && !apart:
		p.Kind = Well
		p.Sentence += ", which is as good as parallel and alike."
	case within(b.FrontAngle) && !apart:
		p.Kind = Unsure
		p.Sentence += "; whether they are parallel is within the uncertainty."
	default:
		p.Sentence += ". Parallel and alike in length they steer least."
	}
	return []Finding{p}
}

// binds is about a limit that is passed in the travel even straight, or that costs lock.
func binds(d *travel.Analysis) []Finding {
	home := &d.Locks[0]
	if home.Past != nil {
		return nil
	}
	var worst *travel.LimitUse
	for i := range d.LimitUses {
		if u := &d.LimitUses[i]; u.Straight.Part > 1 && (worst == nil || u.Straight.Part > worst.Straight.Part) {
			worst = u
		}
	}
	if worst != nil {
		over := (worst.Straight.Part - 1) * worst.Most
		return []Finding{{
			Key: "travel.binds", Kind: Know, Weight: home.Inner[travel.Left] + home.Inner[travel.Right],
			Sentence: fmt.Sprintf("%s is %s beyond its limit of %s even straight, with the left wheel %s and the right wheel %s.",
				upper(worst.Words), deg(over), deg(worst.Most), heightWords(worst.Straight.Travel.Left), heightWords(worst.Straight.Travel.Right)),
			Figures: []Figure{angle("limit", worst.Most, 0), angle("beyond it", over, 0)},
		}}
	}
	lost, side, at := 0.0, travel.Left, home
	for i := range d.Locks {
		l := &d.Locks[i]
		for w := range 2 {
			if less := home.Inner[w] - l.Inner[w]; l.Past == nil && less > lost+shown {
				lost, side, at = less, w, l
			}
		}
	}
	if lost < worth {
		return nil
	}
	name := [...]string{travel.Left: "left", travel.Right: "right"}[side]
	return []Finding{{
		Key: "travel.lock", Kind: Know, Weight: lost,
		Sentence: fmt.Sprintf("With the left wheel %s and the right wheel %s, %s ends the lock to the %s at %s of the inner wheel, and at ride height it goes to %s.",
			heightWords(at.Travel.Left), heightWords(at.Travel.Right), at.Stops[side].Words, name, deg(at.Inner[side]), deg(home.Inner[side])),
		Figures: []Figure{angle("lock there", at.Inner[side], 0), angle("lock at ride height", home.Inner[side], 0)},
	}}
}

// heightWords say how high a wheel is.
func heightWords(mm float64) string {
	s := say.Number(math.Abs(mm), 0) + " mm"
	switch {
	case math.Abs(mm) < 0.5:
		return "at ride height"
	case mm < 0:
		return s + " down"
	}
	return s + " up"
}

// stopsShort is about travel that the file states and the rods do not give.
func stopsShort(d *travel.Analysis) []Finding {
	for _, c := range d.Sweeps {
		for side, stop := range c.Stops {
			if stop == nil {
				continue
			}
			sample := &c.Samples[side*(len(c.Samples)-1)]
			return []Finding{{
				Key: "travel.short", Kind: Know, Sentence: upper(stop.Error()) + ", short of what the file says.",
				Figures: []Figure{{"left wheel, above ride height", sample.Travel.Left, 0, "mm"}, {"right wheel, above ride height", sample.Travel.Right, 0, "mm"}},
			}}
		}
	}
	return nil
}
