package document

import (
	"encoding/json"
	"fmt"
)

// The shapes of the JSON. Values are in the unit named beside them, which does not depend on the
// reader; texts are the reader's.
type (
	documentJSON struct {
		Kind     string        `json:"kind"`
		Title    string        `json:"title"`
		Rig      string        `json:"rig"`
		Axle     string        `json:"axle,omitempty"`
		Sides    string        `json:"sides,omitempty"`
		Units    string        `json:"units"`
		Verdict  []lineJSON    `json:"verdict"`
		Sections []sectionJSON `json:"sections"`
	}
	lineJSON struct {
		Severity string `json:"severity"`
		Words    string `json:"severity_words,omitempty"`
		sentenceJSON
	}
	sectionJSON struct {
		Key    string           `json:"key"`
		Title  string           `json:"title"`
		Detail bool             `json:"detail,omitempty"`
		Blocks []map[string]any `json:"blocks"`
	}
	sentenceJSON struct {
		Text    string       `json:"text"`
		Figures []figureJSON `json:"figures,omitempty"`
		Keys    []string     `json:"file_keys,omitempty"`
	}
	figureJSON struct {
		Key       string   `json:"key,omitempty"`
		Words     string   `json:"words,omitempty"`
		Value     *float64 `json:"value"`
		Uncertain float64  `json:"uncertain,omitempty"`
		Unit      string   `json:"unit,omitempty"`
		Text      string   `json:"text"`
		Note      string   `json:"note,omitempty"`
	}
	columnJSON struct {
		Key   string `json:"key"`
		Head  string `json:"head"`
		Means string `json:"means,omitempty"`
		// Unit is what the column is shown in, and Times what makes that of the values.
		Unit  string  `json:"unit_shown,omitempty"`
		Times float64 `json:"times,omitempty"`
		// Ways are the words of the negative and of the positive, where signs are words.
		Ways []string `json:"ways,omitempty"`
	}
	rowJSON struct {
		Severity string         `json:"severity,omitempty"`
		Words    string         `json:"severity_words,omitempty"`
		Cells    []sentenceJSON `json:"cells"`
	}
	plotJSON struct {
		Title  string     `json:"title,omitempty"`
		About  string     `json:"about,omitempty"`
		Across string     `json:"across"`
		Lines  []string   `json:"lines"`
		Marks  []markJSON `json:"marks,omitempty"`
	}
	markJSON struct {
		At    figureJSON `json:"at"`
		Words string     `json:"words"`
	}
	barJSON struct {
		Severity string       `json:"severity"`
		Words    sentenceJSON `json:"words"`
		Part     figureJSON   `json:"part"`
	}
	stepJSON struct {
		Key     string         `json:"key"`
		Title   string         `json:"title"`
		Do      sentenceJSON   `json:"do"`
		Leave   bool           `json:"leave,omitempty"`
		Why     []sentenceJSON `json:"why,omitempty"`
		Detail  []sentenceJSON `json:"detail,omitempty"`
		Caution string         `json:"caution,omitempty"`
		Set     []Setting      `json:"set,omitempty"`
	}
	findingJSON struct {
		Key      string       `json:"key"`
		Severity string       `json:"severity"`
		Words    string       `json:"severity_words"`
		Headline sentenceJSON `json:"headline"`
		Text     sentenceJSON `json:"text"`
		Change   *changeJSON  `json:"change"`
	}
	changeJSON struct {
		Do     sentenceJSON `json:"do"`
		Before figureJSON   `json:"before"`
		After  figureJSON   `json:"after"`
		Set    []Setting    `json:"set,omitempty"`
		Try    int          `json:"try,omitempty"`
	}
	noteJSON struct {
		Severity string       `json:"severity"`
		Words    string       `json:"severity_words,omitempty"`
		Problem  sentenceJSON `json:"problem"`
		Remedy   sentenceJSON `json:"remedy"`
	}
)

// JSON writes the document for programs and for the page. It is the same for both.
func (d *Document) JSON(r Reader) ([]byte, error) {
	out := documentJSON{Kind: d.Kind, Title: d.Title, Rig: d.Rig, Axle: d.Axle, Sides: d.Sides, Units: r.String(), Verdict: []lineJSON{}, Sections: []sectionJSON{}}
	for _, l := range d.Verdict {
		out.Verdict = append(out.Verdict, lineJSON{l.Severity.Key(), l.Severity.String(), r.sentence(l.Sentence)})
	}
	for i := range d.Sections {
		s := &d.Sections[i]
		one := sectionJSON{Key: s.Key, Title: s.Title, Detail: s.Detail, Blocks: []map[string]any{}}
		for _, b := range s.Blocks {
			one.Blocks = append(one.Blocks, r.block(b))
		}
		out.Sections = append(out.Sections, one)
	}
	text, err := json.Marshal(out)
	if err != nil {
		return nil, fmt.Errorf("document: %w", err)
	}
	return text, nil
}

