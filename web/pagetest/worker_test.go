package pagetest

import (
	"context"
	"fmt"
	"sync/atomic"
	"testing"

	"github.com/chromedp/cdproto/fetch"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// spoil lets the next n requests of the engine fail: with a status, or by the network if it is 0.
// It returns how many failed so far.
func (t *tab) spoil(n int64, status int64) *atomic.Int64 {
	t.tb.Helper()
	failed := &atomic.Int64{}
	answer := func(e *fetch.EventRequestPaused) error {
		if failed.Add(1) > n {
			failed.Add(-1)
			_, err := chromedp.Call(t.ctx, fetch.ContinueRequest, fetch.ContinueRequestParams{RequestID: e.RequestID})
			return err
		}
		if status == 0 {
			_, err := chromedp.Call(t.ctx, fetch.FailRequest, fetch.FailRequestParams{RequestID: e.RequestID, ErrorReason: network.ErrorReasonConnectionReset})
			return err
		}
		_, err := chromedp.Call(t.ctx, fetch.FulfillRequest, fetch.FulfillRequestParams{RequestID: e.RequestID, ResponseCode: status})
		return err
	}
	err := chromedp.Listen(t.ctx, func(event any) {
		if e, ok := event.(*fetch.EventRequestPaused); ok {
			// The browser waits for the answer, and the listener must not.
			go func() {
				if err := answer(e); err != nil && context.Cause(t.ctx) == nil {
					t.tb.Errorf("a paused request was not answered: %v", err)
				}
			}()
		}
	})
	if err != nil {
		t.tb.Fatal(err)
	}
	send(t, fetch.Enable, fetch.EnableParams{Patterns: []*fetch.RequestPattern{{URLPattern: "*/engine.wasm"}}})
	return failed
}

// A worker whose engine did not load is said to have failed, and is started anew: when one asks for
// it, and by itself with the next change.
func TestWorkerIsStartedAgain(t *testing.T) {
	t.Parallel()
	server := serve(t)
	const failed, answered = `[...document.querySelectorAll("#sheet button")].some((b) => b.textContent === "Try again")`,
		`document.querySelector("#sheet .problems") === null && document.querySelector("#sheet [aria-busy]") === null && document.querySelectorAll("#sheet li").length > 5`
	for _, test := range []struct {
		name   string
		status int64
		again  func(p *tab)
	}{
		{"no network, tried again", 0, func(p *tab) { p.press("Try again") }},
		{"bad answer, then a change", 503, func(p *tab) {
			p.run(`document.querySelector(".panel .handle").focus()`)
			p.key(kb.ArrowUp)
		}},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			rev := server.trail()
			p := open(t, laptop, server.url)
			p.allow("net::ERR_CONNECTION_RESET", "503")
			p.load(server.url)
			count := p.spoil(2, test.status)
			p.show(fmt.Sprintf("#/rig/%s/change", rev.Rig))
			p.until(failed)
			p.shot("failed to load")
			if count.Load() != 1 {
				t.Errorf("%d requests failed before one asked again", count.Load())
			}
			// It may fail more than once.
			p.press("Try again")
			p.until(fmt.Sprintf("%s && document.querySelector('#sheet [aria-busy]') === null", failed))
			if count.Load() != 2 {
				t.Errorf("%d requests failed in all", count.Load())
			}
			test.again(p)
			p.until(answered)
		})
	}
}
