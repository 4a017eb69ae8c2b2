package rig

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestLengthsAsABuilderWritesThem(t *testing.T) {
	const in = 25.4 // mm, exact: NIST SP 811 (from memory)
	for _, c := range []struct {
		text, lengths string
		value, spread float64
	}{
		{"24.5", "", 24.5, 0},
		{"24.5", "mm", 24.5, 0},
		{"24.5 ± 0.2", "mm", 24.5, 0.2},
		{"24.5±0.2", "mm", 24.5, 0.2},
		{"24.5 +/- 0.2 mm", "mm", 24.5, 0.2},
		{"24.5 +- 0.2", "mm", 24.5, 0.2},
		{"24.5 mm ± 0.2", "in", 24.5, 0.2},
		{" -4 ± 0 ", "mm", -4, 0},
		{"−4 mm", "mm", -4, 0},
		{"+.5", "mm", 0.5, 0},
		{"2.45e1", "mm", 24.5, 0},
		{"2 in", "mm", 2 * in, 0},
		{"2 ± 0.5 in", "mm", 2 * in, 0.5 * in},
		{"2", "in", 2 * in, 0},
		{"2 ± 0.5", "in", 2 * in, 0.5 * in},
		{"2 in ± 0.2 mm", "mm", 2 * in, 0.2},
	} {
		t.Run(c.text, func(t *testing.T) {
			l, err := ParseLength(c.text, c.lengths)
			if err != nil {
				t.Fatal(err)
			}
			if want := (Quantity{c.value, c.spread, true}); l.Quantity != want {
				t.Errorf("got %+v, want %+v", l.Quantity, want)
			}
		})
	}
}

func TestAnglesAsABuilderWritesThem(t *testing.T) {
	for _, c := range []struct {
		text          string
		value, spread float64
	}{
		{"180", math.Pi, 0},
		{"90 ± 45", math.Pi / 2, math.Pi / 4},
		{"-90 ± 45 deg", -math.Pi / 2, math.Pi / 4},
		{"45°", math.Pi / 4, 0},
		{"45° ± 90°", math.Pi / 4, math.Pi / 2},
	} {
		t.Run(c.text, func(t *testing.T) {
			a, err := ParseAngle(c.text)
			if err != nil {
				t.Fatal(err)
			}
			if want := (Quantity{c.value, c.spread, true}); a.Quantity != want {
				t.Errorf("got %+v, want %+v", a.Quantity, want)
			}
		})
	}
}

func TestTorquesAsMakersAndBuildersWriteThem(t *testing.T) {
	// NIST SP 811 (from memory): 1 kgf·cm = 0.0980665 N·m, 1 ozf·in = 7.061552e-3 N·m.
	const kgfcm, ozfin = 98.0665, 7.061552
	for _, c := range []struct {
		text          string
		value, spread float64
	}{
		{"25 kg·cm", 25 * kgfcm, 0},
		{"25 kgf·cm", 25 * kgfcm, 0},
		{"25 kgf.cm", 25 * kgfcm, 0},
		{"25kg-cm", 25 * kgfcm, 0},
		{"25 KG.CM", 25 * kgfcm, 0},
		{"25 kg cm", 25 * kgfcm, 0},
		{"2.4 N·m", 2400, 0},
		{"2.4 N.m", 2400, 0},
		{"2.4 Nm", 2400, 0},
		{"2.4 N*m ± 0.1", 2400, 100},
		{"2.4 ± 0.1 N-m", 2400, 100},
		{"2.4 N·m +/- 50 N·mm", 2400, 50},
		{"240 N·cm", 2400, 0},
		{"2400 N·mm", 2400, 0},
		{"340 ozf·in", 340 * ozfin, 0},
		{"340 oz-in", 340 * ozfin, 0},
		{"3.4e2 oz in", 340 * ozfin, 0},
	} {
		t.Run(c.text, func(t *testing.T) {
			got, err := ParseTorque(c.text)
			if err != nil {
				t.Fatal(err)
			}
			// SP 811 prints seven figures.
			if math.Abs(got.Value-c.value) > 1e-7*c.value || math.Abs(got.Uncertainty-c.spread) > 1e-12*c.value || !got.Given {
				t.Errorf("got %+v, want %v ± %v", got.Quantity, c.value, c.spread)
			}
		})
	}
}

