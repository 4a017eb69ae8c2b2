package doubt_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"evenlock/doubt"
	"evenlock/internal/effort"
	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"
)

// figure is one with what it must change by to be noticed: its ±, and at least what a builder can
// see.
type figure struct {
	value, notice float64
}

// figures are what the rig comes to: the locks, their difference, the turning radii, the angle
// between horn and link, the rods' lengths, of each axle.
func figures(r *rig.Rig) ([]figure, error) {
	var all []figure
	add := func(x steer.Result, least float64) { all = append(all, figure{x.Value, max(x.Uncertain, least)}) }
	const see = math.Pi / 180
	for axle := 1; r.Of(axle) != nil; axle++ {
		m, err := steer.Build(r, steer.Options{Axle: axle})
		if err != nil {
			return nil, err
		}
		locks, err := m.Locks(steer.LockOptions{})
		if err != nil {
			return nil, err
		}
		left, right := locks[vehicle.Left].Inner, locks[vehicle.Right].Inner
		add(left, see)
		add(right, see)
		add(left.Minus(right), see)
		for i := range locks {
			curved, err := locks[i].At(steer.Curvature)
			if err != nil {
				return nil, err
			}
			add(curved, math.Abs(curved.Value)/50)
		}
		horn, err := m.At(steer.HornAngle, 0)
		if err != nil {
			return nil, err
		}
		add(horn, see)
		for _, rod := range m.Vehicle.Steering() {
			long, err := m.RodLength(rod)
			if err != nil {
				return nil, err
			}
			add(long, 0.5)
		}
	}
	return all, nil
}

// slip is a slip of the caliper or the pen: it changes a rig's numbers, from number i, and tells
// whether it could.
type slip struct {
	name string
	make func(all []rig.Number, i int) bool
}

func times(by float64, kinds ...rig.Kind) func(all []rig.Number, i int) bool {
	return func(all []rig.Number, i int) bool {
		*all[i].Value *= by
		return len(kinds) == 0 || all[i].Quantity && all[i].Kind == kinds[0]
	}
}

var slips = []slip{
	{"ten times", times(10)},
	{"a tenth", times(0.1)},
	{"inches", times(1/25.4, rig.LengthKind)},
	{"sign", times(-1)},
	{"± as big as the value", func(all []rig.Number, i int) bool {
		n := all[i]
		ok := n.Quantity && *n.Spread > 0 && math.Abs(*n.Value) > 8**n.Spread
		if ok {
			*n.Spread = math.Abs(*n.Value)
		}
		return ok
	}},
	{"swapped", func(all []rig.Number, i int) bool {
		if i == 0 || !strings.HasSuffix(all[i].Path, ".y") && !strings.HasSuffix(all[i].Path, ".z") {
			return false
		}
		*all[i].Value, *all[i-1].Value = *all[i-1].Value, *all[i].Value
		return true
	}},
}

// slipped returns the rig with a slip at number i, and by how many times its ± it changes a figure
// at most; 0 if the reader refuses it.
func slipped(r *rig.Rig, s slip, i int) (*rig.Rig, float64) {
	c := r.Clone()
	all := c.Numbers()
	for _, skip := range []string{"accuracy.", "want.", "transmitter.max", "format"} {
		if strings.HasPrefix(strings.TrimPrefix(all[i].Path, "rear."), skip) {
			return nil, 0
		}
	}
	was := *all[i].Value
	if !s.make(all, i) {
		return nil, 0
	}
	isReading := strings.Contains(all[i].Path, ".reading.") && math.Abs(*all[i].Value-was) > 0.05
	if isReading && strings.HasSuffix(all[i].Path, ".setting") && s.name != "sign" {
		return nil, 0
	}
	c, err := asFile(c)
	if err != nil {
		return nil, 0
	}
	if isReading || s.name == "± as big as the value" {
		return c, math.Inf(1)
	}
	before, err := figures(r)
	if err != nil {
		return nil, 0
	}
	after, err := figures(c)
	if err != nil {
		return c, math.Inf(1)
	}
	most := 0.0
	for k := range before {
		most = max(most, math.Abs(after[k].value-before[k].value)/before[k].notice)
	}
	return c, most
}

// Thresholds that are wanted, in percent: how many plausible rigs may be asked anything, and how
// many slips must be asked about.
const (
	asksAtMost   = 2
	findsAtLeast = 90
)

func TestPlausibleRigsAreNotAskedAnything(t *testing.T) {
	rng := rand.New(rand.NewPCG(2026, 1))
	n, count := effort.Of(200, 500), 0
	for i := range n {
		layout := layouts[i%len(layouts)]
		r := plausible(t, rng, layout)
		all := doubt.Ask(r)
		if len(all) > 0 {
			count++
		}
		for _, q := range all {
			t.Logf("%s, %s: %s is %.4g, probably %.4g: gains %.1f, most by %s %s, %.3g and then %.3g", layout, r.Name, q.Key, q.Now, q.Probably, q.Gain, q.Odd.Part, q.Odd.Of, q.Odd.Value, q.Then)
		}
	}
	t.Logf("%d of %d are asked something", count, n)
	if 100*count > asksAtMost*n {
		t.Errorf("%d of %d plausible rigs are asked something, more than %d %%", count, n, asksAtMost)
	}
}

