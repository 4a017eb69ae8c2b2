package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"evenlock/engine/pack"
	"evenlock/rig"
	"evenlock/store/sqlite"
	"evenlock/web"

	"github.com/spf13/cobra"
)

func serveCommand() *cobra.Command {
	var dir string
	var port int
	var share bool
	c := &cobra.Command{
		Use:   "serve",
		Short: "Open the page, to do the whole job by eye and by hand",
		Long: `Serve the page on this computer only, and keep your rigs in a folder. Stop with
Ctrl-C. With --share, other devices on the local network get in too, each with a
one-time code.`,
		Example: `  evenlock serve
  evenlock serve --data ~/rigs --port 8080
  evenlock serve --share`,
		Args: atMost(0),
		RunE: func(c *cobra.Command, _ []string) error {
			if port < 0 || port > 65535 {
				return usage("--port is %d; it can be 0 to 65535", port)
			}
			if dir == "" {
				var err error
				if dir, err = sqlite.DefaultDir(); err != nil {
					return err
				}
			}
			assets, done, err := pageFiles(c.Context(), c.ErrOrStderr())
			if err != nil {
				return err
			}
			defer done()
			kept, err := sqlite.Open(c.Context(), dir)
			if err != nil {
				return err
			}
			server, err := web.New(web.Options{Store: kept, Assets: assets, RigName: rigName})
			if err != nil {
				return errors.Join(err, kept.Close())
			}
			err = server.Serve(c.Context(), fmt.Sprintf("127.0.0.1:%d", port), func(url string) {
				say(c.OutOrStdout(), "The page is at %s\nYour rigs are kept in %s\nStop with Ctrl-C.\n", url, dir)
				if share {
					invite(c, server)
				}
			})
			return errors.Join(err, kept.Close())
		},
	}
	c.Flags().StringVar(&dir, "data", "", "`folder` to keep rigs in (default: your own for evenlock)")
	c.Flags().IntVar(&port, "port", 0, "`port` to listen on; 0 is any free one")
	c.Flags().BoolVar(&share, "share", false, "let devices on the local network in too, by a code")
	return c
}

// say tells a person something beside the work. Where nobody can be told, the work goes on.
func say(w io.Writer, format string, args ...any) { _, _ = fmt.Fprintf(w, format, args...) }

// invite starts sharing and shows the code on the terminal. A failure is told, and the page served
// without.
func invite(c *cobra.Command, server *web.Server) {
	sharing, err := server.Invite(c.Context())
	if err == nil {
		var qr string
		if qr, err = web.TerminalQR(sharing.Link); err == nil {
			say(c.OutOrStdout(), "\nOn the other device, scan this, or open %s\n\n%s\n", sharing.Link, qr)
			return
		}
	}
	say(c.ErrOrStderr(), "evenlock: not shared: %v\n", err)
}

// rigName reads the name out of a rig file, for the list of rigs.
func rigName(text string) (string, error) {
	r, err := rig.Read(strings.NewReader(text), "the file")
	if err != nil {
		return "", err
	}
	return r.Name, nil
}

func offlineCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "offline FOLDER",
		Short: "Write the page as a folder that works without a network",
		Long: `Write the page with its engine as a folder of files. Put it on any host of plain
files (over https, which browsers ask for before they keep a page); opened once,
it works on a phone without a network. Rigs are then kept in the browser. The
folder must not be there yet, or be empty.`,
		Example: "  evenlock offline site",
		Args: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usage("no folder is named; write one, as in: %s site", c.CommandPath())
			}
			return atMost(1)(c, args)
		},
		RunE: func(c *cobra.Command, args []string) error {
			files, done, err := pageFiles(c.Context(), c.ErrOrStderr())
			if err != nil {
				return err
			}
			defer done()
			return writeFolder(c.OutOrStdout(), files, args[0])
		},
	}
}

// writeFolder copies the page's files to a folder and lists them for the worker
// that keeps them offline.
func writeFolder(tell io.Writer, files fs.FS, folder string) error {
	if there, err := os.ReadDir(folder); err == nil && len(there) > 0 {
		return usage("%s is there already and is not empty: name another folder", folder)
	}
	if err := os.CopyFS(folder, files); err != nil {
		return fmt.Errorf("the folder was not written whole: %w", err)
	}
	list, err := listFiles(files)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(folder, "files.json"), list, 0o644); err != nil {
		return err
	}
	say(tell, "Wrote the page to %s.\n", folder)
	return nil
}

// listFiles lists the files that the page needs, with a mark over all their contents.
func listFiles(files fs.FS) ([]byte, error) {
	sum := sha256.New()
	var names []string
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if slices.Contains([]string{".br", ".gz", ".md", ".txt"}, path.Ext(name)) || strings.Contains(name, "LICENSE") {
			return nil
		}
		data, err := fs.ReadFile(files, name)
		sum.Write(fmt.Appendf(nil, "%s %d\n", name, len(data)))
		sum.Write(data)
		names = append(names, name)
		return err
	})
	if err != nil {
		return nil, err
	}
	return json.MarshalIndent(struct {
		Mark  string   `json:"mark"`
		Files []string `json:"files"`
	}{hex.EncodeToString(sum.Sum(nil))[:16], names}, "", "  ")
}

// pageFiles returns the page's files with the engine: that built in, or, where evenlock was built
// without it, one built now from the sources. The caller calls done when the files are no longer
// needed.
func pageFiles(ctx context.Context, tell io.Writer) (files fs.FS, done func(), err error) {
	page := web.Assets()
	if _, err := fs.Stat(page, path.Join("engine", pack.Wasm)); err == nil {
		return page, func() {}, nil
	}
	module, err := exec.CommandContext(ctx, "go", "list", "-m", "-f", "{{.Dir}}", "evenlock").Output()
	if err != nil {
		return nil, nil, errors.New("this evenlock was built without the page's engine: run go generate ./web in its sources and build it again")
	}
	dir, err := os.MkdirTemp("", "evenlock-page-")
	if err != nil {
		return nil, nil, err
	}
	// What is left behind in the folder for temporary files is cleared by the system.
	done = func() { _ = os.RemoveAll(dir) }
	say(tell, "Building the page's engine; go generate ./web saves this wait.\n")
	_, err = pack.Build(string(bytes.TrimSpace(module)), filepath.Join(dir, "engine"), pack.Smallest)
	if err = errors.Join(err, os.CopyFS(dir, page)); err != nil {
		done()
		return nil, nil, err
	}
	return os.DirFS(dir), done, nil
}
