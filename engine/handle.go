package engine

import (
	"errors"
	"math"

	"evenlock/draw"
	"evenlock/rig"

	"gonum.org/v1/gonum/spatial/r3"
)

// errCannotMove is a place that the keys of the file cannot say.
var errCannotMove = errors.New("it cannot go there")

// point is a place of the rig file that can be dragged.
type point struct {
	key, words string
	// keys are what a drag may change.
	keys []string
	// only is the one coordinate that can move, nil for all.
	only *r3.Vec
	// given is the point in the rig if the file gives it by coordinates; else at is where it
	// was measured.
	given func(r *rig.Rig) *rig.Point
	at    func(g *rig.Geometry) r3.Vec
	// move puts it at a place in r, whose other values are as in g and base.
	move func(r, base *rig.Rig, g *rig.Geometry, to r3.Vec) error
}

// Handle is a point in a view.
type Handle struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	View  string `json:"view"`
	// At is the place of its u and v in the numbers.
	At      int      `json:"at"`
	Changes []string `json:"changes"`
	// Moves names the vehicle directions that it moves in.
	Moves []string `json:"moves"`
	// Step is that of an arrow key, in millimetres.
	Step float64 `json:"step"`

	view  draw.View
	point *point
}

const handleStep = 0.5

var viewMoves = map[draw.View][]string{
	draw.Above:  {"forward", "left"},
	draw.Behind: {"left", "up"},
	draw.SideOn: {"forward", "up"},
}

// handlesOf lists the draggable points of a rig in the three views.
func handlesOf(r *rig.Rig) []Handle {
	points := pointsOf(r)
	var all []Handle
	for _, v := range []draw.View{draw.Above, draw.Behind, draw.SideOn} {
		for i := range points {
			p := &points[i]
			h := Handle{Key: p.key, Words: p.words, View: v.String(), Changes: p.keys, Moves: viewMoves[v], Step: handleStep, view: v, point: p}
			if p.only != nil {
				if r3.Dot(*p.only, v.Sight()) != 0 {
					continue
				}
				h.Moves = []string{"left"}
			}
			all = append(all, h)
		}
	}
	return all
}

func vec(p rig.Point) r3.Vec { return r3.Vec{X: p[0].Value, Y: p[1].Value, Z: p[2].Value} }

func setPoint(p *rig.Point, to r3.Vec) {
	for i, x := range [3]float64{to.X, to.Y, to.Z} {
		p[i].Value, p[i].Given = x, true
	}
}

// placed is a point that the file gives by its coordinates.
func placed(key, words string, of func(r *rig.Rig) *rig.Point, r *rig.Rig) point {
	if !of(r).Given() {
		return point{}
	}
	return point{
		key: key, words: words,
		keys:  []string{key + ".x", key + ".y", key + ".z"},
		given: of,
		move:  func(r, _ *rig.Rig, _ *rig.Geometry, to r3.Vec) error { setPoint(of(r), to); return nil },
	}
}

func pointsOf(r *rig.Rig) []point {
	var all []point
	add := func(p point) {
		if p.key != "" {
			all = append(all, p)
		}
	}
	addSide := func(name string, side func(r *rig.Rig) *rig.Side, out float64) {
		s := side(r)
		if s == nil {
			return
		}
		if s.Kingpin != nil {
			add(placed(name+".kingpin.top", name+" kingpin's upper point", func(r *rig.Rig) *rig.Point { return &side(r).Kingpin.Top }, r))
			add(placed(name+".kingpin.bottom", name+" kingpin's lower point", func(r *rig.Rig) *rig.Point { return &side(r).Kingpin.Bottom }, r))
			add(placed(name+".kingpin.point", name+" kingpin's point", func(r *rig.Rig) *rig.Point { return &side(r).Kingpin.Point }, r))
		}
		if s.Wheel != nil {
			add(placed(name+".wheel.centre", name+" wheel's centre", func(r *rig.Rig) *rig.Point { return &side(r).Wheel.Centre }, r))
		}
		if s.TieArm != nil {
			add(armPoint(name+".tie_arm", name+" tie arm's ball", func(r *rig.Rig) *rig.Arm { return side(r).TieArm }, r, out,
				func(g *rig.Geometry) r3.Vec { return sideOf(g, out).TieBall }))
		}
		if s.DragArm != nil {
			onLink := r.DragLink.To == name
			add(armPoint(name+".drag_arm", name+" drag arm's ball", func(r *rig.Rig) *rig.Arm { return side(r).DragArm }, r, out,
				func(g *rig.Geometry) r3.Vec { return g.Pulled }, onLink))
		}
	}
	addSide("left", func(r *rig.Rig) *rig.Side { return &r.Left }, 1)
	addSide("right", func(r *rig.Rig) *rig.Side { return r.Right }, -1)
	if r.Vehicle.Track.Given {
		add(point{
			key: "vehicle.track", words: "track, by the left wheel's centre", keys: []string{"vehicle.track"}, only: &r3.Vec{Y: 1},
			at: func(g *rig.Geometry) r3.Vec { return g.Left.Centre },
			move: func(r, _ *rig.Rig, _ *rig.Geometry, to r3.Vec) error {
				if to.Y <= 0 {
					return errCannotMove
				}
				r.Vehicle.Track.Value = 2 * to.Y
				return nil
			},
		})
	}
	add(placed("servo.point", "servo's shaft", func(r *rig.Rig) *rig.Point { return &r.Servo.Point }, r))
	add(hornPoint(r))
	if r.Crank != nil {
		add(placed("crank.point", "centre crank's axis", func(r *rig.Rig) *rig.Point { return &r.Crank.Point }, r))
		add(placed("crank.drag_ball", "crank's ball for the drag link", func(r *rig.Rig) *rig.Point { return &r.Crank.DragBall }, r))
		add(placed("crank.left_ball", "crank's left ball", func(r *rig.Rig) *rig.Point { return &r.Crank.LeftBall }, r))
		add(placed("crank.right_ball", "crank's right ball", func(r *rig.Rig) *rig.Point { return &r.Crank.RightBall }, r))
	}
	if r.DragLink.To == "tie_rod" {
		add(tiePoint())
	}
	return all
}