func TestWhatIsTakenByEye(t *testing.T) {
	const in, deg, kgfcm = 25.4, math.Pi / 180, 98.0665 // mm, radians, N·mm
	for _, c := range []struct {
		kind          Kind
		text, lengths string
		value, spread float64
		// written is what Edit writes for it.
		written string
	}{
		{LengthKind, "about 25", "mm", 25, 1, "25 ± 1"},
		{LengthKind, "about 24.5", "mm", 24.5, 0.5, "24.5 ± 0.5"},
		{LengthKind, "about 24.0", "mm", 24, 0.5, "24.0 ± 0.5"},
		{LengthKind, "About 25 mm", "mm", 25, 1, "25 mm ± 1"},
		{LengthKind, "about -25", "mm", -25, 1, "-25 ± 1"},
		{LengthKind, "about −25", "mm", -25, 1, "-25 ± 1"},
		{LengthKind, "~25", "mm", 25, 1, "25 ± 1"},
		{LengthKind, "~ -25", "mm", -25, 1, "-25 ± 1"},
		{LengthKind, "≈ 25", "mm", 25, 1, "25 ± 1"},
		{LengthKind, "≈24.5mm", "mm", 24.5, 0.5, "24.5 mm ± 0.5"},
		{LengthKind, "ca. 25", "mm", 25, 1, "25 ± 1"},
		{LengthKind, "ca 25", "mm", 25, 1, "25 ± 1"},
		{LengthKind, "Circa 25", "mm", 25, 1, "25 ± 1"},
		{LengthKind, "approx. 25", "mm", 25, 1, "25 ± 1"},
		{LengthKind, "approx 25", "mm", 25, 1, "25 ± 1"},
		{LengthKind, "approximately 25", "mm", 25, 1, "25 ± 1"},
		{LengthKind, "roughly 25", "mm", 25, 1, "25 ± 1"},
		{LengthKind, " around  25 ", "mm", 25, 1, "25 ± 1"},
		// Who says how far off it may be is believed.
		{LengthKind, "about 25 ± 2", "mm", 25, 2, "25 ± 2"},
		// An inch is seen no worse than 25 mm are.
		{LengthKind, "about 1 in", "mm", in, 1, "1 in ± 1 mm"},
		{LengthKind, "about 0.96", "in", 0.96 * in, 0.5, "0.96 in ± 0.5 mm"},
		{LengthKind, "about 25 mm", "in", 25, 1, "25 mm ± 1"},
		{AngleKind, "about 12", "in", 12 * deg, deg, "12 ± 1"},
		{AngleKind, "ca. 12.5°", "mm", 12.5 * deg, 0.5 * deg, "12.5° ± 0.5"},
		{AngleKind, "about 12 deg", "mm", 12 * deg, deg, "12 deg ± 1"},
		{TorqueKind, "about 25 kg·cm", "mm", 25 * kgfcm, kgfcm, "25 kg·cm ± 1"},
		{TorqueKind, "about 2.4 N·m", "mm", 2400, 0.5 * kgfcm, "2.4 N·m ± 0.5 kgf·cm"},
		// What is not taken by eye is written as it stands.
		{LengthKind, "24.5 ± 0.2", "mm", 24.5, 0.2, "24.5 ± 0.2"},
	} {
		t.Run(c.text, func(t *testing.T) {
			q, states, problem := c.kind.parse(c.text, c.lengths)
			if problem != nil {
				t.Fatal(problem)
			}
			if math.Abs(q.Value-c.value) > 1e-12*math.Abs(c.value) || math.Abs(q.Uncertainty-c.spread) > 1e-12*c.spread || !q.Given || !states {
				t.Errorf("got %+v, states %v, want %v ± %v", q, states, c.value, c.spread)
			}
			written := c.kind.plusMinus(plainMinus(strings.TrimSpace(c.text)), c.lengths)
			if written != c.written {
				t.Errorf("written as %q, want %q", written, c.written)
			}
			if again, _, problem := c.kind.parse(written, c.lengths); problem != nil || again != q {
				t.Errorf("%q reads back as %+v, %v", written, again, problem)
			}
		})
	}
}

