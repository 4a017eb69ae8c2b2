package web

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"

	goqr "github.com/piglig/go-qr"

	"evenlock/store"
)

const (
	// InviteLife is how long a code lets a device in.
	InviteLife = 10 * time.Minute
	// SessionLife is how long a device stays in.
	SessionLife = 12 * time.Hour
	// maxSessions is the number of devices at once.
	maxSessions = 16
	// maxTries is the number of wrong codes that one address may try in tryWindow.
	maxTries  = 10
	tryWindow = time.Minute
	// maxTriers bounds the memory for them.
	maxTriers = 1024
)

const sessionCookie = "evenlock-device"

// Sharing says how the page is shared with other devices.
type Sharing struct {
	On bool `json:"on"`
	// Link lets one device in, until it was used or has expired; it is empty then.
	Link    string    `json:"link,omitempty"`
	Expires time.Time `json:"expires,omitzero"`
	// Devices is the number of devices that were let in.
	Devices int `json:"devices"`
}

type secret [sha256.Size]byte

// sharing is the state of sharing with other devices. Of codes and sessions it
// keeps only hashes, save for the link that the computer itself shows.
type sharing struct {
	mu  sync.Mutex
	now func() time.Time
	// address finds where to listen.
	address func(context.Context) (netip.Addr, error)
	// port is where the computer itself is served, and newServer makes a server
	// for the others; they are set once that is so.
	port      uint16
	newServer func() *http.Server

	server   *http.Server
	base     string // such as http://192.168.1.5:8080
	link     string
	code     secret
	expires  time.Time
	sessions map[secret]time.Time // until when
	tries    map[netip.Addr]tries
}

type tries struct {
	since time.Time
	count int
}

// opened says where the computer itself is served.
func (sh *sharing) opened(at net.Addr, newServer func() *http.Server) {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	sh.port = netip.MustParseAddrPort(at.String()).Port()
	sh.newServer = newServer
}

// Invite makes a fresh link that lets one device in, in place of an earlier one,
// and starts to listen on the local network if the server does not yet. It works
// while the server serves.
func (s *Server) Invite(ctx context.Context) (Sharing, error) {
	sh := &s.sharing
	sh.mu.Lock()
	defer sh.mu.Unlock()
	if sh.newServer == nil {
		return Sharing{}, errors.New("web: not serving yet")
	}
	if sh.server == nil {
		addr, err := sh.address(ctx)
		if err != nil {
			return Sharing{}, err
		}
		if err := sh.listen(ctx, addr); err != nil {
			return Sharing{}, err
		}
	}
	code := rand.Text()
	sh.code = sha256.Sum256([]byte(code))
	sh.link = sh.base + "/join/" + code
	sh.expires = sh.now().Add(InviteLife).UTC().Truncate(time.Second)
	return sh.state(), nil
}

// listen starts to serve other devices at the address.
func (sh *sharing) listen(ctx context.Context, addr netip.Addr) error {
	var lc net.ListenConfig
	listener, err := lc.Listen(ctx, "tcp", netip.AddrPortFrom(addr, sh.port).String())
	if err != nil {
		// The port is taken there; any other will do.
		listener, err = lc.Listen(ctx, "tcp", netip.AddrPortFrom(addr, 0).String())
	}
	if err != nil {
		return &store.Error{
			Code: store.Unavailable, Message: fmt.Sprintf("Cannot listen on the local network at %s.", addr),
			Remedy: "Check that this computer is on the network.", Err: err,
		}
	}
	sh.server = sh.newServer()
	sh.base = "http://" + listener.Addr().String()
	sh.sessions = map[secret]time.Time{}
	sh.tries = map[netip.Addr]tries{}
	go sh.server.Serve(listener) //nolint:errcheck // it ends when sharing stops; until then the listener does not fail
	return nil
}

// state returns what is to be told. The caller holds mu.
func (sh *sharing) state() Sharing {
	st := Sharing{On: sh.server != nil}
	if st.On && sh.link != "" && sh.now().Before(sh.expires) {
		st.Link, st.Expires = sh.link, sh.expires
	}
	for _, until := range sh.sessions {
		if sh.now().Before(until) {
			st.Devices++
		}
	}
	return st
}

