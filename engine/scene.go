package engine

import (
	"encoding/json"

	"evenlock/draw"
)

// SceneDocument describes the drawing to the page's script; see the package documentation.
type SceneDocument struct {
	Number  int        `json:"number"`
	Length  int        `json:"length"`
	Views   []ViewInfo `json:"views"`
	Shapes  []Shape    `json:"shapes"`
	Handles []Handle   `json:"handles"`
	Live    []Live     `json:"live"`
	Curves  []Series   `json:"curves"`
}

// ViewInfo describes a view.
type ViewInfo struct {
	Name  string     `json:"name"`
	Words string     `json:"words"`
	Right string     `json:"right"`
	Up    string     `json:"up"`
	Box   [4]float64 `json:"box"`
}

// Shape describes one element.
type Shape struct {
	View  string          `json:"view"`
	Tag   string          `json:"tag"`
	Class string          `json:"class"`
	Part  string          `json:"part"`
	At    int             `json:"at"`
	Set   attributes      `json:"set"`
	Text  []draw.Fragment `json:"text,omitempty"`
}

// attributes is written as an object.
type attributes []draw.Attribute

// MarshalJSON writes an object of lists of fragments.
func (a attributes) MarshalJSON() ([]byte, error) {
	object := make(map[string][]draw.Fragment, len(a))
	for _, one := range a {
		object[one.Name] = one.Fragments
	}
	return json.Marshal(object)
}

// Scene describes the drawing.
func (s *Session) Scene() SceneDocument {
	d := SceneDocument{
		Number: s.number, Length: s.layout.length, Handles: s.layout.handles, Live: s.layout.live,
		Curves: s.layout.series,
	}
	for _, v := range draw.Views() {
		b := s.scene.Shown(v)
		d.Views = append(d.Views, ViewInfo{v.String(), v.Words(), v.Right(), v.Up(), [4]float64{b.U, b.V, b.Width, b.Height}})
	}
	for i := range s.scene.Shapes {
		sh := &s.scene.Shapes[i]
		d.Shapes = append(d.Shapes, Shape{sh.View.String(), sh.Tag, sh.Class, sh.Part, sh.At, sh.Set, sh.Text})
	}
	return d
}
