package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"evenlock/internal/effort"
	"evenlock/internal/rigtest"
)

// slips are the single mistakes of a person with a caliper. Each changes number i of a value's
// numbers n, and next is the number that follows in the file.
var slips = []struct {
	name string
	make func(n []float64, i int, next *float64)
}{
	{"sign", func(n []float64, i int, _ *float64) { n[i] = -n[i] }},
	{"point right", func(n []float64, i int, _ *float64) { n[i] *= 10 }},
	{"point left", func(n []float64, i int, _ *float64) { n[i] /= 10 }},
	{"swap", func(n []float64, i int, next *float64) { n[i], *next = *next, n[i] }},
	{"inch for mm", func(n []float64, i int, _ *float64) { n[i] /= 25.4 }},
	{"mm for inch", func(n []float64, i int, _ *float64) { n[i] *= 25.4 }},
}

// slipCommands are what is run on a rig file with a slip in it.
var slipCommands = [][]string{
	{"check"},
	{"setup", "--all"},
	{"setup", "--format", "json"},
	{"try", "--all"},
	{"sweep", "--all"},
	{"load", "--all"},
	{"limits", "--all"},
	{"travel", "--all"},
	{"travel", "--format", "json"},
	{"turn", "--all"},
	{"advise", "--all"},
	{"draw"},
}

// slipFile is a rig file with the places of its numbers.
type slipFile struct {
	name    string
	text    []byte
	numbers [][2]int
}

var (
	slipLine   = regexp.MustCompile(`(?m)^(\w+) += +(["\[]?[-\d][^#\n]*)`)
	slipNumber = regexp.MustCompile(`-?\d+(?:\.\d+)?`)
)

