package radio

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"evenlock/rig"
	"evenlock/vehicle"
)

func TestSubtrimForAnAngle(t *testing.T) {
	c := bench()
	tests := []struct {
		name                   string
		s                      rig.Settings
		wanted, value, reached float64 // degrees, setting, degrees
		outOfRange             bool
	}{
		{"whole step", rig.Settings{}, 1.8, 18, 1.8, false},
		{"rounded, with a residual", rig.Settings{}, -1.234, -12, -1.2, false},
		{"reversed", rig.Settings{Reverse: true}, 1.8, -18, 1.8, false},
		{"what it was does not matter", rig.Settings{Subtrim: 44}, 1.8, 18, 1.8, false},
		{"beyond its range", rig.Settings{}, 12, 100, 10, true},
		{"beyond its range the other way", rig.Settings{}, -12, -100, -10, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := c.SubtrimFor(tt.s, rad(tt.wanted))
			near(t, "value", got.Value, tt.value, 0)
			near(t, "angle", got.Angle, rad(tt.reached), 1e-12)
			near(t, "residual", got.Residual, rad(tt.wanted-tt.reached), 1e-12)
			var e *RangeError
			if errors.As(err, &e) != tt.outOfRange || (err != nil) != tt.outOfRange {
				t.Fatalf("got %v", err)
			}
			if tt.outOfRange {
				near(t, "reached", e.Reached, rad(tt.reached), 1e-12)
				t.Log(err)
			}
		})
	}
}

func TestEndpointForAnAngle(t *testing.T) {
	c := bench()
	whole := c
	whole.TrimKind = TrimWhole
	travel := c
	travel.Travel = rig.Quantity{Value: rad(38), Given: true}
	tests := []struct {
		name                   string
		c                      Calibration
		s                      rig.Settings
		side                   vehicle.Side
		round                  Rounding
		wanted, value, reached float64
		outOfRange             bool
		clip                   Clip
	}{
		{"left", c, rig.Settings{}, vehicle.Left, RoundNearest, 33.6, 80, 33.6, false, 0},
		{"right", c, rig.Settings{}, vehicle.Right, RoundNearest, -26.04, 62, -26.04, false, 0},
		{"reversed", c, rig.Settings{Reverse: true}, vehicle.Left, RoundNearest, -33.6, 80, -33.6, false, 0},
		{"after subtrim", c, rig.Settings{Subtrim: 42}, vehicle.Left, RoundNearest, 33.6, 70, 33.6, false, 0},
		{"with rate", c, rig.Settings{Rate: 80}, vehicle.Left, RoundNearest, 33.6, 100, 33.6, false, 0},
		{"nearest may pass", c, rig.Settings{}, vehicle.Left, RoundNearest, 33.5, 80, 33.6, false, 0},
		{"short does not pass", c, rig.Settings{}, vehicle.Left, RoundShort, 33.5, 79, 33.18, false, 0},
		{"short keeps a whole step", c, rig.Settings{}, vehicle.Right, RoundShort, -33.6, 80, -33.6, false, 0},
		{"centre trim does not matter", c, rig.Settings{Trim: 20}, vehicle.Left, RoundNearest, 33.6, 80, 33.6, false, 0},
		{"whole-range trim does", whole, rig.Settings{Trim: 28}, vehicle.Left, RoundNearest, 33.6, 70, 33.6, false, 0},
		{"a curve that ends short", c, rig.Settings{Curve: []float64{-100, 0, 80}}, vehicle.Left, RoundNearest, 33.6, 100, 33.6, false, 0},
		{"beyond its range", c, rig.Settings{}, vehicle.Left, RoundNearest, 60, 120, 50.4, true, ClipNone},
		{"the sum beyond its range", c, rig.Settings{Subtrim: 50}, vehicle.Left, RoundNearest, 52, 112, 50.4, true, ClipTransmitter},
		{"beyond the servo", travel, rig.Settings{}, vehicle.Left, RoundNearest, 42, 100, 38, true, ClipServo},
		{"the wrong side", c, rig.Settings{}, vehicle.Left, RoundNearest, -20, 1, 0.42, true, ClipNone},
		{"short of less than one step", c, rig.Settings{}, vehicle.Left, RoundShort, 0.2, 1, 0.42, true, ClipNone},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.c.EndpointFor(tt.s, tt.side, rad(tt.wanted), tt.round)
			near(t, "value", got.Value, tt.value, 0)
			near(t, "angle", got.Angle, rad(tt.reached), 1e-12)
			near(t, "residual", got.Residual, rad(tt.wanted-tt.reached), 1e-12)
			var e *RangeError
			if errors.As(err, &e) != tt.outOfRange || (err != nil) != tt.outOfRange {
				t.Fatalf("got %v", err)
			}
			if tt.outOfRange {
				near(t, "reached", e.Reached, rad(tt.reached), 1e-12)
				if e.Clip != tt.clip {
					t.Errorf("clip %v, want %v", e.Clip, tt.clip)
				}
				t.Log(err)
			}
		})
	}
	var e *SettingError
	if _, err := c.EndpointFor(rig.Settings{Curve: []float64{-100, 0, 0}}, vehicle.Left, rad(20), RoundNearest); !errors.As(err, &e) {
		t.Errorf("a curve that ends at nothing: got %v", err)
	}
	if _, err := c.EndpointFor(rig.Settings{}, vehicle.Left, math.NaN(), RoundNearest); err == nil {
		t.Error("not a number passed")
	}
}

