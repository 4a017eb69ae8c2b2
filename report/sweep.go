package report

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"

	"evenlock/report/document"
	"evenlock/steer"
	"evenlock/vehicle"
)

const degree = math.Pi / 180

// sweepColumn is a column of a sweep: what it shows at a sample.
type sweepColumn struct {
	key, head, means string
	figure           func(m *steer.Model, s *steer.Sample) document.Figure
}

// quantity is a column of a quantity of steering, rate one of its rate.
func quantity(q steer.Quantity, head, means string, dress func(document.Figure) document.Figure) sweepColumn {
	unit := shownIn(q)
	return sweepColumn{q.Info().Key, head, means, func(_ *steer.Model, s *steer.Sample) document.Figure {
		f := document.FU(s.Values[q], s.Uncertain[q], unit).Brief()
		if dress != nil {
			f = dress(f)
		}
		return f
	}}
}

func rate(q steer.Quantity, head string) sweepColumn {
	unit := map[document.Unit]document.Unit{document.Angle: document.Ratio, document.Length: document.LengthPerAngle, document.Curvature: document.CurvaturePerAngle}[shownIn(q)]
	return sweepColumn{q.Info().Key + " rate", head, "", func(_ *steer.Model, s *steer.Sample) document.Figure {
		return document.FU(s.Rates[q], s.RatesUncertain[q], unit).Brief()
	}}
}

// shownIn is the unit that a quantity is shown in.
func shownIn(q steer.Quantity) document.Unit {
	return map[steer.Unit]document.Unit{
		steer.Radian: document.Angle, steer.Millimetre: document.Length, steer.PerMillimetre: document.Curvature, steer.One: document.One,
	}[q.Info().Unit]
}

func sided(f document.Figure) document.Figure { return f.Signed(document.ToSide) }

func topOut(f document.Figure) document.Figure {
	return f.Signed(document.Direction{Negative: "in", Positive: "out"})
}

// asGoodAsStraight is the diameter, in mm, of a circle so wide that it is not written.
const asGoodAsStraight = 100e3

// whereItTurns leaves a column empty where the circle is so wide.
func whereItTurns(c sweepColumn) sweepColumn {
	figure := c.figure
	c.figure = func(m *steer.Model, s *steer.Sample) document.Figure {
		f := figure(m, s)
		if !circles(s) {
			f.Value, f.Uncertain = math.Inf(1), math.Inf(1)
		}
		return f
	}
	return c
}

func circles(s *steer.Sample) bool { return 2*s.Values[steer.OuterRadius] < asGoodAsStraight }

// turningCircle is the diameter of the circle that the outermost tyre's outer edge sweeps.
func turningCircle(_ *steer.Model, s *steer.Sample) document.Figure {
	return document.FU(2*s.Values[steer.OuterRadius], 2*s.Uncertain[steer.OuterRadius], document.Span).Brief()
}

// pathRadius is the radius of the path of the middle of the other axle.
func pathRadius(_ *steer.Model, s *steer.Sample) document.Figure {
	k := math.Abs(s.Values[steer.Curvature])
	return document.FU(1/k, s.Uncertain[steer.Curvature]/(k*k), document.Span).Brief()
}

func ackermannPercent(m *steer.Model, s *steer.Sample) document.Figure {
	percent, ok := m.AckermannPercent(&s.Values)
	if !ok {
		percent = math.NaN()
	}
	return document.F(percent, document.Percent)
}

var servoColumn = sweepColumn{"servo", "servo", "cw is clockwise and ccw counter-clockwise, as you look at the horn", func(_ *steer.Model, s *steer.Sample) document.Figure {
	return document.F(s.Servo, document.Angle).Signed(document.Direction{Negative: "cw", Positive: "ccw"})
}}

// wheelColumns are the columns of a quantity of each wheel, the left one first. Means is said below the
// last.
func wheelColumns(q steer.WheelQuantity, of, means string, dress func(document.Figure) document.Figure) []sweepColumn {
	return []sweepColumn{quantity(q.Of(steer.Left), "left "+of, "", dress), quantity(q.Of(steer.Right), "right "+of, means, dress)}
}

