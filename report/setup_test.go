package report_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/report/text"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

func planOf(t *testing.T, r *rig.Rig) (*setup.Plan, *document.Document) {
	t.Helper()
	p, err := setup.Make(r, 1)
	if err != nil {
		t.Fatal(err)
	}
	return p, report.SetUp(p)
}

// figureOf gives the value of the figure with a key.
func figureOf(t *testing.T, d *document.Document, key string) float64 {
	t.Helper()
	f, ok := d.Find(key)
	if !ok {
		t.Fatalf("no figure %s", key)
	}
	return f.Value
}

func stepsOf(t *testing.T, d *document.Document) map[string]document.Step {
	t.Helper()
	all := map[string]document.Step{}
	for i := range d.Sections {
		for _, b := range d.Sections[i].Blocks {
			if steps, ok := b.(document.Steps); ok {
				for _, s := range steps {
					all[s.Key] = s
				}
			}
		}
	}
	return all
}

func notesOf(d *document.Document) document.Notes {
	for i := range d.Sections {
		if d.Sections[i].Key == "notes" {
			return d.Sections[i].Blocks[0].(document.Notes) //nolint:errcheck // its only block
		}
	}
	return nil
}

// The starter's horn has its ball at 26, 24.5, 19.2 and the servo's axis points forward through 22,
// 22, 37; the far ball is at 26, -74.5, 19. The horn goes 12 of 25 teeth and to the opposite arm,
// which is 172.8° + 180°, and the subtrim turns it by -2 steps of 89°/200. By turning the ball by
// hand, the drag link's length follows; its M3 turnbuckle changes by 1 mm a turn (ISO 261: a pitch
// of 0.5 mm; two pitches a turn).
func TestTheDragLinksLengthIsThatOfTheTurnedHorn(t *testing.T) {
	_, d := planOf(t, starter(t, "far-knuckle"))
	turn := (12*360.0/25 + 180 - 360) * degree
	turn += -2 * (89.0 / 200) * degree
	sin, cos := math.Sincos(turn)
	y, z := 24.5-22, 19.2-37.0
	y, z = 22+cos*y-sin*z, 37+sin*y+cos*z
	length := math.Hypot(y+74.5, z-19)
	if got := figureOf(t, d, "rod.drag_link"); math.Abs(got-length) > 1e-6 {
		t.Errorf("the drag link is %.4f mm, by hand %.4f mm", got, length)
	}
	was := math.Hypot(24.5+74.5, 19.2-19)
	if got := figureOf(t, d, "rod.drag_link.change"); math.Abs(got-(length-was)) > 1e-6 {
		t.Errorf("it changes by %.4f turns of 1 mm, by hand by %.4f mm", got, length-was)
	}
	if got := figureOf(t, d, "subtrim"); got != -2 {
		t.Errorf("subtrim %v", got)
	}
	if do := stepsOf(t, d)["horn"].Do.Text(document.Reader{}); do != "12 teeth counter-clockwise; use the opposite arm" {
		t.Errorf("the horn: %s", do)
	}
}

// A transmitter whose 100 steps are 400 µs: an endpoint and a subtrim then read in µs, four for
// each step.
func TestEndpointsReadInMicrosecondsWhereReadingsTell(t *testing.T) {
	r := starter(t, "far-knuckle", change{"angle = 45\n\n", "angle = 45\npulse = 1900\n\n"}, change{"angle = -44\n", "angle = -44\npulse = 1108.888888888889\n"})
	p, d := planOf(t, r)
	us := document.Reader{Pulse: document.Microseconds}
	for key, steps := range map[string]float64{"endpoint.left": p.Ends[steer.Left].Endpoint.Value, "endpoint.right": p.Ends[steer.Right].Endpoint.Value, "subtrim": p.Subtrim.Value} {
		f, ok := d.Find(key)
		if !ok {
			t.Fatalf("no figure %s", key)
		}
		each := 400 * (89.0 / 2) / 45 / 100 // the mean of both sides' steps
		want := document.Number(steps*each, 0) + " µs"
		if got := f.Brief().Text(us); math.Abs(f.Uncertain) == 0 && got != want {
			t.Errorf("%s reads %s, want %s", key, got, want)
		}
		if got := f.Brief().Text(us); !strings.HasSuffix(got, " µs") {
			t.Errorf("%s reads %s", key, got)
		}
		if got := f.Text(document.Reader{}); !strings.HasSuffix(got, " %") {
			t.Errorf("%s reads %s", key, got)
		}
	}
}

