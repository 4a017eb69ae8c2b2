package main

import (
	"evenlock/report"
	"evenlock/steer"

	"github.com/spf13/cobra"
)

func checkCommand() *cobra.Command {
	var out *output
	c := &cobra.Command{
		Use:   "check FILE",
		Short: "Check a rig file and show how the rig stands",
		Long: `Check a rig file. An error names its line, its key and what to do. If the file
is in order, show how the rig stands, what to measure again, and what is not in
the file yet; with --all also the places that it gives. FILE may be - for
standard input, here and elsewhere.`,
		Example: `  evenlock check my-rig.toml
  evenlock check - < my-rig.toml`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			var axles []*steer.Model
			for number := 1; r.Of(number) != nil; number++ {
				m, err := steer.Build(r, steer.Options{Axle: number})
				if err != nil {
					return err
				}
				axles = append(axles, m)
			}
			d, err := report.Check(axles...)
			if err != nil {
				return err
			}
			return out.write(c, d)
		},
	}
	out = outputFlags(c)
	return c
}
