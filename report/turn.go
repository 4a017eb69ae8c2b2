package report

import (
	"math"

	"evenlock/report/document"
	"evenlock/turning"
)

// wheelNames name the tyres.
var wheelNames = [turning.NumWheels]string{
	turning.FrontLeft: "front left", turning.FrontRight: "front right", turning.RearLeft: "rear left", turning.RearRight: "rear right",
}

var axleNames = [2]string{turning.Front: "front", turning.Rear: "rear"}

// turns reports whether a turn is one, and no path that is as good as straight.
func turns(t *turning.Turn) bool { return !t.Straight && 2*t.Outer < asGoodAsStraight }

// Turn says how a rig turns in each mode of steering its rear axle: how tightly, what ends the
// lock, and how much the tyres scrub.
func Turn(a *turning.Analysis) *document.Document {
	t := turnAccount{a}
	d := &document.Document{Kind: "turn", Title: "Turning", Rig: a.Axles[turning.Front].Rig.Name}
	d.Verdict = t.verdict()
	d.Sections = append(d.Sections, t.circles(), t.locks())
	for _, c := range a.Sweeps {
		d.Sections = append(d.Sections, t.mode(c))
	}
	d.Sections = append(d.Sections, t.centres(), t.counted())
	return d
}

type turnAccount struct{ a *turning.Analysis }

// circleOf is the diameter of a circle at a sample, of its radius; not available where the path is
// as good as straight.
func circleOf(r *turning.Sample, radius, uncertain float64) document.Figure {
	if !turns(&r.Turn) {
		return document.F(math.Inf(1), document.Span)
	}
	return document.FU(2*radius, 2*uncertain, document.Span)
}

// tyreCircle is that of the outermost tyre's outer edge.
func tyreCircle(r *turning.Sample) document.Figure {
	return circleOf(r, r.Turn.Outer, r.Uncertain.Outer)
}

// modeName says what the rear does in a mode.
func (t turnAccount) modeName(m turning.Mode) string {
	if !t.a.RearSteers() {
		return "front alone"
	}
	return m.Words()
}

// tightest is the mode with the smallest turning circle, the greater of its two sides.
func (t turnAccount) tightest() *turning.Sweep {
	var best *turning.Sweep
	least := math.Inf(1)
	for _, c := range t.a.Sweeps {
		if wide := max(c.At(turning.Left).Turn.Outer, c.At(turning.Right).Turn.Outer); best == nil || wide < least {
			best, least = c, wide
		}
	}
	return best
}

// mostScrub is the sample of a mode at which a tyre scrubs most, and which tyre.
func mostScrub(c *turning.Sweep) (at *turning.Sample, wheel int, most float64) {
	most = -1
	for i := range c.Samples {
		if w, m := c.Samples[i].Turn.Worst(); m > most+1e-9 {
			at, wheel, most = &c.Samples[i], w, m
		}
	}
	return at, wheel, most
}

// scrub is a figure of how much a tyre scrubs.
func scrub(r *turning.Sample, wheel int, most float64) document.Figure {
	return document.FU(most, r.Uncertain.Misfit[wheel], document.Angle)
}

func (t turnAccount) verdict() []document.Line {
	c := t.tightest()
	left, right := c.At(turning.Left), c.At(turning.Right)
	in := ""
	switch {
	case !t.a.RearSteers():
	case c.Mode == turning.Held:
		in = ", with the rear straight"
	default:
		in = ", in " + c.Mode.Words()
	}
	at, wheel, most := mostScrub(c)
	first := line("It hardly turns: the circle is ", document.F(asGoodAsStraight, document.Span).To(0), " or more.")
	if turns(&left.Turn) || turns(&right.Turn) {
		l, r := tyreCircle(left).Brief(), tyreCircle(right).Brief()
		if math.Abs(l.Value-r.Value) <= max(l.Uncertain, r.Uncertain) {
			// No clear difference: the wider one is what there must be room for.
			if l.Value < r.Value {
				l = r
			}
			r = l
		}
		circles := document.Both(document.Say(l), document.Say(r), " both ways")
		first = line("Turning circle: ", circles, in, "; most scrub ", scrub(at, wheel, most).Brief(), ".")
	}
	l := &t.a.Axles[turning.Front].Locks
	ends := line("Left lock ends at ", l[turning.Left].Governs, ", right lock at ", l[turning.Right].Governs, ".")
	if words, ok := bothSides(l[turning.Left].Governs, l[turning.Right].Governs); ok {
		ends = line("The lock ends at ", words, " both ways.")
	}
	return threeLines([]document.Line{first, ends})
}

