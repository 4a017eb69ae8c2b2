package bench

import (
	"context"
	"fmt"
	"math"
	"os/exec"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenlock/internal/need"
	"evenlock/internal/oracle"
	"evenlock/linkage"
	"evenlock/rig"
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
		axis := r3.Unit(r3.Vec{X: -math.Tan(caster), Y: -out * math.Tan(inclination), Z: 1})
		centre := r3.Vec{Y: out * 78}
		return oracle.Knuckle{
			Bottom:  r3.Sub(centre, r3.Scale(16, axis)),
			Top:     r3.Add(centre, r3.Scale(16, axis)),
			Tie:     r3.Add(centre, r3.Vec{X: -arm, Y: -out * 5, Z: 3}),
			Drag:    r3.Add(centre, r3.Vec{X: 21, Y: -out * 2, Z: 12}),
			Spindle: r3.Unit(r3.Vec{X: 0.01, Y: out, Z: -0.02}),
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
		r.Right.Bottom, r.Right.Axis(), r.Right.Drag, r.Right.Tie, r.Right.Spindle,
		r.Left.Bottom, r.Left.Axis(), r.Left.Tie, r.Left.Spindle,
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

func mechanism(tb testing.TB, r *oracle.Rig) *rig.Mechanism {
	tb.Helper()
	m, err := r.Geometry().Mechanism()
	if err != nil {
		tb.Fatal(err)
	}
	return m
}

// roadAngles solves one pose and returns the yaw of both wheels in radians.
func roadAngles(m *rig.Mechanism, p *linkage.Pose, inputs []float64) (left, right float64, err error) {
	if err := m.Linkage.Solve(p, inputs); err != nil {
		return 0, 0, err
	}
	l, r := p.Arrow(m.LeftSpindle), p.Arrow(m.RightSpindle)
	return math.Atan2(-l.X, l.Y), math.Atan2(r.X, -r.Y), nil
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
	m := mechanism(t, &r)
	p := m.Linkage.NewPose()
	worst, lock := 0.0, 0.0
	for _, a := range answers {
		left, right, err := roadAngles(m, p, []float64{a.servo})
		if err != nil {
			t.Fatal(err)
		}
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

// timeAgainst runs pose over the sweep as a benchmark, and reports its time as a
// ratio to those of both reference programs, timed just before it.
func timeAgainst(b *testing.B, pose func(m *rig.Mechanism, p *linkage.Pose, inputs []float64) error) {
	b.Helper()
	r := chain()
	m := mechanism(b, &r)
	p := m.Linkage.NewPose()
	servo := make([]float64, angles)
	for i := range servo {
		servo[i] = greatest * (2*float64(i)/(angles-1) - 1)
	}
	c, _, err := closedForm(b.Context(), compileC(b), &r, 500, 5)
	if err != nil {
		b.Fatal(err)
	}
	solver, err := constraintSolver(b, &r)
	if err != nil {
		b.Fatal(err)
	}
	inputs := make([]float64, m.Linkage.NumInputs())
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		inputs[0] = servo[i%angles]
		if err := pose(m, p, inputs); err != nil {
			b.Fatal(err)
		}
	}
	ns := float64(b.Elapsed().Nanoseconds()) / float64(b.N)
	b.ReportMetric(ns/c, "x-of-C")
	b.ReportMetric(solver/ns, "times-the-solver")
	b.ReportMetric(c, "C-ns")
	b.ReportMetric(solver, "solver-ns")
}

// constraintSolver returns how many nanoseconds a pose takes the general solver.
func constraintSolver(b *testing.B, r *oracle.Rig) (float64, error) {
	b.Helper()
	const poses = 1000
	program := need.CProgram(b, "../oracle/testdata/slvs.c", []string{"slvs.h"}, []string{"-O3", "-lslvs", "-lm"})
	in, err := r.Timing(poses, greatest)
	if err != nil {
		return 0, err
	}
	lines, err := oracle.Run(b.Context(), program, in)
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

// BenchmarkRoadAngles is the servo angle to both road angles and nothing else.
func BenchmarkRoadAngles(b *testing.B) {
	var sink float64
	timeAgainst(b, func(m *rig.Mechanism, p *linkage.Pose, inputs []float64) error {
		left, right, err := roadAngles(m, p, inputs)
		sink += left + right
		return err
	})
	if math.IsNaN(sink) {
		b.Fatal("not a number")
	}
}
