package main

import (
	"bytes"
	"testing"
	"time"
)

func TestProgressIsForSomeoneWhoWatches(t *testing.T) {
	var b bytes.Buffer
	p := newProgress(&b, 100)
	p.since, p.last = p.since.Add(-2*time.Second), p.last.Add(-2*time.Second)
	p.at(50)
	p.done()
	if b.Len() > 0 {
		t.Errorf("a file got %q", b.String())
	}
}

func TestProgressIsToldAfterASecondAndCleared(t *testing.T) {
	var b bytes.Buffer
	p := newProgress(&b, 100)
	p.w = &b
	p.at(10)
	if b.Len() > 0 {
		t.Errorf("at once it wrote %q", b.String())
	}
	p.since, p.last = p.since.Add(-2*time.Second), p.last.Add(-2*time.Second)
	p.at(50)
	p.at(51)
	p.done()
	if got, want := b.String(), "\r 50 %\r      \r"; got != want {
		t.Errorf("it wrote %q, want %q", got, want)
	}
}
