package report

import (
	"fmt"
	"math"
	"strings"

	"evenlock/load"
	"evenlock/report/document"
)

// Limits of what is said of a safety factor.
const (
	// enough is what the servo's must be before it is called strong enough: friction, which is not
	// counted, takes some tenths (common practice).
	enough = 1.3
	// thinRows are those of the table over the lock that a text shows.
	thinRows = 9
	// straightOut is how near straight ahead, in radians, is called that.
	straightOut = 0.05 * math.Pi / 180
)

// Load says whether servo, rods and saver are strong enough from lock to lock, and what makes them
// so. Its table over the lock has the samples of the analysis.
func Load(a *load.Analysis) *document.Document {
	d := about(a.Model, "load", "Loads", threeLines(loadVerdict(a))...)
	d.Sections = append(d.Sections, servoSection(a), overLockSection(a), rodSection(a), hornSection(a))
	if s, ok := lackSection(a); ok {
		d.Sections = append(d.Sections, s)
	}
	d.Sections = append(d.Sections, groundDetails(a), heatDetails(a))
	if a.Saver != nil {
		d.Sections = append(d.Sections, saverDetails(a))
	}
	if s, ok := rodDetails(a); ok {
		d.Sections = append(d.Sections, s)
	}
	d.Sections = append(d.Sections, ballDetails(a))
	return d
}

// torqueIn makes a figure of a torque in N·mm, for all of an analysis to as many decimals as give
// two figures of what the servo has.
func torqueIn(a *load.Analysis) func(v float64) document.Figure {
	decimals := max(2, 1-int(math.Floor(math.Log10(a.Gives/load.NewtonMetre))))
	return func(v float64) document.Figure { return document.F(v, document.Torque).To(decimals) }
}

// loadCase is something that the wheels are turned against, at its hardest over the lock.
type loadCase struct {
	key string
	// words name it, with its verb they are asks, and against follows "stalls".
	words, asks, against document.Sentence
	// needs is the torque in N·mm, factor what the servo has over it, infinite if nothing is
	// needed.
	needs, factor float64
	servo, saver  [2]load.Onset
}

// loadCases are standing tyres, and the rock as well if the file states one.
func loadCases(a *load.Analysis) []loadCase {
	standing := loadCase{
		key: "standing", servo: a.Standing,
		words: document.Say("standing tyres"), asks: document.Say("standing tyres ask"), against: document.Say("on standing tyres"),
	}
	for i := range a.Samples {
		standing.needs = max(standing.needs, a.Samples[i].Standing[load.ToLeft], a.Samples[i].Standing[load.ToRight])
	}
	all := []loadCase{standing}
	if g := a.Model.Rig.Ground; g.RockForce > 0 {
		rock := document.Say("the ", document.F(g.RockHeight.Value, document.Length).To(0), " rock")
		all = append(all, loadCase{
			key: "rock", needs: a.Samples[a.Hardest].Ask(a.Harder), servo: a.Rock,
			words: document.Say(document.F(g.RockHeight.Value, document.Length).To(0), " rock as well"), asks: document.Say(rock, " asks"), against: document.Say("against ", rock),
		})
	}
	for i := range all {
		c := &all[i]
		c.factor = math.Inf(1)
		if c.needs > 0 {
			c.factor = a.Gives / c.needs
		}
		if s := a.Saver; s != nil {
			c.saver = [][2]load.Onset{s.Standing, s.Rock}[i]
		}
	}
	return all
}

func happens(at [2]load.Onset) bool { return at[load.ToLeft].Happens || at[load.ToRight].Happens }

// whereabouts says where on the way out something happens: ", even straight ahead", " at 9.6°
// left".
func whereabouts(at [2]load.Onset) document.Sentence {
	var sides []document.Sentence
	for side, one := range at {
		switch {
		case !one.Happens:
		case one.Inner < straightOut:
			return document.Say(", even straight ahead")
		default:
			sides = append(sides, document.Say(document.F(one.Inner, document.Angle), " ", sideNames[side]))
		}
	}
	return document.Say(" at ", document.List("and", sides...))
}

