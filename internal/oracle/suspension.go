package oracle

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// Carrier is what carries the steered wheels of a [Suspended].
type Carrier int

// The carriers: a solid axle on four rods, two arms to each wheel with a tie rod between the
// knuckles, and an arm and a strut to each wheel with a rack between two rods.
const (
	FourLinks Carrier = iota
	DoubleArms
	StrutAndRack
	carriers
)

// String names the carrier.
func (c Carrier) String() string {
	return [...]string{"solid axle on four links", "double arms", "strut and rack"}[c]
}

// Arms are what carries one knuckle of independent wheels: the hinges of the arms, and the mount of
// a strut.
type Arms struct {
	LowerFront, LowerRear, UpperFront, UpperRear, Mount r3.Vec
}

// Suspended is a steering rig on its suspension, at ride height. Of its Rig, the layout says what
// the drag link pulls, but for a rack.
type Suspended struct {
	Rig
	Carrier Carrier
	// Links are the four rods of a solid axle, from the chassis to the axle.
	Links [4][2]r3.Vec
	// LeftArms and RightArms carry independent wheels.
	LeftArms, RightArms Arms
	// Slides is the unit direction of the rack, and its balls are for the drag link and the two
	// rods.
	Slides                        r3.Vec
	RackDrag, RackLeft, RackRight r3.Vec
	// LeftLength and RightLength are the rods from the rack.
	LeftLength, RightLength float64
}

// RandomSuspended returns a rig that fits together at ride height. The figures are invented, of the
// size that scale vehicles have. How far it rides is left to chance.
func RandomSuspended(rng *rand.Rand, c Carrier) Suspended {
	layout := ToLeft
	if c == FourLinks {
		layout = Layout(rng.IntN(int(layouts)))
	}
	r := Suspended{Rig: Random(rng, layout), Carrier: c}
	off := func(most float64) float64 { return between(rng, -most, most) }
	switch c {
	case FourLinks:
		// Two below and one above from behind, splayed and leaning any way, and one across.
		for i, y := range []float64{40, -40, off(25)} {
			z := []float64{-15, -15, 25}[i]
			axle := r3.Vec{X: off(10), Y: y + off(10), Z: z + off(6)}
			r.Links[i] = [2]r3.Vec{r3.Add(axle, r3.Vec{X: -between(rng, 70, 140), Y: off(20), Z: off(15)}), axle}
		}
		side := sign(rng)
		axle := r3.Vec{X: off(15), Y: side * between(rng, 30, 60), Z: between(rng, 10, 40)}
		r.Links[3] = [2]r3.Vec{r3.Add(axle, r3.Vec{X: off(15), Y: -side * between(rng, 70, 110), Z: off(20)}), axle}
	default:
		arms := func(k *Knuckle) Arms {
			inner := k.Out * between(rng, 15, 30)
			hinges := func(at r3.Vec) (front, rear r3.Vec) {
				return r3.Vec{X: at.X + between(rng, 12, 22), Y: inner + off(4), Z: at.Z + off(5)}, r3.Vec{X: at.X - between(rng, 12, 22), Y: inner + off(4), Z: at.Z + off(5)}
			}
			var a Arms
			a.LowerFront, a.LowerRear = hinges(k.Bottom())
			a.UpperFront, a.UpperRear = hinges(k.Top())
			a.Mount = r3.Add(k.Top(), r3.Scale(between(rng, 25, 50), k.Axis()))
			return a
		}
		r.LeftArms, r.RightArms = arms(&r.Left), arms(&r.Right)
	}
	if c == StrutAndRack {
		r.rack(rng, off)
	}
	return r
}

