package main

import (
	"errors"

	"evenlock/report"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/travel"

	"github.com/spf13/cobra"
)

func travelCommand() *cobra.Command {
	var format *word
	var farthest float64
	var n int
	c := &cobra.Command{
		Use:   "travel FILE",
		Short: "Show what the suspension's travel does to the steering",
		Long: `Show how the wheels steer by themselves as the suspension moves and the servo
holds: for each millimetre and each degree of roll, and over the travel; how far
a panhard rod shifts the axle; where rods bind or run out; and where the ends of
the rods would steer least, by shims or by a new hole.

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
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			m, err := steer.NewSuspended(r)
			if errors.Is(err, steer.ErrNoSuspension) {
				return withoutSuspension()
			}
			if err != nil {
				return err
			}
			d, err := travel.Over(m, travel.Options{Steps: n})
			if err != nil {
				return err
			}
			if w := c.OutOrStdout(); format.is == "csv" {
				return report.TravelCSV(w, d)
			}
			better, err := travel.Improve(m, farthest)
			if err != nil {
				return err
			}
			if w := c.OutOrStdout(); format.is == "json" {
				return report.TravelJSON(w, d, better)
			}
			return report.Travel(c.OutOrStdout(), d, better)
		},
	}
	c.Flags().IntVar(&n, "steps", 6, "`number` of steps each side of ride height")
	c.Flags().Float64Var(&farthest, "farthest", 25, "`mm` that an end may be moved each way")
	format = formatFlag(c, "text", "json", "csv")
	return c
}

// withoutSuspension is what a rig that says nothing of its suspension lacks.
func withoutSuspension() error {
	return &rig.Error{
		Key: "suspension", Problem: "is not in the file, and the travel needs it",
		Remedy: "add a table [suspension]; evenlock start chassis, start centre-crank and start rack each show one",
	}
}
