package draw_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"evenlock/draw"
	"evenlock/internal/rigtest"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// models are those of the axles that a rig steers.
type models []*steer.Model

func axles(t testing.TB, r *rig.Rig) (all models) {
	t.Helper()
	for axle := 1; ; axle++ {
		m, err := steer.Build(r, steer.Options{Axle: axle})
		if errors.Is(err, steer.ErrNoAxle) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, m)
	}
}

// tool is that for a measurement, with the number from 0 of the axle that has it: one alone, but
// for the wheelbase.
func (all models) tool(t testing.TB, path string) (tool draw.Tool, axle int) {
	t.Helper()
	found := 0
	for i, m := range all {
		if one, ok := draw.ToolFor(m, path); ok {
			tool, axle = one, i
			found++
		}
	}
	if found != 1 && (found == 0 || path != "vehicle.wheelbase") {
		t.Errorf("%s %s: %d pictures", all[0].Rig.Name, path, found)
	}
	return tool, axle
}

// What a caliper spans and a protractor opens to on the drawing is what the file says was measured,
// wherever the view sees it in its true size.
func TestToolsSpanWhatWasMeasured(t *testing.T) {
	seen := map[string]int{}
	for name, r := range rigtest.Rigs(t) {
		all := axles(t, r)
		for _, q := range r.Measurements() {
			tool, _ := all.tool(t, q.Path)
			if tool.Angle != (q.Kind == rig.AngleKind) {
				t.Errorf("%s %s: a protractor: %v", name, q.Path, tool.Angle)
			}
			end := q.Path[strings.LastIndexByte(q.Path, '.')+1:]
			switch {
			case strings.Contains(q.Path, "transmitter.reading."):
				// The servo turned another way than on this picture, which shows only where to lay
				// the protractor.
				continue
			case strings.HasSuffix(q.Path, "rod.length"), strings.HasSuffix(q.Path, "drag_link.length"), end == "along", end == "tyre_width":
				// Rods and tyres lean, and are seen a little shorter than they are.
				if d := r2.Norm(r2.Sub(tool.To, tool.From)); d > q.Q.Value+1e-6 || d < 0.8*q.Q.Value {
					t.Errorf("%s %s: spans %.3f mm of %.3f mm", name, q.Path, d, q.Q.Value)
				}
			case end == "link_angle":
				// So do their angles.
				if off := math.Abs(opens(tool) - q.Q.Value); off > 0.5*degree {
					t.Errorf("%s %s: opens to %.4f°, measured %.4f°", name, q.Path, opens(tool)/degree, q.Q.Value/degree)
				}
			case tool.Angle:
				if off := math.Abs(opens(tool) - math.Abs(q.Q.Value)); off > 1e-6 {
					t.Errorf("%s %s: opens to %.4f°, measured %.4f°", name, q.Path, opens(tool)/degree, q.Q.Value/degree)
				}
			default:
				if d := r2.Norm(r2.Sub(tool.To, tool.From)); math.Abs(d-math.Abs(q.Q.Value)) > 1e-6 {
					t.Errorf("%s %s: spans %.4f mm, measured %.4f mm", name, q.Path, d, q.Q.Value)
				}
			}
			seen[end]++
		}
	}
	for _, end := range []string{"wheelbase", "track", "caster", "inclination", "toe", "camber", "tyre_radius", "tyre_width", "length", "inward", "height", "hole", "reach", "lean", "link_angle", "x", "y", "z"} {
		if seen[end] == 0 {
			t.Errorf("no rig has a %s to compare", end)
		}
	}
}

// opens is the angle between a protractor's arms.
func opens(t draw.Tool) float64 {
	a, b := r2.Sub(t.From, t.Vertex), r2.Sub(t.To, t.Vertex)
	return math.Abs(math.Atan2(r2.Cross(a, b), r2.Dot(a, b)))
}

// numbersOf are the numbers in an element's attributes, in their order.
func numbersOf(t rapid.TB, e draw.Element) []float64 {
	t.Helper()
	var all []float64
	for _, one := range e.Set {
		for _, word := range strings.FieldsFunc(one.Text, func(r rune) bool { return strings.ContainsRune("MLZ ", r) }) {
			x, err := strconv.ParseFloat(word, 64)
			if err != nil {
				t.Fatalf("%+v: %v", e, err)
			}
			all = append(all, x)
		}
	}
	return all
}

