package rig

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares with a file under testdata, or rewrites it with -update.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("differs from %s; if that is meant, run with -update", path)
	}
}

func write(t interface {
	Helper()
	Fatal(...any)
}, r *Rig,
) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestWhatIsWritten(t *testing.T) {
	for _, s := range Starters() {
		golden(t, s.Name+".golden.toml", []byte(write(t, read(t, string(s.Text)))))
	}
}

// anyRig draws a rig that can be assembled: a starter with every measured value a
// little off, in either unit, with or without accuracy, and with some of what may
// be left out.
func anyRig(t *rapid.T) *Rig {
	starter := rapid.SampledFrom(Starters()).Draw(t, "starter")
	r, err := Read(bytes.NewReader(starter.Text), starter.Name)
	if err != nil {
		t.Fatal(err)
	}
	r.Unit = rapid.SampledFrom([]string{"", "mm", "in"}).Draw(t, "unit")
	r.Name = rapid.String().Draw(t, "name")
	r.Notes = rapid.String().Draw(t, "notes")
	r.Settings.Reverse = rapid.Bool().Draw(t, "reverse")
	r.Settings.EndpointLeft = rapid.Float64Range(1, 120).Draw(t, "endpoint")
	r.Settings.Subtrim = rapid.Float64Range(-50, 50).Draw(t, "subtrim")
	if rapid.Bool().Draw(t, "curve") {
		r.Settings.Curve = []float64{-100, rapid.Float64Range(-9, 9).Draw(t, "middle"), 100}
		r.Transmitter.CurvePoints = 3
	}
	if rapid.Bool().Draw(t, "skew") {
		r.Left.TieArm.Stud = Direction{0.6, 0, 0.8}
	}
	if rapid.Bool().Draw(t, "loads") {
		r.Vehicle.Mass, r.Vehicle.SteeredShare = rapid.Float64Range(0.1, 20).Draw(t, "mass"), 57.5
		r.Servo.Ratings = []Rating{
			{Voltage: 8.4, Torque: Torque{Quantity{Value: rapid.Float64Range(100, 9000).Draw(t, "torque"), Given: true}}, Time: 0.1, StallCurrent: 5},
			{Voltage: 6, Torque: Torque{Quantity{Value: 98.0665, Given: true}}, Time: 0.15, StallCurrent: 4},
		}
		r.Saver = &Saver{Preload: r.Servo.Ratings[0].Torque, Stiffness: r.Servo.Ratings[1].Torque}
	}
	if !rapid.Bool().Draw(t, "accuracy") {
		r.Accuracy = Accuracy{}
	}
	asRead := func(q *Quantity, k Kind, factor float64) float64 {
		u := k.fileUnit(r.Unit)
		v, err := strconv.ParseFloat(strconv.FormatFloat(u.outside(q.Value)*factor, 'f', 4, 64), 64)
		if err != nil {
			t.Fatal(err)
		}
		return u.inside(v)
	}
	eachQuantity(reflect.ValueOf(r).Elem(), func(q *Quantity, k Kind) {
		if q.Given {
			q.Value = asRead(q, k, 1)
			q.Uncertainty = 0
		}
	})
	for _, m := range r.Measurements() {
		m.Q.Value = asRead(m.Q, m.Kind, rapid.Float64Range(0.99, 1.01).Draw(t, m.Path))
		m.Q.Uncertainty = r.Accuracy.of(m.Kind)
		if rapid.IntRange(0, 3).Draw(t, "own") == 0 {
			m.Q.Uncertainty = m.Kind.fileUnit(r.Unit).inside(float64(rapid.IntRange(0, 99).Draw(t, "±")) / 100)
		}
	}
	return r
}

func eachQuantity(v reflect.Value, f func(*Quantity, Kind)) {
	if k, ok := quantityKind(v.Type()); ok {
		f(quantityOf(v), k)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			eachQuantity(v.Elem(), f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			eachQuantity(v.Field(i), f)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			eachQuantity(v.Index(i), f)
		}
	}
}

func TestReadGivesBackWhatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyRig(t)
		text := write(t, want)
		got, err := Read(strings.NewReader(text), "x")
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("got %+v\nwant %+v\n%s", got, want, text)
		}
		if again := write(t, got); again != text {
			t.Fatalf("written twice, it differs:\n%s\n%s", text, again)
		}
	})
}

func TestWriteLeavesOutWhatTheRigLeavesOut(t *testing.T) {
	text := write(t, read(t, plainRig))
	for _, clutter := range []string{"settings", "want", "1500", "stud", "notes", "unit", "crank", "false", "= 0\n", "[left]", "[right]", "\n\n\n"} {
		if strings.Contains(text, clutter) {
			t.Errorf("writes %q:\n%s", clutter, text)
		}
	}
}

func TestWriteRefusesARigThatReadWouldRefuse(t *testing.T) {
	for name, spoil := range map[string]func(*Rig){
		"negative": func(r *Rig) { r.Vehicle.Wheelbase.Value = -1 },
		"infinite": func(r *Rig) { r.Settings.Subtrim = 1 / zero },
		"word":     func(r *Rig) { r.Servo.Mount = "roof" },
		"text":     func(r *Rig) { r.Name = "\xff" },
		"no wheel": func(r *Rig) { r.Left.Wheel = nil },
	} {
		t.Run(name, func(t *testing.T) {
			r := read(t, plainRig)
			spoil(r)
			var b bytes.Buffer
			if err := Write(&b, r); err == nil || b.Len() > 0 {
				t.Errorf("got %v and %d bytes", err, b.Len())
			}
		})
	}
}

var zero float64
