package setup

import (
	"math"
	"slices"

	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// Step names a part of a plan that is done, and then stands in the rig file, by itself.
type Step string

// The steps, in the order that they are done. The step of a rod is the key of its table, and comes
// before the endpoints.
const (
	// Prepare has trim at zero and rate at 100.
	Prepare Step = "prepare"
	// Reverse turns the steering channel over. Readings taken at the other change sides with it.
	Reverse    Step = "reverse"
	PlaceHorn  Step = "horn"
	SetSubtrim Step = "subtrim"
	// Shape sets expo or curve.
	Shape Step = "shape"
)

// SetEnd sets the endpoint for full stick to a side.
func SetEnd(side steer.Side) Step { return Step("settings.endpoint_" + side.String()) }

// Steps are those of the plan. What the transmitter would be set to is not among them where it is
// not calibrated.
func (p *Plan) Steps() []Step {
	all := []Step{PlaceHorn}
	if p.Calibrated {
		all = []Step{Prepare, Reverse, PlaceHorn, SetSubtrim}
	}
	for i := range p.Rods {
		all = append(all, Step(p.Rods[i].Key))
	}
	if p.Calibrated {
		all = append(all, SetEnd(steer.Left), SetEnd(steer.Right), Shape)
	}
	return all
}

// Rig returns the rig as it is once the plan is carried out: the horn where the plan puts it, the
// rods at their lengths, the transmitter's settings made. Measured uncertainties stay; the rods'
// new lengths, which are set until the wheels are straight, carry none.
func (p *Plan) Rig() *rig.Rig { return p.rigAfter(p.Steps()) }

// Changes are the settings that make the rig file say what is so once some of the steps are done,
// or all of them if none is named, for rig.EditAll. Remarks, order and uncertainties of the file
// stay.
func (p *Plan) Changes(steps ...Step) []rig.Setting {
	if len(steps) == 0 {
		steps = p.Steps()
	}
	return rig.Changes(p.Before.Rig, p.rigAfter(steps))
}

func (p *Plan) rigAfter(steps []Step) *rig.Rig {
	r := p.Before.Rig.Clone()
	a := r.Of(p.Before.Axle.Number())
	set, to := &a.Settings, &p.Settings
	for _, s := range steps {
		switch s {
		case Prepare:
			set.Trim, set.Rate = to.Trim, to.Rate
		case Reverse:
			set.Reverse = to.Reverse
			if set.Reverse != p.Calibration.ReadReversed {
				swapSides(a.Transmitter.Readings)
			}
		case PlaceHorn:
			p.turnHorn(r, a)
		case SetSubtrim:
			set.Subtrim = to.Subtrim
		case SetEnd(steer.Left):
			set.EndpointLeft = to.EndpointLeft
		case SetEnd(steer.Right):
			set.EndpointRight = to.EndpointRight
		case Shape:
			set.Expo, set.Curve = to.Expo, slices.Clone(to.Curve)
		default:
			p.setRod(r, string(s))
		}
	}
	return r
}

// turnHorn puts the horn where the plan has it. Neutral is the zero of its place, so that the
// subtrim's turn is not in it.
func (p *Plan) turnHorn(r *rig.Rig, a *rig.OfAxle) {
	if p.Horn.Teeth == 0 && p.Horn.Arm == 0 {
		return
	}
	m := p.After
	if err := r.PutHorn(m.Vehicle, m.Servo, m.Servo.Ball.At); err != nil {
		// The keys that the file has cannot say it; the place of the ball can.
		a.Horn = rig.Horn{
			Ball:  rig.PointAt(r3.Sub(m.Servo.Ball.At, m.Axle.Middle)),
			Holes: a.Horn.Holes, Arms: a.Horn.Arms, Stud: a.Horn.Stud,
		}
	}
}

// setRod makes a rod as long as the plan has it, to a hundredth of a millimetre, which no caliper
// betters. One that is so long already stays as the file has it.
func (p *Plan) setRod(r *rig.Rig, key string) {
	for i := range p.Rods {
		rod := &p.Rods[i]
		if rod.Key == key && math.Abs(rod.Length.Value-rod.Now.Value) >= 0.005 {
			r.Rod(key).Length = rig.Length{Quantity: rig.Quantity{Value: math.Round(100*rod.Length.Value) / 100, Given: true}}
		}
	}
}

// swapSides makes readings taken with the channel the one way round those of the other: what the
// servo did for a setting to the left it then does for the same to the right.
func swapSides(readings []rig.Reading) {
	for i := range readings {
		if s := readings[i].Setting; s != nil {
			*s = -*s
		}
	}
}