func text(all []draw.Element) string {
	var b strings.Builder
	for _, e := range all {
		b.WriteString(e.Tag + "." + e.Class)
		for _, one := range e.Set {
			b.WriteString(" " + one.Name + "=" + one.Text)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// Figures by hand: 20 mm across at half a millimetre to a pixel. The jaws are 46 px long, which is
// 23 mm, and stand above the line, which is towards smaller v.
func TestCaliperByHand(t *testing.T) {
	tool := draw.Tool{From: r2.Vec{X: 10, Y: 5}, To: r2.Vec{X: 30, Y: 5}}
	const want = `line.measure-line x1=10 y1=5 x2=30 y2=5
path.tool-body d=M6 -18L41 -18L41 -22.5L6 -22.5Z
path.tool-body d=M10 8.5L10 -18L6 -18L6 2Z
path.tool-body d=M30 8.5L30 -18L34 -18L34 2Z
path.mark-line d=M10 -18L10 -21
path.mark-line d=M12 -18L12 -19.5
path.mark-line d=M14 -18L14 -19.5
path.mark-line d=M16 -18L16 -19.5
path.mark-line d=M18 -18L18 -19.5
path.mark-line d=M20 -18L20 -21
path.mark-line d=M22 -18L22 -19.5
path.mark-line d=M24 -18L24 -19.5
path.mark-line d=M26 -18L26 -19.5
path.mark-line d=M28 -18L28 -19.5
path.mark-line d=M30 -18L30 -21
circle.tip cx=10 cy=5 r=1.5
circle.tip cx=30 cy=5 r=1.5
`
	if got := text(tool.Elements(0.5)); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	// What is nothing to span is ringed.
	tool.To = tool.From
	if got := text(tool.Elements(0.5)); got != "circle.target cx=10 cy=5 r=7\ncircle.tip cx=10 cy=5 r=1.5\n" {
		t.Errorf("got\n%s", got)
	}
}

// Wherever the two places are, the inner faces of the jaws lie on them and stand square to the
// line, the beam is on the upper side or, where there is none, on the right, and a caliper is as
// large on the screen at any zoom.
func TestCaliperSpansItsPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := func(name string) r2.Vec {
			return r2.Vec{X: rapid.Float64Range(-300, 300).Draw(t, name+" u"), Y: rapid.Float64Range(-300, 300).Draw(t, name+" v")}
		}
		tool := draw.Tool{From: at("from"), To: at("to")}
		if rapid.Bool().Draw(t, "upright") {
			tool.To.X = tool.From.X
		}
		px := rapid.Float64Range(0.02, 2).Draw(t, "mm to a pixel")
		span := r2.Sub(tool.To, tool.From)
		all := tool.Elements(px)
		if r2.Norm(span) < 2*px {
			if len(all) != 2 || all[0].Class != "target" {
				t.Fatalf("got\n%s", text(all))
			}
			return
		}
		const fine = 2e-3 // numbers are written to a thousandth
		var bodies [][]float64
		for _, e := range all {
			if e.Class == "tool-body" {
				bodies = append(bodies, numbersOf(t, e))
			}
		}
		if len(bodies) != 3 {
			t.Fatalf("%d bodies", len(bodies))
		}
		for i, place := range []r2.Vec{tool.From, tool.To} {
			jaw := bodies[i+1]
			tip, root := r2.Vec{X: jaw[0], Y: jaw[1]}, r2.Vec{X: jaw[2], Y: jaw[3]}
			face := r2.Sub(root, tip)
			if size := r2.Norm(face); math.Abs(size-53*px) > 2*fine {
				t.Errorf("a jaw's face is %v px long", size/px)
			}
			if off := math.Abs(r2.Cross(face, r2.Sub(place, tip))) / r2.Norm(face); off > fine {
				t.Errorf("the face of jaw %d is %v mm from its place", i, off)
			}
			if lean := math.Abs(r2.Dot(face, span)) / r2.Norm(face) / r2.Norm(span); lean > fine/px {
				t.Errorf("jaw %d is not square: %v", i, lean)
			}
			if face.Y > fine || span.X == 0 && face.X < 0 {
				t.Errorf("jaw %d is on the wrong side: %v", i, face)
			}
		}
		marks := 0
		for _, e := range all {
			if e.Class == "mark-line" {
				marks++
			}
		}
		gap := math.Max(1, math.Ceil(4*px))
		if want := int(r2.Norm(span)/gap) + 1; marks != want {
			t.Errorf("%d marks, want %d", marks, want)
		}
	})
}

