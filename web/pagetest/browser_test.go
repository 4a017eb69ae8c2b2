package pagetest

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"evenlock/internal/effort"
	"evenlock/internal/need"
)

var browser struct {
	once  sync.Once
	ctx   context.Context
	close func()
	err   error
}

// startBrowser starts one Chromium for all tests; each test has a profile of its own in it.
func startBrowser(tb testing.TB) context.Context {
	tb.Helper()
	path := need.Tool(tb, "chromium")
	browser.once.Do(func() {
		options := append(chromedp.DefaultExecAllocatorOptions[:],
			chromedp.ExecPath(path),
			chromedp.NoSandbox, chromedp.DisableGPU,
			chromedp.UserDataDir(shared.dir+"/profile"),
			chromedp.Flag("disable-quic", true),
			chromedp.Flag("disable-background-networking", true),
			chromedp.Flag("disable-component-update", true),
			chromedp.Flag("disable-sync", true),
		)
		alloc, cancelAlloc := chromedp.NewExecAllocator(context.Background(), options...)
		ctx, cancel := chromedp.NewContext(alloc)
		browser.close = func() { cancel(); cancelAlloc() }
		browser.ctx = ctx
		browser.err = chromedp.Do(ctx)
	})
	if browser.err != nil {
		tb.Fatal(browser.err)
	}
	return browser.ctx
}

func closeBrowser() {
	if browser.close != nil {
		browser.close()
	}
}

// size is a screen.
type size struct {
	name          string
	width, height int64
	phone         bool
}

var (
	laptop = size{"laptop", 1280, 800, false}
	phone  = size{"phone", 390, 844, true}
)

// leftOut reports whether a screen is not tried in the i-th of two ways: locally the laptop is
// tried in the first and the phone in the second, under CI each in both.
func leftOut(s size, i int) bool { return !effort.Full() && s.phone != (i == 1) }

// tab is one tab of the browser.
type tab struct {
	tb  testing.TB
	ctx context.Context
	// own is the start of every address that the page may ask.
	own string

	mu       sync.Mutex
	troubles []string
	// allowed are parts of troubles that the test brings about itself.
	allowed []string

	// revision is the last one that the page was seen to have saved, 0 if none was.
	revision int
}

// open opens a tab with a fresh profile. What the page says on the console as an error, and
// every request to another place than own, fails the test.
func open(tb testing.TB, s size, own string) *tab {
	tb.Helper()
	ctx, cancel := chromedp.NewContext(startBrowser(tb), chromedp.WithNewBrowserContext())
	return prepare(ctx, tb, s, own, cancel)
}

// beside opens another tab of the same profile.
func (t *tab) beside(s size) *tab {
	t.tb.Helper()
	ctx, cancel := chromedp.NewContext(t.ctx)
	return prepare(ctx, t.tb, s, t.own, cancel)
}

