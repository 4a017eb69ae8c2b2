package engine

import (
	"math"

	"evenlock/draw"
	"evenlock/load"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/steer"
	"evenlock/vehicle"
)

// bearing is what the drawing shows of the loads.
type bearing struct {
	on bool
	// tilt is how the vehicle stands.
	tilt load.Tilt
	// probe looks at the model of; nil if the file does not say enough.
	probe *load.Probe
	of    *steer.Model
}

// ShowForces chooses whether the drawing shows what servo and rods bear in each pose, on a vehicle that
// stands nose up and right side down by so many degrees. Where the file does not say enough, which
// Loads tells, nothing is shown. The error is Problems if slope or tilt cannot be.
func (s *Session) ShowForces(on bool, noseUp, rightDown float64) error {
	tilt, err := tiltOf(noseUp, rightDown)
	if err != nil {
		return err
	}
	s.bearing = bearing{on: on, tilt: tilt}
	s.refill()
	return nil
}

// tiltOf takes degrees.
func tiltOf(noseUp, rightDown float64) (load.Tilt, error) {
	for _, v := range [2]float64{noseUp, rightDown} {
		if !(math.Abs(v) < 90) {
			return load.Tilt{}, problem("", "slope and tilt must be less than 90°", "put in degrees, such as 25")
		}
	}
	return load.Tilt{NoseUp: noseUp * degree, RightDown: rightDown * degree}, nil
}

// here looks at the loads where the drawing stands; nil if there are none.
func (b *bearing) here(m *moved) *load.PoseLoads {
	if !b.on {
		return nil
	}
	if b.of != m.model {
		// Loads says why there are none.
		b.probe, _ = load.NewProbe(m.model, b.tilt)
		b.of = m.model
	}
	if b.probe == nil {
		return nil
	}
	h, err := b.probe.At(m.state.Servo(), m.state.WheelTravel())
	if err != nil {
		return nil
	}
	return h
}

// loadLive are the numbers that come before those of the rods.
const (
	liveTorque = iota
	liveStanding
	liveFactor
	liveWeakest
	liveWay
	liveFails
	loadLive
)

// liveLoad lays out what the servo and the rods bear at the pose.
func (l *layout) liveLoad(more func(group, key, words string, n int, text ...draw.Fragment), at *int, rods []*vehicle.Rod) {
	add := func(key string, text ...draw.Fragment) { more("load", key, report.LiveLoad[key], 1, text...) }
	number := func(digits int) draw.Fragment { return draw.Fragment{Form: draw.Decimal, At: *at, Digits: digits} }
	_, digits, after := l.unit(document.Torque)
	add("load_torque", number(digits), draw.Fragment{Text: after})
	add("load_standing", number(2))
	add("load_factor", number(2))
	add("load_weakest", number(2))
	add("load_way", draw.Fragment{Form: draw.Choice, At: *at, Words: report.WaysHere()})
	add("load_fails", draw.Fragment{Form: draw.Choice, At: *at, Words: report.FailsHere(rods)})
	for _, r := range rods {
		more("load", "load_"+r.Key, r.Name, 1, draw.Fragment{Form: draw.Size, At: *at}, draw.Fragment{Text: " N"},
			draw.Fragment{Form: draw.Side, At: *at, Words: report.PushPull})
	}
}

// fillLoads fills what liveLoad lays out, and hands the rods' forces to the drawing.
func (s *Session) fillLoads() {
	m, d := &s.moved, s.values[s.layout.load:s.layout.load+s.layout.loads]
	for i := range d {
		d[i] = math.NaN()
	}
	s.scene.ShowForces(nil)
	h := s.bearing.here(m)
	if h == nil {
		return
	}
	r := &h.Sample
	way := r.Harder()
	ask := r.Ask(way)
	times, _, _ := s.layout.unit(document.Torque)
	d[liveTorque], d[liveFactor] = ask*times, r.SafetyFactor
	if s.moved.rig.Ground.RockForce == 0 {
		d[liveFactor] = math.NaN()
	}
	d[liveStanding] = r.SafetyFactor * ask / max(r.Standing[load.ToLeft], r.Standing[load.ToRight])
	d[liveWay] = float64(2 * int(r.RockOn[way]))
	if way == load.ToRight {
		d[liveWay]++
	}
	weakest, least := 0, math.Inf(1)
	for i, factor := range h.SafetyFactors {
		if factor < least {
			weakest, least = i, factor
		}
	}
	if !math.IsInf(least, 1) {
		d[liveWeakest] = least
	}
	// In the order of report.FailsHere.
	d[liveFails] = 0
	switch {
	case h.Saver < 1 && h.Saver <= r.SafetyFactor:
		d[liveFails] = 2
	case r.SafetyFactor < 1:
		d[liveFails] = 1
	case least < 1:
		d[liveFails] = float64(3 + weakest)
	}
	copy(d[loadLive:], h.Tensions)
	s.scene.ShowForces(h.Tensions)
}
