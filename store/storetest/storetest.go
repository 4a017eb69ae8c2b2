// Package storetest holds the tests that every [store.Store] must pass.
package storetest

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"evenlock/store"
)

// Place makes an empty place to keep rigs in, and returns a function that opens
// another Store on that place each time it is called. The place is gone after
// the test.
type Place func(t *testing.T) (open func() store.Store)

// Run runs all tests, each in a place of its own.
func Run(t *testing.T, place Place) {
	t.Helper()
	tests := map[string]func(a, b keeper){
		"every save is kept and found by another store":       everySaveIsKept,
		"the second tab is told who saved":                    secondTabIsTold,
		"a save repeated because its answer was lost is one":  repeatedSaveIsOne,
		"an old revision comes back as a new one":             bringBack,
		"a deleted rig is whole until it is purged":           deleteUndeletePurge,
		"the journal keeps ticks and notes":                   journal,
		"settings are kept until emptied":                     settings,
		"what cannot be kept is refused and changes nothing":  refused,
		"what is not there is said not to be there":           notFound,
		"watchers hear of changes by both stores":             watch,
		"a snapshot merged into an empty place is the same":   mergeIntoEmpty,
		"a merge follows a revision made from the current":    mergeForward,
		"a merge keeps the current one where both went on":    mergeBeside,
		"a merge of tampered content changes nothing":         mergeTampered,
		"a merge brings back what was purged, keeps the rest": mergeAfterPurge,
		"savers at once lose nothing":                         concurrentSavers,
	}
	for _, name := range slices.Sorted(maps.Keys(tests)) {
		t.Run(name, func(t *testing.T) {
			open := place(t)
			k := func() keeper {
				s := open()
				t.Cleanup(func() {
					if err := s.Close(); err != nil {
						t.Errorf("Close: %v", err)
					}
				})
				return keeper{t, s}
			}
			tests[name](k(), k())
		})
	}
	t.Run("two stores do what a simple model does", func(t *testing.T) { model(t, place) })
}

// keeper is a Store whose test fails where it fails.
type keeper struct {
	*testing.T
	s store.Store
}

func got[T any](k keeper, v T, err error) T {
	k.Helper()
	if err != nil {
		k.Fatal(err)
	}
	return v
}

func (k keeper) create(d store.Draft) store.Revision {
	k.Helper()
	v, err := k.s.Create(k.Context(), d)
	return got(k, v, err)
}

func (k keeper) save(from store.Revision, text string) store.Revision {
	k.Helper()
	v, err := k.s.Save(k.Context(), from.Rig, from.Number, draft(text))
	return got(k, v, err)
}

func (k keeper) rig(id string) store.Rig {
	k.Helper()
	v, err := k.s.Rig(k.Context(), id)
	return got(k, v, err)
}

func (k keeper) rigs() []store.Rig {
	k.Helper()
	v, err := k.s.Rigs(k.Context())
	return got(k, v, err)
}

func (k keeper) revision(id string, number int) store.Revision {
	k.Helper()
	v, err := k.s.Revision(k.Context(), id, number)
	return got(k, v, err)
}

func (k keeper) revisions(id string) []store.Revision {
	k.Helper()
	v, err := k.s.Revisions(k.Context(), id)
	return got(k, v, err)
}

// texts returns the texts of all revisions, the oldest first.
func (k keeper) texts(id string) []string {
	k.Helper()
	var all []string
	for _, r := range slices.Backward(k.revisions(id)) {
		all = append(all, k.revision(id, r.Number).Text)
	}
	return all
}

func (k keeper) note(id string, d store.EntryDraft) store.Entry {
	k.Helper()
	v, err := k.s.Note(k.Context(), id, d)
	return got(k, v, err)
}

func (k keeper) journal(id string) []store.Entry {
	k.Helper()
	v, err := k.s.Journal(k.Context(), id)
	return got(k, v, err)
}

func (k keeper) settings() map[string]string {
	k.Helper()
	v, err := k.s.Settings(k.Context())
	return got(k, v, err)
}

func (k keeper) snapshot() *store.Snapshot {
	k.Helper()
	v, err := k.s.Snapshot(k.Context())
	return got(k, v, err)
}

func (k keeper) merge(in *store.Snapshot) store.MergeReport {
	k.Helper()
	v, err := k.s.Merge(k.Context(), in)
	return got(k, v, err)
}

