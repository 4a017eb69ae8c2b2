package rig

import (
	"bytes"
	"errors"
	"io"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"
)

// plainRig is a small whole rig, one key a line, for tests to spoil.
const plainRig = `format = 1
name = "plain"

[accuracy]
length = 0.2
angle = 1

[vehicle]
wheelbase = 310
track = 200

[left.kingpin]
top = [-1.8, 74.2, 17]
bottom = [1.8, 77.8, -17]

[left.wheel]
tyre_radius = 58
tyre_width = 45

[left.tie_arm]
ball = [-26, 69.5, "-8 ± 0.5"]

[right.drag_arm]
length = 28
points = "forward"
height = 19

[tie_rod]
thread = "M3"

[servo]
mount = "axle"
point = [22, 22, 37]
axis = "forward"

[horn]
hole = 18
points = "down"
lean = 8

[drag_link]
to = "right"
shortest = 94
longest = 106

[[transmitter.reading]]
setting = 100
angle = 45

[[transmitter.reading]]
setting = -100
angle = -44
`

func read(t *testing.T, text string) *Rig {
	t.Helper()
	r, err := Read(strings.NewReader(text), "x.toml")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestEachMistakeIsNamedWithItsLineKeyAndRemedy(t *testing.T) {
	for _, c := range []struct {
		name     string
		old, new string // of plainRig
		at       string // text on the line that must be named
		key      string
		remedy   string
	}{
		{"syntax", "wheelbase = 310", "wheelbase = 310 ± 1", "wheelbase", "vehicle.wheelbase", "double quotes"},
		{"key given twice", "tyre_width = 45", "tyre_width = 45\ntyre_width = 46", "tyre_width = 46", "left.wheel.tyre_width", "keep one of the two"},
		{"table given twice", "[servo]", "[horn]\n[servo]", "[horn]\nhole", "horn", "keep one of the two"},
		{"misspelt key", "wheelbase", "wheelbsae", "wheelbsae", "vehicle.wheelbsae", "did you mean wheelbase?"},
		{"American spelling", "tyre_radius", "tire_radius", "tire_radius", "left.wheel.tire_radius", "did you mean tyre_radius?"},
		{"unknown key", "track = 200", "track = 200\ncolour = 3", "colour", "vehicle.colour", "its table takes wheelbase, track"},
		{"odd key", "track = 200", "track = 200\n\"a b\" = 3", "a b", `vehicle."a b"`, "its table takes"},
		{"missing format", "format = 1\n", "", "name", "format", "which is 1"},
		{"format zero", "format = 1", "format = 0", "format", "format", "1 or more"},
		{"format not a number", "format = 1", `format = "1"`, "format", "format", "whole number"},
		{"missing key", "wheelbase = 310\n", "", "[vehicle]", "vehicle.wheelbase", "add it: steered axle to the other axle"},
		{"missing table", "[servo]\nmount = \"axle\"\npoint = [22, 22, 37]\naxis = \"forward\"\n", "", "format", "servo", "add a table [servo]"},
		{"missing left table", "[left.wheel]\ntyre_radius = 58\ntyre_width = 45\n", "", "[left.kingpin]", "left.wheel", "add a table [left.wheel]"},
		{"text for a number", "setting = 100", `setting = "100"`, `"100"`, "transmitter.reading.1.setting", "without quotes"},
		{"number for text", `name = "plain"`, "name = 3", "name", "name", "double quotes"},
		{"fraction for a whole number", `axis = "forward"`, "axis = \"forward\"\nteeth = 25.5", "teeth", "servo.teeth", "whole number"},
		{"word for a switch", "[[transmitter", "[settings]\nreverse = \"yes\"\n[[transmitter", "reverse", "settings.reverse", "true or false"},
		{"table for a length", "hole = 18", "hole = {mm = 18}", "hole", "horn.hole", "write a number"},
		{"date for a length", "hole = 18", "hole = 2020-01-01", "hole", "horn.hole", "write a number"},
		{"list of tables for a table", "[tie_rod]", "[[tie_rod]]", "[[tie_rod]]", "tie_rod", "write [tie_rod] on a line of its own"},
		{"wrong word", `mount = "axle"`, `mount = "axel"`, "axel", "servo.mount", "write axle or chassis"},
		{"wrong direction", `axis = "forward"`, `axis = "front"`, "front", "servo.axis", "write forward, back"},
		{"zero direction", `axis = "forward"`, `axis = [0, 0, 0]`, "axis", "servo.axis", "three numbers"},
		{"direction of two", `axis = "forward"`, `axis = [0, 1]`, "axis", "servo.axis", "three numbers"},
		{"infinite direction", `axis = "forward"`, `axis = [0, 1, inf]`, "axis", "servo.axis", "three numbers"},
		{"point of two", "point = [22, 22, 37]", "point = [22, 22]", "[22, 22]", "servo.point", "three numbers"},
		{"point as text", "point = [22, 22, 37]", `point = "22, 22, 37"`, "22, 22, 37", "servo.point", "three numbers"},
		{"wrong number of a point", "point = [22, 22, 37]", "point = [22,\n 22,\n \"37 deg\"]", "37 deg", "servo.point.z", "mm or in"},
		{"not a number", "hole = 18", "hole = nan", "hole", "horn.hole", "write a number"},
		{"infinite", "setting = 100", "setting = inf", "inf", "transmitter.reading.1.setting", "leave the key out"},
		{"unit of the wrong kind", "lean = 8", `lean = "8 mm"`, "lean", "horn.lean", "deg or °"},
		{"negative uncertainty", "hole = 18", `hole = "18 ± -1"`, "hole", "horn.hole", "without a sign"},
		{"uncertain accuracy", "length = 0.2", `length = "0.2 ± 0.1"`, "0.1", "accuracy.length", "number alone"},
		{"negative accuracy", "angle = 1\n", "angle = -1\n", "angle = -1", "accuracy.angle", "from 0 to 45 degrees"},
		{"zero length", "wheelbase = 310", "wheelbase = 0", "wheelbase", "vehicle.wheelbase", "above 0"},
		{"negative hole", "hole = 18", "hole = -18", "hole", "horn.hole", "above 0"},
		{"steep angle", "lean = 8", "lean = 181", "lean", "horn.lean", "from -180 to 180 degrees"},
		{"too many teeth", `axis = "forward"`, "axis = \"forward\"\nteeth = 101", "teeth", "servo.teeth", "from 3 to 100"},
		{"too many arms", "lean = 8", "lean = 8\narms = 13", "arms", "horn.arms", "from 1 to 12"},
		{"endpoint out of range", "[[transmitter", "[settings]\nendpoint_left = 201\n[[transmitter", "endpoint_left", "settings.endpoint_left", "above 0, up to 200"},
		{"torque without a unit", "[[transmitter.reading]]\nsetting = 100", rating("25") + "[[transmitter.reading]]\nsetting = 100", "torque", "servo.rating.1.torque", "25 kg·cm"},
		{"torque in a unit of length", "[[transmitter.reading]]\nsetting = 100", rating(`"25 mm"`) + "[[transmitter.reading]]\nsetting = 100", "torque", "servo.rating.1.torque", "kg·cm or oz·in"},
		{"torque of zero", "[[transmitter.reading]]\nsetting = 100", rating(`"0 N·m"`) + "[[transmitter.reading]]\nsetting = 100", "torque", "servo.rating.1.torque", "above 0 N·m"},
		{"two ratings at a voltage", "[[transmitter.reading]]\nsetting = 100", rating(`"2 N·m"`) + "[[servo.rating]]\nvoltage = 6.0\ntorque = \"3 N·m\"\ntime = 0.1\n[[transmitter.reading]]\nsetting = 100", "voltage = 6.0", "servo.rating.2.voltage", "one rating for each"},
		{"stall current in one rating of two", "[[transmitter.reading]]\nsetting = 100", rating(`"2 N·m"`) + "[[servo.rating]]\nvoltage = 8\ntorque = \"3 N·m\"\ntime = 0.1\nstall_current = 4\n[[transmitter.reading]]\nsetting = 100", "stall_current", "servo.rating.2.stall_current", "for all of them or for none"},
		{"stall current that falls", "[[transmitter.reading]]\nsetting = 100", rating(`"2 N·m"`) + "stall_current = 5\n[[servo.rating]]\nvoltage = 8\ntorque = \"3 N·m\"\ntime = 0.1\nstall_current = 4\n[[transmitter.reading]]\nsetting = 100", "stall_current = 4", "servo.rating.2.stall_current", "maker's figures"},
		{"stall current below the idle one", "[horn]", "idle_current = 5\n" + rating(`"2 N·m"`) + "stall_current = 4\n[horn]", "stall_current", "servo.rating.1.stall_current", "swap the two"},
		{"mass without its share", "track = 200", "track = 200\nmass = 3", "[vehicle]", "vehicle.steered_share", "weigh them on a scale"},
		{"share without a mass", "track = 200", "track = 200\nsteered_share = 55", "[vehicle]", "vehicle.mass", "in kilograms"},
		{"share above all", "track = 200", "track = 200\nmass = 3\nsteered_share = 101", "steered_share", "vehicle.steered_share", "up to 100"},
		{"rock without a force", "[horn]", "[ground]\nrock_height = 20\n[horn]", "[ground]", "ground.rock_force", "in newtons"},
		{"rock without a height", "[horn]", "[ground]\nrock_force = 20\n[horn]", "[ground]", "ground.rock_height", "above the ground"},
		{"rod of nothing", "[tie_rod]", "[tie_rod]\ndiameter = 3", "[tie_rod]", "tie_rod.material", "such as steel"},
		{"rod of no diameter", "[tie_rod]", "[tie_rod]\nmaterial = \"steel\"", "[tie_rod]", "tie_rod.diameter", "outer diameter"},
		{"rod of no known material", "[tie_rod]", "[tie_rod]\nmaterial = \"cheese\"\ndiameter = 3", "cheese", "tie_rod.material", "steel, stainless"},
		{"bore as wide as the rod", "[tie_rod]", "[tie_rod]\nmaterial = \"steel\"\ndiameter = 3\nbore = 3", "bore", "tie_rod.bore", "swap the two"},
		{"saver without a stiffness", "[horn]", "[servo_saver]\npreload = \"1 N·m\"\n[horn]", "[servo_saver]", "servo_saver.stiffness", "torque more for each degree"},
		{"two kingpins", "[left.wheel]", "caster = 5\n[left.wheel]", "[left.kingpin]", "left.kingpin", "top and bottom, or point"},
		{"no kingpin axis", "top = [-1.8, 74.2, 17]\nbottom = [1.8, 77.8, -17]\n", "", "[left.kingpin]", "left.kingpin", "top and bottom, or point"},
		{"kingpin without a bottom", "bottom = [1.8, 77.8, -17]\n", "", "[left.kingpin]", "left.kingpin.bottom", "below top"},
		{"kingpin without a top", "top = [-1.8, 74.2, 17]\n", "", "[left.kingpin]", "left.kingpin.top", "above bottom"},
		{"kingpin upside down", "bottom = [1.8, 77.8, -17]", "bottom = [1.8, 77.8, 18]", "top", "left.kingpin.top", "swap"},
		{"kingpin point without lean", "top = [-1.8, 74.2, 17]\nbottom = [1.8, 77.8, -17]\n", "point = [0, 76, 0]\n", "[left.kingpin]", "left.kingpin", "caster and inclination"},
		{"kingpin lean without point", "top = [-1.8, 74.2, 17]\nbottom = [1.8, 77.8, -17]\n", "caster = 5\n", "[left.kingpin]", "left.kingpin.point", "any point on the axis"},
		{"track and wheel centre", "tyre_width = 45", "tyre_width = 45\ncentre = [0, 100, 0]", "centre", "left.wheel.centre", "leave one of the two out"},
		{"neither track nor wheel centre", "track = 200\n", "", "[left.wheel]", "left.wheel.centre", "vehicle.track"},
		{"arm in two ways", "ball = [-26", "inward = 3\nball = [-26", "[left.tie_arm]", "left.tie_arm", "ball, or length, points and height"},
		{"arm in no way", "ball = [-26, 69.5, \"-8 ± 0.5\"]\n", "", "[left.tie_arm]", "left.tie_arm", "ball, or length, points and height"},
		{"arm without height", "height = 19\n", "", "[right.drag_arm]", "right.drag_arm.height", "above the wheel centre"},
		{"arm without length", "length = 28\n", "", "[right.drag_arm]", "right.drag_arm.length", "seen from above"},
		{"arm pointing nowhere", "points = \"forward\"\n", "", "[right.drag_arm]", "right.drag_arm.points", "forward, back, inward or outward"},
		{"drag link to an arm that is not there", `to = "right"`, `to = "left"`, "[left.kingpin]", "left.drag_arm", "add a table [left.drag_arm]"},
		{"drag link to a mirrored arm", "[right.drag_arm]", "[left.drag_arm]", "format", "right.drag_arm", "add a table [right.drag_arm]"},
		{"drag link to no ball on the tie rod", `to = "right"`, `to = "tie_rod"`, "[tie_rod]", "tie_rod.along", "left ball"},
		{"drag link to no crank", `to = "right"`, `to = "crank"`, `to = "crank"`, "drag_link.to", "add a table [crank]"},
		{"no tie rod", "[tie_rod]\nthread = \"M3\"\n", "", "format", "tie_rod", "add a table [tie_rod]"},
		{"horn in two ways", "hole = 18", "hole = 18\nball = [26, 24, 19]", "[horn]", "horn", "give ball, or hole"},
		{"horn in no way", "hole = 18\npoints = \"down\"\nlean = 8\n", "", "[horn]", "horn", "give ball, or hole"},
		{"horn without hole", "hole = 18\n", "", "[horn]", "horn.hole", "shaft's axis"},
		{"horn pointing nowhere", "points = \"down\"\n", "", "[horn]", "horn.points", "such as up"},
		{"horn with lean and link angle", "lean = 8", "lean = 8\nlink_angle = 97", "link_angle", "horn.link_angle", "leave one of the two out"},
		{"unknown thread", `thread = "M3"`, `thread = "M3x0.35"`, "thread", "tie_rod.thread", "pitch = 0.5"},
		{"shortest above longest", "shortest = 94", "shortest = 107", "shortest", "drag_link.shortest", "swap the two"},
		{"one reading", "\n[[transmitter.reading]]\nsetting = -100\nangle = -44\n", "", "[[transmitter.reading]]", "transmitter.reading", "other way"},
		{"reading of one thing", "setting = -100\n", "", "[[transmitter.reading]]\nangle", "transmitter.reading.2", "two of setting, pulse and angle"},
		{"curve of the wrong length", "[[transmitter", "[settings]\ncurve = [-100, 0, 100]\n[[transmitter", "curve", "settings.curve", "make the two agree"},
		{"curve of one point", "[[transmitter", "[transmitter]\ncurve_points = 1\n[[transmitter", "curve_points", "transmitter.curve_points", "0 for none"},
		{"number in a curve", "[[transmitter", "[transmitter]\ncurve_points = 3\n[settings]\ncurve = [-100,\n\"a\", 100]\n[[transmitter", `"a"`, "settings.curve.2", "without quotes"},
		{"one table of readings", "[[transmitter.reading]]\nsetting = 100\nangle = 45\n\n[[transmitter.reading]]", "[transmitter.reading]", "[transmitter.reading]", "transmitter.reading", "write [[transmitter.reading]]"},
		{"crank beside a tie rod", "[drag_link]\nto = \"right\"", crankText + "[drag_link]\nto = \"crank\"", "[tie_rod]", "tie_rod", "leave one of the two out"},
		{"crank that nothing pulls", "[drag_link]", crankText + "[drag_link]", "[crank]", "crank", `drag_link.to = "crank"`},
		{"right wheel on the left", "[right.drag_arm]", "[right.wheel]\ntyre_radius=58\ntyre_width=45\ncentre=[0, 100, 0]\n[right.drag_arm]", "centre=", "right.wheel.centre", "leave one"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if strings.Count(plainRig, c.old) < 1 {
				t.Fatalf("%q is not in the plain rig", c.old)
			}
			text := strings.Replace(plainRig, c.old, c.new, 1)
			before, _, found := strings.Cut(text, c.at)
			if !found {
				t.Fatalf("%q is not in the spoilt rig", c.at)
			}
			wantLine := strings.Count(before, "\n") + 1
			r, err := Read(strings.NewReader(text), "x.toml")
			if r != nil {
				t.Error("a rig came back")
			}
			var all Errors
			if !errors.As(err, &all) {
				t.Fatalf("got %v", err)
			}
			if len(all) != 1 && !(c.remedy[:3] == "did" && len(all) == 2) {
				t.Errorf("%d problems:\n%v", len(all), err)
			}
			for _, e := range all {
				if e.Key == c.key && e.Line == wantLine && strings.Contains(e.Remedy, c.remedy) &&
					strings.HasPrefix(e.Error(), "x.toml:"+strconv.Itoa(wantLine)+": "+c.key+": ") {
					return
				}
			}
			t.Errorf("no problem on line %d with key %s and remedy %q:\n%v", wantLine, c.key, c.remedy, err)
		})
	}
}

