package pagetest

import (
	"bytes"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"evenlock/engine"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/store"
)

// trail keeps the trail truck of the examples, changed by pairs of old and new words, and returns
// its revision.
func (r *running) trail(pairs ...string) store.Revision {
	r.tb.Helper()
	return r.keep("Trail truck (invented)", "examples/trail-truck.toml", pairs...)
}

// posed is what the engine in the page says of the rig's pose.
type posed struct{ Servo, RideLeft, RideRight, RoadLeft, RoadRight, SteerLeft, SteerRight, Shift float64 }

// pose reads the numbers of the rig that is open.
func (t *tab) pose(name string) posed {
	t.tb.Helper()
	return eval[posed](t, fmt.Sprintf(`(() => {
		for (let id = 1; id < 50; id++) {
			if (evenlock.state(id).name !== %q) continue;
			const n = evenlock.numbers(id), live = evenlock.scene(id).live;
			const of = (key) => { const v = n[live.find((one) => one.key === key).at]; return Number.isNaN(v) ? 0 : v; };
			return { Servo: of("servo"), RideLeft: of("rise_left"), RideRight: of("rise_right"), RoadLeft: of("road_left"), RoadRight: of("road_right"),
				SteerLeft: of("travel_steer_left"), SteerRight: of("travel_steer_right"), Shift: of("travel_shift") };
		}
	})()`, name))
}

// agrees checks a pose of the page against the model moved there, afresh from ride height.
func (p posed) agrees(t *testing.T, text string) {
	t.Helper()
	const degree = math.Pi / 180
	r, err := rig.Read(bytes.NewReader([]byte(text)), "")
	if err != nil {
		t.Fatal(err)
	}
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	moved, still := m.NewState(), m.NewState()
	if err := still.Turn(p.Servo * degree); err != nil {
		t.Fatal(err)
	}
	if err := moved.Move(p.Servo*degree, steer.WheelTravel{Left: p.RideLeft, Right: p.RideRight}); err != nil {
		t.Fatal(err)
	}
	road, home := moved.Road(), still.Road()
	left, right, homeLeft, homeRight := road[0], road[1], home[0], home[1]
	for _, one := range []struct {
		what      string
		got, want float64
	}{
		{"left wheel", p.RoadLeft, left / degree},
		{"right wheel", p.RoadRight, right / degree},
		{"left wheel's steer by the travel", p.SteerLeft, (left - homeLeft) / degree},
		{"right wheel's steer by the travel", p.SteerRight, (right - homeRight) / degree},
		{"axle's shift", p.Shift, moved.Carried().Side},
	} {
		if math.Abs(one.got-one.want) > 1e-4 {
			t.Errorf("%s: the page has %.5f, the model %.5f, at %+v", one.what, one.got, one.want, p)
		}
	}
}

const (
	leftWheel  = `document.querySelector("[data-wheel=left]")`
	rightWheel = `document.querySelector("[data-wheel=right]")`
	rule       = `document.querySelector(".panel .rule")`
)

