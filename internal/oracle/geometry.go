package oracle

import (
	"gonum.org/v1/gonum/spatial/r3"

	"evenlock/rig"
)

// Geometry returns the rig as the rig file's package describes it. What the
// constraint program knows nothing of, such as tyres and studs, is left out.
func (r *Rig) Geometry() *rig.Geometry {
	side := func(k *Knuckle) rig.SideGeometry {
		return rig.SideGeometry{
			KingpinPoint: k.Bottom, Kingpin: k.Axis(),
			Centre: r3.Scale(0.5, r3.Add(k.Bottom, k.Top)), Spindle: k.Spindle,
			TieBall: k.Tie, TieStud: k.Axis(),
		}
	}
	return &rig.Geometry{
		Left: side(&r.Left), Right: side(&r.Right),
		HornFoot: r.ServoPoint, ServoAxis: r.ServoAxis, HornBall: r.Horn, HornStud: r.ServoAxis,
		Pulled: r.Target(), PulledStud: r3.Vec{Z: 1},
		Target:     [...]rig.Target{ToLeft: rig.LeftKnuckle, ToRight: rig.RightKnuckle, ToTieRod: rig.TieRodBall}[r.Layout],
		DragLength: r.DragLength, TieLength: r.TieLength,
	}
}
