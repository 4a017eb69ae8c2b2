package engine

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"evenlock/draw"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// MeasurementsDocument says what was measured, how well, and what to measure next.
type MeasurementsDocument struct {
	// Missing counts what the set-up needs, LaterMissing what is asked after it.
	Missing      int `json:"missing"`
	LaterMissing int `json:"laterMissing"`
	// Next is the first missing one in the order of asking, empty if none is.
	Next string            `json:"next"`
	List []MeasurementInfo `json:"list"`
	// Repeat lists the keys worth measuring again, the greatest first.
	Repeat      []string `json:"repeat"`
	RepeatWords string   `json:"repeatWords"`
	// Check lists what stands in the file and is no measurement: limits, choices, the parts' own
	// numbers. In a draft they are the starter's.
	Check []Entry `json:"check"`
}

// Entry is a value as it stands in the file.
type Entry struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Entry string `json:"entry"`
}

// MeasurementInfo is one measured value.
type MeasurementInfo struct {
	Key   string `json:"key"`
	Group string `json:"group"`
	Words string `json:"words"`
	// How says what the caliper does, Hint how the number may be typed, and Unit what a bare one is taken in.
	How  string `json:"how"`
	Hint string `json:"hint"`
	Unit string `json:"unit"`
	Kind string `json:"kind"`
	// Figure is what it reads.
	Figure document.Shown `json:"figure"`
	// Entry is what stands in the file, in the reader's unit of length.
	Entry   string `json:"entry"`
	Missing bool   `json:"missing"`
	// Later is whether the set-up does without it: it is of the suspension, of a rear axle, or of
	// parts to clear, and is asked last.
	Later bool `json:"later"`
	// LockShare and EvennessShare are its parts of the variance of the lock and of the evenness.
	LockShare     Number `json:"lockShare"`
	EvennessShare Number `json:"evennessShare"`
	// Worth says in words what its uncertainty does, empty if little.
	Worth   string   `json:"worth"`
	Picture *Picture `json:"picture"`
}

// Picture is where the caliper or the protractor goes, in a view's coordinates.
type Picture struct {
	View string     `json:"view"`
	Kind string     `json:"kind"`
	From [2]float64 `json:"from"`
	To   [2]float64 `json:"to"`
	// Vertex is that of an angle.
	Vertex *[2]float64 `json:"vertex,omitempty"`
}

// repeatFrom is the part of a variance from which a measurement is worth repeating, and repeatMost
// how many are named.
const (
	repeatFrom = 0.1
	repeatMost = 3
)

// Measurements lists every measured value with its share in the uncertainty of the lock, the mean
// of both sides, and of the evenness, their difference.
func (s *Session) Measurements() (MeasurementsDocument, error) {
	d := MeasurementsDocument{List: []MeasurementInfo{}, Repeat: []string{}}
	m, err := s.model()
	if err != nil {
		return d, err
	}
	effects := s.effects(m)
	tree := rawOf(s.history[s.at].text)
	pictures := pictures{s.moved.rig, s.moved.model.Geometry}
	all := s.moved.rig.Measurements()
	slices.SortStableFunc(all, func(a, b rig.Measurement) int { return asked(a.Path) - asked(b.Path) })
	for _, q := range all {
		e := effects[q.Path]
		one := MeasurementInfo{
			Key: q.Path, Group: group(q.Path), Words: s.moved.rig.NameOf(q.Path), How: report.Instruction(q.Path), Kind: q.Kind.String(), Later: later(q.Path),
			Hint: report.TypingHint(q, !unmeasured(q), s.reader).Text(s.reader), Unit: report.UnitToType(q, s.reader),
			Figure: document.Shown{Figure: report.Measured(q), Reader: s.reader},
			Entry:  s.entryOf(q, tree.at(q.Path)), Missing: unmeasured(q),
			LockShare: Number(e.LockPart), EvennessShare: Number(e.UnevenPart),
			Picture: pictures.of(q.Path),
		}
		if max(e.LockPart, e.UnevenPart) >= repeatFrom {
			one.Worth = e.Worth().Text(s.reader)
		}
		switch {
		case one.Missing && one.Later:
			d.LaterMissing++
		case one.Missing:
			d.Missing++
		}
		if one.Missing && d.Next == "" {
			d.Next = q.Path
		}
		d.List = append(d.List, one)
	}
	d.Check = s.toCheck(d.List)
	byShare := slices.Clone(d.List)
	slices.SortStableFunc(byShare, func(a, b MeasurementInfo) int {
		return cmp.Compare(max(b.LockShare, b.EvennessShare), max(a.LockShare, a.EvennessShare))
	})
	for _, one := range byShare {
		if len(d.Repeat) < repeatMost && one.Worth != "" {
			d.Repeat = append(d.Repeat, one.Key)
		}
	}
	if len(d.Repeat) > 0 {
		first := byShare[0]
		d.RepeatWords = report.MeasureAgain(first.Words, effects[first.Key]).Text(s.reader)
	}
	return d, nil
}