func sideOf(g *rig.Geometry, out float64) *rig.SideGeometry {
	if out > 0 {
		return &g.Left
	}
	return &g.Right
}

// armPoint is a knuckle's ball, given by its place or by length, direction and height.
func armPoint(key, words string, of func(r *rig.Rig) *rig.Arm, r *rig.Rig, out float64, at func(g *rig.Geometry) r3.Vec, inUse ...bool) point {
	for _, used := range inUse {
		if !used {
			return point{}
		}
	}
	if of(r).Ball.Given() {
		return placed(key+".ball", words, func(r *rig.Rig) *rig.Point { return &of(r).Ball }, r)
	}
	return point{
		key: key, words: words, keys: []string{key + ".length", key + ".inward", key + ".height"}, at: at,
		move: func(r, _ *rig.Rig, g *rig.Geometry, to r3.Vec) error {
			s := sideOf(g, out)
			foot := r3.Add(s.KingpinPoint, r3.Scale((to.Z-s.KingpinPoint.Z)/s.Kingpin.Z, s.Kingpin))
			d := r3.Sub(to, foot)
			a := of(r)
			var inward float64
			switch a.Points {
			case "forward":
				inward = math.Atan2(-out*d.Y, d.X)
			case "back":
				inward = math.Atan2(-out*d.Y, -d.X)
			case "inward":
				inward = math.Atan2(d.X, -out*d.Y)
			default:
				inward = math.Atan2(d.X, out*d.Y)
			}
			if math.Abs(inward) > math.Pi/2 {
				return errCannotMove
			}
			a.Length.Value = math.Hypot(d.X, d.Y)
			a.Inward.Value, a.Inward.Given = inward, true
			a.Height.Value = to.Z
			return nil
		},
	}
}

// hornPoint is the horn's ball at neutral, given by its place or by hole, direction and reach.
func hornPoint(r *rig.Rig) point {
	const key, words = "horn", "horn's ball"
	if r.Horn.Ball.Given() {
		return placed("horn.ball", words, func(r *rig.Rig) *rig.Point { return &r.Horn.Ball }, r)
	}
	turn := "horn.lean"
	if r.Horn.LinkAngle.Given {
		turn = "horn.link_angle"
	}
	return point{
		key: key, words: words, keys: []string{"horn.hole", turn, "horn.reach"},
		at: func(g *rig.Geometry) r3.Vec { return g.HornBall },
		move: func(r, _ *rig.Rig, g *rig.Geometry, to r3.Vec) error {
			h := &r.Horn
			rel := r3.Sub(to, vec(r.Servo.Point))
			reach := r3.Dot(rel, g.ServoAxis)
			horn := r3.Sub(rel, r3.Scale(reach, g.ServoAxis))
			h.Hole.Value = r3.Norm(horn)
			h.Reach.Value, h.Reach.Given = reach, h.Reach.Given || reach != 0
			if h.LinkAngle.Given {
				link := r3.Sub(g.Pulled, to)
				h.LinkAngle.Value = math.Acos(max(-1, min(1, -r3.Dot(horn, link)/(r3.Norm(horn)*r3.Norm(link)))))
				return nil
			}
			about := r3.Vec{X: h.Points[0], Y: h.Points[1], Z: h.Points[2]}
			e1 := r3.Sub(about, r3.Scale(r3.Dot(about, g.ServoAxis), g.ServoAxis))
			e2 := r3.Cross(g.ServoAxis, e1)
			h.Lean.Value, h.Lean.Given = math.Atan2(r3.Dot(horn, e2), r3.Dot(horn, e1)), true
			return nil
		},
	}
}

// tiePoint is the drag link's ball on the tie rod.
func tiePoint() point {
	return point{
		key: "tie_rod.along", words: "drag link's ball on the tie rod",
		keys: []string{"tie_rod.along", "tie_rod.offset"},
		at:   func(g *rig.Geometry) r3.Vec { return g.Pulled },
		move: func(r, base *rig.Rig, g *rig.Geometry, to r3.Vec) error {
			line := r3.Unit(r3.Sub(g.Right.TieBall, g.Left.TieBall))
			d := r3.Sub(to, g.Pulled)
			by := r3.Dot(d, line)
			r.TieRod.Along.Value = base.TieRod.Along.Value + by
			off := r3.Sub(d, r3.Scale(by, line))
			r.TieRod.Offset = base.TieRod.Offset
			if r3.Norm(off) > 1e-9 || base.TieRod.Offset.Given() {
				setPoint(&r.TieRod.Offset, r3.Add(vec(base.TieRod.Offset), off))
			}
			return nil
		},
	}
}
