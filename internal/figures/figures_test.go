package figures_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
	"evenlock/travel"
	"evenlock/turning"
)

var update = flag.Bool("update", false, "write the figures anew")

// figures are numbers and words by name.
type figures map[string]string

func (f figures) number(name string, v float64) {
	f[name] = strconv.FormatFloat(v, 'g', -1, 64)
}

func (f figures) result(name string, r steer.Result) {
	f.number(name, r.Value)
	f.number(name+".uncertain", r.Uncertain)
}

func (f figures) words(name, words string) { f[name] = strconv.Quote(words) }

func (f figures) setup(r *rig.Rig) {
	p, err := setup.Make(r, 1)
	if err != nil {
		f.words("setup.error", err.Error())
		return
	}
	for name, e := range map[string]*setup.End{"setup.left": &p.Ends[steer.Left], "setup.right": &p.Ends[steer.Right]} {
		f.result(name+".servo", e.Servo)
		f.result(name+".inner", e.Inner)
		f.result(name+".outer", e.Outer)
		f.result(name+".curvature", e.Curvature)
		f.number(name+".endpoint", e.Endpoint.Value)
		f.number(name+".endpoint.uncertain", e.EndpointUncertain)
		f.words(name+".governs", fmt.Sprint(e.Governs, " [", e.Key, "] matched ", e.Matched))
		for i, s := range e.Stops {
			f.result(fmt.Sprintf("%s.stop.%d", name, i), s.Servo)
		}
	}
	f.result("setup.square", p.Square.Miss)
	f.result("setup.horn.turn", p.Horn.Turn)
	for _, rod := range p.Rods {
		f.result("setup.rod."+rod.Key+".now", rod.Now)
		f.result("setup.rod."+rod.Key+".length", rod.Length)
	}
	for name, e := range map[string]steer.Evenness{"before": p.EvenBefore, "after": p.EvenAfter, "shaped": p.EvenShaped} {
		f.number("setup.even."+name+".path", e.Path)
		f.number("setup.even."+name+".lock", e.Lock)
	}
}

func (f figures) turning(r *rig.Rig) {
	d, err := turning.Over(r, turning.Usual())
	if err != nil {
		f.words("turning.error", err.Error())
		return
	}
	for i, a := range d.Axles {
		axle, locks := [2]string{"front", "rear"}[i], a.Locks
		for side := range locks {
			l := &locks[side]
			name := fmt.Sprintf("turning.%s.%d", axle, side)
			f.result(name+".servo", l.Servo)
			f.number(name+".mean", l.Mean)
			f.words(name+".ends", l.Governs+" ["+l.Key+"]")
		}
	}
	for _, c := range d.Sweeps {
		for side := range 2 {
			s := c.At(side)
			name := fmt.Sprintf("turning.%s.%d", c.Mode.Key(), side)
			f.number(name+".outer", s.Turn.Outer)
			f.number(name+".outer.uncertain", s.Uncertain.Outer)
			f.number(name+".slip", s.Turn.Slip)
			f.number(name+".slip.uncertain", s.Uncertain.Slip)
			f.number(name+".rear.uncertain", s.Uncertain.Mean[turning.Rear])
			f.number(name+".misfit.uncertain", s.Uncertain.Misfit[turning.RearLeft])
			f.number(name+".curvature.uncertain", s.Uncertain.Curvature)
		}
	}
}

func (f figures) travel(t *testing.T, r *rig.Rig) {
	if r.Suspension == nil {
		return
	}
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	d, err := travel.Over(m, travel.Options{Servo: m.Centre(), Steps: 2})
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range d.Locks {
		name := "travel." + strings.ReplaceAll(l.Corner.Key(), " ", "_")
		f.words(name+".past", fmt.Sprint(l.Past))
		for side := range 2 {
			f.result(fmt.Sprintf("%s.%d.servo", name, side), l.Stops[side].Servo)
			f.number(fmt.Sprintf("%s.%d.inner", name, side), l.Inner[side])
			f.words(fmt.Sprintf("%s.%d.ends", name, side), l.Stops[side].Words+" ["+l.Stops[side].Key+"]")
		}
	}
	for _, c := range d.Sweeps {
		for w := range 2 {
			name := fmt.Sprintf("travel.motion.%d.%d", c.Motion, w)
			f.result(name+".bump", c.BumpSteer[w])
			f.result(name+".roll", c.RollSteer[w])
			f.number(name+".steer", c.Samples[0].Steer[w])
			f.number(name+".steer.uncertain", c.Samples[0].SteerUncertain[w])
		}
	}
}

