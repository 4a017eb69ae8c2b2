package doubt

import "math"

// Trait is a figure of a rig of which something is usual.
type Trait struct {
	*Usual
	// Part is the name of what it is of, such as "tie rod"; Key that in the file.
	Part, Key string
	Value     float64
}

// The measure of how unlikely a trait is.
const (
	// straight is the distance, in quarters of the usual, from which it grows in a straight line.
	straight = 3
	// senseless is for what cannot be on its scale, such as a length below zero; cannot is for a rig
	// that cannot be put together.
	senseless = 25
	cannot    = 60
)

// Unlikely is how unlikely the trait is: 0 in the middle of the usual, 2 at its ends.
func (t *Trait) Unlikely() float64 {
	x, least, most := t.Value, t.Least, t.Most
	if math.IsNaN(x) || t.byFactor && x < 0 {
		return senseless
	}
	if t.byFactor {
		// What is a thousandth of the usual is as odd as nothing at all.
		x, least, most = math.Log(max(x, t.Least/1000, 1e-9)), math.Log(max(least, 1e-9)), math.Log(most)
	}
	z := math.Abs(x-(least+most)/2) / ((most - least) / 4)
	if t.even > 0 {
		z = max(0, least-x, x-most) / t.even
	}
	if z <= straight {
		return z * z / 2
	}
	return straight*straight/2 + straight*(z-straight)
}

// Within tells whether the trait is within the usual.
func (t *Trait) Within() bool { return t.Value >= t.Least && t.Value <= t.Most }

// unlikely is how unlikely all traits are together.
func unlikely(all []Trait) float64 {
	sum := 0.0
	for i := range all {
		sum += all[i].Unlikely()
	}
	return sum
}
