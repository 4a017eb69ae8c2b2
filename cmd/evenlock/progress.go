package main

import (
	"fmt"
	"io"
	"time"
)

// progress tells on standard error how far something is that takes over a second.
type progress struct {
	w     io.Writer
	of    int
	since time.Time
	last  time.Time
	told  bool
}

func newProgress(w io.Writer, of int) *progress {
	now := time.Now()
	return &progress{w: w, of: of, since: now, last: now}
}

func (p *progress) at(n int) {
	now := time.Now()
	if now.Sub(p.since) < time.Second || now.Sub(p.last) < 200*time.Millisecond {
		return
	}
	p.last, p.told = now, true
	fmt.Fprintf(p.w, "\r%3d %%", 100*n/p.of)
}

func (p *progress) done() {
	if p.told {
		fmt.Fprint(p.w, "\r      \r")
	}
}
