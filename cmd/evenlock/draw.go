package main

import (
	"bytes"
	"io"

	"evenlock/engine"
	"evenlock/internal/safefile"
	"evenlock/rig"
	"evenlock/steer"

	"github.com/spf13/cobra"
)

func drawCommand() *cobra.Command {
	var out string
	var servo, left, right float64
	var view, axle *word
	c := &cobra.Command{
		Use:   "draw FILE",
		Short: "Draw the rig to scale, as an SVG file",
		Long: `Draw the rig from above, from behind and from the side, and its turn, on a page
that fits A4 and Letter, with the names of its parts. The servo is where --servo
puts it, and the wheels are as high as --left-rise and --right-rise put them.
Each view says its scale, and a bar shows 100 mm of the rig: print at 100 %, and
hold a ruler to it.`,
		Example: `  evenlock draw my-rig.toml --out my-rig.svg
  evenlock draw my-rig.toml --view above --servo 20 > above.svg`,
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
			var text bytes.Buffer
			if err := rig.Write(&text, r); err != nil {
				return err
			}
			s, err := engine.Open(text.Bytes())
			if err != nil {
				return err
			}
			if err := s.SetAxle(number); err != nil {
				return err
			}
			if status := s.Servo(servo); status != engine.Done {
				return usage("--servo is %g: %s", servo, s.Why())
			}
			if left != 0 || right != 0 {
				if number > 1 {
					return errNoRearSuspension
				}
				if r.Suspension == nil {
					return steer.ErrNoSuspension
				}
				if bump, droop := r.Suspension.Bump.Value, r.Suspension.Droop.Value; max(left, right) > bump || min(left, right) < -droop {
					return usage("--left-rise is %g and --right-rise %g; the rig file's suspension goes from %g mm to %g mm", left, right, -droop, bump)
				}
				if status := s.SetWheelTravel(left, right); status != engine.Done {
					return usage("--left-rise is %g and --right-rise %g: %s", left, right, s.Why())
				}
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
	axle = axleFlag(c)
	view = wordFlag(c, "view", "which view", "all", "above", "behind", "side", "turn")
	c.Flags().Float64Var(&servo, "servo", 0, "servo angle in `degrees` from neutral, clockwise negative")
	c.Flags().Float64Var(&left, "left-rise", 0, "`mm` that the left wheel is above ride height")
	c.Flags().Float64Var(&right, "right-rise", 0, "`mm` that the right one is; below it negative")
	c.Flags().StringVarP(&out, "out", "o", "", "new `file` to write, in place of standard output")
	return c
}
