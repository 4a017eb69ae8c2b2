package pagetest

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"evenlock/internal/need"
)

// axeScript is axe-core, a general library of accessibility checks. No test fetches anything
// itself.
func axeScript(tb testing.TB) string {
	tb.Helper()
	text, err := os.ReadFile(need.File(tb, "EVENLOCK_AXE", "axe.min.js", "bash .ci/axe FOLDER"))
	if err != nil {
		tb.Fatal(err)
	}
	return string(text)
}

// Every screen, in both sizes and both lights: axe-core finds nothing against the rules of WCAG 2.2
// AA and its own best practices, nothing is wider than the screen, and nothing to be touched is
// smaller than a finger needs (44 px: WCAG 2.2, success criterion 2.5.5).
func TestEveryScreenIsAccessible(t *testing.T) {
	t.Parallel()
	script := axeScript(t)
	server := serve(t)
	rev := server.starter("far-knuckle")
	text := strings.Replace(rev.Text, "track = 200", `track = "203 ± 0.5"`, 1)
	if text == rev.Text {
		t.Fatal("the starter has no track of 200")
	}
	var second struct{ Number int }
	ask(t, "POST", server.url+"/api/rigs/"+rev.Rig+"/revisions", map[string]any{"parent": 1, "name": rev.Name, "text": text, "note": "a note"}, &second)
	var entry struct{ ID string }
	ask(t, "POST", server.url+"/api/rigs/"+rev.Rig+"/journal", map[string]any{"kind": "note", "revision": 2, "text": "Drove well."}, &entry)
	ask(t, "POST", server.url+"/api/rigs/"+rev.Rig+"/journal", map[string]any{"kind": "done", "revision": 2, "step": "prepare"}, &entry)

	rig := "#/rig/" + rev.Rig
	truck := "#/rig/" + server.trail().Rig
	screens := []struct{ name, hash, ready string }{
		{"rigs", "#/", ".rig-link svg"},
		{"new", "#/new", ".layout"},
		{"share", "#/share", ".share button"},
		{"measure", rig + "/measure", ".measure"},
		{"look", rig + "/look", ".handle"},
		{"curves", rig + "/curves", ".chart canvas"},
		{"no travel", rig + "/curves/travel", ".none-yet h2"},
		{"travel", truck + "/curves/travel", "[data-section=move] [data-finding] button"},
		{"look at a truck", truck + "/look", ".wheel-travel input"},
		{"look at one of two axles", "#/rig/" + server.keep("Two axles (invented)", "examples/four-wheel.toml").Rig + "/look", ".axles button"},
		{"loads", truck + "/loads", ".loads .chart canvas"},
		{"what the loads lack", "#/rig/" + server.starter("chassis").Rig + "/loads", ".lacks input"},
		{"change", truck + "/change", ".finding button"},
		{"setup", rig + "/setup", ".step"},
		{"radio", rig + "/radio", ".radio .entry"},
		{"history", rig + "/history", ".revisions li"},
		{"compare", rig + "/compare/1/here", ".compare canvas"},
	}
	for _, s := range []size{laptop, phone} {
		for i, light := range []string{"light", "dark"} {
			if leftOut(s, i) {
				continue
			}
			t.Run(s.name+" "+light, func(t *testing.T) {
				t.Parallel()
				p := open(t, s, server.url)
				p.light(light == "dark")
				p.load(server.url)
				eval[bool](p, script+"; true")
				for _, screen := range screens {
					p.show(screen.hash)
					p.until(fmt.Sprintf(`document.querySelector(%q) !== null`, screen.ready))
					if screen.name == "measure" {
						p.run(`document.querySelector(".measured button").click()`)
						p.until(`document.querySelector(".ask input") !== null`)
					}
					p.run(`[...document.querySelectorAll("details")].forEach((d) => { d.open = true; })`)
					if p.text(`String(document.body.innerText.includes("[object "))`) == "true" {
						t.Errorf("%s shows an object of the script", screen.name)
					}
					p.shot(screen.name)
					var found []struct {
						ID, Help string
						Nodes    []struct {
							HTML    string
							Summary string `json:"failureSummary"`
						}
					}
					answer := p.text(`axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"], resultTypes: ["violations"] }).then((r) => JSON.stringify(r.violations))`)
					if err := json.Unmarshal([]byte(answer), &found); err != nil {
						t.Fatal(err)
					}
					for _, f := range found {
						for _, n := range f.Nodes[:min(3, len(f.Nodes))] {
							t.Errorf("%s: %s: %s\n%s\n%s", screen.name, f.ID, f.Help, n.HTML, n.Summary)
						}
					}
					if wide := eval[float64](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
						t.Errorf("%s is %v px wider than the screen", screen.name, wide)
					}
					small := p.text(`[...document.querySelectorAll("button, .button, nav a, select, summary, input:not([type=checkbox], [type=radio], [type=file])")].filter((b) => b.checkVisibility({ visibilityProperty: true }) && b.offsetParent).map((b) => [b, b.getBoundingClientRect()]).filter(([, r]) => r.width > 0 && (r.width < 43.9 || r.height < 43.9)).map(([b, r]) => b.outerHTML.slice(0, 90) + " " + Math.round(r.width) + "x" + Math.round(r.height)).join("\n")`)
					if small != "" {
						t.Errorf("%s: too small for a finger:\n%s", screen.name, small)
					}
				}
			})
		}
	}
}
