// Command pack-engine builds the page's engine into web/assets/engine, from where it is
// built into evenlock. Run it by go generate ./web.
package main

import (
	"flag"
	"fmt"
	"os"

	"evenlock/engine/pack"
)

func main() {
	module := flag.String("module", ".", "folder of the module")
	out := flag.String("out", "web/assets/engine", "folder to write")
	flag.Parse()
	sizes, err := pack.Build(*module, *out, pack.Smallest)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	for _, s := range sizes {
		fmt.Printf("%-14s %8d bytes, %8d brotli, %8d gzip\n", s.Name, s.Plain, s.Brotli, s.Gzip)
	}
}
