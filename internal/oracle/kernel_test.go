package oracle

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenlock/internal/effort"
	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"
)

// The greatest disagreement allowed, as the project's brief asks.
const (
	placeTolerance = 1e-6          // mm
	angleTolerance = 1e-6 * degree // rad
)

// read takes the rig as a builder's would come: from the text of a file.
func read(r *Rig) (*steer.Model, error) {
	file, err := rig.Read(strings.NewReader(r.File()), "random rig")
	if err != nil {
		return nil, err
	}
	return steer.New(file)
}

// disagreement is the greatest difference between the two programs.
type disagreement struct {
	place float64 // mm
	angle float64 // rad
}

func (d disagreement) tooMuch() bool {
	// Written so that NaN is too much.
	return !(d.place < placeTolerance && d.angle < angleTolerance)
}

func (d disagreement) String() string {
	return fmt.Sprintf("%.2g mm, %.2g°", d.place, d.angle/degree)
}

func (d *disagreement) include(other disagreement) {
	d.place = math.Max(d.place, other.place)
	d.angle = math.Max(d.angle, other.angle)
}

// compare solves the rig at each of the poses and returns how far the kernel is
// from them in any ball, turn and road angle.
func compare(m *steer.Model, poses []Pose) (disagreement, error) {
	var worst disagreement
	p := m.Linkage.NewPose()
	inputs := make([]float64, m.Linkage.NumInputs())
	for _, want := range poses {
		inputs[0] = want.Angle
		if err := m.Linkage.Solve(p, inputs); err != nil {
			return worst, fmt.Errorf("servo at %.1f°: %w", want.Angle/degree, err)
		}
		l, r := m.Wheels[steer.Left], m.Wheels[steer.Right]
		left, right := p.Arrow(l.SpindleHandle), p.Arrow(r.SpindleHandle)
		for _, d := range []r3.Vec{
			r3.Sub(p.Ball(m.Servo.Ball.Handle), want.Horn),
			r3.Sub(p.Ball(m.Servo.Far().Handle), want.Target),
			r3.Sub(p.Ball(l.Arm.Handle), want.LeftTie),
			r3.Sub(p.Ball(r.Arm.Handle), want.RightTie),
		} {
			worst.include(disagreement{place: r3.Norm(d)})
		}
		for _, d := range []float64{
			m.Linkage.Coordinate(p, l.Knuckle.Handle) - want.LeftTurn,
			m.Linkage.Coordinate(p, r.Knuckle.Handle) - want.RightTurn,
			math.Atan2(-left.X, left.Y) - want.LeftRoad,
			math.Atan2(right.X, -right.Y) - want.RightRoad,
			r3.Norm(r3.Sub(left, want.LeftSpindle)),
			r3.Norm(r3.Sub(right, want.RightSpindle)),
		} {
			worst.include(disagreement{angle: math.Abs(d)})
		}
	}
	return worst, nil
}

// TestKernelAgreesWithConstraintSolver compares whole sweeps of random rigs, 210 under CI,
// with libslvs, and shows that the same comparison finds a rod that is wrong by a
// ten-thousandth of a millimetre.
func TestKernelAgreesWithConstraintSolver(t *testing.T) {
	program := compile(t)
	for layout := range layouts {
		t.Run(layout.String(), func(t *testing.T) {
			t.Parallel()
			rigs := effort.Of(12, 70)
			rng := rand.New(rand.NewPCG(22, uint64(layout)))
			var worst disagreement
			poses := 0
			for i, s := range sweeps(t, program, layout, rigs) {
				m, err := read(&s.rig)
				if err != nil {
					t.Fatalf("rig %d: %v", i, err)
				}
				d, err := compare(m, s.poses)
				if err != nil {
					t.Errorf("rig %d: %v", i, err)
				}
				if d.tooMuch() {
					t.Errorf("rig %d: the programs disagree by %v", i, d)
				}
				worst.include(d)
				poses += len(s.poses)

				// The branch must hold over any jump inside the sweep as well.
				jumps := slices.Clone(s.poses)
				rng.Shuffle(len(jumps), func(i, j int) { jumps[i], jumps[j] = jumps[j], jumps[i] })
				if d, err := compare(m, jumps); err != nil || d.tooMuch() {
					t.Errorf("rig %d: jumping from pose to pose, the programs disagree by %v, %v", i, d, err)
				}

				for name, change := range map[string]func(*Rig){
					"drag link": func(r *Rig) { r.DragLength += 1e-4 },
					"tie rod":   func(r *Rig) { r.TieLength -= 1e-4 },
				} {
					wrong := s.rig
					change(&wrong)
					m, err := read(&wrong)
					if err != nil {
						t.Fatalf("rig %d, %s changed: %v", i, name, err)
					}
					// Zero alone is enough: the rest of the sweep may pass a limit that has moved.
					if d, err := compare(m, []Pose{s.neutral()}); err != nil || !d.tooMuch() {
						t.Errorf("rig %d: a %s wrong by 1e-4 mm goes unnoticed: %v, %v", i, name, d, err)
					}
				}
			}
			t.Logf("%d rigs, %d poses: greatest disagreement %v", rigs, poses, worst)
		})
	}
}

