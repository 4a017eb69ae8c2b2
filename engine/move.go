package engine

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenlock/draw"
	"evenlock/linkage"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// Status is how a fast call went.
type Status int

const (
	// Done means as asked.
	Done Status = iota
	// Held means that the servo is at a limit and the drawing stops there.
	Held
	// Refused means that the parts would not go together; the drawing stays as it was.
	Refused
)

// Live is a number shown beside the moving drawing.
type Live struct {
	Key string `json:"key"`
	// Group is "" for the steering, travel for what the suspension does, load for what the parts
	// bear.
	Group string `json:"group"`
	Words string `json:"words"`
	// Always is whether it is worth a place on the smallest screen.
	Always bool `json:"always"`
	// At is its place in the numbers.
	At   int             `json:"at"`
	Text []draw.Fragment `json:"text"`
}

// Series is a line of a curve that moves along while dragging, or where its points are across.
type Series struct {
	// Curve is the key of the section and Column that of the column that Session.Curves has it in.
	Curve  string `json:"curve"`
	Column string `json:"column"`
	// At is where its numbers begin, N how many there are.
	At int `json:"at"`
	N  int `json:"n"`
}

// layout says where in the numbers what is, after the scene's own.
type layout struct {
	handles []Handle
	live    []Live
	series  []Series
	length  int
	// limits are the words that the limit's number picks from.
	limits []string
	// reader is whose units the live numbers are in.
	reader document.Reader
	// times are what make the numbers shown of the steering's live values, limit is where the one
	// is that names the limit.
	times []float64
	limit int
	// travel and load are where the numbers of those groups begin; loads is how many the latter
	// has.
	travel, load, loads int
}

var sides = []string{" right", "", " left"}

func newLayout(from int, handles []Handle, m *moved, r document.Reader) layout {
	l := layout{handles: handles, limits: m.limitWords(), reader: r}
	for i := range handles {
		handles[i].At = from
		handles[i].StepWords = document.F(handles[i].Step, document.Length).Text(r)
		from += 2
	}
	for _, one := range report.LiveSteering {
		times, digits, after := l.unit(one.Unit)
		text := []draw.Fragment{{Form: draw.Decimal, At: from, Digits: digits}, {Text: after}}
		if way := one.Direction; way != (document.Direction{}) {
			text = []draw.Fragment{
				{Form: draw.Size, At: from, Digits: digits},
				{Text: after},
				{Form: draw.Side, At: from, Digits: digits, Words: []string{" " + way.Negative, "", " " + way.Positive}},
			}
		}
		l.live = append(l.live, Live{Key: one.Key, Words: one.Words, Always: one.Always, At: from, Text: text})
		l.times = append(l.times, times)
		from++
	}
	l.limit = from
	l.live = append(l.live, Live{Key: "limit", Words: report.LimitReached, At: from, Text: []draw.Fragment{{Form: draw.Choice, At: from, Words: l.limits}}})
	from++
	more := func(group, key, words string, n int, text ...draw.Fragment) {
		l.live = append(l.live, Live{Key: key, Group: group, Words: words, At: from, Text: text})
		from += n
	}
	l.travel = from
	l.liveTravel(more, &from)
	l.load = from
	l.liveLoad(more, &from, m.model.Vehicle.Steering())
	l.loads = from - l.load
	for _, one := range m.movingCurves(r) {
		l.series = append(l.series, Series{one.Curve, one.Column, from, len(one.Values)})
		from += len(one.Values)
	}
	l.length = from
	return l
}

// Numbers are those of the drawing, the handles, the live figures and the moving curves, as Scene
// says. They belong to the session; each call fills them.
func (s *Session) Numbers() []float64 { return s.values }

// Why says in words why the last fast call was held or refused.
func (s *Session) Why() string { return s.why }

// Stick moves to a stick position, -1 full right to 1 full left. It allocates nothing.
func (s *Session) Stick(x float64) Status {
	if math.IsNaN(x) {
		return Refused
	}
	s.stick = max(-1, min(1, x))
	servo, _ := s.moved.stick.At(s.stick)
	return s.show(servo)
}

