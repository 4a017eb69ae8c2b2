package steer

// Coupling is how the other wheel goes when one is moved up or down by hand.
type Coupling int

// The couplings.
const (
	// BothWheels go up and down alike.
	BothWheels Coupling = iota
	// RollWheels go opposite ways by as much.
	RollWheels
	// OneWheel goes by itself.
	OneWheel
)

// CouplingNamed finds a coupling by its name: both, roll or one.
func CouplingNamed(name string) (Coupling, bool) {
	switch name {
	case "both":
		return BothWheels, true
	case "roll":
		return RollWheels, true
	case "one":
		return OneWheel, true
	}
	return 0, false
}

// Coupled returns where the suspension goes when the wheel of one side is moved to a height in
// millimetres above ride height, and the other one goes along. Both stay within TravelRange: in
// roll the one that comes to its end stops the other.
func (m *Model) Coupled(how Coupling, side Side, height float64, from WheelTravel) WheelTravel {
	bump, droop := m.TravelRange()
	held := func(x float64) float64 { return max(-droop, min(bump, x)) }
	height, other := held(height), from.Right
	if side == Right {
		other = from.Left
	}
	switch how {
	case BothWheels:
		other = height
	case RollWheels:
		other = held(0 - height) // not -0
		height = held(0 - other)
	default:
		other = held(other)
	}
	if side == Right {
		return WheelTravel{Left: other, Right: height}
	}
	return WheelTravel{Left: height, Right: other}
}
