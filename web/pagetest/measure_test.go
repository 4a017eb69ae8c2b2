package pagetest

import (
	"fmt"
	"math"
	"testing"
)

// The picture of a measurement shows the caliper enlarged, with jaws that keep their size on the
// screen however one zooms.
func TestCaliperOnTheDrawing(t *testing.T) {
	t.Parallel()
	server := serve(t)
	rev := server.starter("chassis")
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			p := open(t, s, server.url)
			p.load(server.url)
			p.show(fmt.Sprintf("#/rig/%s/measure", rev.Rig))
			for _, test := range []struct{ words, body string }{
				{"left wheel tyre width", ".tool-body"},
				{"left kingpin caster", ".sector"},
			} {
				p.run(fmt.Sprintf(`[...document.querySelectorAll(".measured button")].find((b) => b.textContent.startsWith(%q)).click()`, test.words))
				find := fmt.Sprintf(`document.querySelector(".where .picture %s")`, test.body)
				p.until(find + " !== null")
				width := func() float64 {
					return eval[float64](p, `document.querySelector(".where .picture .tip").getBoundingClientRect().width`)
				}
				times := func() float64 {
					return eval[float64](p, `(() => { const svg = document.querySelector(".where svg.drawing"), box = svg.viewBox.baseVal; return svg.parentNode.getBoundingClientRect().width / box.width; })()`)
				}
				p.shot(test.body[1:])
				before, scale := width(), times()
				if before < 4 || before > 12 {
					t.Errorf("%s: the tip is %v px wide", test.words, before)
				}
				p.press("+")
				if now := times(); now < 1.4*scale {
					t.Errorf("%s: %v px to a mm, %v after zooming in", test.words, scale, now)
				}
				if now := width(); math.Abs(now-before) > 0.2 {
					t.Errorf("%s: the tip is %v px wide, and %v after zooming in", test.words, before, now)
				}
			}
		})
	}
}
