package draw

import (
	"encoding/json"
	"math"
	"strconv"
)

// Form tells the kinds of Fragment apart.
type Form int

const (
	// Words is text as it stands.
	Words Form = iota
	// Coordinate is a number to two decimals.
	Coordinate
	// Decimal is a number to Digits decimals.
	Decimal
	// Size is a number without its sign, to Digits decimals.
	Size
	// Side is one of three words: below zero, zero when rounded to Digits, above zero.
	Side
	// Choice is the word with the number's number, counted from 0.
	Choice
)

// Fragment is a part of an attribute or a text: words, or a number from the slice that
// [Scene.Fill] fills.
type Fragment struct {
	Form   Form
	Text   string
	At     int
	Digits int
	Words  []string
}

func text(s string) Fragment { return Fragment{Text: s} }
func number(at int) Fragment { return Fragment{Form: Coordinate, At: at} }
func side(at, digits int) Fragment {
	return Fragment{Form: Side, At: at, Digits: digits, Words: sideWords}
}
func size(at, digits int) Fragment         { return Fragment{Form: Size, At: at, Digits: digits} }
func choice(at int, of ...string) Fragment { return Fragment{Form: Choice, At: at, Words: of} }

var sideWords = []string{" right", "", " left"}

// Append appends the fragment, made of numbers, to dst.
func (p Fragment) Append(dst []byte, numbers []float64) []byte {
	if p.Form == Words {
		return append(dst, p.Text...)
	}
	x := numbers[p.At]
	switch p.Form {
	case Coordinate:
		return appendRounded(dst, x, 2, true)
	case Decimal:
		return appendRounded(dst, x, p.Digits, false)
	case Size:
		return appendRounded(dst, math.Abs(x), p.Digits, false)
	case Side:
		scale := math.Pow10(p.Digits)
		switch r := math.Round(x * scale); {
		case r < 0:
			return append(dst, p.Words[0]...)
		case r > 0:
			return append(dst, p.Words[2]...)
		}
		return append(dst, p.Words[1]...)
	default:
		if i := int(x); i >= 0 && i < len(p.Words) {
			return append(dst, p.Words[i]...)
		}
		return dst
	}
}

// appendRounded writes x without a negative zero and, if short, without zeros at the end.
func appendRounded(dst []byte, x float64, digits int, short bool) []byte {
	scale := math.Pow10(digits)
	r := math.Round(x*scale) / scale
	if r == 0 {
		r = 0 // not -0
	}
	if short {
		digits = -1
	}
	return strconv.AppendFloat(dst, r, 'f', digits, 64)
}

// MarshalJSON writes the fragment the way that the page's script reads it: a string, a
// number's place, or an object; see package engine.
func (p Fragment) MarshalJSON() ([]byte, error) {
	type rounded struct {
		At     int      `json:"at"`
		Digits int      `json:"digits"`
		Size   bool     `json:"size,omitempty"`
		Side   []string `json:"side,omitempty"`
	}
	switch p.Form {
	case Words:
		return json.Marshal(p.Text)
	case Coordinate:
		return json.Marshal(p.At)
	case Decimal:
		return json.Marshal(rounded{At: p.At, Digits: p.Digits})
	case Size:
		return json.Marshal(rounded{At: p.At, Digits: p.Digits, Size: true})
	case Side:
		return json.Marshal(rounded{At: p.At, Digits: p.Digits, Side: p.Words})
	default:
		return json.Marshal(struct {
			At   int      `json:"at"`
			Pick []string `json:"pick"`
		}{p.At, p.Words})
	}
}