func TestTextThatIsNoQuantityIsRefusedWithARemedy(t *testing.T) {
	for _, c := range []struct {
		kind            Kind
		text            string
		problem, remedy string
	}{
		{LengthKind, "", "is not a length", "write a number"},
		{LengthKind, "long", "is not a length", "write a number"},
		{LengthKind, "24,5", "is not a length", "decimal point"},
		{LengthKind, "24.5 ±", "is not a length", "write a number"},
		{LengthKind, "24.5 ± 0.2 ± 0.1", "is not a length", "write a number"},
		{LengthKind, "24.5 24.6", "is not a length", "write a number"},
		{LengthKind, "nan", "is not a length", "write a number"},
		{LengthKind, "about", "is not a length", "write a number"},
		{LengthKind, "about 24,5", "is not a length", "decimal point"},
		{LengthKind, "about about 25", "is not a length", "write a number"},
		{LengthKind, "ca..25 25", "is not a length", "write a number"},
		{LengthKind, "25 about", `"about" is not a unit of length`, "mm or in"},
		{LengthKind, "about 1e999", "not a finite number", "write a number"},
		{TorqueKind, "about 25", "states no unit", "25 kg·cm"},
		{LengthKind, "inf", "is not a length", "write a number"},
		{LengthKind, "1e999", "not a finite number", "write a number"},
		{LengthKind, "1 ± 1e999", "not a finite number", "write a number"},
		{LengthKind, "24.5 ± -0.2", "negative uncertainty", "without a sign"},
		{LengthKind, "24.5 deg", `"deg" is not a unit of length`, "mm or in"},
		{LengthKind, "24.5 ± 1 deg", `"deg" is not a unit of length`, "mm or in"},
		{LengthKind, "2 cm", `"cm" is not a unit of length`, "mm or in"},
		{LengthKind, "5e", `"e" is not a unit of length`, "mm or in"},
		{LengthKind, "1e6", "more than any model", "stay below"},
		{AngleKind, "8 mm", `"mm" is not a unit of angle`, "deg or °"},
		{AngleKind, "8 rad", `"rad" is not a unit of angle`, "deg or °"},
		{AngleKind, "steep", "is not an angle", "number of degrees"},
		{AngleKind, "361", "more than any model", "360 degrees"},
		{TorqueKind, "25", "states no unit", "25 kg·cm"},
		{TorqueKind, "25 ± 1", "states no unit", "25 kg·cm"},
		{TorqueKind, "25 kg", `"kg" is not a unit of torque`, "kg·cm"},
		{TorqueKind, "25 kg·m", `"kg·m" is not a unit of torque`, "kg·cm"},
		{TorqueKind, "25 mm", `"mm" is not a unit of torque`, "kg·cm"},
		{TorqueKind, "25 kg/cm", "is not a torque", "25 kg·cm"},
		{TorqueKind, "2,4 N·m", "is not a torque", "decimal point"},
		{TorqueKind, "strong", "is not a torque", "25 kg·cm"},
		{TorqueKind, "1001 N·m", "more than any model", "1000 N·m"},
	} {
		t.Run(c.text, func(t *testing.T) {
			_, _, err := c.kind.parse(c.text, "mm")
			if err == nil {
				t.Fatal("no error")
			}
			if !strings.Contains(err.Problem, c.problem) || !strings.Contains(err.Remedy, c.remedy) {
				t.Errorf("got %q; %q, want %q; %q", err.Problem, err.Remedy, c.problem, c.remedy)
			}
		})
	}
}

// A decimal number of up to 15 digits comes back as the same digits from every
// unit, though the conversion rounds twice on the way.
func TestDigitsComeBackAsTheyWereWritten(t *testing.T) {
	for name, u := range map[string]unit{"mm": millimetres, "in": inches, "deg": degrees, "N·m": newtonMetre, "kgf·cm": kgfCm, "ozf·in": ozfIn} {
		t.Run(name, rapid.MakeCheck(func(t *rapid.T) {
			digits := rapid.Int64Range(-999_999_999_999_999, 999_999_999_999_999).Draw(t, "digits")
			places := rapid.IntRange(0, 12).Draw(t, "places")
			v, err := strconv.ParseFloat(strconv.FormatInt(digits, 10)+"e-"+strconv.Itoa(places), 64)
			if err != nil {
				t.Fatal(err)
			}
			if got, want := u.format(u.inside(v)), plain(v); got != want {
				t.Fatalf("%s came back as %s", want, got)
			}
		}))
	}
}

