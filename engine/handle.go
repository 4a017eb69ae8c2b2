package engine

import (
	"evenlock/draw"
	"evenlock/rig"

	"gonum.org/v1/gonum/spatial/r3"
)

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
	// move puts it at a place in r, whose other values are as in g.
	move func(r *rig.Rig, g *rig.Geometry, to r3.Vec) error
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
	// StepWords is the step in the reader's unit.
	StepWords string `json:"stepWords"`

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

// placed is a point that the file gives by its coordinates.
func placed(key, words string, of func(r *rig.Rig) *rig.Point, r *rig.Rig) point {
	if !of(r).Given() {
		return point{}
	}
	return point{
		key: key, words: words,
		keys:  []string{key + ".x", key + ".y", key + ".z"},
		given: of,
		move:  func(r *rig.Rig, _ *rig.Geometry, to r3.Vec) error { of(r).Set(to); return nil },
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
			end := rig.LeftOuter
			if out < 0 {
				end = rig.RightOuter
			}
			add(armPoint(name+".tie_arm", name+" tie arm's ball", func(r *rig.Rig) *rig.Arm { return side(r).TieArm }, r, end))
		}
		if s.DragArm != nil && r.DragLink.To == name {
			add(armPoint(name+".drag_arm", name+" drag arm's ball", func(r *rig.Rig) *rig.Arm { return side(r).DragArm }, r, rig.FarEnd))
		}
	}
	addSide("left", func(r *rig.Rig) *rig.Side { return &r.Left }, 1)
	addSide("right", func(r *rig.Rig) *rig.Side { return r.Right }, -1)
	if r.Vehicle.Track.Given {
		add(point{
			key: "vehicle.track", words: "track, by the left wheel's centre", keys: []string{"vehicle.track"}, only: &r3.Vec{Y: 1},
			at: func(g *rig.Geometry) r3.Vec { return g.Left.Centre },
			move: func(r *rig.Rig, _ *rig.Geometry, to r3.Vec) error {
				if to.Y <= 0 {
					return rig.ErrCannotPlace
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

// ballPoint is a ball that the file gives by other keys than its coordinates.
func ballPoint(key, words string, end rig.End, keys ...string) point {
	return point{
		key: key, words: words, keys: keys,
		at:   func(g *rig.Geometry) r3.Vec { return g.Ball(end) },
		move: func(r *rig.Rig, g *rig.Geometry, to r3.Vec) error { return r.PlaceBall(g, end, to) },
	}
}

// armPoint is a knuckle's ball, given by its place or by length, direction and height.
func armPoint(key, words string, of func(r *rig.Rig) *rig.Arm, r *rig.Rig, end rig.End) point {
	if of(r).Ball.Given() {
		return placed(key+".ball", words, func(r *rig.Rig) *rig.Point { return &of(r).Ball }, r)
	}
	return ballPoint(key, words, end, key+".length", key+".inward", key+".height")
}

// hornPoint is the horn's ball at neutral, given by its place or by hole, direction and reach.
func hornPoint(r *rig.Rig) point {
	const words = "horn's ball"
	if r.Horn.Ball.Given() {
		return placed("horn.ball", words, func(r *rig.Rig) *rig.Point { return &r.Horn.Ball }, r)
	}
	turn := "horn.lean"
	if r.Horn.LinkAngle.Given {
		turn = "horn.link_angle"
	}
	return ballPoint("horn", words, rig.HornEnd, "horn.hole", turn, "horn.reach")
}

// tiePoint is the drag link's ball on the tie rod.
func tiePoint() point {
	return ballPoint("tie_rod.along", "drag link's ball on the tie rod", rig.FarEnd, "tie_rod.along", "tie_rod.offset")
}
