package effort_test

import (
	"cmp"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"runtime"
	"testing"

	"evenlock/internal/effort"

	"pgregory.net/rapid"
)

func TestFewRepetitionsHereAndAllUnderCIOrWhenAsked(t *testing.T) {
	for _, c := range []struct {
		ci, full string
		want     int
	}{{"", "", 3}, {"true", "", 50}, {"", "1", 50}, {"true", "1", 50}} {
		t.Setenv("CI", c.ci)
		t.Setenv("EVENLOCK_FULL", c.full)
		want := c.want
		if testing.Short() {
			want = 3
		}
		if got := effort.Of(3, 50); got != want {
			t.Errorf("CI=%q EVENLOCK_FULL=%q: %d repetitions, want %d", c.ci, c.full, got, want)
		}
	}
}

// set gives a flag a value for one test.
func set(t *testing.T, name, value string) {
	t.Helper()
	f := flag.Lookup(name)
	before := f.Value.String()
	if err := f.Value.Set(value); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := f.Value.Set(before); err != nil {
			t.Error(err)
		}
	})
}

func TestFewDrawsHereAndAllUnderCI(t *testing.T) {
	flag.Visit(func(f *flag.Flag) {
		if f.Name == "rapid.checks" {
			t.Skip("the command line says how many")
		}
	})
	set(t, "rapid.checks", "40")
	set(t, "test.short", "false")
	t.Setenv("EVENLOCK_FULL", "")
	checks := flag.Lookup("rapid.checks").Value
	for _, c := range []struct{ ci, rapid, want string }{{"true", "", "40"}, {"", "40", "40"}, {"", "", "7"}} {
		t.Setenv("CI", c.ci)
		t.Setenv("RAPID_CHECKS", c.rapid)
		effort.Draws(7)
		if got := checks.String(); got != c.want {
			t.Errorf("CI=%q RAPID_CHECKS=%q: %s draws, want %s", c.ci, c.rapid, got, c.want)
		}
	}
}

func TestMoreTestsSideBySideUnlessTheCommandLineSays(t *testing.T) {
	parallel := flag.Lookup("test.parallel")
	given := ""
	flag.Visit(func(f *flag.Flag) {
		if f == parallel {
			given = f.Value.String()
		}
	})
	set(t, parallel.Name, parallel.Value.String())
	effort.Parallel(11)
	if got, want := parallel.Value.String(), cmp.Or(given, "11"); got != want {
		t.Errorf("%s tests side by side, want %s", got, want)
	}
}

// recorder takes the outcome of a property in place of a test.
type recorder struct {
	testing.TB
	failed  bool
	cleanup func()
}

func (*recorder) Helper()                 {}
func (*recorder) Log(...any)              {}
func (*recorder) Logf(string, ...any)     {}
func (r *recorder) Cleanup(f func())      { r.cleanup = f }
func (r *recorder) Failed() bool          { return r.failed }
func (r *recorder) Errorf(string, ...any) { r.failed = true }
func (r *recorder) FailNow()              { runtime.Goexit() }

// fails tells whether a property fails of which every draw gives the next of these errors, over and
// over.
func fails(t *testing.T, errs ...error) bool {
	t.Helper()
	set(t, "rapid.nofailfile", "true")
	r := &recorder{TB: t}
	done := make(chan struct{})
	go func() {
		defer close(done)
		n := 0
		skips := effort.Count(r)
		rapid.Check(r, func(rt *rapid.T) {
			n++
			effort.SkipOn[*fs.PathError](rt, skips, errs[n%len(errs)])
		})
	}()
	<-done
	r.cleanup()
	return r.failed
}

func TestOnlyTheErrorThatIsExpectedSkipsAndNotTooOften(t *testing.T) {
	expected := fmt.Errorf("a draw: %w", &fs.PathError{Op: "read", Path: "here", Err: errors.New("no")})
	other := errors.New("anything else")
	for _, c := range []struct {
		name string
		errs []error
		want bool
	}{
		{"no error", []error{nil}, false},
		{"a skip now and then", []error{nil, nil, nil, nil, expected}, false},
		{"a skip in three", []error{nil, nil, expected}, true},
		{"nothing but skips", []error{expected}, true},
		{"another error", []error{other}, true},
		{"another error once", []error{nil, nil, nil, nil, nil, other}, true},
	} {
		if got := fails(t, c.errs...); got != c.want {
			t.Errorf("%s: failed %v, want %v", c.name, got, c.want)
		}
	}
}