const crankText = "[crank]\npoint = [-52, 0, 0]\ndrag_ball = [-72, 0, 4]\nleft_ball = [-30, 9, -2]\nright_ball = [-30, -9, -2]\n"

func TestWheelCentresLieOnTheirOwnSides(t *testing.T) {
	text := strings.Replace(plainRig, "track = 200\n", "", 1)
	sides := func(left, right string) string {
		text := strings.Replace(text, "tyre_width = 45\n", "tyre_width = 45\ncentre = [0, "+left+", 0]\n", 1)
		return strings.Replace(text, "[right.drag_arm]", "[right.wheel]\ntyre_radius = 58\ntyre_width = 45\ncentre = [0, "+right+", 0]\n[right.drag_arm]", 1)
	}
	read(t, sides("100", "-100"))
	for _, c := range []struct{ left, right, want string }{
		{"-100", "-100", "left.wheel.centre: is on the wrong side"},
		{"100", "100", "right.wheel.centre: is on the wrong side"},
		{"0", "-100", "left.wheel.centre: is on the wrong side"},
	} {
		if _, err := Read(strings.NewReader(sides(c.left, c.right)), "x"); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s, %s: got %v", c.left, c.right, err)
		}
	}
}

func TestAllProblemsAreReportedInTheOrderOfTheFile(t *testing.T) {
	text := strings.NewReplacer("wheelbase = 310", "wheelbase = -1", "hole = 18", `hole = "18 kg"`, `mount = "axle"`, `mount = "roof"`,
		"top = [-1.8, 74.2, 17]", "top = [1]", "lean = 8", "leen = 8").Replace(plainRig)
	_, err := Read(strings.NewReader(text), "x.toml")
	var all Errors
	if !errors.As(err, &all) {
		t.Fatalf("got %v", err)
	}
	var keys []string
	for i, e := range all {
		keys = append(keys, e.Key)
		if i > 0 && e.Line < all[i-1].Line {
			t.Error("out of order")
		}
	}
	want := []string{"vehicle.wheelbase", "left.kingpin.top", "servo.mount", "horn.hole", "horn.leen"}
	if !reflect.DeepEqual(keys, want) {
		t.Errorf("got %q, want %q", keys, want)
	}
	var one *Error
	if !errors.As(err, &one) || one != all[0] {
		t.Error("a single problem cannot be reached with errors.As")
	}
}

