package pagetest

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"evenlock/engine/pack"
	"evenlock/internal/effort"
	"evenlock/store"
)

// shared is what all tests use once it is made.
var shared struct {
	dir     string
	build   sync.Once
	err     error
	program string
}

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "evenlock-pagetest-")
	if err != nil {
		panic(err)
	}
	shared.dir = dir
	// A page often waits: for a frame, for a hand, for a file to be on the disk.
	effort.Parallel(2 * runtime.GOMAXPROCS(0))
	code := m.Run()
	closeBrowser()
	_ = os.RemoveAll(dir)
	os.Exit(code)
}

// module is the folder of the module.
func module(tb testing.TB) string {
	tb.Helper()
	dir, err := filepath.Abs("../..")
	if err != nil {
		tb.Fatal(err)
	}
	return dir
}

// program returns the path of evenlock, built from these sources with an engine built from
// these sources. The engine goes in by an overlay: the sources' own folder is not written to.
func program(tb testing.TB) string {
	tb.Helper()
	shared.build.Do(func() { shared.err = build(module(tb)) })
	if shared.err != nil {
		tb.Fatal(shared.err)
	}
	return shared.program
}

func build(module string) error {
	engine := filepath.Join(shared.dir, "engine")
	if _, err := pack.Build(module, engine, pack.Fast); err != nil {
		return err
	}
	files, err := os.ReadDir(engine)
	if err != nil {
		return err
	}
	replace := map[string]string{}
	for _, f := range files {
		replace[filepath.Join(module, "web", "assets", "engine", f.Name())] = filepath.Join(engine, f.Name())
	}
	overlay, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return err
	}
	list := filepath.Join(shared.dir, "overlay.json")
	if err := os.WriteFile(list, overlay, 0o600); err != nil {
		return err
	}
	shared.program = filepath.Join(shared.dir, "evenlock")
	cmd := exec.CommandContext(context.Background(), "go", "build", "-overlay", list, "-o", shared.program, "./cmd/evenlock")
	cmd.Dir = module
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("go build: %w\n%s", err, out)
	}
	return nil
}

// running is evenlock serving.
type running struct {
	tb   testing.TB
	data string
	port int
	url  string
	cmd  *exec.Cmd
}

// serve starts evenlock on a fresh folder.
func serve(tb testing.TB) *running {
	tb.Helper()
	r := &running{tb: tb, data: tb.TempDir()}
	r.start()
	tb.Cleanup(r.kill)
	return r
}

// start starts it, on the port that it had if it ran before.
func (r *running) start() {
	r.tb.Helper()
	// The test's own context ends before its clean-up, and the pages are closed before the program
	// is ended.
	r.cmd = exec.CommandContext(context.WithoutCancel(r.tb.Context()), program(r.tb), "serve", "--data", r.data, "--port", strconv.Itoa(r.port))
	r.cmd.Stderr = os.Stderr
	out, err := r.cmd.StdoutPipe()
	if err != nil {
		r.tb.Fatal(err)
	}
	if err := r.cmd.Start(); err != nil {
		r.tb.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		_, url, ok := strings.Cut(lines.Text(), "The page is at ")
		if !ok {
			continue
		}
		r.url = strings.TrimSpace(url)
		addr, err := net.ResolveTCPAddr("tcp", strings.Trim(strings.TrimPrefix(r.url, "http://"), "/"))
		if err != nil {
			r.tb.Fatal(err)
		}
		r.port = addr.Port
		return
	}
	r.tb.Fatalf("evenlock said no address: %v", lines.Err())
}

// kill ends it as a power cut would.
func (r *running) kill() {
	if r.cmd != nil {
		_ = r.cmd.Process.Kill()
		_ = r.cmd.Wait()
		r.cmd = nil
	}
}

// get asks the API.
func (r *running) get(path string, to any) {
	r.tb.Helper()
	ask(r.tb, http.MethodGet, r.url+"/api/"+path, nil, to)
}

func ask(tb testing.TB, method, url string, body, to any) {
	tb.Helper()
	var text []byte
	if body != nil {
		var err error
		if text, err = json.Marshal(body); err != nil {
			tb.Fatal(err)
		}
	}
	ctx, cancel := context.WithTimeout(tb.Context(), 10*time.Second)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, method, url, strings.NewReader(string(text)))
	if err != nil {
		tb.Fatal(err)
	}
	if body != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		tb.Fatal(err)
	}
	defer func() { _ = res.Body.Close() }()
	if res.StatusCode >= 300 {
		tb.Fatalf("%s %s: %s", method, url, res.Status)
	}
	if err := json.NewDecoder(res.Body).Decode(to); err != nil {
		tb.Fatal(err)
	}
}

// kept returns the current revision of a rig.
func (r *running) kept(rig string) store.Revision {
	r.tb.Helper()
	var got struct {
		Revision store.Revision `json:"revision"`
	}
	r.get("rigs/"+rig, &got)
	return got.Revision
}

// starter keeps a rig made of a starter file and returns its revision.
func (r *running) starter(name string) store.Revision {
	r.tb.Helper()
	return r.keep(name+" starter (invented)", "rig/starters/"+name+".toml")
}

// keep keeps a rig made of a file of the module, changed by pairs of old and new words.
func (r *running) keep(name, file string, pairs ...string) store.Revision {
	r.tb.Helper()
	text, err := os.ReadFile(filepath.Join(module(r.tb), file))
	if err != nil {
		r.tb.Fatal(err)
	}
	changed := strings.NewReplacer(pairs...).Replace(string(text))
	if len(pairs) > 0 && changed == string(text) {
		r.tb.Fatalf("%s has no %q", file, pairs)
	}
	var rev store.Revision
	ask(r.tb, http.MethodPost, r.url+"/api/rigs", store.Draft{Name: name, Text: changed}, &rev)
	return rev
}
