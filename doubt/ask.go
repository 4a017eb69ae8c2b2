package doubt

import (
	"io"
	"math"
	"sort"
	"strings"

	"evenlock/rig"
	"evenlock/vehicle"
)

// Question is a value to look at again.
type Question struct {
	// Key is its dotted key, or that of what it is of; Spread whether the question is of its ±.
	Key    string
	Spread bool
	// Known is whether a slip explains it. Now and Probably are then what it is and what it probably
	// should be, in the inside unit of Kind, or as they stand where it is no Quantity.
	Known         bool
	Now, Probably float64
	Kind          rig.Kind
	Quantity      bool
	// Swap is the key of the number that it was swapped with, empty if it was not.
	Swap string
	// Slip is what probably went wrong.
	Slip Slip
	// Odd is the trait that speaks against it most, and Then what that would be.
	Odd  Trait
	Then float64
	// Gain is how much more ordinary the rig would be.
	Gain float64
}

// Slip is what went wrong.
type Slip int

// The slips.
const (
	// Unknown is what none of the others explains.
	Unknown Slip = iota
	// Decimal is a decimal point one place off.
	Decimal
	// Inches are inches taken for millimetres, or the other way round.
	Inches
	// Sign is a sign, or a side.
	Sign
	// Swapped are two numbers of a place.
	Swapped
)

// Thresholds of the measure.
const (
	// enough is the gain from which a slip is more likely than that the rig is so.
	enough = 3.5
	// asLikely is how much less another repair may gain to be asked about as well, atMost how many are.
	asLikely = 2
	atMost   = 4
	// farOff is what a trait must be to be asked about though no slip explains it.
	farOff = 16
	// rounds is how many slips are looked for in one file.
	rounds = 5
)

// repair is what undoes a slip.
type repair struct {
	slip     Slip
	times    float64
	handicap float64
}

var repairs = []repair{
	{Decimal, 10, 0}, {Decimal, 0.1, 0}, {Inches, 25.4, 1}, {Inches, 1 / 25.4, 1}, {Sign, -1, 0.5},
}

// swapHandicap is what a swap must gain more, since there are so many.
const swapHandicap = 1.5

// Ask returns what to look at again, the most doubtful first. It takes a rig that reads, whether or
// not it can be put together.
func Ask(r *rig.Rig) []Question {
	a := newAsker(r)
	var all []Question
	for range rounds {
		found := a.round()
		if len(found) == 0 {
			break
		}
		for _, q := range found {
			if !asked(all, q.Key) {
				all = append(all, q)
			}
		}
		a.make(&found[0])
	}
	left, _ := a.all()
	for _, t := range left {
		if t.Unlikely() >= farOff && !asked(all, t.Key) {
			all = append(all, Question{Key: t.Key, Odd: t, Gain: t.Unlikely()})
		}
	}
	return all
}

func asked(all []Question, key string) bool {
	for i := range all {
		if all[i].Key == key || strings.HasPrefix(all[i].Key, key+".") {
			return true
		}
	}
	return false
}

// asker tries repairs on a copy of a rig.
type asker struct {
	rig     *rig.Rig
	numbers []rig.Number
	// spreads are the ± of numbers; the rig has none, which makes it quick to move.
	spreads []float64
}

func newAsker(r *rig.Rig) *asker {
	a := &asker{rig: r.Clone()}
	a.numbers = a.rig.Numbers()
	a.spreads = make([]float64, len(a.numbers))
	for i, n := range a.numbers {
		if n.Quantity {
			a.spreads[i], *n.Spread = *n.Spread, 0
		}
	}
	return a
}

// still are the traits that need no movement; false if the rig cannot be described.
func (a *asker) still() (all []Trait, ok bool) {
	v, err := a.rig.Expand(true)
	if err != nil {
		return nil, false
	}
	var t traits
	t.ofVehicle(a.rig, v)
	a.uncertain(&t, v)
	return t.all, true
}

// moving are those that do; false if an axle cannot be moved.
func (a *asker) moving() (all []Trait, ok bool) {
	for axle := 1; a.rig.Of(axle) != nil; axle++ {
		one, ok := moves(a.rig, axle)
		if !ok {
			return all, false
		}
		all = append(all, one.all...)
	}
	return all, true
}

// all are all traits, and how unlikely the rig is.
func (a *asker) all() (all []Trait, sum float64) {
	all, ok := a.still()
	if !ok {
		return nil, 2 * cannot
	}
	more, ok := a.moving()
	if all = append(all, more...); !ok {
		return all, unlikely(all) + cannot
	}
	return all, unlikely(all)
}

