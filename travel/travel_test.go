package travel_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/linkage"
	"evenlock/steer"
	"evenlock/travel"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func TestServoOnTheAxleTurnsNoKnuckleOnItAtAnyWheelTravel(t *testing.T) {
	for _, name := range []string{"far-knuckle", "behind", "tie-rod"} {
		r := onAxle(t, name)
		d := over(t, r, 6)
		for _, c := range d.Sweeps {
			for i := range c.Samples {
				for w := range 2 {
					near(t, fmt.Sprintf("%s, %v, turn of wheel %d", name, c.Motion, w), c.Samples[i].Knuckle[w], 0, 1e-10)
					near(t, fmt.Sprintf("%s, %v, rate of wheel %d", name, c.Motion, w), c.Samples[i].Rate.Knuckle[w], 0, 1e-12)
				}
			}
		}
		if len(d.Ideals) > 0 || d.Beside != nil {
			t.Errorf("%s: something is to be placed better: %+v %+v", name, d.Ideals, d.Beside)
		}
		better, err := travel.Improve(d.Model, 25)
		if err != nil || len(better) > 0 {
			t.Errorf("%s: %d better ends, %v", name, len(better), err)
		}
	}
}

// What the trade knows: parallel and equally long, panhard rod and drag link do not steer (common
// practice). Between three alike level links the axle goes without turning, and the two rods then
// stay parallel all the way.
func TestParallelPanhardAndDragLinkDoNotSteer(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(rt, name) }
		along := r3.Vec{X: draw("x", -15, 15), Y: -draw("y", 70, 110), Z: draw("z", -30, 30)}
		from := r3.Vec{X: draw("from x", 10, 30), Y: draw("from y", 20, 50), Z: draw("from z", 10, 50)}
		pulled := r3.Vec{X: 28, Y: -75 + draw("off", -3, 3), Z: draw("height", 5, 30)}
		l := linked{
			panhard: [2]r3.Vec{from, r3.Add(from, along)}, drag: [2]r3.Vec{r3.Sub(pulled, along), pulled},
			links: draw("links", 80, 150), bump: 15,
		}
		d := over(rt, l.rig(t), 3)
		c := d.Sweeps[travel.Heave]
		for w := range 2 {
			if v := c.BumpSteer[w].Value; math.Abs(v) > 1e-9 {
				rt.Errorf("wheel %d has %g rad/mm of bump steer", w, v)
			}
			if v := c.Most[w].Value; math.Abs(v) > 1e-9 {
				rt.Errorf("wheel %d is steered by %g rad", w, v)
			}
		}
		if b := d.Beside; b == nil || b.Angle > 1e-7 || math.Abs(b.Link.Length-b.Drag.Length) > 1e-9 {
			rt.Errorf("beside the panhard rod: %+v", b)
		}
	})
}

// An axle held sideways by a panhard rod of length L, whose end on the axle is h above the other,
// goes sideways by Δy = √(L² - (h + z)²) - √(L² - h²) as it rises by z, and a drag link draws its
// ball by its own; the difference turns an arm of r by Δδ ≈ (Δy_panhard - Δy_link)/r to first order
// in Δδ (derived from Pythagoras in shared knowledge).
func TestSteerIsThatOfPanhardAgainstLink(t *testing.T) {
	const arm = 28.0
	panhard := [2]r3.Vec{{X: 20, Y: 45, Z: 40}, {X: 20, Y: -50, Z: 28}}
	drag := [2]r3.Vec{{X: arm, Y: 5, Z: 30}, {X: arm, Y: -75, Z: 20}}
	d := linked{panhard: panhard, drag: drag, links: 900, bump: 8}
	r := d.rig(t)
	draws := func(ends [2]r3.Vec, z float64) float64 {
		l2, h := r3.Norm2(r3.Sub(ends[0], ends[1])), ends[1].Z-ends[0].Z
		return math.Sqrt(l2-(h+z)*(h+z)) - math.Sqrt(l2-h*h)
	}
	c := over(t, r, 8).Sweeps[travel.Heave]
	for i := range c.Samples {
		sample := &c.Samples[i]
		want := (draws(panhard, sample.X) - draws(drag, sample.X)) / arm
		got := sample.Steer[travel.Right]
		// What is left out is of second order: the ball goes along an arc, not a line.
		near(t, fmt.Sprintf("steer at %.0f mm", sample.X), got, want, want*want+1e-5)
		near(t, fmt.Sprintf("side shift at %.0f mm", sample.X), sample.Carried.Side, -draws(panhard, sample.X), 1e-2)
	}
	near(t, "bump steer", c.BumpSteer[travel.Right].Value, (slope(panhard)-slope(drag))/arm, 1e-9)
}

