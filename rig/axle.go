package rig

import (
	"strings"

	"evenlock/vehicle"
)

// OfAxle is what the file says of one axle that steers: pointers into the rig.
type OfAxle struct {
	*Steering
	*Control
	Track *Length
	// Prefix begins its keys.
	Prefix string
	// Margin and ServoMargin are what it keeps clear of limits, in radians: a rear axle that says
	// none keeps that of the front.
	Margin, ServoMargin Angle
}

// axles is how many axles a file can have that steer.
const axles = 2

// rearPrefix begins the keys of the rear axle.
const rearPrefix = "rear."

// rearKeys makes keys in the words of a problem those of the rear axle.
var rearKeys = strings.NewReplacer(
	"transmitter.", "rear.transmitter.", "vehicle.track", "rear.track", "table [", "table [rear.", "servo.", "rear.servo.", "tie_rod.along", "rear.tie_rod.along",
)

// says puts words on the front axle's keys in those of the axle.
func (a *OfAxle) says(words string) string {
	if a.Prefix == "" {
		return words
	}
	return rearKeys.Replace(words)
}

// Of returns what the file says of an axle, 1 in front and 2 at the rear; nil where it does not
// steer.
func (r *Rig) Of(axle int) *OfAxle {
	switch {
	case axle == 1:
		return &OfAxle{Steering: &r.Steering, Control: &r.Control, Track: &r.Vehicle.Track, Margin: r.Want.Margin, ServoMargin: r.Want.ServoMargin}
	case axle == 2 && r.Rear != nil:
		a := &OfAxle{Steering: &r.Rear.Steering, Control: &r.Rear.Control, Track: &r.Rear.Track, Prefix: rearPrefix, Margin: r.Rear.Want.Margin, ServoMargin: r.Rear.Want.ServoMargin}
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
