package report_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"evenlock/advise"
	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/report/text"
	"evenlock/rig"
)

// advice is the document of the advice on a rig.
func advice(r *rig.Rig) (*document.Document, error) {
	list, e, err := advise.Of(r, 1)
	if err != nil {
		return nil, err
	}
	return report.Advice(e, list), nil
}

// bumpStop is two parts of a chassis starter that meet as the axle rises.
const bumpStop = `
[[part]]
name = "bump stop"
on = "chassis"
shape = "ball"
centre = [0, 0, 30]
radius = 5
gap = 2
[[part]]
name = "pad"
on = "axle"
shape = "ball"
centre = [0, 0, 0]
radius = 5
`

// advised are documents of rigs on which there is something to say that the starters have no cause
// for: loads, rods that fail, limits that the travel passes, settings that pass a stop.
func advised(t *testing.T) map[string]*document.Document {
	t.Helper()
	rigs := map[string]*rig.Rig{}
	for _, name := range rigtest.Names() {
		loaded := string(rigtest.LoadedText(t, name))
		rigs[name+", loaded"] = rigtest.Read(t, []byte(loaded))
		rigs[name+", nylon"] = rigtest.Read(t, []byte(strings.ReplaceAll(loaded, `"steel"`, `"nylon"`)))
		weak := rigtest.Read(t, []byte(loaded))
		weak.Ground.RockForce = 0
		for i := range weak.Servo.Ratings {
			weak.Servo.Ratings[i].Torque.Value /= 6
		}
		rigs[name+", weak servo"] = weak
		toe := rigtest.Starter(t, name, "want.toe=1.5")
		if !toe.DragLink.Length.Given {
			toe = rigtest.Starter(t, name, "want.toe=1.5", "servo.travel=70")
		}
		rigs[name+", toe"] = toe
		rigs[name+", far"] = rigtest.Starter(t, name, "want.lock=80", "transmitter.max_endpoint=150", "servo.travel=160", "settings.endpoint_left=140")
	}
	for _, path := range []string{"crawler", "four-wheel", "trail-truck"} {
		file, err := os.ReadFile(filepath.Join("..", "examples", path+".toml"))
		if err != nil {
			t.Fatal(err)
		}
		rigs[path] = rigtest.Read(t, file)
	}
	for name, changes := range map[string][]string{
		"binds": {"drag_link.end_angle=20"}, "short": {"suspension.droop=200"}, "travel lock": {"drag_link.end_angle=29"},
	} {
		rigs["chassis, "+name] = rigtest.Starter(t, "chassis", changes...)
	}
	rigs["far-knuckle, long link"] = rigtest.Starter(t, "far-knuckle", "drag_link.length=101.3")
	rigs["chassis, bump stop"] = rigtest.Read(t, append(rigtest.StarterText(t, "chassis"), bumpStop...))
	all := map[string]*document.Document{}
	for name, r := range rigs {
		d, err := advice(r)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		all[name] = d
	}
	return all
}

// everyFinding tests all findings of all advice.
func everyFinding(t *testing.T, test func(t *testing.T, section string, f *document.Finding)) {
	t.Helper()
	everyAccount(t, func(t *testing.T, d *document.Document) {
		for i := range d.Sections {
			for _, b := range d.Sections[i].Blocks {
				if all, ok := b.(document.Findings); ok && d.Kind == "advise" {
					for k := range all {
						test(t, d.Sections[i].Key, &all[k])
					}
				}
			}
		}
	})
}

// A headline is ten words at most, a figure counting as one; what is fine or too close to call is
// not to be changed; what is to be changed says from what to what.
func TestAFindingIsAHeadlineAndAChangeWithItsGain(t *testing.T) {
	seen := map[string]bool{}
	everyFinding(t, func(t *testing.T, section string, f *document.Finding) {
		seen[strings.Split(f.Key, ".")[0]] = true
		said := f.Headline.Text(document.Reader{})
		for _, one := range f.Headline.Figures() {
			said = strings.Replace(said, one.Text(document.Reader{}), "0", 1)
		}
		if n := len(strings.Fields(said)); n > 10 || n < 3 {
			t.Errorf("%s: %d words: %s", f.Key, n, said)
		}
		for _, text := range []string{said, f.Text.Text(document.Reader{})} {
			if strings.HasSuffix(said, ".") || strings.Contains(text, "  ") || strings.HasSuffix(text, " ") {
				t.Errorf("%s: %q", f.Key, text)
			}
		}
		if quiet := f.Severity == document.Fine || f.Severity == document.TooClose; quiet && f.Change != nil {
			t.Errorf("%s is %s, and yet: %s", f.Key, f.Severity, f.Change.Do.Text(document.Reader{}))
		}
		if want := map[document.Severity]string{document.MustFix: "must_fix", document.TooClose: "too_close", document.Fine: "fine"}[f.Severity]; want != "" && section != want {
			t.Errorf("%s stands in %s", f.Key, section)
		}
		if c := f.Change; c != nil && (len(c.Do) == 0 || c.Before.Words == "" || c.Before.Text(document.Reader{}) == c.After.Text(document.Reader{})) {
			t.Errorf("%s: %q, %s %q → %q", f.Key, c.Do.Text(document.Reader{}), c.Before.Words, c.Before.Text(document.Reader{}), c.After.Text(document.Reader{}))
		}
	})
	for _, key := range []string{
		"rod_fails", "rods", "servo_stalls", "holes", "drop", "passed", "straight", "toe", "square", "even_place", "far_square",
		"lock", "even", "ackermann", "repeat", "trim", "joint", "travel",
	} {
		if !seen[key] {
			t.Errorf("nothing here has the finding %s", key)
		}
	}
}

