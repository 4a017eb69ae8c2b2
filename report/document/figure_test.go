package document_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/report/document"

	"pgregory.net/rapid"
)

const degree = math.Pi / 180

// The first four are the examples of the Review of Particle Physics, Introduction, "Rounding" (from
// memory); the next two follow JCGM 100, 7.2.6, which keeps two digits at most and ends the value
// where its uncertainty ends.
func TestAValueEndsWhereItsUncertaintyEnds(t *testing.T) {
	for _, c := range []struct {
		value, uncertain float64
		unit             document.Unit
		want             string
	}{
		{0.827, 0.119, document.One, "0.83 ± 0.12"},
		{0.827, 0.367, document.One, "0.8 ± 0.4"},
		{0.827, 0.0967, document.One, "0.83 ± 0.10"},
		{14.674, 0.964, document.Voltage, "14.7 ± 1.0 V"},
		{100.02147, 0.35, document.Mass, "100.02 ± 0.35 kg"},
		{1234, 120, document.Length, "1230 ± 120 mm"},
		{1234, 356, document.Length, "1200 ± 400 mm"},
		// Never finer than the tool that sets it shows.
		{31.237 * degree, 0.0004 * degree, document.Angle, "31.2°"},
		{31.237 * degree, 0.8 * degree, document.Angle, "31.2° ± 0.8°"},
	} {
		if got := document.FU(c.value, c.uncertain, c.unit).Text(document.Reader{}); got != c.want {
			t.Errorf("%v ± %v reads %q, want %q", c.value, c.uncertain, got, c.want)
		}
	}
}

// The factors are those of NIST SP 811, appendix B.8: 1 ozf·in = 7.061552e-3 N·m and
// 1 kgf·cm = 9.80665e-2 N·m; an inch is 25.4 mm exactly.
func TestTheReadersUnits(t *testing.T) {
	parse := func(words string) document.Reader {
		r, err := document.ParseReader(document.Reader{}, words)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, c := range []struct {
		units string
		f     document.Figure
		want  string
	}{
		{"", document.F(980.665, document.Torque), "10.0 kg·cm"},
		{"N-m", document.F(980.665, document.Torque), "0.98 N·m"},
		{"oz-in", document.F(980.665, document.Torque), "139 oz·in"}, // 0.980665 / 7.061552e-3 = 138.9
		{"in", document.F(25.4, document.Length), "1.000 in"},
		{"in", document.FU(254, 1.27, document.Length), "10.00 ± 0.05 in"},
		{"in", document.F(2540, document.Span), "100.0 in"},
		{"", document.F(2540, document.Span), "2.54 m"},
		{"in", document.F(0.1*degree, document.AnglePerLength), "2.54° an inch"},
		// A turn of 1 rad moves 57.3 mm and so 1 mm a degree; 25.4 mm are an inch.
		{"", document.F(180/math.Pi, document.LengthPerAngle), "1.000 mm a degree"},
		{"in", document.F(25.4*180/math.Pi, document.LengthPerAngle), "1.0000 in a degree"},
		{"", document.F(0.001*180/math.Pi, document.CurvaturePerAngle), "1.0000 1/m a degree"},
		{"us", document.F(12, document.Screen).Pulses(5), "60 µs"},
		{"us", document.F(12, document.Screen), "12 %"}, // nobody read what a step does
		{"", document.F(12, document.Screen).Pulses(5), "12 %"},
	} {
		if got := c.f.Text(parse(c.units)); got != c.want {
			t.Errorf("with units %q it reads %q, want %q", c.units, got, c.want)
		}
	}
}

func TestSignsAreWords(t *testing.T) {
	for _, c := range []struct {
		f    document.Figure
		want string
	}{
		{document.F(12.4*degree, document.Angle).Signed(document.ToSide), "12.4° left"},
		{document.FU(-12.4*degree, 0.8*degree, document.Angle).Signed(document.ToSide), "12.4° ± 0.8° right"},
		{document.F(0.01*degree, document.Angle).Signed(document.ToSide), "straight"},
		// Nothing that has a ± is said to be nothing.
		{document.FU(0.01*degree, 1*degree, document.Angle).Signed(document.ToSide), "0.0° ± 1.0°"},
		{document.F(-2.25, document.Length).Signed(document.Stretch), "2.2 mm shorter"},
		// One side may need no word.
		{document.F(2.9*degree, document.Angle).Signed(document.Direction{Negative: "short of it"}), "2.9°"},
		{document.F(-2.9*degree, document.Angle).Signed(document.Direction{Negative: "short of it"}), "2.9° short of it"},
		{document.F(-25, document.Percent), "−25 %"},
		{document.F(-0.0001, document.Length), "0.0 mm"},
		{document.F(1, document.Tooth), "1 tooth"},
		{document.F(12, document.Tooth), "12 teeth"},
		{document.F(math.Inf(1), document.Length), "–"},
		// Without an end to its ± a number says nothing.
		{document.FU(31, math.Inf(1), document.Length), "–"},
		{document.Figure{Value: math.NaN(), Missing: "stalls"}, "stalls"},
		{document.F(1.09, document.One), "1.09"},
		{document.F(0.97, document.One), "0.97"},
		{document.F(6.33, document.One), "6.3"},
		{document.F(0.55, document.Part), "55 %"},
		{document.F(0.065, document.Part), "6.5 %"},
		{document.F(88.2, document.Force), "88 N"},
		{document.F(162.4, document.Force), "162 N"},
	} {
		if got := c.f.Text(document.Reader{}); got != c.want {
			t.Errorf("%v reads %q, want %q", c.f.Value, got, c.want)
		}
	}
}

// A table has no room for each ±, but no cell has digits that its ± leaves nothing of.
func TestABriefFigureHasTheDigitsOfItsUncertaintyWithoutIt(t *testing.T) {
	for _, c := range []struct {
		f    document.Figure
		want string
	}{
		{document.FU(31.237*degree, 0.8*degree, document.Angle).Brief(), "31.2°"},
		{document.FU(31.237*degree, 8*degree, document.Angle).Brief(), "31°"},
		{document.FU(0.01*degree, 1*degree, document.Angle).Signed(document.ToSide).Brief(), "straight"},
	} {
		if got := c.f.Text(document.Reader{}); got != c.want {
			t.Errorf("%v reads %q, want %q", c.f.Value, got, c.want)
		}
	}
}

// Whatever the number and the units, what has words for its sign has no sign, and nothing that is
// zero as written has one.
func TestNoFigureWithADirectionHasASign(t *testing.T) {
	readers := []document.Reader{{}, {Length: document.Inches, Torque: document.OunceInches, Pulse: document.Microseconds}, {Torque: document.NewtonMetres}}
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-4000, 4000).Draw(t, "value")
		u := rapid.SampledFrom([]float64{0, 0.004, 0.3, 40}).Draw(t, "uncertain")
		unit := rapid.SampledFrom([]document.Unit{document.Angle, document.Length, document.Span, document.Torque, document.Force, document.Part, document.Percent}).Draw(t, "unit")
		r := rapid.SampledFrom(readers).Draw(t, "reader")
		f := document.FU(v, u, unit)
		for _, d := range []document.Direction{document.ToSide, document.Rotation, document.Difference, document.Stretch, document.Height} {
			for _, text := range []string{f.Signed(d).Text(r), f.Signed(d).Brief().Text(r), f.Size().Text(r)} {
				if strings.ContainsAny(text, "+-−") && !strings.Contains(text, "counter-clockwise") {
					t.Fatalf("%g ± %g is written %q", v, u, text)
				}
			}
		}
		if text := document.F(v/1e6, document.Angle).Text(r); strings.HasPrefix(text, "−0.0°") {
			t.Fatalf("%g is written %q", v/1e6, text)
		}
	})
}

