package load

import (
	"errors"
	"math"
	"slices"

	"evenlock/internal/root"
	"evenlock/steer"
	"evenlock/vehicle"
)

// sweep is OverLock at work.
type sweep struct {
	*Analysis
	bench *Bench
	// tyres and rocks are what acts on the wheels: standing, and for each place of the rock from
	// LeftTyreOutside on.
	tyres Demands
	rocks []Demands
	// ends are the servo angles of the locks by side; sense is the servo's by way.
	ends, sense [2]float64
}

// newSweep sets a model up to be looked at, on its wheels and with its servo known.
func newSweep(m *steer.Model, tilt Tilt) (*sweep, error) {
	if missing := lacks(m, tilt); len(missing) > 0 {
		return nil, missing
	}
	left := m.Leftward()
	x := &sweep{
		Analysis: &Analysis{Model: m, Servo: ServoOf(m.Servo), Supply: Supply{m.Rig.Supply.Voltage, m.Rig.Supply.Resistance}},
		bench:    NewBench(m), sense: [2]float64{left, -left},
	}
	for _, r := range x.bench.rods {
		one := RodLoad{Key: r.Key, Words: r.Name}
		if rod, ok := RodOf(r); ok {
			one.Rod = &rod
		}
		x.Rods = append(x.Rods, one)
	}
	x.Balls = make([]BallPeak, len(x.bench.balls))
	if err := x.weigh(tilt); err != nil {
		return nil, err
	}
	var err error
	x.Gives, x.Stalled, err = x.Servo.Stall(x.Supply)
	return x, err
}

// weigh finds what is on the wheels.
func (x *sweep) weigh(tilt Tilt) error {
	r, m := x.Model.Rig, x.Model
	track := m.Wheels[steer.Left].Centre.At.Y - m.Wheels[steer.Right].Centre.At.Y
	v := Vehicle{r.Vehicle.Mass, r.Vehicle.SteeredShare / 100, r.Vehicle.WeightHeight.Value, r.Vehicle.Wheelbase.Value, track}
	all, err := v.WheelLoads(tilt.NoseUp, tilt.RightDown)
	if err != nil {
		return err
	}
	ground, on, wheels := r.Ground, all[m.Axle.Number()-1], x.bench.Wheels()
	for side, w := range m.Wheels {
		weight, offset := on[side], wheels[side].Offset()
		x.Tyres[side] = Tyre{
			weight, offset,
			ScrubMoment(ground.Friction, weight, offset, w.Patch), PatchMoment(ground.Friction, weight, w.Width, offset),
		}
		x.tyres[side] = Standing(ground.Friction, weight, w.Patch)
	}
	if ground.RockForce == 0 {
		return nil
	}
	for side, w := range m.Wheels {
		for _, across := range []float64{w.Width / 2, -w.Width / 2} {
			with := x.tyres
			with[side] = Together(with[side], Rock(ground.RockHeight.Value, across, ground.RockForce))
			x.rocks = append(x.rocks, with)
		}
	}
	return nil
}

// findEnds finds the servo angles of the two locks.
func (x *sweep) findEnds() error {
	locks, err := x.Model.Locks(x.Model.Wanted())
	if err != nil {
		return err
	}
	for side := range x.ends {
		x.ends[side] = locks[side].Servo.Value
	}
	return nil
}

// samples fills the table.
func (x *sweep) samples(steps int) error {
	centre := x.Model.Centre()
	for i := -steps; i <= steps; i++ {
		end := x.ends[ToLeft]
		if i < 0 {
			end = x.ends[ToRight]
		}
		sample, err := x.sample(centre+(end-centre)*math.Abs(float64(i))/float64(steps), x.see)
		if err != nil {
			return err
		}
		x.Samples = append(x.Samples, sample)
		if h := sample.Harder(); len(x.Samples) == 1 || sample.Ask(h) > x.Samples[x.Hardest].Ask(x.Harder) {
			x.Hardest, x.Harder = len(x.Samples)-1, h
		}
	}
	return nil
}

