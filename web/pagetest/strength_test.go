package pagetest

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/steer"
)

// A rig that says nothing of its loads: the page asks for what is missing, takes it as one change,
// says what fails first, and undo takes it all back.
func TestLoadsFromWhatIsMissingToWhatFails(t *testing.T) {
	t.Parallel()
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			server := serve(t)
			rev := server.starter("chassis")
			p := open(t, s, server.url)
			p.load(server.url)
			p.show("#/rig/" + rev.Rig + "/loads")
			p.until(`document.querySelectorAll(".lacks input").length >= 8`)
			p.press("Keep these")
			p.until(`document.querySelector(".lacks .why").textContent !== ""`)
			for key, value := range map[string]string{
				"vehicle.mass": "3.1", "vehicle.steered_share": "56", "left.wheel.patch_length": "about 28", "ground.friction": "0.9", "supply.voltage": "6",
				"servo.rating.1.voltage": "6", "servo.rating.1.torque": "9 kg·cm", "servo.rating.1.time": "0.17",
			} {
				p.run(fmt.Sprintf(`document.querySelector(".lacks [data-key='%s']").focus()`, key))
				p.fill(value)
			}
			p.shot("lacks")
			p.press("Keep these")
			p.until(`document.querySelectorAll(".loads .verdict .line").length >= 2 && document.querySelector(".loads .chart canvas") !== null`)
			p.until(`document.activeElement.textContent === "What stalls, bends or breaks first"`)
			p.saved()
			if text := server.kept(rev.Rig).Text; !strings.Contains(text, "[[servo.rating]]\nvoltage = 6\n") || !strings.Contains(text, `"28 ± 1"`) {
				t.Errorf("the file now says\n%s", text)
			}
			p.run(`document.querySelectorAll(".loads details:not([hidden])").forEach((one) => { one.open = true; })`)
			if said := p.text(`document.querySelector(".loads").innerText`); strings.Contains(said, "[object") || !strings.Contains(said, "µ W") {
				t.Errorf("opened, the details read\n%s", said)
			}
			p.shot("ready")
			p.key("z", chromedp.ModifierCtrl)
			p.until(`document.querySelectorAll(".lacks input").length >= 8`)
			p.unsavedOrSaved()
			if text := server.kept(rev.Rig).Text; text != rev.Text {
				t.Error("undo did not take back all that was put in")
			}
		})
	}
}

// unsavedOrSaved waits until nothing waits to be saved.
func (t *tab) unsavedOrSaved() {
	t.tb.Helper()
	t.until(`document.querySelector(".save-state").dataset.how === "saved"`)
}

// What is shown of the pose follows the stick, and is what package load finds at that servo angle.
func TestLoadsFollowTheStick(t *testing.T) {
	t.Parallel()
	server := serve(t)
	rev := server.trail()
	r := rigtest.Read(t, []byte(rev.Text))
	for _, q := range r.Measurements() {
		q.Q.Uncertainty = 0
	}
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			m, err := steer.NewSuspended(r)
			if err != nil {
				t.Fatal(err)
			}
			w, err := load.NewProbe(m, load.Tilt{})
			if err != nil {
				t.Fatal(err)
			}
			p := open(t, s, server.url)
			p.load(server.url)
			p.show("#/rig/" + rev.Rig + "/loads")
			p.until(`document.querySelector(".loads .chart canvas") !== null`)
			number := func(key string) float64 {
				t.Helper()
				text := p.text(fmt.Sprintf(`document.querySelector(".loads .live-%s dd").textContent`, key))
				v, err := strconv.ParseFloat(strings.Fields(text)[0], 64)
				if err != nil {
					t.Fatalf("%s says %q", key, text)
				}
				return v
			}
			last := math.NaN()
			for _, button := range []string{"Full left", "Full right", "Centre"} {
				p.press(button)
				p.until(fmt.Sprintf(`document.querySelector(".panel .rule").getAttribute("aria-valuenow") === %q`, map[string]string{"Full left": "-100", "Full right": "100", "Centre": "0"}[button]))
				p.until(`new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(() => r(true))))`)
				here, err := w.At(p.pose(r.Name).Servo*math.Pi/180, steer.WheelTravel{})
				if err != nil {
					t.Fatal(err)
				}
				ask := here.Sample.Ask(here.Sample.Harder()) / load.KilogramForceCentimetre
				for _, one := range []struct {
					key       string
					want, tol float64
				}{{"load_torque", ask, 0.0051}, {"load_factor", here.Sample.SafetyFactor, 0.0051}, {"load_drag_link", math.Abs(here.Tensions[0]), 0.51}, {"load_tie_rod", math.Abs(here.Tensions[1]), 0.51}} {
					if got := number(one.key); math.Abs(got-one.want) > one.tol {
						t.Errorf("%s: %s shows %v, want %v", button, one.key, got, one.want)
					}
				}
				if ask == last {
					t.Errorf("%s asks for what the one before asked for", button)
				}
				last = ask
			}
		})
	}
}