// do runs something that returns nothing but an error.
func (k keeper) do(f func(context.Context, string) error, id string) {
	k.Helper()
	if err := f(k.Context(), id); err != nil {
		k.Fatal(err)
	}
}

func (k keeper) same(what string, got, want any) {
	k.Helper()
	if !reflect.DeepEqual(got, want) {
		k.Fatalf("%s:\n got %+v\nwant %+v", what, got, want)
	}
}

func (k keeper) fails(what string, err error, code store.Code) {
	k.Helper()
	if store.CodeOf(err) != code {
		k.Fatalf("%s: got code %q (%v), want %q", what, store.CodeOf(err), err, code)
	}
}

func draft(text string) store.Draft {
	return store.Draft{Name: "Bench mule", Text: text, By: "storetest"}
}

func everySaveIsKept(a, b keeper) {
	ctx := a.Context()
	before := time.Now().Add(-time.Second)
	first := a.create(store.Draft{Name: "Grey crawler ö", Text: "a = 1\r\n# öäü 🛞\n", Note: "as\nmeasured", By: "page"})
	second, err := a.s.Save(ctx, first.Rig, 1, store.Draft{Name: "Grey crawler 2", Text: "a = 2\n"})
	got(a, second, err)
	if !store.ValidID(first.Rig) || !store.ValidID(first.ID) || first.ID == second.ID {
		a.Errorf("IDs: rig %q, revisions %q and %q", first.Rig, first.ID, second.ID)
	}
	a.same("number and parent of the first", []int{first.Number, first.Parent}, []int{1, 0})
	a.same("number and parent of the second", []int{second.Number, second.Parent}, []int{2, 1})
	if second.Saved.Before(before) || second.Saved.After(time.Now().Add(time.Second)) || second.Saved.Nanosecond()%1e6 != 0 {
		a.Errorf("saved at %v, not now to the millisecond", second.Saved)
	}

	b.same("first revision", b.revision(first.Rig, 1), first)
	b.same("second revision", b.revision(first.Rig, 2), second)
	want := store.Rig{ID: first.Rig, Name: "Grey crawler 2", Current: 2, Created: first.Saved, Changed: second.Saved}
	b.same("rig", b.rig(first.Rig), want)
	b.same("rigs", b.rigs(), []store.Rig{want})
	first.Text, second.Text = "", ""
	b.same("list of revisions", b.revisions(first.Rig), []store.Revision{second, first})
}

func secondTabIsTold(a, b keeper) {
	first := a.create(draft("a = 1"))
	theirs := b.save(first, "a = 2")
	_, err := a.s.Save(a.Context(), first.Rig, first.Number, draft("a = 3"))
	conflict, ok := errors.AsType[*store.ConflictError](err)
	if !ok {
		a.Fatalf("got %v, want a conflict", err)
	}
	a.same("the newer revision", conflict.Newer, theirs)
	if said := err.Error(); !strings.Contains(said, "storetest") || !strings.Contains(said, "Revision 2") {
		a.Errorf("the message does not say who saved what: %q", said)
	}
	a.same("texts after the conflict", a.texts(first.Rig), []string{"a = 1", "a = 2"})
	a.save(conflict.Newer, "a = 3")
	b.same("texts after saving on top", b.texts(first.Rig), []string{"a = 1", "a = 2", "a = 3"})
	_, err = b.s.Save(b.Context(), first.Rig, 77, draft("a = 4"))
	b.fails("a parent that never was", err, store.Conflict)
}

func repeatedSaveIsOne(a, b keeper) {
	first := a.create(draft("a = 1"))
	second := a.save(first, "a = 2")
	b.same("the same save again", b.save(first, "a = 2"), second)
	noted := draft("a = 2")
	noted.Note = "holds on the slope"
	third, err := b.s.Save(b.Context(), first.Rig, 2, noted)
	got(b, third, err)
	b.same("a note alone is worth a revision", third.Number, 3)
	b.same("texts", b.texts(first.Rig), []string{"a = 1", "a = 2", "a = 2"})
}

