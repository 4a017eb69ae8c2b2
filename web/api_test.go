package web

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net/http"
	"reflect"
	"strings"
	"testing"
	"time"

	"evenlock/store"
)

func TestARigFromFirstSaveToPurge(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	first := c.create()
	rig := "/api/rigs/" + first.Rig
	var second, got store.Revision
	c.call("POST", rig+"/revisions", parented{1, store.Draft{Name: "Bench mule", Text: "name = b\n", Note: "longer horn"}}, 201, &second)
	if second.Number != 2 || second.Parent != 1 || second.Note != "longer horn" {
		t.Errorf("second revision: %+v", second)
	}
	c.call("GET", rig+"/revisions/1", nil, 200, &got)
	if !reflect.DeepEqual(got, first) {
		t.Errorf("first revision: %+v, want %+v", got, first)
	}

	var both struct {
		Rig      store.Rig      `json:"rig"`
		Revision store.Revision `json:"revision"`
	}
	c.call("GET", rig, nil, 200, &both)
	if both.Rig.Current != 2 || !reflect.DeepEqual(both.Revision, second) {
		t.Errorf("rig: %+v", both)
	}
	f := c.refused(c.call("POST", rig+"/revisions", parented{1, store.Draft{Name: "Bench mule", Text: "name = c\n"}}, 409, nil), store.Conflict)
	if f.Newer == nil || !reflect.DeepEqual(*f.Newer, second) {
		t.Errorf("the conflict does not hand over the newer revision: %+v", f)
	}
	c.call("POST", rig+"/revisions/1/bring-back", `{"parent":2,"by":"page"}`, 201, &got)
	if got.Number != 3 || got.Text != "name = a\n" {
		t.Errorf("brought back: %+v", got)
	}
	var list struct {
		Revisions []store.Revision `json:"revisions"`
	}
	c.call("GET", rig+"/revisions", nil, 200, &list)
	if len(list.Revisions) != 3 || list.Revisions[0].Number != 3 || list.Revisions[0].Text != "" {
		t.Errorf("revisions: %+v", list)
	}

	var tick, note store.Entry
	c.call("POST", rig+"/journal", `{"kind":"done","revision":3,"step":"square"}`, 201, &tick)
	c.call("POST", rig+"/journal", `{"kind":"note","revision":3,"text":"new rod ends"}`, 201, &note)
	var journal struct {
		Entries []store.Entry          `json:"entries"`
		Ticks   map[string]store.Entry `json:"ticks"`
		Notes   []store.Entry          `json:"notes"`
	}
	c.call("GET", rig+"/journal", nil, 200, &journal)
	if len(journal.Entries) != 2 || journal.Ticks["square"].ID != tick.ID || len(journal.Notes) != 1 || journal.Notes[0].ID != note.ID {
		t.Errorf("journal: %+v", journal)
	}

	c.refused(c.do("POST", rig+"/purge", ""), store.Invalid)
	c.call("DELETE", rig, nil, 204, nil)
	c.refused(c.call("POST", rig+"/revisions", parented{3, store.Draft{Name: "x", Text: "x"}}, 409, nil), store.Deleted)
	c.call("POST", rig+"/undelete", nil, 204, nil)
	c.call("DELETE", rig, nil, 204, nil)
	c.call("POST", rig+"/purge", nil, 204, nil)
	var rigs struct {
		Rigs []store.Rig `json:"rigs"`
	}
	if answer := c.call("GET", "/api/rigs", nil, 200, &rigs); answer.body != `{"rigs":[]}` {
		t.Errorf("rigs: %s", answer.body)
	}
	for _, path := range []string{"", "/revisions", "/revisions/1", "/revisions/1/file", "/journal"} {
		c.refused(c.do("GET", rig+path, ""), store.NotFound)
	}
}

func TestSettings(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	c.call("PUT", "/api/settings/units", `{"value":"in"}`, 204, nil)
	if answer := c.call("GET", "/api/settings", nil, 200, nil); answer.body != `{"settings":{"units":"in"}}` {
		t.Errorf("settings: %s", answer.body)
	}
}

func TestARigFileComesInAndGoesOut(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	const text = "name = Grey crawler ö\r\n"
	var v store.Revision
	c.with("Content-Type", "application/toml; charset=utf-8").call("POST", "/api/import", text, 201, &v)
	if v.Name != "Grey crawler ö" || v.Text != text || v.By != "import" {
		t.Errorf("imported: %+v", v)
	}
	answer := c.call("GET", "/api/rigs/"+v.Rig+"/revisions/1/file", nil, 200, nil)
	if answer.body != text {
		t.Errorf("file: %q", answer.body)
	}
	want := "attachment; filename*=utf-8''grey-crawler-%C3%B6.toml"
	if got := answer.Header.Get("Content-Disposition"); got != want {
		t.Errorf("disposition %q, want %q", got, want)
	}
}

