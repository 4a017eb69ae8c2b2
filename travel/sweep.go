package travel

import (
	"math"

	"evenlock/steer"
	"evenlock/vehicle"
)

// Sweep is one motion from its lowest to its highest place, the servo held.
type Sweep struct {
	Motion Motion
	// Samples go up in even steps each side of ride height, which is sample Home.
	Samples []Sample
	Home    int
	// Stops say where the travel stops short of what the rig file states, downwards and upwards;
	// nil where it does not.
	Stops [2]*steer.TravelError
	// Rate is that at ride height. BumpSteer is its steer in radians for each millimetre, by wheel,
	// and RollSteer, of Rolling alone, in radians for each radian, both with their uncertainties.
	Rate      Rate
	BumpSteer [2]steer.Result
	RollSteer [2]steer.Result
	// Steepest is where each wheel steers fastest.
	Steepest [2]Peak
	// Most is where each wheel is steered furthest from where it is at ride height.
	Most [2]Peak
}

// Peak is the sample at which something is greatest in size, and how much it is there.
type Peak struct {
	Sample int
	Value  float64
}

// Sample is one place of a motion. Changes are from ride height.
type Sample struct {
	// X is how far the motion has gone, in mm, to Travel; Roll is the angle in radians between the
	// axle's line and the chassis.
	X      float64
	Travel steer.WheelTravel
	Roll   float64
	// Steer is the change of the wheels' road angles and SteerUncertain its 95 % half-width. Of a
	// solid axle, Carried.Yaw is the part that is the axle's own yaw, and Knuckle that which is the
	// knuckles' turn on the axle; what is left over is the share of caster and camber in pitch and
	// roll, of second order. Of independent wheels, Knuckle is the turn on the arms.
	Steer, SteerUncertain, Knuckle [2]float64
	// Camber is the change of the wheels' cambers.
	Camber  [2]float64
	Carried steer.Carried
	// Rate is that of the motion here.
	Rate Rate
}

// Toe returns by how much both wheels together have toed in.
func (r *Sample) Toe() float64 { return r.Steer[Right] - r.Steer[Left] }

// knuckleTurns and the like are the quantities of the two wheels.
var (
	knuckleTurns = [2]steer.Quantity{steer.Turn.Of(steer.Left), steer.Turn.Of(steer.Right)}
	roadAngles   = [2]steer.Quantity{steer.Road.Of(steer.Left), steer.Road.Of(steer.Right)}
	cambers      = [2]steer.Quantity{steer.Camber.Of(steer.Left), steer.Camber.Of(steer.Right)}
)

// reach is State.Towards along a motion. It returns how far it comes.
func reach(s *steer.State, servo float64, m Motion, x float64) (got float64, stop *steer.TravelError, err error) {
	stop, err = s.Towards(servo, m.Travel(x))
	return m.back(s.WheelTravel()), stop, err
}

// held returns a state at ride height with the servo at an angle.
func held(m *steer.Model, servo float64) (*steer.State, error) {
	s := m.NewState()
	return s, s.Turn(servo)
}

// sweep looks at one motion in n steps each way.
func sweep(m *steer.Model, servo float64, motion Motion, n int) (*Sweep, error) {
	c := &Sweep{Motion: motion, Home: n, Samples: make([]Sample, 2*n+1)}
	s, err := held(m, servo)
	if err != nil {
		return nil, err
	}
	home, steered := s.Values(), s.Results(roadAngles[:]...)
	fill := func(s *steer.State, i int) {
		r, v := &c.Samples[i], s.Values()
		r.Travel = s.WheelTravel()
		r.X, r.Roll, r.Carried, r.Rate = motion.back(r.Travel), m.Roll(r.Travel), s.Carried(), rateOf(s, m, motion)
		road := s.Results(roadAngles[:]...)
		for w := range 2 {
			change := road[w].Minus(steered[w])
			r.Steer[w], r.SteerUncertain[w] = change.Value, change.Uncertain
			r.Knuckle[w] = v[knuckleTurns[w]] - home[knuckleTurns[w]]
			r.Camber[w] = v[cambers[w]] - home[cambers[w]]
		}
	}
	fill(s, n)
	down, up := motion.Stated(m)
	for side, end := range [2]float64{-down, up} {
		// Each anew from ride height, since right at an end of the travel there may be no way back.
		if s, err = held(m, servo); err != nil {
			return nil, err
		}
		got, stop, err := reach(s, servo, motion, end)
		if err != nil {
			return nil, err
		}
		c.Stops[side] = stop
		if s, err = held(m, servo); err != nil {
			return nil, err
		}
		for k := 1; k <= n; k++ {
			if _, _, err := reach(s, servo, motion, got*float64(k)/float64(n)); err != nil {
				return nil, err
			}
			fill(s, n+k*(2*side-1))
		}
	}
	c.Rate = c.Samples[n].Rate
	for w := range 2 {
		for i := range c.Samples {
			r := &c.Samples[i]
			c.Most[w].include(i, r.Steer[w])
			c.Steepest[w].include(i, r.Rate.Steer[w])
		}
	}
	return c, c.uncertain(m, servo)
}

func (p *Peak) include(sample int, v float64) {
	if math.Abs(v) > math.Abs(p.Value) && !math.IsInf(v, 0) {
		*p = Peak{sample, v}
	}
}

// nearby is the travel in mm over which sensitivities are differenced for those of the rates.
const nearby = 0.1

// uncertain gives the rates at ride height their uncertainties: how the sensitivities change with
// the travel.
func (c *Sweep) uncertain(m *steer.Model, servo float64) error {
	var at [2]float64
	var read [2][]steer.Result
	for i, x := range [2]float64{-nearby, nearby} {
		s, err := held(m, servo)
		if err != nil {
			return err
		}
		if at[i], _, err = reach(s, servo, c.Motion, x); err != nil {
			return err
		}
		read[i] = s.Results(roadAngles[:]...)
	}
	span := at[1] - at[0]
	for w := range 2 {
		c.BumpSteer[w] = steer.Function(c.Rate.Steer[w], steer.Term{Slope: 1 / span, Of: read[1][w]}, steer.Term{Slope: -1 / span, Of: read[0][w]})
	}
	if c.Motion != Rolling {
		return nil
	}
	// With the wheels D apart the roll is atan(2x/D), which begins as 2x/D.
	apart, err := m.Read(func(v *vehicle.Vehicle) (float64, error) {
		return (v.Wheel(steer.Left).Centre.At.Y - v.Wheel(steer.Right).Centre.At.Y) / 2, nil
	})
	if err != nil {
		return err
	}
	for w, b := range c.BumpSteer {
		c.RollSteer[w] = steer.Product(b, apart)
	}
	return nil
}
