// Package root finds where a function of one variable passes zero.
package root

import "math"

// Find returns x between a and b at which f passes zero, to within tol of x, given
// f(a) and f(b) of opposite sign (or zero). It is the Illinois form of the method of
// false position, which keeps the zero bracketed, with a bisection whenever
// the bracket did not halve. Where f is NaN it returns NaN.
func Find(f func(float64) float64, a, b, tol float64) float64 {
	fa, fb := f(a), f(b)
	if fa == 0 {
		return a
	}
	for range 200 {
		if fb == 0 || math.Abs(b-a) <= tol {
			return b
		}
		width := math.Abs(b - a)
		c := b - fb*(b-a)/(fb-fa)
		fc := f(c)
		if math.IsNaN(fc) {
			return fc
		}
		a, fa, b, fb = shrink(a, fa, b, fb, c, fc)
		if math.Abs(b-a) > width/2 && math.Abs(b-a) > tol {
			c = (a + b) / 2
			a, fa, b, fb = shrink(a, fa, b, fb, c, f(c))
		}
	}
	return b
}

// shrink puts c, the newest point, in b, and keeps in a the end of the other sign.
func shrink(a, fa, b, fb, c, fc float64) (na, nfa, nb, nfb float64) {
	if (fc < 0) != (fb < 0) {
		return b, fb, c, fc
	}
	return a, fa / 2, c, fc
}
