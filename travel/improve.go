package travel

import (
	"math"

	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Way is how an end may be moved.
type Way int

// The ways.
const (
	// Height is up or down alone, as with shims.
	Height Way = iota
	// FrontView is anywhere across the vehicle, seen from the front, as with a new hole.
	FrontView
)

// Better is a better place for one or two ends of rods.
type Better struct {
	Way Way
	// Moves say where each of the ends goes.
	Moves []Move
	// Before and After are what the travel does, all rods made as long as keeps the wheels
	// straight.
	Before, After [NumMotions]Swing
	// Short is whether a still better place is further away than was allowed.
	Short bool
	// Settings are those of the rig file with which it has the ends there and the rods as long as
	// keeps the wheels straight. There are none where the file gives an end in a way that cannot,
	// which Unplaced then says.
	Settings []rig.Setting
	Unplaced error
}

// Move is one end moved from a place to another, in mm.
type Move struct {
	vehicle.Shift
	From r3.Vec
}

// Swing is what a motion does to the wheels.
type Swing struct {
	// Rate is the bump steer at ride height in radians for each millimetre, Most the furthest that
	// the wheel is steered as a size, by wheel.
	Rate, Most [2]float64
}

// Worse returns the greater of the two wheels' Most.
func (s Swing) Worse() float64 { return max(s.Most[Left], s.Most[Right]) }

// Adjustment returns what to build the rig with to have the ends there.
func (b *Better) Adjustment() vehicle.Adjustment {
	a := vehicle.Adjustment{Straighten: true}
	for _, m := range b.Moves {
		a.Shifts = append(a.Shifts, m.Shift)
	}
	return a
}

// Still reports whether the best place is where the ends are.
func (b *Better) Still() bool {
	for _, m := range b.Moves {
		if m.By != (r3.Vec{}) {
			return false
		}
	}
	return true
}

// Gain returns how many radians less the wheel that is steered more is steered at most over heave.
func (b *Better) Gain() float64 { return b.Before[Heave].Worse() - b.After[Heave].Worse() }

// Mirrored reports whether the two ends of a pair go as in a mirror.
func (b *Better) Mirrored() bool {
	return len(b.Moves) == 2 && b.Moves[1].By == vehicle.Across(b.Moves[0].By)
}

const (
	// Worth is the least steer in radians that work is proposed for: what a protractor or a phone
	// shows (common practice).
	Worth = math.Pi / 360
	// Shown is half the last digit of an angle as it is written, less than which shows as nothing.
	Shown = math.Pi / 3600
)

// Best returns the easiest of the best: one in height alone, unless it leaves more than is worth
// work and one anywhere across leaves less than half of that. Of those that show no difference it
// is the one that is steered least in roll. It is nil for none.
func Best(all []Better) *Better {
	shim, hole := bestOf(all, Height), bestOf(all, FrontView)
	if shim == nil {
		return hole
	}
	if left := shim.After[Heave].Worse(); hole != nil && left > Worth && hole.After[Heave].Worse() < left/2 {
		return hole
	}
	return shim
}

func bestOf(all []Better, way Way) (best *Better) {
	least := math.Inf(1)
	for i := range all {
		if all[i].Way == way {
			least = min(least, all[i].After[Heave].Worse())
		}
	}
	for i := range all {
		b := &all[i]
		if b.Way == way && b.After[Heave].Worse() < least+Shown && (best == nil || b.After[Rolling].Worse() < best.After[Rolling].Worse()) {
			best = b
		}
	}
	return best
}

// Improve finds, for each end or pair of ends that steers with the travel, the place at which both
// wheels rising and dropping steer them least, by least squares on the exact model, first in height
// alone, then anywhere as seen from the front, at most so many millimetres from where it is each
// way. Each is rounded to a tenth of a millimetre and tried on the rebuilt rig. Where nothing
// reaches across the suspension there are none.
func Improve(m *steer.Model, farthest float64) ([]Better, error) {
	if !m.Suspended() {
		return nil, steer.ErrNoSuspension
	}
	s, err := newSearch(m, farthest)
	if err != nil {
		return nil, err
	}
	var all []Better
	for _, ends := range candidates(m.Vehicle) {
		for _, way := range []Way{Height, FrontView} {
			b, err := s.better(ends, way)
			if err != nil {
				return nil, err
			}
			all = append(all, b)
		}
	}
	return all, nil
}

// Steers reports whether any rod of the steering reaches across the suspension of a suspended
// model, so that travel turns a knuckle by it.
func Steers(m *steer.Model) bool { return len(spans(m.Vehicle)) > 0 }

// candidates lists the ends that travel steers by, each alone or, left first, with its like on the
// other side: of a rod from knuckle to knuckle, or of two rods that each go to one.
func candidates(v *vehicle.Vehicle) [][]*vehicle.Ball {
	across := spans(v)
	var own [2]*span // the rod to the knuckle of a side alone
	for i := range across {
		s := &across[i]
		if w := v.WheelOn(s.ends[1].On); w != nil && v.WheelOn(s.ends[0].On) == nil {
			own[w.Side] = s
		}
	}
	var all [][]*vehicle.Ball
	for i := range across {
		s := &across[i]
		first := v.WheelOn(s.ends[0].On)
		switch {
		case first != nil && first.Side == steer.Left:
			all = append(all, s.ends[:])
		case first != nil:
			all = append(all, []*vehicle.Ball{s.ends[1], s.ends[0]})
		case own[steer.Left] == nil || own[steer.Right] == nil || s != own[steer.Left] && s != own[steer.Right]:
			all = append(all, s.ends[:1], s.ends[1:])
		case s == own[steer.Left]:
			other := own[steer.Right]
			all = append(all, []*vehicle.Ball{s.ends[0], other.ends[0]}, []*vehicle.Ball{s.ends[1], other.ends[1]})
		}
	}
	return all
}

// search looks for better places.
type search struct {
	// rig is without uncertainties, which make a model slow to build and are of no account here.
	rig      *rig.Rig
	farthest float64
	axle     int
	travels  []steer.WheelTravel
	ideals   []Ideal
	before   [NumMotions]Swing
	// even is whether left and right are alike in all that a wheel's travel steers it by.
	even bool
}

// aimed is at how many places each side of ride height the steer is made small.
const aimed = 4

func newSearch(m *steer.Model, farthest float64) (*search, error) {
	s := &search{rig: m.Rig.Exact(), farthest: farthest, axle: m.Axle.Number()}
	straight, err := s.model(nil)
	if err != nil {
		return nil, err
	}
	s.even = even(straight.Vehicle)
	if s.ideals, err = Ideals(straight); err != nil {
		return nil, err
	}
	if s.before, err = swings(straight); err != nil {
		return nil, err
	}
	down, up := Heave.Stated(straight)
	for _, e := range [2]float64{-down, up} {
		got, stop, err := reach(straight.NewState(), 0, Heave, e)
		if err != nil {
			return nil, err
		}
		if stop != nil {
			// At the very end of the travel a pose is slow to find, and any change puts it out of reach.
			got *= 0.95
		}
		for k := 1; k <= aimed; k++ {
			s.travels = append(s.travels, Heave.Travel(got*float64(k)/aimed))
		}
	}
	return s, nil
}

func (s *search) model(shifts []vehicle.Shift) (*steer.Model, error) {
	return steer.Build(s.rig, steer.Options{Axle: s.axle, Suspended: true, Adjustment: vehicle.Adjustment{Straighten: true, Shifts: shifts}})
}

// even reports whether left and right are alike in all that a wheel's travel steers it by.
func even(v *vehicle.Vehicle) bool {
	l, r := v.Wheel(steer.Left), v.Wheel(steer.Right)
	alike := mirrored(l.Knuckle, r.Knuckle) && across(l.Centre.At, r.Centre.At) && across(l.Spindle, r.Spindle)
	for _, ends := range candidates(v) {
		alike = alike && (len(ends) == 1 || across(ends[0].At, ends[1].At))
	}
	return alike
}

// mirrored reports whether two bodies, with what carries them, are as in a mirror. One that carries
// both goes its own way.
func mirrored(a, b *vehicle.Body) bool {
	if a.Moves == vehicle.Fixed || b.Moves == vehicle.Fixed || a == b {
		return a == b && a.Moves == vehicle.Fixed
	}
	alike := a.Moves == b.Moves && across(a.Point, b.Point) && across(a.Axis, b.Axis) && mirrored(a.On, b.On)
	for i, x := range a.Ends {
		if y := b.Ends[i]; alike && x != nil {
			alike = across(x.At, y.At) && mirrored(x.On, y.On)
		}
	}
	return alike
}

// across reports whether two places or directions are as in a mirror.
func across(a, b r3.Vec) bool { return r3.Norm(r3.Sub(a, vehicle.Across(b))) <= 1e-9 }

// shifts lays out the unknowns x, in mm: for each end that moves by itself the height, and before
// it the way to the left if it may go there.
func (s *search) shifts(ends []*vehicle.Ball, way Way, x []float64) []vehicle.Shift {
	all := make([]vehicle.Shift, len(ends))
	per := 1 + int(way)
	for i, e := range ends {
		own := x
		if !s.together(ends) {
			own = x[i*per:]
		}
		var by r3.Vec
		if way == FrontView {
			by.Y = own[0]
		}
		by.Z = own[per-1]
		if i == 1 && s.together(ends) {
			by = vehicle.Across(by)
		}
		all[i] = vehicle.Shift{Ball: e.Name, By: by}
	}
	return all
}

// together reports whether both ends move as in a mirror.
func (s *search) together(ends []*vehicle.Ball) bool { return s.even && len(ends) == 2 }

// start returns where to begin: where an end on the ideal line is, so far as that is known.
func (s *search) start(ends []*vehicle.Ball, way Way) []float64 {
	var x []float64
	for i, e := range ends {
		if i == 1 && s.together(ends) {
			break
		}
		var by r3.Vec
		for k := range s.ideals {
			if id := &s.ideals[k]; id.Ball.Name == e.Name {
				by = id.begin(way)
			}
		}
		if way == FrontView {
			x = append(x, by.Y)
		}
		x = append(x, by.Z)
	}
	return x
}

// begin returns the way from the fixed end to the ideal line: in height, or to the arc's axis.
func (i *Ideal) begin(way Way) r3.Vec {
	if at, ok := i.Crossing(); ok && way == FrontView {
		return r3.Sub(at, i.Fixed)
	}
	through, dir := i.Along()
	if math.Abs(dir.Y) < 1e-3 {
		return r3.Vec{}
	}
	return r3.Vec{Z: r3.Sub(through, i.Fixed).Z - r3.Sub(through, i.Fixed).Y*dir.Z/dir.Y}
}

// lost is the steer that a place counts as if the rig cannot be built or does not come through the
// travel with it.
const lost = 1.0

// residual is how far the wheels are steered at each of the wheel travels.
func (s *search) residual(shifts []vehicle.Shift) []float64 {
	all := make([]float64, 2*len(s.travels))
	for i := range all {
		all[i] = lost
	}
	m, err := s.model(shifts)
	if err != nil {
		return all
	}
	for way := range 2 {
		state := m.NewState()
		home := state.Road()
		for i := way * aimed; i < (way+1)*aimed; i++ {
			if state.Move(0, s.travels[i]) != nil {
				break // nor would it come any further
			}
			for side, road := range state.Road() {
				all[2*i+side] = road - home[side]
			}
		}
	}
	return all
}

// better finds the best place for ends.
func (s *search) better(ends []*vehicle.Ball, way Way) (Better, error) {
	b := Better{Way: way, Before: s.before}
	// The unknowns are x = farthest · sin u, which keeps them within bounds; a start just inside is
	// not stuck there.
	unbound := func(u []float64) []float64 {
		x := make([]float64, len(u))
		for i := range u {
			x[i] = s.farthest * math.Sin(u[i])
		}
		return x
	}
	f := func(u []float64) []float64 { return s.residual(s.shifts(ends, way, unbound(u))) }
	ideal := s.start(ends, way)
	best, least := make([]float64, len(ideal)), math.Inf(1)
	for _, from := range [][]float64{make([]float64, len(ideal)), ideal} {
		u := make([]float64, len(from))
		for i, x := range from {
			const inside = 0.9
			u[i] = math.Asin(max(-inside, min(inside, x/s.farthest)))
		}
		if sum := leastSquares(f, u); sum < least {
			best, least = u, sum
		}
	}
	x := unbound(best)
	for i := range x {
		b.Short = b.Short || math.Abs(x[i]) > 0.995*s.farthest
		x[i] = math.Round(10*x[i])/10 + 0 // and not -0
	}
	for i, shift := range s.shifts(ends, way, x) {
		b.Moves = append(b.Moves, Move{Shift: shift, From: ends[i].At})
	}
	after, err := s.model(b.Adjustment().Shifts)
	if err != nil {
		return b, err
	}
	to := s.rig.Clone()
	if b.Unplaced = to.Adjust(s.axle, b.Adjustment()); b.Unplaced == nil {
		b.Settings = rig.Changes(s.rig, to)
	}
	b.After, err = swings(after)
	return b, err
}

// leastSquares moves u to a minimum of the sum of the squares of f by the method of Levenberg and
// Marquardt, with differences for derivatives, and returns that sum. gonum has no least squares
// that are not linear.
func leastSquares(f func(u []float64) []float64, u []float64) float64 {
	const (
		step, small      = 1e-4, 1e-7
		rounds, softest  = 40, 1e-12
		softer, stiffest = 10, 1e8
	)
	at := f(u)
	r := mat.NewVecDense(len(at), at)
	sum := mat.Dot(r, r)
	damping := 1e-4
	jac := mat.NewDense(r.Len(), len(u), nil)
	for range rounds {
		for j := range u {
			at := u[j]
			u[j] = at + step
			high := mat.NewVecDense(r.Len(), f(u))
			u[j] = at - step
			high.SubVec(high, mat.NewVecDense(r.Len(), f(u)))
			u[j] = at
			high.ScaleVec(1/(2*step), high)
			jac.SetCol(j, high.RawVector().Data)
		}
		var normal mat.Dense
		normal.Mul(jac.T(), jac)
		var down mat.VecDense
		down.MulVec(jac.T(), r)
		moved := false
		for ; damping < stiffest; damping *= softer {
			var damped mat.Dense
			damped.CloneFrom(&normal)
			for j := range u {
				damped.Set(j, j, normal.At(j, j)*(1+damping)+softest)
			}
			var du mat.VecDense
			if du.SolveVec(&damped, &down) != nil {
				continue
			}
			next := make([]float64, len(u))
			for j := range u {
				next[j] = u[j] - du.AtVec(j)
			}
			there := mat.NewVecDense(r.Len(), f(next))
			if got := mat.Dot(there, there); got < sum {
				r, sum = there, got
				copy(u, next)
				damping, moved = max(damping/softer, softest), mat.Norm(&du, 2) > small
				break
			}
		}
		if !moved {
			break
		}
	}
	return sum
}

// swingSteps is how many places each way the furthest steer is looked for at.
const swingSteps = 8

// swings returns what each motion does to the wheels of a model.
func swings(m *steer.Model) (all [NumMotions]Swing, err error) {
	for motion := range NumMotions {
		c, err := sweep(m, m.Centre(), motion, swingSteps)
		if err != nil {
			return all, err
		}
		for w := range 2 {
			all[motion].Rate[w], all[motion].Most[w] = c.Rate.Steer[w], math.Abs(c.Most[w].Value)
		}
	}
	return all, nil
}