// Figures by hand: a quarter turn from the right upwards on the screen, at a millimetre to a pixel.
// The arc's radius is 60 px; at half way it is at 60/√2 = 42.426.
func TestProtractorByHand(t *testing.T) {
	tool := draw.Tool{Angle: true, Vertex: r2.Vec{X: 1, Y: 2}, From: r2.Vec{X: 31, Y: 2}, To: r2.Vec{X: 1, Y: -8}}
	all := tool.Elements(1)
	if got := text(all[1:3]); got != "line.tool-arm x1=1 y1=2 x2=88 y2=2\nline.tool-arm x1=1 y1=2 x2=1 y2=-85\n" {
		t.Errorf("the arms are\n%s", got)
	}
	arc := numbersOf(t, all[3])
	if len(arc) != 50 || arc[0] != 61 || arc[1] != 2 || arc[24] != 43.426 || arc[25] != -40.426 || arc[48] != 1 || arc[49] != -58 {
		t.Errorf("the arc is %v", arc)
	}
	if sector := numbersOf(t, all[0]); sector[0] != 1 || sector[1] != 2 || len(sector) != 52 {
		t.Errorf("the sector is %v", sector)
	}
}

// The arc goes the shorter way, at one distance from the vertex, and ends where the arms point.
func TestProtractorOpensTheShorterWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, to := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "from"), rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "to")
		px := rapid.Float64Range(0.05, 2).Draw(t, "mm to a pixel")
		tool := draw.Tool{Angle: true, Vertex: r2.Vec{X: 7, Y: -3}}
		tool.From = r2.Add(tool.Vertex, r2.Vec{X: 30 * math.Cos(from), Y: 30 * math.Sin(from)})
		tool.To = r2.Add(tool.Vertex, r2.Vec{X: 12 * math.Cos(to), Y: 12 * math.Sin(to)})
		arc := numbersOf(t, tool.Elements(px)[3])
		way := 0.0
		for i := 0; i < len(arc); i += 2 {
			p := r2.Sub(r2.Vec{X: arc[i], Y: arc[i+1]}, tool.Vertex)
			if math.Abs(r2.Norm(p)-60*px) > 2e-3 {
				t.Fatalf("point %d is %v from the vertex", i/2, r2.Norm(p))
			}
			if i > 0 {
				way += r2.Norm(r2.Sub(r2.Vec{X: arc[i], Y: arc[i+1]}, r2.Vec{X: arc[i-2], Y: arc[i-1]}))
			}
			for end, angle := range map[int]float64{0: from, len(arc) - 2: to} {
				want := r2.Vec{X: 60 * px * math.Cos(angle), Y: 60 * px * math.Sin(angle)}
				if i == end && r2.Norm(r2.Sub(p, want)) > 2e-3 {
					t.Errorf("the arc ends at %v, the arm is at %v", p, want)
				}
			}
		}
		shorter := math.Acos(math.Max(-1, math.Min(1, math.Cos(to-from))))
		// 24 chords are up to 0.3 % shorter than the arc.
		if want := shorter * 60 * px; way > want+0.06 || way < 0.997*want-0.06 {
			t.Errorf("the arc is %v mm long, want %v", way, want)
		}
	})
}

// Every tool of every rig is wholly in what its view then shows, which is within the box's own size
// and never wider.
func TestZoomShowsTheTool(t *testing.T) {
	for name, r := range rigtest.Rigs(t) {
		all := axles(t, r)
		var scenes []*draw.Scene
		for _, m := range all {
			scenes = append(scenes, draw.New(m, limitWords))
		}
		for _, q := range r.Measurements() {
			tool, axle := all.tool(t, q.Path)
			scene := scenes[axle]
			box := scene.Boxes[tool.View]
			middle, times := tool.Zoom(box)
			most := 1.8
			if tool.View == draw.Turn {
				most = 2.6
			}
			if times < 1 || times > most {
				t.Errorf("%s %s: enlarged %v times", name, q.Path, times)
			}
			if times == 1 && middle != (r2.Vec{X: box.U + box.Width/2, Y: box.V + box.Height/2}) {
				t.Errorf("%s %s: the whole view is shown about %v", name, q.Path, middle)
			}
			for _, p := range []r2.Vec{tool.From, tool.To} {
				if times > 1 && (math.Abs(p.X-middle.X) > 0.31*box.Width/times+1e-9 || math.Abs(p.Y-middle.Y) > 0.31*box.Height/times+1e-9) {
					t.Errorf("%s %s: %v is at the edge, shown %v times about %v", name, q.Path, p, times, middle)
				}
			}
		}
	}
	tool := draw.Tool{From: r2.Vec{X: 10, Y: 20}, To: r2.Vec{X: 60, Y: 20}}
	// 0.62 of 100 mm for 50 mm is 1.24 times.
	if middle, times := tool.Zoom(draw.Box{Width: 100, Height: 80}); math.Abs(times-1.24) > 1e-12 || middle != (r2.Vec{X: 35, Y: 20}) {
		t.Errorf("shown %v times about %v", times, middle)
	}
}
