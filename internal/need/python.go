package need

import (
	"os/exec"
	"strings"
	"testing"
)

// Python returns the path of a Python 3 that has the modules: the one that comes first on the path,
// or else the system's, which is the one that the system's packages are for. If neither has them,
// the test is skipped, or fails under CI.
func Python(tb testing.TB, modules ...string) string {
	tb.Helper()
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		path, err := exec.LookPath(name)
		if err != nil {
			continue
		}
		probe := []string{"-c", "import sys, importlib; [importlib.import_module(m) for m in sys.argv[1:]]"}
		if exec.CommandContext(tb.Context(), path, append(probe, modules...)...).Run() == nil {
			return path
		}
	}
	missing(tb, "a Python 3 with the modules "+strings.Join(modules, ", "))
	return ""
}
