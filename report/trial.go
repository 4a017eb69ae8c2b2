package report

import (
	"fmt"
	"io"
	"math"

	"evenlock/setup"
	"evenlock/steer"
)

// Trial writes where settings take the wheels, as text of at most 80 columns.
func Trial(w io.Writer, t *setup.Trial) error {
	var p printer
	s := t.Settings
	p.title("WHERE THE WHEELS GO: ", t.Model.Rig.Name)
	p.line("")
	p.item("settings", "subtrim %s, trim %s, endpoints left %s and right %s, rate %s, expo %s%s%s",
		number(s.Subtrim, 0), number(s.Trim, 0), number(s.EndpointLeft, 0), number(s.EndpointRight, 0),
		number(s.Rate, 0), number(s.Expo, 0), map[bool]string{true: ", with a curve"}[s.Curve != nil], map[bool]string{true: ", reversed"}[s.Reverse])
	p.line("")
	p.line("%12s %14s %14s %14s %10s", "stick", "servo", "left wheel", "right wheel", "circle, m")
	marked := false
	for _, x := range t.Points {
		stick := number(100*math.Abs(x.Stick), 0) + " % left "
		switch {
		case x.Stick == 0:
			stick = "centre   "
		case x.Stick < 0:
			stick = number(100*math.Abs(x.Stick), 0) + " % right"
		}
		if !x.Reached {
			p.line("%12s %14s   the linkage does not reach it", stick, turnWord(x.Servo))
			continue
		}
		mark := ""
		if x.Stop != "" {
			mark, marked = "  !", true
		}
		p.line("%12s %14s %14s %14s %10s%s", stick, turnWord(x.Servo), side(x.Values[steer.RoadLeft]), side(x.Values[steer.RoadRight]), diameterWord(x.Values[steer.Curvature], 2), mark)
	}
	p.line("")
	p.item("servo", "%s", servoWords)
	p.item("circle", "diameter of the path of the middle of the other axle")
	if marked {
		p.item("!", "past a limit, which the lines below name")
	}
	p.line("")
	p.line("WHAT TO WATCH")
	if wrongWay(t) {
		p.line("  %s", wrap("! Left stick steers right: turn the steering channel's reverse over.", 4))
	}
	if len(t.Passed) == 0 {
		p.line("  %s", wrap("No stick position, with any trim, drives the linkage past a limit.", 2))
	}
	for _, x := range t.Passed {
		how := "Full stick drives"
		if x.TrimOnly {
			how = "Full stick with full trim drives"
		}
		p.line("  %s", wrap(fmt.Sprintf("! %s the servo %s° past %s, which is met at %s %s.", how, number(x.By/degree, 1), x.Stop.Words, sized(x.Stop.Servo), way(x.Stop.Servo.Value)), 4))
	}
	if len(t.Passed) > 0 {
		p.line("  %s", wrap("Bring that endpoint, or the trim, in until nothing is past a limit.", 2))
	}
	p.line("")
	p.line("EVENNESS, greatest difference left against right at equal stick")
	if t.EvenKnown {
		p.item("inner wheel", "%s°", number(t.Even.Lock/degree, 1))
		p.item("path curvature", "%s of that at full lock", percent(t.Even.Path))
	} else {
		p.line("  Not known: the linkage does not reach every stick position.")
	}
	p.line("")
	p.cautions()
	_, err := io.WriteString(w, p.String())
	return err
}

// wrongWay reports whether full left stick steers right of where full right stick does.
func wrongWay(t *setup.Trial) bool {
	right, left := t.Points[0], t.Points[len(t.Points)-1]
	return right.Reached && left.Reached && left.Values[steer.Curvature] < right.Values[steer.Curvature]
}

type trialPointDoc struct {
	Stick   Figure  `json:"stick"`
	Servo   Figure  `json:"servo"`
	Reached bool    `json:"reached"`
	Left    *Figure `json:"left_wheel,omitempty"`
	Right   *Figure `json:"right_wheel,omitempty"`
	Path    *Figure `json:"curvature,omitempty"`
	Past    string  `json:"past,omitempty"`
}

type passedDoc struct {
	Words    string `json:"words"`
	Key      string `json:"key,omitempty"`
	By       Figure `json:"by_servo"`
	TrimOnly bool   `json:"with_trim_only"`
}

// TrialJSON writes a trial with units.
func TrialJSON(w io.Writer, t *setup.Trial) error {
	doc := struct {
		Rig    string          `json:"rig"`
		Wrong  bool            `json:"left_stick_steers_right"`
		Low    Figure          `json:"servo_lowest"`
		High   Figure          `json:"servo_highest"`
		Points []trialPointDoc `json:"points"`
		Passed []passedDoc     `json:"past_limits"`
		Even   *evenDoc        `json:"evenness,omitempty"`
	}{
		Rig: t.Model.Rig.Name, Wrong: wrongWay(t), Low: figure(t.Low, 0, steer.Radian), High: figure(t.High, 0, steer.Radian), Passed: []passedDoc{},
	}
	for _, x := range t.Points {
		one := trialPointDoc{Stick: plain(x.Stick, 0, "1"), Servo: figure(x.Servo, 0, steer.Radian), Reached: x.Reached, Past: x.Stop}
		if x.Reached {
			l, r, c := figure(x.Values[steer.RoadLeft], 0, steer.Radian), figure(x.Values[steer.RoadRight], 0, steer.Radian), figure(x.Values[steer.Curvature], 0, steer.PerMillimetre)
			one.Left, one.Right, one.Path = &l, &r, &c
		}
		doc.Points = append(doc.Points, one)
	}
	for _, x := range t.Passed {
		doc.Passed = append(doc.Passed, passedDoc{x.Stop.Words, x.Stop.Key, figure(x.By, 0, steer.Radian), x.TrimOnly})
	}
	if t.EvenKnown {
		e := evenOf(t.Even)
		doc.Even = &e
	}
	return writeJSON(w, doc)
}
