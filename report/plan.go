package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"evenlock/radio"
	"evenlock/setup"
	"evenlock/steer"
)

// Plan writes a set-up as text of at most 80 columns.
func Plan(w io.Writer, p *setup.Plan) error {
	var t printer
	t.title("SET-UP for ", p.Before.Rig.Name)
	t.line("")
	t.cautions()
	now(&t, p)
	n := 0
	next := func(title string) { n++; t.step(n, title) }
	next("Before you start")
	t.item("", "trim, subtrim and expo at zero, rate 100, endpoints well short")
	if p.Calibrated && p.Settings.Reverse != p.Before.Rig.Settings.Reverse {
		t.item("reverse", "turn the steering channel's reverse %s, so that left stick steers left", onOff(p.Settings.Reverse))
	}
	next("Horn on the spline")
	horn(&t, p)
	next("Subtrim")
	subtrim(&t, p)
	next("Rods, until the wheels are straight")
	for _, r := range p.Rods {
		rod(&t, r)
	}
	next("Endpoints")
	ends(&t, p)
	if p.Calibrated {
		next("Expo or curve")
		shaping(&t, p)
		next("Afterwards: leave the subtrim alone; trim on the road")
		trim(&t, p)
	}
	evenness(&t, p)
	shares(&t, p)
	if len(p.Notes) > 0 {
		t.line("")
		t.line("NOTES")
		for _, note := range p.Notes {
			t.line("  %s", wrap("- "+sentence(note.Problem)+": "+note.Remedy+".", 4))
		}
	}
	_, err := io.WriteString(w, t.String())
	return err
}

// evenness compares left with right as the rig is, with the ends set, and with expo or curve.
func evenness(t *printer, p *setup.Plan) {
	t.line("")
	t.line("EVENNESS, left against right at equal stick")
	cells := func(now, ends, shaped string) string {
		s := fmt.Sprintf("%10s %10s", now, ends)
		if p.Settings.Curve != nil || p.Settings.Expo != 0 {
			s += fmt.Sprintf(" %11s", shaped)
		}
		return s
	}
	t.line("  %-40s %s", "", cells("now", "ends set", shapedWord(p)))
	row := func(words string, f func(e steer.Evenness) string) {
		t.line("  %-40s %s", words, cells(f(p.EvenBefore), f(p.EvenAfter), f(p.EvenShaped)))
	}
	angle := func(v float64) string { return number(v/degree, 1) + "°" }
	row("inner wheel at full lock, left", func(e steer.Evenness) string { return angle(e.InnerLeft) })
	row("                          right", func(e steer.Evenness) string { return angle(e.InnerRight) })
	row("greatest difference, inner wheel's angle", func(e steer.Evenness) string { return angle(e.Lock) })
	row("    path curvature *", func(e steer.Evenness) string { return percent(e.Path) })
	row("    quickness: its change with stick *", func(e steer.Evenness) string { return percent(e.Rate) })
	t.line("  * of the path curvature at full lock")
}

// sentence begins a text with a capital.
func sentence(s string) string {
	if s == "" {
		return s
	}
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:]
}

func onOff(on bool) string {
	if on {
		return "on"
	}
	return "off"
}

func shapedWord(p *setup.Plan) string {
	if p.Settings.Curve != nil {
		return "with curve"
	}
	return "with expo"
}

func now(t *printer, p *setup.Plan) {
	sq := p.Square
	t.line("")
	t.line("NOW, wheels straight and servo at neutral")
	t.item("horn and link", "%s between them: %s off square", degrees(sq.Miss.Value+math.Pi/2, sq.Miss.Uncertain), degrees(math.Abs(sq.Miss.Value), sq.Miss.Uncertain))
	if sq.Reached {
		t.item("", "square when the servo has turned %s %s", sized(sq.Servo), way(sq.Servo.Value))
	}
}

