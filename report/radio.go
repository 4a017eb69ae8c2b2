package report

import (
	"math"
	"strconv"

	"evenlock/radio"
	"evenlock/report/document"
	"evenlock/rig"
)

// Transmitter is what is known of how a transmitter moves the servo.
type Transmitter struct {
	// Rig is the rig's name.
	Rig string
	// Span is where the servo goes by the readings; nil while Assumed, in radians each way, is
	// taken.
	Span    *radio.Span
	Assumed float64
	// Prefix begins the axle's keys in the file.
	Prefix string
	// Calibration is by those readings; it is only of use with a Span.
	Calibration radio.Calibration
	// Problem and Remedy say why the readings give no span; empty if there are none.
	Problem, Remedy string
}

// Radio says where the servo goes at full stick, and what it rests on.
func Radio(t Transmitter) *document.Document {
	d := &document.Document{Kind: "radio", Title: "Radio", Rig: t.Rig}
	if t.Span == nil {
		d.Verdict = []document.Line{{Sentence: StickWords(nil, t.Assumed)}}
		switch {
		case t.Problem != "":
			d.Verdict = append(d.Verdict, document.Line{Severity: document.MustFix, Sentence: document.Say(asSentence(t.Problem), " ", asSentence(t.Remedy))})
		default:
			d.Verdict = append(d.Verdict, line("Put in two readings of the servo, far apart."))
		}
		return d
	}
	d.Verdict = []document.Line{{Sentence: StickWords(t.Span, 0)}}
	d.Sections = []document.Section{
		{Key: "span", Title: "Where the servo goes", Blocks: []document.Block{spanFigures("span", *t.Span)}},
		readSection(&t.Calibration, t.Prefix),
	}
	return d
}

// readSection says what the readings come to: how far a step goes, to each side where that differs,
// and what does not fit.
func readSection(c *radio.Calibration, prefix string) document.Section {
	var figures document.Figures
	for _, one := range [...]struct {
		key, words string
		scale      radio.Scale
	}{{"endpoint", "endpoint", c.Endpoint}, {"subtrim", "subtrim", c.Subtrim}, {"trim", "trim", c.Trim}} {
		note := ""
		if one.scale.Assumed {
			note = "as the endpoint's; nobody read it"
			if c.Screen == rig.Microseconds {
				note = ""
			}
		}
		words := one.words + ", " + aOne(c.Screen)
		if !uneven(c) {
			figures = append(figures, degreesAStep(one.scale.PerUnit).Named("step."+one.key, words).Noted(note))
			continue
		}
		for i, way := range [2]string{document.Rotation.Positive, document.Rotation.Negative} {
			figures = append(figures, degreesAStep(c.Step(one.scale, 1-2*float64(i))).Named("step."+one.key+"."+way, words+" "+way+" of neutral").Noted(note))
		}
	}
	offset := c.Endpoint.Offset
	if offset.Given {
		figures = append(figures, document.FU(offset.Value, offset.Uncertainty, document.Angle).Signed(document.Rotation).Named("offset", "centre by your readings"))
	}
	s := document.Section{Key: "read", Title: "What your readings say", Blocks: []document.Block{figures}}
	if notes := readNotes(c, prefix); len(notes) > 0 {
		s.Blocks = append(s.Blocks, notes)
	}
	return s
}

// uneven reports whether a servo turns further one way than the other, as far as the readings can
// tell.
func uneven(c *radio.Calibration) bool {
	a, b := c.Step(c.Endpoint, 1), c.Step(c.Endpoint, -1)
	return math.Abs(a.Value-b.Value) > math.Hypot(a.Uncertainty, b.Uncertainty)
}

// aOne is one of what a transmitter counts in.
func aOne(s rig.Screen) string {
	if s == rig.Microseconds {
		return "a µs"
	}
	return "a step"
}