func TestANewerFormatIsToldApart(t *testing.T) {
	for _, version := range []string{"2", "99999999999"} {
		_, err := Read(strings.NewReader("format = "+version+"\nwings = 2\n"), "x.toml")
		if !errors.Is(err, ErrNewerFormat) {
			t.Fatalf("got %v", err)
		}
		want := "x.toml:1: format: this file is of a newer format (" + version + "); this evenlock reads up to 1; get a newer evenlock"
		if err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
	if _, err := Read(strings.NewReader("format = -1\n"), ""); err == nil || errors.Is(err, ErrNewerFormat) {
		t.Errorf("got %v", err)
	}
}

func TestHugeAndBrokenInputIsRefused(t *testing.T) {
	for name, text := range map[string]string{
		"too large":     plainRig + "#" + strings.Repeat("x", MaxSize),
		"deep lists":    "a = " + strings.Repeat("[", 1<<19),
		"deep tables":   "a = " + strings.Repeat("{a=", 1<<18),
		"long key":      strings.Repeat("a.", 1<<18) + "a = 1",
		"not UTF-8":     "name = \"\xff\"",
		"binary":        "\x00\x01\x02",
		"empty":         "",
		"only a header": "[left",
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Read(strings.NewReader(text), "x.toml")
			var all Errors
			if !errors.As(err, &all) {
				t.Fatalf("got %v", err)
			}
			for _, e := range all {
				if e.Problem == "" || e.Remedy == "" || e.File != "x.toml" {
					t.Errorf("incomplete: %#v", e)
				}
			}
			if name == "too large" && !strings.Contains(err.Error(), "larger than 1 MiB") {
				t.Errorf("got %v", err)
			}
		})
	}
}

