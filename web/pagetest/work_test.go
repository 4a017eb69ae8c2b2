package pagetest

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"evenlock/internal/effort"
	"evenlock/store"
)

// A person who has nothing yet begins a rig, is asked for one measurement after another, answers
// in the ways that people do, and gets to the set-up.
func TestFirstTimeFromEmptyToSetUp(t *testing.T) {
	t.Parallel()
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			server := serve(t)
			p := open(t, s, server.url)
			p.load(server.url)
			p.shot("empty")
			p.press("Begin a new rig")
			p.until(`document.documentElement.dataset.at === "#/new"`)
			p.run(`document.querySelector("input[type=text]").focus()`)
			p.fill("Bench mule")
			p.press("Begin measuring")
			p.until(`document.querySelector(".ask input") !== null`)
			p.shot("measure")

			// An empty answer is not taken.
			p.press("Keep and go on")
			p.until(`document.querySelector(".ask .why").textContent !== ""`)
			// One can go on without an answer, and come back to it.
			first := p.text(`document.querySelector(".ask h2").textContent`)
			p.press("Skip for now")
			p.until(fmt.Sprintf(`document.querySelector(".ask h2").textContent !== %q`, first))
			p.press("Back")
			p.until(fmt.Sprintf(`document.querySelector(".ask h2").textContent === %q`, first))

			// What the layout says, in three ways.
			layout := regexp.MustCompile(`The layout has ([-−]?[\d.]+)`)
			ways := []string{"%s", "about %s", "%s ± 0.3"}
			missing := func() int {
				n, err := strconv.Atoi(strings.Fields(p.text(`document.querySelector(".progress").textContent`))[0])
				if err != nil {
					return 0
				}
				return n
			}
			for left, i := missing(), 0; left > 0; i++ {
				hint := p.text(`document.querySelector(".ask .hint").textContent`)
				found := layout.FindStringSubmatch(hint)
				if found == nil {
					t.Fatalf("no value of the layout in %q", hint)
				}
				p.run(`document.querySelector(".ask input").focus()`)
				p.fill(fmt.Sprintf(ways[i%len(ways)], found[1]))
				p.key(kb.Enter)
				p.until(fmt.Sprintf(`!document.querySelector(".progress").textContent.startsWith("%d ")`, left))
				if now := missing(); now != left-1 {
					t.Fatalf("%d missing after an answer to one of %d", now, left)
				}
				left--
			}
			p.until(`document.querySelector(".done") !== null`)
			p.shot("done")
			p.press("Go to the set-up")
			p.until(`document.querySelectorAll(".step").length >= 5`)
			p.shot("setup")

			id := strings.Split(p.text("location.hash"), "/")[2]
			p.saved()
			if text := server.kept(id).Text; strings.Contains(text, "± 5\"") {
				t.Errorf("a value is still marked as not measured in\n%s", text)
			}

			// The first step is ticked, and stays so after the page is loaded again.
			p.run(`document.querySelector(".step input").click()`)
			p.until(`document.querySelector(".step").classList.contains("ticked")`)
			var journal struct {
				Ticks map[string]store.Entry `json:"ticks"`
			}
			server.get("rigs/"+id+"/journal", &journal)
			if len(journal.Ticks) != 1 {
				t.Errorf("ticks kept: %v", journal.Ticks)
			}
			// The endpoint goes into the file.
			p.run(`[...document.querySelectorAll("[aria-label^='Put this into the file: Endpoint left']")][0].click()`)
			p.unsaved()
			p.saved()
			if text := server.kept(id).Text; !regexp.MustCompile(`(?m)^endpoint_left\s*=`).MatchString(text) {
				t.Error("the endpoint is not in the file")
			}
			p.load(server.url)
			p.show("#/rig/" + id + "/setup")
			p.until(`document.querySelector(".step").classList.contains("ticked")`)
		})
	}
}

// ring is the point that the tests drag.
const ring = `document.querySelector("[data-handle^='above/left.tie_arm'] .ring")`

var ballOf = regexp.MustCompile(`(?s)\[left\.tie_arm\].*?ball = \[?"?([^\n\]"]+)`)

