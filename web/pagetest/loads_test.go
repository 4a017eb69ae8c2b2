package pagetest

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
)

// borne is what the engine in the page says that the parts bear at the rig's pose.
type borne struct {
	Servo, RideLeft, RideRight, Torque, Standing, Margin, DragLink, TieRod float64
}

// borne reads the numbers of the rig that is open.
func (t *tab) borne(name string) borne {
	t.tb.Helper()
	return eval[borne](t, fmt.Sprintf(`(() => {
		for (let id = 1; id < 50; id++) {
			if (evenlock.state(id).name !== %q) continue;
			const n = evenlock.numbers(id), live = evenlock.scene(id).live;
			const of = (key) => { const v = n[live.find((one) => one.key === key).at]; return Number.isNaN(v) ? -1e9 : v; };
			return { Servo: of("servo"), RideLeft: of("rise_left"), RideRight: of("rise_right"), Torque: of("load_torque"), Standing: of("load_standing"),
				Margin: of("load_factor"), DragLink: of("load_drag_link"), TieRod: of("load_tie_rod") };
		}
	})()`, name))
}

// agrees checks what the page says against package load at the same pose.
func (b borne) agrees(t *testing.T, text string, tilt load.Tilt) {
	t.Helper()
	r, err := rig.Read(bytes.NewReader([]byte(text)), "")
	if err != nil {
		t.Fatal(err)
	}
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	w, err := load.NewProbe(m, tilt)
	if err != nil {
		t.Fatal(err)
	}
	h, err := w.At(b.Servo*math.Pi/180, steer.WheelTravel{Left: b.RideLeft, Right: b.RideRight})
	if err != nil {
		t.Fatal(err)
	}
	ask := h.Sample.Ask(h.Sample.Harder())
	for _, one := range []struct {
		what      string
		got, want float64
	}{
		{"torque", b.Torque, ask / load.KilogramForceCentimetre},
		{"margin", b.Margin, h.Sample.SafetyFactor},
		{"margin on standing tyres", b.Standing, h.Sample.SafetyFactor * ask / max(h.Sample.Standing[load.ToLeft], h.Sample.Standing[load.ToRight])},
		{"drag link", b.DragLink, h.Tensions[0]},
		{"tie rod", b.TieRod, h.Tensions[1]},
	} {
		if math.Abs(one.got-one.want) > 1e-4*max(1, math.Abs(one.want)) {
			t.Errorf("%s: the page has %.6f, package load %.6f, at %+v", one.what, one.got, one.want, b)
		}
	}
}

// frames waits until what was asked for is painted.
func (t *tab) frames() {
	t.tb.Helper()
	t.run(`new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))`)
}

// forces are the words beside the rods that bear something, from above.
const forces = `[...document.querySelectorAll(".board-above .label.force")].filter((n) => n.style.display !== "none").map((n) => n.textContent).join(", ")`

// The stick is moved slowly and at once, and then the suspension: margin and forces are those of
// package load at each place, words and arrowheads on the drawing go along, and are gone when the
// section is left.
func TestLoadsGoAlong(t *testing.T) {
	t.Parallel()
	server := serve(t)
	for _, s := range []size{laptop, phone} {
		for i, pace := range []struct {
			name    string
			steps   int
			between time.Duration
		}{{"slow", 30, 10 * time.Millisecond}, {"fast", 2, 0}} {
			if leftOut(s, i) {
				continue
			}
			t.Run(s.name+" "+pace.name, func(t *testing.T) {
				t.Parallel()
				rev := server.trail()
				p := open(t, s, server.url)
				p.load(server.url)
				p.show("#/rig/" + rev.Rig + "/loads")
				p.until(`document.querySelector(".loads .chart canvas") !== null`)
				name := p.text(`document.querySelector(".rig-name").textContent`)
				p.frames()
				p.borne(name).agrees(t, rev.Text, load.Tilt{})

				p.run(rule + `.scrollIntoView({ block: "center" })`)
				u, v := p.place(rule)
				p.drag(s, u, v, -70, 0, pace.steps, pace.between)
				p.frames()
				turned := p.borne(name)
				if math.Abs(turned.Servo) < 5 {
					t.Errorf("the stick turned the servo to %.1f°", turned.Servo)
				}
				turned.agrees(t, rev.Text, load.Tilt{})
				if got, want := p.text(forces), fmt.Sprintf("%.0f N", math.Abs(turned.DragLink)); !strings.Contains(got, want) {
					t.Errorf("the drawing says %q beside the rods, the drag link bears %s", got, want)
				}
				if heads := p.text(`String([...document.querySelectorAll(".board-above path.force")].filter((n) => n.style.display !== "none").length)`); heads != "2" {
					t.Errorf("%s rods with arrowheads", heads)
				}

				p.run(leftWheel + `.scrollIntoView({ block: "center" })`)
				u, v = p.place(leftWheel)
				p.drag(s, u, v, 25, 0, pace.steps, pace.between)
				p.frames()
				up := p.borne(name)
				if up.RideLeft < 1 || up.RideLeft != up.RideRight {
					t.Errorf("the slider moved the wheels to %+v", up)
				}
				up.agrees(t, rev.Text, load.Tilt{})

				// On a slope the weight is elsewhere.
				p.run(`document.querySelector("[data-tilt=noseUp]").focus()`)
				p.fill("25")
				p.key(kb.Tab)
				p.fill("−10")
				p.key(kb.Tab)
				p.frames()
				p.borne(name).agrees(t, rev.Text, load.Tilt{NoseUp: 25 * math.Pi / 180, RightDown: -10 * math.Pi / 180})
				p.run(`document.querySelector("[data-tilt=noseUp]").focus()`)
				p.fill("95")
				p.key(kb.Tab)
				p.until(`document.querySelector("[data-tilt=noseUp][aria-invalid=true]") !== null`)

				p.show("#/rig/" + rev.Rig + "/look")
				p.frames()
				if got := p.text(forces); got != "" {
					t.Errorf("the drawing still says %q", got)
				}
			})
		}
	}
}
