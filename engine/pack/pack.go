// Package pack builds the engine for the page: the wasm, the script of the Go distribution that
// runs it, and their compressed variants for servers that send those.
package pack

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"github.com/andybalholm/brotli"
)

// Names of the files that Build writes, beside each a variant ending in .br and one in .gz.
const (
	Wasm   = "engine.wasm"
	Script = "wasm_exec.js"
)

// Size is how large a built file is, in bytes.
type Size struct {
	Name                string
	Plain, Brotli, Gzip int
}

// Effort is how hard the variants are compressed.
type Effort int

// Fast takes well under a second and is for tests; Smallest takes many, and is for what people
// fetch.
const (
	Fast Effort = iota
	Smallest
)

// window is the logarithm of the bytes that brotli looks back over, the most that the format has and
// every browser reads: the engine is larger than what is usual.
const window = 24

// levels are those of the two compressors.
func (e Effort) levels() (br, gz int) {
	if e == Smallest {
		return brotli.BestCompression, gzip.BestCompression
	}
	return 1, gzip.BestSpeed // brotli's own fastest level, 0, is slower
}

// Build writes the engine into a folder, which is made if it is not there, with the go command on
// the path, run in the folder of the module. The same sources and go version give the same bytes.
func Build(module, folder string, effort Effort) ([]Size, error) {
	if err := os.MkdirAll(folder, 0o755); err != nil { //nolint:gosec // files for a web server to read
		return nil, fmt.Errorf("pack: %w", err)
	}
	folder, err := filepath.Abs(folder)
	if err != nil {
		return nil, fmt.Errorf("pack: %w", err)
	}
	ctx := context.Background()
	wasm := filepath.Join(folder, Wasm)
	build := exec.CommandContext(ctx, "go", "build", "-trimpath", "-ldflags", "-s -w -buildid=", "-buildvcs=false", "-o", wasm, "evenlock/cmd/engine-wasm") //nolint:gosec // the caller chooses the folder
	build.Dir = module
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOFLAGS=")
	if out, err := build.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("pack: go build: %w\n%s", err, out)
	}
	root, err := exec.CommandContext(ctx, "go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("pack: go env: %w", err)
	}
	script, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", Script))
	if err != nil {
		return nil, fmt.Errorf("pack: %w: install the whole Go distribution", err)
	}
	if err := os.WriteFile(filepath.Join(folder, Script), script, 0o644); err != nil { //nolint:gosec // the caller chooses the folder
		return nil, fmt.Errorf("pack: %w", err)
	}
	var sizes []Size
	for _, name := range []string{Wasm, Script} {
		size, err := compress(filepath.Join(folder, name), effort)
		if err != nil {
			return nil, fmt.Errorf("pack: %w", err)
		}
		sizes = append(sizes, size)
	}
	return sizes, nil
}

// compress writes the compressed variants of a file beside it.
func compress(path string, effort Effort) (Size, error) {
	size := Size{Name: filepath.Base(path)}
	br, gz := effort.levels()
	plain, err := os.ReadFile(path)
	if err != nil {
		return size, err
	}
	size.Plain = len(plain)
	size.Brotli, err = write(path+".br", plain, func(w io.Writer) (io.WriteCloser, error) {
		return brotli.NewWriterOptions(w, brotli.WriterOptions{Quality: br, LGWin: window}), nil
	})
	if err != nil {
		return size, err
	}
	size.Gzip, err = write(path+".gz", plain, func(w io.Writer) (io.WriteCloser, error) {
		return gzip.NewWriterLevel(w, gz)
	})
	return size, err
}

func write(path string, plain []byte, encoder func(io.Writer) (io.WriteCloser, error)) (int, error) {
	var b bytes.Buffer
	w, err := encoder(&b)
	if err != nil {
		return 0, err
	}
	if _, err := w.Write(plain); err != nil {
		return 0, err
	}
	if err := w.Close(); err != nil {
		return 0, err
	}
	return b.Len(), os.WriteFile(path, b.Bytes(), 0o644)
}
