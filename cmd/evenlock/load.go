package main

import (
	"errors"
	"math"

	loads "evenlock/load"
	"evenlock/report"

	"github.com/spf13/cobra"
)

func loadCommand() *cobra.Command {
	var out *output
	var axle *word
	var tilt, slope float64
	var n int
	c := &cobra.Command{
		Use:   "load FILE",
		Short: "Show whether servo, rods and balls are strong enough",
		Long: `Show what the wheels ask of the servo from lock to lock, standing and with a
rock against a tyre; what the servo has at the supply's voltage, and where it
stalls; and which rod bends, buckles or yields first. What the rig file lacks
for that is named, with the way to find it.

It looks at the rig as the file has it; setup --save writes one with the set-up
done.`,
		Example: `  evenlock load my-rig.toml
  evenlock load my-rig.toml --slope 25 --tilt -10
  evenlock load my-rig.toml --format json`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			if n < 1 || n > 1000 {
				return usage("--steps is %d; it can be 1 to 1000", n)
			}
			for name, v := range map[string]float64{"slope": slope, "tilt": tilt} {
				if math.IsNaN(v) || math.Abs(v) >= 90 {
					return usage("--%s is %v; it can be more than −90 and less than 90", name, v)
				}
			}
			m, err := model(c, args[0], axle)
			if err != nil {
				return err
			}
			l, err := loads.OverLock(m, loads.Tilt{NoseUp: slope * degree, RightDown: tilt * degree}, n)
			switch {
			case errors.Is(err, loads.ErrTips):
				return usage("--slope %v and --tilt %v: %w", slope, tilt, err)
			case err != nil:
				return err
			}
			return out.write(c, report.Load(l))
		},
	}
	c.Flags().Float64Var(&slope, "slope", 0, "`degrees` nose up; nose down negative")
	c.Flags().Float64Var(&tilt, "tilt", 0, "`degrees` right side down; left side down negative")
	c.Flags().IntVar(&n, "steps", loads.Steps, "`number` of steps each side of straight")
	axle = axleFlag(c)
	out = outputFlags(c)
	return c
}