// slope is dΔy/dz at ride height.
func slope(ends [2]r3.Vec) float64 {
	h := ends[1].Z - ends[0].Z
	return -h / math.Sqrt(r3.Norm2(r3.Sub(ends[0], ends[1]))-h*h)
}

func TestRatesAreTheDifferencesOfNeighbouringTravels(t *testing.T) {
	const step = 0.02
	for _, name := range sprung {
		m := suspended(t, rigtest.Starter(t, name))
		d, err := travel.Over(m, travel.Options{Steps: 2, Servo: 0.1})
		if err != nil {
			t.Fatal(err)
		}
		s := m.NewState()
		at := func(motion travel.Motion, x float64) (steer.Values, steer.Carried) {
			if err := s.Move(0.1, motion.Travel(x)); err != nil {
				t.Fatal(err)
			}
			return s.Values(), s.Carried()
		}
		for _, c := range d.Sweeps {
			// Within the travel only: at its ends the next place may not be reached.
			for _, sample := range c.Samples[1 : len(c.Samples)-1] {
				high, there := at(c.Motion, sample.X+step)
				low, here := at(c.Motion, sample.X-step)
				check := func(what string, got, high, low float64) {
					near(t, fmt.Sprintf("%s, %v at %.1f mm: %s", name, c.Motion, sample.X, what), got, (high-low)/(2*step), 3e-7)
				}
				check("left steer", sample.Rate.Steer[0], high[steer.Road.Of(steer.Left)], low[steer.Road.Of(steer.Left)])
				check("right steer", sample.Rate.Steer[1], high[steer.Road.Of(steer.Right)], low[steer.Road.Of(steer.Right)])
				check("left knuckle", sample.Rate.Knuckle[0], high[steer.Turn.Of(steer.Left)], low[steer.Turn.Of(steer.Left)])
				check("right knuckle", sample.Rate.Knuckle[1], high[steer.Turn.Of(steer.Right)], low[steer.Turn.Of(steer.Right)])
				check("left camber", sample.Rate.Camber[0], high[steer.Camber.Of(steer.Left)], low[steer.Camber.Of(steer.Left)])
				check("right camber", sample.Rate.Camber[1], high[steer.Camber.Of(steer.Right)], low[steer.Camber.Of(steer.Right)])
				check("yaw", sample.Rate.Yaw, there.Yaw, here.Yaw)
				check("pitch", sample.Rate.Pitch, there.Pitch, here.Pitch)
				check("side", sample.Rate.Side, there.Side, here.Side)
			}
		}
	}
}

func TestRollSteerIsForTheAngleOfRoll(t *testing.T) {
	for _, name := range sprung {
		d := over(t, rigtest.Starter(t, name), 1)
		const way = 0.05
		rate := bumpSteer(t, d.Model, travel.Rolling)
		rolls := (d.Model.Roll(travel.Rolling.Travel(way)) - d.Model.Roll(travel.Rolling.Travel(-way))) / (2 * way)
		for w := range 2 {
			near(t, name, d.Sweeps[travel.Rolling].RollSteer[w].Value, rate[w]/rolls, 1e-5)
		}
	}
}

