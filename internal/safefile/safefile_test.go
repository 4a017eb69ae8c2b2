package safefile_test

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"evenlock/internal/safefile"
)

// onlyFile fails unless a folder holds one file of that name and content.
func onlyFile(t *testing.T, path string, want []byte) {
	t.Helper()
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s holds %d bytes, want %d", path, len(got), len(want))
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != 1 {
		t.Errorf("the folder holds %v, want the one file", entries)
	}
}

func TestCreateWritesTheWholeFileAndNothingBesideIt(t *testing.T) {
	for _, data := range [][]byte{nil, []byte("one line\n"), bytes.Repeat([]byte("x"), 3<<20)} {
		path := filepath.Join(t.TempDir(), "rig.toml")
		if err := safefile.Create(path, data); err != nil {
			t.Fatal(err)
		}
		onlyFile(t, path, data)
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm() != 0o644 {
			t.Errorf("the file's mode is %v, want one that others can read", info.Mode())
		}
	}
}

func TestCreateLeavesAFileThatIsThereAsItIs(t *testing.T) {
	path := filepath.Join(t.TempDir(), "rig.toml")
	old := []byte("measured all evening\n")
	if err := os.WriteFile(path, old, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := safefile.Create(path, []byte("new")); !errors.Is(err, fs.ErrExist) {
		t.Errorf("the error is %v, want fs.ErrExist", err)
	}
	onlyFile(t, path, old)
}

func TestCreateDoesNotWriteThroughALink(t *testing.T) {
	path := filepath.Join(t.TempDir(), "rig.toml")
	if err := os.Symlink(filepath.Join(t.TempDir(), "not there"), path); err != nil {
		t.Skip(err)
	}
	if err := safefile.Create(path, []byte("new")); !errors.Is(err, fs.ErrExist) {
		t.Errorf("the error is %v, want fs.ErrExist", err)
	}
}

func TestCreateNamesTheFolderThatCannotBeWrittenTo(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "a-file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, parent := range []string{filepath.Join(folder, "not-there"), file} {
		err := safefile.Create(filepath.Join(parent, "rig.toml"), []byte("new"))
		if err == nil {
			t.Fatalf("a file was written in %s", parent)
		}
		for _, want := range []string{"rig.toml was not written", parent, "name a file in another folder"} {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("the error is %q, which lacks %q", err, want)
			}
		}
		if strings.Contains(err.Error(), ".evenlock-") {
			t.Errorf("the error %q names a file that nobody asked for", err)
		}
	}
}

// Of many that write the same file at once one does, and its text is whole.
func TestCreateOfOneFileByManyIsOne(t *testing.T) {
	path := filepath.Join(t.TempDir(), "rig.toml")
	const n = 16
	errs := make([]error, n)
	text := func(i int) []byte { return bytes.Repeat([]byte{byte('a' + i)}, 100_000) }
	var all sync.WaitGroup
	for i := range n {
		all.Go(func() { errs[i] = safefile.Create(path, text(i)) })
	}
	all.Wait()
	winner := -1
	for i, err := range errs {
		switch {
		case err == nil && winner < 0:
			winner = i
		case err == nil:
			t.Errorf("both %d and %d wrote the file", winner, i)
		case !errors.Is(err, fs.ErrExist):
			t.Error(err)
		}
	}
	if winner < 0 {
		t.Fatal("none wrote the file")
	}
	onlyFile(t, path, text(winner))
}

func TestReplaceLeavesTheOldOneWholeWhereItFails(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "kept")
	for _, content := range []string{"one", "two"} {
		if err := safefile.Replace(path, []byte(content)); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(path); err != nil || string(got) != content {
			t.Fatalf("it holds %q (%v), want %q", got, err, content)
		}
	}
	// A folder in its place cannot be replaced by a file.
	taken := filepath.Join(folder, "taken")
	if err := os.MkdirAll(filepath.Join(taken, "inside"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := safefile.Replace(taken, []byte("new")); err == nil {
		t.Error("it replaced a folder")
	}
	left, err := os.ReadDir(folder)
	if err != nil || len(left) != 2 {
		t.Errorf("it left %v behind (%v)", left, err)
	}
}
