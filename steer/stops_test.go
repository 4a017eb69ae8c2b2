package steer_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/internal/root"
	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// limits reads, off a rig file and a pose and by other formulas than steer's, how far each stated
// limit is used, as the words of the stop have it: the reading and what it must stay below.
func limits(m *steer.Model, s *steer.State) map[string][2]float64 {
	r, p, v := m.Rig, s.Pose(), s.Values()
	found := map[string][2]float64{}
	stops := func(side string, st *rig.Stops, in float64) {
		if st != nil {
			found["the "+side+" knuckle's inward stop"] = [2]float64{in, st.In.Value}
			found["the "+side+" knuckle's outward stop"] = [2]float64{-in, st.Out.Value}
		}
	}
	stops("left", r.Left.Stops, -v[steer.Turn.Of(steer.Left)])
	stops("right", r.Left.Stops, v[steer.Turn.Of(steer.Right)])
	if j := r.Left.AxleJoint; j != nil {
		// A spindle's angle from the axle's line has the cosine of its part along Y.
		found["the left axle joint"] = [2]float64{math.Acos(p.Arrow(m.Wheels[steer.Left].SpindleHandle).Y), j.MaxAngle.Value}
		found["the right axle joint"] = [2]float64{math.Acos(-p.Arrow(m.Wheels[steer.Right].SpindleHandle).Y), j.MaxAngle.Value}
	}
	end := func(words string, from, to *vehicle.Ball, most rig.Angle) {
		if most.Given {
			line := r3.Unit(r3.Sub(p.Ball(to.Handle), p.Ball(from.Handle)))
			found[words] = [2]float64{math.Abs(math.Asin(r3.Dot(line, p.Arrow(from.StudHandle)))), most.Value}
		}
	}
	horn, far, left, right := m.Servo.Ball, m.Servo.Far(), m.Wheels[steer.Left].Arm, m.Wheels[steer.Right].Arm
	end("the drag link's rod end at the horn", horn, far, r.DragLink.EndAngle)
	end("the drag link's far rod end", far, horn, r.DragLink.EndAngle)
	if r.TieRod != nil {
		end("the tie rod's left rod end", left, right, r.TieRod.EndAngle)
		end("the tie rod's right rod end", right, left, r.TieRod.EndAngle)
	}
	if c := r.Crank; c != nil {
		end("the left steering link's outer rod end", left, m.Vehicle.Ball("left inner ball"), c.LeftRod.EndAngle)
		end("the right steering link's outer rod end", right, m.Vehicle.Ball("right inner ball"), c.RightRod.EndAngle)
	}
	found["the servo's own travel"] = [2]float64{math.Abs(s.Servo()), r.Servo.Travel.Value}
	return found
}

func TestStopsAreWhereTheirReadingsMeetTheirLimits(t *testing.T) {
	for _, name := range rigtest.Names() {
		for _, direction := range []float64{-1, 1} {
			t.Run(fmt.Sprintf("%s %+v", name, direction), func(t *testing.T) {
				m := model(t, rigtest.Starter(t, name))
				all := stopsOf(t, m, direction)
				s := m.NewState()
				stated := map[string]float64{}
				last := 0.0
				for i, st := range all {
					if at := direction * st.Servo.Value; at < last {
						t.Errorf("%s at %.3f° comes after one at %.3f°", st.Words, at/degree, last/degree)
					} else {
						last = at
					}
					if st.Kind != steer.StatedStop {
						if i != len(all)-1 {
							t.Errorf("%s is not the last", st.Words)
						}
						continue
					}
					if err := s.Turn(st.Servo.Value); err != nil {
						t.Fatal(err)
					}
					x, ok := limits(m, s)[st.Words]
					if !ok {
						t.Fatalf("nothing is known of %s", st.Words)
					}
					near(t, st.Words, x[0], x[1], 1e-9)
					v := s.Values()
					near(t, "left turn at "+st.Words, st.Turns[steer.Left], v[steer.Turn.Of(steer.Left)], 1e-9)
					near(t, "right turn at "+st.Words, st.Turns[steer.Right], v[steer.Turn.Of(steer.Right)], 1e-9)
					if !strings.Contains(st.Key, ".") {
						t.Errorf("%s has the key %q", st.Words, st.Key)
					}
					stated[st.Words] = st.Servo.Value
				}
				// Walking out by small steps, nothing is past its limit that was not said to be.
				end := all[len(all)-1].Servo.Value
				for at := 0.0; direction*(end-at) > 0.1*degree; at += direction * 0.05 * degree {
					if err := s.Turn(at); err != nil {
						t.Fatal(err)
					}
					for words, x := range limits(m, s) {
						if met, ok := stated[words]; x[0] > x[1]+1e-9 && (!ok || direction*(at-met) < 0) {
							t.Fatalf("%s is past its limit at %.2f°, said to be met: %v at %.2f°", words, at/degree, ok, met/degree)
						}
					}
				}
			})
		}
	}
}

