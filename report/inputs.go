package report

import (
	"fmt"
	"strings"

	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"
)

// Input is a value of the rig file as a person is asked for it.
type Input struct {
	Key, Words, Hint string
	// Options are the words that it can be; nil for any value.
	Options []string
	// Missing tells that the result cannot do without it and the file leaves it out; Hint then says
	// how to find it.
	Missing bool
}

// loadKeys are what the loads rest on, apart from what belongs to a rating, the right wheel or a
// rod. In their hints %s is the file's unit of length.
var loadKeys = []struct{ key, words, hint string }{
	{"vehicle.mass", "mass, ready to drive", "in kg"},
	{"vehicle.steered_share", "part of the weight on the steered wheels", "in percent"},
	{"vehicle.weight_height", "height of the centre of gravity", "in %s above the ground; for slope and tilt"},
	{patchKey, "length of the tyre's print", "in %s, front to back"},
	{"ground.friction", "friction of the tyres on the ground", "about 1 on rough ground, 0.5 on a smooth floor"},
	{"ground.rock_height", "height of the rock's edge", "in %s above the ground"},
	{"ground.rock_force", "force of the rock's edge on a tyre", "in newtons; 10 for each kg of the vehicle is a hard case"},
	{"supply.voltage", "supply, without load", "in volts, at the servo's plug"},
	{"supply.resistance", "resistance of pack, leads and plugs", "in ohms"},
	{"servo.idle_current", "servo's current without load", "in amperes"},
	{"servo.winding_resistance", "resistance of the servo's motor", "in ohms; left out, voltage over stall current"},
	{"servo.bearing_span", "between the bearings of the servo's shaft", "in %s"},
	{"horn.holes", "all the horn's holes", "from the shaft in %s, with commas between"},
}

// patchKey is the key after which that of a right wheel comes, if the file has one.
const patchKey = "left.wheel.patch_length"

// ratingKeys are those of one rating.
var ratingKeys = []struct{ key, words, hint string }{
	{"voltage", "voltage", "in volts"},
	{"torque", "stall torque", "with its unit: 25 kg·cm, 2.4 N·m or 340 oz·in"},
	{"time", "time for 60°", "in seconds, without load"},
	{"stall_current", "stall current", "in amperes, for voltage drop and heat; leave it out if you do not know it"},
}

// rodKeys are those of one rod.
var rodKeys = []struct{ key, words, hint string }{
	{"material", "material", ""},
	{"diameter", "diameter", "in %s"},
	{"bore", "bore of a tube", "in %s; nothing if it is solid"},
	{"bend", "bend", "in %s, how far its middle is off the line between its balls"},
}

// LoadInputs lists the values that the loads of an axle rest on. Lacking is the error of
// load.OverLock where the file does not say enough, nil else.
func LoadInputs(m *steer.Model, lacking rig.Errors) []Input {
	r, of := m.Rig, m.Tables()
	length := "mm"
	if r.Unit == "in" {
		length = "inches"
	}
	var all []Input
	add := func(key, words, hint string, options ...string) {
		one := Input{Key: key, Words: words, Hint: strings.ReplaceAll(hint, "%s", length), Options: options}
		for _, e := range lacking {
			switch {
			case e.Key == key:
				// What goes into a table that is not there yet brings it along.
				one.Missing, one.Hint = true, strings.TrimPrefix(e.Remedy, "add a table [supply], and ")
			case strings.HasSuffix(e.Key, "servo.rating") && strings.HasPrefix(key, e.Key+".1."):
				one.Missing = true
			}
		}
		all = append(all, one)
	}
	for _, k := range loadKeys {
		add(inFile(of, k.key), k.words, k.hint)
		if k.key == patchKey && of.Right != nil && of.Right.Wheel != nil {
			add(inFile(of, "right.wheel.patch_length"), "length of the right tyre's print", k.hint)
		}
	}
	for i := range max(1, len(of.Servo.Ratings)) {
		for _, k := range ratingKeys {
			add(fmt.Sprintf("%sservo.rating.%d.%s", of.Prefix, i+1, k.key), fmt.Sprintf("servo's rating %d: %s", i+1, k.words), k.hint)
		}
	}
	var materials []string
	for _, m := range load.Materials() {
		materials = append(materials, m.Name)
	}
	for _, rod := range m.Vehicle.Steering() {
		for _, k := range rodKeys {
			var options []string
			if k.key == "material" {
				options = materials
			}
			add(rod.Key+"."+k.key, rod.Name+": "+k.words, k.hint, options...)
		}
	}
	return all
}

// inFile is the key of what the loads of an axle rest on.
func inFile(of *rig.OfAxle, key string) string {
	switch table, _, _ := strings.Cut(key, "."); table {
	case "vehicle", "ground", "supply":
		return key
	}
	return of.Prefix + key
}

// LiveLoad are the words beside the numbers of the loads that move along with the drawing, by their
// keys; those of a rod's force are the rod's own.
var LiveLoad = map[string]string{
	"load_torque":   "torque needed",
	"load_standing": "safety factor, standing tyres",
	"load_factor":   "safety factor, with the rock",
	"load_weakest":  "safety factor, weakest rod",
	"load_way":      "hardest",
	"load_fails":    "fails first",
}

// PushPull are the words for a rod's force below zero, at it and above.
var PushPull = []string{" push", "", " pull"}

// WaysHere are the words for the way and the rock's place that are hardest at a pose, two for each
// load.RockPlace: turning left and right.
func WaysHere() []string {
	all := []string{"turning left", "turning right"}
	for p := load.LeftTyreOutside; p <= load.RightTyreInside; p++ {
		for _, way := range all[:2] {
			all = append(all, way+", the rock at "+p.String())
		}
	}
	return all
}

// FailsHere are the words for what fails at a pose: nothing, the servo, the saver, and each rod in
// their order.
func FailsHere(rods []*vehicle.Rod) []string {
	all := []string{"nothing", "the servo stalls", "the servo saver yields"}
	for _, r := range rods {
		all = append(all, "the "+r.Name+", if a wheel jams")
	}
	return all
}
