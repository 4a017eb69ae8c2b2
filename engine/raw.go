package engine

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// raw is the tree of a rig file as it is written, for showing what stands in it.
type raw map[string]any

func rawOf(text []byte) raw {
	var tree raw
	// A text of a session was read before, so that it is TOML.
	if toml.Unmarshal(text, &tree) != nil {
		return nil
	}
	return tree
}

// at returns what stands at a dotted key, "" if nothing. Lists are counted from 1, the numbers of a
// point are x, y, z.
func (r raw) at(key string) string {
	var node any = map[string]any(r)
	for part := range strings.SplitSeq(key, ".") {
		switch n := node.(type) {
		case map[string]any:
			node = n[part]
		case []any:
			i := strings.Index("xyz", part)
			if k, err := strconv.Atoi(part); err == nil {
				i = k - 1
			}
			if i < 0 || i >= len(n) {
				return ""
			}
			node = n[i]
		default:
			return ""
		}
	}
	return written(node)
}

func written(node any) string {
	switch n := node.(type) {
	case nil:
		return ""
	case float64:
		return strconv.FormatFloat(n, 'f', -1, 64)
	case string:
		return n
	case []any:
		all := make([]string, len(n))
		for i := range n {
			all[i] = written(n[i])
		}
		return strings.Join(all, ", ")
	default:
		return fmt.Sprint(n)
	}
}