// A planar four-bar: servo and kingpin d apart, horn a, drag link l, knuckle arm b. By the law of
// cosines the horn's angle from the line of the axes is found where link and arm are in line, l + b
// or |l - b| from the kingpin, and where horn and link are.
func TestDeadPointsOfAPlanarRigFollowFromTheLawOfCosines(t *testing.T) {
	cosines := func(adjacent, base, opposite float64) float64 {
		return math.Acos((adjacent*adjacent + base*base - opposite*opposite) / (2 * adjacent * base))
	}
	for _, c := range []struct {
		name string
		rig  rigtest.Planar
	}{
		{"short horn", rigtest.Planar{Horn: 16, DragArm: 28, ServoX: -5, ServoY: -20}},
		{"long horn", rigtest.Planar{Horn: 30, DragArm: 20, ServoX: -5, ServoY: -20}},
		{"near servo", rigtest.Planar{Horn: 22, DragArm: 20, ServoX: 8, ServoY: 20, Lean: 10}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := c.rig
			// Long, parallel tie-rod arms follow the knuckle without a dead point of their own near
			// by.
			p.Spacing, p.Wheelbase, p.TieArm = 150, 300, 26
			m := model(t, p.Rig(t))
			foot := m.Servo.Foot.At
			base := r3.Sub(m.Wheels[steer.Left].Knuckle.Point, foot)
			d, a, l, b := r3.Norm(base), p.Horn, m.Servo.Link.Length, p.DragArm
			horn := r3.Sub(m.Servo.Ball.At, foot)
			// Horn's angle from the line to the kingpin at neutral, counter-clockwise.
			start := math.Atan2(base.X*horn.Y-base.Y*horn.X, base.X*horn.X+base.Y*horn.Y)
			var want []float64
			for _, x := range []float64{cosines(a, d, l+b), cosines(a, d, math.Abs(l-b)), cosines(l+a, d, b), math.Pi - cosines(math.Abs(l-a), d, b)} {
				for _, at := range []float64{x, -x} {
					if !math.IsNaN(at) {
						want = append(want, at)
					}
				}
			}
			for _, direction := range []float64{-1, 1} {
				stops := stopsOf(t, m, direction)
				last := stops[len(stops)-1]
				if !dead(last) {
					t.Fatalf("the last stop is %s", last.Words)
				}
				if last.Kind == steer.FarDeadPoint && strings.Contains(last.Words, "tie rod") {
					continue
				}
				s := m.NewState()
				if err := s.Turn(last.Servo.Value); err != nil {
					t.Fatal(err)
				}
				off := math.Inf(1)
				for _, x := range want {
					off = min(off, math.Abs(math.Remainder(start+last.Servo.Value-x, 2*math.Pi)))
				}
				t.Logf("%s at %.4f°", last.Words, last.Servo.Value/degree)
				near(t, "distance from a dead point by the law of cosines, in rad", off, 0, 1e-7)
				v, rate := s.ValuesAndRates()
				if last.Kind == steer.HornDeadPoint {
					near(t, "rate at the horn's dead point", rate[steer.Turn.Of(steer.Left)], 0, 1e-9)
					near(t, "horn and link out of line", math.Sin(v[steer.HornAngle]), 0, 1e-7)
					continue
				}
				// Its leverage grows as the root of the distance, and a state comes within 1e-9 of
				// it.
				near(t, "leverage", v[steer.Leverage], 0, 2e-4)
				if err := m.NewState().Turn(last.Servo.Value + direction*1e-6); err == nil {
					t.Error("the linkage goes past its dead point")
				}
			}
		})
	}
}

func TestHornDeadPointIsWhereTheRateIsZero(t *testing.T) {
	found := 0
	for _, name := range rigtest.Names() {
		m := model(t, rigtest.Starter(t, name))
		for _, direction := range []float64{-1, 1} {
			stops := stopsOf(t, m, direction)
			last := stops[len(stops)-1]
			if last.Kind != steer.HornDeadPoint {
				continue
			}
			found++
			s := m.NewState()
			if err := s.Turn(last.Servo.Value); err != nil {
				t.Fatal(err)
			}
			rate := s.Rates()
			for _, q := range []steer.Quantity{steer.Turn.Of(steer.Left), steer.Turn.Of(steer.Right), steer.Road.Of(steer.Left), steer.Road.Of(steer.Right)} {
				near(t, name+": rate of "+q.Info().Key, rate[q], 0, 1e-8)
			}
		}
	}
	if found == 0 {
		t.Error("no starter has a dead point at the horn")
	}
}

// What passes its limit by less than a tenth is not 0.0 past it.
func TestPastByLittleSaysHowLittle(t *testing.T) {
	for by, want := range map[float64]string{0.003 * degree: " is 0.003° beyond", 0.2 * degree: " is 0.2° beyond"} {
		if e := (&steer.PastStopError{By: by}); !strings.Contains(e.Error(), want) {
			t.Errorf("%q, want %q", e, want)
		}
	}
}

