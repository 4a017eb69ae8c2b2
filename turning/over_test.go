package turning_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/internal/root"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/turning"
)

// ends describes a flat vehicle with an axle at each end, upright kingpins through the wheel
// centres 200 apart, 300 from axle to axle, and a servo on each axle that turns the left wheel as a
// parallelogram does.
type ends struct {
	// front and rear are the tie arms' angles to the middle: at the front, whose arms point back,
	// at the rear, whose arms point forward if mirrored, else back.
	front, rear float64
	mirrored    bool
	// frontStops and rearStops are what the knuckles turn each way.
	frontStops, rearStops float64
}

func axleText(prefix, points string, inward, stops float64) string {
	ahead := -1.0
	if points == "forward" {
		ahead = 1
	}
	return fmt.Sprintf(`
[%[1]sleft.kingpin]
point = [0, 100, 0]
caster = 0
inclination = 0
[%[1]sleft.wheel]
tyre_radius = 50
tyre_width = 40
[%[1]sleft.tie_arm]
length = 26
points = %[2]q
inward = %[3]v
height = 0
[%[1]sleft.stops]
in = %[4]v
out = %[4]v
[%[1]sleft.drag_arm]
ball = [%[5]v, 100, 0]
[%[1]stie_rod]
[%[1]sservo]
mount = "axle"
point = [0, 0, 0]
axis = "up"
[%[1]shorn]
ball = [%[5]v, 0, 0]
[%[1]sdrag_link]
to = "left"
`, prefix, points, inward, stops, 20*ahead)
}

func (e ends) text() string {
	points := "back"
	if e.mirrored {
		points = "forward"
	}
	return "format = 1\nname = \"flat (invented)\"\n[vehicle]\nwheelbase = 300\ntrack = 200\n" +
		axleText("", "back", e.front, e.frontStops) +
		"[rear]\ntrack = 200\n" + axleText("rear.", points, e.rear, e.rearStops) + "[want]\nmargin = 0\n"
}

