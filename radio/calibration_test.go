package radio

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"evenlock/rig"
)

func reading(control string, setting, pulse *float64, a rig.Angle) rig.Reading {
	return rig.Reading{Control: control, Setting: setting, Pulse: pulse, Angle: a}
}

func TestReadingsFixTheScale(t *testing.T) {
	none := rig.Angle{}
	tests := []struct {
		name                    string
		readings                []rig.Reading
		perEndpoint, perSubtrim float64 // degrees
		perMicrosecond, offset  float64 // degrees; 0 for an unknown pulse scale
		subtrimAssumed          bool
	}{
		{
			"two angles, servo turning counter-clockwise for left",
			[]rig.Reading{reading("", ptr(100), nil, angle(42, 1)), reading("endpoint", ptr(-100), nil, angle(-42, 1))},
			0.42, 0.42, 0, 0, true,
		},
		{
			"two angles, servo turning clockwise for left, protractor 1° off",
			[]rig.Reading{reading("", ptr(100), nil, angle(-41, 1)), reading("", ptr(-100), nil, angle(43, 1))},
			-0.42, -0.42, 0, 1, true,
		},
		{
			"pulses read at the settings, the servo calibrated by pulse",
			[]rig.Reading{
				reading("", ptr(100), ptr(1900), none), reading("", ptr(-100), ptr(1100), none),
				reading("", nil, ptr(1500), angle(0, 0)), reading("", nil, ptr(2000), angle(50, 1)),
			},
			0.4, 0.4, 0.1, 0, true,
		},
		{
			"everything read at once gives the pulse scale as well",
			[]rig.Reading{reading("", ptr(100), ptr(1900), angle(40, 1)), reading("", ptr(0), ptr(1500), angle(0, 1))},
			0.4, 0.4, 0.1, 0, true,
		},
		{
			"pulse scale by way of the settings",
			[]rig.Reading{
				reading("", ptr(100), nil, angle(40, 1)), reading("", ptr(0), nil, angle(0, 1)),
				reading("", ptr(50), ptr(1700), none), reading("", ptr(-50), ptr(1300), none),
			},
			0.4, 0.4, 0.1, 0, true,
		},
		{
			"subtrim with readings of its own",
			[]rig.Reading{
				reading("", ptr(100), nil, angle(42, 1)), reading("", ptr(-100), nil, angle(-42, 1)),
				reading("subtrim", ptr(0), nil, angle(0, 1)), reading("subtrim", ptr(60), nil, angle(6, 1)),
			},
			0.42, 0.1, 0, 0, false,
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c, err := Calibrate(rig.Transmitter{Readings: tt.readings}, rig.Servo{}, false)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "per endpoint", c.Endpoint.PerUnit.Value, rad(tt.perEndpoint), 1e-12)
			near(t, "per subtrim", c.Subtrim.PerUnit.Value, rad(tt.perSubtrim), 1e-12)
			near(t, "offset", c.Endpoint.Offset.Value, rad(tt.offset), 1e-12)
			near(t, "per µs", c.Pulse.PerUnit.Value, rad(tt.perMicrosecond), 1e-12)
			if c.Pulse.PerUnit.Given != (tt.perMicrosecond != 0) {
				t.Errorf("pulse scale known: %v", c.Pulse.PerUnit.Given)
			}
			if c.Subtrim.Assumed != tt.subtrimAssumed || !c.Trim.Assumed || c.Endpoint.Assumed {
				t.Errorf("assumed: subtrim %v, trim %v, endpoint %v", c.Subtrim.Assumed, c.Trim.Assumed, c.Endpoint.Assumed)
			}
		})
	}
}

func TestNeutralPulseIsAnInput(t *testing.T) {
	for _, neutral := range []float64{1500, 1520} {
		tx := rig.Transmitter{Neutral: neutral, Readings: []rig.Reading{
			reading("", ptr(100), ptr(neutral+400), angle(40, 1)),
			reading("", ptr(-100), ptr(neutral-400), angle(-40, 1)),
		}}
		c, err := Calibrate(tx, rig.Servo{}, false)
		if err != nil {
			t.Fatal(err)
		}
		pulse, ok := c.PulseAt(rad(20))
		if !ok {
			t.Fatal("pulse scale unknown")
		}
		near(t, "pulse at 20°", pulse, neutral+200, 1e-9)
		near(t, "offset at neutral", c.Pulse.Offset.Value, 0, 1e-12)
	}
}

