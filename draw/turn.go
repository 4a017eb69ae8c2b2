package draw

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"

	"evenlock/turning"

	"gonum.org/v1/gonum/spatial/r3"
)

// turnStyle adds to the style of a file what only the drawing of turns has.
const turnStyle = `
.turns .wheel-axis { stroke-width: .3; stroke-dasharray: 2 1; }
.turns .axle { stroke-dasharray: none; stroke-width: .5; }
.turns .turn-circle { stroke-width: .7; }
.turns .turn-circle.middle { stroke-width: .4; stroke-dasharray: 2.5 1.2; }
.turns .turn-circle.inner { stroke: var(--metal); stroke-dasharray: .6 1; }
.turns .turn-centre { fill: var(--ink); stroke: none; }
.turns .tyre { stroke-width: .5; }
.turns .moves { stroke: var(--mark); stroke-width: .8; }
.turns .frame { stroke: var(--quiet); stroke-width: .3; }
.turns .heading { stroke: none; font-size: 4.5px; font-weight: bold; text-anchor: start; }
.turns .caption { font-size: 3.5px; }
.turns .note { font-size: 3.6px; text-anchor: start; }
.turns .road { font-size: 3px; paint-order: stroke; stroke: var(--paper); stroke-width: .8; }
.turns .road.left { text-anchor: end; }
.turns .road.right { text-anchor: start; }
`

// Sizes on the page of turns, in mm.
const (
	panelWide = 92.0
	panelTall = 92.0
	// panelHead is the room for a panel's words.
	panelHead = 20.0
	panelPad  = 2.0
	// wordsWide is how wide the words beside a wheel are.
	wordsWide = 14.0
	lineTall  = 5.0
	noteTall  = 4.6
	arrowHead = 2.2
)

// sameScale is how many times as large as the smallest turning circle one may be for all of it to
// be shown; of a larger one only the part about the vehicle is.
const sameScale = 2

