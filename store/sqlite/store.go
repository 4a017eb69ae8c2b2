package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"evenlock/store"
)

// timeFormat sorts as text.
const timeFormat = "2006-01-02T15:04:05.000Z"

func now() time.Time { return time.Now().UTC().Truncate(time.Millisecond) }

// querier is what a database and a transaction have in common.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

type scanner interface{ Scan(dest ...any) error }

// rows collects what a query finds.
func rows[T any](ctx context.Context, q querier, scan func(scanner) (T, error), query string, args ...any) (_ []T, err error) {
	found, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, found.Close()) }()
	all := []T{}
	for found.Next() {
		one, err := scan(found)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, found.Err()
}

const selectRig = `SELECT rig.id, rig.current, rig.created, coalesce(rig.deleted, ''), revision.name, revision.saved
	FROM rig JOIN revision ON revision.rig = rig.id AND revision.number = rig.current`

func scanRig(row scanner) (store.Rig, error) {
	var r store.Rig
	var created, deleted, changed string
	if err := row.Scan(&r.ID, &r.Current, &created, &deleted, &r.Name, &changed); err != nil {
		return r, err
	}
	var errDeleted error
	if deleted != "" {
		r.Deleted, errDeleted = time.Parse(timeFormat, deleted)
	}
	var errCreated, errChanged error
	r.Created, errCreated = time.Parse(timeFormat, created)
	r.Changed, errChanged = time.Parse(timeFormat, changed)
	return r, errors.Join(errDeleted, errCreated, errChanged)
}

const (
	selectRevision = `SELECT rig, number, id, parent, saved, name, note, by, text FROM revision`
	listRevision   = `SELECT rig, number, id, parent, saved, name, note, by, '' FROM revision`
)

func scanRevision(row scanner) (store.Revision, error) {
	var r store.Revision
	var saved string
	err := row.Scan(&r.Rig, &r.Number, &r.ID, &r.Parent, &saved, &r.Name, &r.Note, &r.By, &r.Text)
	if err != nil {
		return r, err
	}
	r.Saved, err = time.Parse(timeFormat, saved)
	return r, err
}

const selectEntry = `SELECT id, rig, written, kind, revision, step, target, text, by FROM entry`

func scanEntry(row scanner) (store.Entry, error) {
	var e store.Entry
	var written string
	err := row.Scan(&e.ID, &e.Rig, &written, &e.Kind, &e.Revision, &e.Step, &e.Target, &e.Text, &e.By)
	if err != nil {
		return e, err
	}
	e.Written, err = time.Parse(timeFormat, written)
	return e, err
}

func getRig(ctx context.Context, q querier, id string) (store.Rig, error) {
	r, err := scanRig(q.QueryRowContext(ctx, selectRig+" WHERE rig.id = ?", id))
	if errors.Is(err, sql.ErrNoRows) {
		return r, store.NoRig(id)
	}
	return r, err
}

func getRevision(ctx context.Context, q querier, id string, number int) (store.Revision, error) {
	r, err := scanRevision(q.QueryRowContext(ctx, selectRevision+" WHERE rig = ? AND number = ?", id, number))
	if errors.Is(err, sql.ErrNoRows) {
		return r, store.NoRevision(number)
	}
	return r, err
}

func putRevision(ctx context.Context, tx *sql.Tx, r store.Revision) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO revision (rig, number, id, parent, saved, name, note, by, text)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		r.Rig, r.Number, r.ID, r.Parent, r.Saved.UTC().Format(timeFormat), r.Name, r.Note, r.By, r.Text)
	return err
}

func putRig(ctx context.Context, tx *sql.Tx, r store.Rig) error {
	var deleted any
	if !r.Deleted.IsZero() {
		deleted = r.Deleted.UTC().Format(timeFormat)
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO rig (id, current, created, deleted) VALUES (?, ?, ?, ?)
		ON CONFLICT (id) DO UPDATE SET current = excluded.current, deleted = excluded.deleted`,
		r.ID, r.Current, r.Created.UTC().Format(timeFormat), deleted)
	return err
}

func putEntry(ctx context.Context, tx *sql.Tx, e store.Entry) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO entry (id, rig, written, kind, revision, step, target, text, by)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		e.ID, e.Rig, e.Written.UTC().Format(timeFormat), e.Kind, e.Revision, e.Step, e.Target, e.Text, e.By)
	return err
}

// logged notes a change for those who watch. The log is short: who falls far
// behind looks at everything anyway.
func logged(ctx context.Context, tx *sql.Tx, c store.Change) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO change (what, rig, revision) VALUES (?, ?, ?)`, c.What, c.Rig, c.Revision)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `DELETE FROM change WHERE seq <= (SELECT max(seq) FROM change) - 1000`)
	return err
}

