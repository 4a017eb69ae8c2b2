package engine

import (
	"math"

	"evenlock/steer"
)

// Heights are by how many millimetres the wheels are above ride height.
type Heights struct {
	Left  float64 `json:"left"`
	Right float64 `json:"right"`
}

// Coupled says where both wheels go when one is moved by hand to a height above ride height in
// millimetres, from where they were asked to be: coupling is both, roll or one, and side left or
// right. It moves nothing.
func (s *Session) Coupled(coupling, side string, height float64, from Heights) (Heights, error) {
	how, ok := steer.CouplingNamed(coupling)
	if !ok || side != "left" && side != "right" {
		return Heights{}, problem("", "the wheels do not move so", "use both, roll or one, and left or right")
	}
	if sum := height + from.Left + from.Right; math.IsNaN(sum) || math.IsInf(sum, 0) {
		return Heights{}, problem("", "a height is not a number", "give millimetres above ride height")
	}
	of := steer.Left
	if side == "right" {
		of = steer.Right
	}
	to := s.moved.model.Coupled(how, of, height, steer.WheelTravel{Left: from.Left, Right: from.Right})
	return Heights{to.Left, to.Right}, nil
}
