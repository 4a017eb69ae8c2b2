package sqlite

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"evenlock/store"
)

func mustOpen(t testing.TB, dir string, pragmas ...string) *Store {
	t.Helper()
	s, err := open(t.Context(), dir, patience/100, pragmas...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	})
	return s
}

func wantCode(t *testing.T, err error, code store.Code) {
	t.Helper()
	if store.CodeOf(err) != code {
		t.Fatalf("got code %q (%v), want %q", store.CodeOf(err), err, code)
	}
}

// childDir makes this test binary save in a loop in the folder that it names.
const childDir = "EVENLOCK_TEST_SAVE_IN"

func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		saveForever(dir)
	}
	os.Exit(m.Run())
}

// saveForever says on standard output what is confirmed to be kept, and nothing
// that is not. It is killed from outside.
func saveForever(dir string) {
	fail := func(err error) {
		fmt.Println("failed:", err)
		os.Exit(1)
	}
	ctx := context.Background()
	s, err := Open(ctx, dir)
	if err != nil {
		fail(err)
	}
	rev, err := s.Create(ctx, store.Draft{Name: "Bench mule", Text: "n = 1"})
	if err != nil {
		fail(err)
	}
	padding := strings.Repeat("# a measured line\n", 300)
	for {
		fmt.Println(rev.Rig, rev.Number)
		rev, err = s.Save(ctx, rev.Rig, rev.Number, store.Draft{Name: "Bench mule", Text: fmt.Sprintf("n = %d\n%s", rev.Number+1, padding)})
		if err != nil {
			fail(err)
		}
	}
}