// loadVerdict says whether the servo stalls, what it needs for that, whether the saver lets the
// wheels turn back, and how strong the weakest rod is.
func loadVerdict(a *load.Analysis) []document.Line {
	cases, torque := loadCases(a), torqueIn(a)
	standing, hardest := &cases[0], &cases[len(cases)-1]
	bad := hardest
	if happens(standing.servo) {
		bad = standing
	}
	// reason goes with the first line, and gives way to what is worse than it.
	var first, reason document.Line
	switch stalls := happens(bad.servo); {
	case stalls:
		first = document.Line{Severity: document.MustFix, Sentence: document.Say("the servo stalls ", bad.against, whereabouts(bad.servo), ".")}
		reason = line("It needs at least ", torque(bad.needs), " at ", document.F(a.Stalled.Voltage, document.Voltage), " and has ", torque(a.Gives), ".")
	case hardest.factor < enough:
		first = document.Line{Severity: document.TooClose, Sentence: document.Say("the servo has ", document.F(hardest.factor, document.One), " times what ", hardest.asks, ".")}
		reason = line("Friction is not counted, and takes some tenths.")
	default:
		first = document.Line{Severity: document.Fine, Sentence: document.Say("The servo is strong enough: it has ", document.F(hardest.factor, document.One), " times what ", hardest.asks, ".")}
	}
	var others []document.Line
	switch {
	case happens(standing.saver):
		others = append(others, document.Line{Severity: document.WorthFixing, Sentence: document.Say("the servo saver yields ", standing.against, whereabouts(standing.saver), ".")})
	case happens(hardest.saver) && !happens(hardest.servo):
		others = append(others, line("The servo saver yields ", hardest.against, whereabouts(hardest.saver), "."))
	}
	if one, ok := weakestRod(a); ok {
		others = append(others, one)
	}
	lines := []document.Line{first}
	if reason.Sentence != nil && len(others) < 2 {
		lines = append(lines, reason)
	}
	// What must be mended comes before a servo that need not be.
	if last := len(others) - 1; last >= 0 && others[last].Severity > first.Severity {
		return append(append([]document.Line{others[last]}, lines...), others[:last]...)
	}
	return append(lines, others...)
}

// causeWords tell what puts the most on a part.
func causeWords(c load.Cause) string {
	switch c {
	case load.ByStanding:
		return "on standing tyres"
	case load.ByRock:
		return "against the rock"
	default:
		return "with a wheel jammed"
	}
}

// weakestRod is a line about the rod with the least safety factor; ok is false where nothing loads
// one.
func weakestRod(a *load.Analysis) (document.Line, bool) {
	var weakest *load.RodLoad
	least, known := math.Inf(1), 0
	for i := range a.Rods {
		r := &a.Rods[i]
		if r.Rod == nil {
			continue
		}
		known++
		if s, _ := r.Weakest(); s.SafetyFactor < least {
			weakest, least = r, s.SafetyFactor
		}
	}
	switch {
	case known == 0:
		return line("How strong the rods are is not known: material and diameter are missing."), true
	case weakest == nil:
		return document.Line{}, false
	}
	strength, peak := weakest.Weakest()
	factor := document.F(least, document.One)
	if least < 1 {
		fails := "yields"
		switch {
		case weakest.Rod.Offset > 0:
			fails = "bends"
		case strength.Buckles:
			fails = "buckles"
		}
		when := map[load.Cause]string{load.ByStanding: "standing still", load.ByRock: "against the rock", load.ByJam: "once a wheel jams"}[peak.Cause]
		return document.Line{Severity: document.MustFix, Sentence: document.Say("the ", weakest.Words, " ", fails, " ", when, ", safety factor ", factor, ".")}, true
	}
	name := weakest.Words
	if weakest.Rod.Offset > 0 {
		name = "bent " + name
	}
	return line("Weakest rod: the ", name, ", safety factor ", factor, " ", causeWords(peak.Cause), "."), true
}

