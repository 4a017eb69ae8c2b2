package draw

import (
	"bytes"
	_ "embed" // the style of a file
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
)

//go:embed style.css
var style string

// colours are those of a file. They are written out in it, since many viewers know no custom
// properties and would draw all black.
var colours = strings.NewReplacer(
	"var(--paper)", "#fbfaf6", "var(--ink)", "#20262b", "var(--quiet)", "#7b8288", "var(--rubber)", "#c9ccc8",
	"var(--metal)", "#3f5866", "var(--drag)", "#a4500f", "var(--tie)", "#1d5d86", "var(--mark)", "#6a2f7a",
	"var(--stop)", "#b3161b", "var(--ghost)", "#9aa0a4",
)

func plain(style string) string { return colours.Replace(style) }

// Options are those of SVG. The zero value draws all views.
type Options struct {
	// Views to be drawn, in this order; all of them if empty.
	Views []View
	// Title is the file's.
	Title string
}

// All in mm of the page.
const (
	margin = 6.0
	// caption is the room for a view's caption, captionTall how tall its letters are.
	caption, captionTall = 9.0, 2.8
	// foot is the room for the bar and its words.
	foot = 14.0
	// A file fits on A4 (210 × 297) and on Letter (216 × 279), less what printers leave free.
	pageWide, pageTall = 190.0, 259.0
	// lettering is how tall letters in a view are.
	lettering = 3.4
)

// scales are how many times smaller than the rig it may be drawn.
var scales = []float64{1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 15, 20, 30, 50, 100}

// page is how the views are laid out on a page: in rows, each as wide as the page takes.
type page struct {
	boxes [numViews]Box
	names []string
	// smaller is how many times smaller than the rig the views are; the turn is as wide as turnWide.
	smaller, turnWide float64
	// at is where each view is, its caption above it; wide and tall is the page.
	at         map[View]Box
	wide, tall float64
}

func newPage(s *Scene, numbers []float64, views []View) *page {
	p := &page{names: namesOf(s, numbers, views), turnWide: pageWide - 2*margin}
	if len(views) > 1 {
		p.turnWide = (p.turnWide - margin) / 2
	}
	for _, p.smaller = range scales {
		p.boxes = s.Boxes
		for v := range p.boxes[:Turn] {
			// Letters stand above what they are of.
			p.boxes[v].V -= 2 * lettering * p.smaller
			p.boxes[v].Height += 2 * lettering * p.smaller
		}
		p.layOut(views)
		if p.wide <= pageWide && p.tall <= pageTall {
			break
		}
	}
	return p
}

// layOut places the views at the page's scale.
func (p *page) layOut(views []View) {
	p.at, p.wide = map[View]Box{}, 0
	x, y, row := margin, margin, 0.0
	for _, v := range views {
		scale := p.scale(v)
		at := Box{0, 0, p.boxes[v].Width * scale, p.boxes[v].Height * scale}
		wide := max(at.Width, wideAs(p.words(v), captionTall))
		if x > margin && x+wide+margin > pageWide {
			x, y, row = margin, y+row+margin, 0
		}
		at.U, at.V = x, y+caption
		p.at[v] = at
		x += wide + margin
		row = max(row, caption+at.Height)
		p.wide = max(p.wide, x)
	}
	p.tall = y + row + margin + foot + nameRow*float64((len(p.names)+nameColumns-1)/nameColumns)
}

// words are a view's caption.
func (p *page) words(v View) string { return v.Words() + " " + ratio(p.scale(v)) + "." }

// scale is how many mm on the page one of the rig is in a view.
func (p *page) scale(v View) float64 {
	if v == Turn {
		return p.turnWide / p.boxes[v].Width
	}
	return 1 / p.smaller
}

// ratio writes a scale.
func ratio(scale float64) string {
	if scale == 1 {
		return "1 : 1, true size"
	}
	return fmt.Sprintf("1 : %.3g", 1/scale)
}