func prepare(ctx context.Context, tb testing.TB, s size, own string, cancel func()) *tab {
	tb.Helper()
	t := &tab{tb: tb, ctx: ctx, own: own}
	tb.Cleanup(func() {
		t.check()
		cancel()
	})
	if err := chromedp.Listen(ctx, t.listen); err != nil {
		tb.Fatal(err)
	}
	options := []chromedp.EmulateViewportOption{}
	if s.phone {
		options = append(options, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	send(t, network.Enable, network.EnableParams{})
	send(t, log.Enable, cdp.Empty{})
	// Tests run side by side, and each page is to believe that it is the one in front.
	send(t, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
	t.do(chromedp.EmulateViewport(s.width, s.height, options...))
	return t
}

func (t *tab) listen(event any) {
	trouble := ""
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
			said := []string{fmt.Sprintf("console %s:", e.Type)}
			for _, a := range e.Args {
				said = append(said, string(a.Value)+a.Description)
			}
			trouble = strings.Join(said, " ")
		}
	case *runtime.EventExceptionThrown:
		trouble = "exception: " + e.ExceptionDetails.Text
		if e.ExceptionDetails.Exception != nil {
			trouble += " " + e.ExceptionDetails.Exception.Description
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError || e.Entry.Level == log.EntryLevelWarning {
			trouble = fmt.Sprintf("log %s: %s %s", e.Entry.Level, e.Entry.Text, e.Entry.URL)
		}
	case *network.EventRequestWillBeSent:
		url := e.Request.URL
		if !strings.HasPrefix(url, t.own) && !strings.HasPrefix(url, "blob:"+t.own) && !strings.HasPrefix(url, "data:") {
			trouble = "request to another place: " + url
		}
	}
	if trouble != "" {
		t.mu.Lock()
		t.troubles = append(t.troubles, trouble)
		t.mu.Unlock()
	}
}

// allow takes troubles with such words for the test's own doing.
func (t *tab) allow(words ...string) { t.allowed = append(t.allowed, words...) }

func (t *tab) check() {
	t.tb.Helper()
	t.mu.Lock()
	defer t.mu.Unlock()
next:
	for _, trouble := range t.troubles {
		for _, a := range t.allowed {
			if strings.Contains(trouble, a) {
				continue next
			}
		}
		t.tb.Error(trouble)
	}
}

// send sends a command of the browser's protocol.
func send[P, R any](t *tab, command cdp.Command[P, R], params P) {
	t.tb.Helper()
	ctx, cancel := context.WithTimeout(t.ctx, patience)
	defer cancel()
	if _, err := chromedp.Call(ctx, command, params); err != nil {
		t.tb.Fatal(err)
	}
}

// patience is how long a test waits for what the page should do at once: tests run side by side, on
// machines that have other work.
const patience = 60 * time.Second

func (t *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	t.tb.Helper()
	ctx, cancel := context.WithTimeout(t.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, actions...); err != nil {
		t.shot("failed")
		t.tb.Fatalf("%v\nthe page says: %s", err, t.saying())
	}
}

// saying is what stands on the page, for a failure's message.
func (t *tab) saying() string {
	ctx, cancel := context.WithTimeout(t.ctx, 2*time.Second)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](`location.hash + " " + document.body.innerText.slice(0, 1500)`))
	if err != nil {
		return err.Error()
	}
	return text
}

// shot keeps a picture where the variable EVENLOCK_SHOTS names a folder.
func (t *tab) shot(name string) { shoot(t, name) }

// eval evaluates an expression of the page, which may be a promise.
func eval[T any](t *tab, expression string) T {
	t.tb.Helper()
	ctx, cancel := context.WithTimeout(t.ctx, patience)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		t.shot("failed")
		t.tb.Fatalf("%s: %v\nthe page says: %s", expression, err, t.saying())
	}
	return value
}

// run evaluates an expression for what it does.
func (t *tab) run(expression string) {
	t.tb.Helper()
	eval[bool](t, "(async () => { await ("+expression+"); return true; })()")
}

// text evaluates to a string.
func (t *tab) text(expression string) string {
	t.tb.Helper()
	return eval[string](t, expression)
}

// until waits for an expression to become true. It is asked again with each frame of the page.
func (t *tab) until(expression string) {
	t.tb.Helper()
	_, err := chromedp.Run(t.ctx, chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(patience)))
	if err != nil {
		t.shot("failed")
		t.tb.Fatalf("waiting for %s: %v\nthe page says: %s", expression, err, t.saying())
	}
}

// show goes to a section and waits until it is laid out.
func (t *tab) show(hash string) {
	t.tb.Helper()
	t.run(fmt.Sprintf("location.hash = %q", hash))
	t.until(fmt.Sprintf("document.documentElement.dataset.at === %q", hash))
	t.revision = eval[int](t, revisionShown)
}

