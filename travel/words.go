package travel

import (
	"fmt"
	"math"
	"strings"

	"evenlock/internal/say"

	"gonum.org/v1/gonum/spatial/r3"
)

// Ends names the ends that are moved.
func (b *Better) Ends() string {
	if len(b.Moves) == 2 {
		return "both " + strings.TrimPrefix(b.Moves[0].Words, "left ") + "s"
	}
	return "the " + b.Moves[0].Words
}

// Words say what to do to have the ends where they are better: "lower the horn's ball by 6.2 mm".
func (b *Better) Words() string {
	first := b.Moves[0].By
	if len(b.Moves) == 1 {
		return wayWords(b.Ends(), first, false)
	}
	if second := b.Moves[1].By; second != acrossY(first) {
		return wayWords("the "+b.Moves[0].Words, first, false) + " and " + wayWords("the "+b.Moves[1].Words, second, false)
	}
	return wayWords(b.Ends(), first, true)
}

// Lies returns a place that the line of Along passes and how it lies there, both seen from the front: "rising 3.4° to the left".
func (i *Ideal) Lies() (through r3.Vec, words string) {
	through, dir := i.Along()
	if dir.Y < 0 {
		dir = r3.Scale(-1, dir)
	}
	slope := math.Atan2(dir.Z, dir.Y) * 180 / math.Pi
	s := say.Number(math.Abs(slope), 1)
	switch {
	case say.IsZero(s):
		return through, "level"
	case slope > 0:
		return through, "rising " + s + "° to the left"
	default:
		return through, "falling " + s + "° to the left"
	}
}

// wayWords says how to move an end, or two as in a mirror, of which by is the left one's way.
func wayWords(what string, by r3.Vec, mirrored bool) string {
	mm := func(v float64) string { return say.Number(math.Abs(v), 1) + " mm" }
	if by.Y == 0 {
		verb := "raise"
		if by.Z < 0 {
			verb = "lower"
		}
		return fmt.Sprintf("%s %s by %s", verb, what, mm(by.Z))
	}
	across := map[[2]bool]string{{false, true}: " to the left", {false, false}: " to the right", {true, true}: " outwards", {true, false}: " inwards"}
	way := mm(by.Y) + across[[2]bool{mirrored, by.Y > 0}]
	switch {
	case by.Z > 0:
		way = mm(by.Z) + " up and " + way
	case by.Z < 0:
		way = mm(by.Z) + " down and " + way
	}
	return "move " + what + " " + way
}
