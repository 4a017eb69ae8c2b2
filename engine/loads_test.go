package engine_test

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"testing"

	"evenlock/engine"
	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/steer"
)

func openTruck(tb testing.TB) (*engine.Session, []byte) {
	tb.Helper()
	text := rigtest.ExampleText(tb, "trail-truck")
	s, err := engine.Open(text)
	if err != nil {
		tb.Fatal(err)
	}
	return s, text
}

// liveAt gives a live value by its key.
func liveAt(tb testing.TB, s *engine.Session, key string) float64 {
	tb.Helper()
	for _, l := range s.Scene().Live {
		if l.Key == key {
			return s.Numbers()[l.At]
		}
	}
	tb.Fatalf("no live value %s", key)
	return 0
}

// The page's document is what the command has, on the level and on a slope.
func TestLoadsOnThePageAreThoseOfTheCommandLine(t *testing.T) {
	s, text := openTruck(t)
	for _, tilt := range [][2]float64{{0, 0}, {20, -15}} {
		l, err := s.Loads(tilt[0], tilt[1])
		if err != nil {
			t.Fatal(err)
		}
		m, err := steer.New(rigtest.Read(t, text))
		if err != nil {
			t.Fatal(err)
		}
		a, err := load.OverLock(m, load.Tilt{NoseUp: tilt[0] * math.Pi / 180, RightDown: tilt[1] * math.Pi / 180}, load.Steps)
		if err != nil {
			t.Fatal(err)
		}
		if l.Document == nil || len(l.Lacks)+len(l.Problems) > 0 {
			t.Fatalf("%+v", l)
		}
		got, err := l.Document.JSON(document.Reader{})
		if err != nil {
			t.Fatal(err)
		}
		want, err := report.Load(a).JSON(document.Reader{})
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("at %v the page has\n%s\nand the command\n%s", tilt, got, want)
		}
	}
}

// From a draft that has nothing for the loads, by the fields that the page offers, to the loads.
func TestWhatTheLoadsLackCanBePutIn(t *testing.T) {
	s, err := engine.Start("chassis")
	if err != nil {
		t.Fatal(err)
	}
	d, err := s.Loads(0, 0)
	if err != nil || d.Document != nil || len(d.Lacks) == 0 {
		t.Fatalf("%v, lacks %v", err, d.Lacks)
	}
	values := map[string]string{
		"vehicle.mass": "3.1", "vehicle.steered_share": "56", "left.wheel.patch_length": "28", "ground.friction": "0.9", "supply.voltage": "6",
		"servo.rating.1.voltage": "6", "servo.rating.1.torque": "9 kg·cm", "servo.rating.1.time": "0.17",
	}
	var all []engine.Setting
	for _, in := range d.Inputs {
		if !in.Missing {
			continue
		}
		if in.Hint == "" || strings.Contains(in.Hint, "table") || in.Words == "" || in.Entry != "" {
			t.Errorf("%+v does not say what is to be put in", in)
		}
		if value := values[in.Key]; value != "" {
			all = append(all, engine.Setting{Key: in.Key, Value: value})
		}
	}
	if len(all) != len(values) {
		t.Errorf("asks for %+v, want all of %v", all, values)
	}
	before := s.Text()
	half := []engine.Setting{{Key: "servo.rating.1.voltage", Value: "6"}}
	if err := s.SetAll("added half", half); err == nil || !strings.Contains(err.Error(), "torque") || s.Text() != before {
		t.Errorf("half a rating: %v", err)
	}
	if err := s.SetAll("added the servo's figures", all); err != nil {
		t.Fatal(err)
	}
	if d, err = s.Loads(0, 0); err != nil || d.Document == nil || len(d.Lacks) > 0 {
		t.Fatalf("%v, lacks %v", err, d.Lacks)
	}
	if undo := s.State().Undo; undo != "added the servo's figures" {
		t.Errorf("undo says %q", undo)
	}
	if d, err = s.Loads(10, 0); err != nil || d.Document != nil || len(d.Lacks) != 1 || d.Lacks[0].Key != "vehicle.weight_height" {
		t.Errorf("on a slope: %v, lacks %v", err, d.Lacks)
	}
}

func TestLoadsSayWhyThereAreNone(t *testing.T) {
	s, _ := openTruck(t)
	d, err := s.Loads(70, 0)
	if err != nil || d.Document != nil || len(d.Problems) != 1 || d.Problems[0].Problem != "it would tip over backwards" || d.Problems[0].Remedy == "" {
		t.Errorf("%v: %v", err, d.Problems)
	}
	for _, bad := range []float64{90, -200, math.NaN(), math.Inf(1)} {
		if _, err := s.Loads(bad, 0); err == nil {
			t.Errorf("a slope of %v is taken", bad)
		}
		if s.ShowForces(true, 0, bad) == nil {
			t.Errorf("a tilt of %v is taken", bad)
		}
	}
}

