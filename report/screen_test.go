package report_test

import (
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/radio"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/report/text"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

var (
	// inPulses have a transmitter that shows µs, and readings of nothing but pulse and angle.
	inPulses = []change{
		{"max_endpoint = 120", "max_endpoint = 500\nshows = \"µs\""},
		{"control = \"endpoint\"\nsetting = 100              # full stick to the left", "pulse = 1950"},
		{"control = \"endpoint\"\nsetting = -100             # full stick to the right", "pulse = 1050"},
	}
	// unevenServo turns 48° one way and 38° the other.
	unevenServo = []change{{"angle = 45\n", "angle = 48\n"}, {"angle = -44\n", "angle = -38\n\n[[transmitter.reading]]\nsetting = 0\nangle = 0\n"}}
)

// plain is all that a document says, on one line.
func plain(t *testing.T, d *document.Document) string {
	t.Helper()
	return strings.Join(strings.Fields(written(t, d, text.Options{All: true})), " ")
}

// Settings come in what the screen shows, in print and in JSON, from pulses and angles alone.
func TestAScreenThatShowsPulses(t *testing.T) {
	r := starter(t, "far-knuckle", inPulses...)
	p, err := setup.Make(r, 1)
	if err != nil {
		t.Fatal(err)
	}
	d := report.SetUp(p)
	left, ok := d.Find("endpoint.left")
	if !ok || !strings.HasSuffix(left.Text(document.Reader{}), " µs") {
		t.Errorf("the left endpoint reads %q", left.Text(document.Reader{}))
	}
	// 45° at 450 µs, 44° at -450 µs: 89°/900 a µs, within half a step of the end of the lock.
	if per := 89 * degree / 900; left.Value < 100 || left.Value > 500 || p.Ends[steer.Left].Endpoint.Residual > per || p.Ends[steer.Left].Endpoint.Residual < -per {
		t.Errorf("endpoint %v leaves %v", left.Value, p.Ends[steer.Left].Endpoint.Residual)
	}
	if !strings.Contains(string(encoded(t, d, document.Reader{})), `"unit":"µs"`) || strings.Contains(plain(t, d), "No reading of its step") || strings.Contains(plain(t, d), "no reading of the trim") {
		t.Errorf("a µs of any control is one of the pulse: %s", plain(t, d))
	}
	try, err := setup.Try(p.Rig(), 1, 5)
	if err != nil {
		t.Fatal(err)
	}
	if said := plain(t, report.Try(try)); !strings.Contains(said, "trim 0 µs, endpoints "+left.Brief().Text(document.Reader{})+" left") {
		t.Errorf("says %s", said)
	}
	if got := report.ReadingWords(1, rig.Reading{Setting: new(float64), Angle: r.Transmitter.Readings[0].Angle}, rig.Microseconds).Text(document.Reader{}); got != "Reading 1: endpoint at 0 µs, 45.0° ± 1.0° counter-clockwise." {
		t.Errorf("says %q", got)
	}
	if got := report.WhatIf("bench", "subtrim", -30, rig.Microseconds, radio.Change{}).Verdict[0].Sentence.Text(document.Reader{}); !strings.HasPrefix(got, "Subtrim 30 µs down:") {
		t.Errorf("says %q", got)
	}
	c := p.Calibration
	for _, s := range report.RadioSettings(&c, p.Settings.Reverse, false) {
		if got := s.Moves.Text(document.Reader{}); s.Key == "settings.endpoint_left" && !strings.HasSuffix(got, "of servo a µs.") {
			t.Errorf("says %q", got)
		}
	}
}

// The rear axle's transmitter is the same kind of thing, with keys of its own.
func TestARearTransmitterThatShowsPulses(t *testing.T) {
	example := rigtest.ExampleText(t, "four-wheel")
	rear := string(example) + `
[rear.transmitter]
shows = "µs"
max_endpoint = 500
[[rear.transmitter.reading]]
pulse = 1900
angle = "44 ± 1"
[[rear.transmitter.reading]]
pulse = 1500
angle = "0 ± 1"
[[rear.transmitter.reading]]
pulse = 1100
angle = "-36 ± 1"
`
	r := rigtest.Read(t, []byte(rear))
	p, err := setup.Make(r, 2)
	if err != nil {
		t.Fatal(err)
	}
	if e, ok := report.SetUp(p).Find("endpoint.left"); !ok || !strings.HasSuffix(e.Text(document.Reader{}), " µs") {
		t.Errorf("the left endpoint reads %q", e.Text(document.Reader{}))
	}
	if a, b := p.Calibration.Step(p.Calibration.Endpoint, 1).Value, p.Calibration.Step(p.Calibration.Endpoint, -1).Value; a < 0.109*degree || a > 0.111*degree || b < 0.089*degree || b > 0.091*degree {
		t.Errorf("a step is %v and %v", a/degree, b/degree)
	}
	m, err := steer.Build(r, steer.Options{Axle: 1})
	if err != nil {
		t.Fatal(err)
	}
	back, err := steer.Build(r, steer.Options{Axle: 2})
	if err != nil {
		t.Fatal(err)
	}
	d, err := report.Check(nil, m, back)
	if err != nil {
		t.Fatal(err)
	}
	if said := plain(t, d); !strings.Contains(said, "left stick makes the longer pulse") || !strings.Contains(said, "rear.transmitter.reading.1.setting") {
		t.Errorf("what is taken for want of a reading is not said: %s", said)
	}
}

// Each side's slope is shown, and what fits none.
func TestAnUnevenServoIsShown(t *testing.T) {
	r := starter(t, "far-knuckle", unevenServo...)
	c, err := radio.Calibrate(r.Transmitter, r.Servo, false)
	if err != nil {
		t.Fatal(err)
	}
	m, err := radio.NewModel(c, r.Settings)
	if err != nil {
		t.Fatal(err)
	}
	span := m.Span()
	d := report.Radio(report.Transmitter{Rig: r.Name, Span: &span, Calibration: c})
	for key, want := range map[string]string{
		"step.endpoint.counter-clockwise": "0.48° ± 0.01°", "step.endpoint.clockwise": "0.38° ± 0.01°",
		"span.left": "48.0° counter-clockwise", "span.right": "38.0° clockwise",
	} {
		if f, ok := d.Find(key); !ok || f.Text(document.Reader{}) != want {
			t.Errorf("%s reads %q", key, f.Text(document.Reader{}))
		}
	}
	for _, s := range report.RadioSettings(&c, false, false) {
		got := s.Moves.Text(document.Reader{})
		if s.Key == "settings.endpoint_left" && !strings.Contains(got, "0.48°") || s.Key == "settings.endpoint_right" && !strings.Contains(got, "0.38°") {
			t.Errorf("%s: %q", s.Key, got)
		}
	}

	off := starter(t, "far-knuckle", change{"angle = -44\n", "angle = -44\n\n[[transmitter.reading]]\nsetting = 50\nangle = 30\n"})
	model, err := steer.New(off)
	if err != nil {
		t.Fatal(err)
	}
	checked, err := report.Check(nil, model)
	if err != nil {
		t.Fatal(err)
	}
	if said := plain(t, checked); !strings.Contains(said, "off the line through the others") {
		t.Errorf("a reading that fits no line is not said: %s", said)
	}
}

// Pulses without a setting say nothing of a screen that shows percent, and that is said.
func TestReadingsThatCountForNothingAreSaid(t *testing.T) {
	changes := append([]change{{"max_endpoint = 120", "max_endpoint = 120 # percent"}}, inPulses[1:]...)
	m, err := steer.New(starter(t, "far-knuckle", changes...))
	if err != nil {
		t.Fatal(err)
	}
	d, err := report.Check(nil, m)
	if err != nil {
		t.Fatal(err)
	}
	if said := plain(t, d); !strings.Contains(said, "not the pulse that a setting makes") || !strings.Contains(said, "read the pulse") {
		t.Errorf("says %s", said)
	}
}

// A trim that nobody read is taken to move as far as the endpoint does, and that is said.
func TestATrimWithoutReadingsSaysWhatItAssumes(t *testing.T) {
	r := starter(t, "far-knuckle")
	p, err := setup.Make(r, 1)
	if err != nil {
		t.Fatal(err)
	}
	try, err := setup.Try(r, 1, 5)
	if err != nil {
		t.Fatal(err)
	}
	const says = "You have given no reading of the trim. A step of it is taken as the endpoint's, 0.45° of servo"
	for _, d := range []*document.Document{report.SetUp(p), report.Try(try)} {
		if !strings.Contains(plain(t, d), says) {
			t.Errorf("%s does not say it: %s", d.Kind, plain(t, d))
		}
	}
	read := starter(t, "far-knuckle", change{"[settings]", "[[transmitter.reading]]\ncontrol = \"trim\"\nsetting = 30\nangle = 4\n\n[[transmitter.reading]]\ncontrol = \"trim\"\nsetting = -30\nangle = -4\n\n[settings]"})
	if try, err = setup.Try(read, 1, 5); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(plain(t, report.Try(try)), "no reading of the trim") {
		t.Error("a trim with readings is said to have none")
	}
}