// slipFiles are the starters with all that they only remark made part of them, and the examples.
func slipFiles(t testing.TB) []slipFile {
	t.Helper()
	var all []slipFile
	add := func(name string, text []byte) {
		f := slipFile{name: name, text: text}
		for _, line := range slipLine.FindAllSubmatchIndex(text, -1) {
			if string(text[line[2]:line[3]]) == "format" {
				continue
			}
			value := text[line[4]:line[5]]
			// What follows the ± is no measurement.
			value, _, _ = bytes.Cut(value, []byte("±"))
			for _, n := range slipNumber.FindAllIndex(value, -1) {
				f.numbers = append(f.numbers, [2]int{line[4] + n[0], line[4] + n[1]})
			}
		}
		if len(f.numbers) < 40 {
			t.Fatalf("%s has %d numbers only", name, len(f.numbers))
		}
		all = append(all, f)
	}
	for _, name := range rigtest.Names() {
		add(name, rigtest.LoadedText(t, name))
	}
	paths, err := filepath.Glob("../../examples/*.toml")
	if err != nil || len(paths) == 0 {
		t.Fatal("no examples: ", err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		add(filepath.Base(path), text)
	}
	return all
}

// with returns the file's text with a slip at one of its numbers, and what to call it.
func (f slipFile) with(number, kind int) (text []byte, what string) {
	at := func(i int) [2]int { return f.numbers[i%len(f.numbers)] }
	places := [2][2]int{at(number), at(number + 1)}
	var n [2]float64
	for i, p := range places {
		n[i], _ = strconv.ParseFloat(string(f.text[p[0]:p[1]]), 64)
	}
	slips[kind].make(n[:1], 0, &n[1])
	text = bytes.Clone(f.text)
	order := []int{1, 0}
	if places[1][0] < places[0][0] {
		order = []int{0, 1}
	}
	for _, i := range order {
		p := places[i]
		text = append(text[:p[0]:p[0]], append(strconv.AppendFloat(nil, n[i], 'f', -1, 64), text[p[1]:]...)...)
	}
	p := places[0]
	line := f.text[bytes.LastIndexByte(f.text[:p[0]], '\n')+1:]
	line, _, _ = bytes.Cut(line, []byte("\n"))
	return text, fmt.Sprintf("%s, %s (line %d): %s of %s", f.name, bytes.TrimSpace(bytes.SplitN(line, []byte("#"), 2)[0]), 1+bytes.Count(f.text[:p[0]], []byte("\n")), slips[kind].name, f.text[p[0]:p[1]])
}

// longest is what a run may take.
const longest = 2 * time.Second

// tryRun runs the command in this process.
func tryRun(text []byte, command []string) (out, complaint string, code int, took time.Duration) {
	defer func() {
		if p := recover(); p != nil {
			complaint, code = fmt.Sprintf("panic: %v\n%s", p, debug.Stack()), -1
		}
	}()
	var stdout, stderr bytes.Buffer
	c := root()
	c.SetArgs(append([]string{command[0], "-"}, command[1:]...))
	c.SetIn(bytes.NewReader(text))
	c.SetOut(&stdout)
	c.SetErr(&stderr)
	before := used()
	err := c.Execute()
	took = used() - before
	if err == nil {
		return stdout.String(), stderr.String(), 0, took
	}
	return stdout.String(), explain(err), exitCode(err), took
}

// nonsense is what no figure may be: not finite, of a size that is none, below zero where there is
// no such thing, and a ± that leaves nothing of its figure.
var nonsense = regexp.MustCompile(`(?i)\bNaN\b|\bInf\b|∞|\d{7}|[−-]0\.0+°|lock (?:then |is )?[−-][\d.]+°|[−-][\d.]+ mm (?:ball to ball|long|thick|wide)|(?:circle|radius) (?:of )?[−-]\d`)

var spread = regexp.MustCompile(`([\d.]+)(?:°| mm| %| kg·cm)? ± ([\d.]+)`)

// key is one of a rig file, named what an error names: the file, and a key of it.
var key = regexp.MustCompile(`\((?:` + strings.Join(rigTables(), "|") + `)(?:\.\w+)*\)`)

var named = regexp.MustCompile(`standard input\b.*\b(?:` + strings.Join(rigTables(), "|") + `)(?:\.\w+)*`)

func rigTables() []string {
	return []string{"vehicle", "accuracy", "left", "right", "tie_rod", "servo", "horn", "drag_link", "crank", "idler", "centre_link", "rack", "second_servo", "suspension", "part", "transmitter", "settings", "want", "supply", "servo_saver", "ground", "rear"}
}

// faultOf says what is wrong with how a command takes a file, "" if nothing is, and how it ends.
func faultOf(text []byte, command []string) (fault string, code int) {
	out, complaint, code, took := tryRun(text, command)
	switch code {
	case 0:
		fault = faultOfOutput(out, command)
	case exitRig, exitLinkage:
		// Where the linkage ends, the rods that end it are named; what check finds is in its account.
		told := named.MatchString(complaint) || command[0] == "check" && key.MatchString(out)
		if code == exitRig && !told || !strings.Contains(complaint, "standard input") {
			fault = "names no file and key: " + complaint
		} else if n := nonsense.FindString(complaint); n != "" {
			fault = fmt.Sprintf("%q in %s", n, complaint)
		}
	default:
		fault = fmt.Sprintf("exit %d: %s", code, complaint)
	}
	if fault == "" && took > longest {
		fault = fmt.Sprintf("takes %v", took)
	}
	return fault, code
}

func faultOfOutput(out string, command []string) string {
	switch {
	case out == "":
		return "nothing is written"
	case command[0] == "draw":
		if n := regexp.MustCompile(`(?i)\bNaN\b|\bInf\b`).FindString(out); n != "" {
			return n + " in the drawing"
		}
		return ""
	case slices.Contains(command, "json"):
		return faultOfJSON(out)
	}
	for line := range strings.Lines(out) {
		if n := nonsense.FindString(line); n != "" {
			return fmt.Sprintf("%q in %s", n, strings.TrimSpace(line))
		}
		for _, m := range spread.FindAllStringSubmatch(line, -1) {
			if by, _ := strconv.ParseFloat(m[2], 64); by > 180 && !strings.Contains(line, " mm") {
				return fmt.Sprintf("%q in %s", m[0], strings.TrimSpace(line))
			}
		}
	}
	return ""
}

// faultOfJSON looks at the numbers and the words of a document.
func faultOfJSON(out string) string {
	var v any
	if err := json.Unmarshal([]byte(out), &v); err != nil {
		return err.Error()
	}
	fault := ""
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, v := range v {
				walk(path+"."+k, v)
			}
		case []any:
			for i, v := range v {
				walk(path+"."+strconv.Itoa(i), v)
			}
		case float64:
			if math.Abs(v) > 1e6 {
				fault = fmt.Sprintf("%s is %g", path, v)
			}
		case string:
			if n := nonsense.FindString(v); n != "" {
				fault = fmt.Sprintf("%q in %s: %s", n, path, v)
			}
		}
	}
	walk("", v)
	return fault
}

