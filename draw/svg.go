package draw

import (
	"bytes"
	_ "embed" // the style of a file
	"encoding/xml"
	"fmt"
	"io"
	"math"
)

//go:embed style.css
var style string

// Options are those of SVG. The zero value draws all views at true size.
type Options struct {
	// Views to be drawn, in this order down the page; all of them if empty.
	Views []View
	// Title is the file's.
	Title string
	// Style is CSS used in place of the built-in one.
	Style string
}

const (
	margin  = 6.0
	caption = 9.0
)

// SVG writes the drawing as one file, its views below one another. A millimetre of the vehicle is a
// millimetre of the file; the turn alone is shrunk to the width of the others, and says so. Colours
// are CSS custom properties that follow the reader's light or dark setting.
func SVG(w io.Writer, s *Scene, numbers []float64, o Options) error {
	if len(numbers) < s.Length {
		return fmt.Errorf("draw: %d numbers for a scene of %d", len(numbers), s.Length)
	}
	if len(o.Views) == 0 {
		o.Views = Views()
	}
	if o.Style == "" {
		o.Style = style
	}
	width := 0.0
	for _, v := range o.Views {
		if v != Turn {
			width = max(width, s.Boxes[v].Width)
		}
	}
	if width == 0 {
		width = 200
	}
	var b bytes.Buffer
	y := margin
	for _, v := range o.Views {
		box := s.Boxes[v]
		scale, note := 1.0, "True size."
		if v == Turn {
			scale = width / box.Width
			note = fmt.Sprintf("1 : %.1f.", 1/scale)
		}
		fmt.Fprintf(&b, `<text class="caption" x="%g" y="%.2f">%s %s</text>`+"\n", margin, y+4, v.Words(), note)
		y += caption
		fmt.Fprintf(&b, `<svg class="view view-%s" x="%.2f" y="%.2f" width="%.2f" height="%.2f" viewBox="%.2f %.2f %.2f %.2f">`+"\n",
			v, margin, y, box.Width*scale, box.Height*scale, box.U, box.V, box.Width, box.Height)
		for i := range s.Shapes {
			if sh := &s.Shapes[i]; sh.View == v && !math.IsNaN(numbers[sh.At]) {
				sh.write(&b, numbers)
			}
		}
		b.WriteString("</svg>\n")
		y += box.Height*scale + margin
	}
	var head bytes.Buffer
	total := width + 2*margin
	fmt.Fprintf(&head, `<svg xmlns="http://www.w3.org/2000/svg" class="evenlock" width="%.2fmm" height="%.2fmm" viewBox="0 0 %.2f %.2f">`+"\n", total, y, total, y)
	head.WriteString("<title>")
	escape(&head, o.Title)
	head.WriteString("</title>\n<style>\n")
	escape(&head, o.Style)
	head.WriteString("</style>\n")
	fmt.Fprintf(&head, `<rect class="paper" width="%.2f" height="%.2f"/>`+"\n", total, y)
	b.WriteString("</svg>\n")
	if _, err := w.Write(head.Bytes()); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
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