// effects are what the ± of each measurement does to the lock and to left against right, by their keys;
// empty while the lock is not available.
func (s *Session) effects(m *steer.Model) map[string]report.Effect {
	all := map[string]report.Effect{}
	full, err := setup.ToFullStick(m)
	if err != nil {
		return all
	}
	left, right := full.Locks[steer.Left].Inner, full.Locks[steer.Right].Inner
	for _, h := range left.Plus(right).Times(0.5).Shares() {
		all[h.Measure.Path] = report.Effect{Lock: h.Effect, LockPart: h.Part}
	}
	for _, h := range left.Minus(right).Shares() {
		e := all[h.Measure.Path]
		e.Uneven, e.UnevenPart = h.Effect, h.Part
		all[h.Measure.Path] = e
	}
	return all
}

// afterwards begin the keys that the set-up does without, in the order that they are asked in.
var afterwards = []string{"suspension.", "part.", "rear."}

// asked is the place of a key's kind in the order of asking.
func asked(path string) int {
	for i, start := range afterwards {
		if strings.HasPrefix(path, start) {
			return i + 1
		}
	}
	return 0
}

// later tells whether the set-up does without a measurement.
func later(path string) bool { return asked(path) > 0 }

// toCheck lists the values of the file that are not measured.
func (s *Session) toCheck(measured []MeasurementInfo) []Entry {
	skip := map[string]bool{"format": true, "name": true, "notes": true, "unit": true, "accuracy.length": true, "accuracy.angle": true}
	for _, one := range measured {
		skip[one.Key], skip[one.Group] = true, true
	}
	all := []Entry{}
	for key, entry := range leaves(s.history[s.at].text) {
		if !skip[key] && !strings.HasPrefix(key, "settings.") {
			all = append(all, Entry{key, s.moved.rig.NameOf(key), entry})
		}
	}
	slices.SortFunc(all, func(a, b Entry) int { return strings.Compare(a.Key, b.Key) })
	return all
}

// group is the key that a coordinate belongs to.
func group(path string) string {
	if isPart(path) {
		return path[:len(path)-2]
	}
	return path
}

// pictures works out where the caliper goes.
type pictures struct {
	r *rig.Rig
	g *rig.Geometry
}

func flatIn(v draw.View, p r3.Vec) [2]float64 {
	u, w := v.Flat(p)
	return [2]float64{u, w}
}

func span(v draw.View, from, to r3.Vec) *Picture {
	return &Picture{View: v.String(), Kind: "length", From: flatIn(v, from), To: flatIn(v, to)}
}

func corner(v draw.View, at, from, to r3.Vec) *Picture {
	vertex := flatIn(v, at)
	return &Picture{View: v.String(), Kind: "angle", From: flatIn(v, r3.Add(at, from)), To: flatIn(v, r3.Add(at, to)), Vertex: &vertex}
}

// across is the view that sees a plane square to an axis best.
func across(axis r3.Vec) draw.View {
	best := draw.Above
	for _, v := range []draw.View{draw.Behind, draw.SideOn} {
		if math.Abs(r3.Dot(axis, v.Sight())) > math.Abs(r3.Dot(axis, best.Sight())) {
			best = v
		}
	}
	return best
}

const pointer = 30.0 // mm, the length of an angle's arms