func bringBack(a, _ keeper) {
	first := a.create(draft("a = 1"))
	second := a.save(first, "a = 2")
	_, err := store.BringBack(a.Context(), a.s, first.Rig, first.Number, 1, "page")
	a.fails("from an old parent", err, store.Conflict)
	third, err := store.BringBack(a.Context(), a.s, first.Rig, second.Number, 1, "page")
	got(a, third, err)
	a.same("texts", a.texts(first.Rig), []string{"a = 1", "a = 2", "a = 1"})
	a.same("note", third.Note, "Back to revision 1")
	a.same("parent", third.Parent, 2)
}

func deleteUndeletePurge(a, b keeper) {
	ctx := a.Context()
	first := a.create(draft("a = 1"))
	other := a.create(draft("b = 1"))
	a.note(first.Rig, store.EntryDraft{Kind: store.KindNote, Revision: 1, Text: "new rod ends"})
	a.fails("purging a rig in use", a.s.Purge(ctx, first.Rig), store.Invalid)

	a.do(a.s.Delete, first.Rig)
	deleted := b.rig(first.Rig).Deleted
	if deleted.IsZero() {
		b.Fatal("not deleted")
	}
	a.do(a.s.Delete, first.Rig)
	b.same("time of the first delete", b.rig(first.Rig).Deleted, deleted)
	b.same("number of rigs listed, deleted or not", len(b.rigs()), 2)
	_, err := b.s.Save(ctx, first.Rig, 1, draft("a = 2"))
	b.fails("saving to a deleted rig", err, store.Deleted)
	b.same("texts of a deleted rig", b.texts(first.Rig), []string{"a = 1"})

	b.do(b.s.Undelete, first.Rig)
	b.do(b.s.Undelete, first.Rig)
	a.same("deleted", a.rig(first.Rig).Deleted, time.Time{})
	second := a.save(first, "a = 2")

	a.do(a.s.Delete, first.Rig)
	a.do(a.s.Purge, first.Rig)
	for what, err := range map[string]error{
		"rig":       errOf(b.s.Rig(ctx, first.Rig)),
		"revision":  errOf(b.s.Revision(ctx, first.Rig, second.Number)),
		"revisions": errOf(b.s.Revisions(ctx, first.Rig)),
		"journal":   errOf(b.s.Journal(ctx, first.Rig)),
		"purge":     b.s.Purge(ctx, first.Rig),
	} {
		b.fails(what+" after purge", err, store.NotFound)
	}
	b.same("the other rig", b.texts(other.Rig), []string{"b = 1"})
}

// errOf drops the value.
func errOf[T any](_ T, err error) error { return err }

func journal(a, b keeper) {
	id := a.create(draft("a = 1")).Rig
	square := a.note(id, store.EntryDraft{Kind: store.KindDone, Revision: 1, Step: "square", By: "page"})
	a.note(id, store.EntryDraft{Kind: store.KindDone, Revision: 1, Step: "subtrim"})
	typo := b.note(id, store.EntryDraft{Kind: store.KindNote, Revision: 1, Text: "servo sccrew loose"})
	a.note(id, store.EntryDraft{Kind: store.KindUndone, Revision: 1, Step: "subtrim"})
	strike := store.EntryDraft{Kind: store.KindStrike, Revision: 1, Target: typo.ID}
	a.note(id, strike)
	right := a.note(id, store.EntryDraft{Kind: store.KindNote, Revision: 1, Text: "servo screw loose", Step: ""})

	all := b.journal(id)
	b.same("number of entries", len(all), 6)
	b.same("first entry", all[0], square)
	b.same("ticks", store.Ticks(all), map[string]store.Entry{"square": square})
	b.same("notes", store.Notes(all), []store.Entry{right})
	strike.Target = square.ID
	_, err := a.s.Note(a.Context(), id, strike)
	a.fails("striking out a tick", err, store.NotFound)
}

func settings(a, b keeper) {
	a.same("at first", a.settings(), map[string]string{})
	for _, kv := range [][2]string{{"units", "in"}, {"scheme", "dark"}, {"units", "mm"}, {"scheme", ""}} {
		if err := a.s.Set(a.Context(), kv[0], kv[1]); err != nil {
			a.Fatal(err)
		}
	}
	b.same("afterwards", b.settings(), map[string]string{"units": "mm"})
}

