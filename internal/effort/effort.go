// Package effort says how much of a long test is done, and holds random tests to what they may
// skip.
//
// On a developer's machine a long test does some of its repetitions only, so that all tests
// together stay within two minutes. Under CI (environment variable CI not empty), or with
// EVENLOCK_FULL not empty, it does all of them.
package effort

import (
	"errors"
	"flag"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// Full reports whether tests are to do all that they can. With go test -short they are not.
func Full() bool {
	return !testing.Short() && (os.Getenv("CI") != "" || os.Getenv("EVENLOCK_FULL") != "")
}

// Of returns how many repetitions a test is to do: all of them, or few where it is not to be Full.
func Of(few, all int) int {
	if Full() {
		return all
	}
	return few
}

// rapidChecks is rapid's flag for the number of draws of each property.
const rapidChecks = "rapid.checks"

// Draws makes few the number of draws of every property of a test program that is not to be Full,
// for a package whose draws take long; with -short rapid does a fifth of them. It is called in
// TestMain. What the command line asks for, or rapid's own variable, still counts.
func Draws(few int) {
	parse()
	if !Full() && os.Getenv("RAPID_CHECKS") == "" {
		preset(rapidChecks, few)
	}
}

// Parallel makes n the number of tests of a test program that run side by side, unless the command
// line says another. It is called in TestMain, for tests that often wait.
func Parallel(n int) {
	parse()
	preset("test.parallel", n)
}

// parse reads the command line, as testing does after TestMain has begun.
func parse() {
	if !flag.Parsed() {
		flag.Parse()
	}
}

// preset gives a flag of the test program a value, unless the command line does.
func preset(name string, value int) {
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == name })
	if given {
		return
	}
	if err := flag.Set(name, strconv.Itoa(value)); err != nil {
		panic(err) // the flags are there, and take numbers
	}
}

// Skips counts the draws of one property that it could not try.
type Skips struct{ draws, skipped int }

// Count returns the counter of a test's property. The test fails if more than one draw in four is
// skipped: it would then show something else than it says.
func Count(tb testing.TB) *Skips {
	tb.Helper()
	s := &Skips{}
	tb.Cleanup(func() {
		// Of a property that failed, the draws counted are mostly those that look for a simpler
		// failure.
		if !tb.Failed() && (s.draws == 0 || 4*s.skipped > s.draws) {
			tb.Errorf("%d of %d draws were skipped", s.skipped, s.draws)
		}
	})
	return s
}

// SkipOn counts a draw, and skips it if err is an E, which is what a random draw may rightly give.
// Any other error fails the test.
func SkipOn[E error](t *rapid.T, s *Skips, err error) {
	t.Helper()
	s.draws++
	if err == nil {
		return
	}
	if _, ok := errors.AsType[E](err); !ok {
		t.Fatal(err)
	}
	s.skipped++
	t.Skip(err)
}