// wheelRates are the columns of its rates.
func wheelRates(q steer.WheelQuantity, of string) []sweepColumn {
	return []sweepColumn{rate(q.Of(steer.Left), "left "+of), rate(q.Of(steer.Right), "right "+of)}
}

// sideRates are the columns of the rates of one side.
func sideRates(side steer.Side) []sweepColumn {
	of := side.String()
	return []sweepColumn{rate(steer.Turn.Of(side), of+" knuckle"), rate(steer.Camber.Of(side), of+" camber"), rate(steer.Joint.Of(side), of+" axle joint")}
}

// sweepTables are the tables of a sweep; the first is for everyone.
var sweepTables = []struct {
	key, title string
	columns    []sweepColumn
}{
	{"steering", "From lock to lock", append(wheelColumns(steer.Road, "wheel", "", sided),
		quantity(steer.HornAngle, "horn to link", "the angle between them, 90° is square", nil),
		whereItTurns(sweepColumn{"turning_circle", "turning circle", "the diameter that the outermost tyre's outer edge sweeps", turningCircle}),
		quantity(steer.Ackermann, "past Ackermann", "by how much the outer wheel is toed past Ackermann; below zero it is short of it", nil))},
	{"links", "Knuckles and links", append(wheelColumns(steer.Turn, "knuckle", "its turn about its kingpin, not that of the wheel seen from above", sided),
		quantity(steer.FarAngle, "link to arm", "the angle at the drag link's far ball, 90° is square", nil),
		quantity(steer.LinkTravel, "link travel", "how far the drag link has moved along its line to its far ball; back is below zero", nil))},
	{"path", "Path and Ackermann", []sweepColumn{
		whereItTurns(sweepColumn{"rear_radius", "radius at the rear axle's middle", "", pathRadius}),
		quantity(steer.Curvature, "path curvature", "one over that radius", sided),
		{"ackermann_percent", "Ackermann", "inner angle less outer, over the same with the outer angle that Ackermann asks for; 0 % is parallel", ackermannPercent},
		whereItTurns(quantity(steer.OuterRadius, "turning circle's radius", "", nil)),
	}},
	{"wheels", "Each wheel", append(wheelColumns(steer.WheelCurvature, "wheel", "the path curvature that one wheel alone asks for", sided),
		wheelColumns(steer.Camber, "camber", "the wheel's top leans out or in", topOut)...)},
	{"joints", "Axle joints and over-centre", append(wheelColumns(steer.Joint, "axle joint", "the angle that the joint in the drive shaft works at", nil),
		quantity(steer.Leverage, "from over-centre", "0 where a rod goes over-centre, 1 at best", nil))},
	{"rates.wheels", "Rates: wheels and knuckles", append(wheelRates(steer.Road, "wheel"), rate(steer.Ackermann, "past Ackermann"))},
	{"rates.links", "Rates: links", []sweepColumn{
		rate(steer.HornAngle, "horn to link"), rate(steer.FarAngle, "link to arm"), rate(steer.LinkTravel, "link travel"),
	}},
	{"rates.left", "Rates: left side", sideRates(steer.Left)},
	{"rates.right", "Rates: right side", sideRates(steer.Right)},
	{"rates.path", "Rates: path", []sweepColumn{rate(steer.Curvature, "path curvature"), whereItTurns(rate(steer.OuterRadius, "turning circle's radius"))}},
	{"rates.curvature", "Rates: path curvature by each wheel", wheelRates(steer.WheelCurvature, "wheel")},
}

