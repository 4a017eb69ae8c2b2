package report

import (
	"encoding/csv"
	"io"

	"evenlock/steer"
	"evenlock/travel"

	"gonum.org/v1/gonum/spatial/r3"
)

func lengthFigure(v float64) Figure { return figure(v, 0, steer.Millimetre) }

// perMillimetre is a figure in degrees for each millimetre of travel.
func perMillimetre(v, uncertain float64) Figure { return plain(v/degree, uncertain/degree, "deg/mm") }

func placeFigure(v r3.Vec) [3]Figure {
	return [3]Figure{lengthFigure(v.X), lengthFigure(v.Y), lengthFigure(v.Z)}
}

func direction(v r3.Vec) [3]Figure {
	return [3]Figure{plain(v.X, 0, "1"), plain(v.Y, 0, "1"), plain(v.Z, 0, "1")}
}

type rideDoc struct {
	Left  Figure `json:"left"`
	Right Figure `json:"right"`
}

func travelOf(r steer.WheelTravel) rideDoc {
	return rideDoc{lengthFigure(r.Left), lengthFigure(r.Right)}
}

type travelRowDoc struct {
	Ride    rideDoc       `json:"ride"`
	Roll    Figure        `json:"roll"`
	Steer   sides[Figure] `json:"steer"`
	Knuckle sides[Figure] `json:"knuckle"`
	Slope   sides[Figure] `json:"steer_per_mm"`
	Toe     Figure        `json:"toe_in"`
	Camber  sides[Figure] `json:"camber"`
	Axle    *axleDoc      `json:"axle,omitempty"`
}

type axleDoc struct {
	Forward Figure `json:"forward"`
	Side    Figure `json:"side_shift"`
	Up      Figure `json:"up"`
	Yaw     Figure `json:"yaw"`
	Pitch   Figure `json:"pitch"`
}

type travelStopDoc struct {
	Reached rideDoc `json:"reached"`
	Rods    string  `json:"rods,omitempty"`
	Words   string  `json:"words"`
}

type motionDoc struct {
	BumpSteer sides[Figure]  `json:"bump_steer"`
	RollSteer *sides[Figure] `json:"roll_steer,omitempty"`
	SideShift *Figure        `json:"side_shift_per_mm,omitempty"`
	Most      sides[Figure]  `json:"most_steer"`
	Steepest  sides[Figure]  `json:"steepest"`
	StopsDown *travelStopDoc `json:"stops_down"`
	StopsUp   *travelStopDoc `json:"stops_up"`
	Rows      []travelRowDoc `json:"rows"`
}

type useDoc struct {
	Key      string   `json:"key"`
	Words    string   `json:"words"`
	Most     Figure   `json:"limit"`
	Straight worstDoc `json:"servo_held"`
	Steered  worstDoc `json:"steered"`
}

type worstDoc struct {
	Part  Figure  `json:"part"`
	Servo Figure  `json:"servo"`
	Ride  rideDoc `json:"ride"`
}

func worstOf(w travel.Worst) worstDoc {
	return worstDoc{plain(w.Part, 0, "1"), angleFigure(w.Servo), travelOf(w.Travel)}
}

type rideLockDoc struct {
	Words   string         `json:"words"`
	Ride    rideDoc        `json:"ride"`
	Inner   *sides[Figure] `json:"inner_wheel,omitempty"`
	Governs *sides[string] `json:"governs,omitempty"`
	Past    string         `json:"past,omitempty"`
}

type besideDoc struct {
	Link       string `json:"link"`
	Angle      Figure `json:"angle"`
	FrontAngle Figure `json:"angle_from_front"`
	LinkLength Figure `json:"link_length"`
	DragLength Figure `json:"drag_link_length"`
}

type idealDoc struct {
	Words   string     `json:"words"`
	Fixed   [3]Figure  `json:"fixed_end"`
	Moving  [3]Figure  `json:"moving_end"`
	Through [3]Figure  `json:"line_through"`
	Along   [3]Figure  `json:"line_direction"`
	Radius  *Figure    `json:"arc_radius,omitempty"`
	Axis    *[3]Figure `json:"arc_axis,omitempty"`
	Centre  *[3]Figure `json:"arc_centre,omitempty"`
}

type betterDoc struct {
	Words string       `json:"words"`
	Way   string       `json:"way"`
	Moves []endMoveDoc `json:"moves"`
	Heave swingDoc     `json:"heave"`
	Roll  swingDoc     `json:"roll"`
	Short bool         `json:"still_better_further_off"`
}

type endMoveDoc struct {
	Words string    `json:"words"`
	From  [3]Figure `json:"from"`
	By    [3]Figure `json:"by"`
}

