package oracle

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"evenlock/internal/need"
)

const (
	// sweepLimit and sweepSteps make a sweep of up to 51 poses two degrees apart.
	sweepLimit = 50 * degree
	sweepSteps = 25
	// A rig counts if it turns through at least this many poses, and some each way.
	fewestPoses   = 21
	fewestEachWay = 5
)

// solved is one rig with the constraint program's answers over its sweep, from
// one end to the other.
type solved struct {
	rig   Rig
	poses []Pose
}

// neutral returns the pose at servo angle zero.
func (s *solved) neutral() Pose {
	return s.poses[slices.IndexFunc(s.poses, func(p Pose) bool { return p.Angle == 0 })]
}

func compile(tb testing.TB) string {
	tb.Helper()
	return need.CProgram(tb, "testdata/slvs.c", []string{"slvs.h"}, []string{"-O2", "-lslvs", "-lm"})
}

// stepsTo returns the servo angles of a sweep from zero to the limit.
func stepsTo(limit float64) []float64 {
	angles := make([]float64, sweepSteps+1)
	for i := range angles {
		angles[i] = limit * float64(i) / sweepSteps
	}
	return angles
}

// jumps tells whether a knuckle turns more than five times as far as the servo
// does in one step of a sweep.
func jumps(from, to Pose) bool {
	const most = 5 * sweepLimit / sweepSteps
	return math.Abs(to.LeftTurn-from.LeftTurn) > most || math.Abs(to.RightTurn-from.RightTurn) > most
}

// sweeps returns count random rigs of the layout with their whole sweeps. It
// passes over rigs that hardly turn. A sweep ends where the constraint program
// finds no pose, or where a knuckle turns more than five times as fast as the
// servo or past 75°: beyond lies a dead point.
func sweeps(tb testing.TB, program string, layout Layout, count int) []solved {
	tb.Helper()
	rng := rand.New(rand.NewPCG(20, uint64(layout)))
	var all []solved
	worst := 0.0
	for tries := 0; len(all) < count; tries++ {
		if tries > 3*count {
			tb.Fatalf("only %d of %d random rigs turn", len(all), tries)
		}
		r := Random(rng, layout)
		lines, err := Run(tb.Context(), program, r.Script(stepsTo(sweepLimit), stepsTo(-sweepLimit)))
		if err != nil {
			tb.Fatal(err)
		}
		if len(lines) != 2*(sweepSteps+1) {
			tb.Fatalf("%d answers to %d poses", len(lines), 2*(sweepSteps+1))
		}
		var ways [2][]Pose
		for way, limit := range []float64{sweepLimit, -sweepLimit} {
			var before Pose
			for i, angle := range stepsTo(limit) {
				p, misfit, err := r.Pose(angle, lines[way*(sweepSteps+1)+i])
				if errors.Is(err, ErrNoPose) {
					break
				}
				if err != nil {
					tb.Fatal(err)
				}
				if jumps(before, p) || math.Max(math.Abs(p.LeftTurn), math.Abs(p.RightTurn)) > 75*degree {
					break
				}
				worst = math.Max(worst, misfit)
				before = p
				ways[way] = append(ways[way], p)
			}
		}
		if min(len(ways[0]), len(ways[1])) <= fewestEachWay || len(ways[0])+len(ways[1])-1 < fewestPoses {
			continue
		}
		// From one end to the other; both ways begin at zero.
		slices.Reverse(ways[1])
		s := solved{rig: r, poses: append(ways[1], ways[0][1:]...)}
		all = append(all, s)
	}
	// Distances alone are solved down to rounding; the point on a line only to
	// the 1e-8 mm at which libslvs stops.
	misfitLimit := 1e-11
	if layout == ToTieRod {
		misfitLimit = 2e-8
	}
	if worst > misfitLimit {
		tb.Fatalf("the constraint program's own answers miss by %.3g mm, so they are no reference", worst)
	}
	tb.Logf("%v: %d rigs; the constraint program keeps distances to %.2g mm", layout, len(all), worst)
	return all
}

func TestRandomRigsKeepTheirDistancesAndHands(t *testing.T) {
	program := compile(t)
	for layout := range layouts {
		t.Run(layout.String(), func(t *testing.T) {
			t.Parallel()
			for _, s := range sweeps(t, program, layout, 3) {
				first := s.neutral()
				if math.Abs(first.LeftTurn) > 1e-9 || math.Abs(first.RightTurn) > 1e-9 {
					t.Errorf("at servo angle %v the knuckles stand at %v and %v, not at zero",
						first.Angle, first.LeftTurn, first.RightTurn)
				}
			}
		})
	}
}