// TestKernelLimitIsWhereConstraintSolverFails takes the servo angle at which the
// kernel says that a rig's rods stop closing: the constraint program must find a
// pose 0.001° before it, and none 0.001° past it.
func TestKernelLimitIsWhereConstraintSolverFails(t *testing.T) {
	program := compile(t)
	const near = 0.001 * degree
	for layout := range layouts {
		t.Run(layout.String(), func(t *testing.T) {
			t.Parallel()
			rng := rand.New(rand.NewPCG(21, uint64(layout)))
			limits, rigs := 0, effort.Of(12, 40)
			for i := range rigs {
				r := Random(rng, layout)
				m, err := read(&r)
				if err != nil {
					t.Fatalf("rig %d: %v", i, err)
				}
				inputs := make([]float64, m.Linkage.NumInputs())
				inputs[0] = 80 * degree
				var limit *linkage.LimitError
				if err := m.Linkage.Solve(m.Linkage.NewPose(), inputs); !errors.As(err, &limit) {
					if err != nil {
						t.Fatalf("rig %d: %v", i, err)
					}
					continue
				}
				at := limit.Inputs[0]
				inputs[0] = at - near
				p := m.Linkage.NewPose()
				if err := m.Linkage.Solve(p, inputs); err != nil {
					t.Errorf("rig %d: limit %.4f°: 0.001° before it: %v", i, at/degree, err)
					continue
				}
				// No knuckle turns that far, and libslvs loses its way there.
				const most = 100 * degree
				if at < 5*degree || math.Abs(m.Linkage.Coordinate(p, m.Wheels[steer.Left].Knuckle.Handle)) > most || math.Abs(m.Linkage.Coordinate(p, m.Wheels[steer.Right].Knuckle.Handle)) > most {
					continue
				}
				var angles []float64
				for a := 0.0; a < at-2*degree; a += degree / 2 {
					angles = append(angles, a)
				}
				// Near a dead point the knuckles run as the square root of what is left.
				for before := 2 * degree; before > near; before /= 1.25 {
					angles = append(angles, at-before)
				}
				angles = append(angles, at-near, at+near)
				lines, err := Run(t.Context(), program, r.Script(angles))
				if err != nil {
					t.Fatal(err)
				}
				last := len(lines) - 1
				before, _, err := r.Pose(angles[last-1], lines[last-1])
				if err != nil {
					t.Errorf("rig %d: limit %.4f°: no pose 0.001° before it: %v", i, at/degree, err)
					continue
				}
				// Past the limit the constraint program finds nothing, or another
				// assembly of the rig, far away.
				if past, _, err := r.Pose(angles[last], lines[last]); err == nil && !jumps(before, past) {
					t.Errorf("rig %d: limit %.4f°: there is a pose 0.001° past it", i, at/degree)
				}
				limits++
			}
			if 4*limits < rigs {
				t.Errorf("only %d of %d rigs have a limit", limits, rigs)
			}
			t.Logf("%d limits", limits)
		})
	}
}
