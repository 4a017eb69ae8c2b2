// Package oracle checks the kernel against an independent program: random
// steering rigs in space, solved by a general-purpose geometric constraint
// solver that knows only points and the distances between them.
//
// A turning body is written as its two fixed axis points, two markers square to
// one another about the axis, and its balls, each held by three distances. Those
// leave a mirror image possible; every pose starts at its neighbour, and
// [Rig.Pose] checks a fourth distance, which a mirror image does not keep.
// Angles are read from the markers and spindle tips that come back.
//
// A [Suspended] is a rig on its suspension, written down in the same way: the axle as points that
// keep their distances, arms by the distances of a ball to two hinges, struts and racks as points
// on lines. What drives it, beside the servo, is how high two points are.
package oracle

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// Layout is what the drag link pulls.
type Layout int

// The layouts of a steered solid axle: drag link to a knuckle, or to a ball on
// the tie rod.
const (
	ToLeft Layout = iota
	ToRight
	ToTieRod
	layouts
)

// String names the layout.
func (l Layout) String() string {
	return [...]string{"drag link to the left knuckle", "drag link to the right knuckle", "drag link to the tie rod"}[l]
}

// Knuckle is one knuckle at the zero pose: places in mm in the vehicle frame,
// X forward, Y left, Z up; angles in radians.
type Knuckle struct {
	// Out is the sign of Y away from the middle: 1 on the left, -1 on the right.
	Out float64
	// Centre is a point of the kingpin axis, about the middle of the knuckle, and
	// HalfHeight how far the two points lie from there that hold the axis.
	Centre     r3.Vec
	HalfHeight float64
	// Caster leans the kingpin's top to the rear, seen from the side; Inclination
	// leans it to the middle, seen from the front.
	Caster, Inclination float64
	// Toe turns the wheel's front to the middle; Camber leans its top away from it.
	Toe, Camber float64
	// Tie and Drag are the balls; Drag is unused on a knuckle without drag link.
	Tie, Drag r3.Vec
}

// Axis returns the unit direction of the kingpin axis, upwards.
func (k *Knuckle) Axis() r3.Vec {
	return r3.Unit(r3.Vec{X: -math.Tan(k.Caster), Y: -k.Out * math.Tan(k.Inclination), Z: 1})
}

// Bottom returns the lower of the two points that hold the kingpin axis.
func (k *Knuckle) Bottom() r3.Vec { return r3.Sub(k.Centre, r3.Scale(k.HalfHeight, k.Axis())) }

// Top returns the upper of the two points that hold the kingpin axis.
func (k *Knuckle) Top() r3.Vec { return r3.Add(k.Centre, r3.Scale(k.HalfHeight, k.Axis())) }

// Spindle returns the unit direction of the wheel's axis, away from the middle.
func (k *Knuckle) Spindle() r3.Vec {
	// Yaw and then lean: the top goes outward, so the spindle's end goes down.
	flat := r3.Vec{X: math.Sin(k.Toe), Y: k.Out * math.Cos(k.Toe)}
	return r3.Sub(r3.Scale(math.Cos(k.Camber), flat), r3.Vec{Z: math.Sin(k.Camber)})
}

// Rig is a steering rig at the zero pose, in mm.
type Rig struct {
	Layout      Layout
	Left, Right Knuckle
	// ServoPoint and ServoAxis (unit) are the servo's shaft; Horn is the horn's ball.
	ServoPoint, ServoAxis, Horn r3.Vec
	// TieBall is the drag link's ball on the line of the tie rod, for ToTieRod.
	TieBall r3.Vec
	// TieLength and DragLength are the rods, ball to ball. [Random] makes them
	// fit the zero pose.
	TieLength, DragLength float64
}

// Target returns the ball that the drag link pulls.
func (r *Rig) Target() r3.Vec {
	switch r.Layout {
	case ToLeft:
		return r.Left.Drag
	case ToRight:
		return r.Right.Drag
	default:
		return r.TieBall
	}
}

