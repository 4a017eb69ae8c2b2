package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"evenlock/load"
)

// Load writes what the steering bears from lock to lock, as text of at most 80 columns.
func Load(w io.Writer, l *load.Analysis) error {
	var t printer
	t.title("LOADS on ", l.Model.Rig.Name)
	t.line("")
	t.cautions()
	t.line("  - %s", wrap("What follows is for choosing parts, not for trusting fingers to.", 4))
	t.onTheWheels(l)
	t.servoGives(l)
	t.overLock(l)
	t.givesUp(l)
	t.speedAndHeat(l)
	t.rods(l)
	t.ballsAndShaft(l)
	t.saver(l)
	t.holes(l)
	t.loadNotes(l)
	_, err := io.WriteString(w, t.String())
	return err
}

// torque writes N·mm in N·m, to two figures at least.
func torque(v float64) string {
	if v /= load.NewtonMetre; math.Abs(v) < 0.1 {
		return number(v, 3) + " N·m"
	}
	return number(v, 2) + " N·m"
}

// bothTorques writes N·mm in N·m and as makers print it.
func bothTorques(v float64) string {
	return fmt.Sprintf("%s (%s kgf·cm)", torque(v), number(v/load.KilogramForceCentimetre, 1))
}

// newtons writes a force to about three figures.
func newtons(v float64) string {
	if math.Abs(v) < 10 {
		return number(v, 1) + " N"
	}
	return number(v, 0) + " N"
}

// times writes a margin or a reserve.
func times(v float64) string {
	switch {
	case math.IsInf(v, 1):
		return "–"
	case v < 2:
		return number(v, 2)
	case v < 10:
		return number(v, 1)
	default:
		return number(v, 0)
	}
}

// alike writes what is the same on both sides once.
func alike(left, right string) string {
	if left == right {
		return left + " each"
	}
	return "left " + left + ", right " + right
}

func (p *printer) onTheWheels(l *load.Analysis) {
	v, g := l.Model.Rig.Vehicle, l.Model.Rig.Ground
	left, right := l.Tyres[load.ToLeft], l.Tyres[load.ToRight]
	p.line("")
	p.line("ON THE STEERED WHEELS")
	p.item("weight", "%s kg, %s %% of it on the steered axle on the level; here %s", number(v.Mass, 2), number(v.SteeredShare, 0), alike(newtons(left.Weight), newtons(right.Weight)))
	p.item("standing", "to turn a tyre without rolling, wheels straight, about its kingpin: %s, by µ W √(d² + (a/3)²), which all below goes by; µ W √(b²/8 + d²) gives %s. µ friction, W weight, a length of the print, b width of the tyre, d from the kingpin's foot to the print's middle: %s",
		alike(torque(left.Scrub), torque(right.Scrub)), alike(torque(left.Patch), torque(right.Patch)), alike(number(left.Offset, 1)+" mm", number(right.Offset, 1)+" mm"))
	if g.RockForce > 0 {
		p.item("rock", "an edge %s mm above the ground presses with %s, square to the tread, at the edge of a tyre where it is worst", number(g.RockHeight.Value, 0), newtons(g.RockForce))
	}
}

func (p *printer) servoGives(l *load.Analysis) {
	p.line("")
	p.line("WHAT THE SERVO GIVES")
	drop := ""
	if l.Stalled.Current > 0 {
		drop = fmt.Sprintf(", drawing %s A", number(l.Stalled.Current, 1))
	}
	if l.Supply.Resistance > 0 {
		drop += fmt.Sprintf(", which drops the %s V of the supply to %s V", number(l.Supply.Voltage, 1), number(l.Stalled.Voltage, 1))
	} else {
		drop += fmt.Sprintf(", at %s V; no drop is counted, as the file states no supply.resistance", number(l.Supply.Voltage, 1))
	}
	p.item("at most", "%s at a standstill%s", bothTorques(l.Gives), drop)
}

