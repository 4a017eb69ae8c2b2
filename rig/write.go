package rig

import (
	"bytes"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
)

// Write writes the rig as a file of the current format, without comments. What was
// left out, or stands at its default, is not written, and the same rig always gives
// the same bytes. Read gives back the same rig; a rig that Read would refuse is not
// written, and the error is that of Read.
//
// To change a file that a person keeps, use Edit, which leaves its comments alone.
func Write(w io.Writer, r *Rig) error {
	p := printer{rig: r.Clone()}
	for axle := range axles {
		if a := p.rig.Of(axle + 1); a != nil {
			a.endpoints(func(usual, now float64) float64 {
				if now == usual {
					return 0
				}
				return now
			})
		}
	}
	p.table(reflect.ValueOf(p.rig).Elem(), "")
	if _, err := decode(p.Bytes(), ""); err != nil {
		return err
	}
	_, err := w.Write(p.Bytes())
	return err
}

type printer struct {
	bytes.Buffer
	rig *Rig
}

// table prints the keys of a table, then the tables in it.
func (p *printer) table(v reflect.Value, path string) {
	fields := fieldsOf(v.Type())
	for _, f := range fields {
		if isTable(f.typ) || isTables(f.typ) || leftOut(v.FieldByIndex(f.index), f) {
			continue
		}
		p.WriteString(f.name + " = " + p.value(v.FieldByIndex(f.index), f) + "\n")
	}
	for _, f := range fields {
		inner, key := v.FieldByIndex(f.index), join(path, f.name)
		if leftOut(inner, f) {
			continue
		}
		switch {
		case isTables(f.typ):
			for i := range inner.Len() {
				p.WriteString("\n[[" + key + "]]\n")
				p.table(inner.Index(i), key)
			}
		case isTable(f.typ):
			inner = reflect.Indirect(inner)
			if !onlyTables(inner) {
				p.WriteString("\n[" + key + "]\n")
			}
			p.table(inner, key)
		}
	}
}

// onlyTables tells whether a table holds tables and nothing else, so that their
// headers name it well enough.
func onlyTables(v reflect.Value) bool {
	tables := false
	for _, f := range fieldsOf(v.Type()) {
		if leftOut(v.FieldByIndex(f.index), f) {
			continue
		}
		if !isTable(f.typ) {
			return false
		}
		tables = true
	}
	return tables
}

// leftOut tells whether a field need not be written.
func leftOut(v reflect.Value, f field) bool {
	if f.required {
		return false
	}
	if _, ok := quantityKind(f.typ); ok {
		return !quantityOf(v).Given
	}
	switch {
	case f.typ == pointType:
		return !quantityOf(v.Index(0)).Given
	case f.hasDef:
		return v.Float() == f.def
	case v.Kind() == reflect.Slice:
		return v.Len() == 0
	case v.Kind() == reflect.Struct:
		for _, inner := range fieldsOf(f.typ) {
			if !leftOut(v.FieldByIndex(inner.index), inner) {
				return false
			}
		}
		return true
	}
	return v.IsZero()
}

// value prints what stands after the equals sign.
func (p *printer) value(v reflect.Value, f field) string {
	if k, ok := quantityKind(v.Type()); ok {
		return p.quantity(*quantityOf(v), k, f)
	}
	if d, ok := v.Interface().(Direction); ok {
		for word, dir := range directionWords {
			if d == dir {
				return quote(word)
			}
		}
	}
	switch v.Kind() {
	case reflect.String:
		return quote(v.String())
	case reflect.Bool:
		return strconv.FormatBool(v.Bool())
	case reflect.Int:
		return strconv.FormatInt(v.Int(), 10)
	case reflect.Float64:
		return plain(v.Float())
	case reflect.Pointer:
		return p.value(v.Elem(), f)
	}
	items := make([]string, v.Len())
	for i := range items {
		items[i] = p.value(v.Index(i), f)
	}
	return "[" + strings.Join(items, ", ") + "]"
}

// quantity prints a quantity, with its uncertainty only where the reader would not
// give it the same one anyway.
func (p *printer) quantity(q Quantity, k Kind, f field) string {
	usual := 0.0
	if f.measured {
		usual = p.rig.Accuracy.of(k)
	}
	u := k.fileUnit(p.rig.Unit)
	switch own := q.Uncertainty != usual; {
	case k.wantsUnit():
		return `"` + q.torqueText() + `"`
	case own:
		return `"` + q.text(u, true) + `"`
	}
	return u.format(q.Value)
}

// quote writes a TOML string, over several lines if it has some.
func quote(s string) string {
	lines := strings.Contains(s, "\n")
	var b strings.Builder
	for _, c := range []byte(s) {
		switch {
		case c == '"' || c == '\\':
			b.WriteByte('\\')
			b.WriteByte(c)
		case c == '\n':
			b.WriteByte(c)
		case c < ' ' || c == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, c)
		default:
			b.WriteByte(c)
		}
	}
	if lines {
		return "\"\"\"\n" + b.String() + "\"\"\""
	}
	return "\"" + b.String() + "\""
}