// Servo moves to a servo angle in degrees from neutral.
func (s *Session) Servo(degrees float64) Status {
	if math.IsNaN(degrees) {
		return Refused
	}
	s.stick = math.NaN()
	return s.show(max(-179, min(179, degrees)) * degree)
}

// refill fills all numbers anew for the stick as it was.
func (s *Session) refill() {
	if math.IsNaN(s.stick) {
		s.stick = 0
	}
	s.places()
	s.curves()
	s.Stick(s.stick)
}

// turn moves a rig to a servo angle, or as near as it goes, and names the limit that holds it.
func (m *moved) turn(servo float64) (limit int) {
	if m.state.WheelTravel() != (steer.WheelTravel{}) {
		return m.turnSuspended(servo)
	}
	servo, at := m.within(servo)
	if at != nil {
		limit = m.limitNumber(*at)
	}
	if m.turnOrNear(servo) {
		return atRodsOverCentre
	}
	return limit
}

// turnOrNear turns to a servo angle, or to just short of where the linkage does not close, which it
// reports.
func (m *moved) turnOrNear(servo float64) (short bool) {
	err := m.state.Turn(servo)
	var end *linkage.LimitError
	if err == nil || !errors.As(err, &end) || len(end.Inputs) == 0 {
		return false
	}
	for back := 1e-7; back < 1; back *= 10 {
		if m.state.Turn(end.Inputs[0]-math.Copysign(back, servo)) == nil {
			break
		}
	}
	return true
}

// show turns to a servo angle and fills the drawing and the live figures.
func (s *Session) show(servo float64) Status {
	m := &s.moved
	limit, stop := m.pose(servo, s.travel)
	values, rates := m.state.ValuesAndRates()
	var shadow *draw.Posed
	if s.shadow != nil {
		if !math.IsNaN(s.stick) {
			servo, _ = s.shadow.stick.At(s.stick)
		}
		_, _ = s.shadow.pose(servo, s.travel)
		shadow = &draw.Posed{Model: s.shadow.model, State: s.shadow.state}
	}
	s.fillTravel()
	s.fillLoads()
	s.scene.Fill(s.values, draw.Posed{Model: m.model, State: m.state}, &values, shadow, s.marked(limit))
	for i := range report.LiveSteering {
		s.values[s.layout.live[i].At] = report.LiveSteering[i].At(s.stick, m.state, &values, &rates) * s.layout.times[i]
	}
	s.values[s.layout.limit] = math.NaN()
	if limit != noLimit {
		s.values[s.layout.limit] = float64(s.numbered(limit))
	}
	s.why = m.marks[limit].words
	if stop != nil {
		s.why = report.TravelStops(stop).Text(s.reader)
	}
	if limit != noLimit {
		return Held
	}
	return Done
}

// places fills the places of the handles.
func (s *Session) places() {
	for i := range s.layout.handles {
		h := &s.layout.handles[i]
		s.values[h.At], s.values[h.At+1] = h.view.Flat(h.point.place(s.moved.model))
	}
}

// curves fills the moving curves.
func (s *Session) curves() {
	for i, one := range s.moved.movingCurves(s.reader) {
		copy(s.values[s.layout.series[i].At:], one.Values)
	}
}

// drag is a point being dragged.
type drag struct {
	handle Handle
	// base is the rig at the start, without uncertainties, shown the one that is drawn.
	base, shown *rig.Rig
	from        r3.Vec
	before      moved
	ghost       *moved
}

