package radio

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"pgregory.net/rapid"

	"evenlock/rig"
	"evenlock/vehicle"
)

func calibrated(t interface {
	Helper()
	Fatalf(string, ...any)
}, tx rig.Transmitter,
) Calibration {
	t.Helper()
	c, err := Calibrate(tx, rig.Servo{}, false)
	if err != nil {
		t.Fatalf("Calibrate: %v", err)
	}
	return c
}

// endpoints are readings of setting and angle in degrees, each with its ±.
func endpoints(uncertain float64, all ...[2]float64) rig.Transmitter {
	var tx rig.Transmitter
	for _, one := range all {
		tx.Readings = append(tx.Readings, reading("", ptr(one[0]), nil, angle(one[1], uncertain)))
	}
	return tx
}

// Least squares of two lines that meet at a setting of zero, worked by hand. With x in 50s, centre c,
// slopes a above and b below, and angles -38, -20, 1, 25, 48:
//
//	 5c + 3a - 3b =  16
//	 3c + 5a      = 121
//	-3c      + 5b =  96
//
// has the determinant 35, and c = 5/7, a = 832/35, b = 687/35. The inverse has 25/35 for c, 16/35 for
// a and b, and -9/35 between them, so that (JCGM 100, 5.1.2 and 5.2.2, u = 1° each) u²(a) = 16/35
// and u²((a+b)/2) = 3.5/35. The residuals' scatter, 0.97°, is less than u.
func TestEachSideHasItsSlope(t *testing.T) {
	p := pairs{}
	for i, x := range []float64{-100, -50, 0, 50, 100} {
		p = p.with(i+1, x, []float64{-38, -20, 1, 25, 48}[i], 1)
	}
	s, ok := fitSides(p, 0)
	if !ok {
		t.Fatalf("got %+v, %v", s, ok)
	}
	near(t, "centre", s.centre, 5.0/7, 1e-12)
	near(t, "above", s.slope[0], 832.0/35/50, 1e-12)
	near(t, "below", s.slope[1], 687.0/35/50, 1e-12)
	near(t, "u²(centre)", s.centreVariance, 25.0/35, 1e-12)
	near(t, "u²(above)", s.slopeVariance[0], 16.0/35/2500, 1e-15)
	near(t, "u²(below)", s.slopeVariance[1], 16.0/35/2500, 1e-15)
	near(t, "u²(mean)", s.meanVariance, 3.5/35/2500, 1e-15)

	c := calibrated(t, endpoints(2, [2]float64{-100, -38}, [2]float64{-50, -20}, [2]float64{0, 1}, [2]float64{50, 25}, [2]float64{100, 48}))
	for side, want := range map[float64]float64{1: 832.0 / 35 / 50, -1: 687.0 / 35 / 50} {
		step := c.Step(c.Endpoint, side)
		near(t, "step", step.Value, rad(want), 1e-12)
		near(t, "± of the step", step.Uncertainty, rad(2*math.Sqrt(16.0/35)/50), 1e-12)
	}
	near(t, "offset", c.Endpoint.Offset.Value, rad(5.0/7), 1e-12)
	if len(c.Misfits) != 0 {
		t.Errorf("misfits %v, and all are within ± 2°", c.Misfits)
	}
	// Four steps in five of a slope, counted from neutral: the offset is the protractor's.
	span := model(t, c, rig.Settings{EndpointLeft: 80, EndpointRight: 80}).Span()
	near(t, "left", span.Left, rad(80*832.0/35/50), 1e-12)
	near(t, "right", span.Right, -rad(80*687.0/35/50), 1e-12)
}

