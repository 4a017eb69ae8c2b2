package engine

import (
	"bytes"
	"cmp"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"evenlock/draw"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

// entry is one text of a rig with what made it of the one before.
type entry struct {
	text []byte
	did  string
}

// Session is one rig on the page: its text with every change that can be undone, and its drawing.
// It is for one goroutine.
type Session struct {
	history []entry
	at      int

	// axle is the number of the axle that is asked for.
	axle   int
	moved  moved
	full   *steer.Model // with uncertainties, made when asked for
	scene  *draw.Scene
	number int // grows with each new scene
	layout layout
	values []float64
	// reader is the units in which the moving numbers are shown.
	reader document.Reader

	stick float64
	// travel is where the suspension was asked to be.
	travel  steer.WheelTravel
	bearing bearing
	// guides are the lines that are shown while guided.
	guided bool
	guides []draw.ZeroSteerLine
	why    string
	drag   *drag
	ghost  ghost
	other  []byte // the text that ghostOther is of
	shadow *moved // what the ghost is of; nil for none
}

// moved is a rig ready to be moved: without uncertainties, which cost time.
type moved struct {
	rig   *rig.Rig
	axle  int
	model *steer.Model
	state *steer.State
	stick setup.Stick
	// stops are the limits clockwise and counter-clockwise, where looked for.
	stops  [2][]steer.Stop
	looked [2]bool
	// marks are the limits that the drawing can show, and most where those are met that the file
	// states.
	marks []limitMark
	most  []float64
	// rest stands at ride height, for what the wheel travel has done; made when first asked for.
	rest *steer.State
	// cannotTravel says why a rig with a suspension is without it here.
	cannotTravel Problems
}

// ghost is what the faint drawing shows.
type ghost int

const (
	ghostPrevious ghost = iota
	ghostOff
	ghostOther
)

// Open takes the text of a rig file. The error is Problems, with the lines of the text.
func Open(text []byte) (*Session, error) {
	s := &Session{axle: 1}
	m, err := read(text, s.axle)
	if err != nil {
		return nil, err
	}
	s.history = []entry{{text: bytes.Clone(text)}}
	s.take(m)
	return s, nil
}

// StarterInfo is a starter file for the page.
type StarterInfo struct {
	Name    string `json:"name"`
	Summary string `json:"summary"`
	Text    string `json:"text"`
}

// Cautions are what can hurt, for the sections of a page that are no documents, by where they
// belong.
func Cautions() map[string]string {
	return map[string]string{
		"power": report.Power, "measuring": report.Measuring, "drilling": report.Drilling, "road": report.OnTheRoad,
	}
}

// Starters lists the starter files.
func Starters() []StarterInfo {
	all := []StarterInfo{}
	for _, s := range rig.Starters() {
		all = append(all, StarterInfo{s.Name, s.Summary, string(s.Text)})
	}
	return all
}

// Uncertainties of a draft's values, which mean "not measured yet": so wide that nothing
// rests on the value, and wide enough to show as such in every band.
const (
	draftLength = 5.0 // mm
	draftAngle  = 5 * degree
)

// unmeasured tells whether a value stands for one that was not measured yet.
func unmeasured(q rig.Measurement) bool {
	if q.Kind == rig.AngleKind {
		return q.Q.Uncertainty >= draftAngle*(1-1e-9)
	}
	return q.Q.Uncertainty >= draftLength*(1-1e-9)
}

// Start opens a draft: a starter file whose every measured value is marked "± 5", which stands for
// not measured yet, so that there is a drawing from the first moment.
func Start(name string) (*Session, error) {
	for _, st := range rig.Starters() {
		if st.Name != name {
			continue
		}
		text := st.Text
		r, err := rig.Read(bytes.NewReader(text), "")
		if err != nil {
			return nil, ProblemsOf(err)
		}
		for _, q := range r.Measurements() {
			value := q.Q.Value
			if q.Kind == rig.AngleKind {
				value /= degree
			}
			if text, err = rig.Edit(text, q.Path, short(value, 6)+" ± 5"); err != nil {
				return nil, ProblemsOf(err)
			}
		}
		return Open(text)
	}
	return nil, problem("", quoteWord(name)+" is not a starter", "choose one of the list")
}

func quoteWord(s string) string { return strconv.Quote(s) }

// read makes an axle of a text ready to be moved.
func read(text []byte, axle int) (*moved, error) {
	r, err := rig.Read(bytes.NewReader(text), "")
	if err != nil {
		return nil, ProblemsOf(err)
	}
	return newMoved(r, axle)
}

// newMoved takes the first axle of a rig that does not steer by the one asked for.
func newMoved(r *rig.Rig, axle int) (*moved, error) {
	if r.Of(axle) == nil {
		axle = 1
	}
	m := &moved{rig: r, axle: axle}
	if err := m.build(r.Exact(), true); err != nil {
		return nil, err
	}
	m.stick = setup.NewStick(m.model, m.stopsTo)
	return m, nil
}

// file is what the file says of the axle.
func (m *moved) file() *rig.OfAxle { return m.rig.Of(m.axle) }

// build works out the model of a rig without uncertainties: riding on its suspension, if it has one
// and it is asked for.
func (m *moved) build(quiet *rig.Rig, suspended bool) error {
	model, err := steer.Build(quiet, steer.Options{Axle: m.axle, Suspended: suspended})
	if err != nil && suspended {
		m.cannotTravel = ProblemsOf(err)
		model, err = steer.Build(quiet, steer.Options{Axle: m.axle})
	}
	if err != nil {
		return ProblemsOf(err)
	}
	m.model, m.state, m.marks = model, model.NewState(), limitsOf(model)
	m.most = nil
	for _, l := range model.Limits() {
		m.most = append(m.most, l.Most)
	}
	return nil
}

// warnings are what is wrong with a rig although it can be moved.
func (m *moved) warnings() Problems {
	all := Problems{}
	if _, err := m.model.Stops(1); err != nil {
		all = append(all, ProblemsOf(err)...)
	}
	all = append(all, m.cannotTravel...)
	return append(all, ProblemsOf(m.stick.Problem)...)
}

// take makes a rig the session's, with a new drawing if the one that is does not fit it.
func (s *Session) take(m *moved) {
	s.moved, s.full = *m, nil
	if !m.model.Suspended() {
		s.travel = steer.WheelTravel{}
	}
	s.fit()
	s.setShadow()
	s.guide()
	s.refill()
}

func (s *Session) fit() {
	handles := handlesOf(s.moved.model)
	words := s.moved.limitWords()
	if s.scene == nil || !s.scene.Fits(s.moved.model) || !sameHandles(handles, s.layout.handles) || !slices.Equal(words, s.layout.limits) || s.layout.reader != s.reader {
		s.scene = draw.New(s.moved.model, words)
		s.number++
		s.layout = newLayout(s.scene.Length, handles, &s.moved, s.reader)
		s.values = make([]float64, s.layout.length)
		return
	}
	for i := range handles {
		handles[i].At, handles[i].StepWords = s.layout.handles[i].At, s.layout.handles[i].StepWords
	}
	s.layout.handles = handles
}

// SetReader chooses the units in which the numbers that move along are shown. Unless they are those
// already, the drawing gets a new number, and Scene says what stands behind the numbers from then
// on.
func (s *Session) SetReader(r document.Reader) {
	s.reader = r
	if s.layout.reader != r {
		s.fit()
		s.refill()
	}
}

// unit is how a unit is shown to the reader: what makes the number shown of the one inside, to how
// many decimals, and what stands behind it.
func (l *layout) unit(u document.Unit) (times float64, digits int, after string) {
	_, times, digits = l.reader.Shown(u)
	return times, digits, l.reader.Suffix(u)
}

func sameHandles(a, b []Handle) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].Key != b[i].Key || a[i].View != b[i].View || strings.Join(a[i].Changes, " ") != strings.Join(b[i].Changes, " ") {
			return false
		}
	}
	return true
}

