package steer

import (
	"errors"
	"fmt"
	"math"

	"evenlock/linkage"
	"evenlock/rig"

	"gonum.org/v1/gonum/spatial/r3"
)

// Ride is where the suspension stands: by how many millimetres each wheel has risen above ride height, the chassis standing still;
// below zero it has dropped. It is counted where the steering moves nothing: at a solid axle's ends in the middles of
// the wheels, with independent wheels at the lower arms' balls.
type Ride struct{ Left, Right float64 }

// Along returns the ride a part t of the way from r to another.
func (r Ride) Along(to Ride, t float64) Ride {
	return Ride{r.Left + t*(to.Left-r.Left), r.Right + t*(to.Right-r.Right)}
}

func (r Ride) minus(s Ride) Ride { return Ride{r.Left - s.Left, r.Right - s.Right} }

// ErrNoSuspension reports a rig that says nothing of its suspension.
var ErrNoSuspension = errors.New("the rig file has no [suspension]")

// RideError says that the suspension does not reach a ride, and where on the straight way there it stops.
type RideError struct {
	// Wanted was asked for; Reached is where the way ends, to 1e-5 mm.
	Wanted, Reached Ride
	// Rods names the rods that cannot follow, if it is they.
	Rods  string
	cause error
}

func (e *RideError) Error() string {
	what := ""
	if e.Rods != "" {
		what = ": " + e.Rods + " cannot follow further"
	}
	return fmt.Sprintf("the travel stops with the left wheel %s and the right wheel %s%s", height(e.Reached.Left), height(e.Reached.Right), what)
}

func (e *RideError) Unwrap() error { return e.cause }

func height(mm float64) string {
	switch {
	case math.Abs(mm) < 0.05:
		return "at ride height"
	case mm < 0:
		return fmt.Sprintf("%.1f mm down", -mm)
	}
	return fmt.Sprintf("%.1f mm up", mm)
}

// NewRiding makes the model of a rig that rides on its suspension: axle, links or arms are bodies of its linkage, and its stands can
// Move through the travel. At ride height it steers as the model of New does. The errors are those of New, and
// ErrNoSuspension.
func NewRiding(r *rig.Rig) (*Model, error) {
	if r.Suspension == nil {
		return nil, ErrNoSuspension
	}
	return NewAdjusted(r, rig.Adjustment{Riding: true})
}

// Rides reports whether the model rides on its suspension.
func (m *Model) Rides() bool { return m.mech.Rides }

// Travel returns how far each wheel can rise and drop from ride height, in millimetres, as the rig file states it; zero for a model that does
// not ride.
func (m *Model) Travel() (bump, droop float64) {
	if s := m.Geometry.Suspension; s != nil {
		return s.Bump, s.Droop
	}
	return 0, 0
}

// Roll returns the angle in radians between the chassis and the line through both wheels at a ride, positive with the left wheel
// higher.
func (m *Model) Roll(r Ride) float64 {
	return math.Atan2(r.Left-r.Right, m.Geometry.Left.Centre.Y-m.Geometry.Right.Centre.Y)
}

// riding is the memory of a riding stand.
type riding struct {
	at Ride
	// home is at ride height, start where a move began, good the last pose that closed.
	home, start, good *linkage.Pose
	motion            [2]*linkage.Motion
	dir               []float64
}

func newRiding(l *linkage.Linkage) *riding {
	return &riding{home: l.NewPose(), start: l.NewPose(), good: l.NewPose(), motion: [2]*linkage.Motion{l.NewMotion(), l.NewMotion()}, dir: make([]float64, l.NumInputs())}
}

// heights returns how high the ride balls are.
func heights(k *rig.Mechanism, p *linkage.Pose) Ride {
	return Ride{p.Ball(k.RideLeft).Z, p.Ball(k.RideRight).Z}
}

// Ride returns where the suspension stands.
func (s *Stand) Ride() Ride {
	if s.ride == nil {
		return Ride{}
	}
	return s.ride.at
}

// Move moves to a servo angle in radians and to a ride: the ride first, or the servo first where the steering would bar the way, or by way of
// straight ahead at ride height, which also leads away from an end of the travel. The error is a *RideError if the suspension does not
// reach the ride with the servo held where it was, ErrNoSuspension if the model does not ride and should, or as for Turn; the stand is then
// where it was.
func (s *Stand) Move(servo float64, ride Ride) error {
	from := s.Ride()
	if ride == from {
		return s.Turn(servo)
	}
	if s.ride == nil {
		return ErrNoSuspension
	}
	s.ride.start.Set(s.pose)
	err := s.climb(from, ride)
	if err == nil {
		err = s.Turn(servo)
	}
	if err == nil {
		return nil
	}
	s.back(s.ride.start, from)
	if s.Turn(servo) == nil && s.climb(from, ride) == nil {
		return nil
	}
	s.back(s.ride.home, Ride{})
	if s.climb(Ride{}, ride) == nil && s.Turn(servo) == nil {
		return nil
	}
	s.back(s.ride.start, from)
	return err
}

// climb goes from one ride to another, in one go if it can.
func (s *Stand) climb(from, to Ride) error {
	if s.rise(to) == nil {
		return nil
	}
	return s.walk(from, to)
}

// back puts the stand where a pose is.
func (s *Stand) back(to *linkage.Pose, ride Ride) {
	s.pose.Set(to)
	copy(s.in, s.pose.Inputs())
	s.ride.at = ride
}