// failure is how a rod fails first.
func failure(r *load.RodLoad) string {
	strength, _ := r.Weakest()
	pushed := strength == r.PushStrength
	switch {
	case r.Rod.Offset > 0 && pushed:
		return "bends further"
	case r.Rod.Offset > 0:
		return "is pulled straight"
	case strength.Buckles:
		return "buckles"
	case r.Rod.Root > 0:
		return "yields at its thread"
	default:
		return "yields"
	}
}

// ofFactor is the severity of a safety factor: it marks what is not as strong as it must be.
func ofFactor(factor float64) document.Severity {
	if factor < 1 {
		return document.MustFix
	}
	return document.Plain
}

// out is how far the inner wheel is turned where something happens on the way out.
func out(at load.Onset, key string) document.Figure {
	f := document.F(math.NaN(), document.Angle)
	if at.Happens {
		f.Value = at.Inner
	}
	f.Missing = "nowhere"
	return f.Signed(document.Direction{Zero: "straight ahead"}).Named(key, "")
}

func servoSection(a *load.Analysis) document.Section {
	torque := torqueIn(a)
	has := torque(a.Gives).Named("has", "the servo has, at a standstill")
	has.Note = "at " + document.F(a.Stalled.Voltage, document.Voltage).Text(document.Reader{})
	figures := document.Figures{has}
	t := document.Table{Key: "needs", Columns: []document.Column{
		{Key: "case", Head: "turning against"},
		{Key: "needs", Head: "needs"},
		{Key: "factor", Head: "safety factor"},
		{Key: "left", Head: "stalls left at"},
		{Key: "right", Head: "stalls right at"},
	}}
	var saver document.Sentence
	cases := loadCases(a)
	for i := range cases {
		c := &cases[i]
		t.Rows = append(t.Rows, document.Row{Severity: ofFactor(c.factor), Cells: []document.Sentence{
			c.words,
			document.Say(torque(c.needs).Named("needs."+c.key, "")),
			document.Say(document.F(c.factor, document.One).Named("factor."+c.key, "")),
			document.Say(out(c.servo[load.ToLeft], "stalls."+c.key+".left")),
			document.Say(out(c.servo[load.ToRight], "stalls."+c.key+".right")),
		}})
	}
	if s := a.Saver; s != nil {
		yields := torque(s.Preload).Named("saver.yields", "its saver yields at")
		yields.Note = document.F(s.Force, document.Force).Text(document.Reader{}) + " at the horn's ball"
		figures = append(figures, yields)
		switch hardest := &cases[len(cases)-1]; {
		case s.Preload > a.Gives:
			saver = document.Say("The saver is stronger than the servo: it saves gears from knocks, not from stalling. ")
		case !happens(hardest.saver):
			saver = document.Say("The saver holds all the way. ")
		case happens(hardest.servo) && !happens(cases[0].saver): // else the verdict says it
			saver = document.Say("The saver yields ", hardest.against, whereabouts(hardest.saver), ". ")
		}
	}
	return document.Section{Key: "servo", Title: "What the servo needs and has", Blocks: []document.Block{
		figures, t, document.Text(saver, "Friction, shock and wear are not counted: it needs at least this."),
	}}
}

// inner is the inner wheel's angle at a sample, positive to the left.
func inner(s *load.Sample) document.Figure {
	return document.F(s.Inner, document.Angle).Signed(document.ToSide)
}