// ball reads the place of the left tie arm's ball from a file.
func ball(t *testing.T, text string) (forward, left float64) {
	t.Helper()
	found := ballOf.FindStringSubmatch(text)
	if found == nil {
		t.Fatalf("no ball in\n%s", text)
	}
	var at [2]float64
	for i, one := range strings.SplitN(found[1], ",", 3)[:2] {
		var err error
		if at[i], err = strconv.ParseFloat(strings.Fields(strings.Trim(strings.TrimSpace(one), `"`))[0], 64); err != nil {
			t.Fatal(err)
		}
	}
	return at[0], at[1]
}

// drag moves from one place to another in so many steps, by mouse or by finger.
func (t *tab) drag(s size, u, v, du, dv float64, steps int, between time.Duration) {
	t.tb.Helper()
	at := func(i int) (float64, float64) {
		part := float64(i) / float64(steps)
		return u + du*part, v + dv*part
	}
	touch := func(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
		send(t, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: append([]*input.TouchPoint{}, points...)})
	}
	for i := 0; i <= steps; i++ {
		x, y := at(i)
		switch {
		case s.phone && i == 0:
			touch(input.DispatchTouchEventTypeTouchStart, &input.TouchPoint{X: x, Y: y})
		case s.phone:
			touch(input.DispatchTouchEventTypeTouchMove, &input.TouchPoint{X: x, Y: y})
		case i == 0:
			t.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y), chromedp.MouseEvent(chromedp.MousePressed, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
		default:
			t.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y, chromedp.ButtonLeft))
		}
		if between > 0 {
			// The slow hand itself is the test; nothing is waited for.
			time.Sleep(between)
		}
	}
	x, y := at(steps)
	if s.phone {
		touch(input.DispatchTouchEventTypeTouchEnd)
	} else {
		t.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	}
}

// A point that is dragged ends where the pointer let go, in the vehicle's own millimetres, and
// only its two coordinates of that view change. Undo takes it back, redo does it again.
func TestDraggingAPoint(t *testing.T) {
	t.Parallel()
	server := serve(t)
	for _, s := range []size{laptop, phone} {
		for i, pace := range []struct {
			name    string
			steps   int
			between time.Duration
		}{{"slow", 40, 12 * time.Millisecond}, {"fast", 4, 0}} {
			if leftOut(s, i) {
				continue
			}
			t.Run(s.name+" "+pace.name, func(t *testing.T) {
				t.Parallel()
				rev := server.starter("far-knuckle")
				p := open(t, s, server.url)
				p.load(server.url)
				p.show("#/rig/" + rev.Rig + "/look")
				p.until(ring + " !== null && document.querySelector('.board-above svg').style.getPropertyValue('--u') !== ''")
				scale := eval[float64](p, `1 / document.querySelector(".board-above svg").getScreenCTM().a`)
				u, v := p.place(ring)
				const du, dv = 24, -15
				p.drag(s, u, v, du, dv, pace.steps, pace.between)
				p.unsaved()
				p.saved()
				p.shot("dragged")
				forward, left := ball(t, rev.Text)
				moved := server.kept(rev.Rig).Text
				toForward, toLeft := ball(t, moved)
				// The engine rounds what it writes to what a caliper tells.
				if math.Abs(toForward-(forward-dv*scale)) > 0.3 || math.Abs(toLeft-(left-du*scale)) > 0.3 {
					t.Errorf("from %v, %v by %v, %v px at %.3f mm a pixel to %v, %v", forward, left, du, dv, scale, toForward, toLeft)
				}
				if ghosts := p.text(`String([...document.querySelectorAll(".board-above .ghost")].filter((g) => g.style.display !== "none").length)`); ghosts == "0" {
					t.Error("the rig as it was before is not shown")
				}
				u2, v2 := p.place(ring)
				if math.Abs(u2-u-du) > 1.5 || math.Abs(v2-v-dv) > 1.5 {
					t.Errorf("the point is at %.1f, %.1f on the screen, not %.1f, %.1f", u2, v2, u+du, v+dv)
				}
				p.press(p.text(`document.querySelector("[aria-label^='Undo:']").getAttribute("aria-label")`))
				p.unsaved()
				p.saved()
				if server.kept(rev.Rig).Text != rev.Text {
					t.Error("undo did not bring the text back")
				}
				p.press(p.text(`document.querySelector("[aria-label^='Redo:']").getAttribute("aria-label")`))
				p.unsaved()
				p.saved()
				if server.kept(rev.Rig).Text != moved {
					t.Error("redo did not do it again")
				}
			})
		}
	}
}

