package web

import (
	"embed"
	"io/fs"
)

//go:generate go run evenlock/cmd/pack-engine -module .. -out assets/engine

//go:embed assets
var embedded embed.FS

// Assets returns the page's files, as built into the program.
func Assets() fs.FS {
	assets, err := fs.Sub(embedded, "assets")
	if err != nil {
		panic(err) // "assets" is a valid path
	}
	return assets
}
