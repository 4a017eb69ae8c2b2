package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"evenlock/radio"
	"evenlock/setup"
	"evenlock/steer"
)

// Plan writes a set-up as text of at most 80 columns.
func Plan(w io.Writer, p *setup.Plan) error {
	var t printer
	t.line("SET-UP for %s", p.Before.Rig.Name)
	t.line("")
	t.cautions()
	now(&t, p)
	n := 0
	next := func(title string) { n++; t.step(n, title) }
	next("Before you start")
	t.item("", "Trim, subtrim and expo at zero, rate 100, endpoints well short.")
	if p.Calibrated && p.Settings.Reverse != p.Before.Rig.Settings.Reverse {
		t.item("reverse", "turn the steering channel's reverse %s, so that left stick steers left", onOff(p.Settings.Reverse))
	}
	next("Horn on the spline")
	horn(&t, p)
	next("Subtrim")
	subtrim(&t, p)
	next("Rods, until the wheels are straight")
	for _, r := range p.Rods {
		rod(&t, p, r)
	}
	next("Endpoints")
	ends(&t, p)
	if p.Calibrated {
		next("Expo or curve")
		shaping(&t, p)
		next("Afterwards: leave the subtrim alone; trim on the road")
		trim(&t, p)
	}
	t.line("")
	t.line("EVENNESS, left against right at equal stick")
	t.line("  %-34s %12s %12s %12s", "greatest difference in", "now", "ends set", shapedWord(p))
	row := func(words string, f func(e steer.Evenness) string) {
		shaped := "–"
		if p.Calibrated {
			shaped = f(p.EvenShaped)
		}
		t.line("  %-34s %12s %12s %12s", words, f(p.EvenBefore), f(p.EvenAfter), shaped)
	}
	row("inner wheel's angle", func(e steer.Evenness) string { return number(e.Lock/degree, 1) + "°" })
	row("path curvature, of that at full lock", func(e steer.Evenness) string { return percent(e.Path) })
	row("its slope, likewise", func(e steer.Evenness) string { return percent(e.Rate) })
	row("full lock, left / right", func(e steer.Evenness) string {
		return number(e.InnerLeft/degree, 1) + "/" + number(e.InnerRight/degree, 1) + "°"
	})
	shares(&t, p)
	if len(p.Notes) > 0 {
		t.line("")
		t.line("NOTES")
		for _, note := range p.Notes {
			t.line("  %s", wrap("- "+note.Problem+": "+note.Remedy+".", 4))
		}
	}
	_, err := io.WriteString(w, t.String())
	return err
}

func onOff(on bool) string {
	if on {
		return "on"
	}
	return "off"
}

func shapedWord(p *setup.Plan) string {
	switch {
	case p.Settings.Curve != nil:
		return "with curve"
	case p.Settings.Expo != 0:
		return "with expo"
	default:
		return "in the end"
	}
}

func now(t *printer, p *setup.Plan) {
	sq := p.Square
	t.line("")
	t.line("NOW, wheels straight and servo at neutral")
	t.item("horn and link", "%s between them: %s off square", degrees(sq.Miss.Value+math.Pi/2, sq.Miss.Uncertain, 1), degrees(math.Abs(sq.Miss.Value), sq.Miss.Uncertain, 1))
	if sq.Reached {
		t.item("", "square when the servo has turned %s %s", sized(sq.Servo), way(sq.Servo.Value))
	}
}

func horn(t *printer, p *setup.Plan) {
	h := p.Horn
	switch {
	case !h.Known:
		t.item("", "leave the horn where it is (see the notes); it is %s off square", sized(h.Turn))
		return
	case h.Teeth == 0 && h.Arm == 0:
		t.item("", "leave the horn where it is: no other place is nearer to square")
	default:
		var moves []string
		if h.Teeth != 0 {
			moves = append(moves, fmt.Sprintf("lift it off and turn it %s %s", count(h.Teeth, "tooth", "teeth"), way(float64(h.Teeth))))
		}
		if h.Arm != 0 {
			moves = append(moves, fmt.Sprintf("use the %s arm counter-clockwise from the one in use", ordinal(h.Arm)))
		}
		t.item("", "%s, looking at its face", strings.Join(moves, " and "))
		net := h.Turn.Value - h.LeftOver
		t.item("", "the link's ball then stands %s° %s of where it is now", number(math.Abs(net)/degree, 1), way(net))
	}
	t.item("why", "square is %s %s from here; places are %s° apart, and this one leaves %s° for the subtrim",
		sized(h.Turn), way(h.Turn.Value), number(h.Step/degree, 1), number(math.Abs(h.LeftOver)/degree, 1))
}

