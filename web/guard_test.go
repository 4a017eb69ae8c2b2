package web

import (
	"bufio"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"evenlock/store"
)

func TestOnlyTheAddressItWasStartedAt(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	own := strings.TrimPrefix(c.base, "http://")
	_, port, err := net.SplitHostPort(own)
	if err != nil {
		t.Fatal(err)
	}
	for _, host := range []string{own, "127.0.0.1", "localhost", "LocalHost:" + port, "127.0.0.1:9", "[::ffff:127.0.0.1]:" + port} {
		c.with("Host", host).call("GET", "/api/rigs", nil, 200, nil)
		c.with("Host", host).call("GET", "/", nil, 200, nil)
	}
	for _, host := range []string{
		"evil.example", "evil.example:" + port, "127.0.0.1.evil.example", "localhost.evil.example", "localhost.", "127.0.0.2:" + port,
		"[::1]:" + port, "0.0.0.0:" + port, "192.168.1.5:" + port, "127.1", "2130706433", "127.0.0.1@evil.example", "127.0.0.1%25x",
	} {
		c.refused(c.with("Host", host).do("GET", "/api/rigs", ""), store.Forbidden)
		if answer := c.with("Host", host).do("GET", "/", ""); answer.status != 403 || strings.Contains(answer.body, "the page") {
			t.Errorf("host %q was served the page", host)
		}
	}
	if answer := c.raw("GET /api/rigs HTTP/1.0\r\n\r\n"); !strings.Contains(answer, " 403 ") {
		t.Errorf("without a host: %s", answer)
	}
}

// apiCalls is one call of each route of the API.
var apiCalls = []string{
	"GET /api/rigs", "POST /api/rigs", "GET /api/rigs/x", "DELETE /api/rigs/x", "POST /api/rigs/x/undelete", "POST /api/rigs/x/purge",
	"GET /api/rigs/x/revisions", "POST /api/rigs/x/revisions", "GET /api/rigs/x/revisions/1", "GET /api/rigs/x/revisions/1/file",
	"POST /api/rigs/x/revisions/1/bring-back", "GET /api/rigs/x/journal", "POST /api/rigs/x/journal", "POST /api/import", "GET /api/backup",
	"POST /api/restore", "GET /api/settings", "PUT /api/settings/x", "GET /api/events", "GET /api/share", "POST /api/share",
	"DELETE /api/share", "GET /api/share/qr.svg", "GET /api/nothing", "HEAD /api/rigs", "OPTIONS /api/rigs",
}

func TestRequestsThatABrowserMakesForAnotherSiteAreRefused(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	hostile := map[string][2]string{
		"another site":                 {"Sec-Fetch-Site", "cross-site"},
		"another port of this address": {"Sec-Fetch-Site", "same-site"},
		"a word of no meaning":         {"Sec-Fetch-Site", "friendly"},
		"another origin":               {"Origin", "http://evil.example"},
		"an origin of another port":    {"Origin", "http://127.0.0.1:9"},
		"an origin that is none":       {"Origin", "null"},
		"an extension's origin":        {"Origin", "extension://abc"},
	}
	for name, header := range hostile {
		for _, call := range apiCalls {
			method, path, _ := strings.Cut(call, " ")
			answer := c.with(header[0], header[1]).do(method, path, "")
			if answer.status != 403 || method != "HEAD" && !strings.Contains(answer.body, "another site") {
				t.Errorf("%s: %s: status %d: %s", name, call, answer.status, answer.body)
			}
			for field := range answer.Header {
				if strings.HasPrefix(field, "Access-Control-") {
					t.Errorf("%s: %s: %s is set", name, call, field)
				}
			}
		}
	}
	for name, header := range map[string][2]string{
		"the page itself":        {"Sec-Fetch-Site", "same-origin"},
		"the person's own doing": {"Sec-Fetch-Site", "none"},
		"the page's own origin":  {"Origin", c.base},
	} {
		if answer := c.with(header[0], header[1]).do("GET", "/api/rigs", ""); answer.status != 200 {
			t.Errorf("%s: refused: %s", name, answer.body)
		}
		if answer := c.with(header[0], header[1]).do("POST", "/api/rigs", `{"name":"a","text":"b"}`); answer.status != 201 {
			t.Errorf("%s: refused: %s", name, answer.body)
		}
	}
	// A link on another site may open the page, as a whole.
	c.with("Sec-Fetch-Site", "cross-site").call("GET", "/", nil, 200, nil)
}

