package main

import (
	"evenlock/report"
	"evenlock/steer"
	"evenlock/travel"

	"github.com/spf13/cobra"
)

// errNoRearSuspension is for who asks how the rear axle steers over its travel.
var errNoRearSuspension = usage("--axle is rear: no suspension of a rear axle is worked out yet; leave --axle out to see the front one's")

func travelCommand() *cobra.Command {
	var out *output
	var axle *word
	var farthest float64
	var n int
	c := &cobra.Command{
		Use:   "travel FILE",
		Short: "Show what the suspension's travel does to the steering",
		Long: `Show bump steer and roll steer: how the wheels steer as the suspension moves and
the servo holds; where to move a ball so that they steer less, by shims or by a
new hole; how much lock is left over the travel; how far a panhard rod shifts
the axle; and where rods bind or run out.

The rig file needs a table [suspension].`,
		Example: `  evenlock travel my-rig.toml
  evenlock travel my-rig.toml --steps 12 --farthest 10
  evenlock travel my-rig.toml --format csv > travel.csv`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			if n < 1 || n > 1000 {
				return usage("--steps is %d; it can be 1 to 1000", n)
			}
			if !(farthest > 0 && farthest <= 1000) {
				return usage("--farthest is %v; it can be above 0 and up to 1000", farthest)
			}
			if axle.is == "rear" {
				return errNoRearSuspension
			}
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			m, err := steer.NewSuspended(r)
			if err != nil {
				return err
			}
			d, err := travel.Over(m, travel.Options{Steps: n})
			if err != nil {
				return err
			}
			if out.format.is == "csv" {
				return report.TravelCSV(c.OutOrStdout(), d)
			}
			better, err := travel.Improve(m, farthest)
			if err != nil {
				return err
			}
			return out.write(c, report.Travel(d, better))
		},
	}
	c.Flags().IntVar(&n, "steps", 6, "`number` of steps each side of ride height")
	c.Flags().Float64Var(&farthest, "farthest", 25, "`mm` that a ball may be moved each way")
	axle = axleFlag(c)
	c.Flag("axle").Hidden = true // there is only the front one to choose
	out = outputFlags(c, "csv")
	return c
}
