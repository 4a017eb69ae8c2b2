package rig_test

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/rig"
)

// The line of a measurement's key is the one that changes when the measurement is changed.
func TestLinesAreThoseThatAnEditChanges(t *testing.T) {
	for name, text := range rigtest.Texts(t) {
		r, err := rig.Read(bytes.NewReader(text), name)
		if err != nil {
			t.Fatal(err)
		}
		line, err := rig.Lines(text)
		if err != nil {
			t.Fatal(err)
		}
		was, changes := strings.Split(string(text), "\n"), 0
		for _, m := range r.Measurements() {
			v, unit := m.Q.Value, "mm"
			if m.Kind == rig.AngleKind {
				v, unit = v*180/math.Pi, "deg"
			}
			changed, err := rig.EditAll(text, rig.Setting{Key: m.Path, Value: strconv.FormatFloat(v+0.02, 'f', 2, 64), Unit: unit})
			if err != nil {
				continue // not a value that it can have
			}
			for i, now := range strings.Split(string(changed), "\n") {
				if now == was[i] {
					continue
				}
				changes++
				if line(m.Path) != i+1 {
					t.Errorf("%s: %s is on line %d, not %d", name, m.Path, i+1, line(m.Path))
				}
			}
		}
		if changes < 10 {
			t.Errorf("%s: only %d lines changed", name, changes)
		}
		if line("") != 0 {
			t.Errorf("no key is on line %d", line(""))
		}
	}
	if _, err := rig.Lines([]byte("a = ")); err == nil {
		t.Error("reads what is no TOML")
	}
	if _, err := rig.Lines(make([]byte, rig.MaxSize+1)); err == nil {
		t.Error("reads any size")
	}
}
