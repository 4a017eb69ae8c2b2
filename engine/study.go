package engine

import (
	"fmt"
	"math"

	"evenlock/draw"
	"evenlock/internal/say"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/travel"

	"gonum.org/v1/gonum/spatial/r3"
)

// TravelDocument says what the suspension's travel does to the steering.
type TravelDocument struct {
	// Suspended is whether there is a suspension; if not, Problem and Remedy say what is missing.
	Suspended bool   `json:"rides"`
	Problem   string `json:"problem"`
	Remedy    string `json:"remedy"`
	// Bump and Droop are how far each wheel can rise and drop by the file, in mm.
	Bump    Number         `json:"bump"`
	Droop   Number         `json:"droop"`
	Motions []TravelMotion `json:"motions"`
	Figures []Headline     `json:"figures"`
	Locks   []TravelLock   `json:"locks"`
	Limits  []TravelLimit  `json:"limits"`
	// Ideals say where the ends of the rods would have to be for the travel not to steer.
	Ideals []TravelIdeal `json:"ideals"`
	// Steers is whether travel turns a knuckle by any rod, so that ends of rods can be better somewhere else.
	Steers bool `json:"steers"`
}

// TravelMotion is one way for the suspension to move, from its lowest to its highest place, with the servo held at straight ahead.
type TravelMotion struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	// X is how far it has gone, in mm.
	X      []Number `json:"x"`
	Series []Curve  `json:"series"`
	// Most says how far the wheels are steered at most.
	Most string `json:"most"`
	// Stops say where the travel stops short of what the file states.
	Stops []string `json:"stops"`
}

// TravelLock is how far it steers with the suspension standing somewhere, and what ends that.
type TravelLock struct {
	Words string `json:"words"`
	Left  string `json:"left"`
	Right string `json:"right"`
	// LeftBy and RightBy are what ends it.
	LeftBy  string `json:"leftBy"`
	RightBy string `json:"rightBy"`
	// Past is why there is none, or empty.
	Past string `json:"past"`
}

// TravelLimit is how much of a limit of the file is taken up, where 1 meets it: at most with the servo held, and at most when steered.
type TravelLimit struct {
	Key      string `json:"key"`
	Words    string `json:"words"`
	Straight Number `json:"straight"`
	Steered  Number `json:"steered"`
	Text     string `json:"text"`
}

// travelRows is how many places each way the curves have.
const travelRows = 8

// Travel works out what the suspension's travel does to the steering. Without a suspension it says what to add.
func (s *Session) Travel() (TravelDocument, error) {
	d := TravelDocument{Motions: []TravelMotion{}, Figures: []Headline{}, Locks: []TravelLock{}, Limits: []TravelLimit{}, Ideals: []TravelIdeal{}}
	if s.moved.rig.Suspension == nil {
		d.Problem = "the file says nothing of a suspension"
		d.Remedy = "add a [suspension] table, with kind, bump and droop, and where its links or arms are at ride height; the layouts with the servo on the chassis show how"
		return d, nil
	}
	m, err := steer.NewSuspended(s.moved.rig)
	if err != nil {
		p := ProblemsOf(err)[0]
		d.Problem, d.Remedy = p.Problem, p.Remedy
		return d, nil
	}
	analysis, err := travel.Over(m, travel.Options{Servo: m.Centre(), Steps: travelRows})
	if err != nil {
		return d, ProblemsOf(err)
	}
	bump, droop := m.TravelRange()
	d.Suspended, d.Bump, d.Droop, d.Steers = true, Number(bump), Number(droop), travel.Steers(m)
	for _, c := range analysis.Sweeps {
		d.Motions = append(d.Motions, motionOf(c, m.Geometry.Suspension.Solid))
	}
	d.Figures = travelFigures(analysis)
	for i := range analysis.Locks {
		d.Locks = append(d.Locks, lockOf(&analysis.Locks[i]))
	}
	for _, u := range analysis.LimitUses {
		one := TravelLimit{Key: u.Key, Words: u.Words, Straight: Number(u.Straight.Part), Steered: Number(u.Steered.Part)}
		one.Text = percentWords(u.Straight.Part) + " straight, " + percentWords(u.Steered.Part) + " steered"
		d.Limits = append(d.Limits, one)
	}
	for i := range analysis.Ideals {
		d.Ideals = append(d.Ideals, idealOf(&analysis.Ideals[i]))
	}
	return d, nil
}

