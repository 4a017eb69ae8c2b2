package steer

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/num/dual"
	"gonum.org/v1/gonum/spatial/r3"
)

const degree = math.Pi / 180

// Options say what to make a model of.
type Options struct {
	// Axle is the number of the axle that steers; 0 is the first.
	Axle int
	// Suspended has it ride on its suspension.
	Suspended bool
	vehicle.Adjustment
}

// Model is an axle of a rig, ready to be steered. It does not change and may be shared; each
// goroutine needs its own State.
type Model struct {
	// Rig is the rig that the model was made of.
	Rig     *rig.Rig
	options Options
	// Vehicle is what the axle steers with. Its parts have their handles in Linkage.
	Vehicle *vehicle.Vehicle
	Linkage *vehicle.Linkage
	// Axle, Wheels by side and Servo, the one that leads, are of Vehicle.
	Axle   *vehicle.Axle
	Wheels [2]*vehicle.Wheel
	Servo  *vehicle.Servo

	measured *measurements
	// moves are what each of measured changes, still what none of them does.
	moves    []movement
	still    []float64
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
	beside []float64
}

// The entries of movement.beside, as vehicle.Vehicle.Dimensions has them.
const besideOther = 0

func besideRadius(s Side) int { return 1 + 2*int(s) }
func besideWidth(s Side) int  { return 2 + 2*int(s) }
func besideLimit(i int) int   { return 5 + i }

// New makes the model of a rig's first axle as measured. The errors are those of rig.Rig.Expand and
// vehicle.Vehicle.Build. The rig must not be changed while the model is in use.
func New(r *rig.Rig) (*Model, error) { return Build(r, Options{}) }

// Build is New for another axle, or a rig with an adjustment made to it. The error is also that of
// vehicle.Vehicle.Adjust, or ErrNoAxle.
func Build(r *rig.Rig, o Options) (*Model, error) {
	o.Axle = max(o.Axle, 1)
	m := &Model{Rig: r, options: o}
	var err error
	if m.Vehicle, err = m.describe(r); err != nil {
		return nil, err
	}
	m.Axle, m.Servo = m.Vehicle.Axle(o.Axle), m.Vehicle.Leader()
	for _, w := range m.Vehicle.Wheels {
		m.Wheels[w.Side] = w
	}
	if m.Linkage, err = m.Vehicle.Build(); err != nil {
		return nil, err
	}
	m.still = make([]float64, besideLimit(len(m.Vehicle.Limits)))
	m.stops = m.collectStops()
	var near []stop
	near, m.touching = m.clearances()
	m.stops = append(m.stops, near...)
	if m.Axle.Suspended {
		m.rest = m.heights(m.Linkage.NewPose())
	}
	servo := m.Servo
	m.horn = newTriangle(servo.Foot.At, servo.Ball.At, servo.Link.Length)
	m.far = newTriangle(servo.FarFoot.At, servo.Far().At, servo.Link.Length)
	m.waves = wavesOf(m)
	if err := m.checkTogether(); err != nil {
		return nil, err
	}
	return m, m.measure()
}

// checkTogether refuses a rig whose wheels turn against one another: it has no side to steer to, and
// so no lock, no turning circle and no set-up.
func (m *Model) checkTogether() error {
	rates := m.NewState().Rates()
	left, right := rates[Road.Of(Left)], rates[Road.Of(Right)]
	if !(left*right < 0) {
		return nil
	}
	key, remedy := m.Wheels[Left].Arm.Key, "see on which side of the kingpin each ball is, and measure it again"
	for _, s := range m.Vehicle.Servos {
		if s.Leader != nil {
			key, remedy = s.Key+".follows", "change its sign"
		}
	}
	return &rig.Error{
		Key: key, Remedy: remedy,
		Problem: fmt.Sprintf("the wheels turn against one another: as the servo turns one degree, one steers %.2f° left and the other %.2f° right",
			max(left, right), -min(left, right)),
	}
}

// ErrNoAxle reports an axle that does not steer.
var ErrNoAxle = errors.New("no such axle steers")

// Tables returns what the rig file says of the model's axle.
func (m *Model) Tables() *rig.OfAxle { return m.Rig.Of(m.options.Axle) }

