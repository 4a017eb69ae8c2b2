package web

import (
	"bytes"
	"encoding/xml"
	"image"
	"image/color"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	goqr "github.com/piglig/go-qr"

	"evenlock/internal/need"
	"evenlock/store"
)

// shared serves the handler for other devices on a loopback address, which
// stands for one on the local network. It returns the computer itself, a function
// that makes another device, and one that moves the clock.
func shared(t *testing.T) (s *Server, self client, device func() client, later func(time.Duration)) {
	t.Helper()
	s = newServer(t, t.TempDir())
	self = local(t, s)
	clock := time.Now()
	s.sharing.now = func() time.Time { return clock }
	listener := &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 0}
	s.sharing.opened(listener, func() *http.Server { return s.httpServer(s.shared) })
	if err := s.sharing.listen(t.Context(), netip.MustParseAddr("127.0.0.1")); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.StopSharing)
	device = func() client {
		jar, err := cookiejar.New(nil)
		if err != nil {
			t.Fatal(err)
		}
		return client{t, s.sharing.base, http.Header{}, &http.Client{
			Jar: jar, Transport: &http.Transport{DisableKeepAlives: true},
			CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		}}
	}
	return s, self, device, func(d time.Duration) { clock = clock.Add(d) }
}

// invite returns the path of a fresh link.
func invite(c client) string {
	c.Helper()
	var st Sharing
	c.call("POST", "/api/share", nil, 201, &st)
	_, path, ok := strings.Cut(strings.TrimPrefix(st.Link, "http://"), "/")
	if !ok || !st.On {
		c.Fatalf("sharing: %+v", st)
	}
	return "/" + path
}

func TestNoOtherDeviceGetsInWithoutACode(t *testing.T) {
	_, self, device, _ := shared(t)
	self.create()
	link := invite(self)
	stranger := device()
	for _, call := range apiCalls {
		method, path, _ := strings.Cut(call, " ")
		answer := stranger.do(method, path, "")
		if method == "HEAD" && answer.status == 403 {
			continue
		}
		f := stranger.refused(answer, store.Forbidden)
		if f.Error.Remedy == "" {
			t.Errorf("%s: it is not said how to get in", call)
		}
	}
	for _, path := range []string{"/", "/index.html", "/js/wiring.js", "/nothing"} {
		answer := stranger.do("GET", path, "")
		if answer.status != 403 || !strings.HasPrefix(answer.Header.Get("Content-Type"), "text/html") || !strings.Contains(answer.body, "scan the code") || strings.Contains(answer.body, "wiring") {
			t.Errorf("%s: status %d: %s", path, answer.status, answer.body)
		}
	}
	for name, cookie := range map[string]string{"empty": "", "guessed": "AAAAAAAAAAAAAAAAAAAAAAAAAA", "the code itself": strings.TrimPrefix(link, "/join/")} {
		answer := stranger.with("Cookie", sessionCookie+"="+cookie).do("GET", "/api/rigs", "")
		if answer.status != 403 {
			t.Errorf("cookie %s: status %d", name, answer.status)
		}
	}
}

func TestACodeLetsOneDeviceInOnce(t *testing.T) {
	_, self, device, _ := shared(t)
	first := self.create()
	link := invite(self)
	if code := strings.TrimPrefix(link, "/join/"); len(code) != 26 || link == invite(self) {
		t.Errorf("code %q is not 26 letters (130 bits), or not fresh each time", code)
	}
	link = invite(self)

	phone := device()
	if answer := phone.do("GET", link, ""); answer.status != 200 || !strings.Contains(answer.body, `<form method="post" action="`+link+`">`) {
		t.Errorf("opening the link: %s", answer.body)
	}
	phone.refused(phone.do("GET", "/api/rigs", ""), store.Forbidden) // looking at the link is not using it
	answer := phone.with("Origin", phone.base).with("Content-Type", "application/x-www-form-urlencoded").do("POST", link, "")
	if answer.status != 303 || answer.Header.Get("Location") != "/" {
		t.Fatalf("using the link: %d %s", answer.status, answer.body)
	}
	cookies := answer.Cookies()
	if len(cookies) != 1 || !cookies[0].HttpOnly || cookies[0].SameSite != http.SameSiteStrictMode || cookies[0].Path != "/" ||
		len(cookies[0].Value) != 26 || cookies[0].Domain != "" || cookies[0].Value == strings.TrimPrefix(link, "/join/") {
		t.Errorf("cookie %+v", cookies)
	}
	phone.call("GET", "/", nil, 200, nil)
	phone.call("POST", "/api/rigs/"+first.Rig+"/revisions", parented{1, store.Draft{Name: "Bench mule", Text: "name = b\n", By: "phone"}}, 201, nil)

	second := device()
	answer = second.do("POST", link, "")
	if answer.status != 403 || !strings.Contains(answer.body, "used already") || len(answer.Cookies()) != 0 {
		t.Errorf("the code works twice: %d %s", answer.status, answer.body)
	}
	var st Sharing
	self.call("GET", "/api/share", nil, 200, &st)
	if !st.On || st.Link != "" || st.Devices != 1 {
		t.Errorf("sharing after the code was used: %+v", st)
	}
	self.refused(self.do("GET", "/api/share/qr.svg", ""), store.NotFound)
}