// The suspension is moved by keys and by pointer, slowly and at once, with the stick to one side as
// well: drawing and figures are those of the model moved there.
func TestMovingThroughTheTravel(t *testing.T) {
	t.Parallel()
	server := serve(t)
	for _, s := range []size{laptop, phone} {
		for i, pace := range []struct {
			name    string
			steps   int
			between time.Duration
		}{{"slow", 40, 12 * time.Millisecond}, {"fast", 3, 0}} {
			if leftOut(s, i) {
				continue
			}
			t.Run(s.name+" "+pace.name, func(t *testing.T) {
				t.Parallel()
				rev := server.trail()
				p := open(t, s, server.url)
				p.load(server.url)
				p.show("#/rig/" + rev.Rig + "/look")
				p.until(leftWheel + " !== null")
				name := p.text(`document.querySelector(".rig-name").textContent`)
				settled := func(what string) {
					p.until(fmt.Sprintf(`(() => { const n = %s; return Boolean(n); })()`, what))
					p.run(`new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))`)
				}

				// Each press is half a millimetre, of both wheels.
				p.run(leftWheel + `.focus()`)
				for range 6 {
					p.key(kb.ArrowRight)
				}
				settled(leftWheel + `.value === "3" && ` + rightWheel + `.value === "3"`)
				got := p.pose(name)
				if got.RideLeft != 3 || got.RideRight != 3 {
					t.Fatalf("six presses: %+v", got)
				}
				got.agrees(t, rev.Text)

				// The stick to one side, and then the wheels, one up and one down.
				p.run(rule + `.scrollIntoView({ block: "center" })`)
				u, v := p.place(rule)
				p.drag(s, u, v, -70, 0, pace.steps, pace.between)
				p.press("Roll")
				p.run(leftWheel + `.scrollIntoView({ block: "center" })`)
				u, v = p.place(leftWheel)
				wide := eval[float64](p, leftWheel+`.getBoundingClientRect().width`)
				from := eval[float64](p, fmt.Sprintf(`(({ value, min, max }) => (value - min) / (max - min))(%s)`, leftWheel))
				// The knob is about as wide as it is high, and goes from edge to edge.
				const knob = 16
				at := u + (from-0.5)*(wide-knob)
				p.drag(s, at, v, 0.3*(wide-knob), 0, pace.steps, pace.between)
				settled(`Number(` + leftWheel + `.value) > 8 && Number(` + rightWheel + `.value) === -Number(` + leftWheel + `.value)`)
				got = p.pose(name)
				if got.RideLeft < 8 || got.RideRight != -got.RideLeft || math.Abs(got.Servo) < 2 {
					t.Fatalf("after the drag: %+v", got)
				}
				got.agrees(t, rev.Text)
				p.shot("roll")
				if said := p.text(leftWheel + `.getAttribute("aria-valuetext")`); said != fmt.Sprintf("%.1f mm up", got.RideLeft) {
					t.Errorf("the left wheel's slider says %q at %+v", said, got)
				}
				if left := p.text(`document.querySelector(".board-above .link, .board .link").getAttribute("x1")`); left == "" {
					t.Error("no link is drawn")
				}

				// The stick again, the wheels as they are.
				p.run(rule + `.scrollIntoView({ block: "center" })`)
				u, v = p.place(rule)
				p.drag(s, u, v, 60, 0, pace.steps, pace.between)
				settled("true")
				again := p.pose(name)
				if again.RideLeft != got.RideLeft || again.Servo == got.Servo {
					t.Errorf("after the stick: %+v, before %+v", again, got)
				}
				again.agrees(t, rev.Text)

				p.press("Ride height")
				settled(leftWheel + `.value === "0"`)
				if home := p.pose(name); home.RideLeft != 0 || math.Abs(home.SteerLeft) > 1e-9 {
					t.Errorf("at ride height: %+v", home)
				}
			})
		}
	}
}

// Where the rods let the suspension go no further, it says so and stands where it stopped.
func TestTravelThatStopsIsSaid(t *testing.T) {
	t.Parallel()
	server := serve(t)
	rev := server.trail("bump = 24 ", "bump = 99 ")
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			p := open(t, s, server.url)
			p.load(server.url)
			p.show("#/rig/" + rev.Rig + "/look")
			p.until(leftWheel + " !== null")
			p.run(leftWheel + `.focus()`)
			p.key(kb.End)
			p.until(`document.querySelector(".held").textContent.includes("the travel stops with")`)
			p.shot("held")
			got := p.pose(p.text(`document.querySelector(".rig-name").textContent`))
			if got.RideLeft > 98 || got.RideLeft < 20 {
				t.Errorf("held at %+v", got)
			}
			if said := p.text(leftWheel + `.getAttribute("aria-valuetext")`); said != fmt.Sprintf("stops %.1f mm up", got.RideLeft) {
				t.Errorf("the slider says %q at %+v", said, got)
			}
			if shown := eval[bool](p, `[...document.querySelectorAll(".board path.limit")].some((n) => n.style.display !== "none")`); !shown {
				t.Error("no mark on the drawing")
			}
			p.run(leftWheel + `.focus()`)
			p.key(kb.Home)
			p.until(`document.querySelector(".held").textContent === ""`)
		})
	}
}

// What the set-up needs is asked first: then the page says so, and goes on to the suspension if one
// wants.
func TestSuspensionIsAskedAfterTheSetUp(t *testing.T) {
	t.Parallel()
	draft, err := engine.Start("chassis")
	if err != nil {
		t.Fatal(err)
	}
	m, err := draft.Measurements()
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range m.List {
		if one.Later {
			continue
		}
		if err := draft.Set(one.Key, strconv.FormatFloat(one.Figure.Value/map[string]float64{"length": 1, "angle": math.Pi / 180}[one.Kind], 'f', 3, 64)); err != nil {
			t.Fatal(err)
		}
	}
	server := serve(t)
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			var rev store.Revision
			ask(t, http.MethodPost, server.url+"/api/rigs", store.Draft{Name: "Half measured", Text: draft.Text()}, &rev)
			p := open(t, s, server.url)
			p.load(server.url)
			p.show("#/rig/" + rev.Rig + "/measure")
			p.until(`document.querySelector(".done h2")?.textContent === "Everything for the set-up is measured"`)
			p.shot("done")
			p.press("Measure the suspension")
			p.until(`document.querySelector(".ask input")?.dataset.key === "suspension.link.1.chassis.x"`)
			p.shot("asked")
			p.run(`document.querySelector(".ask input").focus()`)
			p.fill("-120")
			p.key(kb.Enter)
			p.until(`document.querySelector(".ask input")?.dataset.key === "suspension.link.1.chassis.y"`)
			p.show("#/rig/" + rev.Rig + "/setup")
			p.until(`document.querySelectorAll(".step").length >= 5`)
		})
	}
}

