package report

import (
	"math"

	"evenlock/report/document"
	"evenlock/setup"
	"evenlock/steer"
)

// curve is a chart of how a rig steers over the stick: of the left laid over the right, or from
// full right to full left.
type curve struct {
	key, title, about string
	// folded gives the figure of a side, as a size, in a chart of left over right. Inner is the wheel
	// that is then on the inside.
	folded func(s *setup.StickSample, side, inner steer.Side) document.Figure
	lines  []curveLine
	marks  []document.Mark
	// detail is for who asks for everything.
	detail bool
}

// curveLine is a line of a chart from full right to full left.
type curveLine struct {
	key, head string
	figure    func(s *setup.StickSample) document.Figure
}

func valueAt(s *setup.StickSample, q steer.Quantity, sign float64) document.Figure {
	return document.FU(sign*s.Values[q], s.Uncertain[q], shownIn(q))
}

func quantityLine(q steer.Quantity, head string) curveLine {
	return curveLine{q.Info().Key, head, func(s *setup.StickSample) document.Figure { return valueAt(s, q, 1) }}
}

func rateLine(q steer.Quantity, head string) curveLine {
	return curveLine{"rate_" + head, head, func(s *setup.StickSample) document.Figure {
		return document.FU(s.Rates[q], s.RatesUncertain[q], document.Ratio)
	}}
}

var curves = []curve{
	{
		key: "inner", title: "Inner wheel's angle", about: "Right turns laid over left turns. The gap between the lines is the unevenness.",
		folded: func(s *setup.StickSample, side, inner steer.Side) document.Figure {
			return valueAt(s, steer.Road.Of(inner), side.Sign())
		},
	},
	{
		key: "outer", title: "Outer wheel's angle", detail: true,
		folded: func(s *setup.StickSample, side, inner steer.Side) document.Figure {
			return valueAt(s, steer.Road.Of(inner.Other()), side.Sign())
		},
	},
	{
		key: "curvature", title: "How tight it turns", about: "Path curvature: one over the radius at the rear axle's middle.",
		folded: func(s *setup.StickSample, side, _ steer.Side) document.Figure {
			return valueAt(s, steer.Curvature, side.Sign())
		},
	},
	{
		key: "response", title: "Steering response", about: "How much tighter it turns per full stick. Level is the same response all the way.",
		folded: func(s *setup.StickSample, _, _ steer.Side) document.Figure {
			return document.FU(s.Response, s.ResponseUncertain, document.Curvature)
		},
	},
	{
		key: "rate", title: "Wheel's turn to servo's turn", about: "Degrees of wheel for each degree of servo.",
		lines: []curveLine{rateLine(steer.Road.Of(steer.Left), "left wheel"), rateLine(steer.Road.Of(steer.Right), "right wheel")},
	},
	{
		key: "ackermann", title: "Outer wheel toed past Ackermann", about: "At 0 both wheels turn about one point. Below 0 the outer wheel is toed short of Ackermann.",
		lines: []curveLine{quantityLine(steer.Ackermann, "outer wheel past Ackermann")},
		marks: []document.Mark{{At: document.F(0, document.Angle), Words: "Ackermann"}},
	},
	{
		key: "angles", title: "Angles at the drag link",
		lines: []curveLine{quantityLine(steer.HornAngle, "horn to link"), quantityLine(steer.FarAngle, "link to arm")},
		marks: []document.Mark{{At: document.F(math.Pi/2, document.Angle), Words: "square"}},
	},
}

// stickSide is the words for a stick position.
var stickSide = document.Direction{Negative: "right", Zero: "centre", Positive: "left"}

// stickColumn is the key of the column that lies across.
const stickColumn = "stick"

// curveRows are as many rows of a curve as a text shows.
const curveRows = 5

// Curves says how a rig steers over the stick, in charts, and what limits the stick runs into.
// There is an odd number of samples.
func Curves(f *setup.AtFullStick, samples []setup.StickSample) *document.Document {
	d := about(f.Model, "curves", "Curves")
	m := f.Model
	for i := range curves {
		c := &curves[i]
		pairs := c.pairs(samples)
		s := document.Section{Key: c.key, Title: c.title, Detail: c.detail}
		if c.folded != nil {
			gap := c.gap(m, pairs)
			if c.key == "inner" {
				d.Verdict = append(d.Verdict, document.Line{Sentence: gap})
			} else {
				s.Blocks = append(s.Blocks, document.Paragraph(gap))
			}
		}
		s.Blocks = append(s.Blocks, c.table(m, pairs))
		d.Sections = append(d.Sections, s)
	}
	for side, word := range sideNames {
		if l := &f.Locks[side]; l.Governs != setup.FullStick {
			stick := math.Abs(f.Stick.For(l.Servo.Value))
			d.Verdict = append(d.Verdict, line("Going ", word, ", ", l.Governs, " comes at ", document.F(stick, document.Part).To(0), " of stick."))
		}
	}
	return d
}