// A value that a computation gave may be one that no decimal number of the unit
// converts to; the text is then still within rounding of it.
func TestAnyValueComesBackWithinRounding(t *testing.T) {
	for name, u := range map[string]unit{"mm": millimetres, "in": inches, "deg": degrees, "N·m": newtonMetre, "kgf·cm": kgfCm, "ozf·in": ozfIn} {
		t.Run(name, rapid.MakeCheck(func(t *rapid.T) {
			want := rapid.Float64Range(-400, 400).Draw(t, "value")
			v, err := strconv.ParseFloat(u.format(want), 64)
			if err != nil {
				t.Fatal(err)
			}
			if got := u.inside(v); math.Abs(got-want) > math.Abs(want)*4e-16 && math.Abs(got-want) > 1e-300 {
				t.Fatalf("%v came back as %v", want, got)
			}
		}))
	}
}

// What can be read can be written with its ± and in full, and reads back as the same.
func FuzzQuantity(f *testing.F) {
	for i, text := range []string{"24.5 ± 0.2", "about 25", "≈ 0.96 in", "ca. 12.5°", "~-4 mm", "about 2.4 N·m", "340 oz-in", "approx. .5e1 ± 1 deg", "about 24,5", "roughly 1e999"} {
		f.Add(text, i, i%2 == 0)
	}
	f.Fuzz(func(t *testing.T, text string, kind int, inches bool) {
		k, lengths := Kind(((kind%3)+3)%3), "mm"
		if inches {
			lengths = "in"
		}
		q, states, problem := k.parse(text, lengths)
		if problem != nil {
			if problem.Problem == "" || problem.Remedy == "" {
				t.Fatalf("%q is refused with %+v", text, problem)
			}
			return
		}
		if _, about := cutAbout(plainMinus(text)); about && (!states || q.Uncertainty < 0) {
			t.Fatalf("%q states no uncertainty: %+v", text, q)
		}
		written := k.plusMinus(plainMinus(text), lengths)
		if again, _, problem := k.parse(written, lengths); problem != nil || again != q {
			t.Fatalf("%q, written %q, reads back as %+v, %v; want %+v", text, written, again, problem, q)
		}
		if _, about := cutAbout(written); about {
			t.Fatalf("%q is written %q", text, written)
		}
	})
}

func TestStringsOfQuantitiesReadBack(t *testing.T) {
	for text, want := range map[string]string{
		"24.50 ± 0.20": "24.5 ± 0.2 mm",
		"-3 ± 0":       "-3 mm",
		"0.965 in":     "24.511 mm",
	} {
		l, err := ParseLength(text, "mm")
		if err != nil {
			t.Fatal(err)
		}
		if l.String() != want {
			t.Errorf("%s: got %s, want %s", text, l, want)
		}
		if again, err := ParseLength(l.String(), "in"); err != nil || again != l {
			t.Errorf("%s read back as %v, %v", l, again, err)
		}
	}
	a, err := ParseAngle("8 ± 1")
	if err != nil || a.String() != "8 ± 1°" {
		t.Errorf("got %s, %v", a, err)
	}
	if again, err := ParseAngle(a.String()); err != nil || again != a {
		t.Errorf("%s read back as %v, %v", a, again, err)
	}
	torque, err := ParseTorque("24 ± 1 kg·cm")
	if err != nil || torque.String() != "24 ± 1 kgf·cm" {
		t.Errorf("got %s, %v", torque, err)
	}
	if again, err := ParseTorque(torque.String()); err != nil || again != torque {
		t.Errorf("%s read back as %v, %v", torque, again, err)
	}
	if got := (Length{}).String() + ", " + (Angle{}).String() + ", " + (Torque{}).String(); got != "left out, left out, left out" {
		t.Errorf("got %s", got)
	}
}

func TestCoarseThreads(t *testing.T) {
	// ISO 261, coarse series, from memory.
	for name, want := range map[string]float64{"M2": 0.4, "M2.5": 0.45, "M3": 0.5, "M4": 0.7, "M5": 0.8} {
		if got, ok := ThreadPitch(name); !ok || got != want {
			t.Errorf("%s: got %v, %v, want %v", name, got, ok, want)
		}
	}
	if _, ok := ThreadPitch("M3x0.35"); ok {
		t.Error("knows a fine thread")
	}
	for name, want := range map[string]float64{"M3": 3, "M2.5": 2.5, "M3x0.35": 3, "M10 left": 10, "": 0, "UNC 4-40": 0, "M": 0, "M0": 0} {
		if got, ok := ThreadDiameter(name); got != want || ok != (want > 0) {
			t.Errorf("%q: diameter %v, %v, want %v", name, got, ok, want)
		}
	}
}