// Fifty small steps by the arrow keys, twenty locally, are as many changes, taken back one by one
// and done again.
func TestUndoHasNoEnd(t *testing.T) {
	t.Parallel()
	server := serve(t)
	rev := server.starter("tie-rod")
	p := open(t, laptop, server.url)
	p.load(server.url)
	p.show("#/rig/" + rev.Rig + "/look")
	p.until(ring + " !== null")
	p.run(ring + `.parentNode.focus()`)
	steps := effort.Of(20, 50)
	keys := []string{kb.ArrowLeft, kb.ArrowUp, kb.ArrowRight, kb.ArrowRight}
	for i := range steps {
		p.key(keys[i%len(keys)])
	}
	p.unsaved()
	p.saved()
	moved := server.kept(rev.Rig).Text
	if moved == rev.Text {
		t.Fatal("nothing moved")
	}
	for range steps {
		p.key("z", chromedp.ModifierCtrl)
	}
	p.until(`document.querySelector("[aria-label='Nothing to undo']") !== null`)
	p.unsaved()
	p.saved()
	if server.kept(rev.Rig).Text != rev.Text {
		t.Error("the first text is not back")
	}
	for range steps {
		p.key("Z", chromedp.ModifierCtrl, chromedp.ModifierShift)
	}
	p.until(`document.querySelector("[aria-label='Nothing to redo']") !== null`)
	p.unsaved()
	p.saved()
	if server.kept(rev.Rig).Text != moved {
		t.Error("the last text is not back")
	}
}

// Who edits a rig in two tabs is told in the second one, and may take the other's or keep the own;
// every revision stays.
func TestTwoTabs(t *testing.T) {
	t.Parallel()
	server := serve(t)
	rev := server.starter("far-knuckle")
	a := open(t, laptop, server.url)
	a.load(server.url)
	a.show("#/rig/" + rev.Rig + "/look")
	b := a.beside(laptop)
	b.load(server.url)
	b.show("#/rig/" + rev.Rig + "/look")
	nudge := func(p *tab, key string) {
		p.until(ring + " !== null")
		p.run(ring + `.parentNode.focus()`)
		p.key(key)
		p.unsaved()
	}

	nudge(a, kb.ArrowUp)
	a.saved()
	b.until(`document.querySelector(".notice[role=alert]")?.textContent.includes("saved revision 2")`)
	b.shot("told")
	b.press("Take revision 2")
	b.until(`document.querySelector(".notice[role=alert]") === null`)
	if n := b.saved(); n != 2 {
		t.Errorf("after taking revision 2 the tab stands at %d", n)
	}

	// Both change without knowing of one another: the second save is held.
	b.allow("409")
	nudge(a, kb.ArrowLeft)
	nudge(b, kb.ArrowRight)
	a.saved()
	first := server.kept(rev.Rig)
	b.until(`document.querySelector(".notice[role=alert]") !== null`)
	if how := b.text(`document.querySelector(".save-state").dataset.how`); how != "held" && how != "saved" {
		t.Errorf("the second tab says %q", how)
	}
	b.press("Look at both")
	b.until(`document.querySelectorAll(".compare .board").length === 2`)
	b.shot("both")
	b.press("Save mine on top")
	b.until(`document.querySelector(".notice[role=alert]") === null`)
	b.saved()
	var all struct {
		Revisions []store.Revision `json:"revisions"`
	}
	server.get("rigs/"+rev.Rig+"/revisions", &all)
	last := server.kept(rev.Rig)
	if last.Parent != first.Number || last.Text == first.Text || len(all.Revisions) != last.Number {
		t.Errorf("revision %d made from %d; %d revisions kept", last.Number, last.Parent, len(all.Revisions))
	}
	a.until(`document.querySelector(".notice[role=alert]") !== null`)
}

