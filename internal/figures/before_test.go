package figures_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/load"
	"evenlock/rig"
	"evenlock/steer"
)

const degree = math.Pi / 180

// steering has what a model does from stop to stop, in degrees and millimetres.
func (f figures) steering(t *testing.T, name string, m *steer.Model, travel steer.WheelTravel) {
	var ends [2]float64
	for i, direction := range []float64{1, -1} {
		stops, err := m.StopsAt(travel, direction)
		if err != nil {
			f.words(name+".past", err.Error())
			return
		}
		for _, st := range stops {
			f.number(name+".stop."+st.Words, st.Servo.Value/degree)
			f.number(name+".stop."+st.Words+".uncertain", st.Servo.Uncertain/degree)
		}
		ends[i] = 0.98 * stops[0].Servo.Value
	}
	s := m.NewState()
	const n = 7
	for i := range n {
		servo := ends[0] + (ends[1]-ends[0])*float64(i)/(n-1)
		if err := s.Move(servo, travel); err != nil {
			t.Fatal(err)
		}
		v, u := s.Values(), s.Uncertain()
		for q := range steer.NumQuantities {
			unit := 1.0
			if q.Info().Unit == steer.Radian {
				unit = degree
			}
			at := fmt.Sprintf("%s.%02d.%s", name, i, q.Info().Key)
			f.number(at, v[q]/unit)
			if !q.Info().Bare {
				f.number(at+".uncertain", u[q]/unit)
			}
		}
	}
}

// rods has what the rods of the steering are long.
func (f figures) rods(t *testing.T, m *steer.Model) {
	for _, rod := range m.Vehicle.Steering() {
		l, err := m.RodLength(rod)
		if err != nil {
			t.Fatal(err)
		}
		f.result("rod."+rod.Key, l)
	}
}

// rear has what a rear axle does, apart from what depends on which wheel is the inner one: that was
// taken to be the front's.
func (f figures) rear(t *testing.T, r *rig.Rig) {
	if r.Rear == nil {
		return
	}
	m, err := steer.Build(r, steer.Options{Axle: 2})
	if err != nil {
		t.Fatal(err)
	}
	f.borne(t, "load.rear", m)
	all := figures{}
	all.steering(t, "rear", m, steer.WheelTravel{})
	for name, v := range all {
		if !onInner.MatchString(name) {
			f[name] = v
		}
	}
}

var onInner = regexp.MustCompile("curvature|ackermann|radius|stop")

// borne has what standing tyres ask of servos and rods, at parts of the way to the first stop.
func (f figures) borne(t *testing.T, name string, m *steer.Model) {
	t.Helper()
	b := load.NewBench(m)
	on := load.Demands{load.Standing(0.9, 9, 20), load.Standing(0.9, 11, 22)}
	for _, direction := range []float64{1, -1} {
		stops, err := m.Stops(direction)
		if err != nil {
			t.Fatal(err)
		}
		for k := 1; k <= 3; k++ {
			for _, sense := range []float64{1, -1} {
				s, err := b.At(0.3*float64(k)*stops[0].Servo.Value, sense, on)
				if err != nil {
					t.Fatal(err)
				}
				at := fmt.Sprintf("%s.%+.0f.%d.%+.0f", name, direction, k, sense)
				f.number(at+".torque", s.Servos[0].Torque)
				f.number(at+".second", 0)
				if len(s.Servos) > 1 {
					f.number(at+".second", s.Servos[1].Torque)
				}
				f.number(at+".roll", s.Roll)
				f.number(at+".ask.left", s.Wheels[steer.Left].Ask)
				f.number(at+".ask.right", s.Wheels[steer.Right].Ask)
				f.number(at+".shaft.bending", s.Servos[0].Shaft.Bending)
				for _, rod := range s.Rods {
					f.number(at+".rod."+strings.TrimPrefix(rod.Key, "rear."), rod.Tension)
				}
			}
		}
	}
}

// compareBefore compares with the figures that the program had at 829fe1b, before there were lists.
// What a figure may be off by is 1e-10 of a degree or a millimetre and 1e-8 of a load in newtons or
// newton millimetres; of the largest, that part of their size.
func (f figures) compareBefore(t *testing.T, path string) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for line := range strings.Lines(string(text)) {
		at := strings.LastIndexByte(line, ' ')
		name, was := line[:at], strings.TrimSpace(line[at+1:])
		if strings.HasSuffix(was, `"`) {
			continue // words, which may be put better
		}
		got, ok := f[name]
		if !ok {
			t.Errorf("%s is gone", name)
			continue
		}
		tolerance := 1e-10
		if strings.HasPrefix(name, "load.") {
			tolerance = 1e-8
		}
		a, errA := strconv.ParseFloat(got, 64)
		b, errB := strconv.ParseFloat(was, 64)
		n++
		if errA != nil || errB != nil || !(a == b || math.Abs(a-b) <= tolerance*max(1, math.Abs(b))) {
			t.Errorf("%s is %s, was %s", name, got, was)
		}
	}
	if n < 200 {
		t.Errorf("only %d figures were compared", n)
	}
}

func TestFiguresAreThoseOfBeforeTheLists(t *testing.T) {
	texts := rigs(t, "../../examples/*.toml", "testdata/rigs/*.toml")
	for name, text := range texts {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r, f := rigtest.Read(t, text), figures{}
			m, err := steer.New(r)
			if err != nil {
				t.Fatal(err)
			}
			f.steering(t, "front", m, steer.WheelTravel{})
			f.borne(t, "load.front", m)
			f.rods(t, m)
			if r.Suspension != nil {
				if m, err = steer.NewSuspended(r); err != nil {
					t.Fatal(err)
				}
				bump, droop := m.TravelRange()
				for at, travel := range map[string]steer.WheelTravel{"up": {Left: bump / 3, Right: bump / 2}, "roll": {Left: bump / 3, Right: -droop / 3}} {
					f.steering(t, at, m, travel)
				}
			}
			f.rear(t, r)
			path := filepath.Join("testdata", "before", name+".txt")
			f.compareBefore(t, path)
		})
	}
}