// Pose is the independent program's answer for one servo angle: where the balls
// are, in mm, and angles in radians read from them.
type Pose struct {
	Angle                     float64
	Horn, Target              r3.Vec
	LeftTie, RightTie         r3.Vec
	LeftTurn, RightTurn       float64 // about the kingpin axis, from the zero pose
	LeftRoad, RightRoad       float64 // yaw of the wheel seen from above
	LeftSpindle, RightSpindle r3.Vec  // unit, away from the middle
}

// spindleTip is how far from the kingpin axis a spindle's tip is put, and
// marker how far the markers are, in mm: about the size of a knuckle, so that the
// distances are well conditioned.
const (
	spindleTip = 30.0
	marker     = 25.0
)

type named struct {
	name string
	at   r3.Vec
}

// frame is a knuckle as points: four that are far from one plane, and the rest.
type frame struct {
	centre, square r3.Vec // on the axis; and the direction in which marker N stands
	reference      [4]named
	carried        []named
}

func (k *Knuckle) frame(side string, drag bool) frame {
	axis := k.Axis()
	centre := k.Centre
	// Any direction square to the axis will do for the first marker.
	m := r3.Unit(r3.Cross(axis, r3.Vec{X: 0.6, Y: -0.8}))
	n := r3.Cross(axis, m)
	f := frame{
		centre: centre, square: n,
		reference: [4]named{
			{side + "Bottom", k.Bottom()},
			{side + "Top", k.Top()},
			{side + "M", r3.Add(centre, r3.Scale(marker, m))},
			{side + "N", r3.Add(centre, r3.Scale(marker, n))},
		},
		carried: []named{
			{side + "Tie", k.Tie},
			{side + "Tip", r3.Add(centre, r3.Scale(spindleTip, k.Spindle()))},
		},
	}
	if drag {
		f.carried = append(f.carried, named{side + "Drag", k.Drag})
	}
	return f
}

func (r *Rig) frames() (left, right frame) {
	return r.Left.frame("left", r.Layout == ToLeft), r.Right.frame("right", r.Layout == ToRight)
}

// bestThree returns the three reference points that hold p best: those whose
// directions from p span the largest volume.
func (f *frame) bestThree(p r3.Vec) [3]named {
	var best [3]named
	largest := -1.0
	for skip := range f.reference {
		var three [3]named
		var to [3]r3.Vec
		n := 0
		for i, ref := range f.reference {
			if i == skip {
				continue
			}
			three[n], to[n] = ref, r3.Unit(r3.Sub(ref.at, p))
			n++
		}
		if v := math.Abs(r3.Dot(to[0], r3.Cross(to[1], to[2]))); v > largest {
			largest, best = v, three
		}
	}
	return best
}

// script is input of the constraint program.
type script []byte

func (s *script) add(format string, args ...any) { *s = fmt.Appendf(*s, format+"\n", args...) }

func (s *script) point(kind string, p named) {
	s.add("%s %s %.17g %.17g %.17g", kind, p.name, p.at.X, p.at.Y, p.at.Z)
}

func (s *script) dist(a, b string, d float64) {
	s.add("dist %s %s %.17g", a, b, d)
}

func (s *script) apart(a, b named) { s.dist(a.name, b.name, r3.Norm(r3.Sub(a.at, b.at))) }

func (s *script) horn(r *Rig) {
	s.add("driven horn %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g",
		r.Horn.X, r.Horn.Y, r.Horn.Z, r.ServoPoint.X, r.ServoPoint.Y, r.ServoPoint.Z,
		r.ServoAxis.X, r.ServoAxis.Y, r.ServoAxis.Z)
}