// rack puts a rack between the knuckles, with its rods, and the drag link beside it.
func (r *Suspended) rack(rng *rand.Rand, off func(float64) float64) {
	r.Slides = askew(rng, r3.Vec{Y: 1}, 0.1)
	middle := r3.Scale(0.5, r3.Add(r.Left.Tie, r.Right.Tie))
	place := func(along float64) r3.Vec {
		return r3.Add(r3.Add(middle, r3.Scale(along, r.Slides)), r3.Vec{X: off(6), Z: off(6)})
	}
	r.RackDrag, r.RackLeft, r.RackRight = place(off(4)), place(between(rng, 12, 24)), place(-between(rng, 12, 24))
	// The horn swings about the vehicle's long axis or an upright one, and its link lies about
	// along the rack.
	r.ServoAxis = askew(rng, []r3.Vec{{Z: 1}, {X: 1}}[rng.IntN(2)], 0.2)
	square := r3.Unit(r3.Cross(r.ServoAxis, r.Slides))
	r.Horn = r3.Add(r.RackDrag, r3.Add(r3.Scale(-sign(rng)*between(rng, 35, 60), r.Slides), r3.Vec{X: off(5), Z: off(5)}))
	r.ServoPoint = r3.Add(r.Horn, r3.Scale(sign(rng)*between(rng, 12, 20), square))
	r.DragLength = r3.Norm(r3.Sub(r.Horn, r.RackDrag))
	r.LeftLength, r.RightLength = r3.Norm(r3.Sub(r.RackLeft, r.Left.Tie)), r3.Norm(r3.Sub(r.RackRight, r.Right.Tie))
}

// File returns the text of a rig file that says what the rig is. Kingpins are given by two points,
// those of a strut by the lower ball and the strut's mount.
func (r *Suspended) File() string {
	var s script
	s.add("format = 1\nname = %q", r.Carrier.String()+" (invented)")
	s.add("[vehicle]\nwheelbase = 300")
	rack := r.Carrier == StrutAndRack
	for _, k := range []struct {
		side string
		*Knuckle
		drag  bool
		mount r3.Vec
	}{
		{"left", &r.Left, r.Layout == ToLeft && !rack, r.LeftArms.Mount},
		{"right", &r.Right, r.Layout == ToRight && !rack, r.RightArms.Mount},
	} {
		top := k.Top()
		if rack {
			top = k.mount
		}
		s.add("[%s.kingpin]", k.side)
		s.triple("top", top)
		s.triple("bottom", k.Bottom())
		s.knuckleParts(k.side, k.Knuckle, k.drag)
	}
	s.add("[servo]\nmount = \"chassis\"")
	s.triple("point", r.ServoPoint)
	s.triple("axis", r.ServoAxis)
	s.add("[horn]")
	s.triple("ball", r.Horn)
	if rack {
		s.add("[drag_link]\nto = \"rack\"\nlength = %.17g\n[rack]", r.DragLength)
		s.triple("slides", r.Slides)
		s.triple("drag_ball", r.RackDrag)
		s.triple("left_ball", r.RackLeft)
		s.triple("right_ball", r.RackRight)
		s.add("left_rod.length = %.17g\nright_rod.length = %.17g", r.LeftLength, r.RightLength)
	} else {
		s.dragAndTie(&r.Rig)
	}
	s.add("[suspension]\nkind = %q\nbump = 30\ndroop = 30", [...]string{"links", "arms", "struts"}[r.Carrier])
	if r.Carrier == FourLinks {
		for i, l := range r.Links {
			s.add("[[suspension.link]]\nname = \"link %d\"", i+1)
			s.triple("chassis", l[0])
			s.triple("axle", l[1])
		}
		return string(s)
	}
	for side, a := range map[string]*Arms{"left": &r.LeftArms, "right": &r.RightArms} {
		s.add("[suspension.%s]", side)
		s.triple("lower_front", a.LowerFront)
		s.triple("lower_rear", a.LowerRear)
		if !rack {
			s.triple("upper_front", a.UpperFront)
			s.triple("upper_rear", a.UpperRear)
		}
	}
	return string(s)
}

// SuspendedPose is where the servo and the wheels are to go: radians, and mm above ride height.
type SuspendedPose struct{ Angle, Left, Right float64 }

// wheelOut is how far a wheel's middle is from the middle of its knuckle, along the spindle.
const wheelOut = 20.0

// suspendedPoints are a suspended rig as points: bodies are those that keep all their distances.
type suspendedPoints struct {
	script
	fixed        map[string]r3.Vec
	found        []string // in the order of the answers
	left, right  frame
	bodies       [][]named
	lines        [][3]string
	leftTop      string // the upper ends of the kingpins
	rightTop     string
	riseL, riseR string
}

