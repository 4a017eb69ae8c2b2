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

	"gonum.org/v1/gonum/spatial/r3"
)

// post is a round post on the chassis that the drag link of the far-knuckle starter comes to, and a
// box on the left knuckle with a ball on the axle that it comes to.
const post = `
[[part]]
name = "post"
on = "chassis"
shape = "bar"
from = [10, 27, 30]
to = [60, 28, 31]
radius = 3
gap = 1.5

[[part]]
name = "bracket"
on = "left_knuckle"
shape = "box"
centre = [30, 90, 10]
size = [20, 12, 16]

[[part]]
name = "lug"
on = "axle"
shape = "ball"
centre = [30, 62, 12]
radius = 5
`

func cluttered(t testing.TB, more string) *rig.Rig {
	t.Helper()
	text := rigtest.StarterText(t, "far-knuckle", "left.stops.in=60", "left.stops.out=60", "left.axle_joint.max_angle=80", "drag_link.end_angle=80", "tie_rod.end_angle=80", "servo.travel=120")
	return rigtest.Read(t, append(text, more...))
}

func stopNamed(t *testing.T, m *steer.Model, words string) steer.Stop {
	t.Helper()
	var all []string
	for _, d := range []float64{-1, 1} {
		for _, st := range stopsOf(t, m, d) {
			if st.Words == words {
				return st
			}
			all = append(all, st.Words)
		}
	}
	t.Fatalf("nothing is called %q among %s", words, strings.Join(all, "; "))
	return steer.Stop{}
}

// apart is the distance of two lines' nearest points by search, finer and finer.
func apart(a, b, c, d r3.Vec) float64 {
	least, s0, t0 := math.Inf(1), 0.5, 0.5
	for width := 0.5; width > 1e-9; width /= 3 {
		bs, bt := s0, t0
		for i := -6; i <= 6; i++ {
			for j := -6; j <= 6; j++ {
				s, t := s0+width*float64(i)/6, t0+width*float64(j)/6
				if s < 0 || s > 1 || t < 0 || t > 1 {
					continue
				}
				p, q := r3.Add(a, r3.Scale(s, r3.Sub(b, a))), r3.Add(c, r3.Scale(t, r3.Sub(d, c)))
				if x := r3.Norm(r3.Sub(p, q)); x < least {
					least, bs, bt = x, s, t
				}
			}
		}
		s0, t0 = bs, bt
	}
	return least
}

func TestLockEndsWhereTheLinkComesAsNearAsItMay(t *testing.T) {
	r := cluttered(t, post)
	m := model(t, r)
	st := stopNamed(t, m, "the post against the drag link")
	if st.Key != "part.1" {
		t.Errorf("the key is %s", st.Key)
	}
	s := m.NewState()
	if err := s.Turn(st.Servo.Value); err != nil {
		t.Fatal(err)
	}
	horn, far := m.Servo.Ball.Handle, m.Servo.Far().Handle
	d := apart(r3.Vec{X: 10, Y: 27, Z: 30}, r3.Vec{X: 60, Y: 28, Z: 31}, s.Pose().Ball(horn), s.Pose().Ball(far))
	near(t, "room between post and link", d-3-r.DragLink.Diameter.Value/2, 1.5, 1e-6)
	// Its mark is in the middle of what is left of the room.
	for i, l := range m.Limits() {
		if l.Words == st.Words {
			at := s.LimitMark(i)
			near(t, "from the post's line", apart(r3.Vec{X: 10, Y: 27, Z: 30}, r3.Vec{X: 60, Y: 28, Z: 31}, at, at), 3+0.75, 1e-6)
			near(t, "from the link's line", apart(at, at, s.Pose().Ball(horn), s.Pose().Ball(far)), r.DragLink.Diameter.Value/2+0.75, 1e-6)
		}
	}
}

