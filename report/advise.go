package report

import (
	"io"
	"strings"

	"evenlock/advise"
)

// Advice writes what to change on a rig, what matters most first, as text of at most 80 columns.
func Advice(w io.Writer, s *advise.Evaluation, list []advise.Finding) error {
	var t printer
	t.title("ADVICE on ", s.Rig.Name)
	t.line("")
	t.cautions()
	heading := ""
	for _, p := range list {
		if h := adviceHeading(&p); h != heading {
			heading = h
			t.line("")
			t.line("%s", wrap(h, 2))
		}
		if p.Weight > 0 {
			t.line("  %6s  %s", number(p.Weight/degree, 1)+"°", wrap(p.Sentence, 10))
		} else {
			t.line("  - %s", wrap(p.Sentence, 4))
		}
	}
	if len(s.Lacks) > 0 {
		var keys []string
		for _, e := range s.Lacks {
			keys = append(keys, e.Key)
		}
		t.line("")
		t.line("NOT LOOKED AT")
		t.line("  - %s", wrap("The loads: the file leaves out "+strings.Join(keys, ", ")+". evenlock load says how to find them.", 4))
	}
	t.line("")
	t.line("NOTES")
	t.line("  - %s", wrap("Each change was tried by itself, on the rig as it is: make one, measure, and ask again.", 4))
	t.line("  - %s", wrap("Steering is looked at as evenlock setup sets it up, loads as the file has the rig.", 4))
	_, err := io.WriteString(w, t.String())
	return err
}

// adviceHeading is what a piece stands under; the order of the list keeps those of a heading together.
func adviceHeading(p *advise.Finding) string {
	if p.Weight > 0 {
		return "AT STAKE, the most first, in degrees of a steered wheel"
	}
	return map[advise.Kind]string{
		advise.Do: "TO GAIN, though not in degrees of a wheel", advise.Know: "TO KNOW", advise.Unsure: "NOT SURE, so nothing is to be done by it", advise.Well: "WELL AS IT IS",
	}[p.Kind]
}

type adviceDoc struct {
	Rig         string            `json:"rig"`
	Definitions map[string]string `json:"definitions"`
	Cautions    []string          `json:"cautions"`
	List        []pieceDoc        `json:"list"`
	Lacks       []noteDoc         `json:"loads_lack"`
}

type pieceDoc struct {
	Key      string           `json:"key"`
	Kind     string           `json:"kind"`
	Weight   Figure           `json:"weight"`
	Sentence string           `json:"sentence"`
	Figures  []adviceFigure   `json:"figures"`
	Change   *adviceChangeDoc `json:"change"`
}

type adviceFigure struct {
	Words string `json:"words"`
	Figure
}

type adviceChangeDoc struct {
	Words  string       `json:"words"`
	Before adviceFigure `json:"before"`
	After  adviceFigure `json:"after"`
}

func adviceFigureOf(f advise.Figure) adviceFigure {
	return adviceFigure{f.Words, plain(f.Value, f.Uncertain, f.Unit)}
}

// AdviceJSON writes the same as JSON, with the figures behind each sentence.
func AdviceJSON(w io.Writer, s *advise.Evaluation, list []advise.Finding) error {
	d := adviceDoc{
		Rig: s.Rig.Name, Cautions: Cautions, List: []pieceDoc{}, Lacks: []noteDoc{},
		Definitions: map[string]string{
			"weight": "degrees of a steered wheel at stake, beyond the uncertainty; 0 for what has no such price",
			"kind":   "do: a change that was tried; know: nothing tried mends it, or it is a trade; unsure: within the uncertainty; well: leave it",
			"change": "what was tried by building the rig anew, with the same figure before and after",
		},
	}
	for _, p := range list {
		one := pieceDoc{Key: p.Key, Kind: p.Kind.String(), Weight: plain(p.Weight/degree, 0, "°"), Sentence: p.Sentence, Figures: []adviceFigure{}}
		for _, f := range p.Figures {
			one.Figures = append(one.Figures, adviceFigureOf(f))
		}
		if c := p.Change; c != nil {
			one.Change = &adviceChangeDoc{c.Words, adviceFigureOf(c.Before), adviceFigureOf(c.After)}
		}
		d.List = append(d.List, one)
	}
	for _, e := range s.Lacks {
		d.Lacks = append(d.Lacks, noteDoc{e.Key + " " + e.Problem, e.Remedy})
	}
	return writeJSON(w, d)
}
