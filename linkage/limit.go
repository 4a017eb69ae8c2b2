package linkage

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// LimitError says that a linkage does not close, or not on its branch, at the
// inputs asked, and where on the straight way there it last does.
type LimitError struct {
	// Inputs are those of the limit, the dead point, in radians or millimetres. Nil if the
	// linkage does not close where it was described.
	Inputs []float64
	// Fraction of the way from the pose's last inputs to those asked at which the limit lies.
	Fraction float64
	// Rods names the rods that cannot close, Handles are theirs.
	Rods    string
	Handles []Rod
	// Short is by how many millimetres a single rod is too short at the inputs
	// asked, negative if too long; NaN where several rods share the gap or only the branch is lost.
	Short float64
}

func (e *LimitError) Error() string {
	gap := ""
	switch {
	case e.Short > 0:
		gap = fmt.Sprintf(": %.4g mm too short", e.Short)
	case e.Short < 0:
		gap = fmt.Sprintf(": %.4g mm too long", -e.Short)
	}
	if e.Inputs == nil {
		return fmt.Sprintf("linkage: %s cannot close where it was described%s", e.Rods, gap)
	}
	return fmt.Sprintf("linkage: %s cannot close beyond inputs %.6g%s", e.Rods, e.Inputs, gap)
}

func (l *Linkage) rodNames(st *step) string {
	names := make([]string, len(st.rods))
	for i, r := range st.rods {
		names[i] = l.rods[r].name
	}
	return strings.Join(names, ", ")
}

// limitError describes the failure of a step at the pose that was tried.
func (l *Linkage) limitError(p *Pose, st *step) *LimitError {
	return &LimitError{Rods: l.rodNames(st), Handles: st.rods, Short: l.short(p, st)}
}

// short returns by how much the only rod of a step misses its other end.
func (l *Linkage) short(p *Pose, st *step) float64 {
	var nearest, farthest float64
	switch st.kind {
	case closeTurn:
		// The distance from the other end to the ball's circle.
		a, b, c := st.turnEquation(l.farEnd(p, st))
		mid, swing := st.length*st.length-2*c, 2*math.Hypot(a, b)
		nearest, farthest = math.Sqrt(max(0, mid-swing)), math.Sqrt(mid+swing)
	case closeSlide:
		d, along := r3.Sub(st.path.p0, l.farEnd(p, st)), st.path.p2
		nearest = norm(r3.Sub(d, r3.Scale(r3.Dot(d, along), along)))
		farthest = math.Inf(1)
	default:
		return math.NaN()
	}
	switch {
	case st.length < nearest:
		return nearest - st.length
	case st.length > farthest:
		return farthest - st.length
	default:
		return math.NaN()
	}
}

// strideTurn and strideSlide are the longest steps on a way, so that a gap in it is not leapt over.
const (
	strideTurn  = math.Pi / 90
	strideSlide = 2.0
)

// way is the straight way from one set of inputs to another, in a pose's own memory.
type way struct {
	from, to, at []float64
	start        []float64 // coordinates at the beginning
}

func newWay(inputs, bodies int) way {
	return way{make([]float64, inputs), make([]float64, inputs), make([]float64, inputs), make([]float64, bodies)}
}

// solveAt solves at a part of the way, from the last good pose. On failure the coordinates
// are those of that pose again.
func (l *Linkage) solveAt(p *Pose, t float64) *step {
	w := &p.way
	for i := range w.at {
		w.at[i] = w.from[i] + t*(w.to[i]-w.from[i])
	}
	if t == 1 {
		copy(w.at, w.to)
	}
	failed := l.try(p, w.at)
	if failed == nil {
		copy(p.good, p.q)
	} else {
		copy(p.q, p.good)
	}
	return failed
}

// move follows the straight way from p's inputs to those asked. It returns the
// limit found on it, with p left where it was.
func (l *Linkage) move(p *Pose, to []float64) error {
	if len(to) != len(l.inputs) {
		return fmt.Errorf("linkage: %w: %d given, %d wanted", ErrInput, len(to), len(l.inputs))
	}
	for i, v := range to {
		if !(math.Abs(v) < 1e9) {
			return fmt.Errorf("linkage: %s: %w: %v", l.bodies[l.inputs[i]].name, ErrInput, v)
		}
	}
	w := &p.way
	copy(w.from, p.in)
	copy(w.to, to)
	copy(w.start, p.good)
	copy(p.q, p.good)
	longest := 1.0
	for i, v := range to {
		longest = min(longest, l.strides[i]/max(l.strides[i], math.Abs(v-w.from[i])))
	}
	if failed := l.solveAt(p, 0); failed != nil {
		return l.limitError(p, failed)
	}
	// Good steps grow back to the longest; one that fails is halved, down to where only the limit
	// is left.
	good, stride := 0.0, longest
	for good < 1 {
		failed := l.solveAt(p, min(1, good+stride))
		if failed == nil {
			good = min(1, good+stride)
			stride = min(longest, 2*stride)
			continue
		}
		if stride *= 0.5; stride > 1e-6*longest {
			continue
		}
		return l.stopped(p, failed, good, good+2*stride)
	}
	copy(p.in, to)
	return nil
}

// stopped describes the limit between a good and a bad point of the way, and puts
// the pose back to its beginning.
func (l *Linkage) stopped(p *Pose, failed *step, good, bad float64) error {
	w := &p.way
	limit := l.polish(p, failed, good, bad)
	e := l.limitError(p, failed)
	if failed.kind != newton {
		// The gap is wanted at the inputs asked, and is known there only while the steps before
		// close.
		if last := l.try(p, w.to); last == failed {
			e.Short = l.short(p, failed)
		}
	}
	e.Fraction = limit
	e.Inputs = make([]float64, len(w.from))
	for i := range w.from {
		e.Inputs[i] = w.from[i] + limit*(w.to[i]-w.from[i])
	}
	copy(p.q, w.start)
	copy(p.good, w.start)
	l.try(p, w.from)
	return e
}

// polish finds the limit between a good and a bad point of the way. Near a dead point the square of
// the determinant falls to zero in a straight line, so that two good points show where.
func (l *Linkage) polish(p *Pose, failed *step, good, bad float64) float64 {
	before := max(0, good-4*(bad-good))
	var square [2]float64
	for i, t := range [2]float64{before, good} {
		if l.solveAt(p, t) != nil {
			return good
		}
		g := l.leverage(p, failed)
		square[i] = g * g
	}
	if !(square[0] > square[1]) {
		return good
	}
	limit := good + square[1]*(good-before)/(square[0]-square[1])
	return min(max(limit, good), bad)
}