// uncertain adds what is usual of a ±.
func (a *asker) uncertain(t *traits, v *vehicle.Vehicle) {
	width := 2 * math.Abs(v.Wheels[0].Centre.At.Y)
	acc := &a.rig.Accuracy
	// Beside nothing, no ± is small: what counts is then what a careful eye can tell.
	const eye = 0.012
	least := max(eye*width, 5*acc.Length.Value)
	for i, n := range a.numbers {
		u := a.spreads[i]
		value := math.Abs(*n.Value)
		switch {
		case u == 0 || n.Kind == rig.TorqueKind:
		case n.Kind == rig.LengthKind && u != acc.Length.Value:
			t.ratio(lengthSpread, "", n.Path, u, max(value, least))
		case n.Kind == rig.AngleKind && u != acc.Angle.Value:
			t.ratio(angleSpread, "", n.Path, u, max(value, 3*degree))
		}
	}
	t.given(lengthAccuracy, "", "accuracy.length", acc.Length.Value, width)
	t.given(angleAccuracy, "", "accuracy.angle", acc.Angle.Value, degree)
}

// round returns the repairs that gain most, at most one for each number.
func (a *asker) round() []Question {
	before, base := a.all()
	var found []Question
	// try tries a repair, and returns the most that another of the same number could gain.
	try := func(q Question, handicap float64) (most float64) {
		after, ok := a.still()
		sum := unlikely(after) + handicap
		most = couldGain(before, after)
		// What moves adds to that, and takes the longest to find.
		if !ok || base-sum < enough {
			return most
		}
		more, ok := a.moving()
		if q.Gain = base - sum - unlikely(more); !ok || q.Gain < enough || rig.Write(io.Discard, a.rig) != nil {
			return most // which a reader refuses is no repair
		}
		q.Known = true
		q.Odd, q.Then = worst(before, append(after, more...))
		found = append(found, q)
		return most
	}
	for i, n := range a.numbers {
		now := *n.Value
		for _, r := range repairs {
			if r.slip == Inches && (n.Kind != rig.LengthKind || !n.Quantity) {
				continue
			}
			if now == 0 {
				break
			}
			*n.Value = now * r.times
			most := try(Question{Key: n.Path, Kind: n.Kind, Quantity: n.Quantity, Now: now, Probably: now * r.times, Slip: r.slip}, r.handicap)
			if most < enough {
				break
			}
		}
		*n.Value = now
		if u := a.spreads[i]; u != 0 {
			a.spreads[i] = u / 10
			try(Question{Key: n.Path, Kind: n.Kind, Quantity: n.Quantity, Spread: true, Now: u, Probably: u / 10, Slip: Decimal}, 0)
			a.spreads[i] = u
		}
		for k := i - 1; k >= 0 && k >= i-2 && place(a.numbers[k].Path) == place(n.Path); k-- {
			other := a.numbers[k].Value
			was := *other
			*n.Value, *other = was, now
			try(Question{Key: n.Path, Kind: n.Kind, Quantity: n.Quantity, Now: now, Probably: was, Swap: a.numbers[k].Path, Slip: Swapped}, swapHandicap)
			*n.Value, *other = now, was
		}
	}
	sort.SliceStable(found, func(i, k int) bool { return found[i].Gain > found[k].Gain })
	var some []Question
	for _, q := range found {
		if len(some) < atMost && q.Gain >= found[0].Gain-asLikely && !asked(some, q.Key) {
			some = append(some, q)
		}
	}
	return some
}

// couldGain is how unlikely all that changes between two states of a rig is before, with all that a
// movement shows: no repair of the same number gains more.
func couldGain(before, after []Trait) float64 {
	sum := 0.0
	for i := range before {
		// What moves comes last, and is not in after.
		if i >= len(after) || before[i].Value != after[i].Value || before[i].Least != after[i].Least || before[i].Most != after[i].Most {
			sum += before[i].Unlikely()
		}
	}
	return sum
}

// place is the key of the place that a number is of; the whole key if it is of none.
func place(path string) string {
	if n := len(path) - 2; n > 0 && path[n] == '.' && strings.ContainsRune("xyz", rune(path[n+1])) {
		return path[:n]
	}
	return path
}

// worst is the trait that a repair makes most ordinary, and what it then is.
func worst(before, after []Trait) (odd Trait, then float64) {
	type id struct {
		of        *Usual
		part, key string
		n         int
	}
	count := map[id]int{}
	name := func(t *Trait) id {
		i := id{t.Usual, t.Part, t.Key, 0}
		if t.File {
			i.of = nil // those of the file are made anew
		}
		count[i]++
		i.n = count[i]
		return i
	}
	is := map[id]*Trait{}
	for k := range after {
		is[name(&after[k])] = &after[k]
	}
	clear(count)
	most := 0.0
	for k := range before {
		b := &before[k]
		if t := is[name(b)]; t != nil && b.Unlikely()-t.Unlikely() > most {
			most, odd, then = b.Unlikely()-t.Unlikely(), *b, t.Value
		}
	}
	return odd, then
}

// make makes a repair, to look for the next slip.
func (a *asker) make(q *Question) {
	for i, n := range a.numbers {
		switch {
		case n.Path == q.Key && q.Spread:
			a.spreads[i] = q.Probably
		case n.Path == q.Key:
			*n.Value = q.Probably
		case q.Swap != "" && n.Path == q.Swap:
			*n.Value = q.Now
		}
	}
}
