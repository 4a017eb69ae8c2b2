package report

import (
	"strings"

	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"
)

// List says what a rig file comes to: every body, ball, rod, wheel, servo and limit with its numbers,
// and where in the file each comes from. Line finds the line of a key, as rig.Lines returns it; nil
// where there is no file. The errors are those of rig.Rig.Expand.
func List(r *rig.Rig, line func(key string) int) (*document.Document, error) {
	v, err := r.Expand(true)
	if err != nil {
		return nil, err
	}
	if line == nil {
		line = func(string) int { return 0 }
	}
	v.Locate(line)
	all, err := steer.Trace(r, v)
	if err != nil {
		return nil, err
	}
	l := &lister{v: v, line: line}
	d := &document.Document{Kind: "list", Title: "All parts", Rig: r.Name}
	faults := v.Check()
	d.Verdict = threeLines(l.verdict(r, all, faults))
	if len(faults) > 0 {
		d.Sections = append(d.Sections, document.Section{Key: "faults", Title: "What cannot be", Blocks: []document.Block{faultNotes(faults)}})
	}
	add := func(key, title string, detail bool, rows []document.Row) {
		if len(rows) > 0 {
			t := document.Table{Key: key, Columns: []document.Column{{Key: "part", Head: "part"}, {Key: "is", Head: "what it is"}}, Rows: rows}
			d.Sections = append(d.Sections, document.Section{Key: key, Title: title, Detail: detail, Blocks: []document.Block{t}})
		}
	}
	add("bodies", "Bodies", false, rowsOf(v.Bodies, bodyIs))
	add("balls", "Balls", true, rowsOf(v.Balls, func(b *vehicle.Ball) string { return "on " + the(b.On.Name) }))
	add("rods", "Rods", false, rowsOf(v.Rods, rodIs))
	add("wheels", "Wheels", false, rowsOf(v.Wheels, func(w *vehicle.Wheel) string { return "on " + the(w.Knuckle.Name) }))
	add("servos", "Servos", false, rowsOf(v.Servos, servoIs))
	add("limits", "Limits", true, rowsOf(v.Limits, limitIs))
	add("shapes", "Shapes to clear", true, rowsOf(v.Shapes, func(s *vehicle.Shape) string { return "on " + the(s.On.Name) }))
	add("axles", "Axles", true, rowsOf(v.Axles, func(a *vehicle.Axle) string { return "on " + the(a.Body.Name) }))
	d.Sections = append(d.Sections, l.origins(all))
	return d, nil
}

func the(name string) string { return "the " + strings.TrimPrefix(name, "the ") }

// lister writes the lists of a vehicle.
type lister struct {
	v    *vehicle.Vehicle
	line func(key string) int
}

// verdict says what moves, what the numbers rest on, and which place is least sure; or what cannot
// be.
func (l *lister) verdict(r *rig.Rig, all []steer.Traced, faults []*vehicle.Error) []document.Line {
	if len(faults) > 0 {
		return []document.Line{{Severity: document.MustFix, Sentence: document.Say(faults[0].Problem, ".")}, line(document.Capital(faults[0].Remedy), ".")}
	}
	moved, shared, least := 0, 0, -1
	for _, b := range l.v.Bodies {
		if b.Moves != vehicle.Fixed {
			moved++
		}
	}
	listed := 0
	for i := range all {
		t := &all[i]
		if unsaid(t) {
			continue
		}
		listed++
		if t.Rule == vehicle.Mirrors {
			shared++
		}
		if t.Kind <= vehicle.PlaceZ && t.Known.Uncertain > 0 && (least < 0 || t.Known.Uncertain > all[least].Known.Uncertain) {
			least = i
		}
	}
	count := func(key string, n int, one, many string) document.Sentence {
		if n == 1 {
			return document.Say("one ", one)
		}
		return document.Say(document.F(float64(n), document.One).To(0).Named(key, ""), " ", many)
	}
	by, verb := count("servos", len(l.v.Servos), "servo", "servos"), " move it all"
	if a := l.v.Axles[0]; a.Suspended {
		by = document.Say(by, " and the suspension")
	} else if len(l.v.Servos) == 1 {
		verb = " moves it all"
	}
	lines := []document.Line{
		line(capital(count("bodies", moved, "body", "bodies")), " on ", count("rods", len(l.v.Rods), "rod", "rods"), ": ", by, verb, ", nothing is loose."),
		line(count("numbers", listed, "number", "numbers"), " come from ", count("measurements", len(r.Measurements()), "measurement", "measurements"),
			"; ", count("mirrored", shared, "number", "of them"), " by mirroring the left."),
	}
	if least >= 0 {
		t := &all[least]
		lines = append(lines, line("Least sure is ", the(t.Name), ": ± ", document.F(t.Known.Uncertain, document.Length), " ", whatOf(&t.Number), "."))
	}
	return lines
}

func faultNotes(faults []*vehicle.Error) document.Notes {
	var all document.Notes
	for _, e := range faults {
		all = append(all, document.Note{Severity: document.MustFix, Problem: document.Say(document.Capital(e.Problem), where(e.Line, e.Key), "."), Remedy: document.Say(document.Capital(e.Remedy), ".")})
	}
	return all
}

