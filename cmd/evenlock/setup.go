package main

import (
	"bytes"
	"fmt"
	"io"

	"evenlock/internal/safefile"
	"evenlock/report"
	"evenlock/rig"
	"evenlock/setup"

	"github.com/spf13/cobra"
)

func setupCommand() *cobra.Command {
	var out *output
	var axle *word
	var save string
	c := &cobra.Command{
		Use:   "setup FILE",
		Short: "Work out what to fit and what to set",
		Long: `Work out the set-up in the order that the work is done: the horn's place on the
spline, subtrim, lengths of the rods, endpoints with what stops the lock, expo
or curve, and how much trim there is room for.

With --save it also writes the rig file as it is once that is done, to try
settings on. Only the values change: remarks, order and ± stay as they are.`,
		Example: `  evenlock setup my-rig.toml
  evenlock setup my-rig.toml --save my-rig-set.toml
  evenlock setup my-rig.toml --format json`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			var file bytes.Buffer
			r, err := loadCopy(c, args[0], &file)
			if err != nil {
				return err
			}
			number, err := numberOf(axle, r, args[0])
			if err != nil {
				return err
			}
			p, err := setup.Make(r, number)
			if err != nil {
				return err
			}
			if err := out.write(c, report.SetUp(p)); err != nil || save == "" {
				return err
			}
			changed, err := rig.EditAll(file.Bytes(), p.Changes()...)
			if err != nil {
				return fmt.Errorf("the set-up cannot be written into %s: %w", args[0], err)
			}
			if err := saveFile(c.ErrOrStderr(), save, changed); err != nil || p.Calibrated || p.Horn.LeftOver == 0 {
				return err
			}
			say(c.ErrOrStderr(), "Its subtrim is not in it: the transmitter has no readings yet. Set it as the steps say, then measure.\n")
			return nil
		},
	}
	c.Flags().StringVar(&save, "save", "", "new `file` to write the rig to, with the set-up done")
	axle = axleFlag(c)
	out = outputFlags(c)
	return c
}

func saveFile(tell io.Writer, path string, text []byte) error {
	if err := safefile.Create(path, text); err != nil {
		return whereWritten(path, err)
	}
	_, err := fmt.Fprintf(tell, "Wrote %s.\n", path)
	return err
}
