package safefile_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"evenlock/internal/safefile"
)

// A limit on the size of files stands in for a full disk: the write stops half way.
func TestCreateThatFailsHalfWayLeavesNothing(t *testing.T) {
	folder := t.TempDir()
	var old syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &old); err != nil {
		t.Skip(err)
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 1000, Max: old.Max}); err != nil {
		t.Skip(err)
	}
	err := safefile.Create(filepath.Join(folder, "rig.toml"), make([]byte, 5000))
	if e := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &old); e != nil {
		t.Fatal(e)
	}
	if !errors.Is(err, syscall.EFBIG) || !strings.Contains(err.Error(), "rig.toml was not written") {
		t.Errorf("the error is %v", err)
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != 0 {
		t.Errorf("it left %v behind", entries)
	}
}