// Shown is a figure for a reader, for what is no document: a list of measurements, a setting. Its
// JSON is that of a figure in a document.
type Shown struct {
	Figure
	Reader Reader
}

// MarshalJSON writes it as a document's JSON has it.
func (s Shown) MarshalJSON() ([]byte, error) { return json.Marshal(s.Reader.figure(s.Figure)) }

func (r Reader) figure(f Figure) figureJSON {
	s := metric[f.Unit]
	one := figureJSON{Key: f.Key, Words: f.Words, Unit: s.key, Text: f.Text(r), Note: f.Note}
	if f.Available() {
		v := f.Value*s.times + 0 // and not -0
		one.Value = &v
		one.Uncertain = f.Uncertain * s.times
	}
	return one
}

func (r Reader) sentence(s Sentence) sentenceJSON {
	one := sentenceJSON{Text: s.Text(r), Keys: s.Keys()}
	for _, f := range s.Figures() {
		one.Figures = append(one.Figures, r.figure(f))
	}
	return one
}

func (r Reader) sentences(all []Sentence) []sentenceJSON {
	out := make([]sentenceJSON, len(all))
	for i, s := range all {
		out[i] = r.sentence(s)
	}
	return out
}

func (r Reader) block(b Block) map[string]any {
	out := map[string]any{"type": b.kind()}
	switch b := b.(type) {
	case Paragraph:
		out["sentence"] = r.sentence(Sentence(b))
	case Figures:
		out["figures"] = each(b, r.figure)
	case Table:
		r.table(out, &b)
	case Bars:
		out["bars"] = each(b, func(one Bar) barJSON {
			return barJSON{one.Severity.Key(), r.sentence(one.Words), r.figure(one.Part)}
		})
	case Steps:
		out["steps"] = each(b, func(s Step) stepJSON {
			return stepJSON{s.Key, s.Title, r.sentence(s.Do), s.Leave, r.sentences(s.Why), r.sentences(s.Detail), s.Caution, s.Set}
		})
	case Findings:
		out["findings"] = each(b, r.finding)
	case Notes:
		out["notes"] = each(b, func(n Note) noteJSON {
			return noteJSON{n.Severity.Key(), n.Severity.String(), r.sentence(n.Problem), r.sentence(n.Remedy)}
		})
	case Cautions:
		out["cautions"] = []string(b)
	}
	return out
}

func (r Reader) finding(f Finding) findingJSON {
	one := findingJSON{f.Key, f.Severity.Key(), f.Severity.String(), r.sentence(f.Headline), r.sentence(f.Text), nil}
	if c := f.Change; c != nil {
		one.Change = &changeJSON{r.sentence(c.Do), r.figure(c.Before), r.figure(c.After), c.Set, c.Try}
	}
	return one
}

func (r Reader) table(out map[string]any, t *Table) {
	out["key"] = t.Key
	columns := make([]columnJSON, len(t.Columns))
	for i, c := range t.Columns {
		columns[i] = columnJSON{Key: c.Key, Head: c.Head, Means: c.Means}
		if f, ok := t.figureIn(i); ok {
			s := f.scaleFor(r)
			columns[i].Unit, columns[i].Times = s.symbol, s.times/metric[f.Unit].times
			if f.Direction != (Direction{}) {
				columns[i].Ways = []string{f.Direction.Negative, f.Direction.Positive}
			}
		}
	}
	out["columns"] = columns
	out["rows"] = each(t.Rows, func(row Row) rowJSON {
		return rowJSON{row.Severity.Key(), row.Severity.String(), r.sentences(row.Cells)}
	})
	if t.Plot != nil {
		out["plot"] = r.plot(t.Plot)
	}
	if shown := t.Thinned(); len(shown) < len(t.Rows) {
		out["shown"] = shown
	}
	if t.More != nil {
		out["more_plots"] = each(t.More, r.plot)
	}
}

func (r Reader) plot(p *Plot) plotJSON {
	return plotJSON{p.Title, p.About, p.Across, p.Lines, each(p.Marks, func(m Mark) markJSON { return markJSON{r.figure(m.At), m.Words} })}
}

// figureIn gives a figure of a column, to know what all of them are of.
func (t *Table) figureIn(column int) (Figure, bool) {
	for _, row := range t.Rows {
		for _, f := range row.Cells[column].Figures() {
			return f, true
		}
	}
	return Figure{}, false
}

func each[A any, T any](all []A, f func(A) T) []T {
	out := make([]T, len(all))
	for i, one := range all {
		out[i] = f(one)
	}
	return out
}
