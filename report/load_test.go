package report_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/report/text"
	"evenlock/rig"
	"evenlock/steer"
)

// analysisOf works out the loads on a starter with every remark about them part of the file.
func analysisOf(t *testing.T, name string, tilt load.Tilt, steps int, changes ...change) *load.Analysis {
	t.Helper()
	file := string(rigtest.LoadedText(t, name))
	for _, c := range changes {
		if !strings.Contains(file, c.old) {
			t.Fatalf("the starter %s has no %q", name, c.old)
		}
		file = strings.ReplaceAll(file, c.old, c.new)
	}
	r, err := rig.Read(strings.NewReader(file), name)
	if err != nil {
		t.Fatal(err)
	}
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	a, err := load.OverLock(m, tilt, steps)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// spoiledLoads are loads with what makes the text longest or leaves most out.
func spoiledLoads(t *testing.T) map[string]*load.Analysis {
	t.Helper()
	all := map[string]*load.Analysis{}
	for _, name := range rigtest.Names() {
		add := func(what string, tilt load.Tilt, changes ...change) {
			t.Helper()
			all[name+what] = analysisOf(t, name, tilt, 4, changes...)
		}
		add("", load.Tilt{})
		add(", long name", load.Tilt{}, change{"starter (invented)", strings.Repeat("of many a winter's evening ", 8)})
		add(", tilted", load.Tilt{NoseUp: 0.4, RightDown: -0.3})
		add(", weak", load.Tilt{}, change{`kg·cm"`, `N·mm"`})
		add(", heavy", load.Tilt{}, change{"\nmass = ", "\nmass = 10"}, change{"\nrock_force = ", "\nrock_force = 100"})
		add(", strong", load.Tilt{}, change{`kg·cm"`, `N·m"`}, change{"\nvoltage = 6.0", "\nvoltage = 12.6"})
		add(", nylon", load.Tilt{}, change{`"steel"`, `"nylon"`})
		leaveOut := []change{{"\n[servo_saver]", "\n# "}}
		for _, key := range []string{"rock_height", "rock_force", "material", "diameter", "preload", "stiffness", "holes", "stall_current", "resistance", "bearing_span"} {
			leaveOut = append(leaveOut, change{"\n" + key + " = ", "\n# "})
		}
		if name != "centre-crank" && name != "rack" { // whose rods are straight and solid
			add(", bent", load.Tilt{}, change{"\nbend = ", "\nbend = 1"})
			leaveOut = append(leaveOut, change{"\nbore = ", "\n# "}, change{"\nbend = ", "\n# "})
		}
		add(", bare", load.Tilt{}, leaveOut...)
	}
	return all
}

// found gives a document's figure.
func found(t *testing.T, d *document.Document, key string) document.Figure {
	t.Helper()
	f, ok := d.Find(key)
	if !ok {
		t.Fatalf("there is no figure %s", key)
	}
	return f
}

// said is a document's text in one line.
func said(t *testing.T, d *document.Document) string {
	t.Helper()
	return strings.Join(strings.Fields(written(t, d, text.Options{All: true})), " ")
}

// Whoever leaves something out is told what is not known for that, and which key says it.
func TestLoadsSayWhatTheyDoNotKnow(t *testing.T) {
	all := spoiledLoads(t)
	for name, wants := range map[string][]string{
		"behind, bare": {
			"How strong the rods are is not known: material and diameter are missing.", "put in material and diameter (drag_link.material)", "put in material and diameter (tie_rod.material)",
			"stall current is missing (servo.rating.1.stall_current)", "No voltage drop is counted. Put in the supply's resistance for that (supply.resistance)",
			"(servo.bearing_span)", "(ground.rock_height)", "(horn.holes)",
		},
		"far-knuckle, weak":  {"Must fix: the servo stalls on standing tyres, even straight ahead.", "lock to lock, on standing tyres stalls", "it cannot hold"},
		"far-knuckle":        {"Must fix: the servo stalls against the 25 mm rock at 9.6° left."},
		"far-knuckle, heavy": {"Must fix: the servo stalls on standing tyres, even straight ahead."},
		"chassis, strong":    {"the supply has 12.6 V, the servo's highest rating is for 7.4 V.", "Ask the maker whether it may run so."},
		"chassis, bent":      {"Must fix: the drag link bends once a wheel jams, safety factor 0."},
		"tie-rod, heavy":     {"standing, full lock falls short by"},
		"centre-crank":       {"left steering link"},
	} {
		own := said(t, report.Load(all[name]))
		for _, want := range wants {
			if !strings.Contains(own, want) {
				t.Errorf("%s: does not say %q:\n%s", name, want, own)
			}
		}
	}
}

// Every figure of the document is that of the analysis, and the servo's go together: what it has is
// what it needs times its safety factor. The weights on the level are by hand: mass × share × g /
// 2.
func TestLoadFiguresAreThoseOfTheAnalysis(t *testing.T) {
	near := func(t *testing.T, d *document.Document, key string, want float64) {
		t.Helper()
		if got := found(t, d, key).Value; !(math.Abs(got-want) <= 1e-9*math.Abs(want)) {
			t.Errorf("%s is %v, want %v", key, got, want)
		}
	}
	for name, a := range spoiledLoads(t) {
		t.Run(name, func(t *testing.T) {
			d := report.Load(a)
			near(t, d, "has", a.Gives)
			for i, at := range map[string][2]load.Onset{"standing": a.Standing, "rock": a.Rock} {
				if i == "rock" && a.Model.Rig.Ground.RockForce == 0 {
					continue
				}
				factor := found(t, d, "factor."+i).Value
				near(t, d, "needs."+i, a.Gives/factor)
				for side, word := range []string{"left", "right"} {
					f := found(t, d, "stalls."+i+"."+word)
					if f.Available() != at[side].Happens || f.Available() && f.Value != at[side].Inner {
						t.Errorf("stalls %s to the %s at %v, want %+v", i, word, f.Value, at[side])
					}
					if (factor < 1) != (at[load.ToLeft].Happens || at[load.ToRight].Happens) {
						t.Errorf("a safety factor of %v with %+v", factor, at)
					}
				}
			}
			for i := range a.Rods {
				r := &a.Rods[i]
				near(t, d, r.Key+".push", r.Push.Size)
				near(t, d, r.Key+".pull", r.Pull.Size)
				factor := found(t, d, r.Key+".factor")
				if factor.Available() != (r.Rod != nil) {
					t.Errorf("the %s has a safety factor of %v", r.Words, factor.Value)
				}
				if r.Rod != nil {
					strength, _ := r.Weakest()
					near(t, d, r.Key+".factor", strength.SafetyFactor)
					near(t, d, r.Key+".buckles", r.PushStrength.Buckling)
				}
			}
			for i, h := range a.Horn {
				if len(a.Horn) > 1 && h.Reached {
					near(t, d, fmt.Sprintf("hole.%d.needs", i+1), h.Torque)
					near(t, d, fmt.Sprintf("hole.%d.factor", i+1), h.SafetyFactor)
				}
			}
			if v := a.Model.Rig.Vehicle; !strings.Contains(name, "tilted") {
				const standardGravity = 9.80665
				near(t, d, "weight.left", v.Mass*v.SteeredShare/100*standardGravity/2)
				near(t, d, "weight.right", v.Mass*v.SteeredShare/100*standardGravity/2)
			}
		})
	}
}

// A bent rod fails by its bend, a straight slender one buckles.
func TestLoadsSayHowARodFails(t *testing.T) {
	for what, c := range map[string][]change{
		"bends further": nil,
		"buckles":       {{"\nbend = 4", "\n# "}, {"\nbore = 2", "\n# "}, {"\ndiameter = 3", "\ndiameter = 1 # "}},
	} {
		d := report.Load(analysisOf(t, "chassis", load.Tilt{}, 4, c...))
		rods := tableOf(t, d, "rods")
		if got := rods.Rows[0].Cells[len(rods.Columns)-1].Text(document.Reader{}); got != what {
			t.Errorf("after %v the drag link %q, want %q", c, got, what)
		}
	}
}

// The table over the lock has every sample, for the page's chart; a row in which the servo stalls
// is marked, and the text shows a few rows.
func TestTheTableOverTheLockHasEverySample(t *testing.T) {
	a := analysisOf(t, "chassis", load.Tilt{}, load.Steps)
	d := report.Load(a)
	table := tableOf(t, d, "lock")
	if len(table.Rows) != len(a.Samples) || table.Plot == nil {
		t.Fatalf("%d rows of %d samples, plot %v", len(table.Rows), len(a.Samples), table.Plot)
	}
	stalls := 0
	for i, row := range table.Rows {
		sample := &a.Samples[i]
		factor := row.Cells[len(row.Cells)-1].Figures()[0].Value
		if together := row.Cells[2].Figures()[0].Value; math.Abs(factor-a.Gives/together) > 1e-9*factor || factor != sample.SafetyFactor {
			t.Errorf("row %d: safety factor %v of %v N·mm for %v", i, factor, a.Gives, together)
		}
		if bad := row.Severity == document.MustFix; bad != (factor < 1) {
			t.Errorf("row %d, safety factor %v: marked %v", i, factor, bad)
		} else if bad {
			stalls++
		}
	}
	if stalls == 0 || stalls == len(table.Rows) {
		t.Errorf("stalls in %d of %d rows: nothing is tried", stalls, len(table.Rows))
	}
	brief := written(t, d, text.Options{})
	if n := strings.Count(brief, "█"+"█"); n == 0 || strings.Count(brief, "° left ") > 5 {
		t.Errorf("the text has too many rows, or no bars:\n%s", brief)
	}
	if n := strings.Count(brief, "\n"); n > 50 {
		t.Errorf("%d lines without --all", n)
	}
}

// What is asked for is in the file's own unit of length, and says how to find what is missing.
func TestLoadInputsAskInTheFilesUnit(t *testing.T) {
	r := starter(t, "behind")
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	_, err = load.OverLock(m, load.Tilt{}, 1)
	var lacking rig.Errors
	if !errors.As(err, &lacking) {
		t.Fatalf("the starter lacks nothing: %v", err)
	}
	for unit, word := range map[string]string{"mm": "mm", "in": "inches"} {
		r.Unit = unit
		seen := map[string]report.Input{}
		for _, in := range report.LoadInputs(m, lacking) {
			seen[in.Key] = in
		}
		if hint := seen["drag_link.diameter"].Hint; hint != "in "+word {
			t.Errorf("in %s: the drag link's diameter is asked for %q", unit, hint)
		}
		if in := seen["supply.voltage"]; !in.Missing || in.Hint != "measure at the servo's plug with nothing moving" {
			t.Errorf("%+v", in)
		}
		if in := seen["drag_link.material"]; len(in.Options) != len(load.Materials()) || in.Missing {
			t.Errorf("%+v", in)
		}
		if in := seen["servo.rating.1.time"]; !in.Missing {
			t.Errorf("%+v", in)
		}
	}
}
