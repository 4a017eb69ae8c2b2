package main

import (
	"evenlock/report"

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
			m, err := model(c, args[0])
			if err != nil {
				return err
			}
			d, err := report.Check(m)
			if err != nil {
				return err
			}
			return out.write(c, d)
		},
	}
	out = outputFlags(c)
	return c
}
