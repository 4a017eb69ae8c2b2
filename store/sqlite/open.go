// Package sqlite keeps rigs in one SQLite database file in a folder of the
// person's own. It fulfils [store.Store]; open it with [Open].
//
// The database is in write-ahead mode with full synchronisation: a save that
// was confirmed survives a kill and, as far as the disk itself keeps its
// promises, a power cut. Any number of programs may use one folder at once, on
// one computer. The folder must be on a local disk: write-ahead mode needs
// memory that all its users share.
//
// A copy of the folder made while a program has it open may be torn; package
// [evenlock/store/backup] writes a proper copy.
package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"evenlock/store"
)

// FileName is the name of the database in its folder. SQLite keeps two more
// files beside it while it is open: do not delete them.
const FileName = "evenlock.db"

// applicationID marks the file as ours in SQLite's header: "EvLk".
const applicationID = 0x45764c6b

// patience is how long a write waits for another program's write.
const patience = 10 * time.Second

//go:embed migrations/*.sql
var migrationFiles embed.FS

// Store is a [store.Store] in a SQLite database.
type Store struct {
	db *sql.DB

	mu sync.Mutex
	// stirred is closed, and replaced, when this Store has changed something.
	stirred chan struct{}
}

var _ store.Store = (*Store)(nil)

// DefaultDir returns the folder where the system wants a program's data for the
// current user: below $XDG_DATA_HOME or ~/.local/share, on a Mac below
// ~/Library/Application Support, on Windows below %LocalAppData%.
func DefaultDir() (string, error) {
	var parent string
	switch runtime.GOOS {
	case "windows":
		parent = os.Getenv("LocalAppData")
	case "darwin":
	default:
		parent = os.Getenv("XDG_DATA_HOME")
	}
	if !filepath.IsAbs(parent) {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", &store.Error{
				Code: store.Unavailable, Message: "There is no home folder to keep rigs in.",
				Remedy: "Name a folder for them.", Err: err,
			}
		}
		switch runtime.GOOS {
		case "windows":
			parent = filepath.Join(home, "AppData", "Local")
		case "darwin":
			parent = filepath.Join(home, "Library", "Application Support")
		default:
			parent = filepath.Join(home, ".local", "share")
		}
	}
	return filepath.Join(parent, "evenlock"), nil
}

// Open opens the rigs kept in a folder, making the folder and the database if
// they are not there: for this user only. An older database is brought up to
// date. Errors are [*store.Error] of the codes Unavailable, Newer (a newer
// evenlock has written there; nothing is touched), Damaged, Full and Busy.
func Open(ctx context.Context, dir string) (*Store, error) {
	return open(ctx, dir, patience)
}

// open is Open with what only tests change.
func open(ctx context.Context, dir string, wait time.Duration, pragmas ...string) (*Store, error) {
	path, err := filepath.Abs(filepath.Join(dir, FileName))
	if err != nil {
		return nil, unavailable(dir, err)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil { //nolint:gosec // G703: the folder is the person's to name
		return nil, unavailable(dir, err)
	}
	// SQLite would make the file readable by others; its two further files
	// take their permissions from this one.
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600) //nolint:gosec // G703: as above
	if err != nil {
		return nil, unavailable(dir, err)
	}
	if err := f.Close(); err != nil {
		return nil, unavailable(dir, err)
	}

	query := url.Values{"_txlock": {"immediate"}, "_pragma": append([]string{
		fmt.Sprintf("busy_timeout(%d)", wait.Milliseconds()),
		"synchronous(FULL)", "foreign_keys(ON)", "trusted_schema(OFF)",
	}, pragmas...)}
	db, err := sql.Open("sqlite", (&url.URL{Scheme: "file", Path: filepath.ToSlash(path), RawQuery: query.Encode()}).String())
	if err != nil {
		return nil, explain(err)
	}
	db.SetMaxOpenConns(8)
	if err := prepare(ctx, db, path); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return &Store{db: db, stirred: make(chan struct{})}, nil
}

// prepare checks that the database is ours, whole and not from the future, and
// brings it up to date. It writes nothing before it has checked.
func prepare(ctx context.Context, db *sql.DB, path string) error {
	all, err := migrations()
	if err != nil {
		return err
	}
	version, err := examine(ctx, db, path, len(all))
	if err != nil {
		return explainAt(err, path)
	}
	// Changing to write-ahead mode needs the file alone, for which SQLite does
	// not wait by itself.
	for start := time.Now(); ; time.Sleep(10 * time.Millisecond) {
		var mode string
		err = db.QueryRowContext(ctx, "PRAGMA journal_mode = WAL").Scan(&mode)
		if !isBusy(err) || time.Since(start) > patience {
			break
		}
	}
	if err != nil {
		return explainAt(err, path)
	}
	if version < len(all) {
		return explainAt(migrate(ctx, db, all), path)
	}
	return nil
}