// load opens the page at its start.
func (t *tab) load(url string) {
	t.tb.Helper()
	t.do(chromedp.Navigate(url))
	t.until(`document.documentElement.dataset.at !== undefined`)
}

// press clicks the button or link with this label, by mouse or finger as the screen has it.
func (t *tab) press(label string) {
	t.tb.Helper()
	find := fmt.Sprintf(`[...document.querySelectorAll("button, a, summary")].find((b) => !b.disabled && b.checkVisibility() && (b.textContent.trim() === %q || b.getAttribute("aria-label") === %q))`, label, label)
	t.until("Boolean(" + find + ")")
	t.run(find + ".scrollIntoView({ block: 'center' })")
	u, v := t.place(find)
	t.click(u, v)
}

// place gives the middle of a node on the screen.
func (t *tab) place(node string) (u, v float64) {
	t.tb.Helper()
	at := eval[[2]float64](t, fmt.Sprintf("(() => { const b = (%s).getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; })()", node))
	return at[0], at[1]
}

func (t *tab) click(u, v float64) {
	t.tb.Helper()
	t.do(chromedp.MouseClickXY(u, v))
}

// fill puts a text into the field that has the focus, in place of what stands there.
func (t *tab) fill(text string) {
	t.tb.Helper()
	t.run(`document.activeElement.select()`)
	t.write(text)
}

// write puts a text where the cursor is.
func (t *tab) write(text string) {
	t.tb.Helper()
	send(t, input.InsertText, input.InsertTextParams{Text: text})
}

// key presses a key with modifiers.
func (t *tab) key(key string, modifiers ...chromedp.Modifier) {
	t.tb.Helper()
	t.do(chromedp.KeyEvent(key, chromedp.KeyModifiers(modifiers...)))
}

// choose hands a file to the page when it next asks for one by the button with this label.
func (t *tab) choose(label, path string) {
	t.tb.Helper()
	send(t, page.SetInterceptFileChooserDialog, page.SetInterceptFileChooserDialogParams{Enabled: true})
	ctx, cancel := context.WithTimeout(t.ctx, patience)
	defer cancel()
	asked, err := chromedp.Run(ctx, chromedp.WaitEvent(page.FileChooserOpened, nil,
		chromedp.Func(func(context.Context, *chromedp.Target) error { t.press(label); return nil })))
	if err != nil {
		t.tb.Fatalf("the page asked for no file: %v", err)
	}
	send(t, dom.SetFileInputFiles, dom.SetFileInputFilesParams{Files: []string{path}, BackendNodeID: asked.BackendNodeID})
}

// revisionShown is the revision that the page says is saved, 0 while it says none.
const revisionShown = `Number(document.querySelector(".save-state")?.textContent.match(/revision (\d+)/)?.[1] ?? 0)`

// saved waits until everything is saved, and returns the number of the revision.
func (t *tab) saved() int {
	t.tb.Helper()
	t.until(`document.querySelector(".save-state")?.dataset.how === "saved"`)
	t.revision = eval[int](t, revisionShown)
	return t.revision
}

// unsaved waits for a change to be noticed, so that saved does not see the state before it. On a busy
// computer the change may be saved before one looks.
func (t *tab) unsaved() {
	t.tb.Helper()
	t.until(fmt.Sprintf(`document.querySelector(".save-state")?.dataset.how !== "saved" || %s !== %d`, revisionShown, t.revision))
}

// throttle slows the processor down by a factor.
func (t *tab) throttle(factor float64) {
	t.tb.Helper()
	send(t, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: factor})
}

// light sets what the device asks for.
func (t *tab) light(dark bool) {
	t.tb.Helper()
	value := "light"
	if dark {
		value = "dark"
	}
	send(t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: value}, {Name: "prefers-reduced-motion", Value: "reduce"},
	}})
}

func quote(s string) string {
	b, err := json.Marshal(s)
	if err != nil {
		return `""`
	}
	return string(b)
}
