package rig

import (
	"regexp"
	"strings"

	"evenlock/vehicle"
)

// OfAxle is what the file says of one axle that steers: pointers into the rig.
type OfAxle struct {
	*Steering
	*Control
	Track *Length
	// Prefix begins its keys, but for that of the track, which is TrackKey.
	Prefix, TrackKey string
	// Margin and ServoMargin are what it keeps clear of limits, in radians: a rear axle that says
	// none keeps that of the front.
	Margin, ServoMargin Angle
}

// axles is how many axles a file can have that steer.
const axles = 2

// rearPrefix begins the keys of the rear axle.
const rearPrefix = "rear."

// frontKey finds keys of the front axle's tables in words.
var frontKey = regexp.MustCompile(`\b(left|right|tie_rod|servo|horn|drag_link|crank|idler|centre_link|rack|second_servo|transmitter|settings|want)\.[a-z_]|\[[a-z_]+`)

// says puts words on the front axle's keys in those of the axle.
func (a *OfAxle) says(words string) string {
	if a.Prefix == "" {
		return words
	}
	words = strings.ReplaceAll(words, "vehicle.track", a.TrackKey)
	return frontKey.ReplaceAllStringFunc(words, func(key string) string {
		if table, ok := strings.CutPrefix(key, "["); ok {
			return "[" + a.Prefix + table
		}
		return a.Prefix + key
	})
}

// Of returns what the file says of an axle, 1 in front and 2 at the rear; nil where it does not
// steer.
func (r *Rig) Of(axle int) *OfAxle {
	switch {
	case axle == 1:
		return &OfAxle{Steering: &r.Steering, Control: &r.Control, Track: &r.Vehicle.Track, TrackKey: "vehicle.track", Margin: r.Want.Margin, ServoMargin: r.Want.ServoMargin}
	case axle == 2 && r.Rear != nil:
		a := &OfAxle{Steering: &r.Rear.Steering, Control: &r.Rear.Control, Track: &r.Rear.Track, Prefix: rearPrefix, TrackKey: rearPrefix + "track", Margin: r.Rear.Want.Margin, ServoMargin: r.Rear.Want.ServoMargin}
		if !a.Margin.Given {
			a.Margin = r.Want.Margin
		}
		if !a.ServoMargin.Given {
			a.ServoMargin = r.Want.ServoMargin
		}
		return a
	}
	return nil
}

// Endpoint points to the endpoint for full stick to a side.
func (s *Settings) Endpoint(side vehicle.Side) *float64 {
	if side == vehicle.Left {
		return &s.EndpointLeft
	}
	return &s.EndpointRight
}
