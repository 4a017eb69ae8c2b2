package storetest

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"evenlock/store"
)

// modelRig is what a rig must come to.
type modelRig struct {
	texts   []string
	deleted bool
	ticks   map[string]bool
}

// model lets two stores on one place do as they are told at random, and
// compares each with what the plainest possible model says.
func model(t *testing.T, place Place) {
	rapid.Check(t, func(rt *rapid.T) {
		// Each run gets its own place, which is closed at the end of the run.
		open := place(t)
		stores := []store.Store{open(), open()}
		defer func() {
			for _, s := range stores {
				if err := s.Close(); err != nil {
					rt.Fatal(err)
				}
			}
		}()
		ctx := t.Context()
		rigs := map[string]*modelRig{}
		var ids []string
		want := func(what string, err error, code store.Code) {
			if store.CodeOf(err) != code {
				rt.Fatalf("%s: got %v, want code %q", what, err, code)
			}
		}
		for step := range rapid.IntRange(1, 25).Draw(rt, "steps") {
			s := stores[rapid.IntRange(0, 1).Draw(rt, "store")]
			text := fmt.Sprintf("step = %d", step)
			if len(ids) == 0 || rapid.IntRange(0, 5).Draw(rt, "create") == 0 {
				v, err := s.Create(ctx, draft(text))
				want("create", err, "")
				rigs[v.Rig] = &modelRig{texts: []string{text}, ticks: map[string]bool{}}
				ids = append(ids, v.Rig)
				continue
			}
			id := rapid.SampledFrom(ids).Draw(rt, "rig")
			m, there := rigs[id]
			var code store.Code
			if !there {
				code = store.NotFound
			}
			switch rapid.SampledFrom([]string{"save", "save", "old save", "delete", "undelete", "purge", "tick"}).Draw(rt, "what") {
			case "save":
				parent := 1
				if there {
					parent = len(m.texts)
				}
				_, err := s.Save(ctx, id, parent, draft(text))
				if there && m.deleted {
					want("save to deleted", err, store.Deleted)
					continue
				}
				want("save", err, code)
				if there {
					m.texts = append(m.texts, text)
				}
			case "old save":
				if there && !m.deleted {
					_, err := s.Save(ctx, id, len(m.texts)-1, draft(text))
					want("save from an old revision", err, store.Conflict)
				}
			case "delete":
				want("delete", s.Delete(ctx, id), code)
				if there {
					m.deleted = true
				}
			case "undelete":
				want("undelete", s.Undelete(ctx, id), code)
				if there {
					m.deleted = false
				}
			case "purge":
				if there && !m.deleted {
					want("purge of kept", s.Purge(ctx, id), store.Invalid)
					continue
				}
				want("purge", s.Purge(ctx, id), code)
				delete(rigs, id)
			case "tick":
				kind := rapid.SampledFrom([]store.Kind{store.KindDone, store.KindUndone}).Draw(rt, "kind")
				name := rapid.SampledFrom([]string{"square", "subtrim"}).Draw(rt, "tick")
				_, err := s.Note(ctx, id, store.EntryDraft{Kind: kind, Revision: 1, Step: name})
				want("tick", err, code)
				if there {
					m.ticks[name] = kind == store.KindDone
				}
			}
		}
		for _, s := range stores {
			compare(rt, s, rigs)
		}
	})
}

func compare(rt *rapid.T, s store.Store, rigs map[string]*modelRig) {
	snap, err := s.Snapshot(rt.Context())
	if err != nil {
		rt.Fatal(err)
	}
	if err := snap.Check(); err != nil {
		rt.Fatal(err)
	}
	if len(snap.Rigs) != len(rigs) {
		rt.Fatalf("%d rigs, want %d", len(snap.Rigs), len(rigs))
	}
	for _, r := range snap.Rigs {
		m := rigs[r.Rig.ID]
		if m == nil {
			rt.Fatalf("rig %s should be gone", r.Rig.ID)
		}
		var texts []string
		for _, v := range r.Revisions {
			texts = append(texts, v.Text)
		}
		if !slices.Equal(texts, m.texts) || r.Rig.Current != len(texts) || r.Rig.Deleted.IsZero() == m.deleted {
			rt.Fatalf("rig %+v with %q, want %+v", r.Rig, texts, m)
		}
		ticks := store.Ticks(r.Journal)
		for name, on := range m.ticks {
			if _, ticked := ticks[name]; ticked != on {
				rt.Fatalf("step %s ticked: %v, want %v", name, ticked, on)
			}
		}
	}
}