// innerWord writes how far the inner wheel is turned in a row.
func innerWord(r *load.Sample) string {
	if r.Left+r.Right >= 0 {
		return side(r.Left)
	}
	return side(r.Right)
}

// loadBar is how long a bar is at all that the servo gives, overBar how far it may go beyond.
const loadBar, overBar = 20, 5

// usedBar draws a part of what the servo gives, with a mark at all of it.
func usedBar(part float64) string {
	over := int(math.Round(min((part-1)*loadBar, overBar)))
	if part > 1 {
		over = max(over, 1)
	}
	return bar(part, loadBar) + "│" + strings.Repeat("█", max(over, 0))
}

func (p *printer) overLock(l *load.Analysis) {
	p.line("")
	p.line("OVER LOCK: torque at the servo in N·m, the harder way at each place")
	p.line("  %-12s %8s %9s %8s %6s  %s", "inner wheel", "standing", "rock adds", "together", "margin", "part of the servo")
	for i := range l.Samples {
		r := &l.Samples[i]
		h := r.Harder()
		nm := func(v float64) string { return number(v/load.NewtonMetre, 2) }
		mark := ""
		if r.SafetyFactor < 1 {
			mark = " !"
		}
		p.line("  %12s %8s %9s %8s %6s  %s%s", innerWord(r), nm(r.Standing[h]), nm(r.Rock[h]), nm(r.Ask(h)), times(r.SafetyFactor), usedBar(1/r.SafetyFactor), mark)
	}
	p.item("margin", "what the servo gives over what it is asked for")
	p.item("│ and !", "all that the servo gives; beyond it, it stalls")
}

// placeWords tells where on the way out something happens, by side.
func placeWords(at [2]load.Onset, what, never string) string {
	if !at[load.ToLeft].Happens && !at[load.ToRight].Happens {
		return never
	}
	var all []string
	for i, to := range []string{"left", "right"} {
		switch {
		case !at[i].Happens:
			all = append(all, "to the "+to+" nowhere")
		case isZero(number(at[i].Inner/degree, 1)):
			all = append(all, "to the "+to+" "+what+" when still straight")
		default:
			all = append(all, fmt.Sprintf("to the %s %s at %s° of the inner wheel", to, what, number(at[i].Inner/degree, 1)))
		}
	}
	return strings.Join(all, "; ")
}

func (p *printer) givesUp(l *load.Analysis) {
	p.line("")
	p.line("WHERE IT GIVES UP")
	least := math.Inf(1)
	for i := range l.Samples {
		r := &l.Samples[i]
		least = min(least, l.Gives/max(r.Standing[load.ToLeft], r.Standing[load.ToRight]))
	}
	p.item("standing", "%s", placeWords(l.Standing, "it stalls", "nowhere: the servo gives at least "+times(least)+" times what is asked"))
	if l.Model.Rig.Ground.RockForce == 0 {
		return
	}
	hardest := &l.Samples[l.Hardest]
	p.item("with the rock", "%s", placeWords(l.Rock, "it stalls", "nowhere: the servo gives at least "+times(hardest.SafetyFactor)+" times what is asked"))
	where := "at " + innerWord(hardest)
	if where == "at straight" {
		where = "when straight"
	}
	p.item("", "hardest %s: %s, with the rock at %s", where, torque(hardest.Ask(l.Harder)), hardest.RockOn[l.Harder])
}

func (p *printer) speedAndHeat(l *load.Analysis) {
	p.line("")
	p.line("SPEED AND HEAT")
	air := max(l.Unloaded[load.ToLeft], l.Unloaded[load.ToRight])
	if l.Loaded[load.ToLeft] == 0 || l.Loaded[load.ToRight] == 0 {
		p.item("lock to lock", "%s s with the wheels in the air; on standing tyres it stalls", number(air, 2))
	} else {
		p.item("lock to lock", "%s s with the wheels in the air, %s s on standing tyres", number(air, 2), number(max(l.Loaded[load.ToLeft], l.Loaded[load.ToRight]), 2))
	}
	if l.Stalled.Current == 0 {
		p.item("heat", "not known: state stall_current in each [[servo.rating]]")
		return
	}
	p.item("stalled", "%s A and %s W, all of it heat in the servo", number(l.Stalled.Current, 1), number(l.Stalled.Current*l.Stalled.Voltage, 1))
	switch {
	case l.HeldKnown:
		p.item("held still", "against the rock where it is worst, %s: %s W of heat", torque(l.HeldTorque), number(l.Held.Heat, 1))
	case l.HeldTorque > 0:
		p.item("held still", "it cannot hold against the rock where it is worst, %s", torque(l.HeldTorque))
	}
}