func refused(a, b keeper) {
	ctx := a.Context()
	long := func(n int) string { return strings.Repeat("x", n+1) }
	first := a.create(draft(strings.Repeat("x", store.MaxText)))
	drafts := map[string]struct {
		draft store.Draft
		code  store.Code
	}{
		"no name":            {store.Draft{Name: " ", Text: "a"}, store.Invalid},
		"no text":            {store.Draft{Name: "a"}, store.Invalid},
		"long text":          {store.Draft{Name: "a", Text: long(store.MaxText)}, store.TooLarge},
		"long name":          {store.Draft{Name: long(store.MaxName), Text: "a"}, store.TooLarge},
		"long note":          {store.Draft{Name: "a", Text: "a", Note: long(store.MaxNote)}, store.TooLarge},
		"long by":            {store.Draft{Name: "a", Text: "a", By: long(store.MaxBy)}, store.TooLarge},
		"text not in UTF-8":  {store.Draft{Name: "a", Text: "a\xff"}, store.Invalid},
		"text with NUL":      {store.Draft{Name: "a", Text: "a\x00"}, store.Invalid},
		"name of two lines":  {store.Draft{Name: "a\nb", Text: "a"}, store.Invalid},
		"name with escape":   {store.Draft{Name: "a\x1b[2J", Text: "a"}, store.Invalid},
		"by with a NUL byte": {store.Draft{Name: "a", Text: "a", By: "\x00"}, store.Invalid},
	}
	for what, c := range drafts {
		_, err := a.s.Create(ctx, c.draft)
		a.fails("Create: "+what, err, c.code)
		_, err = a.s.Save(ctx, first.Rig, 1, c.draft)
		a.fails("Save: "+what, err, c.code)
	}
	note := store.EntryDraft{Kind: store.KindNote, Revision: 1, Text: "a"}
	entries := map[string]struct {
		change func(*store.EntryDraft)
		code   store.Code
	}{
		"unknown kind":        {func(d *store.EntryDraft) { d.Kind = "song" }, store.Invalid},
		"empty note":          {func(d *store.EntryDraft) { d.Text = "\n" }, store.Invalid},
		"note with a step":    {func(d *store.EntryDraft) { d.Step = "square" }, store.Invalid},
		"long note":           {func(d *store.EntryDraft) { d.Text = long(store.MaxNote) }, store.TooLarge},
		"tick of no step":     {func(d *store.EntryDraft) { d.Kind = store.KindDone }, store.Invalid},
		"strike at nothing":   {func(d *store.EntryDraft) { d.Kind = store.KindStrike }, store.Invalid},
		"revision not there":  {func(d *store.EntryDraft) { d.Revision = 2 }, store.NotFound},
		"no revision":         {func(d *store.EntryDraft) { d.Revision = 0 }, store.NotFound},
		"step of two lines":   {func(d *store.EntryDraft) { d.Kind, d.Step = store.KindDone, "a\nb" }, store.Invalid},
		"writer not in UTF-8": {func(d *store.EntryDraft) { d.By = "\xff" }, store.Invalid},
	}
	for what, c := range entries {
		d := note
		c.change(&d)
		_, err := a.s.Note(ctx, first.Rig, d)
		a.fails("Note: "+what, err, c.code)
	}
	a.fails("setting without a name", a.s.Set(ctx, "", "x"), store.Invalid)
	a.fails("setting with a long name", a.s.Set(ctx, long(store.MaxKey), "x"), store.TooLarge)
	a.fails("long setting", a.s.Set(ctx, "x", long(store.MaxSetting)), store.TooLarge)

	b.same("number of rigs", len(b.rigs()), 1)
	b.same("number of revisions", len(b.revisions(first.Rig)), 1)
	b.same("number of entries", len(b.journal(first.Rig)), 0)
	b.same("settings", b.settings(), map[string]string{})
}