func TestRigPastAStopGoingStraightIsRefused(t *testing.T) {
	// The link of this starter slopes by a few degrees, and its horn's stud lies along the servo's
	// axis.
	m := model(t, rigtest.Starter(t, "far-knuckle", "drag_link.end_angle=0.1"))
	for _, d := range []float64{-1, 1} {
		_, err := m.Stops(d)
		if !errors.Is(err, steer.ErrPastStop) {
			t.Fatalf("error %v, wanted ErrPastStop", err)
		}
		if !strings.Contains(err.Error(), "drag_link.end_angle") {
			t.Errorf("%q does not name the key", err)
		}
		// By is how far the rod end leans beyond the 0.1° that it may.
		var past *steer.PastStopError
		if !errors.As(err, &past) || past.Key != "drag_link.end_angle" || math.Abs(past.Most-0.1*degree) > 1e-12 {
			t.Fatalf("the error is %#v", err)
		}
		if s := m.NewState(); math.Abs(s.Limit(limitNumber(t, m, past.Words))-past.Most-past.By) > 1e-12 {
			t.Errorf("past by %v", past.By)
		}
	}
}

func TestRightStopsReplaceTheMirroredOnes(t *testing.T) {
	m := model(t, rigtest.Starter(t, "far-knuckle", "right.stops.in=20", "right.stops.out=18"))
	for _, direction := range []float64{-1, 1} {
		first := stopsOf(t, m, direction)[0]
		if !strings.HasPrefix(first.Key, "right.stops.") {
			t.Errorf("%s (%s) is met first", first.Words, first.Key)
		}
	}
}

// A short horn that starts a few degrees from its dead point has the next one nearly half a turn
// the other way.
func TestHalfATurnEndsWhatIsLookedAt(t *testing.T) {
	m := model(t, rigtest.Planar{Spacing: 150, Wheelbase: 300, TieArm: 26, DragArm: 28, Horn: 5, Lean: -83, ServoX: -20, ServoY: -20}.Rig(t))
	near, far := stopsOf(t, m, -1), stopsOf(t, m, 1)
	if len(near) != 1 || near[0].Kind != steer.HornDeadPoint || near[0].Servo.Value < -5*degree {
		t.Errorf("clockwise: %+v", near)
	}
	if len(far) != 1 || far[0].Kind != steer.HalfTurn || math.Abs(far[0].Servo.Value-175*degree) > 1e-9 {
		t.Errorf("counter-clockwise: %+v", far)
	}
}

func TestSquareIsWhereHornAndLinkAreSquare(t *testing.T) {
	for _, name := range rigtest.Names() {
		m := model(t, rigtest.Starter(t, name))
		sq, err := m.Square()
		if err != nil || !sq.Reached {
			t.Fatal(name, err)
		}
		near(t, name+": horn and link there", valuesAt(t, m, sq.Servo.Value)[steer.HornAngle], math.Pi/2, 1e-10)
		near(t, name+": miss", sq.Miss.Value, valuesAt(t, m, 0)[steer.HornAngle]-math.Pi/2, 1e-14)
		// No nearer one, by brute force.
		s := m.NewState()
		off := func(x float64) float64 {
			if err := s.Turn(x); err != nil {
				return math.NaN()
			}
			return s.Values()[steer.HornAngle] - math.Pi/2
		}
		here := off(0)
		for x := 0.0; x < math.Abs(sq.Servo.Value)-1e-6; x += 0.02 * degree {
			if off(x)*here < 0 || off(-x)*here < 0 {
				t.Errorf("%s: square nearer, at ± %.2f° against %.2f°", name, x/degree, sq.Servo.Value/degree)
			}
		}
	}
}

func TestSolvedFindsWhatPlainBisectionFinds(t *testing.T) {
	m := model(t, rigtest.Starter(t, "chassis"))
	s := m.NewState()
	want := 22 * degree
	at := root.Find(func(x float64) float64 {
		if err := s.Turn(x); err != nil {
			return math.NaN()
		}
		l := s.Road()[0]
		return l - want
	}, -45*degree, 45*degree, 1e-13)
	near(t, "servo", servoFor(t, m, steer.Road.Of(steer.Left), want, -45*degree, 45*degree), at, 1e-10)
	if _, err := m.Solved(steer.Road.Of(steer.Left), want, -5*degree, 5*degree); !errors.Is(err, steer.ErrNotBetween) {
		t.Errorf("error %v for a wheel angle that is not between the two, wanted ErrNotBetween", err)
	}
	var limit *linkage.LimitError
	if _, err := model(t, rigtest.Starter(t, "centre-crank")).Solved(steer.Road.Of(steer.Left), want, 0, 170*degree); !errors.As(err, &limit) {
		t.Errorf("error %v for a servo angle out of reach, wanted a *linkage.LimitError", err)
	}
}

// limitNumber finds a limit by its words.
func limitNumber(t *testing.T, m *steer.Model, words string) int {
	t.Helper()
	for i, l := range m.Limits() {
		if l.Words == words {
			return i
		}
	}
	t.Fatalf("no limit is %q", words)
	return 0
}