// Sharing returns how the page is shared now.
func (s *Server) Sharing() Sharing {
	s.sharing.mu.Lock()
	defer s.sharing.mu.Unlock()
	return s.sharing.state()
}

// StopSharing shuts all other devices out at once.
func (s *Server) StopSharing() {
	over, cancel := context.WithCancel(context.Background())
	cancel()
	s.sharing.stop(over)
}

// stop stops sharing; running requests may end until ctx is done.
func (sh *sharing) stop(ctx context.Context) {
	sh.mu.Lock()
	server := sh.server
	sh.server, sh.link, sh.code, sh.sessions, sh.tries = nil, "", secret{}, nil, nil
	sh.mu.Unlock()
	if server != nil && server.Shutdown(ctx) != nil {
		_ = server.Close() // its connections are given up
	}
}

// shut stops sharing for good.
func (sh *sharing) shut(ctx context.Context) {
	sh.mu.Lock()
	sh.newServer = nil
	sh.mu.Unlock()
	sh.stop(ctx)
}

// join exchanges a code for a session, which it returns.
func (sh *sharing) join(code string, from netip.Addr) (string, error) {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	now := sh.now()
	t := sh.tries[from]
	if now.Sub(t.since) > tryWindow {
		t = tries{since: now}
	}
	t.count++
	if t.count > maxTries {
		return "", &store.Error{Code: store.TooMany, Message: "Too many codes were tried from this device.", Remedy: "Wait a minute."}
	}
	if len(sh.tries) >= maxTriers {
		clear(sh.tries)
	}
	given := sha256.Sum256([]byte(code))
	if subtle.ConstantTimeCompare(given[:], sh.code[:]) != 1 || !now.Before(sh.expires) || sh.server == nil {
		if sh.tries != nil {
			sh.tries[from] = t
		}
		return "", &store.Error{
			Code: store.Forbidden, Message: "This code was used already, is too old, or never was one.",
			Remedy: "Ask for a new one on the computer and scan it.",
		}
	}
	for id, until := range sh.sessions {
		if !now.Before(until) {
			delete(sh.sessions, id)
		}
	}
	if len(sh.sessions) >= maxSessions {
		return "", &store.Error{
			Code: store.TooMany, Message: "Too many devices are in already.",
			Remedy: "Stop sharing on the computer, which shuts all out, and start again.",
		}
	}
	sh.link, sh.code = "", secret{}
	token := rand.Text()
	sh.sessions[sha256.Sum256([]byte(token))] = now.Add(SessionLife)
	return token, nil
}

// member reports whether the request comes from a device that was let in.
func (sh *sharing) member(r *http.Request) bool {
	c, err := r.Cookie(sessionCookie)
	if err != nil {
		return false
	}
	sh.mu.Lock()
	defer sh.mu.Unlock()
	return sh.now().Before(sh.sessions[sha256.Sum256([]byte(c.Value))])
}

// membersOnly lets only devices in that have a session.
func (s *Server) membersOnly(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if s.sharing.member(r) {
			next.ServeHTTP(w, r)
			return
		}
		s.fail(w, r, &store.Error{
			Code: store.Forbidden, Message: "This device has not been let in.",
			Remedy: "On the computer that evenlock runs on, choose to share the page, and scan the code that it shows with this device.",
		})
	})
}

// handleJoin adds what a device may ask for before it was let in. To open a link
// alone does nothing, so that a preview of it does not use it up.
func (s *Server) handleJoin(mux *http.ServeMux) {
	mux.HandleFunc("GET /join/{code}", func(w http.ResponseWriter, r *http.Request) {
		page(w, http.StatusOK, "Open the rigs kept on the computer that showed this code?", "", r.URL.EscapedPath())
	})
	mux.HandleFunc("POST /join/{code}", s.orFail(func(w http.ResponseWriter, r *http.Request) error {
		from, err := netip.ParseAddrPort(r.RemoteAddr)
		if err != nil {
			return err
		}
		token, err := s.sharing.join(r.PathValue("code"), from.Addr().Unmap())
		if err != nil {
			return err
		}
		http.SetCookie(w, &http.Cookie{ //nolint:gosec // G124: not Secure, since the local network has no certificates; see the package's documentation
			Name: sessionCookie, Value: token, Path: "/", MaxAge: int(SessionLife.Seconds()),
			HttpOnly: true, SameSite: http.SameSiteStrictMode,
		})
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return nil
	}))
}