func over(t testing.TB, r *rig.Rig, o turning.Options) *turning.Analysis {
	t.Helper()
	d, err := turning.Over(r, o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func flat(t testing.TB, e ends, o turning.Options) *turning.Analysis {
	t.Helper()
	return over(t, rigtest.Read(t, []byte(e.text())), o)
}

// sweep returns a mode's.
func sweep(t testing.TB, d *turning.Analysis, m turning.Mode) *turning.Sweep {
	t.Helper()
	for _, c := range d.Sweeps {
		if c.Mode == m {
			return c
		}
	}
	t.Fatalf("no sweep for %s", m.Words())
	return nil
}

// With no Ackermann both wheels of an axle turn alike, so that opposite angles put the centre at
// the height of the middle.
func TestRearLikeTheFrontTurnsAboutHalfWayInOppositePhase(t *testing.T) {
	d := flat(t, ends{frontStops: 30, rearStops: 30}, turning.Options{Opposite: 1, Same: 0.5, Steps: 3})
	for _, sample := range sweep(t, d, turning.Opposite).Samples {
		near(t, "rear", sample.Mean[turning.Rear], -sample.Mean[turning.Front], 1e-9)
		if sample.Part == 0 {
			if !sample.Turn.Straight {
				t.Errorf("straight ahead it turns about %v", sample.Turn.Centre)
			}
			continue
		}
		near(t, "centre forward", sample.Turn.Centre.X, -150, 1e-5)
		near(t, "slip of the middle", sample.Turn.Slip, 0, 1e-9)
	}
}

// With Ackermann, a rear axle that is the front one front to back in a mirror does so; one that is
// the same the same way round turns its inner wheel less, and all scrub the more.
func TestRearInAMirrorOfTheFrontAgreesWithIt(t *testing.T) {
	mirrored := flat(t, ends{front: 18, rear: 18, mirrored: true, frontStops: 30, rearStops: 30}, turning.Usual())
	alike := flat(t, ends{front: 18, rear: 18, frontStops: 30, rearStops: 30}, turning.Usual())
	for side := range 2 {
		a, b := sweep(t, mirrored, turning.Opposite).At(side), sweep(t, alike, turning.Opposite).At(side)
		near(t, "centre forward", a.Turn.Centre.X, -150, 1e-5)
		near(t, "rear left against front left", a.Wheels[turning.RearLeft].Road, -a.Wheels[turning.FrontLeft].Road, 1e-6)
		_, good := a.Turn.Worst()
		if _, bad := b.Turn.Worst(); !(bad > 2*good) {
			t.Errorf("in a mirror %.2f° of scrub, the same way round %.2f°", good/degree, bad/degree)
		}
	}
}

// R = L/(2 tan δ) is the single track's (from memory, derived in
// TestSingleTrackTurnsAboutWhereItsAxesMeet). Two wheels to an axle, here parallel, differ from it
// by the square of half the track over the radius.
func TestOppositePhaseHalvesTheRadiusOfSmallAngles(t *testing.T) {
	d := flat(t, ends{frontStops: 2, rearStops: 2}, turning.Usual())
	sample := sweep(t, d, turning.Opposite).At(turning.Left)
	held := sweep(t, d, turning.Held).At(turning.Left)
	near(t, "mean of the front", sample.Mean[turning.Front], 2*degree, 1e-9)
	r := 300 / (2 * math.Tan(2*degree))
	near(t, "radius over the single track's", 1/sample.Turn.Curvature/r, 1, 4*(100/r)*(100/r))
	near(t, "half of what a held rear has", held.Turn.Curvature/sample.Turn.Curvature, 0.5, 1e-3)
}

func TestCrabOfParallelSteeringDoesNotTurn(t *testing.T) {
	d := flat(t, ends{frontStops: 35, rearStops: 40}, turning.Usual())
	for _, sample := range sweep(t, d, turning.Crab).Samples {
		if math.Abs(sample.Turn.Curvature) > 1e-12 || sample.Short != nil {
			t.Errorf("curvature %v, short by %v", sample.Turn.Curvature, sample.Short)
		}
		near(t, "slip", sample.Turn.Slip, sample.Mean[turning.Front], 1e-9)
	}
	near(t, "slip at the lock", sweep(t, d, turning.Crab).At(turning.Right).Turn.Slip, -35*degree, 1e-8)
}

// A rear that stops at 20° cannot follow a front at 35°: it stays there, says so, and the crab
// turns.
func TestRearThatComesToItsLimitStaysThereAndSaysSo(t *testing.T) {
	d := flat(t, ends{frontStops: 35, rearStops: 20}, turning.Options{Opposite: 1, Same: 0.5, Steps: 35})
	for _, m := range []turning.Mode{turning.Opposite, turning.Crab} {
		for _, sample := range sweep(t, d, m).Samples {
			near(t, "rear", math.Abs(sample.Mean[turning.Rear]), min(math.Abs(sample.Mean[turning.Front]), 20*degree), 1e-8)
			if math.Abs(math.Abs(sample.Mean[turning.Front])-20*degree) < 1e-7 {
				continue // at the limit
			}
			if beyond := math.Abs(sample.Mean[turning.Front]) > 20*degree; beyond != (sample.Short != nil) {
				t.Errorf("%s: front at %.2f°: short %v", m.Words(), sample.Mean[turning.Front]/degree, sample.Short)
			}
		}
		left := sweep(t, d, m).At(turning.Left)
		if left.Short == nil || !strings.HasPrefix(left.Short.Governs, "the rear ") || !strings.HasPrefix(left.Short.Key, "rear.left.stops.") {
			t.Errorf("%s: kept short by %+v", m.Words(), left.Short)
		}
	}
	if same := sweep(t, d, turning.Same).At(turning.Left); same.Short != nil {
		t.Errorf("half of 35° is kept short by %+v", same.Short)
	}
	if crab := sweep(t, d, turning.Crab).At(turning.Left); crab.Turn.Curvature <= 0 {
		t.Error("a crab whose rear lags behind does not turn")
	}
}

// Where both front wheels ask for one centre on the rear axle's line, package steer and the fit of
// all four are one; elsewhere steer has the centre on that line and the mean of two curvatures, and
// the two are near.
func TestHeldRearAgreesWithTheTurningCircleOfSteer(t *testing.T) {
	r := rigtest.Starter(t, "behind")
	d := over(t, r, turning.Options{Opposite: 1, Same: 0.5, Steps: 4})
	m := d.Axles[turning.Front]
	at := m.NewState()
	for _, sample := range sweep(t, d, turning.Held).Samples {
		if sample.Part == 0 {
			continue
		}
		if err := at.Turn(sample.Servo[turning.Front]); err != nil {
			t.Fatal(err)
		}
		v := at.Values()
		near(t, "outer radius over steer's", sample.Turn.Outer/v[steer.OuterRadius], 1, 0.02)
		outer := sample.Wheels[turning.FrontRight]
		if v[steer.Curvature] < 0 {
			outer = sample.Wheels[turning.FrontLeft]
		}
		far := math.Hypot(outer.Contact.X-m.Axle.Other, outer.Contact.Y-1/v[steer.Curvature])
		near(t, "outer contact from steer's centre", far+outer.Width/2, v[steer.OuterRadius], 1e-7)
	}
	// The tie arms of this flat rig are such that Ackermann is met at 25° of servo.
	flatWith := func(inward float64) *rig.Rig {
		return rigtest.Planar{Spacing: 200, Wheelbase: 300, TieArm: 26, TieInward: inward, DragArm: 20, Horn: 20}.Rig(t)
	}
	ackermann := func(inward float64) float64 {
		m, err := steer.New(flatWith(inward))
		if err != nil {
			t.Fatal(err)
		}
		r, err := m.At(steer.Ackermann, 25*degree)
		if err != nil {
			t.Fatal(err)
		}
		return r.Value
	}
	exact := flatWith(root.Find(ackermann, 2, 35, 1e-12))
	em, err := steer.New(exact)
	if err != nil {
		t.Fatal(err)
	}
	const meets = 25 * degree
	exact.Left.Stops = &rig.Stops{}
	exact.Left.Stops.In.Value, exact.Left.Stops.In.Given = 89*degree, true
	exact.Left.Stops.Out = exact.Left.Stops.In
	exact.Servo.Travel.Value, exact.Servo.Travel.Given = meets, true
	exact.Want.Margin.Value, exact.Want.ServoMargin.Value = 0, 0
	sample := sweep(t, over(t, exact, turning.Usual()), turning.Held).At(turning.Left)
	at = em.NewState()
	if err := at.Turn(meets); err != nil {
		t.Fatal(err)
	}
	v := at.Values()
	near(t, "servo", sample.Servo[turning.Front], meets, 1e-9)
	near(t, "outer radius", sample.Turn.Outer, v[steer.OuterRadius], 1e-6)
	near(t, "centre forward", sample.Turn.Centre.X, -300, 1e-6)
	near(t, "centre to the left", sample.Turn.Centre.Y, 1/v[steer.Curvature], 1e-6)
	_, worst := sample.Turn.Worst()
	near(t, "scrub", worst, 0, 1e-8)
}

func fourWheel(t testing.TB) *rig.Rig {
	t.Helper()
	return rigtest.Example(t, "four-wheel")
}

func TestRigInAMirrorTurnsAsItsMirrorImage(t *testing.T) {
	r := fourWheel(t)
	a, b := over(t, r, turning.Usual()), over(t, rigtest.Mirrored(r), turning.Usual())
	for _, c := range a.Sweeps {
		o := sweep(t, b, c.Mode)
		for i := range c.Samples {
			x, y := &c.Samples[i], &o.Samples[len(o.Samples)-1-i]
			near(t, c.Mode.Words()+": curvature", y.Turn.Curvature*330, -x.Turn.Curvature*330, 1e-7)
			near(t, c.Mode.Words()+": slip", y.Turn.Slip, -x.Turn.Slip, 1e-7)
			near(t, c.Mode.Words()+": rear left", y.Wheels[turning.RearLeft].Road, -x.Wheels[turning.RearRight].Road, 1e-7)
			if (x.Short == nil) != (y.Short == nil) {
				t.Errorf("%s: short %v, and in the mirror %v", c.Mode.Words(), x.Short, y.Short)
			}
			if !x.Turn.Straight {
				near(t, c.Mode.Words()+": uncertainty of slip", y.Uncertain.Slip, x.Uncertain.Slip, 1e-6)
			}
		}
	}
}

// Each measurement is moved by hand, all from the file to the result, and what that does is
// combined (JCGM 100, equation 10).
func TestUncertaintyIsWhatMovedMeasurementsDo(t *testing.T) {
	r := fourWheel(t)
	o := turning.Options{Opposite: 0.6, Same: 0.5, Steps: 1}
	d := over(t, r, o)
	var sum [4]float64
	read := func(d *turning.Analysis) [4]float64 {
		sample := sweep(t, d, turning.Opposite).At(turning.Left)
		return [4]float64{sample.Turn.Outer, sample.Turn.Centre.X, sample.Turn.Slip, sample.Turn.Misfit[turning.RearLeft]}
	}
	for i, q := range rigtest.Uncertain(r) {
		step := rigtest.Step(q)
		low, high := read(over(t, rigtest.Moved(r, i, -step), o)), read(over(t, rigtest.Moved(r, i, step), o))
		for k := range sum {
			s := (high[k] - low[k]) / (2 * step) * q.Q.Uncertainty
			sum[k] += s * s
		}
	}
	u := sweep(t, d, turning.Opposite).At(turning.Left).Uncertain
	for k, got := range [4]float64{u.Outer, u.Centre.X, u.Slip, u.Misfit[turning.RearLeft]} {
		want := math.Sqrt(sum[k])
		if want == 0 {
			t.Errorf("uncertainty %d is zero", k)
		}
		near(t, fmt.Sprintf("uncertainty %d", k), got, want, 1e-4*want)
	}
}

func TestWithoutARearAxleOnlyTheFrontSteers(t *testing.T) {
	d := over(t, rigtest.Starter(t, "far-knuckle"), turning.Usual())
	if d.RearSteers() || len(d.Sweeps) != 1 || d.Sweeps[0].Mode != turning.Held {
		t.Fatalf("%d sweeps", len(d.Sweeps))
	}
	for _, sample := range d.Sweeps[0].Samples {
		if sample.Mean[turning.Rear] != 0 || sample.Wheels[turning.RearLeft].Contact.X != d.Axles[turning.Front].Axle.Other {
			t.Errorf("the rear is at %v, its wheel at %v", sample.Mean[turning.Rear], sample.Wheels[turning.RearLeft].Contact)
		}
	}
}

func TestLockWantedEndsTheLock(t *testing.T) {
	r := fourWheel(t)
	r.Want.Lock.Value, r.Want.Lock.Given = 20*degree, true
	d := over(t, r, turning.Usual())
	left := d.Sweeps[0].At(turning.Left)
	near(t, "inner wheel", left.Wheels[turning.FrontLeft].Road, 20*degree, 1e-9)
	if d.Axles[turning.Front].Locks[turning.Left].Key != "want.lock" || d.Axles[turning.Front].Locks[turning.Right].Governs != "the lock wanted" {
		t.Errorf("locks ended by %+v", d.Axles[turning.Front].Locks)
	}
}

func TestRearPastAStopIsAnErrorOfTheRear(t *testing.T) {
	r := fourWheel(t)
	r.Rear.DragLink.EndAngle.Value = 0.1 * degree
	if _, err := turning.Over(r, turning.Usual()); err == nil || !strings.HasPrefix(err.Error(), "past a stop when going straight: the rear drag link") || !strings.Contains(err.Error(), "rear.drag_link.end_angle") {
		t.Errorf("error %v", err)
	}
}

// A vehicle that steers with its rear axle alone is, turned by half a turn, one that steers with its
// front axle alone: driven the other way it goes round the same circle, to the other side.
func TestRearAxleAloneSteersAsTheSameAxleTurnedToTheFront(t *testing.T) {
	e := ends{rear: 18, mirrored: true, frontStops: 30, rearStops: 33}
	// With ten times the front's angle asked of it the rear comes to its own lock.
	d := flat(t, e, turning.Options{Opposite: 10, Same: 0.5, Steps: 1})
	straight := &sweep(t, d, turning.Held).Samples[1]
	// Turned, the rear axle has its tie arms to the back and its drag link on the right.
	text := "format = 1\nname = \"turned (invented)\"\n[vehicle]\nwheelbase = 300\ntrack = 200\n" + axleText("", "back", e.rear, e.rearStops) + "[want]\nmargin = 0\n"
	text = strings.Replace(text, "[left.drag_arm]\nball = [-20, 100, 0]", "[right.drag_arm]\nball = [-20, -100, 0]", 1)
	text = strings.Replace(text, `to = "left"`, `to = "right"`, 1)
	turned := sweep(t, over(t, rigtest.Read(t, []byte(text)), turning.Usual()), turning.Held)
	for side := range 2 {
		rear := *sweep(t, d, turning.Opposite).At(1 - side)
		copy(rear.Wheels[:], straight.Wheels[:turning.RearLeft])
		got, want := turning.Fit(&rear.Wheels, turning.Place{X: -150}), &turned.At(side).Turn
		near(t, "servo", rear.Servo[turning.Rear], turned.At(side).Servo[turning.Front], 1e-9)
		near(t, "curvature", got.Curvature*300, -want.Curvature*300, 1e-9)
		near(t, "outermost tyre", got.Outer, want.Outer, 1e-6)
		near(t, "innermost tyre", got.Inner, want.Inner, 1e-6)
		near(t, "centre forward", got.Centre.X+150, -(want.Centre.X + 150), 1e-6)
		near(t, "left rear wheel", rear.Wheels[turning.RearLeft].Road, turned.At(side).Wheels[turning.FrontRight].Road, 1e-9)
	}
}
