package backup_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"evenlock/internal/need"
	"evenlock/store"
	"evenlock/store/backup"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func id(c string) string { return strings.Repeat(c, 26) }

// invented is a snapshot with something of everything.
func invented() *store.Snapshot {
	at := func(hour int) time.Time { return time.Date(2026, 1, 2, hour, 30, 0, 123e6, time.UTC) }
	mule := store.RigSnapshot{
		Rig: store.Rig{ID: id("a"), Name: "Bench mule / <b>ö", Current: 3, Created: at(1), Changed: at(3)},
		Revisions: []store.Revision{
			{ID: id("b"), Rig: id("a"), Number: 1, Saved: at(1), Draft: store.Draft{Name: "Bench mule", Text: "a = 1\r\n", Note: "two\nlines", By: "page"}},
			{ID: id("c"), Rig: id("a"), Number: 3, Parent: 1, Saved: at(3), Draft: store.Draft{Name: "Bench mule / <b>ö", Text: "# ö 🛞"}},
		},
		Journal: []store.Entry{
			{ID: id("d"), Rig: id("a"), Written: at(2), EntryDraft: store.EntryDraft{Kind: store.KindNote, Revision: 1, Text: "wobbles", By: "page"}},
			{ID: id("e"), Rig: id("a"), Written: at(4), EntryDraft: store.EntryDraft{Kind: store.KindDone, Revision: 3, Step: "square"}},
		},
	}
	other := store.RigSnapshot{
		Rig: store.Rig{ID: id("f"), Name: "../../etc/passwd", Current: 1, Created: at(5), Changed: at(5), Deleted: at(6)},
		Revisions: []store.Revision{
			{ID: id("g"), Rig: id("f"), Number: 1, Saved: at(5), Draft: store.Draft{Name: "../../etc/passwd", Text: strings.Repeat(" ", store.MaxText)}},
		},
	}
	return &store.Snapshot{Taken: at(7), Rigs: []store.RigSnapshot{mule, other}, Settings: map[string]string{"units": "mm"}}
}

func written(t testing.TB, s *store.Snapshot) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := backup.Write(&b, s); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func read(b []byte) (*store.Snapshot, error) {
	return backup.Read(bytes.NewReader(b), int64(len(b)))
}

func TestWhatIsWrittenIsRead(t *testing.T) {
	for name, want := range map[string]*store.Snapshot{
		"something of everything": invented(),
		"nothing":                 {Taken: invented().Taken},
	} {
		if err := want.Check(); err != nil {
			t.Fatal(err)
		}
		file := written(t, want)
		got, err := read(file)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s:\n got %+v\nwant %+v", name, got, want)
		}
		if !bytes.Equal(file, written(t, want)) {
			t.Errorf("%s: written again, the file is another", name)
		}
	}
}