func TestZeroHasNoSignAndMinusIsAMinusSign(t *testing.T) {
	for _, tt := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{0, 0, "0"},
		{math.Copysign(0, -1), 1, "0.0"},
		{-0.04, 1, "0.0"},
		{-0.4, 0, "0"},
		{-12.34, 1, "−12.3"},
		{12.34, 0, "12"},
		{100, 0, "100"},
		{-100, 0, "−100"},
	} {
		if got := document.Number(tt.v, tt.decimals); got != tt.want {
			t.Errorf("%g to %d decimals is written %q, want %q", tt.v, tt.decimals, got, tt.want)
		}
	}
}

func TestAnUnknownUnitNamesTheOnesThereAre(t *testing.T) {
	_, err := document.ParseReader(document.Reader{}, "in, furlong")
	want := `"furlong" is not a unit to read in; choose of mm, in, kg·cm, N·m, oz·in, %, µs`
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %v", err, want)
	}
}

func TestAReadersWordsComeBack(t *testing.T) {
	for _, words := range []string{"mm, kg·cm, %", "in, oz·in, µs", "in, N·m, %"} {
		r, err := document.ParseReader(document.Reader{}, words)
		if err != nil || r.String() != words {
			t.Errorf("%q became %q (%v)", words, r, err)
		}
	}
}

// A direction may have words for some of the signs only.
func TestADirectionWithoutAWordLeavesNoBlank(t *testing.T) {
	out := document.Direction{Zero: "straight ahead"}
	for value, want := range map[float64]string{0: "straight ahead", 0.3: "17.2°", -0.3: "17.2°"} {
		if got := document.F(value, document.Angle).Signed(out).Text(document.Reader{}); got != want {
			t.Errorf("%v: %q, want %q", value, got, want)
		}
	}
}

// What is passed by ever so little is still passed, and by more than nothing.
func TestShownIsNeverNothing(t *testing.T) {
	for _, c := range []struct {
		f    document.Figure
		want string
	}{
		{document.F(0.004*degree, document.Angle), "0.004°"},
		{document.F(1.23*degree, document.Angle), "1.2°"},
		{document.F(0.0261, document.Length), "0.03 mm"},
	} {
		if got := c.f.Shown().Text(document.Reader{}); got != c.want {
			t.Errorf("%v: %q, want %q", c.f.Value, got, c.want)
		}
	}
}