// The program is killed while a change is not saved: the page says so, and saves it once the
// program runs again. What was confirmed before is there.
func TestKillAndStartAgain(t *testing.T) {
	t.Parallel()
	server := serve(t)
	rev := server.starter("far-knuckle")
	p := open(t, laptop, server.url)
	p.allow("net::", "500", "Failed to load resource")
	p.load(server.url)
	p.show("#/rig/" + rev.Rig + "/look")
	p.until(ring + " !== null")
	p.run(ring + `.parentNode.focus()`)
	p.key(kb.ArrowUp)
	p.unsaved()
	p.saved()
	confirmed := server.kept(rev.Rig)

	server.kill()
	p.key(kb.ArrowUp)
	p.until(`document.querySelector(".save-state").dataset.how === "failed"`)
	p.shot("not saved")
	if !strings.Contains(p.text(`document.querySelector(".save-state").textContent`), "Not saved") {
		t.Error("the page does not say in words that nothing is saved")
	}
	server.start()
	p.saved()
	now := server.kept(rev.Rig)
	if now.Parent != confirmed.Number || now.Text == confirmed.Text {
		t.Errorf("revision %d made from %d", now.Number, now.Parent)
	}
	var old store.Revision
	server.get(fmt.Sprintf("rigs/%s/revisions/%d", rev.Rig, confirmed.Number), &old)
	if old.Text != confirmed.Text {
		t.Error("a confirmed revision has changed")
	}

	// The tab goes down too, with a change that was never saved.
	server.kill()
	p.key(kb.ArrowUp)
	p.until(`document.querySelector(".save-state").dataset.how === "failed"`)
	server.start()
	p.load(server.url)
	p.show("#/rig/" + rev.Rig + "/look")
	p.until(`/revision [4-9]/.test(document.querySelector(".save-state")?.textContent)`)
	if last := server.kept(rev.Rig); last.Text == now.Text {
		t.Error("the change went down with the tab")
	}
}

// hostile is a rig file whose every free text tries to become part of the page.
const hostileName = `<img src=x onerror="window.hacked=1"><script>window.hacked=2</script>`