// 48° one way and 38° the other is no servo of 43°, as it used to be taken for.
func TestAServoThatTurnsFurtherOneWay(t *testing.T) {
	for _, tt := range []struct {
		name     string
		readings rig.Transmitter
	}{
		{"with a reading at the centre", endpoints(1, [2]float64{100, 48}, [2]float64{0, 0}, [2]float64{-100, -38})},
		{"at the ends only, counted from neutral", endpoints(1, [2]float64{100, 48}, [2]float64{-100, -38})},
		{"by pulses, on a screen that shows µs", rig.Transmitter{Shows: "µs", MaxEndpoint: 100, Readings: []rig.Reading{
			reading("", nil, ptr(1600), angle(48, 1)), reading("", nil, ptr(1400), angle(-38, 1)),
		}}},
		{"by pulses, with the pulses of two settings", rig.Transmitter{Readings: []rig.Reading{
			reading("", nil, ptr(1900), angle(48, 1)), reading("", nil, ptr(1100), angle(-38, 1)),
			reading("", ptr(50), ptr(1700), rig.Angle{}), reading("", ptr(-50), ptr(1300), rig.Angle{}),
		}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := calibrated(t, tt.readings)
			m := model(t, c, rig.Settings{})
			nearSpan(t, "span", m.Span(), Span{Right: rad(-38), Left: rad(48)})
			// ± 1° at the end and ± 1° at the neutral that it is counted from.
			near(t, "± left", m.Uncertainty(1), rad(math.Sqrt2), 1e-12)
			near(t, "± right", m.Uncertainty(-1), rad(math.Sqrt2), 1e-12)
			for side, want := range map[vehicle.Side]float64{vehicle.Left: 75, vehicle.Right: 75} {
				set, err := c.EndpointFor(rig.Settings{}, side, m.Angle(0.75*side.Sign()), RoundNearest)
				if err != nil {
					t.Fatal(err)
				}
				near(t, "endpoint "+side.String(), set.Value, want, 0)
			}
		})
	}
}

// Readings on one side, or one on each that are alike, are one line, as ever.
func TestReadingsThatAreOneLine(t *testing.T) {
	for _, tx := range []rig.Transmitter{
		endpoints(1, [2]float64{100, 45}, [2]float64{-100, -44}),
		endpoints(0, [2]float64{100, 45}, [2]float64{-100, -44}), // without their ± as well
		endpoints(1, [2]float64{100, 45}, [2]float64{50, 20}, [2]float64{0, 1}),
		endpoints(0, [2]float64{100, 45}, [2]float64{-60, -27}),
		endpoints(1, [2]float64{100, 45}, [2]float64{50, 30}, [2]float64{-100, -44}), // and one that is off
		endpoints(1, [2]float64{100, 95}, [2]float64{-100, 5}),                       // not counted from neutral
	} {
		c := calibrated(t, tx)
		if c.Ways[0].Given || c.Ways[1].Given {
			t.Errorf("%+v: ways %v", tx.Readings, c.Ways)
		}
		if c.Step(c.Endpoint, 1) != c.Endpoint.PerUnit || c.Step(c.Endpoint, -1) != c.Endpoint.PerUnit {
			t.Error("a step differs by side")
		}
	}
}

// Subtrim moves the servo along its own kink: 20 steps of 0.48°, and the end from there.
func TestSubtrimOfAnUnevenServo(t *testing.T) {
	c := calibrated(t, endpoints(1, [2]float64{100, 48}, [2]float64{0, 0}, [2]float64{-100, -38}))
	span := model(t, c, rig.Settings{Subtrim: -20}).Span()
	nearSpan(t, "span", span, Span{Right: rad(-0.38 * 120), Centre: rad(-0.38 * 20), Left: rad(0.48 * 80)})
	set, err := c.SubtrimFor(rig.Settings{}, rad(-0.38*20))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "subtrim", set.Value, -20, 0)
	c.TrimKind = TrimWhole
	room, err := c.TrimRoom(rig.Settings{}, rad(-0.38*110), rad(0.48*105))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "room up", room.Positive, 5, 0)
	near(t, "room down", room.Negative, 10, 0)
}

func drawReadings(t *rapid.T) (tx rig.Transmitter) {
	way := rapid.SampledFrom([]float64{1, -1}).Draw(t, "way")
	above, below := rapid.Float64Range(0.3, 0.6).Draw(t, "above"), rapid.Float64Range(0.3, 0.6).Draw(t, "below")
	for _, x := range rapid.SampledFrom([][]float64{{100, -100}, {100, 0, -100}, {120, 60, -50, -110}, {100, 50, 0, -50, -100}}).Draw(t, "settings") {
		slope := above
		if x < 0 {
			slope = below
		}
		tx.Readings = append(tx.Readings, reading("", ptr(x), nil,
			angle(way*slope*x+rapid.Float64Range(-1, 1).Draw(t, "off"), rapid.Float64Range(0.2, 2).Draw(t, "±"))))
	}
	return tx
}