func TestKillWhileSavingLosesNothingConfirmed(t *testing.T) {
	dir := t.TempDir()
	confirmed := map[string]int{}
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	rounds := 12
	if testing.Short() {
		rounds = 4
	}
	for range rounds {
		child := exec.CommandContext(t.Context(), os.Args[0]) //nolint:gosec // G204: this test binary
		child.Env = append(os.Environ(), childDir+"="+dir)
		out, err := child.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := child.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		if !lines.Scan() {
			t.Fatal("the child said nothing")
		}
		kill := time.AfterFunc(time.Duration(random.IntN(150_000))*time.Microsecond, func() {
			if err := child.Process.Kill(); err != nil {
				t.Errorf("kill: %v", err)
			}
		})
		for more := true; more; more = lines.Scan() {
			var id string
			var number int
			if _, err := fmt.Sscan(lines.Text(), &id, &number); err != nil {
				t.Fatalf("the child said %q", lines.Text())
			}
			confirmed[id] = number
		}
		kill.Stop()
		if err := child.Wait(); err == nil {
			t.Fatal("the child ended by itself")
		}
	}

	s := mustOpen(t, dir)
	snap, err := s.Snapshot(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := snap.Check(); err != nil {
		t.Fatal(err)
	}
	total := 0
	for _, r := range snap.Rigs {
		n := confirmed[r.Rig.ID]
		total += n
		// One save more may have been kept just before the kill.
		if kept := len(r.Revisions); kept < n || kept > n+1 || r.Rig.Current != kept {
			t.Errorf("rig %s: %d revisions confirmed, %d kept, current %d", r.Rig.ID, n, kept, r.Rig.Current)
		}
		for _, v := range r.Revisions {
			if !strings.HasPrefix(v.Text, fmt.Sprintf("n = %d", v.Number)) {
				t.Errorf("revision %d says %.20q", v.Number, v.Text)
			}
		}
		delete(confirmed, r.Rig.ID)
	}
	if len(confirmed) > 0 {
		t.Errorf("rigs lost: %v", confirmed)
	}
	t.Logf("%d kills, %d confirmed saves", rounds, total)
	if total < 5*rounds {
		t.Errorf("only %d saves in all: too few to show anything", total)
	}
}

// fill saves until saving fails, and returns the last revision kept and the error.
func fill(t *testing.T, s *Store) (store.Revision, error) {
	t.Helper()
	rev, err := s.Create(t.Context(), store.Draft{Name: "Bench mule", Text: "n = 1"})
	if err != nil {
		t.Fatal(err)
	}
	for n := 2; n < 10_000; n++ {
		next, err := s.Save(t.Context(), rev.Rig, rev.Number, store.Draft{Name: "Bench mule", Text: fmt.Sprintf("n = %d\n%s", n, strings.Repeat("#\n", 10_000))})
		if err != nil {
			return rev, err
		}
		rev = next
	}
	t.Fatal("it never gets full")
	return rev, nil
}

func wantWhole(t *testing.T, s *Store, last store.Revision) {
	t.Helper()
	for n := 1; n <= last.Number; n++ {
		v, err := s.Revision(t.Context(), last.Rig, n)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(v.Text, fmt.Sprintf("n = %d", n)) {
			t.Fatalf("revision %d says %.20q", n, v.Text)
		}
	}
	rig, err := s.Rig(t.Context(), last.Rig)
	if err != nil || rig.Current != last.Number {
		t.Fatalf("current %d (%v), want %d", rig.Current, err, last.Number)
	}
}

func TestFullDatabaseLeavesWhatIsKeptWhole(t *testing.T) {
	dir := t.TempDir()
	s := mustOpen(t, dir, "max_page_count(60)")
	last, err := fill(t, s)
	wantCode(t, err, store.Full)
	if said := err.Error(); !strings.Contains(said, "full") || !strings.Contains(said, "Make room") {
		t.Errorf("the message does not say what is wrong and what to do: %q", said)
	}
	wantWhole(t, s, last)

	roomier := mustOpen(t, dir)
	wantWhole(t, roomier, last)
	if _, err := roomier.Save(t.Context(), last.Rig, last.Number, store.Draft{Name: "Bench mule", Text: "n = more"}); err != nil {
		t.Errorf("with room again: %v", err)
	}
}

func TestFullDiskLeavesWhatIsKeptWhole(t *testing.T) {
	if runtime.GOOS != "linux" || os.Getuid() != 0 {
		t.Skip("needs root on Linux, to make a small disk")
	}
	dir := t.TempDir()
	mount := exec.CommandContext(t.Context(), "mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", dir)
	if out, err := mount.CombinedOutput(); err != nil {
		t.Skipf("cannot make a small disk here: %v: %s", err, out)
	}
	defer func() {
		if out, err := exec.Command("umount", dir).CombinedOutput(); err != nil { //nolint:noctx // the test's context may be over by then
			t.Errorf("umount: %v: %s", err, out)
		}
	}()
	ballast := filepath.Join(dir, "ballast")
	if err := os.WriteFile(ballast, make([]byte, 128<<10), 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	last, err := fill(t, s)
	wantCode(t, err, store.Full)
	wantWhole(t, s, last)
	if err := s.Close(); err != nil {
		t.Errorf("Close on a full disk: %v", err)
	}

	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	s, err = Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close() //nolint:errcheck // what matters is checked before
	wantWhole(t, s, last)
	if _, err := s.Save(t.Context(), last.Rig, last.Number, store.Draft{Name: "Bench mule", Text: "n = more"}); err != nil {
		t.Errorf("with room again: %v", err)
	}
}

func TestNobodyElseCanRead(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such permissions")
	}
	dir := filepath.Join(t.TempDir(), "a", "b")
	s := mustOpen(t, dir)
	if _, err := s.Create(t.Context(), store.Draft{Name: "a", Text: "a"}); err != nil {
		t.Fatal(err)
	}
	files := 0
	err := filepath.WalkDir(filepath.Dir(dir), func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		want := fs.FileMode(0o600)
		if d.IsDir() {
			want = fs.ModeDir | 0o700
		} else {
			files++
		}
		if info.Mode() != want {
			t.Errorf("%s has mode %v, want %v", path, info.Mode(), want)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files != 3 {
		t.Errorf("%d files, want the database and its two companions", files)
	}
}

func TestManyOpenANewFolderAtOnce(t *testing.T) {
	dir := t.TempDir()
	var wg sync.WaitGroup
	for range 6 {
		wg.Go(func() {
			s, err := Open(t.Context(), dir)
			if err != nil {
				t.Error(err)
				return
			}
			if _, err := s.Create(t.Context(), store.Draft{Name: "a", Text: "a"}); err != nil {
				t.Error(err)
			}
			if err := s.Close(); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	rigs, err := mustOpen(t, dir).Rigs(t.Context())
	if err != nil || len(rigs) != 6 {
		t.Errorf("%d rigs (%v), want 6", len(rigs), err)
	}
}

// raw gives the database of a folder bare, making it if need be.
func raw(t *testing.T, dir string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", filepath.Join(dir, FileName))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() }) //nolint:errcheck // nothing depends on it
	return db
}

func execute(t *testing.T, db *sql.DB, statements string) {
	t.Helper()
	if _, err := db.ExecContext(t.Context(), statements); err != nil {
		t.Fatal(err)
	}
}

func TestOlderDatabaseIsBroughtUpToDate(t *testing.T) {
	fixtures, err := filepath.Glob("testdata/version-*.sql")
	if err != nil || len(fixtures) == 0 {
		t.Fatalf("no fixtures (%v)", err)
	}
	for _, fixture := range fixtures {
		t.Run(filepath.Base(fixture), func(t *testing.T) {
			statements, err := os.ReadFile(fixture)
			if err != nil {
				t.Fatal(err)
			}
			dir := t.TempDir()
			db := raw(t, dir)
			execute(t, db, string(statements))
			if err := db.Close(); err != nil {
				t.Fatal(err)
			}
			s := mustOpen(t, dir)
			snap, err := s.Snapshot(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			if err := snap.Check(); err != nil {
				t.Fatal(err)
			}
			var said []string
			for _, r := range snap.Rigs {
				said = append(said, fmt.Sprint(r.Rig.Name, " ", r.Rig.Current, " ", !r.Rig.Deleted.IsZero()))
				for _, v := range r.Revisions {
					said = append(said, v.Text)
				}
				if _, err := s.Note(t.Context(), r.Rig.ID, store.EntryDraft{Kind: store.KindDone, Revision: 1, Step: "square"}); err != nil {
					t.Error(err)
				}
			}
			want := []string{"Bench mule 2 false", "a = 1\n", "a = 2\n", "Shed truck 1 true", "b = 1\n"}
			if !slices.Equal(said, want) {
				t.Errorf("kept %q, want %q", said, want)
			}
		})
	}
}

func TestFailedMigrationChangesNothing(t *testing.T) {
	dir := t.TempDir()
	db := raw(t, dir)
	all, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	broken := append(slices.Clone(all[:1]), all[1], "CREATE TABLE more (a); CREATE TABLE rig (b);")
	if err := migrate(t.Context(), db, broken); err == nil {
		t.Fatal("no error")
	}
	var tables int
	if err := db.QueryRowContext(t.Context(), "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil || tables != 0 {
		t.Errorf("%d tables were left (%v)", tables, err)
	}
}

func TestOpenRefuses(t *testing.T) {
	tests := map[string]struct {
		prepare func(t *testing.T, dir string)
		code    store.Code
		says    string
	}{
		"a newer database": {func(t *testing.T, dir string) {
			t.Helper()
			mustOpen(t, dir)
			execute(t, raw(t, dir), "PRAGMA user_version = 99")
		}, store.Newer, "version 99"},
		"another program's database": {func(t *testing.T, dir string) {
			t.Helper()
			execute(t, raw(t, dir), "CREATE TABLE stamps (a)")
		}, store.Unavailable, "not written by evenlock"},
		"another program's database that says so": {func(t *testing.T, dir string) {
			t.Helper()
			execute(t, raw(t, dir), "PRAGMA application_id = 7")
		}, store.Unavailable, "not written by evenlock"},
		"what is no database": {func(t *testing.T, dir string) {
			t.Helper()
			if err := os.WriteFile(filepath.Join(dir, FileName), []byte(strings.Repeat("Dear diary, ", 1000)), 0o600); err != nil {
				t.Fatal(err)
			}
		}, store.Damaged, "is damaged"},
		"a database with pages overwritten": {func(t *testing.T, dir string) {
			t.Helper()
			s, err := Open(t.Context(), dir)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := s.Create(t.Context(), store.Draft{Name: "a", Text: strings.Repeat("a", 50_000)}); err != nil {
				t.Fatal(err)
			}
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(dir, FileName)
			content, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			for i := 4096; i < len(content); i += 512 {
				copy(content[i:], "scratched")
			}
			if err := os.WriteFile(path, content, 0o600); err != nil { //nolint:gosec // G703: a folder of this test's
				t.Fatal(err)
			}
		}, store.Damaged, "is damaged"},
		"a folder in the file's place": {func(t *testing.T, dir string) {
			t.Helper()
			if err := os.Mkdir(filepath.Join(dir, FileName), 0o700); err != nil {
				t.Fatal(err)
			}
		}, store.Unavailable, "cannot be opened"},
	}
	for name, c := range tests {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			c.prepare(t, dir)
			path := filepath.Join(dir, FileName)
			before, readErr := os.ReadFile(path)
			s, err := Open(t.Context(), dir)
			if err == nil {
				t.Fatal(errors.Join(errors.New("opened"), s.Close()))
			}
			wantCode(t, err, c.code)
			if said := store.Tell(err); !strings.Contains(said.Message, c.says) || !strings.Contains(said.Message, path) && !strings.Contains(said.Message, dir) || said.Remedy == "" {
				t.Errorf("the message does not say where, what and what to do: %q %q", said.Message, said.Remedy)
			}
			after, _ := os.ReadFile(path)
			if readErr == nil && !bytes.Equal(before, after) {
				t.Error("the file was changed")
			}
		})
	}
	t.Run("a file in the folder's place", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "file")
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := Open(t.Context(), path)
		wantCode(t, err, store.Unavailable)
	})
}

func TestFolderNamesThatLookLikeSomethingElse(t *testing.T) {
	for _, name := range []string{"a b", "100%", "what?mode=memory", "hash#tag", "ümlaut", "a;b&c=d"} {
		if runtime.GOOS == "windows" && strings.Contains(name, "?") {
			continue
		}
		dir := filepath.Join(t.TempDir(), name)
		s := mustOpen(t, dir)
		if _, err := s.Create(t.Context(), store.Draft{Name: "a", Text: "a"}); err != nil {
			t.Error(err)
		}
		if info, err := os.Stat(filepath.Join(dir, FileName)); err != nil || info.Size() == 0 {
			t.Errorf("%q: nothing was kept there (%v)", name, err)
		}
	}
}

func TestDefaultDirIsTheSystems(t *testing.T) {
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		t.Skip("the rules tested are those of the XDG base directory specification")
	}
	home := t.TempDir()
	t.Setenv("HOME", home)
	for data, want := range map[string]string{
		"/srv/data": "/srv/data/evenlock",
		"":          filepath.Join(home, ".local", "share", "evenlock"),
		// The specification: a relative path is to be ignored.
		"relative": filepath.Join(home, ".local", "share", "evenlock"),
	} {
		t.Setenv("XDG_DATA_HOME", data)
		if got, err := DefaultDir(); err != nil || got != want {
			t.Errorf("with %q: %q (%v), want %q", data, got, err, want)
		}
	}
}

func TestBusyDatabaseIsSaidToBeBusy(t *testing.T) {
	dir := t.TempDir()
	s := mustOpen(t, dir)
	db := raw(t, dir)
	conn, err := db.Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close() //nolint:errcheck // nothing depends on it
	if _, err := conn.ExecContext(t.Context(), "BEGIN IMMEDIATE"); err != nil {
		t.Fatal(err)
	}
	_, err = s.Create(t.Context(), store.Draft{Name: "a", Text: "a"})
	wantCode(t, err, store.Busy)
	if _, err := s.Rigs(t.Context()); err != nil {
		t.Errorf("reading while another program writes: %v", err)
	}
}

func BenchmarkSave(b *testing.B) {
	s := mustOpen(b, b.TempDir())
	rev, err := s.Create(b.Context(), store.Draft{Name: "Bench mule", Text: "start"})
	if err != nil {
		b.Fatal(err)
	}
	padding := strings.Repeat("# a measured line\n", 300)
	for i := 0; b.Loop(); i++ {
		rev, err = s.Save(b.Context(), rev.Rig, rev.Number, store.Draft{Name: "Bench mule", Text: fmt.Sprint(i, padding)})
		if err != nil {
			b.Fatal(err)
		}
	}
}