func TestAReadersErrorIsPassedOn(t *testing.T) {
	if _, err := Read(iotest.ErrReader(io.ErrClosedPipe), "x.toml"); !errors.Is(err, io.ErrClosedPipe) {
		t.Errorf("got %v", err)
	}
}

func TestLineEndsAndByteOrderMarkDoNotMatter(t *testing.T) {
	want := read(t, plainRig)
	got := read(t, "\xef\xbb\xbf"+strings.ReplaceAll(plainRig, "\n", "\r\n"))
	if !reflect.DeepEqual(got, want) {
		t.Error("differs")
	}
}

func TestWaysToWriteTablesDoNotMatter(t *testing.T) {
	want := read(t, plainRig)
	text := strings.NewReplacer(
		"[vehicle]\nwheelbase = 310\ntrack = 200\n", "",
		"name = \"plain\"", "name = \"plain\"\nvehicle = {wheelbase = 310, track = 200}\ntransmitter.reading = [{setting = 1_00, angle = 45}, {setting = -100.0, angle = -44}]",
		"[[transmitter.reading]]\nsetting = 100\nangle = 45\n", "",
		"[[transmitter.reading]]\nsetting = -100\nangle = -44\n", "",
		"[left.kingpin]\ntop = [-1.8, 74.2, 17]\nbottom =", "[left]\nkingpin.top = [-1.8, 74.2, 17]\nkingpin.\"bottom\" =",
		`axis = "forward"`, `axis = [5e307, 0, 0]`,
		"hole = 18", "hole = 0x12",
	).Replace(plainRig)
	if got := read(t, text); !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v\nwant %+v", got, want)
	}
}

