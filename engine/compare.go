package engine

import (
	"math"
	"sort"

	"github.com/pelletier/go-toml/v2"
)

// Comparison is two rigs side by side.
type Comparison struct {
	Changed []Changed        `json:"changed"`
	Results []ComparedResult `json:"results"`
}

// Changed is a key that differs; empty where a file does not have it.
type Changed struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	A     string `json:"a"`
	B     string `json:"b"`
}

// ComparedResult is one headline figure of both.
type ComparedResult struct {
	Key        string   `json:"key"`
	Words      string   `json:"words"`
	A          Headline `json:"a"`
	B          Headline `json:"b"`
	Difference string   `json:"difference"`
}

// Compare lists what differs between two texts, and their headline figures.
func Compare(a, b []byte) (Comparison, error) {
	c := Comparison{Changed: []Changed{}, Results: []ComparedResult{}}
	var results [2][]Headline
	for i, text := range [2][]byte{a, b} {
		s, err := Open(text)
		if err != nil {
			return c, err
		}
		if results[i], err = s.Results(); err != nil {
			return c, err
		}
	}
	left, right := leaves(a), leaves(b)
	var keys []string
	for k := range left {
		keys = append(keys, k)
	}
	for k := range right {
		if _, both := left[k]; !both {
			keys = append(keys, k)
		}
	}
	sort.Strings(keys)
	for _, k := range keys {
		if left[k] != right[k] {
			c.Changed = append(c.Changed, Changed{k, wordsOf(k), left[k], right[k]})
		}
	}
	for i := range results[0] {
		one := ComparedResult{Key: results[0][i].Key, Words: results[0][i].Words, A: results[0][i], B: results[1][i]}
		if d := float64(one.B.Value - one.A.Value); !math.IsNaN(d) {
			f := figure(math.Abs(d), 0, one.A.Unit, false)
			switch {
			case d > 0:
				one.Difference = f.Text + " more"
			case d < 0:
				one.Difference = f.Text + " less"
			default:
				one.Difference = "the same"
			}
		} else if one.A.Text != one.B.Text {
			one.Difference = "differs"
		}
		c.Results = append(c.Results, one)
	}
	return c, nil
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
					walk(key+"."+short(float64(i+1), 0), inner)
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
