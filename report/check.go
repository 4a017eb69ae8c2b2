package report

import (
	"fmt"
	"io"
	"math"

	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// Check writes what a rig file comes to: its places, what it steers like now, what
// the file leaves out that would be of use, and which measurements matter most.
func Check(w io.Writer, m *steer.Model) error {
	var t printer
	r, g := m.Rig, m.Geometry
	t.line("%s: the rig file is in order.", r.Name)
	t.line("")
	t.line("PLACES, mm forward, left and up from the middle of the steered axle")
	place := func(words string, v r3.Vec) {
		t.line("  %-34s %9s %9s %9s", words, number(v.X, 1), number(v.Y, 1), number(v.Z, 1))
	}
	for _, s := range []struct {
		name string
		g    *rig.SideGeometry
	}{{"left", &g.Left}, {"right", &g.Right}} {
		place(s.name+" wheel centre", s.g.Centre)
		place(s.name+" kingpin at wheel-centre height", axisAt(s.g, 0))
		place(s.name+" kingpin at the ground", axisAt(s.g, s.g.Centre.Z-s.g.TyreRadius))
		place(s.name+" tie-rod ball", s.g.TieBall)
	}
	place("horn's ball at neutral", g.HornBall)
	place("drag link's far ball", g.Pulled)
	t.line("")
	t.item("drag link", "%s mm ball to ball%s", number(g.DragLength, 1), derived(r.DragLink.Length))
	if g.Crank == nil {
		t.item("tie rod", "%s mm%s", number(g.TieLength, 1), derived(r.TieRod.Length))
	} else {
		t.item("crank rods", "left %s mm%s, right %s mm%s", number(g.Crank.LeftLength, 1), derived(r.Crank.LeftRod.Length), number(g.Crank.RightLength, 1), derived(r.Crank.RightRod.Length))
	}
	t.item("left kingpin", "caster %s°, inclination %s°", number(math.Atan2(-g.Left.Kingpin.X, g.Left.Kingpin.Z)/degree, 1), number(math.Atan2(-g.Left.Kingpin.Y, g.Left.Kingpin.Z)/degree, 1))
	if err := steersNow(&t, m); err != nil {
		return err
	}
	if err := mattersMost(&t, m); err != nil {
		return err
	}
	leftOut(&t, r)
	_, err := io.WriteString(w, t.String())
	return err
}

func axisAt(g *rig.SideGeometry, height float64) r3.Vec {
	return r3.Add(g.KingpinPoint, r3.Scale((height-g.KingpinPoint.Z)/g.Kingpin.Z, g.Kingpin))
}

func derived(l rig.Length) string {
	if l.Given {
		return " (measured)"
	}
	return " (from its balls' places)"
}

// steersNow writes the rig as it stands.
func steersNow(t *printer, m *steer.Model) error {
	t.line("")
	t.line("AS IT STANDS, servo at neutral")
	s := m.Stand()
	v, rates := s.ValuesAndRates()
	u := s.Uncertain()
	t.item("wheels", "left %s, right %s", side(v[steer.RoadLeft], 1), side(v[steer.RoadRight], 1))
	t.item("horn and link", "%s between them", degrees(v[steer.HornAngle], u[steer.HornAngle], 1))
	t.item("rate", "%s left and %s right wheel, in degrees per degree of servo", number(math.Abs(rates[steer.RoadLeft]), 3), number(math.Abs(rates[steer.RoadRight]), 3))
	for _, d := range []float64{1, -1} {
		stops, err := m.Stops(d)
		if err != nil {
			return err
		}
		to := "right"
		if d*rates[steer.Curvature] > 0 {
			to = "left"
		}
		t.item("to the "+to, "%s", stopWords(stops[0]))
		for _, st := range stops {
			if st.Kind != steer.StatedStop && st.Servo.Value != stops[0].Servo.Value {
				t.item("", "%s", stopWords(st))
			}
		}
	}
	return nil
}

func stopWords(st steer.Stop) string {
	return fmt.Sprintf("%s at %s of servo, knuckles turned %s and %s", st.Words, sized(st.Servo), side(st.TurnLeft, 1), side(st.TurnRight, 1))
}

// mattersMost writes which measurements the uncertainty of evenness comes from.
func mattersMost(t *printer, m *steer.Model) error {
	if len(m.Measures()) == 0 {
		t.line("")
		t.line("  %s", wrap("No measurement states an uncertainty, so the results cannot. Write [accuracy] or \"24.5 ± 0.2\".", 2))
		return nil
	}
	square, err := m.Square()
	if err != nil {
		return err
	}
	t.line("")
	t.line("WHAT MATTERS MOST for the angle between horn and link (± %s°)", number(square.Miss.Uncertain/degree, 1))
	for i, s := range m.Shares(square.Miss) {
		if i == 3 || s.Part < 0.01 {
			break
		}
		t.line("  %s %4s  %s", bar(s.Part, 20), number(100*s.Part, 0)+" %", s.Measure.Words())
	}
	return nil
}

// leftOut names what the file could still say.
func leftOut(t *printer, r *rig.Rig) {
	var all [][2]string
	miss := func(missing bool, key, use string) {
		if missing {
			all = append(all, [2]string{key, use})
		}
	}
	miss(r.Servo.Teeth == 0, "servo.teeth", "the spline position nearest square")
	miss(!r.Servo.Travel.Given, "servo.travel", "endpoints within the servo's own travel")
	miss(r.Left.Stops == nil, "left.stops", "endpoints short of the knuckles' stops")
	miss(r.Left.AxleJoint == nil, "left.axle_joint", "endpoints short of where a driven axle's joint binds")
	miss(!r.DragLink.EndAngle.Given, "drag_link.end_angle", "endpoints short of where the rod ends bind")
	miss(r.DragLink.Thread == "" && !r.DragLink.Pitch.Given, "drag_link.thread", "its length in turns")
	miss(len(r.Transmitter.Readings) < 2, "[[transmitter.reading]], twice", "settings as your transmitter shows them")
	miss(r.Transmitter.MaxEndpoint == 0, "transmitter.max_endpoint", "endpoints that it can be set to")
	if len(all) == 0 {
		return
	}
	t.line("")
	t.line("NOT IN THE FILE YET")
	for _, x := range all {
		t.line("  %-30s %s", x[0], wrap("for "+x[1], 33))
	}
}