func TestEveryAnswerBindsTheBrowser(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	want := map[string]string{
		"Content-Security-Policy": "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; " +
			"connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
		"X-Content-Type-Options":       "nosniff",
		"Referrer-Policy":              "same-origin",
		"Cross-Origin-Resource-Policy": "same-origin",
		"Cross-Origin-Opener-Policy":   "same-origin",
		"X-Frame-Options":              "DENY",
		"Cache-Control":                "no-store",
	}
	for _, call := range append([]string{"GET /", "GET /js/wiring.js", "GET /nothing", "POST /"}, apiCalls...) {
		method, path, _ := strings.Cut(call, " ")
		if path == "/api/events" {
			continue // it does not end
		}
		answer := c.do(method, path, "")
		if !strings.HasPrefix(path, "/api/") && answer.status == 200 {
			want["Cache-Control"] = "no-cache" // ask again each time
		} else {
			want["Cache-Control"] = "no-store"
		}
		for name, value := range want {
			if got := answer.Header.Get(name); got != value {
				t.Errorf("%s: %s is %q, want %q", call, name, got, value)
			}
		}
		if answer.Header.Get("Content-Type") == "" && answer.status != 204 {
			t.Errorf("%s: no content type", call)
		}
	}
}

func TestScriptInATextFieldIsInert(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	const script = `</script><script>alert(1)</script><img src=x onerror=alert(2)>"'`
	var v store.Revision
	c.call("POST", "/api/rigs", store.Draft{Name: script, Text: script, Note: script, By: script}, 201, &v)
	if v.Name != script || v.Text != script {
		t.Errorf("what was kept is not what was said: %+v", v)
	}
	rig := "/api/rigs/" + v.Rig
	c.call("POST", rig+"/journal", store.EntryDraft{Kind: store.KindNote, Revision: 1, Text: script}, 201, nil)
	c.call("PUT", "/api/settings/units", map[string]string{"value": script}, 204, nil)
	for _, path := range []string{"/api/rigs", rig, rig + "/revisions", rig + "/revisions/1", rig + "/journal", "/api/settings", "/api/rigs/<script>", "/api/<script>"} {
		answer := c.do("GET", path, "")
		if got := answer.Header.Get("Content-Type"); got != "application/json" {
			t.Errorf("%s: content type %q", path, got)
		}
		if strings.ContainsAny(answer.body, "<>") {
			t.Errorf("%s: markup is not escaped: %s", path, answer.body)
		}
	}
	answer := c.call("GET", rig+"/revisions/1/file", nil, 200, nil)
	if answer.Header.Get("Content-Type") != "application/toml" || answer.Header.Get("Content-Disposition") != "attachment; filename=script-script-alert-1-script-img-src-x-onerror-alert-2.toml" {
		t.Errorf("the rig file would be shown, not kept: %v", answer.Header)
	}
	for _, path := range []string{"/<script>alert(1)</script>", "/join/<script>alert(1)</script>"} {
		if answer := c.do("GET", path, ""); strings.Contains(answer.body, "<script") {
			t.Errorf("%s: %s", path, answer.body)
		}
	}
}

func TestPathTricksLeadNowhere(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	for _, path := range []string{
		"/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/..%2f..%2fetc/passwd", "/js/..%2f..%2fserver.go", "/js//..//..//server.go",
		`/..\..\windows\win.ini`, "/..%5c..%5cwindows", "/js/wiring.js/", "/js/wiring.js%00", "/js", "/js/", "/.git/config", "//etc/passwd",
		"/engine.wasm.br", "/engine.wasm.gz", "/index.html/..", "/%", "/INDEX.HTML", "/api/../../etc/passwd",
	} {
		answer := c.raw("GET " + path + " HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")
		status, _, _ := strings.Cut(answer, "\r\n")
		switch code := strings.Fields(status)[1]; code {
		case "400", "404":
		case "301", "307":
			// The router shortens paths; where it leads is asked as well.
			_, after, _ := strings.Cut(answer, "Location: ")
			location, _, _ := strings.Cut(after, "\r\n")
			if !strings.HasPrefix(location, "/") || strings.HasPrefix(location, "//") {
				t.Errorf("%s leads away to %q", path, location)
			}
			if to := c.do("GET", location, ""); to.status != 404 && location != "/" {
				t.Errorf("%s leads to %s: status %d", path, location, to.status)
			}
		default:
			t.Errorf("%s: %s", path, answer)
		}
	}
}

