package rig

import (
	"math"
	"reflect"
	"strconv"
	"strings"
)

// hundredth is how finely Changes writes a length in millimetres or an angle in degrees; no caliper
// or protractor shows more.
const hundredth = 0.01

// Changes gives the settings that make the file of one rig say another, for EditAll: what differs
// between the two, in the order of the types. Lengths are written to a hundredth of a millimetre,
// angles to a hundredth of a degree. Uncertainties are not among what changes: those in the file
// stay. Lists of tables must be as long as they were, or longer.
func Changes(from, to *Rig) []Setting {
	return changes(nil, reflect.ValueOf(from).Elem(), reflect.ValueOf(to).Elem(), "")
}

func changes(all []Setting, from, to reflect.Value, path string) []Setting {
	for _, f := range fieldsOf(to.Type()) {
		all = changed(all, from.FieldByIndex(f.index), to.FieldByIndex(f.index), join(path, f.name))
	}
	return all
}

// changed adds what makes one value another.
func changed(all []Setting, was, is reflect.Value, key string) []Setting {
	t := is.Type()
	kind, isQuantity := quantityKind(t)
	switch {
	case isQuantity:
		return changedQuantity(all, quantityOf(was), quantityOf(is), kind, key)
	case t == pointType:
		return changedPoint(all, was, is, key)
	case t == directionType:
		if d := directionOf(is); d != directionOf(was) {
			return append(all, Setting{Key: key, Value: d.text()})
		}
	case isTables(t):
		for i := range is.Len() {
			old := reflect.Zero(t.Elem())
			if i < was.Len() {
				old = was.Index(i)
			}
			all = changes(all, addressable(old), is.Index(i), join(key, strconv.Itoa(i+1)))
		}
	case isTable(t):
		if t.Kind() == reflect.Pointer {
			if is.IsNil() {
				return all
			}
			old := reflect.Zero(t.Elem())
			if !was.IsNil() {
				old = was.Elem()
			}
			return changes(all, addressable(old), is.Elem(), key)
		}
		return changes(all, was, is, key)
	case !reflect.DeepEqual(was.Interface(), is.Interface()):
		return append(all, valueSetting(is, key))
	}
	return all
}

// addressable gives a copy of a value that can be pointed into.
func addressable(v reflect.Value) reflect.Value {
	if v.CanAddr() {
		return v
	}
	c := reflect.New(v.Type()).Elem()
	c.Set(v)
	return c
}

// unitWord is the unit that Changes writes a kind in.
func (k Kind) unitWord() (name string, inside unit) {
	switch k {
	case AngleKind:
		return degrees.name, degrees
	case TorqueKind:
		return "", newtonMetre
	}
	return millimetres.name, millimetres
}

func changedQuantity(all []Setting, was, is *Quantity, kind Kind, key string) []Setting {
	const nothing = 1e-6
	switch {
	case !is.Given && was.Given:
		return append(all, Setting{Key: key})
	case !is.Given, was.Given && math.Abs(is.Value-was.Value) < nothing:
		return all
	case kind == TorqueKind:
		return append(all, Setting{Key: key, Value: is.torqueText()})
	}
	name, u := kind.unitWord()
	return append(all, Setting{Key: key, Value: hundredths(u.outside(is.Value)), Unit: name})
}

func changedPoint(all []Setting, was, is reflect.Value, key string) []Setting {
	a, b := pointOf(was), pointOf(is)
	if a.Given() == b.Given() {
		for i, axis := range axes {
			all = changedQuantity(all, &a[i].Quantity, &b[i].Quantity, LengthKind, join(key, axis))
		}
		return all
	}
	if !b.Given() {
		return append(all, Setting{Key: key})
	}
	text := make([]string, len(b))
	for i := range b {
		text[i] = hundredths(b[i].Value)
	}
	return append(all, Setting{Key: key, Value: strings.Join(text, ", "), Unit: millimetres.name})
}

func pointOf(v reflect.Value) (p Point) {
	reflect.ValueOf(&p).Elem().Set(v)
	return p
}

func directionOf(v reflect.Value) (d Direction) {
	reflect.ValueOf(&d).Elem().Set(v)
	return d
}

// hundredths writes a number to a hundredth.
func hundredths(x float64) string { return plain(math.Round(100*x) / 100) }

// text writes a direction as a file does.
func (d Direction) text() string {
	for word, dir := range directionWords {
		if d == dir {
			return word
		}
	}
	if !d.Given() {
		return ""
	}
	text := make([]string, len(d))
	for i, x := range d {
		text[i] = plain(math.Round(x*1e6) / 1e6)
	}
	return strings.Join(text, ", ")
}

// valueSetting writes what is no quantity, point, direction or table.
func valueSetting(v reflect.Value, key string) Setting {
	s := Setting{Key: key}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			return valueSetting(v.Elem(), key)
		}
	case reflect.Slice:
		text := make([]string, v.Len())
		for i := range text {
			if kind, ok := quantityKind(v.Type().Elem()); ok {
				name, u := kind.unitWord()
				text[i], s.Unit = hundredths(u.outside(quantityOf(v.Index(i)).Value)), name
				continue
			}
			text[i] = valueSetting(v.Index(i), "").Value
		}
		s.Value = strings.Join(text, ", ")
	case reflect.Bool:
		s.Value = strconv.FormatBool(v.Bool())
	case reflect.Int:
		s.Value = strconv.FormatInt(v.Int(), 10)
	case reflect.Float64:
		s.Value = plain(v.Float())
	default:
		s.Value = v.String()
	}
	return s
}
