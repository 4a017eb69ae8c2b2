package report

import (
	"math"
	"strings"

	"evenlock/report/document"
	"evenlock/travel"

	"gonum.org/v1/gonum/spatial/r3"
)

// ballsOf names the ends that are moved.
func ballsOf(b *travel.Better) string {
	if len(b.Moves) == 2 {
		if pair, ok := strings.CutPrefix(b.Moves[0].Ball, "left "); ok {
			return "both " + pair + "s"
		}
		return "the " + b.Moves[0].Ball + " and the " + b.Moves[1].Ball
	}
	return "the " + b.Moves[0].Ball
}

// moveWords says what to do to have the ends where they are better: "lower the horn's ball by 6.2
// mm".
func moveWords(b *travel.Better) document.Sentence {
	first := b.Moves[0].By
	switch {
	case len(b.Moves) == 1:
		return moveOne(ballsOf(b), first, false)
	case b.Mirrored():
		return moveOne(ballsOf(b), first, true)
	default:
		return document.Say(moveOne("the "+b.Moves[0].Ball, first, false), " and ", moveOne("the "+b.Moves[1].Ball, b.Moves[1].By, false))
	}
}

// moveOne says how to move an end, or two as in a mirror, of which by is the left one's way.
func moveOne(balls string, by r3.Vec, mirrored bool) document.Sentence {
	mm := func(v float64) document.Figure { return document.F(math.Abs(v), document.Length) }
	if by.Y == 0 {
		verb := "raise "
		if by.Z < 0 {
			verb = "lower "
		}
		return document.Say(verb, balls, " by ", mm(by.Z))
	}
	across := map[[2]bool]string{{false, true}: " to the left", {false, false}: " to the right", {true, true}: " outwards", {true, false}: " inwards"}
	way := document.Say(mm(by.Y), across[[2]bool{mirrored, by.Y > 0}])
	switch {
	case by.Z > 0:
		way = document.Say(mm(by.Z), " up and ", way)
	case by.Z < 0:
		way = document.Say(mm(by.Z), " down and ", way)
	}
	return document.Say("move ", balls, " ", way)
}

// move is where a ball is best moved to, or what speaks against it.
func (t *travelAccount) move() document.Section {
	s := document.Section{Key: "move", Title: "Where to move the ball"}
	if t.severity != document.WorthFixing {
		return document.Section{}
	}
	for i := range t.better {
		if &t.better[i] == t.best {
			s.Blocks = []document.Block{document.Findings{t.finding(i)}}
		}
	}
	if t.best.Way == travel.FrontView {
		s.Blocks = append(s.Blocks, document.Cautions{Drilling})
	}
	return s
}

// otherMoves are the other places that were tried.
func (t *travelAccount) otherMoves() document.Section {
	var all document.Findings
	for i := range t.better {
		if &t.better[i] != t.best || t.severity != document.WorthFixing {
			all = append(all, t.finding(i))
		}
	}
	if all == nil {
		return document.Section{}
	}
	return document.Section{Key: "other_moves", Title: "Other places for the balls, each by itself", Detail: true, Blocks: []document.Block{all, document.Cautions{Drilling}}}
}

// finding is one better place, tried on the rebuilt rig.
func (t *travelAccount) finding(i int) document.Finding {
	b := &t.better[i]
	way, key := "by shims", "height"
	if b.Way == travel.FrontView {
		way, key = "by a new hole", "front_view"
	}
	f := document.Finding{Key: b.Moves[0].Ball + "." + key, Headline: document.Say(document.Capital(ballsOf(b)), ", ", way)}
	if b.Still() || b.Gain() <= 0 {
		f.Text = document.Say("Best where it is: at most ", swing(b.Before[travel.Heave]), " over the travel.")
		return f
	}
	if b == t.best {
		f.Severity = t.severity
	}
	f.Text = document.Say("In roll: ", swing(b.Before[travel.Rolling]), " → ", swing(b.After[travel.Rolling]), ". Then set the rods so that the wheels are straight.")
	if b.Short {
		f.Text = document.Say(f.Text, " A still better place is further off.")
	}
	f.Change = &document.Change{Do: moveWords(b), Before: swing(b.Before[travel.Heave]).Named("", "bump steer, at most"), After: swing(b.After[travel.Heave])}
	for _, one := range b.Settings {
		f.Change.Set = append(f.Change.Set, document.Setting(one))
	}
	if b.Unplaced != nil {
		f.Text = document.Say(f.Text, " The file cannot give this ball another place: move it, and measure it again.")
	}
	return f
}

// ideals say where, seen from the front, a ball gives no bump steer.
func (t *travelAccount) ideals() document.Section {
	s := document.Section{Key: "ideals", Title: "Where a ball gives no bump steer", Detail: true}
	for i := range t.a.Ideals {
		one := &t.a.Ideals[i]
		through, along := one.Along()
		if along.Y < 0 {
			along = r3.Scale(-1, along)
		}
		slope := document.F(math.Atan2(along.Z, along.Y), document.Angle).Signed(document.Direction{Negative: "falling to the left", Zero: "level", Positive: "rising to the left"})
		said := document.Say("The ", one.Ball.Name, ", for small travel: anywhere on a line, seen from the front. The line is ", slope, ", through ", fromTheFront(through), ".")
		if at, ok := one.Crossing(); ok {
			said = document.Say(said, " For all of the travel: about ", fromTheFront(at), ".")
		}
		s.Blocks = append(s.Blocks, document.Paragraph(said))
	}
	return s
}

// fromTheFront is a place as seen from the front.
func fromTheFront(v r3.Vec) document.Sentence {
	return document.Say(
		document.F(v.Y, document.Length).Signed(document.Direction{Negative: "right of the middle", Zero: "the middle", Positive: "left of the middle"}), " and ",
		document.F(v.Z, document.Length).Signed(document.Direction{Negative: "below", Zero: "level with", Positive: "above"}), " the wheel centres")
}
