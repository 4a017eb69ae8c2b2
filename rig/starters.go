package rig

import (
	"bytes"

	_ "embed" // the starter files
)

var (
	//go:embed starters/far-knuckle.toml
	farKnuckle []byte
	//go:embed starters/tie-rod.toml
	tieRod []byte
	//go:embed starters/chassis.toml
	chassis []byte
	//go:embed starters/behind.toml
	behind []byte
	//go:embed starters/centre-crank.toml
	centreCrank []byte
	//go:embed starters/rack.toml
	rack []byte
)

// A Starter is a commented rig file for a layout, to be filled in with one's own
// measurements. All its numbers are invented.
type Starter struct {
	// Name is a word for the command line, and Summary one line on the layout.
	Name, Summary string
	// Text is the file. Each call of Starters gives a copy of its own.
	Text []byte
}

// Starters lists the starter files, the commonest layout first.
func Starters() []Starter {
	return []Starter{
		{"far-knuckle", "servo on the axle, drag link to the far knuckle", bytes.Clone(farKnuckle)},
		{"tie-rod", "servo on the axle, drag link to a ball on the tie rod", bytes.Clone(tieRod)},
		{"chassis", "servo on the chassis, drag link to a knuckle, axle on links", bytes.Clone(chassis)},
		{"behind", "servo behind the axle, drag link to the far knuckle", bytes.Clone(behind)},
		{"centre-crank", "a centre crank with a rod to each knuckle, touring-car style", bytes.Clone(centreCrank)},
		{"rack", "a sliding rack with a rod to each knuckle, struts", bytes.Clone(rack)},
	}
}
