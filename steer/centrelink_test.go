package steer_test

import (
	"strings"
	"testing"
)

// A centre link's ends turn about studs along the axes of crank and idler. The link lies across and
// level; an idler's axis that leans 10° to the left is then 80° from it, and the end there leans by
// the 10° that are left. A limit of 9° on that is passed.
func TestCentreLinksEndsHaveALimit(t *testing.T) {
	for _, c := range []struct {
		axis            string
		atCrank, atIdle float64
	}{
		{`"up"`, 0, 0},
		{"[0, 0.17364817766693033, 0.984807753012208]", 0, 10 * degree}, // sin and cos of 10°
	} {
		text := strings.Replace(idler, `side = "right"`, "side = \"right\"\naxis = "+c.axis, 1)
		m := model(t, between(t, text+"end_angle = 9\n"))
		var leans []float64
		s := m.NewState()
		for i, l := range m.Limits() {
			if l.Key == "centre_link.end_angle" {
				leans = append(leans, s.Limit(i))
			}
		}
		if len(leans) != 2 {
			t.Fatalf("%d limits of the centre link's ends", len(leans))
		}
		near(t, "lean at the crank", leans[0], c.atCrank, 1e-9)
		near(t, "lean at the idler", leans[1], c.atIdle, 1e-9)
		if _, err := m.Stops(1); (err != nil) != (c.atIdle > 9*degree) {
			t.Errorf("axis %s: %v", c.axis, err)
		}
	}
}
