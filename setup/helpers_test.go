package setup_test

import (
	"math"
	"os"
	"testing"

	"evenlock/internal/effort"
	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

const degree = math.Pi / 180

func TestMain(m *testing.M) {
	effort.Draws(40)
	os.Exit(m.Run())
}

func made(t testing.TB, r *rig.Rig) *setup.Plan {
	t.Helper()
	p, err := setup.Make(r, 1)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func tried(t testing.TB, r *rig.Rig) *setup.Trial {
	t.Helper()
	trial, err := setup.Try(r, 1, 21)
	if err != nil {
		t.Fatal(err)
	}
	return trial
}

// near reports a number that is further than tol from what it should be.
func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, wanted %.12g within %.2g", what, got, want, tol)
	}
}

func valuesAt(t testing.TB, m *steer.Model, servo float64) steer.Values {
	t.Helper()
	s := m.NewState()
	if err := s.Turn(servo); err != nil {
		t.Fatal(err)
	}
	return s.Values()
}

// variants are rigs that a plan is checked on: the starters, and what else a builder may have or
// want.
func variants(t testing.TB) map[string]*rig.Rig {
	all := map[string]*rig.Rig{}
	for _, name := range rigtest.Names() {
		all[name] = rigtest.Starter(t, name)
		all[name+" with toe and no lock wanted"] = rigtest.Starter(t, name, "want.toe=1.5", "want.lock=80", "want.margin=4")
		all[name+" reversed"] = rigtest.Starter(t, name, "settings.reverse=true")
		all[name+" turning the other way"] = rigtest.Starter(t, name, "transmitter.reading.1.angle=-45", "transmitter.reading.2.angle=44")
		all[name+" on a coarse transmitter"] = rigtest.Starter(t, name, "transmitter.max_endpoint=55", "transmitter.reading.1.angle=50")
		bare := rigtest.Starter(t, name)
		bare.Transmitter.Readings = nil
		all[name+" without readings"] = bare
		toothless := rigtest.Starter(t, name)
		toothless.Servo.Teeth = 0
		all[name+" without teeth"] = toothless
	}
	return all
}

// forVariants runs a check of a plan on all of them.
func forVariants(t *testing.T, check func(t *testing.T, r *rig.Rig, p *setup.Plan)) {
	for name, r := range variants(t) {
		t.Run(name, func(t *testing.T) { check(t, r, made(t, r)) })
	}
}

// ends are both ends of a plan with the sign that makes left positive.
func ends(p *setup.Plan) map[float64]*setup.End {
	return map[float64]*setup.End{1: &p.Ends[steer.Left], -1: &p.Ends[steer.Right]}
}