func TestFoundEndpointsPutTheEndsWhereWanted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawBench(t)
		s := drawSettings(t)
		s.Trim = 0
		if s.Reverse {
			c.ReadReversed = true
		}
		wanted := rad(rapid.Float64Range(20, 25).Draw(t, "wanted"))
		for _, side := range vehicle.Sides {
			got, err := c.EndpointFor(s, side, side.Sign()*wanted, RoundShort)
			var e *RangeError
			if errors.As(err, &e) {
				if got.Value < c.MaxEndpoint {
					t.Fatalf("gave up at %g: %v", got.Value, err)
				}
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			*s.Endpoint(side) = got.Value
			end := model(t, c, s).Angle(side.Sign())
			if short := wanted - math.Abs(end); short < -1e-9 || short > math.Abs(c.Step(c.Endpoint, end).Value)+1e-9 {
				t.Fatalf("end at %g, wanted %g", end, wanted)
			}
		}
	})
}

func TestTrimRoom(t *testing.T) {
	c := bench()
	whole := c
	whole.TrimKind = TrimWhole
	unclear := c
	unclear.TrimKind = TrimUnclear
	s := rig.Settings{EndpointLeft: 80, EndpointRight: 80} // ends at ±33.6°
	tests := []struct {
		name      string
		c         Calibration
		s         rig.Settings
		low, high float64
		want      TrimRoom
	}{
		{"whole range, 1.5° to the limit each way", whole, s, -35.1, 35.1, TrimRoom{10, 10, TrimStopLeft, TrimStopRight, false}},
		{"whole range, limits unlike", whole, s, -34, 36, TrimRoom{16, 2, TrimStopLeft, TrimStopRight, false}},
		{"whole range, limits far: its own range", whole, s, -50, 50, TrimRoom{30, 30, TrimStopRange, TrimStopRange, false}},
		{"reversed", whole, rig.Settings{Reverse: true, EndpointLeft: 80, EndpointRight: 80}, -34, 36, TrimRoom{2, 16, TrimStopLeft, TrimStopRight, false}},
		{"centre only leaves the ends", c, s, -34, 34, TrimRoom{30, 30, TrimStopRange, TrimStopRange, false}},
		// 10 % is 4.2° of servo, and a step of trim 0.15°: the 28th would pass the end.
		{"centre only, and the ends near", c, rig.Settings{EndpointLeft: 10, EndpointRight: 80}, -34, 34, TrimRoom{27, 30, TrimStopLeft, TrimStopRange, false}},
		{"unclear is taken for the worse", unclear, s, -35.1, 35.1, TrimRoom{10, 10, TrimStopLeft, TrimStopRight, false}},
		{"on the limit", whole, s, -33.6, 33.6, TrimRoom{0, 0, TrimStopLeft, TrimStopRight, false}},
		{"past the limit already", whole, s, -33, 40, TrimRoom{Outside: true}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.c.TrimRoom(tt.s, rad(tt.low), rad(tt.high))
			if err != nil {
				t.Fatal(err)
			}
			if got != tt.want {
				t.Errorf("got %+v, want %+v", got, tt.want)
			}
		})
	}
}

