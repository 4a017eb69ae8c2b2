package steer

import (
	"errors"
	"fmt"
	"math"

	"evenlock/linkage"
	"evenlock/rig"

	"gonum.org/v1/gonum/spatial/r3"
)

// WheelTravel is where the suspension stands: by how many millimetres each wheel has risen above
// ride height, the chassis standing still; below zero it has dropped. It is counted where the
// steering moves nothing: at a solid axle's ends in the middles of the wheels, with independent
// wheels at the lower arms' balls.
type WheelTravel struct{ Left, Right float64 }

// Along returns the wheel travel a part t of the way from r to another.
func (r WheelTravel) Along(to WheelTravel, t float64) WheelTravel {
	return WheelTravel{r.Left + t*(to.Left-r.Left), r.Right + t*(to.Right-r.Right)}
}

func (r WheelTravel) minus(s WheelTravel) WheelTravel {
	return WheelTravel{r.Left - s.Left, r.Right - s.Right}
}

// ErrNoSuspension reports a rig that says nothing of its suspension. It is a *rig.Error.
var ErrNoSuspension error = &rig.Error{
	Key: "suspension", Problem: "is not in the file, and the wheel travel needs it",
	Remedy: "add a table [suspension]: the starters chassis, centre-crank and rack each show one",
}

// TravelError says that the suspension does not reach a wheel travel, and where on the straight way
// there it stops.
type TravelError struct {
	// Wanted was asked for; Reached is where the way ends, to 1e-5 mm.
	Wanted, Reached WheelTravel
	// Rods names the rods that cannot follow, if it is they.
	Rods  string
	cause error
}

func (e *TravelError) Error() string {
	what := ""
	if e.Rods != "" {
		what = ": " + e.Rods + " cannot follow further"
	}
	return fmt.Sprintf("the travel stops with the left wheel %s and the right wheel %s%s", height(e.Reached.Left), height(e.Reached.Right), what)
}

func (e *TravelError) Unwrap() error { return e.cause }

func height(mm float64) string {
	switch {
	case math.Abs(mm) < 0.05:
		return "at ride height"
	case mm < 0:
		return fmt.Sprintf("%.1f mm down", -mm)
	}
	return fmt.Sprintf("%.1f mm up", mm)
}

// NewSuspended makes the model of a rig that rides on its suspension: axle, links or arms are
// bodies of its linkage, and its states can Move through the travel. At ride height it steers as
// the model of New does. The errors are those of New, and ErrNoSuspension.
func NewSuspended(r *rig.Rig) (*Model, error) {
	if r.Suspension == nil {
		return nil, ErrNoSuspension
	}
	return Build(r, Options{Suspended: true})
}

// Suspended reports whether the model rides on its suspension.
func (m *Model) Suspended() bool { return m.Axle.Suspended }

// TravelRange returns how far each wheel can rise and drop from ride height, in millimetres, as the
// rig file states it; zero for a model that is not suspended.
func (m *Model) TravelRange() (bump, droop float64) { return m.Axle.Bump, m.Axle.Droop }

// Roll returns the angle in radians between the chassis and the line through both wheels at a wheel
// travel, positive with the left wheel higher.
func (m *Model) Roll(r WheelTravel) float64 {
	return math.Atan2(r.Left-r.Right, m.Wheels[Left].Centre.At.Y-m.Wheels[Right].Centre.At.Y)
}

// suspended is the memory of a suspended state.
type suspended struct {
	at WheelTravel
	// home is at ride height, start where a move began, good the last pose that closed, far the end of
	// the last way that stopped short.
	home, start, good, far *linkage.Pose
	motion                 [2]*linkage.Motion
	dir                    []float64
}

func newSuspended(l *linkage.Linkage) *suspended {
	return &suspended{home: l.NewPose(), start: l.NewPose(), good: l.NewPose(), far: l.NewPose(), motion: [2]*linkage.Motion{l.NewMotion(), l.NewMotion()}, dir: make([]float64, l.NumInputs())}
}

// heights returns how high the travel balls are.
func (m *Model) heights(p *linkage.Pose) WheelTravel {
	return WheelTravel{p.Ball(m.Wheels[Left].Risen.Handle).Z, p.Ball(m.Wheels[Right].Risen.Handle).Z}
}

// WheelTravel returns where the suspension stands.
func (s *State) WheelTravel() WheelTravel {
	if s.suspended == nil {
		return WheelTravel{}
	}
	return s.suspended.at
}

