package pack_test

import (
	"bytes"
	"compress/gzip"
	"io"
	"os"
	"path/filepath"
	"testing"

	"evenlock/engine/pack"
	"evenlock/internal/effort"

	"github.com/andybalholm/brotli"
)

// Compressed as for people, which takes half a minute, where everything is tested; quickly
// elsewhere.
func TestVariantsHoldTheSameFileAndAreSmallEnough(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the engine for wasm")
	}
	dir := t.TempDir()
	how := pack.Fast
	if effort.Full() {
		how = pack.Smallest
	}
	sizes, err := pack.Build(filepath.Join("..", ".."), filepath.Join(dir, "engine"), how)
	if err != nil {
		t.Fatal(err)
	}
	for _, size := range sizes {
		t.Logf("%s: %d bytes, %d in brotli, %d in gzip", size.Name, size.Plain, size.Brotli, size.Gzip)
		path := filepath.Join(dir, "engine", size.Name)
		plain, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for ending, open := range map[string]func(io.Reader) (io.Reader, error){
			".br": func(r io.Reader) (io.Reader, error) { return brotli.NewReader(r), nil },
			".gz": func(r io.Reader) (io.Reader, error) { return gzip.NewReader(r) },
		} {
			f, err := os.Open(path + ending)
			if err != nil {
				t.Fatal(err)
			}
			r, err := open(f)
			if err != nil {
				t.Fatal(err)
			}
			back, err := io.ReadAll(r)
			if err != nil || !bytes.Equal(back, plain) {
				t.Errorf("%s%s does not hold the file: %v", size.Name, ending, err)
			}
			if err := f.Close(); err != nil {
				t.Error(err)
			}
		}
	}
	// A phone at the bench fetches it once; more than this would be felt (shared design, "The
	// page").
	const most = 2_000_000
	if how == pack.Smallest && sizes[0].Brotli > most {
		t.Errorf("the engine is %d bytes in brotli, more than %d", sizes[0].Brotli, most)
	}
}
