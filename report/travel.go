package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"evenlock/steer"
	"evenlock/travel"

	"gonum.org/v1/gonum/spatial/r3"
)

// travelCautions are those of changing what carries a rod's end.
var travelCautions = []string{
	"Drilling or filing weakens what it goes through: eye protection, and at your own risk.",
	"Springs and dampers push back: hold the vehicle firmly before you take them off.",
}

// Travel writes what the suspension's travel does to the steering, and the better places for the ends of the rods, as text of at most 80 columns.
func Travel(w io.Writer, d *travel.Analysis, better []travel.Better) error {
	var t printer
	t.title("TRAVEL of ", d.Model.Rig.Name)
	t.line("")
	t.cautions()
	for _, c := range travelCautions {
		t.line("  - %s", wrap(c, 4))
	}
	t.bumpSteer(d)
	t.overTravel(d, travel.Heave, "BOTH WHEELS UP AND DOWN, the servo held")
	t.overTravel(d, travel.Rolling, "ROLL: left wheel up, right wheel down by as much, and back, the servo held")
	t.travelKey(d)
	t.travelStops(d)
	t.besidePanhard(d)
	t.locksOverTravel(d)
	t.limitsOverTravel(d)
	t.betterEnds(d, better)
	t.travelNotes(d)
	_, err := io.WriteString(w, t.String())
	return err
}

// solid reports whether one axle carries both wheels.
func solid(d *travel.Analysis) bool { return d.Model.Geometry.Suspension.Solid }

// toSide writes a signed angle, given in degrees with its uncertainty, to the side: "0.086° ± 0.013° right".
func toSide(v, uncertain float64, most int) string {
	s := plusMinus(math.Abs(v), uncertain, most)
	switch {
	case isZero(s):
		return "none"
	case v > 0:
		return strings.Replace(s, " ±", "° ±", 1) + "° left"
	default:
		return strings.Replace(s, " ±", "° ±", 1) + "° right"
	}
}

// bothWheels writes what each wheel does, once where they do the same.
func bothWheels(left, right string) string {
	if left == right {
		if left == "none" {
			return "none"
		}
		return "both wheels " + left
	}
	return "left wheel " + left + ", right wheel " + right
}

const (
	rateDigits = 4
	rollDigits = 3
)

func (p *printer) bumpSteer(d *travel.Analysis) {
	p.line("")
	p.line("STEERS BY ITSELF at ride height, the servo held")
	rate := func(r [2]steer.Result, times float64, most int) string {
		word := func(w int) string { return toSide(r[w].Value*times, r[w].Uncertain*times, most) }
		return bothWheels(word(travel.Left), word(travel.Right))
	}
	for _, m := range []struct {
		motion travel.Motion
		label  string
	}{{travel.Heave, "bump steer"}, {travel.LeftWheel, "left alone"}, {travel.RightWheel, "right alone"}} {
		what := map[travel.Motion]string{travel.Heave: "both wheels rise", travel.LeftWheel: "the left wheel rises", travel.RightWheel: "the right wheel rises"}[m.motion]
		p.item(m.label, "for each mm that %s: %s", what, rate(d.Sweeps[m.motion].BumpSteer, 1/degree, rateDigits))
	}
	roll := d.Sweeps[travel.Rolling]
	p.item("roll steer", "for each degree of roll, left side up: %s", rate(roll.RollSteer, 1, rollDigits))
	if solid(d) {
		p.item("axle's yaw", "%s for each degree of roll, whatever the drag link does", toSide(rollYaw(roll), 0, rollDigits))
		p.item("side shift", "the axle goes %s for each mm that both wheels rise", shiftWord(d.Sweeps[travel.Heave].Rate.Side, 3))
	}
	for w, name := range []string{"left wheel", "right wheel"} {
		heave, roll := d.Sweeps[travel.Heave], d.Sweeps[travel.Rolling]
		p.item(name, "at most %s; in roll at most %s", peakWord(heave, w), peakWord(roll, w))
	}
}