// sample looks at one place: both ways, standing and with the rock wherever it may be, and each
// wheel jammed. It shows each state to see, with what it counts times over.
func (x *sweep) sample(servo float64, see func(s *State, cause Cause, times float64)) (Sample, error) {
	sample := Sample{Servo: servo}
	both := func(s *State, cause Cause, times float64) {
		sample.see(s, times)
		see(s, cause, times)
	}
	for _, way := range []int{ToLeft, ToRight} {
		standing, err := x.bench.At(servo, x.sense[way], x.tyres)
		if err != nil {
			return sample, err
		}
		for side, w := range standing.Wheels {
			sample.Kingpins[side][way] = w.Ask
		}
		sample.Standing[way] = standing.Against
		both(&standing, ByStanding, 1)
		for i, on := range x.rocks {
			s, err := x.bench.At(servo, x.sense[way], on)
			if err != nil {
				return sample, err
			}
			both(&s, ByRock, 1)
			if more := s.Against - standing.Against; more > sample.Rock[way] {
				sample.Rock[way], sample.RockOn[way] = more, LeftTyreOutside+RockPlace(i)
			}
		}
		if err := x.jam(servo, way, both); err != nil {
			return sample, err
		}
	}
	side := steer.Left
	if road := x.bench.state.Road(); road[steer.Left]+road[steer.Right] < 0 {
		side = steer.Right
	}
	sample.Inner, sample.SafetyFactor = side.Sign()*x.bench.state.Inner(side), math.Inf(1)
	if ask := sample.Ask(sample.Harder()); ask > 0 {
		sample.SafetyFactor = x.Gives / ask
	}
	return sample, nil
}

// jam puts the servo's full torque against one wheel and then the other. Everything is in
// proportion, so that a moment of one tells.
func (x *sweep) jam(servo float64, way int, see func(s *State, cause Cause, times float64)) error {
	jammed := func(*Wheel) Ask { return Ask{Resist: 1} }
	for _, on := range []Demands{{jammed, nil}, {nil, jammed}} {
		s, err := x.bench.At(servo, x.sense[way], on)
		if err != nil {
			return err
		}
		if s.Against > 0 {
			see(&s, ByJam, x.Gives/s.Against)
		}
	}
	return nil
}

// see widens the sample's tensions to those of a state, whose loads count times over.
func (r *Sample) see(s *State, times float64) {
	for i, rod := range s.Rods {
		t := rod.Tension * times
		if i == len(r.Rods) {
			r.Rods = append(r.Rods, [2]float64{t, t})
		}
		r.Rods[i] = [2]float64{min(r.Rods[i][0], t), max(r.Rods[i][1], t)}
	}
}

// see takes account of what the parts bear in a state, whose loads count times over.
func (x *sweep) see(s *State, cause Cause, times float64) {
	for i, r := range s.Rods {
		x.Rods[i].Pull.see(r.Tension*times, s.Servo, cause)
		x.Rods[i].Push.see(-r.Tension*times, s.Servo, cause)
	}
	for i, b := range s.Balls {
		if x.Balls[i].see(b.Force*times, s.Servo, cause) {
			x.Balls[i].Load = BallLoad{b.Name, b.Force * times, b.Along * times, b.Across * times}
		}
	}
	for side := range s.Wheels {
		k, peak := &s.Wheels[side].Kingpin, &x.Kingpins[side]
		peak.Across.see(k.Across*times, s.Servo, cause)
		peak.Along.see(k.Along*times, s.Servo, cause)
		peak.Bending.see(k.Bending*times, s.Servo, cause)
	}
	x.Roll.see(math.Abs(s.Roll)*times, s.Servo, cause)
	shaft, on := &x.Shaft, s.Servos[0].Shaft
	shaft.Side.see(on.Side*times, s.Servo, cause)
	shaft.Axial.see(on.Axial*times, s.Servo, cause)
	shaft.Bending.see(on.Bending*times, s.Servo, cause)
	if span := x.Model.Servo.BearingSpan; span > 0 && on.Side > 0 {
		shaft.Span = span
		outer, inner := Shaft{on.Bending / on.Side, span}.Bearings(on.Side * times)
		shaft.Outer, shaft.Inner = max(shaft.Outer, outer), max(shaft.Inner, inner)
	}
}

// judge says where the servo stalls and the saver yields, how strong the rods are, and what it
// takes to hold against the rock.
func (x *sweep) judge() error {
	for i := range x.Rods {
		r := &x.Rods[i]
		if r.Rod != nil {
			r.PullStrength, r.PushStrength = r.Rod.Bears(r.Pull.Size), r.Rod.Bears(-r.Push.Size)
		}
	}
	var err error
	if x.Standing, x.Rock, err = x.runsOut(x.Gives); err != nil {
		return err
	}
	x.HoleInUse = x.Model.Servo.Hole()
	if s := x.Model.Servo.Saver; s != nil {
		state := &SaverState{Saver: Saver(*s)}
		state.Force = state.Yields(x.HoleInUse)
		if state.Standing, state.Rock, err = x.runsOut(s.Preload); err != nil {
			return err
		}
		posed := x.Model.NewState()
		for side, sample := range []*Sample{&x.Samples[len(x.Samples)-1], &x.Samples[0]} {
			if err := posed.Turn(sample.Servo); err != nil {
				return err
			}
			rate := posed.Rates()[steer.Road.Of(x.Model.Inner(steer.Side(side)))]
			state.Lost[side] = math.Abs(state.LostTurn(sample.Standing[side], rate))
		}
		x.Saver = state
	}
	return x.hold()
}

