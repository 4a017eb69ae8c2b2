// Package engine is everything that the page asks of a rig, as plain Go: open, move, drag, set,
// undo, and the documents of what a rig does. It has no words and no geometry of its own: rooms
// below compute, package report words, package draw draws. cmd/engine-wasm hands it to the page's
// script.
//
// Start with [Open] or [Start], which give a [Session]. [Session.Stick], [Session.Servo],
// [Session.SetWheelTravel] and [Session.Drag] fill a slice of numbers and are meant for every
// frame.
//
// # What the script sees
//
// The wasm puts one object, evenlock, on the global object, and calls globalThis.evenlockReady() if
// that is a function. A session is a whole number, id. Every call returns at once. A call that
// cannot be done returns {errors: [...]}, never throws:
//
//	{"line": 12, "key": "left.kingpin.caster", "problem": "...", "remedy": "..."}
//
// line is 0 and key "" where none is at fault. All texts that come out are plain text: set them
// with textContent.
//
//	units(words) → string: the units that the person reads in from now on, such as "in, oz·in";
//	        what is not named stays, so "" asks. After it, ask for the state of each open session
//	starters() → [{name, summary, text}]
//	cautions() → {power, measuring, drilling, road}: for sections that are no documents
//	open(text) → state, with id
//	start(name) → state, with id: a draft of a starter, each measurement "± 5": "not measured
//	        yet"
//	close(id), state(id) → {}, state
//
// Moving the drawing:
//
//	scene(id) → scene: build the drawing's nodes from it
//	numbers(id) → the Float64Array that these calls fill; ask again when state.scene has changed
//	stick(id, x) → status, fast: x from -1 (full right) to 1 (full left)
//	servo(id, degrees) → status, fast: servo angle from neutral
//	wheelTravel(id, left, right) → status, fast: mm that each wheel has risen above ride height
//	coupled(id, coupling, side, height, left, right) → {left, right}: where the wheels go when
//	        that of one side is moved by hand from there; coupling is both, roll or one. It moves
//	        nothing
//	grab(id, handle) → {}: begins a drag; handle is its number in scene.handles
//	drag(id, u, v) → status, fast: puts the grabbed point at u, v of its view
//	drop(id), cancel(id) → state: the drag becomes one change, or leaves no trace
//	nudge(id, handle, du, dv) → state: one small step as one change (arrow keys)
//	why(id) → string: why the last fast call was held or refused, "" if it was not
//	ghost(id, what) → state: the faint drawing: "previous" (the usual one), "off", or a rig
//	        file's text
//	showForces(id, on, noseUp, rightDown) → state: whether the drawing shows what servo and rods
//	        bear
//	guide(id, on) → state: whether the drawing shows where the rods' ends would give no bump
//	        steer
//
// Choosing an axle:
//
//	axle(id, number) → state: all that follows is of that axle, 1 in front and 2 at the rear; at
//	        first it is the front one. The file does not change
//
// Changing the file, each call one change that undo takes back:
//
//	set(id, key, value) → state: value as a person types it, "24.5 ± 0.2". A bare number keeps
//	        the ± of the file, but replaces a "± 5" that means "not measured yet" by the rig's
//	        accuracy. A measured length without a unit is in the reader's. An empty value takes
//	        the key out
//	setAll(id, did, settings) → state: settings is [{key, value, unit}] as a document has them;
//	        did is what undo says
//	addReadings(id, [{control, setting, pulse, angle}]), takeReading(id, n) → state: readings of
//	        the servo, as they are typed; n counts from 1. A file has two or none
//	replace(id, text) → state: a whole new text
//	undo(id), redo(id) → state
//
// Documents, as package report/document writes them:
//
//	results(id): how it steers as it stands
//	curves(id, n): the curves over the stick, at n positions (odd, 3 to 401)
//	setup(id): what to fit and what to set; a step's set is for setAll once it is done
//	radio(id): where the servo goes at full stick
//	whatIf(id, control, steps, kind): what moving subtrim or trim does; kind is "centre" or
//	        "whole" for a trim
//	compare(textA, textB, wordsA, wordsB, axle): two rig files; the words say which they are
//	advise(id), travel(id): what to change; what the travel does. Each takes as long as ten
//	        set-ups: better in a worker, and not on every change
//
// What is no document, or a little beside one:
//
//	loads(id, noseUp, rightDown) → {document, lacks, problems, inputs}: about 40 ms, so better in
//	        a worker. Without a document, lacks or problems say why. inputs are {key, words,
//	        hint, entry, options, missing}; what is missing goes in by one setAll
//	measurements(id) → measurements
//	picture(id, key, perPixel) → picture: the tool that measures it, drawn
//	radioSettings(id) → [{key, words, value, hint}]: the numbers on the transmitter's screen
//	readings(id) → [{words}]: what was read of the servo
//	trimTest({right, centre, left, uncertain}) → {kind, words}: each is [reading with trim at
//	        zero, with it moved], horn off; kind is "centre", "whole" or "" where it is not clear
//	svg(id, view) → string: the drawing as an SVG file; view is a view's name, or "" for all
//
// A status is 0 (done), 1 (held: the servo is at a limit and the drawing stops there; the limit
// mark and live.limit say which) or 2 (refused: the parts would not go together; the drawing stays
// as it was).
//
// # state
//
//	{"id": 1, "name": "...", "text": "...", "scene": 3,
//	 "undo": "moved the left tie-rod ball", "redo": "",
//	 "draft": true, "missing": 17, "measured": 31, "later": 24,
//	 "axle": 1, "axles": ["Front axle", "Rear axle"], "prefix": "rear.",
//	 "stick": "calibrated" | "assumed", "stickWords": "...", "trim": "centre" | "whole" | "",
//	 "screen": "percent" | "µs" | "steps",
//	 "wheelTravel": {"bump": 24, "droop": 24, "step": 0.5, "stepWords": "0.5 mm"} | null,
//	 "warnings": [error, ...]}
//
// text is the rig file, to be kept by the page. axles are those that can be chosen, none while only
// the front one steers; prefix begins the keys of the axle's tables, "" in front. undo and redo say
// what the next undo or redo takes back; "" means that there is none. scene grows when the drawing
// has other shapes or other units: then call scene and numbers again and build the nodes anew.
// Until it changes, keep the nodes. After each call that returns a state, numbers are filled anew
// for the stick as it was. missing counts what the set-up needs, later what it does without.
//
// # scene
//
//	{"number": 3, "length": 1480,
//	 "views":  [{"name": "above", "words": "From above. Forward is up, left is left.",
//	             "right": "right", "up": "forward", "box": [u, v, width, height]}],
//	 "shapes": [{"view": "above", "tag": "line", "class": "rod drag-link", "part": "drag link",
//	             "at": 120, "set": {"x1": [120], "y1": [121], "x2": [122], "y2": [123]}},
//	            {"view": "above", "tag": "text", "class": "label angle", "part": "...", "at": 130,
//	             "set": {"x": [130], "y": [131]}, "text": [{"at": 132, "digits": 1}, "°"]}],
//	 "handles": [{"key": "left.tie_arm", "words": "left tie-rod ball", "view": "above", "at": 700,
//	              "changes": ["left.tie_arm.length", "left.tie_arm.inward"],
//	              "moves": ["forward", "left"], "step": 0.5, "stepWords": "0.5 mm"}],
//	 "live":   [{"key": "road_left", "group": "", "words": "left wheel", "always": true,
//	             "at": 720, "text": [...]}],
//	 "curves": [{"curve": "inner", "column": "stick", "at": 760, "n": 11}, ...]}
//
// Views are above, behind, side and turn; see package draw. Coordinates are millimetres on the
// screen: u to the right, v downwards, so that box is the viewBox of an <svg> and one unit is one
// millimetre of the vehicle. Shapes stand in the order in which they are painted.
//
// Filling a shape needs no knowledge of what it is. For each attribute in set, and for text (the
// text content), join the parts of its list:
//
//	"..."                          a string, as it stands
//	7                              numbers[7], rounded to 2 decimals
//	{"at": 7, "digits": 1}         numbers[7] with so many decimals
//	{"at": 7, "digits": 1, "size": true}   its absolute value
//	{"at": 7, "digits": 1, "side": ["right", "straight", "left"]}
//	                               a word: below zero, zero when rounded to digits, above zero
//	{"at": 7, "pick": ["", "a", "b"]}      the word with this number
//
// If numbers[shape.at] is NaN the shape is not there now: hide it (display none). The same goes for
// a live value, which then shows as "–". A set that is constant may hold no numbers. class holds
// CSS classes; the page gives them colour, weight and dash by custom properties.
//
// A handle is drawn by the page, at numbers[at], numbers[at+1], on top, at least 44 px wide to the
// finger. It shows where the point was measured, with the wheels straight: put the stick to 0 when
// it is grabbed. Arrow keys nudge by step, in mm (with Shift a tenth).
//
// live is what moves along, in the reader's units; its group is "" for the steering, travel or
// load. rise_left and rise_right have a second number, 1 where the travel stops short of where the
// wheel was asked to be. curves is what moves along while dragging: the columns of the document
// curves, as n numbers from numbers[at] on, in the reader's units, NaN where the linkage does not
// reach. They are filled by every drag and every call that returns a state, not by stick.
//
// # measurements
//
//	{"missing": 17, "laterMissing": 24, "next": "left.kingpin.point.y",
//	 "list": [{"key": "left.kingpin.point.y", "group": "left.kingpin.point", "words": "...",
//	           "how": "...", "hint": "...", "unit": "mm", "kind": "length" | "angle", "figure": {figure},
//	           "entry": "78 ± 5", "missing": true, "later": false, "lockShare": 0.12, "evennessShare": 0.4, "worth": "...",
//	           "view": "above"}],
//	 "repeat": ["left.tie_arm.length", ...], "repeatWords": "...",
//	 "check": [{"key": "left.stops.in", "words": "left stops in", "entry": "40"}]}
//
// Those that the set-up does without are later: they come last, and missing does not count them.
// next is the first missing one, "" when none is. how says what the caliper does, hint how a number
// may be typed, unit what a bare one is taken in. entry is what stands in the file, in the reader's
// unit of length, to be edited in place and given back to set. Shares are parts of the variance of
// the lock and of left against right, 0 to 1; repeat lists the few that are worth measuring again.
// view is the one that shows where the caliper goes, "" where none does. check lists what is no
// measurement: limits, choices, the parts' own numbers. In a draft they are the starter's until
// they are set.
//
// # picture
//
//	{"view": "above", "middle": [u, v], "times": 1.8,
//	 "shapes": [{"tag": "path", "class": "tool-body", "set": {"d": "M6 -18Z"}}]}
//
// It lies on top of the view's drawing, on a screen that shows so many millimetres to a pixel: ask
// again when that changes. middle and times say what of the view shows it well: the place in the
// middle of the screen, and how many times the view is enlarged.
//
// Axes, signs and units are those of docs/conventions.md.
package engine
