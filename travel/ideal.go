package travel

import (
	"math"

	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Ideal says where the fixed end of a rod that reaches across the suspension would have to be for
// the travel of both wheels not to steer. With the wheels kept straight the rod's moving end goes
// along a path that is nearly an arc. An end on the arc's axis keeps its distance from all of it;
// an end square to the path keeps it to first order at ride height.
type Ideal struct {
	// Ball is the fixed end; it is at Fixed and the moving end at Moving.
	Ball          *vehicle.Ball
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

// Ideals finds those of the rods that reach across the suspension of a suspended model from what
// stands still. The error is that of moving it.
func Ideals(m *steer.Model) ([]Ideal, error) {
	var all []Ideal
	straight := &straight{m, m.NewState()}
	for _, s := range spans(m.Vehicle) {
		if !s.held {
			continue
		}
		home := straight.home.Pose()
		i := Ideal{Ball: s.ends[0], Fixed: home.Ball(s.ends[0].Handle), Moving: home.Ball(s.ends[1].Handle)}
		if err := i.fit(m, func(at *steer.State) r3.Vec { return straight.place(at, s.ends[1]) }); err != nil {
			return nil, err
		}
		all = append(all, i)
	}
	return all, nil
}

// straight says where balls are once the wheels have the road angles again that they have at home.
type straight struct {
	m    *steer.Model
	home *steer.State
}

// place returns where the travel alone has taken a ball: what steers is turned back, there, about
// its own axis.
func (h *straight) place(s *steer.State, b *vehicle.Ball) r3.Vec {
	p, home, on := s.Pose(), h.home.Pose(), b.On
	if on.Moves == vehicle.Between && on.Drive == vehicle.Still {
		// A rod goes as its two ends do, which need not stay so far apart.
		at, from, to := home.Ball(b.Handle), home.Ball(on.Ends[0].Handle), home.Ball(on.Ends[1].Handle)
		part := r3.Dot(r3.Sub(at, from), r3.Sub(to, from)) / r3.Norm2(r3.Sub(to, from))
		return r3.Add(at, r3.Add(
			r3.Scale(1-part, r3.Sub(h.place(s, on.Ends[0]), from)),
			r3.Scale(part, r3.Sub(h.place(s, on.Ends[1]), to)),
		))
	}
	l, at := h.m.Linkage, p.Ball(b.Handle)
	for ; on.Moves != vehicle.Fixed && on.Drive != vehicle.ByTravel; on = on.On {
		point, axis := l.Axis(p, on.Handle)
		back := l.Coordinate(home, on.Handle) - l.Coordinate(p, on.Handle)
		if w := h.m.Vehicle.WheelOn(on); w != nil {
			back, _ = vehicle.TurnToRoad(p.Arrow(w.SpindleHandle), axis, h.home.Road()[w.Side])
		}
		if on.Moves == vehicle.Slides {
			at = r3.Add(at, r3.Scale(back, axis))
		} else {
			at = vehicle.Turned(at, point, axis, back)
		}
	}
	return at
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