// The live values at each pose are those that a probe on the same model finds there, and follow
// stick, wheel travel and tilt.
func TestLiveLoadsFollowThePose(t *testing.T) {
	s, text := openTruck(t)
	if !math.IsNaN(liveAt(t, s, "load_torque")) {
		t.Error("loads are shown that nobody asked for")
	}
	r := rigtest.Read(t, text)
	for _, q := range r.Measurements() {
		q.Q.Uncertainty = 0
	}
	m, err := steer.NewSuspended(r)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[float64]bool{}
	for _, pose := range []struct{ stick, left, right, noseUp float64 }{{0, 0, 0, 0}, {0.7, 0, 0, 0}, {-1, 0, 0, 0}, {0.4, 12, -8, 0}, {0.4, 12, -8, 25}} {
		if err := s.ShowForces(true, pose.noseUp, 0); err != nil {
			t.Fatal(err)
		}
		s.SetWheelTravel(pose.left, pose.right)
		s.Stick(pose.stick)
		w, err := load.NewProbe(m, load.Tilt{NoseUp: pose.noseUp * math.Pi / 180})
		if err != nil {
			t.Fatal(err)
		}
		loads, err := w.At(liveAt(t, s, "servo")*math.Pi/180, steer.WheelTravel{Left: pose.left, Right: pose.right})
		if err != nil {
			t.Fatal(err)
		}
		want := loads.Sample.Ask(loads.Sample.Harder())
		for key, want := range map[string]float64{
			"load_torque": want / load.KilogramForceCentimetre, "load_factor": loads.Sample.SafetyFactor,
			"load_drag_link": loads.Tensions[0], "load_tie_rod": loads.Tensions[1], "load_weakest": math.Min(loads.SafetyFactors[0], loads.SafetyFactors[1]),
		} {
			if got := liveAt(t, s, key); math.Abs(got-want) > 1e-6*math.Abs(want) {
				t.Errorf("%+v: %s is %v, want %v", pose, key, got, want)
			}
		}
		if seen[want] {
			t.Errorf("%+v asks for the same as another pose", pose)
		}
		seen[want] = true
	}
	if err := s.ShowForces(false, 0, 0); err != nil || !math.IsNaN(liveAt(t, s, "load_factor")) {
		t.Errorf("loads are still shown: %v", err)
	}
}

// The live torque is in the units that the person reads in, with their symbol, whatever is done
// after they were chosen. Factors are those of package load.
func TestLiveTorqueIsInTheReadersUnits(t *testing.T) {
	s, _ := openTruck(t)
	if err := s.ShowForces(true, 0, 0); err != nil {
		t.Fatal(err)
	}
	asked := liveAt(t, s, "load_torque") * load.KilogramForceCentimetre
	said := func() string {
		t.Helper()
		for _, l := range s.Scene().Live {
			if l.Key != "load_torque" {
				continue
			}
			var b []byte
			for _, p := range l.Text {
				b = p.Append(b, s.Numbers())
			}
			return string(b)
		}
		t.Fatal("no live torque")
		return ""
	}
	for _, c := range []struct {
		words, symbol string
		each          float64
	}{{"oz-in", "oz·in", load.OunceForceInch}, {"N-m", "N·m", load.NewtonMetre}, {"kg-cm", "kg·cm", load.KilogramForceCentimetre}} {
		r, err := document.ParseReader(document.Reader{}, c.words)
		if err != nil {
			t.Fatal(err)
		}
		before := s.State().Scene
		s.SetReader(r)
		if s.State().Scene == before {
			t.Errorf("%s: the page is not told to look at the scene again", c.words)
		}
		for _, then := range []func() error{
			func() error { return nil },
			func() error { s.Stick(0.5); s.Stick(0); return nil },
			func() error { return s.Set("name", "renamed") },
			s.Undo,
		} {
			if err := then(); err != nil {
				t.Fatal(err)
			}
		}
		if got := liveAt(t, s, "load_torque") * c.each; math.Abs(got-asked) > 1e-6*asked {
			t.Errorf("%s: %v N·mm, want %v", c.words, got, asked)
		}
		shown, err := strconv.ParseFloat(strings.TrimSuffix(said(), " "+c.symbol), 64)
		if err != nil || math.Abs(shown*c.each-asked) > 0.01*asked {
			t.Errorf("%s: says %q of %v N·mm", c.words, said(), asked)
		}
		at := s.State().Scene
		s.SetReader(r)
		if s.State().Scene != at {
			t.Errorf("%s: the drawing is made anew for nothing", c.words)
		}
	}
}

// What fails in a pose is in the words that belong to the numbers.
func TestWhatFailsHereIsInWords(t *testing.T) {
	s, _ := openTruck(t)
	if err := s.ShowForces(true, 0, 0); err != nil {
		t.Fatal(err)
	}
	said := func() string {
		t.Helper()
		for _, l := range s.Scene().Live {
			if l.Key == "load_fails" {
				return l.Text[0].Words[int(s.Numbers()[l.At])]
			}
		}
		return ""
	}
	for _, c := range []struct {
		sets [][2]string
		want string
	}{
		{nil, "the servo saver yields"},
		{[][2]string{{"servo_saver.preload", "20 kg·cm"}}, "the servo stalls"},
		{[][2]string{{"ground.rock_force", "3"}}, "nothing"},
		{[][2]string{{"drag_link.bend", "12"}}, "the drag link, if a wheel jams"},
	} {
		for _, set := range c.sets {
			if err := s.Set(set[0], set[1]); err != nil {
				t.Fatal(err)
			}
		}
		s.Stick(0)
		if got := said(); got != c.want {
			t.Errorf("after %v: %q, want %q; the weakest rod bears %v", c.sets, got, c.want, liveAt(t, s, "load_weakest"))
		}
	}
}

func BenchmarkStickWithLoads(b *testing.B) {
	s, _ := openTruck(b)
	for _, on := range []bool{false, true} {
		b.Run(map[bool]string{false: "off", true: "on"}[on], func(b *testing.B) {
			if err := s.ShowForces(on, 0, 0); err != nil {
				b.Fatal(err)
			}
			for i := 0; b.Loop(); i++ {
				s.Stick(math.Sin(float64(i)))
			}
		})
	}
}