// Turns writes the turns of an analysis at full lock to one side, turning.Left or turning.Right, as
// one SVG file: a panel for each mode, from above, all to one scale. Each shows the four wheels,
// their axes, the turn centre, and the circles of the outermost tyre, of the innermost and of the
// middle of the vehicle. Forward is up, left is left. Words are what is written above a panel: a
// heading, and at most three lines.
func Turns(w io.Writer, d *turning.Analysis, side int, words func(c *turning.Sweep) []string) error {
	p := newTurnPage(d, side)
	columns := min(2, len(d.Sweeps))
	rows := (len(d.Sweeps) + columns - 1) / columns
	wide := margin + float64(columns)*(panelWide+margin)
	tall := margin + 3*lineTall + 5 + float64(rows)*(panelHead+panelTall+margin)
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="evenlock turns" width="%.2fmm" height="%.2fmm" viewBox="0 0 %.2f %.2f">`+"\n<title>", wide, tall, wide, tall)
	escape(&b, "Turns of "+d.Axles[turning.Front].Rig.Name)
	b.WriteString("</title>\n<style>\n")
	escape(&b, plain(style+turnStyle))
	fmt.Fprintf(&b, "</style>\n"+`<rect class="paper" width="%.2f" height="%.2f"/>`+"\n", wide, tall)
	for i, line := range []string{
		"Full lock to the " + [2]string{"left", "right"}[side] + ". Forward is up, left is left.",
		"Whole line: outermost tyre. Dotted: innermost tyre.",
		fmt.Sprintf("Dashed, and arrow: middle of the vehicle. 1 : %.1f.", 1/p.scale),
	} {
		p.words(&b, "caption", margin, margin+4+lineTall*float64(i), line)
	}
	for i, c := range d.Sweeps {
		x := margin + float64(i%columns)*(panelWide+margin)
		y := margin + 3*lineTall + 5 + float64(i/columns)*(panelHead+panelTall+margin)
		p.panel(&b, c, words(c), x, y)
	}
	b.WriteString("</svg>\n")
	_, err := w.Write(b.Bytes())
	return err
}

// turnPage is what the panels have in common.
type turnPage struct {
	d    *turning.Analysis
	side int
	// box is what each panel shows, in mm of the vehicle on the screen; scale is mm of the page for
	// one of them.
	box   Box
	scale float64
}

func newTurnPage(d *turning.Analysis, side int) *turnPage {
	p := &turnPage{d: d, side: side, scale: math.Inf(1)}
	// Words keep their size on the page, so that how much of the vehicle's ground they cover is
	// found with the scale.
	for range 20 {
		p.box = p.bounds(wordsWide / p.scale)
		p.scale = min((panelWide-2*panelPad)/p.box.Width, (panelTall-2*panelPad)/p.box.Height)
	}
	// What is left over goes to both sides alike.
	wide, tall := panelWide/p.scale, panelTall/p.scale
	p.box = Box{p.box.U - (wide-p.box.Width)/2, p.box.V - (tall-p.box.Height)/2, wide, tall}
	return p
}

// bounds returns what is to be seen of the ground, words beside the wheels being so wide there.
func (p *turnPage) bounds(words float64) Box {
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	reach := func(at turning.Place, across, along float64) {
		u, v := flat(at)
		for i, x := range [2][2]float64{{u, across}, {v, along}} {
			low[i], high[i] = min(low[i], x[0]-x[1]), max(high[i], x[0]+x[1])
		}
	}
	least := math.Inf(1)
	for _, c := range p.d.Sweeps {
		sample := c.At(p.side)
		least = min(least, sample.Turn.Outer)
		for i := range sample.Wheels {
			r := p.radius(i)
			reach(sample.Wheels[i].Contact, r+words, 2*r)
		}
	}
	for _, c := range p.d.Sweeps {
		if t := &c.At(p.side).Turn; !t.Straight && t.Outer <= sameScale*least {
			reach(t.Centre, t.Outer, t.Outer)
		}
	}
	return Box{low[0], low[1], high[0] - low[0], high[1] - low[1]}
}

// flat returns where a place on the ground is on the screen.
func flat(p turning.Place) (u, v float64) { return Turn.Flat(r3.Vec{X: p.X, Y: p.Y}) }

// radius is that of a wheel's tyre.
func (p *turnPage) radius(wheel int) float64 {
	axle := wheel / 2
	if axle == turning.Rear && !p.d.RearSteers() {
		axle = turning.Front
	}
	return p.d.Axles[axle].Wheels[wheel%2].Radius
}

// on returns where a place is in a panel.
func (p *turnPage) on(at turning.Place) (x, y float64) {
	u, v := flat(at)
	return (u - p.box.U) * p.scale, (v - p.box.V) * p.scale
}

func (p *turnPage) words(b *bytes.Buffer, class string, x, y float64, s string) {
	fmt.Fprintf(b, `<text class="%s" x="%.2f" y="%.2f">`, class, x, y)
	escape(b, s)
	b.WriteString("</text>\n")
}

func (p *turnPage) line(b *bytes.Buffer, class, part string, from, to turning.Place) {
	x1, y1 := p.on(from)
	x2, y2 := p.on(to)
	fmt.Fprintf(b, `<line class="%s" x1="%.2f" y1="%.2f" x2="%.2f" y2="%.2f"><title>%s</title></line>`+"\n", class, x1, y1, x2, y2, part)
}

func (p *turnPage) circle(b *bytes.Buffer, class, part string, centre turning.Place, radius float64) {
	x, y := p.on(centre)
	fmt.Fprintf(b, `<circle class="%s" cx="%.2f" cy="%.2f" r="%.2f"><title>%s</title></circle>`+"\n", class, x, y, radius, part)
}

// panel draws one mode.
func (p *turnPage) panel(b *bytes.Buffer, c *turning.Sweep, words []string, x, y float64) {
	sample := c.At(p.side)
	for i, s := range words {
		if i == 0 {
			p.words(b, "heading", x, y+3.5, s)
		} else {
			p.words(b, "note", x, y+8.3+noteTall*float64(i-1), s)
		}
	}
	y += panelHead
	fmt.Fprintf(b, `<svg class="view turn-%s" x="%.2f" y="%.2f" width="%.2f" height="%.2f">`+"\n", c.Mode.Key(), x, y, panelWide, panelTall)
	t := &sample.Turn
	if !t.Straight {
		p.circle(b, "turn-circle outer", "circle of the outermost tyre", t.Centre, t.Outer*p.scale)
		p.circle(b, "turn-circle inner", "circle that the innermost tyre leaves free", t.Centre, t.Inner*p.scale)
		p.circle(b, "turn-circle middle", "path of the middle of the vehicle", t.Centre, p.scale/math.Abs(t.Curvature))
	}
	base := -p.d.Axles[turning.Front].Axle.Other
	p.line(b, "middle", "middle line of the vehicle", turning.Place{}, turning.Place{X: -base})
	for _, w := range [2]int{turning.FrontLeft, turning.RearLeft} {
		p.line(b, "axle", "axle", sample.Wheels[w].Contact, sample.Wheels[w+1].Contact)
	}
	for i := range sample.Wheels {
		p.wheelAxis(b, &sample.Wheels[i], t)
	}
	for i := range sample.Wheels {
		p.tyre(b, i, &sample.Wheels[i])
	}
	p.arrow(b, t, base)
	for i := range sample.Wheels {
		p.road(b, i, &sample.Wheels[i])
	}
	if !t.Straight {
		p.circle(b, "turn-centre", "turn centre", t.Centre, 1.1)
	}
	fmt.Fprintf(b, `<rect class="frame" width="%.2f" height="%.2f" fill="none"/>`+"\n</svg>\n", panelWide, panelTall)
}

// sideAngle writes an angle with its side in words.
func sideAngle(v float64) string {
	s := fixed(math.Abs(v)/degree, 1)
	switch {
	case s == "0.0":
		return "straight"
	case v > 0:
		return s + "° left"
	default:
		return s + "° right"
	}
}

func fixed(v float64, decimals int) string { return strconv.FormatFloat(v, 'f', decimals, 64) }

// along returns the place that is so far from another in a direction, from straight ahead to the
// left.
func along(from turning.Place, direction, far float64) turning.Place {
	sin, cos := math.Sincos(direction)
	return turning.Place{X: from.X + far*cos, Y: from.Y + far*sin}
}

// wheelAxis draws a wheel's axis to beside the centre, or beyond the panel where there is none.
func (p *turnPage) wheelAxis(b *bytes.Buffer, w *turning.Wheel, t *turning.Turn) {
	square := w.Road + math.Pi/2
	far := p.box.Width + p.box.Height
	from := along(w.Contact, square, -far)
	if !t.Straight {
		sin, cos := math.Sincos(square)
		far = (t.Centre.X-w.Contact.X)*cos + (t.Centre.Y-w.Contact.Y)*sin
		far += math.Copysign(4/p.scale, far)
		from = w.Contact
	}
	p.line(b, "wheel-axis", "wheel's axis", from, along(w.Contact, square, far))
}

// tyre draws a wheel from above, upright.
func (p *turnPage) tyre(b *bytes.Buffer, i int, w *turning.Wheel) {
	class := "tyre"
	if i >= turning.RearLeft && !p.d.RearSteers() {
		class += " unmeasured"
	}
	x, y := p.on(w.Contact)
	long, wide := 2*p.radius(i)*p.scale, w.Width*p.scale
	fmt.Fprintf(b, `<path class="%s" d="M%.2f %.2fh%.2fv%.2fh%.2fZ" transform="rotate(%.2f %.2f %.2f)"><title>%s tyre</title></path>`+"\n",
		class, x-wide/2, y-long/2, wide, long, -wide, -w.Road/degree, x, y, [turning.NumWheels]string{"front left", "front right", "rear left", "rear right"}[i])
}

// arrow shows where the middle of the vehicle goes.
func (p *turnPage) arrow(b *bytes.Buffer, t *turning.Turn, base float64) {
	tip := along(t.Middle, t.Slip, 0.42*base)
	p.line(b, "moves", "where the middle of the vehicle goes", t.Middle, tip)
	for _, wing := range [2]float64{150 * degree, -150 * degree} {
		p.line(b, "moves", "its point", tip, along(tip, t.Slip+wing, arrowHead/p.scale))
	}
}

// road writes a wheel's road steer angle ahead of the front wheels and behind the rear ones, away
// from the middle.
func (p *turnPage) road(b *bytes.Buffer, i int, w *turning.Wheel) {
	ahead, below, class := 1.0, -1.4, "road left"
	if i >= turning.RearLeft {
		ahead, below = -1, 3.4
	}
	if i == turning.FrontRight || i == turning.RearRight {
		class = "road right"
	}
	x, y := p.on(along(w.Contact, w.Road, ahead*1.15*p.radius(i)))
	p.words(b, class, x, y+below, sideAngle(w.Road))
}