func overLockSection(a *load.Analysis) document.Section {
	rock, torque := a.Model.Rig.Ground.RockForce > 0, torqueIn(a)
	t := document.Table{
		Key: "lock", Thin: thinRows,
		Columns: []document.Column{{Key: "inner", Head: "inner wheel"}, {Key: "standing", Head: "standing"}},
		Plot: &document.Plot{
			Title: "Safety factor over the lock", About: "The torque that the servo has, over what it needs to turn the harder way. Below 1 it stalls.",
			Across: "inner", Lines: []string{"factor"}, Marks: []document.Mark{{At: document.F(1, document.One), Words: "all that the servo has"}},
		},
	}
	if rock {
		t.Columns = append(t.Columns, document.Column{Key: "rock", Head: "with the rock"})
	}
	t.Columns[len(t.Columns)-1].Bars, t.Columns[len(t.Columns)-1].Whole = true, a.Gives
	t.Columns = append(t.Columns, document.Column{Key: "factor", Head: "safety factor"})
	for i := range a.Samples {
		s := &a.Samples[i]
		h := s.Harder()
		cells := []document.Sentence{document.Say(inner(s)), document.Say(torque(s.Standing[h]))}
		if rock {
			cells = append(cells, document.Say(torque(s.Ask(h))))
		}
		t.Rows = append(t.Rows, document.Row{Severity: ofFactor(s.SafetyFactor), Cells: append(cells, document.Say(document.F(s.SafetyFactor, document.One)))})
	}
	return document.Section{Key: "lock", Title: "Safety factor over the lock", Blocks: []document.Block{t}}
}

func rodSection(a *load.Analysis) document.Section {
	t := document.Table{Key: "rods", Columns: []document.Column{
		{Key: "rod", Head: "rod"},
		{Key: "push", Head: "push"},
		{Key: "pull", Head: "pull"},
		{Key: "factor", Head: "safety factor"},
		{Key: "made", Head: "made of"},
		{Key: "fails", Head: "fails first"},
	}}
	known := false
	for i := range a.Rods {
		r := &a.Rods[i]
		row := document.Row{Cells: []document.Sentence{
			document.Say(r.Words),
			document.Say(document.F(r.Push.Size, document.Force).Named(r.Key+".push", "")),
			document.Say(document.F(r.Pull.Size, document.Force).Named(r.Key+".pull", "")),
			nil, nil, nil,
		}}
		factor := document.F(math.NaN(), document.One).Named(r.Key+".factor", "")
		factor.Missing = "not known"
		switch {
		case r.Rod == nil && strings.HasPrefix(r.Key, "suspension."):
			row.Cells[4] = document.Say("not in the file")
		case r.Rod == nil:
			row.Cells[4] = document.Say("put in material and diameter", document.FileKey(r.Key+".material"))
		default:
			known = true
			strength, peak := r.Weakest()
			factor.Value, row.Severity = strength.SafetyFactor, ofFactor(strength.SafetyFactor)
			row.Cells[4], row.Cells[5] = madeOf(r.Rod), document.Say(failure(r))
			if peak.Cause != load.ByJam {
				row.Cells[5] = document.Say(failure(r), " ", causeWords(peak.Cause))
			}
		}
		row.Cells[3] = document.Say(factor)
		t.Rows = append(t.Rows, row)
	}
	s := document.Section{Key: "rods", Title: "The rods at worst", Blocks: []document.Block{
		document.Text("With one wheel jammed and the servo at full torque, unless said otherwise:"), t,
	}}
	if known {
		s.Blocks = append(s.Blocks, document.Text("Strengths of materials are round figures: use the maker's where you have them."))
	}
	s.Blocks = append(s.Blocks, document.Cautions{ForParts})
	return s
}

// madeOf says what a rod is made of.
func madeOf(r *load.Rod) document.Sentence {
	size := func(v float64) document.Figure { return document.F(v, document.Length) }
	s := document.Say(r.Material.Name, ", ", size(r.Body.Outer))
	if r.Body.Bore > 0 {
		s = document.Say(s, " with ", size(r.Body.Bore), " bore")
	}
	if r.Offset > 0 {
		s = document.Say(s, ", bent ", size(r.Offset))
	}
	return s
}