// Script returns the input of the constraint program for poses at servo angles in
// radians. Each way starts at the zero pose, and every pose at the one before.
func (r *Rig) Script(ways ...[]float64) string {
	var s script
	s.add("rig")
	s.horn(r)
	left, right := r.frames()
	frames := []*frame{&left, &right}
	for _, f := range frames {
		s.point("fixed", f.reference[0])
		s.point("fixed", f.reference[1])
		s.point("free", f.reference[2])
		s.point("free", f.reference[3])
		for _, p := range f.carried {
			s.point("free", p)
		}
	}
	if r.Layout == ToTieRod {
		s.point("free", named{"tieBall", r.TieBall})
	}
	for _, f := range frames {
		bottom, top, m, n := f.reference[0], f.reference[1], f.reference[2], f.reference[3]
		s.apart(bottom, m)
		s.apart(top, m)
		s.apart(bottom, n)
		s.apart(top, n)
		s.apart(m, n)
		for _, p := range f.carried {
			for _, ref := range f.bestThree(p.at) {
				s.apart(p, ref)
			}
		}
	}
	s.dist("leftTie", "rightTie", r.TieLength)
	s.dragLink(r)
	for _, way := range ways {
		s.add("start")
		for _, angle := range way {
			s.add("pose %.17g", angle)
		}
	}
	return string(s)
}

// dragLink holds the horn and what it pulls together.
func (s *script) dragLink(r *Rig) {
	switch r.Layout {
	case ToLeft:
		s.dist("horn", "leftDrag", r.DragLength)
	case ToRight:
		s.dist("horn", "rightDrag", r.DragLength)
	default:
		s.add("line tieBall leftTie rightTie")
		s.dist("tieBall", "leftTie", r3.Norm(r3.Sub(r.TieBall, r.Left.Tie)))
		s.dist("horn", "tieBall", r.DragLength)
	}
}

// Timing returns the input of the constraint program that times n poses swinging
// between -angle and +angle radians, with as few points as say what the knuckles
// do: the rods' balls alone.
func (r *Rig) Timing(n int, angle float64) (string, error) {
	if r.Layout != ToRight {
		return "", errors.New("only a rig with its drag link to the right knuckle can be timed")
	}
	var s script
	s.add("rig")
	s.horn(r)
	for _, p := range []named{
		{"leftBottom", r.Left.Bottom()},
		{"leftTop", r.Left.Top()},
		{"rightBottom", r.Right.Bottom()},
		{"rightTop", r.Right.Top()},
	} {
		s.point("fixed", p)
	}
	drag, rightTie, leftTie := named{"drag", r.Right.Drag}, named{"rightTie", r.Right.Tie}, named{"leftTie", r.Left.Tie}
	for _, p := range []named{drag, rightTie, leftTie} {
		s.point("free", p)
	}
	s.apart(drag, named{"rightBottom", r.Right.Bottom()})
	s.apart(drag, named{"rightTop", r.Right.Top()})
	s.apart(rightTie, named{"rightBottom", r.Right.Bottom()})
	s.apart(rightTie, named{"rightTop", r.Right.Top()})
	s.apart(rightTie, drag)
	s.apart(leftTie, named{"leftBottom", r.Left.Bottom()})
	s.apart(leftTie, named{"leftTop", r.Left.Top()})
	s.dist("leftTie", "rightTie", r.TieLength)
	s.dist("horn", "drag", r.DragLength)
	s.add("bench %d %.17g", n, angle)
	return string(s), nil
}

// Run gives the input to the constraint program and returns its lines of output.
func Run(ctx context.Context, program, input string) ([]string, error) {
	cmd := exec.CommandContext(ctx, program)
	cmd.Stdin = strings.NewReader(input)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("constraint program: %w: %s", err, stderr.String())
	}
	var lines []string
	scan := bufio.NewScanner(bytes.NewReader(out))
	for scan.Scan() {
		lines = append(lines, scan.Text())
	}
	return lines, scan.Err()
}

// ErrNoPose reports a pose that the constraint program could not solve.
var ErrNoPose = errors.New("not solved")