// The long caution stands once, at the step that powers the servo; that of a horn only where one
// comes off, and that of a thread only where a rod gets longer.
func TestCautionsAreAtTheirSteps(t *testing.T) {
	moved := 0
	for name, r := range spoiled(t) {
		p, d := planOf(t, r)
		all := written(t, d, text.Options{All: true})
		if n := strings.Count(strings.Join(strings.Fields(all), " "), report.BeforePower); n != 1 {
			t.Errorf("%s: the long caution stands %d times", name, n)
		}
		steps := stepsOf(t, d)
		if steps["prepare"].Caution != report.BeforePower {
			t.Errorf("%s: the first step has the caution %q", name, steps["prepare"].Caution)
		}
		move := p.Horn.Teeth != 0 || p.Horn.Arm != 0
		if got := steps["horn"].Caution == report.HornOff; got != move {
			t.Errorf("%s: the horn moves %v, its caution stands %v", name, move, got)
		}
		if move {
			moved++
		}
		for i := range p.Rods {
			rod := &p.Rods[i]
			more := rod.Fits && !rod.Leave() && rod.Length.Value > rod.Now.Value
			if got := steps[rod.Key].Caution == report.Thread; got != more {
				t.Errorf("%s: the %s gets longer %v, its caution stands %v", name, rod.Name, more, got)
			}
		}
	}
	r := starter(t, "far-knuckle")
	r.DragLink.Length.Given, r.DragLink.Length.Value = true, 95
	if _, d := planOf(t, r); stepsOf(t, d)["drag_link"].Caution != report.Thread {
		t.Error("a drag link that gets longer has no caution")
	}
	if moved == 0 {
		t.Error("no horn moves")
	}
}

// A step hands on what the plan writes into the file for it, and one in which all stays writes
// nothing on the bench that is not so.
func TestStepsHandOnWhatThePlanWrites(t *testing.T) {
	for _, name := range rigtest.Names() {
		p, d := planOf(t, starter(t, name))
		steps := stepsOf(t, d)
		for key, of := range map[string]setup.Step{
			"prepare": setup.Prepare, "horn": setup.PlaceHorn, "subtrim": setup.SetSubtrim,
			"settings.endpoint_left": setup.SetEnd(steer.Left), "settings.endpoint_right": setup.SetEnd(steer.Right), "drag_link": "drag_link",
		} {
			want := p.Changes(of)
			got := steps[key].Set
			if len(got) != len(want) {
				t.Errorf("%s: %s hands on %v, want %v", name, key, got, want)
				continue
			}
			for i := range got {
				if got[i] != document.Setting(want[i]) {
					t.Errorf("%s: %s hands on %v, want %v", name, key, got[i], want[i])
				}
			}
		}
		for key, s := range steps {
			if s.Leave && key != "subtrim" && len(s.Set) > 0 {
				t.Errorf("%s: %s stays as it is, and sets %v", name, key, s.Set)
			}
		}
	}
}

