// Package safefile writes files so that a failure leaves what was there whole.
package safefile

import (
	"fmt"
	"os"
	"path/filepath"
)

// Create writes data to a file that must not be there yet. It is written beside its
// place, synced and then linked in, so that it is there whole or not at all.
// The error is fs.ErrExist if the file is there.
func Create(path string, data []byte) (err error) {
	if _, err := os.Lstat(path); err == nil {
		return &os.PathError{Op: "create", Path: path, Err: os.ErrExist}
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".evenlock-*")
	if err != nil {
		return fmt.Errorf("cannot write beside %s: %w", path, err)
	}
	defer func() {
		if e := os.Remove(f.Name()); err == nil && e != nil && !os.IsNotExist(e) {
			err = e
		}
	}()
	if _, err := f.Write(data); err != nil {
		return fmt.Errorf("%s was not written: %w", path, closed(f, err))
	}
	if err := f.Sync(); err != nil {
		return fmt.Errorf("%s was not written: %w", path, closed(f, err))
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("%s was not written: %w", path, err)
	}
	if err := os.Chmod(f.Name(), 0o644); err != nil {
		return err
	}
	// A link, unlike a rename, does not replace what another has written meanwhile; where there are none
	// a rename has to do.
	if err := os.Link(f.Name(), path); err != nil {
		if os.IsExist(err) {
			return err
		}
		return os.Rename(f.Name(), path)
	}
	return nil
}

// closed closes a file after a failure, which is what counts.
func closed(f *os.File, err error) error {
	_ = f.Close()
	return err
}
