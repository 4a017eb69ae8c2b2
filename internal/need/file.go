package need

import (
	"os"
	"path/filepath"
	"testing"
)

// File returns the path of a file in the folder that an environment variable names. If the variable
// is not set, or the file is not there, the test is skipped with how to get it, or fails under CI.
func File(tb testing.TB, variable, name, how string) string {
	tb.Helper()
	folder := os.Getenv(variable)
	path := filepath.Join(folder, name)
	if info, err := os.Stat(path); folder == "" || err != nil || !info.Mode().IsRegular() { //nolint:gosec // G703: the folder is the developer's own
		missing(tb, name+" in the folder that "+variable+" names (to get it: "+how+")")
	}
	return path
}
