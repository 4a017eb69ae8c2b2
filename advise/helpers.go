package advise

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenlock/internal/say"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// worth is the least figure at a wheel that work is proposed for: what a protractor or a phone shows (common practice).
const worth = degree / 2

// shown is half the last digit of an angle as it is written, less than which shows as nothing.
const shown = degree / 20

// angle is a figure of an angle.
func angle(words string, value, uncertain float64) Figure {
	return Figure{words, value / degree, uncertain / degree, "°"}
}

func angleOf(words string, r steer.Result) Figure { return angle(words, r.Value, r.Uncertain) }

// whole writes the size of an angle in whole degrees.
func whole(v float64) string { return say.Number(math.Abs(v)/degree, 0) + "°" }

// deg writes the size of an angle.
func deg(v float64) string { return say.Degrees(math.Abs(v), 0) }

// degOf writes the size of an angle with its uncertainty.
func degOf(r steer.Result) string { return say.Degrees(math.Abs(r.Value), r.Uncertain) }

// sure is the part of a size that is beyond its uncertainty.
func sure(v, uncertain float64) float64 { return max(0, math.Abs(v)-uncertain) }

// within reports a figure that its uncertainty covers.
func within(r steer.Result) bool { return math.Abs(r.Value) <= r.Uncertain }

// again names the measurement that matters most for a result.
func again(r steer.Result) string {
	shares := r.Shares()
	if len(shares) == 0 || shares[0].Effect == 0 {
		return ""
	}
	return shares[0].Measure.Words()
}

// unsure is the finding on a figure within its uncertainty.
func unsure(key, sentence string, r steer.Result, words string) []Finding {
	return []Finding{{
		Key: key, Kind: Unsure, Figures: []Figure{angleOf(words, r)},
		Sentence: sentence + ", which is within its uncertainty: nothing is to be done by it. The uncertainty comes mostly from the " + again(r) + ".",
	}}
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

// unlike returns by how much the inner wheel is turned further to the left than to the right at equal servo angles from
// the centre.
func (s *Evaluation) unlike(m *steer.Model, turn float64) (steer.Result, error) {
	left, err := m.At(steer.RoadLeft, m.Centre()+s.ToLeft*turn)
	if err != nil {
		return left, err
	}
	right, err := m.At(steer.RoadRight, m.Centre()-s.ToLeft*turn)
	return left.Plus(right), err
}

// pair is how unlike left and right are with one model and with another, at the greatest servo angle each way up to Turn that
// both reach.
type pair struct {
	turn          float64
	before, after steer.Result
	// gain is how much less unlike they are after, with its uncertainty.
	gain, spread float64
}

// compared compares two models; ok is false if they hardly move.
func (s *Evaluation) compared(a, b *steer.Model) (p pair, ok bool) {
	for p.turn = s.Turn; p.turn > degree; p.turn *= 0.9 {
		var err error
		if p.before, err = s.unlike(a, p.turn); err != nil {
			continue
		}
		if p.after, err = s.unlike(b, p.turn); err == nil {
			p.gain = math.Abs(p.before.Value) - math.Abs(p.after.Value)
			if len(a.Measures()) == len(b.Measures()) {
				p.spread = p.before.Size().Minus(p.after.Size()).Uncertain
			}
			return p, true
		}
	}
	return p, false
}

// where says at what servo angle left and right are compared.
func (p *pair) where() string { return "at " + deg(p.turn) + " of servo either way" }

func (p *pair) words() string { return "inner wheel left less right " + p.where() }

// change is the change from the one to the other.
func (p *pair) change(words string) *Change {
	return &Change{words, angleOf(p.words(), p.before), angleOf(p.words(), p.after), nil}
}

// doubt takes the proposal out of a finding whose gain is within its uncertainty.
func (p *pair) doubt(finding *Finding) {
	if finding.Kind == Do && p.gain <= p.spread {
		finding.Kind, finding.Change = Unsure, nil
		finding.Sentence += " That gain is within its uncertainty of " + deg(p.spread) + ", so leave it."
	}
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

// holeSet are the values that put the horn's ball into another hole; nil if the file has the drag link's length, which would
// have to go with it.
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

// sameHole is how near in mm a stated hole is the one in use, which may be known by a measured ball.
const sameHole = 0.25

// otherHoles are those of the horn that are longer or shorter than the one in use, the nearest first.
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

// swing says which way an arm's end goes.
func swing(from, to r3.Vec) string {
	d := r3.Sub(to, from)
	switch along := math.Abs(d.X) > math.Abs(d.Y); {
	case along && d.X > 0:
		return "forward"
	case along:
		return "back"
	case math.Abs(to.Y) < math.Abs(from.Y):
		return "inward"
	default:
		return "outward"
	}
}

// innerAt returns the inner wheel's angle to the side of an end, at a servo angle of the rig as set up.
func (s *Evaluation) innerAt(e *setup.End, servo steer.Result) (steer.Result, error) {
	if e.Side == steer.Right {
		return s.Plan.After.AtSolved(steer.RoadRight, servo, -1)
	}
	return s.Plan.After.AtSolved(steer.RoadLeft, servo, 1)
}

// sideWord names the side of an end.
func sideWord(e *setup.End) string {
	if e.Side == steer.Right {
		return "right"
	}
	return "left"
}

// leftOrRight names the side of a steer angle.
func leftOrRight(v float64) string {
	if v < 0 {
		return "right"
	}
	return "left"
}
