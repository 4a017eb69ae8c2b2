// Package need tells a test which outside tools it depends on.
//
// On a builder's or developer's machine a test whose tool is missing is
// skipped, with the reason. Under CI (environment variable CI not empty) the
// same test fails instead, so that a check can never vanish unseen.
package need

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// Tool returns the path of the named program. If the program is not installed,
// the test is skipped, or fails under CI.
func Tool(tb testing.TB, name string) string {
	tb.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		missing(tb, "program "+name)
	}
	return path
}

// CProgram compiles one C source file with the system's C compiler and returns
// the path of the executable, which lives as long as the test does.
//
// Flags are given to the compiler after the source, so that libraries may be
// among them. Each of the headers must be installed: a missing one skips the
// test, or fails it under CI, as a missing compiler does. A source that does
// not compile always fails the test.
func CProgram(tb testing.TB, source string, headers, flags []string) string {
	tb.Helper()
	cc := Tool(tb, "cc")
	for _, header := range headers {
		probe := filepath.Join(tb.TempDir(), "probe.c")
		// Headers that use memset expect <string.h> before them.
		text := "#include <string.h>\n#include <" + header + ">\n"
		if err := os.WriteFile(probe, []byte(text), 0o600); err != nil {
			tb.Fatal(err)
		}
		if err := exec.CommandContext(tb.Context(), cc, "-fsyntax-only", probe).Run(); err != nil {
			missing(tb, "C header "+header)
		}
	}
	program := filepath.Join(tb.TempDir(), "program")
	args := append([]string{"-std=gnu11", "-Wall", "-Wextra", "-Werror=implicit", "-o", program, source}, flags...)
	if out, err := exec.CommandContext(tb.Context(), cc, args...).CombinedOutput(); err != nil {
		tb.Fatalf("compiling %s: %v\n%s", source, err, out)
	}
	return program
}

// missing ends the test: skipped, or failed under CI.
func missing(tb testing.TB, what string) {
	tb.Helper()
	if os.Getenv("CI") != "" {
		tb.Fatalf("%s is not installed, and CI must not skip this test: install it in .ci/run", what)
	}
	tb.Skipf("%s is not installed", what)
}
