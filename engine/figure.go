package engine

import (
	"math"
	"strconv"
)

// Figure is a value with its uncertainty, ready to be shown.
type Figure struct {
	Value     Number `json:"value"`
	Uncertain Number `json:"uncertain"`
	Unit      string `json:"unit"`
	Text      string `json:"text"`
}

// unitDecimals is to how many decimals a value is shown that states no uncertainty.
var unitDecimals = map[string]int{"°": 1, "mm": 1, "m": 2, "1/m": 3, "%": 1, "°/°": 2, "": 2}

// figure writes a value to the digits that its uncertainty leaves: that to one digit, or two where
// the first is 1. A signed value gets its side in words.
func figure(value, uncertain float64, unit string, signed bool) Figure {
	f := Figure{Number(value), Number(uncertain), unit, "–"}
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return f
	}
	// What is left of rounding is no uncertainty.
	if uncertain < 1e-6 {
		uncertain = 0
	}
	decimals := unitDecimals[unit]
	if uncertain > 0 && !math.IsInf(uncertain, 0) {
		decimals = decimalsFor(uncertain)
	}
	shown := value
	side := ""
	if signed {
		shown = math.Abs(value)
		switch r := math.Round(value * math.Pow10(decimals)); {
		case r > 0:
			side = " left"
		case r < 0:
			side = " right"
		}
	}
	u := unit
	if len(u) > 0 && u != "°" && u != "%" {
		u = " " + u
	}
	if unit == "°/°" {
		u = "° a degree of servo"
	}
	f.Text = rounded(shown, decimals)
	if uncertain > 0 && !math.IsInf(uncertain, 0) {
		f.Text += " ± " + rounded(uncertain, decimals)
	}
	f.Text += u + side
	return f
}

// decimalsFor is to how many decimals a value with this uncertainty is worth writing; negative for tens.
func decimalsFor(uncertain float64) int {
	exponent := math.Floor(math.Log10(uncertain))
	decimals := -int(exponent)
	if uncertain/math.Pow(10, exponent) < 1.95 {
		decimals++
	}
	return min(decimals, 6)
}

func rounded(x float64, decimals int) string {
	scale := math.Pow10(decimals)
	x = math.Round(x*scale) / scale
	if x == 0 {
		x = 0 // not -0
	}
	return strconv.FormatFloat(x, 'f', max(decimals, 0), 64)
}

// Headline is a figure with its words.
type Headline struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Figure
	// Note says what the figure rests on, or why there is none.
	Note string `json:"note"`
}

// worded is the figure's text without its sign and with a word for it.
func worded(f Figure, ways [2]string) string {
	size := figure(math.Abs(float64(f.Value)), float64(f.Uncertain), f.Unit, false).Text
	switch {
	case f.Value < 0:
		return size + ways[0]
	case f.Value > 0:
		return size + ways[1]
	}
	return size
}

// Curve is one quantity over the travel; Band is the half-width of its uncertainty.
type Curve struct {
	Key    string   `json:"key"`
	Words  string   `json:"words"`
	Unit   string   `json:"unit"`
	Values []Number `json:"values"`
	Band   []Number `json:"band"`
}
