package draw_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenlock/draw"
	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// everyModel is every axle of every rig, the figures' among them, which have an idler, a drag plate
// and a second servo.
func everyModel(t *testing.T) (all models) {
	t.Helper()
	rigs := rigtest.Rigs(t)
	files, err := filepath.Glob("../internal/figures/testdata/rigs/*.toml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no rigs: %v", err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		rigs[file] = rigtest.Read(t, text)
	}
	for _, r := range rigs {
		all = append(all, axles(t, r)...)
	}
	return all
}

// Every ball that a rod holds is drawn where it is, every rod from ball to ball, every servo's horn
// from its axis, and every arm of what turns from the axis, square to it, to a ball. A place in
// space is that of the views from above and from behind together.
func TestEveryPartOfTheSteeringIsDrawnWhereItIs(t *testing.T) {
	for _, m := range everyModel(t) {
		name := m.Rig.Name
		s, numbers := filled(t, m, 0.08, nil, draw.Limit{})
		state := m.NewState()
		if err := state.Turn(0.08); err != nil {
			t.Fatal(err)
		}
		pose := state.Pose()
		// place is one of the places of a part; there is one of them in each view.
		place := func(part string, i int) r3.Vec {
			above, behind := at(t, s, numbers, draw.Above, part)[2*i:], at(t, s, numbers, draw.Behind, part)[2*i:]
			return r3.Vec{X: -above[1], Y: -above[0], Z: -behind[1]}
		}
		near := func(what string, got, want r3.Vec) {
			t.Helper()
			if r3.Norm(r3.Sub(got, want)) > 1e-9 {
				t.Errorf("%s: %s is drawn at %.4f, it is at %.4f", name, what, got, want)
			}
		}
		for _, r := range m.Vehicle.Steering() {
			part := r.Name
			if r.Body != nil {
				part = r.Body.Name
			}
			for i, b := range [2]*vehicle.Ball{r.From, r.To} {
				near(part, place(part, i), pose.Ball(b.Handle))
				near(b.Name, place(b.Name, 0), pose.Ball(b.Handle))
				if b.On.Drive == vehicle.ByServo || b.On.Moves == vehicle.Slides {
					continue
				}
				arm := b.On.Name + ", arm for the " + r.Name
				foot, end := place(arm, 0), place(arm, 1)
				point, axis := m.Linkage.Axis(pose, b.On.Handle)
				near(arm, end, pose.Ball(b.Handle))
				near("the foot of "+arm, r3.Cross(axis, r3.Sub(foot, point)), r3.Vec{})
				if lean := r3.Dot(axis, r3.Sub(end, foot)); math.Abs(lean) > 1e-9 {
					t.Errorf("%s: %s leans by %g mm", name, arm, lean)
				}
			}
		}
		for _, o := range m.Vehicle.Servos {
			point, axis := m.Linkage.Axis(pose, o.Horn.Handle)
			near(o.Name+"'s horn", place(o.Name+"'s horn", 1), pose.Ball(o.Ball.Handle))
			near("the shaft of the "+o.Name, r3.Cross(axis, r3.Sub(place(o.Name+"'s shaft", 0), point)), r3.Vec{})
		}
	}
}

// A rear axle that is the front one again, a wheelbase behind, is drawn as that is, but for its
// place.
func TestRearAxleIsDrawnAsTheFrontOne(t *testing.T) {
	for name, r := range rigtest.Rigs(t) {
		if r.Rear != nil || r.Parts != nil {
			continue
		}
		r.Rear = &rig.Rear{Track: r.Vehicle.Track, Steering: r.Steering}
		all := axles(t, r)
		front, want := filled(t, all[0], 0.2, nil, draw.Limit{})
		rear, got := filled(t, all[1], 0.2, nil, draw.Limit{})
		if len(front.Shapes) != len(rear.Shapes) {
			t.Fatalf("%s: %d shapes, and %d at the rear", name, len(front.Shapes), len(rear.Shapes))
		}
		by := r3.Sub(all[1].Axle.Middle, all[0].Axle.Middle)
		compared := 0
		for i := range rear.Shapes {
			sh := &rear.Shapes[i]
			if sh.View == draw.Turn || sh.Tag != "line" && sh.Tag != "circle" && sh.Tag != "text" {
				continue
			}
			du, dw := sh.View.Flat(by)
			places := 2
			if sh.Tag == "line" {
				places = 4
			}
			for k := range places {
				if off := got[sh.At+k] - want[sh.At+k] - []float64{du, dw}[k%2]; math.Abs(off) > 1e-9 {
					t.Errorf("%s: %s is %g mm off", name, sh.Part, off)
				}
			}
			compared++
		}
		if compared < 60 {
			t.Errorf("%s: %d shapes compared", name, compared)
		}
		for v, box := range rear.Boxes[:draw.Turn] {
			du, dw := draw.View(v).Flat(by)
			f := front.Boxes[v]
			if off := math.Hypot(math.Hypot(box.U-f.U-du, box.V-f.V-dw), math.Hypot(box.Width-f.Width, box.Height-f.Height)); off > 1e-9 {
				t.Errorf("%s: the view %s shows %v, that of the front axle %v", name, draw.View(v), box, f)
			}
		}
	}
}

