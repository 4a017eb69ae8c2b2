package engine

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenlock/internal/say"
	"evenlock/load"
	"evenlock/report"
	"evenlock/rig"
)

// LoadsDocument says whether servo, rods and balls are strong enough.
type LoadsDocument struct {
	// Ready is false while the file lacks something, which Lacks names, or while the vehicle would tip over, which Problem says.
	Ready   bool     `json:"ready"`
	Lacks   Problems `json:"lacks"`
	Problem string   `json:"problem"`
	// First says in sentences what gives up first.
	First  []string       `json:"first"`
	Margin MarginCurve    `json:"margin"`
	Servo  []WordedFigure `json:"servo"`
	Rods   []RodBears     `json:"rods"`
	Parts  []PartBears    `json:"parts"`
	// Holes compares those of the horn, at HornLock of the inner wheel.
	Holes    []HoleTrade `json:"holes"`
	HornLock Figure      `json:"hornLock"`
	Notes    []string    `json:"notes"`
	Cautions []string    `json:"cautions"`
	// Inputs are what it rests on, to be edited in place.
	Inputs []Input `json:"inputs"`
}

// MarginCurve is what the servo gives over what it is asked for, from the right lock to the left one. Below 1 it stalls.
type MarginCurve struct {
	// Inner is the inner wheel's road angle in degrees, positive to the left.
	Inner    []Number `json:"inner"`
	Standing []Number `json:"standing"`
	// Rock is empty if the file states none.
	Rock []Number `json:"rock"`
}

// RodBears is what a rod bears at most, and how much it is made for.
type RodBears struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Push  Figure `json:"push"`
	Pull  Figure `json:"pull"`
	// Known is false if the file does not say what the rod is made of. SafetyFactor is how many
	// times the force it bears, and Buckling the push that buckles it.
	Known        bool   `json:"known"`
	SafetyFactor Figure `json:"reserve"`
	Buckling     Figure `json:"buckling"`
	Made         string `json:"made"`
	// Breaks is what comes first when it bears no more.
	Breaks string `json:"breaks"`
	// Cause is what puts the most on it.
	Cause string `json:"cause"`
}

// PartBears is what another part bears at most.
type PartBears struct {
	Words string `json:"words"`
	Figure
	Note string `json:"note"`
}

// HoleTrade is what a hole of the horn does with standing tyres.
type HoleTrade struct {
	Hole  Figure `json:"hole"`
	InUse bool   `json:"inUse"`
	// Reached is false if it does not come to the lock that is compared, Full if not to that of the hole in use; the rest is then unset.
	Reached bool   `json:"reached"`
	Full    bool   `json:"full"`
	Turn    string `json:"turn"`
	Torque  Figure `json:"torque"`
	Margin  Figure `json:"margin"`
	// Time has the text "stalls" where it does.
	Time Figure `json:"time"`
}

// Input is a value of the file, to be edited in place.
type Input struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Hint  string `json:"hint"`
	// Entry is what stands in the file, "" if nothing does.
	Entry string `json:"entry"`
	// Options are the words that it can be, if it is one of a few.
	Options []string `json:"options"`
	Missing bool     `json:"missing"`
}

// sized writes a value to three figures.
func sized(value float64, unit string) Figure {
	f := Figure{Number(value), 0, unit, "–"}
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return f
	}
	decimals := 3
	if value != 0 {
		decimals = max(0, min(3, 2-int(math.Floor(math.Log10(math.Abs(value))))))
	}
	f.Text = strings.TrimSpace(rounded(value, decimals) + " " + unit)
	return f
}

func torqued(v float64) Figure { return sized(v/load.NewtonMetre, "N·m") }

// marginSteps are the steps each side of straight in which the loads are looked at.
const marginSteps = 16

