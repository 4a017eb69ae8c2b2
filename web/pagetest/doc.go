// Package pagetest holds the tests of the page in a real browser: Chromium, driven
// through its own protocol. They run the real program, built with its engine, in a
// process of its own, so that it can be killed.
//
// What is missing skips a test on a developer's machine and fails it under CI; see
// package [evenlock/internal/need].
package pagetest
