package web

import (
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"

	"evenlock/store"
)

// policy allows the page its own files and nothing else. Compiling the engine
// needs wasm-unsafe-eval.
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; " +
	"connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// guard does what is done for every request: the headers that bind browsers, and
// the refusal of what comes by way of another site.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		// Not no-referrer: browsers would send "Origin: null" with forms, and
		// over plain HTTP on the local network Origin is all that tells a form
		// of our own from another site's.
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("X-Frame-Options", "DENY")
		// Assets say otherwise.
		h.Set("Cache-Control", "no-store")
		if !ownHost(r) {
			s.fail(w, r, &store.Error{
				Code: store.Forbidden, Message: "This is not the address that evenlock was started at.",
				Remedy: "Use the address that it printed.",
			})
			return
		}
		if !s.ownSite(r) {
			s.fail(w, r, &store.Error{
				Code: store.Forbidden, Message: "The request comes from another site.",
				Remedy: "Use evenlock's own page.",
			})
			return
		}
		next.ServeHTTP(w, r)
	})
}

// ownHost reports whether the request's host is the address that it came in at,
// as a number, or "localhost" at a loopback one. An outside name that resolves
// to this computer (DNS rebinding) is neither. The port is not compared: it may
// be forwarded from another.
func ownHost(r *http.Request) bool {
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return false
	}
	at, err := netip.ParseAddrPort(local.String())
	if err != nil {
		return false
	}
	host := (&url.URL{Host: r.Host}).Hostname()
	if strings.EqualFold(host, "localhost") {
		return at.Addr().Unmap().IsLoopback()
	}
	addr, err := netip.ParseAddr(host)
	return err == nil && addr.Unmap() == at.Addr().Unmap()
}

// ownSite reports whether the request may come from where it says it comes from.
// [http.CrossOriginProtection] judges requests that change something. To the API,
// requests that read are judged as well, for what they read. Programs other than
// browsers say nothing of where a request comes from, and are let through.
func (s *Server) ownSite(r *http.Request) bool {
	if s.cross.Check(r) != nil {
		return false
	}
	if !isAPI(r) {
		return true
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "same-origin", "none":
		return true
	case "":
		origin := r.Header.Get("Origin")
		if origin == "" {
			return true
		}
		u, err := url.Parse(origin)
		return err == nil && u.Host == r.Host
	}
	return false
}

func isAPI(r *http.Request) bool { return strings.HasPrefix(r.URL.Path, "/api/") }
