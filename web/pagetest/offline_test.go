package pagetest

import (
	"bytes"
	"context"
	"encoding/base64"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"evenlock/store"
	"evenlock/store/backup"
	"evenlock/store/sqlite"
)

// host is a plain file host, without any API.
type host struct {
	url  string
	stop func()
}

// offline writes the page for the browser alone and hosts it below a path.
func offline(tb testing.TB) (*host, string) {
	tb.Helper()
	folder := filepath.Join(tb.TempDir(), "site")
	if out, err := exec.CommandContext(tb.Context(), program(tb), "offline", folder).CombinedOutput(); err != nil {
		tb.Fatalf("%v\n%s", err, out)
	}
	listener, err := (&net.ListenConfig{}).Listen(tb.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		tb.Fatal(err)
	}
	server := &http.Server{Handler: http.StripPrefix("/bench/", http.FileServer(http.Dir(folder))), ReadHeaderTimeout: time.Second}
	go server.Serve(listener) //nolint:errcheck // it ends when it is closed
	h := &host{url: "http://" + listener.Addr().String() + "/bench/", stop: func() { _ = server.Close() }}
	tb.Cleanup(h.stop)
	return h, folder
}

// After one visit the page opens and works without any network, keeps rigs over a reload, and its
// backup is the same file that the program on a computer writes and reads.
func TestBrowserAloneWithoutNetwork(t *testing.T) {
	t.Parallel()
	for _, s := range []size{laptop, phone} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			h, _ := offline(t)
			p := open(t, s, h.url)
			// That no API answers is how the page finds out that it is alone.
			p.allow("api/settings", "404", "net::ERR_CONNECTION_REFUSED")
			p.load(h.url)
			p.until(`navigator.serviceWorker.controller !== null`)
			h.stop()
			if conn, err := (&net.Dialer{}).DialContext(t.Context(), "tcp", strings.Split(h.url, "/")[2]); err == nil {
				_ = conn.Close()
				t.Fatal("the host still answers")
			}
			p.load(h.url)
			p.until(`document.querySelector(".rigs-page") !== null`)
			p.shot("offline")
			p.show("#/new")
			p.run(`document.querySelector("input[type=text]").focus()`)
			p.fill("Far from any network")
			p.press("Begin measuring")
			p.until(`document.querySelector(".ask input") !== null`)
			p.run(`document.querySelector(".ask input").focus()`)
			p.fill("301 ± 0.5")
			p.key(kb.Enter)
			p.until(`document.querySelector(".count").textContent.startsWith("Measurement 2 ")`)
			if n := p.saved(); n != 2 {
				t.Errorf("saved as revision %d", n)
			}
			rig := strings.Split(p.text("location.hash"), "/")[2]
			p.load(h.url)
			p.until(`document.querySelector(".rig-title")?.textContent === "Far from any network"`)
			p.show("#/rig/" + rig + "/history")
			p.until(`document.querySelectorAll(".revisions li").length === 2`)
			p.run(`document.querySelector(".history textarea").focus()`)
			p.fill("Measured in the shed.")
			p.press("Write it down")
			p.until(`document.querySelector(".notes p") !== null`)

			// The backup, read by the other home's reader and put into its store.
			packed, err := base64.StdEncoding.DecodeString(p.text(`(async () => {
				const { openStore } = await import("./store.js");
				const bytes = new Uint8Array(await (await (await openStore()).backup()).arrayBuffer());
				return btoa(String.fromCharCode(...bytes));
			})()`))
			if err != nil {
				t.Fatal(err)
			}
			snapshot, err := backup.Read(bytes.NewReader(packed), int64(len(packed)))
			if err != nil {
				t.Fatal(err)
			}
			kept, err := sqlite.Open(t.Context(), t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = kept.Close() }()
			if _, err := kept.Merge(t.Context(), snapshot); err != nil {
				t.Fatal(err)
			}
			rev, err := kept.Revision(t.Context(), rig, 2)
			if err != nil || !strings.Contains(rev.Text, "301 ± 0.5") {
				t.Errorf("%v: revision 2 says\n%s", err, rev.Text)
			}

			// And the other way: what the store adds comes back into the browser, beside nothing
			// lost.
			rev, err = kept.Save(t.Context(), rig, 2, store.Draft{Name: "Back from the computer", Text: rev.Text + "\n# more\n"})
			if err != nil {
				t.Fatal(err)
			}
			file := filepath.Join(t.TempDir(), "backup.zip")
			writeBackup(t, kept, file)
			p.show("#/")
			p.choose("Restore a backup", file)
			p.until(`document.querySelector(".rig-title")?.textContent === "Back from the computer"`)
			p.show("#/rig/" + rig + "/history")
			p.until(`document.querySelectorAll(".revisions li").length === 3`)
			if n := p.saved(); n != rev.Number {
				t.Errorf("stands at revision %d", n)
			}
		})
	}
}

