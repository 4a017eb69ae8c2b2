package rig

import (
	"fmt"
	"strings"
)

// check finds what the keys say against one another, as far as that needs no
// geometry. It is silent on a table in which a problem was found already, since
// the one would follow from the other.
func (d *decoder) check() {
	found := make([]string, len(d.problems))
	for i, p := range d.problems {
		found[i] = p.Key
	}
	report := func(key, problem, remedy string) {
		for _, f := range found {
			if f == key || strings.HasPrefix(f, key+".") || strings.HasPrefix(key, f+".") {
				return
			}
		}
		at, _ := d.tree.find(strings.Split(key, "."))
		d.fail(at, key, problem, remedy)
	}
	for axle := range axles {
		if a := d.rig.Of(axle + 1); a != nil {
			checker{d.rig, a, func(key, problem, remedy string) {
				report(a.Prefix+key, a.says(problem), a.says(remedy))
			}}.axle()
		}
	}
	checker{d.rig, d.rig.Of(1), report}.whole()
}

// checker checks one axle.
type checker struct {
	rig *Rig
	*OfAxle
	report func(key, problem, remedy string)
}

// whole checks what is not of one axle.
func (c checker) whole() {
	c.accuracy("accuracy.length", c.rig.Accuracy.Length.Quantity)
	c.accuracy("accuracy.angle", c.rig.Accuracy.Angle.Quantity)
	c.suspension()
	for i := range c.rig.Parts {
		c.part(fmt.Sprintf("part.%d", i+1), &c.rig.Parts[i])
	}
	c.loads()
}

func (c checker) axle() {
	c.side("left", &c.Left, 1)
	if c.Right != nil {
		c.side("right", c.Right, -1)
	}
	c.layout()
	c.horn()
	if c.TieRod != nil {
		c.rod("tie_rod", c.TieRod.Rod)
	}
	c.rod("drag_link", c.DragLink.Rod)
	if m := c.Crank; m != nil {
		c.rod("crank.left_rod", m.LeftRod)
		c.rod("crank.right_rod", m.RightRod)
	}
	if m := c.Rack; m != nil {
		c.rod("rack.left_rod", m.LeftRod)
		c.rod("rack.right_rod", m.RightRod)
	}
	c.transmitter()
	c.ratings()
}

func (c checker) accuracy(key string, q Quantity) {
	if q.Uncertainty != 0 {
		c.report(key, "is an uncertainty, and has one itself", "write the number alone")
	}
}

// side checks one side; out is the sign of y on it.
func (c checker) side(path string, s *Side, out float64) {
	if k := s.Kingpin; k != nil {
		c.kingpin(path+".kingpin", k, out)
	}
	if w := s.Wheel; w != nil {
		c.wheel(path+".wheel.centre", w.Centre, out)
	}
	if s.TieArm != nil {
		c.arm(path+".tie_arm", s.TieArm)
	}
	if s.DragArm != nil {
		c.arm(path+".drag_arm", s.DragArm)
	}
}

func (c checker) kingpin(path string, k *Kingpin, out float64) {
	const either = "give top and bottom, or point with caster and inclination"
	points := k.Top.Given() || k.Bottom.Given()
	lean := k.Point.Given() || k.Caster.Given || k.Inclination.Given
	switch {
	case points && lean:
		c.report(path, "is given in two ways at once", either)
	case !points && !lean:
		c.report(path, "has no axis", either)
	case lean && !k.Point.Given():
		c.report(path+".point", "is missing", "add any point on the axis, or "+either)
	case lean && !k.Caster.Given && !k.Inclination.Given:
		c.report(path, "has a point but no lean", "add caster and inclination, 0 for an upright axis")
	case points && !k.Top.Given():
		c.report(path+".top", "is missing", "add a point on the axis above bottom")
	case points && !k.Bottom.Given():
		c.report(path+".bottom", "is missing", "add a point on the axis below top")
	case points && k.Top[2].Value <= k.Bottom[2].Value:
		c.report(path+".top", "is not above bottom", "measure again, or swap the two")
	}
	for name, p := range map[string]Point{"top": k.Top, "bottom": k.Bottom, "point": k.Point} {
		c.onSide(path+"."+name, p, out)
	}
}

// onSide reports a point on the other side of the vehicle; out is 1 for the left and -1 for the
// right.
func (c checker) onSide(key string, p Point, out float64) {
	if !p.Given() || out*p[1].Value > 0 {
		return
	}
	remedy := "give it a second number above 0: y counts to the left"
	if out < 0 {
		remedy = "give it a second number below 0: y counts to the left"
	}
	c.report(key, "is on the wrong side of the vehicle", remedy)
}

