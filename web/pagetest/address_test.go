package pagetest

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// Whatever stands behind the address's #, the page says where one is: in the section, or that there
// is no such rig. An address of an earlier version leads to where the section is now.
func TestAddresses(t *testing.T) {
	t.Parallel()
	server := serve(t)
	rev := server.starter("chassis")
	p := open(t, laptop, server.url)
	// The browser logs the answers to questions for rigs that are not there.
	p.allow("404")
	p.load(server.url)
	const none = "Not available"
	for _, test := range []struct{ address, heading string }{
		{"#/rig/%", none},
		{"#/rig/%E0%A4%A/look", none},
		{"#/rig/..%2Fsettings/look", none},
		{"#/rig/none", none},
		{"#/%", "Your rigs"},
		{"#/rig/" + rev.Rig + "/%", "Look"},
		{"#/rig/" + rev.Rig + "/history", "History"},
		{"#/rig/" + rev.Rig, "Look"},
		{"#/rig/" + rev.Rig + "/keep", "History"},
		{"#/rig/" + rev.Rig + "/constructor", "Look"},
		{"#/constructor", "Your rigs"},
		{"", "Your rigs"},
	} {
		at := fmt.Sprintf(`document.querySelector("h1")?.textContent === %q`, test.heading)
		p.run(fmt.Sprintf("location.hash = %q", test.address))
		p.until(at)
		// And opened by it.
		p.run(`document.querySelector("h1").textContent = ""`)
		p.do(chromedp.Reload())
		p.until(at)
		if test.heading == "History" {
			p.until(`document.querySelector("nav [aria-current]")?.textContent === "History"`)
		}
	}
}
