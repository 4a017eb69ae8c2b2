package rig

import (
	"bytes"
	"errors"
	"regexp"
	"sort"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// A node is one value of a TOML text with its place in it.
type node struct {
	// kind is Table for every table that is not inline, and Array for every list.
	kind unstable.Kind
	line int
	// text is a string decoded, or another scalar as it stands.
	text   string
	fields map[string]*node
	keys   []string // of fields, in the order of the file
	items  []*node
	// span is where the value stands in the text; empty for tables with a header
	// and for lists within lists.
	span span

	// The rest is for tables: where and how a key can be added. at is the byte after
	// which it goes, -1 for a table that was only named as a part of a longer
	// name. prefix goes before the key. one is for tables within a line.
	at     int
	prefix string
	one    bool
}

type span struct{ start, end int }

func newTable(line int) *node {
	return &node{kind: unstable.Table, line: line, at: -1}
}

func (n *node) isTable() bool { return n.kind == unstable.Table || n.kind == unstable.InlineTable }

func (n *node) add(key string, child *node) {
	if n.fields == nil {
		n.fields = map[string]*node{}
	}
	n.fields[key] = child
	n.keys = append(n.keys, key)
}

// child finds the table of that name to put something in, or adds it.
func (n *node) child(key string, line int) *node {
	c := n.fields[key]
	if c == nil {
		c = newTable(line)
		n.add(key, c)
	}
	if len(c.items) > 0 {
		return c.items[len(c.items)-1]
	}
	return c
}

// find follows a dotted key as far as it goes. Lists are counted from 1, and the
// numbers of a point are x, y and z. It returns the node, or the last one on the
// way to it and the keys left over.
func (n *node) find(keys []string) (last *node, rest []string) {
	for i, key := range keys {
		next := n.fields[key]
		if n.kind == unstable.Array {
			if j, err := strconv.Atoi(key); err == nil && j >= 1 && j <= len(n.items) {
				next = n.items[j-1]
			} else if j := strings.Index("xyz", key); len(key) == 1 && j >= 0 && j < len(n.items) {
				next = n.items[j]
			}
		}
		if next == nil {
			return n, keys[i:]
		}
		n = next
	}
	return n, nil
}

// maxParts is how many parts a dotted key may have, well above what a rig file
// needs; the time to place a key grows with the square of it.
const maxParts = 16

// parseTree reads a TOML text into a tree.
func parseTree(src []byte) (*node, *Error) {
	// The parser below sees each line alone; the decoder also sees what lines do
	// to one another, such as a key given twice.
	var whole map[string]any
	if err := toml.Unmarshal(src, &whole); err != nil {
		return nil, syntaxError(src, err)
	}
	t := treeBuilder{src: src}
	for i, c := range src {
		if c == '\n' {
			t.newlines = append(t.newlines, i)
		}
	}
	root := newTable(1)
	root.at = 0
	section := root
	t.parser.Reset(src)
	for t.parser.NextExpression() {
		e := t.parser.Expression()
		if problem := t.tooLong(e); problem != nil {
			return nil, problem
		}
		switch e.Kind {
		case unstable.KeyValue:
			t.keyValue(section, e)
		case unstable.Table, unstable.ArrayTable:
			section = t.header(root, e)
		}
	}
	if err := t.parser.Error(); err != nil {
		return nil, syntaxError(src, err)
	}
	return root, nil
}

func syntaxError(src []byte, err error) *Error {
	e := &Error{
		Problem: strings.TrimPrefix(err.Error(), "toml: "),
		Remedy:  `correct this line; text, and numbers with ± or a unit, go in double quotes, such as "24.5 ± 0.2"`,
	}
	var at *toml.DecodeError
	if !errors.As(err, &at) {
		return e
	}
	e.Line, _ = at.Position()
	e.Key = strings.Join(at.Key(), ".")
	if strings.Contains(e.Problem, "already") {
		e.Remedy = "keep one of the two"
	}
	lines := strings.Split(string(src), "\n")
	if e.Line < 1 || e.Line > len(lines) {
		return e
	}
	line := strings.TrimSpace(lines[e.Line-1])
	if key, value, ok := strings.Cut(line, "="); ok {
		if e.Key == "" {
			e.Key = strings.TrimSpace(key)
		}
		slip(e, value)
	}
	switch {
	case strings.Contains(e.Problem, "already"):
	case strings.HasPrefix(line, "[") && strings.Contains(e.Problem, "array"):
		e.Remedy = "close the list above this line with a ]"
	case strings.HasPrefix(line, "["):
		e.Remedy = "write a table's name alone on its line, in square brackets, such as [horn]"
	case strings.Contains(e.Problem, "expected '='"):
		e.Remedy = "write key = value, or a table's name in square brackets, such as [horn]"
	}
	if strings.HasPrefix(line, "[") || e.Key == "" {
		return e
	}
	for i := e.Line - 2; i >= 0; i-- {
		if header := strings.TrimSpace(lines[i]); strings.HasPrefix(header, "[") {
			table, _, _ := strings.Cut(strings.TrimLeft(header, "["), "]")
			e.Key = join(table, e.Key)
			break
		}
	}
	return e
}

// The slips of the hand that are commonest in a value.
var (
	decimalComma = regexp.MustCompile(`^[+-]?\d+,\d+$`)
	bareWord     = regexp.MustCompile(`^[A-Za-z][\w -]*$`)
	bareQuantity = regexp.MustCompile(`^[+-]?[\d.]+\s*(?:[a-df-zA-DF-Z°"]|±|\+/-|\+-).*$`)
)

// slip says what is wrong with a value in plain words, where it is one of the
// common slips.
func slip(e *Error, value string) {
	value, _, _ = strings.Cut(value, "#")
	value = strings.TrimSpace(value)
	switch {
	case strings.Contains(e.Problem, "already"):
	case value == "":
		e.Problem, e.Remedy = "has nothing after =", "write its value, or leave the line out"
	case decimalComma.MatchString(value):
		e.Problem, e.Remedy = "has a decimal comma", "write a decimal point: "+strings.Replace(value, ",", ".", 1)
	case bareWord.MatchString(value):
		e.Problem, e.Remedy = "is text without quotes", `put it in double quotes: "`+value+`"`
	case bareQuantity.MatchString(value):
		e.Problem, e.Remedy = "is more than a number, and without quotes", `put it in double quotes: "`+strings.Trim(value, `"`)+`"`
	case strings.Count(value, `"`)%2 == 1:
		e.Problem, e.Remedy = "has a double quote without its fellow", "put one before the text and one after it"
	case strings.HasPrefix(value, "["):
		e.Problem, e.Remedy = "is a list that cannot be read", "put commas between its values and one ] at its end, such as [0, 85, -4.5]"
	}
}

type treeBuilder struct {
	src      []byte
	parser   unstable.Parser
	newlines []int
}

func (t *treeBuilder) lineAt(offset int) int {
	return sort.SearchInts(t.newlines, offset) + 1
}

// tooLong finds a key of more than maxParts parts in a statement.
func (t *treeBuilder) tooLong(e *unstable.Node) *Error {
	switch e.Kind {
	case unstable.KeyValue, unstable.Table, unstable.ArrayTable:
		parts := 0
		for it := e.Key(); it.Next(); {
			parts++
			if parts > maxParts {
				return &Error{
					Line:    t.lineAt(rangeOf(it.Node()).start),
					Problem: "a key has too many parts",
					Remedy:  "no key of a rig file has more than five",
				}
			}
		}
		if e.Kind == unstable.KeyValue {
			return t.tooLong(e.Value())
		}
	case unstable.Array, unstable.InlineTable:
		for it := e.Children(); it.Next(); {
			if problem := t.tooLong(it.Node()); problem != nil {
				return problem
			}
		}
	}
	return nil
}

func rangeOf(n *unstable.Node) span {
	return span{int(n.Raw.Offset), int(n.Raw.Offset + n.Raw.Length)}
}

func (t *treeBuilder) header(root *node, e *unstable.Node) *node {
	n := root
	end := 0
	for it := e.Key(); it.Next(); {
		key := it.Node()
		line := t.lineAt(rangeOf(key).start)
		end = rangeOf(key).end
		if e.Kind == unstable.ArrayTable && it.IsLast() {
			list := n.fields[string(key.Data)]
			if list == nil {
				list = &node{kind: unstable.Array, line: line}
				n.add(string(key.Data), list)
			}
			n = newTable(line)
			list.items = append(list.items, n)
			break
		}
		n = n.child(string(key.Data), line)
	}
	n.line = t.lineAt(end)
	n.at = end + bytes.IndexByte(t.src[end:], ']') + 1
	return n
}

func (t *treeBuilder) keyValue(table *node, e *unstable.Node) {
	whole := rangeOf(e)
	line := t.lineAt(whole.start)
	table.at = whole.end
	for it := e.Key(); it.Next(); {
		key := it.Node()
		end := rangeOf(key).end
		if it.IsLast() {
			start := end + bytes.IndexByte(t.src[end:], '=') + 1
			for start < whole.end && (t.src[start] == ' ' || t.src[start] == '\t') {
				start++
			}
			v := t.value(e.Value(), line, span{start, whole.end})
			table.add(string(key.Data), v)
			return
		}
		one := table.one
		table = table.child(string(key.Data), line)
		table.at, table.one = whole.end, one
		table.prefix = string(t.src[whole.start:end]) + "."
	}
}

func (t *treeBuilder) value(v *unstable.Node, line int, where span) *node {
	n := &node{kind: v.Kind, line: line, span: where, at: -1}
	switch v.Kind {
	case unstable.Array:
		for it := v.Children(); it.Next(); {
			item := it.Node()
			at, itemLine := rangeOf(item), line
			if item.Kind == unstable.Array || item.Kind == unstable.InlineTable {
				at.end = at.start
			}
			if at.start > 0 {
				itemLine = t.lineAt(at.start)
			}
			n.items = append(n.items, t.value(item, itemLine, at))
		}
	case unstable.InlineTable:
		n.one = true
		n.at = rangeOf(v).end
		for it := v.Children(); it.Next(); {
			t.keyValue(n, it.Node())
		}
	default:
		n.text = string(v.Data)
	}
	return n
}
