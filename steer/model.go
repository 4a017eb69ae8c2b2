package steer

import (
	"math"
	"strings"

	"evenlock/linkage"
	"evenlock/rig"

	"gonum.org/v1/gonum/num/dual"
	"gonum.org/v1/gonum/spatial/r3"
)

const degree = math.Pi / 180

// Model is a rig ready to be steered. It does not change and may be shared; each
// goroutine needs its own State.
type Model struct {
	// Rig is the rig that the model was made of; Geometry its places with the wheels
	// straight.
	Rig      *rig.Rig
	Geometry *rig.Geometry
	adjust   rig.Adjustment
	mech     *rig.Mechanism
	measured *measurements
	// moves are what each of measured changes.
	moves    []movement
	stops    []stop
	touching []string
	// horn and far are the triangles of the drag link's angles.
	horn, far triangle
	// waves are nil if the model is not quick to read.
	waves *waves
	// rest is how high the travel balls are at ride height.
	rest WheelTravel
}

// movement is what one of the measurements changes.
type movement struct {
	// dims is the derivative of the linkage's dimensions with respect to it, beside
	// that of what steering needs besides.
	dims   []float64
	beside [5]float64
}

// The entries of movement.beside, as rig.Geometry.Dimensions has them.
const (
	besideWheelbase = iota
	besideRadiusLeft
	besideWidthLeft
	besideRadiusRight
	besideWidthRight
)

// New makes the model of a rig as measured. The errors are those of rig.Rig.Geometry and
// rig.Geometry.Mechanism. The rig must not be changed while the model is in use.
func New(r *rig.Rig) (*Model, error) { return NewAdjusted(r, rig.Adjustment{}) }

// NewAdjusted is New for a rig with an adjustment made to it.
func NewAdjusted(r *rig.Rig, a rig.Adjustment) (*Model, error) {
	g, err := r.Adjusted(a)
	if err != nil {
		return nil, err
	}
	mech, err := g.Mechanism()
	if err != nil {
		return nil, err
	}
	m := &Model{Rig: r, Geometry: g, adjust: a, mech: mech}
	m.stops = m.collectStops()
	var near []stop
	near, m.touching = m.clearances()
	m.stops = append(m.stops, near...)
	if mech.Suspended {
		m.rest = heights(mech, mech.Linkage.NewPose())
	}
	m.horn = newTriangle(g.HornFoot, g.HornBall, g.DragLength)
	m.far = newTriangle(g.PulledFoot, g.Pulled, g.DragLength)
	m.waves = wavesOf(mech)
	return m, m.measure()
}

// measure finds what each uncertain measurement does to the dimensions.
func (m *Model) measure() error {
	m.measured = measurementsOf(m.Rig, func(path string) bool {
		table, _, _ := strings.Cut(path, ".")
		return table != "rear" && (table != "suspension" || m.mech.Suspended)
	})
	if len(m.measured.list) == 0 {
		return nil
	}
	_, slopes, err := m.measured.differences(m.Rig, func(r *rig.Rig, _ Moved) ([]float64, error) {
		g, err := r.Adjusted(m.adjust)
		if err != nil {
			return nil, err
		}
		return g.Dimensions(), nil
	})
	n := m.mech.Linkage.NumDimensions()
	m.moves = make([]movement, len(slopes))
	for i, d := range slopes {
		m.moves[i].dims = d[:n:n]
		copy(m.moves[i].beside[:], d[n:])
	}
	return err
}

// State is a model in some pose: memory for one goroutine.
type State struct {
	m      *Model
	pose   *linkage.Pose
	motion *linkage.Motion
	in     []float64
	dir    []float64
	// suspended is what only a suspended model needs.
	suspended *suspended
}

// Centre returns the servo angle, from neutral, at which the model goes straight: zero for a rig as
// measured.
func (m *Model) Centre() float64 { return m.Geometry.Centre }

// NewState returns memory for the model, standing at Centre.
func (m *Model) NewState() *State {
	l := m.mech.Linkage
	s := &State{m: m, pose: l.NewPose(), motion: l.NewMotion()}
	s.in = make([]float64, l.NumInputs())
	s.dir = make([]float64, l.NumInputs())
	copy(s.in, s.pose.Inputs())
	if m.mech.Suspended {
		s.suspended = newSuspended(l)
	}
	return s
}

// Turn moves to a servo angle in radians. A *linkage.LimitError says that the
// linkage does not reach it; the state is then where it was.
func (s *State) Turn(servo float64) error {
	if servo == s.Servo() {
		return nil
	}
	for i, f := range s.m.mech.Follow {
		if f != 0 {
			s.in[i] = f * servo
		}
	}
	return s.m.mech.Linkage.Solve(s.pose, s.in)
}

