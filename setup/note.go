package setup

import (
	"math"

	"evenlock/vehicle"
)

// NoteKind tells what a note is of.
type NoteKind int

// The kinds of notes.
const (
	// NotCalibrated is a transmitter without the readings that its calibration takes; Err says
	// which.
	NotCalibrated NoteKind = iota
	// NeverSquare is a horn that no place makes square to the link, and that stays.
	NeverSquare
	// TeethUnknown is a spline whose teeth the file does not state, so that the horn stays.
	TeethUnknown
	// SubtrimShort is a subtrim that cannot cover what the spline leaves: Wanted and Reached in
	// radians.
	SubtrimShort
	// SubtrimUnknown and EndpointUnknown are settings that could not be found, for Err.
	SubtrimUnknown
	EndpointUnknown
	// ThreadUnknown is a rod whose thread the file does not state, so that its change is not in
	// turns.
	ThreadUnknown
	// RodFixed is a rod of fixed length that is Reached mm long and should be Wanted.
	RodFixed
	// RodRange is a rod that should be Wanted mm long and can be Shortest to Longest.
	RodRange
	// EvenElsewhere is a place of the horn that steers more evenly than the square one:
	// Plan.EvenPlace.
	EvenElsewhere
)

// Note is what could not be worked out, or needs care.
type Note struct {
	Kind NoteKind
	// Rod is the name of the rod that it is of, if it is of one, and Key the key of the rig file
	// that it rests on.
	Rod, Key string
	// Wanted and Reached are in radians or mm, as the kind says; Shortest and Longest in mm.
	Wanted, Reached   float64
	Shortest, Longest float64
	// Err is why something could not be found.
	Err error
}

func (p *Plan) note(n Note) { p.Notes = append(p.Notes, n) }

// Leave reports whether the rod stays as it is on the bench.
func (r *Rod) Leave() bool { return math.Abs(r.Length.Value-r.Now.Value) < leaveWithin }

// noteRod notes what keeps a rod from its length.
func (p *Plan) noteRod(rod *Rod, r *vehicle.Stock) {
	n := Note{Rod: rod.Name, Key: rod.Key, Wanted: rod.Length.Value, Reached: rod.Now.Value}
	if rod.Pitch*rod.Pitches == 0 && r.Adjust != "fixed" {
		n.Kind = ThreadUnknown
		p.note(n)
	}
	if r.Adjust == "fixed" && !rod.Leave() {
		rod.Fits = false
		n.Kind = RodFixed
		p.note(n)
	}
	if n.Wanted < r.Shortest || r.Longest > 0 && n.Wanted > r.Longest {
		rod.Fits = false
		n.Kind, n.Shortest, n.Longest = RodRange, r.Shortest, r.Longest
		p.note(n)
	}
}
