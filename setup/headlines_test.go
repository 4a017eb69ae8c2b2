package setup_test

import (
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/radio"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

func judged(t testing.TB, r *rig.Rig) *setup.Headlines {
	t.Helper()
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	h, err := setup.Judge(m)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// The lock is where full stick or the first stop takes the wheels, whichever is nearer; the rest
// are the wheels' own angles there.
func TestHeadlinesAreOfFullStickOrTheFirstStop(t *testing.T) {
	for name, r := range variants(t) {
		t.Run(name, func(t *testing.T) {
			h := judged(t, r)
			m, err := steer.New(r)
			if err != nil {
				t.Fatal(err)
			}
			full := func(stick float64) float64 {
				if len(r.Transmitter.Readings) == 0 {
					return math.NaN()
				}
				c, err := radio.Calibrate(r.Transmitter, r.Servo, r.Settings.Reverse)
				if err != nil {
					t.Fatal(err)
				}
				s := r.Settings
				for _, e := range []*float64{&s.EndpointLeft, &s.EndpointRight} {
					if *e == 100 && r.Transmitter.MaxEndpoint > 0 {
						*e = min(100, r.Transmitter.MaxEndpoint)
					}
				}
				model, err := radio.NewModel(c, s)
				if err != nil {
					t.Fatal(err)
				}
				return model.Angle(stick)
			}
			var first [2]steer.Stop // clockwise, counter-clockwise
			for i, d := range []float64{-1, 1} {
				stops, err := m.Stops(d)
				if err != nil {
					t.Fatal(err)
				}
				first[i] = stops[0]
			}
			seen := map[bool]bool{}
			for _, stick := range []float64{1, -1} {
				at := full(stick)
				if math.IsNaN(at) {
					// Assumed: as far as both stops let it, at most 45°, and to the left with the
					// stick.
					at = stick * min(45*degree, math.Abs(first[0].Servo.Value), math.Abs(first[1].Servo.Value))
					if v := valuesAt(t, m, at); v[steer.Curvature]*stick < 0 {
						at = -at
					}
				}
				stop, governs := first[0], setup.FullStick
				if at > 0 {
					stop = first[1]
				}
				if math.Abs(at) > math.Abs(stop.Servo.Value)-1e-9 {
					at, governs = stop.Servo.Value, stop.Words
				}
				v := valuesAt(t, m, at)
				side, inner := steer.Left, v[steer.Road.Of(steer.Left)]
				if v[steer.Curvature] < 0 {
					side, inner = steer.Right, -v[steer.Road.Of(steer.Right)]
				}
				seen[side == steer.Left] = true
				l := &h.Locks[side]
				near(t, "servo", l.Servo.Value, at, 1e-8)
				near(t, "inner wheel", l.Inner.Value, inner, 1e-8)
				near(t, "Ackermann", h.Ackermann[side].Value, v[steer.Ackermann], 1e-8)
				near(t, "turning circle", h.Circle[side].Value, 2*v[steer.OuterRadius], 1e-4)
				if l.Governs != governs {
					t.Errorf("%s ends the lock, wanted %s", l.Governs, governs)
				}
				if swapped := (stick > 0) == (side == steer.Right); swapped != h.Swapped {
					t.Errorf("swapped: %v", h.Swapped)
				}
			}
			if len(seen) < 2 {
				t.Fatal("both sticks steer to one side")
			}
			near(t, "difference", h.Difference.Value, h.Locks[0].Inner.Value-h.Locks[1].Inner.Value, 1e-15)
			if h.EvenProblem != nil || h.Even.Path <= 0 {
				t.Errorf("path evenness %v, %v", h.Even.Path, h.EvenProblem)
			}
		})
	}
}

// Each measurement, and each angle read at the bench, is moved by hand all the way from the file to
// the headlines, and what that does is combined (JCGM 100, equation 10).
func TestHeadlinesAreAsUncertainAsMovedMeasurementsMakeThem(t *testing.T) {
	for name, changes := range map[string][]string{
		"far-knuckle":  {"settings.endpoint_left=70", "settings.endpoint_right=50"}, // ended by full stick
		"centre-crank": {"transmitter.max_endpoint=160", "settings.endpoint_left=150", "settings.endpoint_right=150"},
	} {
		t.Run(name, func(t *testing.T) {
			r := rigtest.Starter(t, name, changes...)
			read := func(h *setup.Headlines) map[string]steer.Result {
				return map[string]steer.Result{
					"difference": h.Difference, "rate": h.Rate, "square": h.Square.Miss,
					"left lock": h.Locks[steer.Left].Inner, "right lock": h.Locks[steer.Right].Inner,
					"Ackermann to the left": h.Ackermann[steer.Left], "circle to the right": h.Circle[steer.Right],
				}
			}
			h := judged(t, r)
			t.Logf("%s and %s end the locks", h.Locks[0].Governs, h.Locks[1].Governs)
			sum := map[string]float64{}
			for i, q := range rigtest.Uncertain(r) {
				step := rigtest.Step(q)
				low, high := read(judged(t, rigtest.Moved(r, i, -step))), read(judged(t, rigtest.Moved(r, i, step)))
				for what := range low {
					s := (high[what].Value - low[what].Value) / (2 * step) * q.Q.Uncertainty
					sum[what] += s * s
				}
			}
			moved := 0
			for what, got := range read(h) {
				want := math.Sqrt(sum[what])
				// Locks that knuckles' stops end are no less alike for what is measured wrongly.
				near(t, what, got.Uncertain, want, 1e-4*want+1e-9)
				if want > 1e-3 {
					moved++
				}
			}
			if moved < 5 {
				t.Errorf("only %d of the headlines are uncertain", moved)
			}
		})
	}
}

func TestRigPastAStopHasHeadlinesAllTheSame(t *testing.T) {
	r := rigtest.Starter(t, "far-knuckle", "drag_link.end_angle=0.1")
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := m.Stops(1); err == nil {
		t.Fatal("the rig is past no stop")
	}
	h := judged(t, r)
	for side, l := range h.Locks {
		if len(l.Stops) > 0 || l.Governs != setup.FullStick || l.Inner.Value < 10*degree {
			t.Errorf("side %d: %s ends the lock at %.1f°, with %d stops", side, l.Governs, l.Inner.Value/degree, len(l.Stops))
		}
	}
}

// A transmitter that goes less far than the usual endpoint still says what full stick is.
func TestStickOfATransmitterOfSmallRangeIsCalibrated(t *testing.T) {
	r := rigtest.Starter(t, "far-knuckle", "transmitter.max_endpoint=80")
	r.Settings = rig.Settings{}
	h := judged(t, r)
	if h.Stick.Model == nil {
		t.Fatalf("the stick is assumed: %v", h.Stick.Problem)
	}
	angle, _ := h.Stick.At(1)
	per := (r.Transmitter.Readings[0].Angle.Value - r.Transmitter.Readings[1].Angle.Value) / (*r.Transmitter.Readings[0].Setting - *r.Transmitter.Readings[1].Setting)
	near(t, "full stick", angle, 80*per, 1e-12)
}
