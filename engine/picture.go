package engine

import (
	"evenlock/draw"
)

// Picture is a caliper or a protractor on its view, to show how a value is measured.
type Picture struct {
	View string `json:"view"`
	// Middle and Times say what of the view shows it well: about which place of the screen, in mm,
	// and how many times enlarged.
	Middle [2]float64 `json:"middle"`
	Times  float64    `json:"times"`
	// Shapes go on top of the view's own.
	Shapes []PictureShape `json:"shapes"`
}

// PictureShape is one element.
type PictureShape struct {
	Tag   string            `json:"tag"`
	Class string            `json:"class"`
	Set   map[string]string `json:"set"`
}

func (s *Session) tool(key string) (draw.Tool, bool) {
	return draw.ToolFor(s.moved.model, key)
}

// Picture draws the caliper or the protractor for a measured value, on a screen that shows so many
// millimetres of the vehicle to a pixel. It is an error if there is no such picture.
func (s *Session) Picture(key string, perPixel float64) (Picture, error) {
	tool, ok := s.tool(key)
	if !ok || !(perPixel > 0) {
		return Picture{}, problem(key, "no picture shows how it is measured", "go by the words")
	}
	middle, times := tool.Zoom(s.scene.Shown(tool.View))
	p := Picture{View: tool.View.String(), Middle: [2]float64{middle.X, middle.Y}, Times: times}
	for _, e := range tool.Elements(perPixel) {
		set := make(map[string]string, len(e.Set))
		for _, one := range e.Set {
			set[one.Name] = one.Text
		}
		p.Shapes = append(p.Shapes, PictureShape{e.Tag, e.Class, set})
	}
	return p, nil
}