// SVG writes the drawing as one file that fits on a page of A4 or Letter, all its views to one
// scale, the turn aside. Each says its scale, a bar shows it, and numbers in the views
// stand for the names of the parts, below it.
func SVG(w io.Writer, s *Scene, numbers []float64, o Options) error {
	if len(numbers) < s.Length {
		return fmt.Errorf("draw: %d numbers for a scene of %d", len(numbers), s.Length)
	}
	if len(o.Views) == 0 {
		o.Views = Views()
	}
	p := newPage(s, numbers, o.Views)
	wide, tall := p.wide, p.tall
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="evenlock" width="%.2fmm" height="%.2fmm" viewBox="0 0 %.2f %.2f">`+"\n", wide, tall, wide, tall)
	b.WriteString("<title>")
	escape(&b, o.Title)
	b.WriteString("</title>\n<style>\n")
	escape(&b, plain(style))
	// Letters are as tall on the page whatever the scale.
	fmt.Fprintf(&b, ".view text { font-size: %.3gpx; }\n", lettering*p.smaller)
	if p.boxes[Turn].Width > 0 {
		fmt.Fprintf(&b, ".view-turn text { font-size: %.3gpx; }\n", lettering/p.scale(Turn))
	}
	b.WriteString("</style>\n")
	fmt.Fprintf(&b, `<rect class="paper" width="%.2f" height="%.2f"/>`+"\n", wide, tall)
	for _, v := range o.Views {
		box, at := p.boxes[v], p.at[v]
		fmt.Fprintf(&b, `<text class="caption" x="%.2f" y="%.2f">%s</text>`+"\n", at.U, at.V-caption/2, p.words(v))
		fmt.Fprintf(&b, `<svg class="view view-%s" x="%.2f" y="%.2f" width="%.2f" height="%.2f" viewBox="%.2f %.2f %.2f %.2f">`+"\n",
			v, at.U, at.V, at.Width, at.Height, box.U, box.V, box.Width, box.Height)
		marks := &partNumbers{names: p.names, box: box, on: at, done: map[string]bool{}}
		for i := range s.Shapes {
			if sh := &s.Shapes[i]; sh.View == v && !math.IsNaN(numbers[sh.At]) {
				sh.write(&b, numbers)
				if v != Turn {
					marks.see(sh, numbers)
				}
			}
		}
		b.WriteString("</svg>\n")
		marks.write(&b)
	}
	p.bar(&b, o.Views)
	b.WriteString("</svg>\n")
	_, err := w.Write(b.Bytes())
	return err
}

// bar draws 100 mm of the rig at the scale of the views, to hold a ruler to.
func (p *page) bar(b *bytes.Buffer, views []View) {
	scale, y := 1/p.smaller, p.tall-foot-nameRow*float64((len(p.names)+nameColumns-1)/nameColumns)
	if len(views) == 1 && views[0] == Turn {
		scale = p.scale(Turn)
	}
	long := 100 * scale
	fmt.Fprintf(b, `<path class="bar" d="M%g %.2fv3m0 -1.5h%.4gm0 -1.5v3"/>`+"\n", margin, y, long)
	fmt.Fprintf(b, `<text class="note" x="%g" y="%.2f">100 mm of the rig, %s: %.4g mm on paper printed at 100 %%.</text>`+"\n", margin, y+7, ratio(scale), long)
	for i, name := range p.names {
		fmt.Fprintf(b, `<text class="name" x="%.2f" y="%.2f">%d `, margin+float64(i%nameColumns)*(p.wide-2*margin)/nameColumns, y+13+nameRow*float64(i/nameColumns), i+1)
		escape(b, name)
		b.WriteString("</text>\n")
	}
}

func (sh *Shape) write(b *bytes.Buffer, numbers []float64) {
	var buf []byte
	fmt.Fprintf(b, `<%s class="%s"`, sh.Tag, sh.Class)
	for _, a := range sh.Set {
		buf = buf[:0]
		for _, p := range a.Fragments {
			buf = p.Append(buf, numbers)
		}
		fmt.Fprintf(b, ` %s="%s"`, a.Name, buf)
	}
	if sh.Text == nil {
		b.WriteString("><title>")
		escape(b, sh.Part)
		fmt.Fprintf(b, "</title></%s>\n", sh.Tag)
		return
	}
	b.WriteByte('>')
	buf = buf[:0]
	for _, p := range sh.Text {
		buf = p.Append(buf, numbers)
	}
	escape(b, string(buf))
	fmt.Fprintf(b, "</%s>\n", sh.Tag)
}

// escape writes text for XML. A buffer takes everything.
func escape(b *bytes.Buffer, s string) { _ = xml.EscapeText(b, []byte(s)) }