// A slope on which the vehicle would tip over is said to be one, and can be taken back in the same
// field.
func TestLoadsOnASlope(t *testing.T) {
	t.Parallel()
	server := serve(t)
	rev := server.trail()
	p := open(t, laptop, server.url)
	p.load(server.url)
	p.show("#/rig/" + rev.Rig + "/loads")
	p.until(`document.querySelector(".loads .chart canvas") !== null`)
	level := p.text(`document.querySelector(".loads .verdict").textContent`)
	slope := func(words string) {
		t.Helper()
		p.run(`document.querySelector("[data-tilt=noseUp]").focus()`)
		p.fill(words)
		p.key(kb.Enter)
	}
	slope("75")
	p.until(`/tip over/.test(document.querySelector(".loads > [role=alert]").textContent)`)
	p.until(`document.querySelector(".loads .verdict").checkVisibility() === false`)
	// What was unfolded stays so when the figures are worked out anew.
	const unfolded = `[...document.querySelectorAll(".loads-tables details[open]")].map((one) => one.firstChild.textContent).join(", ")`
	p.run(`document.querySelectorAll(".loads-tables details:not([hidden])").forEach((one, i) => { one.open = i !== 1; })`)
	open := p.text(unfolded)
	slope("30")
	p.until(`document.querySelector(".loads .verdict").checkVisibility() && document.querySelector(".loads > [role=alert]").textContent === ""`)
	if p.text(`document.querySelector(".loads .verdict").textContent`) == level {
		t.Error("the slope changes nothing")
	}
	if now := p.text(unfolded); now != open || !strings.Contains(open, "As figures") {
		t.Errorf("unfolded are %q, and were %q", now, open)
	}
	slope("steep")
	p.until(`document.querySelector("[data-tilt=noseUp]").getAttribute("aria-invalid") === "true"`)
	slope("0")
	p.until(fmt.Sprintf(`document.querySelector(".loads .verdict").textContent === %s`, quote(level)))
	if text := server.kept(rev.Rig).Text; text != rev.Text {
		t.Error("looking at a slope changed the file")
	}
}

// What to change, by keyboard: a proposal is tried, stands in the file as one change, the list is
// worked out anew, and undo takes it back.
func TestAdviceIsTriedAndTakenBack(t *testing.T) {
	t.Parallel()
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			server := serve(t)
			rev := server.trail()
			p := open(t, s, server.url)
			p.load(server.url)
			p.show("#/rig/" + rev.Rig + "/change")
			p.until(`document.querySelector("[data-finding=servo_stalls] button") !== null`)
			order := func() string {
				return p.text(`[...document.querySelectorAll("[data-finding]")].map((one) => one.dataset.finding).join(" ")`)
			}
			before := order()
			if !strings.HasPrefix(before, "servo_stalls ") {
				t.Errorf("the servo that stalls does not come first: %s", before)
			}
			p.run(`document.querySelector("[data-finding=servo_stalls] button").focus()`)
			p.key(kb.Enter)
			p.unsaved()
			p.saved()
			if text := server.kept(rev.Rig).Text; !regexp.MustCompile(`(?m)^hole = "?15\.5`).MatchString(text) {
				t.Errorf("the file does not have the hole that asks for less torque:\n%s", text)
			}
			p.until(`document.querySelector(".advice").getAttribute("aria-busy") === null && document.querySelector("[data-finding='rod_fails.drag_link']") !== null`)
			p.shot("tried")
			p.key("z", chromedp.ModifierCtrl)
			p.until(fmt.Sprintf(`[...document.querySelectorAll("[data-finding]")].map((one) => one.dataset.finding).join(" ") === %s`, quote(before)))
			p.unsavedOrSaved()
			if text := server.kept(rev.Rig).Text; text != rev.Text {
				t.Error("undo did not bring the file back")
			}
		})
	}
}

// In the browser alone and without any network, after one visit, loads and advice are worked out
// too.
func TestLoadsAndAdviceWithoutNetwork(t *testing.T) {
	t.Parallel()
	server := serve(t)
	text := server.trail().Text
	h, _ := offline(t)
	p := open(t, phone, h.url)
	p.allow("api/settings", "404", "net::ERR_CONNECTION_REFUSED")
	p.load(h.url)
	p.until(`navigator.serviceWorker.controller !== null`)
	h.stop()
	p.load(h.url)
	rig := p.text(`(async () => {
		const { openStore } = await import("./store.js");
		return (await (await openStore()).create({ name: "Far out", text: ` + quote(text) + `, by: "test" })).rig;
	})()`)
	p.show("#/rig/" + rig + "/loads")
	p.until(`document.querySelector(".loads .chart canvas") !== null && document.querySelectorAll(".loads .verdict .line").length >= 2`)
	p.show("#/rig/" + rig + "/change")
	p.until(`document.querySelectorAll("[data-finding]").length > 5`)
}