// TestSlipsAreAskedAbout makes a slip in a plausible rig, at a number and of a kind drawn by lot. It
// counts if the reader takes the file and the slip can be noticed: it changes a figure by more than
// its ±, and by 1°, 0.5 mm or 2 % of a radius at least.
func TestSlipsAreAskedAbout(t *testing.T) {
	rng := rand.New(rand.NewPCG(2026, 2))
	n, total := effort.Of(200, 500), 0
	made, found := map[string]int{}, map[string]int{}
	for i := 0; i < n; {
		layout := layouts[i%len(layouts)]
		r := plausible(t, rng, layout)
		s := slips[rng.IntN(len(slips))]
		at := rng.IntN(len(r.Numbers()))
		bad, size := slipped(r, s, at)
		if size < 1 {
			continue
		}
		i++
		made[s.name]++
		key := r.Numbers()[at].Path
		if asks(bad, key) {
			total++
			found[s.name]++
			continue
		}
		t.Logf("%s, %s: %s (%.4g) is not asked about; it changes a figure by %.1f times what can be noticed", layout, s.name, key, *r.Numbers()[at].Value, size)
	}
	for _, s := range slips {
		t.Logf("%s: %d of %d", s.name, found[s.name], made[s.name])
	}
	t.Logf("%d of %d slips are asked about", total, n)
	if 100*total < findsAtLeast*n {
		t.Errorf("%d of %d slips are asked about, less than %d %%", total, n, findsAtLeast)
	}
}

// asks tells whether a rig is asked about a key.
func asks(r *rig.Rig, key string) bool {
	for _, q := range doubt.Ask(r) {
		if q.Key == key || q.Swap == key || strings.HasPrefix(key, q.Key+".") {
			return true
		}
	}
	return false
}

// What the rig probably is, is known here: it is what the starter says.
func TestASlipIsAskedAboutWithWhatItProbablyShouldBe(t *testing.T) {
	for _, c := range []struct {
		starter, change, key string
		probably             float64
	}{
		{"far-knuckle", "vehicle.wheelbase=31.0", "vehicle.wheelbase", 310},
		{"far-knuckle", "vehicle.wheelbase=3100", "vehicle.wheelbase", 310},
		{"far-knuckle", "vehicle.wheelbase=12.2", "vehicle.wheelbase", 12.2 * 25.4},
		{"tie-rod", "vehicle.track=1960", "vehicle.track", 196},
		{"tie-rod", "left.tie_arm.length=260", "left.tie_arm.length", 26},
		{"tie-rod", "left.tie_arm.length=2.6", "left.tie_arm.length", 26},
		{"tie-rod", "horn.hole=1.8", "horn.hole", 18},
		{"rack", "left.tie_arm.ball.x=25", "left.tie_arm.ball.x", -25},
		{"far-knuckle", "left.tie_arm.ball.x=26", "left.tie_arm.ball.x", -26},
		{"behind", "servo.point.y=-20", "servo.point.y", 20},
		{"behind", "transmitter.reading.2.angle=44", "transmitter.reading.2.angle", -44 * math.Pi / 180},
		{"chassis", "horn.hole=1.55", "horn.hole", 15.5},
		{"behind", "left.stops.in=4.2", "left.stops.in", 42 * math.Pi / 180},
		{"centre-crank", "crank.left_ball.x=30", "crank.left_ball.x", -30},
	} {
		t.Run(c.change, func(t *testing.T) {
			all := doubt.Ask(rigtest.Starter(t, c.starter, c.change))
			for _, q := range all {
				if q.Key == c.key {
					if math.Abs(q.Probably-c.probably) > 1e-9 {
						t.Errorf("it is probably %v, want %v", q.Probably, c.probably)
					}
					return
				}
			}
			t.Errorf("it is not among %v", all)
		})
	}
}

func TestASpreadAsBigAsItsValueIsAskedAbout(t *testing.T) {
	all := doubt.Ask(rigtest.Starter(t, "tie-rod", "left.tie_arm.length=26 ± 26"))
	if len(all) != 1 || !all[0].Spread || all[0].Key != "left.tie_arm.length" {
		t.Errorf("it asks %v", all)
	}
}

func TestStartersAndExamplesAreNotAskedAnything(t *testing.T) {
	for name, r := range rigtest.Rigs(t) {
		if all := doubt.Ask(r); len(all) > 0 {
			t.Errorf("%s is asked %v", name, all)
		}
	}
}

func TestAskingChangesNothing(t *testing.T) {
	r := rigtest.Starter(t, "tie-rod", "vehicle.track=1960")
	before := r.Clone()
	doubt.Ask(r)
	if !reflect.DeepEqual(r, before) {
		t.Error("asking changes the rig")
	}
}

func BenchmarkAsk(b *testing.B) {
	for _, change := range []string{"name=as it is", "vehicle.track=1960"} {
		b.Run(change, func(b *testing.B) {
			r := rigtest.Starter(b, "chassis", change)
			for b.Loop() {
				doubt.Ask(r)
			}
		})
	}
}
