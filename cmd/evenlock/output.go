package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"evenlock/internal/safefile"
	"evenlock/report/document"
	"evenlock/report/text"

	"github.com/pelletier/go-toml/v2"
	"github.com/spf13/cobra"
)

// output is how a command writes its document: the flags that all of them share.
type output struct {
	format *word
	units  string
	all    bool
}

// outputFlags adds --format, --units and --all. Formats beyond text and JSON are the command's own.
func outputFlags(c *cobra.Command, more ...string) *output {
	o := &output{}
	o.format = wordFlag(c, "format", "how to write it", append([]string{"text", "json"}, more...)...)
	c.Flags().StringVar(&o.units, "units", "", "`units` to read in this once, such as in,oz-in")
	c.Flags().BoolVar(&o.all, "all", false, "write the details too")
	return o
}

// write writes a document in the form that was asked for.
func (o *output) write(c *cobra.Command, d *document.Document) error {
	reader, err := o.reader()
	if err != nil {
		return err
	}
	if o.format.is != "json" {
		err := text.Write(c.OutOrStdout(), d, text.Options{Reader: reader, All: o.all})
		if f := c.Flag("axle"); err == nil && d.Axle == "front" && f != nil && !f.Hidden {
			_, err = fmt.Fprintf(c.OutOrStdout(), "\nThe rear axle: %s %s --axle rear\n", c.CommandPath(), c.Flags().Arg(0))
		}
		return err
	}
	written, err := d.JSON(reader)
	if err != nil {
		return err
	}
	var indented bytes.Buffer
	if err := json.Indent(&indented, written, "", "  "); err != nil {
		return err
	}
	indented.WriteByte('\n')
	_, err = c.OutOrStdout().Write(indented.Bytes())
	return err
}

// reader is the units of --units on top of those that the person keeps.
func (o *output) reader() (document.Reader, error) {
	kept, err := keptReader()
	if err != nil {
		return kept, err
	}
	reader, err := document.ParseReader(kept, o.units)
	if err != nil {
		return reader, usage("--units: %w", err)
	}
	return reader, nil
}

// preferences are what a person keeps for all rigs.
type preferences struct {
	Units string `toml:"units"`
}

// mostPreferences is how many bytes a file of preferences has at most.
const mostPreferences = 1 << 16

// preferencesFile is where they are kept.
func preferencesFile() (string, error) {
	folder, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("there is no folder to keep your units in: %w; give --units each time", err)
	}
	return filepath.Join(folder, "evenlock", "preferences.toml"), nil
}

// keptReader is the units that the person keeps; millimetres, kg·cm and % if none are kept.
func keptReader() (document.Reader, error) {
	path, err := preferencesFile()
	if err != nil {
		return document.Reader{}, nil //nolint:nilerr // without a folder nothing can be kept in it
	}
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return document.Reader{}, nil
	}
	// A pipe or a device would keep the program waiting for ever.
	if err == nil && (!info.Mode().IsRegular() || info.Size() > mostPreferences) {
		return document.Reader{}, fmt.Errorf("%s is no file of preferences; remove it, then keep your units with evenlock units", path)
	}
	content, err := os.ReadFile(path)
	if err != nil {
		return document.Reader{}, fmt.Errorf("%s cannot be read: %w; mend or remove it", path, err)
	}
	var kept preferences
	if toml.Unmarshal(content, &kept) != nil {
		return document.Reader{}, fmt.Errorf("%s is not what evenlock keeps there; choose your units anew with evenlock units", path)
	}
	reader, err := document.ParseReader(document.Reader{}, kept.Units)
	if err != nil {
		return document.Reader{}, fmt.Errorf("%s, units: %w; keep others with evenlock units", path, err)
	}
	return reader, nil
}

func unitsCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "units [UNITS]",
		Short: "Show or keep the units that you read in",
		Long: `Show the units that results are written in, or keep others for all rigs:
mm or in; kg·cm, N·m or oz·in; % or µs, as your transmitter shows. Those not
named stay. Rig files keep what is written in them. --units holds for one run.`,
		Example: "  evenlock units\n  evenlock units in,oz-in\n  evenlock units N-m",
		Args:    cobra.ArbitraryArgs,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return document.UnitWords(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			reader, err := keptReader()
			if err != nil && len(args) == 0 {
				return err
			}
			if len(args) > 0 {
				if reader, err = document.ParseReader(reader, strings.Join(args, ",")); err != nil {
					return usage("%w", err)
				}
				if err := keepReader(reader); err != nil {
					return err
				}
			}
			_, err = fmt.Fprintln(c.OutOrStdout(), reader)
			return err
		},
	}
}

// keepReader keeps the units for the runs to come.
func keepReader(reader document.Reader) error {
	path, err := preferencesFile()
	if err != nil {
		return err
	}
	content, err := toml.Marshal(preferences{Units: reader.String()})
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return fmt.Errorf("your units cannot be kept: %w", err)
	}
	return safefile.Replace(path, content)
}
