package travel

import (
	"math"

	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Ideal says where the fixed end of a rod that reaches across the suspension would have to be for
// the travel of both wheels not to steer. With the wheels kept straight the rod's moving end goes
// along a path that is nearly an arc. An end on the arc's axis keeps its distance from all of it;
// an end square to the path keeps it to first order at ride height.
type Ideal struct {
	// End is the fixed end, Words what to call it; it is at Fixed and the moving end at Moving.
	End           rig.End
	Words         string
	Fixed, Moving r3.Vec
	// Tangent is the unit direction of the path at ride height, up.
	Tangent r3.Vec
	// Bent is whether the path bends enough to have an axis, through Centre along the unit vector
	// Axis, to the front, with Radius in mm; Off is by how much, root mean square, the path is off
	// the arc.
	Bent         bool
	Centre, Axis r3.Vec
	Radius, Off  float64
}

// straightest is the radius in mm above which a path is taken as straight.
const straightest = 2e4

// Along returns the direction, across the vehicle in the plane seen from the front, of the line
// through the moving end on which a fixed end gives no bump steer to first order, and the point of
// that line in the fixed end's plane that is nearest to the fixed end.
func (i *Ideal) Along() (through, dir r3.Vec) {
	// Square to the tangent and to X.
	dir = r3.Unit(r3.Vec{Y: i.Tangent.Z, Z: -i.Tangent.Y})
	// A point of the plane square to the tangent through the moving end, at the fixed end's X.
	flat := r3.Vec{Y: i.Tangent.Y, Z: i.Tangent.Z}
	at := r3.Vec{X: i.Fixed.X, Y: i.Moving.Y, Z: i.Moving.Z}
	at = r3.Sub(at, r3.Scale(i.Tangent.X*(i.Fixed.X-i.Moving.X)/r3.Norm2(flat), flat))
	return r3.Add(at, r3.Scale(r3.Dot(r3.Sub(i.Fixed, at), dir), dir)), dir
}

// Crossing returns where the arc's axis passes the plane, seen from the front, of the fixed end;
// false if it has none or runs across the vehicle.
func (i *Ideal) Crossing() (at r3.Vec, ok bool) {
	const least = 0.1
	if !i.Bent || i.Axis.X < least {
		return r3.Vec{}, false
	}
	return r3.Add(i.Centre, r3.Scale((i.Fixed.X-i.Centre.X)/i.Axis.X, i.Axis)), true
}

// pathPoints is how many places of the path each way are fitted, tangentStep the mm of travel over
// which its direction is differenced.
const (
	pathPoints  = 6
	tangentStep = 0.01
)

// Ideals finds those of the rods that reach from the chassis across the suspension of a suspended
// model. The error is that of moving it.
func Ideals(m *steer.Model) ([]Ideal, error) {
	g, k := m.Geometry, m.Mechanism()
	var all []Ideal
	add := func(end rig.End, words string, fixed, moving r3.Vec, at func(*steer.State) r3.Vec) error {
		i := Ideal{End: end, Words: words, Fixed: fixed, Moving: moving}
		err := i.fit(m, at)
		all = append(all, i)
		return err
	}
	straight := m.NewState()
	left, right := straight.Road()
	if dragSpans(g) && !servoTravels(g) {
		at := func(s *steer.State) r3.Vec { return heldStraight(m, s, k.Left, k.LeftSpindle, k.Pulled, left) }
		switch g.Target {
		case rig.LeftKnuckle:
		case rig.RightKnuckle:
			at = func(s *steer.State) r3.Vec { return heldStraight(m, s, k.Right, k.RightSpindle, k.Pulled, right) }
		case rig.TieRodBall:
			a, b := straight.Pose().Ball(k.LeftTie), straight.Pose().Ball(k.RightTie)
			part := r3.Dot(r3.Sub(g.Pulled, a), r3.Sub(b, a)) / r3.Norm2(r3.Sub(b, a))
			at = func(s *steer.State) r3.Vec {
				l := heldStraight(m, s, k.Left, k.LeftSpindle, k.LeftTie, left)
				r := heldStraight(m, s, k.Right, k.RightSpindle, k.RightTie, right)
				return r3.Add(g.Pulled, r3.Add(r3.Scale(1-part, r3.Sub(l, a)), r3.Scale(part, r3.Sub(r, b))))
			}
		case rig.CentreCrank, rig.SlidingRack:
			at = func(s *steer.State) r3.Vec { return onAxle(g, s.Carried(), g.Pulled) }
		}
		home := straight.Pose()
		if err := add(rig.HornEnd, "horn's ball", home.Ball(k.HornBall), home.Ball(k.Pulled), at); err != nil {
			return nil, err
		}
	}
	if middleSpans(g) {
		home := straight.Pose()
		at := func(s *steer.State) r3.Vec { return heldStraight(m, s, k.Left, k.LeftSpindle, k.LeftTie, left) }
		if err := add(rig.LeftInner, "left inner ball", home.Ball(k.LeftCrank), home.Ball(k.LeftTie), at); err != nil {
			return nil, err
		}
		at = func(s *steer.State) r3.Vec { return heldStraight(m, s, k.Right, k.RightSpindle, k.RightTie, right) }
		if err := add(rig.RightInner, "right inner ball", home.Ball(k.RightCrank), home.Ball(k.RightTie), at); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// heldStraight returns where a ball on a knuckle is once the knuckle is turned about its kingpin,
// there, to a road angle: with the outward spindle a the heading h is square to it, a·h = A cos θ +
// B sin θ + C = 0.
func heldStraight(m *steer.Model, s *steer.State, knuckle linkage.Body, spindle linkage.Arrow, ball linkage.Ball, road float64) r3.Vec {
	p := s.Pose()
	point, axis := m.Mechanism().Linkage.Axis(p, knuckle)
	sin, cos := math.Sincos(road)
	h, a := r3.Vec{X: cos, Y: sin}, p.Arrow(spindle)
	along := r3.Scale(r3.Dot(a, axis), axis)
	even, odd := r3.Dot(h, r3.Sub(a, along)), r3.Dot(h, r3.Cross(axis, a))
	at, off := math.Atan2(odd, even), math.Acos(-r3.Dot(h, along)/math.Hypot(even, odd))
	turn := math.Remainder(at-off, 2*math.Pi)
	if other := math.Remainder(at+off, 2*math.Pi); math.Abs(other) < math.Abs(turn) {
		turn = other
	}
	return r3.Add(point, r3.NewRotation(turn, axis).Rotate(r3.Sub(p.Ball(ball), point)))
}

// onAxle returns where a place of the axle has gone.
func onAxle(g *rig.Geometry, c steer.Carried, place r3.Vec) r3.Vec {
	middle := r3.Scale(0.5, r3.Add(g.Left.Centre, g.Right.Centre))
	x := r3.Sub(place, middle)
	x = r3.NewRotation(c.Roll, r3.Vec{X: 1}).Rotate(x)
	x = r3.NewRotation(c.Pitch, r3.Vec{Y: 1}).Rotate(x)
	x = r3.NewRotation(c.Yaw, r3.Vec{Z: 1}).Rotate(x)
	return r3.Add(r3.Add(middle, x), r3.Vec{X: c.Forward, Y: c.Side, Z: c.Up})
}

// fit fits the path's tangent and arc.
func (i *Ideal) fit(m *steer.Model, at func(*steer.State) r3.Vec) error {
	place := func(x float64) (r3.Vec, error) {
		s := m.NewState()
		_, _, err := reach(s, m.Centre(), Heave, x)
		return at(s), err
	}
	low, err := place(-tangentStep)
	if err != nil {
		return err
	}
	high, err := place(tangentStep)
	if err != nil {
		return err
	}
	i.Tangent = r3.Unit(r3.Sub(high, low))
	down, up := Heave.Stated(m)
	var path []r3.Vec
	for k := -pathPoints; k <= pathPoints; k++ {
		end := up
		if k < 0 {
			end = down
		}
		x, err := place(end * float64(k) / pathPoints)
		if err != nil {
			return err
		}
		path = append(path, x)
	}
	i.arc(path)
	return nil
}

// arc fits a circle in space to points: in the plane that they are nearest to, 2 x·c + (r² - c²) =
// x², which is linear in the centre c and in r² - c².
func (i *Ideal) arc(path []r3.Vec) {
	var mean r3.Vec
	for _, x := range path {
		mean = r3.Add(mean, r3.Scale(1/float64(len(path)), x))
	}
	rows := mat.NewDense(len(path), 3, nil)
	for k, x := range path {
		d := r3.Sub(x, mean)
		rows.SetRow(k, []float64{d.X, d.Y, d.Z})
	}
	var svd mat.SVD
	if !svd.Factorize(rows, mat.SVDThin) {
		return
	}
	var v mat.Dense
	svd.VTo(&v)
	column := func(j int) r3.Vec { return r3.Vec{X: v.At(0, j), Y: v.At(1, j), Z: v.At(2, j)} }
	e1, e2, normal := column(0), column(1), column(2)
	if normal.X < 0 {
		normal = r3.Scale(-1, normal)
	}
	left, right := mat.NewDense(len(path), 3, nil), mat.NewVecDense(len(path), nil)
	for k, x := range path {
		d := r3.Sub(x, mean)
		a, b := r3.Dot(d, e1), r3.Dot(d, e2)
		left.SetRow(k, []float64{2 * a, 2 * b, 1})
		right.SetVec(k, a*a+b*b)
	}
	var c mat.VecDense
	if c.SolveVec(left, right) != nil {
		return
	}
	i.Radius = math.Sqrt(c.AtVec(2) + c.AtVec(0)*c.AtVec(0) + c.AtVec(1)*c.AtVec(1))
	if !(i.Radius < straightest) {
		return
	}
	i.Bent, i.Axis = true, normal
	i.Centre = r3.Add(mean, r3.Add(r3.Scale(c.AtVec(0), e1), r3.Scale(c.AtVec(1), e2)))
	sum := 0.0
	for _, x := range path {
		d := r3.Sub(x, i.Centre)
		out := r3.Dot(d, normal)
		sum += out*out + math.Pow(r3.Norm(r3.Sub(d, r3.Scale(out, normal)))-i.Radius, 2)
	}
	i.Off = math.Sqrt(sum / float64(len(path)))
}

func angleBetween(a, b r3.Vec) float64 { return math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)) }