func (c checker) wheel(key string, centre Point, out float64) {
	track := c.Track.Given
	switch {
	case track && centre.Given():
		c.report(key, "is given although vehicle.track is", "leave one of the two out")
	case !track && !centre.Given():
		c.report(key, "is missing", "add it, or give vehicle.track instead")
	default:
		c.onSide(key, centre, out)
	}
}

func (c checker) arm(path string, a *Arm) {
	const either = "give ball, or length, points and height"
	seen := a.Length.Given || a.Points != "" || a.Inward.Given || a.Height.Given
	switch {
	case a.Ball.Given() && seen:
		c.report(path, "is given in two ways at once", either)
	case a.Ball.Given():
	case !seen:
		c.report(path, "has no ball", either)
	case !a.Length.Given:
		c.report(path+".length", "is missing", "add the distance from the kingpin axis to the ball, seen from above")
	case a.Points == "":
		c.report(path+".points", "is missing", "add which way the arm points: forward, back, inward or outward")
	case !a.Height.Given:
		c.report(path+".height", "is missing", "add the ball's height above the wheel centre")
	}
}

// layout checks that the parts that the drag link and the knuckles need are there.
func (c checker) layout() {
	to := c.DragLink.To
	for _, m := range []struct {
		name    string
		present bool
	}{{"crank", c.Crank != nil}, {"rack", c.Rack != nil}} {
		switch {
		case to == m.name && !m.present:
			c.report("drag_link.to", "is "+m.name+", and there is no "+m.name, "add a table ["+m.name+"], or pull left, right or tie_rod")
		case to != m.name && to != "" && m.present:
			c.report(m.name, "is there, and drag_link.to is "+to, `write drag_link.to = "`+m.name+`", or leave the `+m.name+" out")
		case m.present && c.TieRod != nil:
			c.report("tie_rod", "is there beside a "+m.name+", whose two rods take its place", "leave one of the two out")
		}
	}
	if c.Crank == nil && c.Rack == nil && c.TieRod == nil && c.SecondServo == nil {
		c.report("tie_rod", "is missing", "add a table [tie_rod]: the rod that joins the two knuckles")
	}
	c.idler()
	c.secondServo()
	switch {
	case to == "left" && c.Left.DragArm == nil:
		c.report("left.drag_arm", "is missing, and the drag link pulls it", "add a table [left.drag_arm]: the ball on the knuckle for the drag link")
	case to == "right" && (c.Right == nil || c.Right.DragArm == nil):
		c.report("right.drag_arm", "is missing, and the drag link pulls it", "add a table [right.drag_arm]: the ball on the knuckle for the drag link")
	case to == "tie_rod" && c.TieRod != nil && !c.TieRod.Along.Given:
		c.report("tie_rod.along", "is missing, and the drag link pulls that ball", "add the distance from the tie rod's left ball")
	}
}

func (c checker) idler() {
	i, l := c.Idler, c.CentreLink
	switch {
	case i == nil && l == nil:
	case i != nil && c.Crank == nil:
		c.report("idler", "is there, and there is no crank that it would follow", "add a table [crank], or leave the idler out")
	case i == nil:
		c.report("centre_link", "is there, and there is no idler that it would move", "add a table [idler], or leave the centre link out")
	case l == nil:
		c.report("centre_link", "is missing, and the idler is moved by it", "add a table [centre_link]; it may be empty")
	case !c.Crank.LinkBall.Given():
		c.report("crank.link_ball", "is missing, and the centre link holds on to it", "add the place of the ball or pin on the centre crank")
	case l.Plate && i.Side != "":
		c.report("idler.side", "is given although the drag plate takes both rods", "leave it out, or leave centre_link.plate out")
	case !l.Plate && i.Side == "":
		c.report("idler.side", "is missing", `add which knuckle's rod the idler takes: "left" or "right"`)
	}
	if l != nil {
		c.rod("centre_link", l.Rod)
	}
}

func (c checker) secondServo() {
	to := c.DragLink.To
	switch {
	case c.SecondServo == nil:
		return
	case to != "left" && to != "right":
		c.report("second_servo", "is there, and the drag link does not pull a knuckle", `write drag_link.to = "left" or "right", or leave the second servo out`)
	case c.TieRod != nil:
		c.report("tie_rod", "is there beside a second servo, which takes its place", "leave one of the two out")
	case to == "right" && c.Left.DragArm == nil:
		c.report("left.drag_arm", "is missing, and the second servo's drag link pulls it", "add a table [left.drag_arm]: the ball on the knuckle for that drag link")
	}
	c.rod("second_servo.drag_link", c.SecondServo.DragLink)
}

