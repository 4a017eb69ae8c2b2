package rig

import (
	"fmt"
	"math"
	"slices"

	"evenlock/vehicle"
)

// Screen is what a transmitter shows of endpoint, subtrim and trim.
type Screen int

// What transmitters show.
const (
	// Percent means nothing until it is read what it moves.
	Percent Screen = iota
	// Microseconds are of pulse, either way from neutral.
	Microseconds
	// Steps are plain numbers, which mean as little as percent.
	Steps
)

// screens are, by Screen, the words of the file, and the greatest numbers that any such transmitter
// shows. A servo's pulse keeps within 500 to 2500 µs, and 2048 is half the range of 12 bits (common
// practice).
var screens = [...]struct {
	words           []string
	endpoint, other float64
}{
	Percent:      {[]string{"percent"}, 200, 1000},
	Microseconds: {[]string{"µs", "us"}, 1000, 1000},
	Steps:        {[]string{"steps"}, 2048, 2048},
}

// String is the word of the file: percent, µs or steps.
func (s Screen) String() string { return screens[s].words[0] }

// most is the greatest number of the kind that the tag "screen" names.
func (s Screen) most(kind string) float64 {
	if kind == "endpoint" {
		return screens[s].endpoint
	}
	return screens[s].other
}

// Screen is what the transmitter shows.
func (t *Transmitter) Screen() Screen {
	for s := range screens {
		if slices.Contains(screens[s].words, t.Shows) {
			return Screen(s)
		}
	}
	return Percent
}

// Greatest is what a control, "endpoint", "subtrim" or "trim", can be set to either way; 0 if
// unknown.
func (t *Transmitter) Greatest(control string) float64 {
	switch control {
	case "subtrim":
		return t.MaxSubtrim
	case "trim":
		return t.MaxTrim
	default:
		return t.MaxEndpoint
	}
}

// UsualEndpoint is the endpoint that a file means where it states none: 100 percent, or the greatest
// if that is less. Other screens have no usual number, so that it is the greatest that the
// transmitter has or else that was read; 0 if the file says neither.
func (t *Transmitter) UsualEndpoint() float64 {
	shows, most := t.Screen(), 0.0
	switch {
	case shows == Percent && t.MaxEndpoint > 0:
		return min(100, t.MaxEndpoint)
	case shows == Percent:
		return 100
	case t.MaxEndpoint > 0:
		return t.MaxEndpoint
	}
	for _, r := range t.Readings {
		switch {
		case r.Control != "" && r.Control != "endpoint":
		case r.Setting != nil:
			most = max(most, math.Abs(*r.Setting))
		case shows == Microseconds && r.Pulse != nil:
			most = max(most, math.Abs(*r.Pulse-t.Neutral))
		}
	}
	return most
}

// endpoints puts one value of the endpoints in place of another: the usual, and 0 for left out.
func (c *Control) endpoints(change func(usual, now float64) float64) {
	usual := c.Transmitter.UsualEndpoint()
	for _, side := range vehicle.Sides {
		end := c.Settings.Endpoint(side)
		*end = change(usual, *end)
	}
}

// screen checks the numbers of the transmitter's screen against what it can show.
func (c checker) screen() {
	t, s := c.Transmitter, c.Settings
	shows := t.Screen()
	const signed, ranged, positive = "from -%[1]v to %[1]v", "from 0 to %v", "above 0, up to %v"
	of := func(key, control, kind, bounds string, value float64) {
		most := shows.most(kind)
		greatest, takes := t.Greatest(control), 0.0
		if kind == "reading" {
			// One may limit the transmitter after the readings, but not to less than it can show.
			takes = shows.most(control)
		}
		switch {
		case math.Abs(value) > most:
			c.report(key, fmt.Sprintf("%v is out of range", value), fmt.Sprintf("give a value "+bounds+", or say in transmitter.shows what its screen shows: %s", most, oneOf(screenWords())))
		case greatest > 0 && math.Abs(value) > max(greatest, takes):
			c.report(key, fmt.Sprintf("%v is beyond transmitter.max_%s, which is %v", value, control, greatest), "look at the screen again, and correct the one that is wrong")
		}
	}
	for _, control := range []string{"endpoint", "subtrim", "trim"} {
		of("transmitter.max_"+control, control, control, ranged, t.Greatest(control))
	}
	of("settings.endpoint_left", "endpoint", "endpoint", positive, s.EndpointLeft)
	of("settings.endpoint_right", "endpoint", "endpoint", positive, s.EndpointRight)
	of("settings.subtrim", "subtrim", "subtrim", signed, s.Subtrim)
	of("settings.trim", "trim", "trim", signed, s.Trim)
	for i, r := range t.Readings {
		if r.Setting == nil {
			continue
		}
		control := r.Control
		if control == "" {
			control = "endpoint"
		}
		of(fmt.Sprintf("transmitter.reading.%d.setting", i+1), control, "reading", signed, *r.Setting)
	}
}

func screenWords() []string {
	words := make([]string, len(screens))
	for s := range screens {
		words[s] = Screen(s).String()
	}
	return words
}

// screenBounds are the bounds of a table that holds a transmitter and its settings, for the schema:
// those of what the transmitter shows.
func screenBounds(table []field) []object {
	var all []object
	for s := range screens {
		shows := object{"properties": object{"shows": object{"enum": screens[s].words}}}
		if Screen(s) != Percent {
			shows["required"] = []string{"shows"}
		}
		when := object{"properties": object{"transmitter": shows}}
		if Screen(s) != Percent {
			when["required"] = []string{"transmitter"}
		}
		then := object{}
		for _, f := range table {
			if f.typ == transmitterType || f.typ == settingsType {
				then[f.name] = object{"properties": boundsOn(Screen(s), fieldsOf(f.typ))}
			}
		}
		all = append(all, object{"if": when, "then": object{"properties": then}})
	}
	return all
}

// boundsOn are those of the keys of a table that are on the screen.
func boundsOn(s Screen, table []field) object {
	keys := object{}
	for _, f := range table {
		switch {
		case f.screen != "":
			one := object{"maximum": s.most(f.screen)}
			if f.min == nil && f.above == nil {
				one["minimum"] = -s.most(f.screen)
			}
			keys[f.name] = one
		case f.typ == readingsType:
			keys[f.name] = object{"items": object{"properties": boundsOn(s, fieldsOf(f.typ.Elem()))}}
		}
	}
	return keys
}