// write runs work in a transaction that excludes all other writers. If work
// returns a change, it is logged and the watchers are told.
func (s *Store) write(ctx context.Context, work func(tx *sql.Tx) (*store.Change, error)) error {
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return explain(err)
	}
	defer tx.Rollback() //nolint:errcheck // does nothing after Commit; otherwise there is an error already
	change, err := work(tx)
	if err != nil {
		return explain(err)
	}
	if change == nil {
		return nil
	}
	if err := logged(ctx, tx, *change); err != nil {
		return explain(err)
	}
	if err := tx.Commit(); err != nil {
		return explain(err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	close(s.stirred)
	s.stirred = make(chan struct{})
	return nil
}

// Rigs implements [store.Store].
func (s *Store) Rigs(ctx context.Context) ([]store.Rig, error) {
	all, err := rows(ctx, s.db, scanRig, selectRig+" ORDER BY revision.saved DESC, rig.id")
	return all, explain(err)
}

// Rig implements [store.Store].
func (s *Store) Rig(ctx context.Context, id string) (store.Rig, error) {
	r, err := getRig(ctx, s.db, id)
	return r, explain(err)
}

// Create implements [store.Store].
func (s *Store) Create(ctx context.Context, d store.Draft) (store.Revision, error) {
	if err := d.Check(); err != nil {
		return store.Revision{}, err
	}
	rev := store.Revision{ID: store.NewID(), Rig: store.NewID(), Number: 1, Saved: now(), Draft: d}
	err := s.write(ctx, func(tx *sql.Tx) (*store.Change, error) {
		if err := putRig(ctx, tx, store.Rig{ID: rev.Rig, Current: 1, Created: rev.Saved}); err != nil {
			return nil, err
		}
		return &store.Change{What: store.RigCreated, Rig: rev.Rig, Revision: 1}, putRevision(ctx, tx, rev)
	})
	if err != nil {
		return store.Revision{}, err
	}
	return rev, nil
}

// Save implements [store.Store].
func (s *Store) Save(ctx context.Context, id string, parent int, d store.Draft) (store.Revision, error) {
	if err := d.Check(); err != nil {
		return store.Revision{}, err
	}
	var rev store.Revision
	err := s.write(ctx, func(tx *sql.Tx) (*store.Change, error) {
		rig, err := getRig(ctx, tx, id)
		if err != nil {
			return nil, err
		}
		if !rig.Deleted.IsZero() {
			return nil, store.SaveToDeleted(rig.Name)
		}
		current, err := getRevision(ctx, tx, id, rig.Current)
		if err != nil {
			return nil, err
		}
		if current.Says(d) {
			rev = current
			return nil, nil
		}
		if parent != rig.Current {
			return nil, &store.ConflictError{Newer: current}
		}
		rev = store.Revision{ID: store.NewID(), Rig: id, Parent: parent, Saved: now(), Draft: d}
		err = tx.QueryRowContext(ctx, `SELECT max(number) + 1 FROM revision WHERE rig = ?`, id).Scan(&rev.Number)
		if err != nil {
			return nil, err
		}
		if err := putRevision(ctx, tx, rev); err != nil {
			return nil, err
		}
		rig.Current = rev.Number
		return &store.Change{What: store.RigSaved, Rig: id, Revision: rev.Number}, putRig(ctx, tx, rig)
	})
	if err != nil {
		return store.Revision{}, err
	}
	return rev, nil
}

// Revisions implements [store.Store].
func (s *Store) Revisions(ctx context.Context, id string) ([]store.Revision, error) {
	all, err := rows(ctx, s.db, scanRevision, listRevision+" WHERE rig = ? ORDER BY number DESC", id)
	if err == nil && len(all) == 0 {
		err = store.NoRig(id)
	}
	return all, explain(err)
}

// Revision implements [store.Store].
func (s *Store) Revision(ctx context.Context, id string, number int) (store.Revision, error) {
	if _, err := s.Rig(ctx, id); err != nil {
		return store.Revision{}, err
	}
	r, err := getRevision(ctx, s.db, id, number)
	return r, explain(err)
}

// Delete implements [store.Store].
func (s *Store) Delete(ctx context.Context, id string) error {
	return s.mark(ctx, id, store.RigDeleted, now())
}

// Undelete implements [store.Store].
func (s *Store) Undelete(ctx context.Context, id string) error {
	return s.mark(ctx, id, store.RigUndeleted, time.Time{})
}

func (s *Store) mark(ctx context.Context, id string, what store.What, deleted time.Time) error {
	return s.write(ctx, func(tx *sql.Tx) (*store.Change, error) {
		rig, err := getRig(ctx, tx, id)
		if err != nil || rig.Deleted.IsZero() == deleted.IsZero() {
			return nil, err
		}
		rig.Deleted = deleted
		return &store.Change{What: what, Rig: id, Revision: rig.Current}, putRig(ctx, tx, rig)
	})
}

// Purge implements [store.Store].
func (s *Store) Purge(ctx context.Context, id string) error {
	return s.write(ctx, func(tx *sql.Tx) (*store.Change, error) {
		rig, err := getRig(ctx, tx, id)
		if err != nil {
			return nil, err
		}
		if rig.Deleted.IsZero() {
			return nil, store.PurgeOfKept(rig.Name)
		}
		_, err = tx.ExecContext(ctx, `DELETE FROM rig WHERE id = ?`, id)
		return &store.Change{What: store.RigPurged, Rig: id}, err
	})
}

// Note implements [store.Store].
func (s *Store) Note(ctx context.Context, id string, d store.EntryDraft) (store.Entry, error) {
	if err := d.Check(); err != nil {
		return store.Entry{}, err
	}
	e := store.Entry{ID: store.NewID(), Rig: id, Written: now(), EntryDraft: d}
	err := s.write(ctx, func(tx *sql.Tx) (*store.Change, error) {
		rig, err := getRig(ctx, tx, id)
		if err != nil {
			return nil, err
		}
		if _, err := getRevision(ctx, tx, id, d.Revision); err != nil {
			return nil, err
		}
		if d.Kind == store.KindStrike {
			var found int
			err := tx.QueryRowContext(ctx, `SELECT count(*) FROM entry WHERE id = ? AND rig = ? AND kind = ?`,
				d.Target, id, store.KindNote).Scan(&found)
			if err != nil {
				return nil, err
			}
			if found == 0 {
				return nil, store.NoNote()
			}
		}
		return &store.Change{What: store.RigNoted, Rig: id, Revision: rig.Current}, putEntry(ctx, tx, e)
	})
	if err != nil {
		return store.Entry{}, err
	}
	return e, nil
}

const entryOrder = " WHERE rig = ? ORDER BY written, rowid"

// Journal implements [store.Store].
func (s *Store) Journal(ctx context.Context, id string) ([]store.Entry, error) {
	if _, err := s.Rig(ctx, id); err != nil {
		return nil, err
	}
	all, err := rows(ctx, s.db, scanEntry, selectEntry+entryOrder, id)
	return all, explain(err)
}

// Settings implements [store.Store].
func (s *Store) Settings(ctx context.Context) (map[string]string, error) {
	all, err := settings(ctx, s.db)
	return all, explain(err)
}

func settings(ctx context.Context, q querier) (map[string]string, error) {
	pairs, err := rows(ctx, q, func(row scanner) (p [2]string, err error) {
		return p, row.Scan(&p[0], &p[1])
	}, `SELECT key, value FROM setting`)
	all := map[string]string{}
	for _, p := range pairs {
		all[p[0]] = p[1]
	}
	return all, err
}

// Set implements [store.Store].
func (s *Store) Set(ctx context.Context, key, value string) error {
	if err := store.CheckSetting(key, value); err != nil {
		return err
	}
	return s.write(ctx, func(tx *sql.Tx) (*store.Change, error) {
		var err error
		if value == "" {
			_, err = tx.ExecContext(ctx, `DELETE FROM setting WHERE key = ?`, key)
		} else {
			_, err = tx.ExecContext(ctx, `INSERT INTO setting (key, value) VALUES (?, ?)
				ON CONFLICT (key) DO UPDATE SET value = excluded.value`, key, value)
		}
		return &store.Change{What: store.SettingSet}, err
	})
}

// Snapshot implements [store.Store].
func (s *Store) Snapshot(ctx context.Context) (*store.Snapshot, error) {
	// A reading transaction sees one moment, and holds nobody up.
	tx, err := s.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return nil, explain(err)
	}
	defer tx.Rollback() //nolint:errcheck // nothing was written
	snap := &store.Snapshot{Taken: now()}
	rigs, err := rows(ctx, tx, scanRig, selectRig+" ORDER BY rig.id")
	if err != nil {
		return nil, explain(err)
	}
	for _, r := range rigs {
		one, err := snapshotRig(ctx, tx, r)
		if err != nil {
			return nil, explain(err)
		}
		snap.Rigs = append(snap.Rigs, one)
	}
	snap.Settings, err = settings(ctx, tx)
	return snap, explain(err)
}

