// Package say writes figures for people, to no more digits than they are worth.
package say

import (
	"math"
	"strconv"
	"strings"
)

// Digits returns how many decimals a value of this uncertainty is worth, at most most:
// those up to the uncertainty's own second figure, or first where that is five or more.
func Digits(uncertain float64, most int) int {
	if !(uncertain > 0) {
		return most
	}
	place := math.Floor(math.Log10(uncertain))
	if uncertain/math.Pow(10, place) < 4.95 {
		place--
	}
	return min(max(int(-place), 0), most)
}

// Number writes v with decimals, without a minus before zero.
func Number(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if IsZero(s) {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// IsZero reports whether a number as written shows nothing but noughts.
func IsZero(s string) bool { return strings.Trim(s, "-−0.") == "" }

// PlusMinus writes a value with its uncertainty, both in the unit shown: "31.2 ± 0.8".
func PlusMinus(v, uncertain float64, most int) string {
	d := Digits(uncertain, most)
	s := Number(v, d)
	if uncertain > 0 && Number(uncertain, d) != Number(0, d) {
		s += " ± " + Number(uncertain, d)
	}
	return s
}

// Degrees writes an angle given in radians, "31.2° ± 0.8°".
func Degrees(v, uncertain float64) string {
	const degree = math.Pi / 180
	s := PlusMinus(v/degree, uncertain/degree, 1)
	return strings.ReplaceAll(s, " ±", "° ±") + "°"
}

// Way says which way a servo turns, as one sees it looking at the horn's face.
func Way(v float64) string {
	if v < 0 {
		return "clockwise"
	}
	return "counter-clockwise"
}
