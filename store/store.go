// Package store says how rigs are kept: what is kept, what a keeper of rigs
// promises, and what can go wrong. It holds no storage itself. Package
// [evenlock/store/sqlite] keeps rigs in a file on a computer; a browser keeps
// them in its own database behind the same [Store] interface and with the same
// JSON. Both must pass the tests of package [evenlock/store/storetest].
//
// A rig's content is a text that this package does not look into. Every save
// becomes a [Revision] and stays; a rig points at one of them as its current
// one. Nothing is taken away until a person purges a deleted rig.
//
//	rev, err := s.Create(ctx, store.Draft{Name: "Bench mule", Text: text, By: "page"})
//	rev, err = s.Save(ctx, rev.Rig, rev.Number, draft)
//	if conflict, ok := errors.AsType[*store.ConflictError](err); ok {
//		// Somebody saved since: conflict.Newer is their revision.
//	}
package store

import (
	"context"
	"fmt"
	"io"
	"time"
)

// Store keeps rigs. It is safe for use by several goroutines, and several
// Stores may be open on the same data, in one process or in many.
//
// A method that returns no error has its effect kept for good: neither a kill
// nor a power cut takes it back. A method that returns an error has changed
// nothing. Every error a person may meet is an [*Error] or a [*ConflictError];
// [CodeOf] tells them apart. Methods that name a rig or revision which is not
// kept fail with [NotFound].
//
// Times are the store's own clock's, in UTC, to the millisecond.
type Store interface {
	// Rigs lists every rig, deleted ones too, the last changed first.
	Rigs(ctx context.Context) ([]Rig, error)
	// Rig returns one rig, deleted or not.
	Rig(ctx context.Context, id string) (Rig, error)
	// Create keeps a new rig with the draft as its revision 1.
	Create(ctx context.Context, d Draft) (Revision, error)
	// Save keeps the draft as a new revision of the rig and makes it the
	// current one. Parent is the number of the revision that the draft was made
	// from; if that is no longer the current one, Save fails with a
	// [*ConflictError] that carries the current one. A draft that says what
	// the current revision says already is not kept again: the current
	// revision is returned, so a save may safely be repeated when its answer was
	// lost. Saving to a deleted rig fails with [Deleted].
	Save(ctx context.Context, id string, parent int, d Draft) (Revision, error)
	// Revisions lists a rig's revisions without their texts, the newest first.
	Revisions(ctx context.Context, id string) ([]Revision, error)
	// Revision returns one revision with its text.
	Revision(ctx context.Context, id string, number int) (Revision, error)

	// Delete puts a rig aside. It stays complete, and can be brought back.
	// Deleting a deleted rig changes nothing.
	Delete(ctx context.Context, id string) error
	// Undelete brings a deleted rig back. On a rig that is not deleted it
	// changes nothing.
	Undelete(ctx context.Context, id string) error
	// Purge removes a deleted rig with all its revisions and journal for good.
	// It fails with [Invalid] unless the rig is deleted.
	Purge(ctx context.Context, id string) error

	// Note adds an entry to a rig's journal.
	Note(ctx context.Context, id string, d EntryDraft) (Entry, error)
	// Journal lists a rig's entries, the oldest first. See [Ticks] and [Notes].
	Journal(ctx context.Context, id string) ([]Entry, error)

	// Settings returns all settings by key.
	Settings(ctx context.Context) (map[string]string, error)
	// Set keeps a setting. An empty value removes it.
	Set(ctx context.Context, key, value string) error

	// Snapshot returns everything that is kept, as it was at one moment.
	Snapshot(ctx context.Context) (*Snapshot, error)
	// Merge adds what a snapshot has and this store lacks, all of it or nothing,
	// by the rules of [PlanMerge]. It overwrites nothing.
	Merge(ctx context.Context, in *Snapshot) (MergeReport, error)

	// Watch reports each change made after it returns, by this Store or by
	// another one on the same data. The channel closes when ctx is done or when
	// changes can no longer be read.
	Watch(ctx context.Context) (<-chan Change, error)

	io.Closer
}

// Rig is one rig in the list.
type Rig struct {
	// ID is the same on every device that the rig is carried to; see [NewID].
	ID string `json:"id"`
	// Name is the name that the current revision gives it.
	Name string `json:"name"`
	// Current is the number of the current revision.
	Current int       `json:"current"`
	Created time.Time `json:"created"`
	// Changed is when the current revision was saved.
	Changed time.Time `json:"changed"`
	// Deleted is when the rig was put aside; zero if it was not.
	Deleted time.Time `json:"deleted,omitzero"`
}