// runsOut finds, on the ways out from straight, where more than a torque in N·mm is asked for.
func (x *sweep) runsOut(torque float64) (standing, rock [2]Onset, err error) {
	n, state := len(x.Samples)/2, x.Model.NewState()
	for _, side := range vehicle.Sides {
		out, way := [2]*Onset{&standing[side], &rock[side]}, int(side.Sign())
		for i, ask := range []func(r *Sample) float64{
			func(r *Sample) float64 { return max(r.Standing[ToLeft], r.Standing[ToRight]) },
			func(r *Sample) float64 { return r.Ask(r.Harder()) },
		} {
			over := func(servo float64) float64 {
				sample, e := x.sample(servo, func(*State, Cause, float64) {})
				if e != nil {
					err = e
					return math.NaN()
				}
				return ask(&sample) - torque
			}
			for k := range n + 1 {
				at := &x.Samples[n+way*k]
				if ask(at) <= torque {
					continue
				}
				servo := at.Servo
				if k > 0 {
					servo = root.Find(over, x.Samples[n+way*(k-1)].Servo, servo, 1e-10)
				}
				if err != nil {
					return standing, rock, err
				}
				if err := state.Turn(servo); err != nil {
					return standing, rock, err
				}
				*out[i] = Onset{true, servo, state.Inner(side)}
				break
			}
		}
	}
	return standing, rock, nil
}

// hold finds the most that it takes to stand still against the rock, and the heat of that.
func (x *sweep) hold() error {
	for i := range x.Samples {
		for _, on := range x.rocks {
			s, err := x.bench.At(x.Samples[i].Servo, 0, on)
			if err != nil {
				return err
			}
			x.HeldTorque = max(x.HeldTorque, s.Against)
		}
	}
	if x.HeldTorque == 0 {
		return nil
	}
	held, err := x.Servo.Hold(x.HeldTorque, x.Supply.Voltage)
	if errors.Is(err, ErrServo) {
		return nil
	}
	x.Held, x.HeldKnown = held, err == nil
	return err
}

// times finds how long it takes from lock to lock.
func (x *sweep) times() error {
	for _, way := range []int{ToLeft, ToRight} {
		from, to := x.ends[1-way], x.ends[way]
		var failed error
		for _, one := range []struct {
			out    *float64
			torque func(servo float64) float64
		}{
			{&x.Unloaded[way], func(float64) float64 { return 0 }},
			{&x.Loaded[way], func(servo float64) float64 {
				s, err := x.bench.At(servo, x.sense[way], x.tyres)
				if err != nil {
					failed = err
				}
				return s.Against
			}},
		} {
			t, err := x.Servo.Time(from, to, one.torque, x.Supply)
			var stalls *StallError
			switch {
			case failed != nil:
				return failed
			case errors.As(err, &stalls):
			case err != nil:
				return err
			default:
				*one.out = t
			}
		}
	}
	return nil
}

// holes compares the holes of the horn, at the lock that both sides reach.
func (x *sweep) holes() error {
	state := x.Model.NewState()
	x.Inner = math.Inf(1)
	for side, end := range x.ends {
		if err := state.Turn(end); err != nil {
			return err
		}
		x.Inner = min(x.Inner, state.Inner(steer.Side(side)))
	}
	holes := []float64{x.HoleInUse}
	for _, h := range x.Model.Servo.Holes {
		if math.Abs(h-x.HoleInUse) > sameHole {
			holes = append(holes, h)
		}
	}
	slices.Sort(holes)
	full := min(x.Inner, mostLock)
	locks := []float64{full}
	for k := math.Ceil(full/holeStep) - 1; k >= 1; k-- {
		locks = append(locks, k*holeStep)
	}
	for i, lock := range locks {
		if lock < holeStep {
			break
		}
		rows, err := HornTrade(x.Model, holes, lock-lockSlack, x.tyres, &x.Servo, x.Supply)
		if err != nil {
			return err
		}
		all := !slices.ContainsFunc(rows, func(r HornRow) bool { return !r.Reached })
		for k, row := range rows {
			switch {
			case i == 0:
				x.Horn, x.HornLock = append(x.Horn, Hole{row, row.Reached}), lock
			case all:
				x.Horn[k].HornRow, x.HornLock = row, lock
			}
		}
		if all {
			break
		}
	}
	return nil
}

const (
	// sameHole is how near in mm a stated hole is the one in use, which may be known by a measured
	// ball.
	sameHole = 0.25
	// holeStep is the step of locks in which one is looked for that all holes come to, from
	// mostLock down.
	holeStep = 5 * degree
	mostLock = 85 * degree
	// lockSlack keeps the lock to compare at, in radians, from being missed by rounding.
	lockSlack = 1e-9
)
