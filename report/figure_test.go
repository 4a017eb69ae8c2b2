package report

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"evenlock/steer"

	"pgregory.net/rapid"
)

func TestFiguresKeepToWhatTheirUncertaintyIsWorth(t *testing.T) {
	for _, tt := range []struct {
		v, uncertain float64
		most         int
		want         string
	}{
		{31.24, 0.84, 2, "31.2 ± 0.8"},
		{31.24, 0.34, 2, "31.24 ± 0.34"},
		{31.24, 0.34, 1, "31.2 ± 0.3"},
		{31.24, 2.1, 2, "31.2 ± 2.1"},
		{31.24, 8.1, 2, "31 ± 8"},
		{31.24, 42, 2, "31 ± 42"},
		{31.24, 0.0995, 2, "31.24 ± 0.10"},
		{31.24, 0.96, 2, "31.2 ± 1.0"},
		{31.24, 0, 2, "31.24"},
		{31.24, 0.001, 2, "31.24"},
		{-31.24, 0.84, 2, "−31.2 ± 0.8"},
		{-0.04, 0.8, 2, "0.0 ± 0.8"},
		{118, 1.9, 0, "118 ± 2"},
	} {
		if got := plusMinus(tt.v, tt.uncertain, tt.most); got != tt.want {
			t.Errorf("%g ± %g at most %d decimals is written %q, want %q", tt.v, tt.uncertain, tt.most, got, tt.want)
		}
	}
}

func TestAngleHasItsSignAtTheFigureAndAtTheUncertainty(t *testing.T) {
	if got := degrees(31.24*degree, 0.84*degree); got != "31.2° ± 0.8°" {
		t.Errorf("got %q", got)
	}
	if got := degrees(31.24*degree, 0); got != "31.2°" {
		t.Errorf("got %q", got)
	}
	if got := sized(steer.Result{Value: -31.24 * degree, Uncertain: 0.84 * degree}); got != "31.2° ± 0.8°" {
		t.Errorf("got %q", got)
	}
}

func TestSidesAreInWords(t *testing.T) {
	for v, want := range map[float64]string{
		12.4: "12.4° left", -12.4: "12.4° right", 0: "straight", 0.04: "straight", -0.04: "straight", 0.06: "0.1° left",
	} {
		if got := side(v * degree); got != want {
			t.Errorf("%g° is written %q, want %q", v, got, want)
		}
	}
	for v, want := range map[float64]string{12.4: "12.40° L", -12.4: "12.40° R", 0: "0.00°  ", -0.004: "0.00°  "} {
		if got := sideShort(v*degree, 2); got != want {
			t.Errorf("%g° is written %q, want %q", v, got, want)
		}
	}
	for v, want := range map[float64]string{12.4: "12.4° cc", -12.4: "12.4° c ", 0: "0.0°   ", -0.04: "0.0°   "} {
		if got := turnWord(v * degree); got != want {
			t.Errorf("%g° is written %q, want %q", v, got, want)
		}
	}
}

// Whatever the angle, none is shown by a sign.
func TestNoAngleWithASideHasASign(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-4, 4).Draw(t, "angle")
		for _, s := range []string{side(v), sideShort(v, 2), turnWord(v), sized(steer.Result{Value: v})} {
			if strings.ContainsAny(s, "+-−") {
				t.Fatalf("%g is written %q", v, s)
			}
		}
	})
}

func TestZeroHasNoSignAndMinusIsAMinusSign(t *testing.T) {
	for _, tt := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{0, 0, "0"}, {math.Copysign(0, -1), 1, "0.0"}, {-0.04, 1, "0.0"}, {-0.4, 0, "0"}, {-12.34, 1, "−12.3"}, {12.34, 0, "12"}, {100, 0, "100"}, {-100, 0, "−100"},
	} {
		if got := number(tt.v, tt.decimals); got != tt.want {
			t.Errorf("%g to %d decimals is written %q, want %q", tt.v, tt.decimals, got, tt.want)
		}
	}
}

