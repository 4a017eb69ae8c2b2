package document

import "iter"

// Document is one result.
type Document struct {
	// Kind names the result: "setup", "load". Rig is the rig's name.
	Kind, Rig string
	// Axle is front or rear, where both steer and the document is about the one.
	Axle string
	// Sides says what left and right are of, where that is not plain.
	Sides string
	// Title is a heading for it: "Set-up".
	Title string
	// Verdict is at most three lines: what to do, what it gains, what stops it.
	Verdict  []Line
	Sections []Section
}

// Line is a sentence with how bad it is.
type Line struct {
	Severity Severity
	Sentence Sentence
}

// Severity tells how bad something is.
type Severity int

// The severities, the worst last. Plain is for what is neither good nor bad.
const (
	Plain Severity = iota
	Fine
	TooClose
	WorthFixing
	MustFix
)

// String gives the words of a severity; Plain has none.
func (s Severity) String() string {
	return [...]string{"", "Fine", "Too close to call", "Worth fixing", "Must fix"}[s]
}

// Key names a severity for programs and style sheets.
func (s Severity) Key() string {
	return [...]string{"plain", "fine", "too-close", "worth-fixing", "must-fix"}[s]
}

// Sign is the mark of a severity where there is no room for words.
func (s Severity) Sign() string { return [...]string{" ", " ", "?", "+", "!"}[s] }

// Section is a part of a document.
type Section struct {
	// Key is stable and unique in the document.
	Key, Title string
	// Detail is for who asks for everything: --all at the command line, folded on the page.
	Detail bool
	Blocks []Block
}

// Block is something that stands in a section: a Paragraph, Figures, Table, Bars, Steps, Findings,
// Notes or Cautions.
type Block interface{ kind() string }

// Paragraph is a sentence or more of running text.
type Paragraph Sentence

// Figures are numbers below one another, each after the words for what it is of.
type Figures []Figure

// Table is rows of cells. Each row has as many cells as there are columns.
type Table struct {
	// Key is stable and unique in the document.
	Key     string
	Columns []Column
	Rows    []Row
	// Plot tells a page what to draw of it, nil for nothing; More is what to draw below that, of
	// columns in other units.
	Plot *Plot
	More []*Plot
	// Thin is how many rows a text shows unless it is asked for all, and a page below a plot, the
	// first and the last among them; zero for all.
	Thin int
}

// Column is a column of a table.
type Column struct {
	Key string
	// Head stands above it; Means explains it below the table, where that is needed.
	Head, Means string
	// Bars draws each cell's figure beside it, where a text has room: as a part of Whole, past a
	// mark where it is more, or of the greatest in the column if Whole is zero.
	Bars  bool
	Whole float64
}

// Row is a row of a table.
type Row struct {
	Severity Severity
	Cells    []Sentence
}

// Plot is a table's columns as curves: what lies across, and the lines over it, by the columns'
// keys. Without a Title it has that of its section.
type Plot struct {
	Title, About string
	Across       string
	Lines        []string
	// Marks are levels that mean something, with their words.
	Marks []Mark
}

// Mark is a level in a plot, in the unit shown of its lines.
type Mark struct {
	At    Figure
	Words string
}

// Bars are parts of a whole, drawn.
type Bars []Bar

// Bar is a part of one; more than 1 is more than all that there is.
type Bar struct {
	Severity Severity
	Words    Sentence
	Part     Figure
}

// Steps are pieces of work in the order that they are done.
type Steps []Step

// Step is one piece of work.
type Step struct {
	Key, Title string
	// Do is what to do, in as few words as can be. Leave marks a step in which all stays as it is.
	Do    Sentence
	Leave bool
	// Why and Detail are the reasons and what to look out for; Detail is for who asks for
	// everything.
	Why, Detail []Sentence
	Caution     string
	// Set is what the rig file says once it is done.
	Set []Setting
}

// Setting is a value for a key of the rig file; Unit is that of its numbers, where it is not the
// file's own.
type Setting struct {
	Key   string `json:"key"`
	Value string `json:"value"`
	Unit  string `json:"unit,omitempty"`
}

// Findings are what is good and bad about a rig, the worst first.
type Findings []Finding