// readNotes say what of the readings does not fit, and what is taken for want of one.
func readNotes(c *radio.Calibration, prefix string) document.Notes {
	var all document.Notes
	for _, m := range c.Misfits {
		off := document.F(m.Off, document.Angle).Size()
		if m.Pulse {
			off = document.F(m.Off, document.ScreenPulse).Size()
		}
		all = append(all, document.Note{
			Severity: document.WorthFixing,
			Problem:  document.Say("Reading ", document.F(float64(m.Number), document.One).To(0), " is ", off, " off the line through the others", document.FileKey(prefix+"transmitter.reading."+strconv.Itoa(m.Number)), "."),
			Remedy:   document.Say("Read it again."),
		})
	}
	if o := c.Endpoint.Offset; o.Given && math.Abs(o.Value) > max(o.Uncertainty, halfDegree) {
		all = append(all, document.Note{
			Severity: document.WorthFixing,
			Problem:  document.Say("By your readings the servo stands ", document.FU(o.Value, o.Uncertainty, document.Angle).Signed(document.Rotation), " of neutral with the stick at centre."),
			Remedy:   document.Say("Set the protractor to zero there, and read again."),
		})
	}
	if c.WayAssumed {
		all = append(all, document.Note{
			Problem: document.Say("No reading says that left stick makes the longer pulse; it is taken so."),
			Remedy:  document.Say("Add the number on the screen to one reading, negative for full stick to the right", document.FileKey(prefix+"transmitter.reading.1.setting"), "."),
		})
	}
	return all
}

// halfDegree is what one tells on a protractor.
const halfDegree = math.Pi / 360

// StickWords say what the stick does to the servo: by the readings, or, without a span, by what is
// assumed, in radians each way.
func StickWords(span *radio.Span, assumed float64) document.Sentence {
	if span == nil {
		return document.Say("No readings of the servo: ", document.F(math.Abs(assumed), document.Angle).To(0), " each way is assumed.")
	}
	left, right := document.F(span.Left, document.Angle).Size(), document.F(span.Right, document.Angle).Size()
	if readAlike(left, right) {
		return document.Say("By your readings the servo turns ", left, " each way at full stick.")
	}
	return document.Say("By your readings the servo turns ", left, " at full left stick and ", right, " at full right.")
}

// turned is a servo angle.
func turned(angle float64) document.Figure {
	return document.F(angle, document.Angle).Signed(document.Rotation)
}

// spanFigures are the servo angles at full left, at centre and at full right.
func spanFigures(key string, s radio.Span) document.Figures {
	return document.Figures{
		turned(s.Left).Named(key+".left", "full left"),
		turned(s.Centre).Named(key+".centre", "centre"),
		turned(s.Right).Named(key+".right", "full right"),
	}
}

// RadioSetting is a number on the transmitter's screen.
type RadioSetting struct {
	// Key is that of the rig file, Words name it.
	Key, Words string
	// Moves says what it moves and how far a step does.
	Moves document.Sentence
}

// RadioSettings name the settings of a transmitter and say what each of them moves.
func RadioSettings(c *radio.Calibration, reverse, expo bool) []RadioSetting {
	// toLeft is the sign of the servo's turn for left stick.
	toLeft := c.Endpoint.PerUnit.Value
	if reverse != c.ReadReversed {
		toLeft = -toLeft
	}
	end := func(angle float64) radio.Scale {
		s := c.Endpoint
		s.PerUnit = c.Step(s, angle)
		return s
	}
	trim := document.Say("The centre, and on some transmitters the ends too: test which yours does")
	switch c.TrimKind {
	case radio.TrimCentre:
		trim = document.Say("The centre, between ends that stay")
	case radio.TrimWhole:
		trim = document.Say("The whole range, ends and centre together")
	}
	all := []RadioSetting{
		{"settings.reverse", "reverse", document.Say("Which way the servo turns for left stick.")},
		{"settings.subtrim", "subtrim", document.Say("The whole range, ends and centre together", aStep(c, c.Subtrim))},
		{"settings.endpoint_left", "endpoint left", document.Say("How far the servo goes at full left stick", aStep(c, end(toLeft)))},
		{"settings.endpoint_right", "endpoint right", document.Say("How far the servo goes at full right stick", aStep(c, end(-toLeft)))},
		{"settings.rate", "rate", document.Say("Both ends together, in percent.")},
		{"settings.trim", "trim", document.Say(trim, aStep(c, c.Trim))},
	}
	if expo {
		all = append(all, RadioSetting{"settings.expo", "expo", document.Say("How soft the middle is. The ends stay.")})
	}
	return all
}

// aStep says how far one step of a control turns the servo.
func aStep(c *radio.Calibration, s radio.Scale) document.Sentence {
	q := s.PerUnit
	switch {
	case !q.Given:
		return document.Say("; how far is not known until you read it.")
	case s.Assumed && c.Screen != rig.Microseconds:
		return document.Say("; ", degreesAStep(q), " a step, as the endpoint's. Test it.")
	default:
		return document.Say("; ", degreesAStep(q), " of servo ", aOne(c.Screen), ".")
	}
}

