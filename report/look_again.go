package report

import (
	"math"
	"strconv"

	"evenlock/doubt"
	"evenlock/report/document"
	"evenlock/rig"
)

// LookAgain is a check of a rig that nothing can be worked out of: what is asked, and no more.
func LookAgain(r *rig.Rig, asked []doubt.Question) *document.Document {
	d := &document.Document{Kind: "check", Title: "Check", Rig: r.Name, Verdict: threeLines(askedLines(r, asked))}
	d.Sections = lookAgain(r, asked)
	return d
}

// askedLines is the verdict on what is asked: the first, and how many there are.
func askedLines(r *rig.Rig, asked []doubt.Question) []document.Line {
	if len(asked) == 0 {
		return nil
	}
	said := document.Say("Look again at ", questionName(r, &asked[0]))
	if asked[0].Known {
		said = document.Say(said, ": ", valueFigure(&asked[0], asked[0].Now), ", probably ", valueFigure(&asked[0], asked[0].Probably))
	}
	if more := len(asked) - 1; more > 0 {
		said = document.Say(said, ", and at ", more, " more")
	}
	return []document.Line{line(said, ".")}
}

// lookAgain lists what is asked.
func lookAgain(r *rig.Rig, asked []doubt.Question) []document.Section {
	if len(asked) == 0 {
		return nil
	}
	var all document.Findings
	for i := range asked {
		all = append(all, Question(r, &asked[i]))
	}
	return []document.Section{{Key: "look_again", Title: "Look again", Blocks: []document.Block{all}}}
}

// Question says what to look again at, what it probably should be, and why.
func Question(r *rig.Rig, q *doubt.Question) document.Finding {
	name := document.Say(document.Capital(questionName(r, q)))
	f := document.Finding{Key: q.Key, Headline: document.Say(name, ": unusual", document.FileKey(q.Key))}
	usual, about := document.Say("As it is, the steering cannot be put together and turned."), ""
	if odd := &q.Odd; odd.Usual != nil {
		about = odd.Of + per(odd)
		if odd.Part != "" {
			about = odd.Part + ", " + about
		}
		usual = document.Say("Usual is ", traitFigure(odd, odd.Least), " to ", traitFigure(odd, odd.Most), " (common practice).")
		if odd.File {
			usual = document.Say("The file itself has ", traitFigure(odd, odd.Least), " to ", traitFigure(odd, odd.Most), ".")
		}
	}
	if !q.Known {
		f.Text = document.Say(document.Capital(about), " is ", traitFigure(&q.Odd, q.Odd.Value), ". ", usual)
		return f
	}
	f.Headline = document.Say(name, " ", valueFigure(q, q.Now).Named(q.Key+".now", ""), ": probably ", valueFigure(q, q.Probably).Named(q.Key+".probably", ""), document.FileKey(q.Key))
	f.Text = document.Say(usual, " ", slipWords(r, q))
	f.Change = &document.Change{Do: document.Say("Measure it again"), Set: repairOf(q)}
	if about != "" {
		f.Change.Before = traitFigure(&q.Odd, q.Odd.Value).Named(q.Key+".before", about)
		f.Change.After = traitFigure(&q.Odd, q.Then).Named(q.Key+".after", about)
	}
	return f
}

func questionName(r *rig.Rig, q *doubt.Question) string {
	name := r.NameOf(q.Key)
	if q.Spread {
		name = "± of " + name
	}
	return name
}

// per says what a ratio is of.
func per(t *doubt.Trait) string {
	if t.Per == "" {
		return ""
	}
	return " in parts of the " + t.Per
}

func slipWords(r *rig.Rig, q *doubt.Question) string {
	switch q.Slip {
	case doubt.Inches:
		return "Inches and millimetres may be mixed up."
	case doubt.Sign:
		return "Its sign, or its side, may be the wrong one."
	case doubt.Swapped:
		return "It may be swapped with " + r.NameOf(q.Swap) + "."
	case doubt.Decimal:
		return "The decimal point may be a place off."
	case doubt.Unknown:
	}
	return ""
}

// valueFigure is a value as finely as the file says it, to a hundredth at most.
func valueFigure(q *doubt.Question, v float64) document.Figure {
	f := document.F(v, document.Length)
	switch {
	case !q.Quantity:
		f.Unit = document.One
	case q.Kind == rig.AngleKind:
		f.Unit, v = document.Angle, v/degree
	case q.Kind == rig.TorqueKind:
		return document.F(v, document.Torque)
	}
	decimals := 0
	for scale := 1.0; decimals < 2 && math.Abs(v*scale-math.Round(v*scale)) > 1e-6; scale *= 10 {
		decimals++
	}
	return f.To(decimals)
}

func traitFigure(t *doubt.Trait, v float64) document.Figure {
	switch t.Unit {
	case doubt.Degrees:
		return document.F(v, document.Angle)
	case doubt.Millimetres:
		return document.F(v, document.Length)
	case doubt.Ratio:
	}
	return document.F(v, document.One)
}

// repairOf puts what is probably right into the file.
func repairOf(q *doubt.Question) []document.Setting {
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	set := func(key string, v float64) document.Setting {
		switch {
		case !q.Quantity:
			return document.Setting{Key: key, Value: number(v)}
		case q.Kind == rig.AngleKind:
			return document.Setting{Key: key, Value: number(v / degree), Unit: "deg"}
		case q.Kind == rig.TorqueKind:
			return document.Setting{Key: key, Value: number(v/1000) + " N·m"}
		}
		return document.Setting{Key: key, Value: number(v), Unit: "mm"}
	}
	switch {
	case q.Spread:
		return nil // the value may be the slip as well
	case q.Swap != "":
		return []document.Setting{set(q.Key, q.Probably), set(q.Swap, q.Now)}
	}
	return []document.Setting{set(q.Key, q.Probably)}
}