func TestADeviceThatIsInCannotInviteOthers(t *testing.T) {
	_, self, device, _ := shared(t)
	phone := device()
	phone.do("POST", invite(self), "")
	phone.call("GET", "/api/rigs", nil, 200, nil)
	for _, call := range []string{"GET /api/share", "POST /api/share", "DELETE /api/share", "GET /api/share/qr.svg"} {
		method, path, _ := strings.Cut(call, " ")
		phone.refused(phone.do(method, path, ""), store.NotFound)
	}
	for name, header := range map[string][2]string{
		"another site": {"Origin", "http://evil.example"}, "another name": {"Host", "evil.example"},
		"a site at another port": {"Origin", "http://127.0.0.1:9"}, "localhost of the phone's": {"Origin", "http://localhost"},
	} {
		for _, method := range []string{"GET", "POST"} {
			if answer := phone.with(header[0], header[1]).do(method, "/api/rigs", ""); answer.status != 403 {
				t.Errorf("%s: %s: status %d", name, method, answer.status)
			}
		}
	}
	if answer := phone.with("Origin", "http://evil.example").do("POST", invite(self), ""); answer.status != 403 {
		t.Errorf("another site can use a link: %d", answer.status)
	}
}

func TestCodesAndSessionsEnd(t *testing.T) {
	s, self, device, later := shared(t)
	link := invite(self)
	later(InviteLife - time.Second)
	early := device()
	if answer := early.do("POST", link, ""); answer.status != 303 {
		t.Errorf("just in time: %d", answer.status)
	}
	link = invite(self)
	later(InviteLife)
	if answer := device().do("POST", link, ""); answer.status != 403 {
		t.Errorf("too late: %d", answer.status)
	}
	early.call("GET", "/", nil, 200, nil)
	later(SessionLife)
	early.refused(early.do("GET", "/api/rigs", ""), store.Forbidden)

	phone := device()
	phone.do("POST", invite(self), "")
	tab := phone.stream()
	self.call("DELETE", "/api/share", nil, 204, nil)
	if name, _ := tab.next(); name != "" {
		t.Errorf("event %q after sharing stopped", name)
	}
	var d net.Dialer
	if conn, err := d.DialContext(t.Context(), "tcp", strings.TrimPrefix(phone.base, "http://")); err == nil {
		t.Error("it still listens", conn.Close())
	}
	if st := s.Sharing(); st.On || st.Devices != 0 || st.Link != "" {
		t.Errorf("sharing after it stopped: %+v", st)
	}
	if err := s.sharing.listen(t.Context(), netip.MustParseAddr("127.0.0.1")); err != nil {
		t.Fatal(err)
	}
	phone.base = s.sharing.base
	phone.refused(phone.do("GET", "/api/rigs", ""), store.Forbidden) // the old session is over
}

