package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"evenlock/steer"
	"evenlock/turning"
)

// twoServos is a caution for a second servo on one supply (common practice).
const twoServos = "Two servos draw on one supply: stalled together they draw both their full currents."

// turnCautions are those of a rig with or without a rear axle that steers.
func turnCautions(d *turning.Analysis) []string {
	all := append([]string{}, Cautions...)
	if d.Rear != nil {
		all = append(all, twoServos)
	}
	return all
}

var wheelNames = [turning.NumWheels]string{
	turning.FrontLeft: "front left", turning.FrontRight: "front right", turning.RearLeft: "rear left", turning.RearRight: "rear right",
}

// Turn writes how a rig turns in each mode of steering its rear axle, as text of at most 80 columns.
func Turn(w io.Writer, d *turning.Analysis) error {
	var t printer
	t.title("TURN of ", d.Front.Rig.Name)
	t.line("")
	t.line("CAUTION")
	for _, c := range turnCautions(d) {
		t.line("  - %s", wrap(c, 4))
	}
	t.axleLocks(d)
	t.fullLock(d)
	for _, c := range d.Sweeps {
		t.mode(d, c)
	}
	t.turnKey()
	t.turnNotes(d)
	_, err := io.WriteString(w, t.String())
	return err
}

func (p *printer) axleLocks(d *turning.Analysis) {
	p.line("")
	p.line("HOW FAR IT STEERS, mean of an axle's wheels, and what ends it")
	one := func(label string, locks *[2]turning.Lock) {
		p.item(label+", left", "%s by %s", side(locks[turning.Left].Mean), locks[turning.Left].Governs)
		p.item(label+", right", "%s by %s", side(locks[turning.Right].Mean), locks[turning.Right].Governs)
	}
	one("front", &d.Locks)
	if d.Rear != nil {
		one("rear", &d.RearLocks)
	}
	p.item("kept clear", "%s° of servo and of each knuckle's turn", number(d.Front.Rig.Want.Margin.Value/degree, 1))
}

// widest is the diameter in metres from which on a path is as good as straight.
const widest = 100

// turns reports whether a turn is one, and no path that is as good as straight.
func turns(t *turning.Turn) bool { return !t.Straight && 2*t.Outer < widest*1000 }

// circleOf writes the diameter in metres of a radius in mm.
func circleOf(radius, uncertain float64) string {
	return plusMinus(2*radius/1000, 2*uncertain/1000, 2) + " m"
}

func (p *printer) fullLock(d *turning.Analysis) {
	p.line("")
	p.line("AT FULL LOCK")
	const row = "  %-18s %13s %13s  %s"
	p.line(row, "", "circle, left", "right", "most scrub")
	for _, c := range d.Sweeps {
		words := [2]string{"–", "–"}
		for s := range words {
			if r := c.At(s); turns(&r.Turn) {
				words[s] = circleOf(r.Turn.Outer, r.Uncertain.Outer)
			}
		}
		_, angle := mostScrub(c)
		name := c.Mode.Words()
		if d.Rear == nil {
			name = "front alone"
		}
		p.line(row, name, words[turning.Left], words[turning.Right], angle)
	}
}

// mostScrub returns the row at which a tyre scrubs most, and says how much and which.
func mostScrub(c *turning.Sweep) (worst *turning.Sample, words string) {
	most := -1.0
	for i := range c.Samples {
		if _, m := c.Samples[i].Turn.Worst(); m > most+1e-9 {
			worst, most = &c.Samples[i], m
		}
	}
	wheel, _ := worst.Turn.Worst()
	angle := degrees(most, worst.Uncertain.Misfit[wheel])
	if isZero(number(most/degree, 1)) {
		return worst, "none"
	}
	return worst, angle + ", " + wheelNames[wheel] + " tyre"
}