func percentWords(part float64) string { return rounded(100*part, 0) + " %" }

// motionOf is a motion's curves.
func motionOf(c *travel.Sweep, solid bool) TravelMotion {
	one := TravelMotion{Key: c.Motion.Key(), Words: c.Motion.String(), Stops: []string{}}
	n := len(c.Samples)
	add := func(key, words, unit string, of func(r *travel.Sample) (value, band float64)) {
		values, bands := make([]float64, n), make([]float64, n)
		for i := range c.Samples {
			values[i], bands[i] = of(&c.Samples[i])
		}
		one.Series = append(one.Series, Curve{key, words, unit, numbersOf(values), numbersOf(bands)})
	}
	for i := range c.Samples {
		one.X = append(one.X, Number(c.Samples[i].X))
	}
	for w, name := range [2]string{"left", "right"} {
		add("steer_"+name, name+" wheel, steered by the travel", "°", func(r *travel.Sample) (float64, float64) { return r.Steer[w] / degree, r.SteerUncertain[w] / degree })
	}
	if solid {
		add("shift", "axle's shift to the side", "mm", func(r *travel.Sample) (float64, float64) { return r.Carried.Side, 0 })
		add("yaw", "axle's yaw", "°", func(r *travel.Sample) (float64, float64) { return r.Carried.Yaw / degree, 0 })
	} else {
		add("toe", "toe-in of both wheels together", "°", func(r *travel.Sample) (float64, float64) { return r.Toe() / degree, 0 })
		for w, name := range [2]string{"left", "right"} {
			add("camber_"+name, name+" wheel's camber, top outward", "°", func(r *travel.Sample) (float64, float64) { return r.Camber[w] / degree, 0 })
		}
	}
	var most [2]string
	for w := range most {
		r := &c.Samples[c.Most[w].Sample]
		most[w] = turned(r.Steer[w], r.SteerUncertain[w])
		if c.Most[w].Value != 0 {
			most[w] += ", " + heightWords(r.X)
		}
	}
	one.Most = "left wheel " + most[travel.Left] + "; right wheel " + most[travel.Right]
	if most[travel.Left] == most[travel.Right] {
		one.Most = "both wheels " + most[travel.Left]
	}
	for _, stop := range c.Stops {
		if stop != nil {
			one.Stops = append(one.Stops, stop.Error())
		}
	}
	return one
}

// turned writes an angle in radians to a side: "0.4° ± 0.1° left".
func turned(v, uncertain float64) string {
	s := say.PlusMinus(math.Abs(v)/degree, uncertain/degree, 2)
	switch {
	case say.IsZero(s):
		return "not steered"
	case v > 0:
		return s + "° left"
	default:
		return s + "° right"
	}
}

// heightWords writes how far a motion has gone.
func heightWords(mm float64) string {
	s := say.Number(math.Abs(mm), 1)
	switch {
	case say.IsZero(s):
		return "at ride height"
	case mm > 0:
		return s + " mm up"
	default:
		return s + " mm down"
	}
}

