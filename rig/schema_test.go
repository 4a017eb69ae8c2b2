package rig

import (
	"bytes"
	"encoding/json"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	text, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("rig.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("rig.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

// validate checks a TOML text against the schema, by way of JSON.
func validate(t *testing.T, schema *jsonschema.Schema, text string) error {
	t.Helper()
	var tree map[string]any
	if err := toml.Unmarshal([]byte(text), &tree); err != nil {
		t.Fatal(err)
	}
	asJSON, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(asJSON))
	if err != nil {
		t.Fatal(err)
	}
	return schema.Validate(doc)
}

func TestSchemaTakesWhatReadTakes(t *testing.T) {
	schema := compiledSchema(t)
	for _, s := range Starters() {
		if err := validate(t, schema, string(s.Text)); err != nil {
			t.Errorf("%s: %v", s.Name, err)
		}
	}
	for _, hole := range []string{"18", "18.5", `"18"`, `"18 ± 0.2"`, `"18 +/- 0.2 mm"`, `"18 +- 0.2"`, `"0.7 in"`, `"0.7 in ± 0.01 in"`, `" 7e-1 in"`, `"about 18"`, `"Ca. 18.5 mm"`, `"≈0.7 in"`} {
		text := strings.Replace(plainRig, "hole = 18", "hole = "+hole, 1)
		read(t, text)
		if err := validate(t, schema, text); err != nil {
			t.Errorf("hole %s: %v", hole, err)
		}
	}
	for _, torque := range []string{"25 kg·cm", "25kgf.cm", "25 KG-CM", "2.4 N·m", "2.4Nm ± 0.1", "2.4 ± 0.1 N m", "2.4 N·m +/- 50 N.mm", "340 oz*in", "340 ozf·in", "~25 kg·cm"} {
		text := plainRig + rating(`"`+torque+`"`)
		read(t, text)
		if err := validate(t, schema, text); err != nil {
			t.Errorf("torque %s: %v", torque, err)
		}
	}
}

// rating is a table for the end of a file.
func rating(torque string) string {
	return "[[servo.rating]]\nvoltage = 6\ntorque = " + torque + "\ntime = 0.15\n"
}

func TestSchemaRefusesWhatReadRefuses(t *testing.T) {
	schema := compiledSchema(t)
	for name, c := range map[string]struct{ old, new string }{
		"misspelt key":           {"wheelbase", "wheelbsae"},
		"missing key":            {"wheelbase = 310\n", ""},
		"missing table":          {"[left.wheel]\ntyre_radius = 58\ntyre_width = 45\n", ""},
		"newer format":           {"format = 1", "format = 2"},
		"unit of another kind":   {"hole = 18", `hole = "18 deg"`},
		"unknown unit":           {"lean = 8", `lean = "8 rad"`},
		"garbage":                {"hole = 18", `hole = "18 mm or so"`},
		"negative length":        {"hole = 18", "hole = -18"},
		"angle out of range":     {"lean = 8", "lean = 181"},
		"wrong word":             {`mount = "axle"`, `mount = "roof"`},
		"wrong direction":        {`axis = "forward"`, `axis = "front"`},
		"direction of two":       {`axis = "forward"`, `axis = [1, 0]`},
		"point of two":           {"[22, 22, 37]", "[22, 22]"},
		"fraction of a tooth":    {`axis = "forward"`, "axis = \"forward\"\nteeth = 2.5"},
		"text for a number":      {"setting = 100", `setting = "100"`},
		"table for a list":       {"[[transmitter.reading]]\nsetting = 100\nangle = 45\n\n[[transmitter.reading]]", "[transmitter.reading]"},
		"text for true or false": {"[horn]", "[settings]\nreverse = \"true\"\n[horn]"},
		"torque without a unit":  {"[horn]", rating("25") + "[horn]"},
		"text without a unit":    {"[horn]", rating(`"25 ± 1"`) + "[horn]"},
		"torque in kilograms":    {"[horn]", rating(`"25 kg"`) + "[horn]"},
		"rating without torque":  {"[horn]", "[[servo.rating]]\nvoltage = 6\ntime = 0.1\n[horn]"},
	} {
		t.Run(name, func(t *testing.T) {
			text := strings.Replace(plainRig, c.old, c.new, 1)
			if text == plainRig {
				t.Fatal("nothing is spoilt")
			}
			if _, err := Read(strings.NewReader(text), "x"); err == nil {
				t.Error("Read takes it")
			}
			if err := validate(t, schema, text); err == nil {
				t.Error("the schema takes it")
			}
		})
	}
}

func TestSchemaAsItStands(t *testing.T) {
	text, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "schema.golden.json", text)
}

// The tags are the only description of the file, so a slip in one would go unseen.
func TestTagsAreWhole(t *testing.T) {
	known := []string{"toml", "doc", "enum", "need", "min", "max", "above", "default", "accuracy", "screen"}
	tag := regexp.MustCompile(`(\w+):"`)
	var walk func(reflect.Type)
	seen := map[reflect.Type]bool{}
	walk = func(table reflect.Type) {
		for table.Kind() == reflect.Pointer || table.Kind() == reflect.Slice {
			table = table.Elem()
		}
		if seen[table] || !isTable(table) {
			return
		}
		seen[table] = true
		names := map[string]bool{}
		for _, f := range fieldsOf(table) {
			if f.name == "" || f.doc == "" || names[f.name] {
				t.Errorf("%s: key %q lacks a name or doc, or is there twice", table, f.name)
			}
			names[f.name] = true
			walk(f.typ)
		}
		for i := range table.NumField() {
			f := table.Field(i)
			for _, m := range tag.FindAllStringSubmatch(string(f.Tag), -1) {
				if !slices.Contains(known, m[1]) {
					t.Errorf("%s.%s: unknown tag %s", table, f.Name, m[1])
				}
			}
			for _, number := range []string{"min", "max", "above", "default"} {
				text, ok := f.Tag.Lookup(number)
				if _, err := strconv.ParseFloat(text, 64); ok && err != nil {
					t.Errorf("%s.%s: %s is no number", table, f.Name, number)
				}
				if (f.Type == lengthType || f.Type == torqueType) && text != "" && text != "0" {
					t.Errorf("%s.%s: a length or torque has a bound other than 0, which depends on the unit", table, f.Name)
				}
			}
			for _, need := range list(f.Tag.Get("need")) {
				if !slices.ContainsFunc(fieldsOf(f.Type), func(f field) bool { return f.name == need }) {
					t.Errorf("%s.%s: needs an unknown key %s", table, f.Name, need)
				}
			}
		}
	}
	walk(reflect.TypeFor[Rig]())
	if len(seen) < 15 {
		t.Errorf("saw only %d tables", len(seen))
	}
}
