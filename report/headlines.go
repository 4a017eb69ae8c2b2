package report

import (
	"math"

	"evenlock/report/document"
	"evenlock/setup"
	"evenlock/steer"
)

// pastAckermann is the words for how far the outer wheel is toed past Ackermann.
var pastAckermann = document.Direction{Negative: "short"}

// Headlines say how a rig steers as it stands: how far to each side and what ends that, how even,
// how tight.
func Headlines(h *setup.Headlines) *document.Document {
	d := about(h.Model, "headlines", "How it steers")
	if h.Swapped {
		d.Verdict = append(d.Verdict, document.Line{Severity: document.MustFix, Sentence: document.Say("left stick steers to the right. Reverse the steering channel.")})
	}
	left, right := &h.Locks[steer.Left], &h.Locks[steer.Right]
	d.Verdict = append(d.Verdict,
		line("Lock ", angle(left.Inner), " left, ", angle(right.Inner), " right: ", unlike(h), "."),
		line("Turning circle ", span(h.Circle[steer.Left]), " left, ", span(h.Circle[steer.Right]), " right."))
	d.Sections = []document.Section{
		{Key: "figures", Blocks: []document.Block{headlineFigures(h)}},
		{Key: "more", Title: "Rate, and nearness to over-centre", Detail: true, Blocks: []document.Block{document.Figures{
			wheelsTurn(h),
			document.F(h.OverCentre, document.One).Named("over_centre", "from over-centre, at full lock").Noted("0 is over-centre, 1 is best"),
		}}},
	}
	return d
}

// unlike says by how much the lock differs from side to side.
func unlike(h *setup.Headlines) document.Sentence {
	if !h.Difference.Clear() {
		return document.Say("no clear difference")
	}
	return document.Say(angle(h.Difference).Signed(document.Direction{Negative: "more to the right", Zero: "alike", Positive: "more to the left"}))
}

// headlineFigures are the figures that two rigs are compared by.
func headlineFigures(h *setup.Headlines) document.Figures {
	var all document.Figures
	for side, word := range sideNames {
		all = append(all, angle(h.Locks[side].Inner).Named("lock."+word, "lock "+word+", inner wheel").Noted("ended by "+h.Locks[side].Governs))
	}
	difference := angle(h.Difference).Signed(document.Direction{Negative: "right", Zero: "none", Positive: "left"}).Named("difference", "more lock to one side")
	if !h.Difference.Clear() {
		difference = difference.Noted("no clear difference")
	}
	uneven := part(h.Even.Path).To(1).Named("uneven", "left against right, at equal stick").Noted("at most, of the path's curvature at full lock")
	if h.EvenProblem != nil {
		uneven.Value, uneven.Note = math.NaN(), asSentence(h.EvenProblem.Error())
	}
	all = append(all, difference, uneven)
	for side, word := range sideNames {
		all = append(all, span(h.Circle[side]).Named("circle."+word, "turning circle "+word).Noted("over the outermost tyre"))
	}
	for side, word := range sideNames {
		all = append(all, angle(h.Ackermann[side]).Signed(pastAckermann).Named("ackermann."+word, "outer wheel past Ackermann, "+word))
	}
	return append(all, angle(h.Square.Miss).Size().Named("square", "horn to link off square"))
}

// wheelsTurn says how fast and which way the wheels turn about straight ahead.
func wheelsTurn(h *setup.Headlines) document.Figure {
	way := sideNames[0]
	if h.Rate.Value < 0 {
		way = sideNames[1]
	}
	return document.FU(h.Rate.Value, h.Rate.Uncertain, document.Ratio).Size().Named("rate", "wheels turn, about straight ahead").
		Noted("of servo; to the " + way + " as the servo turns counter-clockwise")
}
