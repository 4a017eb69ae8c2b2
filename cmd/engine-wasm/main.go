//go:build js && wasm

// Command engine-wasm is package engine for the page: it puts the object evenlock on the global
// object of the page and stays. What the script sees is in the documentation of package engine.
package main

import (
	"encoding/json"
	"math"
	"syscall/js"
	"unsafe"

	"evenlock/engine"
	"evenlock/report/document"
)

// tab is a session with the memory that the page reads its numbers from.
type tab struct {
	*engine.Session
	// floats is the page's Float64Array and bytes a view of the same memory.
	floats, bytes js.Value
	length        int
}

var (
	tabs = map[int]*tab{}
	last int
	// reader is the units that the person reads in.
	reader document.Reader
	parse  = js.Global().Get("JSON").Get("parse")
)

func main() {
	object := js.Global().Get("Object").New()
	for name, f := range functions {
		object.Set(name, js.FuncOf(func(_ js.Value, args []js.Value) (out any) {
			// A slip here must not end the engine, and with it what is not saved yet.
			defer func() {
				if recover() != nil {
					out = problems(engine.Problems{{Problem: "the engine failed in " + name, Remedy: "undo the last change, and report this with the rig file"}})
				}
			}()
			return f(args)
		}))
	}
	js.Global().Set("evenlock", object)
	if ready := js.Global().Get("evenlockReady"); ready.Type() == js.TypeFunction {
		ready.Invoke()
	}
	select {}
}

// functions are the methods of the object evenlock.
var functions = map[string]func(args []js.Value) any{
	"units": func(args []js.Value) any {
		r, err := document.ParseReader(reader, word(args, 0))
		if err != nil {
			return problems(engine.ProblemsOf(err))
		}
		reader = r
		for _, t := range tabs {
			t.SetReader(reader)
		}
		return reader.String()
	},
	"starters": func([]js.Value) any { return answer(engine.Starters(), nil) },
	"cautions": func([]js.Value) any { return answer(engine.Cautions(), nil) },
	"open": func(args []js.Value) any {
		s, err := engine.Open([]byte(word(args, 0)))
		return opened(s, err)
	},
	"start": func(args []js.Value) any {
		s, err := engine.Start(word(args, 0))
		return opened(s, err)
	},
	"close": func(args []js.Value) any { delete(tabs, whole(args, 0)); return answer(struct{}{}, nil) },
	"state": with(func(t *tab, args []js.Value) any { return t.state(whole(args, 0), nil) }),
	"scene": with(func(t *tab, _ []js.Value) any { return answer(t.Scene(), nil) }),
	"numbers": with(func(t *tab, _ []js.Value) any {
		t.share()
		return t.floats
	}),
	"stick":       with(func(t *tab, args []js.Value) any { return t.fast(t.Stick(float(args, 1))) }),
	"servo":       with(func(t *tab, args []js.Value) any { return t.fast(t.Servo(float(args, 1))) }),
	"wheelTravel": with(func(t *tab, args []js.Value) any { return t.fast(t.SetWheelTravel(float(args, 1), float(args, 2))) }),
	"drag":        with(func(t *tab, args []js.Value) any { return t.fast(t.Drag(float(args, 1), float(args, 2))) }),
	"grab":        with(func(t *tab, args []js.Value) any { return answer(struct{}{}, t.Grab(whole(args, 1))) }),
	"drop":        change(func(t *tab, _ []js.Value) error { return t.Drop() }),
	"cancel": change(func(t *tab, _ []js.Value) error {
		t.Cancel()
		return nil
	}),
	"nudge": change(func(t *tab, args []js.Value) error {
		return t.Nudge(whole(args, 1), float(args, 2), float(args, 3))
	}),
	"why": with(func(t *tab, _ []js.Value) any { return t.Why() }),
	"set": change(func(t *tab, args []js.Value) error { return t.Set(word(args, 1), word(args, 2)) }),
	"setAll": change(func(t *tab, args []js.Value) error {
		var settings []engine.Setting
		if err := read(args, 2, &settings); err != nil {
			return err
		}
		return t.SetAll(word(args, 1), settings)
	}),
	"showForces": change(func(t *tab, args []js.Value) error { return t.ShowForces(yes(args, 1), float(args, 2), float(args, 3)) }),
	"loads": with(func(t *tab, args []js.Value) any {
		l, err := t.Loads(float(args, 1), float(args, 2))
		return beside(answer(l, err), l.Document)
	}),
	"axle":         change(func(t *tab, args []js.Value) error { return t.SetAxle(whole(args, 1)) }),
	"replace":      change(func(t *tab, args []js.Value) error { return t.Replace([]byte(word(args, 1))) }),
	"undo":         change(func(t *tab, _ []js.Value) error { return t.Undo() }),
	"redo":         change(func(t *tab, _ []js.Value) error { return t.Redo() }),
	"ghost":        change(func(t *tab, args []js.Value) error { return t.Ghost(word(args, 1)) }),
	"results":      with(func(t *tab, _ []js.Value) any { return account(t.Results()) }),
	"curves":       with(func(t *tab, args []js.Value) any { return account(t.Curves(whole(args, 1))) }),
	"measurements": with(func(t *tab, _ []js.Value) any { return answer(t.Measurements()) }),
	"picture":      with(func(t *tab, args []js.Value) any { return answer(t.Picture(word(args, 1), float(args, 2))) }),
	"setup":        with(func(t *tab, _ []js.Value) any { return account(t.SetUp()) }),
	"advise":       with(func(t *tab, _ []js.Value) any { return account(t.Advise()) }),
	"travel":       with(func(t *tab, _ []js.Value) any { return account(t.Travel()) }),
	"guide": change(func(t *tab, args []js.Value) error {
		t.Guide(yes(args, 1))
		return nil
	}),
	"radio":         with(func(t *tab, _ []js.Value) any { return account(t.Radio()) }),
	"radioSettings": with(func(t *tab, _ []js.Value) any { return answer(t.RadioSettings(), nil) }),
	"readings":      with(func(t *tab, _ []js.Value) any { return answer(t.Readings(), nil) }),
	"addReadings": change(func(t *tab, args []js.Value) error {
		var all []engine.ReadingEntry
		if err := read(args, 1, &all); err != nil {
			return err
		}
		return t.AddReadings(all...)
	}),
	"takeReading": change(func(t *tab, args []js.Value) error { return t.TakeReading(whole(args, 1)) }),
	"coupled": with(func(t *tab, args []js.Value) any {
		return answer(t.Coupled(word(args, 1), word(args, 2), float(args, 3), engine.Heights{Left: float(args, 4), Right: float(args, 5)}))
	}),
	"whatIf": with(func(t *tab, args []js.Value) any {
		return account(t.WhatIf(word(args, 1), float(args, 2), word(args, 3)))
	}),
	"svg": with(func(t *tab, args []js.Value) any {
		text, err := t.SVG(word(args, 1))
		if err != nil {
			return problems(engine.ProblemsOf(err))
		}
		return text
	}),
	"trimTest": func(args []js.Value) any {
		var readings engine.TrimReadings
		if read(args, 0, &readings) != nil {
			return problems(engine.Problems{{Problem: "the readings are not numbers", Remedy: "give right, centre and left as pairs of numbers"}})
		}
		return answer(engine.TrimTest(readings), nil)
	},
	"compare": func(args []js.Value) any {
		return account(engine.Compare([]byte(word(args, 0)), []byte(word(args, 1)), [2]string{word(args, 2), word(args, 3)}, max(1, whole(args, 4))))
	},
}

