package advise_test

import (
	"fmt"
	"math"
	"testing"

	"evenlock/advise"
	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
	"evenlock/vehicle"
)

// flatAngle is the angle in degrees at a corner of a triangle, by the law of cosines.
func flatAngle(corner, a, b [2]float64) float64 {
	d := func(p, q [2]float64) float64 { return math.Hypot(p[0]-q[0], p[1]-q[1]) }
	p, q, r := d(corner, a), d(corner, b), d(a, b)
	return math.Acos((p*p+q*q-r*r)/(2*p*q)) / degree
}

func TestOffSquareIsTheTrianglesAngle(t *testing.T) {
	u := uneven()
	list, _ := adviceOn(t, u.Rig(t))
	// The horn points back, turned by Lean counter-clockwise seen from above.
	s, c := math.Sincos(u.Lean * degree)
	shaft := [2]float64{u.ServoX, u.ServoY}
	horn := [2]float64{u.ServoX - u.Horn*c, u.ServoY - u.Horn*s}
	arm := [2]float64{-u.DragArm, u.Spacing / 2}
	_, facts := factsOn[*advise.Square](t, list, "square")
	near(t, "off square", facts.Miss.Value/degree, flatAngle(horn, shaft, arm)-90, 1e-9)
}

func TestHornOnAnotherPlaceOfTheSplineDoesWhatIsPromised(t *testing.T) {
	u := uneven()
	u.Lean = 30
	r := u.Rig(t)
	r.Servo.Teeth, r.Horn.Arms = 25, 4
	list, s := adviceOn(t, r)
	f, facts := factsOn[*advise.Square](t, list, "square")
	if f.Kind != advise.Do || !facts.Spline {
		t.Fatalf("%v: %+v", f.Kind, facts)
	}
	turn := facts.Turn / degree
	// 25 teeth and 4 arms are a step of 3.6° (common practice; 360/lcm(25, 4)).
	near(t, "steps of the spline", turn/3.6, math.Round(turn/3.6), 1e-9)
	// By hand: the horn's lean changed in the file; the rods, which it leaves out, are what makes
	// the wheels straight.
	u.Lean += turn
	miss, err := modelOf(t, u.Rig(t)).Square()
	if err != nil {
		t.Fatal(err)
	}
	left := facts.LeftOver.Value / degree
	near(t, "off square then", left, miss.Miss.Value/degree, 1e-9)
	if math.Abs(left) > 1.8 {
		t.Errorf("half a step covers 1.8°, but %g° are left", left)
	}
	// Without a calibration the plan turns the servo the rest of the way.
	u.Lean += s.Plan.Horn.LeftOver / degree
	change, at := changed(t, f), facts.Servo/degree
	near(t, "servo angle", at, s.Turn/degree, 1e-9)
	for _, one := range []struct {
		words string
		found steer.Result
		m     *steer.Model
	}{{"left less right", change.Before, modelOf(t, r)}, {"left less right then", change.After, modelOf(t, u.Rig(t))}} {
		left, _ := roads(t, one.m, s.ToLeft*at)
		_, right := roads(t, one.m, -s.ToLeft*at)
		near(t, one.words, one.found.Value/degree, left+right, 1e-6)
	}
	near(t, "weight", f.Weight, math.Abs(change.Before.Value)-math.Abs(change.After.Value), 1e-9)
}

func TestMoreEvenPlaceOfTheHornIsWhatRebuildingGives(t *testing.T) {
	list, s := adviceOn(t, rigtest.Starter(t, "behind"))
	f, facts := factsOn[*advise.EvenPlace](t, list, "even_place")
	twin := rigtest.Starter(t, "behind")
	twin.Horn.Lean.Value += facts.Turn
	twin.DragLink.Length, twin.TieRod.Length = rig.Length{}, rig.Length{}
	if !twin.Horn.Lean.Given {
		t.Fatal("the starter has another way to say where the horn points")
	}
	m := modelOf(t, twin)
	left, _ := roads(t, m, s.ToLeft*s.Turn/degree)
	_, right := roads(t, m, -s.ToLeft*s.Turn/degree)
	near(t, "at the nearer end", facts.Servo, s.Turn, 1e-12)
	near(t, "left less right then", changed(t, f).After.Value/degree, left+right, 1e-6)
	// Both speak of one plan: the place is so much further than that of the set-up.
	near(t, "further than the set-up's place", facts.Turn-facts.Further, s.Plan.Horn.Turn.Value-s.Plan.Horn.LeftOver, 1e-12)
	if square := find(t, list, "square"); square.Change != nil {
		t.Error("two places are proposed for one horn")
	}
}

