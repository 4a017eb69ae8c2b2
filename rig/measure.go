package rig

import (
	"reflect"
	"strconv"
	"strings"
)

// A Measurement is one measured value of a rig.
type Measurement struct {
	// Path is the dotted key in the file, such as "left.kingpin.caster". The numbers
	// of a point are x, y and z; lists are counted from 1.
	Path string
	Kind Kind
	// Q points into the rig, in the inside unit of the kind.
	Q *Quantity
}

// Words gives the plain name of the measurement, such as "left kingpin caster" or
// "servo point height (z)".
func (m Measurement) Words() string {
	keys := strings.Split(strings.TrimPrefix(m.Path, "vehicle."), ".")
	last := len(keys) - 1
	switch keys[last] {
	case "x":
		keys[last] = "distance forward (x)"
	case "y":
		keys[last] = "distance left (y)"
	case "z":
		keys[last] = "height (z)"
	}
	return strings.ReplaceAll(strings.Join(keys, " "), "_", " ")
}

// pointNames are what the points of links and parts are called.
var pointNames = map[string]string{
	"chassis": "its ball on the chassis", "axle": "its ball on the axle", "from": "one end", "to": "the other end", "centre": "the middle",
}

// NameOf gives the plain name of what a key holds, as Measurement.Words does, with that of the
// suspension's link or the part that it is of: "panhard link, its ball on the axle, height (z)".
func (r *Rig) NameOf(key string) string {
	table, rest, _ := strings.Cut(strings.TrimPrefix(key, "suspension."), ".")
	number, end, _ := strings.Cut(rest, ".")
	name := ""
	switch i, err := strconv.Atoi(number); {
	case err != nil:
	case table == "link" && r.Suspension != nil && i >= 1 && i <= len(r.Suspension.Links):
		name = r.Suspension.Links[i-1].Name + " link, "
	case table == "part" && i >= 1 && i <= len(r.Parts):
		name = r.Parts[i-1].Name + ", "
	}
	if name == "" {
		return Measurement{Path: key}.Words()
	}
	point, coordinate, _ := strings.Cut(end, ".")
	if pointNames[point] == "" || coordinate == "" {
		return name + Measurement{Path: end}.Words()
	}
	return name + pointNames[point] + ", " + Measurement{Path: coordinate}.Words()
}

// Measurements lists every stated value of the rig that was measured, in the order
// of the types. Choices, limits and catalogue numbers are among them where the file says how
// uncertain they are. The
// pointers are into r: what is set through them changes r.
func (r *Rig) Measurements() []Measurement {
	return measurements(nil, reflect.ValueOf(r).Elem(), "")
}

func measurements(all []Measurement, table reflect.Value, path string) []Measurement {
	add := func(v reflect.Value, kind Kind, key string) {
		if q := quantityOf(v); q.Given {
			all = append(all, Measurement{key, kind, q})
		}
	}
	uncertain := func(v reflect.Value) bool { return quantityOf(v).Uncertainty > 0 }
	for _, f := range fieldsOf(table.Type()) {
		v, key := table.FieldByIndex(f.index), join(path, f.name)
		kind, isQuantity := quantityKind(f.typ)
		switch {
		case isQuantity && (f.measured || uncertain(v)):
			add(v, kind, key)
		case !f.measured:
		case f.typ == pointType:
			for i, axis := range axes {
				add(v.Index(i), LengthKind, join(key, axis))
			}
		case isTables(f.typ):
			for i := range v.Len() {
				all = measurements(all, v.Index(i), join(key, strconv.Itoa(i+1)))
			}
		case isTable(f.typ):
			if v = reflect.Indirect(v); v.IsValid() {
				all = measurements(all, v, key)
			}
		}
	}
	return all
}

// A Number is one number of a rig, measured or not, that the file gives.
type Number struct {
	// Path is as a Measurement's.
	Path string
	// Quantity is whether it is one of Kind; Spread is then its ±. It is a plain number otherwise.
	Quantity bool
	Kind     Kind
	// Value and Spread point into the rig, in the inside unit of the kind.
	Value, Spread *float64
}

// Numbers lists every number that the rig gives, in the order of the types. The pointers are into r:
// what is set through them changes r.
func (r *Rig) Numbers() []Number { return numbers(nil, reflect.ValueOf(r).Elem(), "") }

func numbers(all []Number, v reflect.Value, path string) []Number {
	if v.Kind() == reflect.Pointer {
		if v = v.Elem(); !v.IsValid() {
			return all
		}
	}
	t := v.Type()
	kind, isQuantity := quantityKind(t)
	switch {
	case isQuantity:
		if q := quantityOf(v); q.Given {
			all = append(all, Number{path, true, kind, &q.Value, &q.Uncertainty})
		}
	case t == directionType:
	case t == pointType:
		for i, axis := range axes {
			all = numbers(all, v.Index(i), join(path, axis))
		}
	case t.Kind() == reflect.Slice:
		for i := range v.Len() {
			all = numbers(all, v.Index(i), join(path, strconv.Itoa(i+1)))
		}
	case t.Kind() == reflect.Struct:
		for _, f := range fieldsOf(t) {
			all = numbers(all, v.FieldByIndex(f.index), join(path, f.name))
		}
	case t.Kind() == reflect.Float64 && v.Float() != 0:
		if x, ok := v.Addr().Interface().(*float64); ok {
			all = append(all, Number{Path: path, Value: x})
		}
	}
	return all
}

// Exact gives a copy of the rig whose measurements carry no uncertainty: finding what that comes to
// is most of the work of making a model.
func (r *Rig) Exact() *Rig {
	c := r.Clone()
	for _, m := range c.Measurements() {
		m.Q.Uncertainty = 0
	}
	return c
}

// Clone gives a copy of the rig that shares nothing with it.
func (r *Rig) Clone() *Rig {
	c := new(Rig)
	reflect.ValueOf(c).Elem().Set(clone(reflect.ValueOf(r).Elem()))
	return c
}

func clone(v reflect.Value) reflect.Value {
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() {
			return v
		}
		c := reflect.New(v.Type().Elem())
		c.Elem().Set(clone(v.Elem()))
		return c
	case reflect.Slice:
		if v.IsNil() {
			return v
		}
		c := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		for i := range v.Len() {
			c.Index(i).Set(clone(v.Index(i)))
		}
		return c
	case reflect.Struct:
		c := reflect.New(v.Type()).Elem()
		for i := range v.NumField() {
			c.Field(i).Set(clone(v.Field(i)))
		}
		return c
	}
	return v
}