// setShadow makes the ghost of the axle that is drawn: that of the rig before the last change, or of
// the other text. There is none of an axle that does not steer there.
func (s *Session) setShadow() {
	s.shadow = nil
	text := s.other
	switch {
	case s.ghost == ghostOff || s.ghost == ghostPrevious && s.at == 0:
		return
	case s.ghost == ghostPrevious:
		text = s.history[s.at-1].text
	}
	if m, err := read(text, s.axle); err == nil && m.axle == s.moved.axle {
		s.shadow = m
	}
}

// Ghost chooses the faint drawing: "previous", "off", or that of the text of a rig file.
func (s *Session) Ghost(what string) error {
	switch what {
	case "previous":
		s.ghost = ghostPrevious
	case "off":
		s.ghost = ghostOff
	default:
		if _, err := read([]byte(what), s.axle); err != nil {
			return err
		}
		s.ghost, s.other = ghostOther, []byte(what)
	}
	s.setShadow()
	s.refill()
	return nil
}

// SetAxle chooses the axle that everything is of from then on, 1 in front and 2 at the rear. A rig
// that comes to lack it, by undo for one, shows its first.
func (s *Session) SetAxle(number int) error {
	if s.moved.rig.Of(number) == nil {
		return problem("", "no such axle steers", "choose the front axle")
	}
	s.Cancel()
	if number == s.axle {
		return nil
	}
	was := s.axle
	s.axle = number
	err := s.goTo(s.at)
	if err != nil {
		s.axle = was
	}
	return err
}