// parse reads one answer to a pose line into points by name.
func (r *Rig) parse(line string) (map[string]r3.Vec, error) {
	fields := strings.Fields(line)
	if len(fields) == 0 || fields[0] != "ok" {
		return nil, fmt.Errorf("%w: %s", ErrNoPose, line)
	}
	left, right := r.frames()
	names := []string{"horn"}
	for _, f := range []*frame{&left, &right} {
		names = append(names, f.reference[2].name, f.reference[3].name)
		for _, p := range f.carried {
			names = append(names, p.name)
		}
	}
	if r.Layout == ToTieRod {
		names = append(names, "tieBall")
	}
	if len(fields) != 1+3*len(names) {
		return nil, fmt.Errorf("%d numbers for %d points", len(fields)-1, len(names))
	}
	at := map[string]r3.Vec{
		"leftBottom": r.Left.Bottom(), "leftTop": r.Left.Top(),
		"rightBottom": r.Right.Bottom(), "rightTop": r.Right.Top(),
	}
	for i, name := range names {
		var x [3]float64
		for j := range x {
			var err error
			if x[j], err = strconv.ParseFloat(fields[1+3*i+j], 64); err != nil {
				return nil, err
			}
		}
		at[name] = r3.Vec{X: x[0], Y: x[1], Z: x[2]}
	}
	return at, nil
}

// Pose reads one answer of the constraint program and the angles in it.
//
// It also returns the misfit: the greatest error, in mm, of any distance that
// the rig keeps, among them those that were not given to the constraint program
// and that a mirror image would break.
func (r *Rig) Pose(angle float64, line string) (Pose, float64, error) {
	at, err := r.parse(line)
	if err != nil {
		return Pose{}, 0, err
	}
	left, right := r.frames()
	p := Pose{
		Angle: angle, Horn: at["horn"], LeftTie: at["leftTie"], RightTie: at["rightTie"],
		LeftTurn: left.turn(at), RightTurn: right.turn(at),
	}
	p.LeftSpindle = r3.Scale(1/spindleTip, r3.Sub(at["leftTip"], left.centre))
	p.RightSpindle = r3.Scale(1/spindleTip, r3.Sub(at["rightTip"], right.centre))
	// The wheel's yaw seen from above, positive to the left. Straight ahead the
	// left spindle points along +Y and the right one along -Y.
	p.LeftRoad = math.Atan2(-p.LeftSpindle.X, p.LeftSpindle.Y)
	p.RightRoad = math.Atan2(p.RightSpindle.X, -p.RightSpindle.Y)
	misfit := math.Max(left.misfit(at), right.misfit(at))
	check := func(a, b r3.Vec, want float64) {
		misfit = math.Max(misfit, math.Abs(r3.Norm(r3.Sub(a, b))-want))
	}
	check(p.LeftTie, p.RightTie, r.TieLength)
	switch r.Layout {
	case ToLeft:
		p.Target = at["leftDrag"]
	case ToRight:
		p.Target = at["rightDrag"]
	default:
		p.Target = at["tieBall"]
		share := r3.Norm(r3.Sub(r.TieBall, r.Left.Tie)) / r.TieLength
		on := r3.Add(p.LeftTie, r3.Scale(share, r3.Sub(p.RightTie, p.LeftTie)))
		check(p.Target, on, 0)
	}
	check(p.Horn, p.Target, r.DragLength)
	return p, misfit, nil
}

// turn reads the turn about the axis from the zero pose off marker M.
func (f *frame) turn(at map[string]r3.Vec) float64 {
	first := r3.Sub(f.reference[2].at, f.centre)
	now := r3.Sub(at[f.reference[2].name], f.centre)
	return math.Atan2(r3.Dot(now, f.square), r3.Dot(now, first)/marker)
}

// misfit is the greatest error of any distance between points of the body.
func (f *frame) misfit(at map[string]r3.Vec) float64 {
	points := append(f.reference[:], f.carried...)
	worst := 0.0
	for i, p := range points {
		for _, q := range points[:i] {
			was := r3.Norm(r3.Sub(p.at, q.at))
			is := r3.Norm(r3.Sub(at[p.name], at[q.name]))
			worst = math.Max(worst, math.Abs(is-was))
		}
	}
	return worst
}
