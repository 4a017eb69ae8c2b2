package steer_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"evenlock/internal/effort"
	"evenlock/internal/rigtest"
	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"

	"pgregory.net/rapid"
)

// sprung are the starters with a suspension: links and a panhard rod, arms, struts.
var sprung = []string{"chassis", "centre-crank", "rack"}

func travels(t testing.TB, r *rig.Rig) *steer.Model {
	t.Helper()
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func moved(t testing.TB, m *steer.Model, servo float64, travel steer.WheelTravel) *steer.State {
	t.Helper()
	s := m.NewState()
	if err := s.Move(servo, travel); err != nil {
		t.Fatal(err)
	}
	return s
}

var someTravels = []steer.WheelTravel{{Left: 8, Right: 8}, {Left: -7, Right: -7}, {Left: 6, Right: -6}, {Left: 9}, {Right: -5}}

func TestSuspendedRigSteersAtRideHeightAsTheOtherOneDoes(t *testing.T) {
	for _, name := range sprung {
		r := rigtest.Starter(t, name)
		m, still := travels(t, r), model(t, r)
		for _, servo := range servoAngles {
			got, want := moved(t, m, servo*degree, steer.WheelTravel{}).Values(), valuesAt(t, still, servo*degree)
			for _, q := range differentiable() {
				near(t, name+" "+q.Info().Key, got[q], want[q], 1e-10*scale(&want, q))
			}
		}
	}
}

func TestTravelIsWhatWasAskedFor(t *testing.T) {
	for _, name := range sprung {
		m := travels(t, rigtest.Starter(t, name))
		home, left, right := m.NewState(), m.Wheels[steer.Left].Risen.Handle, m.Wheels[steer.Right].Risen.Handle
		for _, travel := range someTravels {
			s := moved(t, m, 0.2, travel)
			near(t, name+" left", s.Pose().Ball(left).Z-home.Pose().Ball(left).Z, travel.Left, 1e-8)
			near(t, name+" right", s.Pose().Ball(right).Z-home.Pose().Ball(right).Z, travel.Right, 1e-8)
			if s.WheelTravel() != travel {
				t.Errorf("%s says %v at %v", name, s.WheelTravel(), travel)
			}
		}
	}
}

// The way there must not matter, nor whether the servo or the suspension goes first.
func TestWayThroughTheTravelDoesNotMatter(t *testing.T) {
	for _, name := range sprung {
		m := travels(t, rigtest.Starter(t, name))
		s := m.NewState()
		for _, servo := range servoAngles {
			for _, travel := range someTravels {
				if err := s.Move(servo*degree, travel); err != nil {
					t.Fatal(err)
				}
				got, want := s.Values(), moved(t, m, servo*degree, travel).Values()
				for _, q := range differentiable() {
					near(t, name+" "+q.Info().Key, got[q], want[q], 1e-8*scale(&want, q))
				}
			}
		}
	}
}

func TestSensitivitiesOverTheTravelAreTheDifferencesOfRebuiltRigs(t *testing.T) {
	for _, name := range sprung {
		t.Run(name, func(t *testing.T) {
			r := rigtest.Starter(t, name)
			m := travels(t, r)
			suspended := 0
			for i, q := range m.Measures() {
				if len(q.Path) > 10 && q.Path[:10] == "suspension" {
					suspended++
				}
				step := rigtest.Step(q)
				for j, travel := range someTravels[:4] {
					servo := servoAngles[j] * degree
					got := moved(t, m, servo, travel).Sensitivity(i)
					at := moved(t, m, servo, travel).Values()
					high := moved(t, travels(t, rigtest.Moved(r, i, step)), servo, travel).Values()
					low := moved(t, travels(t, rigtest.Moved(r, i, -step)), servo, travel).Values()
					for _, k := range differentiable() {
						want := (high[k] - low[k]) / (2 * step)
						near(t, fmt.Sprintf("%s by %s at %v", k.Info().Key, q.Path, travel), got[k], want, 1e-6*scale(&at, k)+2e-5*math.Abs(want))
					}
				}
			}
			if suspended < 6 {
				t.Errorf("only %d measurements of the suspension", suspended)
			}
		})
	}
}

func TestRatesOverTheTravelAreTheDifferencesOfNeighbouringPoses(t *testing.T) {
	const step = 1e-5
	for _, name := range sprung {
		m := travels(t, rigtest.Starter(t, name))
		for j, travel := range someTravels {
			servo := servoAngles[j] * degree
			got := moved(t, m, servo, travel).Rates()
			high, low := moved(t, m, servo+step, travel).Values(), moved(t, m, servo-step, travel).Values()
			for _, k := range differentiable() {
				near(t, name+" "+k.Info().Key, got[k], (high[k]-low[k])/(2*step), 1e-5*(scale(&high, k)+math.Abs(got[k])))
			}
		}
	}
}

func TestMirroredRigTravelsMirrored(t *testing.T) {
	all := starters(t, sprung)
	impossible, unreached := effort.Count(t), effort.Count(t)
	rapid.Check(t, func(t *rapid.T) {
		r := rigtest.Jiggled(t, all, sprung)
		mirrored := rigtest.Mirrored(r)
		travel := steer.WheelTravel{Left: rapid.Float64Range(-8, 8).Draw(t, "left"), Right: rapid.Float64Range(-8, 8).Draw(t, "right")}
		servo := rapid.Float64Range(-25, 25).Draw(t, "servo") * degree
		a, errA := steer.NewSuspended(r)
		b, errB := steer.NewSuspended(mirrored)
		if (errA == nil) != (errB == nil) {
			t.Fatalf("one of the two cannot be: %v, %v", errA, errB)
		}
		effort.SkipOn[*linkage.LimitError](t, impossible, errA)
		s, o := a.NewState(), b.NewState()
		errA, errB = s.Move(servo, travel), o.Move(-servo, steer.WheelTravel{Left: travel.Right, Right: travel.Left})
		if (errA == nil) != (errB == nil) {
			t.Fatalf("one of the two does not go there: %v, %v", errA, errB)
		}
		effort.SkipOn[*steer.TravelError](t, unreached, errA)
		road, other := s.Road(), o.Road()
		l, rr, ml, mr := road[0], road[1], other[0], other[1]
		if math.Abs(l+mr) > 1e-8 || math.Abs(rr+ml) > 1e-8 {
			t.Errorf("road angles %v %v, mirrored %v %v", l, rr, ml, mr)
		}
		if c, d := s.Carried(), o.Carried(); math.Abs(c.Side+d.Side) > 1e-7 || math.Abs(c.Yaw+d.Yaw) > 1e-8 || math.Abs(c.Pitch-d.Pitch) > 1e-8 {
			t.Errorf("carried %+v, mirrored %+v", c, d)
		}
	})
}

func TestTravelThatIsNotReachedSaysWhereItStops(t *testing.T) {
	for _, name := range sprung {
		m := travels(t, rigtest.Starter(t, name))
		s := m.NewState()
		if err := s.Move(5*degree, steer.WheelTravel{Left: 3, Right: 3}); err != nil {
			t.Fatal(err)
		}
		before := s.Values()
		err := s.Move(5*degree, steer.WheelTravel{Left: 300, Right: 300})
		var stop *steer.TravelError
		if !errors.As(err, &stop) {
			t.Fatalf("%s: %v", name, err)
		}
		if s.WheelTravel() != (steer.WheelTravel{Left: 3, Right: 3}) || s.Values() != before {
			t.Errorf("%s is not where it was", name)
		}
		if stop.Reached.Left <= 3 || stop.Reached.Left >= 300 {
			t.Errorf("%s reaches %v", name, stop.Reached)
		}
		// It goes to just there, and not a thousandth of a millimetre further.
		if err := m.NewState().Move(5*degree, stop.Reached); err != nil {
			t.Errorf("%s does not go to where it stops: %v", name, err)
		}
		if err := m.NewState().Move(5*degree, steer.WheelTravel{Left: stop.Reached.Left + 1e-3, Right: stop.Reached.Right + 1e-3}); err == nil {
			t.Errorf("%s goes beyond where it stops", name)
		}
	}
}

func TestFromTheEndOfItsTravelItComesBack(t *testing.T) {
	for _, name := range sprung {
		m := travels(t, rigtest.Starter(t, name))
		s := m.NewState()
		var stop *steer.TravelError
		if err := s.Move(0, steer.WheelTravel{Right: 300}); !errors.As(err, &stop) {
			t.Fatalf("%s: %v", name, err)
		}
		for _, travel := range []steer.WheelTravel{stop.Reached, {}, stop.Reached, {Left: 3, Right: -2}} {
			if err := s.Move(0, travel); err != nil {
				t.Fatalf("%s at %v: %v", name, travel, err)
			}
			got, want := s.Values(), moved(t, m, 0, travel).Values()
			near(t, name+" left wheel", got[steer.Road.Of(steer.Left)], want[steer.Road.Of(steer.Left)], 1e-6)
		}
	}
}

// With the servo far over, the struts do not go to where they go with it straight.
func TestMoveFindsTheWayThatTheSteeringBars(t *testing.T) {
	m := travels(t, rigtest.Starter(t, "rack"))
	s := m.NewState()
	if err := s.Turn(-1.2); err != nil {
		t.Fatal(err)
	}
	if err := s.Move(0, steer.WheelTravel{Left: -12, Right: -12}); err != nil {
		t.Error(err)
	}
}

func TestWithoutSuspensionThereIsNoTravel(t *testing.T) {
	r := rigtest.Starter(t, "far-knuckle")
	if _, err := steer.NewSuspended(r); !errors.Is(err, steer.ErrNoSuspension) {
		t.Errorf("the error is %v", err)
	}
	if err := model(t, r).NewState().Move(0, steer.WheelTravel{Left: 1}); !errors.Is(err, steer.ErrNoSuspension) {
		t.Errorf("the error is %v", err)
	}
}

// A stated motion straight up and down with a servo on the chassis is the plane case of shared
// knowledge about panhard rods: an axle that does not go sideways. The drag link's far ball then
// goes straight up by z, and to keep its length L the knuckle turns until that ball is closer by L
// - √(L² - z²) (Pythagoras, for a level link).
func TestStatedMotionAgreesWithPythagoras(t *testing.T) {
	const link, arm, rise = 100.0, 28.0, 12.0
	text := fmt.Sprintf(`
format = 1
name = "level link (invented)"
[vehicle]
wheelbase = 300
track = 200
[left.kingpin]
point = [0, 75, 0]
caster = 0
[left.wheel]
tyre_radius = 50
tyre_width = 30
[left.tie_arm]
ball = [-28, 75, 0]
[right.drag_arm]
ball = [%g, -75, 20]
[tie_rod]
[servo]
mount = "chassis"
point = [%g, 25, 20]
axis = "up"
[horn]
ball = [%g, 25, 20]
[drag_link]
to = "right"
[suspension]
kind = "stated"
bump = 20
droop = 20
roll_centre = [0, 0, 20]
`, arm, arm-20, arm)
	m := travels(t, rigtest.Read(t, []byte(text)))
	for _, z := range []float64{rise, -rise} {
		right := moved(t, m, 0, steer.WheelTravel{Left: z, Right: z}).Road()[1]
		// The ball on an arm of 28 mm at angle δ: |ball - horn| = 100 with ball = (28 cos δ, -75 +
		// 28 sin δ, 20 + z), horn = (28, 25, 20).
		miss := math.Hypot(math.Hypot(arm*math.Cos(right)-arm, -75+arm*math.Sin(right)-25), z) - link
		near(t, "length of the link", miss, 0, 1e-9)
		want := math.Asin((link - math.Sqrt(link*link-z*z)) / arm) // the arm's own shortening is of higher order
		near(t, "turn of the knuckle", math.Abs(right), want, 0.01*want)
	}
}

func TestServoOnTheAxleIsUnmovedByAnySuspension(t *testing.T) {
	suspension := string(rigtest.StarterText(t, "chassis"))
	from, to := indexOf(suspension, "[suspension]"), indexOf(suspension, "# What the transmitter can do. Take")
	for _, name := range []string{"far-knuckle", "behind", "tie-rod"} {
		m := travels(t, rigtest.Read(t, append(rigtest.StarterText(t, name), suspension[from:to]...)))
		for _, travel := range someTravels {
			for _, servo := range servoAngles {
				got, want := moved(t, m, servo*degree, travel).Values(), moved(t, m, servo*degree, steer.WheelTravel{}).Values()
				for _, q := range []steer.Quantity{steer.Turn.Of(steer.Left), steer.Turn.Of(steer.Right), steer.HornAngle, steer.Joint.Of(steer.Left)} {
					near(t, name+" "+q.Info().Key, got[q], want[q], 1e-10)
				}
			}
		}
	}
}

func indexOf(s, part string) int {
	for i := range s {
		if len(s)-i >= len(part) && s[i:i+len(part)] == part {
			return i
		}
	}
	return -1
}