// circles is the table of the turning circles at full lock.
func (t turnAccount) circles() document.Section {
	table := document.Table{Key: "circles", Columns: []document.Column{
		{Key: "mode", Head: "rear axle"},
		{Key: "left", Head: "circle, left"},
		{Key: "right", Head: "circle, right"},
		{Key: "scrub", Head: "most scrub"},
		{Key: "tyre", Head: "tyre"},
	}}
	for _, c := range t.a.Sweeps {
		r, wheel, most := mostScrub(c)
		key := c.Mode.Key()
		table.Rows = append(table.Rows, document.Row{Cells: []document.Sentence{
			document.Say(t.modeName(c.Mode)),
			document.Say(tyreCircle(c.At(turning.Left)).Named("circle."+key+".left", "")),
			document.Say(tyreCircle(c.At(turning.Right)).Named("circle."+key+".right", "")),
			document.Say(scrub(r, wheel, most).Named("scrub."+key, "")),
			document.Say(wheelNames[wheel]),
		}})
	}
	s := document.Section{Key: "circles", Title: "Turning circle at full lock", Blocks: []document.Block{
		table, document.Text("Diameter over the outermost tyre's outer edge. Scrub is the angle between where a tyre points and where it moves."),
	}}
	if !t.a.RearSteers() {
		s.Blocks = append(s.Blocks, document.Text("The rear wheels are taken as straight, and as far apart as the front ones. A rear axle that steers is the table [rear] of the file."))
	}
	return s
}

// locks says how far each axle steers, and what ends that.
func (t turnAccount) locks() document.Section {
	var figures document.Figures
	for i, a := range t.a.Axles {
		axle := axleNames[i]
		for side := range a.Locks {
			l := &a.Locks[side]
			figures = append(figures, document.F(l.Mean, document.Angle).Signed(document.ToSide).Named("lock."+axle+"."+sideNames[side], axle+" to the "+sideNames[side]).Noted(l.Governs))
		}
	}
	s := document.Section{Key: "locks", Title: "How far it steers, mean of both wheels", Blocks: []document.Block{figures}}
	if t.a.RearSteers() {
		s.Blocks = append(s.Blocks, document.Cautions{TwoServos})
	}
	return s
}

// modeTitle says what the rear does in a mode.
func (t turnAccount) modeTitle(m turning.Mode) string {
	by := func(part float64) string {
		return document.F(part, document.One).Text(document.Reader{}) + " of the front's angle"
	}
	switch {
	case !t.a.RearSteers():
		return "From lock to lock"
	case m == turning.Held:
		return "Rear held straight"
	case m == turning.Crab:
		return "Crab: the rear steers as the front"
	case m == turning.Opposite:
		return "Opposite phase: the rear steers the other way by " + by(t.a.Options.Opposite)
	default:
		return "Same phase: the rear steers the same way by " + by(t.a.Options.Same)
	}
}

// mode is the table of a mode, from the left lock to the right one, and what keeps the rear from
// following.
func (t turnAccount) mode(c *turning.Sweep) document.Section {
	table := document.Table{Key: c.Mode.Key(), Thin: 6, Columns: []document.Column{
		{Key: "front", Head: "front"},
		{Key: "rear", Head: "rear"},
		{Key: "outer", Head: "turning circle"},
		{Key: "inner", Head: "inner circle"},
		{Key: "crab", Head: "crab angle"},
		{Key: "scrub", Head: "most scrub"},
	}}
	for i := len(c.Samples) - 1; i >= 0; i-- {
		r := &c.Samples[i]
		if r.Part == 0 {
			continue
		}
		side := func(v, uncertain float64) document.Sentence {
			return document.Say(document.FU(v, uncertain, document.Angle).Signed(document.ToSide).Brief())
		}
		wheel, most := r.Turn.Worst()
		table.Rows = append(table.Rows, document.Row{Cells: []document.Sentence{
			side(r.Mean[turning.Front], r.Uncertain.Mean[turning.Front]),
			side(r.Mean[turning.Rear], r.Uncertain.Mean[turning.Rear]),
			document.Say(tyreCircle(r).Brief()),
			document.Say(circleOf(r, r.Turn.Inner, r.Uncertain.Inner).Brief()),
			side(r.Turn.Slip, r.Uncertain.Slip),
			document.Say(scrub(r, wheel, most).Brief()),
		}})
	}
	s := document.Section{Key: c.Mode.Key(), Title: t.modeTitle(c.Mode), Blocks: []document.Block{table}}
	if t.a.RearSteers() && c.Mode != turning.Held {
		for side := range sideNames {
			s.Blocks = append(s.Blocks, t.follows(c, side)...)
		}
	}
	return s
}

