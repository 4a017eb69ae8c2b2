package engine

import "evenlock/advise"

// AdviceDocument is the advice on a rig, what matters most first.
type AdviceDocument struct {
	List []Advice `json:"list"`
	// Lacks is what the rig file leaves out that the loads need.
	Lacks    Problems `json:"lacks"`
	Cautions []string `json:"cautions"`
}

// Advice is one piece of it.
type Advice struct {
	Key string `json:"key"`
	// Kind is do, know, unsure or well.
	Kind string `json:"kind"`
	// Weight is in degrees of a steered wheel.
	Weight   Figure          `json:"weight"`
	Sentence string          `json:"sentence"`
	Figures  []WordedFigure  `json:"figures"`
	Change   *ProposedChange `json:"change"`
}

// WordedFigure is a figure with what it is of.
type WordedFigure struct {
	Words string `json:"words"`
	Figure
}

// ProposedChange is a change that was tried, with the same figure before and after.
type ProposedChange struct {
	Words  string       `json:"words"`
	Before WordedFigure `json:"before"`
	After  WordedFigure `json:"after"`
	// Set is what to hand to SetAll to try it; empty where the change is more than values of the file.
	Set []Setting `json:"set"`
}

// Advise returns the advice on the rig. The errors are those of advise.Of, as Problems.
func (s *Session) Advise() (AdviceDocument, error) {
	d := AdviceDocument{List: []Advice{}, Lacks: Problems{}, Cautions: []string{cautionPrepare, cautionStall}}
	list, evaluation, err := advise.Of(s.moved.rig)
	if err != nil {
		return d, ProblemsOf(err)
	}
	if len(evaluation.Lacks) > 0 {
		d.Lacks = ProblemsOf(evaluation.Lacks)
	}
	for _, p := range list {
		one := Advice{
			Key: p.Key, Kind: p.Kind.String(), Weight: figure(p.Weight/degree, 0, "°", false),
			Sentence: p.Sentence, Figures: []WordedFigure{},
		}
		for _, f := range p.Figures {
			one.Figures = append(one.Figures, wordedFigure(f))
		}
		if c := p.Change; c != nil {
			one.Change = &ProposedChange{c.Words, wordedFigure(c.Before), wordedFigure(c.After), []Setting{}}
			for _, set := range c.Set {
				one.Change.Set = append(one.Change.Set, Setting(set))
			}
		}
		d.List = append(d.List, one)
	}
	return d, nil
}

func wordedFigure(f advise.Figure) WordedFigure {
	unit := f.Unit
	if unit == "1" {
		unit = ""
	}
	out := WordedFigure{f.Words, figure(f.Value, f.Uncertain, unit, false)}
	if _, known := unitDecimals[unit]; !known {
		// Torques, forces and times are worth two decimals where nothing states their uncertainty.
		out.Text = rounded(f.Value, 2) + " " + unit
	}
	return out
}
