package bench

import (
	"context"
	"fmt"
	"math"
	"os/exec"
	"slices"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"evenlock/internal/need"
	"evenlock/internal/oracle"
	"evenlock/rig"
	"evenlock/steer"
)

const (
	degree = math.Pi / 180
	// The sweep that is timed and compared: this many servo angles from -greatest
	// to +greatest.
	greatest = 40 * degree
	angles   = 1000
)

// chain is an invented rig: servo on the axle, drag link to the right knuckle,
// tie rod behind the axle, kingpins with caster and inclination, left unlike right.
func chain() oracle.Rig {
	side := func(out, caster, inclination, arm float64) oracle.Knuckle {
		centre := r3.Vec{Y: out * 78}
		return oracle.Knuckle{
			Out: out, Centre: centre, HalfHeight: 16,
			Caster: caster, Inclination: inclination,
			Toe: 0.5 * degree, Camber: 1 * degree,
			Tie:  r3.Add(centre, r3.Vec{X: -arm, Y: -out * 5, Z: 3}),
			Drag: r3.Add(centre, r3.Vec{X: 21, Y: -out * 2, Z: 12}),
		}
	}
	r := oracle.Rig{
		Layout:     oracle.ToRight,
		Left:       side(1, 6*degree, 8*degree, 22),
		Right:      side(-1, 5.5*degree, 8.3*degree, 22.4),
		ServoPoint: r3.Vec{X: 24, Y: 22, Z: 14},
		ServoAxis:  r3.Unit(r3.Vec{X: 0.97, Y: 0.05, Z: 0.24}),
	}
	arm := r3.Unit(r3.Cross(r.ServoAxis, r3.Cross(r3.Vec{Z: 1}, r.ServoAxis)))
	r.Horn = r3.Add(r.ServoPoint, r3.Scale(19, arm))
	r.TieLength = r3.Norm(r3.Sub(r.Left.Tie, r.Right.Tie))
	r.DragLength = r3.Norm(r3.Sub(r.Horn, r.Target()))
	return r
}

// answer is one line of the C program: radians.
type answer struct{ servo, left, right float64 }