// Two readings of ±1° over 200 %: the slope's half-width is √2°/200.
func TestUncertaintyOfTwoReadings(t *testing.T) {
	c, err := Calibrate(rig.Transmitter{Readings: []rig.Reading{
		reading("", ptr(100), nil, angle(42, 1)), reading("", ptr(-100), nil, angle(-42, 1)),
	}}, rig.Servo{}, false)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", c.Endpoint.PerUnit.Uncertainty, rad(math.Sqrt2/200), 1e-15)
	near(t, "offset", c.Endpoint.Offset.Uncertainty, rad(1/math.Sqrt2), 1e-15)
}

// Worked by hand in degrees, from the slope of two readings of ±1° each.
func TestUncertaintyOfScalesFoundByWayOfThePulse(t *testing.T) {
	none := rig.Angle{}
	servo := []rig.Reading{reading("", nil, ptr(1500), angle(0, 1)), reading("", nil, ptr(2000), angle(50, 1))}
	tests := []struct {
		name            string
		readings        []rig.Reading
		endpoint, pulse float64 // half-widths in degrees
	}{
		{
			"setting to pulse exact",
			append([]rig.Reading{reading("", ptr(100), ptr(1900), none), reading("", ptr(-100), ptr(1100), none)}, servo...),
			4 * math.Sqrt2 / 500, math.Sqrt2 / 500,
		},
		{
			"setting to pulse scattered: residuals -4, 8, -4 µs",
			append([]rig.Reading{
				reading("", ptr(100), ptr(1900), none), reading("", ptr(0), ptr(1512), none), reading("", ptr(-100), ptr(1100), none),
			}, servo...),
			math.Hypot(4*math.Sqrt2/500, 0.1*2*math.Sqrt(96.0/20000)), math.Sqrt2 / 500,
		},
		{
			"pulse scale from settings with angles and settings with pulses",
			[]rig.Reading{
				reading("", ptr(100), nil, angle(40, 1)), reading("", ptr(0), nil, angle(0, 1)),
				reading("", ptr(50), ptr(1700), none), reading("", ptr(-50), ptr(1300), none),
			},
			math.Sqrt2 / 100, math.Sqrt2 / 400,
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c, err := Calibrate(rig.Transmitter{Readings: tt.readings}, rig.Servo{}, false)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "endpoint", c.Endpoint.PerUnit.Uncertainty, rad(tt.endpoint), 1e-15)
			near(t, "pulse", c.Pulse.PerUnit.Uncertainty, rad(tt.pulse), 1e-15)
		})
	}
}

// JCGM 100:2008, H.3, calibration of a thermometer: data and results from memory.
// That the data give the results to every digit confirms them.
func TestStraightLineOfJCGM100H3(t *testing.T) {
	x := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	y := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	f := fitLine(pairs{x: x, y: y, u: make([]float64, len(x))})
	at20, v20 := f.at(20)
	near(t, "y1", at20, -0.1712, 0.00005)
	near(t, "s(y1)", math.Sqrt(v20), 0.0029, 0.00005)
	near(t, "y2", f.slope, 0.00218, 0.000005)
	near(t, "s(y2)", math.Sqrt(f.slopeVariance), 0.00067, 0.000005)
	at30, v30 := f.at(30)
	near(t, "b(30 °C)", at30, -0.1494, 0.00005)
	near(t, "u(b(30 °C))", math.Sqrt(v30), 0.0041, 0.00005)
}

func TestFitAgreesWithGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 12).Draw(t, "n")
		x, y, u, w := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = 10*float64(i) + rapid.Float64Range(0, 5).Draw(t, "x")
			y[i] = rapid.Float64Range(-1, 1).Draw(t, "y")
			u[i] = rapid.Float64Range(0.01, 0.1).Draw(t, "u")
			w[i] = 1 / (u[i] * u[i])
		}
		alpha, beta := stat.LinearRegression(x, y, w, false)
		f := fitLine(pairs{x: x, y: y, u: u})
		at0, _ := f.at(0)
		if math.Abs(f.slope-beta) > 1e-12 || math.Abs(at0-alpha) > 1e-10 {
			t.Fatalf("slope %g and %g, intercept %g and %g", f.slope, beta, at0, alpha)
		}
	})
}

