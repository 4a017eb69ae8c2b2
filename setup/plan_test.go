package setup_test

import (
	"bytes"
	"math"
	"reflect"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/radio"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestWheelsAreStraightAtTheSubtrim(t *testing.T) {
	forVariants(t, func(t *testing.T, r *rig.Rig, p *setup.Plan) {
		servo := p.Horn.LeftOver
		if p.Calibrated {
			servo = p.Subtrim.Angle
			model, err := radio.NewModel(p.Calibration, p.Settings)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "servo at centre stick", model.Angle(0), servo, 1e-12)
		}
		near(t, "centre", p.After.Centre(), servo, 1e-12)
		v := valuesAt(t, p.After, servo)
		toe := r.Want.Toe.Value
		near(t, "left wheel", v[steer.Road.Of(steer.Left)], -toe, 1e-11)
		near(t, "right wheel", v[steer.Road.Of(steer.Right)], toe, 1e-11)
	})
}

func TestHornIsSquareToTheLinkButForARemainder(t *testing.T) {
	forVariants(t, func(t *testing.T, r *rig.Rig, p *setup.Plan) {
		miss := valuesAt(t, p.After, p.After.Centre())[steer.HornAngle] - math.Pi/2
		left := p.Horn.LeftOver - p.After.Centre()
		// A horn that is off by an angle moves its ball and so tilts the link, which is several
		// times as long.
		near(t, "degrees off square", math.Abs(miss)/degree, math.Abs(left)/degree, 0.4*math.Abs(left)/degree+1e-9)
		if p.Calibrated && math.Abs(p.Subtrim.Exact) < r.Transmitter.MaxSubtrim {
			if step := math.Abs(p.Calibration.Subtrim.PerUnit.Value); math.Abs(left) > step/2+1e-12 {
				t.Errorf("%.3f° is left, more than half the subtrim's step of %.3f°", left/degree, step/degree)
			}
		}
		if !p.Horn.Known {
			if r.Servo.Teeth != 0 || p.Horn.Teeth != 0 || p.Horn.Arm != 0 || p.Horn.LeftOver != p.Horn.Turn.Value {
				t.Errorf("the horn's place is not known, and it is moved: %+v", p.Horn)
			}
			return
		}
		arms := float64(max(1, r.Horn.Arms))
		placed := float64(p.Horn.Teeth)*2*math.Pi/float64(r.Servo.Teeth) + float64(p.Horn.Arm)*2*math.Pi/arms
		near(t, "turn by teeth and arm, and what is left", math.Remainder(placed+p.Horn.LeftOver-p.Horn.Turn.Value, 2*math.Pi), 0, 1e-9)
		if math.Abs(p.Horn.LeftOver) > p.Horn.Step/2+1e-9 {
			t.Errorf("%.2f° left over, more than half the spline's step of %.2f°", p.Horn.LeftOver/degree, p.Horn.Step/degree)
		}
	})
}

func TestBothEndsHaveTheSamePath(t *testing.T) {
	forVariants(t, func(t *testing.T, _ *rig.Rig, p *setup.Plan) {
		left := valuesAt(t, p.After, p.Ends[steer.Left].Servo.Value)[steer.Curvature]
		right := -valuesAt(t, p.After, p.Ends[steer.Right].Servo.Value)[steer.Curvature]
		if left <= 0 || right <= 0 {
			t.Fatalf("curvatures %v to the left and %v to the right", left, right)
		}
		near(t, "curvature to the right", right/left, 1, 1e-9)
		near(t, "the plan's, left", p.Ends[steer.Left].Curvature.Value, left, 1e-14)
		near(t, "the plan's, right", p.Ends[steer.Right].Curvature.Value, right, 1e-14)
		if p.Ends[steer.Left].Matched && p.Ends[steer.Right].Matched {
			t.Error("both ends are held back for the other")
		}
	})
}

