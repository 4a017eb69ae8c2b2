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
		a, b, c := l.turnEquation(p, st)
		mid, swing := st.length*st.length-2*c, 2*math.Hypot(a, b)
		nearest, farthest = math.Sqrt(max(0, mid-swing)), math.Sqrt(mid+swing)
	case closeSlide:
		d, along := l.reach(p, st), st.path.p1
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

// marchTurn and marchSlide are the longest steps on a way, so that a gap in it is not leapt over.
const (
	marchTurn  = math.Pi / 90
	marchSlide = 2.0
)

// move follows the straight way from p's inputs to those asked. It returns the
// limit found on it, with p left where it was.
func (l *Linkage) move(p *Pose, to []float64) error {
	from := append([]float64(nil), p.in...)
	start := append([]float64(nil), p.good...)
	copy(p.q, start)
	steps := 1.0
	for i, b := range l.inputs {
		unit := marchTurn
		if l.bodies[b].slides {
			unit = marchSlide
		}
		steps = max(steps, math.Ceil(math.Abs(to[i]-from[i])/unit))
	}
	at := func(t float64) *step {
		for i := range from {
			p.path[i] = from[i] + t*(to[i]-from[i])
		}
		if t == 1 {
			copy(p.path, to)
		}
		failed := l.try(p, p.path)
		if failed == nil {
			copy(p.good, p.q)
			return nil
		}
		copy(p.q, p.good)
		return failed
	}
	if failed := at(0); failed != nil {
		return l.limitError(p, failed)
	}
	// Good steps grow back to the longest; one that fails is halved, down to where only the limit is left.
	good, stride := 0.0, 1/steps
	for good < 1 {
		t := min(1, good+stride)
		failed := at(t)
		if failed == nil {
			good = t
			stride = min(1/steps, 2*stride)
			continue
		}
		if stride *= 0.5; stride*steps > 1e-6 {
			continue
		}
		limit := l.polish(at, p, failed, good, good+2*stride)
		e := l.limitError(p, failed)
		if failed.kind != newton {
			// The gap is wanted at the inputs asked, and is known there only while the steps before close.
			if last := l.try(p, to); last == failed {
				e.Short = l.short(p, failed)
			}
		}
		e.Fraction = limit
		e.Inputs = make([]float64, len(from))
		for i := range from {
			e.Inputs[i] = from[i] + limit*(to[i]-from[i])
		}
		copy(p.q, start)
		copy(p.good, start)
		l.try(p, from)
		return e
	}
	copy(p.in, to)
	return nil
}

// polish finds the limit between a good and a bad point of the way. Near a dead
// point the square of the determinant falls to zero in a straight line, so that two good points show where.
func (l *Linkage) polish(at func(float64) *step, p *Pose, failed *step, good, bad float64) float64 {
	width := bad - good
	square := func(t float64) (float64, bool) {
		if at(t) != nil {
			return 0, false
		}
		g := l.leverage(p, failed)
		return g * g, true
	}
	s1, ok1 := square(max(0, good-4*width))
	s2, ok2 := square(good)
	if !ok1 || !ok2 || !(s1 > s2) {
		return good
	}
	t1 := max(0, good-4*width)
	limit := good + s2*(good-t1)/(s1-s2)
	return min(max(limit, good), bad)
}