func TestStopMovedGainsWhatIsPromised(t *testing.T) {
	changes := []string{"transmitter.max_endpoint=150", "want.lock=80", "servo.travel=120", "left.stops.out=24"}
	r := rigtest.Starter(t, "far-knuckle", changes...)
	list, s := adviceOn(t, r)
	found := false
	for _, side := range vehicle.Sides {
		for _, f := range list {
			if f.Key != "lock."+side.String() || f.Kind != advise.Do {
				continue
			}
			found = true
			_, facts := factsOn[*advise.Lock](t, list, f.Key)
			end := &s.Plan.Ends[side]
			var most float64
			for _, l := range s.Plan.After.Limits() {
				if l.Words == end.Governs {
					most = l.Most / degree
				}
			}
			twin, err := setup.Make(rigtest.Starter(t, "far-knuckle", append(changes, fmt.Sprintf("%s=%.12g", end.Key, most+2))...), 1)
			if err != nil {
				t.Fatal(err)
			}
			then := &twin.Ends[side]
			near(t, "lock", f.Change.Before.Value, end.Inner.Value, 1e-9)
			near(t, "lock with 2° more", f.Change.After.Value, then.Inner.Value, 1e-8)
			near(t, "weight", f.Weight, then.Inner.Value-end.Inner.Value, 1e-8)
			near(t, "step", facts.Step, 2*degree, 1e-12)
			if facts.End != end {
				t.Errorf("it is of the lock ended by %s, not by %s", facts.End.Governs, end.Governs)
			}
		}
	}
	if !found {
		t.Fatal("no stop is worth moving")
	}
}

// outerOf is the outer wheel's angle in degrees that Ackermann asks for: cot δo - cot δi = kingpin
// spacing/wheelbase (common knowledge of the trade; figures 60, 100, 20° give 16.633°).
func outerOf(inner, spacing, wheelbase float64) float64 {
	return math.Atan(1/(1/math.Tan(inner*degree)+spacing/wheelbase)) / degree
}

func TestAckermannIsOffByTheCotangentRuleAndMendedByTheSwing(t *testing.T) {
	near(t, "the worked figure", outerOf(20, 60, 100), 16.633, 5e-4)
	u := uneven()
	m := modelOf(t, u.Rig(t))
	turn, _ := m.Vehicle.SquareTurn(m.Servo)
	u.Lean += turn / degree
	list, s := adviceOn(t, u.Rig(t))
	f, facts := factsOn[*advise.Ackermann](t, list, "ackermann")
	// excess is the mean of both ways, with the inner wheel at the 25° wanted. Upright kingpins
	// through the wheel centres: wheels turn as knuckles, and the axes meet where the rule has
	// them.
	excess := func(r *rig.Rig) float64 {
		m, sum := modelOf(t, r), 0.0
		for _, side := range []struct {
			inner, outer steer.Quantity
			sign         float64
		}{{steer.Road.Of(steer.Left), steer.Road.Of(steer.Right), 1}, {steer.Road.Of(steer.Right), steer.Road.Of(steer.Left), -1}} {
			end := s.Plan.Ends[steer.Left].Servo.Value
			if side.sign < 0 {
				end = s.Plan.Ends[steer.Right].Servo.Value
			}
			servo, err := m.Solved(side.inner, side.sign*25*degree, 0, 1.1*end)
			if err != nil {
				t.Fatal(err)
			}
			left, right := roads(t, m, servo.Value/degree)
			outer := right
			if side.outer == steer.Road.Of(steer.Left) {
				outer = left
			}
			sum += side.sign*outer - outerOf(25, u.Spacing, u.Wheelbase)
		}
		return sum / 2
	}
	if s.Plan.Ends[steer.Left].Key != "want.lock" {
		t.Fatalf("the lock is ended by %s", s.Plan.Ends[steer.Left].Governs)
	}
	// One lock is held back to the path of the other, by some hundredths of a degree.
	near(t, "excess", facts.Excess.Value/degree, excess(u.Rig(t)), 0.15)
	if f.Kind != advise.Do {
		t.Fatalf("%v: %+v", f.Kind, facts)
	}
	// The left arm points back: swung counter-clockwise its end goes inward.
	u.TieInward += facts.Swing / degree
	then := excess(u.Rig(t))
	near(t, "excess then", changed(t, f).After.Value/degree, then, 0.15)
	if math.Abs(then) > math.Abs(f.Change.Before.Value)/degree/4 || facts.Way != advise.Inward {
		t.Errorf("%+v leaves %g", facts, then)
	}
}

