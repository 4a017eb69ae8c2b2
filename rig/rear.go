package rig

import "errors"

// RearAxle returns the rear axle as a rig of its own, which everything that is made for a steered
// front axle then takes as it stands: its places are counted from the middle of the rear axle, its
// wheelbase and margin are the vehicle's, and it has no suspension. It is nil where the file has no
// [rear]. It shares its tables with r: what changes r may change it.
func (r *Rig) RearAxle() *Rig {
	a := r.Rear
	if a == nil {
		return nil
	}
	return &Rig{
		Format: r.Format, Name: r.Name, Unit: r.Unit, Accuracy: r.Accuracy,
		Vehicle: Vehicle{Wheelbase: r.Vehicle.Wheelbase, Track: a.Track},
		Left:    a.Left, Right: a.Right, TieRod: a.TieRod, Servo: a.Servo, Horn: a.Horn, DragLink: a.DragLink,
		Want: Want{Margin: r.Want.Margin},
	}
}

// rearPrefix begins the keys of the rear axle.
const rearPrefix = "rear."

// rearStands reports a rear axle whose measurements cannot be of one vehicle.
func (r *Rig) rearStands() error {
	rear := r.RearAxle()
	if rear == nil {
		return nil
	}
	g, err := rear.Geometry()
	if err == nil {
		_, err = g.Mechanism()
	}
	var problem *Error
	if errors.As(err, &problem) {
		problem.Key = rearPrefix + problem.Key
		problem.Remedy = rearKeys.Replace(problem.Remedy)
	}
	return err
}