func (c checker) horn() {
	const either = "give ball, or hole and points with lean or link_angle"
	h := c.Horn
	seen := h.Hole.Given || h.Points.Given() || h.Lean.Given || h.LinkAngle.Given || h.Reach.Given
	switch {
	case h.Ball.Given() && seen:
		c.report("horn", "is given in two ways at once", either)
	case h.Ball.Given():
	case !seen:
		c.report("horn", "has no ball", either)
	case !h.Hole.Given:
		c.report("horn.hole", "is missing", "add the distance from the shaft's axis to the ball's centre")
	case !h.Points.Given():
		c.report("horn.points", "is missing", "add which way the horn points, such as up")
	case h.Lean.Given && h.LinkAngle.Given:
		c.report("horn.link_angle", "is given although lean is", "leave one of the two out")
	}
}

func (c checker) rod(path string, r Rod) {
	if _, known := ThreadPitch(r.Thread); r.Thread != "" && !known && !r.Pitch.Given {
		c.report(path+".thread", fmt.Sprintf("%q is not an ISO 261 coarse thread that evenlock knows", r.Thread),
			"add its pitch, such as pitch = 0.5, or write a name such as M3")
	}
	if r.Shortest.Given && r.Longest.Given && r.Shortest.Value > r.Longest.Value {
		c.report(path+".shortest", "is more than longest", "swap the two")
	}
	switch {
	case r.Diameter.Given && r.Material == "":
		c.report(path+".material", "is missing, and the diameter says nothing without it", "add what the rod is made of, such as steel")
	case !r.Diameter.Given && (r.Material != "" || r.Bore.Given || r.Bend.Given):
		c.report(path+".diameter", "is missing, and the rod's strength needs it", "add its outer diameter")
	case r.Bore.Given && r.Bore.Value >= r.Diameter.Value:
		c.report(path+".bore", "is not less than diameter", "measure again, or swap the two")
	}
}

// loads checks what the loads are found from.
func (c checker) loads() {
	v := c.rig.Vehicle
	switch {
	case v.Mass > 0 && v.SteeredShare == 0:
		c.report("vehicle.steered_share", "is missing, and the mass says nothing without it", "add how many percent of the weight the steered wheels carry: weigh them on a scale, the others level beside it")
	case v.SteeredShare > 0 && v.Mass == 0:
		c.report("vehicle.mass", "is missing, and the steered share says nothing without it", "add the mass in kilograms, ready to drive")
	}
	g := c.rig.Ground
	switch {
	case g.RockForce > 0 && !g.RockHeight.Given:
		c.report("ground.rock_height", "is missing, and the rock's force says nothing without it", "add how high the rock's edge is above the ground")
	case g.RockHeight.Given && g.RockForce == 0:
		c.report("ground.rock_force", "is missing, and the rock's height says nothing without it", "add the force in newtons: the vehicle's weight, 10 for each kilogram, is a hard case")
	}
}

// ratings checks the servo's ratings against one another. Their order is free.
func (c checker) ratings() {
	all := c.Servo.Ratings
	for i, r := range all {
		key := func(name string) string { return fmt.Sprintf("servo.rating.%d.%s", i+1, name) }
		if r.StallCurrent > 0 && r.StallCurrent <= c.Servo.IdleCurrent {
			c.report(key("stall_current"), "is not more than servo.idle_current", "look at the maker's figures again, or swap the two")
		}
		for _, other := range all[:i] {
			switch {
			case r.Voltage == other.Voltage:
				c.report(key("voltage"), "is that of another rating", "keep one rating for each voltage")
			case (r.StallCurrent > 0) != (other.StallCurrent > 0):
				c.report(key("stall_current"), "is stated for some of the ratings only", "state it for all of them or for none")
			case r.StallCurrent > 0 && (r.StallCurrent-other.StallCurrent)*(r.Voltage-other.Voltage) < 0:
				c.report(key("stall_current"), "falls as the voltage rises", "look at the maker's figures again")
			default:
				continue
			}
			break
		}
	}
}

func (c checker) transmitter() {
	t := c.Transmitter
	c.screen()
	if t.CurvePoints == 1 {
		c.report("transmitter.curve_points", "is 1, and a curve needs two points", "write the number of points, or 0 for none")
	}
	if n := len(c.Settings.Curve); n > 0 && n != t.CurvePoints {
		c.report("settings.curve", fmt.Sprintf("has %d points, and transmitter.curve_points is %d", n, t.CurvePoints), "make the two agree")
	}
	if len(t.Readings) == 1 {
		c.report("transmitter.reading", "is one reading, and two are needed", "add the reading at full stick the other way")
	}
	for i, r := range t.Readings {
		said := 0
		for _, given := range []bool{r.Setting != nil, r.Pulse != nil, r.Angle.Given} {
			if given {
				said++
			}
		}
		if said < 2 {
			c.report(fmt.Sprintf("transmitter.reading.%d", i+1), "says too little", "give two of setting, pulse and angle")
		}
	}
}