// Text returns the rig file.
func (s *Session) Text() string { return string(s.history[s.at].text) }

// Replace puts a whole new text in place, as one change.
func (s *Session) Replace(text []byte) error {
	return s.change(bytes.Clone(text), "replaced the whole file")
}

// change makes a text the newest, if it is one of a rig.
func (s *Session) change(text []byte, did string) error {
	if bytes.Equal(text, s.history[s.at].text) {
		s.refill()
		return nil
	}
	m, err := read(text, s.axle)
	if err != nil {
		return err
	}
	s.history = append(s.history[:s.at+1:s.at+1], entry{text, did})
	s.at++
	s.take(m)
	return nil
}

// Undo takes the last change back. It is an error if there is none.
func (s *Session) Undo() error {
	if s.at == 0 {
		return problem("", "there is nothing to undo", "")
	}
	return s.goTo(s.at - 1)
}

// Redo makes the change again that Undo took back. It is an error if there is none.
func (s *Session) Redo() error {
	if s.at == len(s.history)-1 {
		return problem("", "there is nothing to redo", "")
	}
	return s.goTo(s.at + 1)
}

func (s *Session) goTo(at int) error {
	m, err := read(s.history[at].text, s.axle)
	if err != nil {
		return err
	}
	s.drag = nil
	s.at = at
	s.take(m)
	return nil
}

var bareNumber = regexp.MustCompile(`^\s*[+\-−]?\d*[.]?\d+\s*$`)

// Set changes one value of the rig file, as a person types it. A bare number keeps the uncertainty
// that stands in the file, but one that stands for "not measured yet" becomes the rig's accuracy. A
// measured length without a unit is in the reader's.
func (s *Session) Set(key, value string) error {
	setting := rig.Setting{Key: key, Value: value}
	for _, q := range s.moved.rig.Measurements() {
		if q.Path == key {
			setting = s.typed(q, value)
		}
	}
	text, err := rig.EditAll(s.history[s.at].text, setting)
	if err != nil {
		return ProblemsOf(err)
	}
	return s.change(text, "set "+s.moved.rig.NameOf(key)+" to "+value)
}

// statesUnit finds the unit in a length as it is written.
var statesUnit = regexp.MustCompile(`(?:mm|in)\b`)

// typed is what a person means who types a value for a measurement.
func (s *Session) typed(q rig.Measurement, value string) rig.Setting {
	setting := rig.Setting{Key: q.Path, Value: strings.TrimSpace(value)}
	if setting.Value == "" {
		return setting
	}
	unit := s.typingUnit(q)
	switch bare := bareNumber.MatchString(value); {
	case bare && unmeasured(q):
		setting.Value += " ± " + s.accuracy(q.Kind)
		if unit := s.lengthUnit(); q.Kind == rig.LengthKind && unit != cmp.Or(s.moved.rig.Unit, "mm") {
			setting.Value += " " + unit
		}
	case bare:
		setting.Unit = unit
	case unit != "" && !statesUnit.MatchString(value):
		setting.Value += " " + unit
	}
	return setting
}

// lengthUnit is the unit in which the reader types lengths.
func (s *Session) lengthUnit() string {
	if s.reader.Length == document.Inches {
		return "in"
	}
	return "mm"
}

// typingUnit is the unit in which the reader types a measured length, where that is another than
// the one in which the file has it; else "".
func (s *Session) typingUnit(q rig.Measurement) string {
	if q.Kind != rig.LengthKind {
		return ""
	}
	inFile := statesUnit.FindString(rawOf(s.history[s.at].text).at(q.Path))
	if unit := s.lengthUnit(); unit != cmp.Or(inFile, s.moved.rig.Unit, "mm") {
		return unit
	}
	return ""
}