// gap says how far left and right are apart at most.
func (c *curve) gap(m *steer.Model, pairs []setup.StickPair) document.Sentence {
	var most document.Figure
	at := 0.0
	for i := range pairs {
		p := &pairs[i]
		if !p.Left.Reached || !p.Right.Reached {
			continue
		}
		left := c.to(m, p, steer.Left)
		if g := math.Abs(left.Value - c.to(m, p, steer.Right).Value); i == 0 || g > most.Value {
			most, at = document.F(g, left.Unit), p.Stick
		}
	}
	if !most.Shows(document.Reader{}) {
		return document.Say("Left and right are alike.")
	}
	of := ""
	if c.key == "inner" {
		of = " at the inner wheel"
	}
	return document.Say("Left and right differ by up to ", most, of, ", at ", document.F(at, document.Part).To(0), " of stick.")
}

// to is the figure of a side in a chart of left over right; not available where the linkage does not
// reach it.
func (c *curve) to(m *steer.Model, p *setup.StickPair, side steer.Side) document.Figure {
	s := [2]*setup.StickSample{&p.Left, &p.Right}[side]
	return reached(s, c.folded(s, side, m.Inner(side)))
}

func reached(s *setup.StickSample, f document.Figure) document.Figure {
	if !s.Reached {
		f = document.F(math.NaN(), f.Unit)
	}
	return f
}

// table is a curve's figures, with its chart.
func (c *curve) table(m *steer.Model, pairs []setup.StickPair) document.Table {
	t := document.Table{Key: c.key, Columns: []document.Column{{Key: stickColumn, Head: "stick"}}, Thin: curveRows}
	t.Plot = &document.Plot{About: ofOther(m, c.about), Across: stickColumn, Marks: c.marks}
	series := c.series(m)
	for _, s := range series {
		t.Columns = append(t.Columns, document.Column{Key: s.key, Head: s.head})
		t.Plot.Lines = append(t.Plot.Lines, s.key)
	}
	for i := range pairs {
		cells := []document.Sentence{document.Say(c.across(&pairs[i]))}
		for _, one := range series {
			cells = append(cells, document.Say(one.at(&pairs[i])))
		}
		t.Rows = append(t.Rows, document.Row{Cells: cells})
	}
	return t
}

// pairs are the points of a curve: left beside right, or, where it is not folded, each in the place of
// the left.
func (c *curve) pairs(samples []setup.StickSample) []setup.StickPair {
	if c.folded != nil {
		return setup.Fold(samples)
	}
	all := make([]setup.StickPair, len(samples))
	for i := range samples {
		all[i] = setup.StickPair{Stick: samples[i].Stick, Left: samples[i]}
	}
	return all
}

// across is where a point of a curve is.
func (c *curve) across(p *setup.StickPair) document.Figure {
	f := document.F(p.Stick, document.Part).To(0)
	if c.folded == nil {
		f = f.Signed(stickSide)
	}
	return f
}

// curveSeries is a column of a curve's table. What is not folded is read off the pair's Left.
type curveSeries struct {
	key, head string
	at        func(p *setup.StickPair) document.Figure
}

// series are the columns after the stick.
func (c *curve) series(m *steer.Model) []curveSeries {
	var all []curveSeries
	for _, l := range c.lines {
		all = append(all, curveSeries{l.key, l.head, func(p *setup.StickPair) document.Figure { return reached(&p.Left, l.figure(&p.Left)) }})
	}
	if c.folded == nil {
		return all
	}
	for side, word := range sideNames {
		all = append(all, curveSeries{c.key + "." + word, "to the " + word, func(p *setup.StickPair) document.Figure { return c.to(m, p, steer.Side(side)) }})
	}
	return all
}

// Numbers are one line of a chart of Curves, or where its points are across, as the reader is shown
// them.
type Numbers struct {
	// Curve is the key of the section, Column that of the column.
	Curve, Column string
	Values        []float64
}

// CurveNumbers are what Curves draws as plain numbers, for charts that move along. What the linkage
// does not reach is NaN.
func CurveNumbers(m *steer.Model, samples []setup.StickSample, r document.Reader) []Numbers {
	var all []Numbers
	for i := range curves {
		c := &curves[i]
		pairs := c.pairs(samples)
		add := func(column string, at func(p *setup.StickPair) document.Figure) {
			one := Numbers{c.key, column, make([]float64, len(pairs))}
			for k := range pairs {
				one.Values[k] = shownNumber(at(&pairs[k]), r)
			}
			all = append(all, one)
		}
		add(stickColumn, c.across)
		for _, one := range c.series(m) {
			add(one.key, one.at)
		}
	}
	return all
}

// shownNumber is the number of a figure in the unit that the reader is shown.
func shownNumber(f document.Figure, r document.Reader) float64 {
	_, times, _ := r.Shown(f.Unit)
	return f.Value * times
}