// of returns the picture of a key, nil if none is drawn.
func (p pictures) of(path string) *Picture {
	if strings.HasPrefix(path, "rear.") {
		// The drawing is of the front axle.
		return nil
	}
	g := p.g
	side, rest, _ := strings.Cut(path, ".")
	s, out := &g.Left, 1.0
	if side == "right" {
		s, out = &g.Right, -1
	}
	if isPart(path) {
		return p.ofPoint(path)
	}
	foot := func(to r3.Vec) r3.Vec {
		return r3.Add(s.KingpinPoint, r3.Scale((to.Z-s.KingpinPoint.Z)/s.Kingpin.Z, s.Kingpin))
	}
	ball, arm := s.TieBall, (*rig.Arm)(nil)
	switch {
	case strings.HasPrefix(rest, "tie_arm"):
		if side == "left" {
			arm = p.r.Left.TieArm
		} else if p.r.Right != nil {
			arm = p.r.Right.TieArm
		}
	case strings.HasPrefix(rest, "drag_arm"):
		ball = g.Pulled
		if side == "left" {
			arm = p.r.Left.DragArm
		} else if p.r.Right != nil {
			arm = p.r.Right.DragArm
		}
	}
	up := r3.Vec{Z: pointer}
	switch {
	case path == "vehicle.wheelbase":
		return span(draw.Turn, g.Left.Centre, r3.Vec{X: -g.Wheelbase, Y: g.Left.Centre.Y})
	case path == "vehicle.track":
		return span(draw.Above, g.Left.Centre, g.Right.Centre)
	case rest == "kingpin.caster":
		return corner(draw.SideOn, s.KingpinPoint, up, r3.Scale(pointer, s.Kingpin))
	case rest == "kingpin.inclination":
		return corner(draw.Behind, s.KingpinPoint, up, r3.Scale(pointer, s.Kingpin))
	case rest == "wheel.toe":
		return corner(draw.Above, s.Centre, r3.Vec{X: s.TyreRadius}, r3.Scale(s.TyreRadius, r3.Cross(s.Spindle, r3.Vec{Z: out})))
	case rest == "wheel.camber":
		return corner(draw.Behind, s.Centre, up, r3.Vec{Y: -s.Spindle.Z * out * pointer, Z: math.Abs(s.Spindle.Y) * pointer})
	case rest == "wheel.tyre_radius":
		return span(draw.Behind, s.Centre, r3.Vec{X: s.Centre.X, Y: s.Centre.Y, Z: s.Centre.Z - s.TyreRadius})
	case rest == "wheel.tyre_width":
		half := r3.Scale(s.TyreWidth/2, s.Spindle)
		return span(draw.Above, r3.Sub(s.Centre, half), r3.Add(s.Centre, half))
	case strings.HasSuffix(rest, "arm.length"):
		return span(draw.Above, foot(ball), ball)
	case strings.HasSuffix(rest, "arm.height"):
		return span(draw.Behind, r3.Vec{X: ball.X, Y: ball.Y}, ball)
	case strings.HasSuffix(rest, "arm.inward") && arm != nil:
		way := map[string]r3.Vec{"forward": {X: pointer}, "back": {X: -pointer}, "inward": {Y: -out * pointer}, "outward": {Y: out * pointer}}[arm.Points]
		at := foot(ball)
		return corner(draw.Above, at, way, r3.Scale(pointer, r3.Unit(r3.Sub(ball, at))))
	case path == "horn.hole":
		return span(across(g.ServoAxis), g.HornFoot, g.HornBall)
	case path == "horn.reach":
		point := p.r.Servo.Point.Vec()
		v := draw.Behind
		if across(g.ServoAxis) == draw.Behind {
			v = draw.SideOn
		}
		return span(v, point, r3.Add(point, r3.Sub(g.HornFoot, point)))
	case path == "horn.link_angle":
		return corner(across(g.ServoAxis), g.HornBall, r3.Sub(g.HornFoot, g.HornBall), r3.Scale(pointer, r3.Unit(r3.Sub(g.Pulled, g.HornBall))))
	case path == "horn.lean":
		h := p.r.Horn.Points
		return corner(across(g.ServoAxis), g.HornFoot, r3.Scale(pointer, r3.Vec{X: h[0], Y: h[1], Z: h[2]}), r3.Sub(g.HornBall, g.HornFoot))
	case path == "drag_link.length":
		return span(draw.Above, g.HornBall, g.Pulled)
	case path == "tie_rod.length":
		return span(draw.Above, g.Left.TieBall, g.Right.TieBall)
	case path == "tie_rod.along":
		return span(draw.Above, g.Left.TieBall, g.Pulled)
	case path == "crank.left_rod.length" && g.Crank != nil:
		return span(draw.Above, g.Crank.LeftBall, g.Left.TieBall)
	case path == "crank.right_rod.length" && g.Crank != nil:
		return span(draw.Above, g.Crank.RightBall, g.Right.TieBall)
	case strings.HasSuffix(path, ".angle"):
		return corner(across(g.ServoAxis), g.HornFoot, r3.Sub(g.HornBall, g.HornFoot), r3.Cross(g.ServoAxis, r3.Sub(g.HornBall, g.HornFoot)))
	}
	return nil
}

// ofPoint is for a coordinate: from the middle of the vehicle, along the axis, to the place.
func (p pictures) ofPoint(path string) *Picture {
	place, ok := map[string]r3.Vec{}, false
	key := group(path)
	for _, q := range p.r.Measurements() {
		if group(q.Path) == key && isPart(q.Path) {
			v := place[key]
			switch q.Path[len(q.Path)-1] {
			case 'x':
				v.X = q.Q.Value
			case 'y':
				v.Y = q.Q.Value
			default:
				v.Z = q.Q.Value
			}
			place[key], ok = v, true
		}
	}
	if !ok {
		return nil
	}
	to := place[key]
	if key == "tie_rod.offset" {
		// Counted from the rod's line.
		from := r3.Sub(p.g.Pulled, to)
		return span(draw.Behind, from, p.g.Pulled)
	}
	from := to
	v := draw.Above
	switch path[len(path)-1] {
	case 'x':
		from.X = 0
	case 'y':
		from.Y = 0
	default:
		from.Z, v = 0, draw.Behind
	}
	return span(v, from, to)
}
