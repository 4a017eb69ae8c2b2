package main

import (
	"evenlock/advise"
	"evenlock/report"

	"github.com/spf13/cobra"
)

func adviseCommand() *cobra.Command {
	var format *word
	c := &cobra.Command{
		Use:   "advise FILE",
		Short: "Say what to change, what matters most first",
		Long: `Say in plain sentences what to change on the rig and what to leave, what
matters most first. Each sentence has its figure, and each change was tried
before it is proposed. What is within its uncertainty is said to be so.

What is at stake is given in degrees of a steered wheel; a part that gives way
costs the whole lock, and comes first.`,
		Example: `  evenlock advise my-rig.toml
  evenlock advise my-rig.toml --format json`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			list, evaluation, err := advise.Of(r)
			if err != nil {
				return err
			}
			if w := c.OutOrStdout(); format.is == "json" {
				return report.AdviceJSON(w, evaluation, list)
			}
			return report.Advice(c.OutOrStdout(), evaluation, list)
		},
	}
	format = formatFlag(c, "text", "json")
	return c
}