func notFound(a, _ keeper) {
	ctx := a.Context()
	first := a.create(draft("a = 1"))
	for _, id := range []string{store.NewID(), "", "' OR 1=1 --", first.Rig + "x", strings.Repeat("a", 1e6)} {
		for what, err := range map[string]error{
			"Rig":       errOf(a.s.Rig(ctx, id)),
			"Save":      errOf(a.s.Save(ctx, id, 1, draft("a"))),
			"Revision":  errOf(a.s.Revision(ctx, id, 1)),
			"Revisions": errOf(a.s.Revisions(ctx, id)),
			"Delete":    a.s.Delete(ctx, id),
			"Undelete":  a.s.Undelete(ctx, id),
			"Purge":     a.s.Purge(ctx, id),
			"Journal":   errOf(a.s.Journal(ctx, id)),
			"Note":      errOf(a.s.Note(ctx, id, store.EntryDraft{Kind: store.KindNote, Revision: 1, Text: "a"})),
		} {
			a.fails(what, err, store.NotFound)
			if len(err.Error()) > 300 {
				a.Errorf("%s repeats %d bytes of what it was asked", what, len(err.Error()))
			}
		}
	}
	for _, n := range []int{0, 2, -1} {
		_, err := a.s.Revision(ctx, first.Rig, n)
		a.fails(fmt.Sprintf("revision %d", n), err, store.NotFound)
	}
}

func watch(a, b keeper) {
	ctx, stop := context.WithCancel(a.Context())
	defer stop()
	first := a.create(draft("a = 1"))
	changes, err := a.s.Watch(ctx)
	got(a, changes, err)
	expect := func(want store.Change) {
		a.Helper()
		select {
		case c := <-changes:
			a.same("change", c, want)
		case <-time.After(5 * time.Second):
			a.Fatalf("not told of %+v", want)
		}
	}
	id := first.Rig
	second := a.save(first, "a = 2")
	expect(store.Change{What: store.RigSaved, Rig: id, Revision: 2})
	b.save(second, "a = 3")
	expect(store.Change{What: store.RigSaved, Rig: id, Revision: 3})
	b.note(id, store.EntryDraft{Kind: store.KindDone, Revision: 3, Step: "square"})
	expect(store.Change{What: store.RigNoted, Rig: id, Revision: 3})
	b.do(b.s.Delete, id)
	b.do(b.s.Delete, id)
	expect(store.Change{What: store.RigDeleted, Rig: id, Revision: 3})
	b.do(b.s.Undelete, id)
	expect(store.Change{What: store.RigUndeleted, Rig: id, Revision: 3})
	b.do(b.s.Delete, id)
	expect(store.Change{What: store.RigDeleted, Rig: id, Revision: 3})
	snap := b.snapshot()
	b.do(b.s.Purge, id)
	expect(store.Change{What: store.RigPurged, Rig: id})
	if err := b.s.Set(ctx, "units", "mm"); err != nil {
		b.Fatal(err)
	}
	expect(store.Change{What: store.SettingSet})
	b.merge(snap)
	expect(store.Change{What: store.ManyMerged})
	other := b.create(draft("b = 1"))
	expect(store.Change{What: store.RigCreated, Rig: other.Rig, Revision: 1})
	stop()
	select {
	case c, open := <-changes:
		if open {
			a.Errorf("told of %+v after the end", c)
		}
	case <-time.After(5 * time.Second):
		a.Error("the channel does not close")
	}
}

// filled keeps two rigs, one of them deleted, and all kinds of entries.
func filled(k keeper) {
	first := k.create(store.Draft{Name: "Bench mule", Text: "a = 1\n", Note: "from the box", By: "page"})
	other := k.create(store.Draft{Name: "Kurzer / <b>", Text: "b = 1"})
	k.save(k.save(first, "a = 2"), "a = 3")
	typo := k.note(first.Rig, store.EntryDraft{Kind: store.KindNote, Revision: 2, Text: "wobles", By: "page"})
	k.note(first.Rig, store.EntryDraft{Kind: store.KindStrike, Revision: 2, Target: typo.ID})
	k.note(first.Rig, store.EntryDraft{Kind: store.KindDone, Revision: 3, Step: "square"})
	k.do(k.s.Delete, other.Rig)
	if err := k.s.Set(k.Context(), "units", "mm"); err != nil {
		k.Fatal(err)
	}
}

// purgeAll empties the place, settings excepted.
func purgeAll(k keeper) {
	for _, r := range k.rigs() {
		k.do(k.s.Delete, r.ID)
		k.do(k.s.Purge, r.ID)
	}
}

func mergeIntoEmpty(a, b keeper) {
	filled(a)
	snap := a.snapshot()
	if err := snap.Check(); err != nil {
		a.Fatalf("a snapshot is not what it should be: %v", err)
	}
	purgeAll(a)
	report := b.merge(snap)
	after := b.snapshot()
	after.Taken = snap.Taken
	b.same("snapshot afterwards", after, snap)
	b.same("rigs reported", len(report.Rigs), 2)
	for _, r := range report.Rigs {
		b.same("new", r.New, true)
	}
	again := b.merge(snap)
	b.same("merging again", again, store.MergeReport{Rigs: []store.MergedRig{}})
	after = a.snapshot()
	after.Taken = snap.Taken
	a.same("snapshot after merging again", after, snap)
}

