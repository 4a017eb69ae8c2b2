package main

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"evenlock": main})
}

// TestScripts runs the command as a person does. The test program itself
// serves as evenlock in the scripts.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":   exits,
			"columns": columns,
			"json":    jsonText,
			"csv":     csvText,
			"change":  change,
			"append":  appendFile,
		},
	})
}

// exits runs evenlock and wants an exit code: exits CODE ARGUMENTS...
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) == 0 {
		ts.Fatalf("usage: exits CODE ARGUMENTS...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var exit *exec.ExitError
	if err := ts.Exec("evenlock", args[1:]...); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("evenlock %s exits with %d, want %d", strings.Join(args[1:], " "), got, want)
	}
}

// columns wants every line of a file no wider than so many columns: columns WIDTH FILE
func columns(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: columns WIDTH FILE")
	}
	most, err := strconv.Atoi(args[0])
	ts.Check(err)
	text := ts.ReadFile(args[1])
	if text == "" {
		ts.Fatalf("%s is empty", args[1])
	}
	for line := range strings.Lines(text) {
		if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > most {
			ts.Fatalf("%d columns: %s", n, line)
		}
	}
}

// jsonText wants one JSON document that has these members at its top: json FILE MEMBERS...
func jsonText(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) == 0 {
		ts.Fatalf("usage: json FILE MEMBERS...")
	}
	var doc map[string]any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[0])), &doc))
	for _, member := range args[1:] {
		if _, ok := doc[member]; !ok {
			ts.Fatalf("the document has no %s", member)
		}
	}
}

// csvText wants a head and so many rows, all of one width and, below the head, all numbers or
// empty: csv FILE ROWS
func csvText(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: csv FILE ROWS")
	}
	rows, err := csv.NewReader(strings.NewReader(ts.ReadFile(args[0]))).ReadAll()
	ts.Check(err)
	if want, err := strconv.Atoi(args[1]); err != nil || len(rows) != want+1 {
		ts.Fatalf("%d rows and a head, want %s and a head", len(rows)-1, args[1])
	}
	for _, row := range rows[1:] {
		for i, cell := range row {
			if cell == "" {
				continue
			}
			if _, err := strconv.ParseFloat(cell, 64); err != nil {
				ts.Fatalf("%s is %q", rows[0][i], cell)
			}
		}
	}
}

// change replaces what a pattern finds in a file, which must be something: change FILE PATTERN TEXT
func change(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: change FILE PATTERN TEXT")
	}
	old := ts.ReadFile(args[0])
	pattern, err := regexp.Compile("(?m)" + args[1])
	ts.Check(err)
	if !pattern.MatchString(old) {
		ts.Fatalf("%s has no %s", args[0], args[1])
	}
	text := strings.ReplaceAll(args[2], `\n`, "\n")
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(pattern.ReplaceAllString(old, text)), 0o600))
}

// appendFile adds one file to another: append FILE MORE.
func appendFile(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: append FILE MORE")
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(ts.ReadFile(args[0])+"\n"+ts.ReadFile(args[1])), 0o600))
}