func TestHostileImportsAreRefused(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	toml := c.with("Content-Type", "application/toml")
	f := c.refused(toml.do("POST", "/api/import", "<script>alert(1)</script>"), store.Invalid)
	if !strings.Contains(f.Error.Message, "line 1") {
		t.Errorf("the reader's error is not told: %q", f.Error.Message)
	}
	c.refused(toml.do("POST", "/api/import", "name = \xff\xfe"), store.Invalid)
	c.refused(toml.do("POST", "/api/import", "name = a\x00b"), store.Invalid)
	c.refused(toml.do("POST", "/api/import", "name = \x1b[2J"), store.Invalid)
	c.refused(toml.do("POST", "/api/import", "name = "+strings.Repeat("x", store.MaxText)), store.TooLarge)
	c.refused(c.with("Content-Type", "text/plain").do("POST", "/api/import", "name = a"), store.WrongType)
	zip := c.with("Content-Type", "application/zip")
	c.refused(zip.do("POST", "/api/restore", "PK\x03\x04 and then nothing"), store.Invalid)
	c.refused(toml.do("POST", "/api/restore", "PK\x03\x04"), store.WrongType)
	if answer := c.call("GET", "/api/rigs", nil, 200, nil); answer.body != `{"rigs":[]}` {
		t.Errorf("something was kept: %s", answer.body)
	}
}

func TestABackupMovesEverythingToAnotherPlace(t *testing.T) {
	from := local(t, newServer(t, t.TempDir()))
	first := from.create()
	from.call("POST", "/api/rigs/"+first.Rig+"/journal", `{"kind":"done","revision":1,"step":"square"}`, 201, nil)
	from.call("PUT", "/api/settings/units", `{"value":"in"}`, 204, nil)
	answer := from.call("GET", "/api/backup", nil, 200, nil)
	if got := answer.Header.Get("Content-Disposition"); !strings.HasPrefix(got, "attachment; filename=evenlock-backup-20") {
		t.Errorf("disposition %q", got)
	}

	to := local(t, newServer(t, t.TempDir()))
	var report store.MergeReport
	to.with("Content-Type", "application/zip").call("POST", "/api/restore", answer.body, 200, &report)
	want := store.MergeReport{Settings: 1, Rigs: []store.MergedRig{{ID: first.Rig, Name: "Bench mule", New: true, Revisions: 1, Entries: 1}}}
	if !reflect.DeepEqual(report, want) {
		t.Errorf("report %+v, want %+v", report, want)
	}
	for _, path := range []string{"/api/rigs", "/api/settings", "/api/rigs/" + first.Rig, "/api/rigs/" + first.Rig + "/journal"} {
		if a, b := from.do("GET", path, ""), to.do("GET", path, ""); a.body != b.body {
			t.Errorf("%s: %s before, %s after", path, a.body, b.body)
		}
	}
}

// stream reads events until it has as many as wanted.
type stream struct {
	*testing.T
	lines *bufio.Scanner
}

func (c client) stream() stream {
	c.Helper()
	r, err := http.NewRequestWithContext(c.Context(), http.MethodGet, c.base+"/api/events", http.NoBody)
	if err != nil {
		c.Fatal(err)
	}
	answer, err := c.http.Do(r)
	if err != nil {
		c.Fatal(err)
	}
	c.Cleanup(func() { answer.Body.Close() }) //nolint:errcheck // nothing depends on it
	if got := answer.Header.Get("Content-Type"); got != "text/event-stream" {
		c.Fatalf("content type %q", got)
	}
	s := stream{c.T, bufio.NewScanner(answer.Body)}
	if name, _ := s.next(); name != "ready" {
		c.Fatalf("the first event is %q", name)
	}
	return s
}

func (s stream) next() (name string, change store.Change) {
	s.Helper()
	for s.lines.Scan() {
		line := s.lines.Text()
		if v, ok := strings.CutPrefix(line, "event: "); ok {
			name = v
		}
		if v, ok := strings.CutPrefix(line, "data: "); ok {
			if err := json.Unmarshal([]byte(v), &change); err != nil {
				s.Fatal(err)
			}
		}
		if line == "" && name != "" {
			return name, change
		}
	}
	return "", change
}