// within names the first limit that a state is nearer to than the margin is of the thing that the
// limit is of, by more than slack: a knuckle's turn, a joint, a rod end's lean, or the servo of its
// travel and of where the linkage goes over-centre.
func within(s *steer.State, r *rig.Rig, stops []steer.Stop, slack float64) string {
	for i, l := range s.Model().Limits() {
		margin := r.Want.Margin.Value
		if l.Key == "servo.travel" {
			margin = r.Want.ServoMargin.Value
		}
		if s.Limit(i) > l.Most-margin+slack {
			return l.Words
		}
	}
	for _, st := range stops {
		if st.Kind != steer.StatedStop && math.Abs(st.Servo.Value-s.Servo()) < r.Want.Margin.Value-slack {
			return st.Words
		}
	}
	return ""
}

func TestEndsKeepTheMarginAndTheFirstLimitGoverns(t *testing.T) {
	forVariants(t, func(t *testing.T, r *rig.Rig, p *setup.Plan) {
		centre := p.After.Centre()
		for sign, e := range ends(p) {
			s := p.After.NewState()
			if err := s.Turn(e.Servo.Value); err != nil {
				t.Fatal(err)
			}
			if words := within(s, r, e.Stops, 1e-9); words != "" {
				t.Errorf("side %+v does not keep its margin of %s", sign, words)
			}
			// By brute force: what the servo meets first on its way out, of margins, wanted lock
			// and the transmitter's greatest endpoint.
			const step = 0.01 * degree
			direction := math.Copysign(1, e.Servo.Value-centre)
			first, at := "", centre
			for ; first == ""; at += direction * step {
				if err := s.Turn(at); err != nil {
					t.Fatal(err)
				}
				v := s.Values()
				inner := v[steer.Road.Of(steer.Left)]
				if sign < 0 {
					inner = -v[steer.Road.Of(steer.Right)]
				}
				switch words := within(s, r, e.Stops, 0); {
				case words != "":
					first = words
				case inner > r.Want.Lock.Value:
					first = "the lock wanted"
				case p.Calibrated && max(math.Abs(steps(p, at)), math.Abs(steps(p, at)-steps(p, p.Subtrim.Angle))) > r.Transmitter.MaxEndpoint:
					first = "the transmitter's greatest endpoint"
				}
			}
			if first != e.Governs {
				t.Errorf("side %+v: %s is met first, at %.2f°, and %s is said to govern", sign, first, at/degree, e.Governs)
			}
			if off := direction * (at - e.Servo.Value); off < -1e-9 || !e.Matched && off > 2*step {
				t.Errorf("side %+v ends at %.3f°, and %s is met at %.3f°", sign, e.Servo.Value/degree, first, at/degree)
			}
		}
	})
}

func TestWantedLockIsMet(t *testing.T) {
	for _, name := range rigtest.Names() {
		p := made(t, rigtest.Starter(t, name, "want.lock=20"))
		for sign, e := range ends(p) {
			v := valuesAt(t, p.After, e.Servo.Value)
			inner, outer := v[steer.Road.Of(steer.Left)], v[steer.Road.Of(steer.Right)]
			if sign < 0 {
				inner, outer = -outer, -inner
			}
			near(t, name+": the plan's inner wheel", e.Inner.Value, inner, 1e-12)
			near(t, name+": the plan's outer wheel", e.Outer.Value, outer, 1e-12)
			if e.Governs != "the lock wanted" || e.Key != "want.lock" {
				t.Errorf("%s: %s (%s) governs", name, e.Governs, e.Key)
			}
			if e.Matched {
				if inner > 20*degree || inner < 18*degree {
					t.Errorf("%s: the end that is held back has %.2f°", name, inner/degree)
				}
				continue
			}
			near(t, name+": inner wheel in degrees", inner/degree, 20, 1e-8)
		}
	}
}

