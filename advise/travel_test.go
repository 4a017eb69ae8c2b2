package advise_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/advise"
	"evenlock/internal/rigtest"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// heaveSteer is the most in degrees that either wheel is steered from ride height to a place of
// both wheels.
func heaveSteer(t *testing.T, m *steer.Model, heights ...float64) (most float64) {
	t.Helper()
	road := m.NewState().Road()
	left, right := road[0], road[1]
	for _, z := range heights {
		s := m.NewState()
		if err := s.Move(0, steer.WheelTravel{Left: z, Right: z}); err != nil {
			t.Fatal(err)
		}
		road := s.Road()
		l, r := road[0], road[1]
		most = max(most, math.Abs(l-left)/degree, math.Abs(r-right)/degree)
	}
	return most
}

// The shim that is proposed is tried here by moving the ball in the rig itself.
func TestBumpSteerIsWhatTheTravelGivesAndTheShimLeaves(t *testing.T) {
	r := rigtest.Starter(t, "rack")
	list, _ := adviceOn(t, r)
	f, facts := factsOn[*advise.BumpSteer](t, list, "travel.bump")
	if f.Kind != advise.Do || len(facts.Better.Moves) != 2 {
		t.Fatalf("%v: %+v", f.Kind, facts)
	}
	for _, move := range facts.Better.Moves {
		near(t, move.Ball+" down", move.By.Z, -2.8, 1e-9)
		near(t, move.Ball+" across", move.By.Y, 0, 0)
	}
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	ends := []float64{-10, -8, -6, -4, -2, 2, 4, 6, 8, 10, 12}
	near(t, "most steer", math.Abs(facts.Most.Value)/degree, heaveSteer(t, m, ends...), 1e-6)
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
	near(t, "most steer with the shim", changed(t, f).After.Value/degree, heaveSteer(t, m, ends...), 0.01)
	near(t, "weight", f.Weight, math.Abs(facts.Most.Value)-facts.Most.Uncertain-f.Change.After.Value, 1e-11)
}

func TestServoOnTheAxleIsLeftAlone(t *testing.T) {
	suspension := string(rigtest.StarterText(t, "chassis"))
	from, to := strings.Index(suspension, "[suspension]"), strings.Index(suspension, "# What the transmitter can do")
	list, _ := adviceOn(t, rigtest.Read(t, append(rigtest.StarterText(t, "far-knuckle"), suspension[from:to]...)))
	f, facts := factsOn[*advise.BumpSteer](t, list, "travel.bump")
	if f.Kind != advise.Well || !facts.OnAxle || f.Change != nil {
		t.Errorf("%v: %+v", f.Kind, facts)
	}
	near(t, "turn of a knuckle", facts.Knuckle, 0, 0.05*degree)
}

// The angle is that of two lines in the plane Y, Z, by the places in the file.
func TestPanhardIsComparedWithTheDragLink(t *testing.T) {
	r := rigtest.Starter(t, "chassis")
	list, s := adviceOn(t, r)
	f, facts := factsOn[*advise.Panhard](t, list, "travel.panhard")
	slope := func(y, z float64) float64 { return math.Atan(z/y) / degree }
	link := r3.Sub(s.Plan.Before.Servo.Ball.At, s.Plan.Before.Servo.Far().At)
	want := slope(link.Y, link.Z) - slope(38+58, 46-26)
	near(t, "angle", facts.FrontAngle.Value/degree, want, 1e-6)
	near(t, "panhard", facts.Link.Length, math.Hypot(38+58, 46-26), 1e-9)
	if f.Kind != advise.Know {
		t.Errorf("%v: %+v", f.Kind, facts)
	}
	// Level links of one length have nothing to be parallel with.
	list, _ = adviceOn(t, rigtest.Starter(t, "rack"))
	for _, f := range list {
		if f.Key == "travel.panhard" {
			t.Errorf("%+v", f.Facts)
		}
	}
}

func TestLimitsThatTheTravelPassesAreFound(t *testing.T) {
	m, err := steer.NewSuspended(rigtest.Starter(t, "chassis", "drag_link.end_angle=20"))
	if err != nil {
		t.Fatal(err)
	}
	list, _ := adviceOn(t, m.Rig)
	_, binds := factsOn[*advise.Binds](t, list, "travel.binds")
	s := m.NewState()
	if err := s.Move(0, steer.WheelTravel{Left: -24, Right: -24}); err != nil {
		t.Fatal(err)
	}
	over := 0.0
	for i, l := range m.Limits() {
		over = max(over, s.Limit(i)-l.Most)
	}
	near(t, "beyond the limit", binds.Over, over, 1e-8)
	if binds.Limit.Unit != steer.Radian || binds.Travel != (steer.WheelTravel{Left: -24, Right: -24}) {
		t.Errorf("%+v", binds)
	}
	list, _ = adviceOn(t, rigtest.Starter(t, "chassis", "suspension.droop=200"))
	if _, short := factsOn[*advise.Short](t, list, "travel.short"); short.Stop.Reached.Left <= -200 {
		t.Errorf("it goes down to %+v", short.Stop.Reached)
	}
	list, _ = adviceOn(t, rigtest.Starter(t, "chassis", "drag_link.end_angle=29"))
	f, lock := factsOn[*advise.TravelLock](t, list, "travel.lock")
	if f.Kind != advise.Know || lock.Stop.Key != "drag_link.end_angle" {
		t.Errorf("%v: %+v", f.Kind, lock)
	}
	near(t, "weight", f.Weight, lock.Ride-lock.Lock, 1e-12)
}

// Room between two parts is in millimetres. A ball on the axle's middle meets one on the chassis 30
// mm above it: how near they come follows from where the axle's middle goes, by Pythagoras.
func TestPartsThatMeetInTheTravelAreSoManyMillimetresTooNear(t *testing.T) {
	r := rigtest.Read(t, append(rigtest.StarterText(t, "chassis"), `
[[part]]
name = "bump stop"
on = "chassis"
shape = "ball"
centre = [0, 0, 30]
radius = 5
gap = 2
[[part]]
name = "pad"
on = "axle"
shape = "ball"
centre = [0, 0, 0]
radius = 5
`...))
	list, _ := adviceOn(t, r)
	_, facts := factsOn[*advise.Binds](t, list, "travel.binds")
	if facts.Limit.Unit != steer.Millimetre || facts.Limit.Key != "part.1" {
		t.Fatalf("%+v", facts)
	}
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	s := m.NewState()
	if err := s.Move(0, facts.Travel); err != nil {
		t.Fatal(err)
	}
	middle := s.Carried()
	apart := math.Hypot(math.Hypot(middle.Forward, middle.Side), 30-middle.Up)
	near(t, "nearer than they may be", facts.Over, 5+5+2-apart, 1e-6)
}