// saverDetails say where the saver yields, and what that costs on standing tyres.
func saverDetails(a *load.Analysis) document.Section {
	t := document.Table{Key: "saver", Columns: []document.Column{
		{Key: "case", Head: "turning against"},
		{Key: "left", Head: "yields left at"},
		{Key: "right", Head: "yields right at"},
	}}
	for _, c := range loadCases(a) {
		t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{
			c.words,
			document.Say(out(c.saver[load.ToLeft], "saver."+c.key+".left")),
			document.Say(out(c.saver[load.ToRight], "saver."+c.key+".right")),
		}})
	}
	s := document.Section{Key: "saver", Title: "Servo saver", Detail: true, Blocks: []document.Block{t}}
	if happens(a.Saver.Standing) {
		s.Blocks = append(s.Blocks, bySide("saver.lost", "standing, full lock falls short by", func(side int) document.Figure {
			f := document.F(a.Saver.Lost[side], document.Angle)
			f.Missing = "all of it"
			return f
		}))
	}
	return s
}

func hornSection(a *load.Analysis) document.Section {
	s := document.Section{Key: "holes", Title: "Holes of the horn"}
	if len(a.Horn) == 1 {
		s.Blocks = append(s.Blocks, document.Text("Put in the horn's other holes to compare them", document.FileKey(strings.TrimSuffix(a.Model.Servo.Key, "servo")+"horn.holes"), "."))
		return s
	}
	torque := torqueIn(a)
	t := document.Table{Key: "holes", Columns: []document.Column{
		{Key: "hole", Head: "hole"},
		{Key: "turn", Head: "servo turns"},
		{Key: "needs", Head: "needs"},
		{Key: "factor", Head: "safety factor"},
		{Key: "time", Head: "lock to lock"},
		{Key: "reaches", Head: "reaches"},
	}}
	for i, h := range a.Horn {
		key := func(of string) string { return fmt.Sprintf("hole.%d.%s", i+1, of) }
		none := document.F(math.NaN(), document.One)
		cells := []document.Sentence{document.Say(document.F(h.Hole, document.Length).Named(key("radius"), "")), document.Say(none), document.Say(none), document.Say(none), document.Say(none), document.Say("less than that")}
		if h.Reached {
			turn := func(v float64) document.Figure { return document.F(math.Abs(v), document.Angle).To(0) }
			seconds := document.F(h.Seconds, document.Time).Named(key("time"), "")
			if h.Seconds == 0 {
				seconds.Value, seconds.Missing = math.NaN(), "stalls"
			}
			reaches := "full lock"
			if !h.Full {
				reaches = "less than full lock"
			}
			if h.Hole == a.HoleInUse {
				reaches += ", in use"
			}
			cells = []document.Sentence{
				cells[0],
				document.Say(turn(h.Left), " + ", turn(h.Right)),
				document.Say(torque(h.Torque).Named(key("needs"), "")),
				document.Say(document.F(h.SafetyFactor, document.One).Named(key("factor"), "")),
				document.Say(seconds),
				document.Say(reaches),
			}
		}
		row := document.Row{Cells: cells}
		if h.Reached {
			row.Severity = ofFactor(h.SafetyFactor)
		}
		t.Rows = append(t.Rows, row)
	}
	s.Blocks = append(s.Blocks, document.Text("On standing tyres, steered to ", document.F(a.HornLock, document.Angle).Named("horn.lock", ""), " at the inner wheel:"), t)
	return s
}

// lackSection says what is left out for want of values, and what the servo's maker may not allow.
func lackSection(a *load.Analysis) (document.Section, bool) {
	var notes document.Notes
	note := func(s document.Severity, problem document.Sentence, remedy ...any) {
		notes = append(notes, document.Note{Severity: s, Problem: problem, Remedy: document.Say(remedy...)})
	}
	if top := a.Servo.Ratings[len(a.Servo.Ratings)-1].Voltage; a.Supply.Voltage > top {
		note(document.WorthFixing, document.Say("the supply has ", document.F(a.Supply.Voltage, document.Voltage), ", the servo's highest rating is for ", document.F(top, document.Voltage), "."),
			"Its torque is drawn out in proportion. Ask the maker whether it may run so.")
	}
	if a.Supply.Resistance == 0 {
		note(document.Plain, document.Say("No voltage drop is counted."), "Put in the supply's resistance for that", document.FileKey("supply.resistance"), ".")
	}
	if a.Model.Rig.Ground.RockForce == 0 {
		note(document.Plain, document.Say("No rock is counted."), "Put in its height and its force for that", document.FileKey("ground.rock_height"), ".")
	}
	return document.Section{Key: "lacks", Title: "What is left out", Blocks: []document.Block{notes}}, len(notes) > 0
}

