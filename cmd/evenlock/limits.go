package main

import (
	"evenlock/report"

	"github.com/spf13/cobra"
)

func limitsCommand() *cobra.Command {
	var out *output
	var axle *word
	c := &cobra.Command{
		Use:   "limits FILE",
		Short: "Show what ends the lock, what comes next, and how near the rest is",
		Long: `Show what ends the lock to each side and what would end it next: knuckle stops,
rod ends, axle joints, the servo's travel, rods that go over-centre, and parts
that come too near to one another. Parts are the [[part]] tables of the rig file, the rods
whose diameter it states, and the tyres; two that touch straight ahead are taken
to belong together.

This is at ride height; evenlock travel shows it over the suspension's travel.`,
		Example: `  evenlock limits my-rig.toml
  evenlock limits my-rig.toml --format json`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			m, err := model(c, args[0], axle)
			if err != nil {
				return err
			}
			d, err := report.Limits(m)
			if err != nil {
				return err
			}
			return out.write(c, d)
		},
	}
	axle = axleFlag(c)
	out = outputFlags(c)
	return c
}
