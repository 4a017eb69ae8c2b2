package steer_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"
)

// between is a flat rig, all numbers invented, to be steered by what middle says.
func between(t testing.TB, middle string) *rig.Rig {
	t.Helper()
	return rigtest.Read(t, []byte(`
format = 1
name = "linkages (invented)"
[accuracy]
length = 0.2
angle = 1
[vehicle]
wheelbase = 260
track = 164
[left.kingpin]
point = [0, 66, 0]
caster = 5
inclination = 5
[left.wheel]
tyre_radius = 32
tyre_width = 24
[left.tie_arm]
ball = [-25, 60, -2]
[servo]
mount = "chassis"
axis = "up"
`+middle))
}

const (
	crank = `
point = [-86, 58, 0]
[horn]
ball = [-72, 59.9, 4]
[drag_link]
to = "crank"
[crank]
point = [-52, 22, 0]
drag_ball = [-72, 22, 4]
left_ball = [-30, 28, -2]
right_ball = [-30, -28, -2]
link_ball = [-34, 22, 2]
`
	idler = crank + `
[idler]
point = [-52, -22, 0]
link_ball = [-34, -22, 2]
side = "right"
[centre_link]
`
	plate = crank + `
[idler]
point = [-52, -22, 0]
link_ball = [-34, -22, 2]
[centre_link]
plate = true
`
	slide = `
point = [-86, 58, 0]
[horn]
ball = [-72, 59.9, 4]
[drag_link]
to = "rack"
[rack]
drag_ball = [-72, 2, 4]
left_ball = [-30, 14, -2]
right_ball = [-30, -14, -2]
`
	twoServos = `
point = [-60, 20, 6]
[horn]
ball = [-60, 34, 8]
[left.drag_arm]
ball = [-2, 38, 4]
[right.drag_arm]
ball = [-2, -38, 4]
[drag_link]
to = "left"
[second_servo]
mount = "chassis"
point = [-60, -20, 6]
axis = "up"
ball = [-60, -34, 8]
follows = 1
`
)

var otherLinkages = map[string]string{"a crank and an idler": idler, "a drag plate": plate, "a rack": slide, "two servos": twoServos}

// bodyNamed returns a body of the lists, nil if there is none.
func bodyNamed(v *vehicle.Vehicle, name string) *vehicle.Body {
	for _, b := range v.Bodies {
		if b.Name == name {
			return b
		}
	}
	return nil
}

// With equal cranks, their pins and axes a parallelogram, the idler turns exactly as the crank, and
// the drag plate does not turn at all: so it is in Norton, Design of Machinery, on the
// parallelogram four-bar (from memory).
func TestParallelogramTurnsTheIdlerAsTheCrank(t *testing.T) {
	for name, text := range map[string]string{"idler": idler, "plate": plate} {
		m := model(t, between(t, text))
		l, v := m.Linkage, m.Vehicle
		for _, servo := range servoAngles {
			s := m.NewState()
			if err := s.Turn(servo * degree); err != nil {
				t.Fatal(err)
			}
			near(t, name, l.Coordinate(s.Pose(), bodyNamed(v, "idler").Handle), l.Coordinate(s.Pose(), bodyNamed(v, "centre crank").Handle), 1e-9)
			if bodyNamed(v, "drag plate") == nil {
				continue
			}
			pin := s.Pose().Ball(v.Ball("crank's ball for the centre link").Handle)
			for side, ball := range map[float64]string{1: "left inner ball", -1: "right inner ball"} {
				at := s.Pose().Ball(v.Ball(ball).Handle)
				near(t, "plate's ball forward of the pin", at.X-pin.X, 4, 1e-9)
				near(t, "plate's ball beside the pin", at.Y-pin.Y, side*28-22, 1e-9)
			}
		}
	}
}

