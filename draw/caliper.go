package draw

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// Element is one SVG element that does not move.
type Element struct {
	Tag, Class string
	// Set are its attributes, in this order.
	Set []Setting
}

// Setting is an attribute's name and text.
type Setting struct{ Name, Text string }

// Sizes of the tools on the screen, in pixels: a caliper is as large in the hand however large the
// part.
const (
	jawLength  = 46 // from the measured line to the beam
	jawOver    = 7  // what the tips reach past the line
	jawWidth   = 8
	jawTip     = 6 // where the jaw begins to taper
	beamWidth  = 9
	beamPast   = 14 // what the beam reaches past the jaw
	markGap    = 4  // least distance of the marks
	markLong   = 6  // of every fifth
	markShort  = 3
	tipRadius  = 3
	spotRadius = 14 // of the ring where there is nothing to span
	arcRadius  = 60
	armLength  = 1.45 * arcRadius
	cornerSpot = 4
	arcSteps   = 24
)

// Elements draws the tool on a screen that shows so many millimetres to a pixel. Classes are those
// of the page's style: tool-body, tool-arm, measure-line, mark-line, sector, tip, target.
func (t *Tool) Elements(perPixel float64) []Element {
	if t.Angle {
		return t.protractor(perPixel)
	}
	return t.caliper(perPixel)
}

// caliper is two jaws that stand square to what is measured, and the beam beside it, above it on
// the screen. The inner faces of the jaws lie on the two places.
func (t *Tool) caliper(px float64) []Element {
	span := r2.Sub(t.To, t.From)
	length := r2.Norm(span)
	if length < 2*px {
		return []Element{circle("target", t.From, spotRadius*px), circle("tip", t.From, tipRadius*px)}
	}
	along := r2.Scale(1/length, span)
	away := r2.Vec{X: -along.Y, Y: along.X}
	if away.Y > 0 || away.Y == 0 && away.X < 0 {
		away = r2.Scale(-1, away)
	}
	// at is a place so many pixels along from one of the two, and so many away from the line.
	at := func(from r2.Vec, a, b float64) r2.Vec {
		return r2.Add(from, r2.Add(r2.Scale(a*px, along), r2.Scale(b*px, away)))
	}
	jaw := func(from r2.Vec, out float64) Element {
		return polygon("tool-body", at(from, 0, -jawOver), at(from, 0, jawLength), at(from, out*jawWidth, jawLength), at(from, out*jawWidth, jawTip))
	}
	all := []Element{
		line("measure-line", t.From, t.To),
		polygon("tool-body", at(t.From, -jawWidth, jawLength), at(t.To, jawWidth+beamPast, jawLength),
			at(t.To, jawWidth+beamPast, jawLength+beamWidth), at(t.From, -jawWidth, jawLength+beamWidth)),
		jaw(t.From, -1), jaw(t.To, 1),
	}
	gap := math.Max(1, math.Ceil(markGap*px)) // whole millimetres
	for i := 0; float64(i)*gap <= length; i++ {
		size := float64(markShort)
		if i%5 == 0 {
			size = markLong
		}
		mark := at(t.From, float64(i)*gap/px, jawLength)
		all = append(all, path("mark-line", mark, at(mark, 0, size)))
	}
	return append(all, circle("tip", t.From, tipRadius*px), circle("tip", t.To, tipRadius*px))
}

// protractor is two arms and the arc between them, the shorter way.
func (t *Tool) protractor(px float64) []Element {
	a, b := r2.Sub(t.From, t.Vertex), r2.Sub(t.To, t.Vertex)
	from, turn := math.Atan2(a.Y, a.X), math.Atan2(r2.Cross(a, b), r2.Dot(a, b))
	at := func(angle, radius float64) r2.Vec {
		sin, cos := math.Sincos(angle)
		return r2.Add(t.Vertex, r2.Vec{X: radius * px * cos, Y: radius * px * sin})
	}
	arc := make([]r2.Vec, arcSteps+1)
	for i := range arc {
		arc[i] = at(from+turn*float64(i)/arcSteps, arcRadius)
	}
	return []Element{
		polygon("sector", append([]r2.Vec{t.Vertex}, arc...)...),
		line("tool-arm", t.Vertex, at(from, armLength)), line("tool-arm", t.Vertex, at(from+turn, armLength)),
		path("measure-line", arc...), circle("tip", t.Vertex, cornerSpot*px),
	}
}

// micron is finer than a pixel shows at any zoom.
func micron(x float64) string {
	x = math.Round(1000*x) / 1000
	if x == 0 {
		x = 0 // not -0
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

func line(class string, a, b r2.Vec) Element {
	return Element{"line", class, []Setting{{"x1", micron(a.X)}, {"y1", micron(a.Y)}, {"x2", micron(b.X)}, {"y2", micron(b.Y)}}}
}

func circle(class string, at r2.Vec, radius float64) Element {
	return Element{"circle", class, []Setting{{"cx", micron(at.X)}, {"cy", micron(at.Y)}, {"r", micron(radius)}}}
}

func path(class string, points ...r2.Vec) Element {
	var d strings.Builder
	for i, p := range points {
		command := "L"
		if i == 0 {
			command = "M"
		}
		d.WriteString(command + micron(p.X) + " " + micron(p.Y))
	}
	return Element{"path", class, []Setting{{"d", d.String()}}}
}

func polygon(class string, points ...r2.Vec) Element {
	e := path(class, points...)
	e.Set[0].Text += "Z"
	return e
}