func mergeForward(a, _ keeper) {
	first := a.create(draft("a = 1"))
	id := first.Rig
	a.save(a.save(first, "a = 2"), "a = 3")
	later := a.snapshot()
	purgeAll(a)
	earlier := *later
	earlier.Rigs = slices.Clone(later.Rigs)
	earlier.Rigs[0].Revisions = earlier.Rigs[0].Revisions[:1]
	earlier.Rigs[0].Rig.Current = 1
	earlier.Rigs[0].Rig.Changed = first.Saved
	a.merge(&earlier)
	a.same("current", a.rig(id).Current, 1)
	report := a.merge(later)
	a.same("report", report, store.MergeReport{Rigs: []store.MergedRig{{ID: id, Name: "Bench mule", Revisions: 2}}})
	a.same("current", a.rig(id).Current, 3)
	a.merge(&earlier)
	a.same("current after merging the earlier again", a.rig(id).Current, 3)
}

func mergeBeside(a, _ keeper) {
	first := a.create(draft("a = 1"))
	id := first.Rig
	start := a.snapshot()
	a.note(id, store.EntryDraft{Kind: store.KindNote, Revision: 1, Text: "phone"})
	a.save(a.save(first, "phone 2"), "phone 3")
	phone := a.snapshot()
	purgeAll(a)

	a.merge(start)
	a.save(first, "laptop 2")
	laptop := a.rig(id)
	report := a.merge(phone)
	a.same("report", report, store.MergeReport{Rigs: []store.MergedRig{
		{ID: id, Name: "Bench mule", Revisions: 2, Entries: 1, Beside: true},
	}})
	a.same("the rig", a.rig(id), laptop)
	a.same("texts", a.texts(id), []string{"a = 1", "laptop 2", "phone 2", "phone 3"})
	a.same("parents", []int{a.revision(id, 3).Parent, a.revision(id, 4).Parent}, []int{1, 3})
	a.same("merging again", a.merge(phone), store.MergeReport{Rigs: []store.MergedRig{}})
	a.same("number after that", a.save(a.revision(id, 2), "laptop 5").Number, 5)
	both := a.snapshot()
	if err := both.Check(); err != nil {
		a.Error(err)
	}
	purgeAll(a)
	a.merge(phone)
	a.merge(both)
	a.same("the phone's current stays, as both went on", a.revision(id, a.rig(id).Current).Text, "phone 3")
}

