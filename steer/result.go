package steer

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"evenlock/rig"
	"evenlock/vehicle"
)

// Result is a number with its uncertainty and where that comes from. It keeps what the error of
// each measurement does to it, so that in sums and differences of results the errors that they
// share go together (JCGM 100, 5.2.2, with the measurements as the independent inputs).
//
// The zero Result, and one made of a Value alone, is exact. A part of Uncertain that none of the
// measurements explains counts as independent of everything else.
type Result struct {
	// Value and Uncertain, its 95 % half-width, are in the number's unit.
	Value, Uncertain float64
	// effects are by how much each of the measurements changes the value when it is off by its
	// half-width; of is nil where there are none.
	of      *measurements
	effects []float64
}

// measurements are those of a rig that carry an uncertainty, as copies: what the effects of results
// are of.
type measurements struct{ list []rig.Measurement }

// measurementsOf lists those that carry an uncertainty and whose paths count.
func measurementsOf(r *rig.Rig, counts func(path string) bool) *measurements {
	of := &measurements{}
	for _, q := range r.Measurements() {
		if q.Q.Uncertainty > 0 && counts(q.Path) {
			// What becomes of the rig later is nothing to the results.
			copied := *q.Q
			q.Q = &copied
			of.list = append(of.list, q)
		}
	}
	return of
}

// same tells whether two lists are of the same measurements, known equally well.
func (of *measurements) same(other *measurements) bool {
	return of == other || slices.EqualFunc(of.list, other.list, func(a, b rig.Measurement) bool {
		return a.Path == b.Path && a.Q.Uncertainty == b.Q.Uncertainty
	})
}

// result makes a Result from its derivatives with respect to the measurements.
func (of *measurements) result(value float64, slope func(i int) float64) Result {
	r := Result{Value: value, of: of, effects: make([]float64, len(of.list))}
	for i, q := range of.list {
		r.effects[i] = slope(i) * q.Q.Uncertainty
	}
	r.Uncertain = RootOfSquares(r.effects...)
	return r
}

// RootOfSquares combines half-widths of errors that are independent of one another into that of
// their sum (JCGM 100, equation 10). Every part must be in the unit of the sum.
func RootOfSquares(parts ...float64) float64 {
	sum := 0.0
	for _, x := range parts {
		sum += x * x
	}
	return math.Sqrt(sum)
}

// unexplained is the part of a variance that rounding can leave between effects and Uncertain.
const unexplained = 1e-12

// independent returns the square of the part of the half-width that no measurement explains.
func (r Result) independent() float64 {
	whole := r.Uncertain * r.Uncertain
	rest := whole
	for _, x := range r.effects {
		rest -= x * x
	}
	if rest < unexplained*whole {
		return 0
	}
	return rest
}

// Term is a result that another number depends on, and that number's derivative with respect to it.
type Term struct {
	Slope float64
	Of    Result
}

// Function returns a number that is worked out from results (JCGM 100, equation 16). It panics if
// they are of different lists of measurements, whose errors nobody could match: that is an error in
// the program. Results of models of one rig go together, however each was adjusted.
func Function(value float64, terms ...Term) Result {
	f := Result{Value: value}
	for k := range terms {
		if r := &terms[k].Of; r.of != nil && len(r.of.list) > 0 {
			if f.of == nil {
				f.of, f.effects = r.of, make([]float64, len(r.effects))
			} else if !f.of.same(r.of) {
				panic(fmt.Sprintf("steer: results of different measurements put together: of %s, and of %s", f.of, r.of))
			}
		}
	}
	rest := 0.0
	for k := range terms {
		t := &terms[k]
		for i, x := range t.Of.effects {
			f.effects[i] += t.Slope * x
		}
		rest += t.Slope * t.Slope * t.Of.independent()
	}
	f.Uncertain = RootOfSquares(append(slices.Clone(f.effects), math.Sqrt(rest))...)
	return f
}

// String says briefly which measurements they are.
func (of *measurements) String() string {
	first, last := of.list[0], of.list[len(of.list)-1]
	return fmt.Sprintf("the %d from %s ± %g to %s ± %g", len(of.list), first.Path, first.Q.Uncertainty, last.Path, last.Q.Uncertainty)
}

// Plus returns the sum of two results, whose errors from the same measurements go together. It
// panics as Function does.
func (r Result) Plus(o Result) Result {
	return Function(r.Value+o.Value, Term{1, r}, Term{1, o})
}

// Minus returns the result less another, whose errors from the same measurements go together. It
// panics as Function does.
func (r Result) Minus(o Result) Result {
	return Function(r.Value-o.Value, Term{1, r}, Term{-1, o})
}

// Times returns the result times an exact number.
func (r Result) Times(k float64) Result { return Function(k*r.Value, Term{k, r}) }

// Size returns the result without its sign.
func (r Result) Size() Result { return r.Times(math.Copysign(1, r.Value)) }

// Product returns the product of two results. It panics as Function does.
func Product(a, b Result) Result {
	return Function(a.Value*b.Value, Term{b.Value, a}, Term{a.Value, b})
}

// Widened returns the result with a further error of a half-width that comes from none of the
// measurements, such as that of a transmitter's scale.
func (r Result) Widened(by float64) Result {
	r.Uncertain = RootOfSquares(r.Uncertain, by)
	return r
}

// Slope returns the derivative of the result with respect to a measurement, by its path in the rig
// file; zero if it depends on none of that path.
func (r Result) Slope(path string) float64 {
	if r.of == nil {
		return 0
	}
	for i, q := range r.of.list {
		if q.Path == path {
			return r.effects[i] / q.Q.Uncertainty
		}
	}
	return 0
}

