package report

import (
	"math"

	"evenlock/report/document"
	"evenlock/setup"
	"evenlock/steer"
	"evenlock/vehicle"
)

// Try says where settings take the wheels, and whether any stick and trim drive the linkage past a
// limit.
func Try(t *setup.Trial) *document.Document {
	d := about(t.Model, "try", "Where the wheels go", trialVerdict(t)...)
	d.Sections = append(d.Sections, document.Section{Key: "settings", Title: "Set to", Blocks: []document.Block{document.Paragraph(trialSettings(t))}})
	if len(t.Passed) > 0 {
		var notes document.Notes
		for i := range t.Passed {
			notes = append(notes, passedNote(t, &t.Passed[i]))
		}
		d.Sections = append(d.Sections, document.Section{Key: "passed", Title: "Past a limit", Blocks: []document.Block{notes, document.Cautions{Power}}})
	}
	title := "From full left to full right stick"
	if len(t.Passed) > 0 {
		title += "; ! is past a limit"
	}
	sticks := document.Section{Key: "sticks", Title: title, Blocks: []document.Block{stickTable(t)}}
	if len(t.Passed) == 0 {
		sticks.Blocks = append(sticks.Blocks, document.Cautions{Power})
	}
	d.Sections = append(d.Sections, sticks)
	if t.EvenKnown {
		d.Sections = append(d.Sections, document.Section{Key: "evenness", Title: "Left against right at equal stick, at most", Blocks: []document.Block{document.Figures{
			document.F(t.Even.Lock, document.Angle).Named("inner", "angle of the inner wheel"),
			document.F(t.Even.Path, document.Part).Named("path", "path curvature").Noted("of that at full lock"),
			document.F(t.Even.Rate, document.Part).Named("response", "steering response").Noted("of the same"),
		}}})
	}
	return d
}

// innerAt is the inner wheel's angle at a point, to the side that it steers; not available where
// the linkage does not reach it.
func innerAt(m *steer.Model, x *setup.TrialPoint) document.Figure {
	f := document.F(math.NaN(), document.Angle)
	if x.Reached {
		f.Value = x.Values[steer.Road.Of(m.Inner(sideOf(&x.Values)))]
	}
	return f.Signed(document.ToSide)
}

// sideOf is the side that the wheels point to.
func sideOf(v *steer.Values) steer.Side {
	if v[steer.Curvature] < 0 {
		return steer.Right
	}
	return steer.Left
}

// wrongWay reports whether full left stick steers right of where full right stick does.
func wrongWay(t *setup.Trial) bool {
	right, left := &t.Points[0], &t.Points[len(t.Points)-1]
	return right.Reached && left.Reached && left.Values[steer.Curvature] < right.Values[steer.Curvature]
}

// trialVerdict says what must be brought in, and where full stick takes the wheels.
func trialVerdict(t *setup.Trial) []document.Line {
	right, left := &t.Points[0], &t.Points[len(t.Points)-1]
	steers := func(verb string) document.Sentence {
		return document.Say("Full stick "+verb+" ", innerAt(t.Model, left).Named("lock.left", ""), ", ", innerAt(t.Model, right).Named("lock.right", ""), ".")
	}
	must := func(parts ...any) document.Line {
		return document.Line{Severity: document.MustFix, Sentence: document.Say(parts...)}
	}
	var lines []document.Line
	if wrongWay(t) {
		on := "on"
		if t.Settings.Reverse {
			on = "off"
		}
		lines = append(lines, must("left stick steers right: turn the channel's reverse ", on, "."))
	}
	if !left.Reached || !right.Reached {
		lines = append(lines, must("the linkage does not reach full stick."))
	}
	if worst := worstPassed(t); worst != nil {
		lines = append(lines, document.Line{Severity: pastSeverity(worst), Sentence: document.Say(drivesPast(worst), ".")}, document.Line{Sentence: document.Say(bringAllIn(t), ".")}, document.Line{Sentence: steers("would steer")})
		return threeLines(lines)
	}
	lines = append(lines, document.Line{Sentence: steers("steers")},
		document.Line{Severity: document.Fine, Sentence: document.Say("No stick, with any trim, goes past a limit.")})
	if t.EvenKnown {
		lines = append(lines, line("At equal stick left and right differ by up to ", document.F(t.Even.Lock, document.Angle).Named("uneven", ""), "."))
	}
	return threeLines(lines)
}

// bringAllIn says what to bring in so that nothing is past a limit.
func bringAllIn(t *setup.Trial) document.Sentence {
	var all []document.Sentence
	for _, side := range vehicle.Sides {
		for i := range t.Passed {
			if x := &t.Passed[i]; x.Side == side && !x.TrimOnly {
				all = append(all, bringIn(t, x))
				break
			}
		}
	}
	if len(all) == 0 {
		return capital(bringIn(t, worstPassed(t)))
	}
	return capital(document.List("and", all...))
}

