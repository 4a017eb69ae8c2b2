package engine

import (
	"evenlock/radio"
)

// RadioDocument is the transmitter as its builder sees it.
type RadioDocument struct {
	// Stick is calibrated or assumed.
	Stick    string         `json:"stick"`
	Settings []RadioSetting `json:"settings"`
	// Span is null while the servo's way is assumed.
	Span *SpanDegrees `json:"span"`
	// Trim is what trim moves: centre, whole, or empty if not known.
	Trim    string `json:"trim"`
	Problem string `json:"problem"`
}

// RadioSetting is one number on the transmitter's screen.
type RadioSetting struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Value string `json:"value"`
	// Moves says what it moves, Step how far one step does.
	Moves string `json:"moves"`
	Step  string `json:"step"`
}

// SpanDegrees is a servo angle at three sticks, in degrees.
type SpanDegrees struct {
	Right  float64 `json:"right"`
	Centre float64 `json:"centre"`
	Left   float64 `json:"left"`
}

func spanOf(s radio.Span) SpanDegrees {
	return SpanDegrees{s.Right / degree, s.Centre / degree, s.Left / degree}
}

// WhatIf is what a change of a setting does to the servo angles.
type WhatIf struct {
	Before  SpanDegrees `json:"before"`
	After   SpanDegrees `json:"after"`
	Moved   SpanDegrees `json:"moved"`
	Clipped bool        `json:"clipped"`
}

// TrimVerdict is what a trim test shows.
type TrimVerdict struct {
	// Kind is centre, whole, or empty if unclear.
	Kind  string `json:"kind"`
	Words string `json:"words"`
}

// calibration is that of the rig's readings.
func (s *Session) calibration() (radio.Calibration, error) {
	r := s.moved.rig
	c, err := radio.Calibrate(r.Transmitter, r.Servo, r.Settings.Reverse)
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

// Radio gives the transmitter's settings with what each moves.
func (s *Session) Radio() RadioDocument {
	c, err := s.calibration()
	now := radio.WithDefaults(s.moved.rig.Settings)
	d := RadioDocument{Stick: stickKind(&s.moved.stick), Trim: s.moved.rig.Transmitter.Trim}
	if err != nil {
		d.Problem = err.Error()
	} else if s.moved.stick.Model == nil && s.moved.stick.Problem != nil {
		d.Problem = ProblemsOf(s.moved.stick.Problem).Error()
	}
	if s.moved.stick.Model != nil {
		span := spanOf(s.moved.stick.Model.Span())
		d.Span = &span
	}
	step := func(scale radio.Scale) string {
		if !scale.PerUnit.Given {
			return "not known until read at the bench"
		}
		words := figure(scale.PerUnit.Value/degree, 0, "", false).Text + "° of servo a step"
		if scale.Assumed {
			words += ", taken from the endpoint's; test it"
		}
		return words
	}
	trimMoves := "the centre, between ends that stay (on most transmitters; test which kind yours is)"
	switch c.TrimKind {
	case radio.TrimCentre:
		trimMoves = "the centre, between ends that stay"
	case radio.TrimWhole:
		trimMoves = "the whole range, ends and centre together"
	}
	reverse := "no"
	if now.Reverse {
		reverse = "yes"
	}
	d.Settings = []RadioSetting{
		{"settings.reverse", "reverse", reverse, "which way the servo turns for left stick", ""},
		{"settings.subtrim", "subtrim", short(now.Subtrim, 2), "the whole range, ends and centre together", step(c.Subtrim)},
		{"settings.endpoint_left", "endpoint left", short(now.EndpointLeft, 2), "how far the servo goes at full left stick", step(c.Endpoint)},
		{"settings.endpoint_right", "endpoint right", short(now.EndpointRight, 2), "how far the servo goes at full right stick", step(c.Endpoint)},
		{"settings.rate", "rate", short(now.Rate, 2), "both ends together, in percent", ""},
		{"settings.trim", "trim", short(now.Trim, 2), trimMoves, step(c.Trim)},
	}
	if s.moved.rig.Transmitter.Expo || now.Expo != 0 {
		d.Settings = append(d.Settings, RadioSetting{"settings.expo", "expo", short(now.Expo, 2), "how soft the middle is; the ends stay", ""})
	}
	return d
}

// WhatIf says what moving "subtrim" or "trim" by so many steps does. kind is "centre" or "whole" for a trim.
func (s *Session) WhatIf(control string, steps float64, kind string) (WhatIf, error) {
	c, err := s.calibration()
	if err != nil {
		return WhatIf{}, err
	}
	var change radio.Change
	switch {
	case control == "subtrim":
		change, err = c.Shift(s.moved.rig.Settings, steps)
	case control == "trim" && kind == "centre":
		change, err = c.TrimEffect(s.moved.rig.Settings, radio.TrimCentre, steps)
	case control == "trim" && kind == "whole":
		change, err = c.TrimEffect(s.moved.rig.Settings, radio.TrimWhole, steps)
	default:
		return WhatIf{}, problem("", quoteWord(control)+" of kind "+quoteWord(kind)+" cannot be tried", "choose subtrim, or trim of kind centre or whole")
	}
	if err != nil {
		return WhatIf{}, ProblemsOf(err)
	}
	return WhatIf{spanOf(change.Before), spanOf(change.After), spanOf(change.Moved()), change.Clipped}, nil
}

// TrimReadings is a trim test with the horn off: each pair is read with the trim at zero and with it moved.
type TrimReadings struct {
	Right  [2]float64  `json:"right"`
	Centre *[2]float64 `json:"centre"`
	Left   [2]float64  `json:"left"`
	// Uncertain is how far off a reading may be; 0 takes 1, about what a protractor tells in degrees.
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
	return TrimVerdict{trimWord(v.Kind), v.Reason}
}
