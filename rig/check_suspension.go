package rig

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// suspension checks that each kind has what it needs, and nothing that it does not.
func (c checker) suspension() {
	s := c.rig.Suspension
	if s == nil {
		return
	}
	solid := s.Kind == "links" || s.Kind == "stated"
	stated := s.Pivot.Given() || s.RollCentre.Given() || s.RollLean.Given
	const remedy = "leave it out, or write the kind that it belongs to"
	switch {
	case s.Kind == "":
		return
	case s.Kind != "links" && len(s.Links) > 0:
		c.report("suspension.link", "is there, and the kind is "+s.Kind, remedy)
	case s.Kind != "stated" && stated:
		c.report("suspension", "states a motion by pivot, roll_centre or roll_lean, and the kind is "+s.Kind, remedy)
	case solid && (s.Left != nil || s.Right != nil):
		c.report("suspension.left", "is there, and a solid axle has no arms", remedy)
	case s.Kind == "stated" && !s.RollCentre.Given():
		c.report("suspension.roll_centre", "is missing", "add a point on the line that the axle rolls about: with leaves about halfway up to their main leaf at the axle (common practice)")
	case s.Kind == "links" && len(s.Links) != 4:
		c.report("suspension.link", fmt.Sprintf("has %d links, and four hold a solid axle", len(s.Links)), "four links, or three and a panhard rod, each a table [[suspension.link]]")
	case !solid && s.Left == nil:
		c.report("suspension.left", "is missing", "add a table [suspension.left] with the hinges of the left arms")
	}
	if !solid {
		c.independent(s)
	}
	for i := range s.Links {
		l := &s.Links[i]
		c.name(fmt.Sprintf("suspension.link.%d.name", i+1), l.Name)
		if l.EndAngle.Given && !(l.ChassisBolt.Given() && l.AxleBolt.Given()) {
			c.report(fmt.Sprintf("suspension.link.%d.end_angle", i+1), "says nothing without the bolts' directions", "add chassis_bolt and axle_bolt, such as left")
		}
	}
}

// independent checks what arms and struts need of the rest of the file.
func (c checker) independent(s *Suspension) {
	strut := s.Kind == "struts"
	for _, side := range []struct {
		key  string
		arms *Arms
	}{{"suspension.left", s.Left}, {"suspension.right", s.Right}} {
		if side.arms == nil {
			continue
		}
		front, rear := side.arms.UpperFront.Given(), side.arms.UpperRear.Given()
		switch {
		case strut && (front || rear):
			c.report(side.key+".upper_front", "is given, and a strut has no upper arm", `leave it out, or write kind = "arms"`)
		case !strut && !front:
			c.report(side.key+".upper_front", "is missing", "add the upper arm's front hinge")
		case !strut && !rear:
			c.report(side.key+".upper_rear", "is missing", "add the upper arm's rear hinge")
		}
	}
	kingpins := map[string]*Kingpin{"left.kingpin": c.Left.Kingpin}
	if c.Right != nil {
		kingpins["right.kingpin"] = c.Right.Kingpin
	}
	for key, k := range kingpins {
		if k != nil && !k.Top.Given() {
			c.report(key+".top", "is missing, and the arms hold the knuckle by the kingpin's two ends", "give top and bottom, the middles of the knuckle's balls; of a strut, top is its upper mount")
		}
	}
	mounts := map[string]string{"servo.mount": c.Servo.Mount}
	if c.Crank != nil {
		mounts["crank.mount"] = c.Crank.Mount
	}
	if c.Rack != nil {
		mounts["rack.mount"] = c.Rack.Mount
	}
	if c.SecondServo != nil {
		mounts["second_servo.mount"] = c.SecondServo.Mount
	}
	for key, mount := range mounts {
		if mount == "axle" {
			c.report(key, "is axle, and independent wheels have none", `write "chassis"`)
		}
	}
}

// name checks what a link or a part is called, which reports and the page show in the middle of a
// line.
func (c checker) name(key, name string) {
	const most = 40
	switch {
	case strings.ContainsFunc(name, unicode.IsControl):
		c.report(key, "has a character that cannot be shown", "write it in plain letters on one line")
	case utf8.RuneCountInString(name) > most:
		c.report(key, fmt.Sprintf("is %d characters long", utf8.RuneCountInString(name)), fmt.Sprintf("call it something shorter, of up to %d", most))
	}
}

// part checks a shape.
func (c checker) part(path string, p *Part) {
	c.name(path+".name", p.Name)
	wants := map[string]bool{}
	for _, name := range map[string][]string{"ball": {"centre", "radius"}, "bar": {"from", "to", "radius"}, "box": {"centre", "size"}}[p.Shape] {
		wants[name] = true
	}
	if p.Shape == "" {
		return
	}
	for _, k := range []struct {
		name  string
		given bool
	}{{"centre", p.Centre.Given()}, {"from", p.From.Given()}, {"to", p.To.Given()}, {"radius", p.Radius.Given}, {"size", p.Size.Given()}} {
		switch {
		case wants[k.name] && !k.given:
			c.report(path+"."+k.name, "is missing, and a "+p.Shape+" needs it", "add it")
		case !wants[k.name] && k.given:
			c.report(path+"."+k.name, "is given, and a "+p.Shape+" has none", "leave it out, or write another shape")
		}
	}
	for i := range p.Size {
		if p.Size.Given() && p.Size[i].Value <= 0 {
			c.report(path+".size", "has a number that is not above 0", "give the box's whole size each way")
			break
		}
	}
	on := map[string]bool{"tie_rod": c.TieRod != nil && c.DragLink.To == "tie_rod", "crank": c.Crank != nil, "rack": c.Rack != nil}
	if there, asked := on[p.On]; asked && !there {
		c.report(path+".on", "is "+p.On+", and the rig has none whose turn is known", "write what it is fixed to; a tie rod's roll is known only where the drag link pulls it")
	}
}