// Servo returns the servo angle at which the model stands.
func (s *State) Servo() float64 { return s.pose.Inputs()[0] }

// Pose returns where the linkage is, to be drawn. It belongs to the state.
func (s *State) Pose() *linkage.Pose { return s.pose }

// Mechanism returns the handles of the linkage's parts.
func (m *Model) Mechanism() *rig.Mechanism { return m.mech }

// Values returns every quantity where the model stands.
func (s *State) Values() Values {
	v, _ := s.both(1, -1)
	return v
}

// Rates returns the derivative of every quantity with respect to the servo angle.
func (s *State) Rates() Values {
	_, d := s.both(1, -1)
	return d
}

// ValuesAndRates returns both, at the price of one.
func (s *State) ValuesAndRates() (v, d Values) { return s.both(1, -1) }

// Sensitivity returns the derivative of every quantity with respect to measurement
// i of Measures, the servo angle held.
func (s *State) Sensitivity(i int) Values {
	_, d := s.both(0, i)
	return d
}

// along finds the motion per unit of servo angle, and of measurement i unless i is negative.
func (s *State) along(servo float64, i int) (beside [5]float64) {
	for k, f := range s.m.mech.Follow {
		s.dir[k] = f * servo
	}
	var dims []float64
	if i >= 0 {
		dims, beside = s.m.moves[i].dims, s.m.moves[i].beside
	}
	s.m.mech.Linkage.Tangent(s.pose, s.dir, dims, s.motion)
	if s.suspended != nil && dims != nil {
		s.holdTravel(dims)
	}
	return beside
}

func (s *State) ball(b linkage.Ball) vec {
	return vec{s.pose.Ball(b), s.m.mech.Linkage.BallRate(s.pose, s.motion, b)}
}

// described returns where a ball is with the wheels straight and the servo at neutral.
func (s *State) described(b linkage.Ball) vec {
	at, rate := s.m.mech.Linkage.Described(s.motion, b)
	return vec{at, rate}
}

func (s *State) turn(b linkage.Body) dual.Number {
	return dual.Number{Real: s.m.mech.Linkage.Coordinate(s.pose, b), Emag: s.motion.Coordinate(b)}
}

func (s *State) arrow(a linkage.Arrow) vec {
	return vec{s.pose.Arrow(a), s.m.mech.Linkage.ArrowRate(s.pose, s.motion, a)}
}

// axis returns a point on a body's axis and its direction, with their derivatives.
func (s *State) axis(b linkage.Body) (point, dir vec) {
	point.v, dir.v = s.m.mech.Linkage.Axis(s.pose, b)
	point.d, dir.d = s.m.mech.Linkage.AxisRate(s.pose, s.motion, b)
	return point, dir
}

func (s *State) link() vec {
	return s.ball(s.m.mech.HornBall).sub(s.ball(s.m.mech.Pulled))
}

func (s *State) hornAngle(link vec) dual.Number {
	return angle(s.ball(s.m.mech.HornBall).sub(s.ball(s.m.mech.HornFoot)), link)
}

func (s *State) farAngle(link vec) dual.Number {
	return angle(s.ball(s.m.mech.PulledFoot).sub(s.ball(s.m.mech.Pulled)), link)
}

func (s *State) road() (left, right dual.Number) {
	a, b := s.arrow(s.m.mech.LeftSpindle), s.arrow(s.m.mech.RightSpindle)
	return roadOf(a, 1), roadOf(b, -1)
}

// roadOf is the yaw of a wheel plane from its outward spindle; out is 1 on the left.
func roadOf(a vec, out float64) dual.Number {
	return atan2(
		dual.Number{Real: -out * a.v.X, Emag: -out * a.d.X},
		dual.Number{Real: out * a.v.Y, Emag: out * a.d.Y},
	)
}

// contact returns the lowest point of a wheel, relative to the middle of the
// other axle.
func (s *State) contact(centre, spindle vec, radius, wheelbase dual.Number) vec {
	up := vec{v: r3.Vec{Z: 1}}
	up = up.square(spindle).unit()
	c := centre.sub(up.scale(radius))
	c.v.X += wheelbase.Real
	c.d.X += wheelbase.Emag
	return c
}

// curvatureOf is the curvature asked for by a wheel at contact c with road angle δ: its axis
// meets the other axle's line at y + x cot δ, so that κ = sin δ/(x cos δ + y sin δ).
func curvatureOf(c vec, road dual.Number) dual.Number {
	sin, cos := dual.Sin(road), dual.Cos(road)
	x, y := dual.Number{Real: c.v.X, Emag: c.d.X}, dual.Number{Real: c.v.Y, Emag: c.d.Y}
	return quotient(sin, dual.Add(dual.Mul(x, cos), dual.Mul(y, sin)))
}

