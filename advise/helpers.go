package advise

import (
	"bytes"
	"math"
	"slices"
	"strconv"

	"evenlock/rig"
	"evenlock/steer"
	"evenlock/travel"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// worth is the least figure at a wheel that work is proposed for: what a protractor or a phone
// shows (common practice).
const worth = travel.Worth

// shown is half the last digit of an angle as it is written, less than which shows as nothing.
const shown = travel.Shown

// exactly is a number that nothing states an uncertainty of.
func exactly(v float64) steer.Result { return steer.Result{Value: v} }

// sure is the part of a size that is beyond its uncertainty.
func sure(v, uncertain float64) float64 { return max(0, math.Abs(v)-uncertain) }

// within reports a figure that its uncertainty covers.
func within(r steer.Result) bool { return !r.Clear() }

// from is the measurement that matters most for a result, nil if none does.
func from(r steer.Result) *rig.Measurement {
	shares := r.Shares()
	if len(shares) == 0 || shares[0].Effect == 0 {
		return nil
	}
	return &shares[0].Measure
}

// unsure is the finding on a figure within its uncertainty.
func unsure(key string, r steer.Result, facts Facts) []Finding {
	return []Finding{{Key: key, Kind: Unsure, Facts: facts, From: from(r)}}
}

// squared builds the exact rig with balls moved and its horn exactly square to the link, as spline
// and subtrim make it.
func (s *Evaluation) squared(moved ...vehicle.Shift) (*steer.Model, error) {
	m, err := s.Plan.Build(s.Exact, 0, 0, moved...)
	if err != nil {
		return nil, err
	}
	turn, _ := m.Vehicle.SquareTurn(m.Servo)
	return s.Plan.Build(s.Exact, turn, 0, moved...)
}

// unlike returns by how much the inner wheel is turned further to the left than to the right at
// equal servo angles from the centre.
func (s *Evaluation) unlike(m *steer.Model, turn float64) (steer.Result, error) {
	left, err := m.At(steer.Road.Of(m.Inner(steer.Left)), m.Centre()+s.ToLeft*turn)
	if err != nil {
		return left, err
	}
	right, err := m.At(steer.Road.Of(m.Inner(steer.Right)), m.Centre()-s.ToLeft*turn)
	return left.Plus(right), err
}

// compared compares two models; ok is false if they hardly move.
func (s *Evaluation) compared(a, b *steer.Model) (p Comparison, ok bool) {
	for p.Servo = s.Turn; p.Servo > degree; p.Servo *= 0.9 {
		var err error
		if p.Before, err = s.unlike(a, p.Servo); err != nil {
			continue
		}
		if p.After, err = s.unlike(b, p.Servo); err == nil {
			p.Gain = math.Abs(p.Before.Value) - math.Abs(p.After.Value)
			if len(a.Measures()) == len(b.Measures()) {
				p.Spread = p.Before.Size().Minus(p.After.Size()).Uncertain
			}
			return p, true
		}
	}
	return p, false
}

// finding is what comes of a comparison: to do, unless it gains less than least or its gain is
// within its half-width.
func (p *Comparison) finding(key string, facts Facts, least float64) Finding {
	f := Finding{Key: key, Kind: Do, Weight: sure(p.Gain, p.Spread), Facts: facts}
	switch {
	case p.Gain < least:
		f.Kind = Well
	case p.Gain <= p.Spread:
		f.Kind = Unsure
	default:
		f.Change = &Change{Before: p.Before, After: p.After}
	}
	return f
}

// edited returns the exact rig with a key of its file set to a value.
func (s *Evaluation) edited(key, value string) (*rig.Rig, error) {
	var text bytes.Buffer
	if err := rig.Write(&text, s.Exact); err != nil {
		return nil, err
	}
	changed, err := rig.Edit(text.Bytes(), key, value)
	if err != nil {
		return nil, err
	}
	r, err := rig.Read(bytes.NewReader(changed), s.Rig.Name)
	if err != nil {
		return nil, err
	}
	return r.Exact(), nil
}

// withHole returns a rig like the one looked at with its horn's ball in another hole, the same way
// from the shaft, and the link as long as that makes it.
func (s *Evaluation) withHole(r *rig.Rig, hole float64) (*rig.Rig, error) {
	m, err := steer.Build(s.Exact, steer.Options{Axle: s.axle(), Adjustment: vehicle.Adjustment{Hole: hole}})
	if err != nil {
		return nil, err
	}
	r = r.Clone()
	r.Rod(m.Servo.Link.Key).Length = rig.Length{}
	return r, r.PutHorn(m.Vehicle, m.Servo, m.Servo.Ball.At)
}

// holeSet are the values that put the horn's ball into another hole; nil if the file has the link's
// length, which would have to go with it.
func (s *Evaluation) holeSet(hole float64) []rig.Setting {
	r, err := s.withHole(s.Rig, hole)
	if err != nil || s.Plan.Before.Servo.Link.Measured {
		return nil
	}
	return rig.Changes(s.Rig, r)
}

// axle is the number of the axle that is looked at.
func (s *Evaluation) axle() int { return s.Plan.Before.Axle.Number() }

// millimetres writes a length for the rig file, which may be in inches.
func millimetres(v float64) string {
	return strconv.FormatFloat(math.Round(100*v)/100, 'f', -1, 64) + " mm"
}

// sameHole is how near in mm a stated hole is the one in use, which may be known by a measured
// ball.
const sameHole = 0.25

// otherHoles are those of the horn that are longer or shorter than the one in use, the nearest
// first.
func (s *Evaluation) otherHoles(longer bool) []float64 {
	servo := s.Plan.Before.Servo
	use := servo.Hole()
	var all []float64
	for _, h := range servo.Holes {
		if math.Abs(h-use) > sameHole && (h > use) == longer {
			all = append(all, h)
		}
	}
	slices.Sort(all)
	if !longer {
		slices.Reverse(all)
	}
	return all
}

// swung turns an arm of a knuckle about its kingpin, and tells where its end goes.
func swung(ball *vehicle.Ball, by float64) (moved vehicle.Shift, way Way) {
	to := vehicle.Turned(ball.At, ball.On.Point, ball.On.Axis, by)
	moved = vehicle.Shift{Ball: ball.Name, By: r3.Sub(to, ball.At)}
	switch d := moved.By; {
	case math.Abs(d.X) <= math.Abs(d.Y) && math.Abs(to.Y) < math.Abs(ball.At.Y):
		way = Inward
	case math.Abs(d.X) <= math.Abs(d.Y):
		way = Outward
	case d.X > 0:
		way = Forward
	default:
		way = Back
	}
	return moved, way
}

// sideOf is the side of a steer angle.
func sideOf(v float64) steer.Side {
	if v < 0 {
		return steer.Right
	}
	return steer.Left
}