// Loads says what the steering bears from lock to lock, on a vehicle that stands nose up and right side down by so many degrees. The
// error is Problems if slope or tilt cannot be.
func (s *Session) Loads(noseUp, rightDown float64) (LoadsDocument, error) {
	d := LoadsDocument{
		Lacks: Problems{}, First: []string{}, Servo: []WordedFigure{}, Rods: []RodBears{}, Parts: []PartBears{}, Holes: []HoleTrade{}, Notes: []string{},
		Cautions: []string{report.BeforePower}, Inputs: s.loadInputs(),
	}
	tilt, err := tiltOf(noseUp, rightDown)
	if err != nil {
		return d, err
	}
	m, err := s.model()
	if err != nil {
		return d, err
	}
	l, err := load.OverLock(m, tilt, marginSteps)
	var missing rig.Errors
	switch {
	case errors.As(err, &missing):
		d.Lacks = ProblemsOf(missing)
		for i := range d.Inputs {
			for _, p := range d.Lacks {
				if p.Key == d.Inputs[i].Key {
					// A table of its own is added with it.
					d.Inputs[i].Missing, d.Inputs[i].Hint = true, strings.TrimPrefix(p.Remedy, "add a table [supply], and ")
				}
				if p.Key == "servo.rating" && strings.HasPrefix(d.Inputs[i].Key, "servo.rating.1.") {
					d.Inputs[i].Missing = true
				}
			}
		}
		return d, nil
	case err != nil:
		// What remains is a vehicle that would tip over.
		d.Problem = strings.TrimPrefix(ProblemsOf(err)[0].Problem, "load: ")
		return d, nil
	}
	d.Ready = true
	d.margin(l)
	d.first(l)
	d.servo(l)
	d.rods(l)
	d.parts(l)
	d.holes(l)
	d.notes(l)
	return d, nil
}

func (d *LoadsDocument) margin(l *load.Analysis) {
	d.Margin.Rock = []Number{}
	for i := range l.Samples {
		r := &l.Samples[i]
		inner := r.Left
		if r.Left+r.Right < 0 {
			inner = r.Right
		}
		d.Margin.Inner = append(d.Margin.Inner, Number(inner/degree))
		d.Margin.Standing = append(d.Margin.Standing, Number(l.Gives/max(r.Standing[load.ToLeft], r.Standing[load.ToRight])))
		if l.Model.Rig.Ground.RockForce > 0 {
			d.Margin.Rock = append(d.Margin.Rock, Number(r.SafetyFactor))
		}
	}
}

// first says what gives up first: on standing tyres, with the rock, and with a wheel jammed.
func (d *LoadsDocument) first(l *load.Analysis) {
	tell := func(where string, servo, saver [2]load.Onset, least float64) {
		if l.Saver == nil {
			saver = [2]load.Onset{}
		}
		if !servo[0].Happens && !servo[1].Happens && !saver[0].Happens && !saver[1].Happens {
			d.First = append(d.First, where+", nothing gives up: the servo gives at least "+timesText(least)+" what it is asked for.")
			return
		}
		if left, right := givesUp(servo[0], saver[0]), givesUp(servo[1], saver[1]); left == right {
			d.First = append(d.First, where+", "+left+", both ways.")
			return
		}
		var sides []string
		for i, to := range [2]string{"left", "right"} {
			sides = append(sides, "to the "+to+" "+givesUp(servo[i], saver[i]))
		}
		d.First = append(d.First, where+", "+strings.Join(sides, "; ")+".")
	}
	standing, rock := math.Inf(1), math.Inf(1)
	for i := range l.Samples {
		r := &l.Samples[i]
		standing = min(standing, l.Gives/max(r.Standing[load.ToLeft], r.Standing[load.ToRight]))
		rock = min(rock, r.SafetyFactor)
	}
	var saver load.SaverState
	if l.Saver != nil {
		saver = *l.Saver
	}
	tell("On standing tyres", l.Standing, saver.Standing, standing)
	if l.Model.Rig.Ground.RockForce > 0 {
		tell("With the rock as well", l.Rock, saver.Rock, rock)
	}
	d.jammed(l)
}

