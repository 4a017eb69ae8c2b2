package main

import (
	"bytes"

	"evenlock/report"
	"evenlock/rig"

	"github.com/spf13/cobra"
)

func listCommand() *cobra.Command {
	var out *output
	c := &cobra.Command{
		Use:   "list FILE",
		Short: "List all parts, and where each number comes from",
		Long: `List what the rig file comes to: bodies, balls, rods, wheels, servos and limits,
each with its numbers and the line and the key that say it. What the file leaves
out is there too, with the rule that gives it. With --all every number has the
keys that move it, and how much of its ± each makes.`,
		Example: `  evenlock list my-rig.toml
  evenlock list my-rig.toml --all
  evenlock list my-rig.toml --format json`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			var file bytes.Buffer
			r, err := loadCopy(c, args[0], &file)
			if err != nil {
				return err
			}
			line, err := rig.Lines(file.Bytes())
			if err != nil {
				return err
			}
			d, err := report.List(r, line)
			if err != nil {
				return err
			}
			return out.write(c, d)
		},
	}
	out = outputFlags(c)
	return c
}