// rollYaw is the axle's own yaw for each radian of roll.
func rollYaw(c *travel.Sweep) float64 {
	if c.Rate.Yaw == 0 {
		return 0
	}
	// What makes radians for each radian of the wheel's steer does so of the axle's yaw.
	for w := range 2 {
		if c.BumpSteer[w].Value != 0 {
			return c.Rate.Yaw * c.RollSteer[w].Value / c.BumpSteer[w].Value
		}
	}
	return 0
}

// peakWord says how far a wheel is steered at most in a motion, and where.
func peakWord(c *travel.Sweep, w int) string {
	r := &c.Samples[c.Most[w].Sample]
	s := toSide(r.Steer[w]/degree, r.SteerUncertain[w]/degree, 2)
	if s == "none" {
		return s
	}
	return s + ", " + travelWord(c.Motion, r.X)
}

// travelWord says where a motion is.
func travelWord(m travel.Motion, x float64) string {
	size := number(math.Abs(x), 1)
	switch {
	case isZero(size):
		return "ride height"
	case m == travel.Rolling && x > 0:
		return "left " + size + " mm up"
	case m == travel.Rolling:
		return "right " + size + " mm up"
	case x > 0:
		return size + " mm up"
	default:
		return size + " mm down"
	}
}

// shiftWord writes a way across the vehicle.
func shiftWord(v float64, decimals int) string {
	s := number(math.Abs(v), decimals)
	switch {
	case isZero(s):
		return s + " mm"
	case v > 0:
		return s + " mm left"
	default:
		return s + " mm right"
	}
}

// halfCurve is how long a curve's bar is each way.
const halfCurve = 8

// curveBar draws a signed part of the way, to the left and to the right of a mark.
func curveBar(part float64) string {
	n := int(math.Round(min(math.Abs(part), 1) * halfCurve))
	full, none := strings.Repeat("█", n), strings.Repeat("·", halfCurve-n)
	all := strings.Repeat("·", halfCurve)
	if part > 0 {
		return none + full + "│" + all
	}
	return all + "│" + full + none
}

func (p *printer) overTravel(d *travel.Analysis, m travel.Motion, title string) {
	c := d.Sweeps[m]
	p.line("")
	p.line("%s", title)
	heads := [2][3]string{{"side", "axle's", "axle's"}, {"shift", "yaw", "pitch"}}
	if !solid(d) {
		heads = [2][3]string{{"", "left", "right"}, {"toe-in", "camber", "camber"}}
	}
	bars := 2*halfCurve + 1
	const row = "  %16s %8s %8s  %-*s %7s %7s %7s"
	p.line(row, "", "left", "right", bars, "left wheel", heads[0][0], heads[0][1], heads[0][2])
	p.line(row, "", "wheel", "wheel", bars, "left   │ right", heads[1][0], heads[1][1], heads[1][2])
	most := math.Abs(c.Most[travel.Left].Value)
	for i := len(c.Samples) - 1; i >= 0; i-- {
		r := &c.Samples[i]
		part := 0.0
		if most > 0.05*degree {
			part = r.Steer[travel.Left] / most
		}
		wheel := func(w int) string {
			return sideShort(r.Steer[w], digits(c.Samples[c.Most[w].Sample].SteerUncertain[w]/degree, 2))
		}
		deg := func(v float64) string { return number(v/degree, 1) + "°" }
		rest := [3]string{deg(r.Toe()), deg(r.Camber[travel.Left]), deg(r.Camber[travel.Right])}
		if solid(d) {
			rest = [3]string{sideMillimetres(r.Carried.Side), sideShort(r.Carried.Yaw, 1), deg(r.Carried.Pitch)}
		}
		p.line(row, travelWord(m, r.X), wheel(travel.Left), wheel(travel.Right), bars, curveBar(part), rest[0], rest[1], rest[2])
	}
}

