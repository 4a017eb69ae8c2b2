package engine

import (
	"bytes"

	"evenlock/draw"
)

// SVG writes the drawing as it stands as a file: one view by its name, or all for "".
func (s *Session) SVG(view string) (string, error) {
	o := draw.Options{Title: s.moved.rig.Name}
	if s.moved.rig.Of(2) != nil {
		o.Title += ", " + [2]string{"front", "rear"}[s.moved.axle-1] + " axle"
	}
	if view != "" {
		v, ok := draw.ViewNamed(view)
		if !ok {
			return "", problem("", quoteWord(view)+" is not a view", "choose above, behind, side or turn")
		}
		o.Views = []draw.View{v}
	}
	var b bytes.Buffer
	if err := draw.SVG(&b, s.scene, s.values, o); err != nil {
		return "", ProblemsOf(err)
	}
	return b.String(), nil
}