func (f figures) load(t *testing.T, r *rig.Rig) {
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	a, err := load.OverLock(m, load.Tilt{}, 2)
	if err != nil {
		f.words("load.error", err.Error())
		return
	}
	f.number("load.left", a.Samples[len(a.Samples)-1].Servo)
	f.number("load.right", a.Samples[0].Servo)
}

// page has the headline figures, in the units that the page once had them in.
func (f figures) page(t *testing.T, r *rig.Rig) {
	m, err := steer.New(r)
	if err != nil {
		t.Fatal(err)
	}
	h, err := setup.Judge(m)
	if err != nil {
		f.words("page.error", err.Error())
		return
	}
	const degree = math.Pi / 180
	for side, name := range [2]string{steer.Left: "left", steer.Right: "right"} {
		f.result("page.lock_"+name, h.Locks[side].Inner.Times(1/degree))
		f.result("page.ackermann_"+name, h.Ackermann[side].Times(1/degree))
		f.result("page.circle_"+name, h.Circle[side].Times(1e-3))
		f.words("page.limit_"+name, h.Locks[side].Governs+" ["+h.Locks[side].Key+"]")
	}
	f.result("page.evenness", h.Difference.Times(1/degree))
	f.result("page.path_evenness", steer.Result{Value: 100 * h.Even.Path})
	f.result("page.rate_centre", h.Rate)
	f.result("page.square", h.Square.Miss.Times(1/degree))
	f.result("page.leverage", steer.Result{Value: h.OverCentre})
	shares := map[string][2]float64{}
	mean := h.Locks[steer.Left].Inner.Plus(h.Locks[steer.Right].Inner).Times(0.5)
	for k, r := range [2]steer.Result{mean, h.Difference} {
		for _, s := range r.Shares() {
			both := shares[s.Measure.Path]
			both[k] = s.Part
			shares[s.Measure.Path] = both
		}
	}
	for path, both := range shares {
		if max(both[0], both[1]) > 0.05 {
			f.number("page.share.lock."+path, both[0])
			f.number("page.share.evenness."+path, both[1])
		}
	}
}

// same tells whether a figure is the same but for rounding.
func same(got, want string) bool {
	if got == want {
		return true
	}
	a, errA := strconv.ParseFloat(got, 64)
	b, errB := strconv.ParseFloat(want, 64)
	return errA == nil && errB == nil && math.Abs(a-b) <= 1e-9*max(1, math.Abs(b))
}

// rigs are the files of the starters, with what the loads need, and those that patterns find.
func rigs(t *testing.T, patterns ...string) map[string][]byte {
	t.Helper()
	texts := map[string][]byte{}
	for _, name := range rigtest.Names() {
		texts["start-"+name] = rigtest.LoadedText(t, name)
	}
	for _, pattern := range patterns {
		paths, err := filepath.Glob(pattern)
		if err != nil || len(paths) == 0 {
			t.Fatal(err, paths)
		}
		for _, path := range paths {
			if texts[strings.TrimSuffix(filepath.Base(path), ".toml")], err = os.ReadFile(path); err != nil {
				t.Fatal(err)
			}
		}
	}
	return texts
}

func TestFiguresStayWhatTheyWere(t *testing.T) {
	texts := rigs(t, "../../examples/*.toml")
	for name, text := range texts {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r, f := rigtest.Read(t, text), figures{}
			f.setup(r)
			f.turning(r)
			f.travel(t, r)
			f.load(t, r)
			f.page(t, r)
			compare(t, filepath.Join("testdata", name+".txt"), f)
		})
	}
}

func compare(t *testing.T, path string, got figures) {
	t.Helper()
	if *update {
		var lines []string
		for name, v := range got {
			lines = append(lines, name+" "+v+"\n")
		}
		sort.Strings(lines)
		if err := os.WriteFile(path, []byte(strings.Join(lines, "")), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := figures{}
	for line := range strings.Lines(string(text)) {
		name, v, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		want[name] = v
	}
	for name, v := range got {
		if w, ok := want[name]; !ok || !same(v, w) {
			t.Errorf("%s is %s, was %s", name, v, w)
		}
	}
	for name := range want {
		if _, ok := got[name]; !ok {
			t.Errorf("%s is gone", name)
		}
	}
}