// Both formulas of a standing tyre, as package load has them from their sources.
const (
	scrubFormula = "µ W √(d² + (a/3)²)"
	patchFormula = "µ W √(b²/8 + d²)"
)

// bySide makes a figure for each side.
func bySide(key, words string, f func(side int) document.Figure) document.Figures {
	var all document.Figures
	for side, name := range sideNames {
		all = append(all, f(side).Named(key+"."+name, words+", "+name))
	}
	return all
}

// groundDetails say what the wheels stand on and turn against.
func groundDetails(a *load.Analysis) document.Section {
	torque := torqueIn(a)
	tyre := func(of func(t load.Tyre) document.Figure) func(int) document.Figure {
		return func(side int) document.Figure { return of(a.Tyres[side]) }
	}
	figures := bySide("weight", "weight on the tyre", tyre(func(t load.Tyre) document.Figure { return document.F(t.Weight, document.Force) }))
	if g := a.Model.Rig.Ground; g.RockForce > 0 {
		figures = append(figures, document.F(g.RockForce, document.Force).Named("rock.force", "the rock presses with").Noted("square to the tread, at the worse edge of a tyre"))
	}
	figures = append(figures, bySide("offset", "kingpin's foot to the print's middle", tyre(func(t load.Tyre) document.Figure { return document.F(t.Offset, document.Length) }))...)
	figures = append(figures, bySide("scrub", "by "+scrubFormula, tyre(func(t load.Tyre) document.Figure { return torque(t.Scrub) }))...)
	figures = append(figures, bySide("patch", "by "+patchFormula, tyre(func(t load.Tyre) document.Figure { return torque(t.Patch) }))...)
	return document.Section{Key: "ground", Title: "Weight and tyres", Detail: true, Blocks: []document.Block{
		figures,
		document.Text("The first formula is used for a tyre turned without rolling, wheels straight. The second is another textbook's."),
		document.Text("µ is friction, W weight, a the print's length, b the tyre's width, d the distance above."),
	}}
}

func rodDetails(a *load.Analysis) (document.Section, bool) {
	t := document.Table{Key: "rod.details", Columns: []document.Column{
		{Key: "rod", Head: "rod"},
		{Key: "buckles", Head: "buckles at"},
		{Key: "bending", Head: "stress of bending"},
		{Key: "axial", Head: "stress along it"},
		{Key: "yields", Head: "yields at"},
		{Key: "root", Head: "thread's root"},
	}}
	for i := range a.Rods {
		r := &a.Rods[i]
		if r.Rod == nil {
			continue
		}
		strength, _ := r.Weakest()
		bending := document.F(strength.Bending, document.Stress)
		bending.Missing = "no end"
		root := document.F(math.NaN(), document.Length)
		if r.Rod.Root > 0 {
			root.Value = r.Rod.Root
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Sentence{
			document.Say(r.Words),
			document.Say(document.F(r.PushStrength.Buckling, document.Force).Named(r.Key+".buckles", "")),
			document.Say(bending.Named(r.Key+".bending", "")),
			document.Say(document.F(math.Abs(strength.Axial), document.Stress).Named(r.Key+".axial", "")),
			document.Say(document.F(r.Rod.Material.Yield, document.Stress)),
			document.Say(root.Named(r.Key+".root", "")),
		}})
	}
	return document.Section{Key: "rod.details", Title: "Stress in the rods", Detail: true, Blocks: []document.Block{
		document.Text("Under the force that leaves the least safety factor. The buckling force is that of a straight rod."), t,
	}}, len(t.Rows) > 0
}

