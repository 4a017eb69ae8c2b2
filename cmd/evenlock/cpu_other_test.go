//go:build !unix

package main

import "time"

var begun = time.Now()

// used is the time that this process has run.
func used() time.Duration { return time.Since(begun) }
