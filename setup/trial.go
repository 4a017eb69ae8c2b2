package setup

import (
	"errors"
	"math"

	"evenlock/linkage"
	"evenlock/radio"
	"evenlock/rig"
	"evenlock/steer"
)

// Trial is where given settings take the wheels.
type Trial struct {
	Model       *steer.Model
	Calibration radio.Calibration
	Settings    rig.Settings
	// Points are for the stick from full right to full left.
	Points []TrialPoint
	// Even compares left with right, over sticks at which both sides reach.
	Even steer.Evenness
	// EvenKnown is false if some stick drives the linkage where it cannot go.
	EvenKnown bool
	// Low and High are the servo angles that any stick with any trim gives.
	Low, High float64
	// Passed are the stops that some stick and trim drive the linkage past.
	Passed []Passed
	// Within are the greatest endpoints, by the side of the stick, that stay within the first stop,
	// with the trim as it is; they are only of use where WithinKnown.
	Within      [2]radio.Setting
	WithinKnown [2]bool
	// Room is how far the trim can go before an end passes a stop.
	Room radio.TrimRoom
}

// TrialPoint is one stick position of a Trial.
type TrialPoint struct {
	// Stick runs from -1, full right, to 1, full left.
	Stick, Servo float64
	// Reached is false where the linkage does not close; the values are then empty.
	Reached bool
	Values  steer.Values
	// Stop names the first stop that the linkage is past, empty if none.
	Stop string
}

// Passed is a stop driven past.
type Passed struct {
	Stop steer.Stop
	// Side is the side of the stick that does it.
	Side steer.Side
	// By is how far past, in radians of servo angle.
	By float64
	// TrimOnly is true if no stick does it without trim.
	TrimOnly bool
}

// Try works out where the settings of the rig file take the wheels of an axle as measured, at n
// stick positions, and whether any stick and trim drive the linkage past a limit. Errors are those
// of steer.Build, steer.Model.Stops, radio.Calibrate and radio.NewModel.
func Try(r *rig.Rig, axle, n int) (*Trial, error) {
	m, err := steer.Build(r, steer.Options{Axle: axle})
	if err != nil {
		return nil, err
	}
	a := m.Tables()
	c, err := radio.Calibrate(a.Transmitter, a.Servo, a.Settings.Reverse)
	if err != nil {
		return nil, err
	}
	settings := c.Complete(a.Settings)
	model, err := radio.NewModel(c, settings)
	if err != nil {
		return nil, err
	}
	t := &Trial{Model: m, Calibration: c, Settings: model.Settings()}
	if t.Low, t.High, err = c.Reach(settings); err != nil {
		return nil, err
	}
	span := model.Span()
	var all []steer.Stop
	var first [2]float64
	for i, d := range []float64{-1, 1} {
		stops, err := m.Stops(d)
		if err != nil {
			return nil, err
		}
		first[i] = stops[0].Servo.Value
		side := steer.Left
		if d*(span.Left-span.Right) < 0 {
			side = steer.Right
		}
		if set, err := c.EndpointFor(settings, side, first[i], radio.RoundShort); err == nil {
			t.Within[side], t.WithinKnown[side] = set, true
		}
		for _, st := range stops {
			end := t.High
			if d < 0 {
				end = t.Low
			}
			if by := d * (end - st.Servo.Value); by > 0 {
				stick := max(d*(span.Left-st.Servo.Value), d*(span.Right-st.Servo.Value)) > 0
				t.Passed = append(t.Passed, Passed{st, side, by, !stick})
			}
		}
		all = append(all, stops...)
	}
	if t.Room, err = c.TrimRoom(settings, first[0], first[1]); err != nil {
		return nil, err
	}
	s := m.NewState()
	for i := range n {
		x := -1 + 2*float64(i)/float64(n-1)
		p := TrialPoint{Stick: x, Servo: model.Angle(x)}
		var limit *linkage.LimitError
		if err := s.Turn(p.Servo); err == nil {
			p.Reached, p.Values = true, s.Values()
		} else if !errors.As(err, &limit) {
			return nil, err
		}
		for _, st := range all {
			if beyond(p.Servo, st.Servo.Value, m.Centre()) {
				p.Stop = st.Words
				break
			}
		}
		t.Points = append(t.Points, p)
	}
	if even, err := m.Evenness(stick(model)); err == nil && !math.IsNaN(even.Path) {
		t.Even, t.EvenKnown = even, true
	}
	return t, nil
}