func TestASecondTabIsToldAtOnce(t *testing.T) {
	dir := t.TempDir()
	// Two programs on one folder, as far as they can tell.
	one, two := local(t, newServer(t, dir)), local(t, newServer(t, dir))
	first := one.create()
	tabs := []stream{one.stream(), two.stream()}
	start := time.Now()
	one.call("POST", "/api/rigs/"+first.Rig+"/revisions", parented{1, store.Draft{Name: "Bench mule", Text: "name = b\n"}}, 201, nil)
	for i, tab := range tabs {
		name, change := tab.next()
		if want := (store.Change{What: store.RigSaved, Rig: first.Rig, Revision: 2}); name != "change" || change != want {
			t.Errorf("tab %d: event %q, %+v, want %+v", i, name, change, want)
		}
		if took := time.Since(start); took > 2*time.Second {
			t.Errorf("tab %d was told after %v", i, took)
		}
	}
	two.refused(two.call("POST", "/api/rigs/"+first.Rig+"/revisions", parented{1, store.Draft{Name: "Bench mule", Text: "name = c\n"}}, 409, nil), store.Conflict)
}

func TestStreamsAreBounded(t *testing.T) {
	s := newServer(t, t.TempDir())
	s.streams = make(chan struct{}, 2)
	c := local(t, s)
	c.stream()
	c.stream()
	c.refused(c.do("GET", "/api/events", ""), store.TooMany)
}

func TestBodiesThatAreNotAsTheyShouldBe(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	first := c.create()
	save := "/api/rigs/" + first.Rig + "/revisions"
	good := `{"parent":1,"name":"a","text":"b"}`
	tests := map[string]struct {
		header, body string
		code         store.Code
	}{
		"a form":             {"application/x-www-form-urlencoded", "parent=1&name=a&text=b", store.WrongType},
		"text":               {"text/plain", good, store.WrongType},
		"no content type":    {" ", good, store.WrongType},
		"two content types":  {"application/json, text/plain", good, store.WrongType},
		"cut off":            {"application/json", good[:20], store.Invalid},
		"more after the end": {"application/json", good + "{}", store.Invalid},
		"unknown key":        {"application/json", `{"parent":1,"name":"a","text":"b","rig":"c"}`, store.Invalid},
		"wrong type":         {"application/json", `{"parent":"1","name":"a","text":"b"}`, store.Invalid},
		"huge number":        {"application/json", `{"parent":1e99,"name":"a","text":"b"}`, store.Invalid},
		"not UTF-8":          {"application/json", "{\"parent\":1,\"name\":\"a\",\"text\":\"\xff\"}", store.Invalid},
		"half a pair":        {"application/json", `{"parent":7,"name":"a","text":"\ud800"}`, store.Conflict}, // U+FFFD, as JSON readers do
		"deeply nested":      {"application/json", strings.Repeat("[", 100_000), store.Invalid},
		"empty text":         {"application/json", `{"parent":1,"name":"a","text":""}`, store.Invalid},
		"text too long":      {"application/json", fmt.Sprintf(`{"parent":1,"name":"a","text":%q}`, strings.Repeat("x", store.MaxText+1)), store.TooLarge},
		"far too long":       {"application/json", `{"parent":1,"name":"a","text":"` + strings.Repeat("x", maxJSON), store.TooLarge},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			sub := c.with("Content-Type", test.header)
			sub.T = t
			sub.refused(sub.do("POST", save, test.body), test.code)
		})
	}
	c.refused(c.with("Content-Encoding", "gzip").do("POST", save, good), store.WrongType)
	longest := strings.Repeat("\x01", store.MaxText)
	c.call("POST", save, parented{1, store.Draft{Name: "a", Text: longest}}, 201, nil)
	var kept struct {
		Revisions []store.Revision `json:"revisions"`
	}
	c.call("GET", save, nil, 200, &kept)
	if len(kept.Revisions) != 2 {
		t.Errorf("%d revisions, want the first and the one that was right", len(kept.Revisions))
	}
}

func TestPathsThatNameNothing(t *testing.T) {
	c := local(t, newServer(t, t.TempDir()))
	first := c.create()
	for _, path := range []string{
		"/api/", "/api/rig", "/api/rigs/", "/api/rigs/x", "/api/rigs/%2e%2e", "/api/rigs/" + first.Rig + "/",
		"/api/rigs/" + first.Rig + "/revisions/0", "/api/rigs/" + first.Rig + "/revisions/-1", "/api/rigs/" + first.Rig + "/revisions/one",
		"/api/rigs/" + first.Rig + "/revisions/99999999999999999999", "/api/rigs/%00", "/api/rigs/%27%20OR%201",
	} {
		c.refused(c.do("GET", path, ""), store.NotFound)
	}
	c.refused(c.do("DELETE", "/api/rigs", ""), store.NotFound)
}
