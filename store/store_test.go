package store_test

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"evenlock/store"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// The browser's store and the page's script read the same JSON: a change here is
// a change for them.
func TestJSONShapesStayAsTheyAre(t *testing.T) {
	at := time.Date(2026, 1, 2, 3, 4, 5, 678e6, time.UTC)
	draft := store.Draft{Name: "Bench mule", Text: "a = 1\n", Note: "as measured", By: "page"}
	got, err := json.MarshalIndent(map[string]any{
		"rig":         store.Rig{ID: "r", Name: "Bench mule", Current: 2, Created: at, Changed: at},
		"deleted rig": store.Rig{ID: "r", Name: "Bench mule", Current: 2, Created: at, Changed: at, Deleted: at},
		"revision":    store.Revision{ID: "v", Rig: "r", Number: 2, Parent: 1, Saved: at, Draft: draft},
		"listed":      store.Revision{ID: "v", Rig: "r", Number: 1, Saved: at, Draft: store.Draft{Name: "Bench mule"}},
		"tick":        store.Entry{ID: "e", Rig: "r", Written: at, EntryDraft: store.EntryDraft{Kind: store.KindDone, Revision: 2, Step: "square"}},
		"note":        store.Entry{ID: "e", Rig: "r", Written: at, EntryDraft: store.EntryDraft{Kind: store.KindNote, Revision: 2, Text: "wobbles", By: "page"}},
		"strike":      store.Entry{ID: "e", Rig: "r", Written: at, EntryDraft: store.EntryDraft{Kind: store.KindStrike, Revision: 2, Target: "e"}},
		"change":      store.Change{What: store.RigSaved, Rig: "r", Revision: 2},
		"report":      store.MergeReport{Rigs: []store.MergedRig{{ID: "r", Name: "Bench mule", Revisions: 1, Entries: 2, Beside: true}}, Settings: 3},
		"error":       (&store.ConflictError{Newer: store.Revision{Number: 2, Draft: draft}}).Told(),
	}, "", "\t")
	if err != nil {
		t.Fatal(err)
	}
	const golden = "testdata/shapes.json"
	if *update {
		if err := os.WriteFile(golden, append(got, '\n'), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if string(got)+"\n" != strings.ReplaceAll(string(want), "\r\n", "\n") {
		t.Errorf("got %s", got)
	}
}

func TestEveryCodeHasAStatusAndAnExitCode(t *testing.T) {
	for code, status := range map[store.Code]int{
		store.Invalid: 400, store.NotFound: 404, store.Conflict: 409, store.Deleted: 409, store.TooLarge: 413, store.Full: 507,
		store.Busy: 503, store.Newer: 500, store.Damaged: 500, store.Unavailable: 503, store.Forbidden: 403, store.WrongType: 415,
		store.TooMany: 429, store.Internal: 500, "unheard of": 500,
	} {
		if code.Status() != status || code.Exit() < 64 || code.Exit() > 78 {
			t.Errorf("%s: status %d, exit code %d", code, code.Status(), code.Exit())
		}
	}
}

func TestAnUnknownErrorIsToldWithoutItsText(t *testing.T) {
	beneath := errors.New("disk sector 7 says no")
	told := store.Tell(fmt.Errorf("saving: %w", beneath))
	if told.Code != store.Internal || strings.Contains(told.Message+told.Remedy, "sector") || !errors.Is(told, beneath) {
		t.Errorf("told %+v", told)
	}
	if store.CodeOf(nil) != "" {
		t.Error("no error has a code")
	}
}

func TestSlugsAreSafeInFileNames(t *testing.T) {
	for name, want := range map[string]string{
		"Grey crawler":            "grey-crawler",
		"  ../../etc/passwd  ":    "etc-passwd",
		"ÖLRIG 2 — neu":           "ölrig-2-neu",
		"<script>":                "script",
		"???":                     "rig",
		"":                        "rig",
		"C:\\x\x00\u202e":         "c-x",
		strings.Repeat("ab ", 99): strings.Repeat("ab-", 20) + "a",
	} {
		if got := store.Slug(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}

func TestIDs(t *testing.T) {
	if a, b := store.NewID(), store.NewID(); a == b || !store.ValidID(a) {
		t.Errorf("%q, %q", a, b)
	}
	for _, id := range []string{"", "a", strings.Repeat("A", 26), strings.Repeat("1", 26), strings.Repeat("a", 27), strings.Repeat("é", 13)} {
		if store.ValidID(id) {
			t.Errorf("%q passes", id)
		}
	}
}

func ExampleTicks() {
	journal := []store.Entry{
		{EntryDraft: store.EntryDraft{Kind: store.KindDone, Revision: 3, Step: "square"}},
		{EntryDraft: store.EntryDraft{Kind: store.KindDone, Revision: 3, Step: "subtrim"}},
		{EntryDraft: store.EntryDraft{Kind: store.KindUndone, Revision: 4, Step: "subtrim"}},
	}
	for step, entry := range store.Ticks(journal) {
		fmt.Printf("%s was done on revision %d\n", step, entry.Revision)
	}
	// Output: square was done on revision 3
}
