package main

import (
	"evenlock/advise"
	"evenlock/report"

	"github.com/spf13/cobra"
)

func adviseCommand() *cobra.Command {
	var out *output
	var axle *word
	c := &cobra.Command{
		Use:   "advise FILE",
		Short: "Say what to change, the most important first",
		Long: `Say what to change on the rig, the most important first: what must be fixed
because something stalls, bends, binds or passes a stop; what is worth fixing;
and what is too close to call. Each change was tried on the rig before it is
proposed, with the same figure before and after.`,
		Example: `  evenlock advise my-rig.toml
  evenlock advise my-rig.toml --all
  evenlock advise my-rig.toml --format json`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			number, err := numberOf(axle, r, args[0])
			if err != nil {
				return err
			}
			list, evaluation, err := advise.Of(r, number)
			if err != nil {
				return err
			}
			return out.write(c, report.Advice(evaluation, list))
		},
	}
	axle = axleFlag(c)
	out = outputFlags(c)
	return c
}
