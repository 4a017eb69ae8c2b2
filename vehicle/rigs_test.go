package vehicle_test

import (
	"testing"

	"evenlock/internal/rigtest"
)

// TestRigsHangTogether checks that the lists of whole rigs are without fault: they build.
func TestRigsHangTogether(t *testing.T) {
	for name, r := range rigtest.Rigs(t) {
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