// follows says how the vehicle goes in crab at full lock, and what keeps the rear from the angle
// wanted.
func (t turnAccount) follows(c *turning.Sweep, side int) (all []document.Block) {
	r, name := c.At(side), sideNames[side]
	if c.Mode == turning.Crab {
		said := document.Say("Full ", name, ": it goes ", document.FU(r.Turn.Slip, r.Uncertain.Slip, document.Angle).Signed(document.ToSide).Named("crab."+name, ""))
		if turns(&r.Turn) {
			way := sideNames[turning.Left]
			if r.Turn.Curvature < 0 {
				way = sideNames[turning.Right]
			}
			said = document.Say(said, " and slowly turns "+way, ".")
		} else {
			said = document.Say(said, " and keeps its heading.")
		}
		all = append(all, document.Paragraph(said))
	}
	if r.Short != nil {
		key := c.Mode.Key() + "." + name
		all = append(all, document.Text("Full ", name, ": the rear steers ", document.F(math.Abs(r.Mean[turning.Rear]), document.Angle).Named("rear."+key, ""),
			" of the ", document.F(math.Abs(r.Wanted), document.Angle).Named("wanted."+key, ""), " wanted, ended by ", r.Short.Governs, "."))
	}
	return all
}

// TurnWords say in few words how it turns in a mode at full lock to a side, turning.Left or
// turning.Right: a heading and at most three lines, for a drawing.
func TurnWords(a *turning.Analysis, c *turning.Sweep, side int) []document.Sentence {
	t, r := turnAccount{a}, c.At(side)
	heading := document.Say(document.Capital(t.modeName(c.Mode)))
	wheel, most := r.Turn.Worst()
	crab := document.F(r.Turn.Slip, document.Angle).Signed(document.ToSide)
	goes := document.Say("Goes ", crab, " and keeps its heading")
	if turns(&r.Turn) {
		goes = document.Say("Turning circle ", tyreCircle(r).Brief(), "; crab angle ", crab)
	}
	all := []document.Sentence{heading, goes, document.Say("Most scrub ", scrub(r, wheel, most).Brief())}
	if r.Short != nil {
		all = append(all, document.Say("The rear steers ", document.F(math.Abs(r.Mean[turning.Rear]), document.Angle), " of the ", document.F(math.Abs(r.Wanted), document.Angle), " wanted"))
	}
	return all
}

// centres says about which place it turns at full lock.
func (t turnAccount) centres() document.Section {
	table := document.Table{Key: "centres", Columns: []document.Column{
		{Key: "mode", Head: "rear axle"},
		{Key: "side", Head: "full lock"},
		{Key: "along", Head: "along"},
		{Key: "across", Head: "across"},
	}}
	for _, c := range t.a.Sweeps {
		for side, name := range sideNames {
			r, key := c.At(side), "centre."+c.Mode.Key()+"."+name
			mm := func(v, uncertain float64, d document.Direction) document.Figure {
				if !turns(&r.Turn) {
					v = math.Inf(1)
				}
				return document.FU(v, uncertain, document.Length).To(0).Signed(d)
			}
			table.Rows = append(table.Rows, document.Row{Cells: []document.Sentence{
				document.Say(t.modeName(c.Mode)), document.Say(name),
				document.Say(mm(r.Turn.Centre.X, r.Uncertain.Centre.X, document.Direction{Negative: "back", Positive: "ahead"}).Named(key+".along", "")),
				document.Say(mm(r.Turn.Centre.Y, r.Uncertain.Centre.Y, document.Direction{Negative: "right", Positive: "left"}).Named(key+".across", "")),
			}})
		}
	}
	return document.Section{Key: "centres", Title: "Turn centre, from the middle of the front axle", Detail: true, Blocks: []document.Block{table}}
}

// counted says what the figures count and what they do not.
func (t turnAccount) counted() document.Section {
	return document.Section{Key: "counted", Title: "How it is counted", Detail: true, Blocks: []document.Block{
		document.Text("Front and rear are the means of both wheels of an axle. The inner circle is the diameter that the innermost tyre leaves free. ",
			"The crab angle is where the middle between the axles goes, from where the vehicle points. ",
			"A dash is as good as straight: a circle of ", document.F(asGoodAsStraight, document.Span).To(0), " or more."),
		document.Text("The four wheels seldom agree on one centre. The vehicle is taken to move so that the squares of the scrub angles add up to the least. ",
			"A margin of ", document.F(t.a.Axles[turning.Front].Rig.Want.Margin.Value, document.Angle), " is kept clear of each limit, by what the limit is of."),
		document.Text("It is at ride height. Bodywork beyond the tyres sweeps wider. Tyres that slip at speed are not counted."),
	}}
}
