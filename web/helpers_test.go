package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"

	"evenlock/store"
	"evenlock/store/sqlite"
)

// rigName stands for the reader of rig files.
func rigName(text string) (string, error) {
	name, ok := strings.CutPrefix(text, "name = ")
	if !ok {
		return "", errors.New("line 1: name is missing")
	}
	return strings.TrimSpace(name), nil
}

var testAssets = fstest.MapFS{
	"index.html":     {Data: []byte("<!doctype html><p>the page")},
	"js/wiring.js":   {Data: []byte("// wiring")},
	"engine.wasm":    {Data: []byte("plain")},
	"engine.wasm.br": {Data: []byte("in brotli")},
	"engine.wasm.gz": {Data: []byte("in gzip")},
}

func openStore(t *testing.T, dir string) store.Store {
	t.Helper()
	kept, err := sqlite.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := kept.Close(); err != nil {
			t.Error(err)
		}
	})
	return kept
}

func newServer(t *testing.T, dir string) *Server {
	t.Helper()
	s, err := New(Options{Store: openStore(t, dir), Assets: testAssets, RigName: rigName})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// client asks a server, as a program that is no browser unless headers are set.
type client struct {
	*testing.T
	base   string
	header http.Header
	http   *http.Client
}

// local serves the handler for the computer itself.
func local(t *testing.T, s *Server) client {
	t.Helper()
	server := httptest.NewServer(s)
	t.Cleanup(server.Close)
	return client{t, server.URL, http.Header{}, &http.Client{
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}}
}

func (c client) with(name, value string) client {
	c.header = c.header.Clone()
	c.header.Set(name, value)
	return c
}

type response struct {
	*http.Response
	status int
	body   string
}

func (c client) do(method, path, body string) response {
	c.Helper()
	r, err := http.NewRequestWithContext(c.Context(), method, c.base+path, strings.NewReader(body))
	if err != nil {
		c.Fatal(err)
	}
	for name, values := range c.header {
		r.Header[name] = values
	}
	r.Host = c.header.Get("Host")
	if body != "" && r.Header.Get("Content-Type") == "" {
		r.Header.Set("Content-Type", "application/json")
	}
	answer, err := c.http.Do(r)
	if err != nil {
		c.Fatal(err)
	}
	content, err := io.ReadAll(answer.Body)
	if err := errors.Join(err, answer.Body.Close()); err != nil {
		c.Fatal(err)
	}
	return response{answer, answer.StatusCode, string(content)}
}

// call expects a status and reads the JSON answer, if to is not nil.
func (c client) call(method, path string, body any, status int, to any) response {
	c.Helper()
	text := ""
	switch b := body.(type) {
	case nil:
	case string:
		text = b
	default:
		encoded, err := json.Marshal(b)
		if err != nil {
			c.Fatal(err)
		}
		text = string(encoded)
	}
	answer := c.do(method, path, text)
	if answer.status != status {
		c.Fatalf("%s %s: status %d, want %d: %s", method, path, answer.status, status, answer.body)
	}
	if to != nil {
		if got := answer.Header.Get("Content-Type"); got != "application/json" {
			c.Fatalf("%s %s: content type %q", method, path, got)
		}
		d := json.NewDecoder(strings.NewReader(answer.body))
		d.DisallowUnknownFields()
		if err := d.Decode(to); err != nil {
			c.Fatalf("%s %s: %v in %s", method, path, err, answer.body)
		}
	}
	return answer
}

func (c client) create() store.Revision {
	c.Helper()
	var v store.Revision
	c.call("POST", "/api/rigs", store.Draft{Name: "Bench mule", Text: "name = a\n", By: "page"}, 201, &v)
	return v
}

type parented struct {
	Parent int `json:"parent"`
	store.Draft
}

type failure struct {
	Error store.Error     `json:"error"`
	Newer *store.Revision `json:"newer"`
}

// refused expects a refusal with a code and a message for people.
func (c client) refused(answer response, code store.Code) failure {
	c.Helper()
	var f failure
	if answer.status != code.Status() || answer.Header.Get("Content-Type") != "application/json" {
		c.Fatalf("status %d, content type %q, want %d: %s", answer.status, answer.Header.Get("Content-Type"), code.Status(), answer.body)
	}
	if err := json.Unmarshal([]byte(answer.body), &f); err != nil {
		c.Fatal(err)
	}
	if f.Error.Code != code || f.Error.Message == "" {
		c.Fatalf("got %+v, want the code %q with a message", f.Error, code)
	}
	return f
}

// raw sends bytes as they are and returns all that comes back.
func (c client) raw(request string) string {
	c.Helper()
	var d net.Dialer
	conn, err := d.DialContext(c.Context(), "tcp", strings.TrimPrefix(c.base, "http://"))
	if err != nil {
		c.Fatal(err)
	}
	defer conn.Close() //nolint:errcheck // the answer was read
	if _, err := io.WriteString(conn, request); err != nil {
		c.Fatal(err)
	}
	var b bytes.Buffer
	if _, err := b.ReadFrom(conn); err != nil {
		c.Fatal(err)
	}
	return b.String()
}