// describe returns what the model's axle of a rig steers with.
func (m *Model) describe(r *rig.Rig) (*vehicle.Vehicle, error) {
	v, err := r.Expand(m.options.Suspended)
	if err != nil {
		return nil, err
	}
	if v.Axle(m.options.Axle) == nil {
		return nil, fmt.Errorf("steer: axle %d: %w", m.options.Axle, ErrNoAxle)
	}
	err = v.Adjust(m.options.Axle, &m.options.Adjustment)
	return v.Of(m.options.Axle), err
}

// measure finds what each uncertain measurement does to the dimensions.
func (m *Model) measure() error {
	m.measured = measurementsOf(m.Rig, m.counts)
	if len(m.measured.list) == 0 {
		return nil
	}
	_, slopes, err := m.measured.differences(m.Rig, func(r *rig.Rig, _ Moved) ([]float64, error) {
		v, err := m.describe(r)
		if err != nil {
			return nil, err
		}
		return v.Dimensions(), nil
	})
	n := m.Linkage.NumDimensions()
	m.moves = make([]movement, len(slopes))
	for i, d := range slopes {
		m.moves[i] = movement{d[:n:n], d[n:]}
	}
	return err
}

// counts tells whether a measurement is of what the model is made of.
func (m *Model) counts(path string) bool {
	switch table, _, _ := strings.Cut(path, "."); table {
	case "suspension":
		return m.Axle.Suspended
	case "rear":
		return m.options.Axle == 2
	default:
		return m.options.Axle == 1 || path == "vehicle.wheelbase"
	}
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
func (m *Model) Centre() float64 { return m.Axle.Centre }

// NewState returns memory for the model, standing at Centre.
func (m *Model) NewState() *State {
	l := m.Linkage
	s := &State{m: m, pose: l.NewPose(), motion: l.NewMotion()}
	s.in = make([]float64, l.NumInputs())
	s.dir = make([]float64, l.NumInputs())
	copy(s.in, s.pose.Inputs())
	if m.Axle.Suspended {
		s.suspended = newSuspended(l.Linkage)
	}
	return s
}

// Model returns the model whose state it is.
func (s *State) Model() *Model { return s.m }

// Turn moves to a servo angle in radians. A *linkage.LimitError says that the
// linkage does not reach it; the state is then where it was.
func (s *State) Turn(servo float64) error {
	if servo == s.Servo() {
		return nil
	}
	for i, f := range s.m.Linkage.Follow {
		if f != 0 {
			s.in[i] = f * servo
		}
	}
	return s.m.Linkage.Solve(s.pose, s.in)
}

// Servo returns the servo angle at which the model stands.
func (s *State) Servo() float64 { return s.pose.Inputs()[0] }

// Pose returns where the linkage is, to be drawn. It belongs to the state.
func (s *State) Pose() *linkage.Pose { return s.pose }

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
func (s *State) along(servo float64, i int) (beside []float64) {
	for k, f := range s.m.Linkage.Follow {
		s.dir[k] = f * servo
	}
	var dims []float64
	beside = s.m.still
	if i >= 0 {
		dims, beside = s.m.moves[i].dims, s.m.moves[i].beside
	}
	s.m.Linkage.Tangent(s.pose, s.dir, dims, s.motion)
	if s.suspended != nil && dims != nil {
		s.holdTravel(dims)
	}
	return beside
}

func (s *State) ball(b linkage.Ball) vec {
	return vec{s.pose.Ball(b), s.m.Linkage.BallRate(s.pose, s.motion, b)}
}

// described returns where a ball is with the wheels straight and the servo at neutral.
func (s *State) described(b linkage.Ball) vec {
	at, rate := s.m.Linkage.Described(s.motion, b)
	return vec{at, rate}
}

func (s *State) turn(b linkage.Body) dual.Number {
	return dual.Number{Real: s.m.Linkage.Coordinate(s.pose, b), Emag: s.motion.Coordinate(b)}
}

func (s *State) arrow(a linkage.Arrow) vec {
	return vec{s.pose.Arrow(a), s.m.Linkage.ArrowRate(s.pose, s.motion, a)}
}

// axis returns a point on a body's axis and its direction, with their derivatives.
func (s *State) axis(b linkage.Body) (point, dir vec) {
	point.v, dir.v = s.m.Linkage.Axis(s.pose, b)
	point.d, dir.d = s.m.Linkage.AxisRate(s.pose, s.motion, b)
	return point, dir
}

func (s *State) link() vec {
	return s.ball(s.m.Servo.Ball.Handle).sub(s.ball(s.m.Servo.Far().Handle))
}

func (s *State) hornAngle(link vec) dual.Number {
	return angle(s.ball(s.m.Servo.Ball.Handle).sub(s.ball(s.m.Servo.Foot.Handle)), link)
}

func (s *State) farAngle(link vec) dual.Number {
	return angle(s.ball(s.m.Servo.FarFoot.Handle).sub(s.ball(s.m.Servo.Far().Handle)), link)
}

// road is the yaw of a wheel's plane, from its outward spindle.
func (s *State) road(w *vehicle.Wheel) dual.Number {
	a, out := s.arrow(w.SpindleHandle), w.Side.Sign()
	return atan2(
		dual.Number{Real: -out * a.v.X, Emag: -out * a.d.X},
		dual.Number{Real: out * a.v.Y, Emag: out * a.d.Y},
	)
}

// contact returns the lowest point of a wheel, relative to the middle of the axle that it steers
// against, and seen from there: the axle that steers is ahead.
func (s *State) contact(w *vehicle.Wheel, beside []float64) vec {
	up := vec{v: r3.Vec{Z: 1}}
	up = up.square(s.arrow(w.SpindleHandle)).unit()
	c := s.ball(w.Centre.Handle).sub(up.scale(dual.Number{Real: w.Radius, Emag: beside[besideRadius(w.Side)]}))
	c.v.X -= s.m.Axle.Other
	c.d.X -= beside[besideOther]
	if s.m.Axle.Ahead() < 0 {
		c.v.X, c.v.Y, c.d.X, c.d.Y = -c.v.X, -c.v.Y, -c.d.X, -c.d.Y
	}
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
	m := s.m
	var roads, curvatures [2]dual.Number
	var contacts [2]vec
	for side, w := range m.Wheels {
		contacts[side], roads[side] = s.contact(w, beside), s.road(w)
		curvatures[side] = curvatureOf(contacts[side], roads[side])
		set(Turn.Of(w.Side), s.turn(w.Knuckle.Handle))
		set(Road.Of(w.Side), roads[side])
		set(Camber.Of(w.Side), s.camber(w))
		set(Joint.Of(w.Side), s.jointAngle(w))
		set(WheelCurvature.Of(w.Side), curvatures[side])
	}
	link := s.link()
	set(HornAngle, s.hornAngle(link))
	set(FarAngle, s.farAngle(link))
	horn := m.Servo.Ball.Handle
	home := s.described(horn)
	line := s.described(m.Servo.Far().Handle).sub(home).unit()
	set(LinkTravel, s.ball(horn).sub(home).dot(line))

	curvature := dual.Scale(0.5, dual.Add(curvatures[Left], curvatures[Right]))
	set(Curvature, curvature)
	side, more := Left, 1.0
	if curvature.Real < 0 {
		side, more = Right, -1
	}
	inner := m.Inner(side)
	outer := inner.Other()
	set(Ackermann, dual.Scale(more, dual.Sub(roads[outer], roadFor(contacts[outer], curvatures[inner]))))
	set(OuterRadius, outerRadius(contacts[outer], curvature, dual.Number{Real: m.Wheels[outer].Width, Emag: beside[besideWidth(outer)]}))
	v[Leverage] = m.Linkage.Leverage(s.pose)
	return v, d
}

func (s *State) camber(w *vehicle.Wheel) dual.Number {
	a := s.arrow(w.SpindleHandle)
	return negate(asin(dual.Number{Real: a.v.Z, Emag: a.d.Z}))
}

// Inner returns the wheel that is on the inside as the wheels point to a side: that of the same
// side on an axle ahead of the one that it steers against, the other one behind it.
func (m *Model) Inner(side Side) Side {
	if m.Axle.Ahead() < 0 {
		return side.Other()
	}
	return side
}

// Curvature returns the path's curvature and nothing else, fast.
func (s *State) Curvature() float64 {
	sum := 0.0
	for _, w := range s.m.Wheels {
		sum += curvatureOf(s.contact(w, s.m.still), s.road(w)).Real
	}
	return sum / 2
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
