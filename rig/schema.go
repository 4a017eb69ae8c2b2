package rig

import (
	"encoding/json"
	"reflect"
)

// Schema gives the JSON Schema (draft 2020-12) of a rig file, made from the same
// types and tags that Read goes by, for the completion and the checks of an editor.
// It knows the keys, the words, the bounds of plain numbers and the shapes of
// quantities; what keys say against one another, only Read checks.
func Schema() ([]byte, error) {
	s := schemaMaker{defs: map[string]*tableSchema{}}
	top := s.table(reflect.TypeFor[Rig]())
	top.Schema = "https://json-schema.org/draft/2020-12/schema"
	top.Title = "evenlock rig file"
	top.Properties["format"]["maximum"] = Format
	top.Defs = s.defs
	return json.MarshalIndent(top, "", "  ")
}

type object = map[string]any

// A tableSchema describes a table; the first two and the last are for the file itself.
type tableSchema struct {
	Schema     string                  `json:"$schema,omitempty"`
	Title      string                  `json:"title,omitempty"`
	Type       string                  `json:"type"`
	Required   []string                `json:"required,omitempty"`
	Properties map[string]object       `json:"properties"`
	OtherKeys  bool                    `json:"additionalProperties"`
	AllOf      []object                `json:"allOf,omitempty"`
	Defs       map[string]*tableSchema `json:"$defs,omitempty"`
}

// A schemaMaker collects the definition of each table once.
type schemaMaker struct{ defs map[string]*tableSchema }

func (s schemaMaker) table(t reflect.Type) *tableSchema {
	table := &tableSchema{Type: "object", Properties: map[string]object{}}
	for _, f := range fieldsOf(t) {
		one := s.value(f.typ, f)
		one["description"] = f.doc
		if f.need != nil {
			one["required"] = f.need
		}
		if f.hasDef {
			one["default"] = f.def
		}
		if f.required {
			table.Required = append(table.Required, f.name)
		}
		table.Properties[f.name] = one
		if f.typ == transmitterType {
			table.AllOf = screenBounds(fieldsOf(t))
		}
	}
	return table
}

func (s schemaMaker) value(t reflect.Type, f field) object {
	if k, ok := quantityKind(t); ok {
		units := "mm|in"
		switch k {
		case AngleKind:
			units = "deg|°"
		case TorqueKind:
			units = torqueUnitNames
		}
		full := `\s*` + numberPattern + `\s*(?:` + units + `)\s*`
		part := `\s*` + numberPattern + `\s*(?:` + units + `)?\s*`
		text := func(pattern string) object {
			return object{"type": "string", "pattern": `^(?:\s*` + aboutPattern + `)?` + pattern + "$"}
		}
		if k.wantsUnit() {
			// One unit serves for both numbers, wherever it stands.
			return object{"anyOf": []object{text(full + "(?:" + plusMinusPattern + part + ")?"), text(part + plusMinusPattern + full)}}
		}
		return object{"anyOf": []object{bounded(object{"type": "number"}, f), text(part + "(?:" + plusMinusPattern + part + ")?")}}
	}
	switch {
	case t == pointType:
		return listOf(s.value(lengthType, field{}), 3)
	case t == directionType:
		words := []string{"forward", "back", "left", "right", "up", "down"}
		return object{"anyOf": []object{{"enum": words}, listOf(object{"type": "number"}, 3)}}
	case t.Kind() == reflect.Pointer:
		return s.value(t.Elem(), f)
	case t.Kind() == reflect.Slice:
		return object{"type": "array", "items": s.value(t.Elem(), f)}
	case t.Kind() == reflect.Struct:
		if _, ok := s.defs[t.Name()]; !ok {
			s.defs[t.Name()] = s.table(t)
		}
		return object{"$ref": "#/$defs/" + t.Name()}
	case t.Kind() == reflect.Bool:
		return object{"type": "boolean"}
	case t.Kind() == reflect.Int:
		return bounded(object{"type": "integer"}, f)
	case t.Kind() == reflect.Float64:
		return bounded(object{"type": "number"}, f)
	}
	if f.enum != nil {
		return object{"enum": f.enum}
	}
	return object{"type": "string"}
}

func bounded(number object, f field) object {
	for key, bound := range map[string]*float64{"minimum": f.min, "maximum": f.max, "exclusiveMinimum": f.above} {
		if bound != nil {
			number[key] = *bound
		}
	}
	return number
}

func listOf(item object, n int) object {
	return object{"type": "array", "items": item, "minItems": n, "maxItems": n}
}
