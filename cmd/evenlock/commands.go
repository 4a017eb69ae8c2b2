package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"strings"

	"evenlock/internal/safefile"
	"evenlock/report"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"

	"github.com/spf13/cobra"
)

const degree = math.Pi / 180

// root is the whole command line.
func root() *cobra.Command {
	c := &cobra.Command{
		Use:   "evenlock",
		Short: "Set up the steering of a scale vehicle from what calipers say",
		Long: `evenlock takes what calipers, a protractor and the transmitter's screen say about
a rig, computes its steering linkage in space, and says how it steers, what to
fit, what to set, and what ends the lock first.

Exit codes: 0 done, 2 called wrongly, 3 the rig file cannot be used as it is,
4 the linkage does not go where it was asked to, 1 anything else.`,
		Example: `  evenlock start far-knuckle --out my-rig.toml   a commented file to fill in
  evenlock check my-rig.toml                     is it in order, and what is missing?
  evenlock setup my-rig.toml                     what to fit and what to set`,
		SilenceErrors: true, SilenceUsage: true,
	}
	c.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	c.AddCommand(startCommand(), checkCommand(), sweepCommand(), setupCommand(), tryCommand(), schemaCommand())
	for _, sub := range c.Commands() {
		check := sub.Args
		if check == nil {
			check = cobra.NoArgs
		}
		sub.Args = func(c *cobra.Command, args []string) error {
			if err := check(c, args); err != nil {
				return usage("%w; see evenlock %s --help", err, c.Name())
			}
			return nil
		}
	}
	return c
}

// load reads the rig file at a path, or standard input for "-".
func load(c *cobra.Command, path string) (*rig.Rig, error) {
	if path == "-" {
		return rig.Read(c.InOrStdin(), "standard input")
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%w: check the file's name; evenlock start writes a new one", err)
	}
	defer f.Close()
	return rig.Read(f, path)
}

// rigFiles completes the names of rig files.
func rigFiles(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"toml"}, cobra.ShellCompDirectiveFilterFileExt
}

// oneOf makes a flag of a few words, and completes them.
func oneOf(c *cobra.Command, to *string, name, help string, words ...string) {
	c.Flags().StringVar(to, name, words[0], help+": "+strings.Join(words, ", "))
	// The flag was added the line before, so that this cannot fail.
	_ = c.RegisterFlagCompletionFunc(name, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
}

func notOneOf(flag, got string, words ...string) error {
	return usage("--%s is %q; it can be %s", flag, got, strings.Join(words, ", "))
}

func startCommand() *cobra.Command {
	var out string
	c := &cobra.Command{
		Use:   "start [LAYOUT]",
		Short: "Write a commented rig file to fill in",
		Long:  "Write a commented rig file for a common layout, with invented numbers to put your own in place of.\nWithout a layout, list them.",
		Example: `  evenlock start
  evenlock start far-knuckle --out my-rig.toml`,
		Args: cobra.MaximumNArgs(1),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return layouts(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				for _, s := range rig.Starters() {
					fmt.Fprintf(c.OutOrStdout(), "%-14s %s\n", s.Name, s.Summary)
				}
				return nil
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
				fmt.Fprintf(c.OutOrStdout(), "Wrote %s. Put your measurements in, then: evenlock check %s\n", out, out)
				return nil
			}
			return usage("there is no layout %q; there are %s", args[0], strings.Join(layouts(), ", "))
		},
	}
	c.Flags().StringVarP(&out, "out", "o", "", "file to write; it must not be there yet (default: standard output)")
	return c
}

func whereWritten(path string, err error) error {
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already, and is left as it is: name another file", path)
	}
	return err
}

func layouts() []string {
	var names []string
	for _, s := range rig.Starters() {
		names = append(names, s.Name)
	}
	return names
}

func checkCommand() *cobra.Command {
	return &cobra.Command{
		Use:               "check FILE",
		Short:             "Check a rig file and show what it comes to",
		Long:              "Check a rig file: every error with its line, key and remedy. If it is in order, show the places\nit comes to, how it stands, which measurements matter most and what is not in it yet.",
		Example:           "  evenlock check my-rig.toml",
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			m, err := model(c, args[0])
			if err != nil {
				return err
			}
			return report.Check(c.OutOrStdout(), m)
		},
	}
}

func model(c *cobra.Command, path string) (*steer.Model, error) {
	r, err := load(c, path)
	if err != nil {
		return nil, err
	}
	return steer.New(r)
}

func sweepCommand() *cobra.Command {
	var format string
	var from, to float64
	var n int
	formats := []string{"table", "csv", "json"}
	c := &cobra.Command{
		Use:   "sweep FILE",
		Short: "Show how the rig steers from lock to lock",
		Long:  "Show wheel angles, rates, link angles, turning circles and Ackermann error over the servo's turn,\nwith uncertainties. Without --from and --to, from one first stop to the other.",
		Example: `  evenlock sweep my-rig.toml
  evenlock sweep my-rig.toml --from -40 --to 40 --steps 81 --format csv > sweep.csv`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			if n < 2 || n > 100001 {
				return usage("--steps is %d; it can be 2 to 100001", n)
			}
			m, err := model(c, args[0])
			if err != nil {
				return err
			}
			ends := [2]float64{from * degree, to * degree}
			for i, d := range []float64{-1, 1} {
				if c.Flags().Changed([]string{"from", "to"}[i]) {
					continue
				}
				stops, err := m.Stops(d)
				if err != nil {
					return err
				}
				ends[i] = stops[0].Servo.Value
			}
			for _, x := range ends {
				if math.IsNaN(x) || math.Abs(x) > math.Pi {
					return usage("--from and --to can be −180 to 180")
				}
			}
			rows, err := sweep(c, m, ends[0], ends[1], n)
			if err != nil {
				return err
			}
			switch w := c.OutOrStdout(); format {
			case "table":
				return report.Sweep(w, m.Rig.Name, rows)
			case "csv":
				return report.SweepCSV(w, rows)
			case "json":
				return report.SweepJSON(w, m.Rig.Name, rows)
			}
			return notOneOf("format", format, formats...)
		},
	}
	c.Flags().Float64Var(&from, "from", 0, "servo angle to begin at, degrees from neutral, clockwise negative (default: the first stop)")
	c.Flags().Float64Var(&to, "to", 0, "servo angle to end at (default: the first stop)")
	c.Flags().IntVar(&n, "steps", 21, "number of rows")
	oneOf(c, &format, "format", "how to write it", formats...)
	return c
}