// modeTitle says what the rear does in a mode.
func modeTitle(d *turning.Analysis, m turning.Mode) string {
	title := strings.ToUpper(m.Words())
	ratio := func(r float64) string { return number(r, 2) + " of the front's angle" }
	switch {
	case d.Rear == nil:
		return "THE REAR DOES NOT STEER"
	case m == turning.Opposite:
		return title + ": the rear steers the other way by " + ratio(d.Options.Opposite)
	case m == turning.Same:
		return title + ": the rear steers the same way by " + ratio(d.Options.Same)
	case m == turning.Crab:
		return title + ": the rear steers as the front, to go to the side"
	default:
		return title + ": its servo at neutral"
	}
}

func (p *printer) mode(d *turning.Analysis, c *turning.Sweep) {
	p.line("")
	p.line("%s", modeTitle(d, c.Mode))
	const row = "  %8s %8s %7s %7s %11s %9s %9s %9s"
	p.line(row, "front", "rear", "outer", "inner", "centre", "centre", "middle", "most")
	p.line(row, "mean", "mean", "⌀ m", "⌀ m", "from front", "to side", "goes", "scrub")
	for i := len(c.Samples) - 1; i >= 0; i-- {
		r := &c.Samples[i]
		if r.Part == 0 {
			continue
		}
		outer, inner, along, across := "–", "–", "–", "–"
		if turns(&r.Turn) {
			outer, inner = number(2*r.Turn.Outer/1000, digits(2*r.Uncertain.Outer/1000, 2)), number(2*r.Turn.Inner/1000, digits(2*r.Uncertain.Inner/1000, 2))
			along, across = alongWord(r), acrossWord(r)
		}
		_, misfit := r.Turn.Worst()
		rear := sideShort(r.Rear, 1)
		if r.Short != nil {
			rear += "!"
		} else {
			rear += " "
		}
		p.line(row, sideShort(r.Front, 1), rear, outer, inner, along, across, sideShort(r.Turn.Slip, 1), number(misfit/degree, 1)+"°")
	}
	if c.Mode == turning.Crab {
		for s, name := range []string{"left", "right"} {
			p.item("full "+name, "%s", crabWords(c.At(s)))
		}
	}
	p.shortRear(d, c)
}

// alongWord and acrossWord say where the turn centre is, from the middle of the front axle.
func alongWord(r *turning.Sample) string {
	s := number(math.Abs(r.Turn.Centre.X), digits(r.Uncertain.Centre.X, 0))
	switch {
	case isZero(s):
		return s
	case r.Turn.Centre.X < 0:
		return s + " back"
	default:
		return s + " ahead"
	}
}

func acrossWord(r *turning.Sample) string {
	s := number(math.Abs(r.Turn.Centre.Y), digits(r.Uncertain.Centre.Y, 0))
	if r.Turn.Centre.Y < 0 {
		return s + " R"
	}
	return s + " L"
}

// crabWords say how a vehicle goes to the side, and how well it keeps its heading.
func crabWords(r *turning.Sample) string {
	const perMetre = 1000 / degree
	going := toSide(r.Turn.Slip/degree, r.Uncertain.Slip/degree, 1)
	drift := toSide(r.Turn.Curvature*perMetre, r.Uncertain.Curvature*perMetre, 1)
	if drift == "none" {
		return "goes " + going + " and keeps its heading"
	}
	return "goes " + going + ", and turns " + drift + " for each metre"
}

// shortRear says what keeps the rear from what the mode asks of it.
func (p *printer) shortRear(d *turning.Analysis, c *turning.Sweep) {
	if d.Rear == nil || c.Mode == turning.Held {
		return
	}
	for s, name := range []string{"left", "right"} {
		r := c.At(s)
		if r.Short == nil {
			p.item("limit, "+name, "the front's lock; the rear follows all the way")
			continue
		}
		p.item("limit, "+name, "! the rear steers %s° of the %s° wanted: %s ends it; it follows up to %s° at the front", number(math.Abs(r.Rear)/degree, 1), number(math.Abs(r.Wanted)/degree, 1), r.Short.Governs, number(math.Abs(r.Rear/d.Options.Ratio(c.Mode))/degree, 1))
	}
}

