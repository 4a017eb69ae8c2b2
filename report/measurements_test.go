package report_test

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
)

// Every measurement of every starter has an instruction of its own, in sentences that one can
// follow with a caliper in one hand.
func TestEveryMeasurementSaysHow(t *testing.T) {
	stop := regexp.MustCompile(`[.:;!?]( |$)`)
	for _, s := range rig.Starters() {
		r := starter(t, s.Name)
		r.Rear = &rig.Rear{}
		for _, q := range r.Measurements() {
			words := report.Instruction(q.Path)
			if strings.Contains(words, "middle of the part") {
				t.Errorf("%s: %s: %s", s.Name, q.Path, words)
			}
			if found := unsaid.FindString(words); found != "" {
				t.Errorf("%s says %q", q.Path, found)
			}
			for _, one := range stop.Split(words, -1) {
				if n := len(strings.Fields(one)); n > 20 {
					t.Errorf("%s: %d words: %q", q.Path, n, one)
				}
			}
		}
	}
	if got := report.Instruction("rear.left.kingpin.caster"); !strings.HasPrefix(got, "At the rear axle") || !strings.Contains(got, "Top towards the rear is positive") {
		t.Errorf("the rear kingpin is measured so: %s", got)
	}
	if a, b := report.Instruction("left.wheel.camber"), report.Instruction("transmitter.reading.1.angle"); a == b || !strings.HasPrefix(b, "Drag link off the horn") {
		t.Errorf("a reading is taken so: %s", b)
	}
}

func TestTypingHintsAreInTheReadersUnits(t *testing.T) {
	length := rig.Measurement{Path: "horn.hole", Kind: rig.LengthKind, Q: &rig.Quantity{Value: 25.4, Uncertainty: 0.254, Given: true}}
	angle := rig.Measurement{Path: "horn.lean", Kind: rig.AngleKind, Q: &rig.Quantity{Value: math.Pi / 18, Given: true}}
	imperial := document.Reader{Length: document.Inches}
	for _, c := range []struct {
		q        rig.Measurement
		measured bool
		reader   document.Reader
		unit     string
		says     string
	}{
		{length, true, document.Reader{}, "mm", "Now 25.40 ± 0.25 mm."},
		{length, true, imperial, "inches", "Now 1.000 ± 0.010 in."},
		{length, false, imperial, "inches", "The layout has 1.000 in, an invented number."},
		{angle, true, imperial, "degrees", "Now 10.0°."},
	} {
		if unit := report.UnitToType(c.q, c.reader); unit != c.unit {
			t.Errorf("%s is typed in %s", c.q.Path, unit)
		}
		if hint := report.TypingHint(c.q, c.measured, c.reader).Text(c.reader); !strings.HasSuffix(hint, c.says) {
			t.Errorf("%s: %s", c.q.Path, hint)
		}
	}
}
