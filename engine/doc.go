// Package engine is everything that the page asks of a rig, as plain Go: open, move,
// drag, set, undo, curves, what to measure next, compare. It holds no geometry of its
// own; it calls rig, steer, radio, setup and draw. cmd/engine-wasm hands it to the page's script.
//
// Start with [Open] or [Start], which give a [Session]. [Session.Stick], [Session.Servo] and
// [Session.Drag] fill a slice of numbers and are meant for every frame; the others
// return documents.
//
// # What the script sees
//
// The wasm puts one object, evenlock, on the global object, and calls
// globalThis.evenlockReady() if that is a function. A session is a whole number, id. Every call
// returns at once. A call that cannot be done returns {errors: [...]}, never throws:
//
//	{"line": 12, "key": "left.kingpin.caster", "problem": "...", "remedy": "..."}
//
// line is 0 and key "" where none is at fault. problem and remedy are sentences for people.
// All texts that come out are plain text: set them with textContent.
//
//	evenlock.units(words)          → string: the units that documents and moving numbers are in from now on, such as
//	                                 "in, oz·in"; what is not named stays, so "" asks. After it, ask for the state of
//	                                 each open session: its scene has a new number
//	evenlock.starters()            → [{name, summary, text}]
//	evenlock.open(text)            → state, with id
//	evenlock.start(name)           → state, with id: a draft from a starter file, every measurement
//	                                 in it marked "± 5", which means "not measured yet"
//	evenlock.close(id)
//	evenlock.state(id)             → state
//	evenlock.scene(id)             → scene: build the drawing's nodes from it
//	evenlock.numbers(id)           → the Float64Array that the fast calls fill; ask again
//	                                 when state.scene has changed
//	evenlock.stick(id, x)          fast: x from -1 (full right) to 1 (full left) → status
//	evenlock.servo(id, degrees)    fast: servo angle from neutral → status
//	evenlock.coupled(id, coupling, side, height, left, right) → {left, right}: where the wheels go when that of
//	                                 one side is moved by hand, from where they were asked to be; coupling is
//	                                 both, roll or one. It moves nothing
//	evenlock.wheelTravel(id, left, right) fast: how many mm each wheel has risen above ride height, negative where it has
//	                                 dropped → status: held where the suspension goes no further. The stick stays
//	evenlock.grab(id, handle)      → {} : begins a drag; handle is its number in scene.handles
//	evenlock.drag(id, u, v)        fast: puts the grabbed point at u, v of its view → status
//	evenlock.drop(id)              → state: the drag becomes one change of the text
//	evenlock.cancel(id)            → state: as before grab
//	evenlock.nudge(id, handle, du, dv) → state: one small step as one change (arrow keys)
//	evenlock.why(id)               → string: why the last fast call was held or refused, "" if it was not
//	evenlock.set(id, key, value)   → state: value as a person writes it, "24.5 ± 0.2"; a bare
//	                                 number keeps the unit and the ± that stand in the file, but
//	                                 replaces a "± 5" that means "not measured yet" by the rig's accuracy
//	                                 (an empty value takes the key out)
//	evenlock.setAll(id, did, settings) → state: several values as one change, for keys that need one another. settings
//	                                 is [{key, value, unit}], did is what undo says; a unit (mm, in or deg) is that of the value's numbers, which
//	                                 are written in the one that stands in the file
//	evenlock.replace(id, text)     → state: a whole new text, as one change
//	evenlock.undo(id), evenlock.redo(id) → state
//	evenlock.ghost(id, what)       → state: what is "previous" (the default: the rig before the
//	                                 last change, or before the drag), "off", or the text of a rig file
//	evenlock.results(id)           → results: the headline figures
//	evenlock.curves(id, n)         → curves with uncertainty bands, n stick positions (odd, 3 to 401)
//	evenlock.measurements(id)      → measurements
//	evenlock.picture(id, key, perPixel) → picture: the caliper that measures it
//	evenlock.setup(id)             → document: what to fit and what to set; a step's set is for setAll, once the
//	                                 step is done. errors while something is missing
//	evenlock.advise(id)            → advice: takes about as long as ten set-ups, so not on every change, and in a worker
//	evenlock.travel(id)            → document travel: what the suspension's travel does to the steering, and where
//	                                 to move a ball; takes about as long as ten set-ups, so not on every change, and
//	                                 in a worker. Without a suspension an error of the key suspension
//	evenlock.guide(id, on)         → state: whether the drawing from behind shows where the ends of the rods would
//	                                 give no bump steer
//	evenlock.loads(id, noseUp, rightDown) → loads: how strong it is, on a vehicle that stands nose up and right side down by
//	                                 so many degrees; about 40 ms, so better in a worker
//	evenlock.bear(id, on, noseUp, rightDown) → state: whether the live values of the group load and the forces on
//	                                 the drawing follow the pose; each fast call then takes about 0.15 ms more
//	evenlock.radio(id)             → radio
//	evenlock.whatIf(id, control, steps, kind) → {before, after, moved, clipped} : servo angles
//	                                 {right, centre, left} in degrees when subtrim or trim moves by so
//	                                 many steps; kind is "centre" or "whole" for a trim, "" else
//	evenlock.readings(id)          → [{words}]: what was read of the servo
//	evenlock.addReading(id, {control, setting, pulse, angle}) → state: a reading as it is typed, as one change;
//	                                 what was not read is empty
//	evenlock.takeReading(id, n)    → state: takes reading n out, counted from 1
//	evenlock.trimTest(readings)    → {kind, words}: readings is {right, centre, left}, each
//	                                 [servo angle or pulse with trim at zero, with it moved], horn off;
//	                                 uncertain is how far off each may be, 1 if left out
//	evenlock.compare(textA, textB) → compare
//	evenlock.svg(id, view)         → string: the drawing as an SVG file; view is a view's name, or "" for all
//
// A status is 0 (done), 1 (held: the servo is at a limit and the drawing stops there; the limit
// mark and live.limit say which) or 2 (refused: the parts would not go together; the drawing
// stays as it was).
//
// # state
//
//	{"id": 1, "name": "...", "text": "...", "scene": 3,
//	 "undo": "moved the left tie arm's ball" , "redo": "",
//	 "draft": true, "missing": 17, "measured": 31, "later": 24,
//	 "stick": "calibrated" | "assumed", "stickWords": "...",
//	 "warnings": [error, ...]}
//
// text is the rig file, to be kept by the page. undo and redo say what the next undo or redo
// takes back; "" means that there is none. scene is a number that grows when the drawing has other shapes:
// then call scene and numbers again and build the nodes anew. Until it changes, keep the
// nodes. After each call that returns a state, numbers are filled anew for the stick as it was.
// stick is assumed while the file has no transmitter readings.
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
//	 "handles": [{"key": "left.tie_arm", "words": "left tie arm's ball", "view": "above", "at": 700,
//	              "changes": ["left.tie_arm.length", "left.tie_arm.inward"],
//	              "moves": ["forward", "left"], "step": 0.5, "stepWords": "0.5 mm"}],
//	 "live":   [{"key": "road_left", "group": "", "words": "left wheel's road steer angle", "at": 720,
//	             "text": [...]}],
//	 "curves": {"n": 21, "series": [{"key": "stick", "words": "...", "unit": "", "at": 760}, ...]}}
//
// Views are above, behind, side and turn; see package draw. Coordinates are millimetres on the screen: u to the right,
// v downwards, so that box is the viewBox of an <svg> and one unit is one millimetre of the vehicle.
// Shapes stand in the order in which they are painted.
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
// If numbers[shape.at] is NaN the shape is not there now: hide it (display none). The same goes for a live value,
// which then shows as "–". A set that is constant may hold no numbers. class holds CSS classes; the page gives them colour, weight and dash by
// custom properties. A handle is drawn by the page: it is at numbers[at], numbers[at+1]; draw it
// on top, at least 44 px wide to the finger. It shows where the point was measured, with the
// wheels straight. So put the stick to 0 when a handle is grabbed. Arrow keys: nudge by step, in mm (with Shift a tenth).
//
// curves is what moves along while dragging: series of n numbers each, at numbers[at] to
// numbers[at+n-1], NaN where the linkage does not reach. It is filled by every drag and every call that returns a state, not by stick.
// Keys: stick, servo, road_left, road_right, rate_left, rate_right, curvature, curvature_slope,
// ackermann_error, horn_angle, far_angle.
//
// # Numbers with units
//
// Angles are in degrees, lengths in millimetres, curvature in 1/m, rates in degrees of wheel per
// degree of servo, curvature_slope in 1/m per full stick; of scene.live, torques, heights and the axle's shift are in the reader's unit. Signed angles and curvatures are positive to the left. In
// documents a value with uncertainty is
//
//	{"value": 31.24, "uncertain": 0.8, "unit": "°", "text": "31.2° ± 0.8° left"}
//
// with text ready to be shown, to no more digits than it is worth. uncertain is a half-width of about
// 95 % confidence; 0 means that nothing states one.
//
// # results
//
//	[{"key": "lock_left", "words": "lock to the left, inner wheel", value, uncertain, unit, text, "note": "..."}]
//
// Keys: lock_left, lock_right, evenness, path_evenness, rate_centre, ackermann_left, ackermann_right,
// circle_left, circle_right, square, limit_left, limit_right, leverage. A result that cannot be had has text "–"
// and its reason in note; its value is then null.
//
// # curves
//
//	{"stick": [-1, ..., 1], "servo": [...],
//	 "series": [{"key": "road_left", "words": "...", "unit": "°", "values": [...], "band": [...]}],
//	 "folded": {"stick": [0, ..., 1],
//	            "series": [{"key": "inner", "words": "inner wheel's angle", "unit": "°",
//	                        "left": [...], "leftBand": [...], "right": [...], "rightBand": [...], "gap": "1.3° at most, at 80 % stick"}]},
//	 "limits": [{"side": "left", "stick": 0.83, "words": "the left axle joint", "key": "left.axle_joint.max_angle"}]}
//
// A value is null where the linkage does not reach. band is the half-width of the uncertainty. Folded keys: inner, outer, curvature, curvature_slope.
//
// # measurements
//
//	{"missing": 17, "laterMissing": 24, "next": "left.kingpin.point.y",
//	 "list": [{"key": "left.kingpin.point.y", "group": "left.kingpin.point", "words": "...",
//	           "how": "what the caliper does, a sentence or two", "kind": "length" | "angle",
//	           "value": 78, "uncertain": 5, "unit": "mm", "text": "78 ± 5 mm", "entry": "78 ± 5",
//	           "missing": true, "later": false, "lockShare": 0.12, "evennessShare": 0.4, "worth": "...",
//	           "view": "above"}],
//	 "repeat": ["left.tie_arm.length", ...], "repeatWords": "...",
//	 "check": [{"key": "left.stops.in", "words": "left stops in", "entry": "40"}]}
//
// later is set for what the set-up does without: measures of the suspension, of parts to clear and of a rear axle. They come last in the
// list, and missing does not count them.
//
// check lists what is no measurement: limits, choices, the parts' own numbers. In a draft they are the starter's
// until they are set, so ask for them once the measurements are done.
//
// entry is what stands in the file, to be edited in place and given back to set. next is the first
// missing one in the order of asking, "" when none is. Shares are parts of the variance of the lock and of the evenness, 0 to 1; repeat lists the few that
// are worth measuring again, the greatest first. view is the one that shows where the caliper goes, "" where none does: ask for its picture.
//
// # picture
//
//	{"view": "above", "middle": [u, v], "times": 1.8, "shapes": [{"tag": "path", "class": "tool-body", "set": {"d": "M6 -18L41 -18Z"}}]}
//
// evenlock.picture(id, key, perPixel) draws a caliper or a protractor on top of the view's drawing, on a screen that shows so many
// millimetres to a pixel: ask again when that changes. middle and times say what of the view shows it well: the place in the middle of the
// screen, and how many times the view is enlarged.
//
// # advice
//
//	{"list": [{"key": "gives_way.drag_link", "kind": "do" | "know" | "unsure" | "well",
//	           "weight": {value...}, "sentence": "...",
//	           "figures": [{"words": "...", value, uncertain, unit, text}],
//	           "change": {"words": "...", "before": {figure}, "after": {figure},
//	                      "set": [{"key": "drag_link.bend", "value": ""}]} | null}],
//	 "lacks": [error, ...], "cautions": ["..."]}
//
// The list is in order, what matters most first. weight is in degrees of a steered wheel that are at stake, 0 for what has no
// such price. change is what was tried, with the same figure before and after; null where nothing is proposed. set is for setAll, empty where
// the change is more than values of the file. lacks
// says what the file leaves out that the loads need; without it nothing is said of them. See package advise.
//
// # travel
//
// The document of report.Travel. The sections heave, roll, left_wheel and right_wheel have a table each, with its plots.
// The findings of move and other_moves have a change whose set is for setAll; it is empty where the file gives a ball in
// a way that cannot.
//
// state.wheelTravel is null without a suspension, else {"bump": 24, "droop": 24, "step": 0.5, "stepWords": "0.5 mm"}: how
// far each wheel can rise and drop, and a press of a key moves it, in mm. rise_left and rise_right have a second number,
// 1 where the travel stops short of where the wheel was asked to be.
//
// # loads
//
//	{"document": {...}, "lacks": [error, ...], "problems": [error, ...],
//	 "inputs": [{"key": "vehicle.mass", "words": "...", "hint": "...", "entry": "3.1", "options": [], "missing": false}]}
//
// document is that of report.Load; it is left out while the file lacks something, which lacks names, or while the
// vehicle would tip over, which problems say. What is missing goes in by one setAll: mass and share need one another,
// and so do the keys of a rating. options are the words that a value can be, empty for any.
//
// # radio
//
//	{"stick": "calibrated", "settings": [{"key": "settings.subtrim", "words": "subtrim", "value": "0",
//	   "moves": "the whole range, ends and centre together", "step": "0.12° of servo a step"}],
//	 "span": {"right": -40.1, "centre": 0, "left": 41.2}, "trim": "centre" | "whole" | "", "problem": ""}
//
// # compare
//
//	{"changed": [{"key": "...", "words": "...", "a": "24.5 ± 0.2", "b": "26"}],
//	 "results": [{"key": "...", "words": "...", "a": {value...}, "b": {value...}, "difference": "..."}]}
//
// For drawings and curves side by side open both texts as sessions.
//
// Axes, signs and units are those of docs/conventions.md.
package engine