func count(n int, one, many string) string {
	n = max(n, -n)
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func ordinal(n int) string {
	words := []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%dth", n)
}

func subtrim(t *printer, p *setup.Plan) {
	if !p.Calibrated {
		t.item("", "turn the servo %s° %s by subtrim: horn and link are then square", number(math.Abs(p.Horn.LeftOver)/degree, 1), way(p.Horn.LeftOver))
		return
	}
	s := p.Subtrim
	t.item("set", "%s  (%s° of servo, %s)", number(s.Value, 0), number(math.Abs(s.Angle)/degree, 2), way(s.Angle))
	if p.Calibration.Subtrim.Assumed {
		t.item("", "taking a subtrim step to move the servo as far as an endpoint percent, for want of readings: watch the horn, and stop when it is square to the link")
	}
	if math.Abs(s.Residual) > 0.05*degree {
		t.item("leaves", "%s° from square", number(math.Abs(s.Residual)/degree, 2))
	}
}

func rod(t *printer, p *setup.Plan, r setup.Rod) {
	change := r.Length.Value - r.Now.Value
	verb := "longer"
	if change < 0 {
		verb = "shorter"
	}
	t.item(r.Name, "%s, ball to ball; now %s", millimetres(r.Length), plusMinus(r.Now.Value, r.Now.Uncertain, 2))
	if math.Abs(change) < 0.005 {
		t.item("", "leave it as it is")
		return
	}
	turns := ""
	if r.Pitch*r.Pitches > 0 {
		d := 2
		if r.Residual != 0 {
			d = 1
		}
		turns = fmt.Sprintf(": %s turns of %s mm", number(math.Abs(r.Turns), d), number(r.Pitch*r.Pitches, 2))
	}
	t.item("", "%s mm %s%s", number(math.Abs(change), 2), verb, turns)
	if math.Abs(r.Residual) > 0.005 {
		t.item("", "half turns leave it %s mm off", number(math.Abs(r.Residual), 2))
	}
	if !r.Fits {
		t.item("", "it does not go that far: see the notes")
	}
	if r.Key == "drag_link" {
		t.item("", "turn it until the wheels are straight: what you see counts more than this figure")
	}
}

func ends(t *printer, p *setup.Plan) {
	widest := 0.0
	for _, e := range []*setup.End{&p.Left, &p.Right} {
		widest = max(widest, e.Inner.Value)
		for _, st := range e.Stops {
			widest = max(widest, math.Abs(st.TurnLeft), math.Abs(st.TurnRight))
		}
	}
	for _, e := range []*setup.End{&p.Left, &p.Right} {
		name := "left"
		if e.Side == radio.SideRight {
			name = "right"
		}
		if p.Calibrated {
			t.item(name, "set %s  (servo %s %s of neutral)",
				plusMinus(e.Endpoint.Value, e.EndpointUncertain, 0), sized(e.Servo), way(e.Servo.Value))
		} else {
			t.item(name, "servo %s %s of neutral", sized(e.Servo), way(e.Servo.Value))
		}
		t.item("", "inner wheel %s, outer %s; turning circle %s m across", angleOf(e.Inner), angleOf(e.Outer), circle(e.Curvature))
		if e.Matched {
			other := "right"
			if e.Side == radio.SideRight {
				other = "left"
			}
			t.item("", "held back to match the %s; alone, %s would end it", other, e.Governs)
		} else {
			t.item("", "ended by %s", e.Governs)
		}
		inner := innerAtStop(e)
		t.line("%18s%s %s° at the first stop", "", lockBar(e.Inner.Value, inner, widest, 32), number(inner/degree, 1))
	}
	t.item("", "blocks are the inner wheel's lock, dots what is left to the first stop")
	if !p.Calibrated {
		t.item("", "set the endpoints by watching the wheels reach these angles")
	}
}

func innerAtStop(e *setup.End) float64 {
	turn := e.Stops[0].TurnLeft
	if e.Side == radio.SideRight {
		turn = e.Stops[0].TurnRight
	}
	return math.Abs(turn)
}

// lockBar draws a lock and the stop beyond it.
func lockBar(lock, stop, widest float64, width int) string {
	unit := float64(width) / widest
	n := int(math.Round(lock * unit))
	m := max(n, int(math.Round(stop*unit)))
	return strings.Repeat("█", n) + strings.Repeat("·", m-n) + "|"
}

// circle writes the diameter of the path's circle in metres.
func circle(curvature steer.Result) string {
	d := 2 / curvature.Value / 1000
	return plusMinus(d, d*curvature.Uncertain/curvature.Value, 2)
}

func shaping(t *printer, p *setup.Plan) {
	if p.Expo == nil && p.Curve == nil {
		t.item("", "the transmitter is said to have neither (transmitter.expo, transmitter.curve_points)")
		return
	}
	remains := func(r radio.Remaining) string {
		return fmt.Sprintf("%s from linear, %s left against right", percent(r.Nonlinear), percent(r.Uneven))
	}
	if p.Expo != nil {
		t.item("without", "%s (of path curvature at full lock)", remains(p.Expo.Before))
		t.item("expo "+number(p.Expo.Expo, 0)+" %", "%s", remains(p.Expo.After))
	} else {
		t.item("without", "%s (of path curvature at full lock)", remains(p.Curve.Before))
	}
	if p.Curve != nil {
		if p.Curve.Curve == nil {
			t.item("curve", "none betters a straight one")
		} else {
			points := make([]string, len(p.Curve.Curve))
			for i, y := range p.Curve.Curve {
				points[i] = number(y, 0)
			}
			t.item("curve", "%s  (full right to full left)", strings.Join(points, "  "))
			t.item("", "%s", remains(p.Curve.After))
		}
	}
	switch {
	case p.Settings.Curve != nil:
		t.item("set", "the curve, expo zero")
	case p.Settings.Expo != 0:
		t.item("set", "expo %s %%; positive softens the middle, which on some transmitters is negative", number(p.Settings.Expo, 0))
	default:
		t.item("set", "expo zero")
	}
}

func trim(t *printer, p *setup.Plan) {
	room := p.Trim.Room
	kind := p.Calibration.TrimKind
	t.item("trim", "moves %s", kind)
	if kind == radio.TrimUnclear {
		t.item("", "find out which by a test with the horn off, and write transmitter.trim; until then it counts as moving the whole range")
	}
	t.item("room", "%s one way and %s the other before %s", steps(room.Positive), steps(room.Negative), trimEnd(room))
	for _, m := range p.Trim.Moves {
		sign := "+"
		if m.Steps < 0 {
			sign = "−"
		}
		text := fmt.Sprintf("full lock left %s°, right %s°", signed(m.Left), signed(m.Right))
		if m.Passes != "" {
			text += ", and full stick would drive past " + m.Passes
		}
		t.item(fmt.Sprintf("subtrim %s%s", sign, number(math.Abs(m.Steps), 0)), "%s", text)
	}
	t.item("", "so leave the subtrim alone from here on; if it must move, set the endpoints again")
}

func signed(v float64) string {
	s := number(v/degree, 1)
	if v > 0 && strings.Trim(s, "0.") != "" {
		s = "+" + s
	}
	return s
}

func steps(n float64) string {
	if math.IsInf(n, 1) {
		return "any number of steps"
	}
	return count(int(n), "step", "steps")
}

func trimEnd(room radio.TrimRoom) string {
	if room.PositiveStop == radio.TrimStopRange && room.NegativeStop == radio.TrimStopRange {
		return "the trim itself ends"
	}
	return "an end of the stick drives into a stop"
}

// shares names the measurements that the lock's uncertainty comes from.
func shares(t *printer, p *setup.Plan) {
	if p.Left.Inner.Uncertain == 0 {
		return
	}
	t.line("")
	t.line("WORTH MEASURING AGAIN, for the lock's uncertainty of %s°", number(p.Left.Inner.Uncertain/degree, 1))
	for i, s := range p.After.Shares(p.Left.Inner) {
		if i == 3 || s.Part < 0.01 {
			break
		}
		t.line("  %s %4s  %s", bar(s.Part, 20), number(100*s.Part, 0)+" %", s.Measure.Words())
	}
}
