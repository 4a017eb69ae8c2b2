package pagetest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// At the rear axle the page is of that: drawing, verdict, points, set-up, radio. What is changed
// goes into the rear axle's tables, and undo takes it back. The choice stays when the page is
// loaded again.
func TestTheRearAxle(t *testing.T) {
	t.Parallel()
	server := serve(t)
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			rev := server.keep("Four-wheel crawler (invented)", "examples/four-wheel.toml")
			front, rear, _ := strings.Cut(rev.Text, "[rear]")
			p := open(t, s, server.url)
			p.load(server.url)
			p.show("#/rig/" + rev.Rig + "/look")
			const said = `document.querySelector(".headlines .verdict")?.textContent`
			p.until(said + ` !== undefined`)
			atFront := p.text(said)
			p.shot("front")
			p.press("Rear axle")
			p.until(fmt.Sprintf(`%s !== undefined && %[1]s !== %q`, said, atFront))
			atRear := p.text(said)
			p.run(`scrollTo(0, 0)`)
			p.shot("rear")
			shown := func() {
				t.Helper()
				p.until(`[...document.querySelectorAll(".axles [aria-pressed=true]")].map((one) => one.textContent).join() === "Rear axle"`)
			}
			shown()
			if high := eval[float64](p, `Math.min(...[...document.querySelectorAll(".axles button")].map((one) => one.getBoundingClientRect().height))`); high < 44 {
				t.Errorf("a button is %.1f px high", high)
			}
			if points := p.text(`[...document.querySelectorAll("[data-handle]")].map((one) => one.dataset.handle).filter((one) => !one.includes("/rear.")).join()`); points != "" {
				t.Errorf("points of the front axle can be moved: %s", points)
			}

			// undone takes back what was changed, once it is in the rear axle's tables alone.
			undone := func(what string) {
				t.Helper()
				p.unsaved()
				p.saved()
				nowFront, nowRear, _ := strings.Cut(server.kept(rev.Rig).Text, "[rear]")
				if nowFront != front || nowRear == rear {
					t.Errorf("%s: the file is now\n%s[rear]%s", what, nowFront, nowRear)
				}
				p.run(`document.querySelector("[aria-label^='Undo:']").click()`)
				p.unsaved()
				p.saved()
				if server.kept(rev.Rig).Text != rev.Text {
					t.Errorf("%s: undo left a part of it", what)
				}
				shown()
			}
			const point = `document.querySelector("[data-handle='above/rear.left.tie_arm']")`
			p.until(point + ` !== null`)
			p.run(point + `.focus()`)
			p.key(kb.ArrowUp)
			p.until(`document.querySelector("[aria-label='Undo: moved the rear left tie-rod ball']") !== null`)
			p.shot("moved")
			undone("a point")
			p.press("Turn")
			p.press("Full left")
			p.until(`/left/.test(document.querySelector(".live-road_left dd").textContent)`)
			p.shot("turn")
			p.press("Centre")
			p.press("Above")

			p.show("#/rig/" + rev.Rig + "/setup")
			p.until(`document.querySelectorAll(".step").length >= 5`)
			p.shot("setup")
			p.run(`document.querySelector("[aria-label^='Put this into the file']").click()`)
			undone("a step of the set-up")

			p.show("#/rig/" + rev.Rig + "/radio")
			p.run(`[...document.querySelectorAll("label")].find((l) => l.textContent === "Subtrim").control.focus()`)
			p.fill("7")
			p.key("\r")
			p.until(`document.querySelector("[aria-label^='Undo: set rear settings subtrim']") !== null`)
			undone("a setting")

			// The first reading waits for the second.
			for _, read := range [][2]string{{"100", "40"}, {"-100", "-38"}} {
				for i, label := range []string{"Number on the screen", "Servo angle in degrees"} {
					p.run(fmt.Sprintf(`[...document.querySelectorAll("label")].find((l) => l.textContent === %q).control.focus()`, label))
					p.fill(read[i])
				}
				p.press("Add the reading")
				p.until(`document.querySelector(".reading p")?.textContent.startsWith("Reading 1: endpoint at 100 %, ")`)
				p.shot("readings")
			}
			p.until(`document.querySelectorAll(".reading").length === 2`)
			undone("two readings")

			p.show("#/rig/" + rev.Rig + "/curves/travel")
			p.until(`document.querySelector(".none-yet")?.textContent === "Only the front axle's suspension can be in the file: the rear axle is worked out at ride height."`)
			p.shot("travel")
			for _, section := range []string{"curves", "loads", "change", "measure"} {
				p.show("#/rig/" + rev.Rig + "/" + section)
				p.frames()
				p.shot(section)
			}

			p.load(server.url)
			p.show("#/rig/" + rev.Rig + "/look")
			p.until(fmt.Sprintf(`%s === %q`, said, atRear))
			shown()
			p.press("Front axle")
			p.until(fmt.Sprintf(`%s === %q`, said, atFront))
		})
	}
}

// A rig with one axle that steers has none to choose.
func TestOneAxleHasNoChoice(t *testing.T) {
	t.Parallel()
	server := serve(t)
	p := open(t, phone, server.url)
	p.load(server.url)
	p.show("#/rig/" + server.starter("tie-rod").Rig + "/look")
	p.until(`document.querySelector(".headlines .verdict") !== null`)
	if eval[bool](p, `document.querySelector(".axles").checkVisibility()`) {
		t.Error("there is a choice of one")
	}
}
