package pagetest

import (
	"strings"
	"testing"
)

// What a step of the set-up puts into the file is one change: reversing the channel, which turns
// the readings over too, is taken back whole by one undo.
func TestAStepOfTheSetUpIsOneChange(t *testing.T) {
	t.Parallel()
	server := serve(t)
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			rev := server.starter("rack")
			p := open(t, s, server.url)
			p.load(server.url)
			p.show("#/rig/" + rev.Rig + "/setup")
			p.until(`document.querySelectorAll(".step").length >= 5`)
			p.shot("setup")
			p.run(`document.querySelector("[aria-label='Put this into the file: Reverse']").click()`)
			p.unsaved()
			p.saved()
			reversed := server.kept(rev.Rig).Text
			for _, want := range []string{"\nreverse = true", "\nsetting = -100              # full stick to the left", "\nsetting = 100             # full stick to the right"} {
				if !strings.Contains(reversed, want) {
					t.Errorf("%q is not in the file", want)
				}
			}
			p.until(`document.querySelector("[aria-label='Put this into the file: Reverse']") === null`)
			p.run(`document.querySelector("[aria-label^='Undo']").click()`)
			p.unsaved()
			p.saved()
			if got := server.kept(rev.Rig).Text; got != rev.Text {
				t.Error("one undo left a part of it")
			}
			p.until(`document.querySelector("[aria-label='Put this into the file: Reverse']") !== null`)
		})
	}
}

// The verdict stands first, the cautions at their steps, and no key of the file before a reader of
// the page.
func TestSetUpSection(t *testing.T) {
	t.Parallel()
	server := serve(t)
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			rev := server.starter("chassis")
			p := open(t, s, server.url)
			p.load(server.url)
			p.show("#/rig/" + rev.Rig + "/setup")
			p.until(`document.querySelectorAll(".step").length >= 5`)
			p.shot("chassis")
			if got := p.text(`document.querySelector(".setup .verdict .line").textContent`); got != "Turn the horn 12 teeth counter-clockwise and use the opposite arm." {
				t.Errorf("the verdict begins %q", got)
			}
			if !eval[bool](p, `document.querySelector("[data-step=prepare] .caution").textContent.includes("motor unplugged") && document.querySelector("[data-step=horn] .caution").textContent.includes("power off")`) {
				t.Error("a step has not its caution")
			}
			text := p.text(`document.querySelector(".setup").textContent`)
			for _, key := range []string{"left.stops", "transmitter.", "horn.", "drag_link"} {
				if strings.Contains(text, key) {
					t.Errorf("the page shows the key %s", key)
				}
			}
			// What nobody acts on is folded, and there when one asks.
			p.run(`document.querySelectorAll("[data-section=shaping] summary, [data-section=square] summary").forEach((one) => one.click())`)
			if !eval[bool](p, `document.querySelector("[data-section=shaping] table").offsetHeight > 0 && document.querySelectorAll("[data-section=square] .figure").length >= 4`) {
				t.Error("the details are not shown")
			}
			if strings.Contains(p.text(`document.querySelector(".setup").textContent`), "[object") {
				t.Error("an object is shown for what stands in it")
			}
			// Leaving a step undone and doing it again are told apart by more than colour.
			p.run(`document.querySelector("[data-tick=horn]").click()`)
			p.until(`document.querySelector("[data-step=horn]").classList.contains("ticked")`)
			p.run(`document.querySelector("[data-tick=horn]").click()`)
			p.until(`!document.querySelector("[data-step=horn]").classList.contains("ticked")`)
		})
	}
}