func horn(t *printer, p *setup.Plan) {
	h := p.Horn
	switch {
	case !h.Known:
		t.item("", "leave the horn where it is: see the notes")
		return
	case h.Teeth == 0 && h.Arm == 0:
		t.item("", "leave the horn where it is: no other place is nearer to square")
	default:
		if h.Teeth != 0 {
			t.item("move it", "lift it off and turn it %s %s, looking at its face", count(h.Teeth, "tooth", "teeth"), way(float64(h.Teeth)))
		}
		if h.Arm != 0 {
			t.item("arm", "use the %s", armWords(h.Arm, p.Before.Rig.Horn.Arms))
		}
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

// armWords names an arm of the horn, counted counter-clockwise from the one in use.
func armWords(n, of int) string {
	switch {
	case 2*n == of:
		return "arm opposite the one in use"
	case n == 1:
		return "next arm counter-clockwise from the one in use"
	case n == of-1:
		return "next arm clockwise from the one in use"
	default:
		return ordinal(n) + " arm counter-clockwise from the one in use"
	}
}

func ordinal(n int) string {
	words := []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%dth", n)
}

func subtrim(t *printer, p *setup.Plan) {
	s := p.Subtrim
	switch over := number(math.Abs(p.Horn.LeftOver)/degree, 1); {
	case !p.Calibrated && isZero(over), p.Calibrated && s.Value == 0:
		t.item("", "leave it at zero")
	case !p.Calibrated:
		t.item("", "turn the servo %s° %s by subtrim: horn and link are then square", over, way(p.Horn.LeftOver))
	default:
		t.item("set", "%s  (%s° of servo, %s)", number(s.Value, 0), number(math.Abs(s.Angle)/degree, 1), way(s.Angle))
	}
	if !p.Calibrated {
		return
	}
	if s.Value != 0 && p.Calibration.Subtrim.Assumed {
		t.item("", "taking a subtrim step to move the servo as far as an endpoint percent, for want of readings: watch the horn, and stop when it is square to the link")
	}
	if math.Abs(s.Residual) > 0.05*degree {
		t.item("leaves", "%s° from square", number(math.Abs(s.Residual)/degree, 1))
	}
}

func rod(t *printer, r setup.Rod) {
	change := r.Length.Value - r.Now.Value
	verb := "longer"
	if change < 0 {
		verb = "shorter"
	}
	// The change is worth no more figures than the length that it leads to.
	d := digits(r.Length.Uncertain, 2)
	size := number(math.Abs(change), d)
	if isZero(size) {
		t.item(r.Name, "leave it as it is: %s, ball to ball", millimetres(r.Now))
		return
	}
	t.item(r.Name, "%s, ball to ball; now %s", millimetres(r.Length), millimetres(r.Now))
	turns := ""
	if perTurn := r.Pitch * r.Pitches; perTurn > 0 {
		turns = fmt.Sprintf(": %s of %s mm", turnCount(r.Turns, d), number(perTurn, 2))
	}
	t.item("", "%s mm %s%s", size, verb, turns)
	if left := number(math.Abs(r.Residual), d); !isZero(left) {
		t.item("", "half turns leave it %s mm off", left)
	}
	if !r.Fits {
		t.item("", "it does not go that far: see the notes")
	}
	if r.Key == "drag_link" {
		t.item("", "turn it until the wheels are straight: what you see counts more than this figure")
	}
}

// turnCount writes a number of turns, at least as finely as half ones.
func turnCount(n float64, decimals int) string {
	s := number(math.Abs(n), max(decimals, 1))
	switch strings.TrimRight(s, "0") {
	case "1.":
		return "1 turn"
	case "0.5":
		return "half a turn"
	default:
		return s + " turns"
	}
}

// endpointUncertain is the uncertainty of an endpoint. The greatest that the transmitter has
// is exact.
func endpointUncertain(e *setup.End) float64 {
	if e.Key == "transmitter.max_endpoint" && !e.Matched {
		return 0
	}
	return e.EndpointUncertain
}

func ends(t *printer, p *setup.Plan) {
	widest := 0.0
	for _, e := range []*setup.End{&p.Left, &p.Right} {
		widest = max(widest, e.Inner.Value, innerAtStop(e))
	}
	for _, e := range []*setup.End{&p.Left, &p.Right} {
		name := "left"
		if e.Side == steer.Right {
			name = "right"
		}
		if p.Calibrated {
			t.item(name, "set %s  (servo %s %s of neutral)",
				plusMinus(e.Endpoint.Value, endpointUncertain(e), 0), sized(e.Servo), way(e.Servo.Value))
		} else {
			t.item(name, "servo %s %s of neutral", sized(e.Servo), way(e.Servo.Value))
		}
		t.item("", "inner wheel %s, outer %s; turning circle %s m across", angleOf(e.Inner), angleOf(e.Outer), circle(e.Curvature))
		if e.Matched {
			other := "right"
			if e.Side == steer.Right {
				other = "left"
			}
			t.item("", "held back to match the %s; alone, %s would end it", other, e.Governs)
		} else {
			t.item("", "ended by %s", e.Governs)
		}
		inner := innerAtStop(e)
		t.line("%18s%s %s° at the first stop", "", lockBar(e.Inner.Value, inner, widest, 32), number(inner/degree, 1))
	}
	t.item("bars", "blocks are the inner wheel's lock, dots what is left to the first stop")
	if !p.Calibrated {
		t.item("", "set the endpoints by watching the wheels reach these angles")
	}
}

func innerAtStop(e *setup.End) float64 {
	turn := e.Stops[0].TurnLeft
	if e.Side == steer.Right {
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
	d := diameter(curvature.Value)
	return plusMinus(d, d*curvature.Uncertain/curvature.Value, 2)
}

func shaping(t *printer, p *setup.Plan) {
	if p.Expo == nil && p.Curve == nil {
		t.item("", "the transmitter is said to have neither (transmitter.expo, transmitter.curve_points)")
		return
	}
	remains := func(r radio.Remaining) string {
		return fmt.Sprintf("%s off a straight line, %s left against right", percent(r.Nonlinear), percent(r.Uneven))
	}
	before := p.Curve
	if before == nil {
		before = p.Expo
	}
	t.item("without", "path curvature against stick is %s, in parts of that at full lock", remains(before.Before))
	switch {
	case p.Expo == nil:
	case p.Expo.Expo == 0:
		t.item("expo", "none betters that")
	default:
		t.item("expo "+number(p.Expo.Expo, 0)+" %", "%s", remains(p.Expo.After))
	}
	if p.Curve != nil {
		if p.Curve.Curve == nil {
			t.item("curve", "none betters that")
		} else {
			points := make([]string, len(p.Curve.Curve))
			for i, y := range p.Curve.Curve {
				points[i] = number(y, 0)
			}
			t.item("curve", "%s (full right to full left)", strings.Join(points, ", "))
			t.item("", "%s", remains(p.Curve.After))
		}
	}
	switch {
	case p.Settings.Curve != nil:
		t.item("set", "the curve, expo zero")
	case p.Settings.Expo != 0:
		soft := "softens"
		if p.Settings.Expo < 0 {
			soft = "sharpens"
		}
		t.item("set", "expo %s %%, which %s the middle; some transmitters count it the other way", number(p.Settings.Expo, 0), soft)
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
	if room.Positive == room.Negative {
		t.item("room", "%s either way before %s", steps(room.Positive), trimEnd(room))
	} else {
		t.item("room", "%s to + and %s to − before %s", steps(room.Positive), steps(room.Negative), trimEnd(room))
	}
	if len(p.Trim.Moves) > 0 {
		t.item("subtrim", "if it is moved from where it is now, full lock becomes")
	}
	for _, m := range p.Trim.Moves {
		sign := "+"
		if m.Steps < 0 {
			sign = "−"
		}
		text := fmt.Sprintf("left %s, right %s", more(m.Left), more(m.Right))
		if m.Passes != "" {
			text += ", and full stick would drive past " + m.Passes
		}
		t.item(fmt.Sprintf("  by %s%s", sign, number(math.Abs(m.Steps), 0)), "%s", text)
	}
	t.item("", "so leave it alone from here on; if it must move, set the endpoints again")
}

// more writes a change of lock.
func more(v float64) string {
	s := number(math.Abs(v)/degree, 1)
	switch {
	case isZero(s):
		return "the same"
	case v > 0:
		return s + "° more"
	default:
		return s + "° less"
	}
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
	words, uncertain := worth(p)
	if uncertain.Uncertain == 0 {
		return
	}
	t.line("")
	t.line("WORTH MEASURING AGAIN, as %s is known to ± %s°", words, own(uncertain.Uncertain/degree))
	t.shares(uncertain.Shares())
}

// worth chooses the result whose uncertainty better measurements would better most: the lock, or the
// servo angle where the lock is the wanted one.
func worth(p *setup.Plan) (words string, r steer.Result) {
	if p.Left.Inner.Uncertain > 1e-6 {
		return "the left lock", p.Left.Inner
	}
	return "the servo angle for left lock", p.Left.Servo
}