func TestGuessingIsSlowedDown(t *testing.T) {
	s, self, device, later := shared(t)
	link := invite(self)
	guesser := device()
	for i := range maxTries {
		if answer := guesser.do("POST", "/join/AAAAAAAAAAAAAAAAAAAAAAAAAA", ""); answer.status != 403 {
			t.Fatalf("guess %d: %d", i, answer.status)
		}
	}
	for _, path := range []string{"/join/AAAAAAAAAAAAAAAAAAAAAAAAAA", link} {
		if answer := guesser.do("POST", path, ""); answer.status != 429 {
			t.Errorf("one guess more at %s: %d", path, answer.status)
		}
	}
	if _, err := s.sharing.join("AAAA", netip.MustParseAddr("192.168.1.7")); store.CodeOf(err) != store.Forbidden {
		t.Errorf("another device is slowed down as well: %v", err)
	}
	later(tryWindow + time.Second)
	if answer := guesser.do("POST", link, ""); answer.status != 303 {
		t.Errorf("after a minute: %d", answer.status)
	}
	for i := range 3 * maxTriers {
		_, _ = s.sharing.join("AAAA", netip.AddrFrom4([4]byte{10, 0, byte(i >> 8), byte(i)}))
	}
	if n := len(s.sharing.tries); n > maxTriers {
		t.Errorf("%d addresses are remembered", n)
	}
}

func TestDevicesAreBounded(t *testing.T) {
	s, self, device, _ := shared(t)
	for range maxSessions {
		if answer := device().do("POST", invite(self), ""); answer.status != 303 {
			t.Fatal(answer.status)
		}
	}
	if answer := device().do("POST", invite(self), ""); answer.status != 429 || s.Sharing().Devices != maxSessions {
		t.Errorf("one more: %d", answer.status)
	}
}

// seen draws block characters as a terminal with light letters on a dark ground.
func seen(t *testing.T, text string) image.Image {
	t.Helper()
	const scale = 6
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	width := len([]rune(lines[0]))
	img := image.NewGray(image.Rect(0, 0, width*scale, 2*len(lines)*scale))
	for y, l := range lines {
		runes := []rune(l)
		if len(runes) != width {
			t.Fatalf("line %d has %d characters, the first %d", y, len(runes), width)
		}
		for x, r := range runes {
			for half := range 2 {
				if r == '█' || r == '▀' && half == 0 || r == '▄' && half == 1 {
					for i := range scale * scale {
						img.SetGray(x*scale+i%scale, (2*y+half)*scale+i/scale, color.Gray{Y: 255})
					}
				}
			}
		}
	}
	return img
}

func TestTheQRHoldsTheLink(t *testing.T) {
	s, self, _, _ := shared(t)
	link := s.sharing.base + invite(self)
	text, err := TerminalQR(link)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := goqr.Decode(seen(t, text)); err != nil || got != link {
		t.Errorf("on the terminal: %q (%v), want %q", got, err, link)
	}
	answer := self.call("GET", "/api/share/qr.svg", nil, 200, nil)
	if answer.Header.Get("Content-Type") != "image/svg+xml" || strings.Contains(answer.body, "<script") || strings.Contains(answer.body, "style=") {
		t.Errorf("SVG: %v", answer.Header)
	}
	if err := xml.Unmarshal([]byte(answer.body), new(struct{})); err != nil {
		t.Errorf("SVG: %v", err)
	}

	// A reader that is not the writer's own library is the check from outside.
	reader := need.Tool(t, "zbarimg")
	dir := t.TempDir()
	var png bytes.Buffer
	code, err := goqr.EncodeText(link, goqr.Medium)
	if err != nil {
		t.Fatal(err)
	}
	if err := code.WriteAsPNG(goqr.NewQrCodeImgConfig(8, quiet), &png); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "qr.png")
	if err := os.WriteFile(path, png.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), reader, "-q", "--raw", path).Output()
	if err != nil || strings.TrimSpace(string(out)) != link {
		t.Errorf("the outside reader says %q (%v), want %q", out, err, link)
	}
}

func TestTheLocalNetworkAddressIsPrivate(t *testing.T) {
	addr, err := networkAddr(t.Context())
	if err != nil {
		if told := store.Tell(err); told.Code != store.Unavailable || told.Remedy == "" {
			t.Errorf("without a network: %v", err)
		}
		return
	}
	if !addr.IsPrivate() || !addr.Is4() {
		t.Errorf("address %v", addr)
	}
}
