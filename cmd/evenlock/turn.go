package main

import (
	"bytes"

	"evenlock/draw"
	"evenlock/internal/safefile"
	"evenlock/report"
	"evenlock/turning"

	"github.com/spf13/cobra"
)

func turnCommand() *cobra.Command {
	var out *output
	var side *word
	var svg string
	o := turning.Usual()
	c := &cobra.Command{
		Use:   "turn FILE",
		Short: "Show the turning circle, with the rear axle steering each way",
		Long: `Show turning circle, turn centre and how much the tyres scrub, from lock to
lock: with the rear axle steering the other way than the front (opposite phase),
the same way, in parallel (crab), and held straight; and what limits each.

A rear axle that steers is the table [rear] of the rig file. Without one, the
front alone steers.`,
		Example: `  evenlock turn my-rig.toml
  evenlock turn my-rig.toml --opposite 0.6 --svg turns.svg
  evenlock turn my-rig.toml --format json`,
		Args:              oneFile,
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			for name, v := range map[string]float64{"opposite": o.Opposite, "same": o.Same} {
				if !(v > 0 && v <= 5) {
					return usage("--%s is %v; it can be above 0 and up to 5", name, v)
				}
			}
			if o.Steps < 1 || o.Steps > 1000 {
				return usage("--steps is %d; it can be 1 to 1000", o.Steps)
			}
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			d, err := turning.Over(r, o)
			if err != nil {
				return err
			}
			if err := out.write(c, report.Turn(d)); err != nil || svg == "" {
				return err
			}
			var drawn bytes.Buffer
			to := map[string]int{"left": turning.Left, "right": turning.Right}[side.is]
			reader, err := out.reader()
			if err != nil {
				return err
			}
			words := func(c *turning.Sweep) []string {
				var all []string
				for _, s := range report.TurnWords(d, c, to) {
					all = append(all, s.Text(reader))
				}
				return all
			}
			if err := draw.Turns(&drawn, d, to, words); err != nil {
				return err
			}
			if err := safefile.Create(svg, drawn.Bytes()); err != nil {
				return whereWritten(svg, err)
			}
			say(c.ErrOrStderr(), "Wrote %s.\n", svg)
			return nil
		},
	}
	c.Flags().Float64Var(&o.Opposite, "opposite", o.Opposite, "`part` of the front's angle, in opposite phase")
	c.Flags().Float64Var(&o.Same, "same", o.Same, "the `part` in the same phase")
	c.Flags().IntVar(&o.Steps, "steps", o.Steps, "`number` of steps to each lock")
	c.Flags().StringVar(&svg, "svg", "", "new `file` to draw the turns in")
	side = wordFlag(c, "side", "which lock is drawn", "left", "right")
	out = outputFlags(c)
	return c
}