// steps is a servo angle in steps of the endpoint, on the side where it is.
func steps(p *setup.Plan, angle float64) float64 {
	return angle / p.Calibration.Step(p.Calibration.Endpoint, angle).Value
}

func TestEndpointsAreRoundedShort(t *testing.T) {
	forVariants(t, func(t *testing.T, r *rig.Rig, p *setup.Plan) {
		if !p.Calibrated {
			if p.Ends[steer.Left].Endpoint != (radio.Setting{}) || p.Settings.EndpointLeft != 0 {
				t.Errorf("an endpoint without a calibration: %+v", p.Ends[steer.Left].Endpoint)
			}
			return
		}
		model, err := radio.NewModel(p.Calibration, p.Settings)
		if err != nil {
			t.Fatal(err)
		}
		for sign, e := range ends(p) {
			step := math.Abs(p.Calibration.Step(p.Calibration.Endpoint, e.Servo.Value).Value)
			near(t, "servo at full stick", model.Angle(sign), e.Endpoint.Angle, 1e-12)
			if e.Endpoint.Value != math.Trunc(e.Endpoint.Value) || e.Endpoint.Value > r.Transmitter.MaxEndpoint {
				t.Errorf("endpoint %v", e.Endpoint.Value)
			}
			short := math.Copysign(1, e.Servo.Value-p.After.Centre()) * (e.Servo.Value - e.Endpoint.Angle)
			if short < -1e-9 || short > step+1e-9 {
				t.Errorf("side %+v: the endpoint is %.4f° short of the end, with a step of %.4f°", sign, short/degree, step/degree)
			}
		}
		if p.Settings.EndpointLeft != p.Ends[steer.Left].Endpoint.Value || p.Settings.EndpointRight != p.Ends[steer.Right].Endpoint.Value || p.Settings.Subtrim != p.Subtrim.Value {
			t.Errorf("settings %+v differ from the steps", p.Settings)
		}
	})
}

// Lengths are written to a hundredth of a millimetre and the horn's place too, on arms of at least
// 12 mm.
const writingRounds = 0.1 * degree

func TestTryingThePlanGivesThePlanBack(t *testing.T) {
	forVariants(t, func(t *testing.T, _ *rig.Rig, p *setup.Plan) {
		if !p.Calibrated {
			return
		}
		trial := tried(t, p.Rig())
		for _, q := range []steer.Quantity{steer.Road.Of(steer.Left), steer.Road.Of(steer.Right)} {
			for i, servo := range map[int]float64{0: p.Ends[steer.Right].Endpoint.Angle, 10: p.After.Centre(), 20: p.Ends[steer.Left].Endpoint.Angle} {
				near(t, "servo", trial.Points[i].Servo, servo, 1e-9)
				near(t, q.Info().Key, trial.Points[i].Values[q], valuesAt(t, p.After, servo)[q], writingRounds)
			}
		}
		last := math.Inf(-1)
		for _, point := range trial.Points {
			if !point.Reached || point.Stop != "" {
				t.Errorf("stick %+.1f: reached %v, stop %q", point.Stick, point.Reached, point.Stop)
			}
			if point.Values[steer.Curvature] <= last {
				t.Errorf("at stick %+.1f the path does not go on turning to the left", point.Stick)
			}
			last = point.Values[steer.Curvature]
		}
		if len(trial.Passed) > 0 {
			t.Errorf("the plan drives past %s", trial.Passed[0].Stop.Words)
		}
		if !trial.EvenKnown {
			t.Fatal("evenness is not known")
		}
		near(t, "evenness of path", trial.Even.Path, p.EvenShaped.Path, 0.01)
		near(t, "lock to the left", trial.Even.InnerLeft, p.EvenShaped.InnerLeft, writingRounds)
	})
}