func (p *printer) turnKey() {
	p.line("")
	p.item("front, rear", "mean road steer angles of the axles' wheels: L to the left, R to the right; ! where the rear cannot follow")
	p.item("outer", "turning circle: diameter of the circle that the outermost tyre's outer edge touches")
	p.item("inner", "diameter of the circle that the innermost tyre leaves free")
	p.item("centre", "of the turn, in mm: how far back from the front axle or ahead of it, and to which side of the vehicle's middle line")
	p.item("middle goes", "the direction in which the middle between the axles moves, from the way that the vehicle points: the crab angle")
	p.item("scrub", "the angle between where a tyre points and where it is moved; of the four the greatest. None is best")
	p.item("–", "as good as straight: a circle of %d m or more", widest)
}

func (p *printer) turnNotes(d *turning.Analysis) {
	p.line("")
	p.line("NOTES")
	note := func(format string, args ...any) { p.line("  %s", wrap("- "+fmt.Sprintf(format, args...), 4)) }
	if d.Rear == nil {
		note("The rear wheels are taken to be straight and as far apart as the front ones. Add a table [rear] for a rear axle with a servo of its own, to compare opposite phase, same phase and crab.")
	}
	note("The four wheels seldom agree on one centre. The vehicle is taken to move so that the squares of their scrub angles add up to the least. evenlock sweep has the centre on the rear axle's line, so that its tyre circle may differ a little.")
	note("The rig is as it was measured and at ride height. Bodywork beyond the tyres sweeps wider. Tyres that slip at speed are not counted.")
}

type lockDoc struct {
	Servo  Figure `json:"servo"`
	Mean   Figure `json:"mean_road"`
	EndsBy string `json:"ends_by"`
	Key    string `json:"key,omitempty"`
}

func lockOf(l turning.Lock) lockDoc {
	return lockDoc{resultFigure(l.Servo, steer.Radian), angleFigure(l.Mean), l.Governs, l.Key}
}

type turnWheelDoc struct {
	Forward Figure `json:"contact_forward"`
	Left    Figure `json:"contact_left"`
	Road    Figure `json:"road"`
	Scrub   Figure `json:"scrub"`
}

type turnRowDoc struct {
	Part           Figure                  `json:"part_of_lock"`
	FrontServo     Figure                  `json:"front_servo"`
	RearServo      *Figure                 `json:"rear_servo,omitempty"`
	Front          Figure                  `json:"front_mean_road"`
	Rear           Figure                  `json:"rear_mean_road"`
	Wanted         Figure                  `json:"rear_wanted"`
	Short          string                  `json:"rear_limited_by,omitempty"`
	Curvature      Figure                  `json:"curvature"`
	FrontCurvature Figure                  `json:"front_curvature"`
	Slip           Figure                  `json:"slip"`
	Forward        Figure                  `json:"centre_forward"`
	Left           Figure                  `json:"centre_left"`
	Outer          Figure                  `json:"turning_circle"`
	Inner          Figure                  `json:"inner_circle"`
	Wheels         map[string]turnWheelDoc `json:"wheels"`
}

type turnModeDoc struct {
	Ratio Figure       `json:"rear_to_front"`
	Rows  []turnRowDoc `json:"rows"`
}