func TestDefaultsAndAccuracy(t *testing.T) {
	r := read(t, plainRig)
	for name, c := range map[string]struct{ got, want float64 }{
		"neutral":                    {r.Transmitter.Neutral, 1500},
		"left endpoint":              {r.Settings.EndpointLeft, 100},
		"right endpoint":             {r.Settings.EndpointRight, 100},
		"rate":                       {r.Settings.Rate, 100},
		"margin":                     {r.Want.Margin.Value, degrees.inside(2)},
		"length without its own":     {r.Horn.Hole.Uncertainty, 0.2},
		"point without its own":      {r.Servo.Point[1].Uncertainty, 0.2},
		"angle without its own":      {r.Horn.Lean.Uncertainty, degrees.inside(1)},
		"reading without its own":    {r.Transmitter.Readings[0].Angle.Uncertainty, degrees.inside(1)},
		"number with its own":        {r.Left.TieArm.Ball[2].Uncertainty, 0.5},
		"limit":                      {r.DragLink.Longest.Uncertainty, 0},
		"accuracy":                   {r.Accuracy.Length.Uncertainty, 0},
		"right table that is absent": {r.Vehicle.Track.Value, 200},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %v, want %v", name, c.got, c.want)
		}
	}
	if r.Want.Margin.Given {
		t.Error("a default counts as given")
	}
	exact := read(t, strings.Replace(plainRig, "hole = 18", `hole = "18 ± 0"`, 1))
	if exact.Horn.Hole.Uncertainty != 0 {
		t.Error("± 0 is not exact")
	}
	zero := read(t, plainRig+"[want]\nmargin = 0\n")
	if zero.Want.Margin.Value != 0 || !zero.Want.Margin.Given || zero.Settings.EndpointLeft != 100 {
		t.Errorf("got %+v, %+v", zero.Want, zero.Settings)
	}
}

