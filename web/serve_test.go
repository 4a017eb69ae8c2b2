package web

import (
	"context"
	"errors"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"testing"
	"time"

	"evenlock/store"
)

// slowStore takes its time to save.
type slowStore struct {
	store.Store
	saving chan struct{}
}

func (s slowStore) Create(ctx context.Context, d store.Draft) (store.Revision, error) {
	close(s.saving)
	time.Sleep(300 * time.Millisecond)
	return s.Store.Create(ctx, d)
}

// started serves for real on a free port, until stop is called, which returns
// what Serve returned.
func started(t *testing.T, s *Server) (c client, stop func() error) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	url, ended := make(chan string, 1), make(chan error, 1)
	go func() { ended <- s.Serve(ctx, "127.0.0.1:0", func(u string) { url <- u }) }()
	stop = sync.OnceValue(func() error {
		cancel()
		select {
		case err := <-ended:
			return err
		case <-time.After(10 * time.Second):
			return errors.New("it does not end")
		}
	})
	t.Cleanup(func() { _ = stop() })
	select {
	case u := <-url:
		return client{t, strings.TrimSuffix(u, "/"), http.Header{}, &http.Client{Transport: &http.Transport{}}}, stop
	case err := <-ended:
		t.Fatal(err)
		return client{}, nil
	}
}

func TestServeFromStartToEnd(t *testing.T) {
	dir := t.TempDir()
	c, stop := started(t, newServer(t, dir))
	if !strings.HasPrefix(c.base, "http://127.0.0.1:") {
		t.Errorf("URL %s", c.base)
	}
	if answer := c.call("GET", "/", nil, 200, nil); !strings.Contains(answer.body, "the page") {
		t.Errorf("page %s", answer.body)
	}
	first := c.create()
	tab := c.stream()
	if err := stop(); err != nil {
		t.Errorf("Serve: %v", err)
	}
	if name, _ := tab.next(); name != "" {
		t.Errorf("event %q after the end", name)
	}
	var d net.Dialer
	if conn, err := d.DialContext(t.Context(), "tcp", strings.TrimPrefix(c.base, "http://")); err == nil {
		t.Error("it still listens", conn.Close())
	}

	again, _ := started(t, newServer(t, dir))
	again.call("GET", "/api/rigs/"+first.Rig, nil, 200, nil)
}

func TestASaveThatRunsWhenTheServerEndsIsFinished(t *testing.T) {
	slow := slowStore{openStore(t, t.TempDir()), make(chan struct{})}
	s, err := New(Options{Store: slow, Assets: testAssets, RigName: rigName})
	if err != nil {
		t.Fatal(err)
	}
	c, stop := started(t, s)
	var wg sync.WaitGroup
	wg.Go(func() {
		<-slow.saving
		if err := stop(); err != nil {
			t.Errorf("Serve: %v", err)
		}
	})
	first := c.create()
	wg.Wait()
	if _, err := slow.Rig(t.Context(), first.Rig); err != nil {
		t.Error(err)
	}
}

func TestServeListensOnLoopbackOnly(t *testing.T) {
	for _, address := range []string{"0.0.0.0:0", ":0", "[::]:0", "192.168.1.5:0", "localhost:0", "example.org:80", "127.0.0.1", ""} {
		err := newServer(t, t.TempDir()).Serve(t.Context(), address, func(string) { t.Errorf("%q: serves", address) })
		if store.CodeOf(err) != store.Invalid || store.Tell(err).Remedy == "" {
			t.Errorf("%q: %v", address, err)
		}
	}
}

func TestAPortThatIsTakenIsTold(t *testing.T) {
	c, _ := started(t, newServer(t, t.TempDir()))
	err := newServer(t, t.TempDir()).Serve(t.Context(), strings.TrimPrefix(c.base, "http://"), nil)
	if told := store.Tell(err); told.Code != store.Unavailable || !strings.Contains(told.Remedy, "another port") {
		t.Errorf("got %v", err)
	}
}

// The whole way from the page's button to another device. A loopback address
// stands for that of the local network, which not every machine has; the port is
// taken there, so another one is found.
func TestSharingFromStartToEnd(t *testing.T) {
	s := newServer(t, t.TempDir())
	s.sharing.address = func(context.Context) (netip.Addr, error) { return netip.MustParseAddr("127.0.0.1"), nil }
	if _, err := s.Invite(t.Context()); err == nil {
		t.Error("an invitation before the server serves")
	}
	c, stop := started(t, s)
	link := invite(c)
	phone := client{t, s.sharing.base, http.Header{}, c.http}
	if phone.base == c.base {
		t.Errorf("shared where the computer itself is served, at %s", phone.base)
	}
	phone.refused(phone.do("GET", "/api/rigs", ""), store.Forbidden)
	phone.http = &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	answer := phone.do("POST", link, "")
	if answer.status != 303 {
		t.Fatalf("using the link: %d %s", answer.status, answer.body)
	}
	phone.with("Cookie", sessionCookie+"="+answer.Cookies()[0].Value).call("GET", "/api/rigs", nil, 200, nil)
	if err := stop(); err != nil {
		t.Error(err)
	}
	var d net.Dialer
	if conn, err := d.DialContext(t.Context(), "tcp", strings.TrimPrefix(phone.base, "http://")); err == nil {
		t.Error("it still listens to the network", conn.Close())
	}
}