// where names a key and its line.
func where(line int, key string) document.Sentence {
	switch {
	case key == "":
		return nil
	case line == 0:
		return document.Say(";", document.FileKey(key))
	}
	return document.Say("; line ", line, document.FileKey(key))
}

func bodyIs(b *vehicle.Body) string {
	switch b.Moves {
	case vehicle.Turns:
		return "turns on " + the(b.On.Name)
	case vehicle.Slides:
		return "slides on " + the(b.On.Name)
	case vehicle.Between:
		return "turns between " + the(b.Ends[0].Name) + " and " + the(b.Ends[1].Name)
	case vehicle.Free:
		return "moves as its rods let it"
	case vehicle.Fixed:
	}
	return "does not move"
}

func rodIs(r *vehicle.Rod) string {
	said := []string{"from " + the(r.From.Name) + " to " + the(r.To.Name)}
	for _, made := range []string{r.Stock.Thread, r.Stock.Material} {
		if made != "" {
			said = append(said, made)
		}
	}
	return strings.Join(said, ", ")
}

func servoIs(s *vehicle.Servo) string {
	is := "turns " + the(s.Horn.Name) + ", and pulls " + the(s.Link.Name)
	if s.Leader != nil {
		is += ", as " + the(s.Leader.Name) + " does"
	}
	return is
}

func limitIs(l *vehicle.Limit) string {
	switch l.Kind {
	case vehicle.OfTurn:
		return "of the turn of " + the(l.Body.Name)
	case vehicle.OfRodEnd:
		return "of the lean of " + the(l.Rod.Name) + " at " + the(l.End.Name)
	case vehicle.OfJoint:
		return "of the angle in the drive of " + the(l.Wheel.Name)
	case vehicle.OfServo:
	}
	return "of the turn of " + the(l.Servo.Horn.Name)
}

// listed is a part of a list.
type listed interface{ Listed() *vehicle.Part }

// rowsOf are the rows of a list: what each part is, and where it comes from.
func rowsOf[P listed](all []P, is func(P) string) []document.Row {
	var rows []document.Row
	for _, one := range all {
		p := one.Listed()
		said := document.Say(is(one), where(p.Line, p.Key))
		if p.Rule != "" {
			said = document.Say(said, ". ", document.Capital(p.Rule), ".")
		}
		rows = append(rows, document.Row{Cells: []document.Sentence{document.Say(strings.TrimPrefix(p.Name, "the ")), said}})
	}
	return rows
}

// unsaid tells of a part of a direction that the file says in a word.
func unsaid(t *steer.Traced) bool {
	return t.Kind >= vehicle.WayX && t.Kind <= vehicle.WayZ && len(t.By) == 0
}

// numberLooks are how the kinds of numbers look: the unit, the words for the sign, and what tells
// the number from the others of a place or a direction.
var numberLooks = [...]struct {
	unit document.Unit
	way  document.Direction
	what string
}{
	vehicle.PlaceX:       {document.Length, toFront, "along"},
	vehicle.PlaceY:       {document.Length, toLeft, "across"},
	vehicle.PlaceZ:       {document.Length, above, "in height"},
	vehicle.WayX:         {document.One, document.Direction{Negative: "back", Positive: "forward"}, "along"},
	vehicle.WayY:         {document.One, toLeft, "across"},
	vehicle.WayZ:         {document.One, document.Direction{Negative: "down", Positive: "up"}, "in height"},
	vehicle.LengthNumber: {document.Length, document.Direction{}, ""},
	vehicle.AngleNumber:  {document.Angle, document.Direction{}, ""},
	vehicle.RatioNumber:  {document.One, document.Direction{}, ""},
}

func whatOf(n *vehicle.Number) string { return numberLooks[n.Kind].what }

func shownNumberOf(t *steer.Traced) document.Figure {
	look := numberLooks[t.Kind]
	return document.FU(t.Known.Value, t.Known.Uncertain, look.unit).Signed(look.way)
}

// origins lists each number with the keys that move it, the parts that their ± have in its own, and
// whether they move that of the other side as well.
func (l *lister) origins(all []steer.Traced) document.Section {
	t := document.Table{Key: "origins", Columns: []document.Column{{Key: "part", Head: "number"}, {Key: "from", Head: "comes from"}}}
	for i := range all {
		n := &all[i]
		if unsaid(n) {
			continue
		}
		parts := map[string]float64{}
		for _, s := range n.Known.Shares() {
			parts[s.Measure.Path] = s.Part
		}
		from := document.Say(strings.TrimSpace(n.What+" "+whatOf(&n.Number)), " ",
			shownNumberOf(n).Named(strings.TrimSuffix(n.List+"."+n.Name+"."+n.What+"."+whatOf(&n.Number), "."), ""))
		for _, m := range n.By {
			from = document.Say(from, where(l.line(m.Path), m.Path))
			if p := parts[m.Path]; p >= 0.005 {
				from = document.Say(from, " ", part(p))
			}
			if m.Shared {
				from = document.Say(from, " for both sides")
			}
		}
		if len(n.By) == 0 {
			from = document.Say(from, where(l.line(n.Says), n.Says))
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{document.Say(strings.TrimPrefix(n.Name, "the ")), from}})
	}
	return document.Section{Key: "origins", Title: "Each number, what makes its ±, and where it comes from", Detail: true, Blocks: []document.Block{t}}
}