func TestInchesGoForLengthsThatStateNoUnit(t *testing.T) {
	text := strings.Replace(plainRig, "name =", "unit = \"in\"\nname =", 1)
	text = strings.Replace(text, "hole = 18", `hole = "0.5 ± 0.25 mm"`, 1)
	text = strings.Replace(text, "length = 0.2", "length = 0.01", 1)
	r := read(t, text)
	// 25.4 mm to the inch, exact: NIST SP 811 (from memory).
	if got, want := r.Vehicle.Wheelbase.Value, 310*25.4; got != want {
		t.Errorf("got %v, want %v", got, want)
	}
	if got, want := r.Vehicle.Wheelbase.Uncertainty, 0.01*25.4; got != want {
		t.Errorf("got %v, want %v", got, want)
	}
	if got, want := r.Horn.Hole.Quantity, (Quantity{0.5, 0.25, true}); got != want {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestDirectionsAreUnitVectors(t *testing.T) {
	for text, want := range map[string]Direction{
		`"up"`:                  {0, 0, 1},
		`"right"`:               {0, -1, 0},
		"[0, 3, -4]":            {0, 0.6, -0.8},
		"[1e-320, 0, 0]":        {1, 0, 0},
		"[0, 1.5e308, 1.5e308]": {0, 0.7071067811865475, 0.7071067811865475},
	} {
		r := read(t, strings.NewReplacer(`axis = "forward"`, "axis = "+text, `points = "down"`, "points = [1, 1, 1]").Replace(plainRig))
		for i := range want {
			if d := r.Servo.Axis[i] - want[i]; d > 1e-15 || d < -1e-15 {
				t.Errorf("%s: got %v, want %v", text, r.Servo.Axis, want)
			}
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(plainRig))
	for _, s := range Starters() {
		f.Add(s.Text)
	}
	f.Add([]byte("format = 2"))
	f.Add([]byte("[[left]]\nkingpin.top = [1, \"2 ± 3 in\", nan]"))
	f.Fuzz(func(t *testing.T, src []byte) {
		r, err := Read(bytes.NewReader(src), "x")
		if err != nil {
			if r != nil || err.Error() == "" {
				t.Fatalf("got %v, %v", r, err)
			}
			return
		}
		var text bytes.Buffer
		if err := Write(&text, r); err != nil {
			t.Fatalf("cannot write what was read: %v", err)
		}
		again, err := Read(bytes.NewReader(text.Bytes()), "x")
		if err != nil {
			t.Fatalf("cannot read what was written: %v\n%s", err, text.Bytes())
		}
		if !reflect.DeepEqual(again, r) {
			t.Fatalf("got %+v\nwant %+v\n%s", again, r, text.Bytes())
		}
	})
}

func TestReadSaysWhatTheSlipIs(t *testing.T) {
	for _, tt := range []struct {
		what, line, slip, problem, remedy string
	}{
		{"decimal comma", "wheelbase = 310", "wheelbase = 313,5", "has a decimal comma", "313.5"},
		{"unit without quotes", "wheelbase = 310", "wheelbase = 313 mm", "without quotes", `"313 mm"`},
		{"uncertainty without quotes", "wheelbase = 310", "wheelbase = 313 ± 2", "without quotes", `"313 ± 2"`},
		{"no value", "wheelbase = 310", "wheelbase =", "has nothing after =", "write its value"},
		{"one quote", "wheelbase = 310", `wheelbase = "313 mm`, "double quote", "one after it"},
		{"word without quotes", `mount = "axle"`, "mount = axle", "is text without quotes", `"axle"`},
		{"words without quotes", `mount = "axle"`, "mount = on the axle", "is text without quotes", `"on the axle"`},
		{"no commas in a point", "top = [-1.8, 74.2, 17]", "top = [-1.8 74.2 17]", "cannot be read", "commas"},
		{"decimal commas in a point", "top = [-1.8, 74.2, 17]", "top = [-1,8, 74,2, 17]", "has 5 numbers", "not a comma"},
		{"point left open", "top = [-1.8, 74.2, 17]\nbottom = [1.8, 77.8, -17]", "top = [-1.8, 74.2, 17", "array", "with a ]"},
		{"bracket of a table left out", "[horn]", "[horn", "table name", "[horn]"},
		{"brackets of a table left out", "[horn]", "horn", "after key", "in square brackets"},
	} {
		t.Run(tt.what, func(t *testing.T) {
			if !strings.Contains(plainRig, tt.line) {
				t.Fatalf("the rig has no %q", tt.line)
			}
			_, err := Read(strings.NewReader(strings.Replace(plainRig, tt.line, tt.slip, 1)), "my.toml")
			if err == nil {
				t.Fatal("no error")
			}
			if got := err.Error(); !strings.Contains(got, tt.problem) || !strings.Contains(got, tt.remedy) {
				t.Errorf("got %q, which lacks %q or %q", got, tt.problem, tt.remedy)
			}
		})
	}
}

func TestReadTakesNoFileThatIsNoText(t *testing.T) {
	for text, want := range map[string]string{
		"":                                "is empty",
		"# nothing yet":                   "format: is missing",
		"\x7fELF\x02\x01\x01\x00\xff\xfe": "is not UTF-8 text",
	} {
		if _, err := Read(strings.NewReader(text), "my.toml"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q gives %v, want one that %s", text, err, want)
		}
	}
}
