package rig

import (
	"bytes"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Edit changes one value in the text of a rig file and leaves every other byte of
// it, comments too, as it is. A key that is not there yet is added, with its table.
//
// Key is dotted, as in Measurement.Path: "left.tie_arm.ball.y", "drag_link.length",
// "settings.subtrim", "name". Value is written as a person would, without the
// quotes of TOML: "24.5 ± 0.2", "-12", "M3", "true"; lists and points with commas,
// "0, 85 ± 0.5, -4". A bare number changes only the number of a quantity: the unit
// and the uncertainty that stand in the file stay. Any other text replaces the
// whole value, and "about 25" is written as "25 ± 1". No value at all takes the key
// out, with its line and the remark on it, unless it is a text; of a table in a list,
// "transmitter.reading.2", all from its header to its last key.
//
// The result is a file that Read takes, or there is none: the error is then that of
// Read, with the lines of the changed text, or an *Error about the key or value.
func Edit(src []byte, key, value string) ([]byte, error) {
	return EditAll(src, Setting{Key: key, Value: value})
}

// Setting is a value for a key, as for Edit.
type Setting struct {
	Key, Value string
	// Unit is the unit of a Value that is a bare number, or numbers: mm, in or deg. The file then
	// has them in the unit that stands there, or else in its own, to a hundredth of a millimetre or
	// finer. Empty, the numbers are in that unit already.
	Unit string
}

// EditAll changes several values, one after the other, as Edit does. Only what comes out in the end
// has to be a file that Read takes, so that keys which need one another can be added together. A
// list of tables grows by its next one: "servo.rating.1.voltage" adds a table [[servo.rating]] to a
// file that has none.
//
// The error is as for Edit.
func EditAll(src []byte, settings ...Setting) ([]byte, error) {
	if len(src) > MaxSize {
		_, err := decode(src, "")
		return nil, err
	}
	body := bytes.TrimPrefix(src, byteOrderMark)
	changed := bytes.Clone(body)
	for _, s := range settings {
		tree, problem := parseTree(changed)
		if problem != nil {
			return nil, Errors{problem}
		}
		e := editor{src: changed, key: s.Key, keys: strings.Split(s.Key, "."), unit: s.Unit}
		if n := tree.fields["unit"]; n != nil {
			e.lengths = n.text
		}
		if changed, problem = e.edit(tree, s.Value); problem != nil {
			problem.Key = s.Key
			return nil, problem
		}
	}
	changed = append(bytes.Clone(src[:len(src)-len(body)]), changed...)
	if _, err := decode(changed, ""); err != nil {
		return nil, err
	}
	return changed, nil
}

type editor struct {
	src  []byte
	key  string
	keys []string
	// unit is that of the new value's numbers, lengths that of the file's lengths.
	unit, lengths string
}

func (e *editor) edit(tree *node, value string) ([]byte, *Error) {
	t, problem := typeAt(e.keys)
	if problem != nil {
		return nil, problem
	}
	at, rest := tree.find(e.keys)
	if list, _ := tree.find(e.keys[:len(e.keys)-1]); strings.TrimSpace(value) == "" && list.kind == unstable.Array && at.isTable() {
		return e.takeOutTable(at, len(rest) > 0)
	}
	if strings.TrimSpace(value) == "" && t.Kind() != reflect.String && !isTables(t) {
		return e.takeOut(at, len(rest) > 0)
	}
	if len(rest) > 0 {
		text, problem := e.literal(t, value, nil)
		if problem != nil {
			return nil, problem
		}
		return e.add(at, rest, text)
	}
	if at.kind == unstable.Array && !isTables(t) && (t.Kind() == reflect.Slice || t.Kind() == reflect.Array) {
		if values := splitList(value); len(values) == len(at.items) && len(values) > 0 {
			return e.items(at, t.Elem(), values)
		}
	}
	text, problem := e.literal(t, value, at)
	if problem != nil {
		return nil, problem
	}
	if at.span.end == at.span.start {
		return nil, &Error{Problem: "is " + at.what() + " in the file", Remedy: "correct the file first"}
	}
	return e.replace(at.span, text), nil
}

var keyBefore = regexp.MustCompile(`^[ \t]*[A-Za-z0-9_.\-]+[ \t]*=[ \t]*$`)

// takeOut removes the lines of a value. What is not there is not missed.
func (e *editor) takeOut(at *node, missing bool) ([]byte, *Error) {
	if missing {
		return e.src, nil
	}
	start := bytes.LastIndexByte(e.src[:at.span.start], '\n') + 1
	if at.span.end == at.span.start || !keyBefore.Match(e.src[start:at.span.start]) {
		return nil, &Error{Problem: "does not stand on a line of its own", Remedy: "take it out of the file by hand"}
	}
	end := len(e.src)
	if n := bytes.IndexByte(e.src[at.span.end:], '\n'); n >= 0 {
		end = at.span.end + n + 1
	}
	return e.replace(span{start, end}, ""), nil
}

// takeOutTable removes a table of a list, from its header to its last key, with the empty line
// before it if another one or nothing comes after.
func (e *editor) takeOutTable(at *node, missing bool) ([]byte, *Error) {
	if missing {
		return e.src, nil
	}
	if !at.alone() {
		return nil, &Error{Problem: "does not stand below a header of its own", Remedy: "take it out of the file by hand"}
	}
	lines := span{end: len(e.src)}
	for range at.line - 1 {
		lines.start += bytes.IndexByte(e.src[lines.start:], '\n') + 1
	}
	if n := bytes.IndexByte(e.src[at.at:], '\n'); n >= 0 {
		lines.end = at.at + n + 1
	}
	const blank = " \t\r"
	before := bytes.TrimRight(e.src[:lines.start], blank+"\n")
	after, _, _ := bytes.Cut(e.src[lines.end:], []byte("\n"))
	if gap := bytes.Count(e.src[len(before):lines.start], []byte("\n")); gap > 1 && len(bytes.Trim(after, blank)) == 0 {
		lines.start = len(before) + bytes.IndexByte(e.src[len(before):], '\n') + 1
	}
	return e.replace(lines, ""), nil
}

func (e *editor) replace(s span, text string) []byte {
	return slices.Concat(e.src[:s.start], []byte(text), e.src[s.end:])
}

// items changes the members of a list one by one, so that what stands between them stays.
func (e *editor) items(list *node, t reflect.Type, values []string) ([]byte, *Error) {
	var out []byte
	from := 0
	for i, item := range list.items {
		text, problem := e.literal(t, values[i], item)
		if problem != nil {
			return nil, problem
		}
		if item.span.end == item.span.start {
			return nil, &Error{Problem: "holds " + item.what() + " in the file", Remedy: "correct the file first"}
		}
		out = slices.Concat(out, e.src[from:item.span.start], []byte(text))
		from = item.span.end
	}
	return append(out, e.src[from:]...), nil
}

// add puts a key where it is missing: rest is what of the key is not there below at.
func (e *editor) add(at *node, rest []string, text string) ([]byte, *Error) {
	if n, ok := e.nextTable(at, rest); ok {
		header, line := "[["+strings.Join(e.keys[:n], ".")+"]]", strings.Join(e.keys[n+1:], ".")+" = "+text
		if last := at.lastItem(); last != nil {
			return e.addTableAfter(last.at, header, line), nil
		}
		return e.addTable(header, line), nil
	}
	if !at.isTable() {
		return nil, &Error{Problem: "has no such number in the file", Remedy: "set the whole list first"}
	}
	for n := len(e.keys) - len(rest) + 1; n < len(e.keys); n++ {
		if t, _ := typeAt(e.keys[:n]); !isTable(t) {
			return nil, &Error{
				Problem: "is part of " + strings.Join(e.keys[:n], ".") + ", which is not in the file",
				Remedy:  "set the whole of that first",
			}
		}
	}
	line := at.prefix + strings.Join(rest, ".") + " = " + text
	inside := at.at >= 0 && (len(rest) == 1 || at.prefix != "" || at.one)
	switch {
	case inside && at.one && len(at.keys) == 0:
		return e.replace(span{at.at, at.at}, " "+line), nil
	case inside && at.one:
		return e.replace(span{at.at, at.at}, ", "+line), nil
	case inside:
		return e.addLine(at.at, line), nil
	}
	last := len(e.keys) - 1
	return e.addTable("["+strings.Join(e.keys[:last], ".")+"]", e.keys[last]+" = "+text), nil
}

// nextTable tells whether the missing key is one of the next table of a list of tables with headers
// of their own, as e.keys[:n] name it. Tables that hold the list come with it.
func (e *editor) nextTable(at *node, rest []string) (n int, ok bool) {
	have, n := 0, len(e.keys)-len(rest)
	if at.kind == unstable.Array {
		have = len(at.items)
	} else {
		for n++; n < len(e.keys); n++ {
			if t, _ := typeAt(e.keys[:n]); !isTable(t) {
				break
			}
		}
	}
	if n+1 >= len(e.keys) || e.keys[n] != strconv.Itoa(have+1) {
		return n, false
	}
	if inLine := at.span.end > at.span.start || at.one; inLine {
		return n, false
	}
	t, _ := typeAt(e.keys[:n])
	return n, isTables(t)
}

// addTable puts a table with one line in it at the end.
func (e *editor) addTable(header, line string) []byte {
	end := e.newline()
	gap := end
	if !bytes.HasSuffix(e.src, []byte("\n")) {
		gap = end + end
	}
	return slices.Concat(e.src, []byte(gap+header+end+line+end))
}

// addTableAfter puts a table with one line in it below the line that holds the byte before at.
func (e *editor) addTableAfter(at int, header, line string) []byte {
	end := e.newline()
	n := bytes.IndexByte(e.src[at:], '\n')
	if n < 0 {
		return e.addTable(header, line)
	}
	return e.replace(span{at + n + 1, at + n + 1}, end+header+end+line+end)
}

// lastItem is the last table of a list, nil if it has none that stands alone.
func (n *node) lastItem() *node {
	if n.kind != unstable.Array || len(n.items) == 0 || !n.items[len(n.items)-1].alone() {
		return nil
	}
	return n.items[len(n.items)-1]
}

// alone tells whether a table has a header of its own, and no tables with headers below it.
func (n *node) alone() bool {
	for _, child := range n.fields {
		if child.kind == unstable.Table || child.kind == unstable.Array && child.span.end == child.span.start {
			return false
		}
	}
	return !n.one && n.at >= 0
}

// addLine puts a line below the one that holds the byte before at, as far in as
// that one; at the very start if there is none.
func (e *editor) addLine(at int, line string) []byte {
	if at == 0 {
		return e.replace(span{}, line+e.newline())
	}
	start := bytes.LastIndexByte(e.src[:at], '\n') + 1
	indent := e.src[start : start+len(e.src[start:])-len(bytes.TrimLeft(e.src[start:], " \t"))]
	if end := bytes.IndexByte(e.src[at:], '\n'); end >= 0 {
		at += end + 1
		return e.replace(span{at, at}, string(indent)+line+e.newline())
	}
	return e.replace(span{len(e.src), len(e.src)}, e.newline()+string(indent)+line)
}

func (e *editor) newline() string {
	if bytes.Contains(e.src, []byte("\r\n")) {
		return "\r\n"
	}
	return "\n"
}

// typeAt finds the type of the value at a dotted key.
func typeAt(keys []string) (reflect.Type, *Error) {
	t := reflect.TypeFor[Rig]()
	for _, key := range keys {
		if t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		i, err := strconv.Atoi(key)
		switch {
		case t == pointType && slices.Contains(axes[:], key):
			t = lengthType
		case t.Kind() == reflect.Slice && err == nil && i >= 1:
			t = t.Elem()
		case isTable(t):
			fields := fieldsOf(t)
			i := slices.IndexFunc(fields, func(f field) bool { return f.name == key })
			if i < 0 {
				return nil, &Error{Problem: quoteKey(key) + " is not a key of a rig file", Remedy: spelling(key, fields)}
			}
			t = fields[i].typ
		default:
			return nil, &Error{Problem: quoteKey(key) + " is not a part of it", Remedy: "give the key of a single value"}
		}
	}
	return t, nil
}

// literal writes a person's value as TOML for this type; old is what stands in the
// file now, nil if nothing.
func (e *editor) literal(t reflect.Type, value string, old *node) (string, *Error) {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t.Kind() == reflect.String {
		return quote(value), nil
	}
	value = strings.TrimSpace(plainMinus(value))
	x, err := strconv.ParseFloat(value, 64)
	number := err == nil && !math.IsInf(x, 0) && !math.IsNaN(x)
	if k, ok := quantityKind(t); ok {
		if !number {
			return quote(k.plusMinus(value, e.lengths)), nil
		}
		x, problem := e.converted(k, x, old)
		if problem != nil {
			return "", problem
		}
		if old != nil && old.kind == unstable.String {
			text := k.plusMinus(plainMinus(old.text), e.lengths)
			if m := k.shape().FindStringSubmatchIndex(text); m != nil {
				return quote(text[:m[2]] + plain(x) + text[m[3]:]), nil
			}
		}
		return plain(x), nil
	}
	switch {
	case isTable(t) || isTables(t):
		return "", &Error{Problem: "is a table", Remedy: "set the keys in it one by one"}
	case t == directionType && !strings.Contains(value, ","):
		return quote(value), nil
	case t.Kind() == reflect.Bool:
		if value != "true" && value != "false" {
			return "", &Error{Problem: fmt.Sprintf("%q is neither true nor false", value), Remedy: "write true or false"}
		}
		return value, nil
	case t.Kind() == reflect.Int:
		i, err := strconv.Atoi(value)
		if err != nil {
			return "", &Error{Problem: fmt.Sprintf("%q is not a whole number", value), Remedy: "write a whole number"}
		}
		return strconv.Itoa(i), nil
	case t.Kind() == reflect.Float64:
		if !number {
			return "", &Error{Problem: fmt.Sprintf("%q is not a number", value), Remedy: "write a number without a unit"}
		}
		return plain(x), nil
	}
	var items []string
	for _, v := range splitList(value) {
		item, problem := e.literal(t.Elem(), v, nil)
		if problem != nil {
			return "", problem
		}
		items = append(items, item)
	}
	return "[" + strings.Join(items, ", ") + "]", nil
}

// converted gives a number of the setting's unit in the unit that stands in the file.
func (e *editor) converted(k Kind, x float64, old *node) (float64, *Error) {
	if e.unit == "" {
		return x, nil
	}
	from, problem := k.unit(e.unit, "")
	if problem != nil {
		return 0, problem
	}
	to := k.fileUnit(e.lengths)
	if old != nil && old.kind == unstable.String {
		if m := k.shape().FindStringSubmatch(k.plusMinus(plainMinus(old.text), e.lengths)); m != nil {
			if u, ok := k.unitNamed(m[2]); ok {
				to = u
			} else if u, ok := k.unitNamed(m[4]); ok {
				to = u
			}
		}
	}
	if from == to {
		return x, nil
	}
	const fine = 1e4 // a ten-thousandth of an inch is finer than a hundredth of a millimetre
	return math.Round(to.outside(from.inside(x))*fine) / fine, nil
}

// splitList takes apart a list as a person writes it, with or without brackets and quotes.
func splitList(value string) []string {
	value = strings.TrimSpace(value)
	value = strings.TrimSuffix(strings.TrimPrefix(value, "["), "]")
	if strings.TrimSpace(value) == "" {
		return nil
	}
	items := strings.Split(value, ",")
	for i := range items {
		items[i] = strings.Trim(strings.TrimSpace(items[i]), `"'`)
	}
	return items
}