// travelFigures are what the travel does for each millimetre and each degree.
func travelFigures(d *travel.Analysis) []Headline {
	var all []Headline
	heave, roll := d.Sweeps[travel.Heave], d.Sweeps[travel.Rolling]
	side := [2]string{" right", " left"}
	add := func(key, words string, value, uncertain float64, unit string, ways [2]string, note string) {
		f := figure(value, uncertain, unit, false)
		s := say.PlusMinus(math.Abs(value), uncertain, 3)
		switch {
		case say.IsZero(s):
			f.Text = "none"
		case value > 0:
			f.Text = s + unit + ways[1]
		default:
			f.Text = s + unit + ways[0]
		}
		all = append(all, Headline{key, words, f, note})
	}
	both := func(key, words, rest string, of [2]steer.Result, scale float64) {
		from := len(all)
		for w, name := range [2]string{"left", "right"} {
			add(key+"_"+name, words+" of the "+name+" wheel, "+rest, of[w].Value*scale, of[w].Uncertain*scale, "°", side, "")
		}
		if all[from].Text == all[from+1].Text {
			all[from].Key, all[from].Words = key, words+" of both wheels, "+rest
			all = all[:from+1]
		}
	}
	both("bump", "bump steer", "for each mm that both rise", heave.BumpSteer, 1/degree)
	both("roll", "roll steer", "for each degree of roll, left side up", roll.RollSteer, 1)
	if d.Model.Geometry.Suspension.Solid {
		add("shift", "axle's shift to the side, for each mm that both wheels rise", heave.Rate.Side, 0, " mm", side, "")
	}
	if b := d.Beside; b != nil {
		f := figure(b.FrontAngle.Value/degree, b.FrontAngle.Uncertain/degree, "°", false)
		f.Text = worded(f, [2]string{", the drag link falling more to the left", ", the drag link rising more to the left"})
		all = append(all, Headline{
			"beside", "angle between drag link and " + b.Link + ", from the front", f,
			fmt.Sprintf("Parallel and equally long they steer least. Drag link %s mm, %s %s mm.", say.Number(b.DragLength, 1), b.Link, say.Number(b.LinkLength, 1)),
		})
	}
	return all
}

func lockOf(l *travel.Lock) TravelLock {
	one := TravelLock{Words: l.Words}
	if l.Past != nil {
		one.Past = l.Past.Error()
		return one
	}
	angle := func(v float64) string { return say.Number(v/degree, 1) + "°" }
	one.Left, one.Right = angle(l.Inner[travel.Left]), angle(l.Inner[travel.Right])
	one.LeftBy, one.RightBy = l.Stops[travel.Left].Words, l.Stops[travel.Right].Words
	return one
}

// TravelIdeal is a line, seen from the front, on which an end of a rod gives no bump steer for small travel.
type TravelIdeal struct {
	Words string `json:"words"`
	// Through is a place of it and Along its direction.
	Through [3]float64 `json:"through"`
	Along   [3]float64 `json:"along"`
	// Place is where the end gives none for all of the travel, null if nowhere.
	Place *[3]float64 `json:"place"`
}

