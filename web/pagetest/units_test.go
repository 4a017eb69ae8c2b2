package pagetest

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// unitsOf chooses units by the page's own control.
func (t *tab) unitsOf(names ...string) {
	t.tb.Helper()
	t.run(`document.querySelector(".units").focus()`)
	t.run(`document.querySelector(".units").click()`)
	t.until(`document.querySelector(".units-dialog[open]") !== null`)
	for _, name := range names {
		t.press(name)
	}
	t.press("Done")
	t.until(`document.querySelector(".units-dialog[open]") === null`)
}

// command runs evenlock and gives what it writes.
func command(tb testing.TB, args ...string) string {
	tb.Helper()
	cmd := exec.CommandContext(tb.Context(), program(tb), args...)
	// Units that somebody keeps on this computer are not asked.
	cmd.Env = append(os.Environ(), "XDG_CONFIG_HOME="+tb.TempDir(), "HOME="+tb.TempDir())
	out, err := cmd.Output()
	if err != nil {
		tb.Fatalf("evenlock %s: %v", strings.Join(args, " "), err)
	}
	return string(out)
}

// said are the texts of a document's JSON: of its figures, and of its sentences. A page draws the
// rows of a table with a plot, and writes only some of them.
func said(v any, figures, sentences map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		if _, drawn := v["plot"]; drawn {
			return
		}
		if text, ok := v["text"].(string); ok && text != "" {
			if _, is := v["value"]; is {
				figures[text] = true
			} else {
				sentences[text] = true
			}
		}
		for _, x := range v {
			said(x, figures, sentences)
		}
	case []any:
		for _, x := range v {
			said(x, figures, sentences)
		}
	}
}

func plain(text string) string {
	return strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(text, "\u00a0", " ")), " "))
}

// Units chosen on the page hold for every section and for the next visit, and each figure of the
// page reads as the command prints it with the same units.
func TestUnitsAreThoseOfTheReaderEverywhere(t *testing.T) {
	server := serve(t)
	rev := server.trail()
	rig := "#/rig/" + rev.Rig
	p := open(t, laptop, server.url)
	p.load(server.url)
	p.show(rig + "/look")
	circle := `document.querySelector("[data-figure='circle.left'] strong").textContent`
	if got := p.text(circle); !strings.HasSuffix(got, " m") {
		t.Errorf("a turning circle of %s to begin with", got)
	}
	p.unitsOf("inches", "oz·in")
	p.until(circle + `.endsWith(" in")`)
	p.shot("inches")

	file := filepath.Join(t.TempDir(), "truck.toml")
	if err := os.WriteFile(file, []byte(server.kept(rev.Rig).Text), 0o600); err != nil {
		t.Fatal(err)
	}
	alike := func(units string) {
		t.Helper()
		for section, name := range map[string]string{"setup": "setup", "loads": "load", "change": "advise"} {
			var doc any
			if err := json.Unmarshal([]byte(command(t, name, file, "--format", "json", "--units", units)), &doc); err != nil {
				t.Fatal(err)
			}
			figures, sentences := map[string]bool{}, map[string]bool{}
			said(doc, figures, sentences)
			if len(figures) < 10 || len(sentences) < 10 {
				t.Fatalf("%s: only %d figures in %d sentences", name, len(figures), len(sentences))
			}
			printed := plain(command(t, name, file, "--all", "--units", units))
			p.show(rig + "/" + section)
			p.until(`document.querySelector("#sheet .verdict") !== null && document.querySelector("#sheet [aria-busy]") === null`)
			shown := plain(p.text(`document.getElementById("sheet").textContent`))
			for text := range figures {
				if !strings.Contains(printed, plain(text)) {
					t.Errorf("%s in %s: the command does not print %q", name, units, text)
				}
				if !strings.Contains(shown, plain(text)) {
					t.Errorf("%s in %s: the page does not show %q", name, units, text)
				}
			}
			for text := range sentences {
				if !strings.Contains(shown, plain(text)) {
					t.Errorf("%s in %s: the page does not say %q", name, units, text)
				}
			}
		}
	}
	alike("in,oz-in")

	// The next visit.
	p.load(server.url)
	if got := p.text(`document.querySelector(".units").getAttribute("aria-label")`); got != "Units: in, oz·in, %" {
		t.Errorf("after loading again: %s", got)
	}
	p.show(rig + "/look")
	p.until(circle + `.endsWith(" in")`)

	// What is measured is typed in inches, and the file keeps its own.
	p.show(rig + "/measure")
	p.run(`document.querySelector(".measured button").click()`)
	p.until(`document.querySelector(".ask input") !== null`)
	if got := p.text(`document.querySelector(".ask label").textContent`); got != "What you read, in inches" {
		t.Errorf("the field is for %q", got)
	}
	p.run(`document.querySelector(".ask input").focus()`)
	p.fill("12.5")
	p.press("Keep and go on")
	if p.saved() != rev.Number+1 {
		t.Error("it was not saved")
	}
	if text := server.kept(rev.Rig).Text; !strings.Contains(text, "wheelbase = 317.5") {
		_, line, _ := strings.Cut(text, "wheelbase")
		t.Errorf("12.5 in became wheelbase%.20s", line)
	}

	p.show(rig + "/look")
	p.unitsOf("mm", "N·m")
	p.until(circle + `.endsWith(" m")`)
	if err := os.WriteFile(file, []byte(server.kept(rev.Rig).Text), 0o600); err != nil {
		t.Fatal(err)
	}
	alike("mm,N-m")
	if got := p.text(fmt.Sprintf(`localStorage.getItem(%q)`, "evenlock.units")); got != "mm, N·m, %" {
		t.Errorf("kept %q", got)
	}
}

// What is typed into a measurement and not kept yet is still there after a change of units, with the
// unit that it was typed in.
func TestAChangeOfUnitsLeavesWhatIsTyped(t *testing.T) {
	server := serve(t)
	rig := "#/rig/" + server.trail().Rig
	p := open(t, laptop, server.url)
	p.load(server.url)
	p.show(rig + "/measure")
	p.run(`(() => { const all = document.querySelector(".measure details"); all.open = true; all.querySelector("li button").click(); })()`)
	p.until(`document.querySelector(".ask input") !== null`)
	p.run(`document.querySelector(".ask input").value = "313"`)
	p.unitsOf("inches")
	p.until(`document.querySelector(".ask .unit")?.textContent === "in"`)
	if got := p.text(`document.querySelector(".ask input").value`); got != "313 mm" {
		t.Errorf("the field holds %q", got)
	}
	if !eval[bool](p, `document.querySelector(".measure details").open`) {
		t.Error("the list of measurements folded up")
	}
	p.press("Keep and go on")
	p.until(fmt.Sprintf(`[...document.querySelectorAll(".measured .m-value")].some((e) => e.textContent.startsWith(%q))`, "12.32"))
}
