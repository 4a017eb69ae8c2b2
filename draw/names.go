package draw

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// The names of the parts, below the drawing.
const (
	nameColumns = 2
	nameRow     = 4.2
	// numberTall is how tall the numbers in the views are that stand for them.
	numberTall = 2.4
)

// namedClasses are the shapes whose parts have a name: what one can take in one's hand.
var namedClasses = []string{"tyre", "rod", "horn", "link", "arm", "thing", "kingpin"}

func (sh *Shape) named() bool {
	class, more, _ := strings.Cut(sh.Class, " ")
	return sh.Part != "" && sh.View != Turn && more != "spindle" && slices.Contains(namedClasses, class)
}

// namesOf lists the parts that some views show, in their order.
func namesOf(s *Scene, numbers []float64, views []View) []string {
	var all []string
	for i := range s.Shapes {
		if sh := &s.Shapes[i]; sh.named() && slices.Contains(views, sh.View) && !math.IsNaN(numbers[sh.At]) && !slices.Contains(all, sh.Part) {
			all = append(all, sh.Part)
		}
	}
	return all
}

// partNumbers writes numbers for names beside the parts of a view, clear of one another.
type partNumbers struct {
	names []string
	// box is what the view shows, on where on the page.
	box, on Box
	done    map[string]bool
	marks   []partNumber
	drawn   []Box
}

// partNumber is a number with the place on the page that it is for.
type partNumber struct {
	number int
	x, y   float64
}

// see notes a shape's part, and keeps numbers clear of letters.
func (n *partNumbers) see(sh *Shape, numbers []float64) {
	at := map[string][]float64{}
	for _, a := range sh.Set {
		for _, p := range a.Fragments {
			if v, err := strconv.ParseFloat(string(p.Append(nil, numbers)), 64); err == nil {
				at[a.Name] = append(at[a.Name], v)
			}
		}
	}
	x, y, ok := middleOf(sh.Tag, at)
	if !ok {
		return
	}
	scale := n.on.Width / n.box.Width
	x, y = n.on.U+(x-n.box.U)*scale, n.on.V+(y-n.box.V)*scale
	if sh.Tag == "text" {
		var buf []byte
		for _, p := range sh.Text {
			buf = p.Append(buf, numbers)
		}
		long := wideAs(string(buf), lettering)
		n.drawn = append(n.drawn, Box{x - long/2, y - lettering, long, 1.3 * lettering})
	} else if sh.named() && !n.done[sh.Part] {
		n.done[sh.Part] = true
		n.marks = append(n.marks, partNumber{1 + slices.Index(n.names, sh.Part), x, y})
	}
}

// middleOf is the middle of an element with these numbers in its attributes; of a path, where it
// begins.
func middleOf(tag string, at map[string][]float64) (x, y float64, ok bool) {
	one := func(name string) float64 {
		if all := at[name]; len(all) > 0 {
			return all[0]
		}
		return 0
	}
	switch tag {
	case "line":
		return (one("x1") + one("x2")) / 2, (one("y1") + one("y2")) / 2, true
	case "circle", "ellipse":
		return one("cx"), one("cy"), true
	case "rect":
		return one("x") + one("width")/2, one("y") + one("height")/2, true
	case "text":
		return one("x"), one("y"), true
	case "path":
		if d := at["d"]; len(d) > 1 {
			return d[0], d[1], true
		}
	}
	return 0, 0, false
}

// wideAs is about how wide letters so tall are.
func wideAs(text string, tall float64) float64 { return 0.55 * tall * float64(len([]rune(text))) }

// write places the numbers: near their part, and clear of the others.
func (n *partNumbers) write(b *bytes.Buffer) {
	for _, p := range n.marks {
		text := strconv.Itoa(p.number)
		long := wideAs(text, numberTall) + 0.6
		best, least := Box{}, math.Inf(1)
		for ring := 2.2; ring < 14; ring += 1.5 {
			for turn := range 16 {
				sin, cos := math.Sincos(2 * math.Pi * float64(turn) / 16)
				at := Box{p.x + ring*cos - long/2, p.y + ring*sin - numberTall/2, long, numberTall}
				cost := ring
				for _, other := range n.drawn {
					if overlap(at, other) {
						cost += 100
					}
				}
				if cost < least {
					best, least = at, cost
				}
			}
		}
		n.drawn = append(n.drawn, best)
		x, y := best.U+long/2, best.V+numberTall/2
		fmt.Fprintf(b, `<line class="leader" x1="%.2f" y1="%.2f" x2="%.2f" y2="%.2f"/>`+"\n", p.x, p.y, x, y)
		fmt.Fprintf(b, `<text class="number" x="%.2f" y="%.2f">%s</text>`+"\n", x, y+0.4*numberTall, text)
	}
}

func overlap(a, b Box) bool {
	return a.U < b.U+b.Width && b.U < a.U+a.Width && a.V < b.V+b.Height && b.V < a.V+a.Height
}
