package report

import (
	"math"

	"evenlock/advise"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
	"evenlock/travel"
)

// worthFixing is the least gain at a wheel in radians that is worth work, what a protractor shows,
// and worthSaying the least that is worth a line (common practice).
const worthFixing, worthSaying = degree / 2, degree / 10

// mostOpen is how many changes are told in full at once: after the first it is best to ask again.
const mostOpen = 5

// Advice says what to change on a rig: what must be fixed, what is worth fixing, and what is too
// close to call or fine, each in the order of the list.
func Advice(e *advise.Evaluation, list []advise.Finding) *document.Document {
	d := about(e.Plan.Before, "advise", "Advice")
	var must, worth, uncured, unsure, know, fine document.Findings
	for i := range list {
		f := &list[i]
		severity, said := severityOf(f)
		if !said {
			continue
		}
		one := findingOf(e.Plan, f, severity)
		switch {
		case severity == document.MustFix:
			must = append(must, one)
		case severity == document.WorthFixing:
			worth = append(worth, one)
		case severity == document.TooClose:
			unsure = append(unsure, one)
		case severity == document.Fine:
			fine = append(fine, one)
		case f.Weight >= worthFixing:
			uncured = append(uncured, one)
		default:
			know = append(know, one)
		}
	}
	d.Verdict = adviceVerdict(e.Plan, append(must[:len(must):len(must)], worth...))
	add := func(key, title string, detail bool, all document.Findings) {
		if len(all) > 0 {
			d.Sections = append(d.Sections, document.Section{Key: key, Title: title, Detail: detail, Blocks: []document.Block{all}})
		}
	}
	if len(must)+len(worth) > 0 {
		d.Sections = append(d.Sections, document.Section{Key: "caution", Blocks: []document.Block{document.Cautions{document.Capital(Power)}}})
	}
	add("must_fix", document.MustFix.String(), false, must)
	now := max(0, min(len(worth), mostOpen-len(must)))
	add("worth_fixing", document.WorthFixing.String(), false, worth[:now])
	if drills(list, worth[:now]) {
		d.Sections[len(d.Sections)-1].Blocks = append(d.Sections[len(d.Sections)-1].Blocks, document.Cautions{Drilling})
	}
	add("no_cure", "No change that was tried mends this", false, uncured)
	add("too_close", document.TooClose.String(), false, unsure)
	lack, needed := notLookedAt(e.Lacks)
	d.Sections = append(d.Sections, lack...)
	add("later", "Worth fixing later", true, worth[now:])
	add("to_know", "To know", true, know)
	add("fine", document.Fine.String(), true, fine)
	d.Sections = append(d.Sections, append(needed, document.Section{Key: "how", Title: "How this was found", Detail: true, Blocks: []document.Block{
		document.Text("Each change was tried alone, on the rig as it is. Make one, measure, and ask again. Steering is looked at as the set-up leaves it, loads and suspension travel as the file has the rig."),
	}})...)
	return d
}

// drills reports whether one of the findings that are proposed takes a new hole.
func drills(list []advise.Finding, proposed document.Findings) bool {
	for i := range list {
		bump, ok := list[i].Facts.(*advise.BumpSteer)
		if !ok || bump.Better == nil || bump.Better.Way != travel.FrontView {
			continue
		}
		for k := range proposed {
			if proposed[k].Key == list[i].Key {
				return true
			}
		}
	}
	return false
}

// severityOf tells how bad a finding is, and whether it is worth a line.
func severityOf(f *advise.Finding) (s document.Severity, said bool) {
	switch facts := f.Facts.(type) {
	case *advise.RodFails, *advise.Binds:
		return document.MustFix, true
	case *advise.Servo:
		if f.Kind != advise.Well {
			return document.MustFix, true
		}
	case *advise.Passed:
		if f.Kind == advise.Do {
			return document.MustFix, true
		}
	case *advise.Short:
		return document.WorthFixing, true
	case *advise.MeasureAgain:
		if f.Kind == advise.Do && f.Weight < worthFixing {
			return document.Plain, f.Weight >= worthSaying
		}
	case *advise.TravelLock:
		// A lock that the set-up does not steer to is no loss.
		if facts.Lock < facts.SetUp-worthSaying {
			return document.MustFix, true
		}
		return document.Plain, true
	}
	switch f.Kind {
	case advise.Well:
		return document.Fine, true
	case advise.Unsure:
		return document.TooClose, true
	case advise.Do:
		gain := math.Abs(f.Change.After.Value - f.Change.Before.Value)
		switch {
		case f.Weight < worthSaying && gain >= worthFixing:
			return document.TooClose, true
		case gain >= worthFixing:
			return document.WorthFixing, true
		default:
			return document.Fine, gain >= worthSaying
		}
	default:
		return document.Plain, true
	}
}