// The axes of both wheels, drawn on, go along the wheels' spindles and end on the line of the axle
// that does not steer; the turn centre is on that line too, on the side that they go to, which is
// the side of the words; and the outer circle goes through the outer edge of a tyre, but for its
// camber.
func TestTurnOfEitherAxleIsDrawnAboutItsCentre(t *testing.T) {
	for _, m := range axles(t, fourWheel(t)) {
		s, numbers := filled(t, m, 0.2, nil, draw.Limit{})
		centre := at(t, s, numbers, draw.Turn, "turn centre")
		if math.Abs(centre[1]+m.Axle.Other) > 1e-9 {
			t.Errorf("the centre is at %v, the other axle at %v", centre, m.Axle.Other)
		}
		state := m.NewState()
		if err := state.Turn(0.2); err != nil {
			t.Fatal(err)
		}
		outermost := 0.0
		for _, w := range m.Wheels {
			x := at(t, s, numbers, draw.Turn, w.Name+"'s axis, to the other axle's line")
			du, dw := draw.Turn.Flat(state.Pose().Arrow(w.SpindleHandle))
			if off := (du*(x[3]-x[1]) - dw*(x[2]-x[0])) / math.Hypot(x[3]-x[1], x[2]-x[0]); math.Abs(off) > 1e-9 {
				t.Errorf("the %s's axis is %g off its spindle", w.Name, off)
			}
			if x[2]*centre[0] <= 0 || math.Abs(x[3]+m.Axle.Other) > 1e-9 {
				t.Errorf("the %s's axis ends at %v, the centre is at %v", w.Name, x[2:], centre[:2])
			}
			outermost = max(outermost, math.Hypot(x[0]-centre[0], x[1]-centre[1])+w.Width/2)
		}
		if r := at(t, s, numbers, draw.Turn, "circle of the outermost tyre")[2]; math.Abs(r-outermost) > 1e-9 {
			t.Errorf("the outer circle's radius is %g, the tyre's edge is at %g", r, outermost)
		}
		words := at(t, s, numbers, draw.Turn, "turning circle")
		if words[3]*centre[0] >= 0 {
			t.Errorf("the words say %v of a centre at %v", words, centre)
		}
	}
}

// Of a rig with other parts the ghost shows what both have.
func TestGhostOfAnotherKindShowsWhatBothHave(t *testing.T) {
	m, other := starter(t, "far-knuckle"), starter(t, "centre-crank")
	s, numbers := filled(t, m, 0, &draw.Posed{Model: other, State: other.NewState()}, draw.Limit{})
	for part, shown := range map[string]bool{
		"left tyre before": true, "drag link before": true, "servo's horn before": true, "tie rod before": false, "right knuckle, arm for the drag link before": false,
	} {
		x := at(t, s, numbers, draw.Above, part)
		for _, one := range x {
			if math.IsNaN(one) == shown {
				t.Errorf("%s is %v", part, x)
			}
		}
	}
	if link := at(t, s, numbers, draw.Above, "drag link before"); math.Abs(link[0]+other.Servo.Ball.At.Y) > 1e-9 {
		t.Errorf("the drag link begins at %v", link)
	}
}

// An axle on leaves or arms has a mark on the line that it rolls about, which goes up and down with
// it, and a line from the hinge that it swings about.
func TestStatedMotionIsDrawn(t *testing.T) {
	text := rigtest.StarterText(t, "far-knuckle")
	for _, pivot := range []string{"", "pivot = [-150, 0, 10]\n"} {
		r := rigtest.Read(t, append(text[:len(text):len(text)], "\n[suspension]\nkind = \"stated\"\nbump = 20\ndroop = 20\nroll_centre = [0, 0, 20]\n"+pivot...))
		m, err := steer.NewSuspended(r)
		if err != nil {
			t.Fatal(err)
		}
		s, state, numbers := atTravel(t, m, 0, steer.WheelTravel{Left: 8, Right: 8})
		middle := r3.Scale(0.5, r3.Add(state.Pose().Ball(m.Wheels[0].Risen.Handle), state.Pose().Ball(m.Wheels[1].Risen.Handle)))
		roll := at(t, s, numbers, draw.Behind, "line of the axle")
		if rise := -roll[1] - 20; math.Abs(rise-8) > 0.2 || pivot == "" && math.Abs(rise-8) > 1e-9 {
			t.Errorf("the line that the axle rolls about is %g mm up", rise)
		}
		swing := strings.Contains(drawn(s), "stated swing of the axle")
		if swing != (pivot != "") {
			t.Errorf("a swing is drawn: %v", swing)
		}
		if swing {
			x := at(t, s, numbers, draw.SideOn, "stated swing of the axle")
			u, w := draw.SideOn.Flat(middle)
			if x[0] != 150 || x[1] != -10 || math.Hypot(x[2]-u, x[3]-w) > 1e-9 {
				t.Errorf("the swing is drawn %v", x)
			}
		}
	}
}

// drawn is what a scene has, a line each.
func drawn(s *draw.Scene) string {
	var b strings.Builder
	for i := range s.Shapes {
		b.WriteString(s.Shapes[i].Part + "\n")
	}
	return b.String()
}