func mergeTampered(a, _ keeper) {
	filled(a)
	before := a.snapshot()
	hostile := map[string]func(s *store.Snapshot){
		"another text under a known ID":  func(s *store.Snapshot) { s.Rigs[0].Revisions[0].Text = "a = 666" },
		"another note in the journal":    func(s *store.Snapshot) { mule(s).Journal[0].Text = "all is well" },
		"a revision met twice":           func(s *store.Snapshot) { m := mule(s); m.Revisions[1].ID = m.Revisions[0].ID },
		"a rig met twice":                func(s *store.Snapshot) { s.Rigs = append(s.Rigs, s.Rigs[0]) },
		"numbers out of order":           func(s *store.Snapshot) { slices.Reverse(mule(s).Revisions) },
		"a number without bounds":        func(s *store.Snapshot) { mule(s).Revisions[2].Number = 1 << 62 },
		"a parent that is not there":     func(s *store.Snapshot) { mule(s).Revisions[2].Parent = 7 },
		"its own parent":                 func(s *store.Snapshot) { mule(s).Revisions[2].Parent = 3 },
		"no current revision":            func(s *store.Snapshot) { mule(s).Rig.Current = 9 },
		"no revisions":                   func(s *store.Snapshot) { mule(s).Revisions = nil },
		"another name than its revision": func(s *store.Snapshot) { mule(s).Rig.Name = "x" },
		"a malformed ID":                 func(s *store.Snapshot) { mule(s).Rig.ID = "../../etc" },
		"a revision of another rig":      func(s *store.Snapshot) { mule(s).Revisions[1].Rig = store.NewID() },
		"a name of two lines":            func(s *store.Snapshot) { mule(s).Revisions[1].Name = "a\nb" },
		"a time out of all reason":       func(s *store.Snapshot) { mule(s).Revisions[1].Saved = time.Unix(1e12, 0) },
		"no time":                        func(s *store.Snapshot) { mule(s).Journal[1].Written = time.Time{} },
		"an entry of no revision":        func(s *store.Snapshot) { mule(s).Journal[1].Revision = 0 },
		"a setting without a name":       func(s *store.Snapshot) { s.Settings[""] = "x" },
		"an ID of one rig in another": func(s *store.Snapshot) {
			for i := range s.Rigs {
				s.Rigs[i].Rig.ID = store.NewID()
				s.Rigs[i].Journal = nil
				for j := range s.Rigs[i].Revisions {
					s.Rigs[i].Revisions[j].Rig = s.Rigs[i].Rig.ID
				}
			}
		},
	}
	for what, tamper := range hostile {
		s := a.snapshot()
		tamper(s)
		// Something good comes first, which must not be kept either.
		good := store.RigSnapshot{Rig: store.Rig{ID: strings.Repeat("a", 26), Name: "n", Current: 1, Created: before.Taken, Changed: before.Taken}}
		good.Revisions = []store.Revision{{ID: strings.Repeat("b", 26), Rig: good.Rig.ID, Number: 1, Saved: before.Taken, Draft: store.Draft{Name: "n", Text: "t"}}}
		s.Rigs = append([]store.RigSnapshot{good}, s.Rigs...)
		_, err := a.s.Merge(a.Context(), s)
		a.fails(what, err, store.Invalid)
		after := a.snapshot()
		after.Taken = before.Taken
		a.same("snapshot after "+what, after, before)
	}
}

// mule returns the rig with three revisions that filled keeps.
func mule(s *store.Snapshot) *store.RigSnapshot {
	for i := range s.Rigs {
		if len(s.Rigs[i].Revisions) == 3 {
			return &s.Rigs[i]
		}
	}
	panic("filled keeps no such rig")
}

func mergeAfterPurge(a, b keeper) {
	first := a.create(draft("a = 1"))
	a.do(a.s.Delete, first.Rig)
	snap := a.snapshot()
	a.do(a.s.Purge, first.Rig)
	other := a.create(draft("b = 1"))
	if err := a.s.Set(a.Context(), "units", "in"); err != nil {
		a.Fatal(err)
	}
	snap.Settings = map[string]string{"units": "mm", "scheme": "dark"}
	report := b.merge(snap)
	b.same("settings added", report.Settings, 1)
	b.same("settings", b.settings(), map[string]string{"units": "in", "scheme": "dark"})
	b.same("texts of what came back", b.texts(first.Rig), []string{"a = 1"})
	if b.rig(first.Rig).Deleted.IsZero() {
		b.Error("a rig that was deleted came back undeleted")
	}
	b.same("texts of the other", b.texts(other.Rig), []string{"b = 1"})
	b.do(b.s.Undelete, first.Rig)
	b.merge(snap)
	b.same("deleted after merging again", b.rig(first.Rig).Deleted, time.Time{})
}

func concurrentSavers(a, b keeper) {
	const savers, saves = 4, 10
	first := a.create(draft("start"))
	var wg sync.WaitGroup
	for w := range savers {
		wg.Go(func() {
			k := []keeper{a, b}[w%2]
			from := first
			for n := range saves {
				text := fmt.Sprintf("saver %d, %d", w, n)
				for {
					v, err := k.s.Save(k.Context(), first.Rig, from.Number, draft(text))
					if conflict, ok := errors.AsType[*store.ConflictError](err); ok {
						from = conflict.Newer
						continue
					}
					if err != nil {
						k.Errorf("%s: %v", text, err)
						return
					}
					from = v
					break
				}
			}
		})
	}
	wg.Wait()
	all := a.texts(first.Rig)
	a.same("number of revisions", len(all), 1+savers*saves)
	slices.Sort(all)
	a.same("number of different texts", len(slices.Compact(all)), 1+savers*saves)
	for _, r := range b.revisions(first.Rig) {
		b.same("parent", r.Parent, r.Number-1)
	}
}
