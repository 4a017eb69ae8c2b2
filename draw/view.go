package draw

import "gonum.org/v1/gonum/spatial/r3"

// View is a way of looking at a rig.
type View int

// The views; see the package documentation.
const (
	Above View = iota
	Behind
	SideOn
	Turn
	numViews
)

var views = [numViews]struct {
	name, words, right, up string
	// u and v are the vehicle directions of the screen's, and sight points to the eye.
	u, v, sight r3.Vec
}{
	Above:  {"above", "From above. Forward is up, left is left.", "right", "forward", r3.Vec{Y: -1}, r3.Vec{X: -1}, r3.Vec{Z: 1}},
	Behind: {"behind", "From behind, looking forward. Left is left.", "right", "up", r3.Vec{Y: -1}, r3.Vec{Z: -1}, r3.Vec{X: -1}},
	SideOn: {"side", "From the left side. Forward is to the left.", "back", "up", r3.Vec{X: -1}, r3.Vec{Z: -1}, r3.Vec{Y: 1}},
	Turn:   {"turn", "The turn, from above. Forward is up, left is left.", "right", "forward", r3.Vec{Y: -1}, r3.Vec{X: -1}, r3.Vec{Z: 1}},
}

// String returns the view's name: above, behind, side or turn.
func (v View) String() string { return views[v].name }

// ViewNamed finds a view by its name.
func ViewNamed(name string) (View, bool) {
	for v := range numViews {
		if views[v].name == name {
			return v, true
		}
	}
	return 0, false
}

// Words returns where one looks from, in a sentence or two.
func (v View) Words() string { return views[v].words }

// Right and Up return the words for what the screen's right and top are on the vehicle.
func (v View) Right() string { return views[v].right }

// Up returns the word for what the screen's top is on the vehicle.
func (v View) Up() string { return views[v].up }

// Flat returns where a place of the vehicle is on the screen.
func (v View) Flat(p r3.Vec) (u, w float64) { return r3.Dot(views[v].u, p), r3.Dot(views[v].v, p) }

// Space returns the vehicle's vector, square to the line of sight, that looks like du, dv on the
// screen.
func (v View) Space(du, dv float64) r3.Vec {
	return r3.Add(r3.Scale(du, views[v].u), r3.Scale(dv, views[v].v))
}

// Sight returns the unit vector towards the eye.
func (v View) Sight() r3.Vec { return views[v].sight }
