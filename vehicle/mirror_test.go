package vehicle_test

import (
	"fmt"
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// another is a description written anew: other parts that are alike, or the mirror images of what
// they were.
type another struct {
	*vehicle.Vehicle
	mirror bool
	bodies map[*vehicle.Body]*vehicle.Body
	balls  map[*vehicle.Ball]*vehicle.Ball
	rods   map[*vehicle.Rod]*vehicle.Rod
	wheels map[*vehicle.Wheel]*vehicle.Wheel
	servos map[*vehicle.Servo]*vehicle.Servo
}

// place returns where a place or a direction is in it.
func (a *another) place(x r3.Vec) r3.Vec {
	if a.mirror {
		return vehicle.Across(x)
	}
	return x
}

// turn returns what a turn about the vehicle's own forward axis, or about a line through two balls,
// is in it: in a mirror such a turn is the other way about.
func (a *another) turn(angle float64) float64 {
	if a.mirror {
		return -angle
	}
	return angle
}

func copies[P any](list []*P) (all []*P, of map[*P]*P) {
	of = map[*P]*P{}
	for _, p := range list {
		c := *p
		of[p] = &c
		all = append(all, &c)
	}
	return all, of
}

// again writes a description anew.
func again(v *vehicle.Vehicle, mirror bool) *another {
	a := &another{Vehicle: &vehicle.Vehicle{}, mirror: mirror}
	a.Bodies, a.bodies = copies(v.Bodies)
	a.Balls, a.balls = copies(v.Balls)
	a.Rods, a.rods = copies(v.Rods)
	a.Wheels, a.wheels = copies(v.Wheels)
	a.Servos, a.servos = copies(v.Servos)
	a.Limits, _ = copies(v.Limits)
	a.Shapes, _ = copies(v.Shapes)
	a.Axles, _ = copies(v.Axles)
	for _, b := range a.Bodies {
		b.On, b.Ends = a.bodies[b.On], [2]*vehicle.Ball{a.balls[b.Ends[0]], a.balls[b.Ends[1]]}
		b.Point, b.Axis = a.place(b.Point), a.place(b.Axis)
		switch {
		case b.Moves == vehicle.Turns && mirror:
			// So that it turns as far the same way about it, as the mirror image does.
			b.Axis = r3.Scale(-1, b.Axis)
		case b.Moves == vehicle.Between || b.Moves == vehicle.Free:
			b.Start = a.turn(b.Start)
		}
	}
	for _, b := range a.Balls {
		b.On, b.At, b.Stud = a.bodies[b.On], a.place(b.At), a.place(b.Stud)
	}
	for _, r := range a.Rods {
		r.From, r.To, r.Body = a.balls[r.From], a.balls[r.To], a.bodies[r.Body]
		along := r.Along
		r.Along = nil
		for _, p := range along {
			r.Along = append(r.Along, vehicle.Along{Ball: a.balls[p.Ball], Distance: p.Distance, Offset: a.place(p.Offset)})
		}
	}
	for _, w := range a.Wheels {
		w.Knuckle, w.Centre, w.Arm, w.Risen = a.bodies[w.Knuckle], a.balls[w.Centre], a.balls[w.Arm], a.balls[w.Risen]
		w.Spindle = a.place(w.Spindle)
		if mirror {
			w.Side = w.Side.Other()
		}
		if j := w.Joint; j != nil {
			w.Joint = &vehicle.DriveJoint{Kind: j.Kind, MaxAngle: j.MaxAngle, At: a.balls[j.At], Inner: a.balls[j.Inner]}
		}
	}
	for _, s := range a.Servos {
		s.Horn, s.Ball, s.Link, s.Leader = a.bodies[s.Horn], a.balls[s.Ball], a.rods[s.Link], a.servos[s.Leader]
		s.Face = a.place(s.Face)
	}
	for _, l := range a.Limits {
		l.Body, l.Mark, l.Rod, l.End = a.bodies[l.Body], a.balls[l.Mark], a.rods[l.Rod], a.balls[l.End]
		l.Wheel, l.Servo = a.wheels[l.Wheel], a.servos[l.Servo]
	}
	for _, s := range a.Shapes {
		s.On, s.From, s.To = a.bodies[s.On], a.balls[s.From], a.balls[s.To]
	}
	for _, x := range a.Axles {
		x.Body = a.bodies[x.Body]
	}
	return a
}

// shuffle calls all parts something else, in other orders; the chassis stays the first body.
func (a *another) shuffle(t *rapid.T) {
	n := 0
	call := func(p *vehicle.Part) {
		n++
		p.Name = fmt.Sprintf("part %d", n)
	}
	a.Bodies = append(a.Bodies[:1:1], rapid.Permutation(a.Bodies[1:]).Draw(t, "bodies")...)
	a.Balls = rapid.Permutation(a.Balls).Draw(t, "balls")
	a.Rods = rapid.Permutation(a.Rods).Draw(t, "rods")
	a.Wheels = rapid.Permutation(a.Wheels).Draw(t, "wheels")
	a.Servos = rapid.Permutation(a.Servos).Draw(t, "servos")
	a.Limits = rapid.Permutation(a.Limits).Draw(t, "limits")
	a.Shapes = rapid.Permutation(a.Shapes).Draw(t, "shapes")
	for _, b := range a.Bodies {
		call(&b.Part)
	}
	for _, b := range a.Balls {
		call(&b.Part)
	}
	for _, r := range a.Rods {
		call(&r.Part)
	}
	for _, w := range a.Wheels {
		call(&w.Part)
	}
	for _, s := range a.Servos {
		call(&s.Part)
	}
	for _, l := range a.Limits {
		call(&l.Part)
	}
	for _, s := range a.Shapes {
		call(&s.Part)
	}
}

// roadAngle returns the yaw of a wheel's plane, positive to the left, from the outward direction of
// its spindle.
func roadAngle(side vehicle.Side, spindle r3.Vec) float64 {
	return math.Atan2(-side.Sign()*spindle.X, side.Sign()*spindle.Y)
}

// TestOrderNamesAndSidesAreNoMatter steers descriptions, and the same ones with other names, in other
// orders and in the mirror: the wheels turn alike, or mirrored.
func TestOrderNamesAndSidesAreNoMatter(t *testing.T) {
	all := vehicle.Sketches()
	for name, r := range rigtest.Rigs(t) {
		for _, suspended := range []bool{false, true} {
			v, err := r.Expand(suspended)
			if err != nil {
				t.Fatal(name, err)
			}
			for _, a := range v.Axles {
				all[fmt.Sprintf("%s, axle %d, suspended %v", name, a.Number(), suspended)] = v.Of(a.Number())
			}
		}
	}
	for name, v := range all {
		t.Run(name, func(t *testing.T) {
			l, err := v.Build()
			if err != nil {
				t.Fatal(err)
			}
			rapid.Check(t, func(t *rapid.T) {
				a := again(v, rapid.Bool().Draw(t, "mirror"))
				a.shuffle(t)
				for _, e := range a.Check() {
					t.Fatal(e)
				}
				m, err := a.Build()
				if err != nil {
					t.Fatal(err)
				}
				p, q := l.NewPose(), m.NewPose()
				at, as := p.Inputs(), q.Inputs()
				at, as = append(at[:0:0], at...), append(as[:0:0], as...)
				servo := rapid.Float64Range(-0.4, 0.4).Draw(t, "servo")
				for _, s := range v.Servos {
					at[s.Horn.Input] += s.Ratio * servo
					as[a.bodies[s.Horn].Input] += s.Ratio * servo
				}
				for _, b := range v.Bodies {
					if b.Drive != vehicle.ByTravel {
						continue
					}
					i, k := b.Input, a.bodies[b].Input
					by := rapid.Float64Range(-0.1, 0.1).Draw(t, "travel")
					switch b.Moves {
					case vehicle.Free:
						at[i] += by
						as[k] += a.turn(by)
						rise := rapid.Float64Range(-10, 10).Draw(t, "rise")
						at[i-1] += rise
						as[k-1] += rise
					case vehicle.Slides:
						at[i] += 100 * by
						as[k] += 100 * by
					default:
						at[i] += by
						as[k] += by
					}
				}
				if solved, same := l.Solve(p, at), m.Solve(q, as); (solved == nil) != (same == nil) {
					t.Fatalf("solving says %v, and %v", solved, same)
				}
				for _, w := range v.Wheels {
					x := a.wheels[w]
					was := a.turn(roadAngle(w.Side, p.Arrow(w.SpindleHandle)))
					if is := roadAngle(x.Side, q.Arrow(x.SpindleHandle)); math.Abs(is-was) > 1e-9 {
						t.Errorf("the %s steers by %v, not %v", w.Name, is, was)
					}
					centre := a.place(p.Ball(w.Centre.Handle))
					if is := q.Ball(x.Centre.Handle); r3.Norm(r3.Sub(is, centre)) > 1e-9 {
						t.Errorf("the %s is at %v, not %v", w.Name, is, centre)
					}
				}
			})
		})
	}
}
