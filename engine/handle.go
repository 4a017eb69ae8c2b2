package engine

import (
	"strings"

	"evenlock/draw"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// point is a place of the rig file that can be dragged.
type point struct {
	key, words string
	// keys are what a drag may change.
	keys []string
	// only is the one coordinate that can move, nil for all.
	only *r3.Vec
	// ball is the name of the ball that it is; empty for a point on an axis, which the file gives by
	// its coordinates.
	ball string
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

// handlesOf lists the draggable points of a model in the three views.
func handlesOf(m *steer.Model) []Handle {
	points := pointsOf(m)
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

// pointsOf are the points on the axes that the file gives by coordinates, the middles of the wheels
// and the balls of the steering's rods.
func pointsOf(m *steer.Model) []point {
	var all []point
	seen := map[string]bool{}
	add := func(p point) {
		if !seen[p.key] {
			seen[p.key] = true
			all = append(all, p)
		}
	}
	for _, b := range m.Vehicle.Bodies {
		for _, end := range []string{".top", ".bottom", ".point"} {
			if key := b.Key + end; b.Rule != vehicle.Mirrors && m.Rig.Point(key) != nil {
				add(point{key: key, words: m.Rig.NameOf(key), keys: []string{key + ".x", key + ".y", key + ".z"}})
			}
		}
	}
	ball := func(b *vehicle.Ball) {
		keys := m.Rig.PutKeys(m.Vehicle, b)
		switch {
		case len(keys) == 0:
		case len(keys) == 1: // the track
			add(point{key: b.Key, words: m.Rig.NameOf(b.Key) + ", by the " + b.Name, keys: keys, only: &r3.Vec{Y: 1}, ball: b.Name})
		default:
			key := b.Key
			if place, given := strings.CutSuffix(keys[0], ".x"); given {
				key = place
			}
			add(point{key: key, words: b.Name, keys: keys, ball: b.Name})
		}
	}
	for _, w := range m.Wheels {
		ball(w.Centre)
	}
	for _, rod := range m.Vehicle.Steering() {
		ball(rod.From)
		ball(rod.To)
		for _, along := range rod.Along {
			ball(along.Ball)
		}
	}
	return all
}

// place is where the point is in a model.
func (p *point) place(m *steer.Model) r3.Vec {
	if p.ball != "" {
		return m.Vehicle.Ball(p.ball).At
	}
	return r3.Add(m.Axle.Middle, m.Rig.Point(p.key).Vec())
}

// put puts it at a place in r, whose other values are as in m.
func (p *point) put(r *rig.Rig, m *steer.Model, to r3.Vec) error {
	if p.ball != "" {
		return r.Put(m.Vehicle, m.Vehicle.Ball(p.ball), to)
	}
	r.Point(p.key).Set(r3.Sub(to, m.Axle.Middle))
	return nil
}
