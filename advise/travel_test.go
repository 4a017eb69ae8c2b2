package advise_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/advise"
	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/steer"
)

// heaveSteer is the most in degrees that either wheel is steered from ride height to a place of both wheels.
func heaveSteer(t *testing.T, m *steer.Model, heights ...float64) (most float64) {
	t.Helper()
	left, right := m.NewState().Road()
	for _, z := range heights {
		s := m.NewState()
		if err := s.Move(0, steer.WheelTravel{Left: z, Right: z}); err != nil {
			t.Fatal(err)
		}
		l, r := s.Road()
		most = max(most, math.Abs(l-left)/degree, math.Abs(r-right)/degree)
	}
	return most
}

// The shim that is proposed is tried here by moving the ball in the rig itself.
func TestBumpSteerIsWhatTheTravelGivesAndTheShimLeaves(t *testing.T) {
	r := rigtest.Starter(t, "rack")
	list, _ := adviceOn(t, r)
	p := find(t, list, "travel.bump")
	if p.Kind != advise.Do || !strings.Contains(p.Sentence, "lower both inner balls by 2.8 mm") {
		t.Fatalf("%v: %s", p.Kind, p.Sentence)
	}
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	ends := []float64{-10, -8, -6, -4, -2, 2, 4, 6, 8, 10, 12}
	near(t, "most steer", math.Abs(p.Figures[0].Value), heaveSteer(t, m, ends...), 1e-6)
	twin := r.Clone()
	twin.Rack.LeftBall[2].Value -= 2.8
	twin.Rack.RightBall[2].Value -= 2.8
	// The rods have no lengths in the file, and so are as long as keeps the wheels straight.
	if twin.Rack.LeftRod.Length.Given || twin.DragLink.Length.Given {
		t.Fatal("the starter states the length of its rods")
	}
	if m, err = steer.NewSuspended(twin); err != nil {
		t.Fatal(err)
	}
	near(t, "most steer with the shim", p.Change.After.Value, heaveSteer(t, m, ends...), 0.01)
	near(t, "weight", p.Weight/degree, math.Abs(p.Figures[0].Value)-p.Figures[0].Uncertain-p.Change.After.Value, 1e-9)
}

func TestServoOnTheAxleIsLeftAlone(t *testing.T) {
	suspension := string(rigtest.StarterText(t, "chassis"))
	from, to := strings.Index(suspension, "[suspension]"), strings.Index(suspension, "# What the transmitter can do")
	list, _ := adviceOn(t, rigtest.Read(t, append(rigtest.StarterText(t, "far-knuckle"), suspension[from:to]...)))
	p := find(t, list, "travel.bump")
	if p.Kind != advise.Well || !strings.Contains(p.Sentence, "turns no knuckle on it (0.0°)") {
		t.Errorf("%v: %s", p.Kind, p.Sentence)
	}
}

// The angle is that of two lines in the plane Y, Z, by the places in the file.
func TestPanhardIsComparedWithTheDragLink(t *testing.T) {
	r := rigtest.Starter(t, "chassis")
	list, s := adviceOn(t, r)
	p := find(t, list, "travel.panhard")
	slope := func(y, z float64) float64 { return math.Atan(z/y) / degree }
	g := s.Plan.Before.Geometry
	want := slope(g.HornBall.Y-g.Pulled.Y, g.HornBall.Z-g.Pulled.Z) - slope(38+58, 46-26)
	near(t, "angle", p.Figures[0].Value, want, 1e-6)
	near(t, "panhard", p.Figures[2].Value, math.Hypot(38+58, 46-26), 1e-9)
	if p.Kind != advise.Know {
		t.Errorf("%v: %s", p.Kind, p.Sentence)
	}
	// Level links of one length have nothing to be parallel with.
	list, _ = adviceOn(t, rigtest.Starter(t, "rack"))
	for _, p := range list {
		if p.Key == "travel.panhard" {
			t.Error(p.Sentence)
		}
	}
}

func TestWhatTheTravelDoesToTheLimitsIsSaid(t *testing.T) {
	m, err := steer.NewSuspended(rigtest.Starter(t, "chassis", "drag_link.end_angle=20"))
	if err != nil {
		t.Fatal(err)
	}
	list, _ := adviceOn(t, m.Rig)
	p := find(t, list, "travel.binds")
	s := m.NewState()
	if err := s.Move(0, steer.WheelTravel{Left: -24, Right: -24}); err != nil {
		t.Fatal(err)
	}
	over := 0.0
	for i, l := range m.Limits() {
		over = max(over, (s.Limit(i)-l.Most)/degree)
	}
	near(t, "beyond the limit", p.Figures[1].Value, over, 1e-6)
	for name, wants := range map[string]*rig.Rig{
		"travel.short": rigtest.Starter(t, "chassis", "suspension.droop=200"),
		"travel.lock":  rigtest.Starter(t, "chassis", "drag_link.end_angle=29"),
	} {
		list, _ := adviceOn(t, wants)
		p := find(t, list, name)
		if p.Kind != advise.Know || len(p.Figures) != 2 {
			t.Errorf("%v: %s", p.Kind, p.Sentence)
		}
	}
}