// walk goes straight from one ride to another in short steps, and reports where it can go no further.
func (s *Stand) walk(from, to Ride) error {
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
		e := &RideError{Wanted: to, Reached: from.Along(to, good), cause: err}
		var limit *linkage.LimitError
		if errors.As(err, &limit) {
			e.Rods = limit.Rods
		}
		return e
	}
}

const (
	// risen is how near to a ride is near enough, in mm.
	risen = 1e-9
	// riseSteps are as many as Newton's method gets for that.
	riseSteps = 30
)

// rise takes the suspension to a ride, the servo held. On failure the stand is where it was.
func (s *Stand) rise(to Ride) error {
	k := s.m.mech
	was := s.ride.at
	s.ride.good.Set(s.pose)
	fail := func(err error) error {
		s.back(s.ride.good, was)
		return err
	}
	last := math.Inf(1)
	for range riseSteps {
		gap := to.minus(heights(k, s.pose).minus(s.m.rest))
		size := math.Max(math.Abs(gap.Left), math.Abs(gap.Right))
		if size < risen {
			s.ride.at = to
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
		s.in[k.Rise[0]] += du[0]
		s.in[k.Rise[1]] += du[1]
		if err := k.Linkage.Solve(s.pose, s.in); err != nil {
			return fail(err)
		}
	}
	return fail(errRise)
}

// errRise is why Newton's method does not end: the wheels rise no further whatever the suspension does.
var errRise = errors.New("the suspension comes to an end of its own movement")

// solveRise returns the rates of the two inputs that move the ride balls up at the rates wanted, everything else held.
func (s *Stand) solveRise(want Ride) (du [2]float64, ok bool) {
	k := s.m.mech
	var rate [2]Ride
	for j, i := range k.Rise {
		clear(s.ride.dir)
		s.ride.dir[i] = 1
		m := s.ride.motion[j]
		k.Linkage.Tangent(s.pose, s.ride.dir, nil, m)
		rate[j] = Ride{k.Linkage.BallRate(s.pose, m, k.RideLeft).Z, k.Linkage.BallRate(s.pose, m, k.RideRight).Z}
	}
	det := rate[0].Left*rate[1].Right - rate[1].Left*rate[0].Right
	du[0] = (want.Left*rate[1].Right - rate[1].Left*want.Right) / det
	du[1] = (rate[0].Left*want.Right - want.Left*rate[0].Right) / det
	sum := du[0] + du[1]
	return du, !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// Rising returns how everything moves as the wheels rise at the rates wanted, in mm, and the servo holds. The motion belongs to the stand until
// its next use. At an end of the travel, and for a model that does not ride, it is not finite.
func (s *Stand) Rising(want Ride) *linkage.Motion {
	clear(s.dir)
	if s.ride == nil {
		s.dir[0] = math.NaN()
	} else {
		du, _ := s.solveRise(want)
		s.dir[s.m.mech.Rise[0]], s.dir[s.m.mech.Rise[1]] = du[0], du[1]
	}
	s.m.mech.Linkage.Tangent(s.pose, s.dir, nil, s.motion)
	return s.motion
}

// holdRide adds to the stand's motion along a measurement what keeps the wheels at the heights above ride height that they have.
func (s *Stand) holdRide(dims []float64) {
	k, l := s.m.mech, s.m.mech.Linkage
	rate := func(b linkage.Ball) float64 {
		_, described := l.Described(s.motion, b)
		return l.BallRate(s.pose, s.motion, b).Z - described.Z
	}
	du, ok := s.solveRise(Ride{-rate(k.RideLeft), -rate(k.RideRight)})
	if !ok {
		return
	}
	s.dir[k.Rise[0]], s.dir[k.Rise[1]] = du[0], du[1]
	l.Tangent(s.pose, s.dir, dims, s.motion)
}

// Carried is where the suspension has taken a solid axle; all of it is zero with independent wheels.
type Carried struct {
	// Forward, Side and Up are how far the axle's middle has gone from ride height, in mm: Side, positive to the left, is the
	// side shift that a panhard rod gives.
	Forward, Side, Up float64
	// Yaw, Pitch and Roll are its turns in radians, in the intrinsic order of ISO 8855.
	Yaw, Pitch, Roll float64
}

// Carried returns where the suspension has taken a solid axle.
func (s *Stand) Carried() Carried {
	k, g := s.m.mech, s.m.Geometry
	if k.Axle == linkage.Ground {
		return Carried{}
	}
	at := r3.Add(s.pose.Ball(k.RideLeft), s.pose.Ball(k.RideRight))
	d := r3.Scale(0.5, r3.Sub(at, r3.Add(g.Left.Centre, g.Right.Centre)))
	line, ahead := s.pose.Arrow(k.AxleLine), s.pose.Arrow(k.AxleAhead)
	return Carried{
		Forward: d.X, Side: d.Y, Up: d.Z,
		Yaw: math.Atan2(ahead.Y, ahead.X), Pitch: -math.Atan2(ahead.Z, math.Hypot(ahead.X, ahead.Y)), Roll: math.Atan2(line.Z, r3.Cross(ahead, line).Z),
	}
}

// Limit is one limit that the rig file states, as Stops watches it.
type Limit struct {
	// Key is that of the rig file, Words name it.
	Key, Words string
	// Most is where it is met. In millimetres it is room that two parts have between them with the wheels straight, less what must stay.
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

// Limit returns how far limit i of Limits is taken up where the stand is, in its own unit: the limit is met at Most.
func (s *Stand) Limit(i int) float64 { return s.m.stops[i].at(s).Real }