// turnDefinitions say what the figures of a turn mean.
var turnDefinitions = map[string]string{
	"uncertainty":     Definitions["uncertainty"],
	"servo":           Definitions["servo"],
	"part_of_lock":    "of the front servo's way to its lock, positive to the left",
	"mean_road":       "mean of the road steer angles of an axle's wheels, positive to the left",
	"curvature":       "of the path of the middle between the axles, positive to the left; front_curvature of that of the middle of the front axle",
	"slip":            "direction in which the middle between the axles moves, from the way that the vehicle points, positive to the left: the crab angle",
	"centre":          "of the turn, from the middle of the front axle; null on a straight path, as are the circles",
	"turning_circle":  "diameter of the circle that the outermost tyre's outer edge touches",
	"inner_circle":    "diameter of the circle that the innermost tyre's inner edge leaves free",
	"scrub":           "by how much a wheel points further left than it is moved; the motion is the one whose scrub angles' squares add up to the least",
	"rear_to_front":   "degrees that the mean of the rear wheels is to steer for each degree of that of the front ones",
	"rear_limited_by": "what keeps the rear from the angle wanted",
}

type turnDoc struct {
	Rig         string                 `json:"rig"`
	Definitions map[string]string      `json:"definitions"`
	Cautions    []string               `json:"cautions"`
	Wheelbase   Figure                 `json:"wheelbase"`
	Front       sides[lockDoc]         `json:"front_lock"`
	Rear        *sides[lockDoc]        `json:"rear_lock,omitempty"`
	Modes       map[string]turnModeDoc `json:"modes"`
}

// TurnJSON writes how a rig turns, with units and uncertainties.
func TurnJSON(w io.Writer, d *turning.Analysis) error {
	doc := turnDoc{
		Rig: d.Front.Rig.Name, Definitions: turnDefinitions, Cautions: turnCautions(d),
		Wheelbase: lengthFigure(d.Front.Geometry.Wheelbase), Front: sidesOf(d.Locks, lockOf), Modes: map[string]turnModeDoc{},
	}
	if d.Rear != nil {
		rear := sidesOf(d.RearLocks, lockOf)
		doc.Rear = &rear
	}
	for _, c := range d.Sweeps {
		one := turnModeDoc{Ratio: plain(d.Options.Ratio(c.Mode), 0, "deg/deg")}
		for i := range c.Samples {
			one.Rows = append(one.Rows, turnRowOf(d, &c.Samples[i]))
		}
		doc.Modes[c.Mode.Key()] = one
	}
	return writeJSON(w, doc)
}

func turnRowOf(d *turning.Analysis, r *turning.Sample) turnRowDoc {
	t, u := &r.Turn, &r.Uncertain
	place := func(v, uncertain float64) Figure {
		if t.Straight {
			v = math.Inf(1)
		}
		return figure(v, uncertain, steer.Millimetre)
	}
	row := turnRowDoc{
		Part: plain(r.Part, 0, "1"), FrontServo: angleFigure(r.FrontServo),
		Front: figure(r.Front, u.Front, steer.Radian), Rear: figure(r.Rear, u.Rear, steer.Radian), Wanted: angleFigure(r.Wanted),
		Curvature: figure(t.Curvature, u.Curvature, steer.PerMillimetre), FrontCurvature: figure(t.FrontCurvature, u.FrontCurvature, steer.PerMillimetre),
		Slip:    figure(t.Slip, u.Slip, steer.Radian),
		Forward: place(t.Centre.X, u.Centre.X), Left: place(t.Centre.Y, u.Centre.Y), Outer: place(2*t.Outer, 2*u.Outer), Inner: place(2*t.Inner, 2*u.Inner),
		Wheels: map[string]turnWheelDoc{},
	}
	if d.Rear != nil {
		servo := angleFigure(r.RearServo)
		row.RearServo = &servo
	}
	if r.Short != nil {
		row.Short = r.Short.Governs
	}
	for i, one := range r.Wheels {
		row.Wheels[strings.ReplaceAll(wheelNames[i], " ", "_")] = turnWheelDoc{
			lengthFigure(one.Contact.X), lengthFigure(one.Contact.Y), angleFigure(one.Road), figure(t.Misfit[i], u.Misfit[i], steer.Radian),
		}
	}
	return row
}