// with finds the session whose number is the first argument.
func with(f func(t *tab, args []js.Value) any) func(args []js.Value) any {
	return func(args []js.Value) any {
		t := tabs[whole(args, 0)]
		if t == nil {
			return problems(engine.Problems{{Problem: "there is no such session", Remedy: "open the rig again"}})
		}
		return f(t, args)
	}
}

// change is for what answers with the session's state.
func change(f func(t *tab, args []js.Value) error) func(args []js.Value) any {
	return with(func(t *tab, args []js.Value) any { return t.state(whole(args, 0), f(t, args)) })
}

func opened(s *engine.Session, err error) any {
	if err != nil {
		return problems(engine.ProblemsOf(err))
	}
	last++
	s.SetReader(reader)
	t := &tab{Session: s}
	tabs[last] = t
	return t.state(last, nil)
}

// state answers with the session's state and hands its numbers over.
func (t *tab) state(id int, err error) any {
	t.share()
	if err != nil {
		return problems(engine.ProblemsOf(err))
	}
	st := t.State()
	st.ID = id
	return answer(st, nil)
}

// fast hands the numbers over and answers with the status.
func (t *tab) fast(status engine.Status) any {
	t.share()
	return int(status)
}

// share copies the numbers into the page's array, which is made anew only when its length changes.
func (t *tab) share() {
	numbers := t.Numbers()
	if t.length != len(numbers) {
		t.length = len(numbers)
		buffer := js.Global().Get("ArrayBuffer").New(8 * t.length)
		t.floats = js.Global().Get("Float64Array").New(buffer)
		t.bytes = js.Global().Get("Uint8Array").New(buffer)
	}
	// Both sides are little-endian: wasm by its specification, the array as every browser's.
	js.CopyBytesToJS(t.bytes, unsafe.Slice((*byte)(unsafe.Pointer(&numbers[0])), 8*len(numbers))) //nolint:gosec // a view of the same floats, read only
}

// answer answers with a value as a plain object, or with its errors.
func answer(value any, err error) any {
	if err != nil {
		return problems(engine.ProblemsOf(err))
	}
	text, err := json.Marshal(value)
	if err != nil {
		return problems(engine.ProblemsOf(err))
	}
	return parse.Invoke(string(text))
}

// account answers with a document, worded for the reader, or with its errors.
func account(d *document.Document, err error) any {
	if err != nil {
		return problems(engine.ProblemsOf(err))
	}
	text, err := d.JSON(reader)
	if err != nil {
		return problems(engine.ProblemsOf(err))
	}
	return parse.Invoke(string(text))
}

// beside puts a document, if there is one, into an answer that has more than the document.
func beside(out any, d *document.Document) any {
	if object, ok := out.(js.Value); ok && d != nil {
		object.Set("document", account(d, nil))
	}
	return out
}

func problems(p engine.Problems) any {
	return answer(struct {
		Errors engine.Problems `json:"errors"`
	}{p}, nil)
}

// read takes an argument that is an object or a list.
func read(args []js.Value, i int, into any) error {
	if i >= len(args) {
		return nil
	}
	text := js.Global().Get("JSON").Call("stringify", args[i])
	if text.Type() != js.TypeString {
		return nil
	}
	return json.Unmarshal([]byte(text.String()), into)
}

func yes(args []js.Value, i int) bool { return i < len(args) && args[i].Truthy() }

// word, whole and float read an argument; what is missing or of another type is empty, -1 or NaN.
func word(args []js.Value, i int) string {
	if i < len(args) && args[i].Type() == js.TypeString {
		return args[i].String()
	}
	return ""
}

func whole(args []js.Value, i int) int {
	if x := float(args, i); x == x && x > -1e9 && x < 1e9 {
		return int(x)
	}
	return -1
}

func float(args []js.Value, i int) float64 {
	if i < len(args) && args[i].Type() == js.TypeNumber {
		return args[i].Float()
	}
	return math.NaN()
}
