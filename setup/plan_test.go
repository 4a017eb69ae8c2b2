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
		near(t, "left wheel", v[steer.RoadLeft], -toe, 1e-11)
		near(t, "right wheel", v[steer.RoadRight], toe, 1e-11)
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
		left := valuesAt(t, p.After, p.Left.Servo.Value)[steer.Curvature]
		right := -valuesAt(t, p.After, p.Right.Servo.Value)[steer.Curvature]
		if left <= 0 || right <= 0 {
			t.Fatalf("curvatures %v to the left and %v to the right", left, right)
		}
		near(t, "curvature to the right", right/left, 1, 1e-9)
		near(t, "the plan's, left", p.Left.Curvature.Value, left, 1e-14)
		near(t, "the plan's, right", p.Right.Curvature.Value, right, 1e-14)
		if p.Left.Matched && p.Right.Matched {
			t.Error("both ends are held back for the other")
		}
	})
}

// roomAt returns the least room at a servo angle to any stop, of servo angle and knuckle turns, and
// the stop.
func roomAt(v *steer.Values, servo float64, stops []steer.Stop) (least float64, words string) {
	least = math.Inf(1)
	for _, st := range stops {
		room := min(math.Abs(st.Servo.Value-servo), math.Abs(st.TurnLeft-v[steer.TurnLeft]), math.Abs(st.TurnRight-v[steer.TurnRight]))
		if room < least {
			least, words = room, st.Words
		}
	}
	return least, words
}