func TestAdviceFitsAScreen(t *testing.T) {
	everyAccount(t, func(t *testing.T, d *document.Document) {
		if d.Kind != "advise" {
			return
		}
		if plain := written(t, d, text.Options{}); strings.Count(plain, "\n") > 50 {
			t.Errorf("%d lines:\n%s", strings.Count(plain, "\n"), plain)
		}
	})
}

// The first line of the verdict is the worst that there is, and the second what to do.
func TestTheVerdictOfAdviceIsItsFirstFinding(t *testing.T) {
	everyAccount(t, func(t *testing.T, d *document.Document) {
		if d.Kind != "advise" {
			return
		}
		first := d.Verdict[0].Sentence.Text(document.Reader{})
		if d.Worst() < document.WorthFixing {
			if first != "Nothing to change was found." {
				t.Errorf("nothing is worth fixing, and yet: %s", first)
			}
			return
		}
		if d.Verdict[0].Severity != d.Worst() {
			t.Errorf("%s comes first, and the worst is %s", d.Verdict[0].Severity, d.Worst())
		}
	})
}

// Weights put the list in order, and are no figures for a reader.
func TestAdviceShowsNoWeights(t *testing.T) {
	everyAccount(t, func(t *testing.T, d *document.Document) {
		if d.Kind == "advise" && strings.Contains(string(encoded(t, d, document.Reader{})), "weight") {
			t.Error("the JSON has weights")
		}
	})
}

// An overlap is in millimetres; it was once 15 mm called 859.4°.
func TestPartsTooNearAreInMillimetres(t *testing.T) {
	d, err := advice(rigtest.Read(t, append(rigtest.StarterText(t, "chassis"), bumpStop...)))
	if err != nil {
		t.Fatal(err)
	}
	f, ok := d.Find("travel.binds.over")
	// 30 mm apart less the axle's rise of 24 mm are 6 mm, where 5 + 5 + 2 must stay; the panhard
	// rod swings the axle a little to the side, which leaves a bit more.
	if !ok || f.Unit != document.Length || f.Value < 5.5 || f.Value > 6 {
		t.Errorf("%+v", f)
	}
	if said := written(t, d, text.Options{}); !strings.Contains(said, "Must fix: parts come 5.7 mm too close") {
		t.Errorf("it reads\n%s", said)
	}
}

// An exact rig with nothing wrong is told so.
func TestAPerfectRigHasNothingToChange(t *testing.T) {
	r := rigtest.Planar{
		Spacing: 160, Wheelbase: 9e4, TieArm: 25, DragArm: 20, ServoY: -20, Horn: 20,
		More: "[left.stops]\nin = 60\nout = 60\n[want]\nlock = 25\nmargin = 1\n",
	}.Rig(t)
	d, err := advice(r)
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	for _, l := range d.Verdict {
		said = append(said, l.Sentence.Text(document.Reader{}))
	}
	if want := []string{"Nothing to change was found.", "Lock once set up: 25.0° both ways, as wanted."}; !slices.Equal(said, want) {
		t.Errorf("the verdict is %q", said)
	}
}

// A ball that is moved sideways takes a new hole, and that has a caution.
func TestAdviceThatTakesAHoleHasItsCaution(t *testing.T) {
	for name, want := range map[string]bool{"centre-crank": true, "rack": false} {
		d, err := advice(rigtest.Starter(t, name))
		if err != nil {
			t.Fatal(err)
		}
		if said := strings.Contains(strings.Join(strings.Fields(written(t, d, text.Options{})), " "), report.Drilling); said != want {
			t.Errorf("%s: the caution is said: %v", name, said)
		}
	}
}

func reads(f document.Figure) string { return f.Text(document.Reader{}) }

// Advice and set-up speak of one plan: what they say of it reads alike.
func TestAdviceAndSetUpSayTheSameOfThePlan(t *testing.T) {
	for name, r := range spoiled(t) {
		_, plan := planOf(t, r)
		d, err := advice(r)
		if err != nil {
			t.Fatal(err)
		}
		for key, same := range map[string]string{"lock.left": "lock.left", "lock.right": "lock.right", "even.then": "uneven", "even.before": "uneven.now", "even.after": "uneven"} {
			said, ok := d.Find(key)
			if key == "even.before" || key == "even.after" {
				if curved, _ := d.Find("even.then"); curved.Key != "" {
					continue // that is of a transmitter with a curve
				}
			}
			there, known := plan.Find(same)
			said.Uncertain, there.Uncertain = 0, 0 // which advice states of more, and so rounds by
			if got, want := reads(said), reads(there); ok && known && got != want {
				t.Errorf("%s: advice says %s of %s, and the set-up %s", name, got, key, want)
			}
		}
	}
}