func TestAssetsComeAsTheBrowserTakesThem(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	for _, test := range []struct{ accept, encoding, body string }{
		{"gzip, deflate, br, zstd", "br", "in brotli"},
		{"gzip, deflate", "gzip", "in gzip"},
		{"br;q=0, gzip;q=0.5", "gzip", "in gzip"},
		{"BR ; q=1.0", "br", "in brotli"},
		{"br; q=0.000, gzip; q=0", "", "plain"},
		{"identity", "", "plain"},
		{"brotli, gzipped", "", "plain"},
	} {
		answer := c.with("Accept-Encoding", test.accept).call("GET", "/engine.wasm", nil, 200, nil)
		if answer.body != test.body || answer.Header.Get("Content-Encoding") != test.encoding ||
			answer.Header.Get("Content-Type") != "application/wasm" || answer.Header.Get("Vary") != "Accept-Encoding" {
			t.Errorf("accepting %q: %q, %v", test.accept, answer.body, answer.Header)
		}
		tag := answer.Header.Get("ETag")
		again := c.with("Accept-Encoding", test.accept).with("If-None-Match", tag).do("GET", "/engine.wasm", "")
		if tag == "" || again.status != 304 || again.body != "" {
			t.Errorf("accepting %q: asked again with the tag %s: status %d", test.accept, tag, again.status)
		}
		other := c.with("Accept-Encoding", "x").with("If-None-Match", tag).do("GET", "/engine.wasm", "")
		if test.encoding != "" && other.status != 200 {
			t.Errorf("the tag of %q serves for the plain file", test.encoding)
		}
	}
	index := c.call("GET", "/", nil, 200, nil)
	if index.body != c.call("GET", "/index.html", nil, 200, nil).body || index.Header.Get("Content-Type") != "text/html; charset=utf-8" {
		t.Errorf("the page: %v", index.Header)
	}
	if head := c.do("HEAD", "/js/wiring.js", ""); head.status != 200 || head.body != "" || head.ContentLength != 9 {
		t.Errorf("HEAD: %v", head.Response)
	}
	for _, method := range []string{"POST", "PUT", "DELETE", "TRACE", "PROPFIND"} {
		if answer := c.do(method, "/index.html", ""); answer.status != 405 {
			t.Errorf("%s: status %d", method, answer.status)
		}
	}
}

func TestAssetsThatCannotBeServedAreToldAtOnce(t *testing.T) {
	kept := openStore(t, t.TempDir())
	for name, assets := range map[string]fstest.MapFS{
		"no page":                {"a.js": {}},
		"a type that is unknown": {"index.html": {}, "a.xyz": {}},
	} {
		if _, err := New(Options{Store: kept, Assets: assets, RigName: rigName}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := New(Options{Store: kept, Assets: testAssets}); err == nil {
		t.Error("no reader of names: no error")
	}
	if _, err := New(Options{Store: kept, Assets: Assets(), RigName: rigName}); err != nil {
		t.Errorf("the embedded page: %v", err)
	}
}

func TestSlowClientsAreDropped(t *testing.T) {
	s := newServer(t, t.TempDir())
	s.limits.header, s.limits.body, s.limits.idle, s.limits.answer = 100*time.Millisecond, 3*time.Second, 300*time.Millisecond, 400*time.Millisecond
	server := httptest.NewUnstartedServer(nil)
	server.Config = s.httpServer(s.local)
	server.Start()
	t.Cleanup(server.Close)
	dropped := func(what, request string, within time.Duration) {
		var d net.Dialer
		conn, err := d.DialContext(t.Context(), "tcp", server.Listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close() //nolint:errcheck // nothing depends on it
		if _, err := io.WriteString(conn, request); err != nil {
			t.Fatal(err)
		}
		start := time.Now()
		if err := conn.SetReadDeadline(start.Add(within)); err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(io.Discard, conn); err != nil && strings.Contains(err.Error(), "timeout") {
			t.Errorf("%s: not dropped after %v", what, time.Since(start))
		}
	}
	dropped("half a header", "GET /api/rigs HTTP/1.1\r\nHost: 127.0.0.1\r\nX-", 2*time.Second)
	dropped("half a body", "POST /api/rigs HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{", 10*time.Second)
	dropped("nothing after the first", "GET /api/rigs HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n", 2*time.Second)
	dropped("a header without end", "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: "+strings.Repeat("x", 40<<10), 2*time.Second)
	// An event stream is not dropped by the same limits.
	c := client{t, server.URL, http.Header{}, http.DefaultClient}
	tab := c.stream()
	time.Sleep(3500 * time.Millisecond)
	c.create()
	if name, _ := tab.next(); name != "change" {
		t.Error("the event stream was dropped")
	}
}

func TestFaultsInsideAreLoggedAndNotShown(t *testing.T) {
	s := newServer(t, t.TempDir())
	answer := httptest.NewRecorder()
	r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/api/rigs", http.NoBody)
	s.fail(answer, r, io.ErrUnexpectedEOF)
	var f failure
	if err := json.NewDecoder(bufio.NewReader(answer.Body)).Decode(&f); err != nil {
		t.Fatal(err)
	}
	if answer.Code != 500 || f.Error.Code != store.Internal || strings.Contains(f.Error.Message+f.Error.Remedy, "EOF") {
		t.Errorf("status %d, %+v", answer.Code, f)
	}
}