func TestPlannedRigIsWrittenAndReadBack(t *testing.T) {
	forVariants(t, func(t *testing.T, _ *rig.Rig, p *setup.Plan) {
		r := p.Rig()
		var text bytes.Buffer
		if err := rig.Write(&text, r); err != nil {
			t.Fatal(err)
		}
		back := rigtest.Read(t, text.Bytes())
		a, b := r.Measurements(), back.Measurements()
		if len(a) != len(b) {
			t.Fatalf("%d measurements written, %d read", len(a), len(b))
		}
		for i := range a {
			near(t, a[i].Path, b[i].Q.Value, a[i].Q.Value, 1e-9)
		}
		if got, want := radio.WithDefaults(back.Settings), radio.WithDefaults(r.Settings); !reflect.DeepEqual(got, want) {
			t.Errorf("settings %+v read, %+v written", got, want)
		}
		// A second plan finds nothing left to do.
		again := made(t, back)
		near(t, "horn's turn in degrees", again.Horn.Turn.Value/degree, p.Horn.LeftOver/degree, 0.1)
		if again.Horn.Teeth != 0 || again.Horn.Arm != 0 {
			t.Errorf("the horn is moved again: %+v", again.Horn.SplineFit)
		}
		for _, rod := range again.Rods {
			near(t, rod.Name+"'s change", rod.Length.Value-rod.Now.Value, 0, 0.02)
		}
		near(t, "left end", again.Ends[steer.Left].Servo.Value, p.Ends[steer.Left].Servo.Value, 0.15*degree)
		near(t, "right end", again.Ends[steer.Right].Servo.Value, p.Ends[steer.Right].Servo.Value, 0.15*degree)
	})
}

func notes(p *setup.Plan, kind setup.NoteKind) (n int, last setup.Note) {
	for _, note := range p.Notes {
		if note.Kind == kind {
			n++
			last = note
		}
	}
	return n, last
}

func TestMissingFactsLeaveNotes(t *testing.T) {
	for name, c := range map[string]struct {
		change func(r *rig.Rig)
		kind   setup.NoteKind
		says   func(n setup.Note) bool
	}{
		"no readings": {
			func(r *rig.Rig) { r.Transmitter.Readings = nil }, setup.NotCalibrated,
			func(n setup.Note) bool { return n.Err != nil },
		},
		"no teeth": {
			func(r *rig.Rig) { r.Servo.Teeth = 0 }, setup.TeethUnknown,
			func(n setup.Note) bool { return n.Key == "servo.teeth" },
		},
		"no thread": {
			func(r *rig.Rig) { r.DragLink.Thread = "" }, setup.ThreadUnknown,
			func(n setup.Note) bool { return n.Rod == "drag link" && n.Key == "drag_link" },
		},
		"little subtrim": {
			func(r *rig.Rig) { r.Servo.Teeth, r.Horn.Arms, r.Transmitter.MaxSubtrim = 3, 1, 2 }, setup.SubtrimShort,
			// Two steps of a transmitter whose 100 steps turn the servo by 45° and 44°.
			func(n setup.Note) bool {
				return math.Abs(math.Abs(n.Reached)-2*44.5/100*degree) < 0.01*degree && math.Abs(n.Wanted) > math.Abs(n.Reached)
			},
		},
		"a fixed rod": {
			func(r *rig.Rig) {
				r.DragLink.Adjust = "fixed"
				r.DragLink.Length = rig.Length{Quantity: rig.Quantity{Value: 98, Given: true}}
			}, setup.RodFixed,
			func(n setup.Note) bool { return n.Reached == 98 && n.Wanted != 98 },
		},
		"a range too short": {
			func(r *rig.Rig) { r.DragLink.Shortest.Value, r.DragLink.Longest.Value = 80, 81 }, setup.RodRange,
			func(n setup.Note) bool { return n.Shortest == 80 && n.Longest == 81 && n.Wanted > 81 },
		},
	} {
		t.Run(name, func(t *testing.T) {
			r := rigtest.Starter(t, "far-knuckle")
			if n, _ := notes(made(t, r), c.kind); n != 0 {
				t.Fatalf("%d notes of it without cause", n)
			}
			c.change(r)
			p := made(t, r)
			if n, note := notes(p, c.kind); n != 1 || !c.says(note) {
				t.Errorf("%d notes of it, the last %+v", n, note)
			}
			v := valuesAt(t, p.After, p.After.Centre())
			near(t, "left wheel", v[steer.Road.Of(steer.Left)], 0, 1e-11)
		})
	}
}