func (p *printer) rods(l *load.Analysis) {
	p.line("")
	p.line("RODS: the most of standing tyres, rock, and one wheel jammed with the servo")
	p.line("at its full torque")
	for i := range l.Rods {
		r := &l.Rods[i]
		p.item(r.Words, "pushes with %s, pulls with %s; most by %v", newtons(r.Push.Size), newtons(r.Pull.Size), harder(r).Cause)
		if r.Rod == nil {
			p.item("", "not known what it bears: add %s.material and diameter", r.Key)
			continue
		}
		p.item("", "%s", bears(r))
	}
}

func harder(r *load.RodLoad) load.Peak {
	if r.Pull.Size > r.Push.Size {
		return r.Pull
	}
	return r.Push
}

// bears says how much of a rod's strength is used.
func bears(r *load.RodLoad) string {
	rod := r.Rod
	made := fmt.Sprintf("%s, %s mm", rod.Material.Name, number(rod.Body.Outer, 1))
	if rod.Body.Bore > 0 {
		made += fmt.Sprintf(" with a bore of %s mm", number(rod.Body.Bore, 1))
	}
	if rod.Root > 0 {
		made += fmt.Sprintf(", at its thread's root %s mm", number(rod.Root, 1))
	}
	borne, peak := r.Weakest()
	out := fmt.Sprintf("%s: buckles at %s, %s times its push", made, newtons(r.PushStrength.Buckling), times(r.PushStrength.Buckling/r.Push.Size))
	if rod.Offset > 0 {
		out += fmt.Sprintf("; bent by %s mm, which adds %s N/mm² of bending, and it yields at %s N/mm²", number(rod.Offset, 1), bendingWord(borne.Bending), number(rod.Material.Yield, 0))
	}
	if rod.Offset > 0 || !borne.Buckles {
		out += fmt.Sprintf("; it gives way at %s times the %s", times(borne.SafetyFactor), newtons(peak.Size))
	}
	return out
}

func bendingWord(v float64) string {
	if math.IsInf(v, 1) {
		return "no end"
	}
	return number(v, 0)
}

func (p *printer) ballsAndShaft(l *load.Analysis) {
	p.line("")
	p.line("BALLS, KINGPINS AND THE SERVO'S SHAFT, the most of the same")
	for _, b := range l.Balls {
		words := newtons(b.Size)
		if b.Load.Across > 0 {
			words += fmt.Sprintf(": %s across its stud, %s along it", newtons(b.Load.Across), newtons(b.Load.Along))
		}
		p.line("  %-22s %s", b.Load.Words, wrap(words, 25))
	}
	s := l.Shaft
	words := fmt.Sprintf("%s to the side", newtons(s.Side.Size))
	if s.Span > 0 {
		words += fmt.Sprintf(": up to %s on the outer bearing, %s on the inner one", newtons(s.Outer), newtons(s.Inner))
	} else {
		words += "; add servo.bearing_span for its bearings"
	}
	p.line("  %-22s %s", "servo's shaft", wrap(words, 25))
	for side, k := range l.Kingpins {
		p.line("  %-22s %s", [2]string{"left kingpin", "right kingpin"}[side],
			wrap(fmt.Sprintf("%s across it, %s along it, %s bending it", newtons(k.Across.Size), newtons(k.Along.Size), torque(k.Bending.Size)), 25))
	}
	if l.Roll.Size > 0 {
		p.line("  %-22s %s", "tie rod", wrap(fmt.Sprintf("%s would roll it, since the drag link pulls beside its line: its ends must not let it", torque(l.Roll.Size)), 25))
	}
}

