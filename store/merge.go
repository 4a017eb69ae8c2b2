package store

import (
	"fmt"
	"maps"
	"slices"
	"time"
)

// Snapshot is everything that a store keeps, as it was at one moment.
type Snapshot struct {
	Taken    time.Time
	Rigs     []RigSnapshot
	Settings map[string]string
}

// RigSnapshot is everything that is kept of one rig. Its slices are in the order
// in which they were kept.
type RigSnapshot struct {
	Rig       Rig
	Revisions []Revision
	Journal   []Entry
}

// MergeReport says what a merge did.
type MergeReport struct {
	// Rigs has an entry for each rig that something was added to.
	Rigs []MergedRig `json:"rigs"`
	// Settings is the number of settings that were added.
	Settings int `json:"settings"`
}

// MergedRig says what a merge added to one rig.
type MergedRig struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	// New is set if the rig was not kept here before.
	New       bool `json:"new"`
	Revisions int  `json:"revisions"`
	Entries   int  `json:"entries"`
	// Beside is set if the current revisions here and there were both saved
	// since they parted. The one here stays current; the other is among the
	// revisions, for the person to compare.
	Beside bool `json:"beside"`
}

// Merge is what is to be added to one rig.
type Merge struct {
	// New is set if the rig itself is to be added.
	New bool
	// Rig is how the rig is to stand afterwards.
	Rig Rig
	// Revisions and Journal are to be added.
	Revisions []Revision
	Journal   []Entry
	Beside    bool
}

// Report returns what the person is told, and whether there is anything to tell.
func (m Merge) Report() (MergedRig, bool) {
	return MergedRig{
		ID: m.Rig.ID, Name: m.Rig.Name, New: m.New, Beside: m.Beside,
		Revisions: len(m.Revisions), Entries: len(m.Journal),
	}, m.New || len(m.Revisions) > 0 || len(m.Journal) > 0
}

// PlanMerge says what to add to a rig that is kept here from a snapshot of the
// same rig, which has passed [Snapshot.Check]. Here is nil if the rig is not kept.
//
//   - A rig that is not kept here comes in as it was, deleted or not.
//   - Revisions and entries are known by their IDs. Those not kept here are
//     added; revisions get the next free numbers. Nothing kept here changes.
//   - If the current revision there was made from the current one here, directly
//     or through others, it becomes current. Otherwise the one here stays so.
//
// A revision or entry that is kept here but says something else there is an
// [Invalid] error: one of the two was tampered with.
func PlanMerge(here *RigSnapshot, in RigSnapshot) (Merge, error) {
	if here == nil {
		return Merge{New: true, Rig: in.Rig, Revisions: in.Revisions, Journal: in.Journal}, nil
	}
	m := Merge{Rig: here.Rig}

	kept := map[string]Revision{}
	parent := map[int]int{} // by numbers here
	last := 0
	for _, r := range here.Revisions {
		kept[r.ID] = r
		parent[r.Number] = r.Parent
		last = max(last, r.Number)
	}
	lastKept := last
	number := map[int]int{} // from the number there to the number here
	for _, r := range in.Revisions {
		if k, ok := kept[r.ID]; ok {
			if k.Draft != r.Draft || !k.Saved.Equal(r.Saved) {
				return Merge{}, differs(in.Rig.Name, fmt.Sprintf("revision %d", r.Number))
			}
			number[r.Number] = k.Number
			continue
		}
		last++
		number[r.Number] = last
		r.Number, r.Parent = last, number[r.Parent]
		parent[r.Number] = r.Parent
		m.Revisions = append(m.Revisions, r)
	}

	theirs := number[in.Rig.Current]
	for n := theirs; n != 0; n = parent[n] {
		if n == here.Rig.Current {
			m.Rig.Current = theirs
		}
	}
	m.Beside = m.Rig.Current != theirs && theirs > lastKept
	for _, r := range m.Revisions {
		if r.Number == m.Rig.Current {
			m.Rig.Name, m.Rig.Changed = r.Name, r.Saved
		}
	}

	entries := map[string]Entry{}
	for _, e := range here.Journal {
		entries[e.ID] = e
	}
	for _, e := range in.Journal {
		e.Revision = number[e.Revision]
		if k, ok := entries[e.ID]; ok {
			if k.EntryDraft != e.EntryDraft || !k.Written.Equal(e.Written) {
				return Merge{}, differs(in.Rig.Name, "a journal entry")
			}
			continue
		}
		m.Journal = append(m.Journal, e)
	}
	return m, nil
}

