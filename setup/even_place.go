package setup

import (
	"math"

	"evenlock/internal/root"
	"evenlock/steer"

	"gonum.org/v1/gonum/interp"
)

// EvenPlace is a place of the horn that steers more evenly than the one nearest square.
type EvenPlace struct {
	// Places is how many places of the spline further it is, counter-clockwise positive, and Turn
	// the angle.
	Places int
	Turn   float64
	// Path is what it leaves between left and right at equal stick, before expo or curve, as a part
	// of the path curvature at full lock.
	Path float64
}

// lookForEvenPlace looks at the places of the horn around the square one, and notes the one that
// steers most evenly if that is much better. Square at the horn alone is not always the most even:
// the far arm has its say.
func (p *Plan) lookForEvenPlace(toLeft float64) {
	if !p.Horn.Known {
		return
	}
	bare := p.Before.Rig.Exact()
	const places = 3
	best, bestAt := p.EvenAfter.Path, 0
	for k := -places; k <= places; k++ {
		if k == 0 {
			continue
		}
		m, err := p.Build(bare, p.Placed()+float64(k)*p.Horn.Step, 0)
		if err != nil {
			continue // a place at which the linkage does not go together
		}
		if uneven, ok := unevenness(m, toLeft, p.Ends[steer.Left].Curvature.Value); ok && uneven < best {
			best, bestAt = uneven, k
		}
	}
	if bestAt == 0 || best > 0.7*p.EvenAfter.Path || p.EvenAfter.Path < 0.02 {
		return
	}
	p.EvenPlace = &EvenPlace{bestAt, float64(bestAt) * p.Horn.Step, best}
	p.note(Note{Kind: EvenElsewhere})
}

// Placed is the turn of the horn to its place on the spline.
func (p *Plan) Placed() float64 { return p.Horn.Turn.Value - p.Horn.LeftOver }

// unevenness is the greatest difference of path curvature, left against right, over equal parts of
// the servo's way to a full-lock curvature each way, as a part of that; false if the linkage does
// not get there.
func unevenness(m *steer.Model, toLeft, full float64) (float64, bool) {
	left, okLeft := lookTo(m, toLeft, full)
	right, okRight := lookTo(m, -toLeft, -full)
	worst := 0.0
	for i := range left {
		worst = max(worst, math.Abs(left[i]+right[i]))
	}
	return worst / math.Abs(full), okLeft && okRight
}

// lookTo returns the curvatures at tenths of the servo's way from neutral to a curvature, by a
// cubic spline through poses 2° apart; false if the linkage does not get there.
func lookTo(m *steer.Model, direction, want float64) (at [9]float64, ok bool) {
	const step = 2 * degree
	s := m.NewState()
	var way, curvature []float64
	for i := range 45 {
		x := float64(i) * step
		if s.Turn(direction*x) != nil {
			return at, false
		}
		way, curvature = append(way, x), append(curvature, s.Curvature())
		if i < 3 || curvature[i]/want < 1 {
			continue
		}
		var spline interp.NotAKnotCubic
		if spline.Fit(way, curvature) != nil {
			return at, false
		}
		end := root.Find(func(x float64) float64 { return spline.Predict(x) - want }, x-step, x, 1e-9)
		for k := range at {
			at[k] = spline.Predict(end * float64(k+1) / 10)
		}
		return at, true
	}
	return at, false
}