// rigWith is a starter with keys changed.
func rigWith(t *testing.T, starter string, changes ...string) []byte {
	t.Helper()
	return rigtest.StarterText(t, starter, changes...)
}

// Slips that once ended badly.
func TestSlipsThatWere(t *testing.T) {
	for name, c := range map[string]struct {
		text    []byte
		command string
		// says is what it then says, of the exit code.
		code int
		says string
	}{
		"a tie arm to the front": {
			rigWith(t, "centre-crank", "left.tie_arm.ball=[30, 60, -2]"), "setup", exitRig,
			"standard input: left.tie_arm: to the left the inner wheel turns back",
		},
		"a link's end 2.6 m up": {
			rigWith(t, "chassis", "suspension.link.4.axle=[16, -58, 2600]"), "travel", 0, "",
		},
		"a wheelbase in inches": {
			rigWith(t, "rack", "vehicle.wheelbase=10.08"), "advise", exitRig, "standard input: left.tie_arm: on the way to ",
		},
		"a knuckle's stop that leaves a trim without room": {
			rigWith(t, "centre-crank", "left.stops.out=3.3"), "advise", 0, "",
		},
	} {
		if fault, _ := faultOf(c.text, []string{c.command}); fault != "" {
			t.Errorf("%s: %s", name, fault)
		}
		if _, complaint, code, _ := tryRun(c.text, []string{c.command}); code != c.code || !strings.Contains(complaint, c.says) {
			t.Errorf("%s: exit %d: %s", name, code, complaint)
		}
	}
}

// A trim with more room than the ends is none, whatever the file sets: advise comes to an end.
func TestAdviseWithALargeTrim(t *testing.T) {
	for _, name := range rigtest.Names() {
		if fault, code := faultOf(rigWith(t, name, "transmitter.max_trim=100"), []string{"advise", "--all"}); fault != "" || code != 0 {
			t.Errorf("%s: exit %d, %s", name, code, fault)
		}
	}
}

// TestSlips makes a thousand single slips, of which a part is tried on a developer's machine.
func TestSlips(t *testing.T) {
	files := slipFiles(t)
	draw := rand.New(rand.NewPCG(10, 1000))
	codes := map[int]int{}
	for i := range effort.Of(120, 1000) {
		f := files[i%len(files)]
		command := slipCommands[i/len(files)%len(slipCommands)]
		text, what := f.with(draw.IntN(len(f.numbers)), draw.IntN(len(slips)))
		fault, code := faultOf(text, command)
		if fault != "" {
			t.Errorf("slip %d: evenlock %s: %s: %s", i, strings.Join(command, " "), what, fault)
		}
		codes[code]++
	}
	// Slips that all were refused, or all taken, would show little.
	if codes[0] < 20 || codes[exitRig] < 20 {
		t.Errorf("exit codes %v", codes)
	}
}