// Draft is what a person asks to have saved. [Draft.Check] states its limits.
type Draft struct {
	// Name is what the text calls the rig; whoever saves has read it there.
	Name string `json:"name"`
	// Text is the rig file.
	Text string `json:"text,omitempty"`
	// Note says why it was saved, if the person said.
	Note string `json:"note,omitempty"`
	// By is who or what saved: "page", "import", "command line".
	By string `json:"by,omitempty"`
}

// Revision is one save of a rig. It never changes.
type Revision struct {
	// ID is the same on every device that the revision is carried to.
	ID string `json:"id"`
	// Rig is the ID of the rig.
	Rig string `json:"rig"`
	// Number counts the rig's revisions on this device, from 1.
	Number int `json:"number"`
	// Parent is the number of the revision that this one was made from; 0 if it
	// is the first. It is always less than Number.
	Parent int       `json:"parent"`
	Saved  time.Time `json:"saved"`
	Draft
}

// Says reports whether the revision says all that the draft says, so that there
// is nothing to save. A draft without a note adds none.
func (r Revision) Says(d Draft) bool {
	return r.Name == d.Name && r.Text == d.Text && (d.Note == "" || d.Note == r.Note)
}

// Kind says what an [Entry] is.
type Kind string

// The kinds of journal entry.
const (
	// KindNote is a free note: Text is what it says.
	KindNote Kind = "note"
	// KindDone ticks the step of the set-up named by Step.
	KindDone Kind = "done"
	// KindUndone takes the tick off the step named by Step.
	KindUndone Kind = "undone"
	// KindStrike strikes out the note whose ID is Target. The note itself stays.
	KindStrike Kind = "strike"
)

// EntryDraft is what a person asks to have written in a rig's journal.
// [EntryDraft.Check] states its limits.
type EntryDraft struct {
	Kind Kind `json:"kind"`
	// Revision is the revision that the entry speaks of.
	Revision int `json:"revision"`
	// Step names a step of the set-up, such as "endpoints".
	Step string `json:"step,omitempty"`
	// Target is the ID of the note that is struck out.
	Target string `json:"target,omitempty"`
	Text   string `json:"text,omitempty"`
	By     string `json:"by,omitempty"`
}

// Entry is one line of a rig's journal. It never changes.
type Entry struct {
	// ID is the same on every device that the entry is carried to.
	ID      string    `json:"id"`
	Rig     string    `json:"rig"`
	Written time.Time `json:"written"`
	EntryDraft
}

// Ticks returns, for each step of the set-up that stands ticked, the entry that
// ticked it last. Its Revision tells which revision it was done on.
func Ticks(journal []Entry) map[string]Entry {
	ticks := map[string]Entry{}
	for _, e := range journal {
		switch e.Kind {
		case KindDone:
			ticks[e.Step] = e
		case KindUndone:
			delete(ticks, e.Step)
		}
	}
	return ticks
}

// Notes returns the notes that are not struck out, in order.
func Notes(journal []Entry) []Entry {
	struck := map[string]bool{}
	for _, e := range journal {
		if e.Kind == KindStrike {
			struck[e.Target] = true
		}
	}
	var notes []Entry
	for _, e := range journal {
		if e.Kind == KindNote && !struck[e.ID] {
			notes = append(notes, e)
		}
	}
	return notes
}

// What says what a [Change] changed.
type What string

// The kinds of change.
const (
	RigCreated   What = "created"
	RigSaved     What = "saved"
	RigDeleted   What = "deleted"
	RigUndeleted What = "undeleted"
	RigPurged    What = "purged"
	RigNoted     What = "noted"
	// SettingSet and ManyMerged are of no one rig. After the latter, anything
	// may have changed.
	SettingSet What = "set"
	ManyMerged What = "merged"
)

// Change tells that something kept has changed.
type Change struct {
	What What `json:"what"`
	// Rig is the ID of the rig that changed, if it was one.
	Rig string `json:"rig,omitempty"`
	// Revision is the number of the rig's current revision after the change.
	Revision int `json:"revision,omitempty"`
}

// BringBack saves what an old revision says as a new revision, so that nothing
// after it is lost. Parent is as for [Store.Save].
func BringBack(ctx context.Context, s Store, id string, parent, number int, by string) (Revision, error) {
	old, err := s.Revision(ctx, id, number)
	if err != nil {
		return Revision{}, err
	}
	d := old.Draft
	d.Note, d.By = fmt.Sprintf("Back to revision %d", number), by
	return s.Save(ctx, id, parent, d)
}
