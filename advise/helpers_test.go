package advise_test

import (
	"math"
	"os"
	"testing"

	"evenlock/advise"
	"evenlock/internal/effort"
	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/steer"
)

const degree = math.Pi / 180

func TestMain(m *testing.M) {
	effort.Draws(15) // advice on one rig takes a tenth of a second
	os.Exit(m.Run())
}

func adviceOn(t testing.TB, r *rig.Rig) ([]advise.Finding, *advise.Evaluation) {
	t.Helper()
	list, s, err := advise.Of(r, 1)
	if err != nil {
		t.Fatal(err)
	}
	return list, s
}

// find returns the finding of a key.
func find(t testing.TB, list []advise.Finding, key string) advise.Finding {
	t.Helper()
	for _, p := range list {
		if p.Key == key {
			return p
		}
	}
	t.Fatalf("nothing was found on %s", key)
	return advise.Finding{}
}

// factsOn are the facts of the finding of a key, with the finding.
func factsOn[T advise.Facts](t testing.TB, list []advise.Finding, key string) (advise.Finding, T) {
	t.Helper()
	f := find(t, list, key)
	facts, ok := f.Facts.(T)
	if !ok {
		t.Fatalf("%s rests on %T", key, f.Facts)
	}
	return f, facts
}

// changed is the change that a finding proposes.
func changed(t testing.TB, f advise.Finding) *advise.Change {
	t.Helper()
	if f.Change == nil {
		t.Fatalf("%s is %v, and no change is proposed", f.Key, f.Kind)
	}
	return f.Change
}

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, wanted %.12g within %.2g", what, got, want, tol)
	}
}

func modelOf(t testing.TB, r *rig.Rig) *steer.Model {
	t.Helper()
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// roads are the road angles of both wheels in degrees at a servo angle in degrees.
func roads(t testing.TB, m *steer.Model, servo float64) (left, right float64) {
	t.Helper()
	s := m.NewState()
	if err := s.Turn(servo * degree); err != nil {
		t.Fatal(err)
	}
	road := s.Road()
	left, right = road[0], road[1]
	return left / degree, right / degree
}

// more is what flat rigs state besides: stops far enough out, and a lock wanted.
const more = `
[left.stops]
in = 60
out = 60
[want]
lock = 25
margin = 1
`

// uneven is a flat rig that is off square by a good deal: the horn leans, the knuckle's arm is
// angled, and the tie arms are parallel, which is off Ackermann.
func uneven() rigtest.Planar {
	return rigtest.Planar{
		Spacing: 160, Wheelbase: 300, TieArm: 25, TieInward: 0, DragArm: 25, DragInward: 0,
		ServoX: 10, ServoY: -40, Horn: 20, Lean: 14, More: more,
	}
}

// parallelogram is a flat rig in which horn and knuckle's arm are equal and parallel and the link
// is square to both, on a wheelbase so long that parallel wheels are Ackermann.
func parallelogram() rigtest.Planar {
	return rigtest.Planar{
		Spacing: 160, Wheelbase: 9e4, TieArm: 25, TieInward: 0, DragArm: 20, DragInward: 0,
		ServoX: 0, ServoY: -20, Horn: 20, Lean: 0, More: more,
	}
}
