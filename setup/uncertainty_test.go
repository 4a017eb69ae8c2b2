package setup_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/internal/root"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/stat"
)

// found are the servo angles of both ends.
type found struct{ left, right float64 }

// findEnds finds the ends of a rig set up as a plan says, by its own way: the nearest of margins
// and wanted lock, then the same path to both sides by a root finder over plain curvature.
func findEnds(t *testing.T, r *rig.Rig, p *setup.Plan) found {
	t.Helper()
	toe := r.Want.Toe.Value
	m, err := steer.Build(r, steer.Options{Adjustment: vehicle.Adjustment{
		HornTurn: p.Horn.Turn.Value - p.Horn.LeftOver, Straighten: true, Centre: p.After.Centre(), Toe: &toe,
	}})
	if err != nil {
		t.Fatal(err)
	}
	s := m.NewState()
	at := func(servo float64) steer.Values {
		if err := s.Turn(servo); err != nil {
			t.Fatal(err)
		}
		return s.Values()
	}
	end := func(sign float64) float64 {
		side := steer.Left
		if sign < 0 {
			side = steer.Right
		}
		l, err := m.Lock(side, steer.LockOptions{Margin: steer.Margin{Wheel: r.Want.Margin.Value, Servo: r.Want.ServoMargin.Value}})
		if err != nil {
			t.Fatal(err)
		}
		x := l.Servo.Value
		inner := func(servo float64) float64 {
			v := at(servo)
			if sign > 0 {
				return v[steer.Road.Of(steer.Left)] - r.Want.Lock.Value
			}
			return -v[steer.Road.Of(steer.Right)] - r.Want.Lock.Value
		}
		if inner(x) > 0 {
			x = root.Find(inner, m.Centre(), x, 1e-13)
		}
		return x
	}
	f := found{end(1), end(-1)}
	match := func(wide *float64, sign, other float64) {
		want := math.Abs(at(other)[steer.Curvature])
		*wide = root.Find(func(servo float64) float64 { return sign*at(servo)[steer.Curvature] - want }, m.Centre(), *wide, 1e-13)
	}
	if p.Ends[steer.Left].Matched {
		match(&f.left, 1, f.right)
	}
	if p.Ends[steer.Right].Matched {
		match(&f.right, -1, f.left)
	}
	return f
}

func TestSlopesOfTheEndsAreTheDifferencesOfRebuiltRigs(t *testing.T) {
	for _, name := range rigtest.Names() {
		for what, changes := range map[string][]string{
			"with its lock wanted":   {"transmitter.max_endpoint=200", "servo.travel=89"},
			"as far as its stops go": {"transmitter.max_endpoint=200", "want.lock=80", "want.margin=3", "servo.travel=89"},
		} {
			t.Run(name+" "+what, func(t *testing.T) {
				r := rigtest.Starter(t, name, changes...)
				p := made(t, r)
				here := findEnds(t, r, p)
				near(t, "left end", here.left, p.Ends[steer.Left].Servo.Value, 1e-8)
				near(t, "right end", here.right, p.Ends[steer.Right].Servo.Value, 1e-8)
				moving := 0
				for i, q := range p.After.Measures() {
					step := rigtest.Step(q)
					high, low := findEnds(t, rigtest.Moved(r, i, step), p), findEnds(t, rigtest.Moved(r, i, -step), p)
					left, right := (high.left-low.left)/(2*step), (high.right-low.right)/(2*step)
					near(t, "left end by "+q.Path, p.Ends[steer.Left].Servo.Slope(q.Path), left, 2e-6+1e-5*math.Abs(left))
					near(t, "right end by "+q.Path, p.Ends[steer.Right].Servo.Slope(q.Path), right, 2e-6+1e-5*math.Abs(right))
					if math.Abs(left) > 1e-4 && math.Abs(right) > 1e-4 {
						moving++
					}
				}
				if moving < 5 {
					t.Errorf("only %d measurements move the ends", moving)
				}
			})
		}
	}
}

// An endpoint is the servo angle over the scale, less the subtrim. With n samples a standard
// deviation is known to one part in √(2n).
func TestEndpointsScatterAsTheirUncertaintySays(t *testing.T) {
	const samples = 2000
	r := rigtest.Starter(t, "far-knuckle", "transmitter.max_endpoint=160")
	// Small errors, so that what is tested is the propagation and not how straight the curves are.
	for _, q := range rigtest.Uncertain(r) {
		q.Q.Uncertainty /= 10
	}
	p := made(t, r)
	sizes := rigtest.Uncertain(r)
	rng := rand.New(rand.NewPCG(3, 4))
	var left, right []float64
	for range samples {
		c := r.Clone()
		for i, q := range rigtest.Uncertain(c) {
			q.Q.Value += rng.NormFloat64() * sizes[i].Q.Uncertainty / 2
			q.Q.Uncertainty = 0
		}
		// The readings scatter too, and with them the scale.
		per := (c.Transmitter.Readings[0].Angle.Value - c.Transmitter.Readings[1].Angle.Value) / 200
		f := findEnds(t, c, p)
		left = append(left, math.Abs(f.left/per-p.Subtrim.Value))
		right = append(right, math.Abs(f.right/per-p.Subtrim.Value))
	}
	for side, c := range map[string]struct {
		e    setup.End
		scat []float64
	}{"left": {p.Ends[steer.Left], left}, "right": {p.Ends[steer.Right], right}} {
		got := 2 * stat.StdDev(c.scat, nil)
		near(t, side+" endpoint's uncertainty", c.e.EndpointUncertain, got, 4*got/math.Sqrt(2*samples))
		near(t, side+" endpoint", c.e.Endpoint.Exact, stat.Mean(c.scat, nil), 0.1)
	}
}

func TestLengthsAndHornTurnCarryTheirUncertainty(t *testing.T) {
	r := rigtest.Starter(t, "chassis")
	p := made(t, r)
	if p.Horn.Turn.Uncertain <= 0 {
		t.Error("the horn's turn is taken as exact")
	}
	for _, rod := range p.Rods {
		if rod.Length.Uncertain <= 0 || rod.Now.Uncertain <= 0 {
			t.Errorf("the %s is taken as exact", rod.Name)
		}
	}
	for _, e := range ends(p) {
		if e.Inner.Uncertain <= 0 || e.Outer.Uncertain <= 0 || e.Curvature.Uncertain <= 0 || e.EndpointUncertain <= 0 {
			t.Errorf("an end is taken as exact: %+v", e)
		}
	}
	for _, q := range rigtest.Uncertain(r) {
		q.Q.Uncertainty = 0
	}
	exact := made(t, r)
	near(t, "uncertainty without any", exact.Ends[steer.Left].EndpointUncertain+exact.Ends[steer.Right].Inner.Uncertain+exact.Horn.Turn.Uncertain, 0, 0)
	near(t, "left end all the same", exact.Ends[steer.Left].Servo.Value, p.Ends[steer.Left].Servo.Value, 1e-12)
}