// Sweep says how a rig steers at each of the samples of a sweep: wheels, horn, turning circle and
// Ackermann, and with the details all else. It fails only where the model no longer reaches a
// sample.
func Sweep(m *steer.Model, samples []steer.Sample) (*document.Document, error) {
	d := about(m, "sweep", "Sweep", threeLines(sweepVerdict(m, samples))...)
	for i, t := range sweepTables {
		d.Sections = append(d.Sections, document.Section{Key: t.key, Title: t.title, Detail: i > 0, Blocks: []document.Block{sweepTable(m, t.key, t.columns, samples)}})
	}
	sure, err := howSure(m, samples)
	if err != nil {
		return nil, err
	}
	if len(sure.Rows) > 0 {
		d.Sections[0].Blocks = append(d.Sections[0].Blocks, leastSureWords(samples))
		d.Sections = append(d.Sections, document.Section{Key: "sure", Title: "What the ± comes from, where it is greatest", Detail: true, Blocks: []document.Block{sure}})
	}
	return d, nil
}

// leastSureWords say how sure the table's figures are at the least.
func leastSureWords(samples []steer.Sample) document.Paragraph {
	most := func(q steer.Quantity) float64 {
		s, ok := leastSure(samples, q)
		if !ok {
			return 0
		}
		return s.Uncertain[q]
	}
	return document.Text("Good to ± ", document.F(max(most(steer.Road.Of(steer.Left)), most(steer.Road.Of(steer.Right))), document.Angle).Named("uncertain.wheels", ""),
		" at the wheels and ± ", document.F(most(steer.HornAngle), document.Angle).Named("uncertain.horn", ""), " at horn to link, or better.")
}

func sweepTable(m *steer.Model, key string, columns []sweepColumn, samples []steer.Sample) document.Table {
	columns = append([]sweepColumn{servoColumn}, columns...)
	t := document.Table{Key: key, Rows: make([]document.Row, len(samples))}
	for _, c := range columns {
		t.Columns = append(t.Columns, document.Column{Key: c.key, Head: ofOther(m, c.head), Means: c.means})
	}
	if key != sweepTables[0].key {
		t.Columns[0].Means = "" // said once
	}
	for i := range samples {
		cells := make([]document.Sentence, len(columns))
		for k, c := range columns {
			cells[k] = document.Say(c.figure(m, &samples[i]))
		}
		t.Rows[i].Cells = cells
	}
	return t
}

// sweepVerdict says how far it steers, how tight it turns, and how far off Ackermann it is.
func sweepVerdict(m *steer.Model, samples []steer.Sample) []document.Line {
	var locks, circles []document.Sentence
	for _, side := range vehicle.Sides {
		inner, word := steer.Road.Of(m.Inner(side)), side.String()
		most, at := 0.0, -1
		for i := range samples {
			v := &samples[i].Values
			if x := side.Sign() * v[inner]; x > most && side.Sign()*v[steer.Curvature] > 0 {
				most, at = x, i
			}
		}
		if at < 0 {
			continue
		}
		s := &samples[at]
		locks = append(locks, document.Say(document.FU(most, s.Uncertain[inner], document.Angle).Brief().Named("end."+word, ""), " "+word))
		circle := turningCircle(m, s)
		circle.Key = "circle." + word
		circles = append(circles, document.Say(circle, " "+word))
	}
	if len(locks) == 0 {
		return []document.Line{line("The wheels are straight all the way.")}
	}
	lines := []document.Line{
		line("The inner wheel steers ", document.List("and", locks...), "."),
		line("The turning circle is ", document.List("and", circles...), " at its tightest."),
	}
	worst, at := math.Inf(-1), 0
	for i := range samples {
		if x := math.Abs(samples[i].Values[steer.Ackermann]); x > worst {
			worst, at = x, i
		}
	}
	s := &samples[at]
	if past := s.Values[steer.Ackermann]; math.Abs(past) > max(s.Uncertain[steer.Ackermann], 0.5*degree) {
		word := "past"
		if past < 0 {
			word = "short of"
		}
		inner := s.Values[steer.Road.Of(m.Inner(sideOf(&s.Values)))]
		lines = append(lines, line("The outer wheel is toed ", word, " Ackermann by up to ", document.FU(past, s.Uncertain[steer.Ackermann], document.Angle).Size().Named("ackermann", ""),
			", at ", document.F(inner, document.Angle).Signed(document.ToSide), "."))
	}
	return lines
}

