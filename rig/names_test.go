package rig_test

import (
	"fmt"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
)

// A builder may call a part what another part, a rod or a tyre is called already: in the lists each
// has a name of its own, so that what is said of one is not taken for the other.
func TestPartsOfOneNameAreToldApart(t *testing.T) {
	text := rigtest.StarterText(t, "far-knuckle")
	for _, name := range []string{"post", "post", "tie rod", "left tyre"} {
		text = fmt.Appendf(text, "\n[[part]]\nname = %q\non = \"chassis\"\nshape = \"ball\"\ncentre = [0, 0, 160]\nradius = 2\n", name)
	}
	v, err := rigtest.Read(t, text).Expand(false)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, s := range v.Shapes {
		names = append(names, s.Name)
	}
	if got := strings.Join(names, ", "); got != "post, post (2), tie rod (3), left tyre (4)" {
		t.Errorf("the parts are called %s", got)
	}
	if errs := v.Check(); len(errs) > 0 {
		t.Errorf("the check says %v", errs)
	}
}