// roadFor is the inverse of curvatureOf: the road angle at which a wheel asks for κ.
func roadFor(c vec, curvature dual.Number) dual.Number {
	x, y := dual.Number{Real: c.v.X, Emag: c.d.X}, dual.Number{Real: c.v.Y, Emag: c.d.Y}
	return atan2(dual.Mul(curvature, x), dual.Sub(dual.Number{Real: 1}, dual.Mul(curvature, y)))
}

// both returns every quantity and its derivative along a direction.
func (s *State) both(servo float64, i int) (v, d Values) {
	beside := s.along(servo, i)
	set := func(q Quantity, x dual.Number) { v[q], d[q] = x.Real, x.Emag }
	k, l := s.m.mech, s.m.mech.Linkage
	set(TurnLeft, s.turn(k.Left))
	set(TurnRight, s.turn(k.Right))
	rl, rr := s.road()
	set(RoadLeft, rl)
	set(RoadRight, rr)

	link := s.link()
	set(HornAngle, s.hornAngle(link))
	set(FarAngle, s.farAngle(link))
	home := s.described(k.HornBall)
	line := s.described(k.Pulled).sub(home).unit()
	set(LinkTravel, s.ball(k.HornBall).sub(home).dot(line))

	set(CamberLeft, s.camber(k.LeftSpindle))
	set(CamberRight, s.camber(k.RightSpindle))
	set(JointLeft, s.jointAngle(true))
	set(JointRight, s.jointAngle(false))

	cl, cr := s.contacts(beside)
	kl, kr := curvatureOf(cl, rl), curvatureOf(cr, rr)
	curvature := dual.Scale(0.5, dual.Add(kl, kr))
	set(CurvatureLeft, kl)
	set(CurvatureRight, kr)
	set(Curvature, curvature)
	g := s.m.Geometry
	if curvature.Real >= 0 {
		set(Ackermann, dual.Sub(rr, roadFor(cr, kl)))
		set(OuterRadius, outerRadius(cr, curvature, dual.Number{Real: g.Right.TyreWidth, Emag: beside[besideWidthRight]}))
	} else {
		set(Ackermann, dual.Sub(roadFor(cl, kr), rl))
		set(OuterRadius, outerRadius(cl, curvature, dual.Number{Real: g.Left.TyreWidth, Emag: beside[besideWidthLeft]}))
	}
	v[Leverage] = l.Leverage(s.pose)
	return v, d
}

func (s *State) camber(spindle linkage.Arrow) dual.Number {
	a := s.arrow(spindle)
	return negate(asin(dual.Number{Real: a.v.Z, Emag: a.d.Z}))
}

// contacts returns both contact points relative to the middle of the other axle.
func (s *State) contacts(beside [5]float64) (left, right vec) {
	g, k := s.m.Geometry, s.m.mech
	wheelbase := dual.Number{Real: g.Wheelbase, Emag: beside[besideWheelbase]}
	left = s.contact(s.ball(k.LeftCentre), s.arrow(k.LeftSpindle), dual.Number{Real: g.Left.TyreRadius, Emag: beside[besideRadiusLeft]}, wheelbase)
	right = s.contact(s.ball(k.RightCentre), s.arrow(k.RightSpindle), dual.Number{Real: g.Right.TyreRadius, Emag: beside[besideRadiusRight]}, wheelbase)
	return left, right
}

// Curvature returns the path's curvature and nothing else, fast.
func (s *State) Curvature() float64 {
	cl, cr := s.contacts([5]float64{})
	rl, rr := s.road()
	return (curvatureOf(cl, rl).Real + curvatureOf(cr, rr).Real) / 2
}

// outerRadius is the distance from the turn centre (0, 1/κ) to the outer
// contact, and half the tyre's width more.
func outerRadius(c vec, curvature, width dual.Number) dual.Number {
	if math.Abs(curvature.Real) < 1e-9 {
		return dual.Number{Real: math.Inf(1)}
	}
	centre := dual.Inv(curvature)
	x, y := dual.Number{Real: c.v.X, Emag: c.d.X}, dual.Number{Real: c.v.Y, Emag: c.d.Y}
	across := dual.Sub(y, centre)
	r := dual.Sqrt(dual.Add(dual.Mul(x, x), dual.Mul(across, across)))
	return dual.Add(r, dual.Scale(0.5, width))
}