// A lock that is wanted and not reached is said in the verdict, with what stops it; one that is
// reached too.
func TestTheVerdictTellsOfTheLockWanted(t *testing.T) {
	_, d := planOf(t, starter(t, "far-knuckle"))
	last := d.Verdict[len(d.Verdict)-1]
	if last.Severity != document.WorthFixing || !strings.Contains(last.Sentence.Text(document.Reader{}), "the transmitter's greatest endpoint") {
		t.Errorf("%v: %s", last.Severity, last.Sentence.Text(document.Reader{}))
	}
	// The file wants 38°.
	if got := figureOf(t, d, "lock.wanted"); math.Abs(got-38*degree) > 1e-12 {
		t.Errorf("wanted %v°", got/degree)
	}
	_, d = planOf(t, starter(t, "centre-crank"))
	if last := d.Verdict[len(d.Verdict)-1]; last.Severity != document.Plain || last.Sentence.Text(document.Reader{}) != "That is the lock you want." {
		t.Errorf("%v: %s", last.Severity, last.Sentence.Text(document.Reader{}))
	}
	for _, side := range []string{"left", "right"} {
		if got := figureOf(t, d, "inner."+side); math.Abs(got-26*degree) > 1e-6 {
			t.Errorf("the lock to the %s is %v°, and 26° is wanted", side, got/degree)
		}
	}
}

// Each kind of note says what is so and what to do, in words and with figures.
func TestEveryKindOfNoteIsWorded(t *testing.T) {
	for name, c := range map[string]struct {
		change   func(r *rig.Rig)
		severity document.Severity
		says     []string
	}{
		"no readings": {func(r *rig.Rig) { r.Transmitter.Readings = nil }, document.WorthFixing, []string{"without readings the settings are servo angles"}},
		"no teeth":    {func(r *rig.Rig) { r.Servo.Teeth = 0 }, document.WorthFixing, []string{"spline's teeth are not in the file", "Count them"}},
		"no thread":   {func(r *rig.Rig) { r.DragLink.Thread = "" }, document.Plain, []string{"The drag link's turns are not known", "such as M3"}},
		"little subtrim": {
			func(r *rig.Rig) { r.Servo.Teeth, r.Horn.Arms, r.Transmitter.MaxSubtrim = 3, 1, 2 }, document.WorthFixing,
			[]string{"the subtrim cannot turn the horn", "it reaches 0.9°", "a horn with more arms"},
		},
		"a fixed rod": {
			func(r *rig.Rig) {
				r.DragLink.Adjust = "fixed"
				r.DragLink.Length = rig.Length{Quantity: rig.Quantity{Value: 98, Given: true}}
			}, document.MustFix,
			[]string{"the drag link is of fixed length, and must be 1.5 mm shorter", "Take a rod of that length"},
		},
		"a range too short": {
			func(r *rig.Rig) { r.DragLink.Shortest.Value, r.DragLink.Longest.Value = 80, 81 }, document.MustFix,
			[]string{"the drag link must be 96.5 mm, and goes from 80.0 mm to 81.0 mm"},
		},
		"even elsewhere": {func(*rig.Rig) {}, document.WorthFixing, []string{"the horn 3 places (10.8°) further counter-clockwise steers more evenly", "1.5 % of path curvature instead of 8.5 %"}},
	} {
		t.Run(name, func(t *testing.T) {
			r := starter(t, "far-knuckle")
			c.change(r)
			_, d := planOf(t, r)
			found := false
			for _, n := range notesOf(d) {
				said := n.Problem.Text(document.Reader{}) + " " + n.Remedy.Text(document.Reader{})
				if strings.Contains(said, "a curve takes out") {
					t.Errorf("says %q", said)
				}
				all := n.Severity == c.severity && len(n.Remedy) > 0
				for _, words := range c.says {
					all = all && strings.Contains(said, words)
				}
				found = found || all
			}
			if !found {
				t.Errorf("no note says %q: %v", c.says, notesOf(d))
			}
			if c.severity == document.MustFix && d.Verdict[0].Severity != document.MustFix {
				t.Errorf("the verdict begins %v: %s", d.Verdict[0].Severity, d.Verdict[0].Sentence.Text(document.Reader{}))
			}
		})
	}
}