func snapshotRig(ctx context.Context, q querier, rig store.Rig) (one store.RigSnapshot, err error) {
	one.Rig = rig
	one.Revisions, err = rows(ctx, q, scanRevision, selectRevision+" WHERE rig = ? ORDER BY number", rig.ID)
	if err != nil {
		return one, err
	}
	one.Journal, err = rows(ctx, q, scanEntry, selectEntry+entryOrder, rig.ID)
	return one, err
}

// Merge implements [store.Store].
func (s *Store) Merge(ctx context.Context, in *store.Snapshot) (store.MergeReport, error) {
	if err := in.Check(); err != nil {
		return store.MergeReport{}, err
	}
	report := store.MergeReport{Rigs: []store.MergedRig{}}
	err := s.write(ctx, func(tx *sql.Tx) (*store.Change, error) {
		for _, r := range in.Rigs {
			m, err := mergeRig(ctx, tx, r)
			if err != nil {
				return nil, err
			}
			if told, ok := m.Report(); ok {
				report.Rigs = append(report.Rigs, told)
			}
		}
		for key, value := range in.Settings {
			done, err := tx.ExecContext(ctx, `INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT DO NOTHING`, key, value)
			if err != nil {
				return nil, err
			}
			n, err := done.RowsAffected()
			if err != nil {
				return nil, err
			}
			report.Settings += int(n)
		}
		return &store.Change{What: store.ManyMerged}, nil
	})
	if failure, ok := errors.AsType[*sqlite.Error](err); ok && failure.Code()&0xff == sqlite3.SQLITE_CONSTRAINT {
		err = &store.Error{
			Code: store.Invalid, Message: "What is to be restored gives one ID to things that are two here.",
			Remedy: "It was changed by hand. Nothing was restored.", Err: err,
		}
	}
	if err != nil {
		return store.MergeReport{}, err
	}
	return report, nil
}

func mergeRig(ctx context.Context, tx *sql.Tx, in store.RigSnapshot) (store.Merge, error) {
	var here *store.RigSnapshot
	rig, err := getRig(ctx, tx, in.Rig.ID)
	if err == nil {
		one, err := snapshotRig(ctx, tx, rig)
		if err != nil {
			return store.Merge{}, err
		}
		here = &one
	} else if store.CodeOf(err) != store.NotFound {
		return store.Merge{}, err
	}
	m, err := store.PlanMerge(here, in)
	if err != nil {
		return m, err
	}
	if err := putRig(ctx, tx, m.Rig); err != nil {
		return m, err
	}
	for _, r := range m.Revisions {
		if err := putRevision(ctx, tx, r); err != nil {
			return m, fmt.Errorf("revision %d of %q: %w", r.Number, m.Rig.Name, err)
		}
	}
	for _, e := range m.Journal {
		if err := putEntry(ctx, tx, e); err != nil {
			return m, fmt.Errorf("journal of %q: %w", m.Rig.Name, err)
		}
	}
	return m, nil
}