func rodOf(t testing.TB, p *setup.Plan, key string) setup.Rod {
	t.Helper()
	for _, r := range p.Rods {
		if r.Key == key {
			return r
		}
	}
	t.Fatalf("no rod %s", key)
	return setup.Rod{}
}

// ISO 261 coarse pitches (from memory): M3 0.5 mm. A turnbuckle changes by two pitches a turn, a
// plain end by one (common practice).
func TestRodsAreTurnedByTheirThreads(t *testing.T) {
	for _, c := range []struct {
		adjust  string
		perTurn float64
		halves  bool
	}{{"turnbuckle", 1, false}, {"plain", 0.5, false}, {"plain-half-turn", 0.5, true}} {
		t.Run(c.adjust, func(t *testing.T) {
			p := made(t, rigtest.Starter(t, "far-knuckle", "drag_link.length=97.3", "drag_link.adjust="+c.adjust))
			rod := rodOf(t, p, "drag_link")
			change := rod.Length.Value - 97.3
			near(t, "length now", rod.Now.Value, 97.3, 1e-12)
			near(t, "turns and what is left", rod.Turns*c.perTurn+rod.Residual, change, 1e-9)
			if math.Abs(change) < 0.3 {
				t.Fatalf("the rod changes only by %.2f mm", change)
			}
			if c.halves {
				if rod.Turns*2 != math.Round(rod.Turns*2) || math.Abs(rod.Residual) > c.perTurn/4+1e-12 {
					t.Errorf("%v turns leave %.3f mm", rod.Turns, rod.Residual)
				}
			} else if rod.Residual != 0 {
				t.Errorf("%.3f mm is left", rod.Residual)
			}
			if !rod.Fits {
				t.Error("it does not fit")
			}
		})
	}
	t.Run("fixed, and out of range", func(t *testing.T) {
		p := made(t, rigtest.Starter(t, "far-knuckle", "drag_link.length=97.3", "drag_link.adjust=fixed", "tie_rod.shortest=100", "tie_rod.longest=110"))
		for _, key := range []string{"drag_link", "tie_rod"} {
			if rodOf(t, p, key).Fits {
				t.Errorf("%s is said to fit", key)
			}
		}
	})
	t.Run("two rods of a crank", func(t *testing.T) {
		p := made(t, rigtest.Starter(t, "centre-crank"))
		if len(p.Rods) != 3 {
			t.Errorf("%d rods", len(p.Rods))
		}
		// A layout that is alike on both sides has them alike.
		near(t, "right steering link", rodOf(t, p, "crank.right_rod").Length.Value, rodOf(t, p, "crank.left_rod").Length.Value, 1e-9)
	})
}

// The transmitter's greatest endpoint limits the endpoint and, with the subtrim, the whole turn.
func TestGreatestEndpointGoverns(t *testing.T) {
	const most = 40
	for _, name := range rigtest.Names() {
		p := made(t, rigtest.Starter(t, name, "transmitter.max_endpoint=40"))
		governed := 0
		for _, e := range ends(p) {
			if e.Endpoint.Value > most {
				t.Errorf("%s: the endpoint is %v", name, e.Endpoint.Value)
			}
			if e.Governs != "the transmitter's greatest endpoint" || e.Key != "transmitter.max_endpoint" {
				continue
			}
			governed++
			whole := math.Abs(e.Servo.Value / p.Calibration.Endpoint.PerUnit.Value)
			if !e.Matched && math.Abs(max(e.Endpoint.Value, whole)-most) > 1e-9 {
				t.Errorf("%s: the endpoint is %v and the whole turn %.4f of %v", name, e.Endpoint.Value, whole, most)
			}
			if !e.Matched && e.Servo.Uncertain != 0 {
				t.Errorf("%s: the linkage makes that end uncertain by %v", name, e.Servo.Uncertain)
			}
		}
		if governed == 0 {
			t.Errorf("%s: %s and %s govern", name, p.Ends[steer.Left].Governs, p.Ends[steer.Right].Governs)
		}
	}
}