func TestAPartOnAKnuckleMeetsOneOnTheAxle(t *testing.T) {
	m := model(t, cluttered(t, post))
	st := stopNamed(t, m, "the bracket against the lug")
	s := m.NewState()
	if err := s.Turn(st.Servo.Value); err != nil {
		t.Fatal(err)
	}
	// The box turned back with its knuckle, so that its sides are along the axes: the ball's centre
	// is its radius from it.
	k := m.Wheels[steer.Left].Knuckle
	lug := turnedAbout(r3.Vec{X: 30, Y: 62, Z: 12}, k.Point, k.Axis, -s.Values()[steer.Turn.Of(steer.Left)])
	rel := r3.Sub(lug, r3.Vec{X: 30, Y: 90, Z: 10})
	outside := r3.Vec{X: max(0, math.Abs(rel.X)-10), Y: max(0, math.Abs(rel.Y)-6), Z: max(0, math.Abs(rel.Z)-8)}
	near(t, "ball's centre from the box", r3.Norm(outside), 5, 1e-7)
}

func TestSlopesOfClearancesAreTheDifferencesOfRebuiltRigs(t *testing.T) {
	r := cluttered(t, post)
	m := model(t, r)
	for _, words := range []string{"the post against the drag link", "the bracket against the lug"} {
		got, moves := stopNamed(t, m, words).Servo, 0
		for i, q := range m.Measures() {
			step := rigtest.Step(q)
			more, less := model(t, rigtest.Moved(r, i, step)), model(t, rigtest.Moved(r, i, -step))
			want := (stopNamed(t, more, words).Servo.Value - stopNamed(t, less, words).Servo.Value) / (2 * step)
			near(t, fmt.Sprintf("%s by %s", words, q.Path), got.Slope(q.Path), want, 2e-5+1e-4*math.Abs(want))
			if strings.HasPrefix(q.Path, "part.") && math.Abs(want) > 1e-3 {
				moves++
			}
		}
		if moves < 3 {
			t.Errorf("%s: only %d numbers of the parts move it", words, moves)
		}
	}
}

func TestThingsThatTouchBelongTogether(t *testing.T) {
	m := model(t, cluttered(t, post+`
[[part]]
name = "horn screw"
on = "horn"
shape = "ball"
centre = [12, 40, 40]
radius = 300
`))
	if len(m.Touching()) == 0 {
		t.Fatal("a ball of 300 mm touches nothing")
	}
	for _, l := range m.Limits() {
		if strings.Contains(l.Words, "horn screw") {
			t.Errorf("%s is watched", l.Words)
		}
	}
}

func TestTooLittleRoomWithTheWheelsStraightIsSaidInMillimetres(t *testing.T) {
	r := cluttered(t, strings.Replace(post, "gap = 1.5", "gap = 50", 1))
	_, err := model(t, r).Stops(1)
	if !errors.Is(err, steer.ErrPastStop) || !strings.Contains(err.Error(), " mm beyond its limit") || !strings.Contains(err.Error(), "part.1") {
		t.Errorf("the error is %v", err)
	}
}

// A tie rod on the way of a post on the chassis, and the axle rising past it.
func TestClearancesAreWatchedOverTheTravel(t *testing.T) {
	text := rigtest.StarterText(t, "chassis")
	r := rigtest.Read(t, append(text, `
[[part]]
name = "cross member"
on = "chassis"
shape = "bar"
from = [0, 40, 30]
to = [0, -40, 30]
radius = 5

[[part]]
name = "housing"
on = "axle"
shape = "bar"
from = [0, 50, 0]
to = [0, -50, 0]
radius = 8
`...))
	m := travels(t, r)
	for i, l := range m.Limits() {
		if l.Words != "the cross member against the housing" {
			continue
		}
		near(t, "room at ride height", l.Most, 17, 1e-9)
		if l.Unit != steer.Millimetre {
			t.Error("its unit is not mm")
		}
		// Straight up, and a little to the side and forward on an arc, which for bars along Y
		// changes nothing but X.
		s := moved(t, m, 0, steer.WheelTravel{Left: 10, Right: 10})
		c := s.Carried()
		near(t, "room used 10 mm up", s.Limit(i), 30-math.Hypot(20, c.Forward), 0.05)
		return
	}
	t.Error("it is not watched")
}