// givesUp says where on the way to one side servo and saver give up, the first of them first.
func givesUp(servo, saver load.Onset) string {
	at := func(p load.Onset) string {
		if p.Inner < 0.05*degree {
			return "when still straight"
		}
		return "at " + rounded(p.Inner/degree, 1) + "° of the inner wheel"
	}
	servoGives, saverGives := "the servo stalls ", "the saver gives way "
	switch {
	case !servo.Happens && !saver.Happens:
		return "nothing gives up"
	case !saver.Happens:
		return servoGives + at(servo)
	case !servo.Happens:
		return saverGives + at(saver) + " and the servo would not stall"
	case servo.Inner < saver.Inner:
		return servoGives + at(servo) + ", before the saver gives way"
	}
	return saverGives + at(saver) + ", and without it " + servoGives + at(servo)
}

// jammed says which rod goes first when one wheel is jammed.
func (d *LoadsDocument) jammed(l *load.Analysis) {
	var weakest *load.RodLoad
	least := math.Inf(1)
	var unknown []string
	for i := range l.Rods {
		r := &l.Rods[i]
		if r.Rod == nil {
			unknown = append(unknown, r.Words)
			continue
		}
		if borne, _ := r.Weakest(); borne.SafetyFactor < least {
			weakest, least = r, borne.SafetyFactor
		}
	}
	if weakest != nil {
		borne, peak := weakest.Weakest()
		how := "yields"
		if borne.Buckles {
			how = "buckles"
		}
		if least < 1 {
			d.First = append(d.First, fmt.Sprintf("The %s %s before it bears the %s that it may have to, by %v: it bears %s that.", weakest.Words, how, sized(peak.Size, "N").Text, peak.Cause, timesText(least)))
		} else {
			d.First = append(d.First, fmt.Sprintf("No rod gives way, not even with one wheel jammed and the servo at its full torque: the weakest, the %s, bears %s the most that is put on it.", weakest.Words, timesText(least)))
		}
	}
	if len(unknown) > 0 {
		d.First = append(d.First, "What the "+strings.Join(unknown, " and the ")+" can bear is not known until you put in material and diameter.")
	}
}

func timesText(x float64) string { return strings.TrimSpace(sized(x, "").Text) + " times" }

func (d *LoadsDocument) servo(l *load.Analysis) {
	add := func(words string, f Figure) { d.Servo = append(d.Servo, WordedFigure{words, f}) }
	gives := torqued(l.Gives)
	gives.Text += " (" + say.Number(l.Gives/load.KilogramForceCentimetre, 1) + " kgf·cm)"
	add("it gives at a standstill", gives)
	hardest := &l.Samples[l.Hardest]
	add("it is asked for at most", torqued(hardest.Ask(l.Harder)))
	add("lock to lock, wheels in the air", sized(max(l.Unloaded[0], l.Unloaded[1]), "s"))
	loaded := sized(max(l.Loaded[0], l.Loaded[1]), "s")
	if l.Loaded[0] == 0 || l.Loaded[1] == 0 {
		loaded.Text = "stalls"
	}
	add("lock to lock, on standing tyres", loaded)
	if l.Stalled.Current > 0 {
		add("current when it stalls", sized(l.Stalled.Current, "A"))
		add("voltage at it then", sized(l.Stalled.Voltage, "V"))
		add("heat in it then", sized(l.Stalled.Current*l.Stalled.Voltage, "W"))
	}
	if l.HeldKnown {
		add("heat while it holds still against the rock", sized(l.Held.Heat, "W"))
	}
	for i, t := range l.Tyres {
		add("weight on the "+[2]string{"left", "right"}[i]+" steered tyre", sized(t.Weight, "N"))
	}
}

func (d *LoadsDocument) rods(l *load.Analysis) {
	for i := range l.Rods {
		r := &l.Rods[i]
		one := RodBears{Key: r.Key, Words: r.Words, Push: sized(r.Push.Size, "N"), Pull: sized(r.Pull.Size, "N"), Cause: r.Push.Cause.String()}
		if r.Pull.Size > r.Push.Size {
			one.Cause = r.Pull.Cause.String()
		}
		if r.Rod != nil {
			borne, _ := r.Weakest()
			one.Known, one.SafetyFactor, one.Buckling = true, sized(borne.SafetyFactor, ""), sized(r.PushStrength.Buckling, "N")
			one.Breaks = breaks(r)
			one.Made = r.Rod.Material.Name + ", " + say.Number(r.Rod.Body.Outer, 1) + " mm"
			if r.Rod.Body.Bore > 0 {
				one.Made += " with a bore of " + say.Number(r.Rod.Body.Bore, 1) + " mm"
			}
			if r.Rod.Offset > 0 {
				one.Made += ", bent by " + say.Number(r.Rod.Offset, 1) + " mm"
			}
		}
		d.Rods = append(d.Rods, one)
	}
}