func (p *printer) saver(l *load.Analysis) {
	s := l.Saver
	if s == nil {
		return
	}
	p.line("")
	p.line("SERVO SAVER")
	p.item("gives way", "at %s, which is %s at the horn's ball", bothTorques(s.Preload), newtons(s.Force))
	p.item("standing", "%s", placeWords(s.Standing, "it gives way", "it stands firm"))
	if s.Standing[load.ToLeft].Happens || s.Standing[load.ToRight].Happens {
		p.item("", "at the lock the inner wheel falls short by %s° to the left and %s° to the right", number(s.Lost[load.ToLeft]/degree, 1), number(s.Lost[load.ToRight]/degree, 1))
	}
	if l.Model.Rig.Ground.RockForce > 0 {
		p.item("with the rock", "%s", placeWords(s.Rock, "it gives way", "it stands firm"))
	}
	if s.Preload > l.Gives {
		p.item("", "its preload is more than the servo gives: it saves the servo from knocks, not from stalling")
	}
}

func (p *printer) holes(l *load.Analysis) {
	p.line("")
	p.line("HORN: each hole on standing tyres, steered to %s° at the inner wheel", number(l.HornLock/degree, 1))
	p.line("  %9s %20s %10s %7s %13s", "hole", "servo, left + right", "hardest", "margin", "lock to lock")
	short := false
	for _, h := range l.Horn {
		hole := number(h.Hole, 1) + " mm"
		if !h.Reached {
			p.line("  %9s   does not come that far", hole)
			continue
		}
		seconds := "stalls"
		if h.Seconds > 0 {
			seconds = number(h.Seconds, 2) + " s"
		}
		use := ""
		switch {
		case h.Hole == l.HoleInUse:
			use = "  in use"
		case !h.Full:
			use = "  short *"
			short = true
		}
		turn := fmt.Sprintf("%s° + %s°", number(math.Abs(h.Left)/degree, 0), number(math.Abs(h.Right)/degree, 0))
		p.line("  %9s %20s %10s %7s %13s%s", hole, turn, torque(h.Torque), times(h.SafetyFactor), seconds, use)
	}
	if short {
		p.line("  %s", wrap(fmt.Sprintf("* does not come to the %s° that the hole in use comes to", number(l.Inner/degree, 1)), 4))
	}
	if len(l.Horn) == 1 {
		p.line("  %s", wrap("Add horn.holes to compare the others.", 2))
	}
}

func (p *printer) loadNotes(l *load.Analysis) {
	p.line("")
	p.line("NOTES")
	note := func(format string, args ...any) {
		p.line("  %s", wrap("- "+fmt.Sprintf(format, args...), 4))
	}
	if top := l.Servo.Ratings[len(l.Servo.Ratings)-1].Voltage; l.Supply.Voltage > top {
		note("The supply's %s V are more than the %s V of the highest rating: the figures are drawn out in proportion, and the maker may not allow it.", number(l.Supply.Voltage, 1), number(top, 1))
	}
	for i := range l.Rods {
		if r := &l.Rods[i]; r.Rod != nil {
			if borne, peak := r.Weakest(); borne.SafetyFactor < 1 {
				note("The %s gives way at %s of the %s that it may have to bear (%v): thicker, straighter or stronger.", r.Words, times(borne.SafetyFactor), newtons(peak.Size), peak.Cause)
			}
		}
	}
	if l.Model.Rig.Ground.RockForce == 0 {
		note("The file states no rock: ground.rock_height and ground.rock_force add one.")
	}
	note("Friction in balls, kingpins and gears is not counted, nor shock, nor wear: a margin of 1 is not enough.")
	note("A wheel jammed between rocks asks for all that the servo has; then the weakest part gives way, which is why the rods are judged by that.")
	note("Strengths of materials are round figures; use the makers' where there are any.")
}
