package travel

import (
	"errors"
	"math"
	"slices"

	"evenlock/linkage"
	"evenlock/steer"
	"evenlock/vehicle"

	"gonum.org/v1/gonum/spatial/r3"
)

// LimitUse is how far a limit of the rig file is taken up over the travel.
type LimitUse struct {
	steer.Limit
	// Straight is the worst with the servo held, Steered that anywhere from lock to lock, where
	// lock is what it is at ride height.
	Straight, Steered Worst
}

// Worst is where a limit is taken up most.
type Worst struct {
	// Part is 1 where the limit is met.
	Part   float64
	Servo  float64
	Travel steer.WheelTravel
}

func (w *Worst) include(part, servo float64, travel steer.WheelTravel) {
	if part > w.Part {
		*w = Worst{part, servo, travel}
	}
}

// Lock is how far it steers with the suspension at one of the corners of its travel.
type Lock struct {
	Corner Corner
	// Travel is the wheel travel there, or where the travel stops on the way there.
	Travel steer.WheelTravel
	// Stops are what ends the lock to the left and to the right, Inner the inner wheel's road angle
	// there in radians, as a size.
	Stops [2]steer.Stop
	Inner [2]float64
	// Past is why there is none: a *steer.PastStopError of a limit that is passed even straight
	// ahead. It is nil otherwise.
	Past error
}

// Corner is a wheel travel at which the lock is looked at.
type Corner int

// The corners. A wheel that is not up is down.
const (
	RideHeight Corner = iota
	BothUp
	BothDown
	LeftUp
	RightUp
	NumCorners
)

// Key names the corner in files.
func (c Corner) Key() string {
	return [...]string{RideHeight: "ride_height", BothUp: "both_up", BothDown: "both_down", LeftUp: "left_up", RightUp: "right_up"}[c]
}

// Parts returns which part of its rise each wheel goes to, or below zero of its drop.
func (c Corner) Parts() (left, right float64) {
	all := [...][2]float64{RideHeight: {0, 0}, BothUp: {1, 1}, BothDown: {-1, -1}, LeftUp: {1, -1}, RightUp: {-1, 1}}
	return all[c][0], all[c][1]
}

// partly returns the wheel travel at parts of the stated travel.
func partly(m *steer.Model, left, right float64) steer.WheelTravel {
	bump, droop := m.TravelRange()
	height := func(part float64) float64 {
		if part < 0 {
			return part * droop
		}
		return part * bump
	}
	return steer.WheelTravel{Left: height(left), Right: height(right)}
}

// locks finds what ends the lock at each of the corners.
func locks(m *steer.Model) ([]Lock, error) {
	all := make([]Lock, NumCorners)
	for i := range NumCorners {
		s := m.NewState()
		left, right := i.Parts()
		if _, err := s.Towards(m.Centre(), partly(m, left, right)); err != nil {
			return nil, err
		}
		all[i] = Lock{Corner: i, Travel: s.WheelTravel()}
		for side := range 2 {
			l, err := m.Lock(steer.Side(side), steer.LockOptions{Travel: all[i].Travel})
			if errors.Is(err, steer.ErrPastStop) {
				all[i].Past = err
				break
			}
			if err != nil {
				return nil, err
			}
			all[i].Stops[side], all[i].Inner[side] = l.Stops[0], l.Inner.Value
		}
	}
	return all, nil
}

const (
	// usedTravels and usedServos are how many places each way are looked at for the limits.
	usedTravels, usedServos = 2, 12
)