// The uncertainty of bump and roll steer is judged by what a rig built with each measurement moved
// does.
func TestUncertaintyOfBumpSteerIsThatOfRebuiltRigs(t *testing.T) {
	for _, name := range sprung {
		r := rigtest.Starter(t, name)
		d := over(t, r, 1)
		for i, q := range d.Model.Measures() {
			step := rigtest.Step(q)
			high, low := suspended(t, rigtest.Moved(r, i, step)), suspended(t, rigtest.Moved(r, i, -step))
			for _, c := range d.Sweeps {
				up, down := bumpSteer(t, high, c.Motion), bumpSteer(t, low, c.Motion)
				for w := range 2 {
					want := (up[w] - down[w]) / (2 * step)
					near(t, fmt.Sprintf("%s, %v of wheel %d by %s", name, c.Motion, w, q.Path), c.BumpSteer[w].Slope(q.Path), want, 1e-7+2e-3*math.Abs(want))
				}
			}
			c := d.Sweeps[travel.Rolling]
			roll := func(m *steer.Model) float64 {
				return bumpSteer(t, m, travel.Rolling)[0] / m.Roll(travel.Rolling.Travel(1e-3)) * 1e-3
			}
			want := (roll(high) - roll(low)) / (2 * step)
			near(t, fmt.Sprintf("%s, roll steer by %s", name, q.Path), c.RollSteer[0].Slope(q.Path), want, 1e-5+2e-3*math.Abs(want))
		}
		if !(d.Sweeps[travel.Heave].BumpSteer[0].Uncertain > 0) {
			t.Errorf("%s: bump steer without uncertainty", name)
		}
	}
}

// bumpSteer is the mean over a short way about ride height.
func bumpSteer(t *testing.T, m *steer.Model, motion travel.Motion) (rate [2]float64) {
	t.Helper()
	const way = 0.05
	s := m.NewState()
	var road [2][2]float64
	for i, x := range []float64{-way, way} {
		if err := s.Move(0, motion.Travel(x)); err != nil {
			t.Fatal(err)
		}
		road[i] = s.Road()
	}
	for w := range rate {
		rate[w] = (road[1][w] - road[0][w]) / (2 * way)
	}
	return rate
}

func TestMirroredRigTravelsMirrored(t *testing.T) {
	other := map[travel.Motion]travel.Motion{travel.Heave: travel.Heave, travel.LeftWheel: travel.RightWheel, travel.RightWheel: travel.LeftWheel}
	for _, name := range sprung {
		r := rigtest.Starter(t, name)
		a, b := over(t, r, 3), over(t, rigtest.Mirrored(r), 3)
		for m, o := range other {
			for i := range a.Sweeps[m].Samples {
				p, q := &a.Sweeps[m].Samples[i], &b.Sweeps[o].Samples[i]
				near(t, name+" left", q.Steer[travel.Right], -p.Steer[travel.Left], 1e-9)
				near(t, name+" right", q.Steer[travel.Left], -p.Steer[travel.Right], 1e-9)
				near(t, name+" uncertainty", q.SteerUncertain[travel.Right], p.SteerUncertain[travel.Left], 1e-8)
				near(t, name+" side shift", q.Carried.Side, -p.Carried.Side, 1e-8)
				near(t, name+" pitch", q.Carried.Pitch, p.Carried.Pitch, 1e-9)
				near(t, name+" camber", q.Camber[travel.Right], p.Camber[travel.Left], 1e-9)
			}
		}
		first, err := travel.Improve(a.Model, 25)
		if err != nil {
			t.Fatal(err)
		}
		second, err := travel.Improve(b.Model, 25)
		if err != nil {
			t.Fatal(err)
		}
		for i := range first {
			near(t, name+" better", second[i].After[travel.Heave].Worse(), first[i].After[travel.Heave].Worse(), 1e-6)
			by, mirrored := first[i].Moves[0].By, second[i].Moves[len(second[i].Moves)-1].By
			near(t, name+" height", mirrored.Z, by.Z, 1e-9)
			near(t, name+" way across", mirrored.Y, -by.Y, 1e-9)
		}
	}
}

