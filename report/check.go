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
	t.title("CHECK of ", r.Name)
	t.line("")
	t.line("  The rig file is in order.")
	t.line("")
	t.line("PLACES, mm from the middle of the steered axle")
	t.line("  %-36s %9s %9s %9s", "", "forward", "left", "up")
	place := func(words string, v r3.Vec) {
		t.line("  %-36s %9s %9s %9s", words, number(v.X, 1), number(v.Y, 1), number(v.Z, 1))
	}
	tieBall := "tie-rod ball"
	if _, _, table := r.CentreRods(); table != "" {
		tieBall = table + "-rod ball"
	}
	for _, s := range []struct {
		name string
		g    *rig.SideGeometry
	}{{"left", &g.Left}, {"right", &g.Right}} {
		place(s.name+" wheel centre", s.g.Centre)
		place(s.name+" kingpin at wheel-centre height", axisAt(s.g, 0))
		place(s.name+" kingpin at the ground", axisAt(s.g, s.g.Centre.Z-s.g.TyreRadius))
		place(s.name+" "+tieBall, s.g.TieBall)
	}
	place("horn's ball at neutral", g.HornBall)
	place("drag link's far ball", g.Pulled)
	t.line("")
	for _, rod := range r.SteeringRods() {
		t.item(rod.Name, "%s mm ball to ball%s", number(rod.Made(g), 1), derived(rod.Length))
	}
	left, right := lean(g.Left.Kingpin, 1), lean(g.Right.Kingpin, -1)
	if left == right {
		t.item("kingpins", "%s", left)
	} else {
		t.item("left kingpin", "%s", left)
		t.item("right kingpin", "%s", right)
	}
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

// lean writes how a kingpin axis stands; out is the sign of y on its side.
func lean(axis r3.Vec, out float64) string {
	caster := math.Atan2(-axis.X, axis.Z)
	inclination := math.Atan2(-out*axis.Y, axis.Z)
	return fmt.Sprintf("caster %s°, inclination %s°", number(caster/degree, 1), number(inclination/degree, 1))
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
	samples, err := m.Sweep(0, 0, 1)
	if err != nil {
		return err
	}
	at := &samples[0]
	v, rates := at.Values, at.Rates
	if l, r := side(v[steer.RoadLeft]), side(v[steer.RoadRight]); l == r {
		t.item("wheels", "both %s", l)
	} else {
		t.item("wheels", "the left one %s, the right one %s", l, r)
	}
	t.item("horn and link", "%s between them; 90° is square", degrees(v[steer.HornAngle], at.Uncertain[steer.HornAngle]))
	rate := func(q steer.Quantity) string { return plusMinus(math.Abs(rates[q]), at.RatesUncertain[q], 3) }
	t.item("rate", "degrees of wheel for each degree of servo: left %s, right %s", rate(steer.RoadLeft), rate(steer.RoadRight))
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
	return fmt.Sprintf("%s at %s of servo %s; knuckles there: left one %s, right one %s",
		st.Words, sized(st.Servo), way(st.Servo.Value), side(st.TurnLeft), side(st.TurnRight))
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
	t.shares(square.Miss.Shares())
	return nil
}

// shares draws the greatest parts that measurements have in an uncertainty.
func (p *printer) shares(all []steer.Share) {
	for _, s := range greatest(all) {
		p.line("  %s %5s  %s", bar(s.Part, 20), number(100*s.Part, 0)+" %", s.Measure.Words())
	}
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
	miss(r.Vehicle.Mass == 0, "vehicle.mass", "evenlock load, which names what else it needs")
	if len(all) == 0 {
		return
	}
	t.line("")
	t.line("NOT IN THE FILE YET")
	for _, x := range all {
		t.line("  %-30s %s", x[0], wrap("for "+x[1], 33))
	}
}
