package need_test

import (
	"os"
	"os/exec"
	"runtime"
	"testing"

	"evenlock/internal/need"
)

// outcome records how a test helper ended the test that it was called from.
type outcome struct {
	testing.TB
	skipped, failed bool
}

func (o *outcome) Helper() {}

func (o *outcome) Skipf(string, ...any) {
	o.skipped = true
	runtime.Goexit()
}

func (o *outcome) Fatalf(string, ...any) {
	o.failed = true
	runtime.Goexit()
}

// run calls f as a test would be, and tells how it ended.
func run(tb testing.TB, f func(testing.TB)) *outcome {
	o := &outcome{TB: tb}
	done := make(chan struct{})
	go func() {
		defer close(done)
		f(o)
	}()
	<-done
	return o
}

func TestMissingToolSkipsHereAndFailsUnderCI(t *testing.T) {
	const absent = "no-such-program-anywhere"
	for _, tc := range []struct {
		ci      string
		skipped bool
		failed  bool
	}{
		{ci: "", skipped: true},
		{ci: "true", failed: true},
	} {
		t.Setenv("CI", tc.ci)
		o := run(t, func(tb testing.TB) { need.Tool(tb, absent) })
		if o.skipped != tc.skipped || o.failed != tc.failed {
			t.Errorf("CI=%q: skipped %v, failed %v; want %v, %v", tc.ci, o.skipped, o.failed, tc.skipped, tc.failed)
		}
	}
}

func TestMissingHeaderSkipsHereAndFailsUnderCI(t *testing.T) {
	need.Tool(t, "cc")
	headers := []string{"no/such/header.h"}
	for _, tc := range []struct {
		ci      string
		skipped bool
		failed  bool
	}{
		{ci: "", skipped: true},
		{ci: "true", failed: true},
	} {
		t.Setenv("CI", tc.ci)
		o := run(t, func(tb testing.TB) { need.CProgram(tb, "testdata/hello.c", headers, nil) })
		if o.skipped != tc.skipped || o.failed != tc.failed {
			t.Errorf("CI=%q: skipped %v, failed %v; want %v, %v", tc.ci, o.skipped, o.failed, tc.skipped, tc.failed)
		}
	}
}

func TestMissingPythonModuleSkipsHereAndFailsUnderCI(t *testing.T) {
	for _, tc := range []struct {
		ci      string
		skipped bool
		failed  bool
	}{
		{ci: "", skipped: true},
		{ci: "true", failed: true},
	} {
		t.Setenv("CI", tc.ci)
		o := run(t, func(tb testing.TB) { need.Python(tb, "json", "no_such_module_anywhere") })
		if o.skipped != tc.skipped || o.failed != tc.failed {
			t.Errorf("CI=%q: skipped %v, failed %v; want %v, %v", tc.ci, o.skipped, o.failed, tc.skipped, tc.failed)
		}
	}
}

func TestMissingFileSkipsHereAndFailsUnderCI(t *testing.T) {
	const variable = "EVENLOCK_TEST_FOLDER"
	for _, folder := range []string{"", t.TempDir()} {
		t.Setenv(variable, folder)
		for _, tc := range []struct {
			ci      string
			skipped bool
			failed  bool
		}{
			{ci: "", skipped: true},
			{ci: "true", failed: true},
		} {
			t.Setenv("CI", tc.ci)
			o := run(t, func(tb testing.TB) { need.File(tb, variable, "need_test.go", "ask") })
			if o.skipped != tc.skipped || o.failed != tc.failed {
				t.Errorf("CI=%q, in %q: skipped %v, failed %v; want %v, %v", tc.ci, folder, o.skipped, o.failed, tc.skipped, tc.failed)
			}
		}
	}
}

func TestFileIsFound(t *testing.T) {
	t.Setenv("EVENLOCK_TEST_FOLDER", ".")
	if _, err := os.Stat(need.File(t, "EVENLOCK_TEST_FOLDER", "need_test.go", "ask")); err != nil {
		t.Error(err)
	}
}

func TestPythonHasTheModules(t *testing.T) {
	need.Tool(t, "python3")
	if err := exec.CommandContext(t.Context(), need.Python(t, "json"), "-c", "import json").Run(); err != nil {
		t.Error(err)
	}
}

func TestCProgramIsCompiledAndRuns(t *testing.T) {
	program := need.CProgram(t, "testdata/hello.c", []string{"stdio.h"}, []string{"-O1"})
	out, err := exec.CommandContext(t.Context(), program).Output()
	if err != nil {
		t.Fatal(err)
	}
	if got := string(out); got != "hello\n" {
		t.Errorf("program printed %q", got)
	}
}

func TestCProgramFailsOnBrokenSource(t *testing.T) {
	need.Tool(t, "cc")
	o := run(t, func(tb testing.TB) { need.CProgram(tb, "testdata/broken.c", nil, nil) })
	if !o.failed {
		t.Error("a source that does not compile was accepted")
	}
}
