package report_test

import (
	"bytes"
	"testing"

	"evenlock/engine"
	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

// A rod that stays as it is reads alike in check, in set-up and on the page; and in all of them it
// is as long, and known as well, as the places of its balls make it.
func TestRodsReadAlikeInCheckSetUpAndOnThePage(t *testing.T) {
	stay := 0
	for name, text := range rigtest.Texts(t) {
		s, err := engine.Open(text)
		if err != nil {
			t.Fatal(name, err)
		}
		page, err := s.SetUp()
		if err != nil {
			t.Fatal(name, err)
		}
		r, err := rig.Read(bytes.NewReader(text), name)
		if err != nil {
			t.Fatal(name, err)
		}
		m, err := steer.New(r)
		if err != nil {
			t.Fatal(name, err)
		}
		check, err := report.Check(nil, m)
		if err != nil {
			t.Fatal(name, err)
		}
		plan, err := setup.Make(r, 1)
		if err != nil {
			t.Fatal(name, err)
		}
		setUp := report.SetUp(plan)
		for i, rod := range m.Vehicle.Steering() {
			read := func(d *document.Document) string {
				f, ok := d.Find("rod." + rod.Key)
				if !ok {
					t.Fatalf("%s: %s says nothing of the %s", name, d.Kind, rod.Name)
				}
				return f.Text(document.Reader{})
			}
			long, err := m.RodLength(rod)
			if err != nil {
				t.Fatal(name, err)
			}
			want := document.FU(long.Value, long.Uncertain, document.Length).Text(document.Reader{})
			if got := read(check); got != want {
				t.Errorf("%s: check has the %s %s long, wanted %s", name, rod.Name, got, want)
			}
			if read(page) != read(setUp) {
				t.Errorf("%s: the page has the %s %s long, set-up %s", name, rod.Name, read(page), read(setUp))
			}
			if plan.Rods[i].Leave() {
				stay++
				if got := read(setUp); got != want {
					t.Errorf("%s: set-up leaves the %s %s long, wanted %s", name, rod.Name, got, want)
				}
			}
		}
	}
	if stay < 5 {
		t.Errorf("only %d rods stay", stay)
	}
}
