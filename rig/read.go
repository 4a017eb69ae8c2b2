package rig

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
	"github.com/pelletier/go-toml/v2/unstable"
)

// MaxSize is the greatest size in bytes of a rig file that Read takes.
const MaxSize = 1 << 20

// Read reads a rig file. Name is what its errors call the file.
//
// The file is read strictly: Read reports every problem that it finds, as an
// Errors, and returns no rig then. A file of a newer format gives an error that
// errors.Is finds to be ErrNewerFormat. Values left out that have a default come
// back with it; measured values that state no uncertainty come back with that of
// [accuracy]. An error of r itself is returned wrapped.
func Read(r io.Reader, name string) (*Rig, error) {
	src, err := io.ReadAll(io.LimitReader(r, MaxSize+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return decode(src, name)
}

var byteOrderMark = []byte("\xef\xbb\xbf")

func decode(src []byte, name string) (*Rig, error) {
	if len(src) > MaxSize {
		return nil, Errors{{
			File:    name,
			Problem: "is larger than 1 MiB, which no rig file is",
			Remedy:  "check that it is a rig file",
		}}
	}
	src = bytes.TrimPrefix(src, byteOrderMark)
	switch {
	case !utf8.Valid(src):
		return nil, Errors{{
			File:    name,
			Problem: "is not UTF-8 text, so that it cannot be read as a rig file",
			Remedy:  "name a rig file, or have the editor save it as UTF-8",
		}}
	case len(bytes.TrimSpace(src)) == 0:
		return nil, Errors{{File: name, Problem: "is empty", Remedy: "write a rig into it, or begin with a starter"}}
	}
	tree, problem := parseTree(src)
	if problem != nil {
		problem.File = name
		return nil, Errors{problem}
	}
	d := decoder{file: name, tree: tree, rig: new(Rig)}
	if problem := d.newer(); problem != nil {
		return nil, Errors{problem}
	}
	d.table(reflect.ValueOf(d.rig).Elem(), tree, "")
	d.check()
	if len(d.problems) == 0 {
		for axle := range axles {
			if a := d.rig.Of(axle + 1); a != nil {
				a.endpoints(func(usual, now float64) float64 {
					if now == 0 {
						return usual
					}
					return now
				})
			}
		}
		d.assemble()
	}
	if len(d.problems) > 0 {
		sort.SliceStable(d.problems, func(i, j int) bool { return d.problems[i].Line < d.problems[j].Line })
		return nil, d.problems
	}
	return d.rig, nil
}

// A decoder binds a tree to a rig. The rig's own unit and accuracy, which come
// first in the types, serve for what follows.
type decoder struct {
	file     string
	tree     *node
	rig      *Rig
	problems Errors
}

func (d *decoder) fail(n *node, key, problem, remedy string) {
	d.problems = append(d.problems, &Error{File: d.file, Line: n.line, Key: key, Problem: problem, Remedy: remedy})
}

// newer reports a file of a newer format, of which nothing else can be judged.
func (d *decoder) newer() *Error {
	n := d.tree.fields["format"]
	if n == nil || n.kind != unstable.Integer {
		return nil
	}
	if v, ok := n.integer(); ok && v <= Format {
		return nil
	}
	return &Error{
		File: d.file, Line: n.line, Key: "format",
		Problem: fmt.Sprintf("this file is of a newer format (%s); this evenlock reads up to %d", n.text, Format),
		Remedy:  "get a newer evenlock",
		Cause:   ErrNewerFormat,
	}
}

func (d *decoder) table(v reflect.Value, n *node, path string) {
	if !n.isTable() {
		d.fail(n, path, "is "+n.what()+", and should be a table", "write ["+path+"] on a line of its own, and its keys below")
		return
	}
	fields := fieldsOf(v.Type())
	for _, f := range fields {
		key := join(path, f.name)
		child := n.fields[f.name]
		switch {
		case child != nil:
			d.value(v.FieldByIndex(f.index), child, key, f)
			d.needs(child, key, f)
		case f.required && isTable(f.typ):
			d.fail(n, key, "is missing", "add a table ["+key+"]: "+f.doc)
		case f.required:
			d.fail(n, key, "is missing", "add it: "+f.doc)
		default:
			setDefaults(v.FieldByIndex(f.index), f)
		}
	}
	for _, key := range n.keys {
		if !slices.ContainsFunc(fields, func(f field) bool { return f.name == key }) {
			d.fail(n.fields[key], join(path, quoteKey(key)), "is not a key of a rig file", spelling(key, fields))
		}
	}
}

// needs checks that the tables that a table must hold are there.
func (d *decoder) needs(n *node, path string, f field) {
	if !n.isTable() {
		return
	}
	for _, name := range f.need {
		if n.fields[name] == nil {
			key := join(path, name)
			d.fail(n, key, "is missing", "add a table ["+key+"]")
		}
	}
}

// setDefaults fills what was left out.
func setDefaults(v reflect.Value, f field) {
	switch {
	case f.hasDef && v.Kind() == reflect.Float64:
		v.SetFloat(f.def)
	case f.hasDef && f.typ == angleType:
		quantityOf(v).Value = degrees.inside(f.def)
	case v.Kind() == reflect.Struct && isTable(f.typ):
		for _, inner := range fieldsOf(f.typ) {
			setDefaults(v.FieldByIndex(inner.index), inner)
		}
	}
}

func (d *decoder) value(v reflect.Value, n *node, key string, f field) {
	if k, ok := quantityKind(v.Type()); ok {
		d.quantity(quantityOf(v), n, key, k, f)
		return
	}
	switch {
	case v.Type() == pointType:
		d.point(v, n, key, f)
	case v.Type() == directionType:
		d.direction(v, n, key)
	case v.Kind() == reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		d.value(v.Elem(), n, key, f)
	case v.Kind() == reflect.Struct:
		d.table(v, n, key)
	case v.Kind() == reflect.Slice:
		d.list(v, n, key, f)
	default:
		d.plain(v, n, key, f)
	}
}

// plain binds a word, a text, a switch or a number without a unit.
func (d *decoder) plain(v reflect.Value, n *node, key string, f field) {
	switch v.Kind() {
	case reflect.String:
		if n.kind != unstable.String {
			d.fail(n, key, "is "+n.what()+", and should be text", "put it in double quotes")
			return
		}
		// Keyboards and editors write µs with the Greek letter as well as with the sign.
		text := strings.ReplaceAll(n.text, "\u03bc", "\u00b5")
		if f.enum == nil {
			text = n.text
		}
		if f.enum != nil && !slices.Contains(f.enum, text) {
			d.fail(n, key, fmt.Sprintf("%q is not one of its words", n.text), "write "+oneOf(f.enum))
			return
		}
		v.SetString(text)
	case reflect.Bool:
		if n.kind != unstable.Bool {
			d.fail(n, key, "is "+n.what()+", and should be true or false", "write true or false, without quotes")
			return
		}
		v.SetBool(n.text == "true")
	case reflect.Int:
		i, ok := n.integer()
		if !ok {
			d.fail(n, key, "is "+n.what()+", and should be a whole number", "write a whole number, without quotes")
			return
		}
		if problem := f.within(float64(i), unit{times: 1, over: 1}); problem != nil {
			d.fail(n, key, problem.Problem, problem.Remedy)
			return
		}
		v.SetInt(i)
	case reflect.Float64:
		x, ok := n.number()
		if !ok {
			d.fail(n, key, "is "+n.what()+", and should be a number", "write a number, without quotes or unit")
			return
		}
		if math.IsNaN(x) || math.IsInf(x, 0) {
			d.fail(n, key, "is not a finite number", "write a number, or leave the key out")
			return
		}
		if problem := f.within(x, unit{times: 1, over: 1}); problem != nil {
			d.fail(n, key, problem.Problem, problem.Remedy)
			return
		}
		v.SetFloat(x)
	}
}

func (d *decoder) quantity(q *Quantity, n *node, key string, k Kind, f field) {
	lengths := d.rig.Unit
	var got Quantity
	var states bool
	var problem *Error
	if x, ok := n.number(); ok {
		got, problem = k.bare(x, lengths)
	} else if n.kind == unstable.String {
		got, states, problem = k.parse(n.text, lengths)
	} else {
		problem = &Error{Problem: "is " + n.what() + ", and should be " + k.a(), Remedy: k.example()}
	}
	if problem == nil {
		problem = f.within(got.Value, k.fileUnit(lengths))
	}
	if problem != nil {
		d.fail(n, key, problem.Problem, problem.Remedy)
		return
	}
	if !states && f.measured {
		got.Uncertainty = d.rig.Accuracy.of(k)
	}
	*q = got
}

// of gives the uncertainty of measured values of this kind that state none.
func (a Accuracy) of(k Kind) float64 {
	switch k {
	case LengthKind:
		return a.Length.Value
	case AngleKind:
		return a.Angle.Value
	}
	return 0
}

const pointExample = "write three numbers: forward, to the left, up, such as [0, 85, -4.5]"

func (d *decoder) point(v reflect.Value, n *node, key string, f field) {
	if n.kind != unstable.Array {
		d.fail(n, key, "is "+n.what()+", and should be a point", pointExample)
		return
	}
	if len(n.items) != 3 {
		remedy := pointExample
		if len(n.items) > 3 {
			remedy += "; a decimal has a point, not a comma"
		}
		d.fail(n, key, fmt.Sprintf("has %d numbers, and a point has 3", len(n.items)), remedy)
		return
	}
	before := len(d.problems)
	for i, item := range n.items {
		d.quantity(quantityOf(v.Index(i)), item, join(key, axes[i]), LengthKind, field{measured: f.measured})
	}
	if len(d.problems) > before {
		v.SetZero()
	}
}

var directionWords = map[string]Direction{
	"forward": {1, 0, 0},
	"back":    {-1, 0, 0},
	"left":    {0, 1, 0},
	"right":   {0, -1, 0},
	"up":      {0, 0, 1},
	"down":    {0, 0, -1},
}

const directionExample = "write forward, back, left, right, up or down, or three numbers such as [1, 0, 0.1]"

func (d *decoder) direction(v reflect.Value, n *node, key string) {
	var dir Direction
	switch {
	case n.kind == unstable.String:
		word, ok := directionWords[n.text]
		if !ok {
			d.fail(n, key, fmt.Sprintf("%q is not a direction", n.text), directionExample)
			return
		}
		dir = word
	case n.kind == unstable.Array && len(n.items) == 3:
		most := 0.0
		for i, item := range n.items {
			x, ok := item.number()
			if !ok || math.IsNaN(x) || math.IsInf(x, 0) {
				d.fail(item, key, "is not three finite numbers", directionExample)
				return
			}
			dir[i] = x
			most = max(most, math.Abs(x))
		}
		if most == 0 {
			d.fail(n, key, "is zero, which points nowhere", directionExample)
			return
		}
		dir = dir.unit(most)
	default:
		d.fail(n, key, "is not a direction", directionExample)
		return
	}
	v.Set(reflect.ValueOf(dir))
}

// unit makes the direction a unit vector; most is its largest number, by which it
// is scaled first so that nothing overflows. One that is a unit vector but for
// rounding stays as it is, so that reading what was written changes nothing.
func (d Direction) unit(most float64) Direction {
	norm := func() float64 { return math.Hypot(math.Hypot(d[0], d[1]), d[2]) }
	if math.Abs(norm()-1) < 1e-15*4 {
		return d
	}
	for i := range d {
		d[i] /= most
	}
	n := norm()
	for i := range d {
		d[i] /= n
	}
	return d
}

func (d *decoder) list(v reflect.Value, n *node, key string, f field) {
	if n.kind != unstable.Array {
		remedy := "write it in square brackets, such as [10, 12.5, 15]"
		if isTables(v.Type()) {
			remedy = "write [[" + key + "]], in two square brackets, above each"
		}
		d.fail(n, key, "is "+n.what()+", and should be a list", remedy)
		return
	}
	for i, item := range n.items {
		one := reflect.New(v.Type().Elem()).Elem()
		d.value(one, item, join(key, strconv.Itoa(i+1)), f)
		v.Set(reflect.Append(v, one))
	}
}

// number gives the value of a number without quotes.
func (n *node) number() (v float64, ok bool) {
	switch n.kind {
	case unstable.Integer:
		i, ok := n.integer()
		return float64(i), ok
	case unstable.Float:
		v, err := strconv.ParseFloat(strings.ReplaceAll(n.text, "_", ""), 64)
		return v, err == nil || math.IsInf(v, 0)
	}
	return 0, false
}

func (n *node) integer() (v int64, ok bool) {
	if n.kind != unstable.Integer {
		return 0, false
	}
	v, err := strconv.ParseInt(strings.ReplaceAll(n.text, "_", ""), 0, 64)
	return v, err == nil
}

// what names the kind of value for a message.
func (n *node) what() string {
	switch n.kind {
	case unstable.Table, unstable.InlineTable:
		return "a table"
	case unstable.Array:
		return "a list"
	case unstable.String:
		return "text"
	case unstable.Bool:
		return "true or false"
	case unstable.Integer:
		return "a whole number"
	case unstable.Float:
		return "a number"
	}
	return "a date or time"
}

func oneOf(words []string) string {
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// spelling suggests the key that was meant, or lists those that there are.
func spelling(key string, fields []field) string {
	best, distance := "", 1+len(key)/3
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = f.name
		if d := levenshtein.ComputeDistance(key, f.name); d <= distance {
			best, distance = f.name, d-1
		}
	}
	if best != "" {
		return "did you mean " + best + "?"
	}
	return "its table takes " + oneOf(names)
}

// quoteKey shows a key as it must be written in a file.
func quoteKey(key string) string {
	bare := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_' || r == '-'
	}
	if key != "" && strings.IndexFunc(key, func(r rune) bool { return !bare(r) }) < 0 {
		return key
	}
	return strconv.Quote(key)
}

// assemble reports a rig whose measurements cannot be of one vehicle.
func (d *decoder) assemble() {
	err := d.rig.builds(false)
	if err == nil && d.rig.Suspension != nil {
		err = d.rig.builds(true)
	}
	var problem *Error
	if errors.As(err, &problem) {
		problem.File, problem.Line = d.file, d.tree.lineOf(problem.Key)
		d.problems = append(d.problems, problem)
	}
}

// lineOf returns the line of a dotted key, or of the nearest table that holds it.
func (n *node) lineOf(key string) int {
	at, _ := n.find(strings.Split(key, "."))
	return at.line
}

// Lines returns what finds, in the text of a rig file, the line of a dotted key as Origin and
// Measurement have it, or of the nearest table that holds it; 0 for no key. The error is that of
// Read where the text is no TOML.
func Lines(src []byte) (func(key string) int, error) {
	if len(src) > MaxSize {
		_, err := decode(src, "")
		return nil, err
	}
	tree, problem := parseTree(bytes.TrimPrefix(src, byteOrderMark))
	if problem != nil {
		return nil, Errors{problem}
	}
	return func(key string) int {
		if key == "" {
			return 0
		}
		return tree.lineOf(key)
	}, nil
}

// builds reports an axle whose linkage cannot be built.
func (r *Rig) builds(suspended bool) error {
	v, err := r.Expand(suspended)
	if err != nil {
		return err
	}
	for _, a := range v.Axles {
		if _, err := v.Of(a.Number()).Build(); err != nil {
			return err
		}
	}
	return nil
}