func differs(rig, what string) error {
	return &Error{
		Code:    Invalid,
		Message: fmt.Sprintf("The backup and this device disagree about %s of %q.", what, rig),
		Remedy:  "One of them was changed by hand. Nothing was restored. To get at the backup's, open it as a zip archive and import the rig file that you want.",
	}
}

// Check returns an [Invalid] or [TooLarge] error unless the snapshot is one that
// a store could have made: all IDs valid and met once, each rig's revisions in
// order of their numbers and made from earlier ones, everything within its limits.
func (s *Snapshot) Check() error {
	seen := map[string]bool{}
	fresh := func(id string) bool {
		ok := ValidID(id) && !seen[id]
		seen[id] = true
		return ok
	}
	for _, r := range s.Rigs {
		if !fresh(r.Rig.ID) {
			return invalid(fmt.Sprintf("The rig's ID %.40q is malformed or met twice.", r.Rig.ID), "")
		}
		if err := r.check(fresh); err != nil {
			return within(fmt.Sprintf("Rig %.40q", r.Rig.Name), err)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(s.Settings)) {
		if err := CheckSetting(key, s.Settings[key]); err != nil {
			return err
		}
	}
	return nil
}

func (r RigSnapshot) check(fresh func(string) bool) error {
	numbers := map[int]bool{}
	last := 0
	var current *Revision
	for i, v := range r.Revisions {
		where := fmt.Sprintf("revision %d", v.Number)
		switch {
		case !fresh(v.ID) || v.Rig != r.Rig.ID:
			return invalid(fmt.Sprintf("The ID of %s is malformed, met twice or of another rig.", where), "")
		case v.Number <= last || v.Number > MaxNumber:
			return invalid(fmt.Sprintf("%s comes after revision %d or is too great a number.", where, last), "")
		case i == 0 && v.Parent != 0, i > 0 && !numbers[v.Parent]:
			return invalid(fmt.Sprintf("%s was made from revision %d, which is not there.", where, v.Parent), "")
		case !validTime(v.Saved):
			return invalid(fmt.Sprintf("The time of %s makes no sense.", where), "")
		}
		if err := v.Check(); err != nil {
			return within(where, err)
		}
		last = v.Number
		numbers[last] = true
		if last == r.Rig.Current {
			current = &r.Revisions[i]
		}
	}
	if current == nil {
		return invalid(fmt.Sprintf("its current revision %d is not there.", r.Rig.Current), "")
	}
	if current.Name != r.Rig.Name || !current.Saved.Equal(r.Rig.Changed) || !validTime(r.Rig.Created) ||
		!r.Rig.Deleted.IsZero() && !validTime(r.Rig.Deleted) {
		return invalid("its name and times are not those of its current revision.", "")
	}
	for _, e := range r.Journal {
		if !fresh(e.ID) || e.Rig != r.Rig.ID || !numbers[e.Revision] || !validTime(e.Written) {
			return invalid("a journal entry is malformed or speaks of a revision that is not there.", "")
		}
		if err := e.Check(); err != nil {
			return within("journal", err)
		}
	}
	return nil
}

// validTime reports whether t is one that a store's clock can have shown.
func validTime(t time.Time) bool {
	year := t.UTC().Year()
	return year >= 1970 && year <= 9999 && t.Equal(t.Truncate(time.Millisecond))
}

// within returns err with its message saying where it was met.
func within(where string, err error) error {
	told := *Tell(err)
	told.Message = where + ": " + told.Message
	return &told
}