// Expo or curve that nobody would feel is not set: a hundredth of full lock at least is what each
// is worth.
func TestExpoThatChangesNothingIsNotSet(t *testing.T) {
	set, left := 0, 0
	for _, name := range rigtest.Names() {
		for _, points := range []string{"0", "7"} {
			p := made(t, rigtest.Starter(t, name, "transmitter.curve_points="+points))
			gain := func(s *radio.Shaping) float64 {
				return s.Before.Nonlinear + s.Before.Uneven - s.After.Nonlinear - s.After.Uneven
			}
			switch {
			case p.Settings.Expo == 0 && p.Settings.Curve == nil:
				left++
				if gain(p.Expo) >= 0.01 || p.Curve != nil && gain(p.Curve) >= 0.01 {
					t.Errorf("%s: nothing is set, though expo betters %.4f", name, gain(p.Expo))
				}
				if p.EvenShaped != p.EvenAfter && math.Abs(p.EvenShaped.Path-p.EvenAfter.Path) > 1e-3 {
					t.Errorf("%s: nothing is set, and the path is uneven by %v, before by %v", name, p.EvenShaped.Path, p.EvenAfter.Path)
				}
			case p.Settings.Expo != 0:
				set++
				if gain(p.Expo) < 0.01 {
					t.Errorf("%s: expo %v betters only %.4f", name, p.Settings.Expo, gain(p.Expo))
				}
			default:
				set++
			}
		}
	}
	if set == 0 || left == 0 {
		t.Errorf("%d set, %d left", set, left)
	}
}

func TestExpoLeavesLessThanNone(t *testing.T) {
	for _, name := range rigtest.Names() {
		p := made(t, rigtest.Starter(t, name, "transmitter.curve_points=7"))
		if p.Expo == nil || p.Curve == nil {
			t.Fatalf("%s: expo %v, curve %v", name, p.Expo, p.Curve)
		}
		for what, s := range map[string]*radio.Shaping{"expo": p.Expo, "curve": p.Curve} {
			if s.After.Nonlinear+s.After.Uneven > s.Before.Nonlinear+s.Before.Uneven+1e-12 {
				t.Errorf("%s: %s leaves %+v of %+v", name, what, s.After, s.Before)
			}
		}
		if (p.Settings.Expo != 0) && p.Settings.Curve != nil {
			t.Errorf("%s: both expo %v and curve %v are set", name, p.Settings.Expo, p.Settings.Curve)
		}
		// What remains, found anew by the reverse question.
		trial, err := setup.Try(p.Rig(), 1, 201)
		if err != nil {
			t.Fatal(err)
		}
		chosen := p.Expo.Before
		if p.Settings.Expo != 0 {
			chosen = p.Expo.After
		}
		if p.Settings.Curve != nil {
			chosen = p.Curve.After
		}
		full := (trial.Points[200].Values[steer.Curvature] - trial.Points[0].Values[steer.Curvature]) / 2
		uneven := 0.0
		for i := range 101 {
			uneven = max(uneven, math.Abs(trial.Points[i].Values[steer.Curvature]+trial.Points[200-i].Values[steer.Curvature])/full)
		}
		near(t, name+": what remains uneven", uneven, chosen.Uneven, 0.01)
	}
}

