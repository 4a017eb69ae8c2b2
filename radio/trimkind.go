package radio

import (
	"fmt"
	"math"
)

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

// TrimVerdict is what a trim test shows.
type TrimVerdict struct {
	Kind TrimKind
	// Reason says in words why.
	Reason string
}

// TrimKindFromTest tells which kind of trim a transmitter has. A difference
// counts as a movement if it is larger than its uncertainty, √2 times that of one
// reading.
func TrimKindFromTest(t TrimTest) TrimVerdict {
	u := t.Uncertainty * math.Sqrt2
	left, right := t.Left.Moved-t.Left.Zero, t.Right.Moved-t.Right.Zero
	leftMoved, rightMoved := math.Abs(left) > u, math.Abs(right) > u
	verdict := func(kind TrimKind, format string, args ...any) TrimVerdict {
		return TrimVerdict{kind, fmt.Sprintf(format, args...)}
	}
	if !finite(left) || !finite(right) || !finite(u) || u < 0 || t.Centre != nil && !finite(t.Centre.Moved-t.Centre.Zero) {
		return verdict(TrimUnclear, "a reading is not a number; take the test again")
	}
	if t.Centre != nil && math.Abs(t.Centre.Moved-t.Centre.Zero) <= u {
		return verdict(TrimUnclear, "the centre did not move by more than the readings can tell (%.3g); move the trim further and read again", u)
	}
	switch {
	case !leftMoved && !rightMoved:
		if t.Centre == nil {
			return verdict(TrimCentre, "both ends stayed where they were, within %.3g; this holds if the centre moved meanwhile", u)
		}
		return verdict(TrimCentre, "the centre moved by %.3g while both ends stayed where they were, within %.3g",
			t.Centre.Moved-t.Centre.Zero, u)
	case leftMoved != rightMoved:
		side, by := "left", left
		if rightMoved {
			side, by = "right", right
		}
		return verdict(TrimUnclear, "only the %s end moved, by %.3g; the other may stand at the end of the transmitter's or the servo's range: bring both endpoints in and test again", side, by)
	case (left > 0) != (right > 0):
		return verdict(TrimUnclear, "the ends moved opposite ways, by %.3g on the left and %.3g on the right; an endpoint or the rate was changed, so test again with only the trim moved", left, right)
	case math.Abs(left-right) > u*math.Sqrt2:
		return verdict(TrimUnclear, "both ends moved the same way, but unequally: %.3g on the left and %.3g on the right; bring both endpoints in, so that none is held back, and test again", left, right)
	case t.Centre != nil && math.Abs((left+right)/2-(t.Centre.Moved-t.Centre.Zero)) > u*math.Sqrt2:
		return verdict(TrimUnclear, "the ends moved alike, by %.3g and %.3g, but the centre by %.3g; bring both endpoints in and test again", left, right, t.Centre.Moved-t.Centre.Zero)
	default:
		return verdict(TrimWhole, "both ends moved the same way and alike: %.3g on the left and %.3g on the right", left, right)
	}
}