// findingOf words a finding. What is fine or too close to call has no change proposed.
func findingOf(p *setup.Plan, f *advise.Finding, severity document.Severity) document.Finding {
	w := adviceWords(p, f, severity)
	one := document.Finding{Key: f.Key, Severity: severity, Headline: w.headline, Text: w.text}
	if severity == document.TooClose && f.From != nil {
		one.Text = joined(one.Text, stated("Most of its ± comes from the ", f.From.Words(), document.FileKey(f.From.Path)))
	}
	if f.Change == nil || severity == document.Fine || severity == document.TooClose {
		return one
	}
	figure := func(key string, value, uncertain float64) document.Figure {
		v := document.FU(value, uncertain, w.unit).Signed(w.direction)
		if w.direction == (document.Direction{}) {
			v = v.Size()
		}
		if w.unit == document.Part {
			v = v.To(0)
		}
		return v.Named(f.Key+key, w.of).Brief()
	}
	c := f.Change
	before, after := c.Before, c.After
	switch facts := f.Facts.(type) {
	case *advise.Servo:
		// People think of one side's lock, the one that is lost.
		side := facts.Worse()
		before.Value, after.Value = facts.Reach[side], facts.Then[side]
	case *advise.Evenness:
		// Trying the settings gives some hundredths of a degree more or less than the set-up says.
		if facts.CurvePoints == 0 {
			after.Value = evenThen(p).Lock
		} else {
			before.Value = evenThen(p).Lock
		}
	}
	one.Change = &document.Change{
		Do:     w.do,
		Before: figure(".before", before.Value, before.Uncertain), After: figure(".after", after.Value, after.Uncertain),
	}
	if len(c.Set) > 0 {
		one.Change.Set = settingsOf(c.Set)
	}
	return one
}

// stated makes a sentence with its full stop.
func stated(parts ...any) document.Sentence { return document.Say(append(parts, ".")...) }

// joined puts sentences behind one another, those that say something.
func joined(all ...document.Sentence) document.Sentence {
	var s document.Sentence
	for _, one := range all {
		switch {
		case len(one) == 0:
		case s == nil:
			s = one
		default:
			s = document.Say(s, " ", one)
		}
	}
	return s
}

// adviceVerdict says what to do first, what it gains, and what ends the lock.
func adviceVerdict(p *setup.Plan, open document.Findings) []document.Line {
	var lines []document.Line
	if len(open) == 0 {
		lines = append(lines, line("Nothing to change was found."))
	} else {
		first := &open[0]
		lines = append(lines, document.Line{Severity: first.Severity, Sentence: small(brief(document.Say(first.Headline, ".")))})
	}
	for i := range open {
		if c := open[i].Change; c != nil {
			do := document.Line{Sentence: brief(document.Say(c.Do, ": ", c.Before.Words, " ", c.Before, " → ", c.After, "."))}
			if i > 0 {
				do.Severity = open[i].Severity // it does not mend the first
			} else {
				do.Sentence = capital(do.Sentence)
			}
			lines = append(lines, do)
			break
		}
	}
	return threeLines(append(lines, lockLine(p)))
}

// brief repeats a sentence in a verdict: without the figures' keys and their ±, and without the
// keys of the file, which stand where it is told in full.
func brief(s document.Sentence) document.Sentence {
	var parts []any
	for _, p := range s {
		switch p := p.(type) {
		case document.Figure:
			p.Key = ""
			parts = append(parts, p.Brief())
		case document.FileKey:
		default:
			parts = append(parts, p)
		}
	}
	return document.Say(parts...)
}

// lockLine says how far the rig steers once it is set up, and what ends that.
func lockLine(p *setup.Plan) document.Line {
	narrow := narrowEnd(p)
	left, right := angle(p.Ends[steer.Left].Inner).Brief().Named("lock.left", ""), angle(p.Ends[steer.Right].Inner).Brief().Named("lock.right", "")
	lock := document.Say(left, " left, ", right, " right")
	if reads(left) == reads(right) {
		lock = document.Say(left, " both ways")
	}
	if narrow.AsWanted() {
		return line("Lock once set up: ", lock, ", as wanted.")
	}
	return line("Lock once set up: ", lock, "; ", limitName(p, narrow), " ends it.")
}

// notLookedAt says that the loads lack something, if they do, and what.
func notLookedAt(lacks rig.Errors) (open, detail []document.Section) {
	if len(lacks) == 0 {
		return nil, nil
	}
	need := document.Say("The loads need more of the file")
	for _, e := range lacks {
		need = document.Say(need, document.FileKey(e.Key))
	}
	n := document.F(float64(len(lacks)), document.One).To(0).Named("lacks", "")
	open = []document.Section{{Key: "not_looked_at", Title: "Not looked at", Blocks: []document.Block{
		document.Text("Whether servo and rods are strong enough: the file lacks ", n, " figures for that."),
	}}}
	return open, []document.Section{{Key: "lacks", Title: "What the loads need", Detail: true, Blocks: []document.Block{document.Text(need, ".")}}}
}