// A bench seen in a mirror has the calibration of the mirror: settings and angles change sign, and
// what one side had the other has.
func TestMirroredReadingsGiveMirroredCalibrations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tx := drawReadings(t)
		c := calibrated(t, tx)
		var mirror rig.Transmitter
		for _, r := range tx.Readings {
			r.Setting = ptr(-*r.Setting)
			r.Angle.Value *= -1
			mirror.Readings = append(mirror.Readings, r)
		}
		d := calibrated(t, mirror)
		same := func(what string, a, b float64) {
			if math.Abs(a-b) > 1e-12 {
				t.Fatalf("%s: %g and %g in the mirror", what, a, b)
			}
		}
		same("per unit", c.Endpoint.PerUnit.Value, d.Endpoint.PerUnit.Value)
		same("offset", c.Endpoint.Offset.Value, -d.Endpoint.Offset.Value)
		for i := range c.Ways {
			same("way", c.Ways[i].Value, d.Ways[1-i].Value)
			same("± of a way", c.Ways[i].Uncertainty, d.Ways[1-i].Uncertainty)
		}
		m, n := model(t, c, rig.Settings{Subtrim: 12}), model(t, d, rig.Settings{Subtrim: -12})
		stick := rapid.Float64Range(-1, 1).Draw(t, "stick")
		same("angle", m.Angle(stick), -n.Angle(-stick))
		same("±", m.Uncertainty(stick), n.Uncertainty(-stick))
		if len(c.Misfits) != len(d.Misfits) {
			t.Fatalf("misfits %v and %v", c.Misfits, d.Misfits)
		}
	})
}

// Setting, pulse, angle and back: on a screen that shows µs a setting is the pulse from neutral.
func TestSettingsGoThroughPulsesAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tx := rig.Transmitter{Shows: "µs", Neutral: rapid.SampledFrom([]float64{1500, 1520, 760}).Draw(t, "neutral"), MaxEndpoint: 500, MaxSubtrim: 200}
		above, below := rapid.Float64Range(0.05, 0.15).Draw(t, "above"), rapid.Float64Range(0.05, 0.15).Draw(t, "below")
		tx.Readings = []rig.Reading{
			reading("", nil, ptr(tx.Neutral+400), angle(400*above, 0)), reading("", nil, ptr(tx.Neutral), angle(0, 0)),
			reading("", nil, ptr(tx.Neutral-400), angle(-400*below, 0)),
		}
		c := calibrated(t, tx)
		side := rapid.SampledFrom(vehicle.Sides[:]).Draw(t, "side")
		s := rig.Settings{Subtrim: float64(rapid.IntRange(-50, 50).Draw(t, "subtrim"))}
		set := float64(rapid.IntRange(100, 400).Draw(t, "endpoint"))
		*s.Endpoint(side) = set
		at := model(t, c, s).Angle(side.Sign())
		pulse, ok := c.PulseAt(at)
		if want := tx.Neutral + side.Sign()*set + s.Subtrim; !ok || math.Abs(pulse-want) > 1e-9 {
			t.Fatalf("pulse %g, want %g", pulse, want)
		}
		slope := above
		if pulse < tx.Neutral {
			slope = below
		}
		if want := rad(slope * (pulse - tx.Neutral)); math.Abs(at-want) > 1e-12 {
			t.Fatalf("angle %g, want %g", at, want)
		}
		back, err := c.EndpointFor(s, side, at, RoundNearest)
		if err != nil || back.Value != set {
			t.Fatalf("endpoint %g came back as %g: %v", set, back.Value, err)
		}
	})
}

