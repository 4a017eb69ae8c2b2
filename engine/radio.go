package engine

import (
	"evenlock/radio"
	"evenlock/report"
	"evenlock/report/document"
)

// RadioSetting is one number on the transmitter's screen, to be edited.
type RadioSetting struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Value string `json:"value"`
	// Hint says what it moves and how far one step does.
	Hint string `json:"hint"`
}

// TrimVerdict is what a trim test shows.
type TrimVerdict struct {
	// Kind is centre, whole, or empty if unclear.
	Kind  string `json:"kind"`
	Words string `json:"words"`
}

// calibration is that of the rig's readings.
func (s *Session) calibration() (radio.Calibration, error) {
	a := s.moved.file()
	c, err := radio.Calibrate(a.Transmitter, a.Servo, a.Settings.Reverse)
	if err != nil {
		return c, ProblemsOf(err)
	}
	return c, nil
}

func trimWord(k radio.TrimKind) string {
	switch k {
	case radio.TrimCentre:
		return "centre"
	case radio.TrimWhole:
		return "whole"
	}
	return ""
}

// Radio says where the servo goes at full stick.
func (s *Session) Radio() (*document.Document, error) {
	t := report.Transmitter{Rig: s.moved.rig.Name, Prefix: s.moved.file().Prefix, Span: spanOf(&s.moved.stick), Assumed: s.moved.stick.Assumed}
	if t.Span != nil {
		// With a span the readings are as they must be.
		t.Calibration, _ = s.calibration()
	}
	if p := ProblemsOf(s.moved.stick.Problem); p != nil {
		t.Problem, t.Remedy = p[0].Problem, p[0].Remedy
	}
	return report.Radio(t), nil
}

// RadioSettings gives the transmitter's settings as they stand in the file, with what each moves.
func (s *Session) RadioSettings() []RadioSetting {
	// What could not be calibrated is said to be unknown.
	c, _ := s.calibration()
	a := s.moved.file()
	now := c.Complete(a.Settings)
	reverse := "no"
	if now.Reverse {
		reverse = "yes"
	}
	values := map[string]string{
		"settings.reverse": reverse, "settings.subtrim": short(now.Subtrim, 2),
		"settings.endpoint_left": short(now.EndpointLeft, 2), "settings.endpoint_right": short(now.EndpointRight, 2),
		"settings.rate": short(now.Rate, 2), "settings.trim": short(now.Trim, 2), "settings.expo": short(now.Expo, 2),
	}
	var all []RadioSetting
	for _, one := range report.RadioSettings(&c, now.Reverse, a.Transmitter.Expo || now.Expo != 0) {
		all = append(all, RadioSetting{a.Prefix + one.Key, one.Words, values[one.Key], one.Moves.Text(s.reader)})
	}
	return all
}

// WhatIf says what moving "subtrim" or "trim" by so many steps does. kind is "centre" or "whole"
// for a trim.
func (s *Session) WhatIf(control string, steps float64, kind string) (*document.Document, error) {
	c, err := s.calibration()
	if err != nil {
		return nil, err
	}
	var change radio.Change
	switch {
	case control == "subtrim":
		change, err = c.Shift(s.moved.file().Settings, steps)
	case control == "trim" && kind == "centre":
		change, err = c.TrimEffect(s.moved.file().Settings, radio.TrimCentre, steps)
	case control == "trim" && kind == "whole":
		change, err = c.TrimEffect(s.moved.file().Settings, radio.TrimWhole, steps)
	default:
		return nil, problem("", quoteWord(control)+" of kind "+quoteWord(kind)+" cannot be tried", "choose subtrim, or trim of kind centre or whole")
	}
	if err != nil {
		return nil, ProblemsOf(err)
	}
	return report.WhatIf(s.moved.rig.Name, control, steps, c.Screen, change), nil
}

// TrimReadings is a trim test with the horn off: each pair is read with the trim at zero and with
// it moved.
type TrimReadings struct {
	Right  [2]float64  `json:"right"`
	Centre *[2]float64 `json:"centre"`
	Left   [2]float64  `json:"left"`
	// Uncertain is how far off a reading may be; 0 takes 1, about what a protractor tells in
	// degrees.
	Uncertain float64 `json:"uncertain"`
}

// TrimTest tells which kind of trim a transmitter has.
func TrimTest(t TrimReadings) TrimVerdict {
	pair := func(p [2]float64) radio.TrimPair { return radio.TrimPair{Zero: p[0], Moved: p[1]} }
	test := radio.TrimTest{Left: pair(t.Left), Right: pair(t.Right), Uncertainty: t.Uncertain}
	if t.Uncertain == 0 {
		test.Uncertainty = 1
	}
	if t.Centre != nil {
		centre := pair(*t.Centre)
		test.Centre = &centre
	}
	v := radio.TrimKindFromTest(test)
	// Its numbers are bare, so that no reader is shown them in another unit.
	return TrimVerdict{trimWord(v.Kind), report.TrimTestWords(v).Text(document.Reader{})}
}