func idealOf(i *travel.Ideal) TravelIdeal {
	flat := func(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
	through, along := i.Along()
	one := TravelIdeal{Words: idealWords(i), Through: flat(through), Along: flat(along)}
	if at, ok := i.Crossing(); ok {
		place := flat(at)
		one.Place = &place
	}
	return one
}

// Guide shows such lines on the drawing as seen from behind, until the next guide; none for an empty list. While a point is dragged they
// are left out, for they were of the rig as it was.
func (s *Session) Guide(lines []TravelIdeal) {
	space := func(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }
	s.guides = nil
	for _, l := range lines {
		g := draw.ZeroSteerLine{Through: space(l.Through), Dir: space(l.Along)}
		if l.Place != nil {
			g.At, g.Whole = space(*l.Place), true
		}
		s.guides = append(s.guides, g)
	}
	s.refill()
}

// idealWords says where, seen from the front, an end steers nothing.
func idealWords(i *travel.Ideal) string {
	through, lies := i.Lies()
	words := fmt.Sprintf("The %s gives no bump steer, for small travel, anywhere on the line through %s, %s.", i.Words, frontWords(through), lies)
	if at, ok := i.Crossing(); ok {
		words += fmt.Sprintf(" For all of the travel: about %s.", frontWords(at))
	}
	return words
}

// frontWords writes a place as seen from the front.
func frontWords(v r3.Vec) string {
	size := func(x float64) string { return say.Number(math.Abs(x), 1) + " mm " }
	way, height := "right", "below"
	if v.Y > 0 {
		way = "left"
	}
	if v.Z > 0 {
		height = "above"
	}
	return size(v.Y) + way + " of the middle and " + size(v.Z) + height + " the wheel centres"
}

// TravelEnd is a better place for one or two ends of rods, tried on the rebuilt rig.
type TravelEnd struct {
	// Words say what to do: "lower the horn's ball by 6.2 mm".
	Words string `json:"words"`
	// Way is shims, for height alone, or hole, for anywhere as seen from the front.
	Way string `json:"way"`
	// Best is whether the ends are best where they are.
	Best bool `json:"best"`
	// Heave and Roll are what the wheel that is steered more is steered by at most, before and after.
	Heave Swing `json:"heave"`
	Roll  Swing `json:"roll"`
	// Short is whether a still better place is further off than was looked.
	Short bool `json:"short"`
	// Changes are the keys of the file that TryEnd changes; empty, with the reason in Problem, if it cannot.
	Changes []string `json:"changes"`
	Problem string   `json:"problem"`
}

// Swing is a figure before and after.
type Swing struct {
	Before Figure `json:"before"`
	After  Figure `json:"after"`
}

// reachable is how far, in mm each way, ends are moved at most.
const reachable = 25

// TravelEnds looks for better places for the ends of rods. Each is by itself.
func (s *Session) TravelEnds() ([]TravelEnd, error) {
	all := []TravelEnd{}
	better, err := s.better()
	if err != nil {
		return all, err
	}
	swing := func(b *travel.Better, m travel.Motion) Swing {
		write := func(v travel.Swing) Figure {
			f := figure(v.Worse()/degree, 0, "°", false)
			f.Text = say.Number(v.Worse()/degree, 2) + "°"
			return f
		}
		return Swing{write(b.Before[m]), write(b.After[m])}
	}
	for i := range better {
		b := &better[i]
		one := TravelEnd{Words: b.Words(), Way: "shims", Heave: swing(b, travel.Heave), Roll: swing(b, travel.Rolling), Short: b.Short, Changes: []string{}}
		if b.Way == travel.FrontView {
			one.Way = "hole"
		}
		one.Best = b.Still() || b.After[travel.Heave].Worse() >= b.Before[travel.Heave].Worse()
		if one.Best {
			one.Words = b.Ends() + ": best where it is"
			all = append(all, one)
			continue
		}
		if _, keys, err := s.withEnd(b); err != nil {
			one.Problem = err.Error()
		} else {
			one.Changes = keys
		}
		all = append(all, one)
	}
	return all, nil
}

func (s *Session) better() ([]travel.Better, error) {
	if !s.moved.model.Suspended() {
		return nil, problem("", "the rig does not ride on a suspension here", "add a [suspension] table")
	}
	better, err := travel.Improve(s.moved.model, reachable)
	if err != nil {
		return nil, ProblemsOf(err)
	}
	return better, nil
}

// TryEnd puts the ends where one of TravelEnds has them, by its place in that list, as one change of the file.
func (s *Session) TryEnd(i int) error {
	better, err := s.better()
	if err != nil {
		return err
	}
	if i < 0 || i >= len(better) {
		return problem("", "there is no such better end", "use a number of the list of travelEnds")
	}
	text, _, err := s.withEnd(&better[i])
	if err != nil {
		return err
	}
	return s.change(text, better[i].Words())
}

// withEnd is the text with ends moved, and the keys that change: those of the ends, and the lengths of rods that the file states.
func (s *Session) withEnd(b *travel.Better) (text []byte, keys []string, err error) {
	base := s.moved.rig.Exact()
	to := base.Clone()
	if err := to.Apply(b.Adjustment()); err != nil {
		return nil, nil, ProblemsOf(err)
	}
	settings := rig.Changes(base, to)
	if text, err = rig.EditAll(s.history[s.at].text, settings...); err != nil {
		return nil, nil, ProblemsOf(err)
	}
	for _, one := range settings {
		keys = append(keys, one.Key)
	}
	return text, keys, nil
}