func TestArmsAreNamedFromTheOneInUse(t *testing.T) {
	for _, tt := range []struct {
		n, of int
		want  string
	}{
		{1, 2, "the opposite arm"},
		{2, 4, "the opposite arm"},
		{1, 4, "the next arm counter-clockwise"},
		{3, 4, "the next arm clockwise"},
		{2, 6, "the second arm counter-clockwise"},
		{11, 12, "the next arm clockwise"},
	} {
		if got := armWords(tt.n, tt.of); got != tt.want {
			t.Errorf("arm %d of %d is the %q, want the %q", tt.n, tt.of, got, tt.want)
		}
	}
}

func TestBarsFillTheirPart(t *testing.T) {
	for part, want := range map[float64]string{0: "····", 0.5: "██··", 1: "████", 1.5: "████", -1: "····"} {
		if got := bar(part, 4); got != want {
			t.Errorf("%g is drawn %q, want %q", part, got, want)
		}
	}
}

// Wrapping changes nothing but the white space, keeps to the page as far as words are short enough, and
// never parts a figure from its uncertainty or unit.
func TestWrapKeepsWordsAndWidth(t *testing.T) {
	words := rapid.SampledFrom([]string{"the", "servo's", "counter-clockwise", "12.4°", "±", "0.8°", "8.5", "%", "(of", "1.18", "mm,", "m", "–"})
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOf(words).Draw(t, "words"), " ")
		indent := rapid.IntRange(0, 20).Draw(t, "indent")
		got := wrap(text, indent)
		if strings.Join(strings.Fields(got), " ") != text {
			t.Fatalf("%q became %q", text, got)
		}
		for i, line := range strings.Split(got, "\n") {
			at := utf8.RuneCountInString(line)
			if i == 0 {
				at += indent
			}
			// Units that follow one another, which no text has, make one long word.
			if at > columns && len(phrases(line)) > 1 {
				t.Fatalf("%d columns: %q", at, line)
			}
			if i > 0 && strings.HasPrefix(strings.TrimSpace(line), "%") || strings.HasSuffix(line, "±") && i < strings.Count(got, "\n") {
				t.Fatalf("a figure is parted: %q", got)
			}
		}
	})
}

func TestTitleSendsNothingToTheTerminal(t *testing.T) {
	var p printer
	p.title("SET-UP for ", "red \x1b[31m\nand "+strings.Repeat("very ", 30)+"long")
	if strings.ContainsFunc(strings.ReplaceAll(p.String(), "\n", ""), func(r rune) bool { return r < ' ' }) {
		t.Errorf("it wrote %q", p.String())
	}
	for line := range strings.Lines(p.String()) {
		if utf8.RuneCountInString(line) > columns+1 {
			t.Errorf("%d columns: %s", utf8.RuneCountInString(line), line)
		}
	}
}

func TestFigureThatIsNotFiniteHasNoValue(t *testing.T) {
	for _, tt := range [][2]float64{{math.NaN(), 0}, {math.Inf(1), 0}, {math.Inf(-1), 0}, {1, math.NaN()}, {1, math.Inf(1)}} {
		if f := plain(tt[0], tt[1], "mm"); f.Value != nil || f.Uncertain != 0 || f.Unit != "mm" {
			t.Errorf("%g ± %g becomes %+v", tt[0], tt[1], f)
		}
	}
	if f := figure(math.Pi/2, math.Pi/180, steer.Radian); *f.Value != 90 || f.Uncertain != 1 || f.Unit != "deg" {
		t.Errorf("a right angle becomes %g ± %g %s", *f.Value, f.Uncertain, f.Unit)
	}
	if f := figure(0.002, 0, steer.PerMillimetre); *f.Value != 2 || f.Unit != "1/m" {
		t.Errorf("0.002/mm becomes %g %s", *f.Value, f.Unit)
	}
}