func TestMeasuringAgainDoesWhatIsPromised(t *testing.T) {
	r := rigtest.Starter(t, "chassis")
	list, s := adviceOn(t, r)
	f, facts := factsOn[*advise.MeasureAgain](t, list, "repeat")
	shares := func(r *rig.Rig) (uncertain float64, first string) {
		plan, err := setup.Make(r, 1)
		if err != nil {
			t.Fatal(err)
		}
		// By the sensitivities of the state, one by one, in place of those of results.
		m, sum, most := plan.After, 0.0, 0.0
		sides := [2]*steer.State{m.NewState(), m.NewState()}
		for i, d := range []float64{s.ToLeft, -s.ToLeft} {
			if err := sides[i].Turn(m.Centre() + d*s.Turn); err != nil {
				t.Fatal(err)
			}
		}
		for i, q := range m.Measures() {
			x := (sides[0].Sensitivity(i)[steer.Road.Of(steer.Left)] + sides[1].Sensitivity(i)[steer.Road.Of(steer.Right)]) * q.Q.Uncertainty
			sum += x * x
			if math.Abs(x) > most {
				most, first = math.Abs(x), q.Path
			}
		}
		return math.Sqrt(sum) / degree, first
	}
	now, first := shares(r)
	near(t, "± now", changed(t, f).Before.Value/degree, now, 1e-6)
	for _, q := range r.Measurements() {
		if q.Path == first {
			q.Q.Uncertainty /= 2
			if facts.Measure.Path != q.Path {
				t.Errorf("it is to be %s that is measured, not %s", q.Words(), facts.Measure.Words())
			}
		}
	}
	then, _ := shares(r)
	near(t, "± then", f.Change.After.Value/degree, then, 1e-6)
	near(t, "weight", f.Weight/degree, now-then, 1e-6)
}

func TestSettingsThatPassAStopAreNamedAndMended(t *testing.T) {
	changes := []string{"transmitter.max_endpoint=150", "settings.endpoint_left=140"}
	r := rigtest.Starter(t, "far-knuckle", changes...)
	list, s := adviceOn(t, r)
	trial, err := setup.Try(r, 1, 21)
	if err != nil {
		t.Fatal(err)
	}
	f, facts := factsOn[*advise.Passed](t, list, "passed.left")
	near(t, "past the stop", changed(t, f).Before.Value, trial.Passed[0].By, 1e-11)
	near(t, "endpoint", facts.EndpointLeft, s.Plan.Ends[steer.Left].Endpoint.Value, 0)
	// The plan's own rig, tried: nothing is passed by the stick.
	trial, err = setup.Try(s.Plan.Rig(), 1, 21)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range trial.Passed {
		if !x.TrimOnly {
			t.Errorf("still %g° past %s", x.By/degree, x.Stop.Words)
		}
	}
	near(t, "past the stop, then", f.Change.After.Value, 0, 0)
}

func TestEvenIsWhatTryingTheSettingsGives(t *testing.T) {
	r := rigtest.Starter(t, "behind")
	list, s := adviceOn(t, r)
	_, facts := factsOn[*advise.Evenness](t, list, "even")
	for i, rig := range []*rig.Rig{r, s.Plan.Rig()} {
		trial, err := setup.Try(rig, 1, 21)
		if err != nil {
			t.Fatal(err)
		}
		near(t, []string{"now", "set up"}[i], []float64{facts.Now, facts.Then}[i], trial.Even.Lock, 1e-8)
	}
	near(t, "at full lock", facts.Full.Value, s.Plan.Ends[steer.Left].Inner.Value-s.Plan.Ends[steer.Right].Inner.Value, 1e-11)
}

func TestWheelsOffStraightAreSetStraight(t *testing.T) {
	u := uneven()
	r := u.Rig(t)
	m := modelOf(t, r)
	r.DragLink.Length = rig.Length{Quantity: rig.Quantity{Value: m.Servo.Link.Length + 1, Given: true}}
	list, _ := adviceOn(t, r)
	left, right := roads(t, modelOf(t, r), 0)
	f, facts := factsOn[*advise.Straight](t, list, "straight")
	near(t, "wheels at neutral", facts.Off.Value/degree, (left+right)/2, 1e-9)
	near(t, "then", changed(t, f).After.Value, 0, 1e-11)
}

func TestToeOffTheWantedIsSaid(t *testing.T) {
	u := uneven()
	u.More += "toe = 1.5\n"
	list, _ := adviceOn(t, u.Rig(t))
	f, facts := factsOn[*advise.Toe](t, list, "toe")
	near(t, "off the wanted", facts.Off.Value/degree, -1.5, 1e-9)
	near(t, "then", changed(t, f).After.Value, 0, 1e-8)
}

func TestUniversalJointChangesSpeedAsTheHandbookHasIt(t *testing.T) {
	list, s := adviceOn(t, rigtest.Starter(t, "far-knuckle", "left.axle_joint.max_angle=45"))
	_, facts := factsOn[*advise.AxleJoint](t, list, "joint")
	c := math.Cos(facts.Angle.Value)
	// Extremes cos γ and 1/cos γ (handbook formula; 30° gives 0.8660 and 1.1547).
	near(t, "change of speed", facts.Uneven, 1/c-c, 1e-9)
	// The spindle is square to the kingpin, so that the joint is bent at least by the inner wheel's
	// angle.
	if least := s.Plan.Ends[steer.Left].Inner.Value; facts.Angle.Value < least-1e-8 {
		t.Errorf("the joint works at %g rad with the wheel at %g", facts.Angle.Value, least)
	}
}
