package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"evenlock/internal/safefile"
	"evenlock/rig"

	"github.com/spf13/cobra"
)

func startCommand() *cobra.Command {
	var out string
	c := &cobra.Command{
		Use:   "start [LAYOUT]",
		Short: "Write a commented rig file to fill in",
		Long: `Write a commented rig file for a common layout. Its numbers are invented: put
your own in their place. Without a layout, list them.`,
		Example: `  evenlock start
  evenlock start far-knuckle --out my-rig.toml`,
		Args: atMost(1),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return layouts(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				list := &strings.Builder{}
				list.WriteString("Choose the layout nearest yours: evenlock start LAYOUT --out my-rig.toml\n\n")
				for _, s := range rig.Starters() {
					fmt.Fprintf(list, "%-14s %s\n", s.Name, s.Summary)
				}
				_, err := io.WriteString(c.OutOrStdout(), list.String())
				return err
			}
			for _, s := range rig.Starters() {
				if s.Name != args[0] {
					continue
				}
				if out == "" {
					_, err := c.OutOrStdout().Write(s.Text)
					return err
				}
				if err := safefile.Create(out, s.Text); err != nil {
					return whereWritten(out, err)
				}
				_, err := fmt.Fprintf(c.OutOrStdout(), "Wrote %s. Put your measurements in, then: evenlock check %s\n", out, out)
				return err
			}
			return usage("there is no layout %q; there are %s", args[0], strings.Join(layouts(), ", "))
		},
	}
	c.Flags().StringVarP(&out, "out", "o", "", "new `file` to write, in place of standard output")
	return c
}

// whereWritten says what to do about a file that could not be written.
func whereWritten(path string, err error) error {
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already, and is left as it is: name another file", path)
	}
	return err
}

// layouts are the names of the starters.
func layouts() []string {
	var names []string
	for _, s := range rig.Starters() {
		names = append(names, s.Name)
	}
	return names
}