// What the warning about a later subtrim says, against the reverse question with that subtrim.
func TestSubtrimMovesAreWhatTryingThemShows(t *testing.T) {
	for _, name := range rigtest.Names() {
		p := made(t, rigtest.Starter(t, name, "want.lock=25", "transmitter.max_endpoint=150"))
		if p.Trim == nil || len(p.Trim.Moves) != 4 {
			t.Fatalf("%s: %+v", name, p.Trim)
		}
		home := tried(t, p.Rig())
		for _, move := range p.Trim.Moves {
			r := p.Rig()
			r.Settings.Subtrim += move.Steps
			moved := tried(t, r)
			if move.Passes != "" || len(moved.Passed) > 0 {
				if (move.Passes != "") != (len(moved.Passed) > 0) {
					t.Errorf("%s: subtrim by %+v passes %q, and trying it %d stops", name, move.Steps, move.Passes, len(moved.Passed))
				}
				continue
			}
			left := moved.Points[20].Values[steer.Road.Of(steer.Left)] - home.Points[20].Values[steer.Road.Of(steer.Left)]
			right := home.Points[0].Values[steer.Road.Of(steer.Right)] - moved.Points[0].Values[steer.Road.Of(steer.Right)]
			near(t, name+": more lock to the left", move.More[steer.Left], left, 0.02*degree)
			near(t, name+": more lock to the right", move.More[steer.Right], right, 0.02*degree)
			near(t, name+": left less right", move.Uneven, moved.Points[20].Values[steer.Road.Of(steer.Left)]+moved.Points[0].Values[steer.Road.Of(steer.Right)], writingRounds)
		}
	}
}

// The rod that stays is as long as the rig file has it, and known as well: what set-up says of its
// length is what the model of the rig as measured says.
func TestRodsThatStayAreKnownAsWellAsTheyWereMeasured(t *testing.T) {
	stay := 0
	forVariants(t, func(t *testing.T, r *rig.Rig, p *setup.Plan) {
		m, err := steer.New(r)
		if err != nil {
			t.Fatal(err)
		}
		for i, rod := range m.Vehicle.Steering() {
			got := &p.Rods[i]
			measured, err := m.RodLength(rod)
			if err != nil {
				t.Fatal(err)
			}
			near(t, rod.Name+" now", got.Now.Value, measured.Value, 1e-12)
			near(t, rod.Name+" now, its ±", got.Now.Uncertain, measured.Uncertain, 1e-12)
			if math.Abs(got.Length.Value-measured.Value) < 0.05 {
				stay++
				near(t, rod.Name+", the ± of its length", got.Length.Uncertain, measured.Uncertain, 1e-12)
			}
		}
	})
	if stay < 5 {
		t.Errorf("only %d rods stay", stay)
	}
}

// hundredthsOf is how far a wheel can be off where a place and a rod are to a hundredth of a
// millimetre, on arms of at least 12 mm.
const hundredthsOf = 0.1 * degree

