package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"time"

	"evenlock/store"
)

// asset is one file of the page, with its encodings; "" is the file as it is.
type asset struct {
	contentType string
	bodies      map[string][]byte
	tag         string
}

// encodings in the order of preference, with their file endings.
var encodings = []struct{ name, ending string }{{"br", ".br"}, {"gzip", ".gz"}}

// contentTypes does not leave the choice to what the system happens to know.
var contentTypes = map[string]string{
	".html":        "text/html; charset=utf-8",
	".css":         "text/css; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".json":        "application/json",
	".wasm":        "application/wasm",
	".webmanifest": "application/manifest+json",
	".svg":         "image/svg+xml",
	".png":         "image/png",
	".ico":         "image/x-icon",
	".woff2":       "font/woff2",
	".txt":         "text/plain; charset=utf-8",
	".toml":        "application/toml",
}

// readAssets reads all files into memory. What is not in the map is not served:
// there are no folders to list and no paths to escape by.
func readAssets(files fs.FS) (map[string]*asset, error) {
	all := map[string]*asset{}
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || isEncoded(files, name) {
			return err
		}
		a := &asset{contentType: contentTypes[path.Ext(name)], bodies: map[string][]byte{}}
		if a.contentType == "" {
			return fmt.Errorf("web: the content type of the asset %s is not known", name)
		}
		body, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		a.bodies[""] = body
		sum := sha256.Sum256(body)
		a.tag = hex.EncodeToString(sum[:16])
		for _, e := range encodings {
			if body, err := fs.ReadFile(files, name+e.ending); err == nil {
				a.bodies[e.name] = body
			}
		}
		all["/"+name] = a
		return nil
	})
	if err != nil {
		return nil, err
	}
	index := all["/index.html"]
	if index == nil {
		return nil, errors.New("web: the assets have no index.html")
	}
	all["/"] = index
	return all, nil
}

// isEncoded reports whether the file is another one compressed.
func isEncoded(files fs.FS, name string) bool {
	for _, e := range encodings {
		if plain, ok := strings.CutSuffix(name, e.ending); ok {
			if _, err := fs.Stat(files, plain); err == nil {
				return true
			}
		}
	}
	return false
}

func (s *Server) serveAsset(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		page(w, http.StatusMethodNotAllowed, "This can only be read.", "", "")
		return
	}
	a := s.assets[r.URL.Path]
	if a == nil {
		s.fail(w, r, &store.Error{Code: store.NotFound, Message: "There is nothing here.", Remedy: "Go to the page's start."})
		return
	}
	h := w.Header()
	h.Set("Content-Type", a.contentType)
	// A browser asks each time whether its copy is still right: the program may
	// have been replaced by a newer one.
	h.Set("Cache-Control", "no-cache")
	h.Add("Vary", "Accept-Encoding")
	encoding := ""
	for _, e := range encodings {
		if a.bodies[e.name] != nil && accepts(r, e.name) {
			encoding = e.name
			h.Set("Content-Encoding", encoding)
			break
		}
	}
	h.Set("ETag", `"`+a.tag+encoding+`"`)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(a.bodies[encoding]))
}

// accepts reports whether the client takes the encoding (RFC 9110, 12.5.3). An
// encoding that is allowed only by "*" is not used.
func accepts(r *http.Request, encoding string) bool {
	for offer := range strings.SplitSeq(r.Header.Get("Accept-Encoding"), ",") {
		name, weight, _ := strings.Cut(offer, ";")
		if strings.EqualFold(strings.TrimSpace(name), encoding) {
			q, weighted := strings.CutPrefix(strings.ReplaceAll(weight, " ", ""), "q=")
			return !weighted || strings.Trim(q, "0.") != ""
		}
	}
	return false
}