func TestHostileFileStaysInert(t *testing.T) {
	t.Parallel()
	server := serve(t)
	starter, err := os.ReadFile(filepath.Join(module(t), "rig", "starters", "far-knuckle.toml"))
	if err != nil {
		t.Fatal(err)
	}
	text := regexp.MustCompile(`(?m)^name = .*$`).ReplaceAllString(string(starter), strings.ReplaceAll("name = '"+hostileName+"'\nnotes = '"+hostileName+" javascript:window.hacked=3'", "$", "$$"))
	text = "# " + hostileName + "\n" + text
	dir := t.TempDir()
	good, bad := filepath.Join(dir, "good.toml"), filepath.Join(dir, "bad.toml")
	for path, content := range map[string]string{
		good: text,
		bad:  text + "\n['" + hostileName + "']\n'" + hostileName + "' = '" + hostileName + "'\n",
	} {
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	p := open(t, laptop, server.url)
	p.load(server.url)
	inert := func(where string) {
		t.Helper()
		if p.text(`String(window.hacked ?? document.querySelector("img[src='x'], main script, [onerror]")?.outerHTML ?? "")`) != "" {
			t.Errorf("%s: the file became part of the page", where)
		}
	}
	p.choose("Import a rig file", bad)
	p.until(`document.querySelector("[role=alert] .problems") !== null`)
	inert("refusal")
	p.choose("Import a rig file", good)
	p.until(`document.documentElement.dataset.at.endsWith("/look")`)
	rig := strings.Split(p.text("location.hash"), "/")[2]
	if name := p.text(`document.querySelector(".rig-name").textContent`); name != hostileName {
		t.Errorf("the name is shown as %q", name)
	}
	inert("look")
	for _, section := range []string{"measure", "curves", "loads", "change", "setup", "radio", "history"} {
		p.show("#/rig/" + rig + "/" + section)
		inert(section)
	}
	// A note, and a name in the list.
	p.run(`document.querySelector(".history textarea").focus()`)
	p.fill(hostileName)
	p.press("Write it down")
	p.until(`document.querySelector(".notes p") !== null`)
	inert("note")
	p.show("#/rig/" + rig + "/compare/1/here")
	inert("compare")
	p.show("#/")
	p.until(`document.querySelector(".rig-title") !== null`)
	inert("rigs")
}

// tabTo presses the tab key until the focus is on what matches.
func (t *tab) tabTo(matches string) {
	t.tb.Helper()
	for range 120 {
		t.key(kb.Tab)
		if eval[bool](t, fmt.Sprintf(`Boolean(document.activeElement?.matches(%s))`, quote(matches))) {
			if t.text(`getComputedStyle(document.activeElement).outlineStyle`) == "none" && t.text(`String(document.activeElement.closest(".handle") !== null)`) != "true" {
				t.tb.Errorf("the focus on %s cannot be seen", matches)
			}
			return
		}
	}
	t.tb.Fatalf("the tab key does not lead to %s\n%s", matches, t.saying())
}

// The whole way by keyboard: a new rig, a measurement, a point, the stick, undo, a tick.
func TestKeyboardAlone(t *testing.T) {
	t.Parallel()
	server := serve(t)
	p := open(t, laptop, server.url)
	p.load(server.url)
	p.tabTo(`a[href="#/new"]`)
	p.key(kb.Enter)
	p.until(`document.documentElement.dataset.at === "#/new"`)
	p.tabTo(`input[type=radio]`)
	p.key(kb.ArrowDown)
	p.until(`document.querySelector("input[value='tie-rod']").checked`)
	p.tabTo(`input[type=text]`)
	p.write("By keys")
	p.tabTo(`button[type=submit]`)
	p.key(kb.Enter)
	p.until(`document.querySelector(".ask input") !== null`)
	p.tabTo(`.ask input`)
	p.write("about 300")
	p.key(kb.Enter)
	p.until(`document.querySelector(".progress").textContent.length > 0 && document.querySelector(".count").textContent.startsWith("Measurement 2 ")`)
	rig := strings.Split(p.text("location.hash"), "/")[2]

	p.tabTo(`a[data-section=look]`)
	p.key(kb.Enter)
	p.until(`document.documentElement.dataset.at.endsWith("/look")`)
	p.until(ring + " !== null")
	p.saved()
	before := server.kept(rig).Text
	p.tabTo(`[data-handle^='above/left.tie_arm']`)
	p.key(kb.ArrowUp)
	p.unsaved()
	p.saved()
	if server.kept(rig).Text == before {
		t.Error("the arrow key did not move the point")
	}
	p.key("z", chromedp.ModifierCtrl)
	p.unsaved()
	p.saved()
	if server.kept(rig).Text != before {
		t.Error("undo by key did not bring the text back")
	}
	p.tabTo(`.panel .rule`)
	p.key(kb.Home)
	p.until(`document.querySelector(".panel .rule").getAttribute("aria-valuetext") === "100 % left"`)
	p.until(`/left/.test(document.querySelector(".live-road_left dd").textContent)`)
	p.key(kb.ArrowRight)
	p.until(`document.querySelector(".panel .rule").getAttribute("aria-valuetext") === "95 % left"`)

	p.show("#/rig/" + rig + "/setup")
	p.until(`document.querySelector(".step input") !== null`)
	p.tabTo(`.step input`)
	p.key(" ")
	p.until(`document.querySelector(".step").classList.contains("ticked")`)
	p.show("#/rig/" + rig + "/curves")
	p.tabTo(`.chart-box`)
	p.key(kb.ArrowRight)
	p.until(`/^Stick \d+ %: /.test(document.querySelector(".chart-said").textContent)`)
}