func sideMillimetres(v float64) string {
	s := number(math.Abs(v), 1)
	switch {
	case isZero(s):
		return s + "  "
	case v > 0:
		return s + " L"
	default:
		return s + " R"
	}
}

func (p *printer) travelKey(d *travel.Analysis) {
	p.line("")
	p.item("wheels", "road steer angle, seen from above, as it changes from ride height: L to the left, R to the right; the bar is the left wheel's")
	if solid(d) {
		p.item("axle", "its middle's shift to the side in mm, and pitch with the nose down, which takes from the caster")
	} else {
		p.item("toe-in", "of both wheels together; cambers, the wheels' tops outward")
	}
}

func (p *printer) travelStops(d *travel.Analysis) {
	first := true
	for _, c := range d.Sweeps {
		for _, stop := range c.Stops {
			if stop == nil {
				continue
			}
			if first {
				p.line("")
				p.line("IT DOES NOT GO AS FAR AS THE FILE SAYS")
				first = false
			}
			p.item(motionLabel(c.Motion), "%v", stop)
		}
	}
}

func motionLabel(m travel.Motion) string {
	return map[travel.Motion]string{travel.Heave: "both wheels", travel.Rolling: "roll", travel.LeftWheel: "left alone", travel.RightWheel: "right alone"}[m]
}

func (p *printer) besidePanhard(d *travel.Analysis) {
	b := d.Beside
	if b == nil {
		return
	}
	p.line("")
	p.line("DRAG LINK BESIDE THE ROD ACROSS: parallel and equally long they steer least")
	p.item("angle", "%s° between drag link and %s; seen from the front %s", number(b.Angle/degree, 1), b.Link, sized(b.FrontAngle))
	p.item("lengths", "drag link %s mm, %s %s mm", number(b.DragLength, 1), b.Link, number(b.LinkLength, 1))
}

func (p *printer) locksOverTravel(d *travel.Analysis) {
	p.line("")
	p.line("LOCK over the travel: how far the inner wheel goes, and what ends it")
	for _, l := range d.Locks {
		if l.Past != nil {
			p.item(l.Words, "%v", l.Past)
			continue
		}
		p.item(l.Words, "left %s° by %s; right %s° by %s", number(l.Inner[travel.Left]/degree, 1), l.Stops[travel.Left].Words, number(l.Inner[travel.Right]/degree, 1), l.Stops[travel.Right].Words)
	}
}

func (p *printer) limitsOverTravel(d *travel.Analysis) {
	p.line("")
	p.line("LIMITS: how much of each is used, the servo held, and at most when steered")
	if len(d.LimitUses) == 0 {
		p.item("none", "the file states none: add end_angle to the rods, and stops and axle_joint to the sides")
	}
	little := 0
	for _, u := range d.LimitUses {
		if u.Steered.Part < littleUsed {
			little++
			continue
		}
		mark := ""
		if u.Steered.Part > 1 {
			mark = " !"
		}
		used := fmt.Sprintf("%5s %% %5s %%%s", number(100*u.Straight.Part, 0), number(100*u.Steered.Part, 0), mark)
		const room = 56
		words := strings.TrimPrefix(u.Words, "the ")
		if len([]rune(words)) > room {
			p.line("  %s", wrap(words, 4))
			words = ""
		}
		p.line("  %-*s %s", room, words, used)
	}
	p.littleUsed(little)
	if worst, ok := travel.MostUsed(d.LimitUses); ok && worst.Steered.Part > 1 {
		p.item("! worst", "%s, with the left wheel %s and the right wheel %s and the servo at %s", worst.Words, heightWord(worst.Steered.Travel.Left), heightWord(worst.Steered.Travel.Right), strings.TrimSpace(turnWord(worst.Steered.Servo)))
	}
}

func heightWord(mm float64) string { return travelWord(travel.Heave, mm) }