// examine returns the version of the database: the number of migrations that it
// has had.
func examine(ctx context.Context, db *sql.DB, path string, newest int) (int, error) {
	var id, version, tables int
	err := db.QueryRowContext(ctx, `SELECT (SELECT application_id FROM pragma_application_id),
		(SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_schema)`).Scan(&id, &version, &tables)
	switch {
	case err != nil:
		return 0, err
	case id != applicationID && (id != 0 || version != 0 || tables != 0):
		return 0, &store.Error{
			Code: store.Unavailable, Message: fmt.Sprintf("%s was not written by evenlock.", path),
			Remedy: "Name another folder to keep rigs in.",
		}
	case version > newest:
		return 0, &store.Error{
			Code:    store.Newer,
			Message: fmt.Sprintf("%s was written by a newer evenlock (version %d; this one knows up to %d).", path, version, newest),
			Remedy:  "Use that newer evenlock. Nothing was changed.",
		}
	}
	var found string
	if err := db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&found); err != nil {
		return 0, err
	}
	if found != "ok" {
		return 0, damaged(path, errors.New(found))
	}
	return version, nil
}

// migrations returns the text of all migrations in order.
func migrations() ([]string, error) {
	names, err := fs.Glob(migrationFiles, "migrations/*.sql") // sorted
	if err != nil {
		return nil, err
	}
	var all []string
	for _, name := range names {
		text, err := migrationFiles.ReadFile(name)
		if err != nil {
			return nil, err
		}
		all = append(all, string(text))
	}
	return all, nil
}

// migrate applies the migrations that the database lacks: all or none of them.
func migrate(ctx context.Context, db *sql.DB, all []string) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() //nolint:errcheck // does nothing after Commit; otherwise there is an error already
	// Another program may have been faster; the transaction excludes it now.
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	for i := version; i < len(all); i++ {
		if _, err := tx.ExecContext(ctx, all[i]); err != nil {
			return fmt.Errorf("migration %d: %w", i+1, err)
		}
	}
	_, err = tx.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID, max(version, len(all))))
	if err != nil {
		return err
	}
	return tx.Commit()
}

// Close lets go of the database. It must not be used afterwards.
func (s *Store) Close() error { return explain(s.db.Close()) }

func isBusy(err error) bool {
	failure, ok := errors.AsType[*sqlite.Error](err)
	return ok && failure.Code()&0xff == sqlite3.SQLITE_BUSY
}

// explain turns a failure of SQLite into one for a person.
func explain(err error) error { return explainAt(err, "") }

func explainAt(err error, path string) error {
	failure, ok := errors.AsType[*sqlite.Error](err)
	if !ok {
		return err
	}
	switch failure.Code() & 0xff {
	case sqlite3.SQLITE_FULL:
		return full(err)
	case sqlite3.SQLITE_IOERR:
		switch failure.Code() {
		// On a full disk the failing write is met in these guises as well.
		case sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_IOERR_FSYNC:
			return full(err)
		}
		return unavailable(path, err)
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return &store.Error{
			Code: store.Busy, Message: "Another program is busy with the kept rigs.",
			Remedy: "Nothing was saved. Try again; if it stays so, close the other program.", Err: err,
		}
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return damaged(path, err)
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH:
		return unavailable(path, err)
	}
	return err
}

func full(err error) error {
	return &store.Error{
		Code: store.Full, Message: "The disk that rigs are kept on is full or cannot be written to.",
		Remedy: "Nothing was saved; what was saved before is still kept. Make room and save again.", Err: err,
	}
}

func damaged(path string, err error) error {
	if path == "" {
		path = "The file that rigs are kept in"
	}
	return &store.Error{
		Code: store.Damaged, Message: path + " is damaged.",
		Remedy: "Keep a copy of its folder as it is, then move it away and restore your last backup.", Err: err,
	}
}

func unavailable(dir string, err error) error {
	if dir == "" {
		dir = "The folder that rigs are kept in"
	}
	return &store.Error{
		Code: store.Unavailable, Message: dir + " cannot be opened or written to.",
		Remedy: "Check that it is there and yours, or name another folder.", Err: err,
	}
}