// uses finds how far the limits are taken up with the servo held, and between two servo angles.
func limitUses(m *steer.Model, servo, from, to float64) ([]LimitUse, error) {
	limits := m.Limits()
	all := make([]LimitUse, len(limits))
	for i, l := range limits {
		all[i].Limit = l
	}
	note := func(s *steer.State, w func(u *LimitUse) *Worst) {
		for i := range all {
			w(&all[i]).include(s.Limit(i)/limits[i].Most, s.Servo(), s.WheelTravel())
		}
	}
	for i := -usedTravels; i <= usedTravels; i++ {
		for j := -usedTravels; j <= usedTravels; j++ {
			s, err := held(m, servo)
			if err != nil {
				return nil, err
			}
			if _, err := s.Towards(servo, partly(m, float64(i)/usedTravels, float64(j)/usedTravels)); err != nil {
				return nil, err
			}
			note(s, func(u *LimitUse) *Worst { return &u.Straight })
			for _, end := range [2]float64{from, to} {
				for k := range usedServos + 1 {
					var limit *linkage.LimitError
					err := s.Turn(servo + (end-servo)*float64(k)/usedServos)
					if errors.As(err, &limit) {
						break
					}
					if err != nil {
						return nil, err
					}
					note(s, func(u *LimitUse) *Worst { return &u.Steered })
				}
			}
		}
	}
	return all, nil
}

// Passed returns the limit that is passed most somewhere in the travel with the servo held; nil if
// none is.
func (d *Analysis) Passed() *LimitUse {
	var worst *LimitUse
	for i := range d.LimitUses {
		if u := &d.LimitUses[i]; u.Straight.Part > 1 && (worst == nil || u.Straight.Part > worst.Straight.Part) {
			worst = u
		}
	}
	return worst
}

// Lost returns where the travel costs most lock, to which side, and how many radians less the inner
// wheel has there than at ride height. Lost is zero where it costs none that shows; at is nil then.
// Corners at which a limit is passed even straight ahead are left out: see Passed.
func (d *Analysis) Lost() (at *Lock, side int, lost float64) {
	home := &d.Locks[RideHeight]
	if home.Past != nil {
		return nil, Left, 0
	}
	for i := range d.Locks {
		l := &d.Locks[i]
		for w := range 2 {
			if less := home.Inner[w] - l.Inner[w]; l.Past == nil && less > lost+Shown {
				at, side, lost = l, w, less
			}
		}
	}
	return at, side, lost
}

// Beside compares the drag link with the panhard rod.
type Beside struct {
	// Link is the rod that holds the axle sideways, Drag the drag link.
	Link, Drag *vehicle.Rod
	// Angle is between the two in space, FrontAngle as one sees them from the front, positive if the
	// drag link rises more to the left, in radians.
	Angle      float64
	FrontAngle steer.Result
}

// beside finds the rod that holds a solid axle sideways, if one of its links does so and the drag
// link lies across as well, between chassis and axle.
func beside(m *steer.Model) (*Beside, error) {
	drag := m.Servo.Link
	if !slices.ContainsFunc(spans(m.Vehicle), func(s span) bool { return s.Rod == drag }) {
		return nil, nil
	}
	const across = 0.7
	var link *vehicle.Rod
	most := across
	for _, r := range m.Vehicle.Rods {
		if y := leftwards(r).Y; r.Kind == vehicle.SuspensionLink && y >= most {
			link, most = r, y
		}
	}
	if link == nil || leftwards(drag).Y < across {
		return nil, nil
	}
	b := &Beside{Link: link, Drag: drag, Angle: angleBetween(leftwards(link), leftwards(drag))}
	var err error
	b.FrontAngle, err = m.Read(func(v *vehicle.Vehicle) (float64, error) {
		l, d := leftwards(v.Rod(link.Key)), leftwards(v.Rod(drag.Key))
		return math.Atan2(d.Z, d.Y) - math.Atan2(l.Z, l.Y), nil
	})
	return b, err
}

// leftwards returns the unit vector along a rod, to the left.
func leftwards(r *vehicle.Rod) r3.Vec {
	d := r3.Unit(r3.Sub(r.From.At, r.To.At))
	if d.Y < 0 {
		return r3.Scale(-1, d)
	}
	return d
}