// Grab begins a drag of a handle, by its number. A drag that was not ended is cancelled.
func (s *Session) Grab(handle int) error {
	if handle < 0 || handle >= len(s.layout.handles) {
		return problem("", "there is no handle "+strconv.Itoa(handle), "use a number of scene.handles")
	}
	s.Cancel()
	// Points are where they were measured: at ride height.
	s.SetWheelTravel(0, 0)
	h := s.layout.handles[handle]
	base := s.moved.rig.Exact()
	s.drag = &drag{handle: h, base: base, shown: base, from: h.point.place(s.moved.model), before: s.moved, ghost: s.shadow}
	if s.ghost == ghostPrevious {
		// A state of its own, so that the ghost and the drawing can be in different poses.
		twin := s.moved
		twin.state = twin.model.NewState()
		s.shadow = &twin
	}
	return nil
}

// Drag puts the grabbed point at u, v of its view's screen: it moves by what the view shows, and
// keeps its third coordinate. Only the drawing changes until Drop.
func (s *Session) Drag(u, v float64) Status {
	d := s.drag
	if d == nil || math.IsNaN(u+v) || math.IsInf(u+v, 0) {
		s.why = "nothing is grabbed"
		return Refused
	}
	u0, v0 := d.handle.view.Flat(d.from)
	delta := d.handle.view.Space(u-u0, v-v0)
	if p := d.handle.point; p.only != nil {
		delta = r3.Scale(r3.Dot(delta, *p.only), *p.only)
	}
	to, was := r3.Add(d.from, delta), d.before.model
	// Nothing that can be dragged says what the stick does.
	next := moved{rig: d.base.Clone(), axle: d.before.axle, stick: s.moved.stick}
	if err := d.handle.point.put(next.rig, was, to); err != nil {
		s.why = err.Error()
		return Refused
	}
	// A solid axle stays where it is, and its suspension out of a model that is made anew for each
	// frame. Arms go with the kingpin's ends.
	if err := next.build(next.rig, was.Suspended() && !was.Axle.Solid); err != nil {
		s.why = ProblemsOf(err)[0].Problem
		return Refused
	}
	d.shown, s.moved = next.rig, next
	s.places()
	s.curves()
	if math.IsNaN(s.stick) {
		s.stick = 0
	}
	return s.Stick(s.stick)
}

// Cancel ends a drag and leaves the rig as it was before.
func (s *Session) Cancel() {
	if s.drag == nil {
		return
	}
	s.moved, s.shadow = s.drag.before, s.drag.ghost
	s.drag = nil
	s.refill()
}

// Drop ends a drag: the values that changed go into the text, to a hundredth of a millimetre or
// degree, as one change. On an error the rig is as it was before the drag.
func (s *Session) Drop() error {
	d := s.drag
	if d == nil {
		return nil
	}
	end := d.shown
	s.Cancel()
	text, err := rig.EditAll(s.history[s.at].text, rig.Changes(d.base, end)...)
	if err == nil {
		err = s.change(text, "moved the "+d.handle.Words)
	}
	if err != nil {
		return d.handle.refused(ProblemsOf(err))
	}
	return nil
}

// refused says of which point a problem is, where it is one of the keys that the point is given by.
func (h *Handle) refused(all Problems) Problems {
	for i, p := range all {
		if slices.ContainsFunc(h.Changes, func(key string) bool { return key == p.Key || strings.HasPrefix(key, p.Key+".") }) {
			all[i].Problem = "the " + h.Words + " cannot stay there: it " + p.Problem
		}
	}
	return all
}

// Nudge moves a handle by du, dv millimetres on its view's screen, as one change.
func (s *Session) Nudge(handle int, du, dv float64) error {
	if err := s.Grab(handle); err != nil {
		return err
	}
	u, v := s.drag.handle.view.Flat(s.drag.from)
	if s.Drag(u+du, v+dv) == Refused {
		why := s.why
		key := s.drag.handle.Key
		s.Cancel()
		return problem(key, "cannot move there: "+why, "make a smaller step")
	}
	return s.Drop()
}

// isPart tells whether a key is of a coordinate of a point.
func isPart(path string) bool {
	n := len(path)
	return n > 2 && path[n-2] == '.' && (path[n-1] == 'x' || path[n-1] == 'y' || path[n-1] == 'z')
}
