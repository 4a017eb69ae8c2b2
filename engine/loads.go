package engine

import (
	"errors"
	"math"

	"evenlock/draw"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
)

// bearing is what the drawing shows of the loads.
type bearing struct {
	// on and rock say whether anything is shown, and whether the rock counts too; tilt is how the vehicle stands.
	on, rock bool
	tilt     load.Tilt
	acting   *acting
}

// acting is what acts on the wheels of a rig, ready to be looked at in every pose.
type acting struct {
	gives  float64
	tyres  [2]load.Demand
	rocks  [][2]load.Demand
	places []load.RockPlace
	bench  *load.Bench
	of     *steer.Model
	// tensions are those of the rods where the drawing stands.
	tensions []float64
}

// newActing is nil if the file does not say enough; load.OverLock names what it lacks.
func newActing(m *moved, tilt load.Tilt) *acting {
	r, g := m.rig, m.model.Geometry
	servo := load.ServoOf(r)
	gives, _, err := servo.Stall(load.Supply{Voltage: r.Supply.Voltage, Resistance: r.Supply.Resistance})
	right := r.Left.Wheel
	if r.Right != nil && r.Right.Wheel != nil {
		right = r.Right.Wheel
	}
	wheels := [2]*rig.Wheel{r.Left.Wheel, right}
	if err != nil || r.Ground.Friction == 0 || r.Vehicle.SteeredShare == 0 || !wheels[0].PatchLength.Given || !wheels[1].PatchLength.Given {
		return nil
	}
	v := load.Vehicle{
		Mass: r.Vehicle.Mass, SteeredShare: r.Vehicle.SteeredShare / 100, Height: r.Vehicle.WeightHeight.Value,
		Wheelbase: r.Vehicle.Wheelbase.Value, Track: g.Left.Centre.Y - g.Right.Centre.Y,
	}
	on, err := v.WheelLoads(tilt.NoseUp, tilt.RightDown)
	if err != nil || tilt != (load.Tilt{}) && !r.Vehicle.WeightHeight.Given {
		return nil
	}
	a := &acting{gives: gives, tensions: make([]float64, len(r.SteeringRods()))}
	for i, weight := range [2]float64{on.SteeredLeft, on.SteeredRight} {
		a.tyres[i] = load.Standing(r.Ground.Friction, weight, wheels[i].PatchLength.Value)
	}
	if r.Ground.RockForce == 0 {
		return a
	}
	for i, width := range [2]float64{g.Left.TyreWidth, g.Right.TyreWidth} {
		for k, across := range [2]float64{width / 2, -width / 2} {
			with := a.tyres
			with[i] = load.Together(with[i], load.Rock(r.Ground.RockHeight.Value, across, r.Ground.RockForce))
			a.rocks, a.places = append(a.rocks, with), append(a.places, load.LeftTyreOutside+load.RockPlace(2*i+k))
		}
	}
	return a
}

// hardest finds what is asked of the servo where a stand is, the harder way and with the rock, if it counts, where it is worst.
func (a *acting) hardest(m *moved, rock bool) (worst load.State, sense float64, place load.RockPlace, ok bool) {
	if a.of != m.model {
		a.bench, a.of = load.NewBench(m.model), m.model
	}
	if a.bench.Ride(m.stand.Ride()) != nil {
		return worst, 0, load.NoRock, false
	}
	see := func(way float64, on [2]load.Demand, at load.RockPlace) {
		s, err := a.bench.At(m.stand.Servo(), way, on[load.ToLeft], on[load.ToRight])
		if err == nil && (!ok || s.Against > worst.Against) {
			worst, sense, place, ok = s, way, at, true
		}
	}
	for _, way := range [2]float64{1, -1} {
		see(way, a.tyres, load.NoRock)
		if rock {
			for i, on := range a.rocks {
				see(way, on, a.places[i])
			}
		}
	}
	return worst, sense, place, ok
}

// Ways to show the loads on the drawing.
const (
	bearNothing  = "off"
	bearStanding = "standing"
	bearRock     = "rock"
)

// Bear chooses what of the loads the drawing shows: "off", "standing" for standing tyres, or "rock" for the rock as well;
// on a vehicle that stands nose up and right side down by so many degrees. Where the file does not say enough, nothing is shown.
func (s *Session) Bear(what string, noseUp, rightDown float64) error {
	if what != bearNothing && what != bearStanding && what != bearRock {
		return problem("", quoteWord(what)+" is not a load", "choose off, standing or rock")
	}
	tilt, err := tiltOf(noseUp, rightDown)
	if err != nil {
		return err
	}
	s.bearing = bearing{on: what != bearNothing, rock: what == bearRock, tilt: tilt}
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

// liveLoad lays out what the servo and the rods bear at the pose.
func liveLoad(more func(group, key, words string, n int, text ...draw.Piece), at *int, rods []rig.SteeringRod) {
	more("load", "load_torque", "asked of the servo", 1, draw.Piece{Form: draw.Decimal, At: *at, Digits: 2}, draw.Piece{Text: " N·m"})
	more("load", "load_margin", "margin: what it gives over that", 1, draw.Piece{Form: draw.Decimal, At: *at, Digits: 2})
	words := []string{"turning left", "turning right"}
	for p := load.LeftTyreOutside; p <= load.RightTyreInside; p++ {
		words = append(words, words[0]+", rock at "+p.String(), words[1]+", rock at "+p.String())
	}
	more("load", "load_way", "hardest way here", 1, draw.Piece{Form: draw.Choice, At: *at, Words: words})
	more("load", "load_shaft", "sideways on the servo's shaft", 1, draw.Piece{Form: draw.Decimal, At: *at}, draw.Piece{Text: " N"})
	for _, r := range rods {
		more("load", "load_"+r.Key, r.Name, 1, draw.Piece{Form: draw.Size, At: *at}, draw.Piece{Text: " N"},
			draw.Piece{Form: draw.Side, At: *at, Words: []string{" push", "", " pull"}})
	}
}

// fillLoads fills what liveLoad lays out, and hands the rods' forces to the drawing.
func (s *Session) fillLoads() {
	d := s.values[s.layout.load : s.layout.load+s.layout.loads]
	for i := range d {
		d[i] = math.NaN()
	}
	s.scene.Bear(nil)
	if !s.bearing.on {
		return
	}
	m := &s.moved
	if s.bearing.acting == nil {
		s.bearing.acting = newActing(m, s.bearing.tilt)
	}
	a := s.bearing.acting
	if a == nil {
		return
	}
	worst, sense, place, ok := a.hardest(m, s.bearing.rock)
	if !ok {
		return
	}
	d[0] = worst.Against / load.NewtonMetre
	if worst.Against > 0 {
		d[1] = a.gives / worst.Against
	}
	d[2] = 2 * float64(place)
	if sense*m.stand.Glance().RateLeft < 0 {
		d[2]++
	}
	d[3] = worst.Shaft.Side
	for i := range a.tensions {
		a.tensions[i] = worst.Rods[i].Tension
		d[4+i] = a.tensions[i]
	}
	s.scene.Bear(a.tensions)
}

// lacking takes what the loads lack from an error of package load; ok is false for another error.
func lacking(err error) (lacks Problems, ok bool) {
	var missing rig.Errors
	if errors.As(err, &missing) {
		return ProblemsOf(missing), true
	}
	return nil, false
}
