package setup_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/setup"
	"evenlock/steer"
)

// A rear axle that is the front one turned by half a turn is set up as that is: half a turn leaves
// what is to the left to the left, as the wheels point, and has left and right parts change places.
func TestRearAxleThatIsTheFrontOneTurnedHasItsPlan(t *testing.T) {
	other := strings.NewReplacer("left", "right", "right", "left")
	for _, name := range rigtest.Names() {
		t.Run(name, func(t *testing.T) {
			changes := []string{"want.margin=3", "want.toe=1.5"}
			if name == "tie-rod" {
				// A tie rod that is set longer for the toe keeps its ball's way from the left end.
				changes = changes[:1]
			}
			r := rigtest.Twin(t, rigtest.Starter(t, name, changes...))
			front := made(t, r)
			rear, err := setup.Make(r, 2)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "off square", rear.Square.Miss.Value, front.Square.Miss.Value, 1e-9)
			near(t, "horn's turn", rear.Horn.Turn.Value, front.Horn.Turn.Value, 1e-9)
			near(t, "subtrim", rear.Subtrim.Value, front.Subtrim.Value, 0)
			if !reflect.DeepEqual(rear.Settings, front.Settings) {
				t.Errorf("settings %+v, in front %+v", rear.Settings, front.Settings)
			}
			if len(rear.Rods) != len(front.Rods) {
				t.Fatalf("%d rods, in front %d", len(rear.Rods), len(front.Rods))
			}
			lengths := map[string]setup.Rod{}
			for _, rod := range rear.Rods {
				lengths[rod.Key] = rod
			}
			for _, rod := range front.Rods {
				twin := lengths["rear."+other.Replace(rod.Key)]
				near(t, rod.Name+" now", twin.Now.Value, rod.Now.Value, 1e-9)
				near(t, rod.Name, twin.Length.Value, rod.Length.Value, 1e-9)
				near(t, rod.Name+"'s turns", twin.Turns, rod.Turns, 1e-9)
			}
			for side := range front.Ends {
				got, want := &rear.Ends[side], &front.Ends[side]
				near(t, "servo", got.Servo.Value, want.Servo.Value, 1e-8)
				near(t, "inner wheel", got.Inner.Value, want.Inner.Value, 1e-8)
				near(t, "outer wheel", got.Outer.Value, want.Outer.Value, 1e-8)
				near(t, "path", got.Curvature.Value, want.Curvature.Value, 1e-10)
				near(t, "endpoint", got.Endpoint.Value, want.Endpoint.Value, 0)
				if !strings.HasPrefix(got.Key, "rear.") || got.AsWanted() != want.AsWanted() || got.Matched != want.Matched {
					t.Errorf("%s [%s] ends the lock, in front %s [%s]", got.Governs, got.Key, want.Governs, want.Key)
				}
			}
			near(t, "unevenness before", rear.EvenBefore.Path, front.EvenBefore.Path, 1e-8)
			near(t, "unevenness after", rear.EvenAfter.Path, front.EvenAfter.Path, 1e-8)
			near(t, "unevenness shaped", rear.EvenShaped.Path, front.EvenShaped.Path, 1e-8)
			for i, move := range front.Trim.Moves {
				near(t, "lock lost by a later subtrim", rear.Trim.Moves[i].Uneven, move.Uneven, 1e-8)
			}
			atFront := tried(t, front.Rig())
			atRear, err := setup.Try(rear.Rig(), 2, len(atFront.Points))
			if err != nil {
				t.Fatal(err)
			}
			for i, point := range atFront.Points {
				near(t, "path as set up", atRear.Points[i].Values[steer.Curvature], point.Values[steer.Curvature], 1e-9+1e-4*math.Abs(point.Values[steer.Curvature]))
			}
		})
	}
}

// What a plan of the rear axle changes in the file is the rear axle's, and no more.
func TestPlanOfTheRearAxleChangesTheRearAxle(t *testing.T) {
	for _, name := range rigtest.Names() {
		r := rigtest.Twin(t, rigtest.Starter(t, name, "settings.reverse=true"))
		p, err := setup.Make(r, 2)
		if err != nil {
			t.Fatal(name, err)
		}
		all := p.Changes()
		for _, set := range all {
			if !strings.HasPrefix(set.Key, "rear.") {
				t.Errorf("%s: sets %s", name, set.Key)
			}
		}
		if len(all) < 3 {
			t.Errorf("%s: only %v is set", name, all)
		}
		// The horn and the rods are where the plan has them: its wheels are straight at its centre.
		m, err := steer.Build(p.Rig(), steer.Options{Axle: 2})
		if err != nil {
			t.Fatal(name, err)
		}
		v := valuesAt(t, m, p.After.Centre())
		near(t, name+": left wheel", v[steer.Road.Of(steer.Left)], -r.Rear.Want.Toe.Value, hundredthsOf)
		near(t, name+": right wheel", v[steer.Road.Of(steer.Right)], r.Rear.Want.Toe.Value, hundredthsOf)
	}
}

func shuffled[P any](rng *rand.Rand, list []P) {
	rng.Shuffle(len(list), func(i, k int) { list[i], list[k] = list[k], list[i] })
}

// The order of the lists is no matter to a plan: nobody says what comes first in them but the
// chassis.
func TestPlanIsThatOfTheListsInAnyOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 1))
	for _, name := range rigtest.Names() {
		p := made(t, rigtest.Starter(t, name).Exact())
		was := *p
		for range 5 {
			for _, m := range []*steer.Model{p.Before, p.After} {
				v := m.Vehicle
				shuffled(rng, v.Bodies[1:])
				shuffled(rng, v.Balls)
				shuffled(rng, v.Rods)
				shuffled(rng, v.Wheels)
				shuffled(rng, v.Servos)
				shuffled(rng, v.Limits)
			}
			if err := p.Again(); err != nil {
				t.Fatal(name, err)
			}
			if !reflect.DeepEqual(p.Settings, was.Settings) {
				t.Errorf("%s: settings %+v, they were %+v", name, p.Settings, was.Settings)
			}
			for _, rod := range was.Rods {
				if i := slices.IndexFunc(p.Rods, func(r setup.Rod) bool { return r.Key == rod.Key }); !reflect.DeepEqual(p.Rods[i], rod) {
					t.Errorf("%s: %+v, it was %+v", name, p.Rods[i], rod)
				}
			}
			for side := range was.Ends {
				near(t, name+": servo", p.Ends[side].Servo.Value, was.Ends[side].Servo.Value, 0)
				near(t, name+": inner wheel", p.Ends[side].Inner.Value, was.Ends[side].Inner.Value, 0)
			}
			if p.EvenAfter != was.EvenAfter || !reflect.DeepEqual(p.Trim, was.Trim) {
				t.Errorf("%s: even by %+v, it was %+v", name, p.EvenAfter, was.EvenAfter)
			}
		}
	}
}