func TestEndsKeepTheMarginAndTheFirstLimitGoverns(t *testing.T) {
	forVariants(t, func(t *testing.T, r *rig.Rig, p *setup.Plan) {
		margin, centre := r.Want.Margin.Value, p.After.Centre()
		for sign, e := range ends(p) {
			v := valuesAt(t, p.After, e.Servo.Value)
			if room, words := roomAt(&v, e.Servo.Value, e.Stops); room < margin-1e-9 {
				t.Errorf("side %+v keeps %.4f° from %s", sign, room/degree, words)
			}
			// By brute force: what the servo meets first on its way out, of margins, wanted lock
			// and the transmitter's greatest endpoint.
			const step = 0.01 * degree
			s, direction := p.After.NewState(), math.Copysign(1, e.Servo.Value-centre)
			first, at := "", centre
			for ; first == ""; at += direction * step {
				if err := s.Turn(at); err != nil {
					t.Fatal(err)
				}
				v := s.Values()
				inner := v[steer.RoadLeft]
				if sign < 0 {
					inner = -v[steer.RoadRight]
				}
				room, words := roomAt(&v, at, e.Stops)
				switch {
				case room < margin:
					first = words
				case inner > r.Want.Lock.Value:
					first = "the lock wanted"
				case p.Calibrated && max(math.Abs(at), math.Abs(at-p.Subtrim.Angle)) > r.Transmitter.MaxEndpoint*math.Abs(p.Calibration.Endpoint.PerUnit.Value):
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
			inner, outer := v[steer.RoadLeft], v[steer.RoadRight]
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

func TestEndpointsAreRoundedShort(t *testing.T) {
	forVariants(t, func(t *testing.T, r *rig.Rig, p *setup.Plan) {
		if !p.Calibrated {
			if p.Left.Endpoint != (radio.Setting{}) || p.Settings.EndpointLeft != 0 {
				t.Errorf("an endpoint without a calibration: %+v", p.Left.Endpoint)
			}
			return
		}
		model, err := radio.NewModel(p.Calibration, p.Settings)
		if err != nil {
			t.Fatal(err)
		}
		step := math.Abs(p.Calibration.Endpoint.PerUnit.Value)
		for sign, e := range ends(p) {
			near(t, "servo at full stick", model.Angle(sign), e.Endpoint.Angle, 1e-12)
			if e.Endpoint.Value != math.Trunc(e.Endpoint.Value) || e.Endpoint.Value > r.Transmitter.MaxEndpoint {
				t.Errorf("endpoint %v", e.Endpoint.Value)
			}
			short := math.Copysign(1, e.Servo.Value-p.After.Centre()) * (e.Servo.Value - e.Endpoint.Angle)
			if short < -1e-9 || short > step+1e-9 {
				t.Errorf("side %+v: the endpoint is %.4f° short of the end, with a step of %.4f°", sign, short/degree, step/degree)
			}
		}
		if p.Settings.EndpointLeft != p.Left.Endpoint.Value || p.Settings.EndpointRight != p.Right.Endpoint.Value || p.Settings.Subtrim != p.Subtrim.Value {
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
		for _, q := range []steer.Quantity{steer.RoadLeft, steer.RoadRight} {
			for i, servo := range map[int]float64{0: p.Right.Endpoint.Angle, 10: p.After.Centre(), 20: p.Left.Endpoint.Angle} {
				near(t, "servo", trial.Points[i].Servo, servo, 1e-9)
				near(t, q.Info().Words, trial.Points[i].Values[q], valuesAt(t, p.After, servo)[q], writingRounds)
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
		near(t, "left end", again.Left.Servo.Value, p.Left.Servo.Value, 0.15*degree)
		near(t, "right end", again.Right.Servo.Value, p.Right.Servo.Value, 0.15*degree)
	})
}

func notes(p *setup.Plan, words string) int {
	n := 0
	for _, note := range p.Notes {
		if strings.Contains(note.Problem, words) {
			n++
		}
		if note.Remedy == "" {
			n = -1
		}
	}
	return n
}

func TestMissingFactsLeaveNotes(t *testing.T) {
	for name, c := range map[string]struct {
		change func(r *rig.Rig)
		words  string
	}{
		"no readings": {func(r *rig.Rig) { r.Transmitter.Readings = nil }, "not calibrated"},
		"no teeth":    {func(r *rig.Rig) { r.Servo.Teeth = 0 }, "teeth"},
		"no thread":   {func(r *rig.Rig) { r.DragLink.Thread = "" }, "drag link's thread"},
		"little subtrim": {func(r *rig.Rig) {
			r.Servo.Teeth, r.Horn.Arms, r.Transmitter.MaxSubtrim = 3, 1, 2
		}, "subtrim cannot cover"},
		"a fixed rod": {func(r *rig.Rig) {
			r.DragLink.Adjust = "fixed"
			r.DragLink.Length = rig.Length{Quantity: rig.Quantity{Value: 98, Given: true}}
		}, "of fixed length"},
		"a range too short": {func(r *rig.Rig) { r.DragLink.Shortest.Value, r.DragLink.Longest.Value = 80, 81 }, "cannot be set to"},
	} {
		t.Run(name, func(t *testing.T) {
			r := rigtest.Starter(t, "far-knuckle")
			if n := notes(made(t, r), c.words); n != 0 {
				t.Fatalf("%d notes of it without cause", n)
			}
			c.change(r)
			p := made(t, r)
			if n := notes(p, c.words); n != 1 {
				t.Errorf("%d notes of %q in %+v", n, c.words, p.Notes)
			}
			v := valuesAt(t, p.After, p.After.Centre())
			near(t, "left wheel", v[steer.RoadLeft], 0, 1e-11)
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
			t.Errorf("%s: %s and %s govern", name, p.Left.Governs, p.Right.Governs)
		}
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
		trial, err := setup.Try(p.Rig(), 201)
		if err != nil {
			t.Fatal(err)
		}
		chosen := p.Expo.After
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
			left := moved.Points[20].Values[steer.RoadLeft] - home.Points[20].Values[steer.RoadLeft]
			right := home.Points[0].Values[steer.RoadRight] - moved.Points[0].Values[steer.RoadRight]
			near(t, name+": more lock to the left", move.Left, left, 0.02*degree)
			near(t, name+": more lock to the right", move.Right, right, 0.02*degree)
			near(t, name+": left less right", move.Uneven, moved.Points[20].Values[steer.RoadLeft]+moved.Points[0].Values[steer.RoadRight], writingRounds)
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
		for i, rod := range r.SteeringRods() {
			got := &p.Rods[i]
			measured, err := m.RodLength(&rod)
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
