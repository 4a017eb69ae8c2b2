package rig

import "evenlock/linkage"

// SteeringRod is one rod of the steering.
type SteeringRod struct {
	// Key is that of its table in the rig file, Name what to call it.
	Key, Name string
	// Rod points into the rig.
	*Rod
	// Made gives its length in a Geometry, in mm; Handles find it and its two balls in a Mechanism.
	Made    func(g *Geometry) float64
	Handles func(m *Mechanism) (rod linkage.Rod, from, to linkage.Ball)
}

// SteeringRods lists the rods of the steering, the drag link first.
func (r *Rig) SteeringRods() []SteeringRod {
	all := []SteeringRod{{
		"drag_link", "drag link", &r.DragLink.Rod, func(g *Geometry) float64 { return g.DragLength },
		func(m *Mechanism) (linkage.Rod, linkage.Ball, linkage.Ball) { return m.DragRod, m.HornBall, m.Pulled },
	}}
	if left, right, table := r.CentreRods(); left != nil {
		all = append(all,
			SteeringRod{
				table + ".left_rod", "left steering link", left, func(g *Geometry) float64 { return g.Crank.LeftLength },
				func(m *Mechanism) (linkage.Rod, linkage.Ball, linkage.Ball) {
					return m.LeftCrankRod, m.LeftCrank, m.LeftTie
				},
			},
			SteeringRod{
				table + ".right_rod", "right steering link", right, func(g *Geometry) float64 { return g.Crank.RightLength },
				func(m *Mechanism) (linkage.Rod, linkage.Ball, linkage.Ball) {
					return m.RightCrankRod, m.RightCrank, m.RightTie
				},
			})
	}
	if r.Idler != nil {
		all = append(all, SteeringRod{
			"centre_link", "centre link", &r.CentreLink.Rod, func(g *Geometry) float64 { return g.Crank.Idler.Length },
			func(m *Mechanism) (linkage.Rod, linkage.Ball, linkage.Ball) {
				return m.CentreLinkRod, m.CrankLink, m.IdlerLink
			},
		})
	}
	if r.SecondServo != nil {
		all = append(all, SteeringRod{
			"second_servo.drag_link", "second drag link", &r.SecondServo.DragLink, func(g *Geometry) float64 { return g.Second.Length },
			func(m *Mechanism) (linkage.Rod, linkage.Ball, linkage.Ball) {
				return m.SecondRod, m.SecondBall, m.SecondPulled
			},
		})
	}
	if r.TieRod != nil {
		all = append(all, SteeringRod{
			"tie_rod", "tie rod", &r.TieRod.Rod, func(g *Geometry) float64 { return g.TieLength },
			func(m *Mechanism) (linkage.Rod, linkage.Ball, linkage.Ball) {
				return m.TieRodRod, m.LeftTie, m.RightTie
			},
		})
	}
	return all
}
