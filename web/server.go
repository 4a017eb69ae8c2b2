package web

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"sync"
	"time"

	"evenlock/store"
)

// Options are what a [Server] needs.
type Options struct {
	// Store keeps the rigs. The server does not close it.
	Store store.Store
	// Assets are the page's files; index.html is the page. A file x may be
	// accompanied by x.br and x.gz, the same compressed.
	Assets fs.FS
	// RigName reads the rig's name out of an imported rig file. Its error is
	// told to the person.
	RigName func(text string) (string, error)
	// Log is told of faults in evenlock itself; nil means nobody is.
	Log *slog.Logger
}

// Server serves the page and its API. As an [http.Handler] it serves the
// computer itself: it must be reachable through loopback only.
type Server struct {
	Options
	assets  map[string]*asset
	local   http.Handler
	shared  http.Handler
	cross   *http.CrossOriginProtection
	sharing sharing
	limits  limits
	// restoring is held while a backup is restored: it takes much memory.
	restoring sync.Mutex
	// streams bounds the number of open event streams.
	streams chan struct{}
	// closing is closed when the server shuts down, which ends the streams.
	closing chan struct{}
}

// limits are how long others may take. Tests shorten them.
type limits struct {
	header, body, answer, idle, upload, shutdown time.Duration
}

// maxStreams is the number of event streams at once.
const maxStreams = 64

// New returns a server.
func New(o Options) (*Server, error) {
	if o.Store == nil || o.Assets == nil || o.RigName == nil {
		return nil, errors.New("web: Store, Assets and RigName must be given")
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	assets, err := readAssets(o.Assets)
	if err != nil {
		return nil, err
	}
	s := &Server{
		Options: o,
		assets:  assets,
		cross:   http.NewCrossOriginProtection(),
		streams: make(chan struct{}, maxStreams),
		closing: make(chan struct{}),
		limits: limits{
			header: 5 * time.Second, body: 30 * time.Second, answer: 30 * time.Second,
			idle: 2 * time.Minute, upload: 10 * time.Minute, shutdown: 5 * time.Second,
		},
	}
	s.sharing.now, s.sharing.address = time.Now, networkAddr
	common := http.NewServeMux()
	s.handleAPI(common)
	common.HandleFunc("/", s.serveAsset)

	local := http.NewServeMux()
	local.Handle("/", common)
	s.handleShare(local)
	s.local = s.guard(local)

	shared := http.NewServeMux()
	shared.Handle("/", s.membersOnly(common))
	s.handleJoin(shared)
	s.shared = s.guard(shared)
	return s, nil
}

// ServeHTTP serves the computer itself.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.local.ServeHTTP(w, r) }

// Serve listens on a loopback address such as "127.0.0.1:0", where port 0 means
// any free one, calls ready with the page's URL, and serves until ctx is done. It
// then lets running requests end, for five seconds at most, and returns nil. A
// Server serves once.
func (s *Server) Serve(ctx context.Context, address string, ready func(url string)) error {
	at, err := netip.ParseAddrPort(address)
	if err != nil || !at.Addr().IsLoopback() {
		return &store.Error{
			Code: store.Invalid, Message: fmt.Sprintf("%q is not a loopback address with a port.", address),
			Remedy: "Give one such as 127.0.0.1:8080. To let other devices in, share from the page.", Err: err,
		}
	}
	var lc net.ListenConfig
	listener, err := lc.Listen(ctx, "tcp", at.String())
	if err != nil {
		return &store.Error{
			Code: store.Unavailable, Message: fmt.Sprintf("Cannot listen on %s.", at),
			Remedy: "Another program may be there already. Choose another port, or 0 for any free one.", Err: err,
		}
	}
	server := s.httpServer(s.local)
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	url := "http://" + listener.Addr().String() + "/"
	s.sharing.opened(listener.Addr(), func() *http.Server { return s.httpServer(s.shared) })
	if ready != nil {
		ready(url)
	}

	select {
	case err = <-failed:
	case <-ctx.Done():
	}
	close(s.closing)
	// The caller's context is over, but the running requests are not.
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), s.limits.shutdown)
	defer cancel()
	s.sharing.shut(end)
	if shutErr := server.Shutdown(end); shutErr != nil {
		err = errors.Join(err, server.Close())
	}
	return err
}

func (s *Server) httpServer(h http.Handler) *http.Server {
	return &http.Server{
		Handler:           h,
		ReadHeaderTimeout: s.limits.header,
		ReadTimeout:       s.limits.body,
		WriteTimeout:      s.limits.answer,
		IdleTimeout:       s.limits.idle,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          slog.NewLogLogger(s.Log.Handler(), slog.LevelDebug),
	}
}

// allowTime allows a large upload or download more time than other requests get.
func (s *Server) allowTime(w http.ResponseWriter) error {
	c := http.NewResponseController(w)
	until := time.Now().Add(s.limits.upload)
	return errors.Join(c.SetReadDeadline(until), c.SetWriteDeadline(until))
}
