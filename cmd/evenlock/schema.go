package main

import (
	"evenlock/rig"

	"github.com/spf13/cobra"
)

func schemaCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "schema",
		Short:   "Write the JSON Schema of rig files, for an editor's completion",
		Example: "  evenlock schema > rig.schema.json",
		Args:    atMost(0),
		RunE: func(c *cobra.Command, _ []string) error {
			s, err := rig.Schema()
			if err != nil {
				return err
			}
			_, err = c.OutOrStdout().Write(s)
			return err
		},
	}
}
