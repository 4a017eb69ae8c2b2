package rig

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
)

// on is the plain rig with a transmitter that shows so, and settings.
func on(shows, transmitter, settings string) string {
	if shows != "" {
		transmitter = fmt.Sprintf("shows = %q\n%s", shows, transmitter)
	}
	before, after, _ := strings.Cut(plainRig, "[[transmitter.reading]]")
	return before + "[transmitter]\n" + transmitter + "\n[settings]\n" + settings + "\n[[transmitter.reading]]" + after
}

// What a transmitter can show depends on what it counts in; the schema of an editor and Read agree.
func TestNumbersOfTheScreenAreBoundByItsUnit(t *testing.T) {
	schema := compiledSchema(t)
	for _, c := range []struct {
		shows, transmitter, settings string
		wrong                        string
	}{
		{"", "max_endpoint = 150", "endpoint_left = 120", ""},
		{"", "max_endpoint = 400", "", "transmitter.max_endpoint"},
		{"percent", "", "endpoint_left = 400", "settings.endpoint_left"},
		{"µs", "max_endpoint = 500", "endpoint_left = 400\nendpoint_right = 380\nsubtrim = -35", ""},
		{"us", "max_endpoint = 500", "endpoint_left = 400", ""},
		{"μs", "max_endpoint = 500", "endpoint_left = 400", ""}, // with the Greek letter
		{"µs", "max_endpoint = 1001", "", "transmitter.max_endpoint"},
		{"steps", "max_endpoint = 1024", "endpoint_left = 1000\ntrim = -1200", ""},
		{"steps", "max_endpoint = 1024\nmax_trim = 2049", "", "transmitter.max_trim"},
		{"steps", "max_endpoint = 1024", "subtrim = -2049", "settings.subtrim"},
	} {
		text := on(c.shows, c.transmitter, c.settings)
		_, err := Read(strings.NewReader(text), "rig.toml")
		var all Errors
		switch {
		case c.wrong == "" && err != nil:
			t.Errorf("%s: %v", c.shows+" "+c.settings, err)
		case c.wrong != "" && (!errors.As(err, &all) || len(all) != 1 || all[0].Key != c.wrong || all[0].Line == 0 || all[0].Remedy == ""):
			t.Errorf("%s %s %s: got %v", c.shows, c.transmitter, c.settings, err)
		}
		if c.shows == "μs" {
			continue // a schema has but the words themselves
		}
		if err := validate(t, schema, text); (err != nil) != (c.wrong != "") {
			t.Errorf("%s %s %s: the schema says %v", c.shows, c.transmitter, c.settings, err)
		}
	}
}

// A number that the file itself says the transmitter cannot show is refused, on either axle.
func TestSettingsBeyondTheGreatestAreRefused(t *testing.T) {
	greatest := "max_endpoint = 90\nmax_subtrim = 50\nmax_trim = 20"
	for key, value := range map[string]string{"endpoint_left": "91", "endpoint_right": "120", "subtrim": "-51", "trim": "21"} {
		_, err := Read(strings.NewReader(strings.ReplaceAll(on("", greatest, key+" = "+value), "setting = ", "# setting = ")), "rig.toml")
		var all Errors
		if !errors.As(err, &all) || all[0].Key != "settings."+key || all[0].Line == 0 || !strings.Contains(all[0].Problem, "transmitter.max_") || all[0].Remedy == "" {
			t.Errorf("%s = %s: got %v", key, value, err)
		}
	}
	text := strings.Replace(on("", "max_endpoint = 150", ""), "setting = 100", "setting = 400", 1)
	_, err := Read(strings.NewReader(text), "rig.toml")
	var all Errors
	if !errors.As(err, &all) || all[0].Key != "transmitter.reading.1.setting" || all[0].Line == 0 {
		t.Errorf("a reading at 400 with a greatest endpoint of 150: got %v", err)
	}
	// One may bring the greatest in after the readings.
	read(t, on("", "max_endpoint = 55", ""))
	example, err := os.ReadFile("../examples/four-wheel.toml")
	if err != nil {
		t.Fatal(err)
	}
	rear := string(example) + "\n[rear.transmitter]\nmax_endpoint = 110\n[rear.settings]\nendpoint_left = 111\n"
	if _, err := Read(strings.NewReader(rear), "rig.toml"); err == nil || !strings.Contains(err.Error(), "rear.settings.endpoint_left") ||
		!strings.Contains(err.Error(), "rear.transmitter.max_endpoint") {
		t.Errorf("at the rear: got %v", err)
	}
}

// Left out, an endpoint is 100 percent as ever, but no number of µs or steps is a usual one.
func TestEndpointsLeftOutAreTheUsualOnes(t *testing.T) {
	for _, c := range []struct {
		shows, transmitter string
		want               float64
	}{
		{"", "", 100},
		{"", "max_endpoint = 80", 80},
		{"", "max_endpoint = 150", 100},
		{"µs", "max_endpoint = 450", 450},
		{"steps", "max_endpoint = 1024", 1024},
		{"steps", "", 100}, // what was read
	} {
		r := read(t, on(c.shows, c.transmitter, ""))
		if r.Settings.EndpointLeft != c.want || r.Settings.EndpointRight != c.want {
			t.Errorf("%s %s: got %v and %v", c.shows, c.transmitter, r.Settings.EndpointLeft, r.Settings.EndpointRight)
		}
		var b strings.Builder
		if err := Write(&b, r); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(b.String(), "endpoint_") && !strings.Contains(b.String(), "max_endpoint") || strings.Contains(b.String(), "endpoint_left") {
			t.Errorf("%s: the usual endpoint is written:\n%s", c.shows, b.String())
		}
		// Any other number is stated.
		r.Settings.EndpointLeft = 79
		b.Reset()
		if err := Write(&b, r); err != nil {
			t.Fatal(err)
		}
		if back := read(t, b.String()); back.Settings.EndpointLeft != 79 {
			t.Errorf("%s: 79 came back as %v", c.shows, back.Settings.EndpointLeft)
		}
	}
}