// worstPassed is the stop that is passed by most: without trim, if any is.
func worstPassed(t *setup.Trial) *setup.Passed {
	var worst *setup.Passed
	for i := range t.Passed {
		x := &t.Passed[i]
		if worst == nil || worst.TrimOnly && !x.TrimOnly || worst.TrimOnly == x.TrimOnly && x.By > worst.By {
			worst = x
		}
	}
	return worst
}

func drivesPast(x *setup.Passed) document.Sentence {
	how := " stick"
	if x.TrimOnly {
		how = " stick with trim"
	}
	by := document.FU(x.By, x.Stop.Servo.Uncertain, document.Angle)
	if pastSeverity(x) == document.MustFix {
		by = by.Brief()
	}
	return document.Say("full ", x.Side.String(), how, " passes ", x.Stop.Words, " by ", by)
}

// pastSeverity tells how bad a passed stop is: within the ± of where it is met, nobody can say.
func pastSeverity(x *setup.Passed) document.Severity {
	if x.By <= x.Stop.Servo.Uncertain {
		return document.TooClose
	}
	return document.MustFix
}

// bringIn says what to bring in, and how far.
func bringIn(t *setup.Trial, x *setup.Passed) document.Sentence {
	side := x.Side.String()
	if x.TrimOnly && !t.Room.Outside {
		most := math.Min(t.Room.Positive, t.Room.Negative)
		return document.Say("keep the trim within ", trimFigure(&t.Calibration, most))
	}
	if !t.WithinKnown[x.Side] {
		return document.Say("bring the ", side, " endpoint in")
	}
	return document.Say("bring the ", side, " endpoint in to ", endpointFigure(&t.Calibration, t.Within[x.Side].Value, 0))
}

func passedNote(t *setup.Trial, x *setup.Passed) document.Note {
	return document.Note{
		Severity: pastSeverity(x),
		Problem:  document.Say(drivesPast(x), " of servo", document.FileKey(x.Stop.Key), "; it is met at ", angle(x.Stop.Servo).Signed(document.Rotation), "."),
		Remedy:   document.Say(capital(bringIn(t, x)), "."),
	}
}

// trialSettings says what was tried.
func trialSettings(t *setup.Trial) document.Sentence {
	s, c := &t.Settings, &t.Calibration
	said := document.Say("Subtrim ", subtrimFigure(c, s.Subtrim), ", trim ", trimFigure(c, s.Trim),
		", endpoints ", endpointFigure(c, s.EndpointLeft, 0), " left and ", endpointFigure(c, s.EndpointRight, 0), " right, rate ", document.F(s.Rate, document.Percent), ", expo ", document.F(s.Expo, document.Percent))
	if s.Curve != nil {
		said = document.Say(said, ", with a curve")
	}
	if s.Reverse {
		said = document.Say(said, ", reversed")
	}
	said = document.Say(said, ".")
	if assumed := trimAssumed(c); assumed != nil {
		said = document.Say(said, " ", assumed)
	}
	return said
}

// stickTable lists where each stick position takes the wheels.
func stickTable(t *setup.Trial) document.Table {
	table := document.Table{
		Key: "sticks",
		Columns: []document.Column{
			{Key: "stick", Head: "stick"},
			{Key: "servo", Head: "servo"},
			{Key: "left", Head: "left wheel"},
			{Key: "right", Head: "right wheel"},
			{Key: "circle", Head: "turning circle"},
		},
	}
	for i := len(t.Points) - 1; i >= 0; i-- {
		x := &t.Points[i]
		road := func(q steer.Quantity) document.Figure {
			f := document.F(math.NaN(), document.Angle).Signed(document.ToSide)
			if x.Reached {
				f.Value = x.Values[q]
			}
			return f
		}
		circle := document.F(math.NaN(), document.Span)
		if x.Reached && road(steer.Road.Of(steer.Left)).Shows(document.Reader{}) {
			circle.Value = 2 * x.Values[steer.OuterRadius]
		}
		row := document.Row{Cells: []document.Sentence{
			document.Say(document.F(100*x.Stick, document.Percent).Signed(document.Direction{Negative: "right", Zero: "centre", Positive: "left"})),
			document.Say(document.F(x.Servo, document.Angle).Signed(document.Rotation)),
			document.Say(road(steer.Road.Of(steer.Left))), document.Say(road(steer.Road.Of(steer.Right))), document.Say(circle),
		}}
		if x.Stop != "" || !x.Reached {
			row.Severity = document.MustFix
		}
		table.Rows = append(table.Rows, row)
	}
	return table
}
