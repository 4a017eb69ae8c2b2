package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"slices"
	"strings"

	"evenlock/rig"
	"evenlock/steer"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

const degree = math.Pi / 180

// root is the whole command line.
func root() *cobra.Command {
	c := &cobra.Command{
		Use:   "evenlock",
		Short: "Set up the steering of a scale vehicle from what calipers say",
		Long: `evenlock takes what calipers, a protractor and the transmitter's screen say of a
rig. It says how the rig steers, what to fit, what to set, and what ends the
lock first. Every result begins with what to do; --all adds the details.

Exit codes: 0 done, 2 called wrongly, 3 the rig file cannot be used as it is,
4 the linkage does not go where it was asked to, 1 anything else.`,
		Example: `  evenlock start far-knuckle --out my-rig.toml   a commented file to fill in
  evenlock check my-rig.toml                     is it in order?
  evenlock setup my-rig.toml                     what to fit and what to set`,
		SilenceErrors: true, SilenceUsage: true, DisableFlagsInUseLine: true,
		// Without Args and RunE an unknown command would be no usage error.
		Args: cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return c.Help()
			}
			remedy := "evenlock --help lists them"
			if near := c.SuggestionsFor(args[0]); len(near) > 0 {
				remedy = "did you mean " + strings.Join(near, " or ") + "?"
			}
			return usage("there is no command %q; %s", args[0], remedy)
		},
	}
	c.SuggestionsMinimumDistance = 2
	c.SetFlagErrorFunc(wrongFlag)
	c.AddCommand(startCommand(), checkCommand(), listCommand(), sweepCommand(), setupCommand(), tryCommand(), loadCommand(), limitsCommand(), travelCommand(), turnCommand(), adviseCommand(), unitsCommand(), schemaCommand(), drawCommand(), serveCommand(), offlineCommand())
	for _, sub := range c.Commands() {
		if run := sub.RunE; run != nil {
			sub.RunE = func(c *cobra.Command, args []string) error { return inFile(args, run(c, args)) }
		}
	}
	return c
}

// wrongFlag says what is wrong with a flag, without the words of the number parser.
func wrongFlag(c *cobra.Command, err error) error {
	var value *pflag.InvalidValueError
	if errors.As(err, &value) {
		f := value.GetFlag()
		takes := map[string]string{"int": "a whole number", "float64": "a number, with a decimal point"}[f.Value.Type()]
		if w, ok := f.Value.(*word); ok {
			takes = strings.Join(w.words, ", ")
		}
		return usage("--%s is %q; it takes %s", f.Name, value.GetValue(), takes)
	}
	return usage("%w; see %s --help", err, c.CommandPath())
}

// oneFile wants one rig file named.
func oneFile(c *cobra.Command, args []string) error {
	switch len(args) {
	case 1:
		return nil
	case 0:
		return usage("no rig file is named; write one, as in: %s my-rig.toml", c.CommandPath())
	default:
		return usage("%d files are named; name one rig file", len(args))
	}
}

// atMost wants no more than n arguments.
func atMost(n int) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) > n {
			return usage("%q is one argument too many; see %s --help", args[n], c.CommandPath())
		}
		return nil
	}
}

// load reads the rig file at a path, or standard input for "-".
func load(c *cobra.Command, path string) (*rig.Rig, error) { return loadCopy(c, path, io.Discard) }

// loadCopy is load, with the text of the file copied as it is read.
func loadCopy(c *cobra.Command, path string, to io.Writer) (*rig.Rig, error) {
	if path == "-" {
		return rig.Read(io.TeeReader(c.InOrStdin(), to), fileName(path))
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no file %s; check its name, or write a new one with evenlock start", path)
	case err == nil && info.IsDir():
		return nil, fmt.Errorf("%s is a folder; name a rig file in it", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", path, errors.Unwrap(err))
	}
	// Nothing was written to it, so that nothing is lost if closing fails.
	defer func() { _ = f.Close() }()
	return rig.Read(io.TeeReader(f, to), path)
}

// rigFiles completes the names of rig files.
func rigFiles(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"toml"}, cobra.ShellCompDirectiveFilterFileExt
}

// word is a flag of one of a few words; it is the first unless it is set.
type word struct {
	words []string
	is    string
}

func (w *word) String() string { return w.is }

func (*word) Type() string { return "word" }

func (w *word) Set(s string) error {
	if !slices.Contains(w.words, s) {
		return errors.New("not one of its words")
	}
	w.is = s
	return nil
}

// wordFlag adds a flag that takes one of a few words, and completes them.
func wordFlag(c *cobra.Command, name, help string, words ...string) *word {
	w := &word{words, words[0]}
	c.Flags().Var(w, name, help+": "+strings.Join(words, ", "))
	// The flag was added the line before, so that this cannot fail.
	_ = c.RegisterFlagCompletionFunc(name, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
	return w
}

// axleFlag adds --axle.
func axleFlag(c *cobra.Command) *word { return wordFlag(c, "axle", "which axle", "front", "rear") }

// numberOf is the number of the axle that was asked for, if a rig has it.
func numberOf(axle *word, r *rig.Rig, path string) (int, error) {
	number := 1 + slices.Index(axle.words, axle.is)
	if r.Of(number) == nil {
		return 0, &rig.Error{File: path, Key: axle.is, Problem: "there is no such table, and so no " + axle.is + " axle that steers", Remedy: "leave --axle out, or add the table [" + axle.is + "]"}
	}
	return number, nil
}

// model makes the model of an axle of the rig file at a path.
func model(c *cobra.Command, path string, axle *word) (*steer.Model, error) {
	r, err := load(c, path)
	if err != nil {
		return nil, err
	}
	number, err := numberOf(axle, r, path)
	if err != nil {
		return nil, err
	}
	return steer.Build(r, steer.Options{Axle: number})
}
