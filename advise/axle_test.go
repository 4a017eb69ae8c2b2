package advise_test

import (
	"math"
	"testing"

	"evenlock/advise"
	"evenlock/internal/rigtest"
)

// A rear axle that is the front one turned by half a turn gets the advice that that gets. The loads
// are left out: what weighs on the two axles differs.
func TestRearAxleThatIsTheFrontOneTurnedGetsItsAdvice(t *testing.T) {
	for _, name := range rigtest.Names() {
		t.Run(name, func(t *testing.T) {
			r := rigtest.Twin(t, rigtest.Starter(t, name))
			var lists [2][]advise.Finding
			for i := range lists {
				s, err := advise.Evaluate(r, i+1)
				if err != nil {
					t.Fatal(err)
				}
				s.Load = nil
				if lists[i], err = advise.List(s, advise.Sources()...); err != nil {
					t.Fatal(err)
				}
			}
			front, rear := lists[0], lists[1]
			if len(rear) != len(front) {
				t.Fatalf("%d findings, in front %d", len(rear), len(front))
			}
			for _, f := range front {
				twin := find(t, rear, f.Key)
				if twin.Kind != f.Kind || math.Abs(twin.Weight-f.Weight) > 1e-6 {
					t.Errorf("%s is %v and weighs %g, in front %v and %g", f.Key, twin.Kind, twin.Weight, f.Kind, f.Weight)
				}
				got, want := sizes(&twin), sizes(&f)
				if len(got) != len(want) {
					t.Errorf("%s: %v, in front %v", f.Key, got, want)
					continue
				}
				for i := range want {
					near(t, f.Key, got[i], want[i], 1e-6*(1+want[i]))
				}
			}
		})
	}
}