// closedForm runs the C program and returns nanoseconds a pose and its answers.
func closedForm(ctx context.Context, program string, r *oracle.Rig, rounds, repeats int) (float64, []answer, error) {
	var in []byte
	for _, v := range []r3.Vec{
		r.ServoPoint, r.ServoAxis, r.Horn,
		r.Right.Centre, r.Right.Axis(), r.Right.Drag, r.Right.Tie, r.Right.Spindle(),
		r.Left.Centre, r.Left.Axis(), r.Left.Tie, r.Left.Spindle(),
	} {
		in = fmt.Appendf(in, "%.17g %.17g %.17g\n", v.X, v.Y, v.Z)
	}
	in = fmt.Appendf(in, "%.17g %.17g\n%.17g %d %d %d\n", r.DragLength, r.TieLength, float64(greatest), angles, rounds, repeats)
	cmd := exec.CommandContext(ctx, program)
	cmd.Stdin = strings.NewReader(string(in))
	out, err := cmd.Output()
	if err != nil {
		return 0, nil, fmt.Errorf("closed-form program: %w", err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	var ns, sum float64
	if _, err := fmt.Sscan(lines[0], &ns, &sum); err != nil {
		return 0, nil, err
	}
	answers := make([]answer, len(lines)-1)
	for i, line := range lines[1:] {
		a := &answers[i]
		if _, err := fmt.Sscan(line, &a.servo, &a.left, &a.right); err != nil {
			return 0, nil, err
		}
	}
	return ns, answers, nil
}

func compileC(tb testing.TB) string {
	tb.Helper()
	return need.CProgram(tb, "testdata/chain.c", nil, []string{"-O3", "-lm"})
}

// model takes the rig as a builder's would come: from the text of a file.
func model(tb testing.TB, r *oracle.Rig) *steer.Model {
	tb.Helper()
	file, err := rig.Read(strings.NewReader(r.File()), "chain")
	if err != nil {
		tb.Fatal(err)
	}
	m, err := steer.New(file)
	if err != nil {
		tb.Fatal(err)
	}
	return m
}

func TestClosedFormProgramAgrees(t *testing.T) {
	program := compileC(t)
	r := chain()
	_, answers, err := closedForm(t.Context(), program, &r, 1, 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(answers) != angles {
		t.Fatalf("%d answers for %d angles", len(answers), angles)
	}
	state := model(t, &r).NewState()
	worst, lock := 0.0, 0.0
	for _, a := range answers {
		if err := state.Turn(a.servo); err != nil {
			t.Fatal(err)
		}
		road := state.Road()
		left, right := road[0], road[1]
		worst = math.Max(worst, math.Max(math.Abs(left-a.left), math.Abs(right-a.right)))
		lock = math.Max(lock, math.Max(math.Abs(left), math.Abs(right)))
	}
	// The positive form catches NaN.
	if !(worst < 1e-9) {
		t.Errorf("road angles differ by %.3g rad", worst)
	}
	if lock < 20*degree {
		t.Errorf("the sweep turns the wheels by only %.1f°, so it compares little", lock/degree)
	}
	t.Logf("%d poses to %.1f° of lock: greatest difference %.2g rad", len(answers), lock/degree, worst)
}

// sweep returns the servo angles that are timed, in radians.
func sweep() []float64 {
	servo := make([]float64, angles)
	for i := range servo {
		servo[i] = greatest * (2*float64(i)/(angles-1) - 1)
	}
	return servo
}

func TestSweepAllocatesNothing(t *testing.T) {
	r := chain()
	state := model(t, &r).NewState()
	var failed error
	servo := sweep()
	allocs := testing.AllocsPerRun(5, func() {
		for _, angle := range servo {
			if err := state.Turn(angle); err != nil {
				failed = err
			}
			state.Road()
			state.Snapshot()
		}
	})
	if failed != nil {
		t.Fatal(failed)
	}
	if allocs != 0 {
		t.Errorf("a sweep allocates %v times", allocs)
	}
}

// against times a way through the sweep, and reports it as ratios to the two
// reference programs. The three take turns, and the quickest turn of each
// counts, so that what else the machine does matters little.
func against(b *testing.B, through func(*steer.State, []float64) error) {
	b.Helper()
	const turns, sweeps = 7, 400
	r := chain()
	state := model(b, &r).NewState()
	chainProgram, solverProgram := compileC(b), compileSolver(b)
	// To and fro, as a stick goes: a leap from end to end would be gone in strides.
	servo := sweep()
	back := slices.Clone(servo)
	slices.Reverse(back)
	servo = append(servo, back...)
	run := func() {
		if err := through(state, servo); err != nil {
			b.Fatal(err)
		}
	}
	ours, c, solver := math.Inf(1), math.Inf(1), math.Inf(1)
	for range turns {
		ns, _, err := closedForm(b.Context(), chainProgram, &r, 1, sweeps)
		if err != nil {
			b.Fatal(err)
		}
		c = min(c, ns)
		for range sweeps {
			began := time.Now()
			run()
			ours = min(ours, float64(time.Since(began).Nanoseconds())/float64(len(servo)))
		}
		if ns, err = constraintSolver(b.Context(), solverProgram, &r); err != nil {
			b.Fatal(err)
		}
		solver = min(solver, ns)
	}
	b.ReportAllocs()
	for b.Loop() {
		run()
	}
	b.ReportMetric(ours/c, "x-of-C")
	b.ReportMetric(solver/ours, "times-the-solver")
	b.ReportMetric(ours, "best-ns")
	b.ReportMetric(c, "C-ns")
	b.ReportMetric(solver, "solver-ns")
}

func compileSolver(tb testing.TB) string {
	tb.Helper()
	return need.CProgram(tb, "../oracle/testdata/slvs.c", []string{"slvs.h"}, []string{"-O3", "-lslvs", "-lm"})
}

// constraintSolver returns how many nanoseconds a pose takes the general solver.
func constraintSolver(ctx context.Context, program string, r *oracle.Rig) (float64, error) {
	const poses = 200 // one swing to and fro
	in, err := r.Timing(poses, greatest)
	if err != nil {
		return 0, err
	}
	lines, err := oracle.Run(ctx, program, in)
	if err != nil {
		return 0, err
	}
	var ns float64
	var solved int
	if _, err := fmt.Sscanf(strings.Join(lines, "\n"), "bench %f %d", &ns, &solved); err != nil {
		return 0, err
	}
	if solved != poses {
		return 0, fmt.Errorf("the constraint solver solved %d of %d poses", solved, poses)
	}
	return ns, nil
}

// The results of the benchmarks, so that nothing that is timed can be left out.
var (
	roadSink     float64
	snapshotSink steer.Snapshot
)

// BenchmarkRoadAngles is the servo's angle to both road angles and nothing else:
// just what the C program does.
func BenchmarkRoadAngles(b *testing.B) {
	against(b, func(s *steer.State, servo []float64) error {
		for _, angle := range servo {
			if err := s.Turn(angle); err != nil {
				return err
			}
			road := s.Road()
			left, right := road[0], road[1]
			roadSink += left + right
		}
		return nil
	})
}

// BenchmarkRatesAndLinkAngles adds to the road angles their rates and the drag
// link's angles at both ends. The C program still does the road angles alone.
func BenchmarkRatesAndLinkAngles(b *testing.B) {
	against(b, func(s *steer.State, servo []float64) error {
		for _, angle := range servo {
			if err := s.Turn(angle); err != nil {
				return err
			}
			snapshotSink = s.Snapshot()
		}
		return nil
	})
}