// sweep makes the rows of a sweep in pieces, telling how far it is if that takes over a second.
func sweep(c *cobra.Command, m *steer.Model, from, to float64, n int) ([]steer.Row, error) {
	const piece = 500
	progress := newProgress(c.ErrOrStderr(), n)
	defer progress.done()
	at := func(i int) float64 { return from + (to-from)*float64(i)/float64(n-1) }
	rows := make([]steer.Row, 0, n)
	for i := 0; i < n; i += piece {
		k := min(piece, n-i)
		more, err := m.Sweep(at(i), at(i+k-1), k)
		if err != nil {
			return nil, err
		}
		rows = append(rows, more...)
		if err := c.Context().Err(); err != nil {
			return nil, err
		}
		progress.at(i + k)
	}
	return rows, nil
}

func setupCommand() *cobra.Command {
	var format, save string
	formats := []string{"text", "json"}
	c := &cobra.Command{
		Use:   "setup FILE",
		Short: "Work out what to fit and what to set",
		Long:  "Work out the set-up in the order that the work is done: spline position, subtrim, rod lengths,\nendpoints with what ends the lock, expo or curve, and what trim and subtrim do afterwards.",
		Example: `  evenlock setup my-rig.toml
  evenlock setup my-rig.toml --save my-rig-set.toml   the rig as it then is, to try settings on
  evenlock setup my-rig.toml --format json`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			p, err := setup.Make(r)
			if err != nil {
				return err
			}
			switch w := c.OutOrStdout(); format {
			case "text":
				err = report.Plan(w, p)
			case "json":
				err = report.PlanJSON(w, p)
			default:
				return notOneOf("format", format, formats...)
			}
			if err != nil || save == "" {
				return err
			}
			return saveRig(c.ErrOrStderr(), save, p.Rig())
		},
	}
	c.Flags().StringVar(&save, "save", "", "write the rig as it is with the set-up done to this file, which must not be there yet")
	oneOf(c, &format, "format", "how to write it", formats...)
	return c
}

func saveRig(tell io.Writer, path string, r *rig.Rig) error {
	var text bytes.Buffer
	if err := rig.Write(&text, r); err != nil {
		return err
	}
	if err := safefile.Create(path, text.Bytes()); err != nil {
		return whereWritten(path, err)
	}
	fmt.Fprintf(tell, "Wrote %s.\n", path)
	return nil
}

func tryCommand() *cobra.Command {
	var format string
	var n int
	formats := []string{"text", "json"}
	values := map[string]*float64{}
	c := &cobra.Command{
		Use:   "try FILE",
		Short: "Show where given settings take the wheels",
		Long:  "Show where the settings in the rig file, or those given here, take the wheels of the rig as measured,\nand whether any stick and trim drive the linkage past a limit.",
		Example: `  evenlock try my-rig.toml
  evenlock try my-rig.toml --subtrim 12 --endpoint-left 80 --endpoint-right 65`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: rigFiles,
		RunE: func(c *cobra.Command, args []string) error {
			if n < 3 || n > 1001 {
				return usage("--steps is %d; it can be 3 to 1001", n)
			}
			r, err := load(c, args[0])
			if err != nil {
				return err
			}
			for name, to := range map[string]*float64{
				"subtrim": &r.Settings.Subtrim, "trim": &r.Settings.Trim, "rate": &r.Settings.Rate, "expo": &r.Settings.Expo,
				"endpoint-left": &r.Settings.EndpointLeft, "endpoint-right": &r.Settings.EndpointRight,
			} {
				if c.Flags().Changed(name) {
					*to = *values[name]
				}
			}
			t, err := setup.Try(r, n)
			if err != nil {
				return err
			}
			switch w := c.OutOrStdout(); format {
			case "text":
				return report.Trial(w, t)
			case "json":
				return report.TrialJSON(w, t)
			}
			return notOneOf("format", format, formats...)
		},
	}
	for _, f := range [][2]string{
		{"subtrim", "subtrim"},
		{"trim", "trim"},
		{"rate", "rate, percent"},
		{"expo", "expo, percent"},
		{"endpoint-left", "endpoint for full left stick"},
		{"endpoint-right", "endpoint for full right stick"},
	} {
		values[f[0]] = c.Flags().Float64(f[0], 0, f[1]+", in place of the rig file's")
	}
	c.Flags().IntVar(&n, "steps", 11, "number of stick positions")
	oneOf(c, &format, "format", "how to write it", formats...)
	return c
}

func schemaCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "schema",
		Short:   "Write the JSON Schema of rig files, for an editor's completion",
		Example: "  evenlock schema > rig.schema.json",
		Args:    cobra.NoArgs,
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
