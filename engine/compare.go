package engine

import (
	"maps"
	"slices"
	"strconv"

	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"

	"github.com/pelletier/go-toml/v2"
)

// Compare says what differs between two texts of rig files, and what that does to an axle, to the
// front one where only one of them steers. words say which they are.
func Compare(before, after []byte, words [2]string, axle int) (*document.Document, error) {
	var sessions [2]*Session
	for i, text := range [2][]byte{before, after} {
		s, err := Open(text)
		if err != nil {
			return nil, err
		}
		if s.moved.rig.Of(axle) == nil {
			axle = 1
		}
		sessions[i] = s
	}
	var both [2]report.Compared
	var files [2]file
	for i, s := range sessions {
		if err := s.SetAxle(axle); err != nil {
			return nil, err
		}
		h, err := s.headlines()
		if err != nil {
			return nil, err
		}
		both[i], files[i] = report.Compared{Words: words[i], Headlines: h}, fileOf(s)
	}
	return report.Compare(both[0], both[1], changedNumbers(&files[0], &files[1])), nil
}

// file is a rig file with what is measured in it, both by key.
type file struct {
	rig      *rig.Rig
	leaves   map[string]string
	measured map[string]rig.Measurement
}

func fileOf(s *Session) file {
	f := file{s.moved.rig, leaves(s.history[s.at].text), map[string]rig.Measurement{}}
	for _, q := range f.rig.Measurements() {
		f.measured[q.Path] = q
	}
	return f
}

// changedNumbers lists what is written otherwise in two files, of a point only the coordinates that
// are.
func changedNumbers(before, after *file) []report.ChangedNumber {
	keys := maps.Clone(before.leaves)
	maps.Copy(keys, after.leaves)
	var all []report.ChangedNumber
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		if before.leaves[key] == after.leaves[key] {
			continue
		}
		changed := key
		for _, axis := range []string{".x", ".y", ".z"} {
			q, was := before.measured[key+axis]
			p, is := after.measured[key+axis]
			if (was || is) && (q.Q == nil || p.Q == nil || *q.Q != *p.Q) {
				all = append(all, changedNumber(key+axis, before, after))
			}
			if was || is {
				changed = ""
			}
		}
		if changed != "" {
			all = append(all, changedNumber(changed, before, after))
		}
	}
	return all
}

func changedNumber(key string, before, after *file) report.ChangedNumber {
	stands := func(f *file) document.Sentence {
		if q, ok := f.measured[key]; ok {
			return document.Say(report.Measured(q).Named("", ""))
		}
		return document.Say(f.leaves[key])
	}
	named := after.rig
	if _, ok := after.leaves[key]; !ok {
		named = before.rig
	}
	return report.ChangedNumber{Key: key, Words: named.NameOf(key), Before: stands(before), After: stands(after)}
}

// leaves are the values of a file by their keys, as they stand. Lists of numbers are one value.
func leaves(text []byte) map[string]string {
	all := map[string]string{}
	var walk func(key string, node any)
	walk = func(key string, node any) {
		switch n := node.(type) {
		case map[string]any:
			for k, inner := range n {
				if key != "" {
					k = key + "." + k
				}
				walk(k, inner)
			}
		case []any:
			tables := false
			for i, inner := range n {
				if _, is := inner.(map[string]any); is {
					tables = true
					walk(key+"."+strconv.Itoa(i+1), inner)
				}
			}
			if !tables {
				all[key] = written(n)
			}
		default:
			all[key] = written(n)
		}
	}
	var tree map[string]any
	if toml.Unmarshal(text, &tree) == nil {
		walk("", tree)
	}
	return all
}