// Move moves to a servo angle in radians and to a wheel travel: the wheel travel first, or the
// servo first where the steering would bar the way, or by way of straight ahead at ride height,
// which also leads away from an end of the travel. The error is a *TravelError if the suspension
// does not reach the wheel travel with the servo held where it was, ErrNoSuspension if the model is
// not suspended and should be, or as for Turn; the state is then where it was.
func (s *State) Move(servo float64, travel WheelTravel) error {
	from := s.WheelTravel()
	if travel == from {
		return s.Turn(servo)
	}
	if s.suspended == nil {
		return ErrNoSuspension
	}
	s.suspended.start.Set(s.pose)
	// A way that begins as the one before it did ends as that did.
	turns := servo != s.Servo()
	err := s.climb(from, travel)
	s.suspended.far.Set(s.pose)
	if err == nil {
		err = s.Turn(servo)
	}
	if err == nil {
		return nil
	}
	s.back(s.suspended.start, from)
	if turns && s.Turn(servo) == nil && s.climb(from, travel) == nil {
		return nil
	}
	s.back(s.suspended.home, WheelTravel{})
	if (from != WheelTravel{} || s.Servo() != s.suspended.start.Inputs()[0]) && s.climb(WheelTravel{}, travel) == nil && s.Turn(servo) == nil {
		return nil
	}
	s.back(s.suspended.start, from)
	return err
}

// Towards is Move, but for a wheel travel that is not reached: the state is then where the way there
// stops, which the *TravelError says.
func (s *State) Towards(servo float64, travel WheelTravel) (stop *TravelError, err error) {
	if err = s.Move(servo, travel); !errors.As(err, &stop) {
		return nil, err
	}
	s.back(s.suspended.far, stop.Reached)
	return stop, s.Turn(servo)
}

// climb goes from one wheel travel to another, in one go if it can.
func (s *State) climb(from, to WheelTravel) error {
	if s.rise(to) == nil {
		return nil
	}
	return s.climbInSteps(from, to)
}

// back puts the state where a pose is.
func (s *State) back(to *linkage.Pose, travel WheelTravel) {
	s.pose.Set(to)
	copy(s.in, s.pose.Inputs())
	s.suspended.at = travel
}

// climbInSteps goes straight from one wheel travel to another in short steps, and reports where it
// can go no further.
func (s *State) climbInSteps(from, to WheelTravel) error {
	const longest, shortest = 2.0, 1e-5 // mm
	size := math.Hypot(to.Left-from.Left, to.Right-from.Right)
	good, stride := 0.0, longest/size
	for {
		next := min(1, good+stride)
		err := s.rise(from.Along(to, next))
		switch {
		case err == nil && next == 1:
			return nil
		case err == nil:
			good, stride = next, min(longest/size, 2*stride)
			continue
		}
		if stride /= 2; stride*size > shortest {
			continue
		}
		e := &TravelError{Wanted: to, Reached: from.Along(to, good), cause: err}
		var limit *linkage.LimitError
		if errors.As(err, &limit) {
			e.Rods = limit.Rods
		}
		return e
	}
}

const (
	// risen is how near to a wheel travel is near enough, in mm.
	risen = 1e-9
	// riseSteps are as many as Newton's method gets for that.
	riseSteps = 30
)

// rise takes the suspension to a wheel travel, the servo held. On failure the state is where it
// was.
func (s *State) rise(to WheelTravel) error {
	l := s.m.Linkage
	was := s.suspended.at
	s.suspended.good.Set(s.pose)
	fail := func(err error) error {
		s.back(s.suspended.good, was)
		return err
	}
	last := math.Inf(1)
	for range riseSteps {
		gap := to.minus(s.m.heights(s.pose).minus(s.m.rest))
		size := math.Max(math.Abs(gap.Left), math.Abs(gap.Right))
		if size < risen {
			s.suspended.at = to
			return nil
		}
		if !(size < 2*last) {
			break
		}
		last = size
		du, ok := s.solveRise(gap)
		if !ok {
			break
		}
		s.in[l.Rise[0]] += du[0]
		s.in[l.Rise[1]] += du[1]
		if err := l.Solve(s.pose, s.in); err != nil {
			return fail(err)
		}
	}
	return fail(errRise)
}

// errRise is why Newton's method does not end: the wheels rise no further whatever the suspension
// does.
var errRise = errors.New("the suspension comes to an end of its own movement")