func writeBackup(t *testing.T, kept store.Store, path string) {
	t.Helper()
	snapshot, err := kept.Snapshot(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := backup.Write(f, snapshot); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// A file that is no backup, and one that was tampered with, change nothing in the browser.
func TestBrowserAloneRefusesBadBackups(t *testing.T) {
	t.Parallel()
	h, _ := offline(t)
	p := open(t, laptop, h.url)
	p.allow("api/settings", "404")
	p.load(h.url)
	dir := t.TempDir()
	good := filepath.Join(dir, "good.zip")
	kept, err := sqlite.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = kept.Close() }()
	if _, err := kept.Create(t.Context(), store.Draft{Name: "Bench mule", Text: strings.Repeat("# no rig, only text\n", 40)}); err != nil {
		t.Fatal(err)
	}
	writeBackup(t, kept, good)
	content, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	broken := bytes.Clone(content)
	// In the packed text of the revision, some bytes after its name.
	broken[bytes.Index(content, []byte("0001.toml"))+30] ^= 0xff
	for name, bad := range map[string][]byte{
		"cut.zip": content[:len(content)/2], "broken.zip": broken, "text.zip": []byte("not a zip"), "empty.zip": nil,
		"renamed.zip": bytes.ReplaceAll(content, []byte("manifest.json"), []byte("manifest.jsoN")),
	} {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		p.run(`document.querySelector(".rigs-page [role=alert]").replaceChildren()`)
		p.choose("Restore a backup", path)
		p.until(`/not a whole backup/.test(document.querySelector(".rigs-page [role=alert]").textContent)`)
		if n := eval[int](p, `document.querySelectorAll(".rig-title").length`); n != 0 {
			t.Errorf("%s: %d rigs restored", name, n)
		}
	}
	p.choose("Restore a backup", good)
	p.until(`document.querySelector(".rig-title")?.textContent === "Bench mule"`)
}

// Two tabs of the browser alone tell one another as well.
func TestBrowserAloneTwoTabs(t *testing.T) {
	t.Parallel()
	h, _ := offline(t)
	a := open(t, laptop, h.url)
	a.allow("api/settings", "404")
	a.load(h.url)
	a.show("#/new")
	a.run(`document.querySelector("input[type=text]").focus()`)
	a.fill("Two tabs")
	a.press("Begin measuring")
	a.until(`document.querySelector(".ask input") !== null`)
	rig := strings.Split(a.text("location.hash"), "/")[2]
	b := a.beside(laptop)
	b.allow("api/settings", "404")
	b.load(h.url)
	b.show("#/rig/" + rig + "/look")
	a.run(`document.querySelector(".ask input").focus()`)
	a.fill("333")
	a.key(kb.Enter)
	b.until(`document.querySelector(".notice[role=alert]")?.textContent.includes("saved revision 2")`)
	b.press("Take revision 2")
	b.until(`document.querySelector(".notice[role=alert]") === null`)
}