func (p *suspendedPoints) still(n named) {
	p.point("fixed", n)
	p.fixed[n.name] = n.at
}

func (p *suspendedPoints) free(n named) {
	p.point("free", n)
	p.found = append(p.found, n.name)
}

// all distances of four points hold them to one another but for a mirror image.
func (p *suspendedPoints) reference(points []named) {
	for i, a := range points {
		for _, b := range points[:i] {
			p.apart(a, b)
		}
	}
}

// points writes the rig down for the constraint program.
func (r *Suspended) points() *suspendedPoints {
	p := &suspendedPoints{fixed: map[string]r3.Vec{}, leftTop: "leftTop", rightTop: "rightTop", riseL: "leftBottom", riseR: "rightBottom"}
	rack := r.Carrier == StrutAndRack
	p.left, p.right = r.Left.frame("left", r.Layout == ToLeft && !rack), r.Right.frame("right", r.Layout == ToRight && !rack)
	p.add("rig")
	p.horn(&r.Rig)
	p.found = append(p.found, "horn")
	p.still(named{"low", r3.Vec{}})
	p.still(named{"high", r3.Vec{Z: 1}})
	frames := []*frame{&p.left, &p.right}
	wheel := func(k *Knuckle) r3.Vec { return r3.Add(k.Centre, r3.Scale(wheelOut, k.Spindle())) }

	var axle frame
	arms := []*Arms{&r.LeftArms, &r.RightArms}
	if r.Carrier == FourLinks {
		p.riseL, p.riseR = "leftEnd", "rightEnd"
		axle.reference = [4]named{{"leftEnd", wheel(&r.Left)}, {"rightEnd", wheel(&r.Right)}, {"axleM", r3.Vec{X: 40, Z: 10}}, {"axleN", r3.Vec{X: -5, Y: 3, Z: 45}}}
		for i, l := range r.Links {
			p.still(named{fmt.Sprintf("chassis%d", i), l[0]})
			axle.carried = append(axle.carried, named{fmt.Sprintf("axle%d", i), l[1]})
		}
		for _, f := range frames {
			axle.carried = append(axle.carried, f.reference[0], f.reference[1])
		}
		for _, n := range append(axle.reference[:], axle.carried...) {
			p.free(n)
		}
	} else {
		for i, f := range frames {
			side, a := []string{"left", "right"}[i], arms[i]
			p.still(named{side + "LowerFront", a.LowerFront})
			p.still(named{side + "LowerRear", a.LowerRear})
			p.free(f.reference[0])
			p.free(f.reference[1])
			if rack {
				p.still(named{side + "Mount", a.Mount})
				continue
			}
			p.still(named{side + "UpperFront", a.UpperFront})
			p.still(named{side + "UpperRear", a.UpperRear})
		}
	}
	for _, f := range frames {
		p.free(f.reference[2])
		p.free(f.reference[3])
		for _, n := range f.carried {
			p.free(n)
		}
	}
	guides := map[string][2]named{}
	if rack {
		for _, n := range []named{{"rackDrag", r.RackDrag}, {"rackLeft", r.RackLeft}, {"rackRight", r.RackRight}} {
			ends := [2]named{{n.name + "A", r3.Sub(n.at, r3.Scale(30, r.Slides))}, {n.name + "B", r3.Add(n.at, r3.Scale(30, r.Slides))}}
			p.still(ends[0])
			p.still(ends[1])
			p.free(n)
			guides[n.name] = ends
		}
	}
	if r.Layout == ToTieRod {
		p.free(named{"tieBall", r.TieBall})
	}

	// Points are all named; now what holds them.
	if r.Carrier == FourLinks {
		p.reference(axle.reference[:])
		for _, n := range axle.carried {
			for _, ref := range axle.bestThree(n.at) {
				p.apart(n, ref)
			}
		}
		for i, l := range r.Links {
			p.dist(fmt.Sprintf("chassis%d", i), fmt.Sprintf("axle%d", i), r3.Norm(r3.Sub(l[0], l[1])))
		}
		p.bodies = append(p.bodies, append(axle.reference[:], axle.carried...))
	}
	for i, f := range frames {
		side, a := []string{"left", "right"}[i], arms[i]
		bottom, top := f.reference[0], f.reference[1]
		if r.Carrier != FourLinks {
			p.apart(bottom, named{side + "LowerFront", a.LowerFront})
			p.apart(bottom, named{side + "LowerRear", a.LowerRear})
			p.apart(bottom, top)
		}
		switch r.Carrier {
		case DoubleArms:
			p.apart(top, named{side + "UpperFront", a.UpperFront})
			p.apart(top, named{side + "UpperRear", a.UpperRear})
		case StrutAndRack:
			p.line(top.name, bottom.name, side+"Mount")
		default:
		}
		m, n := f.reference[2], f.reference[3]
		for _, ref := range []named{bottom, top} {
			p.apart(ref, m)
			p.apart(ref, n)
		}
		p.apart(m, n)
		for _, c := range f.carried {
			for _, ref := range f.bestThree(c.at) {
				p.apart(c, ref)
			}
		}
		p.bodies = append(p.bodies, append(f.reference[:], f.carried...))
	}
	switch {
	case rack:
		for _, name := range []string{"rackDrag", "rackLeft", "rackRight"} {
			p.line(name, guides[name][0].name, guides[name][1].name)
		}
		body := []named{{"rackDrag", r.RackDrag}, {"rackLeft", r.RackLeft}, {"rackRight", r.RackRight}}
		p.apart(body[0], body[1])
		p.apart(body[0], body[2])
		p.bodies = append(p.bodies, body)
		p.dist("horn", "rackDrag", r.DragLength)
		p.dist("rackLeft", "leftTie", r.LeftLength)
		p.dist("rackRight", "rightTie", r.RightLength)
	default:
		p.dist("leftTie", "rightTie", r.TieLength)
		p.dragLink(&r.Rig)
	}
	p.add("rise %s low high 0", p.riseL)
	p.add("rise %s low high 1", p.riseR)
	return p
}

