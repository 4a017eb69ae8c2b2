package radio

import "math"

// TrimKind is what a transmitter's trim moves.
type TrimKind int

const (
	// TrimUnclear means that it was not stated or that a test did not tell.
	TrimUnclear TrimKind = iota
	// TrimCentre moves the centre between ends that stay.
	TrimCentre
	// TrimWhole moves the ends with the centre.
	TrimWhole
)

// String returns the kind in words.
func (k TrimKind) String() string {
	switch k {
	case TrimCentre:
		return "centre only"
	case TrimWhole:
		return "whole range"
	default:
		return "unclear"
	}
}

// TrimPair is one stick position read twice.
type TrimPair struct {
	// Zero is the reading with the trim at zero, Moved with the trim moved.
	Zero, Moved float64
}

// TrimTest is the test with the horn off: the servo's angle, or the pulse, at
// full stick with the trim at zero and with the trim moved well over. Every
// value is in one unit, whichever was read.
type TrimTest struct {
	// Left and Right are at full stick.
	Left, Right TrimPair
	// Centre is at centre stick. It may be nil, and then a trim that was hardly
	// moved cannot be told from one that leaves the ends.
	Centre *TrimPair
	// Uncertainty is the 95 % half-width of each reading, in the same unit.
	Uncertainty float64
}

// TrimReason is what a trim test showed.
type TrimReason int

// The reasons.
const (
	// TrimNoNumber is a reading that is not a number.
	TrimNoNumber TrimReason = iota
	// TrimHardlyMoved is a centre that moved by no more than the readings can tell.
	TrimHardlyMoved
	// TrimEndsStayed is both ends staying, with no reading of the centre; TrimCentreMoved is the
	// same while the centre moved.
	TrimEndsStayed
	TrimCentreMoved
	// TrimOneEndMoved is only one end moving: the other may stand at the end of a range.
	TrimOneEndMoved
	// TrimEndsParted is ends that moved opposite ways, as an endpoint or the rate moves them.
	TrimEndsParted
	// TrimUnequal is ends that moved the same way, but unequally.
	TrimUnequal
	// TrimCentreUnlike is ends that moved alike, but the centre by another amount.
	TrimCentreUnlike
	// TrimAllMoved is ends that moved the same way and alike.
	TrimAllMoved
)

// TrimVerdict is what a trim test shows.
type TrimVerdict struct {
	Kind   TrimKind
	Reason TrimReason
	// Left, Right and Centre are by how much each moved, in the unit of the readings; Centre is
	// zero where it was not read. Within is how much a movement must be to count.
	Left, Right, Centre, Within float64
}

// TrimKindFromTest tells which kind of trim a transmitter has. A difference
// counts as a movement if it is larger than its uncertainty, √2 times that of one
// reading.
func TrimKindFromTest(t TrimTest) TrimVerdict {
	v := TrimVerdict{Left: t.Left.Moved - t.Left.Zero, Right: t.Right.Moved - t.Right.Zero, Within: t.Uncertainty * math.Sqrt2}
	if t.Centre != nil {
		v.Centre = t.Centre.Moved - t.Centre.Zero
	}
	v.Kind, v.Reason = v.judge(t.Centre != nil)
	return v
}

func (v *TrimVerdict) judge(centreRead bool) (TrimKind, TrimReason) {
	leftMoved, rightMoved := math.Abs(v.Left) > v.Within, math.Abs(v.Right) > v.Within
	switch {
	case !finite(v.Left) || !finite(v.Right) || !finite(v.Centre) || !finite(v.Within) || v.Within < 0:
		return TrimUnclear, TrimNoNumber
	case centreRead && math.Abs(v.Centre) <= v.Within:
		return TrimUnclear, TrimHardlyMoved
	case !leftMoved && !rightMoved && !centreRead:
		return TrimCentre, TrimEndsStayed
	case !leftMoved && !rightMoved:
		return TrimCentre, TrimCentreMoved
	case leftMoved != rightMoved:
		return TrimUnclear, TrimOneEndMoved
	case (v.Left > 0) != (v.Right > 0):
		return TrimUnclear, TrimEndsParted
	case math.Abs(v.Left-v.Right) > v.Within*math.Sqrt2:
		return TrimUnclear, TrimUnequal
	case centreRead && math.Abs((v.Left+v.Right)/2-v.Centre) > v.Within*math.Sqrt2:
		return TrimUnclear, TrimCentreUnlike
	default:
		return TrimWhole, TrimAllMoved
	}
}
