package oracle

import "gonum.org/v1/gonum/spatial/r3"

// File returns the text of a rig file that says what the rig is. The left kingpin
// is given by its angles, the right one by two points. What the constraint program
// knows nothing of, such as tyres, is made up.
func (r *Rig) File() string {
	var s script
	s.add("format = 1\nname = %q", r.Layout.String()+" (invented)")
	s.add("[vehicle]\nwheelbase = 300")
	s.knuckle("left", &r.Left, r.Layout == ToLeft)
	s.knuckle("right", &r.Right, r.Layout == ToRight)
	s.add("[servo]\nmount = \"axle\"")
	s.triple("point", r.ServoPoint)
	s.triple("axis", r.ServoAxis)
	s.add("[horn]")
	s.triple("ball", r.Horn)
	s.dragAndTie(r)
	return string(s)
}

// dragAndTie writes the drag link and the tie rod.
func (s *script) dragAndTie(r *Rig) {
	s.add("[tie_rod]\nlength = %.17g", r.TieLength)
	if r.Layout == ToTieRod {
		s.add("along = %.17g", r3.Norm(r3.Sub(r.TieBall, r.Left.Tie)))
	}
	to := [...]string{ToLeft: "left", ToRight: "right", ToTieRod: "tie_rod"}[r.Layout]
	s.add("[drag_link]\nto = %q\nlength = %.17g", to, r.DragLength)
}

func (s *script) knuckle(side string, k *Knuckle, drag bool) {
	s.add("[%s.kingpin]", side)
	if side == "left" {
		s.triple("point", k.Centre)
		s.add("caster = %.17g\ninclination = %.17g", k.Caster/degree, k.Inclination/degree)
	} else {
		s.triple("top", k.Top())
		s.triple("bottom", k.Bottom())
	}
	s.knuckleParts(side, k, drag)
}

// knuckleParts writes what a knuckle has beside its kingpin.
func (s *script) knuckleParts(side string, k *Knuckle, drag bool) {
	s.add("[%s.wheel]\ntoe = %.17g\ncamber = %.17g\ntyre_radius = 50\ntyre_width = 40", side, k.Toe/degree, k.Camber/degree)
	s.triple("centre", r3.Add(k.Centre, r3.Scale(wheelOut, k.Spindle())))
	s.add("[%s.tie_arm]", side)
	s.triple("ball", k.Tie)
	if drag {
		s.add("[%s.drag_arm]", side)
		s.triple("ball", k.Drag)
	}
}

func (s *script) triple(key string, v r3.Vec) {
	s.add("%s = [%.17g, %.17g, %.17g]", key, v.X, v.Y, v.Z)
}
