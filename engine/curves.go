package engine

import (
	"errors"
	"math"

	"evenlock/linkage"
	"evenlock/steer"
)

// CurvesDocument holds curves against the stick with their uncertainty.
type CurvesDocument struct {
	Stick  []Number     `json:"stick"`
	Servo  []Number     `json:"servo"`
	Series []Curve      `json:"series"`
	Folded FoldedCurves `json:"folded"`
	Limits []CurveLimit `json:"limits"`
}

// Curve is one quantity against the stick; Band is the half-width of its uncertainty.
type Curve struct {
	Key    string   `json:"key"`
	Words  string   `json:"words"`
	Unit   string   `json:"unit"`
	Values []Number `json:"values"`
	Band   []Number `json:"band"`
}

// FoldedCurves lay the left over the right.
type FoldedCurves struct {
	// Stick is the way from centre, 0 to 1.
	Stick  []Number      `json:"stick"`
	Series []FoldedCurve `json:"series"`
}

// FoldedCurve is one quantity for equal stick to both sides, as sizes.
type FoldedCurve struct {
	Key       string   `json:"key"`
	Words     string   `json:"words"`
	Unit      string   `json:"unit"`
	Left      []Number `json:"left"`
	LeftBand  []Number `json:"leftBand"`
	Right     []Number `json:"right"`
	RightBand []Number `json:"rightBand"`
	// Gap says in words how far apart they are at most.
	Gap string `json:"gap"`
}

// CurveLimit is a limit that the stick drives into.
type CurveLimit struct {
	Side  string `json:"side"`
	Stick Number `json:"stick"`
	Words string `json:"words"`
	Key   string `json:"key"`
}

// Bounds on the number of stick positions.
const (
	fewestPoints = 3
	mostPoints   = 401
)

// Curves returns curves at n stick positions from full right to full left. n is brought to an odd number
// from 3 to 401. The band of a value holds both the rig's measurements and the servo's readings, that of a
// slope the measurements alone.
func (s *Session) Curves(n int) (CurvesDocument, error) {
	m, err := s.model()
	if err != nil {
		return CurvesDocument{}, err
	}
	n = max(fewestPoints, min(mostPoints, n)) | 1
	d := CurvesDocument{Limits: []CurveLimit{}}
	values, bands := make([][]float64, len(series)), make([][]float64, len(series))
	for k := range series {
		values[k], bands[k] = make([]float64, n), make([]float64, n)
	}
	for i := range n {
		x := 2*float64(i)/float64(n-1) - 1
		servo, slope := s.moved.stick.At(x)
		values[0][i], values[1][i] = x, servo/degree
		spread := s.moved.stick.Uncertainty(x)
		bands[1][i] = spread / degree
		samples, err := m.Sweep(servo, servo, 1)
		var limit *linkage.LimitError
		if errors.As(err, &limit) {
			for k := 2; k < len(series); k++ {
				values[k][i], bands[k][i] = math.NaN(), math.NaN()
			}
			continue
		}
		if err != nil {
			return d, ProblemsOf(err)
		}
		r := &samples[0]
		value := func(k int, q steer.Quantity, scale float64) {
			values[k][i] = r.Values[q] * scale
			bands[k][i] = steer.RootOfSquares(r.Uncertain[q], r.Rates[q]*spread) * scale
		}
		rate := func(k int, q steer.Quantity, scale float64) {
			values[k][i] = r.Rates[q] * scale
			bands[k][i] = r.RatesUncertain[q] * math.Abs(scale)
		}
		value(2, steer.RoadLeft, 1/degree)
		value(3, steer.RoadRight, 1/degree)
		rate(4, steer.RoadLeft, 1)
		rate(5, steer.RoadRight, 1)
		value(6, steer.Curvature, 1000)
		rate(7, steer.Curvature, slope*1000)
		value(8, steer.Ackermann, 1/degree)
		value(9, steer.HornAngle, 1/degree)
		value(10, steer.FarAngle, 1/degree)
	}
	d.Stick, d.Servo = numbersOf(values[0]), numbersOf(values[1])
	for k := 2; k < len(series); k++ {
		d.Series = append(d.Series, Curve{series[k].key, series[k].words, series[k].unit, numbersOf(values[k]), numbersOf(bands[k])})
	}
	d.Folded = fold(values, bands)
	for _, way := range []struct {
		side  string
		stick float64
	}{{"left", 1}, {"right", -1}} {
		full, _ := s.moved.stick.At(way.stick)
		if _, stop := s.moved.within(full); stop != nil {
			d.Limits = append(d.Limits, CurveLimit{way.side, Number(s.moved.stick.For(stop.Servo.Value)), stop.Words, stop.Key})
		}
	}
	return d, nil
}

// fold lays left over right.
func fold(values, bands [][]float64) FoldedCurves {
	n := len(values[0])
	mid := (n - 1) / 2
	// Left stick may steer right.
	way := 1
	if values[6][n-1] < values[6][0] {
		way = -1
	}
	var f FoldedCurves
	for i := range mid + 1 {
		f.Stick = append(f.Stick, Number(values[0][mid+i]))
	}
	for _, one := range []struct {
		key, words, unit string
		// left and right are the series for each side, flip whether the right's sign turns.
		left, right int
		flip        float64
	}{
		{"inner", "inner wheel's road steer angle", "°", 2, 3, -1},
		{"outer", "outer wheel's road steer angle", "°", 3, 2, -1},
		{"curvature", "path curvature", "1/m", 6, 6, -1},
		{"curvature_slope", "change of path curvature per full stick", "1/m", 7, 7, 1},
	} {
		c := FoldedCurve{Key: one.key, Words: one.words, Unit: one.unit}
		gap, at := 0.0, 0.0
		for i := range mid + 1 {
			l, r := mid+way*i, mid-way*i
			a, b := values[one.left][l], one.flip*values[one.right][r]
			c.Left, c.Right = append(c.Left, Number(a)), append(c.Right, Number(b))
			c.LeftBand, c.RightBand = append(c.LeftBand, Number(bands[one.left][l])), append(c.RightBand, Number(bands[one.right][r]))
			if g := math.Abs(a - b); g > gap {
				gap, at = g, math.Abs(values[0][l])
			}
		}
		c.Gap = figure(gap, 0, one.unit, false).Text + " at most, at " + rounded(100*at, 0) + " % stick"
		f.Series = append(f.Series, c)
	}
	return f
}