func TestScatterBeyondTheStatedUncertaintyWidensIt(t *testing.T) {
	var readings []rig.Reading
	for x, off := range map[float64]float64{-100: 1, -50: -2, 0: 0, 50: 2, 100: -1} {
		readings = append(readings, reading("", ptr(x), nil, angle(0.42*x+off, 0.1)))
	}
	c, err := Calibrate(rig.Transmitter{Readings: readings}, rig.Servo{}, false)
	if err != nil {
		t.Fatal(err)
	}
	// What is added has no slope, and none more on one side: s² = 10/2, variance of the mean
	// slope s²/25000.
	near(t, "per endpoint", c.Endpoint.PerUnit.Value, rad(0.42), 1e-12)
	near(t, "slope", c.Endpoint.PerUnit.Uncertainty, rad(2*math.Sqrt(10.0/2/25000)), 1e-12)
	if math.Abs(c.Ways[0].Value-1) > 1e-12 || len(c.Misfits) != 4 {
		t.Errorf("ways %v, misfits %v", c.Ways, c.Misfits)
	}
}

func TestReadingsThatDoNotDo(t *testing.T) {
	left := reading("", ptr(100), nil, angle(42, 1))
	rightSide := reading("", ptr(-100), nil, angle(-42, 1))
	as := func(target any) func(error) bool {
		return func(err error) bool { return errors.As(err, target) }
	}
	var missing *MissingReadingError
	var bad *ReadingError
	var vague *VagueScaleError
	var setting *SettingError
	tests := []struct {
		name string
		tx   rig.Transmitter
		is   func(error) bool
	}{
		{"no reading", rig.Transmitter{}, as(&missing)},
		{"one reading", rig.Transmitter{Readings: []rig.Reading{left}}, as(&missing)},
		{"the same setting twice", rig.Transmitter{Readings: []rig.Reading{left, left}}, as(&missing)},
		{"pulses without an angle", rig.Transmitter{Readings: []rig.Reading{
			reading("", ptr(100), ptr(1900), rig.Angle{}), reading("", ptr(0), ptr(1500), rig.Angle{}),
		}}, as(&missing)},
		{"one subtrim reading", rig.Transmitter{Readings: []rig.Reading{left, rightSide, reading("subtrim", ptr(10), nil, angle(1, 0))}}, as(&missing)},
		{"a reading of one thing", rig.Transmitter{Readings: []rig.Reading{reading("", ptr(100), nil, rig.Angle{})}}, as(&bad)},
		{"an unknown control", rig.Transmitter{Readings: []rig.Reading{reading("throttle", ptr(100), nil, angle(1, 1))}}, as(&bad)},
		{"not a number", rig.Transmitter{Readings: []rig.Reading{reading("", ptr(math.NaN()), nil, angle(1, 1))}}, as(&bad)},
		{"readings too close", rig.Transmitter{Readings: []rig.Reading{
			reading("", ptr(1), nil, angle(0.4, 1)), reading("", ptr(0), nil, angle(0, 1)),
		}}, as(&vague)},
		{"a servo that does not move", rig.Transmitter{Readings: []rig.Reading{
			reading("", ptr(100), nil, angle(0, 0)), reading("", ptr(0), nil, angle(0, 0)),
		}}, as(&vague)},
		{"numbers beyond reckoning", rig.Transmitter{Readings: []rig.Reading{
			reading("", ptr(1e300), nil, angle(1, 0)), reading("", ptr(-1e300), nil, angle(0, 0)),
		}}, as(&vague)},
		{"an unknown kind of trim", rig.Transmitter{Trim: "both", Readings: []rig.Reading{left, rightSide}}, as(&setting)},
		{"a negative range", rig.Transmitter{MaxTrim: -1, Readings: []rig.Reading{left, rightSide}}, as(&setting)},
		{"a neutral that is no pulse", rig.Transmitter{Neutral: math.Inf(1), Readings: []rig.Reading{left, rightSide}}, as(&setting)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Calibrate(tt.tx, rig.Servo{}, false)
			if !tt.is(err) {
				t.Fatalf("got %v", err)
			}
			t.Log(err)
		})
	}
}

func TestWhatIsKnownComesWithTheMissingReading(t *testing.T) {
	c, err := Calibrate(rig.Transmitter{Readings: []rig.Reading{
		reading("", nil, ptr(1500), angle(0, 1)), reading("", nil, ptr(2000), angle(50, 1)),
	}}, rig.Servo{}, false)
	var missing *MissingReadingError
	if !errors.As(err, &missing) || missing.Control != "endpoint" {
		t.Fatalf("got %v", err)
	}
	near(t, "per µs", c.Pulse.PerUnit.Value, rad(0.1), 1e-12)
}