func TestTravelThatIsNotReachedIsAResult(t *testing.T) {
	for _, name := range sprung {
		d := over(t, rigtest.Starter(t, name, "suspension.bump=300", "suspension.droop=300"), 4)
		for _, c := range d.Sweeps {
			for side, stop := range c.Stops {
				if stop == nil {
					t.Errorf("%s, %v: goes all of 300 mm", name, c.Motion)
					continue
				}
				sample := &c.Samples[side*(len(c.Samples)-1)]
				if math.Hypot(sample.Travel.Left-stop.Reached.Left, sample.Travel.Right-stop.Reached.Right) > 1e-3 || math.Abs(sample.X) >= 300 {
					t.Errorf("%s, %v: the last sample is at %v, and it stops at %v", name, c.Motion, sample.Travel, stop.Reached)
				}
			}
		}
		if _, err := travel.Improve(d.Model, 25); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, c := range over(t, rigtest.Starter(t, "chassis"), 2).Sweeps {
		if c.Stops != [2]*steer.TravelError{} {
			t.Errorf("%v stops: %v", c.Motion, c.Stops)
		}
	}
}

func TestLimitsAreWhereTheStateSaysTheyAre(t *testing.T) {
	for _, name := range sprung {
		m := suspended(t, rigtest.Starter(t, name))
		d, err := travel.Over(m, travel.Options{Steps: 1})
		if err != nil {
			t.Fatal(err)
		}
		if len(d.LimitUses) < 8 {
			t.Errorf("%s has %d limits", name, len(d.LimitUses))
		}
		s := m.NewState()
		for i, u := range d.LimitUses {
			for _, w := range []travel.Worst{u.Straight, u.Steered} {
				if err := s.Move(w.Servo, w.Travel); err != nil {
					t.Fatal(err)
				}
				near(t, name+": "+u.Words, s.Limit(i)/u.Most, w.Part, 1e-7)
			}
			if u.Steered.Part < u.Straight.Part {
				t.Errorf("%s: %s is taken up less when steered", name, u.Words)
			}
		}
		for _, l := range d.Locks {
			for w, stop := range l.Stops {
				if l.Past != nil {
					continue
				}
				if err := s.Move(stop.Servo.Value, l.Travel); err != nil {
					t.Fatal(err)
				}
				road := s.Road()
				left, right := road[0], road[1]
				near(t, name+", "+l.Corner.Key(), l.Inner[w], []float64{left, -right}[w], 1e-8)
			}
		}
	}
	// At full droop shorter-necked ends of the chassis rig's drag link bind even straight.
	down := over(t, rigtest.Starter(t, "chassis", "drag_link.end_angle=20"), 1).Locks[travel.BothDown]
	var past *steer.PastStopError
	if !errors.As(down.Past, &past) || past.Key != "drag_link.end_angle" {
		t.Errorf("with both wheels down: %v", down.Past)
	}
}

func TestGridIsWhatTheStateSays(t *testing.T) {
	for _, name := range sprung {
		m := suspended(t, rigtest.Starter(t, name, "suspension.bump=140", "suspension.droop=20"))
		g := travel.NewGrid(m, travel.Heave, -60*degree, 75*degree, 19, 12)
		if err := g.Fill(m.NewState()); err != nil {
			t.Fatal(err)
		}
		not := 0
		for i, x := range g.Heights {
			for j, servo := range g.Servos {
				at := i*len(g.Servos) + j
				s := m.NewState()
				err := s.Move(0, travel.Heave.Travel(x))
				if err == nil {
					err = s.Turn(servo)
				}
				if err != nil {
					not++
					if !math.IsNaN(g.Left[at]) || !math.IsNaN(g.Right[at]) {
						t.Errorf("%s: %.1f mm, %.0f° is not reached, and the grid has it", name, x, servo/degree)
					}
					continue
				}
				road := s.Road()
				left, right := road[0], road[1]
				near(t, name+" left", g.Left[at], left, 1e-9)
				near(t, name+" right", g.Right[at], right, 1e-9)
			}
		}
		if not == 0 {
			t.Errorf("%s reaches everything, which is no test", name)
		}
		small := travel.NewGrid(m, travel.Rolling, -0.1, 0.1, 5, 5)
		s := m.NewState()
		if n := testing.AllocsPerRun(5, func() { _ = small.Fill(s) }); n > 0 {
			t.Errorf("%s: filling a grid allocates %v times", name, n)
		}
	}
}

func TestBadInput(t *testing.T) {
	still, err := steer.New(rigtest.Starter(t, "chassis"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := travel.Over(still, travel.Options{}); !errors.Is(err, steer.ErrNoSuspension) {
		t.Errorf("the error is %v", err)
	}
	if _, err := travel.Improve(still, 10); !errors.Is(err, steer.ErrNoSuspension) {
		t.Errorf("the error is %v", err)
	}
	var limit *linkage.LimitError
	if _, err := travel.Over(suspended(t, rigtest.Starter(t, "rack")), travel.Options{Servo: 2.5}); !errors.As(err, &limit) {
		t.Errorf("the error is %v", err)
	}
	if d := over(t, rigtest.Starter(t, "rack"), 0); len(d.Sweeps[0].Samples) != 3 {
		t.Errorf("%d rows", len(d.Sweeps[0].Samples))
	}
}

// The horn is put too high by a known way, and the search is to find that way back.
func TestBetterEndIsTheOneThatWasMoved(t *testing.T) {
	along := r3.Vec{X: 2, Y: -95, Z: -14}
	from, pulled := r3.Vec{X: 20, Y: 42, Z: 40}, r3.Vec{X: 28, Y: -75, Z: 20}
	right := r3.Sub(pulled, along)
	l := linked{panhard: [2]r3.Vec{from, r3.Add(from, along)}, links: 120, bump: 15}
	for _, off := range []r3.Vec{{Z: 5}, {Z: -3.2}, {Y: 6.5, Z: 4}, {Y: -4, Z: -2.5}} {
		l.drag = [2]r3.Vec{r3.Add(right, off), pulled}
		m := suspended(t, l.rig(t))
		better, err := travel.Improve(m, 25)
		if err != nil {
			t.Fatal(err)
		}
		drill := better[1]
		by := drill.Moves[0].By
		if drill.Moves[0].Ball != "horn's ball" || r3.Norm(r3.Add(by, off)) > 0.11 {
			t.Errorf("off by %v, and to be moved by %v", off, by)
		}
		near(t, "steer left", drill.After[travel.Heave].Worse(), 0, 2e-3*degree)
		if off.Y == 0 {
			near(t, "height", better[0].Moves[0].By.Z, -off.Z, 1e-9)
		}
		d, err := travel.Over(m, travel.Options{})
		if err != nil {
			t.Fatal(err)
		}
		at, ok := d.Ideals[0].Crossing()
		if !ok || math.Hypot(at.Y-right.Y, at.Z-right.Z) > 0.5 {
			t.Errorf("off by %v: the arc's axis passes at %v, and the horn's ball belongs at %v", off, at, right)
		}
		// To first order the line through the far ball will do, all along it.
		through, dir := d.Ideals[0].Along()
		for _, t1 := range []float64{-20, 0, 15} {
			place := r3.Add(through, r3.Scale(t1, dir))
			l.drag[0] = place
			near(t, fmt.Sprintf("bump steer with the horn's ball at %v", place), over(t, l.rig(t), 1).Sweeps[travel.Heave].Rate.Steer[travel.Right], 0, 2e-7)
		}
	}
}

func TestBetterEndsAreVerifiedOnTheRebuiltRig(t *testing.T) {
	for _, name := range sprung {
		r := rigtest.Starter(t, name)
		better, err := travel.Improve(suspended(t, r), 25)
		if err != nil {
			t.Fatal(err)
		}
		if len(better) != 4 {
			t.Fatalf("%s has %d better ends", name, len(better))
		}
		for _, b := range better {
			m, err := steer.Build(r, steer.Options{Suspended: true, Adjustment: b.Adjustment()})
			if err != nil {
				t.Fatal(err)
			}
			d, err := travel.Over(m, travel.Options{Steps: 8})
			if err != nil {
				t.Fatal(err)
			}
			for motion, c := range d.Sweeps {
				for w := range 2 {
					near(t, name+" after", b.After[motion].Most[w], math.Abs(c.Most[w].Value), 1e-9)
					near(t, name+" rate after", b.After[motion].Rate[w], c.Rate.Steer[w], 1e-9)
				}
			}
			if after, before := b.After[travel.Heave].Worse(), b.Before[travel.Heave].Worse(); after > before/2 {
				t.Errorf("%s: %v steers %.2f°, and %.2f° before", name, b.Moves, after/degree, before/degree)
			}
		}
		// Anywhere is at least as good as in height alone.
		for i := 0; i < len(better); i += 2 {
			if shim, drill := better[i].After[travel.Heave].Worse(), better[i+1].After[travel.Heave].Worse(); drill > shim+0.02*degree {
				t.Errorf("%s: %.3f° by shims, %.3f° anywhere", name, shim/degree, drill/degree)
			}
		}
	}
}

func TestBetterEndKeepsWithinWhatIsAllowed(t *testing.T) {
	m := suspended(t, rigtest.Starter(t, "centre-crank"))
	better, err := travel.Improve(m, 1.5)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range better {
		for _, move := range b.Moves {
			if math.Abs(move.By.Y) > 1.5 || math.Abs(move.By.Z) > 1.5 {
				t.Errorf("%s is moved by %v", move.Ball, move.By)
			}
		}
		if !b.Short {
			t.Errorf("%v is said to be the best anywhere", b.Moves)
		}
		if b.After[travel.Heave].Worse() >= b.Before[travel.Heave].Worse() {
			t.Errorf("%v is no better", b.Moves)
		}
	}
}

// betterBy is a place that steers so many degrees at most over heave and in roll.
func betterBy(way travel.Way, heave, roll float64) travel.Better {
	b := travel.Better{Way: way}
	for m, v := range map[travel.Motion]float64{travel.Heave: heave, travel.Rolling: roll} {
		b.After[m].Most[travel.Left] = v * degree
	}
	return b
}

func TestBestIsAShimUnlessAHoleIsWorthDrilling(t *testing.T) {
	const shim, hole = travel.Height, travel.FrontView
	for _, one := range []struct {
		name string
		all  []travel.Better
		want int
	}{
		{"a shim that does", []travel.Better{betterBy(shim, 0.3, 1), betterBy(hole, 0, 1)}, 0},
		{"a shim that leaves a degree, and a hole that leaves less than half", []travel.Better{betterBy(shim, 1, 1), betterBy(hole, 0.4, 1)}, 1},
		{"a hole that is little better", []travel.Better{betterBy(shim, 1, 1), betterBy(hole, 0.6, 1)}, 0},
		{"two shims that show no difference, the other less in roll", []travel.Better{betterBy(shim, 0.04, 1.4), betterBy(hole, 0, 1), betterBy(shim, 0.08, 1.1)}, 2},
		{"two shims that do", []travel.Better{betterBy(shim, 0.04, 1.4), betterBy(shim, 0.2, 1.1)}, 0},
	} {
		if got := travel.Best(one.all); got != &one.all[one.want] {
			t.Errorf("%s: not number %d", one.name, one.want)
		}
	}
	if travel.Best(nil) != nil {
		t.Error("the best of nothing")
	}
}

func TestWhatTheTravelCostsIsTheWorstOfIt(t *testing.T) {
	lock := func(c travel.Corner, left, right float64) travel.Lock {
		return travel.Lock{Corner: c, Inner: [2]float64{left * degree, right * degree}}
	}
	a := &travel.Analysis{Locks: []travel.Lock{lock(travel.RideHeight, 30, 30), lock(travel.BothUp, 29, 30), lock(travel.BothDown, 31, 20), lock(travel.LeftUp, 30, 19.98), lock(travel.RightUp, 0, 0)}}
	a.Locks[travel.RightUp].Past = steer.ErrPastStop
	at, side, lost := a.Lost()
	if at != &a.Locks[travel.BothDown] || side != travel.Right || math.Abs(lost-10*degree) > 1e-12 {
		t.Errorf("lost %v° to side %d at %+v", lost/degree, side, at)
	}
	a.LimitUses = []travel.LimitUse{{Straight: travel.Worst{Part: 1}, Steered: travel.Worst{Part: 3}}, {Straight: travel.Worst{Part: 1.1}}, {Straight: travel.Worst{Part: 1.2}}}
	if u := a.Passed(); u != &a.LimitUses[2] {
		t.Errorf("passed is %+v", u)
	}
	a.LimitUses = a.LimitUses[:1]
	if u := a.Passed(); u != nil {
		t.Errorf("met is passed: %+v", u)
	}
}

// A list's order and the names in it say nothing: what travel does follows from what is on what.
func TestOrderAndNamesOfTheListsDoNotMatter(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, name := range sprung {
		m := suspended(t, rigtest.Starter(t, name))
		ideals, errA := travel.Ideals(m)
		better, errB := travel.Improve(m, 25)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		v := m.Vehicle
		shuffle(rng, v.Bodies[1:]) // the chassis is the first
		shuffle(rng, v.Balls)
		shuffle(rng, v.Rods)
		shuffle(rng, v.Wheels)
		again, err := travel.Improve(m, 25)
		if err != nil || len(again) != len(better) {
			t.Fatalf("%s: %d better ends, not %d: %v", name, len(again), len(better), err)
		}
		for _, b := range better {
			if !slices.ContainsFunc(again, func(a travel.Better) bool {
				return a.Way == b.Way && slices.Equal(a.Moves, b.Moves) && a.After == b.After
			}) {
				t.Errorf("%s: shuffled, %v is not found", name, b.Moves)
			}
		}
		for i, b := range v.Balls {
			b.Name = fmt.Sprint("ball ", i)
		}
		for i, b := range v.Bodies {
			b.Name = fmt.Sprint("body ", i)
		}
		for i, r := range v.Rods {
			r.Name = fmt.Sprint("rod ", i)
		}
		renamed, err := travel.Ideals(m)
		if err != nil || len(renamed) != len(ideals) || len(ideals) == 0 {
			t.Fatalf("%s: %d ideals, not %d: %v", name, len(renamed), len(ideals), err)
		}
		for _, i := range ideals {
			if !slices.Contains(renamed, i) {
				t.Errorf("%s: the ideal line of the ball at %v is not found", name, i.Fixed)
			}
		}
	}
}

func shuffle[T any](rng *rand.Rand, list []T) {
	rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}

// With the servo held, a drag link from a second servo's horn is what a rod from a crank that stands
// still is: where the balls are the same, so is what the travel does, and where they belong.
func TestTwoServosTravelAsTheCrankWhoseBallsTheyHave(t *testing.T) {
	text := string(rigtest.StarterText(t, "centre-crank"))
	before, _, _ := strings.Cut(text, "\n[crank]")
	_, after, _ := strings.Cut(text, "\n[suspension]")
	servos := rigtest.Read(t, []byte(before+`
[left.drag_arm]
ball = [-25, 60, -2]
[servo]
mount = "chassis"
point = [-50, 9, -5]
axis = "up"
[horn]
ball = [-30, 9, -2]
[drag_link]
to = "left"
[second_servo]
mount = "chassis"
point = [-50, -9, -5]
axis = "up"
ball = [-30, -9, -2]
follows = 1
[suspension]`+after))
	a, b := over(t, rigtest.Starter(t, "centre-crank"), 3), over(t, servos, 3)
	for motion := range a.Sweeps {
		for w := range 2 {
			near(t, "bump steer", b.Sweeps[motion].Rate.Steer[w], a.Sweeps[motion].Rate.Steer[w], 1e-9)
		}
	}
	crank, errA := travel.Improve(a.Model, 25)
	better, errB := travel.Improve(b.Model, 25)
	if errA != nil || errB != nil || len(crank) != len(better) {
		t.Fatal(len(crank), len(better), errA, errB)
	}
	for i := range crank {
		if !better[i].Mirrored() {
			t.Errorf("%v are not moved as in a mirror", better[i].Moves)
		}
		for k, move := range better[i].Moves {
			near(t, move.Ball+" across", move.By.Y, crank[i].Moves[k].By.Y, 1e-9)
			near(t, move.Ball+" up", move.By.Z, crank[i].Moves[k].By.Z, 1e-9)
		}
	}
	for i, ideal := range b.Ideals {
		want, _ := a.Ideals[i].Along()
		got, _ := ideal.Along()
		near(t, "ideal line of "+ideal.Ball.Name, r3.Norm(r3.Sub(got, want)), 0, 1e-6)
	}
	if len(b.Ideals) != 2 {
		t.Errorf("%d ideal lines", len(b.Ideals))
	}
}