type swingDoc struct {
	Before sides[Figure] `json:"most_before"`
	After  sides[Figure] `json:"most_after"`
	RateB  sides[Figure] `json:"per_mm_before"`
	RateA  sides[Figure] `json:"per_mm_after"`
}

func swingOf(b *travel.Better, m travel.Motion) swingDoc {
	rate := func(v float64) Figure { return perMillimetre(v, 0) }
	return swingDoc{
		sidesOf(b.Before[m].Most, angleFigure), sidesOf(b.After[m].Most, angleFigure),
		sidesOf(b.Before[m].Rate, rate), sidesOf(b.After[m].Rate, rate),
	}
}

type travelDoc struct {
	Rig         string               `json:"rig"`
	Definitions map[string]string    `json:"definitions"`
	Cautions    []string             `json:"cautions"`
	Servo       Figure               `json:"servo"`
	Motions     map[string]motionDoc `json:"motions"`
	Beside      *besideDoc           `json:"drag_link_and_panhard,omitempty"`
	Locks       []rideLockDoc        `json:"locks"`
	Limits      []useDoc             `json:"limits"`
	Ideals      []idealDoc           `json:"ideal_lines"`
	Better      []betterDoc          `json:"better_ends"`
}

// travelDefinitions say what the figures of the travel mean.
var travelDefinitions = map[string]string{
	"uncertainty":  Definitions["uncertainty"],
	"servo":        Definitions["servo"],
	"ride":         "how far each wheel has risen from ride height, at a solid axle's ends or the lower arms' balls",
	"bump_steer":   "change of the road steer angle for each mm of the motion at ride height, positive to the left",
	"roll_steer":   "the same for each degree of roll, left side up",
	"steer":        "change of the road steer angle from ride height, positive to the left",
	"knuckle":      "the knuckle's turn about its kingpin, from ride height: on a solid axle, the steer that is not the axle's own yaw",
	"toe_in":       "of both wheels together, from ride height",
	"camber":       "from ride height, top outward positive",
	"yaw":          "of a solid axle, positive to the left; pitch is positive with the nose down",
	"part":         "of the limit that is taken up: 1 meets it",
	"ideal_lines":  "on the line, at the fixed end's distance to the front, an end gives no bump steer to first order; about the arc's axis, over all of the travel",
	"better_ends":  "each tried by itself on the rebuilt rig, its rods as long as keeps the wheels straight",
	"most_steer":   "the furthest that the wheel is steered over the travel",
	"stops_up":     "where the travel stops short of what the file states; null where it does not",
	"governs":      "what ends the lock there",
	"steer_per_mm": "null where the travel comes to an end of its own",
}

// TravelJSON writes what the travel does, with units and uncertainties.
func TravelJSON(w io.Writer, d *travel.Analysis, better []travel.Better) error {
	doc := travelDoc{
		Rig: d.Model.Rig.Name, Definitions: travelDefinitions, Cautions: append(append([]string{}, Cautions...), travelCautions...),
		Servo: angleFigure(d.Servo), Motions: map[string]motionDoc{},
		Locks: []rideLockDoc{}, Limits: []useDoc{}, Ideals: []idealDoc{}, Better: []betterDoc{},
	}
	for _, c := range d.Sweeps {
		doc.Motions[c.Motion.Key()] = motionOf(d, c)
	}
	if b := d.Beside; b != nil {
		doc.Beside = &besideDoc{b.Link, angleFigure(b.Angle), resultFigure(b.FrontAngle, steer.Radian), lengthFigure(b.LinkLength), lengthFigure(b.DragLength)}
	}
	for _, l := range d.Locks {
		one := rideLockDoc{Words: l.Words, Ride: travelOf(l.Travel)}
		if l.Past != nil {
			one.Past = l.Past.Error()
		} else {
			inner, governs := sidesOf(l.Inner, angleFigure), sidesOf(l.Stops, func(s steer.Stop) string { return s.Words })
			one.Inner, one.Governs = &inner, &governs
		}
		doc.Locks = append(doc.Locks, one)
	}
	for _, u := range d.LimitUses {
		doc.Limits = append(doc.Limits, useDoc{u.Key, u.Words, angleFigure(u.Most), worstOf(u.Straight), worstOf(u.Steered)})
	}
	for i := range d.Ideals {
		doc.Ideals = append(doc.Ideals, idealOf(&d.Ideals[i]))
	}
	for i := range better {
		b := &better[i]
		one := betterDoc{Words: betterWords(b), Way: map[travel.Way]string{travel.Height: "height", travel.FrontView: "front_view"}[b.Way], Heave: swingOf(b, travel.Heave), Roll: swingOf(b, travel.Rolling), Short: b.Short}
		for _, m := range b.Moves {
			one.Moves = append(one.Moves, endMoveDoc{m.Words, placeFigure(m.From), placeFigure(m.By)})
		}
		doc.Better = append(doc.Better, one)
	}
	return writeJSON(w, doc)
}

