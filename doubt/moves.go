package doubt

import (
	"math"

	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"
)

// turned is the turn of the servo from neutral at which a rig is looked at.
const turned = 18 * degree

// moves returns what is usual of an axle as it steers; false if it cannot be put together or cannot
// be turned so far.
func moves(r *rig.Rig, axle int) (t traits, ok bool) {
	m, err := steer.Build(r, steer.Options{Axle: axle})
	if err != nil {
		return t, false
	}
	s := m.NewState()
	var at [2][2]float64
	for i, way := range []float64{1, -1} {
		if s.Turn(way*turned) != nil {
			return t, false
		}
		at[i] = s.Road()
		if s.Turn(0) != nil {
			return t, false
		}
	}
	still := s.Road()
	key := m.Servo.Link.Key
	spacing := math.Abs(kingpin(m.Wheels[vehicle.Left]).Y - kingpin(m.Wheels[vehicle.Right]).Y)
	var mean [2]float64
	more, ideal := 0.0, 0.0
	for i := range at {
		left, right := at[i][vehicle.Left]-still[vehicle.Left], at[i][vehicle.Right]-still[vehicle.Right]
		mean[i] = (left + right) / 2
		side := vehicle.Left
		if mean[i] < 0 {
			side = vehicle.Right
		}
		if m.Inner(side) == vehicle.Right {
			left, right = right, left
		}
		more += math.Abs(left) - math.Abs(right)
		// cot δo - cot δi = w/L: at small angles the difference is δ² w/L.
		ideal += mean[i] * mean[i] * spacing / math.Abs(m.Axle.Middle.X-m.Axle.Other)
	}
	arm := m.Wheels[vehicle.Left].Arm
	t.ratio(ackermann, arm.Name, arm.Key, more, ideal)
	t.ratio(wheelPerServo, "", key, math.Abs(mean[0]-mean[1]), 2*turned)
	t.ratio(leftToRight, "", key, math.Abs(mean[0]), math.Abs(mean[1]))
	return t, true
}