// breaks says what comes first when a rod bears no more.
func breaks(r *load.RodLoad) string {
	pushed := r.PushStrength.SafetyFactor <= r.PullStrength.SafetyFactor
	switch {
	case r.Rod.Offset > 0 && pushed:
		return "its bend folds up"
	case r.Rod.Offset > 0:
		return "its bend is pulled straight"
	case pushed && r.PushStrength.Buckles:
		return "it buckles"
	case pushed:
		return "it is crushed"
	}
	return "it stretches for good"
}

func (d *LoadsDocument) parts(l *load.Analysis) {
	add := func(words string, f Figure, note string) {
		if f.Value > 0 {
			d.Parts = append(d.Parts, PartBears{words, f, note})
		}
	}
	for _, b := range l.Balls {
		note := ""
		if b.Load.Across > 0 {
			note = sized(b.Load.Across, "N").Text + " of it across the stud"
		}
		add(b.Load.Words, sized(b.Size, "N"), note)
	}
	add("servo's shaft, sideways", sized(l.Shaft.Side.Size, "N"), l.Shaft.Side.Cause.String())
	add("servo's shaft, bending", torqued(l.Shaft.Bending.Size), l.Shaft.Bending.Cause.String())
	if l.Shaft.Span > 0 {
		add("its outer bearing", sized(l.Shaft.Outer, "N"), "")
		add("its inner bearing", sized(l.Shaft.Inner, "N"), "")
	}
	for i, k := range l.Kingpins {
		add([2]string{"left", "right"}[i]+" kingpin's bearings, across", sized(k.Across.Size, "N"), k.Across.Cause.String())
	}
	if l.Roll.Size > 0 {
		add("what would roll the tie rod", torqued(l.Roll.Size), "the drag link pulls beside its line")
	}
	if l.Saver != nil {
		add("servo saver gives way from", torqued(l.Saver.Preload), sized(l.Saver.Force, "N").Text+" at the horn's ball")
	}
}

func (d *LoadsDocument) holes(l *load.Analysis) {
	d.HornLock = figure(l.HornLock/degree, 0, "°", false)
	for _, h := range l.Horn {
		one := HoleTrade{Hole: figure(h.Hole, 0, "mm", false), InUse: h.Hole == l.HoleInUse, Reached: h.Reached, Full: h.Full}
		if h.Reached {
			one.Turn = rounded(math.Abs(h.Left)/degree, 0) + "° + " + rounded(math.Abs(h.Right)/degree, 0) + "°"
			one.Torque, one.Margin, one.Time = torqued(h.Torque), sized(h.SafetyFactor, ""), sized(h.Seconds, "s")
			if h.Seconds == 0 {
				one.Time.Text = "stalls"
			}
		}
		d.Holes = append(d.Holes, one)
	}
}

func (d *LoadsDocument) notes(l *load.Analysis) {
	if top := l.Servo.Ratings[len(l.Servo.Ratings)-1].Voltage; l.Supply.Voltage > top {
		d.Notes = append(d.Notes, fmt.Sprintf("The supply's %s V are more than the %s V of the highest rating: the figures are drawn out in proportion, and the maker may not allow it.", say.Number(l.Supply.Voltage, 1), say.Number(top, 1)))
	}
	if l.Saver != nil && l.Saver.Preload > l.Gives {
		d.Notes = append(d.Notes, "The saver's preload is more than the servo gives: it saves the servo from knocks, not from stalling.")
	}
	if l.Supply.Resistance == 0 {
		d.Notes = append(d.Notes, "No voltage drop is counted, as the file states no resistance of the supply.")
	}
	d.Notes = append(d.Notes,
		"Friction in balls, kingpins and gears is not counted, nor shock, nor wear: a margin of 1 is not enough.",
		"A wheel jammed between rocks asks for all that the servo has; the rods are judged by that.",
		"Strengths of materials are round figures: use the makers' where there are any.")
}