// Share is a measurement's part in an uncertainty.
type Share struct {
	Measure rig.Measurement
	// Part is its part of the variance, 0 to 1.
	Part float64
	// Effect is what its uncertainty alone does, in the result's unit.
	Effect float64
}

// exact is what, in any unit, is only rounding: nobody measures so well.
const exact = 1e-12

// Clear reports whether the result is further from zero than it is uncertain, and than rounding.
func (r Result) Clear() bool { return math.Abs(r.Value) > r.Uncertain+exact }

// Shares returns the measurements' parts in the result's uncertainty, the greatest first. Of one
// that is only rounding they have none.
func (r Result) Shares() []Share {
	all := make([]Share, len(r.effects))
	for i, x := range r.effects {
		all[i] = Share{Measure: r.of.list[i], Effect: math.Abs(x)}
		if r.Uncertain > exact {
			all[i].Part = x * x / (r.Uncertain * r.Uncertain)
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Effect > all[j].Effect })
	return all
}

// fdLength and fdAngle are the steps of central differences with respect to measurements, in mm
// and rad. The error of a difference falls with the square of its step, and is far below any
// caliper's.
const (
	fdLength = 0.01
	fdAngle  = 1e-4
)

// Moved says which measurement of a rig is moved, by its path, and by how much: millimetres or
// radians. The zero value is none.
type Moved struct {
	Path string
	By   float64
}

// differences returns what f reads off a rig, and for each of its measurements in of the derivative
// with respect to it, by central differences. The rig that f gets is exact where anything in it is
// moved, and must not be kept.
func (of *measurements) differences(r *rig.Rig, f func(r *rig.Rig, moved Moved) ([]float64, error)) (base []float64, slopes [][]float64, err error) {
	twin, at := r, map[string]rig.Measurement{}
	if len(of.list) > 0 {
		// A limit counts as measured as long as it is uncertain: it is listed before it is exact.
		twin = r.Clone()
		for _, q := range twin.Measurements() {
			at[q.Path], q.Q.Uncertainty = q, 0
		}
	}
	if base, err = f(twin, Moved{}); err != nil {
		return nil, nil, err
	}
	for _, listed := range of.list {
		q, step := at[listed.Path], fdLength
		if q.Kind == rig.AngleKind {
			step = fdAngle
		}
		home := q.Q.Value
		var ends [2][]float64
		for i, by := range [2]float64{-step, step} {
			q.Q.Value = home + by
			if ends[i], err = f(twin, Moved{q.Path, by}); err != nil {
				return nil, nil, fmt.Errorf("at the edge of what can be: %w", err)
			}
		}
		q.Q.Value = home
		one := make([]float64, len(base))
		for k := range one {
			one[k] = (ends[1][k] - ends[0][k]) / (2 * step)
		}
		slopes = append(slopes, one)
	}
	return base, slopes, nil
}

// read is ReadRig for a list of measurements.
func (of *measurements) read(r *rig.Rig, f func(r *rig.Rig, moved Moved) ([]float64, error)) ([]Result, error) {
	base, slopes, err := of.differences(r, f)
	if err != nil {
		return nil, err
	}
	all := make([]Result, len(base))
	for k, v := range base {
		all[k] = of.result(v, func(i int) float64 { return slopes[i][k] })
	}
	return all, nil
}

// ReadRig returns the numbers that f reads off a rig, with the uncertainties that come from those
// of its measurements whose paths count: by central differences, each measurement moved on its own.
// f gets the rig as measured first, then with one measurement moved at a time; it is exact, and
// must not be kept. The number of numbers must always be the same. The error is that of f.
func ReadRig(r *rig.Rig, counts func(path string) bool, f func(r *rig.Rig, moved Moved) ([]float64, error)) ([]Result, error) {
	return measurementsOf(r, counts).read(r, f)
}

// ReadRig is the function ReadRig for the model's rig and measurements, so that the results go
// together with the model's own.
func (m *Model) ReadRig(f func(r *rig.Rig, moved Moved) ([]float64, error)) ([]Result, error) {
	return m.measured.read(m.Rig, f)
}

// Read returns a number read off what the axle steers with, with its uncertainty.
func (m *Model) Read(f func(v *vehicle.Vehicle) (float64, error)) (Result, error) {
	all, err := m.ReadRig(func(r *rig.Rig, moved Moved) ([]float64, error) {
		v := m.Vehicle
		if moved.Path != "" {
			var err error
			if v, err = m.describe(r); err != nil {
				return nil, err
			}
		}
		x, err := f(v)
		return []float64{x}, err
	})
	if err != nil {
		return Result{}, err
	}
	return all[0], nil
}

// RodLength returns the length of a rod of Vehicle, ball to ball, in mm.
func (m *Model) RodLength(rod *vehicle.Rod) (Result, error) {
	return m.Read(func(v *vehicle.Vehicle) (float64, error) { return v.Rod(rod.Key).Length, nil })
}

// Measures returns the measurements that carry an uncertainty and that the model is made of, as
// Sensitivity numbers them. What travel and a rear axle need is not among them, unless the model
// is suspended.
func (m *Model) Measures() []rig.Measurement { return m.measured.list }

// result makes a Result from its derivatives with respect to each of Measures.
func (m *Model) result(value float64, slope func(i int) float64) Result {
	return m.measured.result(value, slope)
}

// spread combines, for every quantity, derivatives with respect to the measurements into a
// half-width (JCGM 100, equation 10).
func (m *Model) spread(slopes func(i int) Values) Values {
	var sum Values
	for i, q := range m.measured.list {
		d := slopes(i)
		for k := range sum {
			x := d[k] * q.Q.Uncertainty
			sum[k] += x * x
		}
	}
	for k := range sum {
		sum[k] = math.Sqrt(sum[k])
	}
	return sum
}