// handleShare adds what only the computer itself may ask for.
func (s *Server) handleShare(mux *http.ServeMux) {
	mux.HandleFunc("GET /api/share", s.orFail(func(w http.ResponseWriter, _ *http.Request) error {
		return answer(w, http.StatusOK, s.Sharing(), nil)
	}))
	mux.HandleFunc("POST /api/share", s.orFail(func(w http.ResponseWriter, r *http.Request) error {
		st, err := s.Invite(r.Context())
		return answer(w, http.StatusCreated, st, err)
	}))
	mux.HandleFunc("DELETE /api/share", s.orFail(func(w http.ResponseWriter, _ *http.Request) error {
		s.StopSharing()
		return done(w, nil)
	}))
	mux.HandleFunc("GET /api/share/qr.svg", s.orFail(func(w http.ResponseWriter, _ *http.Request) error {
		link := s.Sharing().Link
		if link == "" {
			return &store.Error{Code: store.NotFound, Message: "There is no code that still lets a device in.", Remedy: "Ask for a new one."}
		}
		code, err := goqr.EncodeText(link, goqr.Medium)
		if err != nil {
			return err
		}
		svg, err := code.ToSVGBytes(goqr.NewQrCodeImgConfig(8, quiet, goqr.WithOptimalSVG()))
		if err != nil {
			return err
		}
		w.Header().Set("Content-Type", "image/svg+xml")
		_, err = w.Write(svg)
		return broken(err)
	}))
}

// quiet is the width of the margin that a QR needs (ISO/IEC 18004: four modules).
const quiet = 4

// TerminalQR returns the link as a QR in block characters, two modules high each,
// for a terminal with light letters on a dark ground: light is drawn, dark is left.
// Readers take it on a light ground as well, where it appears inverted, if they
// take inverted codes.
func TerminalQR(link string) (string, error) {
	code, err := goqr.EncodeText(link, goqr.Low)
	if err != nil {
		return "", err
	}
	dark := func(x, y int) bool {
		return x >= 0 && y >= 0 && x < code.Size() && y < code.Size() && code.Module(x, y)
	}
	var b strings.Builder
	for y := -quiet; y < code.Size()+quiet; y += 2 {
		for x := -quiet; x < code.Size()+quiet; x++ {
			switch above, below := dark(x, y), dark(x, y+1); {
			case above && below:
				b.WriteRune(' ')
			case above:
				b.WriteRune('▄')
			case below:
				b.WriteRune('▀')
			default:
				b.WriteRune('█')
			}
		}
		b.WriteByte('\n')
	}
	return b.String(), nil
}

// networkAddr returns this computer's address on the local network: the private
// one that it would use to go anywhere else, or else the first private one.
func networkAddr(ctx context.Context) (netip.Addr, error) {
	var d net.Dialer
	// Connecting a datagram socket sends nothing. The address is one reserved
	// for documentation (RFC 5737).
	if conn, err := d.DialContext(ctx, "udp4", "192.0.2.1:9"); err == nil {
		from, parseErr := netip.ParseAddrPort(conn.LocalAddr().String())
		if err := conn.Close(); err == nil && parseErr == nil && from.Addr().IsPrivate() {
			return from.Addr(), nil
		}
	}
	addrs, err := net.InterfaceAddrs()
	for _, a := range addrs {
		if p, err := netip.ParsePrefix(a.String()); err == nil && p.Addr().Is4() && p.Addr().IsPrivate() {
			return p.Addr(), nil
		}
	}
	return netip.Addr{}, &store.Error{
		Code: store.Unavailable, Message: "This computer has no address on a local network.",
		Remedy: "Connect it to the same network as the other device.", Err: err,
	}
}