// Left stick may make the shorter pulse; one reading with its setting says so.
func TestWhichWayPulsesGo(t *testing.T) {
	pulses := []rig.Reading{reading("", nil, ptr(1900), angle(40, 1)), reading("", nil, ptr(1100), angle(-40, 1))}
	for _, tt := range []struct {
		name    string
		more    []rig.Reading
		left    float64
		assumed bool
	}{
		{"nothing says", nil, 40, true},
		{"the pulse of a setting", []rig.Reading{reading("", ptr(300), ptr(1200), rig.Angle{})}, -40, false},
		{"the angle of a setting", []rig.Reading{reading("", ptr(300), nil, angle(-30, 1))}, -40, false},
		{"the angle of a setting, the other way", []rig.Reading{reading("", ptr(-300), nil, angle(-30, 1))}, 40, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := calibrated(t, rig.Transmitter{Shows: "µs", MaxEndpoint: 400, Readings: append(tt.more, pulses...)})
			near(t, "left", model(t, c, rig.Settings{}).Angle(1), rad(tt.left), 1e-12)
			if c.WayAssumed != tt.assumed {
				t.Errorf("assumed: %v", c.WayAssumed)
			}
		})
	}
	// Percent are no pulses, and what is missing is said.
	_, err := Calibrate(rig.Transmitter{Readings: pulses}, rig.Servo{}, false)
	var missing *MissingReadingError
	if !errors.As(err, &missing) || missing.Remedy == "" || missing.Problem != "what the servo makes of a pulse is known, but not the pulse that a setting makes" {
		t.Errorf("got %v", err)
	}
}

// A reading 6° off the line of three others, each ± 1°; the line takes part of it.
func TestWhatDoesNotFitIsSaid(t *testing.T) {
	c := calibrated(t, endpoints(1, [2]float64{100, 42}, [2]float64{80, 33.6}, [2]float64{60, 31.2}, [2]float64{20, 8.4}))
	if len(c.Misfits) == 0 || c.Misfits[0].Number != 3 && len(c.Misfits) < 2 {
		t.Fatalf("got %v", c.Misfits)
	}
	worst := c.Misfits[0]
	for _, m := range c.Misfits {
		if math.Abs(m.Off) > math.Abs(worst.Off) {
			worst = m
		}
	}
	// By hand: mean setting 65, Sxx = 3500, the 6° at -5 from it leave 6·(1 - 1/4 - 25/3500).
	if worst.Number != 3 || math.Abs(worst.Off-rad(6*(0.75-25.0/3500))) > 1e-12 {
		t.Errorf("got %+v", worst)
	}
	c = calibrated(t, rig.Transmitter{Readings: []rig.Reading{
		reading("", ptr(100), ptr(1900), angle(42, 1)), reading("", ptr(0), ptr(1512), angle(0, 1)), reading("", ptr(-100), ptr(1100), angle(-42, 1)),
	}})
	for _, m := range c.Misfits {
		if m.Pulse {
			return
		}
	}
	t.Errorf("12 µs off a transmitter's line are not said: %v", c.Misfits)
}

// The servo's kink is a corner of the map: each side against a one-sided difference.
func TestRatesOfAnUnevenServo(t *testing.T) {
	c := calibrated(t, endpoints(1, [2]float64{100, 48}, [2]float64{0, 0}, [2]float64{-100, -38}))
	for _, s := range []rig.Settings{{}, {Reverse: true}, {Subtrim: 25}, {Expo: 30, Subtrim: -10}} {
		m := model(t, c, s)
		for _, stick := range []float64{-0.8, 0, 0.3} {
			for toLeft, got := range map[float64]float64{1: m.At(stick).RateLeft, -1: m.At(stick).RateRight} {
				want := fd.Derivative(m.Angle, stick, &fd.Settings{Step: 1e-6, Formula: fd.Formula{
					Stencil:    []fd.Point{{Loc: 0, Coeff: -1.5 * toLeft}, {Loc: toLeft, Coeff: 2 * toLeft}, {Loc: 2 * toLeft, Coeff: -0.5 * toLeft}},
					Derivative: 1, Step: 1e-6,
				}})
				near(t, "rate", got, want, 1e-6)
			}
		}
	}
}
