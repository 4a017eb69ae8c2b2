package travel

import "evenlock/steer"

// Motion is a way for the suspension to move.
type Motion int

// The motions that are looked at.
const (
	// Heave raises both wheels alike.
	Heave Motion = iota
	// Rolling raises the left wheel by what the right one drops.
	Rolling
	// LeftWheel and RightWheel raise one wheel alone.
	LeftWheel
	RightWheel
	NumMotions
)

// Key names the motion in files.
func (m Motion) Key() string {
	return [...]string{Heave: "heave", Rolling: "roll", LeftWheel: "left_wheel", RightWheel: "right_wheel"}[m]
}

// String names the motion.
func (m Motion) String() string {
	return [...]string{Heave: "heave", Rolling: "roll", LeftWheel: "left wheel alone", RightWheel: "right wheel alone"}[m]
}

// Travel returns where the suspension stands with the motion x millimetres on its way.
func (m Motion) Travel(x float64) steer.WheelTravel {
	switch m {
	case Rolling:
		return steer.WheelTravel{Left: x, Right: -x}
	case LeftWheel:
		return steer.WheelTravel{Left: x}
	case RightWheel:
		return steer.WheelTravel{Right: x}
	default:
		return steer.WheelTravel{Left: x, Right: x}
	}
}

// back is the inverse of Travel.
func (m Motion) back(r steer.WheelTravel) float64 {
	if m == RightWheel {
		return r.Right
	}
	return r.Left
}

// Stated returns how far down and up the motion goes by the travel that the rig file states; both
// are positive.
func (m Motion) Stated(model *steer.Model) (down, up float64) {
	up, down = model.TravelRange()
	if m == Rolling {
		up = min(up, down)
		down = up
	}
	return down, up
}

// The wheels.
const (
	Left = iota
	Right
)