func degreesAStep(q rig.Quantity) document.Figure {
	return document.FU(q.Value, q.Uncertainty, document.Angle).To(2).Size()
}

// ReadingWords say what was set and what the servo did. Number counts from 1.
func ReadingWords(number int, r rig.Reading, on rig.Screen) document.Sentence {
	control := r.Control
	if control == "" {
		control = "endpoint"
	}
	words := []any{"Reading ", document.F(float64(number), document.One).To(0), ": ", control}
	if r.Setting != nil {
		words = append(words, " at ", document.F(*r.Setting, screenUnits[on]).To(decimals(*r.Setting)))
	}
	if r.Pulse != nil {
		words = append(words, ", ", document.F(*r.Pulse, document.ScreenPulse).To(decimals(*r.Pulse)))
	}
	if q := r.Angle; q.Given {
		words = append(words, ", ", document.FU(q.Value, q.Uncertainty, document.Angle).Signed(document.Rotation))
	}
	return document.Say(append(words, ".")...)
}

// decimals are those that a number on a screen has, up to two.
func decimals(x float64) int {
	for n := range 2 {
		if scaled := x * math.Pow10(n); math.Abs(scaled-math.Round(scaled)) < 1e-9*(1+math.Abs(scaled)) {
			return n
		}
	}
	return 2
}

// WhatIf says what moving a control, "subtrim" or "trim", by so many steps does to the servo
// angles.
func WhatIf(rigName, control string, steps float64, on rig.Screen, change radio.Change) *document.Document {
	moved := change.Moved()
	size := func(angle float64, key string) document.Figure {
		return document.F(angle, document.Angle).Size().Named("moved."+key, "")
	}
	words := document.Say(document.Capital(control), " as it is")
	if steps != 0 {
		unit, way := document.ScreenStep, " up"
		if on == rig.Microseconds {
			unit = document.ScreenPulse
		}
		if steps < 0 {
			way = " down"
		}
		words = document.Say(document.Capital(control), " ", document.F(math.Abs(steps), unit), way)
	}
	d := &document.Document{Kind: "what-if", Title: "What if", Rig: rigName, Verdict: []document.Line{
		line(words, ": the centre moves ", size(moved.Centre, "centre"), ", the left end ", size(moved.Left, "left"), ", the right end ", size(moved.Right, "right"), "."),
	}}
	if change.Clipped {
		d.Verdict = append(d.Verdict, document.Line{Severity: document.WorthFixing, Sentence: document.Say("An end is clipped: the transmitter or the servo goes no further.")})
	}
	d.Sections = []document.Section{
		{Key: "before", Title: "Before", Blocks: []document.Block{spanFigures("before", change.Before)}},
		{Key: "after", Title: "After", Blocks: []document.Block{spanFigures("after", change.After)}},
	}
	return d
}

// TrimTestWords say what a test of the trim showed. Its numbers are in the unit of the readings.
func TrimTestWords(v radio.TrimVerdict) document.Sentence {
	by := func(x float64) document.Figure { return document.F(math.Abs(x), document.One) }
	switch v.Reason {
	case radio.TrimNoNumber:
		return document.Say("Not clear: a reading is not a number. Take the test again.")
	case radio.TrimHardlyMoved:
		return document.Say("Not clear: the centre moved by no more than ", by(v.Within), ". Move the trim further and read again.")
	case radio.TrimEndsStayed:
		return document.Say("It moves the centre only, if the centre moved: both ends stayed.")
	case radio.TrimCentreMoved:
		return document.Say("It moves the centre only: the centre moved by ", by(v.Centre), ", and both ends stayed.")
	case radio.TrimOneEndMoved:
		side := sideNames[0]
		if math.Abs(v.Right) > v.Within {
			side = sideNames[1]
		}
		return document.Say("Not clear: only the ", side, " end moved. The other may be at the end of its range: bring both endpoints in and test again.")
	case radio.TrimEndsParted:
		return document.Say("Not clear: the ends moved opposite ways, as endpoints or rate do. Move the trim alone and test again.")
	case radio.TrimUnequal:
		return document.Say("Not clear: the ends moved ", by(v.Left), " left and ", by(v.Right), " right. Bring both endpoints in and test again.")
	case radio.TrimCentreUnlike:
		return document.Say("Not clear: the ends moved by ", by((v.Left+v.Right)/2), ", the centre by ", by(v.Centre), ". Bring both endpoints in and test again.")
	default:
		return document.Say("It moves the whole range: both ends moved the same way, ", by(v.Left), " left and ", by(v.Right), " right.")
	}
}
