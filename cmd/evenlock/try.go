package main

import (
	"math"
	"strings"

	"evenlock/report"
	"evenlock/setup"

	"github.com/spf13/cobra"
)

func tryCommand() *cobra.Command {
	var out *output
	var axle *word
	var n int
	values := map[string]*float64{}
	c := &cobra.Command{
		Use:   "try FILE",
		Short: "Show where given settings take the wheels",
		Long: `Show where the settings in the rig file, or those given here in place of them,
take the wheels of the rig as measured, and whether any stick and trim go past a
limit. A limit passed is a warning in what is written; the exit code stays 0.`,
		Example: `  evenlock try my-rig.toml
  evenlock try my-rig.toml --subtrim 12 --endpoint-left 80 --endpoint-right 65`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			if n < 3 || n > 1001 {
				return usage("--steps is %d; it can be 3 to 1001", n)
			}
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			number, err := numberOf(axle, r, args[0])
			if err != nil {
				return err
			}
			s := &r.Of(number).Settings
			for name, to := range map[string]*float64{
				"subtrim": &s.Subtrim, "trim": &s.Trim, "rate": &s.Rate, "expo": &s.Expo,
				"endpoint-left": &s.EndpointLeft, "endpoint-right": &s.EndpointRight,
			} {
				if !c.Flags().Changed(name) {
					continue
				}
				v := *values[name]
				switch above := strings.HasPrefix(name, "endpoint") || name == "rate"; {
				case math.IsNaN(v) || math.IsInf(v, 0):
					return usage("--%s is %v; it takes a number", name, v)
				case above && v <= 0:
					// In a rig file zero is a setting left out, which counts as 100.
					return usage("--%s is %v; it must be more than 0", name, v)
				}
				*to = v
			}
			t, err := setup.Try(r, number, n)
			if err != nil {
				return err
			}
			return out.write(c, report.Try(t))
		},
	}
	for _, f := range [][2]string{
		{"subtrim", "subtrim"},
		{"trim", "trim"},
		{"rate", "rate in percent"},
		{"expo", "expo in percent"},
		{"endpoint-left", "endpoint for full left stick"},
		{"endpoint-right", "endpoint for full right stick"},
	} {
		values[f[0]] = c.Flags().Float64(f[0], 0, f[1]+", as a `number`")
	}
	c.Flags().IntVar(&n, "steps", 11, "`number` of stick positions")
	axle = axleFlag(c)
	out = outputFlags(c)
	return c
}