func motionOf(d *travel.Analysis, c *travel.Sweep) motionDoc {
	bump := func(r steer.Result) Figure { return perMillimetre(r.Value, r.Uncertain) }
	one := motionDoc{
		BumpSteer: sidesOf(c.BumpSteer, bump),
		Most:      sidesOf(c.Most, func(p travel.Peak) Figure { return angleFigure(p.Value) }),
		Steepest:  sidesOf(c.Steepest, func(p travel.Peak) Figure { return perMillimetre(p.Value, 0) }),
		StopsDown: travelStopOf(c.Stops[0]), StopsUp: travelStopOf(c.Stops[1]),
	}
	if c.Motion == travel.Rolling {
		roll := sidesOf(c.RollSteer, func(r steer.Result) Figure { return plain(r.Value, r.Uncertain, "deg/deg") })
		one.RollSteer = &roll
	}
	if solid(d) {
		shift := plain(c.Rate.Side, 0, "mm/mm")
		one.SideShift = &shift
	}
	for i := range c.Samples {
		r := &c.Samples[i]
		row := travelRowDoc{
			Ride: travelOf(r.Travel), Roll: angleFigure(r.Roll),
			Steer:   sides[Figure]{figure(r.Steer[0], r.SteerUncertain[0], steer.Radian), figure(r.Steer[1], r.SteerUncertain[1], steer.Radian)},
			Knuckle: sidesOf(r.Knuckle, angleFigure), Toe: angleFigure(r.Toe()), Camber: sidesOf(r.Camber, angleFigure),
			Slope: sidesOf(r.Rate.Steer, func(v float64) Figure { return perMillimetre(v, 0) }),
		}
		if k := r.Carried; solid(d) {
			row.Axle = &axleDoc{lengthFigure(k.Forward), lengthFigure(k.Side), lengthFigure(k.Up), angleFigure(k.Yaw), angleFigure(k.Pitch)}
		}
		one.Rows = append(one.Rows, row)
	}
	return one
}

func travelStopOf(e *steer.TravelError) *travelStopDoc {
	if e == nil {
		return nil
	}
	return &travelStopDoc{travelOf(e.Reached), e.Rods, e.Error()}
}

func idealOf(i *travel.Ideal) idealDoc {
	through, along := i.Along()
	one := idealDoc{Words: i.Words, Fixed: placeFigure(i.Fixed), Moving: placeFigure(i.Moving), Through: placeFigure(through), Along: direction(along)}
	if i.Bent {
		radius, axis, centre := lengthFigure(i.Radius), direction(i.Axis), placeFigure(i.Centre)
		one.Radius, one.Axis, one.Centre = &radius, &axis, &centre
	}
	return one
}

// TravelCSV writes the curves, a row for each place of each motion. The header names the units.
func TravelCSV(w io.Writer, d *travel.Analysis) error {
	out := csv.NewWriter(w)
	head := []string{
		"motion", "left rise (mm)", "right rise (mm)", "roll (deg)", "steer left (deg)", "steer left ± (deg)", "steer right (deg)", "steer right ± (deg)",
		"steer left rate (deg/mm)", "steer right rate (deg/mm)", "knuckle left (deg)", "knuckle right (deg)", "toe-in (deg)", "camber left (deg)", "camber right (deg)",
		"axle forward (mm)", "axle side (mm)", "axle yaw (deg)", "axle pitch (deg)",
	}
	if err := out.Write(head); err != nil {
		return err
	}
	for _, c := range d.Sweeps {
		for i := range c.Samples {
			r := &c.Samples[i]
			line := []string{c.Motion.Key(), format(r.Travel.Left), format(r.Travel.Right)}
			for _, v := range []float64{
				r.Roll, r.Steer[0], r.SteerUncertain[0], r.Steer[1], r.SteerUncertain[1], r.Rate.Steer[0], r.Rate.Steer[1],
				r.Knuckle[0], r.Knuckle[1], r.Toe(), r.Camber[0], r.Camber[1],
			} {
				line = append(line, format(v/degree))
			}
			axle := []string{"", "", "", ""}
			if k := r.Carried; solid(d) {
				axle = []string{format(k.Forward), format(k.Side), format(k.Yaw / degree), format(k.Pitch / degree)}
			}
			if err := out.Write(append(line, axle...)); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}
