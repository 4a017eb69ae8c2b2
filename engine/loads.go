package engine

import (
	"math"

	"evenlock/draw"
	"evenlock/load"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/steer"
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

// Bear chooses whether the drawing shows what servo and rods bear in each pose, on a vehicle that
// stands nose up and right side down by so many degrees. Where the file does not say enough, which
// Loads tells, nothing is shown. The error is Problems if slope or tilt cannot be.
func (s *Session) Bear(on bool, noseUp, rightDown float64) error {
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

// here looks at the loads where the drawing stands; nil if they are not to be had.
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

// loadLive is how many numbers come before those of the rods.
const loadLive = 6

// liveLoad lays out what the servo and the rods bear at the pose.
func (l *layout) liveLoad(more func(group, key, words string, n int, text ...draw.Fragment), at *int, rods []rig.SteeringRod) {
	number := func() draw.Fragment { return draw.Fragment{Form: draw.Decimal, At: *at, Digits: 2} }
	_, digits, after := l.unit(document.Torque)
	more("load", "load_torque", "asked of the servo here", 1, draw.Fragment{Form: draw.Decimal, At: *at, Digits: digits}, draw.Fragment{Text: after})
	more("load", "load_standing", "margin here, on standing tyres", 1, number())
	more("load", "load_margin", "margin here, with the rock if there is one", 1, number())
	more("load", "load_reserve", "weakest rod here bears, times what may come", 1, number())
	words := []string{"turning left", "turning right"}
	for p := load.LeftTyreOutside; p <= load.RightTyreInside; p++ {
		words = append(words, "turning left, the rock at "+p.String(), "turning right, the rock at "+p.String())
	}
	more("load", "load_way", "hardest here", 1, draw.Fragment{Form: draw.Choice, At: *at, Words: words})
	more("load", "load_first", "what gives up here", 1, draw.Fragment{Form: draw.Choice, At: *at, Words: givesUpHere(rods)})
	for _, r := range rods {
		more("load", "load_"+r.Key, r.Name, 1, draw.Fragment{Form: draw.Size, At: *at}, draw.Fragment{Text: " N"},
			draw.Fragment{Form: draw.Side, At: *at, Words: []string{" push", "", " pull"}})
	}
}

// givesUpHere are the words for what gives up at a pose, what is worst first.
func givesUpHere(rods []rig.SteeringRod) []string {
	all := []string{"nothing", "the servo stalls", "the saver gives way"}
	for _, r := range rods {
		all = append(all, "the "+r.Name+", if a wheel jams")
	}
	return all
}

// fillLoads fills what liveLoad lays out, and hands the rods' forces to the drawing.
func (s *Session) fillLoads() {
	m, d := &s.moved, s.values[s.layout.load:s.layout.load+s.layout.loads]
	for i := range d {
		d[i] = math.NaN()
	}
	s.scene.Bear(nil)
	h := s.bearing.here(m)
	if h == nil {
		return
	}
	r := &h.Sample
	way := r.Harder()
	ask := r.Ask(way)
	times, _, _ := s.layout.unit(document.Torque)
	d[0], d[2] = ask*times, r.SafetyFactor
	d[1] = r.SafetyFactor * ask / max(r.Standing[load.ToLeft], r.Standing[load.ToRight])
	d[4] = float64(2 * int(r.RockOn[way]))
	if way == load.ToRight {
		d[4]++
	}
	weakest, least := 0, math.Inf(1)
	for i, reserve := range h.SafetyFactors {
		if reserve < least {
			weakest, least = i, reserve
		}
	}
	if !math.IsInf(least, 1) {
		d[3] = least
	}
	d[5] = 0
	switch {
	case h.Saver < 1 && h.Saver <= r.SafetyFactor:
		d[5] = 2
	case r.SafetyFactor < 1:
		d[5] = 1
	case least < 1:
		d[5] = float64(3 + weakest)
	}
	copy(d[loadLive:], h.Tensions)
	s.scene.Bear(h.Tensions)
}
