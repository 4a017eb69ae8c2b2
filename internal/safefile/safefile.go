// Package safefile writes files so that a failure leaves what was there whole.
package safefile

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// Create writes data to a file that must not be there yet. It is written beside its
// place, synced and then linked in, so that it is there whole or not at all.
// The error is fs.ErrExist if the file is there.
func Create(path string, data []byte) error {
	if _, err := os.Lstat(path); err == nil {
		return &os.PathError{Op: "create", Path: path, Err: os.ErrExist}
	}
	// A link, unlike a rename, does not replace what another has written meanwhile; where there are
	// none a rename has to do.
	return place(path, data, func(beside string) error {
		if err := os.Link(beside, path); err == nil || os.IsExist(err) {
			return err
		}
		return os.Rename(beside, path)
	})
}

// Replace writes data to a file that may be there: what was there stays whole until the new one is.
func Replace(path string, data []byte) error {
	return place(path, data, func(beside string) error { return os.Rename(beside, path) })
}

// place writes data beside a path, synced, and has it put there.
func place(path string, data []byte, put func(beside string) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".evenlock-*")
	if err != nil {
		return fmt.Errorf("%s was not written: its folder %s cannot be written to (%w); name a file in another folder, or make that one",
			path, filepath.Dir(path), cause(err))
	}
	defer func() {
		if e := os.Remove(f.Name()); err == nil && e != nil && !os.IsNotExist(e) {
			err = e
		}
	}()
	if _, err := f.Write(data); err != nil {
		return fmt.Errorf("%s was not written: %w", path, cause(closed(f, err)))
	}
	if err := f.Sync(); err != nil {
		return fmt.Errorf("%s was not written: %w", path, cause(closed(f, err)))
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("%s was not written: %w", path, cause(err))
	}
	if err := os.Chmod(f.Name(), 0o644); err != nil {
		return fmt.Errorf("%s was not written: %w", path, cause(err))
	}
	return put(f.Name())
}

// cause takes the name of the file for the meantime out of an error.
func cause(err error) error {
	var at *os.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	return err
}

// closed closes a file after a failure, which is what counts.
func closed(f *os.File, err error) error {
	_ = f.Close()
	return err
}
