package main

import (
	"errors"
	"fmt"

	"evenlock/doubt"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/steer"

	"github.com/spf13/cobra"
)

// errAsked is a rig file that check --strict does not take as it is.
var errAsked = errors.New("not in order")

func checkCommand() *cobra.Command {
	var (
		out    *output
		strict bool
	)
	c := &cobra.Command{
		Use:   "check FILE",
		Short: "Check a rig file and show how the rig stands",
		Long: `Check a rig file. An error names its line, its key and what to do. What is
possible but unlikely is listed under "look again", with what it probably should
be: a decimal point a place off, inches for millimetres, a sign, a side. Then it
shows how the rig stands, what to measure again, and what is not in the file
yet; with --all also the places that it gives. With --strict the exit code is 3
if anything is asked. FILE may be - for standard input, here and elsewhere.`,
		Example: `  evenlock check my-rig.toml
  evenlock check - < my-rig.toml
  evenlock check --strict my-rig.toml`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			asked := doubt.Ask(r)
			d, err := checked(r, asked)
			if d == nil {
				return err
			}
			if writing := out.write(c, d); writing != nil || err != nil {
				return errors.Join(writing, err)
			}
			switch {
			case d.Worst() == document.MustFix:
				return fmt.Errorf("%w: see what must be fixed", errAsked)
			case strict && len(asked) > 0:
				return fmt.Errorf("%w: look again at what is asked", errAsked)
			}
			return nil
		},
	}
	out = outputFlags(c)
	c.Flags().BoolVar(&strict, "strict", false, "end with exit code 3 if anything is asked")
	return c
}

// checked checks a rig. With an error the document says no more than what is asked, and is nil if
// nothing is.
func checked(r *rig.Rig, asked []doubt.Question) (d *document.Document, err error) {
	var axles []*steer.Model
	for number := 1; err == nil && r.Of(number) != nil; number++ {
		var m *steer.Model
		m, err = steer.Build(r, steer.Options{Axle: number})
		axles = append(axles, m)
	}
	if err == nil {
		d, err = report.Check(asked, axles...)
	}
	if err != nil && len(asked) > 0 {
		d = report.LookAgain(r, asked)
	}
	return d, err
}