// A rack in line with the middle moves both rods alike, and is moved by as much as the link leaves
// it: the horn's ball and the rack's stay the link's length apart.
func TestRackSlidesByWhatTheLinkLeavesIt(t *testing.T) {
	m := model(t, between(t, slide))
	for _, servo := range servoAngles {
		s := m.NewState()
		if err := s.Turn(servo * degree); err != nil {
			t.Fatal(err)
		}
		slid := m.Linkage.Coordinate(s.Pose(), bodyNamed(m.Vehicle, "rack").Handle)
		arm, lean := math.Hypot(14, 1.9), math.Atan2(1.9, 14)
		x, y := -86+arm*math.Cos(servo*degree+lean), 58+arm*math.Sin(servo*degree+lean)
		// (x + 72)² + (y - 2 - slid)² = L², L as it is at neutral.
		near(t, "rack", slid, y-2-math.Sqrt(57.9*57.9-(x+72)*(x+72)), 1e-9)
	}
}

// Two servos that are each other's mirror image, with the same link each, steer as mirror images of
// each other.
func TestTwoServosSteerLikeOne(t *testing.T) {
	m := model(t, between(t, twoServos))
	for _, servo := range servoAngles {
		v, w := valuesAt(t, m, servo*degree), valuesAt(t, m, -servo*degree)
		near(t, "right wheel as the left one the other way", v[steer.Road.Of(steer.Right)], -w[steer.Road.Of(steer.Left)], 1e-9)
		if math.Abs(v[steer.Road.Of(steer.Right)]) < 1*degree {
			t.Errorf("the right wheel turns %.3f° at %v° of servo", v[steer.Road.Of(steer.Right)]/degree, servo)
		}
	}
	_, err := steer.New(between(t, strings.Replace(twoServos, "follows = 1", "follows = -1", 1)))
	if e, ok := errors.AsType[*rig.Error](err); !ok || e.Key != "second_servo.follows" || !strings.Contains(e.Problem, "against one another") {
		t.Errorf("with the second servo the other way round: %v", err)
	}
}

func TestOtherLinkagesHaveTheDerivativesOfTheirDifferences(t *testing.T) {
	for name, text := range otherLinkages {
		t.Run(name, func(t *testing.T) {
			r := between(t, text)
			m := model(t, r)
			for i, q := range m.Measures() {
				step := rigtest.Step(q)
				more, less := model(t, rigtest.Moved(r, i, step)), model(t, rigtest.Moved(r, i, -step))
				servo := servoAngles[i%len(servoAngles)] * degree
				s := m.NewState()
				if err := s.Turn(servo); err != nil {
					t.Fatal(err)
				}
				v, got := s.Values(), s.Sensitivity(i)
				high, low := valuesAt(t, more, servo), valuesAt(t, less, servo)
				for _, k := range differentiable() {
					want := (high[k] - low[k]) / (2 * step)
					near(t, fmt.Sprintf("%s by %s", k.Info().Key, q.Path), got[k], want, 1e-6*scale(&v, k)+1e-5*math.Abs(want))
				}
			}
			const step = 1e-5
			s := m.NewState()
			if err := s.Turn(0.3); err != nil {
				t.Fatal(err)
			}
			got, high, low := s.Rates(), valuesAt(t, m, 0.3+step), valuesAt(t, m, 0.3-step)
			for _, k := range differentiable() {
				near(t, k.Info().Key+"'s rate", got[k], (high[k]-low[k])/(2*step), 1e-5*(scale(&high, k)+math.Abs(got[k])))
			}
		})
	}
}

func TestOtherLinkagesMirror(t *testing.T) {
	for name, text := range otherLinkages {
		r := between(t, text)
		a, b := model(t, r), model(t, rigtest.Mirrored(r))
		for _, servo := range servoAngles {
			v, w := valuesAt(t, a, servo*degree), valuesAt(t, b, -servo*degree)
			near(t, name+" left", w[steer.Road.Of(steer.Left)], -v[steer.Road.Of(steer.Right)], 1e-9)
			near(t, name+" right", w[steer.Road.Of(steer.Right)], -v[steer.Road.Of(steer.Left)], 1e-9)
		}
	}
}