// solveRise returns the rates of the two inputs that move the travel balls up at the rates wanted,
// everything else held.
func (s *State) solveRise(want WheelTravel) (du [2]float64, ok bool) {
	l, left, right := s.m.Linkage, s.m.Wheels[Left].Risen.Handle, s.m.Wheels[Right].Risen.Handle
	var rate [2]WheelTravel
	for j, i := range l.Rise {
		clear(s.suspended.dir)
		s.suspended.dir[i] = 1
		m := s.suspended.motion[j]
		l.Tangent(s.pose, s.suspended.dir, nil, m)
		rate[j] = WheelTravel{l.BallRate(s.pose, m, left).Z, l.BallRate(s.pose, m, right).Z}
	}
	det := rate[0].Left*rate[1].Right - rate[1].Left*rate[0].Right
	du[0] = (want.Left*rate[1].Right - rate[1].Left*want.Right) / det
	du[1] = (rate[0].Left*want.Right - want.Left*rate[0].Right) / det
	sum := du[0] + du[1]
	return du, !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// Rising returns how everything moves as the wheels rise at the rates wanted, in mm, and the servo
// holds. The motion belongs to the state until its next use. At an end of the travel, and for a
// model that is not suspended, it is not finite.
func (s *State) Rising(want WheelTravel) *linkage.Motion {
	clear(s.dir)
	if s.suspended == nil {
		s.dir[0] = math.NaN()
	} else {
		du, _ := s.solveRise(want)
		s.dir[s.m.Linkage.Rise[0]], s.dir[s.m.Linkage.Rise[1]] = du[0], du[1]
	}
	s.m.Linkage.Tangent(s.pose, s.dir, nil, s.motion)
	return s.motion
}

// holdTravel adds to the state's motion along a measurement what keeps the wheels at the heights
// above ride height that they have.
func (s *State) holdTravel(dims []float64) {
	l := s.m.Linkage
	rate := func(side Side) float64 {
		b := s.m.Wheels[side].Risen.Handle
		_, described := l.Described(s.motion, b)
		return l.BallRate(s.pose, s.motion, b).Z - described.Z
	}
	du, ok := s.solveRise(WheelTravel{-rate(Left), -rate(Right)})
	if !ok {
		return
	}
	s.dir[l.Rise[0]], s.dir[l.Rise[1]] = du[0], du[1]
	l.Tangent(s.pose, s.dir, dims, s.motion)
}

// Carried is where the suspension has taken a solid axle; all of it is zero with independent
// wheels.
type Carried struct {
	// Forward, Side and Up are how far the axle's middle has gone from ride height, in mm: Side,
	// positive to the left, is the side shift that a panhard rod gives.
	Forward, Side, Up float64
	// Yaw, Pitch and Roll are its turns in radians, in the intrinsic order of ISO 8855.
	Yaw, Pitch, Roll float64
}

// Carried returns where the suspension has taken a solid axle.
func (s *State) Carried() Carried {
	if !s.m.Axle.Solid {
		return Carried{}
	}
	l, r := s.m.Wheels[Left], s.m.Wheels[Right]
	at := r3.Add(s.pose.Ball(l.Risen.Handle), s.pose.Ball(r.Risen.Handle))
	d := r3.Scale(0.5, r3.Sub(at, r3.Add(l.Centre.At, r.Centre.At)))
	line, ahead := s.pose.Arrow(s.m.Linkage.Line), s.pose.Arrow(s.m.Linkage.Ahead)
	return Carried{
		Forward: d.X, Side: d.Y, Up: d.Z,
		Yaw: math.Atan2(ahead.Y, ahead.X), Pitch: -math.Atan2(ahead.Z, math.Hypot(ahead.X, ahead.Y)), Roll: math.Atan2(line.Z, r3.Cross(ahead, line).Z),
	}
}

// Limit is one limit that the rig file states, as Stops watches it.
type Limit struct {
	// Key is that of the rig file, Words name it.
	Key, Words string
	// Most is where it is met. In millimetres it is room that two parts have between them with the
	// wheels straight, less what must stay.
	Most float64
	Unit Unit
}

// Limits lists the limits that the rig file states.
func (m *Model) Limits() []Limit {
	out := make([]Limit, len(m.stops))
	for i, st := range m.stops {
		out[i] = Limit{st.key, st.words, st.most, st.unit}
	}
	return out
}

// LimitMark returns where limit i of Limits is where the state is, for a drawing: the knuckle's
// ball, the rod's end, the servo's axis, the middle of the gap between two parts.
func (s *State) LimitMark(i int) r3.Vec { return s.m.stops[i].mark(s) }

// Limit returns how far limit i of Limits is taken up where the state is, in its own unit: the
// limit is met at Most.
func (s *State) Limit(i int) float64 { return s.m.stops[i].at(s).Real }