func ballDetails(a *load.Analysis) document.Section {
	t := document.Table{Key: "balls", Columns: []document.Column{
		{Key: "part", Head: "part"},
		{Key: "force", Head: "force"},
		{Key: "across", Head: "across stud or axis"},
		{Key: "along", Head: "along it"},
		{Key: "bending", Head: "bending"},
	}}
	torque, none := torqueIn(a), document.Say(document.F(math.NaN(), document.Force))
	force := func(v float64) document.Sentence { return document.Say(document.F(v, document.Force)) }
	moment := func(v float64) document.Sentence { return document.Say(torque(v)) }
	add := func(words string, cells ...document.Sentence) {
		t.Rows = append(t.Rows, document.Row{Cells: append([]document.Sentence{document.Say(words)}, cells...)})
	}
	for _, b := range a.Balls {
		across, along := none, none
		if b.Load.Across > 0 {
			across, along = force(b.Load.Across), force(b.Load.Along)
		}
		add(b.Load.Name, force(b.Size), across, along, none)
	}
	for side, k := range a.Kingpins {
		add(sideNames[side]+" kingpin's bearings", none, force(k.Across.Size), force(k.Along.Size), moment(k.Bending.Size))
	}
	s := &a.Shaft
	add("servo's shaft", none, force(s.Side.Size), force(s.Axial.Size), moment(s.Bending.Size))
	if s.Span > 0 {
		add("its outer bearing", force(s.Outer), none, none, none)
		add("its inner bearing", force(s.Inner), none, none, none)
	}
	sec := document.Section{Key: "balls", Title: "Balls, kingpins and shaft", Detail: true, Blocks: []document.Block{t}}
	if s.Span == 0 {
		sec.Blocks = append(sec.Blocks, document.Text("The span between the shaft's bearings is not known", document.FileKey(a.Model.Servo.Key+".bearing_span"), "."))
	}
	if a.Roll.Size > 0 {
		sec.Blocks = append(sec.Blocks, document.Text("The drag link pulls beside the tie rod's line, with ", torque(a.Roll.Size).Named("roll", ""), " that would roll it. The tie rod's ends must hold that."))
	}
	return sec
}

func heatDetails(a *load.Analysis) document.Section {
	air := document.F(max(a.Unloaded[0], a.Unloaded[1]), document.Time).Named("time.air", "lock to lock, wheels in the air")
	standing := document.F(max(a.Loaded[0], a.Loaded[1]), document.Time).Named("time.standing", "lock to lock, on standing tyres")
	if a.Loaded[0] == 0 || a.Loaded[1] == 0 {
		standing.Value, standing.Missing = math.NaN(), "stalls"
	}
	figures := document.Figures{air, standing}
	hardest := &a.Samples[a.Hardest]
	place := inner(hardest).Named("hardest", "it needs most at")
	if on := hardest.RockOn[a.Harder]; on != load.NoRock {
		place.Note = "with the rock at " + on.String()
	}
	figures = append(figures, place)
	s := document.Section{Key: "heat", Title: "Speed and heat", Detail: true}
	if a.Stalled.Current == 0 {
		s.Blocks = []document.Block{figures, document.Text("Heat is not known: the servo's stall current is missing", document.FileKey(a.Model.Servo.Key+".rating.1.stall_current"), ".")}
		return s
	}
	figures = append(figures,
		document.F(a.Stalled.Current, document.Current).Named("stalled.current", "current when it stalls"),
		document.F(a.Stalled.Current*a.Stalled.Voltage, document.Power).Named("stalled.heat", "heat in it then"),
	)
	if a.HeldTorque > 0 {
		held := torqueIn(a)(a.HeldTorque).Named("held.torque", "needs, to hold still on the rock")
		heat := document.F(math.NaN(), document.Power).Named("held.heat", "heat in it then, holding")
		heat.Missing = "it cannot hold"
		if a.HeldKnown {
			heat.Value = a.Held.Heat
		}
		figures = append(figures, held, heat)
	}
	s.Blocks = []document.Block{figures}
	return s
}