// A ball is moved from the page: the file changes as the button says, the verdict has less bump
// steer, and undo takes it back. A rig without a suspension is told what to add.
func TestTravelSection(t *testing.T) {
	t.Parallel()
	server := serve(t)
	h, _ := offline(t)
	for _, s := range []size{laptop, phone} {
		for i, where := range []string{"server", "alone"} {
			if leftOut(s, i) {
				continue
			}
			t.Run(s.name+" "+where, func(t *testing.T) {
				t.Parallel()
				own, id := server.url, server.trail().Rig
				if where == "alone" {
					own = h.url
				}
				p := open(t, s, own)
				if where == "alone" {
					p.allow("api/settings", "404")
				}
				p.load(own)
				if where == "alone" {
					id = p.text(`(async () => {
						const { openStore } = await import("./store.js");
						return (await (await openStore()).create({ name: "Truck", text: ` + quote(server.kept(id).Text) + `, by: "test" })).rig;
					})()`)
				}
				p.show("#/rig/" + id + "/curves/travel")
				const move = `document.querySelector("[data-section=move] [data-finding] button")`
				p.until(`document.querySelector(".travel [data-section=heave] canvas") !== null && ` + move + ` !== null`)
				p.shot("travel")
				said := func() string { return p.text(`document.querySelector(".travel .verdict").textContent`) }
				before := said()
				if !strings.Contains(before, "Bump steer") || !strings.Contains(before, "Worth fixing") {
					t.Errorf("the verdict is %q", before)
				}
				p.run(`document.querySelector(".travel .choice [data-value=roll]").click()`)
				p.until(`document.querySelector(".travel [data-section=roll] canvas") !== null && document.querySelector(".travel [data-section=heave]") === null`)
				p.run(`document.querySelector(".travel .choice [data-value=heave]").click()`)
				p.until(`document.querySelector(".travel [data-section=heave] canvas") !== null && document.querySelector(".travel [data-section=roll]") === null`)

				p.run(`[...document.querySelectorAll(".travel details:not([hidden])")].forEach((d) => { d.open = true; })`)
				p.press("Show it on the drawing")
				p.until(`[...document.querySelectorAll(".board-behind .no-steer")].some((n) => n.style.display !== "none")`)
				p.shot("guide")
				for i := 1; i < 8; i++ {
					p.run(fmt.Sprintf("scrollTo(0, %d)", i*650))
					p.shot(fmt.Sprintf("guide-%d", i))
				}

				label := p.text(move + `.getAttribute("aria-label")`)
				p.press(label)
				p.unsaved()
				p.saved()
				p.until(fmt.Sprintf(`document.querySelector(".travel .verdict").textContent !== %q`, before))
				if now := said(); strings.Contains(now, "Worth fixing") {
					t.Errorf("after %s the verdict is %q", label, now)
				}
				if shut := eval[bool](p, `document.querySelector("[data-section=other_moves] details").open`); !shut {
					t.Error("what was unfolded is folded again")
				}
				p.press(p.text(`document.querySelector("[aria-label^='Undo:']").getAttribute("aria-label")`))
				p.until(fmt.Sprintf(`document.querySelector(".travel .verdict").textContent === %q`, before))
			})
		}
		t.Run(s.name+" without a suspension", func(t *testing.T) {
			t.Parallel()
			p := open(t, s, server.url)
			p.load(server.url)
			p.show("#/rig/" + server.starter("far-knuckle").Rig + "/curves/travel")
			p.until(`document.querySelector(".none-yet")?.textContent.includes("[suspension]")`)
			p.shot("none")
			if hidden := eval[bool](p, `document.querySelector(".wheel-travel").hidden`); !hidden {
				t.Error("there is a control for a suspension that is not there")
			}
		})
	}
}
