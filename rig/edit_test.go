package rig

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const thirdReading = "\n[[transmitter.reading]]\ncontrol = \"subtrim\" # far\nsetting = 40\nangle = 12 # read\n"

func TestEditChangesOneValueAndNothingElse(t *testing.T) {
	dotted := strings.NewReplacer("[vehicle]\nwheelbase = 310", "[vehicle]\nwheelbase=\t310 # over all",
		"[left.kingpin]\ntop", "[left]\n  kingpin.top",
		"\nbottom", "\n  kingpin.bottom",
		"point = [22, 22, 37]", "point = [ 22, # forward\n  \"22 +/- 0.5\",\n  '1.5 in', ]",
		"[[transmitter.reading]]\nsetting = 100\nangle = 45\n", "",
		"[[transmitter.reading]]\nsetting = -100\nangle = -44\n", "",
		"[drag_link]\nto = \"right\"\nshortest = 94\nlongest = 106\n", "",
		"name = \"plain\"", "name = \"plain\"\nsettings = {}\ntransmitter = {reading = [{setting = 100, angle = 45}, {angle = -44, setting = -100}]}\ndrag_link = { to = \"right\" } # far",
	).Replace(plainRig)
	for _, c := range []struct{ name, text, key, value, old, new string }{
		{"number", plainRig, "vehicle.wheelbase", "312.50", "wheelbase = 310\n", "wheelbase = 312.5\n"},
		{"number beside a remark", dotted, "vehicle.wheelbase", "312", "wheelbase=\t310 # over all", "wheelbase=\t312 # over all"},
		{"number with uncertainty", plainRig, "vehicle.wheelbase", "312 ± 1", "wheelbase = 310\n", "wheelbase = \"312 ± 1\"\n"},
		{"number of a point", plainRig, "left.tie_arm.ball.y", "69", "[-26, 69.5, \"-8", "[-26, 69, \"-8"},
		{"number that keeps its uncertainty", plainRig, "left.tie_arm.ball.z", "-7.5", "\"-8 ± 0.5\"", "\"-7.5 ± 0.5\""},
		{"number that gets another uncertainty", plainRig, "left.tie_arm.ball.z", "-7.5 ± 1", "\"-8 ± 0.5\"", "\"-7.5 ± 1\""},
		{"number that keeps its unit", dotted, "servo.point.z", "1.4", "'1.5 in'", "\"1.4 in\""},
		{"number with a typeset minus", plainRig, "left.tie_arm.ball.x", "−25", "[-26,", "[-25,"},
		{"number in a split list", dotted, "servo.point.y", "23", "\"22 +/- 0.5\"", "\"23 +/- 0.5\""},
		{"whole point in a split list", dotted, "servo.point", "[23, 24, 1.4]", "[ 22, # forward\n  \"22 +/- 0.5\",\n  '1.5 in', ]", "[ 23, # forward\n  \"24 +/- 0.5\",\n  \"1.4 in\", ]"},
		{"whole point", plainRig, "left.tie_arm.ball", "-25, 69 ± 1, \"-7\"", "[-26, 69.5, \"-8 ± 0.5\"]", "[-25, \"69 ± 1\", \"-7 ± 0.5\"]"},
		{"number taken by eye", plainRig, "vehicle.wheelbase", "about 312", "wheelbase = 310\n", "wheelbase = \"312 ± 1\"\n"},
		{"number taken by eye in place of inches", dotted, "servo.point.z", "≈ 1.4 in", "'1.5 in'", "\"1.4 in ± 0.5 mm\""},
		{"number for one taken by eye", strings.Replace(plainRig, "hole = 18", `hole = "about 18"`, 1), "horn.hole", "17.5", `"about 18"`, `"17.5 ± 1"`},
		{"table of a list taken out", plainRig + thirdReading, "transmitter.reading.1", "", "[[transmitter.reading]]\nsetting = 100\nangle = 45\n\n[[", "[["},
		{"last table of a list taken out", plainRig + thirdReading, "transmitter.reading.3", " ", thirdReading, ""},
		{"table of a list that is not there taken out", plainRig, "transmitter.reading.9", "", "wheelbase = 310\n", "wheelbase = 310\n"},
		{"word", plainRig, "servo.mount", "chassis", "\"axle\"", "\"chassis\""},
		{"text", plainRig, "name", ` my "rig" `, `"plain"`, `" my \"rig\" "`},
		{"direction as numbers", plainRig, "servo.axis", "1, 0, 0.1", `axis = "forward"`, `axis = [1, 0, 0.1]`},
		{"member of a table in a list", plainRig, "transmitter.reading.2.angle", "-43 ± 1", "angle = -44", "angle = \"-43 ± 1\""},
		{"member of an inline table in a list", dotted, "transmitter.reading.2.angle", "-43", "{angle = -44,", "{angle = -43,"},
		{"member of an inline table", dotted, "drag_link.to", "right", `to = "right"`, `to = "right"`},
		{"dotted key", dotted, "left.kingpin.top.z", "18", "74.2, 17]", "74.2, 18]"},

		{"torque that keeps its unit", plainRig + rating(`"25 kg·cm ± 1"`), "servo.rating.1.torque", "26", `"25 kg·cm ± 1"`, `"26 kg·cm ± 1"`},
		{"torque in another unit", plainRig + rating(`"25 kg·cm"`), "servo.rating.1.torque", "2.4 N·m", `"25 kg·cm"`, `"2.4 N·m"`},
		{"new key", plainRig, "horn.arms", "4", "lean = 8\n", "lean = 8\narms = 4\n"},
		{"new key at the top", plainRig, "notes", "two\nlines", "name = \"plain\"\n", "name = \"plain\"\nnotes = \"\"\"\ntwo\nlines\"\"\"\n"},
		{"new key below a remark", dotted, "vehicle.track", "201", "track = 200", "track = 201"},
		{"new list", plainRig, "horn.holes", "13, 15.5 ± 0.1, 18", "lean = 8\n", "lean = 8\nholes = [13, \"15.5 ± 0.1\", 18]\n"},
		{"new key in an inline table", dotted, "drag_link.thread", "M3", `{ to = "right" }`, `{ to = "right", thread = "M3" }`},
		{"new key in an empty inline table", dotted, "settings.subtrim", "-4", "{}", "{ subtrim = -4}"},
		{"new key in a list of tables", plainRig, "transmitter.reading.1.pulse", "1900", "angle = 45\n", "angle = 45\npulse = 1900\n"},
		{"new key beside dotted ones in an inline table", dotted, "transmitter.expo", "true", "setting = -100}]}", "setting = -100}], expo = true}"},
		{"new key of a table named in part", plainRig, "transmitter.expo", "true", "angle = -44\n", "angle = -44\n\n[transmitter]\nexpo = true\n"},
		{"new table", plainRig, "settings.subtrim", "12", "angle = -44\n", "angle = -44\n\n[settings]\nsubtrim = 12\n"},
		{"new table in a table", plainRig, "left.stops.in", "40", "angle = -44\n", "angle = -44\n\n[left.stops]\nin = 40\n"},
		{"new table without a last line end", strings.TrimSuffix(plainRig, "\n"), "want.lock", "30", "angle = -44", "angle = -44\n\n[want]\nlock = 30\n"},
		{"new key without a last line end", strings.TrimSuffix(plainRig, "\n"), "transmitter.reading.2.pulse", "1100", "angle = -44", "angle = -44\npulse = 1100"},
		{"Windows line ends", strings.ReplaceAll(plainRig, "\n", "\r\n"), "horn.arms", "4", "lean = 8\r\n", "lean = 8\r\narms = 4\r\n"},
		{"byte order mark", "\xef\xbb\xbf" + plainRig, "horn.arms", "4", "lean = 8\n", "lean = 8\narms = 4\n"},
		{"mends a file", strings.Replace(plainRig, "hole = 18", "hole = 'x'", 1), "horn.hole", "17", "'x'", "17"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if strings.Count(c.text, c.old) != 1 {
				t.Fatalf("%q is not once in the text", c.old)
			}
			got, err := Edit([]byte(c.text), c.key, c.value)
			if err != nil {
				t.Fatal(err)
			}
			if want := strings.Replace(c.text, c.old, c.new, 1); string(got) != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

func TestEditAllAddsKeysThatNeedOneAnother(t *testing.T) {
	for _, c := range []struct {
		name, text string
		settings   []Setting
		added      string
	}{
		{
			"a list of tables that is not there", plainRig,
			[]Setting{{Key: "servo.rating.1.voltage", Value: "6"}, {Key: "servo.rating.1.torque", Value: "9 kg·cm"}, {Key: "servo.rating.1.time", Value: "0.17"}},
			"\n[[servo.rating]]\nvoltage = 6\ntorque = \"9 kg·cm\"\ntime = 0.17\n",
		},
		{
			"the next of a list of tables", plainRig + rating(`"9 kg·cm"`),
			[]Setting{{Key: "servo.rating.2.voltage", Value: "8"}, {Key: "servo.rating.2.torque", Value: "11 kg·cm"}, {Key: "servo.rating.2.time", Value: "0.14"}},
			"\n[[servo.rating]]\nvoltage = 8\ntorque = \"11 kg·cm\"\ntime = 0.14\n",
		},
		{
			"a list of tables in a table that is not there", strings.Split(plainRig, "[[")[0],
			[]Setting{
				{Key: "transmitter.reading.1.setting", Value: "100"},
				{Key: "transmitter.reading.1.angle", Value: "45"},
				{Key: "transmitter.reading.2.setting", Value: "-100"},
				{Key: "transmitter.reading.2.angle", Value: "-45"},
			},
			"\n[[transmitter.reading]]\nsetting = 100\nangle = 45\n\n[[transmitter.reading]]\nsetting = -100\nangle = -45\n",
		},
		{
			"two tables", strings.TrimSuffix(plainRig, "\n"),
			[]Setting{{Key: "supply.voltage", Value: "6"}, {Key: "supply.resistance", Value: "0.1"}, {Key: "ground.friction", Value: "0.9"}},
			"\n\n[supply]\nvoltage = 6\nresistance = 0.1\n\n[ground]\nfriction = 0.9\n",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := EditAll([]byte(c.text), c.settings...)
			if err != nil {
				t.Fatal(err)
			}
			if want := c.text + c.added; string(got) != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

func TestEditAllPutsTheNextOfAListBelowTheLast(t *testing.T) {
	for name, ends := range map[string]string{"LF": "\n", "CRLF": "\r\n"} {
		t.Run(name, func(t *testing.T) {
			own := func(text string) string { return strings.ReplaceAll(text, "\n", ends) }
			before, after := own(plainRig), own("# the battery\n[supply]\nvoltage = 6\n")
			got, err := EditAll([]byte(before+after),
				Setting{Key: "transmitter.reading.3.control", Value: "subtrim"}, Setting{Key: "transmitter.reading.3.setting", Value: "40"}, Setting{Key: "transmitter.reading.3.angle", Value: "about 12"})
			if err != nil {
				t.Fatal(err)
			}
			if want := before + own("\n[[transmitter.reading]]\ncontrol = \"subtrim\"\nsetting = 40\nangle = \"12 ± 1\"\n") + after; string(got) != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

func TestEditTakesAKeyOut(t *testing.T) {
	more := strings.Replace(plainRig, "lean = 8\n", "lean = 8\n  arms = 4 # even\nholes = [\n 13, # the short one\n 18]\n", 1)
	inLine := strings.Replace(plainRig, "[drag_link]\nto = \"right\"\nshortest = 94\nlongest = 106\n", "", 1)
	inLine = strings.Replace(inLine, "name = \"plain\"", "name = \"plain\"\ndrag_link = { to = \"right\", shortest = 94, longest = 106 }", 1)
	before, _, _ := strings.Cut(plainRig, "[[transmitter.reading]]")
	oneLine := before + "[transmitter]\nreading = [{setting = 100, angle = 45}, {setting = 50, angle = 22}, {setting = -100, angle = -44}]\n"
	for _, c := range []struct{ name, text, key, old, says string }{
		{"with its remark", more, "horn.arms", "  arms = 4 # even\n", ""},
		{"over several lines", more, "horn.holes", "holes = [\n 13, # the short one\n 18]\n", ""},
		{"at the end", strings.TrimSuffix(plainRig+rating(`"9 kg·cm"`), "\n") + "\nstall_current = 2", "servo.rating.1.stall_current", "stall_current = 2", ""},
		{"that is not there", plainRig, "horn.arms", "", ""},
		{"that must be there", plainRig, "vehicle.wheelbase", "", "wheelbase"},
		{"within a line", inLine, "drag_link.shortest", "", "a line of its own"},
		{"that is one of two tables", plainRig, "transmitter.reading.2", "", "two are needed"},
		{"that is a table in a line", oneLine, "transmitter.reading.2", "", "a header of its own"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Edit([]byte(c.text), c.key, " ")
			if c.says != "" {
				if err == nil || !strings.Contains(err.Error(), c.says) {
					t.Fatalf("got %v", err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if want := strings.Replace(c.text, c.old, "", 1); string(got) != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

func TestEditAllRefusesAHalfTableAndAGap(t *testing.T) {
	for _, c := range []struct {
		name, text, key, value, says string
	}{
		{"a rating without torque and time", plainRig, "servo.rating.1.voltage", "6", "torque"},
		{"a rating beyond the next", plainRig, "servo.rating.2.voltage", "6", "is not in the file"},
		{"a number beyond a list", plainRig, "horn.holes.3", "6", "is part of"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := EditAll([]byte(c.text), Setting{Key: c.key, Value: c.value})
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v, with text\n%s", err, got)
			}
		})
	}
}

func TestEditRefusesWhatReadWouldRefuse(t *testing.T) {
	for _, c := range []struct{ name, text, key, value, want string }{
		{"unknown key", plainRig, "horn.armz", "4", "horn.armz: armz is not a key of a rig file; did you mean arms?"},
		{"no key", plainRig, "", "4", "is not a key of a rig file"},
		{"key within a number", plainRig, "horn.hole.x", "4", "horn.hole.x: x is not a part of it"},
		{"fourth number of a point", plainRig, "servo.point.4", "4", "servo.point.4: 4 is not a part of it"},
		{"table", plainRig, "horn", "4", "horn: is a table"},
		{"list of tables", plainRig, "transmitter.reading", "4", "is a table"},
		{"table that a list of tables lacks", plainRig, "transmitter.reading.4.angle", "4", "transmitter.reading.4.angle: has no such"},
		{"number of a point that is not there", plainRig, "horn.ball.y", "4", "horn.ball.y: is part of horn.ball, which is not in the file"},
		{"member of a list that is not there", plainRig, "horn.holes.1", "4", "horn.holes.1: is part of horn.holes"},
		{"second reading where there is none", strings.Split(plainRig, "[[")[0], "transmitter.reading.2.angle", "4", "is part of transmitter.reading, which"},
		{"garbage", plainRig, "horn.hole", "big", `line 37: horn.hole: "big" is not a length`},
		{"nothing", plainRig, "horn.hole", "", "horn.hole: is missing"},
		{"infinite", plainRig, "horn.hole", "inf", `horn.hole: "inf" is not a length`},
		{"out of range", plainRig, "horn.hole", "-3", "horn.hole: -3 is out of range"},
		{"unit of the wrong kind", plainRig, "horn.hole", "3 deg", "not a unit of length"},
		{"torque without a unit", plainRig, "servo_saver.preload", "3", "states no unit"},
		{"torque in place of one without a unit", strings.Replace(plainRig, "[horn]", "[servo_saver]\npreload = 2\nstiffness = \"1 Nm\"\n[horn]", 1), "servo_saver.preload", "3", "states no unit"},
		{"wrong word", plainRig, "servo.mount", "roof", "write axle or chassis"},
		{"point of two", plainRig, "servo.point", "1, 2", "has 2 numbers"},
		{"word for a switch", plainRig, "settings.reverse", "yes", `"yes" is neither true nor false`},
		{"word for a number", plainRig, "settings.subtrim", "some", `"some" is not a number`},
		{"fraction for a whole number", plainRig, "servo.teeth", "25.5", `"25.5" is not a whole number`},
		{"contradiction", plainRig, "drag_link.to", "left", "left.drag_arm: is missing"},
		{"other error in the file", strings.Replace(plainRig, "track", "trakc", 1), "horn.hole", "17", "did you mean track?"},
		{"not TOML", plainRig + "x", "horn.hole", "17", "line 53"},
		{"list in place of a number", strings.Replace(plainRig, "hole = 18", "hole = [[1]]", 1), "horn.hole.1", "17", "is not a part of it"},
		{"list within a point", strings.Replace(plainRig, "[22, 22, 37]", "[22, [], 37]", 1), "servo.point", "1, 2, 3", "holds a list"},
		{"table in place of a number", plainRig + "[horn.holes]\n", "horn.holes", "17", "is a table in the file"},
		{"too large", plainRig + "#" + strings.Repeat("x", MaxSize), "horn.hole", "17", "larger than 1 MiB"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Edit([]byte(c.text), c.key, c.value)
			if err == nil || got != nil {
				t.Fatalf("got %q", got)
			}
			if !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
			var one *Error
			if !errors.As(err, &one) || one.Remedy == "" {
				t.Errorf("no remedy in %v", err)
			}
		})
	}
}

func TestEditSetsAnyMeasurementInAnyStarter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		starter := rapid.SampledFrom(Starters()).Draw(t, "starter")
		want, err := Read(bytes.NewReader(starter.Text), starter.Name)
		if err != nil {
			t.Fatal(err)
		}
		m := rapid.SampledFrom(want.Measurements()).Draw(t, "measurement")
		value, spread := m.Q.Value*rapid.Float64Range(0.99, 1.01).Draw(t, "factor"), m.Q.Uncertainty
		u := m.Kind.fileUnit("")
		text := u.format(value)
		if rapid.Bool().Draw(t, "with ±") {
			spread = u.inside(0.125)
			text += " ± 0.125"
		}
		edited, err := Edit(starter.Text, m.Path, text)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Read(bytes.NewReader(edited), "edited")
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range got.Measurements() {
			if g.Path == m.Path {
				if d := g.Q.Value - value; d > 1e-12 || d < -1e-12 || g.Q.Uncertainty != spread {
					t.Fatalf("got %+v, want %v ± %v", *g.Q, value, spread)
				}
				*g.Q = *m.Q
			}
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatal("another value changed")
		}
		before, after := bytes.Split(starter.Text, []byte("\n")), bytes.Split(edited, []byte("\n"))
		changed := 0
		for i := range before {
			if !bytes.Equal(before[i], after[i]) {
				changed++
			}
		}
		if len(before) != len(after) || changed > 1 {
			t.Fatalf("%d lines changed", changed)
		}
	})
}

func FuzzEdit(f *testing.F) {
	for _, s := range Starters() {
		f.Add(s.Text, "left.tie_arm.ball.y", "60")
	}
	f.Add([]byte(plainRig), "transmitter.reading.2.angle", "-43 ± 1")
	f.Add([]byte(plainRig), "left.stops.in", "40")
	f.Add([]byte(plainRig+thirdReading), "transmitter.reading.2", "")
	f.Add([]byte(plainRig), "vehicle.wheelbase", "about 312")
	f.Add([]byte(plainRig), "notes", "a\n\"\"\"\r")
	f.Add([]byte("\xef\xbb\xbf[[left]]\nkingpin.top = [1, {a=[2]}, []]"), "left.kingpin.top", "1,2,3")
	f.Fuzz(func(t *testing.T, src []byte, key, value string) {
		before := bytes.Clone(src)
		out, err := Edit(src, key, value)
		if !bytes.Equal(src, before) {
			t.Fatal("changed what it was given")
		}
		if err != nil {
			if out != nil || err.Error() == "" {
				t.Fatalf("got %q, %v", out, err)
			}
			return
		}
		if _, err := Read(bytes.NewReader(out), "x"); err != nil {
			t.Fatalf("made a file that cannot be read: %v", err)
		}
	})
}