// Where a curve makes up for what another place of the horn does better, the note does not ask to
// mend it, and says that both figures are without the curve.
func TestAnEvenPlaceIsNoFaultWhereACurveMakesUpForIt(t *testing.T) {
	file := rigtest.ExampleText(t, "crawler")
	p, d := planOf(t, rigtest.Read(t, file))
	if p.EvenPlace == nil || p.Settings.Curve == nil || p.EvenShaped.Path > 2*p.EvenPlace.Path {
		t.Fatalf("even place %+v, curve %v, path %v", p.EvenPlace, p.Settings.Curve, p.EvenShaped.Path)
	}
	for _, n := range notesOf(d) {
		if said := n.Problem.Text(document.Reader{}); strings.Contains(said, "further") {
			if n.Severity != document.Plain || !strings.Contains(said, "without expo or curve") {
				t.Errorf("%v: %s", n.Severity, said)
			}
			return
		}
	}
	t.Error("no note of it")
}

// The example truck's set-up is read on one screen.
func TestTheSetUpOfTheTruckTakesAScreen(t *testing.T) {
	file := rigtest.ExampleText(t, "trail-truck")
	_, d := planOf(t, rigtest.Read(t, file))
	if n := strings.Count(written(t, d, text.Options{}), "\n"); n > 45 {
		t.Errorf("%d lines", n)
	}
}

// Settings past a limit: by how much, and an endpoint that does not pass it any more.
func TestTryingPastALimitSaysWhatToBringIn(t *testing.T) {
	r := starter(t, "far-knuckle", change{"\nout = ", "\nout = 20 # "})
	trial, err := setup.Try(r, 1, 5)
	if err != nil {
		t.Fatal(err)
	}
	d := report.Try(trial)
	first := d.Verdict[0]
	if first.Severity != document.MustFix || !strings.Contains(first.Sentence.Text(document.Reader{}), "passes the left knuckle's outward stop by") {
		t.Errorf("%v: %s", first.Severity, first.Sentence.Text(document.Reader{}))
	}
	if !strings.Contains(written(t, d, text.Options{}), "Bring the left endpoint in to 66 % and bring the right endpoint in to 69 %.") {
		t.Errorf("%s", written(t, d, text.Options{}))
	}
	r.Settings.EndpointLeft, r.Settings.EndpointRight = 66, 69
	if trial, err = setup.Try(r, 1, 5); err != nil {
		t.Fatal(err)
	}
	if d := report.Try(trial); d.Worst() > document.Fine || len(trial.Passed) > 0 {
		t.Errorf("brought in, it says %s", written(t, d, text.Options{}))
	}
	r.Settings.EndpointLeft = 67
	if trial, err = setup.Try(r, 1, 5); err != nil {
		t.Fatal(err)
	}
	if len(trial.Passed) != 1 {
		t.Errorf("a step further out, %d stops are passed", len(trial.Passed))
	}
}

// A channel the wrong way about is the first thing said, and set-up turns it over.
func TestAWrongWayIsSaidFirst(t *testing.T) {
	r := starter(t, "far-knuckle", change{"angle = 45\n\n", "angle = -45\n\n"}, change{"angle = -44", "angle = 44"})
	trial, err := setup.Try(r, 1, 5)
	if err != nil {
		t.Fatal(err)
	}
	d := report.Try(trial)
	if got := d.Verdict[0]; got.Severity != document.MustFix || got.Sentence.Text(document.Reader{}) != "left stick steers right: turn the channel's reverse on." {
		t.Errorf("%s", got.Sentence.Text(document.Reader{}))
	}
	_, d = planOf(t, r)
	if do := stepsOf(t, d)["reverse"].Do.Text(document.Reader{}); do != "turn the steering channel's reverse on" {
		t.Errorf("set-up: %q", do)
	}
}