func (p *printer) betterEnds(d *travel.Analysis, better []travel.Better) {
	p.line("")
	p.line("BETTER ENDS, one at a time, the rods made as long as keeps the wheels straight")
	if len(better) == 0 {
		p.item("none", "%s", "every rod of the steering goes with the axle, so that travel turns no knuckle on it")
		return
	}
	for i := range better {
		b := &better[i]
		label := "by shims"
		if b.Way == travel.FrontView {
			label = "by a new hole"
		}
		p.item(label, "%s", betterWords(b))
	}
	for i := range d.Ideals {
		if i == 1 && alikeInMirror(d.Ideals) {
			p.item("", "the %s as in a mirror", d.Ideals[i].Words)
			break
		}
		p.idealLine(&d.Ideals[i])
	}
}

// alikeInMirror reports whether two ideal lines are as in a mirror.
func alikeInMirror(all []travel.Ideal) bool {
	off := r3.Vec{}
	for _, pair := range [][2]r3.Vec{{all[0].Fixed, all[1].Fixed}, {all[0].Moving, all[1].Moving}, {all[0].Tangent, all[1].Tangent}} {
		d := r3.Sub(pair[0], pair[1])
		d.Y = pair[0].Y + pair[1].Y
		off = r3.Add(off, r3.Vec{X: math.Abs(d.X), Y: math.Abs(d.Y), Z: math.Abs(d.Z)})
	}
	return r3.Norm(off) < 1e-6
}

// betterWords says where an end is better, and what that does.
func betterWords(b *travel.Better) string {
	before, after := b.Before[travel.Heave].Worse(), b.After[travel.Heave].Worse()
	deg := func(v float64) string { return number(v/degree, 2) + "°" }
	if b.Still() || after >= before {
		return b.Ends() + ": where it is, it steers least, " + deg(before) + " over the travel"
	}
	rolled := fmt.Sprintf("; in roll %s → %s", deg(b.Before[travel.Rolling].Worse()), deg(b.After[travel.Rolling].Worse()))
	short := ""
	if b.Short {
		short = "; a still better place is further off"
	}
	return b.Words() + ": " + deg(before) + " → " + deg(after) + " over the travel" + rolled + short
}

// idealLine says where, seen from the front, an end steers nothing.
func (p *printer) idealLine(i *travel.Ideal) {
	through, lies := i.Lies()
	words := fmt.Sprintf("%s: for small travel anywhere on the line, seen from the front, through %s, %s", i.Words, frontPlace(through), lies)
	if at, ok := i.Crossing(); ok {
		words += fmt.Sprintf("; for all of it about %s, where the axis of the far end's arc of %s mm is", frontPlace(at), number(i.Radius, 0))
	}
	p.item("ideal line", "%s", words)
}

// frontPlace writes a place as seen from the front.
func frontPlace(v r3.Vec) string {
	height := number(math.Abs(v.Z), 1) + " mm above"
	if v.Z < 0 {
		height = number(math.Abs(v.Z), 1) + " mm below"
	}
	return shiftWord(v.Y, 1) + ", " + height + " the wheel centres"
}

func (p *printer) travelNotes(d *travel.Analysis) {
	p.line("")
	p.line("NOTES")
	note := func(format string, args ...any) {
		p.line("  %s", wrap("- "+fmt.Sprintf(format, args...), 4))
	}
	note("A wheel's travel is counted where the steering does not move it: %s.", map[bool]string{true: "at the axle's ends, in the middles of the wheels", false: "at the lower arms' balls"}[solid(d)])
	note("The chassis stands still and the wheels move. Flex, play and bushes are not counted.")
	if len(d.Ideals) > 0 && solid(d) {
		note("Better ends are for both wheels rising and dropping; the figure in roll says what that does then.")
	}
}

const littleUsed = 0.1

func (p *printer) littleUsed(n int) {
	if n > 0 {
		p.line("  %d more used less than %.0f %%", n, 100*littleUsed)
	}
}