func TestTrimRoomIsTheLastTrimWithinTheLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawBench(t)
		c.TrimKind = TrimWhole
		s := drawSettings(t)
		low, high := rad(rapid.Float64Range(-60, -10).Draw(t, "low")), rad(rapid.Float64Range(10, 60).Draw(t, "high"))
		room, err := c.TrimRoom(s, low, high)
		if err != nil {
			t.Fatal(err)
		}
		within := func(trim float64) bool {
			s.Trim = trim
			span := model(t, c, s).Span()
			return min(span.Left, span.Right) >= low-1e-8 && max(span.Left, span.Right) <= high+1e-8
		}
		if room.Outside {
			if within(0) {
				t.Fatal("no room, though both ends are within the limits")
			}
			return
		}
		if !within(room.Positive) || !within(-room.Negative) {
			t.Fatalf("%+v passes a limit", room)
		}
		if room.Positive < c.MaxTrim && within(room.Positive+1) || room.Negative < c.MaxTrim && within(-room.Negative-1) {
			t.Fatalf("%+v stops early", room)
		}
	})
}

func TestReach(t *testing.T) {
	c := bench()
	whole := c
	whole.TrimKind = TrimWhole
	for _, tt := range []struct {
		name      string
		c         Calibration
		s         rig.Settings
		low, high float64
	}{
		{"centre trim never leaves the ends", c, rig.Settings{Trim: 10}, -42, 42},
		{"whole-range trim adds its range", whole, rig.Settings{}, -46.5, 46.5},
		{"a curve that goes further inside than at the end", c, rig.Settings{Curve: []float64{-50, -90, 0, 50, 80}}, -37.8, 33.6},
	} {
		t.Run(tt.name, func(t *testing.T) {
			low, high, err := tt.c.Reach(tt.s)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "low", low, rad(tt.low), 1e-12)
			near(t, "high", high, rad(tt.high), 1e-12)
		})
	}
}

func TestSubtrimMovedAfterTheEndpoints(t *testing.T) {
	c := bench()
	change, err := c.Shift(rig.Settings{EndpointLeft: 110, EndpointRight: 90, Subtrim: 20}, 30)
	if err != nil {
		t.Fatal(err)
	}
	nearSpan(t, "before", change.Before, Span{rad(-35.8), rad(2), rad(48.2)})
	nearSpan(t, "after", change.After, Span{rad(-32.8), rad(5), rad(50.4)})
	if !change.Clipped {
		t.Error("the left end is held short, and that is not reported")
	}
}

func TestTrimKindFromATestWithTheHornOff(t *testing.T) {
	tests := []struct {
		name string
		test TrimTest
		want TrimKind
		why  TrimReason
	}{
		{"ends stay, centre moves", TrimTest{TrimPair{42, 42}, TrimPair{-42, -42}, &TrimPair{0, 3}, 0.5}, TrimCentre, TrimCentreMoved},
		{"ends stay within the reading", TrimTest{TrimPair{42, 42.4}, TrimPair{-42, -42.3}, nil, 0.5}, TrimCentre, TrimEndsStayed},
		{"ends move alike", TrimTest{TrimPair{42, 45}, TrimPair{-42, -39}, nil, 0.5}, TrimWhole, TrimAllMoved},
		{"in microseconds", TrimTest{TrimPair{1900, 1860}, TrimPair{1100, 1061}, &TrimPair{1500, 1460}, 2}, TrimWhole, TrimAllMoved},
		{"one end held", TrimTest{TrimPair{42, 42}, TrimPair{-42, -39}, nil, 0.5}, TrimUnclear, TrimOneEndMoved},
		{"the ends part", TrimTest{TrimPair{42, 45}, TrimPair{-42, -45}, nil, 0.5}, TrimUnclear, TrimEndsParted},
		{"unequal", TrimTest{TrimPair{42, 43}, TrimPair{-42, -38}, nil, 0.5}, TrimUnclear, TrimUnequal},
		{"centre moves by another amount", TrimTest{TrimPair{42, 44}, TrimPair{-42, -40}, &TrimPair{0, 5}, 0.5}, TrimUnclear, TrimCentreUnlike},
		{"trim hardly moved", TrimTest{TrimPair{42, 42}, TrimPair{-42, -42}, &TrimPair{0, 0.2}, 0.5}, TrimUnclear, TrimHardlyMoved},
		{"not a number", TrimTest{TrimPair{math.NaN(), 42}, TrimPair{-42, -42}, nil, 0.5}, TrimUnclear, TrimNoNumber},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := TrimKindFromTest(tt.test)
			if got.Kind != tt.want || got.Reason != tt.why {
				t.Errorf("got %+v", got)
			}
		})
	}
}
