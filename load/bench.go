package load

import (
	"errors"
	"fmt"
	"math"

	"evenlock/internal/root"
	"evenlock/linkage"
	"evenlock/rig"
	"evenlock/steer"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bench is a model set up to be loaded: memory for one goroutine.
type Bench struct {
	m       *steer.Model
	k       *rig.Mechanism
	state   *steer.State
	motion  *linkage.Motion
	loads   *linkage.Loads
	balance *linkage.Balance
	rates   []float64
	rodsOf  []rig.SteeringRod
}

// NewBench returns a bench for the model.
func NewBench(m *steer.Model) *Bench {
	k := m.Mechanism()
	return &Bench{
		m: m, k: k, state: m.NewState(), motion: k.Linkage.NewMotion(),
		loads: k.Linkage.NewLoads(), balance: k.Linkage.NewBalance(),
		rates: k.Follow, rodsOf: m.Rig.SteeringRods(),
	}
}

// Travel moves the suspension of a suspended model to a wheel travel, where the bench then stands.
// What holds the wheels up there, the springs, is no part of the model: it bears what the loads put
// on it. The error is as for steer.State.Move.
func (b *Bench) Travel(travel steer.WheelTravel) error { return b.state.Move(b.state.Servo(), travel) }

// RodForce is the force in a rod.
type RodForce struct {
	// Key is that of the rod in the rig file, Words name it.
	Key, Words string
	// Tension in N, negative presses.
	Tension float64
	// Length in mm, ball centre to ball centre.
	Length float64
}

// BallLoad is what a ball bears.
type BallLoad struct {
	Words string
	// Force in N, and its parts along and across the stud (equal to Force and unset where the rig
	// has no stud).
	Force, Along, Across float64
}

// ShaftLoad is what the servo's output shaft bears.
type ShaftLoad struct {
	// Side is the force across the shaft and Axial that along it, in N, both as sizes.
	Side, Axial float64
	// Bending is the moment across the shaft in N·mm about servo.point, its face.
	Bending float64
}

// KingpinLoad is what a knuckle's bearings bear together: as sizes, the force across and along the
// axis in N, and the moment across it in N·mm about the axis point of the rig's geometry.
type KingpinLoad struct{ Across, Along, Bending float64 }

// State is what the steering bears at one servo angle.
type State struct {
	// Servo is the servo angle in radians, TurnLeft and TurnRight the wheels' turns about their
	// kingpins.
	Servo               float64
	TurnLeft, TurnRight float64
	// AskLeft and AskRight are the moments in N·mm about the kingpins from outside, positive to the
	// left.
	AskLeft, AskRight float64
	// Torque in N·mm that the servo must give, in the servo angle's sense: positive
	// counter-clockwise when one looks at the horn's face.
	Torque float64
	// Second is the torque in N·mm that a second servo must give, in its own angle's sense.
	Second float64
	// Against is the torque seen in the direction of motion: positive where the servo is opposed,
	// equal to its size if the servo stands still. Of two servos, which are taken to be alike, it
	// is that of the one that is asked for more.
	Against               float64
	Rods                  []RodForce
	Balls                 []BallLoad
	Shaft                 ShaftLoad
	LeftPivot, RightPivot KingpinLoad
	// Roll is the moment in N·mm that would roll a tie rod about its own ends, where a drag link
	// pulls it beside its line. The rig takes the rod not to roll.
	Roll float64
}

// Wheels returns both wheels where the bench stands.
func (b *Bench) Wheels() (left, right Wheel) {
	p, g := b.state.Pose(), b.m.Geometry
	one := func(body linkage.Body, s *rig.SideGeometry, centre linkage.Ball, spindle linkage.Arrow) Wheel {
		point, dir := b.k.Linkage.Axis(p, body)
		return Wheel{p.Ball(centre), p.Arrow(spindle), point, dir, s.TyreRadius, s.TyreWidth}
	}
	return one(b.k.Left, &g.Left, b.k.LeftCentre, b.k.LeftSpindle), one(b.k.Right, &g.Right, b.k.RightCentre, b.k.RightSpindle)
}

// At finds what the steering bears at a servo angle in radians, as the servo turns there slowly in
// a sense: 1 counter-clockwise, -1 clockwise, 0 standing still, when what only resists turning does
// nothing. A demand that is nil asks nothing. The torque is that of virtual work, servo torque ×
// its turn = wheel moments × theirs. The error is a *linkage.LimitError if the linkage does not
// reach the angle.
func (b *Bench) At(servo, sense float64, left, right Demand) (State, error) {
	out := State{Servo: servo}
	if err := b.state.Turn(servo); err != nil {
		return out, err
	}
	p, l := b.state.Pose(), b.k.Linkage
	l.Tangent(p, b.rates, nil, b.motion)
	b.loads.Clear()
	wl, wr := b.Wheels()
	out.TurnLeft, out.TurnRight = l.Coordinate(p, b.k.Left), l.Coordinate(p, b.k.Right)
	out.AskLeft = b.apply(&wl, left, b.k.Left, b.k.LeftCentre, sense)
	out.AskRight = b.apply(&wr, right, b.k.Right, b.k.RightCentre, sense)
	l.Forces(p, b.loads, b.balance)

	out.Torque = b.balance.Effort(0)
	out.Against = math.Abs(out.Torque)
	if sense != 0 {
		out.Against = out.Torque * math.Copysign(1, sense)
	}
	if n := b.m.Geometry.Second; n != nil {
		out.Second = b.balance.Effort(b.k.SecondInput)
		against := math.Abs(out.Second)
		if sense != 0 {
			against = out.Second * math.Copysign(1, sense*n.Follows)
		}
		out.Against = max(out.Against, against)
	}
	if b.k.TieRod != linkage.Ground {
		out.Roll = -b.balance.Effort(b.k.TieRoll)
	}
	out.Rods = b.rods(p)
	out.Balls = b.balls(p)
	out.Shaft = b.shaft(p)
	out.LeftPivot, out.RightPivot = b.pivot(p, b.k.Left), b.pivot(p, b.k.Right)
	return out, nil
}

// apply puts a demand on a wheel and returns its moment about the kingpin.
func (b *Bench) apply(w *Wheel, d Demand, knuckle linkage.Body, centre linkage.Ball, sense float64) float64 {
	if d == nil {
		return 0
	}
	ask := d(w)
	for _, c := range ask.Contacts {
		b.loads.Force(centre, c.Force)
		b.loads.Moment(knuckle, r3.Cross(r3.Sub(c.At, w.Centre), c.Force))
	}
	resist := 0.0
	if turning := sense * b.motion.Coordinate(knuckle); turning != 0 {
		resist = -math.Copysign(ask.Resist, turning)
	}
	b.loads.Along(knuckle, resist)
	return w.KingpinMoment(ask.Contacts...) + resist
}

func (b *Bench) rods(p *linkage.Pose) []RodForce {
	all := make([]RodForce, 0, len(b.rodsOf)+len(b.k.Links))
	for _, rod := range b.rodsOf {
		handle, from, to := rod.Handles(b.k)
		all = append(all, RodForce{rod.Key, rod.Name, b.balance.Tension(handle), r3.Norm(r3.Sub(p.Ball(from), p.Ball(to)))})
	}
	for i, h := range b.k.Links {
		length := r3.Norm(r3.Sub(p.Ball(h.Chassis), p.Ball(h.Axle)))
		all = append(all, RodForce{fmt.Sprintf("suspension.link.%d", i+1), b.m.Geometry.Suspension.Links[i].Name + " link", b.balance.Tension(h.Rod), length})
	}
	return all
}

func (b *Bench) balls(p *linkage.Pose) []BallLoad {
	k := b.k
	ball := func(words string, at linkage.Ball) BallLoad {
		return BallLoad{Words: words, Force: r3.Norm(b.balance.BallForce(at))}
	}
	studded := func(words string, at linkage.Ball, stud linkage.Arrow) BallLoad {
		out := ball(words, at)
		out.Along, out.Across, _ = Stud(b.balance.BallForce(at), r3.Unit(p.Arrow(stud)), 0)
		out.Along = math.Abs(out.Along)
		return out
	}
	tie := "tie-rod ball"
	if b.m.Geometry.Crank != nil {
		tie = "outer ball"
	}
	all := []BallLoad{
		studded("horn ball", k.HornBall, k.HornStud),
		studded("drag link's far ball", k.Pulled, k.PulledStud),
		studded("left "+tie, k.LeftTie, k.LeftTieStud),
		studded("right "+tie, k.RightTie, k.RightTieStud),
	}
	if b.m.Geometry.Crank != nil {
		all = append(all, ball("left rod's inner ball", k.LeftCrank), ball("right rod's inner ball", k.RightCrank))
	}
	return all
}

func (b *Bench) shaft(p *linkage.Pose) ShaftLoad {
	point, force, moment := b.k.Linkage.Reaction(p, b.balance, b.k.Horn)
	_, dir := b.k.Linkage.Axis(p, b.k.Horn)
	face := b.m.Rig.Servo.Point
	at := r3.Vec{X: face[0].Value, Y: face[1].Value, Z: face[2].Value}
	moment = r3.Add(moment, r3.Cross(r3.Sub(point, at), force))
	axial, side, _ := Stud(force, dir, 0)
	_, bending, _ := Stud(moment, dir, 0)
	return ShaftLoad{side, math.Abs(axial), bending}
}

func (b *Bench) pivot(p *linkage.Pose, knuckle linkage.Body) KingpinLoad {
	_, force, moment := b.k.Linkage.Reaction(p, b.balance, knuckle)
	_, dir := b.k.Linkage.Axis(p, knuckle)
	along, across, _ := Stud(force, dir, 0)
	_, bending, _ := Stud(moment, dir, 0)
	return KingpinLoad{across, math.Abs(along), bending}
}

// Curve returns n states evenly spaced from one servo angle to another, with the servo
// turning that way. The error is as for At.
func (b *Bench) Curve(from, to float64, n int, left, right Demand) ([]State, error) {
	out := make([]State, 0, max(0, n))
	for i := range max(0, n) {
		servo := from
		if n > 1 {
			servo += (to - from) * float64(i) / float64(n-1)
		}
		s, err := b.At(servo, math.Copysign(1, to-from), left, right)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

// giveStep is the servo step in which StallsAt looks.
const giveStep = math.Pi / 180

// StallsAt returns the first servo angle, on the way from one to another, at which the servo is
// asked for more than the available torque in N·mm, to 1e-9 rad; ok is false if it is strong enough
// all the way, as seen in steps of 1°. The error is as for At.
func (b *Bench) StallsAt(from, to, available float64, left, right Demand) (servo float64, ok bool, err error) {
	sense := math.Copysign(1, to-from)
	over := func(servo float64) float64 {
		s, e := b.At(servo, sense, left, right)
		if e != nil {
			err = e
			return math.NaN()
		}
		return s.Against - available
	}
	n := max(1, int(math.Ceil(math.Abs(to-from)/giveStep)))
	last := from
	for i := range n + 1 {
		at := from + (to-from)*float64(i)/float64(n)
		x := over(at)
		switch {
		case err != nil:
			return 0, false, err
		case x > 0 && i == 0:
			return from, true, nil
		case x > 0:
			servo = root.Find(over, last, at, 1e-10)
			return servo, err == nil, err
		}
		last = at
	}
	return 0, false, nil
}

// HornRow is what a hole of the horn gives.
type HornRow struct {
	// Hole is its radius in mm.
	Hole float64
	// Reached tells whether the inner wheel comes to the lock both ways, within the linkage's and
	// the servo's travel. If not, the rest is zero.
	Reached bool
	// Left and Right are the servo angles in radians that take the inner wheel to the lock to that
	// side.
	Left, Right float64
	// Torque is the most in N·mm that the servo is asked for on the way from straight ahead out to
	// either lock.
	Torque float64
	// SafetyFactor is the available torque over that: below 1 it stalls.
	SafetyFactor float64
	// Seconds from lock to lock, the slower way, under the load; zero if it stalls.
	Seconds float64
}

var (
	// ErrLock reports a lock that no steering has.
	ErrLock = errors.New("lock must be between 0° and 90°")
	// ErrHole reports a radius that no hole has.
	ErrHole = errors.New("a hole's radius must be more than zero")
)

// HornTrade returns, for each hole radius in mm, what it takes to steer the inner wheel to a lock
// in radians: a longer horn is quicker and asks for more torque. The horn keeps its direction, and
// the drag link is set to have the wheels straight again. The errors are those of Servo.Stall, of
// the rig's geometry, ErrLock or ErrHole.
func HornTrade(r *rig.Rig, holes []float64, lock float64, left, right Demand, servo *Servo, from Supply) ([]HornRow, error) {
	if !(lock > 0 && lock < math.Pi/2) {
		return nil, fmt.Errorf("load: %w", ErrLock)
	}
	available, _, err := servo.Stall(from)
	if err != nil {
		return nil, err
	}
	g, err := r.Geometry()
	if err != nil {
		return nil, err
	}
	rows := make([]HornRow, len(holes))
	for i, hole := range holes {
		if !(hole > 0) || math.IsInf(hole, 0) {
			return nil, fmt.Errorf("load: %w, not %g mm", ErrHole, hole)
		}
		m, err := steer.New(r.WithHole(g, hole))
		if err != nil {
			return nil, fmt.Errorf("with the %.1f mm hole: %w", hole, err)
		}
		if rows[i], err = hornRow(m, lock, available, left, right, servo, from); err != nil {
			return nil, err
		}
		rows[i].Hole = hole
	}
	return rows, nil
}

func hornRow(m *steer.Model, lock, available float64, left, right Demand, servo *Servo, from Supply) (HornRow, error) {
	row := HornRow{}
	l, okLeft := lockAngle(m, lock, 1)
	r, okRight := lockAngle(m, lock, -1)
	if !okLeft || !okRight {
		return row, nil
	}
	row.Reached, row.Left, row.Right = true, l, r
	b := NewBench(m)
	for _, end := range []float64{l, r} {
		states, err := b.Curve(0, end, curvePoints, left, right)
		if err != nil {
			return row, err
		}
		for i := range states {
			row.Torque = max(row.Torque, states[i].Against)
		}
	}
	row.SafetyFactor = math.Inf(1)
	if row.Torque > 0 {
		row.SafetyFactor = available / row.Torque
	}
	for _, way := range [][2]float64{{r, l}, {l, r}} {
		sense := math.Copysign(1, way[1]-way[0])
		var failed error
		t, err := servo.Time(way[0], way[1], func(angle float64) float64 {
			s, err := b.At(angle, sense, left, right)
			if err != nil {
				failed = err
			}
			return s.Against
		}, from)
		var stalls *StallError
		switch {
		case failed != nil:
			return row, failed
		case errors.As(err, &stalls):
			row.Seconds = 0
			return row, nil
		case err != nil:
			return row, err
		}
		row.Seconds = max(row.Seconds, t)
	}
	return row, nil
}

const (
	// curvePoints of a way from straight ahead to the lock.
	curvePoints = 61
	// lockLook is the servo step in which a lock is looked for, up to lockEnd.
	lockLook = math.Pi / 180
	lockEnd  = 120 * lockLook
)

// lockAngle returns the servo angle nearest neutral at which the inner wheel's road angle is the
// lock, to the left for side 1 and to the right for -1.
func lockAngle(m *steer.Model, lock, side float64) (servo float64, ok bool) {
	s := m.NewState()
	end := lockEnd
	if t := m.Rig.Servo.Travel.Value; t > 0 {
		end = min(end, t)
	}
	short := func(servo float64) float64 {
		if s.Turn(servo) != nil {
			return math.NaN()
		}
		left, right := s.Road()
		if side > 0 {
			return left - lock
		}
		return -right - lock
	}
	for _, d := range []float64{1, -1} {
		for at := 0.0; at < end; {
			next := min(at+lockLook, end)
			x := short(d * next)
			if math.IsNaN(x) {
				break
			}
			if x >= 0 {
				return root.Find(short, d*at, d*next, 1e-12), true
			}
			at = next
		}
	}
	return 0, false
}
