package oracle

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenlock/internal/effort"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"
)

// ridden is a suspended rig with the constraint program's answers.
type ridden struct {
	rig    Suspended
	points *suspendedPoints
	// ways go from ride height to a random place each.
	ways [][]answered
}

// answered is a pose with where the constraint program has the points.
type answered struct {
	SuspendedPose
	at map[string]r3.Vec
}

const (
	// travelSteps are the poses on each of travelWays ways from ride height to a random place.
	travelSteps, travelWays = 16, 3
	// Somewhere within these they go.
	farthestTurn, farthestRise = 25 * degree, 10.0
)

// rides returns count random rigs with their answers. A way ends where the constraint program finds
// no pose, or where a wheel turns in a step as only near a dead point, or past 75°: beyond lies a
// dead point.
func travels(tb testing.TB, program string, c Carrier, count int) []ridden {
	tb.Helper()
	rng := rand.New(rand.NewPCG(23, uint64(c)))
	var all []ridden
	worst := 0.0
	for tries := 0; len(all) < count; tries++ {
		if tries > 4*count {
			tb.Fatalf("only %d of %d random rigs ride", len(all), tries)
		}
		one := ridden{rig: RandomSuspended(rng, c)}
		one.points = one.rig.points()
		var ways [][]SuspendedPose
		input := one.points.script
		for range travelWays {
			to := SuspendedPose{between(rng, -farthestTurn, farthestTurn), between(rng, -farthestRise, farthestRise), between(rng, -farthestRise, farthestRise)}
			input.add("start")
			var way []SuspendedPose
			for k := range travelSteps + 1 {
				part := float64(k) / travelSteps
				way = append(way, SuspendedPose{part * to.Angle, part * to.Left, part * to.Right})
				input.add("pose %.17g %.17g %.17g", way[k].Angle, way[k].Left, way[k].Right)
			}
			ways = append(ways, way)
		}
		answers, err := Run(tb.Context(), program, string(input))
		if err != nil {
			tb.Fatal(err)
		}
		poses := 0
		for w, way := range ways {
			var known []answered
			for k, pose := range way {
				at, misfit, err := one.points.read(answers[w*(travelSteps+1)+k])
				if errors.Is(err, ErrNoPose) {
					break
				}
				if err != nil {
					tb.Fatal(err)
				}
				if k > 0 && one.points.turns(known[0].at, known[k-1].at, at) {
					break
				}
				worst = math.Max(worst, misfit)
				known = append(known, answered{pose, at})
			}
			one.ways = append(one.ways, known)
			poses += len(known)
		}
		if poses > travelWays*(travelSteps+1)*2/3 {
			all = append(all, one)
		}
	}
	if worst > 2e-8 {
		tb.Fatalf("the constraint program's own answers miss by %.3g mm, so they are no reference", worst)
	}
	tb.Logf("%v: %d rigs; the constraint program keeps distances to %.2g mm", c, len(all), worst)
	return all
}

// turns tells whether a wheel turns five times as fast as the servo does at most, or has turned far
// from home.
func (p *suspendedPoints) turns(home, from, to map[string]r3.Vec) bool {
	const most, far = 5 * farthestTurn / travelSteps, 75 * degree
	for _, f := range []*frame{&p.left, &p.right} {
		now := f.spindle(to)
		if apart(now, f.spindle(from)) > most || apart(now, f.spindle(home)) > far {
			return true
		}
	}
	return false
}

func apart(a, b r3.Vec) float64 { return math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)) }

// readSuspended takes the rig as a builder's would come.
func readSuspended(r *Suspended) (*steer.Model, error) {
	file, err := rig.Read(strings.NewReader(r.File()), "random rig")
	if err != nil {
		return nil, err
	}
	return steer.NewSuspended(file)
}

