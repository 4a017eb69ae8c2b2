package vehicle

import (
	"errors"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestCheckIsSilentOnWhatBuilds(t *testing.T) {
	for name, sketch := range sketches {
		s := sketch()
		if errs := s.Check(); len(errs) > 0 {
			t.Errorf("%s: %v", name, errs)
		}
		if counted, ranked, err := s.Freedom(); counted != 0 || ranked != 0 || err != nil {
			t.Errorf("%s: %d degrees of freedom by count, %d by rank, %v", name, counted, ranked, err)
		}
		if _, err := s.Build(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// drop takes a part out of a list.
func drop[P interface{ Listed() *Part }](list *[]P, name string) {
	n := len(*list)
	*list = slices.DeleteFunc(*list, func(p P) bool { return p.Listed().Name == name })
	if len(*list) == n {
		panic(name)
	}
}

func find[P interface{ Listed() *Part }](list []P, name string) P {
	return list[slices.IndexFunc(list, func(p P) bool { return p.Listed().Name == name })]
}

func TestFreedomOfListsThatDoNotHangTogether(t *testing.T) {
	s := dragLink()
	find(s.Rods, "tie rod").Length = 0
	var e *Error
	if _, _, err := s.Freedom(); !errors.As(err, &e) || e.Key != "tie rod" {
		t.Errorf("says %v", err)
	}
}

// TestCheckWords spoils a description that is whole, in one way each, and reads what is said.
func TestCheckWords(t *testing.T) {
	body := func(s *sketch, name string) *Body { return find(s.Bodies, name) }
	ball := func(s *sketch, name string) *Ball { return find(s.Balls, name) }
	rod := func(s *sketch, name string) *Rod { return find(s.Rods, name) }
	for _, c := range []struct {
		name  string
		of    func() *sketch
		spoil func(s *sketch)
		want  []string
	}{
		{"no name", dragLink, func(s *sketch) { s.Rods[1].Name = "" }, []string{
			"tie rod: number 2 of the rods has no name; give it a name",
		}},
		{"one name twice", rack, func(s *sketch) { s.Rods[1].Name, s.Balls[1].Name = "right rod", s.Balls[0].Name }, []string{
			"left arm: two of the balls are called \"left wheel centre\"; call one of them something else",
			"right rod: two of the rods are called \"right rod\"; call one of them something else",
		}},
		{"a rod on one body", dragLink, func(s *sketch) { ball(s, "left arm").On = body(s, "right knuckle") }, []string{
			"tie rod: both ends of the tie rod are on the right knuckle; put one of them on what the rod is to hold",
		}},
		{"a rod without length", dragLink, func(s *sketch) { rod(s, "tie rod").Length = 0 }, []string{
			"tie rod: the tie rod has no length; measure it, ball centre to ball centre",
		}},
		{"a rod in one place", dragLink, func(s *sketch) { ball(s, "left arm").At = ball(s, "right arm").At }, []string{
			"tie rod: both ends of the tie rod are in one place; check the places of its balls",
		}},

		{"joined to nothing", centreCrank, func(s *sketch) { s.body("idler", s.Chassis(), Turns, vec(0, 20, 0), Up) }, []string{
			"idler: the idler is joined to nothing: no rod leads from it to a wheel or a servo; add the rod that joins it, or leave it out",
		}},

		{"no tie rod", dragLink, func(s *sketch) { drop(&s.Rods, "tie rod") }, []string{
			"left knuckle: the left knuckle can still turn about its kingpin: nothing holds it; add a rod that holds it, or a servo that moves it",
		}},
		{"no drag link", dragLink, func(s *sketch) {
			s.Servos = nil
			drop(&s.Rods, "drag link")
			body(s, "servo's horn").Drive = Still
			drop(&s.Bodies, "servo's horn")
			drop(&s.Balls, "servo's ball")
		}, []string{
			"left knuckle: the left knuckle can still turn about its kingpin, and the right knuckle with it: nothing holds them; add a rod that holds them, or a servo that moves them",
		}},
		{"no rods at all", dragLink, func(s *sketch) {
			s.Servos = nil
			s.Rods = nil
			drop(&s.Bodies, "servo's horn")
			drop(&s.Balls, "servo's ball")
		}, []string{
			"left knuckle: the left knuckle can still turn about its kingpin: nothing holds it; add a rod that holds it, or a servo that moves it",
			"right knuckle: the right knuckle can still turn about its kingpin: nothing holds it; add a rod that holds it, or a servo that moves it",
		}},
		{"no servo", rack, func(s *sketch) { s.Servos = nil; body(s, "servo's horn").Drive = ByRods }, []string{
			"left knuckle: the left knuckle can still turn about its kingpin, and the right knuckle, the rack and the servo's horn with it: nothing holds them; add a rod that holds them, or a servo that moves them",
		}},
		{"no left rod", rack, func(s *sketch) { drop(&s.Rods, "left rod") }, []string{
			"left knuckle: the left knuckle can still turn about its kingpin: nothing holds it; add a rod that holds it, or a servo that moves it",
		}},
		{"a rack that nothing pulls", rack, func(s *sketch) { rod(s, "drag link").To = ball(s, "left arm"); drop(&s.Rods, "left rod") }, []string{
			"right knuckle: the right knuckle can still turn about its kingpin, and the rack with it: nothing holds them; add a rod that holds them, or a servo that moves them",
		}},
		{"three links", fourLinks, func(s *sketch) { drop(&s.Rods, "upper left link") }, []string{
			"solid axle: the solid axle can still move sideways, and the left knuckle and the right knuckle with it: nothing holds them; add a rod that holds them",
		}},
		{"two links", fourLinks, func(s *sketch) { drop(&s.Rods, "upper left link"); drop(&s.Rods, "lower left link") }, []string{
			"solid axle: the solid axle can still move sideways and yaw, and the left knuckle and the right knuckle with it: nothing holds them; add 2 rods that hold them",
		}},
		{"no links", fourLinks, func(s *sketch) {
			s.Rods = slices.DeleteFunc(s.Rods, func(r *Rod) bool { return r.Kind == SuspensionLink })
		}, []string{
			"solid axle: the solid axle can still move forward, move sideways, yaw and pitch, and the left knuckle and the right knuckle with it: nothing holds them; add 4 rods that hold them",
		}},
		{"no upright", doubleArms, func(s *sketch) { drop(&s.Rods, "left upright") }, []string{
			"left upper arm: the left upper arm can still turn about its axis: nothing holds it; add a rod that holds it, or a servo that moves it",
		}},
		{"a ball on its own axis", dragLink, func(s *sketch) {
			b := ball(s, "left arm")
			b.At = Foot(b.At, body(s, "left knuckle").Point, body(s, "left knuckle").Axis)
		}, []string{
			"drag link: the drag link and the tie rod fight: each alone would hold the right knuckle; check the places of their balls, or leave one of them out",
			"left knuckle: the left knuckle can still turn about its kingpin: nothing holds it; add a rod that holds it, or a servo that moves it",
		}},

		{"a second drag link", dragLink, func(s *sketch) {
			s.rod("second drag link", ball(s, "servo's ball"), s.ball("second drag arm", body(s, "right knuckle"), vec(30, -70, 5)))
		}, []string{
			"drag link: the drag link and the second drag link fight: each alone would hold the right knuckle; check the places of their balls, or leave one of them out",
		}},
		{"two servos and a tie rod", twoServos, func(s *sketch) { s.rod("tie rod", ball(s, "left arm"), ball(s, "right arm")) }, []string{
			"drag link: the drag link, the second drag link and the tie rod fight: one of them is too many to hold the left knuckle and the right knuckle; check the places of their balls, or leave one of them out",
		}},
		{"five links", fourLinks, func(s *sketch) {
			s.rod("panhard rod", s.ball("panhard rod's chassis end", s.Chassis(), vec(-20, 50, 20)), s.ball("panhard rod's axle end", body(s, "solid axle"), vec(-20, -50, 10)))
		}, []string{
			"lower left link: the lower left link, the lower right link, the upper left link, the upper right link and the panhard rod fight: one of them is too many to hold the solid axle; check the places of their balls, or leave one of them out",
		}},
		{"a rod that holds nothing", dragLink, func(s *sketch) { s.rod("brace", ball(s, "servo's ball"), s.ball("eye", s.Chassis(), vec(0, 0, 0))) }, []string{
			"brace: the brace holds nothing: its balls stay as far apart whatever else moves; leave it out, or move one of its balls to what it is to hold",
		}},
		{"too free and too stiff", dragLink, func(s *sketch) {
			rod(s, "tie rod").From, rod(s, "tie rod").To = ball(s, "servo's ball"), s.ball("second drag arm", body(s, "right knuckle"), vec(30, -70, 5))
		}, []string{
			"drag link: the drag link and the tie rod fight: each alone would hold the right knuckle; check the places of their balls, or leave one of them out",
			"left knuckle: the left knuckle can still turn about its kingpin: nothing holds it; add a rod that holds it, or a servo that moves it",
		}},

		{"over-centre", dragLink, func(s *sketch) {
			k, b := body(s, "right knuckle"), ball(s, "drag arm")
			foot := Foot(b.At, k.Point, k.Axis)
			ball(s, "servo's ball").At = r3.Add(b.At, r3.Scale(3, r3.Sub(b.At, foot)))
		}, []string{
			"drag link: the right knuckle can still turn about its kingpin, and the left knuckle with it: with the wheels straight the drag link has no leverage on them; check the places of its balls: the rod must not point at the axis that it turns",
		}},
		{"over-centre without a tie rod", dragLink, func(s *sketch) {
			k, b := body(s, "right knuckle"), ball(s, "drag arm")
			ball(s, "servo's ball").At = r3.Add(b.At, r3.Scale(3, r3.Sub(b.At, Foot(b.At, k.Point, k.Axis))))
			drop(&s.Rods, "tie rod")
		}, []string{
			"left knuckle: the left knuckle can still turn about its kingpin: nothing holds it; add a rod that holds it, or a servo that moves it",
		}},
		{"square to the rack", rack, func(s *sketch) {
			ball(s, "servo's ball").At = r3.Add(ball(s, "rack's ball").At, vec(0, 0, 40))
			body(s, "rack").Axis = vec(0, 1, 0)
		}, []string{
			"drag link: the rack can still slide, and the left knuckle and the right knuckle with it: with the wheels straight the drag link has no leverage on them; check the places of its balls: the rod must not be square to the slide",
		}},
		{"two over-centre", twoServos, func(s *sketch) {
			for _, side := range []string{"left", "right"} {
				k, b := body(s, side+" knuckle"), ball(s, side+" arm")
				foot := Foot(b.At, k.Point, k.Axis)
				ball(s, map[string]string{"left": "servo's ball", "right": "second servo's ball"}[side]).At = r3.Add(b.At, r3.Scale(3, r3.Sub(b.At, foot)))
			}
		}, []string{
			"second drag link: the right knuckle can still turn about its kingpin: with the wheels straight the second drag link has no leverage on it; check the places of its balls: the rod must not point at the axis that it turns",
			"drag link: the left knuckle can still turn about its kingpin: with the wheels straight the drag link has no leverage on it; check the places of its balls: the rod must not point at the axis that it turns",
		}},
		{"parallel links", fourLinks, func(s *sketch) {
			for _, r := range s.Rods {
				if r.Kind == SuspensionLink {
					r.From.At = r3.Add(r.To.At, vec(-110, 0, 5))
				}
			}
		}, []string{
			"lower left link: the solid axle can still move sideways, and the left knuckle and the right knuckle with it: with the wheels straight the lower left link, the lower right link, the upper left link and the upper right link do the same work; check the places of their balls; parallel links need a panhard rod, or two of them splayed",
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := c.of()
			c.spoil(s)
			var got []string
			for _, e := range s.Check() {
				got = append(got, e.Error())
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("says %q, want %q", got, c.want)
			}
		})
	}
}