// The file that the changes make says the rig that the plan is computed by, keeps its remarks, and
// steers to the same lock; and the changes of the steps, one after the other, are those of the
// whole.
func TestThePlanGoesBackIntoTheFile(t *testing.T) {
	for _, name := range rigtest.Names() {
		for _, change := range []string{"", "settings.reverse=true", "settings.trim=12", "horn.link_angle"} {
			t.Run(name+" "+change, func(t *testing.T) {
				text := rigtest.StarterText(t, name)
				switch {
				case change == "horn.link_angle":
					text = byLinkAngle(t, text)
				case change != "":
					text = rigtest.StarterText(t, name, change)
				}
				p := made(t, rigtest.Read(t, text))
				edited, err := rig.EditAll(text, p.Changes()...)
				if err != nil {
					t.Fatalf("%v: %v", p.Changes(), err)
				}
				stepwise := text
				for _, s := range p.Steps() {
					if stepwise, err = rig.EditAll(stepwise, p.Changes(s)...); err != nil {
						t.Fatalf("%s, %v: %v", s, p.Changes(s), err)
					}
				}
				want := p.Rig()
				for what, text := range map[string][]byte{"at once": edited, "step by step": stepwise} {
					got := rigtest.Read(t, text)
					a, b := want.Measurements(), got.Measurements()
					if len(a) != len(b) {
						t.Fatalf("%s: %d measurements, want %d", what, len(b), len(a))
					}
					for i := range a {
						within := 0.0051
						if a[i].Kind == rig.AngleKind {
							within *= degree
						}
						if a[i].Path != b[i].Path || math.Abs(a[i].Q.Value-b[i].Q.Value) > within {
							t.Errorf("%s: %s is %v, want %s %v", what, b[i].Path, b[i].Q.Value, a[i].Path, a[i].Q.Value)
						}
					}
					if !reflect.DeepEqual(radio.WithDefaults(got.Settings), radio.WithDefaults(want.Settings)) {
						t.Errorf("%s: settings %+v, want %+v", what, got.Settings, want.Settings)
					}
					trial := tried(t, got)
					for i, servo := range map[int]float64{0: p.Ends[steer.Right].Endpoint.Angle, 20: p.Ends[steer.Left].Endpoint.Angle} {
						for _, q := range []steer.Quantity{steer.Road.Of(steer.Left), steer.Road.Of(steer.Right)} {
							near(t, what+": "+q.Info().Key, trial.Points[i].Values[q], valuesAt(t, p.After, servo)[q], hundredthsOf)
						}
					}
				}
				for line := range strings.Lines(string(text)) {
					if _, remark, ok := strings.Cut(line, "#"); ok && !strings.Contains(string(edited), remark) {
						t.Errorf("the remark %q is gone", remark)
					}
				}
			})
		}
	}
}

// byLinkAngle gives a file's horn by the angle between it and the link.
func byLinkAngle(t *testing.T, text []byte) []byte {
	t.Helper()
	r := rigtest.Read(t, text)
	v, err := r.Expand(false)
	if err != nil {
		t.Fatal(err)
	}
	to, servo := r.Clone(), v.Leader()
	ball := servo.Ball.At
	arm := r3.Sub(ball, vehicle.Foot(ball, servo.Horn.Point, servo.Horn.Axis))
	way := r3.Unit(arm)
	to.Horn = rig.Horn{Holes: r.Horn.Holes, Arms: r.Horn.Arms, Points: rig.Direction{way.X, way.Y, way.Z}}
	given := func(x float64) rig.Quantity { return rig.Quantity{Value: x, Given: true} }
	to.Horn.Hole.Quantity, to.Horn.Reach.Quantity = given(r3.Norm(arm)), given(r3.Dot(r3.Sub(ball, servo.Face), servo.Horn.Axis))
	link := r3.Sub(servo.Far().At, ball)
	to.Horn.LinkAngle.Quantity = given(math.Acos(-r3.Dot(arm, link) / (r3.Norm(arm) * r3.Norm(link))))
	edited, err := rig.EditAll(text, rig.Changes(r, to)...)
	if err != nil {
		t.Fatal(err)
	}
	return edited
}

// An endpoint of 1 for 100 leaves the servo next to no way: there is a set-up all the same, or an
// error, and no panic.
func TestAGreatestEndpointThatIsASlipDoesNotPanic(t *testing.T) {
	for _, name := range rigtest.Names() {
		for _, most := range []string{"0.01", "0.5", "1", "1.5"} {
			r := rigtest.Starter(t, name, "transmitter.max_endpoint="+most)
			if p, err := setup.Make(r, 1); err == nil && p.Settings.EndpointLeft > 1.5 {
				t.Errorf("%s with %s: the endpoint is %v", name, most, p.Settings.EndpointLeft)
			}
		}
	}
}
