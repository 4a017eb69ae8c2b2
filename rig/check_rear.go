package rig

import "strings"

// rearKeys makes keys in the words of a problem those of the rear axle.
var rearKeys = strings.NewReplacer(
	"vehicle.track", "rear.track", "table [", "table [rear.", "servo.", "rear.servo.", "tie_rod.along", "rear.tie_rod.along",
)

// rear checks the rear axle as the front one is checked.
func (c checker) rear() {
	a := c.Rear
	if a == nil {
		return
	}
	if to := a.DragLink.To; to == "crank" || to == "rack" {
		c.report("rear.drag_link.to", "is "+to+", and a rear axle has a tie rod in its place", "pull left, right or tie_rod")
		return
	}
	rear := checker{c.RearAxle(), func(key, problem, remedy string) {
		c.report(rearPrefix+key, rearKeys.Replace(problem), rearKeys.Replace(remedy))
	}}
	rear.side("left", &a.Left, 1)
	if a.Right != nil {
		rear.side("right", a.Right, -1)
	}
	rear.layout()
	rear.horn()
	if a.TieRod != nil {
		rear.rod("tie_rod", a.TieRod.Rod)
	}
	rear.rod("drag_link", a.DragLink.Rod)
	rear.ratings()
}
