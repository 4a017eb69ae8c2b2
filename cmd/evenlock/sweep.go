package main

import (
	"math"

	"evenlock/report"
	"evenlock/steer"

	"github.com/spf13/cobra"
)

// mostRows is how many rows a sweep has at most, and mostWorded how many of a document, whose every
// figure has its text: that takes a hundred times the room.
const mostRows, mostWorded = 100001, 2001

func sweepCommand() *cobra.Command {
	var out *output
	var axle *word
	var from, to float64
	var n int
	c := &cobra.Command{
		Use:   "sweep FILE",
		Short: "Show how the rig steers from lock to lock",
		Long: `Show wheel angles, turning circle and Ackermann over the servo's turn; with
--all also knuckles, cambers, links, joints and rates. It goes from the first
limit one way to the first limit the other way, unless --from and --to say
otherwise. CSV and JSON have every number with its ±.`,
		Example: `  evenlock sweep my-rig.toml
  evenlock sweep my-rig.toml --from -40 --to 40 --steps 81
  evenlock sweep my-rig.toml --format csv > sweep.csv`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			switch asCSV := out.format.is == "csv"; {
			case n < 2 || n > mostRows:
				return usage("--steps is %d; it can be 2 to %d", n, mostRows)
			case !asCSV && n > mostWorded:
				return usage("--steps is %d; up to %d are written in words and JSON, more with --format csv", n, mostWorded)
			}
			m, err := model(c, args[0], axle)
			if err != nil {
				return err
			}
			reach := [2]float64{from * degree, to * degree}
			for i, d := range []float64{-1, 1} {
				if c.Flags().Changed([]string{"from", "to"}[i]) {
					continue
				}
				stops, err := m.Stops(d)
				if err != nil {
					return err
				}
				reach[i] = stops[0].Servo.Value
			}
			for _, x := range reach {
				if math.IsNaN(x) || math.Abs(x) > math.Pi {
					return usage("--from and --to can be −180 to 180")
				}
			}
			samples, err := sweep(c, m, reach[0], reach[1], n)
			if err != nil {
				return err
			}
			if out.format.is == "csv" {
				return report.SweepCSV(c.OutOrStdout(), samples)
			}
			d, err := report.Sweep(m, samples)
			if err != nil {
				return err
			}
			return out.write(c, d)
		},
	}
	c.Flags().Float64Var(&from, "from", 0, "servo angle in `degrees` to begin at, clockwise negative")
	c.Flags().Float64Var(&to, "to", 0, "servo angle in `degrees` to end at")
	c.Flags().IntVar(&n, "steps", 21, "`number` of rows")
	axle = axleFlag(c)
	out = outputFlags(c, "csv")
	return c
}

// sweep makes the rows of a sweep in pieces, telling how far it is if that takes over a second.
func sweep(c *cobra.Command, m *steer.Model, from, to float64, n int) ([]steer.Sample, error) {
	const piece = 500
	progress := newProgress(c.ErrOrStderr(), n)
	defer progress.done()
	at := func(i int) float64 { return from + (to-from)*float64(i)/float64(n-1) }
	samples := make([]steer.Sample, 0, n)
	for i := 0; i < n; i += piece {
		k := min(piece, n-i)
		more, err := m.Sweep(at(i), at(i+k-1), k)
		if err != nil {
			return nil, err
		}
		samples = append(samples, more...)
		if err := c.Context().Err(); err != nil {
			return nil, err
		}
		progress.at(i + k)
	}
	return samples, nil
}
