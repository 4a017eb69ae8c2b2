package main

import (
	"bytes"
	"io"

	"evenlock/engine"
	"evenlock/internal/safefile"
	"evenlock/rig"

	"github.com/spf13/cobra"
)

func drawCommand() *cobra.Command {
	var out string
	var servo float64
	var view *word
	c := &cobra.Command{
		Use:   "draw FILE",
		Short: "Draw the rig to scale, as an SVG file",
		Long: `Draw the rig from above, from behind and from the side, to scale, and its turn,
with the servo where --servo puts it. Printed at 100 %, a millimetre of the
drawing is a millimetre of the rig.`,
		Example: `  evenlock draw my-rig.toml --out my-rig.svg
  evenlock draw my-rig.toml --view above --servo 20 > above.svg`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			var text bytes.Buffer
			if err := rig.Write(&text, r); err != nil {
				return err
			}
			s, err := engine.Open(text.Bytes())
			if err != nil {
				return err
			}
			if status := s.Servo(servo); status != engine.Done {
				return usage("--servo is %g: %s", servo, s.Why())
			}
			name := view.is
			if name == "all" {
				name = ""
			}
			svg, err := s.SVG(name)
			if err != nil {
				return err
			}
			if out == "" {
				_, err := io.WriteString(c.OutOrStdout(), svg)
				return err
			}
			if err := safefile.Create(out, []byte(svg)); err != nil {
				return whereWritten(out, err)
			}
			say(c.ErrOrStderr(), "Wrote %s.\n", out)
			return nil
		},
	}
	view = wordFlag(c, "view", "which view", "all", "above", "behind", "side", "turn")
	c.Flags().Float64Var(&servo, "servo", 0, "servo angle in `degrees` from neutral, clockwise negative")
	c.Flags().StringVarP(&out, "out", "o", "", "new `file` to write, in place of standard output")
	return c
}
