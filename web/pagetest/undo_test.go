package pagetest

import (
	"fmt"
	"strings"
	"testing"
)

// Whatever one does at once is taken back by one undo: putting in a reading of the servo, taking
// one out, a setting, a measurement. (Dragging, trying and set-up steps have tests of their own.)
func TestOneUndoForOneAction(t *testing.T) {
	t.Parallel()
	server := serve(t)
	rev := server.starter("far-knuckle")
	p := open(t, laptop, server.url)
	p.load(server.url)
	type action struct {
		name, section string
		act           func()
		file          string
	}
	fill := func(label, text string) {
		p.run(fmt.Sprintf(`[...document.querySelectorAll("label")].find((l) => l.textContent === %q).control.focus()`, label))
		p.fill(text)
	}
	addReading := func() {
		fill("Number on the screen", "55")
		fill("Servo angle in degrees", "about 24")
		p.press("Add the reading")
	}
	const reading = "[[transmitter.reading]]\ncontrol = \"endpoint\"\nsetting = 55\nangle = \"24 ± 1\"\n"
	before := rev.Text
	for _, a := range []action{
		{"a reading taken out", "radio", func() {
			addReading()
			p.unsaved()
			p.saved()
			before = server.kept(rev.Rig).Text
			p.until(`document.querySelectorAll(".reading").length === 3`)
			p.press("Take it out: reading 1")
		}, ""},
		{"a reading put in", "radio", addReading, reading},
		{"a setting", "radio", func() {
			fill("Subtrim", "7")
			p.key("\r")
		}, "subtrim = 7"},
		{"the direction", "radio", func() { p.press("On") }, "reverse = true"},
		{"a measurement", "measure", func() {
			p.run(`document.querySelector(".measured button").click()`)
			p.run(`document.querySelector(".ask input").focus()`)
			p.fill("about 311")
			p.press("Keep and go on")
		}, "± 1\""},
	} {
		before = server.kept(rev.Rig).Text
		p.show(fmt.Sprintf("#/rig/%s/%s", rev.Rig, a.section))
		a.act()
		p.unsaved()
		p.saved()
		p.shot(a.name)
		after := server.kept(rev.Rig).Text
		if after == before || !strings.Contains(after, a.file) {
			t.Errorf("%s: the file is now\n%s", a.name, after)
		}
		p.run(`document.querySelector("[aria-label^='Undo:']").click()`)
		p.unsaved()
		p.saved()
		if got := server.kept(rev.Rig).Text; got != before {
			t.Errorf("%s: one undo left\n%s\nof\n%s", a.name, got, before)
		}
		before = server.kept(rev.Rig).Text
	}
}

// A point dragged to where the file cannot have it goes back as soon as it is let go, and the page
// says why.
func TestAPointThatCannotStayGoesBack(t *testing.T) {
	server := serve(t)
	rev := server.starter("chassis")
	p := open(t, laptop, server.url)
	p.load(server.url)
	p.show(fmt.Sprintf("#/rig/%s/look", rev.Rig))
	const point = `document.querySelector("[data-handle='above/left.kingpin.point'] .ring")`
	p.until(point + ` !== null && document.querySelector(".board-above svg").style.getPropertyValue("--u") !== ""`)
	at := func() string { return p.text(point + `.parentNode.getAttribute("transform")`) }
	before := at()
	u, v := p.place(point)
	// Over the middle, to the right side.
	p.drag(laptop, u, v, p.across(), 0, 12, 0)
	p.until(`document.querySelector(".held").textContent.includes("wrong side of the vehicle")`)
	if held := p.text(`document.querySelector(".held").textContent`); !strings.HasPrefix(held, "The left kingpin point cannot stay there: it is on the wrong side") {
		t.Errorf("the page says %q", held)
	}
	if now := at(); now != before {
		t.Errorf("the point is at %s, not %s", now, before)
	}
	if how := p.text(`document.querySelector(".save-state").dataset.how`); how != "saved" {
		t.Errorf("something is %s", how)
	}
}

// across is 120 mm of the vehicle in pixels of the drawing from above.
func (t *tab) across() float64 {
	t.tb.Helper()
	return eval[float64](t, `120 * document.querySelector(".board-above svg").getScreenCTM().a`)
}