// entryOf is a measurement as a person may edit it: as it stands in the file, but a length in the
// reader's unit.
func (s *Session) entryOf(q rig.Measurement, written string) string {
	unit := s.typingUnit(q)
	if unit == "" {
		return written
	}
	each, decimals := 1.0, 2
	if unit == "in" {
		each, decimals = inch, 4
	}
	text := short(q.Q.Value/each, decimals)
	if spread := short(q.Q.Uncertainty/each, decimals); strings.Contains(written, "±") || strings.Contains(written, "+") {
		text += " ± " + spread
	}
	return text
}

// Accuracies taken where the rig file states none (common practice: calipers and a protractor
// on parts that one can reach).
const (
	usualLength = 0.3 // mm
	usualAngle  = 1.5 // degrees
)

// accuracy is the uncertainty of a measured value that states none, in degrees or the reader's
// unit.
func (s *Session) accuracy(k rig.Kind) string {
	a := s.moved.rig.Accuracy
	if k == rig.AngleKind {
		if a.Angle.Value > 0 && a.Angle.Value < draftAngle {
			return short(a.Angle.Value/degree, 3)
		}
		return short(usualAngle, 3)
	}
	length := usualLength
	if a.Length.Value > 0 && a.Length.Value < draftLength {
		length = a.Length.Value
	}
	if s.lengthUnit() == "in" {
		length /= inch
	}
	return short(length, 4)
}

const inch = 25.4 // mm, exact

// short writes a number to so many decimals at most.
func short(x float64, decimals int) string {
	scale := math.Pow10(decimals)
	x = math.Round(x*scale) / scale
	if x == 0 {
		x = 0 // not -0
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// State is where a session stands.
type State struct {
	ID   int    `json:"id"`
	Name string `json:"name"`
	Text string `json:"text"`
	// Scene grows when the drawing has other shapes.
	Scene int `json:"scene"`
	// Undo and Redo say what they would take back or do again, empty if nothing.
	Undo string `json:"undo"`
	Redo string `json:"redo"`
	// Draft says that something is not measured yet: Missing of Missing+Measured.
	Draft    bool `json:"draft"`
	Missing  int  `json:"missing"`
	Measured int  `json:"measured"`
	// Later counts what is not measured yet of that which the set-up does without.
	Later int `json:"later"`
	// Trim is what trim moves by the file: centre, whole, or empty if nobody tested it.
	Trim string `json:"trim"`
	// Screen is what the transmitter shows: percent, µs or steps.
	Screen string `json:"screen"`
	// Stick is calibrated or assumed; StickWords say what it does.
	Stick      string   `json:"stick"`
	StickWords string   `json:"stickWords"`
	Warnings   Problems `json:"warnings"`
	// Axle is the number of the axle that all is of, Axles are those to choose from, none while only
	// the front one steers. Prefix begins the keys of the axle's tables in the file.
	Axle   int      `json:"axle"`
	Axles  []string `json:"axles"`
	Prefix string   `json:"prefix"`
	// Travel is nil for a rig that does not ride on a suspension.
	Travel *TravelRange `json:"wheelTravel"`
}

// State tells where the session stands.
func (s *Session) State() State {
	st := State{
		Name: s.moved.rig.Name, Text: s.Text(), Scene: s.number,
		Undo: s.history[s.at].did, Stick: stickKind(&s.moved.stick), StickWords: s.stickWords(),
		Trim: s.moved.file().Transmitter.Trim, Screen: s.moved.file().Transmitter.Screen().String(), Warnings: s.moved.warnings(),
		Axle: s.moved.axle, Axles: []string{}, Prefix: s.moved.file().Prefix,
	}
	if s.moved.rig.Rear != nil {
		st.Axles = report.Axles
	}
	if s.at+1 < len(s.history) {
		st.Redo = s.history[s.at+1].did
	}
	for _, q := range s.moved.rig.Measurements() {
		switch {
		case !unmeasured(q):
			st.Measured++
		case s.moved.later(q.Path):
			st.Later++
		default:
			st.Missing++
		}
	}
	st.Draft = st.Missing > 0
	st.Travel = s.travelRange()
	return st
}

// model is the rig's with its uncertainties.
func (s *Session) model() (*steer.Model, error) {
	if s.full == nil {
		m, err := steer.Build(s.moved.rig, steer.Options{Axle: s.moved.axle})
		if err != nil {
			return nil, ProblemsOf(err)
		}
		s.full = m
	}
	return s.full, nil
}
