package main

import (
	"fmt"
	"io"
	"os"
	"time"
)

// progress tells how far something is that takes over a second, if someone watches: a script
// that keeps what comes on standard error gets errors alone.
type progress struct {
	w     io.Writer
	of    int
	since time.Time
	last  time.Time
	told  bool
}

func newProgress(w io.Writer, of int) *progress {
	if !isTerminal(w) {
		w = io.Discard
	}
	now := time.Now()
	return &progress{w: w, of: of, since: now, last: now}
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

func (p *progress) at(n int) {
	now := time.Now()
	if now.Sub(p.since) < time.Second || now.Sub(p.last) < 200*time.Millisecond {
		return
	}
	p.last, p.told = now, true
	// A terminal that cannot be written to leaves nothing to do about it.
	_, _ = fmt.Fprintf(p.w, "\r%3d %%", 100*n/p.of)
}

func (p *progress) done() {
	if p.told {
		_, _ = fmt.Fprint(p.w, "\r      \r")
	}
}
