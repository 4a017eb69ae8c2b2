package load_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// On a wheel travel as at ride height the servo's torque times its turning is the wheels' moments
// times theirs.
func TestServoTorqueIsVirtualWorkOverTheTravel(t *testing.T) {
	for _, name := range []string{"chassis", "centre-crank", "rack"} {
		m, err := steer.NewSuspended(rigtest.Starter(t, name))
		if err != nil {
			t.Fatal(err)
		}
		b := load.NewBench(m)
		push := func(w *load.Wheel) load.Ask {
			return load.Ask{Contacts: []load.Contact{{At: r3.Add(w.Centre, r3.Vec{X: 20, Z: -30}), Force: r3.Vec{X: -9, Y: 3, Z: 14}}}}
		}
		for _, travel := range []steer.WheelTravel{{}, {Left: 8, Right: 8}, {Left: 7, Right: -6}} {
			if err := b.Travel(travel); err != nil {
				t.Fatal(err)
			}
			for _, servo := range []float64{-0.4, 0, 0.3} {
				s, err := b.At(servo, 0, load.Demands{push, nil})
				if err != nil {
					t.Fatal(err)
				}
				rate := rateOfTurn(t, m, servo, travel)
				if got, want := torque(s), -s.Wheels[0].Ask*rate; math.Abs(got-want) > 1e-5*math.Abs(want) {
					t.Errorf("%s at %v, servo %v: torque %v, by virtual work %v", name, travel, servo, got, want)
				}
			}
		}
	}
}

// With a servo to each wheel, what is on the one wheel asks nothing of the other's servo.
func TestEachOfTwoServosBearsItsOwnWheel(t *testing.T) {
	text := string(rigtest.StarterText(t, "far-knuckle"))
	from, to := strings.Index(text, "[tie_rod]"), strings.Index(text, "# The steering servo")
	r := rigtest.Read(t, []byte(text[:from]+text[to:]+`
[left.drag_arm]
ball = [26, 74.5, 19]

[second_servo]
mount = "axle"
point = [20, -22, 37]
axis = "forward"
ball = [26, -24.5, 19.2]
follows = 1
`))
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	b := load.NewBench(m)
	ask := load.Standing(0.9, 8, 26)
	both, err := b.At(0.2, 1, load.Demands{ask, ask})
	if err != nil {
		t.Fatal(err)
	}
	right, err := b.At(0.2, 1, load.Demands{nil, ask})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(torque(both)-torque(right)) > 1e-9 || math.Abs(right.Servos[1].Torque) > 1e-9 || math.Abs(both.Servos[1].Torque) < 1 {
		t.Errorf("the first servo gives %v with both wheels and %v with its own; the second %v and %v", torque(both), torque(right), both.Servos[1].Torque, right.Servos[1].Torque)
	}
	if want := max(torque(both), both.Servos[1].Torque); math.Abs(both.Against-want) > 1e-9 {
		t.Errorf("the harder of the two is said to be asked for %v, and is for %v", both.Against, want)
	}
}

// rateOfTurn is the left knuckle's turn per turn of the servo, by differences.
func rateOfTurn(t *testing.T, m *steer.Model, servo float64, travel steer.WheelTravel) float64 {
	t.Helper()
	const step = 1e-5
	var turn [2]float64
	for i, by := range []float64{step, -step} {
		s := m.NewState()
		if err := s.Move(servo+by, travel); err != nil {
			t.Fatal(err)
		}
		turn[i] = s.Values()[steer.Turn.Of(steer.Left)]
	}
	return (turn[0] - turn[1]) / (2 * step)
}

// The file says nothing of what the links of a suspension are made of, so that they are not judged
// by another rod's strength.
func TestLinksOfTheSuspensionHaveNoStrengthOfTheSteering(t *testing.T) {
	m, err := steer.NewSuspended(rigtest.Read(t, rigtest.LoadedText(t, "chassis")))
	if err != nil {
		t.Fatal(err)
	}
	a, err := load.OverLock(m, load.Tilt{}, 2)
	if err != nil {
		t.Fatal(err)
	}
	steering := 0
	for i := range a.Rods {
		r := &a.Rods[i]
		if strings.HasPrefix(r.Key, "suspension.link.") {
			if r.Rod != nil {
				t.Errorf("the %s is taken to be %s, %v mm thick", r.Words, r.Rod.Material.Name, r.Rod.Body.Outer)
			}
		} else if r.Rod != nil {
			steering++
		}
	}
	if steering != 2 || len(a.Rods) != 6 {
		t.Errorf("%d of %d rods are known, want 2 of 6", steering, len(a.Rods))
	}
}
