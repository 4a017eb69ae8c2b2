package vehicle_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"evenlock/rig"
)

// rigs are the starters and the examples, by name.
func rigs(t *testing.T) map[string]*rig.Rig {
	t.Helper()
	texts := map[string][]byte{}
	for _, s := range rig.Starters() {
		texts[s.Name] = s.Text
	}
	files, err := filepath.Glob("../examples/*.toml")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	for _, f := range files {
		if texts[filepath.Base(f)], err = os.ReadFile(f); err != nil {
			t.Fatal(err)
		}
	}
	all := map[string]*rig.Rig{}
	for name, text := range texts {
		if all[name], err = rig.Read(bytes.NewReader(text), name); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// TestRigsHangTogether checks that the lists of whole rigs are without fault: they build.
func TestRigsHangTogether(t *testing.T) {
	for name, r := range rigs(t) {
		for _, suspended := range []bool{false, true} {
			v, err := r.Expand(suspended)
			if err != nil {
				t.Fatal(name, err)
			}
			for _, e := range v.Check() {
				t.Errorf("%s, suspended %v: %v", name, suspended, e)
			}
			for _, a := range v.Axles {
				if _, err := v.Of(a.Number()).Build(); err != nil {
					t.Errorf("%s, axle %d: %v", name, a.Number(), err)
				}
			}
		}
	}
}