// A backup made by version 1 must be readable for ever: never make this file
// anew for a later version, but add another.
func TestBackupOfVersion1StaysReadable(t *testing.T) {
	const golden = "testdata/version-1.zip"
	if *update {
		if err := os.WriteFile(golden, written(t, invented()), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	file, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	got, err := read(file)
	if err != nil {
		t.Fatal(err)
	}
	if want := invented(); !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v\nwant %+v", got, want)
	}
}

// Python's zipfile, json and hashlib are the outside check that the file is as
// documented, without evenlock.
func TestOtherProgramsCanOpenIt(t *testing.T) {
	python := need.Tool(t, "python3")
	path := filepath.Join(t.TempDir(), "backup.zip")
	if err := os.WriteFile(path, written(t, invented()), 0o600); err != nil {
		t.Fatal(err)
	}
	const script = `
import hashlib, json, sys, zipfile
z = zipfile.ZipFile(sys.argv[1])
assert z.testzip() is None
m = json.loads(z.read("manifest.json"))
assert (m["format"], m["version"]) == ("evenlock backup", 1)
for r in m["rigs"]:
    for v in r["revisions"]:
        text = z.read(v["file"])
        assert (len(text), hashlib.sha256(text).hexdigest()) == (v["size"], v["sha256"])
        if len(text) < 99:
            print(r["name"], v["number"], v["file"], text)
`
	out, err := exec.CommandContext(t.Context(), python, "-X", "utf8", "-c", script, path).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	want := "Bench mule / <b>ö 1 rigs/bench-mule-b-ö-" + id("a") + "/0001.toml b'a = 1\\r\\n'\n" +
		"Bench mule / <b>ö 3 rigs/bench-mule-b-ö-" + id("a") + "/0003.toml b'# \\xc3\\xb6 \\xf0\\x9f\\x9b\\x9e'\n"
	if got := strings.ReplaceAll(string(out), "\r\n", "\n"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// archive is a zip archive to be tampered with.
type archive []file

type file struct {
	name    string
	content string
	header  func(*zip.FileHeader)
	// claim, if not zero, is the size that the file says it unpacks to.
	claim uint64
}

func unpacked(t testing.TB, b []byte) archive {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	var a archive
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		content, err := io.ReadAll(r)
		if err := errors.Join(err, r.Close()); err != nil {
			t.Fatal(err)
		}
		a = append(a, file{name: f.Name, content: string(content)})
	}
	return a
}

func (a archive) packed(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, f := range a {
		h := &zip.FileHeader{Name: f.name, Method: zip.Deflate}
		if f.header != nil {
			f.header(h)
		}
		create := w.CreateHeader
		if f.claim != 0 {
			h.UncompressedSize64 = f.claim
			create = w.CreateRaw
		}
		to, err := create(h)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := to.Write([]byte(f.content)); err != nil && !strings.HasSuffix(f.name, "/") {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func (a archive) manifest(t testing.TB, change func(*backup.Manifest)) archive {
	t.Helper()
	for i := range a {
		if a[i].name != "manifest.json" {
			continue
		}
		var m backup.Manifest
		if err := json.Unmarshal([]byte(a[i].content), &m); err != nil {
			t.Fatal(err)
		}
		change(&m)
		content, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		a[i].content = string(content)
	}
	return a
}

func (a archive) without(name string) archive {
	var b archive
	for _, f := range a {
		if f.name != name {
			b = append(b, f)
		}
	}
	return b
}

func (a archive) replaced(from, to string) archive {
	for i := range a {
		a[i].content = strings.Replace(a[i].content, from, to, 1)
	}
	return a
}

func TestHostileOrBrokenBackupsAreRefused(t *testing.T) {
	first := "rigs/bench-mule-b-ö-" + id("a") + "/0001.toml"
	extra := func(name string) func(testing.TB, archive) archive {
		return func(_ testing.TB, a archive) archive { return append(a, file{name: name, content: "x"}) }
	}
	renamed := func(name string) func(testing.TB, archive) archive {
		return func(t testing.TB, a archive) archive {
			t.Helper()
			for i := range a {
				if a[i].name == first {
					a[i].name = name
				}
			}
			return a.manifest(t, func(m *backup.Manifest) { m.Rigs[0].Revisions[0].File = name })
		}
	}
	manifest := func(change func(*backup.Manifest)) func(testing.TB, archive) archive {
		return func(t testing.TB, a archive) archive { t.Helper(); return a.manifest(t, change) }
	}
	replaced := func(from, to string) func(testing.TB, archive) archive {
		return func(_ testing.TB, a archive) archive { return a.replaced(from, to) }
	}
	tests := map[string]struct {
		change func(testing.TB, archive) archive
		code   store.Code
		says   string
	}{
		"no manifest":               {func(_ testing.TB, a archive) archive { return a.without("manifest.json") }, store.Invalid, "no manifest.json"},
		"empty":                     {func(testing.TB, archive) archive { return nil }, store.Invalid, "no manifest.json"},
		"manifest of another thing": {manifest(func(m *backup.Manifest) { m.Format = "stamps" }), store.Invalid, "not one of evenlock's"},
		"manifest without version":  {manifest(func(m *backup.Manifest) { m.Version = 0 }), store.Invalid, "not one of evenlock's"},
		"newer version":             {manifest(func(m *backup.Manifest) { m.Version = 2 }), store.Newer, "newer evenlock"},
		"unknown key":               {replaced(`"settings"`, `"seltings"`), store.Invalid, "cannot be read"},
		"no JSON":                   {replaced(`{`, `[`), store.Invalid, "not one of evenlock's"},
		"text in the manifest":      {manifest(func(m *backup.Manifest) { m.Rigs[0].Revisions[0].Text = "x" }), store.Invalid, "belongs in a file"},
		"a file is missing":         {func(_ testing.TB, a archive) archive { return a.without(first) }, store.Invalid, "0001.toml\" is missing"},
		"a file listed twice": {manifest(func(m *backup.Manifest) {
			m.Rigs[0].Revisions[1].File = m.Rigs[0].Revisions[0].File
		}), store.Invalid, "missing or listed twice"},
		"a text changed":         {replaced("a = 1", "a = 2"), store.Invalid, "not what it was"},
		"a text longer":          {replaced("a = 1", "a = 1 "), store.Invalid, "not what it was"},
		"the manifest as a text": {manifest(func(m *backup.Manifest) { m.Rigs[0].Revisions[0].File = "manifest.json" }), store.Invalid, "missing or listed twice"},
		"a file too many":        {extra("rigs/x.toml"), store.Invalid, "does not list"},
		"a file twice":           {extra(first), store.Invalid, "is in it twice"},
		"up and away":            {renamed("../../.profile"), store.Invalid, "not that of a plain file"},
		"from the root":          {renamed("/etc/cron.d/x"), store.Invalid, "not that of a plain file"},
		"backslashes":            {renamed(`rigs\..\..\x`), store.Invalid, "not that of a plain file"},
		"a drive":                {renamed("C:x"), store.Invalid, "not that of a plain file"},
		"dots within":            {renamed("rigs/../x"), store.Invalid, "not that of a plain file"},
		"no name":                {renamed(""), store.Invalid, "not that of a plain file"},
		"a folder":               {extra("rigs/x/"), store.Invalid, "not that of a plain file"},
		"a name not in UTF-8":    {extra("rigs/\xff.toml"), store.Invalid, "not that of a plain file"},
		"a link": {func(_ testing.TB, a archive) archive {
			a[1].header = func(h *zip.FileHeader) { h.SetMode(fs.ModeSymlink) }
			return a
		}, store.Invalid, "not that of a plain file"},
		"a parent from nowhere": {manifest(func(m *backup.Manifest) { m.Rigs[0].Revisions[1].Parent = 2 }), store.Invalid, "not sound: Rig \"Bench mule"},
		"an ID met twice":       {manifest(func(m *backup.Manifest) { m.Rigs[1].Revisions[0].ID = id("b") }), store.Invalid, "met twice"},
		"a text of another's":   {manifest(func(m *backup.Manifest) { m.Rigs[1].ID = id("a") }), store.Invalid, "met twice"},
		"a revision of more than is kept": {func(t testing.TB, a archive) archive {
			t.Helper()
			for i := range a {
				if a[i].name == first {
					a[i].content = strings.Repeat("x", store.MaxText+1)
				}
			}
			return a
		}, store.TooLarge, "larger than it may be"},
		"a bomb": {func(_ testing.TB, a archive) archive {
			return append(a, file{name: "rigs/bomb.toml", claim: backup.MaxTotal})
		}, store.TooLarge, "unpacks to more"},
	}
	for name, c := range tests {
		t.Run(name, func(t *testing.T) {
			s, err := read(c.change(t, unpacked(t, written(t, invented()))).packed(t))
			if s != nil || store.CodeOf(err) != c.code || !strings.Contains(err.Error(), c.says) {
				t.Fatalf("got %v, want code %q and %q", err, c.code, c.says)
			}
			if store.Tell(err).Remedy == "" {
				t.Error("the person is not told what to do")
			}
		})
	}
}

// A file that claims to be small and unpacks to much: the claim is set by hand
// in the central directory.
func TestFileThatLiesAboutItsSizeIsRefused(t *testing.T) {
	b := unpacked(t, written(t, invented())).packed(t)
	at := bytes.LastIndex(b, []byte("PK\x01\x02"))
	if at < 0 {
		t.Fatal("no central directory")
	}
	for name, claim := range map[string]byte{"smaller": 1, "larger": 0xff} {
		lying := bytes.Clone(b)
		lying[at+24] = claim // the lowest byte of the uncompressed size
		if _, err := read(lying); store.CodeOf(err) != store.Invalid {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func TestCutOffBackupsAreRefused(t *testing.T) {
	b := written(t, invented())
	for n := 0; n < len(b); n += 97 {
		if _, err := read(b[:n]); store.CodeOf(err) != store.Invalid {
			t.Fatalf("cut after %d bytes: got %v", n, err)
		}
	}
}

func TestWriteRefusesWhatReadWould(t *testing.T) {
	s := invented()
	text := strings.Repeat("x", store.MaxText)
	for range backup.MaxTotal/store.MaxText + 1 {
		s.Rigs[0].Revisions = append(s.Rigs[0].Revisions, store.Revision{Draft: store.Draft{Text: text}})
	}
	if err := backup.Write(io.Discard, s); store.CodeOf(err) != store.TooLarge {
		t.Errorf("got %v", err)
	}
}

// What can be read can be written, and is the same again.
func readable(t *testing.T, b []byte) {
	t.Helper()
	s, err := read(b)
	if err != nil {
		if c := store.CodeOf(err); c != store.Invalid && c != store.TooLarge && c != store.Newer {
			t.Fatalf("code %q: %v", c, err)
		}
		return
	}
	again, err := read(written(t, s))
	if err != nil {
		t.Fatalf("written again, it cannot be read: %v", err)
	}
	first, err1 := json.Marshal(s)
	second, err2 := json.Marshal(again)
	if err1 != nil || err2 != nil || !bytes.Equal(first, second) {
		t.Fatalf("written again, it is another:\n%s\n%s", first, second)
	}
}

func FuzzRead(f *testing.F) {
	s := invented()
	s.Rigs = s.Rigs[:1] // the other holds a text of a megabyte, which is slow
	b := written(f, s)
	f.Add(b)
	f.Add(b[:len(b)/2])
	f.Add(unpacked(f, b).without("manifest.json").packed(f))
	f.Fuzz(readable)
}

func FuzzManifest(f *testing.F) {
	s := invented()
	s.Rigs = s.Rigs[:1]
	a := unpacked(f, written(f, s))
	f.Add(a[len(a)-1].content)
	f.Add(`{"format":"evenlock backup","version":1,"taken":"0001-01-01T00:00:00Z","rigs":[]}`)
	f.Fuzz(func(t *testing.T, manifest string) {
		changed := append(archive{}, a...)
		changed[len(a)-1].content = manifest
		readable(t, changed.packed(t))
	})
}