// leastSure is the sample at which a quantity is least certain, false if nothing states an
// uncertainty of it.
func leastSure(samples []steer.Sample, q steer.Quantity) (worst *steer.Sample, ok bool) {
	most := 0.0
	for i := range samples {
		if u := samples[i].Uncertain[q]; u > most && !math.IsInf(u, 0) {
			most, worst = u, &samples[i]
		}
	}
	return worst, worst != nil
}

// howSure says how sure the main quantities are and what that comes from.
func howSure(m *steer.Model, samples []steer.Sample) (document.Table, error) {
	t := document.Table{Key: "sure", Columns: []document.Column{
		{Key: "figure", Head: "figure"}, {Key: "uncertain", Head: "±"}, {Key: "servo", Head: "at servo"}, {Key: "from", Head: "mostly from"},
	}}
	for _, row := range []struct {
		q     steer.Quantity
		words string
	}{
		{steer.Road.Of(steer.Left), "left wheel"},
		{steer.Road.Of(steer.Right), "right wheel"},
		{steer.HornAngle, "horn to link"},
		{steer.FarAngle, "link to arm"},
		{steer.Curvature, "path curvature"},
		{steer.Ackermann, "outer wheel past Ackermann"},
	} {
		worst, ok := leastSure(samples, row.q)
		if !ok {
			continue
		}
		at, err := m.At(row.q, worst.Servo)
		if err != nil {
			return t, err
		}
		var from document.Sentence
		for i, s := range greatest(at.Shares()) {
			if i > 0 {
				from = append(from, "; ")
			}
			from = append(from, s.Measure.Words()+" ", part(s.Part))
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{
			document.Say(row.words), document.Say(document.F(worst.Uncertain[row.q], shownIn(row.q))),
			document.Say(servoColumn.figure(m, worst)), from,
		}})
	}
	return t, nil
}

// fileUnit is the unit that CSV uses for a quantity, and what to multiply by.
func fileUnit(q steer.Quantity) (name string, times float64) {
	switch q.Info().Unit {
	case steer.Radian:
		return "deg", 1 / degree
	case steer.PerMillimetre:
		return "1/m", 1000
	case steer.Millimetre:
		return "mm", 1
	default:
		return "1", 1
	}
}

// SweepCSV writes every quantity, its uncertainty, its rate and the rate's uncertainty, a row for
// each servo angle. The header names the units.
func SweepCSV(w io.Writer, samples []steer.Sample) error {
	out := csv.NewWriter(w)
	head := []string{"servo (deg)"}
	for q := range steer.NumQuantities {
		unit, _ := fileUnit(q)
		key := q.Info().Key
		rate := unit + "/deg"
		head = append(head, key+" ("+unit+")")
		if !q.Info().Bare {
			head = append(head, key+" ± ("+unit+")", key+" rate ("+rate+")", key+" rate ± ("+rate+")")
		}
	}
	if err := out.Write(head); err != nil {
		return err
	}
	for i := range samples {
		s := &samples[i]
		row := []string{format(s.Servo / degree)}
		for q := range steer.NumQuantities {
			_, times := fileUnit(q)
			if q == steer.OuterRadius && !circles(s) {
				row = append(row, "", "", "", "")
				continue
			}
			row = append(row, format(s.Values[q]*times))
			if !q.Info().Bare {
				row = append(row, format(s.Uncertain[q]*times), format(s.Rates[q]*times*degree), format(s.RatesUncertain[q]*times*degree))
			}
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// format writes a number in full; one that there is not is empty.
func format(v float64) string {
	if !finite(v) {
		return ""
	}
	return strconv.FormatFloat(v+0, 'g', 9, 64) // and not -0
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
