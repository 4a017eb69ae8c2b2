package advise

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenlock/rig"
	"evenlock/steer"
	"evenlock/travel"

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

// adjusted builds a rig with its horn turned, set up otherwise as in the plan.
func (s *Evaluation) adjusted(r *rig.Rig, hornTurn, centre float64) (*steer.Model, error) {
	a := rig.Adjustment{HornTurn: hornTurn, Straighten: true, Centre: centre}
	if want := s.Rig.Want.Toe; want.Given {
		a.Toe = &want.Value
	}
	return steer.NewAdjusted(r, a)
}

// placed is the turn of the horn to the plan's place on the spline.
func (s *Evaluation) placed() float64 { return s.Plan.Horn.Turn.Value - s.Plan.Horn.LeftOver }

// squared builds a rig with its horn exactly square to the link, as spline and subtrim make it.
func (s *Evaluation) squared(r *rig.Rig) (*steer.Model, error) {
	m, err := s.adjusted(r, 0, 0)
	if err != nil {
		return nil, err
	}
	turn, _ := m.Geometry.SquareTurn()
	return s.adjusted(r, turn, 0)
}

// unlike returns by how much the inner wheel is turned further to the left than to the right at
// equal servo angles from the centre.
func (s *Evaluation) unlike(m *steer.Model, turn float64) (steer.Result, error) {
	left, err := m.At(steer.Road.Of(steer.Left), m.Centre()+s.ToLeft*turn)
	if err != nil {
		return left, err
	}
	right, err := m.At(steer.Road.Of(steer.Right), m.Centre()-s.ToLeft*turn)
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

// withHole returns the exact rig with its horn's ball in another hole, the same way from the shaft.
func (s *Evaluation) withHole(hole float64) *rig.Rig {
	return s.Exact.WithHole(s.Plan.Before.Geometry, hole)
}

// holeSet are the values that put the horn's ball into another hole; nil if the file has the drag
// link's length, which would have to go with it.
func (s *Evaluation) holeSet(hole float64) []rig.Setting {
	switch {
	case s.Rig.DragLink.Length.Given:
		return nil
	case s.Rig.Horn.Hole.Given:
		return []rig.Setting{{Key: "horn.hole", Value: millimetres(hole)}}
	}
	var ball []string
	for _, x := range s.withHole(hole).Horn.Ball {
		ball = append(ball, millimetres(x.Value))
	}
	return []rig.Setting{{Key: "horn.ball", Value: strings.Join(ball, ", ")}}
}

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
	g := s.Plan.Before.Geometry
	use := r3.Norm(r3.Sub(g.HornBall, g.HornFoot))
	var all []float64
	for _, h := range s.Rig.Horn.Holes {
		if math.Abs(h.Value-use) > sameHole && (h.Value > use) == longer {
			all = append(all, h.Value)
		}
	}
	slices.Sort(all)
	if !longer {
		slices.Reverse(all)
	}
	return all
}

// swung turns a place about a kingpin.
func swung(ball r3.Vec, g *rig.SideGeometry, by float64) r3.Vec {
	return r3.Add(g.KingpinPoint, r3.NewRotation(by, g.Kingpin).Rotate(r3.Sub(ball, g.KingpinPoint)))
}

// wayOf tells where an arm's end goes.
func wayOf(from, to r3.Vec) Way {
	d := r3.Sub(to, from)
	switch along := math.Abs(d.X) > math.Abs(d.Y); {
	case along && d.X > 0:
		return Forward
	case along:
		return Back
	case math.Abs(to.Y) < math.Abs(from.Y):
		return Inward
	default:
		return Outward
	}
}

// sideOf is the side of a steer angle.
func sideOf(v float64) steer.Side {
	if v < 0 {
		return steer.Right
	}
	return steer.Left
}

// onSide makes the key of a finding that there may be on each side.
func onSide(key string, side steer.Side) string {
	if side == steer.Right {
		return key + ".right"
	}
	return key + ".left"
}