func (p *suspendedPoints) line(name, from, to string) {
	p.add("line %s %s %s", name, from, to)
	p.lines = append(p.lines, [3]string{name, from, to})
}

// read reads one answer into points by name, with the misfit: the greatest error in mm of any
// distance within a body and of any point that is to be on a line. A mirror image would show in it.
func (p *suspendedPoints) read(answer string) (at map[string]r3.Vec, misfit float64, err error) {
	fields := strings.Fields(answer)
	if len(fields) == 0 || fields[0] != "ok" {
		return nil, 0, fmt.Errorf("%w: %s", ErrNoPose, answer)
	}
	if len(fields) != 1+3*len(p.found) {
		return nil, 0, fmt.Errorf("%d numbers for %d points", len(fields)-1, len(p.found))
	}
	at = map[string]r3.Vec{}
	for name, x := range p.fixed {
		at[name] = x
	}
	for i, name := range p.found {
		var x [3]float64
		for j := range x {
			if x[j], err = strconv.ParseFloat(fields[1+3*i+j], 64); err != nil {
				return nil, 0, err
			}
		}
		at[name] = r3.Vec{X: x[0], Y: x[1], Z: x[2]}
	}
	for _, body := range p.bodies {
		for i, a := range body {
			for _, b := range body[:i] {
				misfit = math.Max(misfit, math.Abs(r3.Norm(r3.Sub(at[a.name], at[b.name]))-r3.Norm(r3.Sub(a.at, b.at))))
			}
		}
	}
	for _, l := range p.lines {
		dir := r3.Unit(r3.Sub(at[l[2]], at[l[1]]))
		misfit = math.Max(misfit, r3.Norm(r3.Cross(dir, r3.Sub(at[l[0]], at[l[1]]))))
	}
	return at, misfit, nil
}

// spindle returns where a wheel's axis points, away from the middle: the tip is seen from the
// middle of the kingpin's two points.
func (f *frame) spindle(at map[string]r3.Vec) r3.Vec {
	middle := r3.Scale(0.5, r3.Add(at[f.reference[0].name], at[f.reference[1].name]))
	for _, n := range f.carried {
		if strings.HasSuffix(n.name, "Tip") {
			return r3.Scale(1/spindleTip, r3.Sub(at[n.name], middle))
		}
	}
	return r3.Vec{}
}
