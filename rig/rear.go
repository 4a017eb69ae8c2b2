package rig

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
		Vehicle:  Vehicle{Wheelbase: r.Vehicle.Wheelbase, Track: a.Track},
		Steering: a.Steering, Control: Control{Want: Want{Margin: r.Want.Margin}},
	}
}
