package rig

import (
	"reflect"
	"strconv"
	"strings"
)

// lookup returns the value or table of a dotted key, as Measurement.Path has it; nil where the rig
// has none, or where it is no T.
func lookup[T any](r *Rig, key string) *T {
	found, _ := find(r, key).(*T)
	return found
}

// find returns a pointer to what has a dotted key; nil where the rig has none.
func find(r *Rig, key string) any {
	v := reflect.ValueOf(r).Elem()
	for name := range strings.SplitSeq(key, ".") {
		if v = inside(v, name); !v.IsValid() {
			return nil
		}
	}
	return v.Addr().Interface()
}

// inside returns what a table or a list of tables has by a name; pointers are followed.
func inside(v reflect.Value, name string) reflect.Value {
	switch v.Kind() {
	case reflect.Slice:
		if i, err := strconv.Atoi(name); err == nil && i >= 1 && i <= v.Len() {
			return v.Index(i - 1)
		}
	case reflect.Struct:
		for _, f := range fieldsOf(v.Type()) {
			if f.name == name {
				return reflect.Indirect(v.FieldByIndex(f.index))
			}
		}
	}
	return reflect.Value{}
}

// Point returns a point by its key, such as "left.kingpin.top"; nil where the rig does not give it.
func (r *Rig) Point(key string) *Point {
	if p := lookup[Point](r, key); p != nil && p.Given() {
		return p
	}
	return nil
}

// Rod returns the table of a rod by its key, such as "drag_link" or "crank.left_rod"; nil where the
// rig has none.
func (r *Rig) Rod(key string) *Rod {
	if l := lookup[DragLink](r, key); l != nil {
		return &l.Rod
	}
	if t := lookup[TieRod](r, key); t != nil {
		return &t.Rod
	}
	if c := lookup[CentreLink](r, key); c != nil {
		return &c.Rod
	}
	return lookup[Rod](r, key)
}

// Arm returns the table of a knuckle's arm by its key, such as "left.tie_arm"; nil where the rig has
// none.
func (r *Rig) Arm(key string) *Arm { return lookup[Arm](r, key) }