// loadKeys are what the loads rest on, apart from what belongs to a rating, the right wheel or a rod.
var loadKeys = []struct{ key, words, hint string }{
	{"vehicle.mass", "mass, ready to drive", "in kg"},
	{"vehicle.steered_share", "part of the weight on the steered wheels", "in percent"},
	{"vehicle.weight_height", "height of the centre of gravity", "in mm above the ground; for slope and tilt"},
	{"left.wheel.patch_length", "length of the tyre's print", "in mm, front to back"},
	{"ground.friction", "friction of the tyres on the ground", "about 1 on rough ground, 0.5 on a smooth floor"},
	{"ground.rock_height", "height of the rock's edge", "in mm above the ground"},
	{"ground.rock_force", "force of the rock's edge on a tyre", "in newtons; the vehicle's weight, 10 for each kg, is a hard case"},
	{"supply.voltage", "supply, without load", "in volts, at the servo's plug"},
	{"supply.resistance", "resistance of pack, leads and plugs", "in ohms"},
	{"servo.idle_current", "servo's current without load", "in amperes"},
	{"servo.winding_resistance", "resistance of the servo's motor", "in ohms; left out, voltage over stall current"},
	{"servo.bearing_span", "between the bearings of the servo's shaft", "in mm"},
	{"horn.holes", "all the horn's holes", "in mm from the shaft, with commas: 13, 15.5, 18"},
}

// ratingKeys are those of one rating.
var ratingKeys = []struct{ key, words, hint string }{
	{"voltage", "voltage", "in volts"},
	{"torque", "stall torque", "with its unit: 25 kg·cm, 2.4 N·m or 340 oz·in"},
	{"time", "time for 60°", "in seconds, without load"},
	{"stall_current", "stall current", "in amperes, for voltage drop and heat; leave it out if you do not know it"},
}

// loadInputs lists what the loads rest on.
func (s *Session) loadInputs() []Input {
	tree := rawOf(s.history[s.at].text)
	all := []Input{}
	add := func(key, words, hint string, options ...string) {
		if options == nil {
			options = []string{}
		}
		all = append(all, Input{Key: key, Words: words, Hint: hint, Entry: tree.at(key), Options: options})
	}
	for _, k := range loadKeys {
		add(k.key, k.words, k.hint)
		if k.key == "left.wheel.patch_length" && s.moved.rig.Right != nil && s.moved.rig.Right.Wheel != nil {
			add("right.wheel.patch_length", "length of the right tyre's print", k.hint)
		}
	}
	for i := range max(1, len(s.moved.rig.Servo.Ratings)) {
		number := strconv.Itoa(i + 1)
		for _, k := range ratingKeys {
			add("servo.rating."+number+"."+k.key, "servo's rating "+number+": "+k.words, k.hint)
		}
	}
	var materials []string
	for _, m := range load.Materials() {
		materials = append(materials, m.Name)
	}
	for _, r := range s.moved.rig.SteeringRods() {
		add(r.Key+".material", r.Name+": material", "", materials...)
		add(r.Key+".diameter", r.Name+": diameter", "in mm")
		add(r.Key+".bore", r.Name+": bore of a tube", "in mm; nothing if it is solid")
		add(r.Key+".bend", r.Name+": bend", "in mm, how far its middle is off the line between its balls")
	}
	return all
}

// Setting is a value for a key of the rig file; Unit is that of its numbers, where it is not the file's own.
type Setting struct {
	Key   string `json:"key"`
	Value string `json:"value"`
	Unit  string `json:"unit,omitempty"`
}

// SetAll changes several values of the rig file, as Set does, as one change: keys may need one another.
func (s *Session) SetAll(did string, settings []Setting) error {
	all := make([]rig.Setting, len(settings))
	for i, one := range settings {
		all[i] = rig.Setting(one)
	}
	text, err := rig.EditAll(s.history[s.at].text, all...)
	if err != nil {
		return ProblemsOf(err)
	}
	return s.change(text, did)
}