// compareSuspended moves the state through the poses and returns how far it is from the answers in
// any ball and road angle.
func compareSuspended(s *steer.State, m *steer.Model, one *ridden, poses []answered) (disagreement, error) {
	var worst disagreement
	l, r := m.Wheels[steer.Left], m.Wheels[steer.Right]
	for _, pose := range poses {
		at := pose.at
		if err := s.Move(pose.Angle, steer.WheelTravel{Left: pose.Left, Right: pose.Right}); err != nil {
			return worst, err
		}
		p := s.Pose()
		place := func(b *vehicle.Ball, name string) {
			worst.include(disagreement{place: r3.Norm(r3.Sub(p.Ball(b.Handle), at[name]))})
		}
		place(m.Servo.Ball, "horn")
		place(l.Arm, "leftTie")
		place(r.Arm, "rightTie")
		place(l.Risen, one.points.riseL)
		place(r.Risen, one.points.riseR)
		links := 0
		for _, rod := range m.Vehicle.Rods {
			if rod.Kind == vehicle.SuspensionLink {
				place(rod.To, "axle"+string(rune('0'+links)))
				links++
			}
		}
		if one.rig.Carrier == DoubleArms {
			place(l.Knuckle.Ends[1], "leftTop")
			place(r.Knuckle.Ends[1], "rightTop")
		}
		if one.rig.Carrier == StrutAndRack {
			place(m.Servo.Far(), "rackDrag")
			place(m.Vehicle.Ball("left inner ball"), "rackLeft")
			place(m.Vehicle.Ball("right inner ball"), "rackRight")
		}
		left, right := one.points.left.spindle(at), one.points.right.spindle(at)
		road := s.Road()
		roadLeft, roadRight := road[0], road[1]
		for _, d := range []float64{
			roadLeft - math.Atan2(-left.X, left.Y), roadRight - math.Atan2(right.X, -right.Y),
			r3.Norm(r3.Sub(p.Arrow(l.SpindleHandle), left)), r3.Norm(r3.Sub(p.Arrow(r.SpindleHandle), right)),
		} {
			worst.include(disagreement{angle: math.Abs(d)})
		}
	}
	return worst, nil
}

// TestRidesAgreeWithConstraintSolver compares random rigs on their suspension with libslvs, and
// shows that the same comparison finds a drag link that is wrong by a ten-thousandth of a
// millimetre, and a hinge or an end of a link that is in a place wrong by a hundredth.
func TestTravelAgreesWithConstraintSolver(t *testing.T) {
	program := compile(t)
	for c := range carriers {
		t.Run(c.String(), func(t *testing.T) {
			t.Parallel()
			rigs := effort.Of(5, 20)
			var worst disagreement
			poses, around := 0, 0
			for i, one := range travels(t, program, c, rigs) {
				m, err := readSuspended(&one.rig)
				if err != nil {
					t.Fatalf("rig %d: %v", i, err)
				}
				for w, way := range one.ways {
					d, err := compareSuspended(m.NewState(), m, &one, way)
					if d.tooMuch() {
						t.Errorf("rig %d, way %d: the programs disagree by %v", i, w, d)
					}
					if err != nil {
						around++
					}
					worst.include(d)
					poses += len(way)
					// The branch must hold over any jump as well. Each move is with the servo held
					// and then with the wheels held, and on that corner a rod may not follow though
					// it does at both ends.
					for _, pose := range way {
						d, err := compareSuspended(m.NewState(), m, &one, []answered{pose})
						if err != nil {
							around++
						}
						if d.tooMuch() {
							t.Errorf("rig %d: jumping to %+v, the programs disagree by %v", i, pose.SuspendedPose, d)
						}
					}
				}
				for name, change := range map[string]func(*Suspended){
					"drag link": func(r *Suspended) { r.DragLength += 1e-4 },
					"carrier": func(r *Suspended) {
						r.Links[3][0].Y += 1e-2
						r.LeftArms.LowerFront.Z += 1e-2
					},
				} {
					wrong := one.rig
					change(&wrong)
					m, err := readSuspended(&wrong)
					if err != nil {
						t.Fatalf("rig %d, %s changed: %v", i, name, err)
					}
					if d, err := compareSuspended(m.NewState(), m, &one, one.ways[0]); err == nil && !d.tooMuch() {
						t.Errorf("rig %d: a %s that is slightly wrong goes unnoticed: %v", i, name, d)
					}
				}
			}
			if around > poses/20 {
				t.Errorf("%d of %d poses are not reached straight from ride height", around, poses)
			}
			t.Logf("%d rigs, %d poses, %d of them only by a way around: greatest disagreement %v", rigs, poses, around, worst)
		})
	}
}