// Finding is one of them.
type Finding struct {
	Key      string
	Severity Severity
	// Headline is ten words at most; Text says the rest.
	Headline, Text Sentence
	// Change is what was tried to mend it, nil if nothing is proposed.
	Change *Change
}

// Change is a change that was tried.
type Change struct {
	// Do says what to do.
	Do Sentence
	// Before and After are the same figure without and with it.
	Before, After Figure
	// Set is what the rig file then says; empty where the change is more than values of the file.
	Set []Setting
	// Try is the number of an offer that is tried by it, for changes that Set cannot say; zero
	// otherwise.
	Try int
}

// Notes are remarks, each with what to do about it.
type Notes []Note

// Note is what is so, and what to do about it, if anything.
type Note struct {
	Severity        Severity
	Problem, Remedy Sentence
}

// Cautions are what can hurt, where it can.
type Cautions []string

func (Paragraph) kind() string { return "text" }
func (Figures) kind() string   { return "figures" }
func (Table) kind() string     { return "table" }
func (Bars) kind() string      { return "bars" }
func (Steps) kind() string     { return "steps" }
func (Findings) kind() string  { return "findings" }
func (Notes) kind() string     { return "notes" }
func (Cautions) kind() string  { return "cautions" }

// Text makes a block of running text, as Say does.
func Text(parts ...any) Paragraph { return Paragraph(Say(parts...)) }

// Worst is the worst severity of a document's verdict, findings, notes and rows.
func (d *Document) Worst() Severity {
	worst := Plain
	take := func(s Severity) { worst = max(worst, s) }
	for _, l := range d.Verdict {
		take(l.Severity)
	}
	for b := range d.blocks() {
		switch b := b.(type) {
		case Table:
			for _, r := range b.Rows {
				take(r.Severity)
			}
		case Bars:
			for _, one := range b {
				take(one.Severity)
			}
		case Findings:
			for _, f := range b {
				take(f.Severity)
			}
		case Notes:
			for _, n := range b {
				take(n.Severity)
			}
		}
	}
	return worst
}

func (d *Document) blocks() iter.Seq[Block] {
	return func(yield func(Block) bool) {
		for i := range d.Sections {
			for _, b := range d.Sections[i].Blocks {
				if !yield(b) {
					return
				}
			}
		}
	}
}

// All goes through every figure of the document, in order.
func (d *Document) All() iter.Seq[Figure] {
	return func(yield func(Figure) bool) {
		of := func(figures ...Figure) bool {
			for _, f := range figures {
				if !yield(f) {
					return false
				}
			}
			return true
		}
		said := func(all ...Sentence) bool {
			for _, s := range all {
				if !of(s.Figures()...) {
					return false
				}
			}
			return true
		}
		for _, l := range d.Verdict {
			if !said(l.Sentence) {
				return
			}
		}
		for b := range d.blocks() {
			if !figuresOf(b, of, said) {
				return
			}
		}
	}
}

// figuresOf hands a block's figures on, until they are not wanted any more.
func figuresOf(b Block, of func(...Figure) bool, said func(...Sentence) bool) bool {
	switch b := b.(type) {
	case Paragraph:
		return said(Sentence(b))
	case Figures:
		return of(b...)
	case Table:
		for _, r := range b.Rows {
			if !said(r.Cells...) {
				return false
			}
		}
	case Bars:
		for _, one := range b {
			if !said(one.Words) || !of(one.Part) {
				return false
			}
		}
	case Steps:
		for i := range b {
			if !said(b[i].Do) || !said(b[i].Why...) || !said(b[i].Detail...) {
				return false
			}
		}
	case Findings:
		for i := range b {
			f := &b[i]
			if !said(f.Headline, f.Text) {
				return false
			}
			if c := f.Change; c != nil && (!said(c.Do) || !of(c.Before, c.After)) {
				return false
			}
		}
	case Notes:
		for _, n := range b {
			if !said(n.Problem, n.Remedy) {
				return false
			}
		}
	}
	return true
}

// Find gives the figure with a key; ok is false if there is none.
func (d *Document) Find(key string) (f Figure, ok bool) {
	for f := range d.All() {
		if f.Key == key {
			return f, true
		}
	}
	return Figure{}, false
}
