package rig

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"
)

// A field is one key of a table, as the struct tags in types.go describe it.
type field struct {
	name     string
	index    []int
	typ      reflect.Type
	doc      string
	enum     []string
	need     []string
	required bool
	// measured is whether [accuracy] gives its uncertainty.
	measured        bool
	min, max, above *float64
	// screen is what of the transmitter's screen it is, empty for all else.
	screen string
	// def is what it is when left out, if hasDef.
	def    float64
	hasDef bool
}

// fieldsOf lists the keys of a table in the order of its type; an embedded struct
// adds its own in its place.
func fieldsOf(t reflect.Type) []field {
	known, _ := fieldsKnown.Load(t)
	if all, ok := known.([]field); ok {
		return all
	}
	all := readFields(t)
	fieldsKnown.Store(t, all)
	return all
}

// fieldsKnown keeps the fields of each type, since reading tags takes longer than moving a linkage.
var fieldsKnown sync.Map

func readFields(t reflect.Type) []field {
	var all []field
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Anonymous {
			for _, inner := range readFields(f.Type) {
				inner.index = append([]int{i}, inner.index...)
				all = append(all, inner)
			}
			continue
		}
		name, option, _ := strings.Cut(f.Tag.Get("toml"), ",")
		one := field{
			name:     name,
			index:    []int{i},
			typ:      f.Type,
			doc:      f.Tag.Get("doc"),
			enum:     list(f.Tag.Get("enum")),
			need:     list(f.Tag.Get("need")),
			required: option != "omitempty",
			measured: f.Tag.Get("accuracy") != "none",
			min:      bound(f.Tag.Get("min")),
			max:      bound(f.Tag.Get("max")),
			above:    bound(f.Tag.Get("above")),
			screen:   f.Tag.Get("screen"),
		}
		if d := bound(f.Tag.Get("default")); d != nil {
			one.def, one.hasDef = *d, true
		}
		all = append(all, one)
	}
	return all
}

func list(words string) []string {
	if words == "" {
		return nil
	}
	return strings.Split(words, ",")
}

func bound(s string) *float64 {
	if s == "" {
		return nil
	}
	// A tag that is no number is a slip in types.go; a test reads them all.
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return nil
	}
	return &v
}

// within tells whether an inside value keeps to the field's bounds, and if not,
// what would.
func (f field) within(inside float64, u unit) (problem *Error) {
	ok := (f.min == nil || inside >= u.inside(*f.min)) &&
		(f.max == nil || inside <= u.inside(*f.max)) &&
		(f.above == nil || inside > u.inside(*f.above))
	if ok {
		return nil
	}
	unitWords := ""
	switch u {
	case degrees:
		unitWords = " degrees"
	case newtonMetre:
		unitWords = " N·m"
	}
	var want string
	switch {
	case f.min != nil && f.max != nil:
		want = fmt.Sprintf("from %v to %v", *f.min, *f.max)
	case f.above != nil && f.max != nil:
		want = fmt.Sprintf("above %v, up to %v", *f.above, *f.max)
	case f.above != nil:
		want = fmt.Sprintf("above %v", *f.above)
	case f.min != nil:
		want = fmt.Sprintf("of %v or more", *f.min)
	default:
		want = fmt.Sprintf("up to %v", *f.max)
	}
	return &Error{
		Problem: strconv.FormatFloat(u.outside(inside), 'g', 6, 64) + unitWords + " is out of range",
		Remedy:  "give a value " + want + unitWords,
	}
}

var (
	lengthType    = reflect.TypeFor[Length]()
	angleType     = reflect.TypeFor[Angle]()
	torqueType    = reflect.TypeFor[Torque]()
	pointType     = reflect.TypeFor[Point]()
	directionType = reflect.TypeFor[Direction]()

	transmitterType = reflect.TypeFor[Transmitter]()
	settingsType    = reflect.TypeFor[Settings]()
	readingsType    = reflect.TypeFor[[]Reading]()
)

// quantityKind tells the kind of a Length, Angle or Torque type.
func quantityKind(t reflect.Type) (k Kind, ok bool) {
	switch t {
	case lengthType:
		return LengthKind, true
	case angleType:
		return AngleKind, true
	case torqueType:
		return TorqueKind, true
	}
	return 0, false
}

// isTable tells whether values of the type are tables in the file.
func isTable(t reflect.Type) bool {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	_, quantity := quantityKind(t)
	return t.Kind() == reflect.Struct && !quantity
}

// isTables tells whether values of the type are lists of tables in the file.
func isTables(t reflect.Type) bool {
	return t.Kind() == reflect.Slice && isTable(t.Elem())
}

// quantityOf gives the quantity in an addressable Length, Angle or Torque.
func quantityOf(v reflect.Value) *Quantity {
	q, _ := v.Field(0).Addr().Interface().(*Quantity)
	return q
}

// axes names the three numbers of a point.
var axes = [3]string{"x", "y", "z"}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
